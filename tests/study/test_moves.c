/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Gaps in a state that rocks: closed forms, who moves against whom, what cannot be judged. */

#include "tap.h"

#include "bays.h"

#include <math.h>

#define DEG (G_PI / 180)

/* An engine that turns about X through (0, 0, 100), on a body. */
#define BAY(rock, items)                                                                           \
    "<bay version='1' title='Rock'><mounts><mount id='body'/>"                                     \
    "<mount id='engine' parent='body' axis-point='0 0 100' axis-direction='2 0 0' " rock "/>"      \
    "<mount id='turbo' parent='engine'/></mounts><items>" items "</items>"                         \
    "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"                             \
    "<wanted state='cold' gap='4'/><wanted state='rock' gap='9'/></keep></keeps>"                  \
    "<states><state id='cold' kind='cold'/><state id='rock' kind='rocking'/></states></bay>"

/* 300 mm above the axis; the other 340 mm out, where the first is at +1 deg: y = -340 sin 1 deg. */
#define SWINGING "<ball id='a' class='hot' mount='engine' at='0 0 400' radius='20'/>"
#define STANDING                                                                                   \
    "<ball id='b' class='brake' mount='body' at='0 -5.933818188 439.948217118' radius='8'/>"

START_TEST(a_rock_is_judged_at_its_worst_angle_inside_the_range)
{
    TbResults *results = results_of(BAY("rx='-3 3'", SWINGING STANDING));
    const TbResultGap *gap = want_gap(results, "a", "b", "rock");
    const TbFinding *finding = want_finding(results, "gap/a|b/rock/");

    ck_assert_double_le(gap->gap.lower, 12 + 1e-6);
    ck_assert_double_ge(gap->gap.upper, 12 - 1e-6);
    ck_assert(gap->gap.certified);
    ck_assert_int_eq(gap->level, TB_LEVEL_HOLDS);
    ck_assert_double_eq(gap->keep, 9);
    ck_assert_uint_eq(gap->move_count, 1);
    ck_assert_str_eq(gap->moves[0].item, "a");
    ck_assert_str_eq(gap->moves[0].mount, "engine");
    ck_assert_str_eq(gap->moves[0].freedom, "rx");
    ck_assert_double_eq_tol(gap->moves[0].at, 1, 0.2);
    ck_assert_double_eq_tol(gap->moves[0].low, -3, 1e-12);
    ck_assert_double_eq_tol(gap->moves[0].high, 3, 1e-12);
    ck_assert_ptr_nonnull(strstr(tb_finding_text(finding, "worst"), "engine rx"));
    /* at rest it is further: the chord of 1 deg between 300 and 340 mm */
    ck_assert_double_eq_tol(want_gap(results, "a", "b", "cold")->gap.upper,
                            sqrt(300.0 * 300 + 340.0 * 340 - 2 * 300 * 340 * cos(DEG)) - 28, 0.011);
    ck_assert_uint_eq(want_gap(results, "a", "b", "cold")->move_count, 0);
    tb_results_unref(results);
}
END_TEST

/* Both on the engine, one of them by way of the turbo's mount. */
START_TEST(what_rides_together_does_not_move_against_each_other)
{
    TbResults *results = results_of(BAY("rx='-3 3'", SWINGING
                                        "<ball id='b' class='brake' mount='turbo' at='0 -40 400' "
                                        "radius='8'/>"));
    const TbResultGap *gap = want_gap(results, "a", "b", "rock");

    ck_assert_double_eq_tol(gap->gap.upper, 12, 1e-6);
    ck_assert_uint_eq(gap->move_count, 0);
    tb_results_unref(results);
}
END_TEST

/* Shifted by 5 mm to either side along the axis's own Y, which is Y here: 340 mm - 28 becomes less.
 */
START_TEST(shifts_of_a_mount_are_part_of_its_motion)
{
    TbResults *results =
        results_of(BAY("ty='-5 4'", SWINGING
                       "<ball id='b' class='brake' mount='body' at='0 -45 400' radius='8'/>"));
    const TbResultGap *gap = want_gap(results, "a", "b", "rock");

    ck_assert_double_eq_tol(gap->gap.upper, 45 - 5 - 28, 0.011);
    ck_assert_str_eq(gap->moves[0].freedom, "ty");
    ck_assert_double_eq_tol(gap->moves[0].at, -5, 0.1);
    tb_results_unref(results);
}
END_TEST

/* The hose's start swings with the engine, its end stands with the body; the ball on the body is
 * beside its start. At -3 deg the start comes 300 sin 3 deg nearer in Y. */
START_TEST(a_line_on_two_mounts_is_blended_and_not_certified)
{
    TbResults *results = results_of(
        BAY("rx='-3 3'",
            "<line id='a' class='hot' mount='engine' end-mount='body' role='hose' diameter='16'>"
            "<path><knot at='0 0 400'/><knot at='150 0 400'/><knot at='300 0 400'/></path></line>"
            "<ball id='b' class='brake' mount='body' at='0 60 400' radius='8'/>"
            "<ball id='c' class='brake' mount='body' at='300 60 400' radius='8'/>"));
    const TbResultGap *at_start = want_gap(results, "a", "b", "rock");
    const TbResultGap *at_end = want_gap(results, "a", "c", "rock");
    double y = 300 * sin(3 * DEG), z = 300 * (1 - cos(3 * DEG));

    ck_assert(!at_start->gap.certified);
    ck_assert_double_eq_tol(at_start->gap.upper, hypot(60 - y, z) - 16, 0.05);
    ck_assert_double_eq_tol(at_start->moves[0].at, -3, 1e-9);
    ck_assert_double_eq_tol(at_end->gap.upper, 60 - 16, 0.3);
    ck_assert_ptr_nonnull(
        strstr(tb_finding_text(want_finding(results, "gap/a|b/rock/"), "worst"), "sampled"));
    tb_results_unref(results);
}
END_TEST

START_TEST(a_rock_of_400_degrees_is_open_with_the_number)
{
    TbResults *results = results_of(BAY("rx='-200 200'", SWINGING STANDING));
    const TbResultGap *gap = want_gap(results, "a", "b", "rock");

    ck_assert_int_eq(gap->level, TB_LEVEL_OPEN);
    ck_assert_ptr_nonnull(strstr(gap->reason, "engine"));
    ck_assert_ptr_nonnull(strstr(gap->reason, "400 deg"));
    tb_results_unref(results);
}
END_TEST

START_TEST(an_axis_without_a_direction_is_refused_by_the_reader)
{
    TbBay *bay = NULL;
    TbFault fault = {0};
    g_auto(GStrv) parts = g_strsplit(BAY("rx='-3 3'", SWINGING STANDING), "'2 0 0'", 2);
    g_autofree char *text = g_strjoinv("'0 0 0'", parts);

    ck_assert_int_ne(tb_bay_read_bytes(text, strlen(text), &bay, &fault), TB_OK);
    ck_assert_msg(strstr(fault.text, "axis-direction is a direction without length") != NULL, "%s",
                  fault.text);
    ck_assert_ptr_nonnull(strstr(fault.text, "engine"));
}
END_TEST

/* Seen: with the axis deleted an engine turned about the vehicle's X at its datum without a word,
 * and a brake line that was short seemed to hold. */
START_TEST(a_mount_that_turns_without_an_axis_is_not_judged)
{
    TbResults *results = results_of(
        "<bay version='1' title='Rock'><mounts><mount id='body'/>"
        "<mount id='engine' parent='body' datum='0 0 100' rx='-3 3'/></mounts><items>" SWINGING
            STANDING "</items><keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"
        "<wanted state='rock' gap='9'/></keep></keeps>"
        "<states><state id='rock' kind='rocking'/></states></bay>");

    ck_assert_int_eq(want_gap(results, "a", "b", "rock")->level, TB_LEVEL_OPEN);
    ck_assert_msg(strstr(want_gap(results, "a", "b", "rock")->reason,
                         "engine: it turns (rx -3 to 3 deg), and no axis-point") != NULL,
                  "%s", want_gap(results, "a", "b", "rock")->reason);
    tb_results_unref(results);
}
END_TEST

static double
least_of(const double *row, size_t count)
{
    double least = INFINITY;

    for (size_t i = 0; i < count; i++)
        least = fmin(least, row[i]);
    return least;
}

/* The duct is the pair's second: its profile is asked from the other side. */
START_TEST(the_profile_of_a_rocking_duct_holds_the_gap_over_the_motion)
{
    TbBay *bay = bay_of(BAY("rx='-4 3'", "<duct id='b' class='brake' mount='engine' wall='2'><path>"
                                         "<knot at='-90 0 300'/><knot at='0 0 310'/>"
                                         "<knot at='110 0 300'/></path>"
                                         "<section at='0' width='40' height='40'/></duct>"
                                         "<block id='a' class='hot' mount='body' "
                                         "low='-300 46 200' high='300 90 330'/>"));
    TbStudy *study = study_alone();
    TbAsk ask = {.bay = bay, .profiles = true, .motion_profiles = true};
    TbResults *results = NULL;
    size_t told = 0;

    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, NULL), TB_OK);
    for (size_t i = 0; i < results->profile_count; i++) {
        const TbResultProfile *p = &results->profiles[i];
        const TbResultGap *gap = want_gap(results, p->b, p->a, p->state);

        ck_assert_str_eq(p->a, "b");
        ck_assert(p->certified);
        ck_assert_double_le(least_of(p->lower, p->count), gap->gap.upper + 0.05);
        ck_assert_double_ge(least_of(p->lower, p->count), gap->gap.lower - 0.3);
        ck_assert_double_ge(least_of(p->gap, p->count), gap->gap.lower - 1e-6);
        told += strcmp(p->state, "rock") == 0;
    }
    ck_assert_uint_eq(told, 1);
    tb_results_unref(results);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/moves");
    TCase *tests = tcase_create("rock");

    tcase_add_test(tests, a_rock_is_judged_at_its_worst_angle_inside_the_range);
    tcase_add_test(tests, what_rides_together_does_not_move_against_each_other);
    tcase_add_test(tests, shifts_of_a_mount_are_part_of_its_motion);
    tcase_add_test(tests, a_line_on_two_mounts_is_blended_and_not_certified);
    tcase_add_test(tests, a_rock_of_400_degrees_is_open_with_the_number);
    tcase_add_test(tests, an_axis_without_a_direction_is_refused_by_the_reader);
    tcase_add_test(tests, a_mount_that_turns_without_an_axis_is_not_judged);
    tcase_add_test(tests, the_profile_of_a_rocking_duct_holds_the_gap_over_the_motion);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
