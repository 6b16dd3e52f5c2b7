/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * A bay with a scan of 5 million triangles: read, judged cold and hot, edited, and judged again in
 * less than 2 GiB, as the system counts the process. Sanitizers and profilers need memory and time
 * of their own, so under them the scan is smaller and nothing is asserted of memory.
 */

#include "bays.h"
#include "scans.h"
#include "tap.h"

#include <sys/resource.h>
#include <unistd.h>

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define ROWS 120
#define MEASURED false
#else
#define ROWS 2500
#define MEASURED true
#endif
#define COLUMNS 1000

/* KiB */
#define MOST (2L * 1024 * 1024)

static long
peak(void)
{
    struct rusage usage;

    ck_assert_int_eq(getrusage(RUSAGE_SELF, &usage), 0);
    return usage.ru_maxrss;
}

/* The same ring as elsewhere, written in pieces: the test itself must not hold it. */
static void
write_large(const char *path)
{
    FILE *file = fopen(path, "wb");
    guint32 count = 2 * ROWS * COLUMNS;
    guint8 head[80] = "ring";

    ck_assert_ptr_nonnull(file);
    ck_assert_uint_eq(fwrite(head, 1, 80, file), 80);
    ck_assert_uint_eq(fwrite(&count, 1, 4, file), 4);
    for (int i = 0; i < ROWS; i++) {
        g_autoptr(GByteArray) row = ring_row(i, ROWS, COLUMNS, 31.3);

        ck_assert_uint_eq(fwrite(row->data, 1, row->len, file), row->len);
    }
    ck_assert_int_eq(fclose(file), 0);
}

/* The tube's bay with the scan about it, grown with the engine when hot: a second tree. */
static TbBay *
bay_with(const char *path)
{
    g_auto(GStrv) halves = g_strsplit(BAY_TUBE, "</items>", 2);
    g_autofree char *text =
        g_strdup_printf("%s<scan id='shell' name='Shell' class='structure' mount='body' file='%s' "
                        "at='150 0 0' along='0 0 1' up='1 0 0'/></items>%s",
                        halves[0], path, halves[1]);

    return bay_of(text);
}

START_TEST(five_million_triangles_are_judged_and_edited_within_two_gibibytes)
{
    g_autofree char *path = in_folder("large.stl");
    g_autofree char *cache = in_folder("cache");
    TbWork *work = tb_work_new(2);
    TbBay *bay = NULL, *moved = NULL, *shifted = NULL;
    TbStudy *study;
    TbStore *store;
    const TbFinding *found;
    TbResults *results;

    write_large(path);
    store = tb_store_new_with(&(TbStoreDef){.cache = cache});
    study = tb_study_new(store, work);
    /* scans are looked for from the working folder */
    ck_assert_int_eq(chdir(folder), 0);
    bay = bay_with("large.stl");
    results = judged(study, bay);
    found = want_finding(results, "scan/shell//");
    ck_assert_int_eq(found->level, TB_LEVEL_HOLDS);
    ck_assert_double_eq(tb_finding_number(found, "triangles"), 2.0 * ROWS * COLUMNS);
    ck_assert_double_gt(want_gap(results, "tube", "shell", "cold")->gap.upper, 100);
    tb_results_unref(results);
    ck_assert_int_eq(tb_edit_move_knot(bay, "tube", 1, tb_vec3(300, 20, -30), &moved, NULL), TB_OK);
    tb_results_unref(judged(study, moved));
    ck_assert_int_eq(tb_edit_move_item(moved, "shell", tb_vec3(0, 7, 0), &shifted, NULL), TB_OK);
    tb_results_unref(judged(study, shifted));
    ck_assert_uint_eq(tb_store_counts(store).built, 1);
    if (MEASURED)
        ck_assert_msg(peak() < MOST, "%ld MiB were taken", peak() / 1024);
    fprintf(stderr, "# %ld MiB at the peak\n", peak() / 1024);
    tb_study_free(study);
    tb_store_unref(store);
    tb_work_free(work);
    tb_bay_unref(bay);
    tb_bay_unref(moved);
    tb_bay_unref(shifted);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/large_scan");
    TCase *c = tcase_create("large_scan");

    tcase_set_timeout(c, 240);
    tcase_add_checked_fixture(c, make_folder, remove_folder);
    tcase_add_test(c, five_million_triangles_are_judged_and_edited_within_two_gibibytes);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
