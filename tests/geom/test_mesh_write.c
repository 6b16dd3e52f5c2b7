/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "mesh_files.h"
#include "tap.h"

/** A sink that keeps everything, or says no once `full` bytes are in (0: never). */
typedef struct Drawer {
    Paper paper;
    size_t full;
} Drawer;

static TbStatus
keep(void *user, const void *bytes, size_t size, TbFault *fault)
{
    Drawer *drawer = user;

    if (drawer->full > 0 && drawer->paper.size + size > drawer->full)
        return tb_fail(fault, TB_E_IO, "no room after %zu bytes", drawer->paper.size);
    paper_put(&drawer->paper, bytes, size);
    return TB_OK;
}

static TbMesh *
ball_mesh(int rings)
{
    Heap heap = {0};

    heap_ball(&heap, tb_vec3(431.7, -88.1, 207.3), 61.9, rings, 2 * rings);
    return heap_mesh(&heap);
}

static Paper
written(const TbMesh *mesh, TbMeshFormat format)
{
    Drawer drawer = {0};
    TbSink sink = {keep, &drawer};

    ck_assert_int_eq(tb_mesh_write(mesh, format, &sink, NULL), TB_OK);
    return drawer.paper;
}

static TbMesh *
read_back(Paper *paper, TbMeshFormat format)
{
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    TbStatus status = read_paper(paper, format, true, &mesh, &fault);

    ck_assert_msg(status == TB_OK, "%s", fault.text);
    paper_clear(paper);
    return mesh;
}

START_TEST(ply_comes_back_bit_for_bit)
{
    TbMesh *mesh = ball_mesh(70);
    Paper paper = written(mesh, TB_MESH_PLY);
    TbMesh *back = read_back(&paper, TB_MESH_PLY);
    size_t triangles = tb_mesh_triangle_count(mesh);

    /* numbers of vertices follow the order of first use, so corners are compared */
    ck_assert_uint_eq(tb_mesh_triangle_count(back), triangles);
    ck_assert_uint_eq(tb_mesh_vertex_count(back), tb_mesh_vertex_count(mesh));
    for (size_t i = 0; i < triangles; i++) {
        TbVec3 a[3], b[3];
        tb_mesh_corners(mesh, i, a);
        tb_mesh_corners(back, i, b);
        ck_assert_mem_eq(a, b, sizeof a);
    }
    ck_assert(tb_mesh_facts(back).closed);
    tb_mesh_unref(mesh);
    tb_mesh_unref(back);
}
END_TEST

START_TEST(stl_comes_back_rounded_to_float)
{
    TbMesh *mesh = ball_mesh(70);
    Paper paper = written(mesh, TB_MESH_STL);
    size_t triangles = tb_mesh_triangle_count(mesh);
    TbMesh *back;

    ck_assert_uint_eq(paper.size, 84 + 50 * triangles);
    ck_assert(memcmp(paper.bytes, "solid", 5) != 0);
    back = read_back(&paper, TB_MESH_STL);
    ck_assert_uint_eq(tb_mesh_triangle_count(back), triangles);
    for (size_t i = 0; i < triangles; i++) {
        TbVec3 a[3], b[3];
        tb_mesh_corners(mesh, i, a);
        tb_mesh_corners(back, i, b);
        for (int k = 0; k < 3; k++) {
            ck_assert(b[k].x == (double)(float)a[k].x);
            ck_assert(b[k].y == (double)(float)a[k].y);
            ck_assert(b[k].z == (double)(float)a[k].z);
        }
    }
    ck_assert(tb_mesh_facts(back).closed);
    tb_mesh_unref(mesh);
    tb_mesh_unref(back);
}
END_TEST

START_TEST(stl_normals_point_outwards_and_are_unit)
{
    TbMesh *mesh = ball_mesh(9);
    Paper paper = written(mesh, TB_MESH_STL);

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        float n[3]; /* this test runs where floats have the file's byte order */
        TbVec3 t[3], out;
        memcpy(n, paper.bytes + 84 + 50 * i, sizeof n);
        tb_mesh_corners(mesh, i, t);
        out = tb_vec3_sub(t[0], tb_vec3(431.7, -88.1, 207.3));
        ck_assert_double_gt((double)n[0] * out.x + (double)n[1] * out.y + (double)n[2] * out.z, 0);
        ck_assert_double_eq_tol((double)n[0] * (double)n[0] + (double)n[1] * (double)n[1] +
                                    (double)n[2] * (double)n[2],
                                1, 1e-6);
    }
    paper_clear(&paper);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(full_disk_stops_the_writing_with_its_sentence)
{
    TbMesh *mesh = ball_mesh(60);

    for (int k = 0; k < 2; k++) {
        TbMeshFormat format = k == 0 ? TB_MESH_STL : TB_MESH_PLY;
        Paper whole = written(mesh, format);
        for (size_t full = 1; full < whole.size; full += whole.size / 9) {
            Drawer drawer = {{0}, full};
            TbSink sink = {keep, &drawer};
            TbFault fault = {0};
            ck_assert_int_eq(tb_mesh_write(mesh, format, &sink, &fault), TB_E_IO);
            ck_assert(strncmp(fault.text, "no room after ", 14) == 0);
            paper_clear(&drawer.paper);
        }
        paper_clear(&whole);
    }
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(no_room_for_the_buffer_is_said)
{
    TbMesh *mesh = ball_mesh(5);
    Drawer drawer = {0};
    TbSink sink = {keep, &drawer};
    TbFault fault = {0};

    tb_mem_fail_at(1);
    ck_assert_int_eq(tb_mesh_write(mesh, TB_MESH_STL, &sink, &fault), TB_E_MEMORY);
    tb_mem_fail_at(0);
    ck_assert_str_eq(fault.text, "no room to write a mesh");
    ck_assert_uint_eq(drawer.paper.size, 0);
    tb_mesh_unref(mesh);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/mesh_write");
    TCase *tests = tcase_create("write");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, ply_comes_back_bit_for_bit);
    tcase_add_test(tests, stl_comes_back_rounded_to_float);
    tcase_add_test(tests, stl_normals_point_outwards_and_are_unit);
    tcase_add_test(tests, full_disk_stops_the_writing_with_its_sentence);
    tcase_add_test(tests, no_room_for_the_buffer_is_said);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
