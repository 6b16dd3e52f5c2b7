/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The real program and its scans: kept on the disk, and larger than they may be. */

#include "run.h"
#include "tap.h"

#include <gio/gio.h>
#include <glib.h>
#include <string.h>

/* Judge the pickup with more words on the command line; the exit code. */
static int
check_pickup(const char *cache, const char *words)
{
    g_setenv("XDG_CACHE_HOME", cache, TRUE);
    return run("check %s %s", example("pickup.bay"), words);
}

static size_t
files_in(const char *cache)
{
    g_autofree char *path = g_build_filename(cache, "tightbay", "scans", NULL);
    GDir *dir = g_dir_open(path, 0, NULL);
    size_t count = 0;

    while (dir != NULL && g_dir_read_name(dir) != NULL)
        count++;
    if (dir != NULL)
        g_dir_close(dir);
    return count;
}

START_TEST(a_report_is_the_same_with_and_without_the_scan_kept)
{
    g_autofree char *cache = g_build_filename(folder, "cache", NULL);
    const char *caches[] = {"/dev/null", cache, cache};
    g_autofree char *first = NULL;

    for (size_t i = 0; i < G_N_ELEMENTS(caches); i++) {
        ck_assert_int_eq(check_pickup(caches[i], "--json -"), 0);
        ck_assert_str_eq(last.err, "");
        if (first == NULL)
            first = g_strdup(last.out);
        ck_assert_uint_gt(strlen(last.out), 10000);
        ck_assert_msg(strcmp(last.out, first) == 0, "report %zu is another one", i);
        ck_assert_uint_eq(files_in(cache), i == 0 ? 0 : 1);
    }
}
END_TEST

/* Lines that begin with a word and do not speak of another one. */
static GString *
lines_of(const char *text, const char *begin, const char *without)
{
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    GString *all = g_string_new(NULL);

    for (size_t i = 0; lines[i] != NULL; i++)
        if (g_str_has_prefix(lines[i], begin) && strstr(lines[i], without) == NULL)
            g_string_append_printf(all, "%s\n", lines[i]);
    return all;
}

START_TEST(a_scan_over_the_limit_is_left_out_and_all_else_is_judged)
{
    static const char *const levels[] = {"short", "watch", "holds"};
    g_autofree char *whole = NULL;
    GString *open;

    ck_assert_int_eq(check_pickup("/dev/null", "--all"), 0);
    whole = g_strdup(last.out);
    ck_assert_int_eq(check_pickup("/dev/null", "--all --scan-memory 5"), 2);
    ck_assert_msg(strstr(last.err, "frame-side.ply is too large: a mesh of ") != NULL, "%s",
                  last.err);
    ck_assert_ptr_nonnull(strstr(last.err, "MiB of memory, 5.0 MiB are the most"));
    for (size_t i = 0; i < G_N_ELEMENTS(levels); i++) {
        GString *before = lines_of(whole, levels[i], "Scan of the frame side");
        GString *now = lines_of(last.out, levels[i], "nothing");

        /* what does not need the scan is judged as before, and nothing that does is judged */
        ck_assert_msg(strcmp(now->str, before->str) == 0, "%s lines differ", levels[i]);
        g_string_free(before, TRUE);
        g_string_free(now, TRUE);
    }
    open = lines_of(last.out, "open", "is too large");
    ck_assert_str_eq(open->str, "");
    g_string_free(open, TRUE);
    /* as much as it needs, and it is there again */
    ck_assert_int_eq(check_pickup("/dev/null", "--all --scan-memory 40"), 0);
    ck_assert_msg(strcmp(last.out, whole) == 0, "with room enough it is another report");
}
END_TEST

static const char *const no_memory[] = {"0", "-5", "much", "1e3", ""};

START_TEST(a_limit_that_is_no_number_of_mebibytes_is_refused)
{
    g_autofree char *words = g_strdup_printf("--scan-memory=%s", no_memory[_i]);

    ck_assert_int_eq(check_pickup("/dev/null", words), 2);
    ck_assert_str_eq(last.out, "");
    ck_assert_msg(strstr(last.err, "scan-memory") != NULL, "%s", last.err);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("batch/scans");
    TCase *c = tcase_create("scans");

    tcase_set_timeout(c, 240);
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_test(c, a_report_is_the_same_with_and_without_the_scan_kept);
    tcase_add_test(c, a_scan_over_the_limit_is_left_out_and_all_else_is_judged);
    tcase_add_loop_test(c, a_limit_that_is_no_number_of_mebibytes_is_refused, 0,
                        (int)G_N_ELEMENTS(no_memory));
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
