/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/options.h"
#include "batch/output.h"
#include "draw/scatter_view.h"
#include "gaps/scatter.h"
#include "study/states.h"

#include <string.h>

static void
add_name(GString *names, const char *name)
{
    g_string_append_printf(names, "%s%s", names->len == 0 ? "" : ", ", name);
}

/** Says it where a name is of no item. */
static bool
is_item(const TbJob *job, const TbResults *results, const char *id)
{
    g_autoptr(GString) names = g_string_new(NULL);

    if (tb_results_item(results, id) != NULL)
        return true;
    for (size_t i = 0; i < results->item_count; i++)
        add_name(names, results->items[i].id);
    tb_job_complain(_("%s: there is no item %s; there are: %s"), job->file, id, names->str);
    return false;
}

/** The states with tolerances of those that a text asks for; NULL: of all. */
static GString *
states_of(const TbJob *job, const char *text)
{
    GString *names = g_string_new(NULL);
    GPtrArray *conditions = NULL;
    TbFault fault = {0};

    if (tb_states_asked(job->bay, text, &conditions, &fault) != TB_OK)
        return names;
    for (guint i = 0; i < conditions->len; i++) {
        const TbCondition *condition = conditions->pdata[i];

        if (condition->scatters)
            add_name(names, condition->id);
    }
    g_ptr_array_unref(conditions);
    return names;
}

/** What is wrong where the two items have no gap with tolerances. */
static void
complain_of_pair(const TbJob *job, const char *pair)
{
    g_autoptr(GString) asked = states_of(job, job->ask.state);
    g_autoptr(GString) known = states_of(job, NULL);

    if (known->len == 0)
        tb_job_complain(_("%s: no state of this bay has tolerances"), job->file);
    else if (asked->len == 0)
        tb_job_complain(_("%s: state %s has no tolerances; these have: %s"), job->file,
                        job->ask.state, known->str);
    else
        tb_job_complain(_("%s: no gap of %s at tolerance was judged"), job->file, pair);
}

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
    if (!is_item(job, results, g_strstrip(ids[0])) || !is_item(job, results, g_strstrip(ids[1])))
        return NULL;
    wanted = tb_results_pair(ids[0], ids[1]);
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        g_autofree char *name = tb_results_pair(gap->a, gap->b);

        if (gap->scatter != NULL && strcmp(name, wanted) == 0 &&
            (found == NULL || gap->margin < found->margin))
            found = gap;
    }
    if (found == NULL)
        complain_of_pair(job, pair);
    return found;
}

static TbStatus
draw_scatter(TbPicture *picture, const void *data, TbMeasurer measurer, TbFault *fault)
{
    return tb_scatter_view(picture, data, measurer, fault);
}

static bool
draw(TbJob *job, const char *pair, const char *out, double dpi)
{
    TbResults *results = NULL;
    const TbResultGap *gap;
    TbFault fault = {0};
    TbStatus status = tb_study_judge(job->study, &job->ask, &job->task, &results, &fault);
    bool done = false;

    if (!tb_job_answered(job, status, &fault))
        return false;
    gap = find_gap(job, results, pair);
    if (gap != NULL) {
        TbSceneScatter *scene = tb_scene_scatter_new(results, gap, TB_UNIT_MM);

        done = tb_output_drawing(job, draw_scatter, scene, out, dpi);
        tb_scene_scatter_free(scene);
    }
    tb_results_unref(results);
    return done;
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
        TB_OPTION_DRAWING(&out),
        TB_OPTION_DPI(&dpi),
        {"samples", 0, 0, G_OPTION_ARG_INT64, &samples, N_("Samples of the gap (default: 10000)"),
         "N"},
        TB_OPTION_SEED(&seed),
        {"state", 0, 0, G_OPTION_ARG_STRING, &state,
         N_("In this state (default: the worst at tolerance)"), "S"},
        {"variant", 0, 0, G_OPTION_ARG_STRING, &variant, N_("Of this variant (default: the worst)"),
         "V"},
        G_OPTION_ENTRY_NULL};
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (!tb_options_have("scatter", "--gap", pair, out) ||
        !tb_options_is_count("scatter", "--samples", samples, 1, TB_SCATTER_SAMPLES_MOST) ||
        !tb_options_is_count("scatter", "--seed", seed, 0, TB_OPTION_SEED_MOST) ||
        !tb_output_check("scatter", out, dpi) || !tb_job_open(&job, argv[1], state, variant))
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
