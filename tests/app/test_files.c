/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/disk_mark.h"
#include "app/files.h"
#include "loop.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utime.h>

/** Where one test works: a folder with a saved van in it. */
typedef struct Desk {
    char *folder, *path;
    GFile *place;
    TbFile *file;
    TbBay *bay;
    int news, last_news;
    TbBay *got;
    GError *error;
    bool done;
} Desk;

static void
on_news(TbFile *file, int news, Desk *desk)
{
    (void)file;
    desk->news++;
    desk->last_news = news;
}

static void
set_up(Desk *desk)
{
    GError *error = NULL;

    memset(desk, 0, sizeof *desk);
    desk->folder = new_folder();
    desk->path = g_build_filename(desk->folder, "van.bay", NULL);
    desk->place = g_file_new_for_path(desk->path);
    desk->bay = example("van-c.bay");
    desk->file = tb_file_new(NULL);
    ck_assert(tb_file_save(desk->file, desk->bay, desk->place, false, &error));
    ck_assert_ptr_null(error);
    g_signal_connect(desk->file, "disk-news", G_CALLBACK(on_news), desk);
}

static void
tear_down(Desk *desk)
{
    g_clear_object(&desk->file);
    g_object_unref(desk->place);
    tb_bay_unref(desk->bay);
    tb_bay_unref(desk->got);
    g_clear_error(&desk->error);
    g_free(desk->path);
    remove_folder(desk->folder);
    let_pass(1);
}

static void
loaded(GObject *source, GAsyncResult *result, void *user)
{
    Desk *desk = user;

    desk->got = tb_file_load_finish(TB_FILE(source), result, &desk->error);
    desk->done = true;
}

static void
saved(GObject *source, GAsyncResult *result, void *user)
{
    Desk *desk = user;

    desk->got = tb_file_save_finish(TB_FILE(source), result, &desk->error);
    desk->done = true;
}

static void
write_by_another(const char *path, const char *text)
{
    ck_assert(g_file_set_contents(path, text, -1, NULL));
}

START_TEST(what_was_saved_on_a_thread_is_read_on_a_thread)
{
    Desk desk;
    TbFile *other;

    set_up(&desk);
    tb_file_save_async(desk.file, desk.bay, NULL, false, saved, &desk);
    wait_until(desk.done);
    ck_assert_ptr_eq(desk.got, desk.bay);
    g_clear_pointer(&desk.got, tb_bay_unref);
    desk.done = false;
    other = tb_file_new(desk.place);
    tb_file_load_async(other, NULL, loaded, &desk);
    wait_until(desk.done);
    ck_assert_same_bay(desk.got, desk.bay);
    ck_assert_str_eq(tb_file_stamp(other), tb_file_stamp(desk.file));
    g_object_unref(other);
    ck_assert_uint_eq(count_files(desk.folder), 1);
    tear_down(&desk);
}
END_TEST

START_TEST(our_own_saves_are_no_news)
{
    Desk desk;

    set_up(&desk);
    for (int i = 0; i < 3; i++) {
        desk.done = false;
        tb_file_save_async(desk.file, desk.bay, NULL, false, saved, &desk);
        wait_until(desk.done);
        g_clear_pointer(&desk.got, tb_bay_unref);
    }
    let_pass(500);
    ck_assert_int_eq(desk.news, 0);
    tear_down(&desk);
}
END_TEST

START_TEST(change_by_another_is_told_once_and_then_known)
{
    Desk desk;

    set_up(&desk);
    write_by_another(desk.path, "<bay version=\"1\" title=\"by a colleague\"/>\n");
    wait_until(desk.news > 0);
    let_pass(400);
    ck_assert_int_eq(desk.news, 1);
    ck_assert_int_eq(desk.last_news, TB_DISK_CHANGED);
    write_by_another(desk.path, "<bay version=\"1\" title=\"by a colleague again\"/>\n");
    wait_until(desk.news > 1);
    tear_down(&desk);
}
END_TEST

START_TEST(touching_a_file_is_no_news_and_saving_goes_on)
{
    Desk desk;

    set_up(&desk);
    ck_assert_int_eq(utime(desk.path, NULL), 0);
    let_pass(500);
    ck_assert_int_eq(desk.news, 0);
    ck_assert(tb_file_save(desk.file, desk.bay, NULL, false, NULL));
    tear_down(&desk);
}
END_TEST

START_TEST(file_that_goes_is_told_and_saving_brings_it_back)
{
    Desk desk;

    set_up(&desk);
    ck_assert_int_eq(g_unlink(desk.path), 0);
    wait_until(desk.news > 0);
    ck_assert_int_eq(desk.last_news, TB_DISK_GONE);
    ck_assert(tb_file_save(desk.file, desk.bay, NULL, false, NULL));
    ck_assert(g_file_test(desk.path, G_FILE_TEST_EXISTS));
    tear_down(&desk);
}
END_TEST

START_TEST(what_another_saved_is_not_written_over_unless_told)
{
    static const char theirs[] = "<bay version=\"1\" title=\"by a colleague\"/>\n";
    Desk desk;
    char *text = NULL;

    set_up(&desk);
    write_by_another(desk.path, theirs);
    ck_assert(!tb_file_save(desk.file, desk.bay, NULL, false, &desk.error));
    ck_assert(g_error_matches(desk.error, TB_FILE_ERROR, TB_FILE_ERROR_CHANGED));
    ck_assert(strstr(desk.error->message, "van.bay") != NULL);
    ck_assert(g_file_get_contents(desk.path, &text, NULL, NULL));
    ck_assert_str_eq(text, theirs);
    g_free(text);
    ck_assert(tb_file_save(desk.file, desk.bay, NULL, true, NULL));
    ck_assert(tb_file_save(desk.file, desk.bay, NULL, false, NULL));
    tear_down(&desk);
}
END_TEST

START_TEST(keeping_mine_lets_the_next_save_through)
{
    Desk desk;

    set_up(&desk);
    write_by_another(desk.path, "<bay version=\"1\" title=\"by a colleague\"/>\n");
    wait_until(desk.news > 0);
    tb_file_keep_mine(desk.file);
    ck_assert(tb_file_save(desk.file, desk.bay, NULL, false, NULL));
    let_pass(400);
    ck_assert_int_eq(desk.news, 1);
    tear_down(&desk);
}
END_TEST

START_TEST(link_stays_a_link_and_its_target_is_watched)
{
    Desk desk;
    char *link_path;
    GFile *link_place;
    struct stat about;

    set_up(&desk);
    link_path = g_build_filename(desk.folder, "latest.bay", NULL);
    ck_assert_int_eq(symlink("van.bay", link_path), 0);
    link_place = g_file_new_for_path(link_path);
    ck_assert(tb_disk_is_same(desk.place, link_place));
    ck_assert(tb_file_save(desk.file, desk.bay, link_place, false, NULL));
    ck_assert_int_eq(lstat(link_path, &about), 0);
    ck_assert(S_ISLNK(about.st_mode));
    ck_assert(g_file_equal(tb_file_place(desk.file), link_place));
    write_by_another(desk.path, "<bay version=\"1\" title=\"by a colleague\"/>\n");
    wait_until(desk.news > 0);
    g_object_unref(link_place);
    g_free(link_path);
    tear_down(&desk);
}
END_TEST

START_TEST(other_files_are_not_the_same)
{
    Desk desk;
    GFile *folder, *other, *nowhere;

    set_up(&desk);
    folder = g_file_new_for_path(desk.folder);
    other = g_file_get_child(folder, "copy.bay");
    nowhere = g_file_get_child(folder, "nowhere.bay");
    ck_assert(g_file_copy(desk.place, other, G_FILE_COPY_NONE, NULL, NULL, NULL, NULL));
    ck_assert(!tb_disk_is_same(desk.place, other));
    ck_assert(!tb_disk_is_same(desk.place, nowhere));
    ck_assert(tb_disk_is_same(nowhere, nowhere));
    g_object_unref(folder);
    g_object_unref(other);
    g_object_unref(nowhere);
    tear_down(&desk);
}
END_TEST

START_TEST(bay_that_is_wrong_is_told_with_name_and_line)
{
    Desk desk;
    TbFile *other;

    set_up(&desk);
    write_by_another(desk.path,
                     "<bay version=\"1\" title=\"t\">\n<items>\n<cube/>\n</items></bay>");
    other = tb_file_new(desk.place);
    tb_file_load_async(other, NULL, loaded, &desk);
    wait_until(desk.done);
    ck_assert_ptr_null(desk.got);
    ck_assert_msg(strstr(desk.error->message, "van.bay:3: ") != NULL, "%s", desk.error->message);
    g_object_unref(other);
    tear_down(&desk);
}
END_TEST

START_TEST(file_that_is_not_there_is_told)
{
    GFile *nowhere = g_file_new_for_path("/nowhere/at/all.bay");
    TbFile *file = tb_file_new(nowhere);
    GError *error = NULL;

    ck_assert_ptr_null(tb_file_load(file, NULL, &error));
    ck_assert(g_error_matches(error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND));
    g_clear_error(&error);
    g_object_unref(file);
    g_object_unref(nowhere);
}
END_TEST

/** What must hold after a save that failed: one sentence, the old file, nothing beside it. */
static void
check_nothing_lost(Desk *desk, const char *old, unsigned files)
{
    char *text = NULL;

    ck_assert_ptr_nonnull(desk->error);
    ck_assert_msg(strchr(desk->error->message, '\n') == NULL, "%s", desk->error->message);
    ck_assert_msg(strstr(desk->error->message, "van.bay") != NULL, "%s", desk->error->message);
    ck_assert(g_file_get_contents(desk->path, &text, NULL, NULL));
    ck_assert_str_eq(text, old);
    ck_assert_uint_eq(count_files(desk->folder), files);
    g_free(text);
}

/** A full disk where we may make one; else a limit on the size of files. */
static bool
make_room_scarce(const char *folder)
{
    struct rlimit limit = {4096, 4096};

    if (geteuid() == 0 && mount("tmpfs", folder, "tmpfs", 0, "size=24k") == 0)
        return true;
    signal(SIGXFSZ, SIG_IGN);
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    return false;
}

START_TEST(full_disk_keeps_the_old_file_and_the_document)
{
    Desk desk;
    bool mounted;
    char *old;

    set_up(&desk);
    mounted = make_room_scarce(desk.folder);
    write_by_another(desk.path, "<bay version=\"1\" title=\"small\"/>\n");
    g_file_get_contents(desk.path, &old, NULL, NULL);
    tb_file_save_async(desk.file, desk.bay, NULL, true, saved, &desk);
    wait_until(desk.done);
    ck_assert_ptr_null(desk.got);
    check_nothing_lost(&desk, old, 1);
    g_free(old);
    if (mounted)
        ck_assert_int_eq(umount2(desk.folder, MNT_DETACH), 0);
    tear_down(&desk);
}
END_TEST

START_TEST(folder_that_is_read_only_is_told)
{
    Desk desk;
    TbBay *small = titled("small");
    char *old = NULL;

    set_up(&desk);
    ck_assert(g_file_get_contents(desk.path, &old, NULL, NULL));
    ck_assert_int_eq(chmod(desk.folder, 0555), 0);
    ck_assert(geteuid() != 0 || seteuid(65534) == 0);
    ck_assert(!tb_file_save(desk.file, small, NULL, false, &desk.error));
    ck_assert(getuid() != 0 || seteuid(0) == 0);
    check_nothing_lost(&desk, old, 1);
    ck_assert_int_eq(chmod(desk.folder, 0755), 0);
    g_free(old);
    tb_bay_unref(small);
    tear_down(&desk);
}
END_TEST

START_TEST(file_object_that_goes_while_it_saves_lets_the_save_end)
{
    Desk desk;

    set_up(&desk);
    tb_file_save_async(desk.file, desk.bay, NULL, false, saved, &desk);
    g_clear_object(&desk.file);
    wait_until(desk.done);
    ck_assert_ptr_nonnull(desk.got);
    tear_down(&desk);
}
END_TEST

static Suite *
files_suite(void)
{
    Suite *suite = suite_create("app/files");
    TCase *tc = tcase_create("files");

    tcase_set_timeout(tc, TB_TEST_LIMIT);
    tcase_add_test(tc, what_was_saved_on_a_thread_is_read_on_a_thread);
    tcase_add_test(tc, our_own_saves_are_no_news);
    tcase_add_test(tc, change_by_another_is_told_once_and_then_known);
    tcase_add_test(tc, touching_a_file_is_no_news_and_saving_goes_on);
    tcase_add_test(tc, file_that_goes_is_told_and_saving_brings_it_back);
    tcase_add_test(tc, what_another_saved_is_not_written_over_unless_told);
    tcase_add_test(tc, keeping_mine_lets_the_next_save_through);
    tcase_add_test(tc, link_stays_a_link_and_its_target_is_watched);
    tcase_add_test(tc, other_files_are_not_the_same);
    tcase_add_test(tc, bay_that_is_wrong_is_told_with_name_and_line);
    tcase_add_test(tc, file_that_is_not_there_is_told);
    tcase_add_test(tc, full_disk_keeps_the_old_file_and_the_document);
    tcase_add_test(tc, folder_that_is_read_only_is_told);
    tcase_add_test(tc, file_object_that_goes_while_it_saves_lets_the_save_end);
    suite_add_tcase(suite, tc);
    return suite;
}

int
main(void)
{
    return tb_test_main(files_suite());
}
