/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Scans kept on the disk: a second start finds them, whatever is wrong with the disk changes no
 * answer, and the folder does not grow without end.
 */

#include "scans.h"
#include "tap.h"

#include "base/mem.h"
#include "geom/tree_file.h"
#include "study/shelf.h"

#include <fcntl.h>
#include <pthread.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static char *cache;  /* folder of the disk cache */
static char *scan;   /* a scan's file */
static TbTree *want; /* its tree, made without the disk */

static TbScanAnswer
ask(TbStore *store, const char *path)
{
    return tb_store_scan(store, path, NULL, 1, tb_pose_identity(), NULL, NULL);
}

static TbStore *
store_at(const char *place, uint64_t limit)
{
    return tb_store_new_with(&(TbStoreDef){.cache = place, .cache_limit = limit});
}

static void
begin(void)
{
    TbStore *store = tb_store_new();

    make_folder();
    cache = in_folder("cache/scans");
    scan = ring_file("ring.stl", 24, 20, 31.3);
    want = ask(store, scan).tree;
    ck_assert_ptr_nonnull(want);
    tb_store_unref(store);
}

static void
end(void)
{
    tb_tree_unref(want);
    g_clear_pointer(&scan, g_free);
    g_clear_pointer(&cache, g_free);
    remove_folder();
}

/* A start of the program: the scan must be the one wanted. How it came is counted. */
static TbStoreCounts
start_with(const char *place)
{
    TbStore *store = store_at(place, 0);
    TbScanAnswer answer = ask(store, scan);
    TbStoreCounts counts = tb_store_counts(store);

    ck_assert_msg(answer.state == TB_SCAN_READY, "%s", answer.fault.text);
    ck_assert(is_same_tree(answer.tree, want));
    tb_tree_unref(answer.tree);
    tb_store_unref(store);
    ck_assert_uint_eq(counts.built + counts.loaded, 1);
    return counts;
}

/* The names in the cache folder, sorted. */
static GPtrArray *
kept(void)
{
    GPtrArray *names = g_ptr_array_new_with_free_func(g_free);
    GDir *dir = g_dir_open(cache, 0, NULL);
    const char *name;

    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL)
        g_ptr_array_add(names, g_strdup(name));
    if (dir != NULL)
        g_dir_close(dir);
    return names;
}

/* Path of the one file that is kept. */
static char *
kept_file(void)
{
    g_autoptr(GPtrArray) names = kept();

    ck_assert_uint_eq(names->len, 1);
    return g_build_filename(cache, names->pdata[0], NULL);
}

START_TEST(a_second_start_loads_what_the_first_one_built)
{
    ck_assert_uint_eq(start_with(cache).built, 1);
    for (int again = 0; again < 2; again++)
        ck_assert_uint_eq(start_with(cache).loaded, 1);
}
END_TEST

START_TEST(a_replaced_scan_does_not_get_the_old_tree)
{
    TbStore *store;
    TbScanAnswer answer;

    start_with(cache);
    g_free(ring_file("ring.stl", 24, 20, 31.4));
    store = store_at(cache, 0);
    answer = ask(store, scan);
    ck_assert_int_eq(answer.state, TB_SCAN_READY);
    ck_assert(!is_same_tree(answer.tree, want));
    ck_assert_uint_eq(tb_store_counts(store).built, 1);
    tb_tree_unref(answer.tree);
    tb_store_unref(store);
}
END_TEST

START_TEST(a_file_cut_off_at_every_kilobyte_is_made_again)
{
    g_autofree char *path = NULL, *whole = NULL;
    gsize size;

    start_with(cache);
    path = kept_file();
    ck_assert(g_file_get_contents(path, &whole, &size, NULL));
    ck_assert_uint_gt(size, 25 * 1024);
    for (gsize cut = 0; cut < size; cut += 1024) {
        g_autofree char *now = NULL;
        gsize length;

        put_file(path, whole, (gssize)cut);
        ck_assert_uint_eq(start_with(cache).built, 1);
        ck_assert(g_file_get_contents(path, &now, &length, NULL));
        ck_assert_uint_eq(length, size);
        ck_assert_mem_eq(now, whole, size);
    }
    ck_assert_uint_eq(start_with(cache).loaded, 1);
}
END_TEST

START_TEST(any_byte_changed_in_the_header_or_elsewhere_is_made_again)
{
    g_autofree char *path = NULL, *bytes = NULL;
    guint32 random = 77;
    gsize size, at = 0;

    start_with(cache);
    path = kept_file();
    ck_assert(g_file_get_contents(path, &bytes, &size, NULL));
    while (at < size) {
        bytes[at] ^= 0x10;
        put_file(path, bytes, (gssize)size);
        bytes[at] ^= 0x10;
        ck_assert_uint_eq(start_with(cache).built, 1);
        random = random * 1664525 + 1013904223;
        at += at < TB_TREE_FILE_HEADER + 200 ? 1 : 1 + random % 400;
    }
}
END_TEST

START_TEST(a_tree_of_another_scan_under_this_name_is_not_taken)
{
    g_autofree char *other = ring_file("other.stl", 24, 20, 37.7);
    g_autofree char *path = NULL, *bytes = NULL;
    TbStore *store;
    gsize size;

    start_with(cache);
    path = kept_file();
    g_unlink(path);
    store = store_at(cache, 0);
    tb_tree_unref(ask(store, other).tree);
    tb_store_unref(store);
    {
        g_autofree char *others = kept_file();

        ck_assert_str_ne(others, path);
        ck_assert(g_file_get_contents(others, &bytes, &size, NULL));
    }
    put_file(path, bytes, (gssize)size);
    ck_assert_uint_eq(start_with(cache).built, 1);
    ck_assert_uint_eq(start_with(cache).loaded, 1);
}
END_TEST

/* What may stand where a kept tree is looked for. */
static const char *const odd[] = {"folder", "pipe", "/dev/zero", "/dev/full", "nowhere", "rubbish"};

START_TEST(what_stands_in_the_place_of_a_file_does_no_harm)
{
    g_autofree char *path = NULL;

    start_with(cache);
    path = kept_file();
    g_unlink(path);
    if (_i == 0)
        ck_assert_int_eq(g_mkdir(path, 0700), 0);
    else if (_i == 1)
        ck_assert_int_eq(mkfifo(path, 0600), 0);
    else if (_i == 5)
        put_file(path, odd[_i], -1);
    else
        ck_assert_int_eq(symlink(odd[_i], path), 0);
    for (int again = 0; again < 2; again++)
        start_with(cache);
}
END_TEST

START_TEST(a_folder_that_cannot_be_is_as_if_there_were_none)
{
    g_autofree char *file = file_with("file", "x", 1);
    g_autofree char *below = g_build_filename(file, "scans", NULL);
    const char *places[] = {file, below, "/dev/null", "/proc/nowhere/scans", ""};

    for (size_t i = 0; i < G_N_ELEMENTS(places); i++)
        for (int again = 0; again < 2; again++)
            ck_assert_uint_eq(start_with(places[i]).built, 1);
}
END_TEST

START_TEST(a_folder_that_vanishes_is_made_again)
{
    g_autofree char *other = ring_file("other.stl", 11, 13, 20);
    g_autofree char *command = g_strdup_printf("rm -rf '%s'", cache);
    TbStore *store = store_at(cache, 0);

    tb_tree_unref(ask(store, scan).tree);
    tb_store_settle(store);
    ck_assert_int_eq(system(command), 0);
    tb_tree_unref(ask(store, other).tree);
    tb_store_settle(store);
    g_free(kept_file());
    tb_store_unref(store);
}
END_TEST

START_TEST(a_full_disk_keeps_nothing_and_nothing_half)
{
    g_autoptr(GPtrArray) names = NULL;

    ck_assert_int_eq(g_mkdir_with_parents(cache, 0700), 0);
    if (mount("none", cache, "tmpfs", 0, "size=16k") != 0) {
        fprintf(stderr, "# no full disk was tried: this user may not mount one\n");
        return;
    }
    ck_assert_uint_eq(start_with(cache).built, 1);
    ck_assert_uint_eq(start_with(cache).built, 1);
    names = kept();
    ck_assert_int_eq(umount(cache), 0);
    ck_assert_uint_eq(names->len, 0);
}
END_TEST

static void
set_age(const char *path, int seconds)
{
    struct timespec times[2] = {{.tv_sec = time(NULL) - seconds}, {.tv_sec = time(NULL) - seconds}};

    ck_assert_int_eq(utimensat(AT_FDCWD, path, times, 0), 0);
}

START_TEST(trees_used_longest_ago_go_when_the_folder_is_full)
{
    char *files[4] = {NULL}, *kept_as[3] = {NULL};
    g_autofree char *notes = NULL;
    TbStore *store;
    GStatBuf now;
    uint64_t size;

    /* three fit, a fourth does not; the first, used once more, is younger than the second */
    for (int i = 0; i < 3; i++) {
        g_autofree char *name = g_strdup_printf("scan%d.stl", i);
        g_autoptr(GPtrArray) names = NULL;

        files[i] = ring_file(name, 24, 20, 30 + i);
        store = store_at(cache, 0);
        tb_tree_unref(ask(store, files[i]).tree);
        tb_store_unref(store);
        names = kept();
        for (guint k = 0; k < names->len; k++) {
            g_autofree char *path = g_build_filename(cache, names->pdata[k], NULL);
            bool seen = false;

            for (int q = 0; q < i; q++)
                seen = seen || strcmp(path, kept_as[q]) == 0;
            if (!seen)
                kept_as[i] = g_steal_pointer(&path);
        }
        set_age(kept_as[i], 1000 - 100 * i);
    }
    notes = g_build_filename(cache, "notes.txt", NULL);
    put_file(notes, "not ours", -1);
    set_age(notes, 100000);
    ck_assert_int_eq(g_stat(kept_as[0], &now), 0);
    size = (uint64_t)now.st_size;
    store = store_at(cache, 3 * size + size / 2);
    tb_tree_unref(ask(store, files[0]).tree);
    ck_assert_uint_eq(tb_store_counts(store).loaded, 1);
    files[3] = ring_file("scan3.stl", 24, 20, 33);
    tb_tree_unref(ask(store, files[3]).tree);
    tb_store_unref(store);
    ck_assert(g_file_test(kept_as[0], G_FILE_TEST_EXISTS));
    ck_assert(!g_file_test(kept_as[1], G_FILE_TEST_EXISTS));
    ck_assert(g_file_test(kept_as[2], G_FILE_TEST_EXISTS));
    ck_assert(g_file_test(notes, G_FILE_TEST_EXISTS));
    for (int i = 0; i < 4; i++) {
        g_free(files[i]);
        g_free(i < 3 ? kept_as[i] : NULL);
    }
}
END_TEST

START_TEST(a_tree_larger_than_the_folder_may_be_is_not_kept)
{
    g_autoptr(GPtrArray) names = NULL;
    TbStore *store = store_at(cache, 9000);

    tb_tree_unref(ask(store, scan).tree);
    tb_store_unref(store);
    names = kept();
    ck_assert_uint_eq(names->len, 0);
}
END_TEST

START_TEST(what_a_killed_process_left_half_written_goes_after_an_hour)
{
    g_autofree char *path = NULL, *name = NULL, *old = NULL, *young = NULL, *others = NULL;

    start_with(cache);
    path = kept_file();
    name = g_path_get_basename(path);
    old = g_strdup_printf("%s/.%s-4711-0", cache, name);
    young = g_strdup_printf("%s/.%s-4712-0", cache, name);
    others = g_strdup_printf("%s/.notes.scan-1-0", cache);
    put_file(old, "half", 4);
    put_file(young, "half", 4);
    put_file(others, "half", 4);
    set_age(old, 4000);
    set_age(young, 40);
    set_age(others, 4000);
    g_unlink(path);
    start_with(cache);
    ck_assert(!g_file_test(old, G_FILE_TEST_EXISTS));
    ck_assert(g_file_test(young, G_FILE_TEST_EXISTS));
    ck_assert(g_file_test(others, G_FILE_TEST_EXISTS));
}
END_TEST

/* ---- several at once ---- */

static void *
start_in_thread(void *data)
{
    (void)data;
    for (int again = 0; again < 5; again++) {
        TbStore *store = store_at(cache, 0);
        TbScanAnswer answer = ask(store, scan);
        bool same = answer.tree != NULL && is_same_tree(answer.tree, want);

        tb_tree_unref(answer.tree);
        tb_store_unref(store);
        if (!same)
            return "another tree";
    }
    return NULL;
}

START_TEST(two_stores_in_two_threads_import_one_scan_at_once)
{
    pthread_t thread;
    void *wrong = NULL;

    ck_assert_int_eq(pthread_create(&thread, NULL, start_in_thread, NULL), 0);
    ck_assert_ptr_null(start_in_thread(NULL));
    ck_assert_int_eq(pthread_join(thread, &wrong), 0);
    ck_assert_ptr_null(wrong);
    g_free(kept_file());
}
END_TEST

START_TEST(four_processes_import_one_scan_at_once)
{
    pid_t child[4];

    for (int i = 0; i < 4; i++) {
        child[i] = fork();
        ck_assert_int_ge(child[i], 0);
        if (child[i] == 0)
            _exit(start_in_thread(NULL) == NULL ? 0 : 1);
    }
    for (int i = 0; i < 4; i++) {
        int status = -1;

        ck_assert_int_eq(waitpid(child[i], &status, 0), child[i]);
        ck_assert_int_eq(status, 0);
    }
    g_free(kept_file());
    ck_assert_uint_eq(start_with(cache).loaded, 1);
}
END_TEST

static void *
ask_in_thread(void *data)
{
    return ask(data, scan).tree;
}

START_TEST(one_store_asked_by_four_threads_reads_once)
{
    TbStore *store = store_at(cache, 0);
    pthread_t thread[4];
    void *tree[4];

    for (int i = 0; i < 4; i++)
        ck_assert_int_eq(pthread_create(&thread[i], NULL, ask_in_thread, store), 0);
    for (int i = 0; i < 4; i++)
        ck_assert_int_eq(pthread_join(thread[i], &tree[i]), 0);
    ck_assert_uint_eq(tb_store_counts(store).built, 1);
    for (int i = 0; i < 4; i++) {
        ck_assert_ptr_eq(tree[i], tree[0]);
        tb_tree_unref(tree[i]);
    }
    tb_store_unref(store);
}
END_TEST

/* ---- memory and cancel ---- */

START_TEST(any_request_for_memory_may_fail_with_or_without_a_kept_tree)
{
    for (int has = 0; has < 2; has++) {
        long n = 0, requests = 1;

        if (has)
            start_with(cache);
        while (n++ < requests) {
            TbStore *store = store_at(has ? cache : NULL, 0);
            TbScanAnswer answer;

            tb_mem_fail_at(n);
            answer = ask(store, scan);
            tb_store_settle(store);
            requests = tb_mem_requests();
            tb_mem_fail_at(0);
            if (answer.tree == NULL) {
                ck_assert_int_eq(answer.fault.status, TB_E_MEMORY);
                answer = ask(store, scan);
                tb_store_settle(store);
                requests = n + 1;
            }
            ck_assert_int_eq(answer.state, TB_SCAN_READY);
            ck_assert(is_same_tree(answer.tree, want));
            tb_tree_unref(answer.tree);
            tb_store_unref(store);
        }
        ck_assert_int_gt(n, 10);
    }
}
END_TEST

/* A task that is cancelled at its n-th report. */
typedef struct Stop {
    TbTask task;
    int left;
    GPtrArray *stages;
    double last;
} Stop;

static void
count_down(void *user, const char *what, double share)
{
    Stop *stop = user;
    GPtrArray *stages = stop->stages;

    if (stages->len == 0 || strcmp(stages->pdata[stages->len - 1], what) != 0) {
        g_ptr_array_add(stages, (char *)what);
        stop->last = 0;
    }
    ck_assert_double_ge(share, stop->last);
    ck_assert_double_le(share, 1);
    stop->last = share;
    if (--stop->left == 0)
        tb_task_cancel(&stop->task);
}

static TbScanAnswer
ask_until(TbStore *store, Stop *stop, int reports)
{
    TbPose turned = tb_pose_turn(tb_vec3(3, 5, 7), tb_vec3(1, 2, 3), 0.7);

    *stop = (Stop){.left = reports, .stages = g_ptr_array_new()};
    stop->task.report = count_down;
    stop->task.user = stop;
    return tb_store_scan(store, scan, NULL, 1, turned, NULL, &stop->task);
}

START_TEST(an_import_cancelled_at_any_report_leaves_nothing)
{
    const char *stages[] = {"reading a scan", "reading and welding a mesh",
                            "finding out what a mesh is", "building a tree"};
    int reports = 0;
    Stop stop;

    for (bool done = false; !done;) {
        TbStore *store = store_at(cache, 0);
        TbScanAnswer answer = ask_until(store, &stop, ++reports);

        done = stop.left > 0;
        tb_store_settle(store);
        if (answer.tree == NULL) {
            g_autoptr(GPtrArray) names = kept();

            ck_assert_int_eq(answer.fault.status, TB_E_CANCELLED);
            ck_assert_uint_eq(names->len, 0);
            /* and the next one is answered as if nothing had been */
            answer = ask(store, scan);
            ck_assert(is_same_tree(answer.tree, want));
            tb_store_settle(store);
        }
        ck_assert_int_eq(answer.state, TB_SCAN_READY);
        tb_tree_unref(answer.tree);
        tb_store_unref(store);
        if (!done)
            g_ptr_array_unref(stop.stages);
        {
            g_autofree char *path = kept_file();

            g_unlink(path);
        }
    }
    ck_assert_int_gt(reports, 6);
    for (size_t i = 0; i < G_N_ELEMENTS(stages); i++) {
        bool met = false;

        for (guint k = 0; k < stop.stages->len; k++)
            met = met || strcmp(stop.stages->pdata[k], stages[i]) == 0;
        ck_assert_msg(met, "nothing was heard of %s", stages[i]);
    }
    g_ptr_array_unref(stop.stages);
}
END_TEST

START_TEST(loading_cancelled_at_any_report_leaves_the_kept_tree)
{
    int reports = 0;
    bool loading = false;
    Stop stop;

    start_with(cache);
    do {
        TbStore *store = store_at(cache, 0);
        TbScanAnswer answer = ask_until(store, &stop, ++reports);

        for (guint k = 0; k < stop.stages->len; k++)
            loading = loading || strcmp(stop.stages->pdata[k], "loading a tree") == 0;
        ck_assert_int_eq(answer.tree == NULL, answer.fault.status == TB_E_CANCELLED);
        tb_tree_unref(answer.tree);
        tb_store_unref(store);
        g_ptr_array_unref(stop.stages);
    } while (stop.left <= 0);
    ck_assert(loading);
    ck_assert_uint_eq(start_with(cache).loaded, 1);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/store_disk");
    TCase *c = tcase_create("disk");

    tcase_set_timeout(c, 120);
    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, a_second_start_loads_what_the_first_one_built);
    tcase_add_test(c, a_replaced_scan_does_not_get_the_old_tree);
    tcase_add_test(c, a_file_cut_off_at_every_kilobyte_is_made_again);
    tcase_add_test(c, any_byte_changed_in_the_header_or_elsewhere_is_made_again);
    tcase_add_test(c, a_tree_of_another_scan_under_this_name_is_not_taken);
    tcase_add_loop_test(c, what_stands_in_the_place_of_a_file_does_no_harm, 0,
                        (int)G_N_ELEMENTS(odd));
    tcase_add_test(c, a_folder_that_cannot_be_is_as_if_there_were_none);
    tcase_add_test(c, a_folder_that_vanishes_is_made_again);
    tcase_add_test(c, a_full_disk_keeps_nothing_and_nothing_half);
    tcase_add_test(c, trees_used_longest_ago_go_when_the_folder_is_full);
    tcase_add_test(c, a_tree_larger_than_the_folder_may_be_is_not_kept);
    tcase_add_test(c, what_a_killed_process_left_half_written_goes_after_an_hour);
    tcase_add_test(c, two_stores_in_two_threads_import_one_scan_at_once);
    tcase_add_test(c, four_processes_import_one_scan_at_once);
    tcase_add_test(c, one_store_asked_by_four_threads_reads_once);
    tcase_add_test(c, any_request_for_memory_may_fail_with_or_without_a_kept_tree);
    tcase_add_test(c, an_import_cancelled_at_any_report_leaves_nothing);
    tcase_add_test(c, loading_cancelled_at_any_report_leaves_the_kept_tree);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
