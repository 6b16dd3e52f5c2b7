/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"
#include "batch/output.h"
#include "draw/charts.h"
#include "draw/paint.h"

#include <glib/gi18n.h>

static bool
draw(TbJob *job, const char *item, const char *out)
{
    TbPaintMeasurer *measurer = NULL;
    TbSceneStrip *strip = NULL;
    TbPicture picture;
    TbFault fault = {0};
    bool done = false;

    if (tb_study_strip(job->study, &job->ask, item, &job->task, &strip, &fault) != TB_OK) {
        tb_job_hush(job);
        tb_job_say(job->file, &fault);
        return false;
    }
    tb_job_hush(job);
    measurer = tb_paint_measurer_new();
    if (tb_charts_view(&picture, strip, tb_paint_measurer(measurer), &fault) != TB_OK)
        tb_job_say(job->file, &fault);
    else
        done = tb_output_picture(&picture, out);
    tb_picture_clear(&picture);
    tb_paint_measurer_free(measurer);
    tb_scene_strip_unref(strip);
    return done;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    g_autofree char *item = NULL;
    g_autofree char *out = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    const GOptionEntry entries[] = {
        {"item", 0, 0, G_OPTION_ARG_STRING, &item, N_("The duct or line"), "ID"},
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &out, N_("Where the drawing goes"),
         "OUT.svg|.pdf|.png"},
        {"state", 0, 0, G_OPTION_ARG_STRING, &state, N_("In this state (default: cold)"), "S"},
        {"variant", 0, 0, G_OPTION_ARG_STRING, &variant, N_("Of this variant (default: the first)"),
         "V"},
        G_OPTION_ENTRY_NULL};
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (item == NULL || out == NULL) {
        tb_job_complain(_("tightbay-batch curve: --item and -o are needed"));
        return TB_EXIT_WRONG;
    }
    if (tb_output_format("curve", out) == TB_EXPORT_UNKNOWN ||
        !tb_job_open(&job, argv[1], state, variant))
        return TB_EXIT_WRONG;
    status = draw(&job, item, out) ? TB_EXIT_OK : TB_EXIT_WRONG;
    tb_job_close(&job);
    return status;
}

const TbCommand tb_command_curve = {
    "curve", "FILE --item ID -o OUT.svg|.pdf|.png [--variant V] [--state S]",
    N_("Draw area, growth, gaps, gap map and bends along a duct or line."), run};
