/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/fault.h"
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
    suite_add_tcase(suite, one);
    result = tb_test_main(suite);
    return system(command) == 0 ? result : EXIT_FAILURE;
}
