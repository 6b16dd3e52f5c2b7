/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "base/mem.h"
#include "geom/polygon.h"
#include "geom/tol.h"

#include <gsl/gsl_rng.h>
#include <string.h>

/** An L of 31.7 x 23.9 with a corner of 12.3 x 9.1 left out. */
static const TbVec2 ell[6] = {{4.1, -2.7},  {35.8, -2.7}, {35.8, 12.1},
                              {23.5, 12.1}, {23.5, 21.2}, {4.1, 21.2}};
#define ELL_AREA (31.7 * 23.9 - 12.3 * 9.1)

/** Star-shaped about (3.7, -1.9): simple whatever the radii. */
static size_t
random_star(gsl_rng *rng, TbVec2 p[])
{
    size_t count = 3 + gsl_rng_uniform_int(rng, 40);

    for (size_t i = 0; i < count; i++) {
        double angle = 2 * M_PI * ((double)i + 0.8 * gsl_rng_uniform(rng)) / (double)count;
        double radius = 2 + 60 * gsl_rng_uniform(rng);

        p[i] = tb_vec2(3.7 + radius * cos(angle), -1.9 + radius * sin(angle));
    }
    return count;
}

static void
reverse(TbVec2 p[], size_t count)
{
    for (size_t i = 0; i < count / 2; i++) {
        TbVec2 swap = p[i];

        p[i] = p[count - 1 - i];
        p[count - 1 - i] = swap;
    }
}

START_TEST(area_is_signed_and_exact_far_from_the_origin)
{
    TbVec2 far[6];

    for (size_t i = 0; i < 6; i++)
        far[i] = tb_vec2_add(ell[i], tb_vec2(8765.4321, -9123.7));
    ck_assert_double_eq_tol(tb_polygon_area(ell, 6), ELL_AREA, 1e-12 * ELL_AREA);
    ck_assert_double_eq_tol(tb_polygon_area(far, 6), ELL_AREA, 1e-9);
    reverse(far, 6);
    ck_assert_double_eq_tol(tb_polygon_area(far, 6), -ELL_AREA, 1e-9);
}
END_TEST

START_TEST(centroid_is_that_of_the_whole_less_the_part)
{
    /* rectangle less corner, by first moments */
    double whole = 31.7 * 23.9;
    double part = 12.3 * 9.1;
    double x = (whole * (4.1 + 31.7 / 2) - part * (35.8 - 12.3 / 2)) / ELL_AREA;
    double y = (whole * (-2.7 + 23.9 / 2) - part * (21.2 - 9.1 / 2)) / ELL_AREA;
    TbVec2 c = tb_polygon_centroid(ell, 6);

    ck_assert_double_eq_tol(c.x, x, 1e-12 * 30);
    ck_assert_double_eq_tol(c.y, y, 1e-12 * 30);
}
END_TEST

START_TEST(centroid_of_points_in_a_row_is_their_mean)
{
    const TbVec2 row[3] = {{1.25, 2.5}, {3.25, 6.5}, {2.25, 4.5}};
    TbVec2 c = tb_polygon_centroid(row, 3);

    ck_assert_double_eq_tol(c.x, 2.25, 1e-12);
    ck_assert_double_eq_tol(c.y, 4.5, 1e-12);
}
END_TEST

START_TEST(simple_polygon_passes_the_check_both_ways_round)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbVec2 p[64];

    gsl_rng_set(rng, 7129);
    for (int i = 0; i < 300; i++) {
        size_t count = random_star(rng, p);

        if (count < 5)
            continue; /* a wide gap may put the centre outside */
        ck_assert_int_eq(tb_polygon_check(p, count, NULL), TB_OK);
        reverse(p, count);
        ck_assert_int_eq(tb_polygon_check(p, count, NULL), TB_OK);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(check_names_what_is_wrong)
{
    const TbVec2 bow[4] = {{0.3, 0.1}, {10.7, 8.9}, {10.7, 0.1}, {0.3, 8.9}};
    const TbVec2 twice[4] = {{0.3, 0.1}, {9.7, 0.1}, {9.7, 8.3}, {0.3, 0.1 + 1e-6}};
    const TbVec2 fold[4] = {{0.3, 0.1}, {20.3, 0.1}, {10.3, 0.1}, {5.7, 9.1}};
    /* the third corner stands on the first edge */
    const TbVec2 touch[5] = {{0.3, 0.1}, {20.3, 0.1}, {20.3, 7.7}, {9.1, 0.1}, {0.3, 7.7}};
    TbFault fault = {0};

    ck_assert_int_eq(tb_polygon_check(bow, 4, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "edges 1 and 3 cross or touch");
    ck_assert_int_eq(tb_polygon_check(twice, 4, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "points 1 and 4 lie in one place");
    ck_assert_int_eq(tb_polygon_check(fold, 4, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "edges 1 and 2 fold onto each other");
    ck_assert_int_eq(tb_polygon_check(touch, 5, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "edges 1 and 3 cross or touch");
    ck_assert_int_eq(tb_polygon_check(bow, 2, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "a polygon needs 3 points, 2 given");
}
END_TEST

START_TEST(holds_and_edge_distance_agree_with_the_closed_form_of_an_ell)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 991);
    for (int i = 0; i < 5000; i++) {
        TbVec2 q = {-5 + 50 * gsl_rng_uniform(rng), -10 + 40 * gsl_rng_uniform(rng)};
        bool inside =
            q.x > 4.1 && q.x < 35.8 && q.y > -2.7 && q.y < 21.2 && !(q.x > 23.5 && q.y > 12.1);

        ck_assert_int_eq(tb_polygon_holds(ell, 6, q), inside);
    }
    gsl_rng_free(rng);
    ck_assert_double_eq_tol(tb_polygon_edge_distance(ell, 6, tb_vec2(26.5, 16.1)), 3, 1e-12);
    ck_assert_double_eq_tol(tb_polygon_edge_distance(ell, 6, tb_vec2(38.8, -6.7)), 5, 1e-12);
    ck_assert_double_eq_tol(tb_polygon_edge_distance(ell, 6, tb_vec2(5.6, 7.3)), 1.5, 1e-12);
}
END_TEST

START_TEST(depth_is_the_edge_distance_with_the_side_as_its_sign)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbVec2 p[64];

    gsl_rng_set(rng, 5077);
    for (int i = 0; i < 300; i++) {
        size_t count = random_star(rng, p);

        for (int k = 0; k < 40; k++) {
            TbVec2 q = {60 * gsl_rng_uniform(rng) - 30, 60 * gsl_rng_uniform(rng) - 30};
            double edge = tb_polygon_edge_distance(p, count, q);

            ck_assert_double_eq_tol(tb_polygon_depth(p, count, q),
                                    tb_polygon_holds(p, count, q) ? edge : -edge, 1e-12);
        }
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(triangles_fill_the_polygon_and_turn_left)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbVec2 p[64];
    size_t triangles[3 * 64];

    gsl_rng_set(rng, 40127);
    for (int i = 0; i < 1000; i++) {
        size_t count = random_star(rng, p);
        double sum = 0;

        if (tb_polygon_check(p, count, NULL) != TB_OK)
            continue;
        if (i % 2 == 1)
            reverse(p, count);
        ck_assert_int_eq(tb_polygon_triangulate(p, count, triangles, NULL), TB_OK);
        for (size_t k = 0; k + 2 < count; k++) {
            const TbVec2 t[3] = {p[triangles[3 * k]], p[triangles[3 * k + 1]],
                                 p[triangles[3 * k + 2]]};
            double area = tb_polygon_area(t, 3);

            ck_assert_double_ge(area, 0);
            sum += area;
        }
        ck_assert_double_eq_tol(sum, fabs(tb_polygon_area(p, count)), 1e-9);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(points_in_a_row_are_triangulated_too)
{
    /* a comb whose back carries points in a row, also next to the corners */
    const TbVec2 comb[12] = {{0.1, 0.2},  {7.3, 0.2},  {14.9, 0.2}, {22.7, 0.2},
                             {22.7, 9.4}, {17.1, 9.4}, {17.1, 3.3}, {11.9, 3.3},
                             {11.9, 9.4}, {6.7, 9.4},  {6.7, 3.3},  {0.1, 3.3}};
    size_t triangles[30];
    double sum = 0;

    ck_assert_int_eq(tb_polygon_triangulate(comb, 12, triangles, NULL), TB_OK);
    for (size_t k = 0; k < 10; k++) {
        const TbVec2 t[3] = {comb[triangles[3 * k]], comb[triangles[3 * k + 1]],
                             comb[triangles[3 * k + 2]]};

        ck_assert_double_gt(tb_polygon_area(t, 3), 1);
        sum += tb_polygon_area(t, 3);
    }
    ck_assert_double_eq_tol(sum, tb_polygon_area(comb, 12), 1e-12 * 200);
}
END_TEST

START_TEST(pieces_are_convex_and_fill_the_polygon)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbVec2 p[64];
    TbCorners pieces[64];
    size_t quads = 0;

    gsl_rng_set(rng, 5501);
    for (int i = 0; i < 500; i++) {
        size_t count = random_star(rng, p);
        size_t used = 0;
        double sum = 0;

        if (tb_polygon_check(p, count, NULL) != TB_OK)
            continue;
        ck_assert_int_eq(tb_polygon_split(p, count, pieces, &used, NULL), TB_OK);
        for (size_t k = 0; k < used; k++) {
            TbVec2 q[4];
            int corners = pieces[k].count;

            ck_assert_int_ge(corners, 3);
            ck_assert_int_le(corners, 4);
            quads += corners == 4;
            for (int c = 0; c < corners; c++)
                q[c] = p[pieces[k].corner[c]];
            for (int c = 0; c < corners; c++)
                ck_assert_double_ge(tb_vec2_cross(tb_vec2_sub(q[(c + 1) % corners], q[c]),
                                                  tb_vec2_sub(q[(c + 2) % corners], q[c])),
                                    0);
            sum += tb_polygon_area(q, (size_t)corners);
        }
        ck_assert_double_eq_tol(sum, fabs(tb_polygon_area(p, count)), 1e-9);
    }
    ck_assert_uint_gt(quads, 500);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(convex_four_corners_stay_one_piece)
{
    const TbVec2 p[4] = {{0.3, 0.1}, {9.7, 1.1}, {8.9, 7.7}, {-1.1, 6.3}};
    TbCorners pieces[2];
    size_t used = 0;

    ck_assert_int_eq(tb_polygon_split(p, 4, pieces, &used, NULL), TB_OK);
    ck_assert_uint_eq(used, 1);
    ck_assert_int_eq(pieces[0].count, 4);
}
END_TEST

START_TEST(loops_nest_by_depth_also_where_they_touch)
{
    /* A holds B, B holds C; D stands apart and shares a corner and part of a side with A */
    const TbVec2 p[16] = {
        {0, 0},       {40.3, 0},    {40.3, 30.7}, {0, 30.7},    /* A */
        {5.1, 5.2},   {30.2, 5.2},  {30.2, 25.1}, {5.1, 25.1},  /* B */
        {5.1, 9.7},   {12.3, 9.7},  {12.3, 20.9}, {5.1, 20.9},  /* C, touches B's side inside */
        {40.3, 10.1}, {44.9, 10.1}, {44.9, 30.7}, {40.3, 30.7}, /* D */
    };
    const TbLoopSpan loops[4] = {{8, 4}, {0, 4}, {12, 4}, {4, 4}};
    int depth[4] = {-1, -1, -1, -1};

    tb_polygon_nest(p, loops, 4, depth);
    ck_assert_int_eq(depth[0], 2);
    ck_assert_int_eq(depth[1], 0);
    ck_assert_int_eq(depth[2], 0);
    ck_assert_int_eq(depth[3], 1);
}
END_TEST

/* Points in a disc, on a coarse grid (many in rows and places, without rounding), or on a slant
 * line. */
static size_t
random_cloud(gsl_rng *rng, TbVec2 p[], int kind)
{
    size_t count = 1 + gsl_rng_uniform_int(rng, 60);

    for (size_t i = 0; i < count; i++) {
        double x = 80 * gsl_rng_uniform(rng) - 33.7, y = 80 * gsl_rng_uniform(rng) + 11.9;

        if (kind == 0)
            p[i] = tb_vec2(x, y);
        else if (kind == 1)
            p[i] = tb_vec2(0.75 * floor(x / 9), 1.25 * floor(y / 9));
        else
            p[i] = tb_vec2(x, 0.37 * x - 5.1);
    }
    return count;
}

static double
turn_at(const TbVec2 p[], size_t count, size_t i)
{
    TbVec2 a = p[i], b = p[(i + 1) % count], c = p[(i + 2) % count];

    return tb_vec2_cross(tb_vec2_sub(b, a), tb_vec2_sub(c, b));
}

START_TEST(a_hull_is_made_of_the_points_turns_left_and_has_none_outside)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbVec2 p[60], hull[120];

    for (int round = 0; round < 1500; round++) {
        size_t count = random_cloud(rng, p, round % 2), used = tb_polygon_hull(p, count, hull);

        ck_assert(used >= 1 && used <= count);
        for (size_t i = 0; i < used; i++) {
            size_t k = 0;

            while (k < count && memcmp(&p[k], &hull[i], sizeof *p) != 0)
                k++;
            ck_assert_uint_lt(k, count);
            if (used > 2)
                ck_assert_double_gt(turn_at(hull, used, i), 0);
            for (k = 0; k < count; k++)
                /* mm^2: rounding of products of a hundred millimetres */
                ck_assert_double_ge(tb_vec2_cross(tb_vec2_sub(hull[(i + 1) % used], hull[i]),
                                                  tb_vec2_sub(p[k], hull[i])),
                                    -1e-11);
        }
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(the_hull_of_a_hull_is_itself_whatever_the_order)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbVec2 p[60], once[120], twice[120], again[240];

    for (int round = 0; round < 1000; round++) {
        size_t count = random_cloud(rng, p, round % 2), used = tb_polygon_hull(p, count, once);

        memcpy(twice, once, used * sizeof *once);
        reverse(twice, used);
        ck_assert_uint_eq(tb_polygon_hull(twice, used, again), used);
        ck_assert_mem_eq(again, once, used * sizeof *once);
        reverse(p, count);
        ck_assert_uint_eq(tb_polygon_hull(p, count, again), used);
        ck_assert_mem_eq(again, once, used * sizeof *once);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_hull_of_points_in_a_row_is_their_ends_and_of_one_place_that_place)
{
    TbVec2 row[4] = {{1.25, 2.5}, {3.25, 6.5}, {2.25, 4.5}, {1.25, 2.5}};
    TbVec2 upright[3] = {{4.5, 7.25}, {4.5, -1.75}, {4.5, 3.5}};
    TbVec2 place[3] = {{43.7, -2.6}, {43.7, -2.6}, {43.7, -2.6}};
    TbVec2 hull[8] = {{0}};

    ck_assert_uint_eq(tb_polygon_hull(row, 4, hull), 2);
    ck_assert_double_eq(hull[0].x, 1.25);
    ck_assert_double_eq(hull[1].x, 3.25);
    ck_assert_uint_eq(tb_polygon_hull(upright, 3, hull), 2);
    ck_assert_double_eq(hull[0].y, -1.75);
    ck_assert_double_eq(hull[1].y, 7.25);
    ck_assert_uint_eq(tb_polygon_hull(place, 3, hull), 1);
    ck_assert_double_eq(hull[0].x, 43.7);
    ck_assert_uint_eq(tb_polygon_hull(place, 0, hull), 0);
}
END_TEST

START_TEST(a_rectangle_with_points_on_its_sides_is_its_four_corners)
{
    TbVec2 p[9], hull[18];
    const TbVec2 want[4] = {{-3.5, 1.25}, {9.5, 1.25}, {9.5, 6.75}, {-3.5, 6.75}};

    for (int i = 0; i < 9; i++)
        p[i] = tb_vec2(-3.5 + 6.5 * (i % 3), 1.25 + 2.75 * (i / 3));
    ck_assert_uint_eq(tb_polygon_hull(p, 9, hull), 4);
    ck_assert_mem_eq(hull, want, sizeof want);
}
END_TEST

/* A slant row is none to rounding: the chains below and above may then keep the same points, which
 * once would have been written beyond room for count + 1. */
START_TEST(a_row_that_rounding_bends_stays_within_its_room)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    const TbVec2 guard = {-7777.25, 7777.75};
    TbVec2 p[60], hull[121];
    size_t most = 0;

    for (int round = 0; round < 4000; round++) {
        size_t count = random_cloud(rng, p, 2), used;

        hull[2 * count] = guard;
        used = tb_polygon_hull(p, count, hull);
        ck_assert_mem_eq(&hull[2 * count], &guard, sizeof guard);
        ck_assert(count == 1 ? used == 1 : used >= 2);
        most = used > most ? used : most;
        for (size_t i = 0; i < used; i++)
            ck_assert_double_eq_tol(hull[i].y, 0.37 * hull[i].x - 5.1, 1e-12);
    }
    ck_assert_uint_gt(most, 2);
    gsl_rng_free(rng);
}
END_TEST

/* 3 along and 4 up is 5 long; a point 0.6 along and 0.8 up, plus its normal by 0.07, is 0.07 off.
 */
START_TEST(points_are_straight_by_how_far_they_lie_from_the_way_itself)
{
    TbVec2 from = {11.3, -7.1}, to = {14.3, -3.1};
    const TbVec2 beside[] = {{11.9 - 0.056, -6.3 + 0.042}, {13.1, -4.7}};
    const TbVec2 beyond[] = {{14.3 + 0.6, -3.1 + 0.8}};

    ck_assert(tb_points_are_straight(beside, 2, from, to, 0.07 + 1e-9));
    ck_assert(!tb_points_are_straight(beside, 2, from, to, 0.07 - 1e-9));
    ck_assert(!tb_points_are_straight(beyond, 1, from, to, 1 - 1e-9));
    ck_assert(tb_points_are_straight(beyond, 1, from, to, 1 + 1e-9));
    /* there and back again is a way, though it ends where it began */
    ck_assert(!tb_points_are_straight(&to, 1, from, from, 4.99));
    ck_assert(tb_points_are_straight(&to, 0, from, from, 0));
    ck_assert(!tb_points_are_straight(&(TbVec2){(double)NAN, 0}, 1, from, to, 1e6));
}
END_TEST

START_TEST(every_failed_allocation_is_reported)
{
    TbCorners pieces[4];
    size_t used = 0;
    long n = 0;
    TbStatus status;

    do {
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = tb_polygon_split(ell, 6, pieces, &used, &fault);
        tb_mem_fail_at(0);
        if (status != TB_OK) {
            ck_assert_int_eq(status, TB_E_MEMORY);
            ck_assert_str_eq(fault.text, "no room for a polygon of 6 points");
        }
    } while (status != TB_OK);
    ck_assert_int_eq(n, 4);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/polygon");
    TCase *tests = tcase_create("polygon");

    tcase_add_test(tests, area_is_signed_and_exact_far_from_the_origin);
    tcase_add_test(tests, centroid_is_that_of_the_whole_less_the_part);
    tcase_add_test(tests, centroid_of_points_in_a_row_is_their_mean);
    tcase_add_test(tests, simple_polygon_passes_the_check_both_ways_round);
    tcase_add_test(tests, check_names_what_is_wrong);
    tcase_add_test(tests, holds_and_edge_distance_agree_with_the_closed_form_of_an_ell);
    tcase_add_test(tests, depth_is_the_edge_distance_with_the_side_as_its_sign);
    tcase_add_test(tests, triangles_fill_the_polygon_and_turn_left);
    tcase_add_test(tests, points_in_a_row_are_triangulated_too);
    tcase_add_test(tests, pieces_are_convex_and_fill_the_polygon);
    tcase_add_test(tests, convex_four_corners_stay_one_piece);
    tcase_add_test(tests, loops_nest_by_depth_also_where_they_touch);
    tcase_add_test(tests, a_hull_is_made_of_the_points_turns_left_and_has_none_outside);
    tcase_add_test(tests, the_hull_of_a_hull_is_itself_whatever_the_order);
    tcase_add_test(tests, a_hull_of_points_in_a_row_is_their_ends_and_of_one_place_that_place);
    tcase_add_test(tests, a_rectangle_with_points_on_its_sides_is_its_four_corners);
    tcase_add_test(tests, a_row_that_rounding_bends_stays_within_its_room);
    tcase_add_test(tests, points_are_straight_by_how_far_they_lie_from_the_way_itself);
    tcase_add_test(tests, every_failed_allocation_is_reported);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
