/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"
#include "study/report.h"

#include <glib/gi18n.h>
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
        {"item", 0, 0, G_OPTION_ARG_STRING, &item, N_("The duct or line"), "ID"},
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &out, N_("Where the table goes"), "OUT.csv"},
        {"step", 0, 0, G_OPTION_ARG_DOUBLE, &step, N_("Distance of the rows in mm (default: 5)"),
         "MM"},
        {"state", 0, 0, G_OPTION_ARG_STRING, &state, N_("In this state (default: cold)"), "S"},
        {"variant", 0, 0, G_OPTION_ARG_STRING, &variant, N_("Of this variant (default: the first)"),
         "V"},
        G_OPTION_ENTRY_NULL};
    g_autofree char *csv = NULL;
    TbFault fault = {0};
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (item == NULL || out == NULL) {
        tb_job_complain(_("tightbay-batch stations: --item and -o are needed"));
        return TB_EXIT_WRONG;
    }
    if (!isnan(step) && !(step >= 0.1 && step <= 1000)) {
        tb_job_complain(_("tightbay-batch stations: --step %g, 0.1 to 1000 mm can be asked"), step);
        return TB_EXIT_WRONG;
    }
    if (!tb_job_open(&job, argv[1], state, variant))
        return TB_EXIT_WRONG;
    job.ask.station_step = isnan(step) ? 0 : step;
    if (tb_study_stations(job.study, &job.ask, item, &csv, &fault) != TB_OK) {
        tb_job_hush(&job);
        tb_job_say(job.file, &fault);
        status = TB_EXIT_WRONG;
    } else {
        status = tb_job_write(out, csv, strlen(csv)) ? TB_EXIT_OK : TB_EXIT_WRONG;
    }
    tb_job_close(&job);
    return status;
}

const TbCommand tb_command_stations = {
    "stations", "FILE --item ID -o OUT.csv [--step MM] [--variant V] [--state S]",
    N_("Write the station table of a duct or line."), run};
