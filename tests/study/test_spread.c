/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "physics/tolerance.h"
#include "study/grades.h"

#include <glib.h>
#include <string.h>

START_TEST(the_table_has_the_values_of_the_standards_at_every_size)
{
    static const char *const names[] = {"ISO 2768-f",  "ISO 2768-m",  "ISO 2768-c",  "ISO 2768-v",
                                        "DCTG 4",      "DCTG 5",      "DCTG 6",      "DCTG 7",
                                        "DCTG 8",      "DCTG 9",      "DCTG 10",     "DCTG 11",
                                        "DCTG 12",     "ISO 13920-A", "ISO 13920-B", "ISO 13920-C",
                                        "ISO 13920-D", "DCTG 13",     "ISO 2768-x"};

    for (size_t i = 0; i < G_N_ELEMENTS(names); i++)
        for (double size = 0.25; size < 4500; size += 0.25) {
            double here = 7, there = 7;
            TbStatus status = tb_grades_half(tb_grades_usual(), names[i], size, &here, NULL);

            ck_assert_msg((status == TB_OK) ==
                              (tb_tolerance_named(names[i], size, &there, NULL) == TB_OK),
                          "%s at %g mm", names[i], size);
            ck_assert_double_eq(here, there);
        }
}
END_TEST

START_TEST(a_broken_table_is_refused_with_its_line_and_number)
{
    static const struct {
        const char *row, *words;
    } broken[] = {
        {"<row to='10' values='1'/>", "1 values for 2 grades"},
        {"<row to='10' values='1 -3'/>", "\"-3\" for B 2"},
        {"<row to='nan' values='1 2'/>", "a size above 2 mm"},
        {"<row to='1' values='1 2'/>", "a size above 2 mm"},
        {"<column/>", "<column> is unknown"},
        {"", "has no rows"},
    };

    for (size_t i = 0; i < G_N_ELEMENTS(broken); i++) {
        g_autofree char *text =
            g_strdup_printf("<tolerances>\n<table standard='S' source='s' from='2' values='half' "
                            "grades='A 1, B 2'>\n%s\n</table></tolerances>",
                            broken[i].row);
        TbGrades *grades = NULL;
        TbFault fault = {0};

        ck_assert_int_ne(tb_grades_read(text, strlen(text), &grades, &fault), TB_OK);
        ck_assert_msg(strstr(fault.text, broken[i].words) != NULL, "%s", fault.text);
        ck_assert_int_ge(fault.line, 3);
    }
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/spread");
    TCase *tests = tcase_create("spread");

    tcase_add_test(tests, the_table_has_the_values_of_the_standards_at_every_size);
    tcase_add_test(tests, a_broken_table_is_refused_with_its_line_and_number);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
