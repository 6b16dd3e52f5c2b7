/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "random_sweep.h"

#include "geom/tol.h"
#include "geom/triangle.h"

/* mm. GJK is run to 1e-12; what is left is the rounding of coordinates. */
#define EXACT 1e-9

static TbSeparation
apart(TbConvex a, TbConvex b)
{
    return tb_convex_separation(&a, &b, tb_vec3(0, 0, 0), INFINITY, 1e-12);
}

/** Sound, tight, and its points are where it says. */
static void
check_distance(TbSeparation s, double want)
{
    ck_assert_msg(fabs(s.distance - want) <= EXACT, "distance %.12f, want %.12f", s.distance, want);
    ck_assert_msg(s.lower <= want + EXACT && s.lower >= want - 1e-8, "lower %.12f, want %.12f",
                  s.lower, want);
    ck_assert_double_eq_tol(tb_vec3_distance(s.point_a, s.point_b), want, EXACT);
}

static TbBlock
block_of(TbVec3 centre, double x, double y, double z)
{
    return (TbBlock){centre, {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {x, y, z}};
}

START_TEST(points_segments_and_triangles_as_the_exact_functions)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 3);
    for (int n = 0; n < 4000; n++) {
        TbVec3 a[3], b[3], shift = tb_vec3_scale(random_direction(rng), between(rng, 0, 60));
        TbNearest near;
        TbSeparation s;

        for (int i = 0; i < 3; i++) {
            a[i] = tb_vec3_scale(random_direction(rng), between(rng, 1, 30));
            b[i] = tb_vec3_add_scaled(shift, between(rng, 1, 30), random_direction(rng));
        }
        near = tb_triangle_triangle(a, b);
        s = apart(tb_convex_of_triangle(a), tb_convex_of_triangle(b));
        if (near.distance > 0)
            check_distance(s, near.distance);
        else
            ck_assert_double_le(s.lower, EXACT);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(flat_faces_of_two_blocks)
{
    TbBlock a = block_of(tb_vec3(1.3, 2.7, -4), 20, 11.5, 7.3);
    TbBlock b = block_of(tb_vec3(9.1, -3.2, 17.6), 14, 9.25, 5.5);

    check_distance(apart(tb_convex_of_block(&a), tb_convex_of_block(&b)), 17.6 + 4 - 7.3 - 5.5);
}
END_TEST

START_TEST(rods_have_flat_ends)
{
    TbRod rod = {{0, 0, 0}, {0, 0, 43.7}, 11.3, 11.3};
    TbConvex body = tb_convex_of_rod(&rod);

    /* above the end: to the flat; beyond its rim: to the rim; beside: to the flank */
    check_distance(apart(body, tb_convex_of_point(tb_vec3(4.1, -3.3, 50))), 6.3);
    check_distance(apart(body, tb_convex_of_point(tb_vec3(17.3, 0, 51.7))), hypot(6, 8));
    check_distance(apart(body, tb_convex_of_point(tb_vec3(0, 30.5, 20))), 19.2);
}
END_TEST

/** Directions along a rod's axis but for rounding: the end's circle still gives points of the end.
 */
START_TEST(no_point_leaves_a_rod_that_is_met_straight_on)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 7);
    for (int n = 0; n < 20000; n++) {
        TbVec3 axis = random_direction(rng), middle = tb_vec3_scale(random_direction(rng), 900);
        TbPlain plain = {.kind = TB_PLAIN_ROD,
                         .rod = {middle, tb_vec3_add_scaled(middle, between(rng, 5, 90), axis),
                                 between(rng, 10, 210), between(rng, 10, 210)}};
        /* straight before the end's disc, where the direction of the gap is the axis */
        TbVec3 side = tb_vec3_unit(tb_vec3_across(random_direction(rng), axis));
        TbVec3 p = tb_vec3_add_scaled(tb_vec3_add_scaled(plain.rod.b, between(rng, 1, 600), axis),
                                      between(rng, 0, 0.95) * plain.rod.radius_b, side);
        TbSeparation s = apart(tb_convex_of_rod(&plain.rod), tb_convex_of_point(p));

        check_distance(s, tb_plain_distance(&plain, p));
        ck_assert_double_le(fabs(tb_plain_distance(&plain, s.point_a)), EXACT);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(cone_flank)
{
    /* from radius 20 to 5 over 40: the flank's outward normal is (40, 15)/sqrt(1825) in (r, z) */
    TbRod cone = {{0, 0, 0}, {0, 0, 40}, 20, 5};
    double l = sqrt(1825), r = 12.5, z = 20, off = 9.37;
    TbVec3 p = {r + off * 40 / l, 0, z + off * 15 / l};

    check_distance(apart(tb_convex_of_rod(&cone), tb_convex_of_point(p)), off);
}
END_TEST

START_TEST(coaxial_circles_as_published)
{
    /* circles of radius 50 and 20 facing each other 40 apart, filled: 40 */
    TbRod a = {{0, 0, -1}, {0, 0, 0}, 50, 50}, b = {{0, 0, 40}, {0, 0, 41}, 20, 20};

    check_distance(apart(tb_convex_of_rod(&a), tb_convex_of_rod(&b)), 40);
}
END_TEST

START_TEST(balls_grow_points_also_into_each_other)
{
    TbBall a = {{3, -2, 1}, 7.5}, b = {{3, 10, 6}, 4.25};
    TbSeparation s = apart(tb_convex_of_ball(&a), tb_convex_of_ball(&b));

    check_distance(s, 13 - 11.75);
    b.radius = 9;
    s = apart(tb_convex_of_ball(&a), tb_convex_of_ball(&b));
    ck_assert_double_eq(s.distance, 0);
    ck_assert_double_eq_tol(s.lower, 13 - 16.5, EXACT);
}
END_TEST

START_TEST(superellipse_bar_beside_a_ball_along_a_known_normal)
{
    for (int i = 0; i < 3; i++) {
        static const double exponents[3] = {2, 3.3, 8};
        double n = exponents[i], m = n / (n - 1), at = 0.6, wall = 2, off = 8.7;
        TbSection section = tb_section_superellipse(90, 50, n);
        TbSweep *sweep;
        TbDisc disc;
        TbVec3 p, contact;
        /* the disc's plane is x = const there, h along +Z, w along -Y for a path along +X */
        double cw = 45 * sin(at), ch = 25 * cos(at);
        double support = pow(pow(cw, m) + pow(ch, m), 1 / m) + wall;
        TbVec3 normal;

        section.wall = wall;
        sweep = straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), section);
        disc = tb_sweep_at(sweep, 120);
        normal = tb_vec3_add(tb_vec3_scale(disc.w, sin(at)), tb_vec3_scale(disc.h, cos(at)));
        ck_assert_double_eq_tol(tb_disc_support(&disc, normal, true, &contact), support, EXACT);
        p = tb_vec3_add_scaled(contact, off, normal);
        check_distance(apart(tb_convex_of_disc(&disc, true), tb_convex_of_point(p)), off);
        tb_sweep_unref(sweep);
    }
}
END_TEST

START_TEST(lower_is_sound_for_random_bodies_and_any_start)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 9);
    for (int n = 0; n < 3000; n++) {
        TbVec3 c = tb_vec3_scale(random_direction(rng), between(rng, 0, 120));
        TbRod rod = {c, tb_vec3_add_scaled(c, between(rng, 3, 60), random_direction(rng)),
                     between(rng, 0, 12), between(rng, 0.5, 12)};
        TbBlock block = block_of(tb_vec3(0, 0, 0), 20, 13, 31);
        TbConvex a = tb_convex_of_rod(&rod), b = tb_convex_of_block(&block);
        TbSeparation s = tb_convex_separation(&a, &b, random_direction(rng), INFINITY, 1e-12);
        double least = INFINITY;

        for (int i = 0; i < 400; i++) {
            /* a random point of the rod against the block, exactly */
            double k = gsl_rng_uniform(rng), radius;
            TbVec3 d = random_direction(rng), axis = tb_vec3_unit(tb_vec3_sub(rod.b, rod.a)), p;
            double out2 = 0, in;

            radius = rod.radius_a + k * (rod.radius_b - rod.radius_a);
            d = tb_vec3_unit(tb_vec3_across(d, axis));
            p = tb_vec3_add_scaled(tb_vec3_mix(rod.a, rod.b, k), radius, d);
            in = fmax(fabs(p.x) - 20, 0);
            out2 += in * in;
            in = fmax(fabs(p.y) - 13, 0);
            out2 += in * in;
            in = fmax(fabs(p.z) - 31, 0);
            out2 += in * in;
            least = fmin(least, sqrt(out2));
        }
        ck_assert_msg(s.lower <= least + EXACT, "lower %.9f, sampled %.9f", s.lower, least);
        ck_assert_double_le(s.lower, s.distance + EXACT);
        ck_assert_double_ge(s.lower, s.distance - 1e-7 - (s.distance > 0 ? 0 : 1e3));
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(enough_stops_early_and_is_still_sound)
{
    TbBall a = {{0, 0, 0}, 10}, b = {{100, 1, 2}, 10};
    TbConvex body_a = tb_convex_of_ball(&a), body_b = tb_convex_of_ball(&b);
    TbSeparation s = tb_convex_separation(&body_a, &body_b, tb_vec3(-1, 0.1, 0), 40, 1e-12);

    ck_assert_int_eq(s.rounds, 1);
    ck_assert_double_ge(s.lower, 40);
    ck_assert_double_le(s.lower, sqrt(10005) - 20);
}
END_TEST

START_TEST(box_of_a_body_is_its_reach_along_the_axes)
{
    TbRod rod = {{5, 6, 7}, {5, 6, 50}, 11.3, 4};
    TbConvex body = tb_convex_of_rod(&rod);
    TbBox3 box = tb_convex_box(&body);

    ck_assert_double_eq_tol(box.low.x, 5 - 11.3, 1e-8);
    ck_assert_double_eq_tol(box.high.y, 6 + 11.3, 1e-8);
    ck_assert_double_eq_tol(box.high.z, 50, 1e-8);
}
END_TEST

/*
 * A stranger's fuzz saw the gap of two bars end to end jump about from question to question: 69.8,
 * 68.1 and 70.2 mm for the same pair. Where the direction is the axis of a circle, its part across
 * is rounding alone and may point along the axis; made as long as the radius, it put the circle's
 * point up to a radius off its plane. Lower ends stayed sound (they use no points), upper ends came
 * out too small, by 8 mm of 85. Now the point lies in the circle's plane, or it is the centre.
 */
START_TEST(a_circle_asked_along_its_axis_answers_with_a_point_of_its_own)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 41);
    for (int n = 0; n < 20000; n++) {
        TbVec3 axis = random_direction(rng), at = tb_vec3_scale(random_direction(rng), 700);
        double length = between(rng, 20, 90), gap = between(rng, 1, 80);
        TbVec3 far = tb_vec3_add_scaled(at, length, axis);
        TbVec3 next = tb_vec3_add_scaled(far, gap, axis);
        TbRod a = {at, far, 55.2, 55.2};
        TbRod b = {next, tb_vec3_add_scaled(next, 31, axis), 19.3, 96.7};
        TbConvex body_a = tb_convex_of_rod(&a), body_b = tb_convex_of_rod(&b);
        /* the axis as either side computes it, and leant by next to nothing */
        TbVec3 lean = tb_vec3_add_scaled(axis, between(rng, 0, 4e-16), random_direction(rng));
        TbSupport s = tb_convex_support(&body_a, tb_vec3_unit(lean));
        TbVec3 out = tb_vec3_sub(s.point, far);

        ck_assert_double_eq_tol(tb_vec3_dot(out, body_a.circle[1].axis), 0, 1e-11);
        ck_assert_double_le(tb_vec3_length(out), 55.2 + 1e-11);
        check_distance(apart(body_a, body_b), gap);
    }
    gsl_rng_free(rng);
}
END_TEST

static Suite *
convex_suite(void)
{
    Suite *suite = suite_create("geom/convex");
    TCase *tests = tcase_create("separation");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, points_segments_and_triangles_as_the_exact_functions);
    tcase_add_test(tests, flat_faces_of_two_blocks);
    tcase_add_test(tests, rods_have_flat_ends);
    tcase_add_test(tests, no_point_leaves_a_rod_that_is_met_straight_on);
    tcase_add_test(tests, cone_flank);
    tcase_add_test(tests, coaxial_circles_as_published);
    tcase_add_test(tests, balls_grow_points_also_into_each_other);
    tcase_add_test(tests, superellipse_bar_beside_a_ball_along_a_known_normal);
    tcase_add_test(tests, lower_is_sound_for_random_bodies_and_any_start);
    tcase_add_test(tests, enough_stops_early_and_is_still_sound);
    tcase_add_test(tests, box_of_a_body_is_its_reach_along_the_axes);
    tcase_add_test(tests, a_circle_asked_along_its_axis_answers_with_a_point_of_its_own);
    suite_add_tcase(suite, tests);
    return suite;
}

int
main(void)
{
    return tb_test_main(convex_suite());
}
