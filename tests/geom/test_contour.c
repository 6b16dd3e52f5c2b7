/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/contour.h"

#include "base/mem.h"

#include "tap.h"

#include <math.h>

enum { COLUMNS = 83, ROWS = 61 };

static double value[COLUMNS * ROWS];
static TbContour contour;

static void
tear_down(void)
{
    tb_contour_clear(&contour);
}

static double
area_of(size_t loop)
{
    return tb_polygon_area(contour.points + contour.loops[loop].first, contour.loops[loop].count);
}

/** Squared distance from (31.7, 28.3), in nodes. */
static void
fill_bowl(void)
{
    for (int i = 0; i < COLUMNS; i++)
        for (int j = 0; j < ROWS; j++)
            value[i * ROWS + j] = pow(i - 31.7, 2) + pow(j - 28.3, 2);
}

/* A chord of linear interpolation lies within 1/8 of the second derivative of the true line. */
START_TEST(level_of_a_bowl_is_one_circle_counter_clockwise)
{
    fill_bowl();
    ck_assert_int_eq(tb_contour_below(&(TbGrid){value, COLUMNS, ROWS}, 17.3 * 17.3, &contour, NULL),
                     TB_OK);
    ck_assert_uint_eq(contour.loop_count, 1);
    /* off by that much, and by as much again for the chords of the loop */
    ck_assert_double_eq_tol(area_of(0), M_PI * 17.3 * 17.3, 2 * M_PI * 17.3 * 2 / (8 * 17.3));
    for (size_t i = 0; i < contour.point_count; i++)
        ck_assert_double_eq_tol(hypot(contour.points[i].x - 31.7, contour.points[i].y - 28.3), 17.3,
                                1 / (8 * 17.3) * 2);
}
END_TEST

START_TEST(hole_runs_the_other_way_round)
{
    double net = 0;

    fill_bowl();
    for (int i = 0; i < COLUMNS * ROWS; i++)
        value[i] = fabs(sqrt(value[i]) - 16.2);
    ck_assert_int_eq(tb_contour_below(&(TbGrid){value, COLUMNS, ROWS}, 4.6, &contour, NULL), TB_OK);
    ck_assert_uint_eq(contour.loop_count, 2);
    ck_assert_double_lt(area_of(0) * area_of(1), 0);
    net = area_of(0) + area_of(1);
    ck_assert_double_eq_tol(net, M_PI * (20.8 * 20.8 - 11.6 * 11.6), 1.5);
}
END_TEST

START_TEST(what_reaches_the_edge_closes_through_the_edge_nodes)
{
    for (int i = 0; i < COLUMNS; i++)
        for (int j = 0; j < ROWS; j++)
            value[i * ROWS + j] = i;
    ck_assert_int_eq(tb_contour_below(&(TbGrid){value, COLUMNS, ROWS}, 12.25, &contour, NULL),
                     TB_OK);
    ck_assert_uint_eq(contour.loop_count, 1);
    ck_assert_double_eq_tol(area_of(0), 12.25 * (ROWS - 1), 1e-9);
}
END_TEST

START_TEST(unknown_nodes_are_above_every_level)
{
    for (int i = 0; i < COLUMNS * ROWS; i++)
        value[i] = -3.7;
    for (int i = 40; i < COLUMNS; i++)
        for (int j = 0; j < ROWS; j++)
            value[i * ROWS + j] = NAN;
    ck_assert_int_eq(tb_contour_below(&(TbGrid){value, COLUMNS, ROWS}, 0, &contour, NULL), TB_OK);
    ck_assert_uint_eq(contour.loop_count, 1);
    ck_assert_double_eq_tol(area_of(0), 39 * (ROWS - 1), 1e-9);
}
END_TEST

/* Low at two corners across each other: the middle's mean decides whether they touch. */
START_TEST(saddle_is_joined_by_its_mean)
{
    double corner[4] = {-1, 3, 3, -1};

    ck_assert_int_eq(tb_contour_below(&(TbGrid){corner, 2, 2}, 0.5, &contour, NULL), TB_OK);
    ck_assert_uint_eq(contour.loop_count, 2);
    tb_contour_clear(&contour);
    ck_assert_int_eq(tb_contour_below(&(TbGrid){corner, 2, 2}, 1.5, &contour, NULL), TB_OK);
    ck_assert_uint_eq(contour.loop_count, 1);
    /* the square less two triangles with legs 3/8 */
    ck_assert_double_eq_tol(area_of(0), 1 - 0.375 * 0.375, 1e-12);
}
END_TEST

/* Whatever the numbers, the loops hold the nodes below the level and no others. */
START_TEST(random_numbers_give_loops_that_hold_just_the_nodes_below)
{
    unsigned seed = 7;

    for (int i = 0; i < COLUMNS * ROWS; i++) {
        seed = seed * 1664525u + 1013904223u;
        value[i] = (double)(seed >> 8) / (1 << 24);
    }
    ck_assert_int_eq(tb_contour_below(&(TbGrid){value, COLUMNS, ROWS}, 0.37, &contour, NULL),
                     TB_OK);
    for (int i = 1; i + 1 < COLUMNS; i++)
        for (int j = 1; j + 1 < ROWS; j++) {
            bool inside = false;

            for (size_t k = 0; k < contour.loop_count; k++)
                if (tb_polygon_holds(contour.points + contour.loops[k].first,
                                     contour.loops[k].count, tb_vec2(i, j)))
                    inside = !inside;
            ck_assert_int_eq(inside, value[i * ROWS + j] < 0.37);
        }
}
END_TEST

START_TEST(every_failed_allocation_is_reported)
{
    TbStatus status;
    long n = 0;

    fill_bowl();
    do {
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = tb_contour_below(&(TbGrid){value, COLUMNS, ROWS}, 300, &contour, &fault);
        tb_mem_fail_at(0);
        if (status != TB_OK) {
            ck_assert_int_eq(status, TB_E_MEMORY);
            ck_assert_ptr_null(contour.points);
            ck_assert_str_eq(fault.text, "no room to contour 83 x 61 nodes");
        }
    } while (status != TB_OK);
    ck_assert_int_gt(n, 3);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/contour");
    TCase *tests = tcase_create("contour");

    tcase_add_checked_fixture(tests, NULL, tear_down);
    tcase_add_test(tests, level_of_a_bowl_is_one_circle_counter_clockwise);
    tcase_add_test(tests, hole_runs_the_other_way_round);
    tcase_add_test(tests, what_reaches_the_edge_closes_through_the_edge_nodes);
    tcase_add_test(tests, unknown_nodes_are_above_every_level);
    tcase_add_test(tests, saddle_is_joined_by_its_mean);
    tcase_add_test(tests, random_numbers_give_loops_that_hold_just_the_nodes_below);
    tcase_add_test(tests, every_failed_allocation_is_reported);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
