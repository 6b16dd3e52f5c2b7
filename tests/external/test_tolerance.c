/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "physics/tolerance.h"
#include "tap.h"

#define COUNT(array) (int)(sizeof array / sizeof array[0])
#define ABOVE(x) ((x) + 1e-9)

/* ISO 2768-1:1989 table 1, ± mm; both sides of 120 and 400, and the first and last of each class.
 */
static const struct {
    TbGeneralClass grade;
    double nominal, half;
} general[] = {
    {TB_GENERAL_F, 0.5, 0.05},       {TB_GENERAL_F, 120, 0.15},
    {TB_GENERAL_F, ABOVE(120), 0.2}, {TB_GENERAL_F, 400, 0.2},
    {TB_GENERAL_F, ABOVE(400), 0.3}, {TB_GENERAL_F, 2000, 0.5},
    {TB_GENERAL_M, 0.5, 0.1},        {TB_GENERAL_M, 3, 0.1},
    {TB_GENERAL_M, 6, 0.1},          {TB_GENERAL_M, ABOVE(6), 0.2},
    {TB_GENERAL_M, 30, 0.2},         {TB_GENERAL_M, ABOVE(30), 0.3},
    {TB_GENERAL_M, 120, 0.3},        {TB_GENERAL_M, ABOVE(120), 0.5},
    {TB_GENERAL_M, 400, 0.5},        {TB_GENERAL_M, ABOVE(400), 0.8},
    {TB_GENERAL_M, 1000, 0.8},       {TB_GENERAL_M, 1043.7, 1.2},
    {TB_GENERAL_M, 4000, 2},         {TB_GENERAL_C, 3, 0.2},
    {TB_GENERAL_C, ABOVE(3), 0.3},   {TB_GENERAL_C, 120, 0.8},
    {TB_GENERAL_C, ABOVE(120), 1.2}, {TB_GENERAL_C, 400, 1.2},
    {TB_GENERAL_C, ABOVE(400), 2},   {TB_GENERAL_C, 4000, 4},
    {TB_GENERAL_V, ABOVE(3), 0.5},   {TB_GENERAL_V, 120, 1.5},
    {TB_GENERAL_V, ABOVE(120), 2.5}, {TB_GENERAL_V, 400, 2.5},
    {TB_GENERAL_V, ABOVE(400), 4},   {TB_GENERAL_V, 4000, 8},
};

START_TEST(machined_sizes_follow_iso_2768_1)
{
    double half = -1;

    ck_assert_int_eq(tb_tolerance_general(general[_i].grade, general[_i].nominal, &half, NULL),
                     TB_OK);
    ck_assert_double_eq(half, general[_i].half);
}
END_TEST

/* ISO 8062-3:2007 table 2, whole band in mm. */
static const struct {
    int grade;
    double nominal, band;
} casting[] = {
    {4, 0.7, 0.26},     {4, 10, 0.26},  {4, ABOVE(10), 0.28}, {4, 400, 0.56}, {5, 63, 0.5},
    {6, 100, 0.78},     {6, 120, 0.88}, {7, 25, 0.82},        {8, 120, 1.8},  {8, 160, 1.8},
    {8, ABOVE(160), 2}, {8, 250, 2},    {8, ABOVE(250), 2.2}, {8, 400, 2.2},  {9, 16, 1.6},
    {9, 120, 2.5},      {10, 40, 2.6},  {10, 400, 4.4},       {11, 63, 4},    {11, 120, 5},
    {12, 10, 4.2},      {12, 120, 7},   {12, 400, 9},
};

START_TEST(raw_castings_follow_iso_8062_3_half_each_way)
{
    double half = -1;

    ck_assert_int_eq(tb_tolerance_casting(casting[_i].grade, casting[_i].nominal, &half, NULL),
                     TB_OK);
    ck_assert_double_eq_tol(half, casting[_i].band / 2, 1e-15);
}
END_TEST

/* ISO 13920:1996 table 1, ± mm. That B, C and D have 1 mm too from 2 to 30 mm is from memory of the
 * standard: the copy that the other values are from has lost that column. */
static const struct {
    TbWeldedClass grade;
    double nominal, half;
} welded[] = {
    {TB_WELDED_A, 2, 1},          {TB_WELDED_A, 120, 1},        {TB_WELDED_A, 400, 1},
    {TB_WELDED_A, ABOVE(400), 2}, {TB_WELDED_A, 4000, 4},       {TB_WELDED_B, 30, 1},
    {TB_WELDED_B, ABOVE(30), 2},  {TB_WELDED_B, 120, 2},        {TB_WELDED_B, 400, 2},
    {TB_WELDED_B, ABOVE(400), 3}, {TB_WELDED_B, 2000, 4},       {TB_WELDED_C, 30, 1},
    {TB_WELDED_C, 120, 3},        {TB_WELDED_C, ABOVE(120), 4}, {TB_WELDED_C, 400, 4},
    {TB_WELDED_C, ABOVE(400), 6}, {TB_WELDED_C, 1043.7, 8},     {TB_WELDED_D, 30, 1},
    {TB_WELDED_D, 120, 4},        {TB_WELDED_D, ABOVE(120), 7}, {TB_WELDED_D, 400, 7},
    {TB_WELDED_D, ABOVE(400), 9}, {TB_WELDED_D, 4000, 16},
};

START_TEST(welded_lengths_follow_iso_13920)
{
    double half = -1;

    ck_assert_int_eq(tb_tolerance_welded(welded[_i].grade, welded[_i].nominal, &half, NULL), TB_OK);
    ck_assert_double_eq(half, welded[_i].half);
}
END_TEST

static void
check_stack(const TbStackTerm terms[],
            size_t count,
            double nominal,
            double worst,
            double rss,
            double within)
{
    ck_assert_double_eq_tol(tb_stack_nominal(terms, count), nominal, 1e-12);
    ck_assert_double_eq_tol(tb_stack_worst(terms, count), worst, 1e-12);
    ck_assert_double_eq_tol(tb_stack_rss(terms, count), rss, within);
}

/* F. W. Scholz, "Tolerance Stack Analysis Methods", 1995: three parts in a slot, inches; prints
 * 0.00794. */
START_TEST(three_parts_in_a_slot)
{
    TbStackTerm terms[] = {
        {1, 4.020, 0.005}, {-1, 2.000, 0.005}, {-1, 1.500, 0.003}, {-1, 0.500, 0.002}};

    check_stack(terms, 4, 0.020, 0.015, 0.00793725, 5e-9);
}
END_TEST

/* The same report: five equal parts in a row, mm. */
START_TEST(five_equal_parts_in_a_row)
{
    TbStackTerm terms[] = {
        {1, 17.3, 0.1}, {1, 17.3, 0.1}, {1, 17.3, 0.1}, {1, 17.3, 0.1}, {1, 17.3, 0.1}};

    check_stack(terms, 5, 86.5, 0.5, 0.2236068, 5e-8);
}
END_TEST

/* Shigley's Mechanical Engineering Design, example 1-7, inches; from memory of the handbook, and
 * computed from the closed form. */
START_TEST(a_bolt_through_three_sleeves)
{
    TbStackTerm terms[] = {
        {1, 1.750, 0.003}, {-1, 0.750, 0.001}, {-1, 0.120, 0.005}, {-1, 0.875, 0.001}};

    check_stack(terms, 4, 0.005, 0.010, 0.006, 1e-12);
}
END_TEST

/* Computed from the closed form. */
START_TEST(four_uneven_terms)
{
    TbStackTerm terms[] = {{1, 0, 0.3}, {1, 0, 0.5}, {-1, 0, 1.5}, {-1, 0, 1.0}};

    check_stack(terms, 4, 0, 3.3, 1.8947295, 5e-8);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/tolerance");
    TCase *one = tcase_create("tolerance");

    tcase_add_loop_test(one, machined_sizes_follow_iso_2768_1, 0, COUNT(general));
    tcase_add_loop_test(one, raw_castings_follow_iso_8062_3_half_each_way, 0, COUNT(casting));
    tcase_add_loop_test(one, welded_lengths_follow_iso_13920, 0, COUNT(welded));
    tcase_add_test(one, three_parts_in_a_slot);
    tcase_add_test(one, five_equal_parts_in_a_row);
    tcase_add_test(one, a_bolt_through_three_sleeves);
    tcase_add_test(one, four_uneven_terms);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
