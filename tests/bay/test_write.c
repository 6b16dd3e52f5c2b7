/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "bay/edit.h"

#include <glib/gstdio.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <unistd.h>

static char *
make_folder(void)
{
    char *folder = g_build_filename(g_get_tmp_dir(), "tightbay-write-XXXXXX", NULL);

    ck_assert_ptr_nonnull(g_mkdtemp(folder));
    return folder;
}

static void
check_content(const char *path, const char *want)
{
    char *bytes = NULL;

    ck_assert(g_file_get_contents(path, &bytes, NULL, NULL));
    ck_assert_str_eq(bytes, want);
    g_free(bytes);
}

static unsigned
count_files(const char *folder)
{
    GDir *dir = g_dir_open(folder, 0, NULL);
    unsigned count = 0;

    while (g_dir_read_name(dir) != NULL)
        count++;
    g_dir_close(dir);
    return count;
}

START_TEST(writing_what_was_read_gives_the_same_bytes)
{
    GString *text = data_text("small.bay");
    TbBay *bay = read_text(text->str);
    GString *out = tb_bay_to_text(bay);

    ck_assert_str_eq(out->str, text->str);
    tb_bay_unref(bay);
    g_string_free(out, TRUE);
    g_string_free(text, TRUE);
}
END_TEST

START_TEST(examples_are_in_the_fixed_form)
{
    static const char *const names[] = {"van-b.bay", "van-c.bay", "pickup.bay"};

    for (size_t i = 0; i < G_N_ELEMENTS(names); i++) {
        char *path = g_build_filename(g_getenv("TB_DATA"), "examples", names[i], NULL);
        char *bytes = NULL;
        TbBay *bay;
        GString *out;

        ck_assert_msg(g_file_get_contents(path, &bytes, NULL, NULL), "%s is missing", path);
        bay = read_text(bytes);
        ck_assert_uint_eq(bay->warning_count, 0);
        out = tb_bay_to_text(bay);
        ck_assert_msg(strcmp(out->str, bytes) == 0, "%s is not in the fixed form", names[i]);
        g_string_free(out, TRUE);
        tb_bay_unref(bay);
        g_free(bytes);
        g_free(path);
    }
}
END_TEST

/* Another order of attributes, spelled-out defaults, odd spaces: once written, the form is fixed.
 */
START_TEST(free_form_becomes_the_fixed_form_and_stays)
{
    static const char *const loose =
        "<bay  title='t'\n version='1'><!--a--><mounts><mount reference='20' id='body'>\n\n"
        "</mount></mounts><items><ball radius='2.50' spare='no' at=' 1\t2.0\n-0 ' id='b'"
        " mount='body' class='x'><!--b--></ball><!--c--></items></bay><!--d-->";
    static const char *const fixed = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                                     "<bay version=\"1\" title=\"t\">\n"
                                     "  <!--a-->\n"
                                     "  <mounts>\n"
                                     "    <mount id=\"body\"/>\n"
                                     "  </mounts>\n"
                                     "  <items>\n"
                                     "    <ball id=\"b\" class=\"x\" mount=\"body\" at=\"1 2 -0\" "
                                     "radius=\"2.5\">\n"
                                     "      <!--b-->\n"
                                     "    </ball>\n"
                                     "    <!--c-->\n"
                                     "  </items>\n"
                                     "  <!--d-->\n"
                                     "</bay>\n";
    TbBay *bay = read_text(loose);
    GString *out = tb_bay_to_text(bay);
    TbBay *again = read_text(out->str);
    GString *twice = tb_bay_to_text(again);

    ck_assert_str_eq(out->str, fixed);
    ck_assert_str_eq(twice->str, fixed);
    ck_assert(tb_bay_equal(bay, again));
    tb_bay_unref(again);
    tb_bay_unref(bay);
    g_string_free(twice, TRUE);
    g_string_free(out, TRUE);
}
END_TEST

START_TEST(numbers_come_back_bit_for_bit)
{
    static const double values[] = {0.1,    1.0 / 3.0,   2.2250738585072014e-308, 9999.999999999998,
                                    5e-324, 123456789e-9};
    TbBay *bay = read_small();

    for (size_t i = 0; i < G_N_ELEMENTS(values); i++) {
        TbBay *moved = NULL;
        GString *out;
        TbBay *again;
        TbVec3 to = tb_vec3(values[i], -values[i], 1 - values[i]);
        TbVec3 got;

        ck_assert_int_eq(tb_edit_move_knot(bay, "outlet", 1, to, &moved, NULL), TB_OK);
        out = tb_bay_to_text(moved);
        again = read_text(out->str);
        got = tb_item_path(tb_bay_item(again, "outlet"))->knots[1].at;
        ck_assert_mem_eq(&got, &to, sizeof to);
        tb_bay_unref(again);
        tb_bay_unref(moved);
        g_string_free(out, TRUE);
    }
    tb_bay_unref(bay);
}
END_TEST

START_TEST(one_edit_changes_one_line)
{
    TbBay *bay = read_small();
    TbBay *edited = NULL;
    GString *before = tb_bay_to_text(bay);
    GString *after;
    char **a;
    char **b;
    unsigned different = 0;

    ck_assert_int_eq(tb_edit_set_keep(bay, "hot-structure", "cold", 13.7, &edited, NULL), TB_OK);
    after = tb_bay_to_text(edited);
    a = g_strsplit(before->str, "\n", -1);
    b = g_strsplit(after->str, "\n", -1);
    ck_assert_uint_eq(g_strv_length(a), g_strv_length(b));
    for (unsigned i = 0; a[i] != NULL; i++)
        different += strcmp(a[i], b[i]) != 0;
    ck_assert_uint_eq(different, 1);
    g_strfreev(a);
    g_strfreev(b);
    g_string_free(before, TRUE);
    g_string_free(after, TRUE);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(text_with_every_awkward_character_comes_back)
{
    static const char awkward[] =
        "a & b < c > d \"e\" 'f'\ttab\nline\rreturn \xc3\xa9 \xe2\x86\x92";
    TbBay *bay = read_small();
    TbBay *named = NULL;
    TbBay *revised = NULL;
    TbBay *again;
    GString *out;

    ck_assert_int_eq(tb_edit_rename(bay, "outlet", awkward, &named, NULL), TB_OK);
    ck_assert_int_eq(tb_edit_set_revision(named, "C", "me", "2031-06-01", awkward, &revised, NULL),
                     TB_OK);
    out = tb_bay_to_text(revised);
    again = read_text(out->str);
    ck_assert_str_eq(tb_bay_item(again, "outlet")->record.name, awkward);
    ck_assert_str_eq(tb_bay_revision_at(again, 2)->text, awkward);
    tb_bay_unref(again);
    tb_bay_unref(revised);
    tb_bay_unref(named);
    tb_bay_unref(bay);
    g_string_free(out, TRUE);
}
END_TEST

START_TEST(file_is_saved_and_read_back)
{
    TbBay *bay = read_small();
    TbBay *again = NULL;
    TbFault fault = {0};
    char *folder = make_folder();
    char *path = g_build_filename(folder, "a.bay", NULL);

    ck_assert_msg(tb_bay_write_file(bay, path, &fault) == TB_OK, "%s", fault.text);
    ck_assert_int_eq(tb_bay_read_file(path, &again, &fault), TB_OK);
    ck_assert(tb_bay_equal(bay, again));
    ck_assert_uint_eq(count_files(folder), 1);
    g_unlink(path);
    g_rmdir(folder);
    tb_bay_unref(again);
    tb_bay_unref(bay);
    g_free(path);
    g_free(folder);
}
END_TEST

START_TEST(full_device_is_told)
{
    TbBay *bay = read_small();
    TbFault fault = {0};

    ck_assert_int_eq(tb_bay_write_file(bay, "/dev/full", &fault), TB_E_IO);
    ck_assert_contains(fault.text, "No space left on device");
    tb_bay_unref(bay);
}
END_TEST

START_TEST(folder_that_is_not_there_is_told)
{
    TbBay *bay = read_small();
    TbFault fault = {0};

    ck_assert_int_eq(tb_bay_write_file(bay, "/nowhere/at/all.bay", &fault), TB_E_IO);
    ck_assert_contains(fault.text, "No such file or directory");
    tb_bay_unref(bay);
}
END_TEST

/** A disk of 16 KiB with an old file on it; false where mounting is not allowed. */
static gboolean
mount_small_disk(const char *folder)
{
    return mount("tightbay", folder, "tmpfs", 0, "size=16k") == 0;
}

START_TEST(full_disk_keeps_the_old_file_and_leaves_nothing)
{
    TbBay *bay = read_small();
    char *folder = make_folder();
    char *path = g_build_filename(folder, "a.bay", NULL);

    /* The real thing needs a mount, so it runs as root only; /dev/full stands in elsewhere. The
     * small bay with a long note is above 16 KiB. */
    if (mount_small_disk(folder)) {
        GString *note = g_string_new("full ");
        TbBay *large = NULL;
        TbFault fault = {0};
        unsigned files;

        for (int i = 0; i < 4000; i++)
            g_string_append(note, "words ");
        ck_assert_int_eq(tb_edit_set_attribute(bay, "bay", "title", note->str, &large, NULL),
                         TB_OK);
        ck_assert(g_file_set_contents(path, "old", 3, NULL));
        files = count_files(folder);
        ck_assert_int_eq(tb_bay_write_file(large, path, &fault), TB_E_IO);
        ck_assert_contains(fault.text, "No space left on device");
        check_content(path, "old");
        ck_assert_uint_eq(count_files(folder), files);
        ck_assert_int_eq(umount(folder), 0);
        tb_bay_unref(large);
        g_string_free(note, TRUE);
    }
    g_unlink(path);
    g_rmdir(folder);
    tb_bay_unref(bay);
    g_free(path);
    g_free(folder);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("bay/write");
    TCase *text = tcase_create("text");
    TCase *file = tcase_create("file");

    tcase_add_test(text, writing_what_was_read_gives_the_same_bytes);
    tcase_add_test(text, examples_are_in_the_fixed_form);
    tcase_add_test(text, free_form_becomes_the_fixed_form_and_stays);
    tcase_add_test(text, numbers_come_back_bit_for_bit);
    tcase_add_test(text, one_edit_changes_one_line);
    tcase_add_test(text, text_with_every_awkward_character_comes_back);
    tcase_add_test(file, file_is_saved_and_read_back);
    tcase_add_test(file, full_device_is_told);
    tcase_add_test(file, folder_that_is_not_there_is_told);
    tcase_add_test(file, full_disk_keeps_the_old_file_and_leaves_nothing);
    suite_add_tcase(s, text);
    suite_add_tcase(s, file);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
