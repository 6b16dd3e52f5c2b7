/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "base/save.h"

#include "tap.h"

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
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

START_TEST(link_to_nothing_yet_makes_its_target)
{
    char link_path[160];
    struct stat s;

    snprintf(link_path, sizeof link_path, "%s/link", folder);
    ck_assert_int_eq(symlink("later", link_path), 0);
    ck_assert_int_eq(tb_save_bytes(link_path, "there now", 9, NULL), TB_OK);
    assert_holds(in_folder("later"), "there now");
    ck_assert_int_eq(lstat(link_path, &s), 0);
    ck_assert(S_ISLNK(s.st_mode));
    ck_assert_uint_eq(files_in_folder(), 2);
}
END_TEST

START_TEST(new_file_gets_the_mode_that_the_process_gives)
{
    struct stat s;
    mode_t before = umask(027);

    ck_assert_int_eq(tb_save_bytes(in_folder("a"), "x", 1, NULL), TB_OK);
    umask(before);
    ck_assert_int_eq(stat(in_folder("a"), &s), 0);
    ck_assert_int_eq(s.st_mode & 0777, 0640);
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

START_TEST(write_protected_file_is_refused_and_kept)
{
    TbFault fault = {0};
    TbStatus status;

    ck_assert_int_eq(tb_save_bytes(in_folder("a"), "old", 3, NULL), TB_OK);
    ck_assert_int_eq(chmod(in_folder("a"), 0444), 0);
    /* root may write anything: be nobody for the question who asks */
    ck_assert(geteuid() != 0 || setresuid(65534, 0, 0) == 0);
    status = tb_save_bytes(in_folder("a"), "newer", 5, &fault);
    ck_assert(geteuid() != 0 || setresuid(0, 0, 0) == 0);
    ck_assert_int_eq(status, TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "/a cannot be written: Permission denied"));
    assert_holds(in_folder("a"), "old");
    ck_assert_uint_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(socket_is_refused)
{
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    int end = socket(AF_UNIX, SOCK_STREAM, 0);
    TbFault fault = {0};

    ck_assert_int_ge(end, 0);
    snprintf(address.sun_path, sizeof address.sun_path, "%.40s/plug", folder);
    ck_assert_int_eq(bind(end, (struct sockaddr *)&address, sizeof address), 0);
    ck_assert_int_eq(tb_save_bytes(in_folder("plug"), "x", 1, &fault), TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "/plug cannot be written: No such device"));
    close(end);
}
END_TEST

START_TEST(folder_put_in_the_way_while_saving_is_one_sentence)
{
    TbFault fault = {0};
    TbSave *save;

    ck_assert_int_eq(tb_save_open(in_folder("a"), &save, NULL), TB_OK);
    ck_assert_int_eq(tb_save_write(save, "bytes", 5, NULL), TB_OK);
    ck_assert_int_eq(mkdir(in_folder("a"), 0755), 0);
    ck_assert_int_eq(tb_save_close(save, &fault), TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "/a cannot be written: Is a directory"));
    ck_assert_uint_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(name_without_a_folder_lands_in_the_current_one)
{
    ck_assert_int_eq(chdir(folder), 0);
    ck_assert_int_eq(tb_save_bytes("plain.csv", "a,b", 3, NULL), TB_OK);
    assert_holds(in_folder("plain.csv"), "a,b");
    ck_assert_int_eq(tb_save_bytes("plain.csv", "c,d", 3, NULL), TB_OK);
    assert_holds(in_folder("plain.csv"), "c,d");
    ck_assert_uint_eq(files_in_folder(), 1);
    ck_assert_int_eq(chdir("/"), 0);
}
END_TEST

START_TEST(no_memory_at_any_request_leaves_nothing_behind)
{
    long n = 0;
    TbStatus status;

    do {
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = tb_save_bytes(in_folder("a"), "bytes", 5, &fault);
        tb_mem_fail_at(0);
        if (status != TB_OK) {
            ck_assert_uint_eq(files_in_folder(), 0);
            ck_assert_ptr_nonnull(strstr(fault.text, in_folder("a")));
        }
    } while (status != TB_OK && n < 20);
    /* the structure, the path and the temporary name, then it works */
    ck_assert_int_eq(n, 4);
    assert_holds(in_folder("a"), "bytes");
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
    tcase_add_test(c, link_to_nothing_yet_makes_its_target);
    tcase_add_test(c, new_file_gets_the_mode_that_the_process_gives);
    tcase_add_test(c, dropped_save_leaves_the_old_file_alone);
    tcase_add_test(c, full_disk_keeps_the_old_file_and_says_how_far_it_came);
    tcase_add_test(c, full_file_system_keeps_the_old_file);
    tcase_add_test(c, full_device_is_one_sentence);
    tcase_add_test(c, folder_and_missing_folder_are_refused_by_name);
    tcase_add_test(c, read_only_file_system_is_one_sentence);
    tcase_add_test(c, write_protected_file_is_refused_and_kept);
    tcase_add_test(c, socket_is_refused);
    tcase_add_test(c, folder_put_in_the_way_while_saving_is_one_sentence);
    tcase_add_test(c, name_without_a_folder_lands_in_the_current_one);
    tcase_add_test(c, no_memory_at_any_request_leaves_nothing_behind);
    suite_add_tcase(suite, c);
    return suite;
}

int
main(void)
{
    return tb_test_main(save_suite());
}
