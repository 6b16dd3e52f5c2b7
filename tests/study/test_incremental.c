/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "bays.h"
#include "small_kit.h"

#include <math.h>

static char *
report(TbStudy *study, TbBay *bay)
{
    TbResults *results = judged(study, bay);
    char *json = tb_report_json(results);

    tb_results_unref(results);
    return json;
}

static char *
fresh_report(TbBay *bay, int threads)
{
    TbStore *store = tb_store_new();
    TbWork *work = threads == 1 ? NULL : tb_work_new(threads);
    TbStudy *study = tb_study_new(store, work);
    char *json = report(study, bay);

    tb_study_free(study);
    tb_work_free(work);
    tb_store_unref(store);
    return json;
}

static TbStudyCounts
since(TbStudyCounts now, TbStudyCounts before)
{
    return (TbStudyCounts){.sweeps = now.sweeps - before.sweeps,
                           .solids = now.solids - before.solids,
                           .gaps = now.gaps - before.gaps,
                           .profiles = now.profiles - before.profiles,
                           .tables = now.tables - before.tables};
}

/* Judge again and tell what had to be computed. */
static TbStudyCounts
cost(TbStudy *study, TbBay *bay)
{
    TbStudyCounts before = tb_study_counts(study);

    tb_results_unref(judged(study, bay));
    return since(tb_study_counts(study), before);
}

START_TEST(the_same_question_again_computes_nothing)
{
    TbBay *bay = bay_of(small_kit);
    TbStudy *study = study_alone();
    TbStudyCounts first = cost(study, bay), again = cost(study, bay);

    ck_assert_uint_eq(first.sweeps, 3 + 2); /* both ducts again in the shifted variant */
    ck_assert_uint_gt(first.gaps, 20);
    ck_assert_uint_eq(again.sweeps + again.solids + again.gaps + again.profiles + again.tables, 0);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

/*
 * The brake line stands alone on the body. Moving one of its knots makes one sweep, one solid (it
 * does not grow), one table, and its gaps with the 4 hot items in 2 states and 2 variants; the two
 * ducts' profiles against it.
 */
START_TEST(moving_a_knot_computes_that_item_and_its_pairs_only)
{
    TbBay *bay = bay_of(small_kit), *moved = NULL;
    TbStudy *study = study_alone();
    TbStudyCounts counts;

    cost(study, bay);
    ck_assert_int_eq(tb_edit_move_knot(bay, "brake", 2, tb_vec3(331, 62, 41), &moved, NULL), TB_OK);
    counts = cost(study, moved);
    ck_assert_uint_eq(counts.sweeps, 1);
    ck_assert_uint_eq(counts.solids, 1);
    ck_assert_uint_eq(counts.tables, 1);
    ck_assert_uint_eq(counts.gaps, 4 * 2 * 2);
    ck_assert_uint_le(counts.profiles, 2 * 2 * 2);
    ck_assert_uint_ge(counts.profiles, 2 * 2);
    tb_study_free(study);
    tb_bay_unref(bay);
    tb_bay_unref(moved);
}
END_TEST

START_TEST(a_changed_keep_computes_no_shape_and_no_gap_that_decides_it)
{
    TbBay *bay = bay_of(small_kit), *changed = NULL;
    TbStudy *study = study_alone();
    TbStudyCounts counts;

    cost(study, bay);
    ck_assert_int_eq(tb_edit_set_keep(bay, "k3", "cold", 26, &changed, NULL), TB_OK);
    counts = cost(study, changed);
    ck_assert_uint_eq(counts.sweeps + counts.solids + counts.tables + counts.profiles, 0);
    ck_assert_uint_eq(counts.gaps, 0);
    tb_study_free(study);
    tb_bay_unref(bay);
    tb_bay_unref(changed);
}
END_TEST

START_TEST(turning_a_housing_moves_what_ends_on_it)
{
    TbBay *bay = bay_of(small_kit), *turned = NULL;
    TbStudy *study = study_alone();
    TbStudyCounts counts;

    cost(study, bay);
    ck_assert_int_eq(tb_edit_turn_housing(bay, "turbo", TB_HOUSING_TURBINE, 9, &turned, NULL),
                     TB_OK);
    counts = cost(study, turned);
    /* the runner ends beside the shaft, in both variants; the outlet's port lies on the shaft and
     * stays where it is */
    ck_assert_uint_eq(counts.sweeps, 2);
    ck_assert_uint_eq(counts.tables, 1);
    ck_assert_uint_gt(counts.gaps, 0);
    tb_study_free(study);
    tb_bay_unref(bay);
    tb_bay_unref(turned);
}
END_TEST

START_TEST(undo_is_answered_from_what_is_kept)
{
    TbBay *bay = bay_of(small_kit), *moved = NULL;
    TbStudy *study = study_alone();
    TbStudyCounts counts;

    cost(study, bay);
    ck_assert_int_eq(tb_edit_move_item(bay, "rail", tb_vec3(0, 3, 0), &moved, NULL), TB_OK);
    cost(study, moved);
    counts = cost(study, bay);
    ck_assert_uint_eq(counts.solids + counts.gaps + counts.profiles, 0);
    tb_study_free(study);
    tb_bay_unref(bay);
    tb_bay_unref(moved);
}
END_TEST

/* ---- random edits ---- */

/* Numerical Recipes' quick generator: the same edits on every machine. */
static uint32_t
next(uint32_t *seed)
{
    return *seed = *seed * 1664525u + 1013904223u;
}

static double
between(uint32_t *seed, double low, double high)
{
    return low + (high - low) * (next(seed) >> 8) / 16777216.0;
}

static TbVec3
about(uint32_t *seed, double x, double y, double z)
{
    return tb_vec3(x + between(seed, -6, 6), y + between(seed, -6, 6), z + between(seed, -6, 6));
}

static TbStatus
random_edit(TbBay *bay, uint32_t *seed, TbBay **out)
{
    TbRow row;
    TbVec3 by;

    switch (next(seed) >> 16 & 7) {
    case 0:
        return tb_edit_move_knot(bay, "outlet", 0, about(seed, 190, 20, -40), out, NULL);
    case 1:
        return tb_edit_move_knot(bay, "brake", 1, about(seed, 200, -60, 70), out, NULL);
    case 2:
        row = tb_row_round(180, between(seed, 50, 66));
        return tb_edit_set_section(bay, "outlet", 1, &row, out, NULL);
    case 3:
        by = about(seed, 0, 0, 0);
        return tb_edit_move_item(bay, "joint", by, out, NULL);
    case 4:
        return tb_edit_turn_housing(bay, "turbo", TB_HOUSING_TURBINE, between(seed, -25, 25), out,
                                    NULL);
    case 5:
        return tb_edit_set_keep(bay, "k1", "hot", between(seed, 6, 15), out, NULL);
    case 6:
        by = tb_vec3(0, 0, between(seed, 5, 15));
        return tb_edit_set_mount_shift(bay, "tall", "engine", by, out, NULL);
    default:
        return tb_edit_place_turbo(bay, "turbo", about(seed, 0, 0, 0),
                                   tb_vec3(1, between(seed, -0.1, 0.1), 0), out, NULL);
    }
}

START_TEST(after_random_edits_the_answer_is_a_fresh_one_bit_for_bit)
{
    TbBay *bay = bay_of(small_kit);
    TbStudy *study = study_alone();
    uint32_t seed = 20260917u + (uint32_t)_i;

    for (int i = 0; i < 12; i++) {
        TbBay *edited = NULL;
        g_autofree char *kept = NULL, *fresh = NULL;

        ck_assert_int_eq(random_edit(bay, &seed, &edited), TB_OK);
        tb_bay_unref(bay);
        bay = edited;
        kept = report(study, bay);
        if (i % 3 != 2)
            continue;
        fresh = fresh_report(bay, 1);
        ck_assert_str_eq(kept, fresh);
    }
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

/* A knot dragged in small steps, there and back: what is told on the way and at the end is what a
 * fresh study tells. */
START_TEST(while_a_knot_is_dragged_every_answer_is_a_fresh_one_bit_for_bit)
{
    static const char *const items[] = {"outlet", "brake"};
    TbBay *bay = bay_of(small_kit), *first = tb_bay_ref(bay);
    TbStudy *study = study_alone();
    g_autofree char *before = report(study, bay), *after = NULL;

    for (int i = 1; i <= 24; i++) {
        double off = 0.2 * (i <= 12 ? i : 24 - i);
        TbVec3 to = _i == 0 ? tb_vec3(190 + off, 20 - 0.6 * off, -40 + 0.1 * off)
                            : tb_vec3(60 - off, -120 + off, 60 + 0.3 * off);
        TbBay *edited = NULL;
        g_autofree char *kept = NULL, *fresh = NULL;

        ck_assert_int_eq(tb_edit_move_knot(bay, items[_i], 0, to, &edited, NULL), TB_OK);
        tb_bay_unref(bay);
        bay = edited;
        kept = report(study, bay);
        if (i % 6 != 5)
            continue;
        fresh = fresh_report(bay, 1);
        ck_assert_str_eq(kept, fresh);
    }
    after = report(study, bay);
    ck_assert_str_eq(after, before);
    tb_study_free(study);
    tb_bay_unref(first);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(one_thread_and_three_give_the_same_bits)
{
    TbBay *bay = bay_of(small_kit);
    g_autofree char *one = fresh_report(bay, 1);
    g_autofree char *three = fresh_report(bay, 3);

    ck_assert_str_eq(one, three);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_cancelled_question_gives_nothing_and_harms_nothing)
{
    TbBay *bay = bay_of(small_kit);
    TbStudy *study = study_alone();
    TbTask task = {0};
    TbAsk ask = {.bay = bay, .profiles = true, .station_step = 11};
    TbResults *results = NULL;
    TbFault fault = {0};
    g_autofree char *after = NULL, *fresh = NULL;

    tb_task_cancel(&task);
    ck_assert_int_eq(tb_study_judge(study, &ask, &task, &results, &fault), TB_E_CANCELLED);
    ck_assert_ptr_null(results);
    after = report(study, bay);
    fresh = fresh_report(bay, 1);
    ck_assert_str_eq(after, fresh);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/incremental");
    TCase *c = tcase_create("incremental");

    tcase_add_test(c, the_same_question_again_computes_nothing);
    tcase_add_test(c, moving_a_knot_computes_that_item_and_its_pairs_only);
    tcase_add_test(c, a_changed_keep_computes_no_shape_and_no_gap_that_decides_it);
    tcase_add_test(c, turning_a_housing_moves_what_ends_on_it);
    tcase_add_test(c, undo_is_answered_from_what_is_kept);
    tcase_add_loop_test(c, after_random_edits_the_answer_is_a_fresh_one_bit_for_bit, 0, 3);
    tcase_add_loop_test(c, while_a_knot_is_dragged_every_answer_is_a_fresh_one_bit_for_bit, 0, 2);
    tcase_add_test(c, one_thread_and_three_give_the_same_bits);
    tcase_add_test(c, a_cancelled_question_gives_nothing_and_harms_nothing);
    tcase_set_timeout(c, 240);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
