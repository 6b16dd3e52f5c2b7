/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/quantity.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

/** What inches are of each quantity. */
static const struct {
    double inch;              /**< so much is one of it in inches */
    const char *unit[2];      /**< by TbLengthUnit */
    int more, more_with_some; /**< decimals in inches for none and for some of the other */
} kinds[] = {
    [TB_QUANTITY_NUMBER] = {1, {"", ""}, 0, 0},
    [TB_QUANTITY_LENGTH] = {TB_MM_PER_INCH, {"mm", "in"}, 1, 2},
    [TB_QUANTITY_AREA] = {TB_MM_PER_INCH * TB_MM_PER_INCH, {"mm\xc2\xb2", "in\xc2\xb2"}, 2, 2},
    [TB_QUANTITY_BEND] = {1000 / TB_MM_PER_INCH, {"1/m", "1/in"}, 2, 2},
    [TB_QUANTITY_ANGLE] = {1, {"\xc2\xb0", "\xc2\xb0"}, 0, 0},
};

double
tb_quantity_one(TbQuantity quantity, TbLengthUnit unit)
{
    return unit == TB_UNIT_INCH ? kinds[quantity].inch : 1;
}

const char *
tb_quantity_unit(TbQuantity quantity, TbLengthUnit unit)
{
    return kinds[quantity].unit[unit];
}

int
tb_quantity_decimals(TbQuantity quantity, TbLengthUnit unit, int decimals)
{
    if (unit != TB_UNIT_INCH)
        return decimals;
    return decimals + (decimals > 0 ? kinds[quantity].more_with_some : kinds[quantity].more);
}

void
tb_quantity_write(
    double x, TbQuantity quantity, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER])
{
    tb_text_shown(x / tb_quantity_one(quantity, unit),
                  tb_quantity_decimals(quantity, unit, decimals), out);
}

void
tb_length_write(double mm, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER])
{
    tb_quantity_write(mm, TB_QUANTITY_LENGTH, unit, decimals, out);
}

/** A number and what it is a number of. */
static void
join(const char *number, TbQuantity quantity, TbLengthUnit unit, char out[TB_QUANTITY_TEXT])
{
    const char *name = tb_quantity_unit(quantity, unit);
    bool apart = name[0] != '\0' && quantity != TB_QUANTITY_ANGLE;

    tb_text_format(out, TB_QUANTITY_TEXT, "%s%s%s", number, apart ? " " : "", name);
}

void
tb_quantity_say(
    double x, TbQuantity quantity, TbLengthUnit unit, int decimals, char out[TB_QUANTITY_TEXT])
{
    char number[TB_TEXT_NUMBER];

    tb_quantity_write(x, quantity, unit, decimals, number);
    tb_text_trim(number);
    join(number, quantity, unit, out);
}

void
tb_quantity_say_fixed(
    double x, TbQuantity quantity, TbLengthUnit unit, int decimals, char out[TB_QUANTITY_TEXT])
{
    char number[TB_TEXT_NUMBER];

    tb_quantity_write(x, quantity, unit, decimals, number);
    join(number, quantity, unit, out);
}

/* ---- gaps ---- */

/** mm. What arithmetic rounds a gap of a bay by at most: it must not take a decimal away. */
#define ROUNDING 1e-7

double
tb_gap_told(double gap, TbLengthUnit unit, int decimals)
{
    double one = tb_quantity_one(TB_QUANTITY_LENGTH, unit);
    double steps = pow(10, tb_quantity_decimals(TB_QUANTITY_LENGTH, unit, decimals)) / one;

    return floor((gap + ROUNDING) * steps) / steps;
}

void
tb_gap_write(double gap, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER])
{
    tb_quantity_write(tb_gap_told(gap, unit, decimals), TB_QUANTITY_LENGTH, unit, decimals, out);
}

void
tb_gap_write_end(double gap, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER])
{
    tb_quantity_write(-tb_gap_told(-gap, unit, decimals), TB_QUANTITY_LENGTH, unit, decimals, out);
}

/** Whether gap and keep read apart, and in their order, with so many decimals; and what lies
 * between them is not told as more than twice what it is. */
static bool
reads_apart(double gap, double keep, TbLengthUnit unit, int decimals)
{
    double one = tb_quantity_one(TB_QUANTITY_LENGTH, unit);
    double steps = pow(10, tb_quantity_decimals(TB_QUANTITY_LENGTH, unit, decimals)) / one;
    double told = floor((gap + ROUNDING) * steps);
    double same = round(keep * steps);

    if (fabs(gap - keep) * steps < 0.5)
        return false;
    return gap < keep ? told < same : told > same;
}

int
tb_gap_decimals(double gap, double keep, TbLengthUnit unit)
{
    /* a difference below what arithmetic rounds by is none */
    if (!(fabs(gap - keep) > ROUNDING))
        return 1;
    for (int decimals = 1; decimals < TB_GAP_DECIMALS; decimals++)
        if (reads_apart(gap, keep, unit, decimals))
            return decimals;
    return TB_GAP_DECIMALS;
}

double
tb_gap_taken(double gap, double taken, TbLengthUnit unit, int decimals)
{
    if (isnan(gap) || isnan(taken))
        return taken;
    return tb_gap_told(gap, unit, decimals) - tb_gap_told(gap - taken, unit, decimals);
}

void
tb_keep_write(double keep, TbLengthUnit unit, int decimals, char out[TB_TEXT_NUMBER])
{
    /* 3: to a um, which is what a keep in mm may be given to; of one in inches no more is told than
     * of its gap */
    tb_quantity_write(keep, TB_QUANTITY_LENGTH, unit,
                      unit == TB_UNIT_MM && decimals < 3 ? 3 : decimals, out);
    tb_text_trim(out);
}

void
tb_gap_words(double gap,
             double keep,
             TbLengthUnit unit,
             char gap_text[TB_TEXT_NUMBER],
             char keep_text[TB_TEXT_NUMBER])
{
    int decimals = tb_gap_decimals(gap, keep, unit);

    tb_gap_write(gap, unit, decimals, gap_text);
    keep_text[0] = '\0';
    if (!isnan(keep))
        tb_keep_write(keep, unit, decimals, keep_text);
}
