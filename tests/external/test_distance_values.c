/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Distances whose values are known: closed forms that stand beside each row. Curved things are
 * stood in for by inscribed polygons and meshes; the allowance is how far those stray, by the
 * sagitta r (1 - cos(pi / n)) of n chords to a circle.
 */
#include "../geom/mesh_scenes.h"
#include "geom/tree.h"
#include "tap.h"

static const double pi = 3.14159265358979323846;

/** Rounding of one distance between coordinates of about 100. */
#define ROUNDED 1e-12

/* ---- segments ---- */

static const struct {
    TbVec3 p0, p1, q0, q1;
    double distance;
    double s, t; /**< where on both, below 0: any */
} segments[] = {
    /* crossing in plan, one above the other */
    {{0, 0, 0}, {10, 0, 0}, {5, 5, 3}, {5, -5, 3}, 3, 0.5, 0.5},
    /* end to end: sqrt(2^2 + 3^2) */
    {{0, 0, 0}, {10, 0, 0}, {12, 3, 0}, {12, 3, 8}, 3.6055512754639891, 1, 0},
    /* parallel */
    {{0, 0, 0}, {10, 0, 0}, {0, 4, 0}, {10, 4, 0}, 4, -1, -1},
    /* parallel, one behind the other: sqrt(4^2 + 3^2) */
    {{0, 0, 0}, {10, 0, 0}, {14, 3, 0}, {20, 3, 0}, 5, 1, 0},
    /* space and face diagonal of a cube of 4: 4 / sqrt(6) = sqrt(8 / 3) */
    {{0, 0, 0}, {4, 4, 4}, {4, 0, 0}, {0, 4, 0}, 1.6329931618554521, 1.0 / 3, 0.5},
    /* skew: |r . (d x e)| / |d x e| = 1400 / sqrt(11600), s = 13.6 / 29, t = 13 / 29 */
    {{0, 0, 0},
     {100, 0, 0},
     {20, 30, -40},
     {80, -10, 60},
     12.998673672393629,
     13.6 / 29,
     13.0 / 29},
    /* touching */
    {{0, 0, 0}, {10, 0, 0}, {5, 0, 0}, {5, 8, 0}, 0, 0.5, 0},
    /* x axis and (0, 10, 5) + t (1, 1, 1), long enough: 5 / sqrt(2) */
    {{-99, 0, 0}, {99, 0, 0}, {-50, -40, -45}, {50, 60, 55}, 3.5355339059327378, -1, -1},
};

START_TEST(segments_have_their_known_distance)
{
    TbNearest n =
        tb_segment_segment(segments[_i].p0, segments[_i].p1, segments[_i].q0, segments[_i].q1);
    TbVec3 a = tb_vec3_mix(segments[_i].p0, segments[_i].p1, segments[_i].s);
    TbVec3 b = tb_vec3_mix(segments[_i].q0, segments[_i].q1, segments[_i].t);

    ck_assert_double_eq_tol(n.distance, segments[_i].distance, ROUNDED);
    if (segments[_i].s >= 0) {
        ck_assert_double_eq_tol(tb_vec3_distance(n.a, a), 0, 1e2 * ROUNDED);
        ck_assert_double_eq_tol(tb_vec3_distance(n.b, b), 0, 1e2 * ROUNDED);
    }
}
END_TEST

/** A capsule is all that lies within r of a segment: distance of the segments, less both radii. */
START_TEST(capsules_are_segments_less_their_radii)
{
    double apart =
        tb_segment_segment(segments[5].p0, segments[5].p1, segments[5].q0, segments[5].q1).distance;

    ck_assert_double_eq_tol(apart - 5 - 3, 4.998673672393629, ROUNDED);
    ck_assert_double_eq_tol(apart - 12 - 8, -7.001326327606371, ROUNDED);
}
END_TEST

/* ---- triangles ---- */

static const TbVec3 first[3] = {{0, 0, 0}, {10, 0, 0}, {0, 10, 0}};

static const struct {
    TbVec3 p;
    double distance;
    TbVec3 foot;
} points[] = {
    {{2, 3, 5}, 5, {2, 3, 0}},                   /* face */
    {{-3, -4, 0}, 5, {0, 0, 0}},                 /* corner: sqrt(9 + 16) */
    {{13, -4, 0}, 5, {10, 0, 0}},                /* corner: sqrt(9 + 16) */
    {{0, 15, 12}, 13, {0, 10, 0}},               /* corner: sqrt(25 + 144) */
    {{5, -2, 4}, 4.4721359549995796, {5, 0, 0}}, /* side: sqrt(4 + 16) */
    {{-2, 5, 1}, 2.2360679774997898, {0, 5, 0}}, /* side: sqrt(4 + 1) */
    {{8, 8, 0}, 4.2426406871192848, {5, 5, 0}},  /* side: 6 / sqrt(2) */
    {{8, 8, 3}, 5.1961524227066320, {5, 5, 0}},  /* side: sqrt(18 + 9) */
    {{3, 3, 0}, 0, {3, 3, 0}},                   /* in it */
};

START_TEST(points_have_their_known_distance_to_a_triangle)
{
    TbNearest n = tb_point_triangle(points[_i].p, first);

    ck_assert_double_eq_tol(n.distance, points[_i].distance, ROUNDED);
    ck_assert_double_eq_tol(tb_vec3_distance(n.b, points[_i].foot), 0, ROUNDED);
}
END_TEST

static const struct {
    TbVec3 t[3];
    double distance;
} triangles[] = {
    {{{0, 0, 4}, {10, 0, 4}, {0, 10, 4}}, 4},                    /* parallel */
    {{{20, 0, 0}, {30, 0, 0}, {20, 10, 0}}, 10},                 /* in one plane */
    {{{2, 2, 3}, {2, 2, 9}, {3, 3, 9}}, 3},                      /* corner over face */
    {{{5, -3, -5}, {5, -3, 5}, {5, -9, 0}}, 3},                  /* side to side */
    {{{12, 5, 0}, {16, 9, 2}, {12, 12, 6}}, 4.9497474683058327}, /* corner to side: 7/sqrt(2) */
    {{{2, 3, -5}, {2, 3, 6}, {2.5, 3.5, 1}}, 0},                 /* pierces, no sides meet */
};

START_TEST(triangles_have_their_known_distance)
{
    ck_assert_double_eq_tol(tb_triangle_triangle(first, triangles[_i].t).distance,
                            triangles[_i].distance, ROUNDED);
    ck_assert_double_eq_tol(tb_triangle_triangle(triangles[_i].t, first).distance,
                            triangles[_i].distance, ROUNDED);
}
END_TEST

/* ---- curved things, by chords ---- */

/** Torus about the z axis, R 50, r 10, of n by m; outward. */
static TbTree *
torus(uint32_t n, uint32_t m)
{
    Heap heap = {0};
    TbMesh *mesh;
    TbTree *tree = NULL;

    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = 0; k < m; k++) {
            double a = 2 * pi * i / n;
            double b = 2 * pi * k / m;
            double rho = 50 + 10 * cos(b);
            heap_vertex(&heap, tb_vec3(rho * cos(a), rho * sin(a), 10 * sin(b)));
        }
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = 0; k < m; k++) {
            uint32_t i1 = (i + 1) % n;
            uint32_t k1 = (k + 1) % m;
            heap_triangle(&heap, i * m + k, i1 * m + k, i1 * m + k1);
            heap_triangle(&heap, i * m + k, i1 * m + k1, i * m + k1);
        }
    mesh = heap_mesh(&heap);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

/** sqrt((rho - R)^2 + z^2) - r, with rho from the axis. */
static const struct {
    TbVec3 p;
    double distance; /**< negative inside */
} torus_points[] = {
    {{100, 0, 0}, 40},
    {{0, 0, 0}, 40},
    {{60, 80, 30}, 48.309518948453004},
    {{0, 0, 40}, 54.031242374328485},
    {{50, 0, 0}, -10},
    {{50, 0, 20}, 10},
};

START_TEST(points_have_their_known_distance_to_a_torus)
{
    for (uint32_t fine = 1; fine <= 4; fine *= 2) {
        TbTree *tree = torus(90 * fine, 60 * fine);
        double allowed = 60 * (1 - cos(pi / (90 * fine))) + 10 * (1 - cos(pi / (60 * fine)));
        for (size_t i = 0; i < sizeof torus_points / sizeof torus_points[0]; i++) {
            TbVec3 p = torus_points[i].p;
            double sign = tb_tree_winding(tree, p) > 0.5 ? -1 : 1;
            double d = sign * tb_tree_nearest(tree, p, INFINITY).nearest.distance;
            ck_assert_double_eq_tol(d, torus_points[i].distance, allowed);
        }
        tb_tree_unref(tree);
    }
}
END_TEST

/** Pappus: 2 pi^2 R r^2, and 4 pi^2 R r; both miss by the square of the fineness. */
START_TEST(volume_and_area_of_a_torus_converge_to_pappus)
{
    double volume[2], area[2];

    for (uint32_t fine = 0; fine < 2; fine++) {
        TbTree *tree = torus(150 << fine, 100 << fine);
        volume[fine] = 2 * pi * pi * 50 * 100 - tb_mesh_facts(tb_tree_mesh(tree)).volume;
        area[fine] = 4 * pi * pi * 50 * 10 - tb_mesh_facts(tb_tree_mesh(tree)).area;
        tb_tree_unref(tree);
    }
    ck_assert_double_eq_tol(volume[0] / volume[1], 4, 0.01);
    ck_assert_double_eq_tol(area[0] / area[1], 4, 0.01);
    ck_assert_double_lt(volume[1], 1e-3 * 2 * pi * pi * 50 * 100);
}
END_TEST

#define CHORDS 720

static void
circle(TbVec3 centre, TbVec3 u, TbVec3 v, double radius, TbVec3 out[CHORDS + 1])
{
    for (int i = 0; i <= CHORDS; i++) {
        double a = 2 * pi * (i % CHORDS) / CHORDS;
        out[i] =
            tb_vec3_add_scaled(tb_vec3_add_scaled(centre, radius * cos(a), u), radius * sin(a), v);
    }
}

static double
polygon_distance(const TbVec3 a[CHORDS + 1], const TbVec3 b[CHORDS + 1])
{
    double best = INFINITY;

    for (int i = 0; i < CHORDS; i++)
        for (int k = 0; k < CHORDS; k++)
            best = fmin(best, tb_segment_segment(a[i], a[i + 1], b[k], b[k + 1]).distance);
    return best;
}

START_TEST(circles_have_their_known_distance)
{
    TbVec3 x = {1, 0, 0}, y = {0, 1, 0}, z = {0, 0, 1};
    TbVec3 a[CHORDS + 1], b[CHORDS + 1];
    double allowed = 100 * (1 - cos(pi / CHORDS));

    /* on one axis, 40 apart: sqrt((50 - 20)^2 + 40^2) */
    circle(tb_vec3(0, 0, 0), x, y, 50, a);
    circle(tb_vec3(0, 0, 40), x, y, 20, b);
    ck_assert_double_eq_tol(polygon_distance(a, b), 50, allowed);
    /* linked: one runs through the other's centre, square to its plane */
    circle(tb_vec3(50, 0, 0), x, z, 30, b);
    ck_assert_double_eq_tol(polygon_distance(a, b), 30, allowed);
}
END_TEST

/** Ellipse of half axes 30 and 20. */
static const struct {
    double x, y, distance;
} ellipse_points[] = {
    {50, 0, 20},
    {0, 50, 30},
    {40, 30, 24.083189157584592}, /* root of the normal's equation, to 1e-12 */
    {0, 0, 20},
    {20, 0, 10},
    {5, 0, 19.493588689617929}, /* off the axis: b sqrt(1 - x^2 / (a^2 - b^2)) */
};

START_TEST(points_have_their_known_distance_to_an_ellipse)
{
    const int n = 20000;

    for (size_t i = 0; i < sizeof ellipse_points / sizeof ellipse_points[0]; i++) {
        TbVec3 p = {ellipse_points[i].x, ellipse_points[i].y, 0};
        TbVec3 last = {30, 0, 0};
        double best = INFINITY;
        for (int k = 1; k <= n; k++) {
            TbVec3 next = {30 * cos(2 * pi * k / n), 20 * sin(2 * pi * k / n), 0};
            best = fmin(best, tb_point_segment(p, last, next).distance);
            last = next;
        }
        /* an affine image of a circle of 30 strays no further than the circle's chords */
        ck_assert_double_eq_tol(best, ellipse_points[i].distance, 30 * (1 - cos(pi / n)));
    }
}
END_TEST

#define ROWS(table) (int)(sizeof(table) / sizeof(table)[0])

int
main(void)
{
    Suite *suite = suite_create("external/distance_values");
    TCase *tests = tcase_create("values");

    tcase_set_timeout(tests, 60);
    tcase_add_loop_test(tests, segments_have_their_known_distance, 0, ROWS(segments));
    tcase_add_test(tests, capsules_are_segments_less_their_radii);
    tcase_add_loop_test(tests, points_have_their_known_distance_to_a_triangle, 0, ROWS(points));
    tcase_add_loop_test(tests, triangles_have_their_known_distance, 0, ROWS(triangles));
    tcase_add_test(tests, points_have_their_known_distance_to_a_torus);
    tcase_add_test(tests, volume_and_area_of_a_torus_converge_to_pappus);
    tcase_add_test(tests, circles_have_their_known_distance);
    tcase_add_test(tests, points_have_their_known_distance_to_an_ellipse);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
