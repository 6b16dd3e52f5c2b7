/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file grades.h
 * @brief General tolerances by the name of their grade: data/tolerances.xml, compiled in.
 *
 * Sizes and tolerances are in mm. Sizes that the table does not have are refused, never
 * extrapolated.
 */
#pragma once

#include "base/fault.h"

#include <stddef.h>

typedef struct TbGrades TbGrades;

/**
 * Reads a table.
 *
 * @return TB_OK; TB_E_FORMAT, TB_E_RANGE, TB_E_REFERENCE with the line of what is wrong
 */
TbStatus tb_grades_read(const char *bytes, size_t size, TbGrades **grades, TbFault *fault);

/** The same for who goes on without: a broken table has no grades and says why when it is asked for
 * one. */
TbGrades *tb_grades_new(const char *bytes, size_t size);
void tb_grades_free(TbGrades *grades); /**< NULL is fine */

/** The compiled-in table, read when first asked for; lent for the program's life. Any thread. */
const TbGrades *tb_grades_usual(void);

/**
 * Half the band of a grade at a nominal size: the t of "size plus or minus t".
 *
 * @param[out] half mm; untouched on failure
 * @return TB_OK; TB_E_REFERENCE: no such grade, with the ones there are; TB_E_RANGE: the table has
 *         no such size for it; TB_E_FORMAT: the table is broken, with its line
 */
TbStatus
tb_grades_half(const TbGrades *grades, const char *name, double size, double *half, TbFault *fault);

/** The next coarser grade of the same table, lent; NULL: there is none, or no such grade. */
const char *tb_grades_coarser(const TbGrades *grades, const char *name);
