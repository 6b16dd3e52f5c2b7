/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/check_keeps.h"
#include "batch/check_table.h"
#include "batch/job.h"
#include "batch/options.h"
#include "gaps/scatter.h"
#include "study/matters.h"
#include "study/report.h"
#include "study/say.h"

#include <string.h>

static void
put_finding(GString *text,
            const TbResults *results,
            const TbFinding *finding,
            TbLengthUnit unit,
            size_t others)
{
    g_autofree char *sentence = tb_say_finding(results, finding, (TbVoice){.unit = unit});

    g_string_append_printf(text, "%-6s %s", tb_say_level(finding->level), sentence);
    if (others > 0 && tb_finding_is_open_gap(finding)) {
        g_string_append(text, "; ");
        g_string_append_printf(text,
                               ngettext("and %zu more gap for the same reason",
                                        "and %zu more gaps for the same reason", others),
                               others);
    } else if (others > 0) {
        g_string_append(text, "; ");
        g_string_append_printf(text,
                               ngettext("and in %zu more state or variant",
                                        "and in %zu more states or variants", others),
                               others);
    }
    g_string_append_c(text, '\n');
}

/** Each matter that does not simply hold once, where it is worst. */
static void
put_matters(GString *text, const TbResults *results, TbLengthUnit unit)
{
    TbMatters *matters = tb_matters_new(&(TbMatterAsk){.whole = results});

    for (size_t i = 0; i < matters->count; i++)
        if (matters->matters[i].worst->level != TB_LEVEL_HOLDS)
            put_finding(text, results, matters->matters[i].worst, unit, matters->matters[i].others);
    tb_matters_free(matters);
}

static int
in_order(const void *left, const void *right)
{
    return tb_finding_order(*(TbFinding *const *)left, *(TbFinding *const *)right);
}

static void
put_every_finding(GString *text, const TbResults *results, TbLengthUnit unit)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();

    for (size_t i = 0; i < results->finding_count; i++)
        g_ptr_array_add(all, &results->findings[i]);
    g_ptr_array_sort(all, in_order); /* stable */
    for (guint i = 0; i < all->len; i++)
        put_finding(text, results, all->pdata[i], unit, 0);
}

static size_t
count_level(const TbResults *results, TbLevel level)
{
    size_t count = 0;

    for (size_t i = 0; i < results->finding_count; i++)
        count += results->findings[i].level == level;
    return count;
}

/** What the study left out; the reader's warnings, which come first, are on standard error. */
static void
put_notes(GString *text, const TbResults *results, size_t told)
{
    for (size_t i = told; i < results->warning_count; i++)
        g_string_append_printf(text, "%-6s %s\n", _("note"), results->warnings[i]);
}

/** How often tolerances were sampled: the same numbers give the same answer. What changes its shape
 * along a motion is not sampled, and its worst case not certified. */
static void
put_samples(GString *text, const TbResults *results)
{
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultScatter *scatter = results->gaps[i].scatter;

        if (scatter == NULL || scatter->samples == 0 || !results->gaps[i].gap.certified)
            continue;
        g_string_append_printf(text, "%-6s ", _("note"));
        g_string_append_printf(
            text,
            _("tolerances: %zu samples of every gap that can be sampled, seed %zu; of these the "
              "certified worst case decides"),
            (size_t)scatter->samples, (size_t)scatter->seed);
        g_string_append_c(text, '\n');
        return;
    }
}

static GString *
findings_text(const TbJob *job, const TbResults *results, bool all)
{
    TbLengthUnit unit = job->ask.unit;
    GString *text = g_string_new(NULL);

    g_string_append_printf(text, _("%s, revision %s"), results->bay,
                           results->revision[0] != '\0' ? results->revision : "-");
    g_string_append(text, "\n\n");
    if (all)
        put_every_finding(text, results, unit);
    else
        put_matters(text, results, unit);
    put_notes(text, results, job->bay->warning_count);
    put_samples(text, results);
    if (job->ask.state == NULL && job->ask.variant == NULL)
        tb_check_keeps(text, job->bay, results);
    g_string_append(text, "\n");
    g_string_append_printf(
        text, _("%zu results: %zu hold, %zu to watch, %zu short, %zu not judged"),
        results->finding_count, count_level(results, TB_LEVEL_HOLDS),
        count_level(results, TB_LEVEL_WATCH), count_level(results, TB_LEVEL_SHORT),
        count_level(results, TB_LEVEL_OPEN));
    g_string_append_printf(text, "\n%s\n", tb_say_caution(false));
    return text;
}

/** What could not even be built or read belongs on standard error too. */
static void
complain(const TbJob *job, const TbResults *results)
{
    for (size_t i = 0; i < results->finding_count; i++) {
        const TbFinding *finding = &results->findings[i];
        g_autofree char *sentence = NULL;

        if (finding->level != TB_LEVEL_OPEN ||
            (strcmp(finding->rule, "shape") != 0 && strcmp(finding->rule, "scan") != 0))
            continue;
        sentence = tb_say_finding(results, finding, (TbVoice){.unit = job->ask.unit});
        tb_job_complain("%s: %s", job->file, sentence);
    }
}

/** 1 for anything short, 2 for anything asked that could not be judged, else 0. */
static int
status_of(const TbResults *results)
{
    if (count_level(results, TB_LEVEL_SHORT) > 0)
        return TB_EXIT_SHORT;
    return count_level(results, TB_LEVEL_OPEN) > 0 ? TB_EXIT_WRONG : TB_EXIT_OK;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    g_autofree char *json = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    gboolean all = FALSE, table = FALSE;
    gint64 samples = TB_STUDY_SAMPLES, seed = TB_STUDY_SEED;
    const GOptionEntry entries[] = {
        {"json", 0, 0, G_OPTION_ARG_FILENAME, &json, N_("Write the report as JSON"), "OUT"},
        TB_OPTION_STATE_ONLY(&state),
        TB_OPTION_VARIANT_ONLY(&variant),
        {"samples", 0, 0, G_OPTION_ARG_INT64, &samples,
         N_("Samples of every gap at tolerance; 0: worst case only; without this 10000"), "N"},
        TB_OPTION_SEED(&seed),
        {"all", 0, 0, G_OPTION_ARG_NONE, &all,
         N_("List every finding, also what holds and what is alike"), NULL},
        {"table", 0, 0, G_OPTION_ARG_NONE, &table,
         N_("Also all states and variants in one table, with what takes how much of each gap"),
         NULL},
        G_OPTION_ENTRY_NULL};
    TbResults *results = NULL;
    TbFault fault = {0};
    TbStatus judged;
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (!tb_options_is_count("check", "--samples", samples, 0, TB_SCATTER_SAMPLES_MOST) ||
        !tb_options_is_count("check", "--seed", seed, 0, TB_OPTION_SEED_MOST) ||
        !tb_job_open(&job, argv[1], state, variant))
        return TB_EXIT_WRONG;
    job.ask.samples = (uint64_t)samples;
    job.ask.seed = (uint64_t)seed;
    job.ask.profiles = job.ask.motion_profiles = json != NULL;
    job.ask.combine = table;
    judged = tb_study_judge(job.study, &job.ask, &job.task, &results, &fault);
    if (!tb_job_answered(&job, judged, &fault)) {
        tb_job_close(&job);
        return TB_EXIT_WRONG;
    }
    complain(&job, results);
    status = status_of(results);
    if (json != NULL) {
        g_autofree char *report = tb_report_json(results);

        if (!tb_job_write(json, report, strlen(report)))
            status = TB_EXIT_WRONG;
    }
    /* the report may be what standard output is for */
    if (json == NULL || strcmp(json, "-") != 0) {
        TbVoice voice = {.unit = job.ask.unit};
        GString *text = findings_text(&job, results, all);

        if (table)
            tb_check_table(text, results, voice, all);
        if (!tb_job_write("-", text->str, text->len))
            status = TB_EXIT_WRONG;
        g_string_free(text, TRUE);
    }
    tb_results_unref(results);
    tb_job_close(&job);
    return status;
}

const TbCommand tb_command_check = {"check",
                                    "FILE [--json OUT] [--variant V] [--state S] [--all] [--table] "
                                    "[--samples N] [--seed S]",
                                    N_("Judge a bay and print the findings."), run};
