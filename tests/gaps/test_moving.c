/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "moving_scenes.h"

/** Rocks by 3 deg each way about X. */
static const TbRock about_x = {{0, 0, 0}, {4, 0, 0}, -3 * DEGREE, 3 * DEGREE};

/** A straight duct along X, 300 mm above the axis. */
static TbSolid *
straight_duct(double radius)
{
    TbSection circle = tb_section_superellipse(2 * radius, 2 * radius, 2);

    return solid_of_sweep(straight_sweep(tb_vec3(-140, 0, 300), tb_vec3(160, 0, 300), circle));
}

/** What a turn by `angle` about X makes of (x, 0, height). */
static TbVec3
turned(double x, double height, double angle)
{
    return tb_vec3(x, -height * sin(angle), height * cos(angle));
}

/** Every width, both ways round: holds the truth, is as narrow as asked, and the worst number of
 * the one that moves is where it should be. */
static void
check_moving(TbSolid *a, TbSolid *b, TbMotion motion, double truth, double at, double at_within)
{
    static const double widths[3] = {1e-2, 1e-4, 1e-6};

    for (int i = 0; i < 6; i++) {
        TbMovingAsk ask = {
            .a = i % 2 == 0 ? a : b, .b = i % 2 == 0 ? b : a, .width = widths[i / 2]};
        TbMovingGap m;

        *(i % 2 == 0 ? &ask.motion_a : &ask.motion_b) = motion;
        m = ask_moving(&ask);
        ck_assert_msg(m.gap.lower <= truth + TB_TOL_ROUND && m.gap.upper >= truth - TB_TOL_ROUND,
                      "[%.10f, %.10f] misses %.10f", m.gap.lower, m.gap.upper, truth);
        ck_assert_msg(m.gap.upper - m.gap.lower <= widths[i / 2] && !m.gap.exhausted,
                      "[%.10f, %.10f] is wider than %g", m.gap.lower, m.gap.upper, widths[i / 2]);
        ck_assert_int_eq(m.gap.contact, TB_CLEAR);
        ck_assert(m.gap.certified);
        ck_assert_double_eq_tol(i % 2 == 0 ? m.at_a[0] : m.at_b[0], at, at_within);
        check_witness(&ask, &m);
    }
    tb_solid_unref(a);
    tb_solid_unref(b);
}

/* The rod stands 35 mm further out than the duct's middle, where the duct is at +1 deg: gap 35 less
 * both radii, at an angle inside the range. */
START_TEST(a_duct_rocking_past_a_rod_is_nearest_inside_its_range)
{
    TbSolid *b = solid_of_plain(rod(turned(-90, 335, DEGREE), turned(110, 335, DEGREE), 5));

    check_moving(straight_duct(20), b, rocking(about_x), 10, DEGREE, 0.2 * DEGREE);
}
END_TEST

/* The block's near face looks at the axis along +1.3 deg, 332 mm from it. */
START_TEST(a_duct_rocking_past_a_block_is_nearest_inside_its_range)
{
    double angle = 1.3 * DEGREE;
    TbVec3 out = turned(0, 1, angle);
    TbSolid *b = solid_of_plain(block(turned(10, 352, angle), out, 30, 30, 20));

    check_moving(straight_duct(20), b, rocking(about_x), 12, angle, 0.5 * DEGREE);
}
END_TEST

/* Between the axis and the duct: nearest where the duct dips its lower side onto the rod at -2 deg,
 * 300 - 20 - 251 - 8. */
START_TEST(an_obstacle_on_the_axis_side_is_met_inside_the_range_too)
{
    TbSolid *b =
        solid_of_plain(rod(turned(-60, 251, -2 * DEGREE), turned(90, 251, -2 * DEGREE), 8));

    check_moving(straight_duct(20), b, rocking(about_x), 21, -2 * DEGREE, 0.3 * DEGREE);
}
END_TEST

/* The ball stands at 9 deg, the range ends at 3: the chord of 6 deg at 300 mm, less both radii. */
START_TEST(an_obstacle_beyond_the_range_is_nearest_at_its_end)
{
    TbSolid *b = solid_of_plain(ball(turned(20, 300, 9 * DEGREE), 3));

    check_moving(straight_duct(20), b, rocking(about_x), 600 * sin(3 * DEGREE) - 23, 3 * DEGREE,
                 1e-3 * DEGREE);
}
END_TEST

/* The rod's tip is 410 mm from its datum and grows by 1.2 %, 4.92 mm, towards a face 7 mm off. */
START_TEST(a_rod_that_grows_towards_a_block_is_nearest_when_hot)
{
    TbVec3 datum = {-70.5, 33, 12};
    TbVec3 tip = {datum.x + 410, datum.y, datum.z};
    TbSolid *a = solid_of_plain(rod(tb_vec3(100, datum.y, datum.z), tip, 9));
    TbSolid *b = solid_of_plain(
        tb_plain_block_between(tb_vec3(tip.x + 7, -90, -80), tb_vec3(tip.x + 60, 95, 77)));
    TbMotion motion = {.count = 0};

    ck_assert_int_eq(tb_motion_add_growth(&motion, datum, 1, 1.012, NULL), TB_OK);
    check_moving(a, b, motion, 7 - 0.012 * 410, 1.012, 1e-5);
}
END_TEST

/* Growing away from what is behind it: nearest when cold. */
START_TEST(a_rod_that_grows_away_from_a_block_is_nearest_when_cold)
{
    TbVec3 datum = {-70.5, 33, 12};
    TbSolid *a = solid_of_plain(rod(tb_vec3(100, 33, 12), tb_vec3(300, 33, 12), 9));
    TbSolid *b = solid_of_plain(tb_plain_block_between(tb_vec3(20, -90, -80), tb_vec3(89, 95, 77)));
    TbMotion motion = {.count = 0};

    ck_assert_int_eq(tb_motion_add_growth(&motion, datum, 1.012, 0.999, NULL), TB_OK);
    check_moving(a, b, motion, 11 - 0.001 * 170.5, 0.999, 1e-5);
}
END_TEST

/* A pipe grows outwards between two walls of a slot that is nearer on one side: hot. Both sides
 * warm at their own pace: worst is the pipe hot and the wall's block, which draws back, hot or cold
 * as its own datum says. Pipe 250 from its datum, block's face 260 from its own, behind it. */
START_TEST(parts_that_warm_at_different_times_are_nearest_at_their_own_worst_warmth)
{
    TbSolid *a = solid_of_plain(rod(tb_vec3(40, 0, 0), tb_vec3(250, 0, 0), 12));
    TbSolid *b =
        solid_of_plain(tb_plain_block_between(tb_vec3(260, -70, -70), tb_vec3(300, 70, 70)));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-6};
    TbMovingGap m;

    ck_assert_int_eq(tb_motion_add_growth(&ask.motion_a, tb_vec3(0, 0, 0), 1, 1.011, NULL), TB_OK);
    /* the block's datum is in front of it: it moves away when hot, so cold is worst */
    ck_assert_int_eq(tb_motion_add_growth(&ask.motion_b, tb_vec3(0, 0, 0), 1, 1.009, NULL), TB_OK);
    m = ask_moving(&ask);
    ck_assert_double_le(m.gap.lower, 10 - 0.011 * 250 + TB_TOL_ROUND);
    ck_assert_double_ge(m.gap.upper, 10 - 0.011 * 250 - TB_TOL_ROUND);
    ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-6);
    ck_assert_double_eq_tol(m.at_a[0], 1.011, 1e-5);
    ck_assert_double_eq_tol(m.at_b[0], 1, 1e-5);
    /* a datum behind it: hot is worst */
    ask.motion_b.freedom[0].point = tb_vec3(400, 0, 0);
    m = ask_moving(&ask);
    ck_assert_double_le(m.gap.lower, 10 - 0.011 * 250 - 0.009 * 140 + TB_TOL_ROUND);
    ck_assert_double_ge(m.gap.upper, 10 - 0.011 * 250 - 0.009 * 140 - TB_TOL_ROUND);
    ck_assert_double_eq_tol(m.at_b[0], 1.009, 1e-5);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/* A ball that is shifted to and fro past a ball: nearest in the middle of a shift's range, and a
 * growth and a turn about its own middle change nothing but its size. */
START_TEST(a_shift_is_worst_inside_its_range)
{
    TbSolid *a = solid_of_plain(ball(tb_vec3(0, 0, 100), 10)),
            *b = solid_of_plain(ball(tb_vec3(3, 0, 140), 7));
    TbMotion motion = {.count = 0};
    TbFreedom shift = {TB_FREEDOM_SHIFT, {0, 0, 0}, {2, 0, 0}, -5, 8};

    ck_assert_int_eq(tb_motion_add(&motion, shift, NULL), TB_OK);
    check_moving(a, b, motion, 40 - 17, 3, 0.01);
}
END_TEST

/* Rock and growth together: the rod of the first test seen by a duct that grows by 0.5 % from the
 * axis: its middle goes 1.5 mm further out, its radius grows by 0.1. */
START_TEST(rock_and_growth_are_worst_together)
{
    TbSolid *a = straight_duct(20);
    TbSolid *b = solid_of_plain(rod(turned(-90, 335, DEGREE), turned(110, 335, DEGREE), 5));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-5, .motion_a = rocking(about_x)};
    TbMovingGap m;

    ck_assert_int_eq(tb_motion_add_growth(&ask.motion_a, tb_vec3(0, 0, 0), 1, 1.005, NULL), TB_OK);
    m = ask_moving(&ask);
    ck_assert_double_le(m.gap.lower, 8.4 + TB_TOL_ROUND);
    ck_assert_double_ge(m.gap.upper, 8.4 - TB_TOL_ROUND);
    ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-5);
    ck_assert_double_eq_tol(m.at_a[0], DEGREE, 0.1 * DEGREE);
    ck_assert_double_eq_tol(m.at_a[1], 1.005, 1e-6);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(without_a_motion_it_is_the_static_gap)
{
    TbSolid *a = straight_duct(17), *b = solid_of_plain(ball(tb_vec3(30, 60, 320), 9));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-6};
    TbMovingGap m = ask_moving(&ask);
    TbGap g = ask_gap(a, b, 1e-6);

    ck_assert_double_le(m.gap.lower, g.upper);
    ck_assert_double_ge(m.gap.upper, g.lower);
    ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-6);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(a_budget_that_runs_out_leaves_a_wider_interval_that_is_true)
{
    for (long budget = 1; budget < 60; budget += 3) {
        TbSolid *a = straight_duct(20);
        TbSolid *b = solid_of_plain(rod(turned(-90, 335, DEGREE), turned(110, 335, DEGREE), 5));
        TbMovingAsk ask = {
            .a = a, .b = b, .width = 1e-6, .motion_a = rocking(about_x), .budget = budget};
        TbMovingGap m = ask_moving(&ask);

        ck_assert_double_le(m.gap.lower, 10 + TB_TOL_ROUND);
        ck_assert_double_ge(m.gap.upper, 10 - TB_TOL_ROUND);
        ck_assert(m.gap.exhausted == (m.gap.upper - m.gap.lower > 1e-6));
        if (budget == 1)
            ck_assert(m.gap.exhausted);
        tb_solid_unref(a);
        tb_solid_unref(b);
    }
}
END_TEST

/* The duct runs 3 mm into the rod at +1 deg, and stands clear of it at both ends of the range and
 * in its middle. */
START_TEST(what_meets_inside_the_range_overlaps_by_its_depth_there)
{
    TbSolid *a = straight_duct(20);
    TbSolid *b =
        solid_of_plain(rod(turned(-190, 340, 2.5 * DEGREE), turned(210, 340, 2.5 * DEGREE), 23));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-2, .motion_a = rocking(about_x)};
    TbMovingGap m = ask_moving(&ask);

    ck_assert_double_le(m.gap.lower, -3);
    ck_assert_double_lt(m.gap.upper, -1);
    ck_assert_double_ge(m.gap.upper, -3 - 1e-6);
    ck_assert_int_eq(m.gap.contact, TB_OVERLAPS);
    ck_assert_double_gt(m.at_a[0], 0.5 * DEGREE);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/* At rest, at the worst pose and at an end of the range: the interval is as narrow, holds the
 * truth, and nothing is asked statically. */
START_TEST(a_search_that_begins_with_a_known_pose_tells_the_same)
{
    TbSolid *a = straight_duct(20);
    TbSolid *b = solid_of_plain(rod(turned(-90, 335, DEGREE), turned(110, 335, DEGREE), 5));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-4, .motion_a = rocking(about_x)};
    TbMovingGap worst = ask_moving(&ask);
    const double at[3] = {0, worst.at_a[0], -3 * DEGREE};

    for (int i = 0; i < 3; i++) {
        TbMovingGap known = {.at_a = {at[i]}}, m;
        TbMovingAsk with = ask;

        ck_assert_int_eq(tb_moving_gap_at(&ask, known.at_a, known.at_b, NULL, &known.gap, NULL),
                         TB_OK);
        with.known = &known;
        m = ask_moving(&with);
        ck_assert_uint_eq(m.depths, 0);
        ck_assert_double_le(m.gap.lower, 10 + TB_TOL_ROUND);
        ck_assert_double_ge(m.gap.upper, 10 - TB_TOL_ROUND);
        ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-4);
        ck_assert(!m.gap.exhausted && m.gap.certified);
        check_witness(&ask, &m);
    }
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(what_is_known_to_meet_at_one_pose_is_as_deep_as_without_knowing)
{
    TbSolid *a = straight_duct(20);
    TbSolid *b = solid_of_plain(rod(turned(-190, 340, DEGREE), turned(210, 340, DEGREE), 23));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-2, .motion_a = rocking(about_x)};
    TbMovingGap known = {.at_a = {0.4 * DEGREE}}, m, cold = ask_moving(&ask);

    ck_assert_int_eq(tb_moving_gap_at(&ask, known.at_a, known.at_b, NULL, &known.gap, NULL), TB_OK);
    ck_assert_int_eq(known.gap.contact, TB_OVERLAPS);
    ask.known = &known;
    m = ask_moving(&ask);
    ck_assert_int_eq(m.gap.contact, TB_OVERLAPS);
    ck_assert_double_le(m.gap.lower, cold.gap.upper);
    ck_assert_double_ge(m.gap.upper, cold.gap.lower);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(nothing_has_moved_at_rest_and_a_range_may_be_without_it)
{
    TbMotion motion = rocking(about_x);
    TbRock beyond = {{0, 0, 0}, {4, 0, 0}, DEGREE, 3 * DEGREE};
    double at[TB_MOTION_MOST] = {7, 7};

    ck_assert_int_eq(tb_motion_add_growth(&motion, tb_vec3(1, 2, 3), 1, 1.01, NULL), TB_OK);
    ck_assert(tb_moving_rest(&motion, at));
    ck_assert(tb_pose_is_identity(tb_motion_pose(&motion, at)));
    motion = rocking(beyond);
    ck_assert(!tb_moving_rest(&motion, at));
}
END_TEST

static TbStatus
solids_at(void *user, size_t pose, TbSolid **a, TbSolid **b, TbFault *fault)
{
    const TbMovingAsk *ask = user;
    double q = ask->motion_a.freedom[0].low +
               (ask->motion_a.freedom[0].high - ask->motion_a.freedom[0].low) * (double)pose / 60;

    (void)fault;
    *a = tb_solid_moved(ask->a, tb_motion_pose(&ask->motion_a, &q));
    *b = tb_solid_ref((TbSolid *)ask->b);
    return *a == NULL ? TB_E_MEMORY : TB_OK;
}

START_TEST(sampled_poses_are_not_certified_and_never_below_the_certified_gap)
{
    TbSolid *a = straight_duct(20);
    TbSolid *b = solid_of_plain(rod(turned(-90, 335, DEGREE), turned(110, 335, DEGREE), 5));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-6, .motion_a = rocking(about_x)};
    TbSampledAsk sampled = {.poses = 61, .solids = solids_at, .user = &ask, .width = 1e-6};
    TbGap gap;
    size_t worst;

    ck_assert_int_eq(tb_moving_sampled(&sampled, NULL, &gap, &worst, NULL), TB_OK);
    ck_assert(!gap.certified);
    ck_assert_uint_eq(worst, 40); /* -3 to 3 deg by tenths: +1 deg is among them */
    ck_assert_double_eq_tol(gap.upper, 10, 1e-5);
    ck_assert_double_ge(gap.lower, 10 - 1e-5);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(a_cancelled_search_says_so)
{
    TbSolid *a = straight_duct(20), *b = solid_of_plain(ball(tb_vec3(0, 60, 320), 9));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-6, .motion_a = rocking(about_x)};
    TbTask task = {.report = NULL};
    TbMovingGap m = {.depths = 77};
    TbFault fault = {0};

    tb_task_cancel(&task);
    ck_assert_int_eq(tb_moving_gap(&ask, &task, &m, &fault), TB_E_CANCELLED);
    ck_assert_uint_eq(m.depths, 77);
    ck_assert(fault.text[0] != '\0');
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(no_room_at_any_request_is_said_and_leaks_nothing)
{
    TbSolid *a = straight_duct(20);
    TbSolid *b = solid_of_plain(rod(turned(-90, 335, DEGREE), turned(110, 335, DEGREE), 5));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-2, .motion_a = rocking(about_x)};
    TbMovingGap m;
    size_t requests;

    tb_mem_fail_at(0);
    ck_assert_int_eq(tb_moving_gap(&ask, NULL, &m, NULL), TB_OK);
    requests = tb_mem_requests();
    for (size_t i = 1; i <= requests; i++) {
        tb_mem_fail_at(i);
        ck_assert_int_eq(tb_moving_gap(&ask, NULL, &m, NULL), TB_E_MEMORY);
    }
    tb_mem_fail_at(0);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/moving");
    TCase *tests = tcase_create("closed forms");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, a_duct_rocking_past_a_rod_is_nearest_inside_its_range);
    tcase_add_test(tests, a_duct_rocking_past_a_block_is_nearest_inside_its_range);
    tcase_add_test(tests, an_obstacle_on_the_axis_side_is_met_inside_the_range_too);
    tcase_add_test(tests, an_obstacle_beyond_the_range_is_nearest_at_its_end);
    tcase_add_test(tests, a_rod_that_grows_towards_a_block_is_nearest_when_hot);
    tcase_add_test(tests, a_rod_that_grows_away_from_a_block_is_nearest_when_cold);
    tcase_add_test(tests, parts_that_warm_at_different_times_are_nearest_at_their_own_worst_warmth);
    tcase_add_test(tests, a_shift_is_worst_inside_its_range);
    tcase_add_test(tests, rock_and_growth_are_worst_together);
    tcase_add_test(tests, without_a_motion_it_is_the_static_gap);
    tcase_add_test(tests, a_budget_that_runs_out_leaves_a_wider_interval_that_is_true);
    tcase_add_test(tests, what_meets_inside_the_range_overlaps_by_its_depth_there);
    tcase_add_test(tests, a_search_that_begins_with_a_known_pose_tells_the_same);
    tcase_add_test(tests, what_is_known_to_meet_at_one_pose_is_as_deep_as_without_knowing);
    tcase_add_test(tests, nothing_has_moved_at_rest_and_a_range_may_be_without_it);
    tcase_add_test(tests, sampled_poses_are_not_certified_and_never_below_the_certified_gap);
    tcase_add_test(tests, a_cancelled_search_says_so);
    tcase_add_test(tests, no_room_at_any_request_is_said_and_leaks_nothing);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
