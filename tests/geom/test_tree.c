/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/tree.h"

#include "base/mem.h"
#include "mesh_scenes.h"
#include "tap.h"

#include <string.h>

static TbTree *
tree_of(TbMesh *mesh)
{
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

static TbMesh *
soup(uint64_t seed, size_t triangles, double spread, double reach)
{
    Dice dice = {seed};
    Heap heap = {0};

    heap_soup(&heap, &dice, triangles, spread, reach);
    return heap_mesh(&heap);
}

static TbTree *
soup_tree(uint64_t seed, size_t triangles, double spread, double reach)
{
    return tree_of(soup(seed, triangles, spread, reach));
}

/** Every triangle against the point, no tree. */
static TbTreeHit
slow_nearest(const TbMesh *mesh, TbVec3 p)
{
    TbTreeHit best = {{INFINITY, p, p}, UINT32_MAX, UINT32_MAX};

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];
        TbNearest near;
        tb_mesh_corners(mesh, i, t);
        near = tb_point_triangle(p, t);
        if (near.distance < best.nearest.distance)
            best = (TbTreeHit){near, (uint32_t)i, UINT32_MAX};
    }
    return best;
}

static bool
box_holds(TbBox3 box, TbVec3 p)
{
    return box.low.x <= p.x && box.low.y <= p.y && box.low.z <= p.z && box.high.x >= p.x &&
           box.high.y >= p.y && box.high.z >= p.z;
}

/** A leaf's slab as it is stored. */
typedef struct Slab {
    TbVec3 middle, normal;
    double low, high;
} Slab;

static Slab
slab_of(const TbTree *tree, uint32_t leaf)
{
    const TbTreeNode *node = &tb_tree_level(tree, 1)[leaf / TB_TREE_WIDE];
    const TbTreeSlabs *slabs = &tb_tree_slabs(tree)[leaf / TB_TREE_WIDE];
    uint32_t k = leaf % TB_TREE_WIDE;
    double n[3], m[3];

    for (int axis = 0; axis < 3; axis++) {
        n[axis] = slabs->normal[axis][k] * TB_TREE_NORMAL;
        m[axis] = (double)(0.5f * (node->low[axis][k] + node->high[axis][k]));
    }
    return (Slab){tb_vec3(m[0], m[1], m[2]), tb_vec3(n[0], n[1], n[2]), (double)slabs->low[k],
                  (double)slabs->high[k]};
}

/** Both planes touch a corner, but for the rounding of a float, and none lies beyond. */
static void
check_slab(const TbTree *tree, TbTreeAt leaf)
{
    Slab slab = slab_of(tree, leaf.index);
    double low = INFINITY, high = -INFINITY;

    for (int k = 0; k < tb_tree_children(tree, leaf); k++) {
        TbVec3 t[3];

        tb_mesh_corners(tb_tree_mesh(tree), tb_tree_triangle(leaf, k), t);
        for (int c = 0; c < 3; c++) {
            double at = tb_vec3_dot(slab.normal, tb_vec3_sub(t[c], slab.middle));

            low = fmin(low, at);
            high = fmax(high, at);
        }
    }
    ck_assert_double_ge(low, slab.low);
    ck_assert_double_le(high, slab.high);
    ck_assert_double_le(low - slab.low, 2e-7 * fabs(low) + 1e-40);
    ck_assert_double_le(slab.high - high, 2e-7 * fabs(high) + 1e-40);
}

/** A leaf's triangles lie in its box and slab, and rise in number. */
static void
check_leaf(const TbTree *tree, TbTreeAt leaf)
{
    TbBox3 box = tb_tree_box(tree, leaf);
    int count = tb_tree_children(tree, leaf);

    check_slab(tree, leaf);
    for (int k = 0; k < count; k++) {
        uint32_t triangle = tb_tree_triangle(leaf, k);
        TbVec3 t[3];
        tb_mesh_corners(tb_tree_mesh(tree), triangle, t);
        for (int c = 0; c < 3; c++) {
            ck_assert(box_holds(box, t[c]));
            ck_assert(box_holds(tb_tree_child_box(tree, leaf, k), t[c]));
        }
        if (k > 0)
            ck_assert_uint_gt(tb_tree_numbers(tree)[triangle], tb_tree_numbers(tree)[triangle - 1]);
    }
}

static void
check_node(const TbTree *tree, TbTreeAt at)
{
    const TbTreeNode *node = &tb_tree_level(tree, at.level)[at.index];
    TbBox3 box = tb_tree_box(tree, at);
    int count = tb_tree_children(tree, at);

    for (int k = 0; k < count; k++) {
        TbTreeAt child = tb_tree_child(at, k);
        /* the root's box is the mesh's own, which is not rounded outward */
        if (at.level < tb_tree_levels(tree)) {
            ck_assert(box_holds(box, tb_tree_box(tree, child).low));
            ck_assert(box_holds(box, tb_tree_box(tree, child).high));
        }
        ck_assert_uint_eq(tb_tree_unpack(tb_tree_pack(child)).index, child.index);
        ck_assert_int_eq(tb_tree_unpack(tb_tree_pack(child)).level, child.level);
    }
    for (int k = count; k < TB_TREE_WIDE; k++)
        for (int axis = 0; axis < 3; axis++) {
            ck_assert(node->low[axis][k] == 1e18f);
            ck_assert(node->high[axis][k] == -1e18f);
        }
}

/** Levels shrink to one root; boxes hold what hangs below; each triangle is in one leaf. */
static void
check_tree(const TbTree *tree)
{
    size_t triangles = tb_mesh_triangle_count(tb_tree_mesh(tree));
    size_t held = 0;

    ck_assert_int_ge(tb_tree_levels(tree), 1);
    ck_assert_uint_eq(tb_tree_level_count(tree, 0), (triangles + 7) / 8);
    ck_assert_uint_eq(tb_tree_level_count(tree, tb_tree_levels(tree)), 1);
    for (int level = 1; level <= tb_tree_levels(tree); level++) {
        ck_assert_uint_eq(tb_tree_level_count(tree, level),
                          (tb_tree_level_count(tree, level - 1) + 7) / 8);
        ck_assert_uint_eq((uintptr_t)tb_tree_level(tree, level) % 32, 0);
        for (uint32_t i = 0; i < tb_tree_level_count(tree, level); i++)
            check_node(tree, (TbTreeAt){i, level});
    }
    for (uint32_t i = 0; i < tb_tree_level_count(tree, 0); i++) {
        TbTreeAt leaf = {i, 0};
        check_leaf(tree, leaf);
        held += (size_t)tb_tree_children(tree, leaf);
    }
    ck_assert_uint_eq(held, triangles);
}

/** The tree's mesh is the first one in another order, numbers say in which. */
static void
check_numbers(const TbTree *tree, const TbMesh *first)
{
    size_t triangles = tb_mesh_triangle_count(first);
    const TbMesh *own = tb_tree_mesh(tree);
    unsigned char *seen = calloc(triangles, 1);
    uint32_t vertices = 0;

    ck_assert_uint_eq(tb_mesh_triangle_count(own), triangles);
    for (size_t i = 0; i < triangles; i++) {
        uint32_t number = tb_tree_numbers(tree)[i];
        TbVec3 a[3], b[3];
        ck_assert_uint_lt(number, triangles);
        ck_assert_uint_eq(seen[number]++, 0);
        tb_mesh_corners(own, i, a);
        tb_mesh_corners(first, number, b);
        ck_assert_mem_eq(a, b, sizeof a);
        for (int k = 0; k < 3; k++) { /* numbered by first use */
            uint32_t v = tb_mesh_indices(own)[3 * i + (size_t)k];
            ck_assert_uint_le(v, vertices);
            vertices += v == vertices;
        }
    }
    ck_assert_uint_eq(tb_mesh_vertex_count(own), vertices);
    free(seen);
}

static const struct {
    size_t triangles;
    double spread, reach;
} soups[] = {{1, 10, 10},       {8, 31.3, 5},       {9, 31.3, 5},
             {311, 97.7, 40.1}, {2003, 811.9, 7.3}, {2003, 3e-5, 1e-6}};

START_TEST(boxes_hold_their_triangles)
{
    TbMesh *mesh = soup(5, soups[_i].triangles, soups[_i].spread, soups[_i].reach);
    TbTree *tree = tree_of(tb_mesh_ref(mesh));

    check_tree(tree);
    check_numbers(tree, mesh);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(leaves_of_a_fine_ball_are_thin_along_their_slabs)
{
    double radius = 43.7;
    Heap heap = {0};
    TbTree *tree;

    heap_ball(&heap, tb_vec3(7.3, -11.9, 2.2), radius, 97, 194);
    tree = tree_of(heap_mesh(&heap));
    for (uint32_t i = 0; i < tb_tree_level_count(tree, 0); i++) {
        TbBox3 box = tb_tree_box(tree, (TbTreeAt){i, 0});
        Slab slab = slab_of(tree, i);
        double across = tb_vec3_distance(box.low, box.high);

        /* the sagitta of the leaf, and what the normal's steps tilt it */
        ck_assert_double_lt(slab.high - slab.low,
                            across * across / (2 * radius) + TB_TREE_NORMAL * across);
    }
    tb_tree_unref(tree);
}
END_TEST

START_TEST(two_sides_of_a_thin_sheet_have_one_slab)
{
    TbVec3 corner[4] = {{-9.7, -9.7, 0}, {9.7, -9.7, 0}, {9.7, 9.7, 0}, {-9.7, 9.7, 0}};
    Heap heap = {0};
    TbTree *tree;
    Slab slab;

    for (int side = 0; side < 2; side++) {
        uint32_t v[4];

        for (int k = 0; k < 4; k++)
            v[k] = heap_vertex(&heap, tb_vec3_add(corner[side == 0 ? k : 3 - k],
                                                  tb_vec3(0, 0, side == 0 ? 0 : -1.5)));
        heap_triangle(&heap, v[0], v[1], v[2]);
        heap_triangle(&heap, v[0], v[2], v[3]);
    }
    tree = tree_of(heap_mesh(&heap));
    slab = slab_of(tree, 0);
    ck_assert_double_eq(fabs(slab.normal.z), 1);
    ck_assert_double_eq_tol(slab.high - slab.low, 1.5, 1e-6);
    tb_tree_unref(tree);
}
END_TEST

/** Splinters far from each other, so small that the square of their areas is all but lost. */
START_TEST(splinters_without_a_known_normal_are_held_by_their_slab)
{
    double side = 5.809e-82;
    Heap heap = {0};
    TbTree *tree;

    for (int i = 0; i < TB_TREE_WIDE; i++) {
        TbVec3 p = tb_vec3(9.7 * i - 11.3, 0, 0);
        uint32_t first = heap_vertex(&heap, p);

        heap_triangle(&heap, first, heap_vertex(&heap, tb_vec3(p.x, side, 0)),
                      heap_vertex(&heap, tb_vec3(p.x, 0, side)));
    }
    tree = tree_of(heap_mesh(&heap));
    ck_assert_uint_eq(tb_tree_level_count(tree, 0), 1);
    check_leaf(tree, (TbTreeAt){0, 0});
    tb_tree_unref(tree);
}
END_TEST

START_TEST(nearest_equals_all_triangles_tried)
{
    TbMesh *mesh = soup(6, soups[_i].triangles, soups[_i].spread, soups[_i].reach);
    TbTree *tree = tree_of(tb_mesh_ref(mesh));
    Dice dice = {7};

    for (int k = 0; k < 1500; k++) {
        TbVec3 p = dice_point(&dice, 1.2 * soups[_i].spread);
        TbTreeHit want, got;
        if (k % 5 == 4) /* a corner: many triangles at distance 0 */
            p = tb_mesh_vertices(mesh)[k % tb_mesh_vertex_count(mesh)];
        if (k % 50 == 3)
            p = tb_vec3_scale(tb_vec3_unit(p), 9.9e3);
        want = slow_nearest(mesh, p);
        got = tb_tree_nearest(tree, p, INFINITY);
        ck_assert_uint_eq(got.triangle, want.triangle);
        ck_assert_uint_eq(tb_tree_numbers(tree)[got.place], want.triangle);
        ck_assert(memcmp(&got.nearest, &want.nearest, sizeof want.nearest) == 0);
    }
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
}
END_TEST

/** Every count up to a hundred, then about the powers of eight, where a leaf or a level begins. */
START_TEST(any_number_of_triangles_fills_the_levels)
{
    static const size_t more[] = {511, 512, 513, 4095, 4096, 4097, 32768, 32769};

    for (size_t i = 1; i <= 100 + sizeof more / sizeof more[0]; i++) {
        TbMesh *mesh = soup(20 + i, i <= 100 ? i : more[i - 101], 211.3, 9.7);
        TbTree *tree = tree_of(tb_mesh_ref(mesh));

        check_tree(tree);
        check_numbers(tree, mesh);
        tb_tree_unref(tree);
        tb_mesh_unref(mesh);
    }
}
END_TEST

typedef enum Odd { ALL_EQUAL, IN_A_LINE, NEEDLES, TEN_METRES_OFF, IN_ROWS, IN_A_POINT, ODDS } Odd;

static void
odd_triangle(Odd odd, Dice *dice, int i, TbVec3 t[3])
{
    static const TbVec3 same[3] = {{1.3, 2.9, 3.1}, {11.3, 2.9, 7.1}, {1.3, 12.9, -3.1}};

    for (int k = 0; k < 3; k++)
        switch (odd) {
        case ALL_EQUAL:
            t[k] = same[k];
            break;
        case IN_A_LINE:
            t[k] = tb_vec3_scale(tb_vec3(1.7, -0.3, 0.9), i % 97 + 0.37 * k);
            break;
        case NEEDLES:
            t[k] = tb_vec3_add(tb_vec3(k == 2 ? 900.1 : 0, 1.1 * (i % 40), 1.3 * (i / 40)),
                               dice_point(dice, 1e-5));
            break;
        case TEN_METRES_OFF:
            t[k] = tb_vec3_add(tb_vec3(9990.1, -9989.3, 9988.7), dice_point(dice, 9.9));
            break;
        case IN_ROWS: /* many equal centres along each axis */
            t[k] = tb_vec3_add(tb_vec3(i % 32, i / 32, 0), tb_vec3_scale(same[k], 0.05));
            break;
        case IN_A_POINT:
        case ODDS:
            t[k] = same[0];
            break;
        }
}

START_TEST(odd_meshes_are_divided_and_found_as_any_other)
{
    Dice dice = {30 + (uint64_t)_i};
    Heap heap = {0};
    TbMesh *mesh;
    TbTree *tree;
    TbVec3 middle;

    for (int i = 0; i < 1500; i++) {
        TbVec3 t[3];
        uint32_t v[3];
        odd_triangle((Odd)_i, &dice, i, t);
        for (int k = 0; k < 3; k++)
            v[k] = heap_vertex(&heap, t[k]);
        heap_triangle(&heap, v[0], v[1], v[2]);
    }
    mesh = heap_mesh(&heap);
    tree = tree_of(tb_mesh_ref(mesh));
    middle = tb_box3_centre(tb_mesh_box(mesh));
    check_tree(tree);
    check_numbers(tree, mesh);
    for (int k = 0; k < 300; k++) {
        TbVec3 p = tb_vec3_add(middle, dice_point(&dice, 40.3));
        TbTreeHit want = slow_nearest(mesh, p);
        TbTreeHit got = tb_tree_nearest(tree, p, INFINITY);
        ck_assert_uint_eq(got.triangle, want.triangle);
        ck_assert(memcmp(&got.nearest, &want.nearest, sizeof want.nearest) == 0);
    }
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(nearest_gives_up_beyond_the_distance_asked)
{
    TbTree *tree = soup_tree(8, 507, 60.3, 5.9);
    Dice dice = {9};

    for (int k = 0; k < 500; k++) {
        TbVec3 p = dice_point(&dice, 120.7);
        double d = tb_tree_nearest(tree, p, INFINITY).nearest.distance;
        ck_assert_uint_eq(tb_tree_nearest(tree, p, 0.999 * d).triangle, UINT32_MAX);
        ck_assert_double_eq(tb_tree_nearest(tree, p, 0.999 * d).nearest.distance, INFINITY);
        ck_assert_double_eq(tb_tree_nearest(tree, p, 1.001 * d).nearest.distance, d);
    }
    tb_tree_unref(tree);
}
END_TEST

START_TEST(ties_go_to_the_lowest_number)
{
    Heap heap = {0};
    TbTree *tree;

    /* the ball's top is a corner of 40 triangles, numbered every 18th from 0 */
    heap_ball(&heap, tb_vec3(3.1, -7.7, 12.9), 43.7, 10, 40);
    tree = tree_of(heap_mesh(&heap));
    ck_assert_uint_eq(tb_tree_nearest(tree, tb_vec3(3.1, -7.7, 91.3), INFINITY).triangle, 0);
    tb_tree_unref(tree);
    /* a thousand times the same triangle */
    for (int i = 0; i < 1000; i++) {
        uint32_t a = heap_vertex(&heap, tb_vec3(1.3, 2.9, 3.1));
        uint32_t b = heap_vertex(&heap, tb_vec3(11.3, 2.9, 7.1));
        uint32_t c = heap_vertex(&heap, tb_vec3(1.3, 12.9, -3.1));
        heap_triangle(&heap, a, b, c);
    }
    tree = tree_of(heap_mesh(&heap));
    check_tree(tree);
    ck_assert_uint_eq(tb_tree_nearest(tree, tb_vec3(0, 0, 50), INFINITY).triangle, 0);
    tb_tree_unref(tree);
}
END_TEST

static void
check_same(const TbTree *a, const TbTree *b)
{
    size_t triangles = tb_mesh_triangle_count(tb_tree_mesh(b));
    size_t vertices = tb_mesh_vertex_count(tb_tree_mesh(b));

    ck_assert_int_eq(tb_tree_levels(a), tb_tree_levels(b));
    for (int level = 1; level <= tb_tree_levels(b); level++)
        ck_assert_mem_eq(tb_tree_level(a, level), tb_tree_level(b, level),
                         tb_tree_level_count(b, level) * sizeof(TbTreeNode));
    ck_assert_mem_eq(tb_tree_numbers(a), tb_tree_numbers(b), triangles * sizeof(uint32_t));
    ck_assert_uint_eq(tb_mesh_vertex_count(tb_tree_mesh(a)), vertices);
    ck_assert_mem_eq(tb_mesh_vertices(tb_tree_mesh(a)), tb_mesh_vertices(tb_tree_mesh(b)),
                     vertices * sizeof(TbVec3));
    ck_assert_mem_eq(tb_mesh_indices(tb_tree_mesh(a)), tb_mesh_indices(tb_tree_mesh(b)),
                     3 * triangles * sizeof(uint32_t));
}

START_TEST(tree_is_the_same_for_any_number_of_threads)
{
    Dice dice = {10};
    Heap heap = {0};
    TbMesh *mesh;
    TbTree *one = NULL;

    heap_soup(&heap, &dice, 30011, 500.3, 4.1);
    mesh = heap_mesh(&heap);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &one, NULL), TB_OK);
    for (int threads = 1; threads < 8; threads += threads < 2 ? 1 : 5) {
        TbWork *work = tb_work_new(threads);
        TbTree *many = NULL;
        ck_assert_int_eq(tb_tree_new(mesh, work, NULL, &many, NULL), TB_OK);
        check_same(many, one);
        tb_tree_unref(many);
        tb_work_free(work);
    }
    tb_tree_unref(one);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(moved_tree_keeps_the_numbers)
{
    TbMesh *mesh = soup(13, 1003, 71.3, 8.9);
    TbTree *tree = tree_of(tb_mesh_ref(mesh));
    TbPose pose = tb_pose_identity();
    TbMesh *want;
    TbTree *moved = NULL;
    long n = 1;

    pose.scale = 1.37;
    pose.origin = tb_vec3(12.9, -7.3, 3.1);
    want = tb_mesh_moved(mesh, pose);
    for (; moved == NULL; n++) {
        TbStatus status;
        tb_mem_fail_at(n);
        status = tb_tree_moved(tree, pose, NULL, NULL, &moved, NULL);
        tb_mem_fail_at(0);
        ck_assert_int_eq(status, moved != NULL ? TB_OK : TB_E_MEMORY);
    }
    ck_assert_int_gt(n, 8);
    check_tree(moved);
    check_numbers(moved, want);
    tb_tree_unref(moved);
    tb_tree_unref(tree);
    tb_mesh_unref(want);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(shells_are_named_in_the_trees_order_too)
{
    Heap heap = {0};
    TbMesh *mesh;
    TbTree *tree;
    size_t first[3];

    for (int i = 0; i < 3; i++) {
        first[i] = heap.triangles;
        heap_ball(&heap, tb_vec3(90.1 * i, 0, 0), 20.3 + i, 7, 11);
    }
    mesh = heap_mesh(&heap);
    tree = tree_of(tb_mesh_ref(mesh));
    ck_assert_uint_eq(tb_mesh_facts(tb_tree_mesh(tree)).shells, 3);
    for (int i = 0; i < 3; i++) {
        uint32_t own = tb_mesh_shells(tb_tree_mesh(tree))[i];
        ck_assert_uint_eq(tb_mesh_shells(mesh)[i], first[i]);
        ck_assert_uint_eq(tb_tree_numbers(tree)[own], first[i]);
    }
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
}
END_TEST

/** Each triangle half as far from the origin as the one before. */
START_TEST(triangles_that_crowd_together_are_divided_all_the_same)
{
    Heap heap = {0};
    TbTree *tree;

    for (int i = 0; i < 900; i++) {
        double k = 9e3 * pow(0.5, i);
        uint32_t a = heap_vertex(&heap, tb_vec3(k, 0, 0));
        uint32_t b = heap_vertex(&heap, tb_vec3(k, k / 3, 0));
        uint32_t c = heap_vertex(&heap, tb_vec3(k, 0, k / 3));
        heap_triangle(&heap, a, b, c);
    }
    tree = tree_of(heap_mesh(&heap));
    check_tree(tree);
    for (int i = 0; i < 30; i++) {
        double k = 9e3 * pow(0.5, i);
        ck_assert_uint_eq(tb_tree_nearest(tree, tb_vec3(1.1 * k, k / 9, k / 9), INFINITY).triangle,
                          (uint32_t)i);
    }
    tb_tree_unref(tree);
}
END_TEST

START_TEST(no_room_or_a_cancel_leaves_nothing_behind)
{
    Dice dice = {12};
    Heap heap = {0};
    TbMesh *mesh;
    TbTree *tree = NULL;
    TbFault fault;
    TbTask task = {0};
    long n = 1;

    heap_soup(&heap, &dice, 101, 50.3, 4.1);
    mesh = heap_mesh(&heap);
    for (;; n++) {
        TbStatus status;
        tb_mem_fail_at(n);
        status = tb_tree_new(mesh, NULL, NULL, &tree, &fault);
        tb_mem_fail_at(0);
        if (status == TB_OK)
            break;
        ck_assert_int_eq(status, TB_E_MEMORY);
        ck_assert_str_eq(fault.text, "no room for a tree of 101 triangles");
        ck_assert_ptr_null(tree);
    }
    ck_assert_int_ge(n, 4);
    tb_tree_unref(tb_tree_ref(tree));
    tb_tree_unref(tree);
    tree = NULL;
    tb_task_cancel(&task);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, &task, &tree, &fault), TB_E_CANCELLED);
    ck_assert_ptr_null(tree);
    tb_tree_unref(NULL);
    tb_mesh_unref(mesh);
}
END_TEST

/** Stops a task when it tells that it has come so far. */
typedef struct Stopper {
    TbTask task;
    double at, last;
} Stopper;

static void
stop_there(void *user, const char *what, double share)
{
    Stopper *stopper = user;

    ck_assert_str_eq(what, "building a tree");
    ck_assert_double_ge(share, stopper->last);
    stopper->last = share;
    if (share >= stopper->at)
        tb_task_cancel(&stopper->task);
}

START_TEST(cancel_in_any_stage_leaves_nothing_behind)
{
    TbMesh *mesh = soup(14, 20011, 71.3, 8.9);

    for (int i = 0; i <= 100; i++) {
        Stopper stopper = {.at = 0.01 * i, .last = 0};
        TbTree *tree = NULL;
        TbStatus status;
        stopper.task.report = stop_there;
        stopper.task.user = &stopper;
        status = tb_tree_new(mesh, NULL, &stopper.task, &tree, NULL);
        /* told that all is done, it is too late */
        ck_assert_int_eq(status, stopper.last < 1 ? TB_E_CANCELLED : TB_OK);
        ck_assert(stopper.last >= stopper.at);
        ck_assert((tree != NULL) == (status == TB_OK));
        tb_tree_unref(tree);
    }
    tb_mesh_unref(mesh);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/tree");
    TCase *tests = tcase_create("tree");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, boxes_hold_their_triangles, 0, 6);
    tcase_add_test(tests, leaves_of_a_fine_ball_are_thin_along_their_slabs);
    tcase_add_test(tests, two_sides_of_a_thin_sheet_have_one_slab);
    tcase_add_test(tests, splinters_without_a_known_normal_are_held_by_their_slab);
    tcase_add_loop_test(tests, nearest_equals_all_triangles_tried, 0, 6);
    tcase_add_test(tests, any_number_of_triangles_fills_the_levels);
    tcase_add_loop_test(tests, odd_meshes_are_divided_and_found_as_any_other, 0, ODDS);
    tcase_add_test(tests, nearest_gives_up_beyond_the_distance_asked);
    tcase_add_test(tests, ties_go_to_the_lowest_number);
    tcase_add_test(tests, tree_is_the_same_for_any_number_of_threads);
    tcase_add_test(tests, moved_tree_keeps_the_numbers);
    tcase_add_test(tests, shells_are_named_in_the_trees_order_too);
    tcase_add_test(tests, triangles_that_crowd_together_are_divided_all_the_same);
    tcase_add_test(tests, no_room_or_a_cancel_leaves_nothing_behind);
    tcase_add_test(tests, cancel_in_any_stage_leaves_nothing_behind);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
