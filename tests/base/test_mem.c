/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "tap.h"

#include <stdint.h>
#include <string.h>

START_TEST(new_room_is_all_zero)
{
    unsigned char *a = tb_alloc(1237);
    unsigned char *b = tb_alloc_array(31, 41);

    ck_assert_ptr_nonnull(a);
    ck_assert_ptr_nonnull(b);
    for (size_t i = 0; i < 1237; i++)
        ck_assert_uint_eq(a[i], 0);
    for (size_t i = 0; i < 1271; i++)
        ck_assert_uint_eq(b[i], 0);
    tb_free(a);
    tb_free(b);
}
END_TEST

START_TEST(nothing_at_all_is_still_a_place_of_its_own)
{
    void *a = tb_alloc(0);
    void *b = tb_alloc_array(0, 24);
    void *c = tb_alloc_array(24, 0);

    ck_assert_ptr_nonnull(a);
    ck_assert_ptr_nonnull(b);
    ck_assert_ptr_nonnull(c);
    ck_assert_ptr_ne(a, b);
    ck_assert_ptr_ne(b, c);
    tb_free(a);
    tb_free(b);
    tb_free(c);
    tb_free(NULL);
}
END_TEST

START_TEST(a_product_that_wraps_is_refused)
{
    char *old = tb_alloc(5);
    size_t half = SIZE_MAX / 24 + 1; /* times 24 wraps to 8 or 16 bytes */

    strcpy(old, "keep");
    ck_assert_ptr_null(tb_alloc_array(half, 24));
    ck_assert_ptr_null(tb_alloc_array(SIZE_MAX, SIZE_MAX));
    ck_assert_ptr_null(tb_resize_array(old, half, 24));
    ck_assert_str_eq(old, "keep");
    tb_free(old);
}
END_TEST

START_TEST(a_resized_array_keeps_what_it_held)
{
    int *a = NULL;

    a = tb_resize_array(a, 3, sizeof *a);
    for (int i = 0; i < 3; i++)
        a[i] = 100 + i;
    a = tb_resize_array(a, 100003, sizeof *a);
    for (int i = 0; i < 3; i++)
        ck_assert_int_eq(a[i], 100 + i);
    a = tb_resize_array(a, 0, sizeof *a);
    ck_assert_ptr_nonnull(a);
    TB_CLEAR(a);
    ck_assert_ptr_null(a);
}
END_TEST

START_TEST(growing_one_by_one_holds_every_element_and_doubles)
{
    size_t *a = NULL;
    size_t capacity = 0;
    long before;

    tb_mem_fail_at(0);
    before = tb_mem_requests();
    for (size_t n = 0; n < 5000; n++) {
        ck_assert_int_eq(tb_grow_array((void **)&a, &capacity, n, sizeof *a), 0);
        ck_assert_uint_gt(capacity, n);
        a[n] = 7 * n + 3;
    }
    for (size_t n = 0; n < 5000; n++)
        ck_assert_uint_eq(a[n], 7 * n + 3);
    /* 16, 32, ... 8192 */
    ck_assert_uint_eq(capacity, 8192);
    ck_assert_int_eq(tb_mem_requests() - before, 10);
    tb_free(a);
}
END_TEST

/* The capacity was doubled once and no more, so a count that had run ahead of it by a factor got
 * too little room, and the next write went past the end. */
START_TEST(a_count_far_ahead_of_the_capacity_gets_room_too)
{
    char *a = NULL;
    size_t capacity = 0;

    ck_assert_int_eq(tb_grow_array((void **)&a, &capacity, 997, 1), 0);
    ck_assert_uint_ge(capacity, 998);
    a[997] = 'z';
    tb_free(a);
}
END_TEST

START_TEST(an_array_that_cannot_grow_is_left_alone)
{
    int *a = NULL;
    int *same;
    size_t capacity = 0;

    ck_assert_int_eq(tb_grow_array((void **)&a, &capacity, 0, sizeof *a), 0);
    a[15] = 4711;
    same = a;
    tb_mem_fail_at(1);
    ck_assert_int_eq(tb_grow_array((void **)&a, &capacity, 16, sizeof *a), -1);
    tb_mem_fail_at(0);
    ck_assert_ptr_eq(a, same);
    ck_assert_uint_eq(capacity, 16);
    ck_assert_int_eq(a[15], 4711);
    tb_free(a);
}
END_TEST

START_TEST(a_copied_text_is_its_own)
{
    char text[] = "outlet";
    char *copy = tb_copy_text(text);

    text[0] = 'X';
    ck_assert_str_eq(copy, "outlet");
    tb_free(copy);
    copy = tb_copy_text("");
    ck_assert_str_eq(copy, "");
    tb_free(copy);
    ck_assert_ptr_null(tb_copy_text(NULL));
}
END_TEST

START_TEST(just_the_wanted_request_fails)
{
    tb_mem_fail_at(3);
    for (int i = 1; i <= 5; i++) {
        void *room = i == 2 ? tb_copy_text("two") : i == 4 ? tb_alloc_array(3, 5) : tb_alloc(9);

        ck_assert_msg((room == NULL) == (i == 3), "request %d", i);
        tb_free(room);
    }
    ck_assert_int_eq(tb_mem_requests(), 5);
    tb_mem_fail_at(0);
}
END_TEST

START_TEST(requests_are_counted_with_the_hook_off)
{
    tb_mem_fail_at(0);
    ck_assert_int_eq(tb_mem_requests(), 0);
    tb_free(tb_alloc(1));
    tb_free(tb_resize_array(NULL, 3, 3));
    ck_assert_int_eq(tb_mem_requests(), 2);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("base/mem");
    TCase *one = tcase_create("mem");

    tcase_add_test(one, new_room_is_all_zero);
    tcase_add_test(one, nothing_at_all_is_still_a_place_of_its_own);
    tcase_add_test(one, a_product_that_wraps_is_refused);
    tcase_add_test(one, a_resized_array_keeps_what_it_held);
    tcase_add_test(one, growing_one_by_one_holds_every_element_and_doubles);
    tcase_add_test(one, a_count_far_ahead_of_the_capacity_gets_room_too);
    tcase_add_test(one, an_array_that_cannot_grow_is_left_alone);
    tcase_add_test(one, a_copied_text_is_its_own);
    tcase_add_test(one, just_the_wanted_request_fails);
    tcase_add_test(one, requests_are_counted_with_the_hook_off);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
