/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "physics/tolerance.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/** No value printed there. */
#define NONE (-1.0)

#define GENERAL_LEAST 0.5
#define WELDED_LEAST 2.0

/** ISO 2768-1:1989 table 1: ± mm for f, m, c, v, up to and with `to`. */
static const struct {
    double to, half[4];
} general[] = {
    {3, {0.05, 0.1, 0.2, NONE}},  {6, {0.05, 0.1, 0.3, 0.5}},  {30, {0.1, 0.2, 0.5, 1}},
    {120, {0.15, 0.3, 0.8, 1.5}}, {400, {0.2, 0.5, 1.2, 2.5}}, {1000, {0.3, 0.8, 2, 4}},
    {2000, {0.5, 1.2, 3, 6}},     {4000, {NONE, 2, 4, 8}},
};

/** ISO 8062-3:2007 table 2: whole band in mm for DCTG 4 to 12, up to and with `to`. */
static const struct {
    double to, band[TB_DCTG_MOST - TB_DCTG_LEAST + 1];
} casting[] = {
    {10, {0.26, 0.36, 0.52, 0.74, 1.0, 1.5, 2.0, 2.8, 4.2}},
    {16, {0.28, 0.38, 0.54, 0.78, 1.1, 1.6, 2.2, 3.0, 4.4}},
    {25, {0.30, 0.42, 0.58, 0.82, 1.2, 1.7, 2.4, 3.2, 4.6}},
    {40, {0.32, 0.46, 0.64, 0.90, 1.3, 1.8, 2.6, 3.6, 5.0}},
    {63, {0.36, 0.50, 0.70, 1.00, 1.4, 2.0, 2.8, 4.0, 5.6}},
    {100, {0.40, 0.56, 0.78, 1.10, 1.6, 2.2, 3.2, 4.4, 6.0}},
    {160, {0.44, 0.62, 0.88, 1.20, 1.8, 2.5, 3.6, 5.0, 7.0}},
    {250, {0.50, 0.70, 1.00, 1.40, 2.0, 2.8, 4.0, 5.6, 8.0}},
    {400, {0.56, 0.78, 1.10, 1.60, 2.2, 3.2, 4.4, 6.2, 9.0}},
    {630, {0.64, 0.90, 1.20, 1.80, 2.6, 3.6, 5.0, 7.0, 10}},
    {1000, {NONE, 1.00, 1.40, 2.00, 2.8, 4.0, 6.0, 8.0, 11}},
};

/** ISO 13920:1996 table 1: ± mm for A, B, C, D, up to and with `to`. */
static const struct {
    double to, half[4];
} welded[] = {
    {30, {1, 1, 1, 1}},   {120, {1, 2, 3, 4}},   {400, {1, 2, 4, 7}},
    {1000, {2, 3, 6, 9}}, {2000, {3, 4, 8, 12}}, {4000, {4, 6, 11, 16}},
};

#define ROWS(table) (sizeof table / sizeof table[0])

static TbStatus
outside(TbFault *fault, const char *standard, double nominal, const char *range)
{
    return tb_fail(fault, TB_E_RANGE, "%s has no tolerance for a size of %g mm, its range is %s mm",
                   standard, nominal, range);
}

TbStatus
tb_tolerance_general(TbGeneralClass grade, double nominal, double *half, TbFault *fault)
{
    static const char *const names[] = {"ISO 2768-f", "ISO 2768-m", "ISO 2768-c", "ISO 2768-v"};
    static const char *const ranges[] = {"0.5 to 2000", "0.5 to 4000", "0.5 to 4000",
                                         "above 3 to 4000"};
    size_t row = 0;

    TB_ASSERT(grade >= TB_GENERAL_F && grade <= TB_GENERAL_V);
    while (row < ROWS(general) && nominal > general[row].to)
        row++;
    if (!(nominal >= GENERAL_LEAST) || row == ROWS(general) || general[row].half[grade] == NONE)
        return outside(fault, names[grade], nominal, ranges[grade]);
    *half = general[row].half[grade];
    return TB_OK;
}

TbStatus
tb_tolerance_casting(int grade, double nominal, double *half, TbFault *fault)
{
    size_t row = 0;

    if (grade < TB_DCTG_LEAST || grade > TB_DCTG_MOST)
        return tb_fail(fault, TB_E_RANGE, "casting tolerance grade DCTG %d is outside %d to %d",
                       grade, TB_DCTG_LEAST, TB_DCTG_MOST);
    while (row < ROWS(casting) && nominal > casting[row].to)
        row++;
    if (!(nominal > 0) || row == ROWS(casting) || casting[row].band[grade - TB_DCTG_LEAST] == NONE)
        return outside(fault, "ISO 8062-3", nominal,
                       grade == TB_DCTG_LEAST ? "above 0 to 630" : "above 0 to 1000");
    *half = casting[row].band[grade - TB_DCTG_LEAST] / 2;
    return TB_OK;
}

TbStatus
tb_tolerance_welded(TbWeldedClass grade, double nominal, double *half, TbFault *fault)
{
    size_t row = 0;

    TB_ASSERT(grade >= TB_WELDED_A && grade <= TB_WELDED_D);
    while (row < ROWS(welded) && nominal > welded[row].to)
        row++;
    if (!(nominal >= WELDED_LEAST) || row == ROWS(welded))
        return outside(fault, "ISO 13920", nominal, "2 to 4000");
    *half = welded[row].half[grade];
    return TB_OK;
}

/** What follows @p start in @p text, or NULL when it does not begin so. */
static const char *
after(const char *text, const char *start)
{
    size_t length = strlen(start);

    return strncmp(text, start, length) == 0 ? text + length : NULL;
}

/** Place of the one letter @p text in @p letters, or -1. */
static int
letter_in(const char *text, const char *letters)
{
    const char *found = strlen(text) == 1 ? strchr(letters, text[0]) : NULL;

    return found != NULL ? (int)(found - letters) : -1;
}

/** A whole number of one or two digits, or -1. */
static int
small_number(const char *text)
{
    size_t length = strlen(text);

    if (length < 1 || length > 2 || strspn(text, "0123456789") != length)
        return -1;
    return atoi(text);
}

TbStatus
tb_tolerance_named(const char *grade, double nominal, double *half, TbFault *fault)
{
    const char *rest;
    int which;

    rest = after(grade, "ISO 2768-");
    which = rest != NULL ? letter_in(rest, "fmcv") : -1;
    if (which >= 0)
        return tb_tolerance_general((TbGeneralClass)which, nominal, half, fault);
    rest = after(grade, "ISO 13920-");
    which = rest != NULL ? letter_in(rest, "ABCD") : -1;
    if (which >= 0)
        return tb_tolerance_welded((TbWeldedClass)which, nominal, half, fault);
    rest = after(grade, "DCTG ");
    which = rest != NULL ? small_number(rest) : -1;
    if (which >= 0)
        return tb_tolerance_casting(which, nominal, half, fault);
    return tb_fail(fault, TB_E_REFERENCE,
                   "no tolerance grade '%s', known are DCTG %d to %d, ISO 2768-f m c v and ISO "
                   "13920-A B C D",
                   grade, TB_DCTG_LEAST, TB_DCTG_MOST);
}

double
tb_stack_nominal(const TbStackTerm terms[], size_t count)
{
    double sum = 0;

    for (size_t i = 0; i < count; i++)
        sum += terms[i].factor * terms[i].nominal;
    return sum;
}

double
tb_stack_worst(const TbStackTerm terms[], size_t count)
{
    double sum = 0;

    for (size_t i = 0; i < count; i++)
        sum += fabs(terms[i].factor) * terms[i].half;
    return sum;
}

double
tb_stack_rss(const TbStackTerm terms[], size_t count)
{
    double sum = 0;

    for (size_t i = 0; i < count; i++) {
        double share = terms[i].factor * terms[i].half;

        sum += share * share;
    }
    return sqrt(sum);
}
