/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Our distances against CGAL's, computed in exact rationals, on random input. */
#include "../geom/mesh_scenes.h"
#include "cgal_distance.h"
#include "geom/tree.h"
#include "tap.h"

#include <string.h>

/** CGAL asks for triangles with an area; needles stay in, down to a hundred-millionth. */
static void
dice_proper_triangle(Dice *dice, double reach, double out[9], TbVec3 t[3])
{
    do {
        dice_triangle(dice, reach, t);
    } while (tb_vec3_length(tb_vec3_cross(tb_vec3_sub(t[1], t[0]), tb_vec3_sub(t[2], t[0]))) <
             1e-8 * reach * reach);
    memcpy(out, t, 9 * sizeof *out);
}

static void
shift(TbVec3 t[3], double out[9], TbVec3 by)
{
    for (int k = 0; k < 3; k++)
        t[k] = tb_vec3_add(t[k], by);
    memcpy(out, t, 9 * sizeof *out);
}

START_TEST(triangle_pairs_agree)
{
    Dice dice = {301};
    int meet = 0, apart = 0;

    for (int i = 0; i < 6000; i++) {
        TbVec3 a[3], b[3];
        double p[9], q[9], ours;
        dice_proper_triangle(&dice, 71.3, p, a);
        dice_proper_triangle(&dice, 71.3, q, b);
        if (i % 2 == 1)
            shift(b, q, dice_point(&dice, 170));
        ours = tb_triangle_triangle(a, b).distance;
        if (cgal_triangles_meet(p, q)) {
            meet++;
            ck_assert_double_le(ours, 1e-11);
            continue;
        }
        apart++;
        ck_assert_double_gt(ours, 0);
        ck_assert_double_eq_tol(ours, cgal_triangle_triangle(p, q), 1e-11);
    }
    ck_assert_int_gt(meet, 50);
    ck_assert_int_gt(apart, 500);
}
END_TEST

START_TEST(points_and_triangles_agree)
{
    Dice dice = {302};

    for (int i = 0; i < 8000; i++) {
        TbVec3 t[3], p = dice_point(&dice, 140);
        double q[9], at[3] = {p.x, p.y, p.z};
        dice_proper_triangle(&dice, 71.3, q, t);
        ck_assert_double_eq_tol(tb_point_triangle(p, t).distance, cgal_point_triangle(at, q),
                                1e-11);
    }
}
END_TEST

START_TEST(segments_agree_parallel_ones_too)
{
    Dice dice = {303};

    for (int i = 0; i < 8000; i++) {
        TbVec3 p[2] = {dice_point(&dice, 60), dice_point(&dice, 60)};
        TbVec3 q[2] = {dice_point(&dice, 60), dice_point(&dice, 60)};
        double thin = pow(10, dice_between(&dice, -15, 0));
        double a[6], b[6];
        if (i % 3 == 0)
            q[1] = tb_vec3_add(tb_vec3_add(q[0], tb_vec3_sub(p[1], p[0])), dice_point(&dice, thin));
        memcpy(a, p, sizeof a);
        memcpy(b, q, sizeof b);
        ck_assert_double_eq_tol(tb_segment_segment(p[0], p[1], q[0], q[1]).distance,
                                cgal_segment_segment(a, b), 1e-11);
    }
}
END_TEST

START_TEST(points_and_meshes_agree)
{
    Dice dice = {304};
    Heap heap = {0};
    TbMesh *mesh;
    TbTree *tree = NULL;
    CgalTree *theirs;
    double *flat;

    heap_ball(&heap, tb_vec3(30.1, -7.7, 411.3), 88.9, 40, 64);
    heap_block(&heap, tb_vec3(-200.3, -33.9, 300.1), tb_vec3(-90.7, 21.1, 460.9));
    for (int i = 0; i < 3000; i++) {
        TbVec3 t[3];
        double q[9];
        uint32_t v[3];
        dice_proper_triangle(&dice, 9.7, q, t);
        shift(t, q, tb_vec3_add(dice_point(&dice, 250), tb_vec3(0, 0, 400)));
        for (int k = 0; k < 3; k++)
            v[k] = heap_vertex(&heap, t[k]);
        heap_triangle(&heap, v[0], v[1], v[2]);
    }
    mesh = heap_mesh(&heap);
    flat = malloc(9 * tb_mesh_triangle_count(mesh) * sizeof *flat);
    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];
        tb_mesh_corners(mesh, i, t);
        memcpy(flat + 9 * i, t, sizeof t);
    }
    theirs = cgal_tree_new(flat, tb_mesh_triangle_count(mesh));
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    for (int i = 0; i < 5000; i++) {
        TbVec3 p = tb_vec3_add(dice_point(&dice, i % 10 == 0 ? 5e3 : 300), tb_vec3(0, 0, 400));
        double at[3] = {p.x, p.y, p.z};
        /* their tree works in doubles, and so loses some digits that ours keeps */
        ck_assert_double_eq_tol(tb_tree_nearest(tree, p, INFINITY).nearest.distance,
                                cgal_tree_distance(theirs, at), 1e-8);
    }
    cgal_tree_free(theirs);
    free(flat);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/cgal_distance");
    TCase *tests = tcase_create("agreement");

    tcase_set_timeout(tests, 240);
    tcase_add_test(tests, triangle_pairs_agree);
    tcase_add_test(tests, points_and_triangles_agree);
    tcase_add_test(tests, segments_agree_parallel_ones_too);
    tcase_add_test(tests, points_and_meshes_agree);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
