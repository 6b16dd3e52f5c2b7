/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/motion.h"
#include "tap.h"

#include <gsl/gsl_rng.h>

#define DEGREE (M_PI / 180)

static double
between(gsl_rng *rng, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(rng);
}

static TbVec3
place(gsl_rng *rng, double size)
{
    return tb_vec3(between(rng, -size, size), between(rng, -size, size), between(rng, -size, size));
}

/** On the rim of a ball, where its points travel most, or in it. */
static TbVec3
point_of_ball(gsl_rng *rng, TbVec3 centre, double radius)
{
    return tb_vec3_add_scaled(centre, gsl_rng_uniform(rng) < 0.7 ? radius : 0.4 * radius,
                              tb_vec3_unit(place(rng, 1)));
}

/** A parent's shift and turn, a mount's turn, an inner shift, a growth: the kinds in any order. */
static TbMotion
random_motion(gsl_rng *rng)
{
    TbMotion motion = {.count = 0};
    int count = 1 + (int)gsl_rng_uniform_int(rng, 5);

    for (int i = 0; i < count; i++) {
        TbFreedom f = {.kind = (TbFreedomKind)gsl_rng_uniform_int(rng, 3),
                       .point = place(rng, 300),
                       .direction = place(rng, 2)};

        if (f.kind == TB_FREEDOM_TURN)
            f.low = between(rng, -0.4, 0.1), f.high = f.low + between(rng, 0, 0.6);
        else if (f.kind == TB_FREEDOM_SHIFT)
            f.low = between(rng, -20, 5), f.high = f.low + between(rng, 0, 25);
        else
            f.low = between(rng, 0.98, 1), f.high = f.low + between(rng, 0, 0.05);
        tb_motion_add(&motion, f, NULL);
    }
    return motion;
}

static void
random_numbers(gsl_rng *rng, const TbMotion *motion, double q[])
{
    for (int i = 0; i < motion->count; i++)
        q[i] = between(rng, motion->freedom[i].low, motion->freedom[i].high);
}

/* (100, -200, 350) by 4 deg about X
 * through (0, 0, 50): y and z by cosine and sine; the chord is 2 rho sin(2 deg). */
START_TEST(a_rock_moves_a_point_as_the_closed_form_says)
{
    TbMotion motion = {.count = 0};
    double q = 4 * DEGREE;
    TbVec3 p;

    ck_assert_int_eq(tb_motion_add_rock(&motion, (TbRock){{0, 0, 50}, {2, 0, 0}, -q, q}, NULL),
                     TB_OK);
    p = tb_pose_point(tb_motion_pose(&motion, &q), tb_vec3(100, -200, 350));
    ck_assert_double_eq_tol(p.y, -220.439752, 1e-6);
    ck_assert_double_eq_tol(p.z, 335.317920, 1e-6);
    ck_assert_double_eq_tol(tb_motion_speed(&motion, 0, tb_vec3(100, -200, 350), 0),
                            hypot(200, 300), 1e-10);
    /* the middle of -4 to 4 is rest: both ends are as far */
    ck_assert_double_eq_tol(tb_motion_travel(&motion, &motion.freedom[0].low,
                                             &motion.freedom[0].high, tb_vec3(100, -200, 350), 0),
                            25.166384, 1e-6);
}
END_TEST

START_TEST(a_mount_turns_about_z_then_y_then_x_and_shifts_last)
{
    TbMountRange range = {.point = {310.5, -20, 95},
                          .x = {0, 1, 0},
                          .y = {-1, 0, 0},
                          .z = {0, 0, 1},
                          .shift_low = {-2, -1.5, 0},
                          .shift_high = {3, 1.5, 0},
                          .turn_low = {-0.05, -0.01, -0.02},
                          .turn_high = {0.04, 0.02, 0.02}};
    TbMotion motion = {.count = 0};
    double q[5] = {2.5, -1.25, 0.04, 0.02, -0.015};
    TbVec3 p = {-120.7, 333.3, 401.9}, want;

    ck_assert_int_eq(tb_motion_add_mount(&motion, &range, NULL), TB_OK);
    ck_assert_int_eq(motion.count, 5); /* no shift along z */
    want = tb_pose_point(tb_pose_turn(range.point, range.z, -0.015), p);
    want = tb_pose_point(tb_pose_turn(range.point, range.y, 0.02), want);
    want = tb_pose_point(tb_pose_turn(range.point, range.x, 0.04), want);
    want = tb_vec3_add(want, tb_vec3(1.25, 2.5, 0));
    ck_assert_double_lt(tb_vec3_distance(tb_pose_point(tb_motion_pose(&motion, q), p), want),
                        1e-10);
    ck_assert(!tb_motion_is_bent(&motion, 0));
    ck_assert(!tb_motion_is_bent(&motion, 1));
    ck_assert(tb_motion_is_bent(&motion, 2));
}
END_TEST

START_TEST(no_point_goes_faster_or_further_than_its_bounds)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 1618);
    for (int n = 0; n < 400; n++) {
        TbMotion m = random_motion(rng);
        TbVec3 centre = place(rng, 500);
        double radius = between(rng, 0, 90), low[TB_MOTION_MOST], high[TB_MOTION_MOST];
        double middle[TB_MOTION_MOST], travel;

        for (int i = 0; i < m.count; i++) {
            low[i] = m.freedom[i].low;
            high[i] = m.freedom[i].high;
            middle[i] = 0.5 * (low[i] + high[i]);
        }
        travel = tb_motion_travel(&m, low, high, centre, radius);
        for (int k = 0; k < 60; k++) {
            TbVec3 p = point_of_ball(rng, centre, radius), at, moved;
            double q[TB_MOTION_MOST], r[TB_MOTION_MOST];
            int i = (int)gsl_rng_uniform_int(rng, (unsigned long)m.count);

            random_numbers(rng, &m, q);
            at = tb_pose_point(tb_motion_pose(&m, q), p);
            moved = tb_pose_point(tb_motion_pose(&m, middle), p);
            ck_assert_double_le(tb_vec3_distance(at, moved), travel + 1e-9);
            for (int j = 0; j < m.count; j++)
                r[j] = q[j];
            r[i] = between(rng, low[i], high[i]);
            moved = tb_pose_point(tb_motion_pose(&m, r), p);
            ck_assert_double_le(tb_vec3_distance(at, moved),
                                fabs(r[i] - q[i]) * tb_motion_speed(&m, i, centre, radius) + 1e-9);
        }
    }
    gsl_rng_free(rng);
}
END_TEST

/* With half of the bound 30 000 random points would catch it: the second half of the test. */
START_TEST(no_point_leaves_its_chord_further_than_its_bound_and_some_use_nine_tenths_of_it)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double used = 0;

    gsl_rng_set(rng, 2236);
    for (int n = 0; n < 1000; n++) {
        TbMotion m = random_motion(rng);
        TbVec3 centre = place(rng, 500);
        double radius = between(rng, 0, 60);
        int i = (int)gsl_rng_uniform_int(rng, (unsigned long)m.count);
        double low = m.freedom[i].low, high = m.freedom[i].high;
        double stray = tb_motion_stray(&m, i, low, high, centre, radius);

        for (int k = 0; k < 30; k++) {
            TbVec3 p = point_of_ball(rng, centre, radius), a, b, c;
            double q[TB_MOTION_MOST], share = between(rng, 0.3, 0.7), off;

            random_numbers(rng, &m, q);
            q[i] = low;
            a = tb_pose_point(tb_motion_pose(&m, q), p);
            q[i] = high;
            b = tb_pose_point(tb_motion_pose(&m, q), p);
            q[i] = low + share * (high - low);
            c = tb_pose_point(tb_motion_pose(&m, q), p);
            off = tb_vec3_distance(c, tb_vec3_mix(a, b, share));
            ck_assert_double_le(off, stray + 1e-9);
            if (stray > 0.1)
                used = fmax(used, off / stray);
        }
    }
    gsl_rng_free(rng);
    ck_assert_double_gt(used, 0.9);
}
END_TEST

START_TEST(the_reach_of_a_box_is_that_of_its_furthest_corner)
{
    TbRock rock = {{0, 60, 50}, {3, 0, 0}, -0.05, 0.05};
    TbBox3 box = {{-900, 0, 20}, {40, 100, 210}};

    /* furthest from the line y 60, z 50 are the edges at y 0 and z 210 */
    ck_assert_double_eq_tol(tb_rock_reach(rock, box), hypot(60, 160), 1e-10);
    ck_assert_double_eq(tb_rock_reach(rock, tb_box3_empty()), 0);
}
END_TEST

static void
expect(TbFreedom freedom, TbStatus status, const char *words)
{
    TbMotion motion = {.count = 0};
    TbFault fault = {0};

    ck_assert_int_eq(tb_motion_add(&motion, freedom, &fault), status);
    ck_assert_msg(strstr(fault.text, words) != NULL, "\"%s\" has no \"%s\"", fault.text, words);
    ck_assert_int_eq(motion.count, 0);
}

START_TEST(what_is_no_motion_is_refused_with_its_number)
{
    TbFreedom turn = {TB_FREEDOM_TURN, {0, 0, 50}, {1, 0, 0}, -200 * DEGREE, 200 * DEGREE};

    expect(turn, TB_E_RANGE, "400 deg are more than a whole turn");
    turn.low = 0.1;
    turn.high = -0.1;
    expect(turn, TB_E_RANGE, "no range");
    turn.low = -0.2;
    turn.direction = tb_vec3(0, 0, 0);
    expect(turn, TB_E_DEGENERATE, "no axis");
    turn.direction = tb_vec3(NAN, NAN, NAN);
    expect(turn, TB_E_DEGENERATE, "no axis");
    expect((TbFreedom){.kind = TB_FREEDOM_SHIFT, .high = 4.5}, TB_E_DEGENERATE, "no direction");
    expect((TbFreedom){.kind = TB_FREEDOM_SHIFT, .direction = {1, 0, 0}, .high = INFINITY},
           TB_E_RANGE, "no range");
    expect((TbFreedom){.kind = TB_FREEDOM_GROWTH, .low = 0, .high = 1}, TB_E_RANGE, "nothing");
}
END_TEST

START_TEST(a_fifth_turn_is_refused_and_a_fourth_is_not)
{
    TbMotion motion = {.count = 0};
    TbFreedom turn = {TB_FREEDOM_TURN, {7, 8, 9}, {1, 2, 3}, -0.02, 0.03};
    TbFault fault = {0};

    for (int i = 0; i < 4; i++)
        ck_assert_int_eq(tb_motion_add(&motion, turn, NULL), TB_OK);
    ck_assert_int_eq(tb_motion_add(&motion, turn, &fault), TB_E_LIMIT);
    turn.low = turn.high = 0.01; /* no range: it only turns everything */
    ck_assert_int_eq(tb_motion_add(&motion, turn, NULL), TB_OK);
    ck_assert_int_eq(motion.count, 5);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("motion/motion");
    TCase *one = tcase_create("motion");

    tcase_add_test(one, a_rock_moves_a_point_as_the_closed_form_says);
    tcase_add_test(one, a_mount_turns_about_z_then_y_then_x_and_shifts_last);
    tcase_add_test(one, no_point_goes_faster_or_further_than_its_bounds);
    tcase_add_test(one,
                   no_point_leaves_its_chord_further_than_its_bound_and_some_use_nine_tenths_of_it);
    tcase_add_test(one, the_reach_of_a_box_is_that_of_its_furthest_corner);
    tcase_add_test(one, what_is_no_motion_is_refused_with_its_number);
    tcase_add_test(one, a_fifth_turn_is_refused_and_a_fourth_is_not);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
