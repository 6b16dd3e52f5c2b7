/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/save.h"

#include "tap.h"

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[64];

static void
make_folder(void)
{
    strcpy(folder, "/tmp/tb-save-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
}

static void
remove_folder(void)
{
    char command[96];

    snprintf(command, sizeof command, "rm -rf %s", folder);
    ck_assert_int_eq(system(command), 0);
}

static const char *
in_folder(const char *name)
{
    static char path[128];

    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static size_t
files_in_folder(void)
{
    DIR *d = opendir(folder);
    size_t count = 0;

    ck_assert_ptr_nonnull(d);
    for (struct dirent *e = readdir(d); e != NULL; e = readdir(d))
        count += e->d_name[0] != '.' || strlen(e->d_name) > 2;
    closedir(d);
    return count;
}

static void
assert_holds(const char *path, const char *text)
{
    char room[256] = {0};
    FILE *f = fopen(path, "rb");

    ck_assert_ptr_nonnull(f);
    fread(room, 1, sizeof room - 1, f);
    fclose(f);
    ck_assert_str_eq(room, text);
}

START_TEST(new_file_holds_the_bytes_and_nothing_else_is_left)
{
    ck_assert_int_eq(tb_save_bytes(in_folder("a.svg"), "new text", 8, NULL), TB_OK);
    assert_holds(in_folder("a.svg"), "new text");
    ck_assert_uint_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(old_file_keeps_its_mode_and_a_link_stays_a_link)
{
    char link_path[160];
    struct stat s;

    ck_assert_int_eq(tb_save_bytes(in_folder("a"), "old", 3, NULL), TB_OK);
    ck_assert_int_eq(chmod(in_folder("a"), 0640), 0);
    snprintf(link_path, sizeof link_path, "%s/link", folder);
    ck_assert_int_eq(symlink("a", link_path), 0);
    ck_assert_int_eq(tb_save_bytes(link_path, "newer", 5, NULL), TB_OK);
    assert_holds(in_folder("a"), "newer");
    ck_assert_int_eq(stat(in_folder("a"), &s), 0);
    ck_assert_int_eq(s.st_mode & 0777, 0640);
    ck_assert_int_eq(lstat(link_path, &s), 0);
    ck_assert(S_ISLNK(s.st_mode));
    ck_assert_uint_eq(files_in_folder(), 2);
}
END_TEST

START_TEST(dropped_save_leaves_the_old_file_alone)
{
    TbSave *save;

    ck_assert_int_eq(tb_save_bytes(in_folder("a"), "old", 3, NULL), TB_OK);
    ck_assert_int_eq(tb_save_open(in_folder("a"), &save, NULL), TB_OK);
    ck_assert_int_eq(tb_save_write(save, "half a file", 11, NULL), TB_OK);
    tb_save_drop(save);
    assert_holds(in_folder("a"), "old");
    ck_assert_uint_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(full_disk_keeps_the_old_file_and_says_how_far_it_came)
{
    /* a limit on the file's size stands for a disk that is full after 4096 bytes */
    struct rlimit limit = {4096, 4096};
    static char block[3000];
    TbFault fault = {0};
    TbSave *save;

    ck_assert_int_eq(tb_save_bytes(in_folder("a"), "old", 3, NULL), TB_OK);
    signal(SIGXFSZ, SIG_IGN);
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    ck_assert_int_eq(tb_save_open(in_folder("a"), &save, NULL), TB_OK);
    ck_assert_int_eq(tb_save_write(save, block, sizeof block, NULL), TB_OK);
    ck_assert_int_eq(tb_save_write(save, block, sizeof block, &fault), TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "after 4096 bytes"));
    tb_save_drop(save);
    assert_holds(in_folder("a"), "old");
    ck_assert_uint_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(full_file_system_keeps_the_old_file)
{
    static char block[300000];
    TbFault fault = {0};

    if (mount("tmpfs", folder, "tmpfs", 0, "size=128k") != 0) {
        fprintf(stderr, "# no permission to mount a small file system: not tried\n");
        return;
    }
    ck_assert_int_eq(tb_save_bytes(in_folder("a"), "old", 3, NULL), TB_OK);
    ck_assert_int_eq(tb_save_bytes(in_folder("a"), block, sizeof block, &fault), TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "No space left on device"));
    assert_holds(in_folder("a"), "old");
    ck_assert_uint_eq(files_in_folder(), 1);
    ck_assert_int_eq(umount(folder), 0);
}
END_TEST

START_TEST(full_device_is_one_sentence)
{
    TbFault fault = {0};

    ck_assert_int_eq(tb_save_bytes("/dev/full", "x", 1, &fault), TB_E_IO);
    ck_assert_str_eq(fault.text,
                     "/dev/full cannot be written after 0 bytes: No space left on device");
}
END_TEST

START_TEST(folder_and_missing_folder_are_refused_by_name)
{
    TbFault fault = {0};

    ck_assert_int_eq(tb_save_bytes(folder, "x", 1, &fault), TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "Is a directory"));
    ck_assert_int_eq(tb_save_bytes(in_folder("no/such/place.csv"), "x", 1, &fault), TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "no/such/place.csv"));
    ck_assert_ptr_nonnull(strstr(fault.text, "No such file or directory"));
}
END_TEST

START_TEST(read_only_file_system_is_one_sentence)
{
    TbFault fault = {0};

    /* root may write into any folder but not into this one */
    ck_assert_int_eq(tb_save_bytes("/proc/tightbay.svg", "x", 1, &fault), TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "/proc/tightbay.svg cannot be written: "));
}
END_TEST

static Suite *
save_suite(void)
{
    Suite *suite = suite_create("base/save");
    TCase *c = tcase_create("save");

    tcase_add_checked_fixture(c, make_folder, remove_folder);
    tcase_add_test(c, new_file_holds_the_bytes_and_nothing_else_is_left);
    tcase_add_test(c, old_file_keeps_its_mode_and_a_link_stays_a_link);
    tcase_add_test(c, dropped_save_leaves_the_old_file_alone);
    tcase_add_test(c, full_disk_keeps_the_old_file_and_says_how_far_it_came);
    tcase_add_test(c, full_file_system_keeps_the_old_file);
    tcase_add_test(c, full_device_is_one_sentence);
    tcase_add_test(c, folder_and_missing_folder_are_refused_by_name);
    tcase_add_test(c, read_only_file_system_is_one_sentence);
    suite_add_tcase(suite, c);
    return suite;
}

int
main(void)
{
    return tb_test_main(save_suite());
}
