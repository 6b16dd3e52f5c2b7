/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/growth.h"
#include "motion/rock.h"
#include "tap.h"

#define DEGREE (M_PI / 180)

/* Mean coefficients, 1/K, and where they are from:
 * AISI 304: steel makers' data sheets, 17.3e-6 (0-100 degC), 18.7e-6 (0-650 degC);
 * carbon steel: ASME BPVC II-D table TE-1 group 1, mean from 21 degC, 6.7e-6/degF * 1.8 at 93 degC;
 * ductile iron 12.5e-6 (20-400 degC): EN 1563, annex, from memory. */
static const struct {
    double length;    /* mm */
    double expansion; /* 1/K */
    double rise;      /* K */
    double growth;    /* mm, alpha L dT */
} bars[] = {
    {400, 12.5e-6, 700, 3.5},     /* ductile iron; computed from the closed form */
    {500, 18.7e-6, 630, 5.8905},  /* 304; computed from the closed form */
    {400, 12.06e-6, 70, 0.33768}, /* carbon steel; computed from the closed form */
};

START_TEST(a_bar_grows_by_its_handbook_figure)
{
    double reference = 21.3;
    TbVec3 datum = {87.1, -433.9, 251.3};
    TbVec3 direction = {0.36, 0.48, -0.8}; /* unit */
    TbPose pose = tb_growth_pose(datum, bars[_i].expansion, reference + bars[_i].rise, reference);
    TbVec3 end = tb_vec3_add_scaled(datum, bars[_i].length, direction);
    double length = tb_vec3_distance(tb_pose_point(pose, end), tb_pose_point(pose, datum));

    ck_assert_double_eq_tol(length - bars[_i].length, bars[_i].growth, 1e-9);
}
END_TEST

/* Iron manifold 13e-6 at +630 K on an aluminium head 23e-6 at +75 K, over 380 mm. Computed from the
 * closed form: 380 (13e-6 * 630 - 23e-6 * 75) = 2.4567 mm. */
START_TEST(an_iron_manifold_outgrows_an_aluminium_head)
{
    double iron = 380 * tb_growth_factor(13e-6, 650, 20);
    double aluminium = 380 * tb_growth_factor(23e-6, 95, 20);

    ck_assert_double_eq_tol(iron - aluminium, 2.4567, 1e-9);
}
END_TEST

/* Computed from the closed form: alpha dT = 0.0075 of (250, -120, 80). */
START_TEST(a_point_grows_away_from_its_datum)
{
    TbVec3 datum = {1043.7, 212.9, 611.3};
    TbVec3 p = tb_vec3_add(datum, tb_vec3(250, -120, 80));
    TbVec3 moved = tb_vec3_sub(tb_pose_point(tb_growth_pose(datum, 12.5e-6, 620, 20), p), p);

    ck_assert_double_eq_tol(moved.x, 1.875, 1e-9);
    ck_assert_double_eq_tol(moved.y, -0.9, 1e-9);
    ck_assert_double_eq_tol(moved.z, 0.6, 1e-9);
    ck_assert_double_eq_tol(tb_vec3_length(moved), 2.164630, 5e-7);
}
END_TEST

/* ASME BPVC II-D table TE-1 group 1 at 1000 degF prints both the mean coefficient from 70 degF,
 * 8.1e-6/degF, and the total expansion, 9.0 in per 100 ft = 0.0075. The two agree to the last
 * printed digit of the total, half a tenth of an inch in 1200. */
START_TEST(mean_coefficient_and_total_expansion_of_one_table_agree)
{
    double degree = 5.0 / 9;
    double total = tb_growth_factor(8.1e-6 / degree, (1000 - 32) * degree, (70 - 32) * degree) - 1;

    ck_assert_double_eq_tol(total, 9.0 / 1200, 0.05 / 1200);
    ck_assert_double_eq_tol(total, 0.007533, 1e-12);
}
END_TEST

/* Computed from the closed form 2 rho sin(phi / 2), to six decimals. */
static const struct {
    double rho, angle, travel; /* mm, degrees, mm */
} rocks[] = {
    {350, 3, 18.323864},
    {350, 5, 30.533571},
    {500, 2, 17.452406},
};

START_TEST(an_engine_that_rocks_moves_a_point_by_the_chord)
{
    TbRock rock = {{-43.7, 212.9, 87.3},
                   {0, -13.9, 0},
                   -0.7 * rocks[_i].angle * DEGREE,
                   rocks[_i].angle * DEGREE};
    TbVec3 p = tb_vec3_add(rock.point, tb_vec3(0.6 * rocks[_i].rho, 71.1, 0.8 * rocks[_i].rho));
    TbVec3 q = tb_pose_point(tb_rock_pose(rock, rock.high), p);

    ck_assert_double_eq_tol(tb_rock_travel(rock, p), rocks[_i].travel, 5e-7);
    ck_assert_double_eq_tol(tb_vec3_distance(p, q), rocks[_i].travel, 5e-7);
}
END_TEST

/* Computed from the closed form of a turn about X, to six decimals: the point moves by the chord
 * 2 sqrt(200^2 + 300^2) sin(2 degrees). */
START_TEST(a_point_turned_about_x_lands_where_the_closed_form_says)
{
    TbRock rock = {{0, 0, 50}, {1, 0, 0}, -4 * DEGREE, 4 * DEGREE};
    TbVec3 p = {100, -200, 350};
    TbVec3 q = tb_pose_point(tb_rock_pose(rock, 4 * DEGREE), p);

    ck_assert_double_eq_tol(q.x, 100, 1e-12);
    ck_assert_double_eq_tol(q.y, -220.439752, 5e-7);
    ck_assert_double_eq_tol(q.z, 335.317920, 5e-7);
    ck_assert_double_eq_tol(tb_rock_travel(rock, p), 25.166385, 5e-7);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/growth");
    TCase *one = tcase_create("growth");

    tcase_add_loop_test(one, a_bar_grows_by_its_handbook_figure, 0,
                        (int)(sizeof bars / sizeof bars[0]));
    tcase_add_test(one, an_iron_manifold_outgrows_an_aluminium_head);
    tcase_add_test(one, a_point_grows_away_from_its_datum);
    tcase_add_test(one, mean_coefficient_and_total_expansion_of_one_table_agree);
    tcase_add_loop_test(one, an_engine_that_rocks_moves_a_point_by_the_chord, 0,
                        (int)(sizeof rocks / sizeof rocks[0]));
    tcase_add_test(one, a_point_turned_about_x_lands_where_the_closed_form_says);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
