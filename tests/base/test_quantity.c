/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/quantity.h"
#include "tap.h"

#include <math.h>

static const struct {
    TbQuantity quantity;
    double x;
    int decimals;
    const char *mm, *inch; /* in inches computed beside them */
} told[] = {
    {TB_QUANTITY_LENGTH, 14.87, 1, "14.9 mm", "0.585 in"},     /* 0.585433 */
    {TB_QUANTITY_LENGTH, 703.2, 0, "703 mm", "27.7 in"},       /* 27.68504 */
    {TB_QUANTITY_LENGTH, 25, 1, "25 mm", "0.984 in"},          /* 0.984252 */
    {TB_QUANTITY_AREA, 2963.24, 1, "2963.2 mm²", "4.593 in²"}, /* 4.593031 */
    {TB_QUANTITY_AREA, 2963.24, 0, "2963 mm²", "4.59 in²"},
    {TB_QUANTITY_BEND, 16.6667, 1, "16.7 1/m", "0.423 1/in"}, /* 0.423333 */
    {TB_QUANTITY_ANGLE, 7.54, 1, "7.5°", "7.5°"},
    {TB_QUANTITY_NUMBER, 2.6, 1, "2.6", "2.6"},
};

/* 3.179 less 2.607 is 0.572: told 3.17, 2.6 and 0.57. */
START_TEST(what_is_taken_of_a_gap_reads_between_the_two_gaps)
{
    ck_assert_double_eq_tol(tb_gap_taken(3.179, 2.607, TB_UNIT_MM, 2), 2.60, 1e-9);
    ck_assert_double_eq_tol(tb_gap_taken(3.171, 2.607, TB_UNIT_MM, 2), 2.61, 1e-9);
    ck_assert_double_eq_tol(tb_gap_taken(3.179, -0.004, TB_UNIT_MM, 2), -0.01, 1e-9);
    ck_assert_double_eq_tol(tb_gap_taken(NAN, 2.607, TB_UNIT_MM, 2), 2.607, 1e-12);
}
END_TEST

START_TEST(a_quantity_is_told_in_the_unit_asked_for)
{
    char text[TB_QUANTITY_TEXT];

    tb_quantity_say(told[_i].x, told[_i].quantity, TB_UNIT_MM, told[_i].decimals, text);
    ck_assert_str_eq(text, told[_i].mm);
    tb_quantity_say(told[_i].x, told[_i].quantity, TB_UNIT_INCH, told[_i].decimals, text);
    ck_assert_str_eq(text, told[_i].inch);
}
END_TEST

START_TEST(one_of_what_is_shown_is_so_much_of_what_is_computed)
{
    ck_assert_double_eq(tb_quantity_one(TB_QUANTITY_LENGTH, TB_UNIT_MM), 1);
    ck_assert_double_eq(tb_quantity_one(TB_QUANTITY_LENGTH, TB_UNIT_INCH), 25.4);
    ck_assert_double_eq_tol(tb_quantity_one(TB_QUANTITY_AREA, TB_UNIT_INCH), 645.16, 1e-9);
    /* a curvature of 1/in is one of 1000 / 25.4 in a metre */
    ck_assert_double_eq_tol(tb_quantity_one(TB_QUANTITY_BEND, TB_UNIT_INCH), 39.37007874, 1e-8);
    ck_assert_double_eq(tb_quantity_one(TB_QUANTITY_ANGLE, TB_UNIT_INCH), 1);
}
END_TEST

/* The list said 14.8 mm where the finding said 14.9: one rounded down, the other to the nearest. */
START_TEST(a_gap_never_says_more_than_is_there)
{
    char text[TB_TEXT_NUMBER];

    for (double gap = -3.337; gap < 40; gap += 0.0137)
        for (int decimals = 0; decimals < 4; decimals++)
            for (int unit = TB_UNIT_MM; unit <= TB_UNIT_INCH; unit++) {
                double shown = tb_gap_told(gap, (TbLengthUnit)unit, decimals);
                double step = tb_quantity_one(TB_QUANTITY_LENGTH, (TbLengthUnit)unit) *
                              pow(10, -tb_quantity_decimals(TB_QUANTITY_LENGTH, (TbLengthUnit)unit,
                                                            decimals));

                ck_assert_double_le(shown, gap + 1e-7);
                ck_assert_double_gt(shown, gap - step);
            }
    tb_gap_write(14.897, TB_UNIT_MM, 1, text);
    ck_assert_str_eq(text, "14.8");
    tb_gap_write(14.897, TB_UNIT_INCH, 1, text); /* 0.586496 */
    ck_assert_str_eq(text, "0.586");
    tb_gap_write(0.04, TB_UNIT_MM, 1, text);
    ck_assert_str_eq(text, "0.0");
    /* a tenth that rounding has just missed */
    tb_gap_write(0.1 + 0.2, TB_UNIT_MM, 1, text);
    ck_assert_str_eq(text, "0.3");
    /* an overlap is not less deep than it is */
    tb_gap_write(-0.31, TB_UNIT_MM, 1, text);
    ck_assert_str_eq(text, "-0.4");
}
END_TEST

/* The details told an interval of 14.462 to 14.4712 as 14.46 to 14.47: the gap may lie outside. */
START_TEST(the_upper_end_of_a_gap_is_rounded_up)
{
    char text[TB_TEXT_NUMBER];

    tb_gap_write_end(14.4712, TB_UNIT_MM, 2, text);
    ck_assert_str_eq(text, "14.48");
    tb_gap_write_end(14.4712, TB_UNIT_INCH, 2, text); /* 0.569732 */
    ck_assert_str_eq(text, "0.5698");
    /* what is whole stays, also where rounding has just passed it */
    tb_gap_write_end(0.1 + 0.2, TB_UNIT_MM, 1, text);
    ck_assert_str_eq(text, "0.3");
    tb_gap_write_end(0, TB_UNIT_MM, 2, text);
    ck_assert_str_eq(text, "0.00");
    tb_gap_write_end(-0.31, TB_UNIT_MM, 1, text);
    ck_assert_str_eq(text, "-0.3");
}
END_TEST

static const struct {
    double gap, keep;
    TbLengthUnit unit;
    const char *gap_text, *keep_text;
} pairs[] = {
    {14.469, 12, TB_UNIT_MM, "14.4", "12"},
    {11.99, 12, TB_UNIT_MM, "11.99", "12"},
    {12.034, 12, TB_UNIT_MM, "12.03", "12"},
    {12, 12, TB_UNIT_MM, "12.0", "12"},
    /* it holds: 12.2 would read as short */
    {12.26, 12.25, TB_UNIT_MM, "12.26", "12.25"},
    {12.24, 12.25, TB_UNIT_MM, "12.24", "12.25"},
    {14.469, 12.7, TB_UNIT_INCH, "0.569", "0.5"},
    /* 0.4724016, 0.4724409 */
    {11.999, 12, TB_UNIT_INCH, "0.47240", "0.47244"},
    /* 0.4727953, 0.4726378: a keep that is rounded up must not make short what holds */
    {12.009, 12.005, TB_UNIT_INCH, "0.4727", "0.4726"},
};

START_TEST(a_gap_and_its_keep_read_apart_and_in_their_order)
{
    char gap[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    tb_gap_words(pairs[_i].gap, pairs[_i].keep, pairs[_i].unit, gap, keep);
    ck_assert_str_eq(gap, pairs[_i].gap_text);
    ck_assert_str_eq(keep, pairs[_i].keep_text);
}
END_TEST

START_TEST(a_gap_without_a_keep_stands_alone)
{
    char gap[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    tb_gap_words(31.37, (double)NAN, TB_UNIT_MM, gap, keep);
    ck_assert_str_eq(gap, "31.3");
    ck_assert_str_eq(keep, "");
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("base/quantity");
    TCase *units = tcase_create("units");
    TCase *gaps = tcase_create("gaps");

    tcase_add_loop_test(units, a_quantity_is_told_in_the_unit_asked_for, 0,
                        sizeof told / sizeof told[0]);
    tcase_add_test(units, one_of_what_is_shown_is_so_much_of_what_is_computed);
    suite_add_tcase(suite, units);
    tcase_add_test(gaps, what_is_taken_of_a_gap_reads_between_the_two_gaps);
    tcase_add_test(gaps, a_gap_never_says_more_than_is_there);
    tcase_add_test(gaps, the_upper_end_of_a_gap_is_rounded_up);
    tcase_add_loop_test(gaps, a_gap_and_its_keep_read_apart_and_in_their_order, 0,
                        sizeof pairs / sizeof pairs[0]);
    tcase_add_test(gaps, a_gap_without_a_keep_stands_alone);
    suite_add_tcase(suite, gaps);
    return tb_test_main(suite);
}
