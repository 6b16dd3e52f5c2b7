/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file quantity.h
 * @brief Quantities as people read them: in the unit of their choice, with their language's mark.
 *
 * What is computed, written to files and reported to machines is in mm, mm2, 1/m and degrees in any
 * case. Here alone it becomes inches, and a text. Inches are decimal, as drawings in inches have
 * them: axes, grids and scale bars then step by 1, 2 and 5 in both units, and a value at the cursor
 * can be compared with a tick. Fractions (3/4 in) are understood where they are typed.
 */
#pragma once

#include "base/length.h"

typedef enum TbQuantity {
    TB_QUANTITY_NUMBER, /**< no unit */
    TB_QUANTITY_LENGTH, /**< mm, or in */
    TB_QUANTITY_AREA,   /**< mm2, or in2 */
    TB_QUANTITY_BEND,   /**< 1/m, or 1/in */
    TB_QUANTITY_ANGLE   /**< degrees */
} TbQuantity;

/** So much of what is computed is one of what is shown: 25.4 for a length in inches. */
double tb_quantity_one(TbQuantity quantity, TbLengthUnit unit);

/** "mm", "in", "mm²", "in²", "1/m", "1/in", "°" or "". */
const char *tb_quantity_unit(TbQuantity quantity, TbLengthUnit unit);

/** Decimals that tell in inches what so many tell in mm: 0.1 mm is 0.004 in, so 3 for 1. */
int tb_quantity_decimals(TbQuantity quantity, TbLengthUnit unit, int decimals);

/**
 * The number alone.
 *
 * @param x as computed
 * @param decimals of what is computed; inches get more, see tb_quantity_decimals()
 */
void tb_quantity_write(
    double x, TbQuantity quantity, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER]);

/** A length's number alone: tb_quantity_write() of one. */
void tb_length_write(double mm, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER]);

/**
 * Number and unit, as in a sentence: "14.8 mm", "7.5°"; zeros behind the mark are left out.
 *
 * @param[out] out ends in zero; room for TB_QUANTITY_TEXT
 */
#define TB_QUANTITY_TEXT (TB_TEXT_NUMBER + 16)
void tb_quantity_say(
    double x, TbQuantity quantity, TbLengthUnit unit, int decimals, char out[TB_QUANTITY_TEXT]);

/** The same with the zeros: for a number that changes while it is looked at. */
void tb_quantity_say_fixed(
    double x, TbQuantity quantity, TbLengthUnit unit, int decimals, char out[TB_QUANTITY_TEXT]);

/* ---- gaps ---- */

/**
 * A gap as it is told, in mm: rounded down to the last decimal that is shown, so that it never says
 * more than is there. Told everywhere is the lower end of the certified interval.
 */
double tb_gap_told(double gap, TbLengthUnit unit, int decimals);

/** The same as a text, without its unit. */
void tb_gap_write(double gap, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER]);

/** The upper end of a gap's interval, rounded up, so that what is told holds the gap. */
void tb_gap_write_end(double gap, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER]);

/** Decimals of mm beyond which nothing is told: a nanometre. */
enum { TB_GAP_DECIMALS = 6 };

/**
 * Decimals of mm, 1 or more, with which a gap and its keep read apart and in their order: what is
 * short never reads as kept, nor what is kept as short; near the keep more, so that what is missing
 * is not told as a tenth when it is a hundredth. The keep NAN, or the same: 1.
 */
int tb_gap_decimals(double gap, double keep, TbLengthUnit unit);

/** What is taken of a gap, mm, as it reads between the two: the gap before and the one after, each
 * rounded down with so many decimals, so that the sum of what is told comes out. */
double tb_gap_taken(double gap, double taken, TbLengthUnit unit, int decimals);

/** A keep as it is given, to a um, without its unit and without zeros behind; @p decimals as its
 * gap has. */
void tb_keep_write(double keep, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER]);

/** "18.4" and "25": a gap and its keep told apart, without units; the keep NAN: "". */
void tb_gap_words(double gap,
                  double keep,
                  TbLengthUnit unit,
                  char gap_text[TB_TEXT_NUMBER],
                  char keep_text[TB_TEXT_NUMBER]);
