/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/growth.h"
#include "tap.h"

static const TbVec3 datum = {137.5, -42.25, 611.0};

START_TEST(nothing_grows_at_its_reference_temperature)
{
    ck_assert_double_eq(tb_growth_factor(12.5e-6, 21.7, 21.7), 1);
    ck_assert(tb_pose_is_identity(tb_growth_pose(datum, 12.5e-6, 21.7, 21.7)));
}
END_TEST

START_TEST(what_is_colder_than_its_reference_shrinks)
{
    ck_assert_double_eq_tol(tb_growth_factor(17.3e-6, -30, 20), 1 - 17.3e-6 * 50, 1e-15);
}
END_TEST

START_TEST(the_datum_stays_and_distances_from_it_grow_by_the_factor)
{
    double factor = tb_growth_factor(13.1e-6, 713, 22);
    TbPose pose = tb_growth_pose(datum, 13.1e-6, 713, 22);
    TbVec3 p = {-611.3, 87.9, 1043.7};
    TbVec3 q = tb_pose_point(pose, p);

    ck_assert_double_eq_tol(tb_vec3_distance(tb_pose_point(pose, datum), datum), 0, 1e-12);
    ck_assert_double_eq_tol(tb_vec3_distance(q, datum), factor * tb_vec3_distance(p, datum), 1e-10);
    /* straight away from the datum */
    ck_assert_double_eq_tol(
        tb_vec3_length(tb_vec3_cross(tb_vec3_sub(q, datum), tb_vec3_sub(p, datum))), 0, 1e-7);
}
END_TEST

START_TEST(angles_do_not_change)
{
    TbPose pose = tb_growth_pose(datum, 20.5e-6, 925, 20);
    TbVec3 d = {0.36, -0.48, 0.8};

    ck_assert_double_eq(tb_vec3_distance(tb_pose_direction(pose, d), d), 0);
}
END_TEST

START_TEST(any_two_points_part_by_the_factor_wherever_the_datum_is)
{
    TbVec3 a = {311.7, -87.3, 502.9};
    TbVec3 b = {-119.1, 333.3, 702.1};
    double factor = tb_growth_factor(12.06e-6, 90, 20);
    TbPose near = tb_growth_pose(a, 12.06e-6, 90, 20);
    TbPose far = tb_growth_pose(tb_vec3(9000, -9000, 9000), 12.06e-6, 90, 20);
    double want = factor * tb_vec3_distance(a, b);

    ck_assert_double_eq_tol(tb_vec3_distance(tb_pose_point(near, a), tb_pose_point(near, b)), want,
                            1e-10);
    ck_assert_double_eq_tol(tb_vec3_distance(tb_pose_point(far, a), tb_pose_point(far, b)), want,
                            1e-10);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("motion/growth");
    TCase *one = tcase_create("growth");

    tcase_add_test(one, nothing_grows_at_its_reference_temperature);
    tcase_add_test(one, what_is_colder_than_its_reference_shrinks);
    tcase_add_test(one, the_datum_stays_and_distances_from_it_grow_by_the_factor);
    tcase_add_test(one, angles_do_not_change);
    tcase_add_test(one, any_two_points_part_by_the_factor_wherever_the_datum_is);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
