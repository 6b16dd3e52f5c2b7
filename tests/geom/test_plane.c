/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "geom/plane.h"

#include <math.h>
#include <string.h>

static TbPlane
plane_of(TbSight sight)
{
    TbPlane plane;
    TbFault fault = {0};

    ck_assert_msg(tb_plane_of_sight(sight, &plane, &fault) == TB_OK, "%s", fault.text);
    return plane;
}

static void
assert_near(TbVec3 a, TbVec3 b)
{
    ck_assert_double_le(tb_vec3_distance(a, b), 1e-12);
}

static void
assert_axes_are_square(TbPlane p)
{
    ck_assert_double_eq_tol(tb_vec3_length(p.u), 1, 1e-12);
    ck_assert_double_eq_tol(tb_vec3_length(p.v), 1, 1e-12);
    ck_assert_double_eq_tol(tb_vec3_dot(p.u, p.v), 0, 1e-12);
    assert_near(p.n, tb_vec3_cross(p.u, p.v));
}

START_TEST(plane_through_three_points_holds_them)
{
    TbVec3 p[3] = {{1180.3, -187.3, 640.1}, {1291.7, -92.9, 577.7}, {1243.1, -210.7, 812.9}};
    TbSight sight;
    TbPlane plane;

    ck_assert_int_eq(tb_sight_through(p[0], p[1], p[2], &sight, NULL), TB_OK);
    plane = plane_of(sight);
    assert_axes_are_square(plane);
    for (int i = 0; i < 3; i++)
        ck_assert_double_eq_tol(tb_plane_height(plane, p[i]), 0, 1e-9);
    ck_assert_double_eq(tb_plane_project(plane, p[0]).x, 0);
    /* Z stands up the page: nothing of it runs to the side */
    ck_assert_double_eq_tol(plane.u.z, 0, 1e-12);
    ck_assert_double_gt(plane.v.z, 0);
}
END_TEST

/* Whatever the order of the points, the reader stands where the nearest usual view has him. */
START_TEST(points_in_any_order_give_the_same_view)
{
    static const int order[6][3] = {{0, 1, 2}, {1, 2, 0}, {2, 0, 1},
                                    {0, 2, 1}, {2, 1, 0}, {1, 0, 2}};
    TbVec3 p[3] = {{1180.3, -187.3, 640.1}, {1291.7, -92.9, 577.7}, {1243.1, -210.7, 812.9}};
    TbSight first, sight;

    ck_assert_int_eq(tb_sight_through(p[0], p[1], p[2], &first, NULL), TB_OK);
    for (int i = 0; i < 6; i++) {
        ck_assert_int_eq(
            tb_sight_through(p[order[i][0]], p[order[i][1]], p[order[i][2]], &sight, NULL), TB_OK);
        assert_near(sight.look, first.look);
        assert_near(sight.up, first.up);
    }
}
END_TEST

static const struct {
    TbVec3 normal, u, v;
} usual[] = {
    {{0, 3.7, 0}, {1, 0, 0}, {0, 0, 1}},  /* side: seen from the left */
    {{0, -0.2, 0}, {1, 0, 0}, {0, 0, 1}}, /* ... whichever way the normal points */
    {{0, 0, 9.1}, {1, 0, 0}, {0, 1, 0}},  /* plan: seen from above, Y up the page */
    {{0, 0, -9.1}, {1, 0, 0}, {0, 1, 0}},
    {{2.3, 0, 0}, {0, -1, 0}, {0, 0, 1}}, /* front: seen from the front */
    {{-2.3, 0, 0}, {0, -1, 0}, {0, 0, 1}},
};

START_TEST(plane_along_the_axes_lies_on_paper_as_the_usual_view_does)
{
    TbPlane plane = plane_of(tb_sight_onto(tb_vec3(17.3, -4.1, 9.9), usual[_i].normal));

    assert_near(plane.u, usual[_i].u);
    assert_near(plane.v, usual[_i].v);
}
END_TEST

START_TEST(plane_square_to_a_line_has_the_line_as_its_look)
{
    TbVec3 a = {811.3, 37.9, 419.1}, b = {903.7, -55.1, 377.3}, at = {850.1, 2.3, 388.8};
    TbVec3 d = tb_vec3_unit(tb_vec3_sub(b, a));
    TbSight sight;
    TbPlane plane;

    ck_assert_int_eq(tb_sight_square(a, b, at, &sight, NULL), TB_OK);
    plane = plane_of(sight);
    ck_assert_double_eq_tol(fabs(tb_vec3_dot(plane.n, d)), 1, 1e-12);
    ck_assert_double_eq_tol(tb_plane_height(plane, at), 0, 1e-9);
}
END_TEST

START_TEST(given_up_stands_up)
{
    TbPlane plane = plane_of((TbSight){{1, 2, 3}, {0, 2.2, 0}, {5.5, 1.7, 0}});

    assert_axes_are_square(plane);
    assert_near(plane.v, tb_vec3(1, 0, 0));
    assert_near(plane.n, tb_vec3(0, -1, 0));
}
END_TEST

/* up along the look: the usual one is taken */
START_TEST(up_towards_the_reader_is_replaced)
{
    TbPlane plane = plane_of((TbSight){{1, 2, 3}, {0, 0, -4.4}, {0, 0, 1}});

    assert_axes_are_square(plane);
    assert_near(plane.v, tb_vec3(0, 1, 0));
}
END_TEST

START_TEST(points_on_a_line_are_refused_with_the_distance)
{
    TbVec3 a = {100.5, 20.25, 30.125}, b = {301.5, 20.25, 30.125}, c = {177.7, 20.25, 30.157};
    TbSight sight = {.look = {7, 7, 7}};
    TbFault fault = {0};

    ck_assert_int_eq(tb_sight_through(a, b, c, &sight, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text,
                     "the three points lie on one line within 0.032 mm, a plane needs 0.1 mm");
    ck_assert_double_eq(sight.look.x, 7);
    ck_assert_int_eq(tb_sight_through(a, a, a, &sight, &fault), TB_E_DEGENERATE);
    c.z = 30.125 + 0.101;
    ck_assert_int_eq(tb_sight_through(a, b, c, &sight, &fault), TB_OK);
}
END_TEST

START_TEST(line_without_length_is_refused_with_its_length)
{
    TbVec3 a = {100.5, 20.25, 30.125}, b = {100.5, 20.29, 30.125};
    TbSight sight;
    TbFault fault = {0};

    ck_assert_int_eq(tb_sight_square(a, b, a, &sight, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "the line is 0.040 mm long, a direction needs 0.1 mm");
}
END_TEST

START_TEST(numbers_without_sense_are_refused)
{
    TbVec3 a = {1, 2, 3}, b = {40, 2, 3}, c = {1, 50, NAN};
    TbSight sight;
    TbPlane plane;
    TbFault fault = {0};

    ck_assert_int_eq(tb_sight_through(a, b, c, &sight, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "the third point is not a number");
    c.z = -20345;
    ck_assert_int_eq(tb_sight_through(a, b, c, &sight, &fault), TB_E_RANGE);
    ck_assert_ptr_nonnull(strstr(fault.text, "20345"));
    ck_assert_int_eq(tb_plane_of_sight((TbSight){a, {0, 0, 0}, b}, &plane, &fault),
                     TB_E_DEGENERATE);
    ck_assert_int_eq(tb_plane_of_sight((TbSight){a, {0, INFINITY, 0}, b}, &plane, &fault),
                     TB_E_DEGENERATE);
    ck_assert_int_eq(tb_plane_of_sight((TbSight){c, {0, 1, 0}, b}, &plane, &fault), TB_E_RANGE);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("geom/plane");
    TCase *c = tcase_create("plane");

    tcase_add_test(c, plane_through_three_points_holds_them);
    tcase_add_test(c, points_in_any_order_give_the_same_view);
    tcase_add_loop_test(c, plane_along_the_axes_lies_on_paper_as_the_usual_view_does, 0,
                        (int)(sizeof usual / sizeof usual[0]));
    tcase_add_test(c, plane_square_to_a_line_has_the_line_as_its_look);
    tcase_add_test(c, given_up_stands_up);
    tcase_add_test(c, up_towards_the_reader_is_replaced);
    tcase_add_test(c, points_on_a_line_are_refused_with_the_distance);
    tcase_add_test(c, line_without_length_is_refused_with_its_length);
    tcase_add_test(c, numbers_without_sense_are_refused);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
