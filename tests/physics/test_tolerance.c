/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "physics/tolerance.h"
#include "tap.h"

#include <math.h>
#include <signal.h>
#include <string.h>

#define COUNT(array) (int)(sizeof array / sizeof array[0])

static const struct {
    TbGeneralClass grade;
    double nominal;
    const char *text;
} no_general[] = {
    {TB_GENERAL_M, 0.49,
     "ISO 2768-m has no tolerance for a size of 0.49 mm, its range is 0.5 to 4000 mm"},
    {TB_GENERAL_M, 4000.5,
     "ISO 2768-m has no tolerance for a size of 4000.5 mm, its range is 0.5 to 4000 mm"},
    {TB_GENERAL_F, 2000.5,
     "ISO 2768-f has no tolerance for a size of 2000.5 mm, its range is 0.5 to 2000 mm"},
    {TB_GENERAL_V, 3,
     "ISO 2768-v has no tolerance for a size of 3 mm, its range is above 3 to 4000 mm"},
    {TB_GENERAL_C, (double)NAN,
     "ISO 2768-c has no tolerance for a size of nan mm, its range is 0.5 to 4000 mm"},
    {TB_GENERAL_C, -7.5,
     "ISO 2768-c has no tolerance for a size of -7.5 mm, its range is 0.5 to 4000 mm"},
};

START_TEST(a_size_that_iso_2768_1_has_not_is_refused_with_the_number)
{
    TbFault fault = {0};
    double half = 77;

    ck_assert_int_eq(
        tb_tolerance_general(no_general[_i].grade, no_general[_i].nominal, &half, &fault),
        TB_E_RANGE);
    ck_assert_double_eq(half, 77);
    ck_assert_str_eq(fault.text, no_general[_i].text);
}
END_TEST

static const struct {
    int grade;
    double nominal;
    const char *text;
} no_casting[] = {
    {8, 0, "ISO 8062-3 has no tolerance for a size of 0 mm, its range is above 0 to 1000 mm"},
    {8, 1000.25,
     "ISO 8062-3 has no tolerance for a size of 1000.25 mm, its range is above 0 to 1000 mm"},
    {8, (double)NAN,
     "ISO 8062-3 has no tolerance for a size of nan mm, its range is above 0 to 1000 mm"},
    {4, 630.5,
     "ISO 8062-3 has no tolerance for a size of 630.5 mm, its range is above 0 to 630 mm"},
    {3, 100, "casting tolerance grade DCTG 3 is outside 4 to 12"},
    {13, 100, "casting tolerance grade DCTG 13 is outside 4 to 12"},
};

START_TEST(a_casting_that_the_table_has_not_is_refused_with_the_number)
{
    TbFault fault = {0};
    double half = 77;

    ck_assert_int_eq(
        tb_tolerance_casting(no_casting[_i].grade, no_casting[_i].nominal, &half, &fault),
        TB_E_RANGE);
    ck_assert_double_eq(half, 77);
    ck_assert_str_eq(fault.text, no_casting[_i].text);
}
END_TEST

START_TEST(a_weld_that_the_table_has_not_is_refused_with_the_number)
{
    static const double sizes[] = {1.99, 4000.5, (double)NAN};
    TbFault fault = {0};
    double half = 77;

    ck_assert_int_eq(tb_tolerance_welded(TB_WELDED_B, sizes[_i], &half, &fault), TB_E_RANGE);
    ck_assert_double_eq(half, 77);
    if (_i == 0)
        ck_assert_str_eq(
            fault.text,
            "ISO 13920 has no tolerance for a size of 1.99 mm, its range is 2 to 4000 mm");
}
END_TEST

START_TEST(a_coarser_class_and_a_larger_size_never_have_less)
{
    for (double size = 3.5; size < 4000; size *= 1.07) {
        double before = 0;

        for (int grade = TB_GENERAL_F; grade <= TB_GENERAL_V; grade++) {
            double here = 0;
            double larger = 0;

            if (tb_tolerance_general((TbGeneralClass)grade, size, &here, NULL) != TB_OK)
                continue;
            ck_assert_double_gt(here, before);
            if (tb_tolerance_general((TbGeneralClass)grade, 1.07 * size, &larger, NULL) == TB_OK)
                ck_assert_double_ge(larger, here);
            before = here;
        }
    }
    for (double size = 2.5; size < 1000; size *= 1.07) {
        double before = 0;

        for (int grade = TB_DCTG_LEAST; grade <= TB_DCTG_MOST; grade++) {
            double here = 0;
            double larger = 0;

            if (grade == TB_DCTG_LEAST && size > 630)
                continue;
            ck_assert_int_eq(tb_tolerance_casting(grade, size, &here, NULL), TB_OK);
            ck_assert_double_gt(here, before);
            if (tb_tolerance_casting(grade, 1.07 * size, &larger, NULL) == TB_OK)
                ck_assert_double_ge(larger, here);
            before = here;
        }
    }
}
END_TEST

static const struct {
    const char *grade;
    double half; /* mm, at 120 mm */
} named[] = {
    {"ISO 2768-f", 0.15}, {"ISO 2768-m", 0.3}, {"ISO 2768-c", 0.8}, {"ISO 2768-v", 1.5},
    {"DCTG 4", 0.22},     {"DCTG 8", 0.9},     {"DCTG 12", 3.5},    {"ISO 13920-A", 1},
    {"ISO 13920-B", 2},   {"ISO 13920-C", 3},  {"ISO 13920-D", 4},
};

START_TEST(a_grade_is_found_by_the_name_on_the_drawing)
{
    double half = -1;

    ck_assert_int_eq(tb_tolerance_named(named[_i].grade, 120, &half, NULL), TB_OK);
    ck_assert_double_eq_tol(half, named[_i].half, 1e-15);
}
END_TEST

static const char *const unnamed[] = {
    "",           "ISO 2768",    "ISO 2768-",   "ISO 2768-x", "ISO 2768-mm", "iso 2768-m",
    "ISO 2768-M", "DCTG",        "DCTG ",       "DCTG x",     "DCTG -8",     "DCTG 8 ",
    "DCTG 123",   "ISO 13920-E", "ISO 13920-a", "8",
};

START_TEST(a_name_that_no_table_has_is_refused)
{
    TbFault fault = {0};
    double half = 77;

    ck_assert_int_eq(tb_tolerance_named(unnamed[_i], 120, &half, &fault), TB_E_REFERENCE);
    ck_assert_double_eq(half, 77);
    ck_assert_ptr_nonnull(strstr(fault.text, "no tolerance grade '"));
}
END_TEST

START_TEST(a_grade_of_a_known_kind_outside_the_table_is_a_matter_of_range)
{
    double half = 77;

    ck_assert_int_eq(tb_tolerance_named("DCTG 3", 120, &half, NULL), TB_E_RANGE);
    ck_assert_int_eq(tb_tolerance_named("ISO 2768-f", 3000, &half, NULL), TB_E_RANGE);
    ck_assert_double_eq(half, 77);
}
END_TEST

START_TEST(a_lever_arm_counts_whatever_its_sign)
{
    TbStackTerm terms[] = {{-2.5, 10.3, 0.4}, {0.5, 21.9, 1.3}};

    ck_assert_double_eq_tol(tb_stack_nominal(terms, 2), -14.8, 1e-12);
    ck_assert_double_eq_tol(tb_stack_worst(terms, 2), 1.65, 1e-12);
    ck_assert_double_eq_tol(tb_stack_rss(terms, 2), sqrt(1 + 0.65 * 0.65), 1e-12);
}
END_TEST

START_TEST(no_sizes_add_up_to_nothing)
{
    ck_assert_double_eq(tb_stack_nominal(NULL, 0), 0);
    ck_assert_double_eq(tb_stack_worst(NULL, 0), 0);
    ck_assert_double_eq(tb_stack_rss(NULL, 0), 0);
}
END_TEST

START_TEST(a_class_that_is_none_is_a_mistake)
{
    double half;

    if (_i == 0)
        tb_tolerance_general((TbGeneralClass)(TB_GENERAL_V + 1), 120, &half, NULL);
    else
        tb_tolerance_welded((TbWeldedClass)(TB_WELDED_D + 1), 120, &half, NULL);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("physics/tolerance");
    TCase *one = tcase_create("tolerance");

    tcase_add_loop_test(one, a_size_that_iso_2768_1_has_not_is_refused_with_the_number, 0,
                        COUNT(no_general));
    tcase_add_loop_test(one, a_casting_that_the_table_has_not_is_refused_with_the_number, 0,
                        COUNT(no_casting));
    tcase_add_loop_test(one, a_weld_that_the_table_has_not_is_refused_with_the_number, 0, 3);
    tcase_add_test(one, a_coarser_class_and_a_larger_size_never_have_less);
    tcase_add_loop_test(one, a_grade_is_found_by_the_name_on_the_drawing, 0, COUNT(named));
    tcase_add_loop_test(one, a_name_that_no_table_has_is_refused, 0, COUNT(unnamed));
    tcase_add_test(one, a_grade_of_a_known_kind_outside_the_table_is_a_matter_of_range);
    tcase_add_test(one, a_lever_arm_counts_whatever_its_sign);
    tcase_add_test(one, no_sizes_add_up_to_nothing);
    tcase_add_loop_test_raise_signal(one, a_class_that_is_none_is_a_mistake, SIGABRT, 0, 2);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
