/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_edit_van.c
 * @brief edit-van: a whole edit of the van example with a scan of a million triangles in its bay.
 *
 * One knot of the turbine outlet goes round a small ring; a frame is the document's edit and the
 * study's one answer to it: sweep, areas, all pairs, all profiles, all findings of the state and
 * variant that are looked at, the cold one and the file's first. That is what follows a dragged
 * knot (study/show asks the same, and profiles only of the charts that are open); the other states,
 * rocking among them, are judged once it has been let go. Judged by the 99th percentile of the
 * frames over CGAL's time for one drag frame on the benches' own scene: the smallest distance of a
 * changed duct and nothing else. Lines for people tell what the same takes in the cold and the hot
 * state, in all states that are judged, and in all five variants of them.
 *
 * bench-edit-van SCENE.stl VAN.bay VAN-SCAN.stl
 */

#include "bench.h"
#include "bench_scene.h"
#include "ref_cgal.h"

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/read.h"
#include "study/study.h"

#include <glib.h>
#include <stdlib.h>
#include <string.h>

enum { FRAMES = 360, SOME = 60, FEW = 12, DRAGS = 27, KNOT = 2 };

/** The variant and the state that are looked at. */
#define FIRST "std-s"
#define SHOWN "cold"

/** mm: radius of the ring that the knot goes round, one turn in all frames; 0.05 mm a frame. */
static const double ring = 3;

typedef struct Drag {
    const RefCgal *tree;
    BenchScene *scene;
    TbVec3 *points; /**< of all frames */
    size_t frame;
    double least;
} Drag;

static void
run_drag(void *user)
{
    Drag *drag = user;
    RefLattice duct = drag->scene->duct;

    duct.point = &drag->points[drag->frame++ % DRAGS * SCENE_POINTS].x;
    drag->least = ref_cgal_global(drag->tree, &duct);
}

/** Median of CGAL's drag frames, ms. */
static double
time_theirs(const char *path)
{
    BenchScene scene;
    RefCgal *tree;
    Drag drag = {.scene = &scene};
    BenchSide side = {.name = "CGAL's drag frame", .run = run_drag, .user = &drag};

    bench_scene_open(path, &scene);
    drag.tree = tree = ref_cgal_new(&scene.bay);
    drag.points = bench_room((size_t)DRAGS * SCENE_POINTS, sizeof *drag.points);
    for (size_t i = 0; i < DRAGS; i++)
        scene_points(SCENE_RINGS, SCENE_COLUMNS, 0.2 * (double)i, drag.points + i * SCENE_POINTS);
    bench_race(&side, 1, 9);
    ref_cgal_free(tree);
    free(drag.points);
    bench_scene_close(&scene);
    return side.median;
}

typedef struct Van {
    TbBay *bay;
    TbStudy *study;
    TbAsk ask;
    TbVec3 knot; /**< where it was */
    TbFault fault;
} Van;

/** The document with the scan in it. */
static bool
open_van(const char *bay, const char *scan, Van *van)
{
    g_autofree char *name = g_path_get_basename(scan);
    g_autofree char *element = g_markup_printf_escaped(
        "<scan id=\"bay-scan\" name=\"Scan of the bay\" class=\"structure\" mount=\"body\" "
        "file=\"%s\"/>",
        name);
    TbStore *store = tb_store_new();
    TbBay *read = NULL;
    const TbItem *outlet;

    van->study = tb_study_new(store, NULL);
    tb_store_unref(store);
    if (tb_bay_read_file(bay, &read, &van->fault) != TB_OK ||
        tb_edit_add(read, element, &van->bay, &van->fault) != TB_OK) {
        tb_bay_unref(read);
        return false;
    }
    tb_bay_unref(read);
    outlet = tb_bay_item(van->bay, "outlet");
    van->knot = tb_item_path(outlet)->knots[KNOT].at;
    return true;
}

/** What is asked of a frame: states one after the other, or once for all that are judged. */
typedef struct What {
    const char *name, *variant;
    const char *state[2];
    int states; /**< 0: all */
} What;

static TbStatus
judge(Van *van, const What *what, TbResults **results)
{
    TbStatus status = TB_OK;
    int i = 0;

    van->ask.variant = what->variant;
    *results = NULL;
    do {
        tb_results_unref(*results);
        *results = NULL;
        van->ask.state = what->states > 0 ? what->state[i] : NULL;
        status = tb_study_judge(van->study, &van->ask, NULL, results, &van->fault);
    } while (status == TB_OK && ++i < what->states);
    return status;
}

/** One frame; @return its time in ms, or NAN. */
static double
time_frame(Van *van, const What *what, double turn, TbResults **results)
{
    double start = bench_clock();
    TbVec3 to = tb_vec3_add(van->knot, tb_vec3(0, ring * sin(turn), ring * (1 - cos(turn))));
    TbBay *edited = NULL;
    TbStatus status = tb_edit_move_knot(van->bay, "outlet", KNOT, to, &edited, &van->fault);

    if (status == TB_OK) {
        tb_bay_unref(van->bay);
        van->bay = van->ask.bay = edited;
        status = judge(van, what, results);
    }
    return status == TB_OK ? bench_clock() - start : (double)NAN;
}

/** The pairs with the scan, and that the duct is clear of it. */
static void
say_what(const TbResults *results)
{
    size_t with_scan = 0;
    double nearest = INFINITY;

    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];

        if (strcmp(gap->a, "bay-scan") != 0 && strcmp(gap->b, "bay-scan") != 0)
            continue;
        with_scan++;
        if (strcmp(gap->a, "outlet") == 0 || strcmp(gap->b, "outlet") == 0)
            nearest = fmin(nearest, gap->gap.lower);
    }
    bench_note("edit-van: %zu gaps (%zu with the scan), %zu profiles, %zu findings, "
               "outlet to scan %.3f mm",
               results->gap_count, with_scan, results->profile_count, results->finding_count,
               nearest);
}

/** Times of frames; @return whether all went well. */
static bool
run_frames(Van *van, const What *what, double took[], int count)
{
    TbStudyCounts before, after;
    TbResults *results = NULL;
    double first;

    first = time_frame(van, what, 0, &results); /* reads the scan, or judges something else */
    if (isnan(first))
        return false;
    tb_results_unref(results);
    before = tb_study_counts(van->study);
    for (int i = 0; i < count; i++) {
        took[i] = time_frame(van, what, 2 * M_PI * (i + 1) / FRAMES, &results);
        if (isnan(took[i]))
            return false;
        if (i + 1 == count)
            say_what(results);
        tb_results_unref(results);
    }
    after = tb_study_counts(van->study);
    bench_note("edit-van, %s: first %.0f ms, then median %.2f ms, 99th percentile %.2f ms of %d "
               "frames with %.1f gaps and %.1f profiles made anew each",
               what->name, first, bench_median(took, (size_t)count),
               bench_quantile(took, (size_t)count, 0.99), count,
               (double)(after.gaps - before.gaps) / count,
               (double)(after.profiles - before.profiles) / count);
    return true;
}

int
main(int argc, char **argv)
{
    static const What shown = {"the state shown", FIRST, {SHOWN}, 1};
    static const What both = {"cold, then hot", FIRST, {SHOWN, "hot"}, 2};
    static const What states = {"all states", FIRST, {NULL}, 0};
    static const What all = {"all variants and states", NULL, {NULL}, 0};
    Van van = {.ask = {.profiles = true}};
    double took[FRAMES], others[SOME], theirs;
    g_autofree char *folder = NULL;
    bool good;

    tb_mem_keep(); /* as the program does */
    if (argc != 4)
        return bench_miss("edit-van", "no scene, bay or scan given");
    folder = g_path_get_dirname(argv[3]);
    van.ask.folder = folder;
    theirs = time_theirs(argv[1]);
    good = open_van(argv[2], argv[3], &van) && run_frames(&van, &shown, took, FRAMES) &&
           run_frames(&van, &both, others, SOME) && run_frames(&van, &states, others, FEW) &&
           run_frames(&van, &all, others, FEW);
    tb_study_free(van.study);
    tb_bay_unref(van.bay);
    if (!good)
        return bench_miss("edit-van", "%s", van.fault.text);
    return bench_result("edit-van", bench_quantile(took, FRAMES, 0.99) / theirs);
}
