/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_drag.c
 * @brief drag: one knot of the outlet dragged across each example, as the window would follow it.
 *
 * A step is the document's edit, the live answer of the study (gaps and findings of the state and
 * variant shown), three cuts (side, plan, across at a station) and the outlet's strip: the worker's
 * part; then the pictures of them: the window's thread's part, which paints one answer while the
 * worker makes the next. Every step has a place of its own, so nothing is answered twice. Judged by
 * how many different results a second the slower of the two makes, each on one processor: the
 * study has no pool here. Lines for people tell the median and the 99th percentile of each part,
 * how many a second one thread would make of everything, and the same with the hot state shown.
 *
 * bench-drag VAN.bay PICKUP.bay SCAN.ply
 */

#include "bench.h"

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/read.h"
#include "draw/charts_screen.h"
#include "draw/cut_screen.h"
#include "draw/paint.h"
#include "study/show.h"

#include <glib.h>
#include <string.h>

enum { STEPS = 300, EXAMPLES = 2, CUTS = 3 };

/** The state that lines for people tell of besides. */
#define BESIDES "hot"

/** What is timed. */
enum { EDIT, SHOW, SIDE, PLAN, ACROSS, STRIP, WORKER, PAINTER, WHOLE, PARTS };

static const char *const part_names[PARTS] = {
    "edit",          "results and scenes", "side picture", "plan picture", "across picture",
    "strip picture", "edit to results",    "all pictures", "all of it"};

static const BenchRow rows[EXAMPLES] = {{"drag-van", 50, 60, false},
                                        {"drag-pickup", 25, 60, false}};

/** mm of paper of a pane with a cut, and of the charts: a window of 1280 x 800 px. */
static const TbVec2 pane = {131, 103}, charts = {263, 92};

/** Which knot is dragged, and from where to where about its own place, mm. */
typedef struct Example {
    size_t knot;
    TbVec3 from, to;
    TbCutAsk cuts[CUTS];
} Example;

static const Example examples[EXAMPLES] = {
    {.knot = 2,
     .from = {-3, -9, 2},
     .to = {3, 11, -2},
     .cuts = {{.view = TB_SCENE_SIDE, .at = -143},
              {.view = TB_SCENE_PLAN, .at = 541},
              {.view = TB_SCENE_ACROSS, .at = 283, .item = "outlet"}}},
    {.knot = 1,
     .from = {-2, -8, 3},
     .to = {3, 9, -2},
     .cuts = {{.view = TB_SCENE_SIDE, .at = 341},
              {.view = TB_SCENE_PLAN, .at = 633},
              {.view = TB_SCENE_ACROSS, .at = 243, .item = "outlet"}}}};

typedef struct Drag {
    const Example *example;
    TbStudy *study;
    TbBay *bay;
    TbVec3 knot; /**< where it was */
    TbShowAsk ask;
    TbShown *shown;
    TbPaintMeasurer *fonts;
    double took[PARTS][STEPS];
    size_t different;
    TbFault fault;
} Drag;

/** Whether an answer tells anything else of the outlet's gaps than the one before. */
static bool
is_different(const TbResults *a, const TbResults *b)
{
    if (a->gap_count != b->gap_count)
        return true;
    for (size_t i = 0; i < a->gap_count; i++)
        if (a->gaps[i].gap.upper != b->gaps[i].gap.upper)
            return true;
    return false;
}

static TbStatus
edit_and_show(Drag *drag, double share, double took[])
{
    double start = bench_clock();
    TbVec3 off = tb_vec3_add(tb_vec3_scale(drag->example->from, 1 - share),
                             tb_vec3_scale(drag->example->to, share));
    TbBay *edited = NULL;
    TbShown *shown = NULL;
    TbStatus status = tb_edit_move_knot(drag->bay, "outlet", drag->example->knot,
                                        tb_vec3_add(drag->knot, off), &edited, &drag->fault);

    if (status != TB_OK)
        return status;
    took[EDIT] = bench_clock() - start;
    tb_bay_unref(drag->bay);
    drag->bay = drag->ask.bay = edited;
    start = bench_clock();
    status = tb_study_show(drag->study, &drag->ask, drag->shown, NULL, &shown, &drag->fault);
    took[SHOW] = bench_clock() - start;
    if (status != TB_OK)
        return status;
    drag->different += drag->shown != NULL && is_different(shown->results, drag->shown->results);
    tb_shown_unref(drag->shown);
    drag->shown = shown;
    return TB_OK;
}

static TbStatus
draw_cut(Drag *drag, const TbScene *scene, TbMeasurer measurer, TbPicture *picture)
{
    TbViewport port = {.width = pane.x, .height = pane.y};
    TbCutScreen screen = {.selected = "outlet"};

    port = tb_viewport_fit(port, scene->low, scene->high, 2);
    return tb_cut_screen(picture, scene, port, &screen, measurer, &drag->fault);
}

static TbStatus
draw(Drag *drag, int part, double took[])
{
    double start = bench_clock();
    TbMeasurer measurer = tb_paint_measurer(drag->fonts);
    TbStripView view = {.width = charts.x, .height = charts.y};
    TbStripPlaces places;
    TbPicture picture;
    TbStatus status;

    if (part == STRIP)
        status =
            tb_strip_screen(&picture, drag->shown->strip, &view, measurer, &places, &drag->fault);
    else
        status = draw_cut(drag, drag->shown->cuts[part - SIDE], measurer, &picture);
    tb_picture_clear(&picture);
    took[part] = bench_clock() - start;
    return status;
}

/** What could not be drawn. */
static const TbFault *
missing(const TbShown *shown)
{
    for (int i = 0; i < CUTS; i++)
        if (shown->cuts[i] == NULL)
            return &shown->cut_faults[i];
    return shown->strip == NULL ? &shown->strip_fault : NULL;
}

static bool
step(Drag *drag, double share, double took[])
{
    TbStatus status = edit_and_show(drag, share, took);

    if (status == TB_OK && missing(drag->shown) != NULL) {
        drag->fault = *missing(drag->shown);
        return false;
    }
    for (int part = SIDE; part <= STRIP && status == TB_OK; part++)
        status = draw(drag, part, took);
    took[WORKER] = took[EDIT] + took[SHOW];
    took[PAINTER] = took[SIDE] + took[PLAN] + took[ACROSS] + took[STRIP];
    took[WHOLE] = took[WORKER] + took[PAINTER];
    return status == TB_OK;
}

static bool
open_bay(Drag *drag, const char *path, const char *folder)
{
    TbStore *store = tb_store_new();

    drag->study = tb_study_new(store, NULL);
    tb_store_unref(store);
    if (tb_bay_read_file(path, &drag->bay, &drag->fault) != TB_OK)
        return false;
    drag->knot = tb_item_path(tb_bay_item(drag->bay, "outlet"))->knots[drag->example->knot].at;
    drag->ask.folder = folder;
    drag->ask.strip = "outlet";
    for (int i = 0; i < CUTS; i++) {
        drag->ask.wants_cut[i] = true;
        drag->ask.cuts[i] = drag->example->cuts[i];
    }
    return true;
}

static void
tell(Drag *drag, const char *name)
{
    for (int part = 0; part < PARTS; part++) {
        double *took = drag->took[part];
        double least = took[0];

        for (int i = 1; i < STEPS; i++)
            least = took[i] < least ? took[i] : least;
        bench_note("%s, %s: median %.2f ms, 99th percentile %.2f ms, least %.2f ms", name,
                   part_names[part], bench_median(took, STEPS), bench_quantile(took, STEPS, 0.99),
                   least);
    }
}

static double
rate_of(const Drag *drag, int part)
{
    double sum = 0;

    for (int i = 0; i < STEPS; i++)
        sum += drag->took[part][i];
    return (double)drag->different / sum * 1e3;
}

/** Different results a second; 0 when something failed, which was told. */
static double
run(const Example *example,
    const char *name,
    const char *state,
    const char *path,
    const char *folder)
{
    Drag *drag = g_new0(Drag, 1);
    double took[PARTS], rate = 0;
    bool good;

    drag->example = example;
    drag->ask.state = state;
    drag->fonts = tb_paint_measurer_new();
    /* the first answer reads the scan, and all is new */
    good = open_bay(drag, path, folder) && step(drag, -0.01, took);
    for (int i = 0; i < STEPS && good; i++) {
        good = step(drag, (double)i / (STEPS - 1), took);
        for (int part = 0; part < PARTS; part++)
            drag->took[part][i] = took[part];
    }
    if (good) {
        rate = fmin(rate_of(drag, WORKER), rate_of(drag, PAINTER));
        bench_note("%s: %zu different results of %d, a second: worker %.1f, pictures %.1f, one "
                   "thread for all %.1f",
                   name, drag->different, STEPS, rate_of(drag, WORKER), rate_of(drag, PAINTER),
                   rate_of(drag, WHOLE));
        tell(drag, name);
    } else {
        bench_note("%s: %s", name, drag->fault.text);
    }
    tb_shown_unref(drag->shown);
    tb_study_free(drag->study);
    tb_bay_unref(drag->bay);
    tb_paint_measurer_free(drag->fonts);
    g_free(drag);
    return rate;
}

int
main(int argc, char **argv)
{
    double worst = INFINITY;
    bool failed = false;

    tb_mem_keep(); /* as the program does */
    if (argc != 4)
        return bench_miss("drag", "no examples given");
    for (int i = 0; i < EXAMPLES; i++) {
        g_autofree char *folder = g_path_get_dirname(argv[3]);
        g_autofree char *besides = g_strdup_printf("%s, " BESIDES, rows[i].id);
        double rate = run(&examples[i], rows[i].id, NULL, argv[1 + i], folder);

        run(&examples[i], besides, BESIDES, argv[1 + i], folder);

        failed |= bench_result_of(&rows[i], rate);
        worst = fmin(worst, rate / rows[i].must);
    }
    return bench_result("drag", worst) | failed;
}
