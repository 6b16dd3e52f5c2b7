/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/options.h"
#include "batch/output.h"
#include "draw/charts.h"

/** The names of a strip's charts, with commas; freed by the caller. */
static char *
names_of(const TbSceneStrip *strip)
{
    GString *names = g_string_new(NULL);

    for (size_t i = 0; i < strip->chart_count; i++)
        g_string_append_printf(names, "%s%s", i == 0 ? "" : ", ", strip->charts[i].name);
    return g_string_free(names, FALSE);
}

/**
 * The strip with only the charts that are named, in the order of the names.
 *
 * @param charts room for one of each name; lent to the strip
 */
static bool
choose(const TbJob *job, TbSceneStrip *strip, char *const *names, TbSceneChart charts[])
{
    size_t count = 0;

    for (; names[count] != NULL; count++) {
        const TbSceneChart *chart = tb_scene_strip_chart(strip, names[count]);

        if (chart == NULL) {
            g_autofree char *known = names_of(strip);

            tb_job_complain(_("%s: no chart %s of %s, there are: %s"), job->file, names[count],
                            strip->item, known);
            return false;
        }
        charts[count] = *chart;
    }
    strip->charts = charts;
    strip->chart_count = count;
    /* the notes tell what the gaps' curves do not show */
    if (tb_scene_strip_chart(strip, "gap") == NULL)
        strip->note_count = 0;
    return true;
}

static TbStatus
draw_strip(TbPicture *picture, const void *data, TbMeasurer measurer, TbFault *fault)
{
    return tb_charts_view(picture, data, measurer, fault);
}

/** @param names charts, or NULL: all */
static bool
draw(TbJob *job, const char *item, char *const *names, const char *out, double dpi)
{
    g_autofree TbSceneChart *charts = NULL;
    TbSceneStrip *strip = NULL;
    TbSceneStrip chosen;
    TbFault fault = {0};
    TbStatus status;
    bool done;

    status = tb_study_strip(job->study, &job->ask, item, &job->task, &strip, &fault);
    if (!tb_job_answered(job, status, &fault))
        return false;
    chosen = *strip;
    charts = g_new(TbSceneChart, names == NULL ? 1 : g_strv_length((char **)names) + 1);
    done = (names == NULL || choose(job, &chosen, names, charts)) &&
           tb_output_drawing(job, draw_strip, &chosen, out, dpi);
    tb_scene_strip_unref(strip);
    return done;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    g_autofree char *item = NULL;
    g_auto(GStrv) charts = NULL;
    double dpi = TB_OUTPUT_NO_DPI;
    g_autofree char *out = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    const GOptionEntry entries[] = {
        TB_OPTION_ITEM(&item),
        TB_OPTION_DRAWING(&out),
        {"chart", 0, 0, G_OPTION_ARG_STRING_ARRAY, &charts,
         N_("Only this chart: area, cone, gap, gap-map, bend; may be given more than once"),
         "NAME"},
        TB_OPTION_DPI(&dpi),
        TB_OPTION_STATE(&state),
        TB_OPTION_VARIANT(&variant),
        G_OPTION_ENTRY_NULL};
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (!tb_options_have("curve", "--item", item, out) || !tb_output_check("curve", out, dpi) ||
        !tb_job_open(&job, argv[1], state, variant))
        return TB_EXIT_WRONG;
    status = draw(&job, item, charts, out, dpi) ? TB_EXIT_OK : TB_EXIT_WRONG;
    tb_job_close(&job);
    return status;
}

const TbCommand tb_command_curve = {
    "curve",
    "FILE --item ID -o OUT.svg|.pdf|.png [--chart NAME ...] [--dpi N] [--variant V] [--state S]",
    N_("Draw area, growth, gaps, gap map and bends along a duct or line."), run};
