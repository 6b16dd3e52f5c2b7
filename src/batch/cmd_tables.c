/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"
#include "batch/options.h"
#include "study/report.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>

/** The tables there are, in the order in which they are written. */
static const struct {
    const char *name; /**< of the option, and of the file in a folder */
    char *(*make)(const TbResults *results);
} tables[] = {
    {"gaps", tb_report_gaps_csv},
    {"profiles", tb_report_profiles_csv},
    {"findings", tb_report_findings_csv},
    {"stations", tb_report_all_stations_csv},
};

enum { PROFILES = 1 };

static bool
write_table(const TbResults *results, size_t table, const char *path)
{
    g_autofree char *csv = tables[table].make(results);

    return tb_job_write(path, csv, strlen(csv));
}

/** All tables that are wanted, each under its name in a folder, which is made where it is missing.
 */
static bool
write_folder(const TbResults *results, const gboolean wanted[], const char *folder)
{
    if (g_mkdir_with_parents(folder, 0777) != 0) {
        tb_job_complain(_("%s cannot be made: %s"), folder, g_strerror(errno));
        return false;
    }
    for (size_t i = 0; i < G_N_ELEMENTS(tables); i++) {
        g_autofree char *name = g_strdup_printf("%s.csv", tables[i].name);
        g_autofree char *path = g_build_filename(folder, name, NULL);

        if (wanted[i] && !write_table(results, i, path))
            return false;
    }
    return true;
}

static bool
write_out(const TbResults *results, const gboolean wanted[], const char *out, const char *folder)
{
    if (folder != NULL)
        return write_folder(results, wanted, folder);
    for (size_t i = 0; i < G_N_ELEMENTS(tables); i++)
        if (wanted[i])
            return write_table(results, i, out);
    return false;
}

/** One table into one file, or any into a folder; none named there means all. */
static bool
is_call_right(gboolean wanted[], const char *out, const char *folder)
{
    size_t count = 0;

    for (size_t i = 0; i < G_N_ELEMENTS(tables); i++)
        count += wanted[i];
    if ((out == NULL) == (folder == NULL)) {
        tb_job_complain(_("tightbay-batch tables: either -o or --folder is needed"));
        return false;
    }
    if (out != NULL && count != 1) {
        tb_job_complain(_("tightbay-batch tables: -o takes one of --gaps, --profiles, --findings, "
                          "--stations, and %zu are given"),
                        count);
        return false;
    }
    for (size_t i = 0; count == 0 && i < G_N_ELEMENTS(tables); i++)
        wanted[i] = TRUE;
    return true;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    gboolean wanted[G_N_ELEMENTS(tables)] = {FALSE};
    g_autofree char *out = NULL;
    g_autofree char *folder = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    const GOptionEntry entries[] = {
        {"gaps", 0, 0, G_OPTION_ARG_NONE, &wanted[0],
         N_("Every pair in every state and variant: gap, keep, level, where"), NULL},
        {"profiles", 0, 0, G_OPTION_ARG_NONE, &wanted[PROFILES],
         N_("Gaps along ducts and lines, station by station"), NULL},
        {"findings", 0, 0, G_OPTION_ARG_NONE, &wanted[2], N_("Findings, with sentences in English"),
         NULL},
        {"stations", 0, 0, G_OPTION_ARG_NONE, &wanted[3],
         N_("Station tables of all ducts and lines"), NULL},
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &out, N_("Where one table goes"), "OUT.csv"},
        {"folder", 0, 0, G_OPTION_ARG_FILENAME, &folder,
         N_("Where several go, each as NAME.csv; all of them if none is named"), "DIR"},
        TB_OPTION_STATE_ONLY(&state),
        TB_OPTION_VARIANT_ONLY(&variant),
        G_OPTION_ENTRY_NULL};
    TbResults *results = NULL;
    TbFault fault = {0};
    TbStatus judged;
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (!is_call_right(wanted, out, folder) || !tb_job_open(&job, argv[1], state, variant))
        return TB_EXIT_WRONG;
    job.ask.profiles = job.ask.motion_profiles = wanted[PROFILES];
    judged = tb_study_judge(job.study, &job.ask, &job.task, &results, &fault);
    status = TB_EXIT_WRONG;
    if (tb_job_answered(&job, judged, &fault) && write_out(results, wanted, out, folder))
        status = TB_EXIT_OK;
    tb_results_unref(results);
    tb_job_close(&job);
    return status;
}

const TbCommand tb_command_tables = {
    "tables",
    "FILE --gaps | --profiles | --findings | --stations -o OUT.csv | --folder DIR "
    "[--variant V] [--state S]",
    N_("Write gaps, profiles, findings or station tables for a spreadsheet."), run};
