/* SPDX-License-Identifier: GPL-3.0-or-later */

/** What holds for every format; mesh_formats has what each one alone does. */
#include "base/mem.h"
#include "mesh_files.h"
#include "tap.h"

/* ---- all formats ---- */

START_TEST(every_coding_gives_the_same_block_in_pieces_of_any_size)
{
    static const size_t pieces[] = {1, 7, 50, 4096};
    Paper paper = block_paper((Coding)_i);

    for (int k = 0; k < 8; k++) {
        Pieces p = {paper.bytes, paper.size, 0, pieces[k / 2], 0};
        TbSource source = source_of_pieces(&p, k % 2 == 0);
        TbMeshReadDef def = plain_def();
        TbMesh *mesh = NULL;
        TbFault fault = {0};
        TbStatus status = tb_mesh_read(&source, coding_format[_i], &def, &mesh, &fault);
        ck_assert_msg(status == TB_OK, "%s", fault.text);
        check_block(mesh);
        tb_mesh_unref(mesh);
    }
    paper_clear(&paper);
}
END_TEST

START_TEST(unit_and_placement_are_applied_in_this_order)
{
    Paper paper = block_paper((Coding)_i);
    TbBytes bytes = {paper.bytes, paper.size, 0};
    TbSource source = tb_source_of_bytes(&bytes);
    TbMeshReadDef def = {.unit = 25.4,
                         .placement =
                             tb_pose_compose(tb_pose_shift(tb_vec3(100, -20, 3.5)),
                                             tb_pose_turn(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1),
                                                          3.14159265358979323846 / 2))};
    TbMesh *mesh = NULL;
    TbBox3 box;

    ck_assert_int_eq(tb_mesh_read(&source, coding_format[_i], &def, &mesh, NULL), TB_OK);
    box = tb_mesh_box(mesh);
    /* a quarter turn about z: x' = -y, y' = x */
    ck_assert_double_eq_tol(box.low.x, 100 - 25.4 * block_high.y, 1e-10);
    ck_assert_double_eq_tol(box.high.x, 100 - 25.4 * block_low.y, 1e-10);
    ck_assert_double_eq_tol(box.low.y, -20 + 25.4 * block_low.x, 1e-10);
    ck_assert_double_eq_tol(box.high.z, 3.5 + 25.4 * block_high.z, 1e-10);
    ck_assert(tb_mesh_facts(mesh).closed);
    tb_mesh_unref(mesh);
    paper_clear(&paper);
}
END_TEST

/** A file cut off anywhere is refused with a sentence, or was whole already. */
START_TEST(file_cut_off_at_any_byte_is_refused_or_whole)
{
    Paper paper = block_paper((Coding)_i);
    int whole = 0;

    for (size_t size = 0; size < paper.size; size++)
        for (int known = 0; known < 2; known++) {
            /* a copy of its own, so that a byte too far is seen */
            Paper cut = {0};
            TbMesh *mesh = NULL;
            TbFault fault = {0};
            TbStatus status;
            cut.bytes = malloc(size);
            cut.size = size;
            if (size > 0)
                memcpy(cut.bytes, paper.bytes, size);
            status = read_paper(&cut, coding_format[_i], known, &mesh, &fault);
            if (status == TB_OK) {
                whole++;
                ck_assert_uint_le(tb_mesh_facts(mesh).triangles_read, 12);
            } else {
                ck_assert_int_eq(status, TB_E_FORMAT);
                ck_assert_uint_gt(strlen(fault.text), 0);
                ck_assert_ptr_null(mesh);
            }
            tb_mesh_unref(mesh);
            paper_clear(&cut);
        }
    /* counted data cannot be cut; a text may lose its last blank, a digit, or an end's name; OBJ
     * has no end and may lose whole faces */
    if (_i == STL_BINARY || _i == PLY_LITTLE || _i == PLY_BIG)
        ck_assert_int_eq(whole, 0);
    if (_i == STL_TEXT)
        ck_assert_int_le(whole, 2 * (int)strlen(" block of binary make\n"));
    if (_i == PLY_TEXT)
        ck_assert_int_eq(whole, 2);
    paper_clear(&paper);
}
END_TEST

/** Thousands of damaged files: nothing but a mesh or a sentence comes out. */
START_TEST(damaged_bytes_never_do_harm)
{
    Paper paper = block_paper((Coding)_i);
    Dice dice = {100 + (uint64_t)_i};

    for (int round = 0; round < 4000; round++) {
        Paper bad = {0};
        TbMesh *mesh = NULL;
        TbFault fault = {0};
        TbStatus status;
        paper_put(&bad, paper.bytes, paper.size);
        for (int k = dice_below(&dice, 3); k >= 0; k--)
            bad.bytes[dice_bits(&dice) % bad.size] =
                (unsigned char)(round % 2 == 0 ? "0123456789 -.e/\n\\x"[dice_below(&dice, 18)]
                                               : (char)dice_bits(&dice));
        status = read_paper(&bad, coding_format[_i], round % 4 < 2, &mesh, &fault);
        ck_assert(status == TB_OK || status == TB_E_FORMAT || status == TB_E_LIMIT);
        ck_assert((status == TB_OK) == (mesh != NULL));
        ck_assert(status == TB_OK || strlen(fault.text) > 0);
        tb_mesh_unref(mesh);
        paper_clear(&bad);
    }
    paper_clear(&paper);
}
END_TEST

START_TEST(no_room_anywhere_is_said_and_leaves_nothing_behind)
{
    Heap heap = {0};
    Paper paper;
    TbStatus status = TB_E_MEMORY;
    TbMesh *mesh = NULL;
    long n = 1;

    /* enough to grow every array a few times */
    heap_ball(&heap, tb_vec3(1, 2, 3), 77.7, 24, 30);
    paper = paper_of(&heap, (Coding)_i);
    for (; status != TB_OK; n++) {
        TbFault fault = {0};
        tb_mem_fail_at(n);
        status = read_paper(&paper, coding_format[_i], n % 2 == 0, &mesh, &fault);
        tb_mem_fail_at(0);
        if (status != TB_OK) {
            ck_assert_int_eq(status, TB_E_MEMORY);
            ck_assert_msg(strncmp(fault.text, "no room", 7) == 0, "%s", fault.text);
            ck_assert_ptr_null(mesh);
        }
    }
    ck_assert_int_gt(n, 20);
    ck_assert(tb_mesh_facts(mesh).closed);
    tb_mesh_unref(mesh);
    paper_clear(&paper);
    heap_clear(&heap);
}
END_TEST

START_TEST(empty_file_is_refused)
{
    Paper paper = {0};

    paper_put(&paper, "", 0);
    check_fault(&paper, coding_format[_i], false, TB_E_FORMAT, "an empty file, 0 bytes");
}
END_TEST

START_TEST(trouble_of_the_source_is_passed_on)
{
    Paper paper = block_paper((Coding)_i);

    for (size_t at = 1; at < paper.size; at += 37) {
        Pieces p = {paper.bytes, paper.size, 0, 1, at};
        TbSource source = source_of_pieces(&p, true);
        TbMeshReadDef def = plain_def();
        TbMesh *mesh = NULL;
        TbFault fault = {0};
        char want[100];
        snprintf(want, sizeof want, "the wire was cut after %zu bytes", at);
        ck_assert_int_eq(tb_mesh_read(&source, coding_format[_i], &def, &mesh, &fault), TB_E_IO);
        ck_assert_str_eq(fault.text, want);
        p.at = 0;
        ck_assert_int_eq(tb_mesh_read(&source, coding_format[_i], &def, &mesh, NULL), TB_E_IO);
        ck_assert_ptr_null(mesh);
    }
    paper_clear(&paper);
}
END_TEST

START_TEST(cancelled_task_stops_the_reading)
{
    Paper paper = block_paper((Coding)_i);
    Pieces p = {paper.bytes, paper.size, 0, 100, 0};
    TbSource source = source_of_pieces(&p, true);
    TbTask task = {0};
    TbMeshReadDef def = plain_def();
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    def.task = &task;
    tb_task_cancel(&task);
    ck_assert_int_eq(tb_mesh_read(&source, coding_format[_i], &def, &mesh, &fault), TB_E_CANCELLED);
    ck_assert_str_eq(fault.text, "stopped while reading a mesh");
    ck_assert_ptr_null(mesh);
    paper_clear(&paper);
}
END_TEST

static void
note_share(void *user, const char *what, double share)
{
    double *last = user;

    if (strcmp(what, "finding out what a mesh is") == 0) {
        /* the next stage, from its own start */
        share += 1;
    } else {
        ck_assert_str_eq(what, "reading and welding a mesh");
        ck_assert_double_le(share, 1);
    }
    ck_assert_double_ge(share, *last);
    *last = share;
}

START_TEST(progress_rises_to_the_end)
{
    Paper paper = block_paper((Coding)_i);
    Pieces p = {paper.bytes, paper.size, 0, 100, 0};
    TbSource source = source_of_pieces(&p, true);
    double last = 0;
    TbTask task = {.report = note_share, .user = &last};
    TbMeshReadDef def = plain_def();
    TbMesh *mesh = NULL;

    def.task = &task;
    ck_assert_int_eq(tb_mesh_read(&source, coding_format[_i], &def, &mesh, NULL), TB_OK);
    ck_assert_double_eq(last, 2);
    tb_mesh_unref(mesh);
    paper_clear(&paper);
}
END_TEST

START_TEST(more_triangles_than_the_most_are_refused)
{
    static const char *const said[CODINGS] = {
        "a mesh of more than 11 triangles, the most", "binary STL of 12 triangles, 11 are the most",
        "PLY of 12 triangles, 11 are the most",       "PLY of 12 triangles, 11 are the most",
        "PLY of 12 triangles, 11 are the most",       "a mesh of more than 11 triangles, the most"};

    for (size_t most = 11; most < 13; most++) {
        Paper paper = block_paper((Coding)_i);
        TbBytes bytes = {paper.bytes, paper.size, 0};
        TbSource source = tb_source_of_bytes(&bytes);
        TbMeshReadDef def = plain_def();
        TbMesh *mesh = NULL;
        TbFault fault = {0};
        TbStatus status;
        def.most_triangles = most;
        status = tb_mesh_read(&source, coding_format[_i], &def, &mesh, &fault);
        ck_assert_int_eq(status, most == 11 ? TB_E_LIMIT : TB_OK);
        if (most == 11)
            ck_assert_str_eq(fault.text, said[_i]);
        tb_mesh_unref(mesh);
        paper_clear(&paper);
    }
}
END_TEST

START_TEST(wrong_units_and_unknown_formats_are_refused)
{
    static const double units[] = {0, -1, NAN, INFINITY};
    Paper paper = block_paper(STL_BINARY);
    TbBytes bytes = {paper.bytes, paper.size, 0};
    TbSource source = tb_source_of_bytes(&bytes);
    TbMeshReadDef def = plain_def();
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    for (int i = 0; i < 4; i++) {
        def.unit = units[i];
        ck_assert_int_eq(tb_mesh_read(&source, TB_MESH_STL, &def, &mesh, &fault), TB_E_RANGE);
        ck_assert_str_eq(fault.text, "a mesh's unit must be above 0 mm");
    }
    check_fault(&paper, TB_MESH_UNKNOWN, true, TB_E_FORMAT,
                "a mesh file's name ends in .stl, .ply or .obj");
    ck_assert_int_eq(tb_mesh_format_of("a/b.c/bay.STL"), TB_MESH_STL);
    ck_assert_int_eq(tb_mesh_format_of("scan.1.ply"), TB_MESH_PLY);
    ck_assert_int_eq(tb_mesh_format_of(".Obj"), TB_MESH_OBJ);
    ck_assert_int_eq(tb_mesh_format_of("stl"), TB_MESH_UNKNOWN);
    ck_assert_int_eq(tb_mesh_format_of("a.stl.gz"), TB_MESH_UNKNOWN);
}
END_TEST

START_TEST(file_in_the_wrong_unit_says_that_nothing_is_left)
{
    Paper paper = block_paper((Coding)_i);
    TbBytes bytes = {paper.bytes, paper.size, 0};
    TbSource source = tb_source_of_bytes(&bytes);
    TbMeshReadDef def = plain_def();
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    def.unit = 1000;
    ck_assert_int_eq(tb_mesh_read(&source, coding_format[_i], &def, &mesh, &fault), TB_E_FORMAT);
    ck_assert_str_eq(
        fault.text,
        "no triangle left of 12: 0 have no width, 12 are not finite or beyond 10000 mm");
    paper_clear(&paper);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/mesh_read");
    TCase *all = tcase_create("all formats");

    tcase_set_timeout(all, 120);
    tcase_add_loop_test(all, every_coding_gives_the_same_block_in_pieces_of_any_size, 0, CODINGS);
    tcase_add_loop_test(all, unit_and_placement_are_applied_in_this_order, 0, CODINGS);
    tcase_add_loop_test(all, file_cut_off_at_any_byte_is_refused_or_whole, 0, CODINGS);
    tcase_add_loop_test(all, damaged_bytes_never_do_harm, 0, CODINGS);
    tcase_add_loop_test(all, no_room_anywhere_is_said_and_leaves_nothing_behind, 0, CODINGS);
    tcase_add_loop_test(all, empty_file_is_refused, 0, CODINGS);
    tcase_add_loop_test(all, trouble_of_the_source_is_passed_on, 0, CODINGS);
    tcase_add_loop_test(all, cancelled_task_stops_the_reading, 0, CODINGS);
    tcase_add_loop_test(all, progress_rises_to_the_end, 0, CODINGS);
    tcase_add_loop_test(all, more_triangles_than_the_most_are_refused, 0, CODINGS);
    tcase_add_loop_test(all, file_in_the_wrong_unit_says_that_nothing_is_left, 0, CODINGS);
    tcase_add_test(all, wrong_units_and_unknown_formats_are_refused);
    suite_add_tcase(suite, all);

    return tb_test_main(suite);
}
