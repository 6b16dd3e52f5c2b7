/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/frame.h"
#include "geom/tol.h"
#include "tap.h"

#include <math.h>

static double
off_square(TbFrame f)
{
    double worst = fabs(tb_vec3_length(f.t) - 1);

    worst = fmax(worst, fabs(tb_vec3_length(f.h) - 1));
    worst = fmax(worst, fabs(tb_vec3_dot(f.t, f.h)));
    return fmax(worst, tb_vec3_distance(f.w, tb_vec3_cross(f.t, f.h)));
}

static TbFrame
awkward(void)
{
    TbVec3 up = {0.31, -0.44, 0.87};

    return tb_frame_start(tb_vec3_unit(tb_vec3(0.62, 0.71, -0.13)), &up);
}

/* ---- start ---- */

START_TEST(looking_downstream_width_is_right_and_height_up)
{
    /* along +X (to the rear) with Z up, the right hand is -Y */
    TbFrame f = tb_frame_start(tb_vec3(1, 0, 0), NULL);

    ck_assert_double_eq(tb_vec3_distance(f.h, tb_vec3(0, 0, 1)), 0);
    ck_assert_double_eq(tb_vec3_distance(f.w, tb_vec3(0, -1, 0)), 0);
    ck_assert_double_eq(tb_vec3_distance(tb_vec3_cross(f.h, f.w), f.t), 0);
}
END_TEST

START_TEST(a_ports_up_is_laid_square_to_the_tangent)
{
    TbVec3 t = tb_vec3_unit(tb_vec3(0.62, 0.71, -0.13)), up = {31, -44, 87};
    TbFrame f = tb_frame_start(t, &up);

    ck_assert_double_le(off_square(f), 1e-15);
    ck_assert_double_gt(tb_vec3_dot(f.h, up), 0);
    ck_assert_double_eq_tol(tb_vec3_dot(f.w, up), 0, 1e-13);
}
END_TEST

START_TEST(without_a_port_steep_paths_take_minus_x)
{
    double steep = 17.9 * M_PI / 180, flat = 18.1 * M_PI / 180;
    TbFrame a = tb_frame_start(tb_vec3(0, sin(steep), -cos(steep)), NULL);
    TbFrame b = tb_frame_start(tb_vec3(0, sin(flat), -cos(flat)), NULL);

    ck_assert_double_le(tb_vec3_distance(a.h, tb_vec3(-1, 0, 0)), 1e-15);
    ck_assert_double_le(tb_vec3_distance(b.h, tb_vec3(0, cos(flat), sin(flat))), 1e-15);
}
END_TEST

START_TEST(an_up_along_the_path_counts_as_none)
{
    TbVec3 t = tb_vec3_unit(tb_vec3(0.62, 0.71, -0.13)), none = {0, 0, 0};
    TbVec3 along = tb_vec3_scale(t, -7.7);
    TbFrame plain = tb_frame_start(t, NULL);

    ck_assert_double_eq(tb_vec3_distance(tb_frame_start(t, &along).h, plain.h), 0);
    ck_assert_double_eq(tb_vec3_distance(tb_frame_start(t, &none).h, plain.h), 0);
}
END_TEST

/* ---- turning and swinging ---- */

START_TEST(a_quarter_turn_lays_height_on_width)
{
    TbFrame f = awkward(), q = tb_frame_turned(f, M_PI_2), p = tb_frame_turned(f, 0.37);

    ck_assert_double_le(tb_vec3_distance(q.h, f.w), 1e-15);
    ck_assert_double_le(tb_vec3_distance(q.w, tb_vec3_neg(f.h)), 1e-15);
    ck_assert_double_le(off_square(p), 1e-15);
    ck_assert_double_eq_tol(tb_vec3_dot(p.h, f.w), sin(0.37), 1e-15);
}
END_TEST

START_TEST(the_swing_leaves_the_axis_of_the_bend_alone)
{
    TbFrame f = awkward();
    TbVec3 axis = tb_vec3_unit(tb_vec3_cross(f.t, tb_vec3(0.2, 0.9, 0.5)));

    for (double angle = 0; angle < 3.1; angle += 0.31) {
        TbVec3 side = tb_vec3_cross(axis, f.t);
        TbVec3 t = tb_vec3_add_scaled(tb_vec3_scale(f.t, cos(angle)), sin(angle), side);
        TbFrame g = tb_frame_swing(f, t);

        ck_assert_double_le(off_square(g), 1e-14);
        ck_assert_double_eq_tol(tb_vec3_dot(g.h, axis), tb_vec3_dot(f.h, axis), 1e-14);
        ck_assert_double_eq_tol(tb_vec3_dot(g.w, axis), tb_vec3_dot(f.w, axis), 1e-14);
    }
}
END_TEST

/* ---- carrying ---- */

START_TEST(carried_frames_stay_orthonormal_over_a_million_steps)
{
    TbFrame f = tb_frame_start(tb_vec3_unit(tb_vec3(0, 40, 30)), NULL);
    TbVec3 p0 = {40, 0, 0};

    for (int i = 1; i <= 1000000; i++) {
        double a = 0.07 * i;
        TbVec3 p1 = {40 * cos(a), 40 * sin(a), 30 * a};

        f = tb_frame_carry(f, p0, p1, tb_vec3(-0.8 * sin(a), 0.8 * cos(a), 0.6));
        p0 = p1;
    }
    ck_assert_double_le(off_square(f), 1e-12);
}
END_TEST

START_TEST(a_plane_curve_does_not_twist_whatever_its_steps)
{
    /* a parabola in a slanted plane, steps from coarse to fine */
    TbFrame base = awkward(), f;
    double out, at = -1.1, step = 0.4;
    TbVec3 p0;

    p0 = tb_vec3_add_scaled(tb_vec3_scale(base.t, 50 * at), 25 * at * at, base.h);
    f = tb_frame_start(tb_vec3_unit(tb_vec3_add_scaled(base.t, at, base.h)),
                       &(TbVec3){0.4, 0.5, 0.9});
    out = tb_vec3_dot(f.h, base.w);
    for (int i = 0; i < 40; i++, step *= 0.9) {
        TbVec3 p1;

        at += step;
        p1 = tb_vec3_add_scaled(tb_vec3_scale(base.t, 50 * at), 25 * at * at, base.h);
        f = tb_frame_carry(f, p0, p1, tb_vec3_unit(tb_vec3_add_scaled(base.t, at, base.h)));
        ck_assert_double_eq_tol(tb_vec3_dot(f.h, base.w), out, 1e-14);
        p0 = p1;
    }
}
END_TEST

START_TEST(carrying_back_returns_the_first_frame)
{
    TbFrame f = awkward(), g = f;
    TbVec3 p[5] = {{0, 0, 0}, {6, 7, -1}, {11, 15, 2}, {14, 22, 7}, {19, 26, 15}};
    TbVec3 t[5];

    t[0] = f.t;
    for (int i = 1; i < 5; i++) {
        t[i] = tb_vec3_unit(tb_vec3_sub(p[i], p[i - 1]));
        g = tb_frame_carry(g, p[i - 1], p[i], t[i]);
    }
    for (int i = 4; i > 0; i--)
        g = tb_frame_carry(g, p[i], p[i - 1], t[i - 1]);
    ck_assert_double_le(tb_vec3_distance(g.h, f.h), 1e-14);
}
END_TEST

START_TEST(a_step_without_length_swings)
{
    TbFrame f = awkward();
    TbVec3 p = {3, 4, 5}, t = tb_vec3_unit(tb_vec3_add_scaled(f.t, 0.3, f.w));

    ck_assert_double_eq(tb_vec3_distance(tb_frame_carry(f, p, p, t).h, tb_frame_swing(f, t).h), 0);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/frame");
    TCase *tc = tcase_create("start");

    tcase_add_test(tc, looking_downstream_width_is_right_and_height_up);
    tcase_add_test(tc, a_ports_up_is_laid_square_to_the_tangent);
    tcase_add_test(tc, without_a_port_steep_paths_take_minus_x);
    tcase_add_test(tc, an_up_along_the_path_counts_as_none);
    suite_add_tcase(suite, tc);
    tc = tcase_create("turn and swing");
    tcase_add_test(tc, a_quarter_turn_lays_height_on_width);
    tcase_add_test(tc, the_swing_leaves_the_axis_of_the_bend_alone);
    suite_add_tcase(suite, tc);
    tc = tcase_create("carry");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, carried_frames_stay_orthonormal_over_a_million_steps);
    tcase_add_test(tc, a_plane_curve_does_not_twist_whatever_its_steps);
    tcase_add_test(tc, carrying_back_returns_the_first_frame);
    tcase_add_test(tc, a_step_without_length_swings);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
