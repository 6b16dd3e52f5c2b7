/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/fault.h"
#include "tap.h"

#include <signal.h>
#include <string.h>

START_TEST(a_failure_gives_back_its_status_and_fills_the_fault)
{
    TbFault fault = {TB_OK, 77, "old"};

    ck_assert_int_eq(tb_fail(&fault, TB_E_RANGE, "wall is %g mm, above %d is needed", -1.75, 0),
                     TB_E_RANGE);
    ck_assert_int_eq(fault.status, TB_E_RANGE);
    ck_assert_int_eq(fault.line, 0);
    ck_assert_str_eq(fault.text, "wall is -1.75 mm, above 0 is needed");
}
END_TEST

START_TEST(a_failure_with_a_line_keeps_the_line)
{
    TbFault fault = {0};

    ck_assert_int_eq(tb_fail_at(&fault, TB_E_FORMAT, 4711, "%s is no number", "12x"), TB_E_FORMAT);
    ck_assert_int_eq(fault.line, 4711);
    ck_assert_str_eq(fault.text, "12x is no number");
}
END_TEST

START_TEST(nobody_need_care_for_the_fault)
{
    ck_assert_int_eq(tb_fail(NULL, TB_E_MEMORY, "no room for %d knots", 313), TB_E_MEMORY);
    ck_assert_int_eq(tb_fail_at(NULL, TB_E_IO, 3, "cannot read"), TB_E_IO);
}
END_TEST

START_TEST(a_place_can_be_put_before_the_faults_own_text)
{
    TbFault fault = {0};

    tb_fail(&fault, TB_E_RANGE, "radius is %d mm", 13);
    tb_fail(&fault, fault.status, "duct 'outlet', corner %d: %s", 3, fault.text);
    ck_assert_str_eq(fault.text, "duct 'outlet', corner 3: radius is 13 mm");
}
END_TEST

START_TEST(a_long_sentence_is_cut_and_not_overrun)
{
    struct {
        TbFault fault;
        char guard[8];
    } room = {.guard = "guarded"};
    char name[3 * TB_FAULT_TEXT];

    memset(name, 'q', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    tb_fail(&room.fault, TB_E_REFERENCE, "no item %s", name);
    ck_assert_uint_eq(strlen(room.fault.text), TB_FAULT_TEXT - 1);
    ck_assert_str_eq(room.guard, "guarded");
}
END_TEST

/* A name of two-byte letters that is cut in the middle of a letter would no longer be UTF-8, and a
 * JSON report that carries it would be refused by every reader. Both parities of the cut. */
START_TEST(a_cut_never_splits_a_letter)
{
    TbFault fault = {0};
    char name[2 * TB_FAULT_TEXT + 1];
    size_t bytes;

    for (size_t i = 0; i < TB_FAULT_TEXT; i++)
        memcpy(name + 2 * i, "\xC3\xBC", 2);
    name[sizeof name - 1] = '\0';
    tb_fail(&fault, TB_E_REFERENCE, "%.*s%s", _i, "xx", name);
    bytes = strlen(fault.text);
    ck_assert_uint_eq(bytes, _i == 0 ? TB_FAULT_TEXT - 2 : TB_FAULT_TEXT - 1);
    ck_assert_mem_eq(fault.text + bytes - 2, "\xC3\xBC", 2);
}
END_TEST

START_TEST(every_status_has_a_name_of_its_own)
{
    for (int a = TB_OK; a <= TB_E_NUMERIC; a++) {
        ck_assert_str_ne(tb_status_name((TbStatus)a), "unknown");
        for (int b = TB_OK; b < a; b++)
            ck_assert_str_ne(tb_status_name((TbStatus)a), tb_status_name((TbStatus)b));
    }
    ck_assert_str_eq(tb_status_name(TB_E_DEGENERATE), "degenerate");
    ck_assert_str_eq(tb_status_name((TbStatus)(TB_E_NUMERIC + 1)), "unknown");
}
END_TEST

START_TEST(an_assert_that_does_not_hold_ends_the_program) { TB_ASSERT(_i == 11); }
END_TEST

START_TEST(a_failure_cannot_be_ok)
{
    TbFault fault = {0};

    tb_fail(&fault, TB_OK, "nothing");
}
END_TEST

START_TEST(an_assert_that_holds_does_nothing)
{
    TB_ASSERT(_i == 0);
    ck_assert(!TB_NEVER(_i == 1));
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("base/fault");
    TCase *one = tcase_create("fault");

    tcase_add_test(one, a_failure_gives_back_its_status_and_fills_the_fault);
    tcase_add_test(one, a_failure_with_a_line_keeps_the_line);
    tcase_add_test(one, nobody_need_care_for_the_fault);
    tcase_add_test(one, a_place_can_be_put_before_the_faults_own_text);
    tcase_add_test(one, a_long_sentence_is_cut_and_not_overrun);
    tcase_add_loop_test(one, a_cut_never_splits_a_letter, 0, 2);
    tcase_add_test(one, every_status_has_a_name_of_its_own);
    tcase_add_test_raise_signal(one, an_assert_that_does_not_hold_ends_the_program, SIGABRT);
    tcase_add_test_raise_signal(one, a_failure_cannot_be_ok, SIGABRT);
    tcase_add_test(one, an_assert_that_holds_does_nothing);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
