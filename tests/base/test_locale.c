/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/fault.h"
#include "base/quantity.h"
#include "base/text.h"
#include "comma_locale.h"
#include "tap.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

START_TEST(the_process_itself_writes_a_comma)
{
    char text[20];

    snprintf(text, sizeof text, "%.2f", 43.75);
    ck_assert_str_eq(text, "43,75");
}
END_TEST

START_TEST(numbers_are_written_with_a_point)
{
    char text[TB_TEXT_NUMBER];

    tb_text_from_double(-1043.625, text);
    ck_assert_str_eq(text, "-1043.625");
    tb_text_from_double(2.5e-9, text);
    ck_assert_str_eq(text, "2.5e-09");
    tb_text_fixed(1043.625, 2, text);
    ck_assert_str_eq(text, "1043.62");
    tb_text_fixed(-0.001, 2, text);
    ck_assert_str_eq(text, "0.00");
}
END_TEST

START_TEST(numbers_are_read_with_a_point_and_not_with_a_comma)
{
    double x = 77;

    ck_assert(!tb_text_to_double("12,5", 4, &x));
    ck_assert_double_eq(x, 77);
    ck_assert(tb_text_to_double("12.5", 4, &x));
    ck_assert_double_eq(x, 12.5);
}
END_TEST

START_TEST(a_fault_has_a_point_in_its_numbers)
{
    TbFault fault = {0};

    tb_fail(&fault, TB_E_RANGE, "wall is %g mm, %.2f mm is the least", 0.75, 1.5);
    ck_assert_str_eq(fault.text, "wall is 0.75 mm, 1.50 mm is the least");
}
END_TEST

START_TEST(the_process_keeps_its_own_locale)
{
    char text[TB_TEXT_NUMBER];
    TbFault fault = {0};

    tb_text_from_double(1.5, text);
    tb_text_fixed(1.5, 1, text);
    tb_fail(&fault, TB_E_RANGE, "%g", 1.5);
    snprintf(text, sizeof text, "%g", 1.5);
    ck_assert_str_eq(text, "1,5");
}
END_TEST

START_TEST(people_read_a_comma)
{
    char text[TB_QUANTITY_TEXT], gap[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    ck_assert_str_eq(tb_text_mark(), ",");
    tb_text_shown(1043.625, 2, gap);
    ck_assert_str_eq(gap, "1043,62");
    tb_text_trim(gap);
    ck_assert_str_eq(gap, "1043,62");
    tb_text_shown(43.70, 2, gap);
    tb_text_trim(gap);
    ck_assert_str_eq(gap, "43,7");
    tb_text_shown(43, 2, gap);
    tb_text_trim(gap);
    ck_assert_str_eq(gap, "43");
    tb_text_shown(1e300, 2, gap);
    ck_assert_str_eq(gap, "1e+300");
    tb_quantity_say(14.87, TB_QUANTITY_LENGTH, TB_UNIT_INCH, 1, text);
    ck_assert_str_eq(text, "0,585 in");
    tb_gap_words(12.034, 12.5, TB_UNIT_MM, gap, keep);
    ck_assert_str_eq(gap, "12,0");
    ck_assert_str_eq(keep, "12,5");
    tb_length_write_whole(703.125, TB_UNIT_MM, gap);
    ck_assert_str_eq(gap, "703,125");
    tb_length_write_whole(19.05, TB_UNIT_INCH, gap);
    ck_assert_str_eq(gap, "0,75");
}
END_TEST

START_TEST(a_typed_length_has_a_comma_or_a_point)
{
    static const struct {
        const char *text;
        double mm;
    } typed[] = {{"2,5 cm", 25},       {"2.5 cm", 25},   {"43,75", 43.75}, {"43.75", 43.75},
                 {"703,125", 703.125}, {"0.125", 0.125}, {"0,5 in", 12.7}, {"3/4 in", 19.05}};

    for (size_t i = 0; i < sizeof typed / sizeof typed[0]; i++) {
        double mm = 77;

        ck_assert_int_eq(tb_length_read(typed[i].text, TB_UNIT_MM, &mm, NULL), TB_OK);
        ck_assert_double_eq(mm, typed[i].mm);
    }
}
END_TEST

/* What is shown is understood; a thousand's point, as 1.243 may be in German, is asked about. */
START_TEST(a_point_before_three_digits_is_refused_where_a_comma_is_the_mark)
{
    TbFault fault = {0};
    double mm = 77;

    ck_assert_int_eq(tb_length_read("1.243", TB_UNIT_MM, &mm, &fault), TB_E_FORMAT);
    ck_assert_double_eq(mm, 77);
    ck_assert_str_eq(fault.text, "\"1.243\" may mean 1243 or 1,243; write one of these");
    ck_assert_int_eq(tb_length_read("1,243", TB_UNIT_MM, &mm, NULL), TB_OK);
    ck_assert_double_eq(mm, 1.243);
}
END_TEST

int
main(void)
{
    char folder[] = "/tmp/tb-locale-XXXXXX";
    char command[100];
    const char *name;
    Suite *suite;
    TCase *one;
    int result;

    if (mkdtemp(folder) == NULL)
        return EXIT_FAILURE;
    name = tb_test_comma_locale(folder);
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    if (name == NULL) {
        printf("1..0 # SKIP no locale with a comma here, and localedef cannot make one\n");
        return system(command) == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
    }
    suite = suite_create("base/locale");
    one = tcase_create("comma");
    tcase_add_test(one, the_process_itself_writes_a_comma);
    tcase_add_test(one, numbers_are_written_with_a_point);
    tcase_add_test(one, numbers_are_read_with_a_point_and_not_with_a_comma);
    tcase_add_test(one, a_fault_has_a_point_in_its_numbers);
    tcase_add_test(one, the_process_keeps_its_own_locale);
    tcase_add_test(one, people_read_a_comma);
    tcase_add_test(one, a_typed_length_has_a_comma_or_a_point);
    tcase_add_test(one, a_point_before_three_digits_is_refused_where_a_comma_is_the_mark);
    suite_add_tcase(suite, one);
    result = tb_test_main(suite);
    return system(command) == 0 ? result : EXIT_FAILURE;
}
