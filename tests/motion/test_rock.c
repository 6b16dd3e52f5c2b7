/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/rock.h"
#include "tap.h"

#define DEGREE (M_PI / 180)

/** A slanting axis, its direction far from unit on purpose. */
static const TbRock slanting = {
    {312.5, -17.3, 240.0}, {3.9, 17.2, -2.1}, -3.1 * DEGREE, 4.7 * DEGREE};

START_TEST(a_quarter_turn_about_x_takes_y_to_z)
{
    TbRock rock = {{0, 0, 0}, {7.3, 0, 0}, 0, M_PI / 2};
    TbVec3 q = tb_pose_point(tb_rock_pose(rock, M_PI / 2), tb_vec3(11.7, 43.7, 0));

    ck_assert_double_eq_tol(tb_vec3_distance(q, tb_vec3(11.7, 0, 43.7)), 0, 1e-12);
}
END_TEST

START_TEST(points_of_the_axis_stay)
{
    TbPose pose = tb_rock_pose(slanting, 4.7 * DEGREE);

    for (int i = -3; i <= 3; i++) {
        TbVec3 p = tb_vec3_add_scaled(slanting.point, 13.3 * i, slanting.direction);

        ck_assert_double_eq_tol(tb_vec3_distance(tb_pose_point(pose, p), p), 0, 1e-11);
    }
}
END_TEST

START_TEST(rocking_there_and_back_changes_nothing)
{
    TbVec3 p = {-218.4, 93.1, 777.7};
    TbVec3 q = tb_pose_point(tb_rock_pose(slanting, -2.9 * DEGREE), p);

    q = tb_pose_point(tb_rock_pose(slanting, 2.9 * DEGREE), q);
    ck_assert_double_eq_tol(tb_vec3_distance(p, q), 0, 1e-11);
    ck_assert_double_eq_tol(tb_vec3_distance(tb_pose_point(tb_rock_pose(slanting, 0), p), p), 0,
                            1e-11);
}
END_TEST

START_TEST(the_travel_is_the_largest_over_the_range)
{
    TbVec3 p = {-218.4, 93.1, 777.7};
    double travel = tb_rock_travel(slanting, p);
    double most = 0;

    for (int i = 0; i <= 1000; i++) {
        double angle = slanting.low + (slanting.high - slanting.low) * i / 1000;
        double moved = tb_vec3_distance(tb_pose_point(tb_rock_pose(slanting, angle), p), p);

        most = fmax(most, moved);
    }
    ck_assert_double_eq_tol(travel, most, 1e-10);
}
END_TEST

START_TEST(the_larger_side_of_the_range_decides)
{
    TbRock down = slanting;

    down.low = -slanting.high;
    down.high = -slanting.low;
    ck_assert_double_eq(tb_rock_travel(down, tb_vec3(1, 2, 3)),
                        tb_rock_travel(slanting, tb_vec3(1, 2, 3)));
}
END_TEST

/* Twice the radius is the most that any turn can do; the chord of 350 degrees is short, but the
 * point has passed the far side on its way. */
START_TEST(past_half_a_turn_the_travel_is_the_diameter)
{
    TbRock rock = {{0, 0, 0}, {0, 0, 1}, 0, 350 * DEGREE};

    ck_assert_double_eq_tol(tb_rock_travel(rock, tb_vec3(21.85, 0, 5)), 43.7, 1e-12);
}
END_TEST

START_TEST(a_point_on_the_axis_does_not_travel)
{
    TbVec3 p = tb_vec3_add_scaled(slanting.point, -21.9, slanting.direction);

    ck_assert_double_eq_tol(tb_rock_travel(slanting, p), 0, 1e-12);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("motion/rock");
    TCase *one = tcase_create("rock");

    tcase_add_test(one, a_quarter_turn_about_x_takes_y_to_z);
    tcase_add_test(one, points_of_the_axis_stay);
    tcase_add_test(one, rocking_there_and_back_changes_nothing);
    tcase_add_test(one, the_travel_is_the_largest_over_the_range);
    tcase_add_test(one, the_larger_side_of_the_range_decides);
    tcase_add_test(one, past_half_a_turn_the_travel_is_the_diameter);
    tcase_add_test(one, a_point_on_the_axis_does_not_travel);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
