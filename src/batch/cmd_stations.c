/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"
#include "batch/options.h"
#include "study/report.h"

#include <math.h>
#include <string.h>

static int
run(const TbCommand *command, int argc, char **argv)
{
    g_autofree char *item = NULL;
    g_autofree char *out = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    double step = NAN;
    const GOptionEntry entries[] = {
        TB_OPTION_ITEM(&item),
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &out, N_("Where the table goes"), "OUT.csv"},
        {"step", 0, 0, G_OPTION_ARG_DOUBLE, &step, N_("Distance of the rows in mm (default: 5)"),
         "MM"},
        TB_OPTION_STATE(&state),
        TB_OPTION_VARIANT(&variant),
        G_OPTION_ENTRY_NULL};
    g_autofree char *csv = NULL;
    TbFault fault = {0};
    TbStatus made;
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (!tb_options_have("stations", "--item", item, out))
        return TB_EXIT_WRONG;
    if (!isnan(step) && !(step >= 0.1 && step <= 1000)) {
        tb_job_complain(_("tightbay-batch stations: --step %g, 0.1 to 1000 mm can be asked"), step);
        return TB_EXIT_WRONG;
    }
    if (!tb_job_open(&job, argv[1], state, variant))
        return TB_EXIT_WRONG;
    job.ask.station_step = isnan(step) ? 0 : step;
    made = tb_study_stations(job.study, &job.ask, item, &csv, &fault);
    status = TB_EXIT_WRONG;
    if (tb_job_answered(&job, made, &fault) && tb_job_write(out, csv, strlen(csv)))
        status = TB_EXIT_OK;
    tb_job_close(&job);
    return status;
}

const TbCommand tb_command_stations = {
    "stations", "FILE --item ID -o OUT.csv [--step MM] [--variant V] [--state S]",
    N_("Write the station table of a duct or line."), run};
