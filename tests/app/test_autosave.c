/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/autosave.h"
#include "app/disk_mark.h"
#include "loop.h"

#include <glib/gstdio.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/** The one copy in a folder, which must be offered. */
static TbRecovered *
only_one(GPtrArray *found)
{
    ck_assert_uint_eq(found->len, 1);
    return g_ptr_array_index(found, 0);
}

static unsigned
offered(const char *folder)
{
    GPtrArray *found = tb_recovered_list(folder);
    unsigned count = found->len;

    g_ptr_array_unref(found);
    return count;
}

/** A process with an unsaved bay that is killed while its copy lies there. */
static void
leave_behind(const char *folder, TbBay *bay, GFile *file, const char *stamp)
{
    unsigned copies = offered(folder), files = count_files(folder);
    int ready[2], status;
    char letter;
    pid_t child;

    ck_assert_int_eq(pipe(ready), 0);
    child = fork();
    if (child == 0) {
        TbAutosave *autosave = tb_autosave_new(folder, 1);

        tb_autosave_changed(autosave, bay, file, stamp);
        tb_autosave_flush(autosave);
        if (write(ready[1], "r", 1) != 1)
            _exit(1);
        for (;;)
            pause();
    }
    ck_assert_int_eq(read(ready[0], &letter, 1), 1);
    /* while it lives its copy is its own */
    ck_assert_uint_eq(offered(folder), copies);
    ck_assert_uint_eq(count_files(folder), files + 2);
    kill(child, SIGKILL);
    ck_assert_int_eq(waitpid(child, &status, 0), child);
    ck_assert(WIFSIGNALED(status));
    close(ready[0]);
    close(ready[1]);
}

START_TEST(copy_of_a_killed_process_is_offered_with_all_it_knew)
{
    char *folder = new_folder();
    GFile *file = g_file_new_for_path("/home/someone/kits \"A\" & B?>/van \xc3\xa4.bay");
    TbBay *bay = example("van-c.bay"), *back = NULL;
    char *uri = g_file_get_uri(file);
    gint64 before = g_get_real_time() / G_USEC_PER_SEC;
    GPtrArray *found;
    TbRecovered *one;

    leave_behind(folder, bay, file, "1234:567");
    found = tb_recovered_list(folder);
    one = only_one(found);
    ck_assert_str_eq(one->uri, uri);
    ck_assert_str_eq(one->stamp, "1234:567");
    ck_assert_str_eq(one->title, bay->head->title);
    ck_assert_int_ge(one->time, before);
    ck_assert_int_le(one->time, g_get_real_time() / G_USEC_PER_SEC);
    ck_assert_int_eq(tb_recovered_read(one, &back, NULL), TB_OK);
    ck_assert_same_bay(back, bay);
    tb_bay_unref(back);
    /* held by us now: nobody else gets it, until we let go */
    ck_assert_uint_eq(offered(folder), 0);
    g_ptr_array_unref(found);
    ck_assert_uint_eq(offered(folder), 1);
    g_free(uri);
    g_object_unref(file);
    tb_bay_unref(bay);
    remove_folder(folder);
}
END_TEST

START_TEST(copy_is_a_bay_that_any_reader_opens)
{
    char *folder = new_folder();
    TbBay *bay = example("pickup.bay"), *back = NULL;
    GPtrArray *found;
    TbFault fault = {0};

    leave_behind(folder, bay, NULL, NULL);
    found = tb_recovered_list(folder);
    ck_assert_msg(tb_bay_read_file(only_one(found)->path, &back, &fault) == TB_OK, "%s",
                  fault.text);
    ck_assert_same_bay(back, bay);
    ck_assert_ptr_null(only_one(found)->uri);
    ck_assert_ptr_null(only_one(found)->stamp);
    ck_assert(!tb_recovered_is_overtaken(only_one(found)));
    tb_bay_unref(back);
    tb_bay_unref(bay);
    g_ptr_array_unref(found);
    remove_folder(folder);
}
END_TEST

START_TEST(discarded_copy_leaves_nothing)
{
    char *folder = new_folder();
    TbBay *bay = titled("given up");
    GPtrArray *found;

    leave_behind(folder, bay, NULL, NULL);
    found = tb_recovered_list(folder);
    tb_recovered_discard(only_one(found));
    g_ptr_array_unref(found);
    ck_assert_uint_eq(offered(folder), 0);
    ck_assert_uint_eq(count_files(folder), 0);
    tb_bay_unref(bay);
    remove_folder(folder);
}
END_TEST

START_TEST(copies_of_several_windows_are_offered_newest_first)
{
    char *folder = new_folder();
    GPtrArray *found;

    for (unsigned i = 0; i < 4; i++) {
        char *title = g_strdup_printf("window %u", i);
        TbBay *bay = titled(title);

        leave_behind(folder, bay, NULL, NULL);
        ck_assert_uint_eq(offered(folder), i + 1);
        /* times are whole seconds: give the first two different ones */
        if (i == 0)
            g_usleep(1100000);
        tb_bay_unref(bay);
        g_free(title);
    }
    found = tb_recovered_list(folder);
    ck_assert_uint_eq(found->len, 4);
    ck_assert_str_eq(((TbRecovered *)g_ptr_array_index(found, 3))->title, "window 0");
    for (unsigned i = 1; i < 4; i++)
        ck_assert_int_le(((TbRecovered *)g_ptr_array_index(found, i))->time,
                         ((TbRecovered *)g_ptr_array_index(found, i - 1))->time);
    g_ptr_array_unref(found);
    remove_folder(folder);
}
END_TEST

/** Change the one copy of a folder as a disk might. */
static void
break_copy(const char *folder, bool cut)
{
    GPtrArray *found = tb_recovered_list(folder);
    char *text = NULL;
    gsize size;

    ck_assert(g_file_get_contents(only_one(found)->path, &text, &size, NULL));
    if (cut)
        size /= 2;
    else
        text[size / 2] ^= 1;
    ck_assert(g_file_set_contents(only_one(found)->path, text, (gssize)size, NULL));
    g_free(text);
    g_ptr_array_unref(found);
}

START_TEST(copy_that_is_cut_or_altered_is_refused_in_one_sentence)
{
    char *folder = new_folder();
    TbBay *bay = example("van-c.bay"), *back = NULL;
    TbFault fault = {0};
    GPtrArray *found;

    leave_behind(folder, bay, NULL, NULL);
    break_copy(folder, _i == 0);
    found = tb_recovered_list(folder);
    ck_assert_int_eq(tb_recovered_read(only_one(found), &back, &fault), TB_E_FORMAT);
    ck_assert_ptr_null(back);
    ck_assert(strstr(fault.text, "not whole") != NULL);
    /* what it was of is still told */
    ck_assert_str_eq(only_one(found)->title, bay->head->title);
    g_ptr_array_unref(found);
    tb_bay_unref(bay);
    remove_folder(folder);
}
END_TEST

START_TEST(rubbish_among_the_copies_harms_nothing)
{
    static const char *const texts[] = {"", "\n", "not a bay", "<?xml?>\n<?tightbay-recovered ",
                                        "<?xml?>\n<?tightbay-recovered uri=\"%zz\" sum=\"?>\n<b/>"};
    char *folder = new_folder();
    GPtrArray *found;

    for (size_t i = 0; i < G_N_ELEMENTS(texts); i++) {
        char *path = g_strdup_printf("%s/%zu.bay", folder, i);

        ck_assert(g_file_set_contents(path, texts[i], -1, NULL));
        g_free(path);
    }
    found = tb_recovered_list(folder);
    ck_assert_uint_eq(found->len, G_N_ELEMENTS(texts));
    for (unsigned i = 0; i < found->len; i++) {
        TbFault fault = {0};
        TbBay *bay = NULL;

        ck_assert_int_eq(tb_recovered_read(g_ptr_array_index(found, i), &bay, &fault), TB_E_FORMAT);
        ck_assert_ptr_null(bay);
        tb_recovered_discard(g_ptr_array_index(found, i));
    }
    g_ptr_array_unref(found);
    ck_assert_uint_eq(count_files(folder), 0);
    remove_folder(folder);
}
END_TEST

START_TEST(folder_that_is_not_there_offers_nothing)
{
    ck_assert_uint_eq(offered("/nowhere/at/all"), 0);
}
END_TEST

/** The title of the one copy in a folder, whose owner may live: "" when there is none. */
static char *
copied_title(const char *folder)
{
    GDir *dir = g_dir_open(folder, 0, NULL);
    char *title = g_strdup("");

    for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir)) {
        char *path = g_build_filename(folder, name, NULL);
        TbBay *bay = NULL;

        if (name[0] != '.' && g_str_has_suffix(name, ".bay") &&
            tb_bay_read_file(path, &bay, NULL) == TB_OK) {
            g_free(title);
            title = g_strdup(bay->head->title);
            tb_bay_unref(bay);
        }
        g_free(path);
    }
    g_dir_close(dir);
    return title;
}

static bool
is_copied(const char *folder, const char *want)
{
    char *title = copied_title(folder);
    bool same = strcmp(title, want) == 0;

    g_free(title);
    return same;
}

START_TEST(newest_of_many_changes_is_copied_when_the_time_is_up)
{
    char *folder = new_folder();
    TbAutosave *autosave = tb_autosave_new(folder, 1);
    TbBay *first = titled("first"), *second = titled("second"), *third = titled("third");

    tb_autosave_changed(autosave, first, NULL, NULL);
    ck_assert_uint_eq(count_files(folder), 0);
    tb_autosave_changed(autosave, second, NULL, NULL);
    wait_until(is_copied(folder, "second"));
    tb_autosave_changed(autosave, third, NULL, NULL);
    ck_assert(is_copied(folder, "second"));
    wait_until(is_copied(folder, "third"));
    tb_autosave_clean(autosave);
    g_object_unref(autosave);
    ck_assert_uint_eq(count_files(folder), 0);
    tb_bay_unref(first);
    tb_bay_unref(second);
    tb_bay_unref(third);
    remove_folder(folder);
}
END_TEST

START_TEST(saving_removes_the_copy_and_what_waits_is_dropped)
{
    char *folder = new_folder();
    TbAutosave *autosave = tb_autosave_new(folder, 1);
    TbBay *bay = example("van-c.bay");

    tb_autosave_changed(autosave, bay, NULL, NULL);
    tb_autosave_flush(autosave);
    ck_assert_uint_eq(count_files(folder), 2);
    tb_autosave_changed(autosave, bay, NULL, NULL);
    tb_autosave_clean(autosave);
    ck_assert_uint_eq(count_files(folder), 0);
    let_pass(1500);
    ck_assert_uint_eq(count_files(folder), 0);
    /* and it goes on afterwards */
    tb_autosave_changed(autosave, bay, NULL, NULL);
    tb_autosave_flush(autosave);
    ck_assert_uint_eq(count_files(folder), 2);
    tb_autosave_clean(autosave);
    g_object_unref(autosave);
    ck_assert_uint_eq(count_files(folder), 0);
    tb_bay_unref(bay);
    remove_folder(folder);
}
END_TEST

START_TEST(cleaning_while_a_thread_writes_leaves_no_copy)
{
    char *folder = new_folder();
    TbBay *bay = example("pickup.bay");

    for (int i = 0; i < 8; i++) {
        TbAutosave *autosave = tb_autosave_new(folder, 0);

        tb_autosave_changed(autosave, bay, NULL, NULL);
        /* the timer of 0 s starts the thread, which may be anywhere when we clean */
        g_main_context_iteration(NULL, TRUE);
        g_usleep((gulong)i * 100);
        tb_autosave_clean(autosave);
        let_pass(100);
        ck_assert_uint_eq(count_files(folder), 0);
        tb_autosave_clean(autosave);
        g_object_unref(autosave);
    }
    tb_bay_unref(bay);
    remove_folder(folder);
}
END_TEST

START_TEST(adopted_copy_stays_until_it_is_saved)
{
    char *folder = new_folder();
    TbBay *bay = titled("lost"), *later = titled("gone on with");
    TbAutosave *autosave = tb_autosave_new(folder, 1);
    GPtrArray *found;

    leave_behind(folder, bay, NULL, NULL);
    found = tb_recovered_list(folder);
    ck_assert_uint_eq(found->len, 1);
    tb_autosave_adopt(autosave, g_ptr_array_steal_index(found, 0));
    g_ptr_array_unref(found);
    ck_assert_uint_eq(offered(folder), 0);
    ck_assert(is_copied(folder, "lost"));
    tb_autosave_changed(autosave, later, NULL, NULL);
    tb_autosave_flush(autosave);
    ck_assert(is_copied(folder, "gone on with"));
    ck_assert_uint_eq(count_files(folder), 2);
    tb_autosave_clean(autosave);
    ck_assert_uint_eq(count_files(folder), 0);
    tb_autosave_clean(autosave);
    g_object_unref(autosave);
    tb_bay_unref(bay);
    tb_bay_unref(later);
    remove_folder(folder);
}
END_TEST

START_TEST(copy_of_a_file_that_was_saved_later_says_so)
{
    char *folder = new_folder();
    char *path = g_build_filename(folder, "user.bay", NULL);
    char *copies = g_build_filename(folder, "recovered", NULL);
    GFile *file = g_file_new_for_path(path);
    TbBay *bay = titled("mine");
    GPtrArray *found;
    char *stamp;

    ck_assert_int_eq(tb_bay_write_file(bay, path, NULL), TB_OK);
    stamp = tb_disk_stamp(file);
    leave_behind(copies, bay, file, stamp);
    g_free(stamp);
    found = tb_recovered_list(copies);
    ck_assert(!tb_recovered_is_overtaken(only_one(found)));
    ck_assert_int_eq(tb_bay_write_file(bay, path, NULL), TB_OK);
    ck_assert(tb_recovered_is_overtaken(only_one(found)));
    g_ptr_array_unref(found);
    tb_bay_unref(bay);
    g_object_unref(file);
    g_free(copies);
    g_free(path);
    remove_folder(folder);
}
END_TEST

static void
count_trouble(TbAutosave *autosave, const char *sentence, int *count)
{
    (void)autosave;
    ck_assert(sentence[0] != '\0' && strchr(sentence, '\n') == NULL);
    ++*count;
}

START_TEST(full_disk_is_told_once_and_the_copy_comes_when_there_is_room)
{
    char *folder = new_folder();
    TbAutosave *autosave = tb_autosave_new(folder, 1);
    TbBay *bay = example("van-c.bay");
    struct rlimit old, limit;
    int troubles = 0;

    g_signal_connect(autosave, "trouble", G_CALLBACK(count_trouble), &troubles);
    signal(SIGXFSZ, SIG_IGN);
    ck_assert_int_eq(getrlimit(RLIMIT_FSIZE, &old), 0);
    limit = (struct rlimit){4096, old.rlim_max};
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    tb_autosave_changed(autosave, bay, NULL, NULL);
    wait_until(troubles > 0);
    let_pass(1500);
    ck_assert_int_eq(troubles, 1);
    ck_assert(is_copied(folder, ""));
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &old), 0);
    wait_until(is_copied(folder, bay->head->title));
    tb_autosave_clean(autosave);
    g_object_unref(autosave);
    ck_assert_uint_eq(count_files(folder), 0);
    tb_bay_unref(bay);
    remove_folder(folder);
}
END_TEST

START_TEST(place_that_cannot_be_made_is_told)
{
    TbAutosave *autosave = tb_autosave_new("/proc/tightbay/recovered", 1);
    TbBay *bay = titled("nowhere to go");
    int troubles = 0;

    g_signal_connect(autosave, "trouble", G_CALLBACK(count_trouble), &troubles);
    tb_autosave_changed(autosave, bay, NULL, NULL);
    tb_autosave_flush(autosave);
    ck_assert_int_eq(troubles, 1);
    tb_autosave_clean(autosave);
    g_object_unref(autosave);
    tb_bay_unref(bay);
}
END_TEST

static Suite *
autosave_suite(void)
{
    Suite *suite = suite_create("app/autosave");
    TCase *tc = tcase_create("autosave");

    tcase_set_timeout(tc, TB_TEST_LIMIT);
    tcase_add_test(tc, copy_of_a_killed_process_is_offered_with_all_it_knew);
    tcase_add_test(tc, copy_is_a_bay_that_any_reader_opens);
    tcase_add_test(tc, discarded_copy_leaves_nothing);
    tcase_add_test(tc, copies_of_several_windows_are_offered_newest_first);
    tcase_add_loop_test(tc, copy_that_is_cut_or_altered_is_refused_in_one_sentence, 0, 2);
    tcase_add_test(tc, rubbish_among_the_copies_harms_nothing);
    tcase_add_test(tc, folder_that_is_not_there_offers_nothing);
    tcase_add_test(tc, newest_of_many_changes_is_copied_when_the_time_is_up);
    tcase_add_test(tc, saving_removes_the_copy_and_what_waits_is_dropped);
    tcase_add_test(tc, cleaning_while_a_thread_writes_leaves_no_copy);
    tcase_add_test(tc, adopted_copy_stays_until_it_is_saved);
    tcase_add_test(tc, copy_of_a_file_that_was_saved_later_says_so);
    tcase_add_test(tc, full_disk_is_told_once_and_the_copy_comes_when_there_is_room);
    tcase_add_test(tc, place_that_cannot_be_made_is_told);
    suite_add_tcase(suite, tc);
    return suite;
}

int
main(void)
{
    return tb_test_main(autosave_suite());
}
