/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "geom/pose.h"

static void
assert_near(TbVec3 a, TbVec3 b, double tolerance)
{
    ck_assert_double_le(tb_vec3_distance(a, b), tolerance);
}

/** Turns, shifts and growths after each other, with awkward numbers. */
static TbPose
sample(int n)
{
    TbPose pose =
        tb_pose_turn(tb_vec3(811.3 - n, 37.9, 419.1), tb_vec3(1.3, -0.7 * n, 0.41), 0.3 + 0.71 * n);

    pose = tb_pose_compose(tb_pose_growth(tb_vec3(17.3, 5.9 * n, -8.7), 1.00713), pose);
    return tb_pose_compose(tb_pose_shift(tb_vec3(-3.1, 77.7, 12.9)), pose);
}

START_TEST(identity_moves_nothing_and_is_told_from_the_rest)
{
    TbVec3 p = {17.3, -4.9, 1201.7};

    ck_assert_double_eq(tb_pose_point(tb_pose_identity(), p).z, 1201.7);
    ck_assert(tb_pose_is_identity(tb_pose_identity()));
    ck_assert(!tb_pose_is_identity(tb_pose_shift(tb_vec3(0, 1e-300, 0))));
    ck_assert(!tb_pose_is_identity(tb_pose_growth(tb_vec3(0, 0, 0), 1.0000001)));
    ck_assert(!tb_pose_is_identity(tb_pose_turn(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 1e-9)));
}
END_TEST

START_TEST(turn_is_right_handed_about_its_axis)
{
    /* a quarter about an axis along +Z through (10, 20, .) takes +X to +Y */
    TbPose pose = tb_pose_turn(tb_vec3(10, 20, -7.7), tb_vec3(0, 0, 3.7), M_PI_2);

    assert_near(tb_pose_point(pose, tb_vec3(13.5, 20, 4.1)), tb_vec3(10, 23.5, 4.1), 1e-12 * 30);
    assert_near(tb_pose_direction(pose, tb_vec3(1, 0, 0)), tb_vec3(0, 1, 0), 1e-15);
}
END_TEST

START_TEST(turn_keeps_its_axis_and_the_distance_to_it)
{
    TbVec3 on = {811.3, 37.9, 419.1};
    TbVec3 along = {1.3, -0.7, 0.41};
    TbPose pose = tb_pose_turn(on, along, 2.137);
    TbVec3 p = {903.7, -55.1, 377.3};
    TbVec3 further = tb_vec3_add_scaled(on, 41.7, along);

    assert_near(tb_pose_point(pose, further), further, 1e-12 * 1000);
    ck_assert_double_eq_tol(tb_vec3_distance(tb_pose_point(pose, p), on), tb_vec3_distance(p, on),
                            1e-12 * 1000);
}
END_TEST

START_TEST(growth_keeps_its_datum_and_scales_lengths)
{
    TbVec3 datum = {611.1, -3.7, 52.9};
    TbPose pose = tb_pose_growth(datum, 1.0113);
    TbVec3 p = {700.3, 20.9, -17.3};

    assert_near(tb_pose_point(pose, datum), datum, 1e-12 * 1000);
    ck_assert_double_eq_tol(tb_vec3_distance(tb_pose_point(pose, p), datum),
                            1.0113 * tb_vec3_distance(p, datum), 1e-12 * 1000);
    /* directions do not grow */
    ck_assert_double_eq_tol(tb_vec3_length(tb_pose_direction(pose, tb_vec3(0.6, 0.8, 0))), 1,
                            1e-15);
}
END_TEST

START_TEST(compose_is_first_then_then)
{
    for (int n = 0; n < 20; n++) {
        TbPose first = sample(n);
        TbPose then = sample(n + 7);
        TbVec3 p = {13.7 * n, 411.3 - n, 77.7};

        assert_near(tb_pose_point(tb_pose_compose(then, first), p),
                    tb_pose_point(then, tb_pose_point(first, p)), 1e-11 * 1000);
    }
}
END_TEST

START_TEST(inverse_takes_everything_back)
{
    for (int n = 0; n < 20; n++) {
        TbPose pose = sample(n);
        TbVec3 p = {1713.7 * n, -411.3 - n, 77.7};

        assert_near(tb_pose_point(tb_pose_inverse(pose), tb_pose_point(pose, p)), p, 1e-8);
        assert_near(tb_pose_point(pose, tb_pose_point(tb_pose_inverse(pose), p)), p, 1e-8);
    }
}
END_TEST

START_TEST(axes_stay_unit_square_and_right_handed)
{
    TbPose pose = tb_pose_identity();

    for (int n = 0; n < 50; n++)
        pose = tb_pose_compose(sample(n), pose);
    ck_assert_double_eq_tol(tb_vec3_length(pose.x), 1, 1e-13);
    ck_assert_double_eq_tol(tb_vec3_dot(pose.x, pose.y), 0, 1e-13);
    assert_near(tb_vec3_cross(pose.x, pose.y), pose.z, 1e-13);
    ck_assert_double_eq_tol(pose.scale, pow(1.00713, 50), 1e-12);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/pose");
    TCase *tests = tcase_create("pose");

    tcase_add_test(tests, identity_moves_nothing_and_is_told_from_the_rest);
    tcase_add_test(tests, turn_is_right_handed_about_its_axis);
    tcase_add_test(tests, turn_keeps_its_axis_and_the_distance_to_it);
    tcase_add_test(tests, growth_keeps_its_datum_and_scales_lengths);
    tcase_add_test(tests, compose_is_first_then_then);
    tcase_add_test(tests, inverse_takes_everything_back);
    tcase_add_test(tests, axes_stay_unit_square_and_right_handed);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
