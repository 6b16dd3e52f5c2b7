/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_combine.c
 * @brief combine: the table of all states and variants of the van example with a scan of a million
 *        triangles in its bay, over one static study: one variant, cold.
 *
 * Both studies know nothing before but the scan. The row is how many static studies the table
 * costs.
 *
 * bench-combine VAN.bay VAN-SCAN.stl
 */

#include "bench.h"

#include "bay/edit.h"
#include "bay/read.h"
#include "study/study.h"

#include <glib.h>

enum { ROUNDS = 5 };

typedef struct Van {
    TbBay *bay;
    TbStore *store;
    char *folder;
    TbFault fault;
} Van;

static bool
open_van(const char *bay, const char *scan, Van *van)
{
    g_autofree char *name = g_path_get_basename(scan);
    g_autofree char *element = g_markup_printf_escaped(
        "<scan id=\"bay-scan\" name=\"Scan of the bay\" class=\"structure\" mount=\"body\" "
        "file=\"%s\"/>",
        name);
    TbBay *read = NULL;
    bool good = tb_bay_read_file(bay, &read, &van->fault) == TB_OK &&
                tb_edit_add(read, element, &van->bay, &van->fault) == TB_OK;

    van->folder = g_path_get_dirname(scan);
    van->store = tb_store_new();
    tb_bay_unref(read);
    return good;
}

/** A study from nothing; @return ms, or NAN. */
static double
time_study(Van *van, const TbAsk *ask, TbResults **results)
{
    TbStudy *study = tb_study_new(van->store, NULL);
    double start = bench_clock();
    TbStatus status = tb_study_judge(study, ask, NULL, results, &van->fault);
    double took = bench_clock() - start;

    tb_study_free(study);
    return status == TB_OK ? took : (double)NAN;
}

static double
median_of(Van *van, const TbAsk *ask, TbResults **results)
{
    double took[ROUNDS];

    for (int i = 0; i < ROUNDS; i++) {
        tb_results_unref(*results);
        *results = NULL;
        took[i] = time_study(van, ask, results);
        if (isnan(took[i]))
            return NAN;
    }
    return bench_median(took, ROUNDS);
}

int
main(int argc, char **argv)
{
    Van van = {0};
    TbAsk one = {.state = "cold"}, all = {.combine = true};
    TbResults *results = NULL;
    double single = NAN, table = NAN;

    if (argc != 3)
        return bench_miss("combine", "no bay or scan given");
    if (open_van(argv[1], argv[2], &van)) {
        one.bay = all.bay = van.bay;
        one.folder = all.folder = van.folder;
        one.variant = "std-s";
        single = time_study(&van, &one, &results); /* reads the scan */
        single = median_of(&van, &one, &results);
        table = median_of(&van, &all, &results);
    }
    if (!isnan(table))
        bench_note("combine: one static study %.1f ms; all %zu rows in %.0f ms, %zu of them exact "
                   "with their causes",
                   single, results->gap_count, table, results->combination_count);
    tb_results_unref(results);
    tb_store_unref(van.store);
    tb_bay_unref(van.bay);
    g_free(van.folder);
    if (isnan(table))
        return bench_miss("combine", "%s", van.fault.text);
    return bench_result("combine", table / single);
}
