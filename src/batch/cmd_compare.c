/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"
#include "batch/options.h"
#include "study/report.h"

#include <string.h>

static TbResults *
judge(const char *file, const char *state, const char *variant, TbLengthUnit *unit)
{
    TbResults *results = NULL;
    TbFault fault = {0};
    TbStatus status;
    TbJob job;

    if (!tb_job_open(&job, file, state, variant))
        return NULL;
    *unit = job.ask.unit;
    status = tb_study_judge(job.study, &job.ask, &job.task, &results, &fault);
    tb_job_answered(&job, status, &fault);
    tb_job_close(&job);
    return results;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    g_autofree char *json = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    const GOptionEntry entries[] = {
        {"json", 0, 0, G_OPTION_ARG_FILENAME, &json, N_("Write the changes as JSON"), "OUT"},
        TB_OPTION_STATE_ONLY(&state),
        TB_OPTION_VARIANT_ONLY(&variant),
        G_OPTION_ENTRY_NULL};
    TbLengthUnit unit = TB_UNIT_MM;
    TbResults *before, *after;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 2, 2, &status))
        return status;
    before = judge(argv[1], state, variant, &unit);
    /* told in the new one's unit */
    after = before != NULL ? judge(argv[2], state, variant, &unit) : NULL;
    status = TB_EXIT_WRONG;
    if (after != NULL) {
        status = TB_EXIT_OK;
        if (json != NULL) {
            g_autofree char *report = tb_report_compare_json(before, after);

            if (!tb_job_write(json, report, strlen(report)))
                status = TB_EXIT_WRONG;
        }
        if (json == NULL || strcmp(json, "-") != 0) {
            g_autofree char *text = tb_report_compare_text(before, after, unit);

            if (!tb_job_write("-", text, strlen(text)))
                status = TB_EXIT_WRONG;
        }
    }
    tb_results_unref(before);
    tb_results_unref(after);
    return status;
}

const TbCommand tb_command_compare = {"compare", "OLD NEW [--json OUT] [--variant V] [--state S]",
                                      N_("Tell what changed between two bays: items, areas, gaps, "
                                         "findings."),
                                      run};
