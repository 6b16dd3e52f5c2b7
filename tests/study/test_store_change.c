/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Scans that are replaced while they are open, stand in several places, or are larger than the
 * memory they may take.
 */

#include "scans.h"
#include "tap.h"

#include "study/shelf.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

static TbStore *store;
static char *scan;

static TbScanAnswer
ask_for(const char *checksum, TbTask *task)
{
    return tb_store_scan(store, scan, checksum, 1, tb_pose_identity(), NULL, task);
}

static TbScanAnswer
ask_at(TbPose pose)
{
    return tb_store_scan(store, scan, NULL, 1, pose, NULL, NULL);
}

static void
begin(void)
{
    make_folder();
    scan = ring_file("ring.stl", 24, 20, 31.3);
    store = tb_store_new();
}

static void
end(void)
{
    tb_store_unref(store);
    g_clear_pointer(&scan, g_free);
    remove_folder();
}

/* Volume of the ring of this size, by another store. */
static double
volume_of(const char *path)
{
    TbStore *other = tb_store_new();
    TbScanAnswer answer = tb_store_scan(other, path, NULL, 1, tb_pose_identity(), NULL, NULL);
    double volume;

    ck_assert_msg(answer.tree != NULL, "%s", answer.fault.text);
    volume = tb_mesh_facts(tb_tree_mesh(answer.tree)).volume;
    tb_tree_unref(answer.tree);
    tb_store_unref(other);
    return volume;
}

static double
volume_in(const TbTree *tree)
{
    return tb_mesh_facts(tb_tree_mesh(tree)).volume;
}

/* ---- replaced while open ---- */

START_TEST(a_scan_goes_through_all_states_and_the_old_tree_stays)
{
    TbScanAnswer first = ask_for(NULL, NULL), now;
    double volume = volume_in(first.tree);
    g_autofree char *first_sum = g_strdup(first.checksum);

    /* other bytes */
    g_free(ring_file("ring.stl", 24, 20, 32.1));
    now = ask_for(first_sum, NULL);
    ck_assert_int_eq(now.state, TB_SCAN_CHANGED);
    ck_assert_ptr_ne(now.tree, first.tree);
    ck_assert_double_gt(volume_in(now.tree), volume);
    tb_tree_unref(now.tree);
    /* cut off */
    ck_assert_int_eq(truncate(scan, 7777), 0);
    now = ask_for(first_sum, NULL);
    ck_assert_int_eq(now.state, TB_SCAN_BROKEN);
    ck_assert_ptr_null(now.tree);
    /* gone, then a folder */
    ck_assert_int_eq(unlink(scan), 0);
    ck_assert_int_eq(ask_for(first_sum, NULL).state, TB_SCAN_MISSING);
    ck_assert_int_eq(g_mkdir(scan, 0700), 0);
    now = ask_for(first_sum, NULL);
    ck_assert_int_eq(now.state, TB_SCAN_MISSING);
    ck_assert_ptr_nonnull(strstr(now.fault.text, "is a folder"));
    /* and back */
    ck_assert_int_eq(g_rmdir(scan), 0);
    g_free(ring_file("ring.stl", 24, 20, 31.3));
    now = ask_for(first_sum, NULL);
    ck_assert_int_eq(now.state, TB_SCAN_READY);
    ck_assert(is_same_tree(now.tree, first.tree));
    ck_assert_double_eq(volume_in(first.tree), volume);
    ck_assert_double_lt(tb_tree_nearest(first.tree, tb_vec3(0, 0, 0), INFINITY).nearest.distance,
                        211.7);
    tb_tree_unref(now.tree);
    tb_tree_unref(first.tree);
}
END_TEST

/* In its place, or by a file that takes its name, after so long that times are believed. */
START_TEST(other_bytes_of_the_same_size_and_date_are_seen)
{
    char *files[2] = {g_strdup(scan), ring_file("b.stl", 24, 20, 31.3)};
    TbScanAnswer first[2];

    g_usleep(4 * G_USEC_PER_SEC);
    for (int i = 0; i < 2; i++)
        first[i] = tb_store_scan(store, files[i], NULL, 1, tb_pose_identity(), NULL, NULL);
    for (int i = 0; i < 2; i++) {
        g_autofree char *other = NULL;
        struct timespec times[2];
        struct stat before, after;
        TbScanAnswer now;

        ck_assert_int_eq(stat(files[i], &before), 0);
        times[0] = before.st_atim;
        times[1] = before.st_mtim;
        other = ring_file(i == 0 ? "ring.stl" : "other.stl", 24, 20, 33.3);
        ck_assert_int_eq(utimensat(AT_FDCWD, other, times, 0), 0);
        if (i == 1)
            ck_assert_int_eq(rename(other, files[i]), 0);
        ck_assert_int_eq(stat(files[i], &after), 0);
        ck_assert_int_eq(before.st_size, after.st_size);
        ck_assert_int_eq(before.st_mtim.tv_nsec, after.st_mtim.tv_nsec);
        now = tb_store_scan(store, files[i], first[i].checksum, 1, tb_pose_identity(), NULL, NULL);
        ck_assert_int_eq(now.state, TB_SCAN_CHANGED);
        ck_assert_double_eq(volume_in(now.tree), volume_of(files[i]));
        ck_assert_double_gt(volume_in(now.tree), volume_in(first[i].tree));
        tb_tree_unref(now.tree);
        tb_tree_unref(first[i].tree);
        g_free(files[i]);
    }
}
END_TEST

/* Small and in one call each, so that many changes and questions fall into one tick. */
START_TEST(bytes_changed_within_a_tick_of_the_clock_are_seen)
{
    g_autoptr(GByteArray) small = ring_bytes(6, 5, 30);
    g_autoptr(GByteArray) large = ring_bytes(6, 5, 35);
    const GByteArray *bytes[2] = {small, large};
    double volume[2] = {0, 0};
    int file;

    put_file(scan, small->data, (gssize)small->len);
    file = open(scan, O_WRONLY);
    ck_assert_int_ge(file, 0);
    for (int i = 0; i < 400; i++) {
        const GByteArray *next = bytes[i % 2];
        TbScanAnswer now;

        ck_assert_int_eq(pwrite(file, next->data, next->len, 0), (ssize_t)next->len);
        now = ask_for(NULL, NULL);
        ck_assert_int_eq(now.state, TB_SCAN_READY);
        if (i < 2)
            volume[i] = volume_in(now.tree);
        ck_assert_double_eq(volume_in(now.tree), volume[i % 2]);
        tb_tree_unref(now.tree);
    }
    close(file);
    ck_assert_double_lt(volume[0], volume[1]);
}
END_TEST

/* Writes the file anew, in its place, at chosen reports of the import. */
typedef struct Meddler {
    TbTask task;
    const char *stage;
    int times; /* how often still */
    int count;
    bool cut; /* cut it off instead */
} Meddler;

static void
meddle(void *user, const char *what, double share)
{
    Meddler *m = user;

    (void)share;
    if (strcmp(what, m->stage) != 0 || m->times == 0)
        return;
    m->times--;
    m->count++;
    if (m->cut)
        ck_assert_int_eq(truncate(scan, 20084), 0);
    else
        g_free(ring_file("ring.stl", 24, 20, 40 + m->count));
}

static const char *const meddled[] = {"reading a scan", "reading and welding a mesh",
                                      "finding out what a mesh is", "building a tree"};

START_TEST(a_scan_written_to_while_it_is_read_is_read_again)
{
    Meddler m = {.stage = meddled[_i], .times = 1};
    TbScanAnswer answer;
    g_autofree char *sum = NULL, *bytes = NULL;
    gsize size;

    m.task.report = meddle;
    m.task.user = &m;
    answer = ask_for(NULL, &m.task);
    ck_assert_int_eq(m.count, 1);
    ck_assert_msg(answer.state == TB_SCAN_READY, "%s", answer.fault.text);
    ck_assert(g_file_get_contents(scan, &bytes, &size, NULL));
    sum = g_compute_checksum_for_data(G_CHECKSUM_SHA256, (guchar *)bytes, size);
    ck_assert_str_eq(answer.checksum, sum);
    ck_assert_double_eq(volume_in(answer.tree), volume_of(scan));
    tb_tree_unref(answer.tree);
}
END_TEST

START_TEST(a_scan_that_is_never_left_alone_is_an_answer)
{
    Meddler m = {.stage = meddled[_i], .times = -1};
    TbScanAnswer answer;

    m.task.report = meddle;
    m.task.user = &m;
    answer = ask_for(NULL, &m.task);
    ck_assert_int_eq(answer.state, TB_SCAN_BROKEN);
    ck_assert_ptr_null(answer.tree);
    ck_assert_ptr_nonnull(strstr(answer.fault.text, "being written to"));
    answer = ask_for(NULL, NULL);
    ck_assert_int_eq(answer.state, TB_SCAN_READY);
    tb_tree_unref(answer.tree);
}
END_TEST

START_TEST(a_scan_cut_off_while_it_is_read_is_broken_and_no_more)
{
    Meddler m = {.stage = meddled[_i], .times = 1, .cut = true};
    TbScanAnswer answer;

    m.task.report = meddle;
    m.task.user = &m;
    answer = ask_for(NULL, &m.task);
    ck_assert_int_eq(answer.state, TB_SCAN_BROKEN);
    ck_assert_ptr_null(answer.tree);
    ck_assert_msg(strstr(answer.fault.text, "the file has 20084") != NULL, "%s", answer.fault.text);
}
END_TEST

START_TEST(trees_of_replaced_scans_are_let_go)
{
    /* a tree that only the store held would be found again, and not built */
    g_free(ring_file("ring.stl", 24, 20, 30));
    tb_tree_unref(ask_for(NULL, NULL).tree);
    g_free(ring_file("ring.stl", 24, 20, 31));
    tb_tree_unref(ask_for(NULL, NULL).tree);
    g_free(ring_file("ring.stl", 24, 20, 30));
    tb_tree_unref(ask_for(NULL, NULL).tree);
    ck_assert_uint_eq(tb_store_counts(store).built, 3);
}
END_TEST

/* ---- in several places ---- */

START_TEST(a_file_in_many_places_is_read_once)
{
    TbPose pose = tb_pose_identity();
    TbScanAnswer first = ask_at(pose);

    for (int i = 0; i < 7; i++) {
        TbScanAnswer answer;

        pose = tb_pose_compose(tb_pose_turn(tb_vec3(7, 1, 3), tb_vec3(1, 2, i), 0.3 + i), pose);
        answer = ask_at(pose);
        ck_assert_int_eq(answer.state, TB_SCAN_READY);
        ck_assert_str_eq(answer.checksum, first.checksum);
        ck_assert_uint_eq(tb_mesh_triangle_count(tb_tree_mesh(answer.tree)), 960);
        ck_assert_double_eq_tol(volume_in(answer.tree), volume_in(first.tree), 1e-3);
        /* the same triangle of the file is nearest where the point is moved along */
        for (int k = 0; k < 20; k++) {
            TbVec3 p = tb_vec3(311 * sin(k), 293 * cos(3 * k), 41.3 * sin(7 * k));
            TbTreeHit here = tb_tree_nearest(first.tree, p, INFINITY);
            TbTreeHit there = tb_tree_nearest(answer.tree, tb_pose_point(pose, p), INFINITY);

            ck_assert_double_eq_tol(here.nearest.distance, there.nearest.distance, 1e-9);
        }
        tb_tree_unref(answer.tree);
    }
    ck_assert_uint_eq(tb_store_counts(store).built, 1);
    ck_assert_uint_eq(tb_store_counts(store).moved, 7);
    tb_tree_unref(first.tree);
}
END_TEST

START_TEST(a_scan_dragged_about_leaves_few_trees)
{
    /* 3.2 MB a tree, so 20 stay */
    g_free(ring_file("ring.stl", 250, 200, 31.3));
    for (int i = 0; i < 24; i++)
        tb_tree_unref(ask_at(tb_pose_shift(tb_vec3(i + 1, 0, 0))).tree);
    ck_assert_uint_eq(tb_store_counts(store).moved, 24);
    tb_tree_unref(ask_at(tb_pose_shift(tb_vec3(24, 0, 0))).tree);
    tb_tree_unref(ask_at(tb_pose_shift(tb_vec3(6, 0, 0))).tree);
    ck_assert_uint_eq(tb_store_counts(store).moved, 24);
    tb_tree_unref(ask_at(tb_pose_shift(tb_vec3(1, 0, 0))).tree);
    ck_assert_uint_eq(tb_store_counts(store).moved, 25);
    ck_assert_uint_eq(tb_store_counts(store).built, 1);
}
END_TEST

START_TEST(a_file_left_alone_is_summed_once)
{
    /* as long as its times may not tell, it is summed each time */
    g_usleep(4 * G_USEC_PER_SEC);
    for (int i = 0; i < 5; i++)
        tb_tree_unref(ask_at(tb_pose_shift(tb_vec3(i / 2, 3, 0))).tree);
    ck_assert_uint_eq(tb_store_counts(store).summed, 1);
}
END_TEST

/* A survey's axes: 50 m off, and some points lost. */
START_TEST(a_scan_beyond_all_limits_is_brought_near_by_its_placement)
{
    g_autofree char *path = in_folder("far.obj");
    TbPose near = tb_pose_shift(tb_vec3(-50000, 0, 0));
    TbScanAnswer answer;

    put_file(path,
             "v 50000 0 0\nv 50100 0 0\nv 50000 100 0\nv 50000 0 100\nv 99999 0 0\n"
             "f 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\nf 5 1 2\n",
             -1);
    answer = tb_store_scan(store, path, NULL, 1, near, NULL, NULL);
    ck_assert_msg(answer.state == TB_SCAN_READY, "%s", answer.fault.text);
    ck_assert_uint_eq(tb_mesh_triangle_count(tb_tree_mesh(answer.tree)), 4);
    ck_assert_double_eq(volume_in(answer.tree), 1e6 / 6);
    ck_assert_uint_eq(tb_mesh_facts(tb_tree_mesh(answer.tree)).dropped_not_finite, 1);
    tb_tree_unref(answer.tree);
    answer = tb_store_scan(store, path, NULL, 1, tb_pose_identity(), NULL, NULL);
    ck_assert_int_eq(answer.state, TB_SCAN_BROKEN);
    /* and one that is taken beyond */
    answer = ask_at(tb_pose_shift(tb_vec3(0, 9900, 0)));
    ck_assert_int_eq(answer.state, TB_SCAN_READY);
    ck_assert_uint_gt(tb_mesh_facts(tb_tree_mesh(answer.tree)).dropped_not_finite, 100);
    tb_tree_unref(answer.tree);
    answer = ask_at(tb_pose_shift(tb_vec3(0, 99000, 0)));
    ck_assert_int_eq(answer.state, TB_SCAN_BROKEN);
}
END_TEST

/* ---- memory ---- */

static void
use_memory(uint64_t bytes, const char *cache)
{
    tb_store_unref(store);
    store = tb_store_new_with(&(TbStoreDef){.memory = bytes, .cache = cache});
}

START_TEST(a_scan_over_the_limit_is_said_with_its_size_and_the_limit)
{
    /* 960 triangles of a closed ring and half as many vertices */
    uint64_t need = tb_mesh_need(480, 960);
    TbScanAnswer answer;

    use_memory(need, NULL);
    answer = ask_for(NULL, NULL);
    ck_assert_msg(answer.state == TB_SCAN_READY, "%s", answer.fault.text);
    tb_tree_unref(answer.tree);
    use_memory(need - 1, NULL);
    for (int again = 0; again < 2; again++) {
        answer = ask_for(NULL, NULL);
        ck_assert_int_eq(answer.state, TB_SCAN_LARGE);
        ck_assert_int_eq(answer.fault.status, TB_E_LIMIT);
        ck_assert_ptr_null(answer.tree);
        ck_assert_ptr_nonnull(strstr(answer.fault.text, scan));
        ck_assert_msg(strstr(answer.fault.text, "a mesh of 960 triangles needs about 0.1 MiB of "
                                                "memory, 0.1 MiB are the most") != NULL,
                      "%s", answer.fault.text);
    }
}
END_TEST

/* A file whose head does not say how many triangles there are. */
static char *
flat_obj(int side)
{
    GString *text = g_string_new(NULL);
    char *path = in_folder("flat.obj");

    for (int i = 0; i <= side; i++)
        for (int k = 0; k <= side; k++)
            g_string_append_printf(text, "v %d %d 7\n", 10 * i, 10 * k);
    for (int i = 0; i < side; i++)
        for (int k = 1; k <= side; k++)
            g_string_append_printf(text, "f %d %d %d %d\n", i * (side + 1) + k,
                                   (i + 1) * (side + 1) + k, (i + 1) * (side + 1) + k + 1,
                                   i * (side + 1) + k + 1);
    put_file(path, text->str, (gssize)text->len);
    g_string_free(text, TRUE);
    return path;
}

START_TEST(a_scan_that_does_not_say_its_size_is_given_up_at_the_limit)
{
    g_autofree char *path = flat_obj(50);
    uint64_t need = tb_mesh_need(51 * 51, 5000);

    for (int fits = 0; fits < 2; fits++) {
        TbScanAnswer answer;

        use_memory(need - 1 + (uint64_t)fits, NULL);
        answer = tb_store_scan(store, path, NULL, 1, tb_pose_identity(), NULL, NULL);
        ck_assert_int_eq(answer.state, fits ? TB_SCAN_READY : TB_SCAN_LARGE);
        if (!fits)
            ck_assert_msg(strstr(answer.fault.text, "of memory, 0.5 MiB are the most") != NULL,
                          "%s", answer.fault.text);
        tb_tree_unref(answer.tree);
    }
}
END_TEST

START_TEST(a_kept_tree_over_the_limit_is_refused_with_the_same_words)
{
    g_autofree char *path = flat_obj(50);
    g_autofree char *cache = in_folder("cache");
    TbScanAnswer with, without;

    use_memory(0, cache);
    tb_tree_unref(tb_store_scan(store, path, NULL, 1, tb_pose_identity(), NULL, NULL).tree);
    use_memory(tb_mesh_need(51 * 51, 5000) - 1, NULL);
    without = tb_store_scan(store, path, NULL, 1, tb_pose_identity(), NULL, NULL);
    use_memory(tb_mesh_need(51 * 51, 5000) - 1, cache);
    with = tb_store_scan(store, path, NULL, 1, tb_pose_identity(), NULL, NULL);
    ck_assert_int_eq(with.state, TB_SCAN_LARGE);
    ck_assert_str_eq(with.fault.text, without.fault.text);
    ck_assert_str_eq(with.checksum, without.checksum);
}
END_TEST

START_TEST(the_default_limit_is_some_of_the_memory_there_is)
{
    uint64_t most = tb_store_memory_default();

    ck_assert_uint_gt(most, UINT64_C(1) << 26);
    ck_assert_uint_le(most, TB_SCAN_MEMORY);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/store_change");
    TCase *c = tcase_create("change");

    tcase_set_timeout(c, 60);
    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, a_scan_goes_through_all_states_and_the_old_tree_stays);
    tcase_add_test(c, other_bytes_of_the_same_size_and_date_are_seen);
    tcase_add_test(c, bytes_changed_within_a_tick_of_the_clock_are_seen);
    tcase_add_loop_test(c, a_scan_written_to_while_it_is_read_is_read_again, 0,
                        (int)G_N_ELEMENTS(meddled));
    tcase_add_loop_test(c, a_scan_that_is_never_left_alone_is_an_answer, 0,
                        (int)G_N_ELEMENTS(meddled));
    tcase_add_loop_test(c, a_scan_cut_off_while_it_is_read_is_broken_and_no_more, 0,
                        (int)G_N_ELEMENTS(meddled));
    tcase_add_test(c, trees_of_replaced_scans_are_let_go);
    tcase_add_test(c, a_file_in_many_places_is_read_once);
    tcase_add_test(c, a_scan_dragged_about_leaves_few_trees);
    tcase_add_test(c, a_file_left_alone_is_summed_once);
    tcase_add_test(c, a_scan_beyond_all_limits_is_brought_near_by_its_placement);
    tcase_add_test(c, a_scan_over_the_limit_is_said_with_its_size_and_the_limit);
    tcase_add_test(c, a_scan_that_does_not_say_its_size_is_given_up_at_the_limit);
    tcase_add_test(c, a_kept_tree_over_the_limit_is_refused_with_the_same_words);
    tcase_add_test(c, the_default_limit_is_some_of_the_memory_there_is);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
