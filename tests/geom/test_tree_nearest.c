/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Nearest triangles by walks of floats against every triangle tried in doubles: the same triangle,
 * the same bits, on the plain path and with AVX2, one point at a time and a lattice at once.
 */
#include "geom/lanes.h"
#include "geom/tree.h"
#include "mesh_scenes.h"
#include "tap.h"

#include <string.h>

enum { MOST_POINTS = 700 };

static TbTreeHit
slow_nearest(const TbMesh *mesh, TbVec3 p, double beyond)
{
    TbTreeHit best = {{beyond, p, p}, UINT32_MAX, UINT32_MAX};

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];
        TbNearest near;

        tb_mesh_corners(mesh, i, t);
        near = tb_point_triangle(p, t);
        if (near.distance < best.nearest.distance ||
            (near.distance <= best.nearest.distance && best.triangle == UINT32_MAX))
            best = (TbTreeHit){near, (uint32_t)i, 0};
    }
    if (best.triangle == UINT32_MAX)
        best.nearest.distance = (double)INFINITY;
    return best;
}

/* ---- scenes ---- */

/** What a scene is made of: its size, and how far from the origin it is. */
typedef struct Scene {
    Heap heap;
    double size;
    TbVec3 at;
} Scene;

static void
add_holed_ball(Scene *scene, Dice *dice)
{
    size_t from = scene->heap.triangles;
    double radius = scene->size * dice_between(dice, 0.2, 0.9);
    TbVec3 off = tb_vec3_add(scene->at, dice_point(dice, 0.3 * scene->size));

    heap_ball(&scene->heap, off, radius, 3 + dice_below(dice, 4), 3 + dice_below(dice, 7));
    if (dice_below(dice, 2) == 0) /* a hole: some triangles gone */
        scene->heap.triangles -= (scene->heap.triangles - from) / 3;
    if (dice_below(dice, 2) == 0) /* nested: a smaller one in it */
        heap_ball(&scene->heap, off, 0.7 * radius, 3, 5);
}

static void
add_block(Scene *scene, Dice *dice)
{
    TbVec3 a = tb_vec3_add(scene->at, dice_point(dice, scene->size));
    TbVec3 b = tb_vec3_add(scene->at, dice_point(dice, scene->size));

    if (dice_below(dice, 4) == 0)
        b.z = a.z; /* no height: needles of no area, and everything twice */
    heap_block(&scene->heap, a, b);
}

static void
add_soup(Scene *scene, Dice *dice)
{
    size_t from = scene->heap.vertices;
    double reach = scene->size * pow(10, dice_between(dice, -2, 0.3));

    heap_soup(&scene->heap, dice, 1 + (size_t)dice_below(dice, 90), scene->size, reach);
    for (size_t i = from; i < scene->heap.vertices; i++)
        scene->heap.vertex[i] = tb_vec3_add(scene->heap.vertex[i], scene->at);
}

static Scene
roll_scene(Dice *dice)
{
    Scene scene = {.size = pow(10, dice_between(dice, -3, 3.5))};
    int kinds = 1 + dice_below(dice, 7);

    if (dice_below(dice, 3) == 0)
        scene.at = tb_vec3_scale(tb_vec3_unit(dice_point(dice, 1)), 9.9e3);
    if (dice_below(dice, 3) == 0)
        scene.at = dice_point(dice, 10 * scene.size);
    if (scene.size > 900)
        scene.at = tb_vec3(0, 0, 0);
    if (kinds & 1)
        add_soup(&scene, dice);
    if (kinds & 2)
        add_holed_ball(&scene, dice);
    if (kinds & 4)
        add_block(&scene, dice);
    return scene;
}

/** A bent sheet of points, or points all over the place, or the same one again and again; some on
 * the mesh. */
static void
roll_points(Dice *dice, const Scene *scene, TbVec3 point[], size_t rows, size_t columns)
{
    TbVec3 from = dice_point(dice, 1.3 * scene->size), u = dice_point(dice, 1), v;
    double step = scene->size * pow(10, dice_between(dice, -3, -0.5));
    double bend = dice_between(dice, 0, 2 / (double)(columns + 1));
    int kind = dice_below(dice, 5);

    v = tb_vec3_cross(u, dice_point(dice, 1));
    for (size_t i = 0; i < rows; i++)
        for (size_t k = 0; k < columns; k++) {
            double x = (double)i, y = sin(bend * (double)k) / (bend + 1e-9), z = (double)k * bend;
            TbVec3 *p = &point[i * columns + k];

            *p = tb_vec3_add_scaled(from, step * x, u);
            *p = tb_vec3_add_scaled(*p, step * y, v);
            *p = tb_vec3_add_scaled(*p, step * z * z, tb_vec3_cross(u, v));
            if (kind == 0)
                *p = dice_point(dice, 1.5 * scene->size);
            if (kind == 1)
                *p = from;
            *p = tb_vec3_add(*p, scene->at);
            if (dice_below(dice, 12) == 0)
                *p = scene->heap.vertex[(size_t)dice_below(dice, (int)scene->heap.vertices)];
            if (dice_below(dice, 25) == 0)
                *p = tb_vec3_mix(*p, scene->heap.vertex[0], 0.5);
        }
}

/* ---- checks ---- */

static void
check_hit(const TbTree *tree, TbTreeHit got, TbTreeHit want)
{
    ck_assert_uint_eq(got.triangle, want.triangle);
    ck_assert(memcmp(&got.nearest, &want.nearest, sizeof want.nearest) == 0);
    if (want.triangle == UINT32_MAX)
        ck_assert_uint_eq(got.place, UINT32_MAX);
    else
        ck_assert_uint_eq(tb_tree_numbers(tree)[got.place], got.triangle);
}

/** One path: the one that the processor has, or the plain one. */
static void
check_path(const TbTree *tree, const TbTreeLattice *lattice, const TbTreeHit want[])
{
    static TbTreeHit got[MOST_POINTS];
    size_t count = lattice->rows * lattice->columns;

    memset(got, 0x5a, sizeof got);
    tb_tree_nearest_many(tree, lattice, got);
    for (size_t i = 0; i < count; i++) {
        double beyond = lattice->beyond == NULL ? (double)INFINITY : lattice->beyond[i];

        check_hit(tree, got[i], want[i]);
        if (i % 3 == 0)
            check_hit(tree, tb_tree_nearest(tree, lattice->points[i], beyond), want[i]);
    }
    ck_assert(count == MOST_POINTS || got[count].triangle == 0x5a5a5a5a);
}

/** Both paths; where the processor has no AVX2 the plain one runs twice, and says nothing new. */
static void
check_lattice(const TbTree *tree, const TbTreeLattice *lattice, const TbTreeHit want[])
{
    check_path(tree, lattice, want);
    tb_lanes_force_plain(1);
    ck_assert_int_eq(tb_lanes_in_use(), TB_LANES_PLAIN);
    check_path(tree, lattice, want);
    tb_lanes_force_plain(0);
}

/** @param limits also with an end for every point, about where its nearest triangle is */
static void
check_all(TbMesh *mesh, const TbVec3 point[], size_t rows, size_t columns, Dice *limits)
{
    static TbTreeHit want[MOST_POINTS];
    static double beyond[MOST_POINTS];
    TbTreeLattice lattice = {point, rows, columns, NULL};
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    for (size_t i = 0; i < rows * columns; i++)
        want[i] = slow_nearest(mesh, point[i], (double)INFINITY);
    check_lattice(tree, &lattice, want);
    for (size_t i = 0; i < rows * columns && limits != NULL; i++) {
        int kind = dice_below(limits, 4);

        beyond[i] = want[i].nearest.distance;
        if (kind == 1)
            beyond[i] *= dice_between(limits, 0.5, 1.5);
        if (kind == 2)
            beyond[i] = nextafter(beyond[i], 0);
        if (kind == 3)
            beyond[i] = (double)INFINITY;
        if (beyond[i] < want[i].nearest.distance)
            want[i] = slow_nearest(mesh, point[i], beyond[i]);
    }
    lattice.beyond = beyond;
    if (limits != NULL)
        check_lattice(tree, &lattice, want);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
}

/* ---- tests ---- */

enum { SCENES = 700 };

START_TEST(every_answer_is_that_of_all_triangles_tried)
{
    static TbVec3 point[MOST_POINTS];
    Dice dice = {100 + (uint64_t)_i};

    for (int i = 0; i < SCENES; i++) {
        Scene scene = roll_scene(&dice);
        size_t rows = 1 + (size_t)dice_below(&dice, 9);
        size_t columns = 1 + (size_t)dice_below(&dice, 7);

        roll_points(&dice, &scene, point, rows, columns);
        check_all(heap_mesh(&scene.heap), point, rows, columns, &dice);
    }
}
END_TEST

static const struct {
    size_t rows, columns;
} shapes[] = {{0, 7}, {1, 1}, {1, 301}, {301, 1}, {17, 41}, {97, 7}, {5, 131}};

START_TEST(lattices_of_any_shape_are_cut_into_packets_that_cover_them)
{
    static TbVec3 point[MOST_POINTS];
    Dice dice = {200 + (uint64_t)_i};

    for (int i = 0; i < 3; i++) {
        Scene scene = {.size = 87.3};

        add_holed_ball(&scene, &dice);
        add_soup(&scene, &dice);
        roll_points(&dice, &scene, point, shapes[_i].rows, shapes[_i].columns);
        check_all(heap_mesh(&scene.heap), point, shapes[_i].rows, shapes[_i].columns, &dice);
    }
}
END_TEST

/** More boxes, leaves and rivals in one place than a packet or a point can hold at a time. */
START_TEST(heaps_in_one_place_overflow_nothing)
{
    static TbVec3 point[MOST_POINTS];
    Dice dice = {300 + (uint64_t)_i};
    Scene scene = {.size = 3.1};
    TbVec3 t[3] = {{1.3, 2.9, 3.1}, {11.3, 2.9, 7.1}, {1.3, 12.9, -3.1}};

    for (int i = 0; i < 11000; i++) {
        uint32_t v[3];

        for (int k = 0; k < 3; k++)
            v[k] = heap_vertex(&scene.heap, _i == 0 ? t[k] : dice_point(&dice, 3.1));
        heap_triangle(&scene.heap, v[0], v[1], v[2]);
    }
    roll_points(&dice, &scene, point, 9, 4);
    check_all(heap_mesh(&scene.heap), point, 9, 4, NULL);
}
END_TEST

/** A corner of many triangles, seen from where it is the nearest point of all of them. */
START_TEST(ties_about_a_corner_go_to_the_lowest_number)
{
    for (int first = 0; first < 40; first += 7) {
        Heap heap = {0};
        uint32_t top = heap_vertex(&heap, tb_vec3(3.1, -7.7, 12.9)), rim[40];
        TbVec3 point[3] = {{3.1, -7.7, 91.3}, {3.1004, -7.7001, 31.3}, {3.1, -7.7, 12.9}};

        for (int k = 0; k < 40; k++)
            rim[k] =
                heap_vertex(&heap, tb_vec3(3.1 + 9.3 * cos(0.157 * k), -7.7 + 9.3 * sin(0.157 * k),
                                           12.9 - 4.1 - 0.1 * (k % 3)));
        for (int k = first; k < first + 40; k++)
            heap_triangle(&heap, rim[k % 40], rim[(k + 1) % 40], top);
        check_all(heap_mesh(&heap), point, 1, 3, NULL);
    }
}
END_TEST

/** The same corners as different triangles: two zeros, two doubles that are the same float. */
START_TEST(corners_that_floats_cannot_tell_apart_are_told_apart)
{
    Heap heap = {0};
    Dice dice = {400};
    static TbVec3 point[MOST_POINTS];

    for (int i = 0; i < 60; i++) {
        double off = 1e-9 * dice_between(&dice, -1, 1);
        uint32_t a = heap_vertex(&heap, tb_vec3(8131.7 + off, 0.0, i % 2 == 0 ? 0.0 : -0.0));
        uint32_t b = heap_vertex(&heap, tb_vec3(8134.7, off, 5.1 + off));
        uint32_t c = heap_vertex(&heap, tb_vec3(8133.7 - off, 4.9 + off, -1.3));

        heap_triangle(&heap, a, b, c);
    }
    for (int i = 0; i < 120; i++)
        point[i] = tb_vec3_add(tb_vec3(8131.7, 1, 1), dice_point(&dice, i < 60 ? 40 : 4));
    check_all(heap_mesh(&heap), point, 12, 10, NULL);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/tree_nearest");
    TCase *tests = tcase_create("tree_nearest");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, every_answer_is_that_of_all_triangles_tried, 0, 6);
    tcase_add_loop_test(tests, lattices_of_any_shape_are_cut_into_packets_that_cover_them, 0, 7);
    tcase_add_loop_test(tests, heaps_in_one_place_overflow_nothing, 0, 2);
    tcase_add_test(tests, ties_about_a_corner_go_to_the_lowest_number);
    tcase_add_test(tests, corners_that_floats_cannot_tell_apart_are_told_apart);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
