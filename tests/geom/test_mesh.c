/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/mesh.h"

#include "base/mem.h"
#include "geom/tol.h"
#include "mesh_scenes.h"
#include "tap.h"

#include <string.h>

/** Corner by corner into a builder, as an STL file would give them. */
static TbMeshBuilder *
builder_of(const Heap *heap)
{
    TbMeshBuilder *builder = tb_mesh_builder_new();

    for (size_t i = 0; i < heap->triangles; i++) {
        TbVec3 t[3];
        for (size_t k = 0; k < 3; k++)
            t[k] = heap->vertex[heap->index[3 * i + k]];
        ck_assert_int_eq(tb_mesh_builder_add(builder, t, NULL), TB_OK);
    }
    return builder;
}

static TbMesh *
welded(Heap *heap)
{
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    TbStatus status = tb_mesh_builder_finish(builder_of(heap), NULL, NULL, &mesh, &fault);

    ck_assert_msg(status == TB_OK, "%s", fault.text);
    heap_clear(heap);
    return mesh;
}

/* ---- facts ---- */

START_TEST(block_is_closed_with_its_volume_and_area)
{
    Heap heap = {0};
    TbMesh *mesh;
    TbMeshFacts f;

    heap_block(&heap, tb_vec3(-3.7, 11.9, 204.3), tb_vec3(40.1, 19.7, 207.2));
    mesh = heap_mesh(&heap);
    f = tb_mesh_facts(mesh);
    ck_assert(f.closed && !f.inward);
    ck_assert_uint_eq(f.shells, 1);
    ck_assert_uint_eq(f.triangles_read, 12);
    ck_assert_uint_eq(f.open_edges + f.shared_edges + f.flipped_edges, 0);
    ck_assert_double_eq_tol(f.volume, 43.8 * 7.8 * 2.9, 1e-9);
    ck_assert_double_eq_tol(f.area, 2 * (43.8 * 7.8 + 7.8 * 2.9 + 2.9 * 43.8), 1e-9);
    ck_assert_double_eq(tb_mesh_box(mesh).low.z, 204.3);
    ck_assert_double_eq(tb_mesh_box(mesh).high.x, 40.1);
    tb_mesh_unref(mesh);
}
END_TEST

/** Ball of 200 rings: volume of the solid it bounds, ring by ring, from frusta of polygons. */
START_TEST(volume_far_from_the_origin_keeps_nine_digits)
{
    const double pi = 3.14159265358979323846;
    double r = 27.3, volume = 0;
    int rings = 200, sectors = 90;
    double polygon = sectors / 2.0 * sin(2 * pi / sectors); /* area over radius squared */
    Heap heap = {0};
    TbMesh *mesh;

    for (int i = 0; i < rings; i++) {
        double r0 = r * sin(pi * i / rings), r1 = r * sin(pi * (i + 1) / rings);
        double h = r * (cos(pi * i / rings) - cos(pi * (i + 1) / rings));
        volume += h / 3 * polygon * (r0 * r0 + r0 * r1 + r1 * r1);
    }
    heap_ball(&heap, tb_vec3(9.1e3, -8.7e3, 9.9e3), r, rings, sectors);
    mesh = heap_mesh(&heap);
    ck_assert(tb_mesh_facts(mesh).closed);
    ck_assert_double_eq_tol(tb_mesh_facts(mesh).volume, volume, 1e-9 * volume);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(hole_shows_as_open_edges_and_no_volume)
{
    Heap heap = {0};
    TbMesh *mesh;

    heap_block(&heap, tb_vec3(0, 0, 0), tb_vec3(7.9, 3.3, 5.1));
    heap.triangles -= 2;
    mesh = heap_mesh(&heap);
    ck_assert(!tb_mesh_facts(mesh).closed);
    ck_assert_uint_eq(tb_mesh_facts(mesh).open_edges, 4);
    ck_assert_double_eq(tb_mesh_facts(mesh).volume, 0);
    ck_assert_double_eq_tol(tb_mesh_facts(mesh).area, 2 * (7.9 * 3.3 + 7.9 * 5.1) + 3.3 * 5.1,
                            1e-11);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(turned_triangle_shows_as_flipped_edges)
{
    Heap heap = {0};
    TbMesh *mesh;
    uint32_t swap;

    heap_ball(&heap, tb_vec3(1, 2, 3), 19.3, 7, 9);
    swap = heap.index[3 * 31];
    heap.index[3 * 31] = heap.index[3 * 31 + 1];
    heap.index[3 * 31 + 1] = swap;
    mesh = heap_mesh(&heap);
    ck_assert(!tb_mesh_facts(mesh).closed);
    ck_assert_uint_eq(tb_mesh_facts(mesh).flipped_edges, 3);
    ck_assert_uint_eq(tb_mesh_facts(mesh).open_edges, 0);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(inside_out_block_is_inward)
{
    Heap heap = {0};
    TbMesh *mesh;

    heap_block(&heap, tb_vec3(7.9, 0, 0), tb_vec3(0, 3.3, 5.1));
    mesh = heap_mesh(&heap);
    ck_assert(tb_mesh_facts(mesh).closed);
    ck_assert(tb_mesh_facts(mesh).inward);
    ck_assert_double_eq_tol(tb_mesh_facts(mesh).volume, -7.9 * 3.3 * 5.1, 1e-11);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(hollow_block_is_two_shells_and_the_difference_of_volumes)
{
    Heap heap = {0};
    TbMesh *mesh;

    heap_block(&heap, tb_vec3(-5, -5, -5), tb_vec3(5, 5, 5));
    heap_block(&heap, tb_vec3(3, -3, -3), tb_vec3(-3, 3, 3));
    mesh = heap_mesh(&heap);
    ck_assert(tb_mesh_facts(mesh).closed);
    ck_assert_uint_eq(tb_mesh_facts(mesh).shells, 2);
    ck_assert_double_eq_tol(tb_mesh_facts(mesh).volume, 1000 - 216, 1e-10);
    tb_mesh_unref(mesh);
}
END_TEST

/** Two blocks with one edge in common, and two with one corner in common. */
START_TEST(blocks_that_share_an_edge_are_one_shell_and_those_that_share_a_corner_two)
{
    Heap heap = {0};
    TbMesh *mesh;

    heap_block(&heap, tb_vec3(0, 0, 0), tb_vec3(3, 3, 7));
    heap_block(&heap, tb_vec3(3, 3, 0), tb_vec3(9, 8, 7));
    mesh = welded(&heap);
    ck_assert_uint_eq(tb_mesh_vertex_count(mesh), 14);
    ck_assert_uint_eq(tb_mesh_facts(mesh).shared_edges, 1);
    ck_assert_uint_eq(tb_mesh_facts(mesh).shells, 1);
    ck_assert(!tb_mesh_facts(mesh).closed);
    tb_mesh_unref(mesh);

    heap_block(&heap, tb_vec3(0, 0, 0), tb_vec3(3, 3, 7));
    heap_block(&heap, tb_vec3(3, 3, 7), tb_vec3(9, 8, 9));
    mesh = welded(&heap);
    ck_assert_uint_eq(tb_mesh_vertex_count(mesh), 15);
    ck_assert_uint_eq(tb_mesh_facts(mesh).shells, 2);
    ck_assert(tb_mesh_facts(mesh).closed);
    tb_mesh_unref(mesh);
}
END_TEST

/** Facts the slow way: every pair of triangles. */
static TbMeshFacts
slow_facts(const TbMesh *mesh)
{
    size_t n = tb_mesh_triangle_count(mesh);
    const uint32_t *index = tb_mesh_indices(mesh);
    size_t *shell = calloc(n, sizeof *shell);
    TbMeshFacts f = {0};

    for (size_t i = 0; i < n; i++)
        shell[i] = i;
    for (size_t i = 0; i < 3 * n; i++) {
        uint32_t a = index[i], b = index[i % 3 == 2 ? i - 2 : i + 1];
        size_t same = 0, against = 0, earlier = 0;
        for (size_t k = 0; k < 3 * n; k++) {
            uint32_t c = index[k], d = index[k % 3 == 2 ? k - 2 : k + 1];
            bool use = (a == c && b == d) || (a == d && b == c);
            same += a == c && b == d;
            against += a == d && b == c;
            earlier += use && k < i;
            for (size_t m = 0, old = shell[k / 3]; use && m < n; m++)
                shell[m] = shell[m] == old ? shell[i / 3] : shell[m];
        }
        if (earlier > 0)
            continue;
        f.open_edges += same + against == 1;
        f.shared_edges += same + against > 2;
        f.flipped_edges += same == 2 && against == 0;
    }
    for (size_t i = 0; i < n; i++) {
        bool first = true;
        for (size_t k = 0; k < i; k++)
            first = first && shell[k] != shell[i];
        f.shells += first;
    }
    free(shell);
    return f;
}

START_TEST(facts_equal_those_of_every_pair_of_triangles)
{
    Dice dice = {21};

    for (int round = 0; round < 300; round++) {
        int vertices = 6 + dice_below(&dice, 40);
        int triangles = 1 + dice_below(&dice, 60);
        Heap heap = {0};
        TbMesh *mesh;
        TbMeshFacts got, want;
        for (int i = 0; i < vertices; i++)
            heap_vertex(&heap, dice_point(&dice, 50.7));
        for (int i = 0; i < triangles; i++) {
            int a = dice_below(&dice, vertices);
            int b = (a + 1 + dice_below(&dice, 2)) % vertices;
            int c = (b + 1 + dice_below(&dice, vertices / 3)) % vertices;
            if (a != c)
                heap_triangle(&heap, (uint32_t)a, (uint32_t)b, (uint32_t)c);
        }
        if (heap.triangles == 0) {
            heap_clear(&heap);
            continue;
        }
        mesh = heap_mesh(&heap);
        got = tb_mesh_facts(mesh);
        want = slow_facts(mesh);
        ck_assert_uint_eq(got.open_edges, want.open_edges);
        ck_assert_uint_eq(got.shared_edges, want.shared_edges);
        ck_assert_uint_eq(got.flipped_edges, want.flipped_edges);
        ck_assert_uint_eq(got.shells, want.shells);
        tb_mesh_unref(mesh);
    }
}
END_TEST

/** All spokes hang on vertex 0: its bucket holds 60,000 half edges and must not be slow. */
START_TEST(fan_of_thirty_thousand_triangles_is_one_shell)
{
    const int n = 30000;
    Heap heap = {0};
    TbMesh *mesh;

    heap_vertex(&heap, tb_vec3(0, 0, 40.1));
    for (int i = 0; i < n; i++) {
        double angle = 2 * 3.14159265358979323846 * i / n;
        heap_vertex(&heap, tb_vec3(900 * cos(angle), 900 * sin(angle), 0));
    }
    for (int i = 0; i < n; i++)
        heap_triangle(&heap, 0, (uint32_t)i + 1, (uint32_t)(i + 1) % (uint32_t)n + 1);
    mesh = heap_mesh(&heap);
    ck_assert_uint_eq(tb_mesh_facts(mesh).shells, 1);
    ck_assert_uint_eq(tb_mesh_facts(mesh).open_edges, (size_t)n);
    tb_mesh_unref(mesh);
}
END_TEST

/* ---- welding ---- */

START_TEST(corners_nearer_than_the_tolerance_weld_and_others_do_not)
{
    Dice dice = {22};

    for (int round = 0; round < 2000; round++) {
        TbVec3 base = dice_point(&dice, round % 2 == 0 ? 50 : 9.9e3);
        TbVec3 away = tb_vec3_unit(dice_point(&dice, 1));
        double by = TB_TOL_WELD * (round % 4 < 2 ? 0.9999 : 1.0001);
        Heap heap = {0};
        TbMesh *mesh;
        uint32_t a = heap_vertex(&heap, base);
        uint32_t b = heap_vertex(&heap, tb_vec3_add(base, tb_vec3(13.7, 0, 0)));
        uint32_t c = heap_vertex(&heap, tb_vec3_add(base, tb_vec3(0, 13.7, 0)));
        uint32_t d = heap_vertex(&heap, tb_vec3_add_scaled(base, by, away));
        heap_triangle(&heap, a, b, c);
        heap_triangle(&heap, d, c, b);
        mesh = welded(&heap);
        ck_assert_uint_eq(tb_mesh_vertex_count(mesh), round % 4 < 2 ? 3 : 4);
        tb_mesh_unref(mesh);
    }
}
END_TEST

/** Crowded as in a file of the wrong unit: thousands of corners within a few cells of the grid. */
START_TEST(welding_equals_the_search_through_all_vertices)
{
    Dice dice = {23};
    TbVec3 middle = tb_vec3(812.3, -77.9, 3.3);
    TbVec3 *kept = malloc(12000 * sizeof *kept);
    size_t count = 0, dropped = 0;
    TbMeshBuilder *builder = tb_mesh_builder_new();
    TbMesh *mesh = NULL;
    bool *used = calloc(12000, sizeof *used);
    size_t in_use = 0;

    for (int i = 0; i < 3000; i++) {
        size_t v[3];
        TbVec3 t[3];
        for (int k = 0; k < 3; k++) {
            double least = TB_TOL_WELD * TB_TOL_WELD;
            t[k] = tb_vec3_add(middle, dice_point(&dice, 0.011));
            v[k] = count;
            for (size_t m = 0; m < count; m++) {
                double d2 = tb_vec3_length2(tb_vec3_sub(kept[m], t[k]));
                if (d2 < least) {
                    least = d2;
                    v[k] = m;
                }
            }
            if (v[k] == count)
                kept[count++] = t[k];
        }
        ck_assert_int_eq(tb_mesh_builder_add(builder, t, NULL), TB_OK);
        if (v[0] == v[1] || v[1] == v[2] || v[0] == v[2])
            dropped++;
        else
            used[v[0]] = used[v[1]] = used[v[2]] = true;
    }
    for (size_t i = 0; i < count; i++)
        in_use += used[i];
    ck_assert_int_eq(tb_mesh_builder_finish(builder, NULL, NULL, &mesh, NULL), TB_OK);
    ck_assert_uint_gt(dropped, 0);
    ck_assert_uint_eq(tb_mesh_facts(mesh).dropped_degenerate, dropped);
    ck_assert_uint_eq(tb_mesh_facts(mesh).triangles_read, 3000);
    ck_assert_uint_eq(tb_mesh_vertex_count(mesh), in_use);
    for (size_t i = 0, k = 0; i < count; i++)
        if (used[i])
            ck_assert_mem_eq(&tb_mesh_vertices(mesh)[k++], &kept[i], sizeof kept[i]);
    tb_mesh_unref(mesh);
    free(kept);
    free(used);
}
END_TEST

START_TEST(ball_of_loose_triangles_with_rounded_corners_becomes_closed)
{
    Heap heap = {0};
    Dice dice = {24};
    TbMeshBuilder *builder = tb_mesh_builder_new();
    TbMesh *mesh = NULL;
    size_t vertices, triangles;

    heap_ball(&heap, tb_vec3(31.7, 8e3, -2), 88.1, 40, 60);
    vertices = heap.vertices;
    triangles = heap.triangles;
    for (size_t i = 0; i < heap.triangles; i++) {
        TbVec3 t[3];
        for (size_t k = 0; k < 3; k++)
            t[k] = tb_vec3_add(heap.vertex[heap.index[3 * i + k]],
                               dice_point(&dice, 0.28 * TB_TOL_WELD));
        ck_assert_int_eq(tb_mesh_builder_add(builder, t, NULL), TB_OK);
    }
    heap_clear(&heap);
    ck_assert_int_eq(tb_mesh_builder_finish(builder, NULL, NULL, &mesh, NULL), TB_OK);
    ck_assert(tb_mesh_facts(mesh).closed);
    ck_assert_uint_eq(tb_mesh_vertex_count(mesh), vertices);
    ck_assert_uint_eq(tb_mesh_triangle_count(mesh), triangles);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(sliver_without_area_is_kept_so_that_its_neighbours_stay_closed)
{
    Heap heap = {0};
    TbMesh *mesh;

    /* tetrahedron whose edge a-b has a point m on one side only: triangle a-m-b fills the seam */
    uint32_t a = heap_vertex(&heap, tb_vec3(0, 0, 0));
    uint32_t b = heap_vertex(&heap, tb_vec3(12, 0, 0));
    uint32_t c = heap_vertex(&heap, tb_vec3(0, 9.3, 0));
    uint32_t d = heap_vertex(&heap, tb_vec3(0, 0, 7.7));
    uint32_t m = heap_vertex(&heap, tb_vec3(5, 0, 0));
    heap_triangle(&heap, a, c, b);
    heap_triangle(&heap, b, c, d);
    heap_triangle(&heap, a, d, c);
    heap_triangle(&heap, a, m, d);
    heap_triangle(&heap, m, b, d);
    heap_triangle(&heap, a, b, m);
    mesh = welded(&heap);
    ck_assert(tb_mesh_facts(mesh).closed);
    ck_assert_uint_eq(tb_mesh_facts(mesh).slivers, 1);
    ck_assert_uint_eq(tb_mesh_facts(mesh).dropped_degenerate, 0);
    ck_assert_double_eq_tol(tb_mesh_facts(mesh).volume, 12 * 9.3 * 7.7 / 6, 1e-11);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(not_finite_and_far_triangles_are_dropped_and_counted)
{
    static const double bad[] = {NAN, INFINITY, -INFINITY, 10000.001, -1e300, 5e9};
    TbMeshBuilder *builder = tb_mesh_builder_new();
    TbMesh *mesh = NULL;

    for (int i = 0; i < 6; i++) {
        TbVec3 t[3] = {{1, 2, 3}, {4, 5, 7}, {8, 1, 2}};
        double *c = i % 3 == 0 ? &t[i % 2].x : i % 3 == 1 ? &t[2].y : &t[1].z;
        *c = bad[i];
        ck_assert_int_eq(tb_mesh_builder_add(builder, t, NULL), TB_OK);
    }
    ck_assert_int_eq(
        tb_mesh_builder_add(builder, (TbVec3[]){{1e4, -1e4, 1e4}, {-1e4, 1, 2}, {0, 0, 0}}, NULL),
        TB_OK);
    ck_assert_int_eq(tb_mesh_builder_finish(builder, NULL, NULL, &mesh, NULL), TB_OK);
    ck_assert_uint_eq(tb_mesh_facts(mesh).dropped_not_finite, 6);
    ck_assert_uint_eq(tb_mesh_facts(mesh).triangles_read, 7);
    ck_assert_uint_eq(tb_mesh_triangle_count(mesh), 1);
    ck_assert_uint_eq(tb_mesh_vertex_count(mesh), 3);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(mesh_with_nothing_left_says_what_was_dropped)
{
    TbMeshBuilder *builder = tb_mesh_builder_new();
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(
        tb_mesh_builder_add(builder, (TbVec3[]){{0, 0, NAN}, {1, 0, 0}, {0, 1, 0}}, &fault), TB_OK);
    ck_assert_int_eq(
        tb_mesh_builder_add(builder, (TbVec3[]){{0, 0, 0}, {1, 0, 0}, {1, 0, 0}}, &fault), TB_OK);
    ck_assert_int_eq(
        tb_mesh_builder_add(builder, (TbVec3[]){{0, 0, 0}, {0, 5e-4, 0}, {1, 0, 0}}, &fault),
        TB_OK);
    ck_assert_int_eq(tb_mesh_builder_finish(builder, NULL, NULL, &mesh, &fault), TB_E_FORMAT);
    ck_assert_str_eq(fault.text,
                     "no triangle left of 3: 2 have no width, 1 are not finite or beyond 10000 mm");
    ck_assert_int_eq(tb_mesh_builder_finish(tb_mesh_builder_new(), NULL, NULL, &mesh, &fault),
                     TB_E_FORMAT);
    ck_assert_str_eq(fault.text, "no triangles");
    ck_assert_ptr_null(mesh);
}
END_TEST

/* ---- arrays, moving, room ---- */

START_TEST(wrong_arrays_are_refused_with_the_place)
{
    TbVec3 vertex[3] = {{0, 0, 0}, {1, 0, 0}, {0, NAN, 0}};
    uint32_t index[6] = {0, 1, 2, 1, 2, 3};
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_mesh_from_arrays(vertex, 3, index, 2, &mesh, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "vertex 2 of a mesh is not finite");
    vertex[2].y = 1;
    ck_assert_int_eq(tb_mesh_from_arrays(vertex, 3, index, 2, &mesh, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "triangle 1 of a mesh names vertex 3 of 3");
    ck_assert_int_eq(tb_mesh_from_arrays(vertex, 3, index, 0, &mesh, &fault), TB_E_DEGENERATE);
    ck_assert_int_eq(tb_mesh_from_arrays(vertex, 3, index, (size_t)1 << 40, &mesh, &fault),
                     TB_E_LIMIT);
    ck_assert_ptr_null(mesh);
}
END_TEST

START_TEST(moved_mesh_has_the_facts_of_a_mesh_built_there)
{
    TbPose pose =
        tb_pose_compose(tb_pose_growth(tb_vec3(31.3, -7.9, 0.7), 1.0137),
                        tb_pose_turn(tb_vec3(1.1, 2.3, -9.7), tb_vec3(0.3, -1.9, 0.7), 1.234));
    Heap heap = {0};
    TbMesh *mesh, *moved, *built;
    TbMeshFacts a, b;

    heap_ball(&heap, tb_vec3(8.3, 1.9, -44.1), 12.7, 11, 17);
    mesh = heap_mesh(&heap);
    moved = tb_mesh_moved(mesh, pose);
    heap_ball(&heap, tb_vec3(8.3, 1.9, -44.1), 12.7, 11, 17);
    for (size_t i = 0; i < heap.vertices; i++)
        heap.vertex[i] = tb_pose_point(pose, heap.vertex[i]);
    built = heap_mesh(&heap);
    a = tb_mesh_facts(moved);
    b = tb_mesh_facts(built);
    ck_assert(a.closed && b.closed);
    ck_assert_uint_eq(a.triangles_read, b.triangles_read);
    ck_assert_double_eq_tol(a.volume, b.volume, 1e-12 * b.volume);
    ck_assert_double_eq_tol(a.area, b.area, 1e-12 * b.area);
    ck_assert_mem_eq(tb_mesh_vertices(moved), tb_mesh_vertices(built),
                     tb_mesh_vertex_count(built) * sizeof(TbVec3));
    ck_assert_double_eq(tb_mesh_box(moved).low.x, tb_mesh_box(built).low.x);
    ck_assert_double_eq(tb_mesh_box(moved).high.z, tb_mesh_box(built).high.z);
    tb_mesh_unref(tb_mesh_ref(moved));
    tb_mesh_unref(moved);
    tb_mesh_unref(mesh);
    tb_mesh_unref(built);
    tb_mesh_unref(NULL);
}
END_TEST

static TbStatus
build_ball(const Heap *heap, TbMesh **mesh, TbFault *fault)
{
    TbMeshBuilder *builder = tb_mesh_builder_new();
    TbStatus status = TB_OK;

    if (builder == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a builder");
    for (size_t i = 0; i < heap->triangles && status == TB_OK; i++) {
        TbVec3 t[3];
        for (size_t k = 0; k < 3; k++)
            t[k] = heap->vertex[heap->index[3 * i + k]];
        status = tb_mesh_builder_add(builder, t, fault);
    }
    if (status == TB_OK)
        return tb_mesh_builder_finish(builder, NULL, NULL, mesh, fault);
    tb_mesh_builder_free(builder);
    return status;
}

START_TEST(no_room_anywhere_leaves_nothing_behind)
{
    Heap heap = {0};
    TbMesh *mesh = NULL, *moved = NULL;
    TbStatus status = TB_E_MEMORY;
    TbFault fault = {0};
    long n = 1;

    heap_ball(&heap, tb_vec3(8.3, 1.9, -44.1), 12.7, 40, 60);
    for (; status != TB_OK; n++) {
        tb_mem_fail_at(n);
        status = build_ball(&heap, &mesh, &fault);
        tb_mem_fail_at(0);
        ck_assert(status == TB_OK || (status == TB_E_MEMORY && mesh == NULL));
        ck_assert(status == TB_OK || strlen(fault.text) > 0);
    }
    ck_assert_int_gt(n, 20);
    tb_mesh_unref(mesh);
    mesh = NULL;
    for (n = 1; mesh == NULL; n++) {
        tb_mem_fail_at(n);
        status = tb_mesh_from_arrays(heap.vertex, heap.vertices, heap.index, heap.triangles, &mesh,
                                     &fault);
        tb_mem_fail_at(0);
        ck_assert(mesh != NULL || status == TB_E_MEMORY);
    }
    ck_assert_int_gt(n, 6);
    for (n = 1; moved == NULL; n++) {
        tb_mem_fail_at(n);
        moved = tb_mesh_moved(mesh, tb_pose_identity());
        tb_mem_fail_at(0);
    }
    ck_assert_int_eq(n, 6);
    tb_mesh_unref(moved);
    tb_mesh_unref(mesh);
    heap_clear(&heap);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/mesh");
    TCase *tests = tcase_create("mesh");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, block_is_closed_with_its_volume_and_area);
    tcase_add_test(tests, volume_far_from_the_origin_keeps_nine_digits);
    tcase_add_test(tests, hole_shows_as_open_edges_and_no_volume);
    tcase_add_test(tests, turned_triangle_shows_as_flipped_edges);
    tcase_add_test(tests, inside_out_block_is_inward);
    tcase_add_test(tests, hollow_block_is_two_shells_and_the_difference_of_volumes);
    tcase_add_test(tests,
                   blocks_that_share_an_edge_are_one_shell_and_those_that_share_a_corner_two);
    tcase_add_test(tests, facts_equal_those_of_every_pair_of_triangles);
    tcase_add_test(tests, fan_of_thirty_thousand_triangles_is_one_shell);
    tcase_add_test(tests, corners_nearer_than_the_tolerance_weld_and_others_do_not);
    tcase_add_test(tests, welding_equals_the_search_through_all_vertices);
    tcase_add_test(tests, ball_of_loose_triangles_with_rounded_corners_becomes_closed);
    tcase_add_test(tests, sliver_without_area_is_kept_so_that_its_neighbours_stay_closed);
    tcase_add_test(tests, not_finite_and_far_triangles_are_dropped_and_counted);
    tcase_add_test(tests, mesh_with_nothing_left_says_what_was_dropped);
    tcase_add_test(tests, wrong_arrays_are_refused_with_the_place);
    tcase_add_test(tests, moved_mesh_has_the_facts_of_a_mesh_built_there);
    tcase_add_test(tests, no_room_anywhere_leaves_nothing_behind);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
