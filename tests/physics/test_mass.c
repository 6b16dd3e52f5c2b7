/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "physics/mass.h"
#include "tap.h"

START_TEST(mass_is_volume_times_density)
{
    TbMass body = tb_mass_of(1.237e-3, 7100, tb_vec3(0.5, -0.25, 1.5));

    ck_assert_double_eq_tol(body.mass, 8.7827, 1e-12);
    ck_assert_double_eq(body.centre.y, -0.25);
}
END_TEST

/* An L of two bars, 0.3 x 0.02 x 0.02 m along x and 0.2 x 0.02 x 0.02 m along z, of two densities:
 * the lever rule gives x = (m1 0.15 + m2 0.01) / (m1 + m2). */
START_TEST(the_centre_of_two_parts_follows_the_lever_rule)
{
    double m1 = 0.3 * 4e-4 * 7100;
    double m2 = 0.2 * 4e-4 * 2680;
    TbMass parts[] = {tb_mass_of(0.3 * 4e-4, 7100, tb_vec3(0.15, 0.01, 0.01)),
                      tb_mass_of(0.2 * 4e-4, 2680, tb_vec3(0.01, 0.01, 0.12))};
    TbMass all = tb_mass_sum(parts, 2);

    ck_assert_double_eq_tol(all.mass, m1 + m2, 1e-15);
    ck_assert_double_eq_tol(all.centre.x, (m1 * 0.15 + m2 * 0.01) / (m1 + m2), 1e-15);
    ck_assert_double_eq_tol(all.centre.y, 0.01, 1e-15);
    ck_assert_double_eq_tol(all.centre.z, (m1 * 0.01 + m2 * 0.12) / (m1 + m2), 1e-15);
}
END_TEST

/* A bore off the middle of a disc, by the closed form: x = -r^2 e / (R^2 - r^2). */
START_TEST(what_is_cut_out_has_negative_mass)
{
    double big = 0.0437;
    double small = 0.0119;
    double off = 0.0173;
    TbMass parts[] = {tb_mass_of(M_PI * big * big * 0.01, 7850, tb_vec3(0, 0, 0)),
                      tb_mass_of(-M_PI * small * small * 0.01, 7850, tb_vec3(off, 0, 0))};
    TbMass all = tb_mass_sum(parts, 2);

    ck_assert_double_eq_tol(all.centre.x, -small * small * off / (big * big - small * small),
                            1e-15);
}
END_TEST

START_TEST(a_sum_of_sums_is_the_sum)
{
    TbMass parts[] = {
        {3.7, {0.1, 0.2, 0.3}}, {0, {9, 9, 9}}, {1.9, {-0.7, 0.4, 1.1}}, {0.23, {2.1, -0.9, 0.6}}};
    TbMass halves[] = {tb_mass_sum(parts, 2), tb_mass_sum(parts + 2, 2)};
    TbMass all = tb_mass_sum(parts, 4);
    TbMass again = tb_mass_sum(halves, 2);

    ck_assert_double_eq_tol(again.mass, all.mass, 1e-15);
    ck_assert_double_eq_tol(tb_vec3_distance(again.centre, all.centre), 0, 1e-15);
}
END_TEST

START_TEST(far_from_the_origin_the_centre_keeps_its_digits)
{
    TbVec3 far = {1e6, -1e6, 1e6};
    TbMass parts[3];
    TbMass all;

    for (int i = 0; i < 3; i++)
        parts[i] = (TbMass){1.1 + i, tb_vec3_add(far, tb_vec3(0.25 * i, 0, 0))};
    all = tb_mass_sum(parts, 3);
    /* (2.1 * 0.25 + 3.1 * 0.5) / 6.3, to the last place of 1e6 */
    ck_assert_double_eq_tol(all.centre.x - far.x, 2.075 / 6.3, 2e-10);
}
END_TEST

START_TEST(nothing_weighs_nothing_at_the_origin)
{
    TbMass none = tb_mass_sum(NULL, 0);
    TbMass air = tb_mass_of(0.5, 0, tb_vec3(1, 2, 3));
    TbMass gone[] = {{2.5, {1, 2, 3}}, {-2.5, {4, 5, 6}}};

    ck_assert_double_eq(none.mass, 0);
    ck_assert_double_eq(tb_vec3_length(none.centre), 0);
    ck_assert_double_eq(tb_vec3_length(air.centre), 0);
    ck_assert_double_eq(tb_mass_sum(&air, 1).mass, 0);
    ck_assert_double_eq(tb_vec3_length(tb_mass_sum(gone, 2).centre), 0);
}
END_TEST

/* 8.5 kg at 5 g, 140 mm in front of a flange: 416.7826 N and 58.3496 N m, computed from m n g L. */
START_TEST(the_moment_about_a_flange_is_weight_times_overhang)
{
    TbMass turbo = {8.5, {0.54, 0.2, 0.9}};
    TbVec3 flange = {0.40, 0.2, 0.7};
    TbVec3 moment = tb_mass_moment(turbo, flange, tb_vec3(0, 0, -5 * 9.80665));

    ck_assert_double_eq_tol(tb_vec3_length(moment), 58.3496, 5e-5);
    /* the nose goes down: right-handed about +Y, from Z towards X */
    ck_assert_double_gt(moment.y, 0);
    ck_assert_double_eq_tol(moment.x, 0, 1e-12);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("physics/mass");
    TCase *one = tcase_create("mass");

    tcase_add_test(one, mass_is_volume_times_density);
    tcase_add_test(one, the_centre_of_two_parts_follows_the_lever_rule);
    tcase_add_test(one, what_is_cut_out_has_negative_mass);
    tcase_add_test(one, a_sum_of_sums_is_the_sum);
    tcase_add_test(one, far_from_the_origin_the_centre_keeps_its_digits);
    tcase_add_test(one, nothing_weighs_nothing_at_the_origin);
    tcase_add_test(one, the_moment_about_a_flange_is_weight_times_overhang);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
