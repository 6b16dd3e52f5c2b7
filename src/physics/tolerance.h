/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tolerance.h
 * @brief General tolerances by nominal size, and what several of them add up to.
 *
 * Sizes and tolerances are in millimetres, unlike the rest of this folder: the standards' ranges
 * are whole millimetres, and a size that falls on the wrong side of 120 by rounding would get the
 * wrong row. Each function gives half the band, the t of "size ± t".
 *
 * Ranges are as the standards have them: a row's upper size belongs to the row. Sizes outside the
 * printed ranges, and classes that have no value there, are refused, never extrapolated.
 */
#pragma once

#include "base/fault.h"

#include <stddef.h>

/** Classes of ISO 2768-1 for lengths. */
typedef enum TbGeneralClass {
    TB_GENERAL_F, /**< fine; ends at 2000 mm */
    TB_GENERAL_M, /**< medium */
    TB_GENERAL_C, /**< coarse */
    TB_GENERAL_V  /**< very coarse; begins above 3 mm */
} TbGeneralClass;

/** Classes of ISO 13920 for lengths of welded parts. */
typedef enum TbWeldedClass { TB_WELDED_A, TB_WELDED_B, TB_WELDED_C, TB_WELDED_D } TbWeldedClass;

/** Grades of ISO 8062-3 that the table holds. */
#define TB_DCTG_LEAST 4
#define TB_DCTG_MOST 12

/**
 * Machined and bent parts without a tolerance of their own: ISO 2768-1:1989, table 1.
 *
 * @param nominal mm, 0.5 to 4000
 * @param[out] half mm; untouched on failure
 * @return TB_OK, or TB_E_RANGE
 */
TbStatus tb_tolerance_general(TbGeneralClass grade, double nominal, double *half, TbFault *fault);

/**
 * Castings: ISO 8062-3:2007, table 2, linear dimensional casting tolerance grades. The table holds
 * the whole band, which lies half each way (ISO 8062-3, 7.2).
 *
 * @param grade   4 to 12, the number after DCTG
 * @param nominal mm of the raw casting, above 0 to 1000 (DCTG 4: to 630)
 * @param[out] half mm; untouched on failure
 * @return TB_OK, or TB_E_RANGE
 */
TbStatus tb_tolerance_casting(int grade, double nominal, double *half, TbFault *fault);

/**
 * Welded parts: ISO 13920:1996, table 1, lengths. The first range, 2 to 30 mm, is ± 1 mm in every
 * class.
 *
 * @param nominal mm, 2 to 4000
 * @param[out] half mm; untouched on failure
 * @return TB_OK, or TB_E_RANGE
 */
TbStatus tb_tolerance_welded(TbWeldedClass grade, double nominal, double *half, TbFault *fault);

/**
 * The same by the name that a drawing carries: "ISO 2768-m", "DCTG 8", "ISO 13920-B". Upper and
 * lower case as the standards write them.
 *
 * @param[out] half mm; untouched on failure
 * @return TB_OK, TB_E_RANGE, or TB_E_REFERENCE when no table has this name
 */
TbStatus tb_tolerance_named(const char *grade, double nominal, double *half, TbFault *fault);

/** One size in a chain of sizes. */
typedef struct TbStackTerm {
    double factor;  /**< how the result follows this size: 1, -1, or a lever arm's ratio */
    double nominal; /**< any length unit, the same in all terms */
    double half;    /**< 0 or more, same unit */
} TbStackTerm;

/** Sum of factor times nominal. */
double tb_stack_nominal(const TbStackTerm terms[], size_t count);

/** Worst case: half = sum of |factor| half. Every part at its limit at once. */
double tb_stack_worst(const TbStackTerm terms[], size_t count);

/**
 * Root-sum-square: half = sqrt(sum of (factor half)^2). As often beyond it as each part is beyond
 * its own limits, for independent parts centred on their nominals. F. W. Scholz, "Tolerance Stack
 * Analysis Methods", 1995.
 */
double tb_stack_rss(const TbStackTerm terms[], size_t count);
