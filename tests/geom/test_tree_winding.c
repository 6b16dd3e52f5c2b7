/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/tree.h"

#include "mesh_scenes.h"
#include "tap.h"

static TbTree *
tree_of(TbMesh *mesh)
{
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

/** Every triangle's solid angle, in the plain form: 1 for a full turn about the point. */
static double
slow_winding(const TbMesh *mesh, TbVec3 p)
{
    double sum = 0;

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];
        double l[3];
        tb_mesh_corners(mesh, i, t);
        for (int k = 0; k < 3; k++) {
            t[k] = tb_vec3_sub(t[k], p);
            l[k] = tb_vec3_length(t[k]);
        }
        sum += atan2(tb_vec3_dot(t[0], tb_vec3_cross(t[1], t[2])),
                     l[0] * l[1] * l[2] + l[2] * tb_vec3_dot(t[0], t[1]) +
                         l[0] * tb_vec3_dot(t[1], t[2]) + l[1] * tb_vec3_dot(t[2], t[0]));
    }
    return sum / (2 * 3.14159265358979323846);
}

static void
check_winding(const TbTree *tree, TbVec3 p)
{
    double got = tb_tree_winding(tree, p);

    if (tb_tree_nearest(tree, p, 1e-6).triangle != UINT32_MAX)
        return;
    ck_assert_double_eq(got, rint(got));
    ck_assert_double_eq_tol(got, slow_winding(tb_tree_mesh(tree), p), 1e-6);
}

START_TEST(winding_equals_the_sum_of_solid_angles)
{
    Heap heap = {0};
    Dice dice = {11};
    TbTree *tree;

    /* a ball with a hole in it, a second ball that overlaps, a block inside out, all closed */
    heap_ball(&heap, tb_vec3(0, 0, 0), 50.3, 12, 20);
    heap_ball(&heap, tb_vec3(31.7, 4.1, 0), 33.1, 9, 14);
    heap_block(&heap, tb_vec3(20.1, -20.3, -10), tb_vec3(-20.1, 10.9, 15));
    tree = tree_of(heap_mesh(&heap));
    ck_assert(tb_mesh_facts(tb_tree_mesh(tree)).closed);
    for (int k = 0; k < 4000; k++)
        check_winding(tree, dice_point(&dice, 80.1));
    tb_tree_unref(tree);
}
END_TEST

/** The ray then runs through corners and along edges, which must count once. */
START_TEST(winding_is_right_where_the_ray_meets_corners_and_edges)
{
    Heap heap = {0};
    TbTree *tree;

    heap_block(&heap, tb_vec3(-3, -3, -3), tb_vec3(3, 3, 3));
    heap_ball(&heap, tb_vec3(0, 0, 0), 8, 8, 8);
    heap_block(&heap, tb_vec3(10, -1, -1), tb_vec3(13, 1, 1));
    tree = tree_of(heap_mesh(&heap));
    for (int x = -28; x <= 28; x++)
        for (int y = -20; y <= 20; y++)
            for (int z = -20; z <= 20; z++)
                check_winding(tree, tb_vec3(x / 2.0 + 0.25, y / 2.0, z / 2.0));
    for (size_t i = 0; i < tb_mesh_vertex_count(tb_tree_mesh(tree)); i++) {
        TbVec3 v = tb_mesh_vertices(tb_tree_mesh(tree))[i];
        for (int x = -20; x < 20; x++)
            check_winding(tree, tb_vec3(x + 0.37, v.y, v.z));
    }
    tb_tree_unref(tree);
}
END_TEST

START_TEST(winding_of_an_open_mesh_is_its_solid_angle)
{
    Heap heap = {0};
    TbTree *tree;

    /* a cube without one of its six sides, seen from its middle: five sixths of a turn */
    heap_block(&heap, tb_vec3(-7.3, -7.3, -7.3), tb_vec3(7.3, 7.3, 7.3));
    heap.triangles -= 2;
    tree = tree_of(heap_mesh(&heap));
    ck_assert_double_eq_tol(tb_tree_winding(tree, tb_vec3(0, 0, 0)), 5.0 / 6, 1e-12);
    tb_tree_unref(tree);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/tree_winding");
    TCase *tests = tcase_create("winding");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, winding_equals_the_sum_of_solid_angles);
    tcase_add_test(tests, winding_is_right_where_the_ray_meets_corners_and_edges);
    tcase_add_test(tests, winding_of_an_open_mesh_is_its_solid_angle);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
