/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "study/room.h"

#include <stdalign.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/* So many things of each of these sizes: over many blocks, and some larger than any block. */
enum { THINGS = 900 };
static const size_t sizes[] = {0, 1, 3, 16, 100, 511, 513, 5000, 70001};

START_TEST(things_of_all_sizes_do_not_touch_each_other)
{
    static unsigned char like[70001];
    TbRoom *room = tb_room_new();
    unsigned char *thing[THINGS];

    for (size_t i = 0; i < THINGS; i++) {
        size_t size = sizes[i % (sizeof sizes / sizeof sizes[0])];

        thing[i] = tb_room_take(room, size);
        ck_assert_ptr_nonnull(thing[i]);
        ck_assert_uint_eq((uintptr_t)thing[i] % alignof(max_align_t), 0);
        memset(thing[i], (int)(i % 251), size);
    }
    for (size_t i = 0; i < THINGS; i++) {
        size_t size = sizes[i % (sizeof sizes / sizeof sizes[0])];

        memset(like, (int)(i % 251), size);
        ck_assert_int_eq(memcmp(thing[i], like, size), 0);
    }
    tb_room_free(room);
}
END_TEST

START_TEST(a_text_is_copied_and_none_is_empty)
{
    TbRoom *room = tb_room_new();
    char own[] = "outlet";
    char *copy = tb_room_text(room, own);
    double *after = tb_room_take(room, sizeof *after);

    *after = 1;
    own[0] = 'x';
    ck_assert_str_eq(copy, "outlet");
    ck_assert_str_eq(tb_room_text(room, NULL), "");
    ck_assert_str_eq(tb_room_text(room, ""), "");
    tb_room_free(room);
}
END_TEST

START_TEST(texts_are_joined_whether_they_fit_or_not)
{
    TbRoom *room = tb_room_new();
    char *first = tb_room_join(room, "gap", "/", "", "a|b", NULL);
    char long_text[100001];
    char *joined;

    memset(long_text, 'y', sizeof long_text - 1);
    long_text[sizeof long_text - 1] = '\0';
    joined = tb_room_join(room, "[", long_text, "]", NULL);
    ck_assert_str_eq(first, "gap/a|b");
    ck_assert_uint_eq(strlen(joined), sizeof long_text - 1 + 2);
    ck_assert_int_eq(joined[0], '[');
    ck_assert_int_eq(joined[sizeof long_text], ']');
    ck_assert_str_eq(tb_room_join(room, "", NULL), "");
    tb_room_free(room);
}
END_TEST

START_TEST(an_array_grows_and_keeps_what_is_in_it)
{
    TbRoom *room = tb_room_new();
    int *array = NULL;

    for (int i = 0; i < 1000; i++) {
        array = tb_room_grow(room, array, (size_t)i, sizeof *array);
        array[i] = 3 * i;
        if (i % 7 == 0)
            tb_room_text(room, "between");
    }
    for (int i = 0; i < 1000; i++)
        ck_assert_int_eq(array[i], 3 * i);
    tb_room_free(room);
    tb_room_free(NULL);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/room");
    TCase *c = tcase_create("room");

    tcase_add_test(c, things_of_all_sizes_do_not_touch_each_other);
    tcase_add_test(c, a_text_is_copied_and_none_is_empty);
    tcase_add_test(c, texts_are_joined_whether_they_fit_or_not);
    tcase_add_test(c, an_array_grows_and_keeps_what_is_in_it);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
