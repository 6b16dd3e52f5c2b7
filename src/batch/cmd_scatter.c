/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"
#include "batch/output.h"
#include "draw/paint.h"
#include "draw/scatter_view.h"
#include "gaps/scatter.h"

#include <glib/gi18n.h>
#include <string.h>

/** Whole numbers that a double holds exactly, as a report does. */
#define MOST_SEED ((gint64)1 << 53)

/** "outlet,brake" in either order; the gap with the least margin where there are several. */
static const TbResultGap *
find_gap(const TbJob *job, const TbResults *results, const char *pair)
{
    g_auto(GStrv) ids = g_strsplit(pair, ",", 2);
    g_autofree char *wanted = NULL;
    const TbResultGap *found = NULL;

    if (g_strv_length(ids) != 2) {
        tb_job_complain(_("tightbay-batch scatter: --gap %s, wanted are two items: A,B"), pair);
        return NULL;
    }
    wanted = tb_results_pair(g_strstrip(ids[0]), g_strstrip(ids[1]));
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        g_autofree char *name = tb_results_pair(gap->a, gap->b);

        if (gap->scatter != NULL && strcmp(name, wanted) == 0 &&
            (found == NULL || gap->margin < found->margin))
            found = gap;
    }
    if (found == NULL)
        tb_job_complain(_("%s: no gap of %s at tolerance was judged"), job->file, pair);
    return found;
}

static bool
draw(TbJob *job, const char *pair, const char *out, double dpi)
{
    TbPaintMeasurer *measurer = NULL;
    TbSceneScatter *scene = NULL;
    TbResults *results = NULL;
    const TbResultGap *gap;
    TbPicture picture = {.width = 0};
    TbFault fault = {0};
    bool done = false;

    if (tb_study_judge(job->study, &job->ask, &job->task, &results, &fault) != TB_OK) {
        tb_job_hush(job);
        tb_job_say(job->file, &fault);
        return false;
    }
    tb_job_hush(job);
    gap = find_gap(job, results, pair);
    if (gap != NULL) {
        measurer = tb_paint_measurer_new();
        scene = tb_scene_scatter_new(results, gap, TB_UNIT_MM);
        if (tb_scatter_view(&picture, scene, tb_paint_measurer(measurer), &fault) != TB_OK)
            tb_job_say(job->file, &fault);
        else
            done = tb_output_picture(&picture, out, dpi);
        tb_picture_clear(&picture);
        tb_scene_scatter_free(scene);
        tb_paint_measurer_free(measurer);
    }
    tb_results_unref(results);
    return done;
}

static bool
is_in_range(const char *option, gint64 value, gint64 least, gint64 most)
{
    g_autofree char *given = g_strdup_printf("%" G_GINT64_FORMAT, value);
    g_autofree char *low = g_strdup_printf("%" G_GINT64_FORMAT, least);
    g_autofree char *high = g_strdup_printf("%" G_GINT64_FORMAT, most);

    if (value >= least && value <= most)
        return true;
    tb_job_complain(_("tightbay-batch scatter: %s must be %s to %s, %s is given"), option, low,
                    high, given);
    return false;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    g_autofree char *pair = NULL;
    g_autofree char *out = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    double dpi = TB_OUTPUT_NO_DPI;
    gint64 samples = TB_STUDY_SAMPLES, seed = TB_STUDY_SEED;
    const GOptionEntry entries[] = {
        {"gap", 0, 0, G_OPTION_ARG_STRING, &pair, N_("The two items"), "A,B"},
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &out, N_("Where the drawing goes"),
         "OUT.svg|.pdf|.png"},
        {"dpi", 0, 0, G_OPTION_ARG_DOUBLE, &dpi, N_("Dots an inch of a .png (default: 200)"), "N"},
        {"samples", 0, 0, G_OPTION_ARG_INT64, &samples, N_("Samples of the gap (default: 10000)"),
         "N"},
        {"seed", 0, 0, G_OPTION_ARG_INT64, &seed,
         N_("Which samples: the same seed gives the same ones; without this 1"), "S"},
        {"state", 0, 0, G_OPTION_ARG_STRING, &state,
         N_("In this state (default: the worst at tolerance)"), "S"},
        {"variant", 0, 0, G_OPTION_ARG_STRING, &variant, N_("Of this variant (default: the worst)"),
         "V"},
        G_OPTION_ENTRY_NULL};
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (pair == NULL || out == NULL) {
        tb_job_complain(_("tightbay-batch scatter: --gap and -o are needed"));
        return TB_EXIT_WRONG;
    }
    if (!is_in_range("--samples", samples, 1, TB_SCATTER_SAMPLES_MOST) ||
        !is_in_range("--seed", seed, 0, MOST_SEED))
        return TB_EXIT_WRONG;
    if (!tb_output_check("scatter", out, dpi) || !tb_job_open(&job, argv[1], state, variant))
        return TB_EXIT_WRONG;
    job.ask.samples = (uint64_t)samples;
    job.ask.seed = (uint64_t)seed;
    status = draw(&job, pair, out, dpi) ? TB_EXIT_OK : TB_EXIT_WRONG;
    tb_job_close(&job);
    return status;
}

const TbCommand tb_command_scatter = {
    "scatter",
    "FILE --gap A,B -o OUT.svg|.pdf|.png [--samples N] [--seed S] [--dpi N] [--variant V] [--state "
    "S]",
    N_("Draw what tolerances do to a gap: bars of shares and the histogram of its samples."), run};
