/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file length.h
 * @brief Lengths and angles as a person types and reads them.
 *
 * Typed: "12", "12.5", "12,5" (point and comma are decimal marks in every language; marks of
 * thousands are refused, and so is the mark that is not the language's before just three digits:
 * "1,243" in English and "1.243" in German may mean a thousand), "2.5 cm", "1.2m", "3/4 in", "1 1/2
 * in", "1-1/2\"", "-3 mm". Units: um, mm, cm, m, in, inch, inches, ", ft,
 * '. Without a unit the default one holds. An inch is 25.4 mm exactly (international yard and pound
 * agreement, 1959).
 * Shown: fixed decimals with the language's mark, in the unit of the bay's head.
 *
 * This is for people only. Files and reports go by text.h.
 */
#pragma once

#include "base/fault.h"
#include "base/text.h"

/** mm in an inch, exact. */
#define TB_MM_PER_INCH 25.4

typedef enum TbLengthUnit { TB_UNIT_MM, TB_UNIT_INCH } TbLengthUnit;

/**
 * Read a typed length.
 *
 * @param text UTF-8; spaces around it are allowed
 * @param usual the unit of a number without one
 * @param[out] mm finite; untouched on failure
 * @return TB_OK, or TB_E_FORMAT with a sentence that quotes the text and says how to write it
 */
TbStatus tb_length_read(const char *text, TbLengthUnit usual, double *mm, TbFault *fault);

/** The same for an angle in degrees: "12", "12,5", "12 deg", "12°", "1/2 deg". */
TbStatus tb_angle_read(const char *text, double *degrees, TbFault *fault);

/** The same for a number without a unit, or with @p unit spelled out behind it ("125 g/s"). */
TbStatus tb_number_read(const char *text, const char *unit, double *number, TbFault *fault);

/**
 * Three lengths, parted by spaces or semicolons ("1243 -203 703", "10 mm; 1 in; 3,5"). A fraction
 * after a whole number ("1 1/2 in") is for single lengths: here three parts are three lengths.
 */
TbStatus
tb_lengths_read(const char *text, TbLengthUnit usual, size_t count, double mm[], TbFault *fault);

/**
 * A length to edit: the fewest digits that read back to the same length to 1e-9 mm, so that a value
 * that is shown and confirmed untouched is not changed.
 */
void tb_length_write_whole(double mm, TbLengthUnit unit, char out[TB_TEXT_NUMBER]);

/** "mm" or "in". */
const char *tb_length_unit_name(TbLengthUnit unit);
