/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "study/store.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

/* A closed corner pyramid of side 37 as text STL: 4 triangles. */
static const char pyramid[] =
    "solid p\n"
    "facet normal 0 0 -1\nouter loop\nvertex 0 0 0\nvertex 0 37 0\nvertex 37 0 0\nendloop\n"
    "endfacet\n"
    "facet normal 0 -1 0\nouter loop\nvertex 0 0 0\nvertex 37 0 0\nvertex 0 0 37\nendloop\n"
    "endfacet\n"
    "facet normal -1 0 0\nouter loop\nvertex 0 0 0\nvertex 0 0 37\nvertex 0 37 0\nendloop\n"
    "endfacet\n"
    "facet normal 1 1 1\nouter loop\nvertex 37 0 0\nvertex 0 37 0\nvertex 0 0 37\nendloop\n"
    "endfacet\n"
    "endsolid p\n";

static char *folder;
static TbStore *store;

static void
begin(void)
{
    folder = g_dir_make_tmp("tb-store-XXXXXX", NULL);
    store = tb_store_new();
}

static void
end(void)
{
    g_autofree char *command = g_strdup_printf("rm -rf '%s'", folder);

    tb_store_unref(store);
    ck_assert_int_eq(system(command), 0);
    g_clear_pointer(&folder, g_free);
}

static char *
file_with(const char *name, const char *bytes, size_t size)
{
    char *path = g_build_filename(folder, name, NULL);

    ck_assert(g_file_set_contents(path, bytes, (gssize)size, NULL));
    return path;
}

static TbScanAnswer
ask(const char *path, const char *checksum)
{
    return tb_store_scan(store, path, checksum, 1, tb_pose_identity(), NULL, NULL);
}

START_TEST(a_scan_is_read_once_and_shared)
{
    g_autofree char *path = file_with("p.stl", pyramid, strlen(pyramid));
    g_autofree char *sum =
        g_compute_checksum_for_string(G_CHECKSUM_SHA256, pyramid, (gssize)strlen(pyramid));
    TbScanAnswer one = ask(path, NULL), two = ask(path, sum);

    ck_assert_int_eq(one.state, TB_SCAN_READY);
    ck_assert_str_eq(one.checksum, sum);
    ck_assert_uint_eq(tb_mesh_triangle_count(tb_tree_mesh(one.tree)), 4);
    ck_assert(tb_mesh_facts(tb_tree_mesh(one.tree)).closed);
    ck_assert_int_eq(two.state, TB_SCAN_READY);
    ck_assert_ptr_eq(one.tree, two.tree);
    tb_tree_unref(one.tree);
    tb_tree_unref(two.tree);
}
END_TEST

START_TEST(equal_files_in_two_places_share_one_tree)
{
    g_autofree char *path = file_with("p.stl", pyramid, strlen(pyramid));
    g_autofree char *other = file_with("q.STL", pyramid, strlen(pyramid));
    TbScanAnswer one = ask(path, NULL), two = ask(other, NULL);

    ck_assert_int_eq(two.state, TB_SCAN_READY);
    ck_assert_ptr_eq(one.tree, two.tree);
    tb_tree_unref(one.tree);
    tb_tree_unref(two.tree);
}
END_TEST

START_TEST(unit_and_placement_make_another_mesh)
{
    g_autofree char *path = file_with("p.stl", pyramid, strlen(pyramid));
    TbPose shift = tb_pose_shift(tb_vec3(5, -7, 11));
    TbScanAnswer one = tb_store_scan(store, path, NULL, 10, shift, NULL, NULL);
    TbBox3 box = tb_mesh_box(tb_tree_mesh(one.tree));

    ck_assert_double_eq(box.low.y, -7);
    ck_assert_double_eq(box.high.x, 375);
    tb_tree_unref(one.tree);
}
END_TEST

START_TEST(a_changed_file_is_said_and_its_mesh_is_there_all_the_same)
{
    g_autofree char *path = file_with("p.stl", pyramid, strlen(pyramid));
    g_autofree char *other = g_strnfill(64, '7');
    TbScanAnswer answer = ask(path, other);

    ck_assert_int_eq(answer.state, TB_SCAN_CHANGED);
    ck_assert_ptr_nonnull(answer.tree);
    ck_assert_ptr_nonnull(strstr(answer.fault.text, "has changed"));
    ck_assert_ptr_nonnull(strstr(answer.fault.text, "777777777777"));
    tb_tree_unref(answer.tree);
}
END_TEST

START_TEST(a_file_written_anew_is_read_anew)
{
    g_autofree char *path = file_with("p.stl", pyramid, strlen(pyramid));
    TbScanAnswer one = ask(path, NULL), two;
    g_autofree char *longer = g_strconcat(pyramid, "\n", NULL);

    g_free(file_with("p.stl", longer, strlen(longer)));
    two = ask(path, NULL);
    ck_assert_int_eq(two.state, TB_SCAN_READY);
    ck_assert_str_ne(one.checksum, two.checksum);
    ck_assert_ptr_ne(one.tree, two.tree);
    tb_tree_unref(one.tree);
    tb_tree_unref(two.tree);
}
END_TEST

/* What is no mesh, and what is said of it. */
static const struct {
    const char *name, *bytes;
    size_t size;
    TbScanState state;
    const char *words;
} bad[] = {
    {"empty.stl", "", 0, TB_SCAN_BROKEN, "cannot be read as a mesh"},
    {"cut.stl", pyramid, 300, TB_SCAN_BROKEN, "cannot be read as a mesh"},
    {"text.ply", "solid p\n", 8, TB_SCAN_BROKEN, "cannot be read as a mesh"},
    {"mesh.dat", pyramid, 100, TB_SCAN_BROKEN, ".stl, .ply and .obj"},
};

START_TEST(a_file_that_is_no_mesh_says_why)
{
    g_autofree char *path = file_with(bad[_i].name, bad[_i].bytes, bad[_i].size);

    for (int again = 0; again < 2; again++) {
        TbScanAnswer answer = ask(path, NULL);

        ck_assert_int_eq(answer.state, bad[_i].state);
        ck_assert_ptr_null(answer.tree);
        ck_assert_msg(strstr(answer.fault.text, bad[_i].words) != NULL, "said: %s",
                      answer.fault.text);
        ck_assert_uint_eq(strlen(answer.checksum), 64);
    }
}
END_TEST

START_TEST(no_file_a_folder_a_device_and_a_dead_link_are_missing_scans)
{
    g_autofree char *dead = g_build_filename(folder, "dead.stl", NULL);
    g_autofree char *none = g_build_filename(folder, "none.stl", NULL);
    g_autofree char *deep = g_build_filename(folder, "deep.stl", NULL);
    TbScanAnswer answer = ask(none, NULL);

    ck_assert_int_eq(answer.state, TB_SCAN_MISSING);
    ck_assert_ptr_nonnull(strstr(answer.fault.text, "none.stl"));
    ck_assert_int_eq(g_mkdir(deep, 0700), 0);
    answer = ask(deep, NULL);
    ck_assert_int_eq(answer.state, TB_SCAN_MISSING);
    ck_assert_ptr_nonnull(strstr(answer.fault.text, "is a folder"));
    answer = ask("/dev/zero", NULL);
    ck_assert_int_eq(answer.state, TB_SCAN_MISSING);
    ck_assert_ptr_nonnull(strstr(answer.fault.text, "device"));
    ck_assert_int_eq(symlink(none, dead), 0);
    answer = ask(dead, NULL);
    ck_assert_int_eq(answer.state, TB_SCAN_MISSING);
    ck_assert_ptr_nonnull(strstr(answer.fault.text, "leads to no file"));
}
END_TEST

START_TEST(a_cancelled_read_leaves_nothing_behind)
{
    g_autofree char *path = file_with("p.stl", pyramid, strlen(pyramid));
    TbTask task = {0};
    TbScanAnswer answer;

    tb_task_cancel(&task);
    answer = tb_store_scan(store, path, NULL, 1, tb_pose_identity(), NULL, &task);
    ck_assert_ptr_null(answer.tree);
    ck_assert_int_eq(answer.fault.status, TB_E_CANCELLED);
    answer = ask(path, NULL);
    ck_assert_int_eq(answer.state, TB_SCAN_READY);
    tb_tree_unref(answer.tree);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/store");
    TCase *c = tcase_create("store");

    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, a_scan_is_read_once_and_shared);
    tcase_add_test(c, equal_files_in_two_places_share_one_tree);
    tcase_add_test(c, unit_and_placement_make_another_mesh);
    tcase_add_test(c, a_changed_file_is_said_and_its_mesh_is_there_all_the_same);
    tcase_add_test(c, a_file_written_anew_is_read_anew);
    tcase_add_loop_test(c, a_file_that_is_no_mesh_says_why, 0, (int)G_N_ELEMENTS(bad));
    tcase_add_test(c, no_file_a_folder_a_device_and_a_dead_link_are_missing_scans);
    tcase_add_test(c, a_cancelled_read_leaves_nothing_behind);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
