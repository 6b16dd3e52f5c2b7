/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "run.h"

#include <string.h>

/* A hot ball and two brake lines' worth of balls, one shielded; the bay has no keep for them. */
static const char bare[] =
    "<bay version='1' title='Bare'><mounts><mount id='body'/></mounts><items>"
    "<ball id='h' class='hot' mount='body' at='0 0 0' radius='11'/>"
    "<ball id='b' class='brake' mount='body' at='63.5 0 0' radius='11'/>"
    "<ball id='s' class='shield' mount='body' at='0 150 0' radius='11'/>"
    "</items><keeps><keep id='k' class-a='hot' class-b='shield'><wanted state='cold' gap='5'/>"
    "</keep></keeps><states><state id='cold' kind='cold'/></states></bay>";

static char *
put(const char *name, const char *text)
{
    char *path = g_build_filename(folder, name, NULL);

    ck_assert(g_file_set_contents(path, text, -1, NULL));
    return path;
}

START_TEST(usual_keeps_are_told_added_and_then_judged)
{
    g_autofree char *path = put("bare.bay", bare);
    g_autofree char *full = g_build_filename(folder, "full.bay", NULL);

    ck_assert_int_eq(run("check %s", path), 0);
    ck_assert_ptr_nonnull(strstr(last.out, "2 pairs of items have no keep and are not judged; 1 of "
                                           "them usually have one: tightbay-batch keeps"));
    ck_assert_int_eq(run("keeps %s", path), 0);
    ck_assert_ptr_nonnull(strstr(last.out, "hot, brake (not shielded): brake fluid, no shield; "
                                           "common practice, no source\n"));
    ck_assert(!g_file_test(full, G_FILE_TEST_EXISTS));
    ck_assert_int_eq(run("keeps %s -o %s", path, full), 0);
    /* 41.5 mm, 50 wanted without a shield */
    ck_assert_int_eq(run("check %s", full), 1);
    ck_assert_ptr_nonnull(strstr(last.out, "41.5 mm"));
    ck_assert_ptr_nonnull(strstr(last.out, "50 mm"));
    ck_assert_ptr_nonnull(strstr(last.out, "1 pair of items has no keep and is not judged\n"));
    ck_assert_int_eq(run("keeps %s", full), 0);
    ck_assert_str_eq(last.out, "Every pair of classes that usually has a keep has one.\n");
}
END_TEST

START_TEST(the_bay_with_keeps_may_go_to_standard_output_alone)
{
    g_autofree char *path = put("bare.bay", bare);
    g_autofree char *again = NULL;

    ck_assert_int_eq(run("keeps %s -o -", path), 0);
    ck_assert(g_str_has_prefix(last.out, "<?xml"));
    ck_assert(g_str_has_suffix(last.out, "</bay>\n"));
    again = put("again.bay", last.out);
    ck_assert_int_eq(run("check %s", again), 1);
}
END_TEST

START_TEST(a_table_of_ones_own_is_taken_and_a_bad_one_gets_one_sentence)
{
    g_autofree char *path = put("bare.bay", bare);
    g_autofree char *full = g_build_filename(folder, "full.bay", NULL);
    g_autofree char *own = put("own.xml", "<keeps><keep id='x' class-a='brake' class-b='hot' "
                                          "reason='ours'><wanted state='cold' gap='41'/></keep>"
                                          "</keeps>");
    g_autofree char *bad = put("bad.xml", "<keeps>\n<keep id='x' class-a='hot' class-b='b'>\n"
                                          "<wanted state='cold' gap='-4'/></keep></keeps>");

    ck_assert_int_eq(run("keeps %s --table %s -o %s", path, own, full), 0);
    ck_assert_str_eq(last.out, "brake, hot: ours; -\n");
    ck_assert_int_eq(run("check %s", full), 0);
    ck_assert_int_eq(run("keeps %s --table %s -o %s", path, bad, full), 2);
    ck_assert_msg(strstr(last.err, "bad.xml:3: ") != NULL, "%s", last.err);
    ck_assert_msg(strstr(last.err, "-4") != NULL, "%s", last.err);
    ck_assert_int_eq(run("keeps %s --table %s/none.xml", path, folder), 2);
    ck_assert_msg(strstr(last.err, "none.xml") != NULL, "%s", last.err);
    ck_assert_ptr_eq(strchr(last.err, '\n'), last.err + strlen(last.err) - 1);
}
END_TEST

/* The brake line 41.5 mm from what is hot: 30 is kept with a shield, 50 without. */
START_TEST(a_shield_that_is_there_changes_what_is_kept)
{
    g_auto(GStrv) halves = g_strsplit(bare, "class='brake' ", 2);
    g_autofree char *text = g_strjoinv("class='brake' shield='s' ", halves);
    g_autofree char *path = put("shielded.bay", text);
    g_autofree char *full = g_build_filename(folder, "full.bay", NULL);

    ck_assert_int_eq(run("keeps %s -o %s", path, full), 0);
    ck_assert_int_eq(run("check %s --all", full), 0);
    ck_assert_ptr_nonnull(strstr(last.out, "30 mm"));
}
END_TEST

int
main(void)
{
    Suite *s = suite_create("batch/keeps");
    TCase *c = tcase_create("keeps");

    tcase_set_timeout(c, 120);
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_test(c, usual_keeps_are_told_added_and_then_judged);
    tcase_add_test(c, the_bay_with_keeps_may_go_to_standard_output_alone);
    tcase_add_test(c, a_table_of_ones_own_is_taken_and_a_bad_one_gets_one_sentence);
    tcase_add_test(c, a_shield_that_is_there_changes_what_is_kept);
    suite_add_tcase(s, c);
    return tb_test_main(s);
}
