/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/labels.h"

#include "tap.h"

#include <math.h>

static TbPlacer placer;

static void
set_up(void)
{
    tb_placer_init(&placer, (TbRectangle){{20.5, 10}, {120.5, 90}});
}

static void
tear_down(void)
{
    tb_placer_clear(&placer);
}

START_TEST(best_free_candidate_is_taken_once)
{
    TbCandidate candidates[3] = {{{60, 50}, 0}, {{60.5, 50}, 1}, {{60, 60}, 5}};
    TbVec2 at;

    ck_assert(tb_placer_place(&placer, candidates, 3, 20, 4, &at));
    ck_assert_double_eq(at.y, 50);
    ck_assert(tb_placer_place(&placer, candidates, 3, 20, 4, &at));
    ck_assert_double_eq(at.y, 60);
    ck_assert(!tb_placer_place(&placer, candidates, 3, 20, 4, &at));
}
END_TEST

START_TEST(label_never_leaves_the_window)
{
    TbCandidate candidates[2] = {{{29, 50}, 0}, {{31.1, 50}, 9}};
    TbVec2 at;

    ck_assert(tb_placer_place(&placer, candidates, 2, 20, 4, &at));
    ck_assert_double_eq(at.x, 31.1);
}
END_TEST

START_TEST(ink_drives_labels_away)
{
    TbVec2 line[2] = {{0, 50.2}, {300, 50.2}};
    TbCandidate candidates[2] = {{{60, 50}, 0}, {{60, 70}, 30}};
    TbVec2 at;

    tb_placer_ink_line(&placer, line, 2, false, 8);
    ck_assert_double_gt(tb_placer_ink_under(&placer, (TbRectangle){{50, 48}, {70, 52}}), 100);
    ck_assert_double_eq(tb_placer_ink_under(&placer, (TbRectangle){{50, 60}, {70, 64}}), 0);
    ck_assert(tb_placer_place(&placer, candidates, 2, 20, 4, &at));
    ck_assert_double_eq(at.y, 70);
}
END_TEST

START_TEST(line_outside_the_window_or_of_no_length_leaves_no_ink_and_no_harm)
{
    TbVec2 far_off[2] = {{-1e7, -1e7}, {-1e6, 1e7}};
    TbVec2 point[2] = {{60, 50}, {60, 50}};

    tb_placer_ink_line(&placer, far_off, 2, true, 8);
    tb_placer_ink_line(&placer, point, 2, false, 3);
    ck_assert_double_eq(tb_placer_ink_under(&placer, (TbRectangle){{20, 10}, {121, 90}}), 3);
}
END_TEST

START_TEST(leader_over_another_label_is_seen_and_one_beside_it_is_not)
{
    tb_placer_take(&placer, (TbRectangle){{50, 40}, {70, 44}});
    ck_assert(tb_placer_crosses(&placer, tb_vec2(45.3, 37.1), tb_vec2(77, 46)));
    ck_assert(tb_placer_crosses(&placer, tb_vec2(60, 42), tb_vec2(61, 42.5)));
    ck_assert(!tb_placer_crosses(&placer, tb_vec2(45.3, 44.5), tb_vec2(77, 44.2)));
    ck_assert(!tb_placer_crosses(&placer, tb_vec2(71, 30), tb_vec2(71, 60)));
}
END_TEST

START_TEST(pushed_apart_labels_keep_order_distance_and_room)
{
    unsigned seed = 77;

    for (int round = 0; round < 500; round++) {
        double at[9];
        double at_first[9];

        at[0] = 10;
        for (int i = 1; i < 9; i++) {
            seed = seed * 1664525u + 1013904223u;
            at[i] = at[i - 1] + (double)(seed >> 8) / (1 << 24) * 7;
        }
        for (int i = 0; i < 9; i++)
            at_first[i] = at[i];
        tb_labels_push_apart(at, 9, 4.3, 8, 60);
        for (int i = 0; i < 9; i++) {
            ck_assert_double_ge(at[i], 8 - 1e-6);
            ck_assert_double_le(at[i], 60 + 1e-6);
            if (i > 0)
                ck_assert_double_ge(at[i] - at[i - 1], 4.3 - 0.15);
            ck_assert_double_le(fabs(at[i] - at_first[i]), 45);
        }
    }
}
END_TEST

START_TEST(labels_far_apart_stay_where_they_are)
{
    double at[3] = {11.3, 20.9, 50.1};

    tb_labels_push_apart(at, 3, 4, 0, 100);
    ck_assert_double_eq(at[0], 11.3);
    ck_assert_double_eq(at[1], 20.9);
    ck_assert_double_eq(at[2], 50.1);
}
END_TEST

START_TEST(plain_measurer_counts_letters_not_bytes)
{
    TbMeasurer m = tb_measurer_plain();

    ck_assert_double_eq_tol(m.width(m.user, "mm²", 10, false), 3 * 10 * 25.4 / 72 * 0.55, 1e-12);
}
END_TEST

static Suite *
labels_suite(void)
{
    Suite *suite = suite_create("draw/labels");
    TCase *c = tcase_create("labels");

    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_test(c, best_free_candidate_is_taken_once);
    tcase_add_test(c, label_never_leaves_the_window);
    tcase_add_test(c, ink_drives_labels_away);
    tcase_add_test(c, line_outside_the_window_or_of_no_length_leaves_no_ink_and_no_harm);
    tcase_add_test(c, leader_over_another_label_is_seen_and_one_beside_it_is_not);
    tcase_add_test(c, pushed_apart_labels_keep_order_distance_and_room);
    tcase_add_test(c, labels_far_apart_stay_where_they_are);
    tcase_add_test(c, plain_measurer_counts_letters_not_bytes);
    suite_add_tcase(suite, c);
    return suite;
}

int
main(void)
{
    return tb_test_main(labels_suite());
}
