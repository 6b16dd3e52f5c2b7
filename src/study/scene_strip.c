/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/strip_build.h"

#include "study/say.h"
#include "study/study.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* ---- the list: a new chart is a new line here ---- */

/* clang-format off */
static const TbChartKind kinds[] = {
    /* name      title             quantity            findings        decimals, zero matters, which paths, what is computed, filled by */
    {"area",    N_("Area"),       TB_QUANTITY_AREA, {"area-shrinks"}, 0, true, tb_strip_has_sections, NULL, tb_strip_fill_area},
    {"cone",    N_("Cone angle"), TB_QUANTITY_ANGLE, {"growth", "smooth-growth"}, 1, true, tb_strip_has_sections, NULL, tb_strip_fill_cone},
    {"gap",     N_("Gap"),        TB_QUANTITY_LENGTH,  {NULL}, 1, true, tb_strip_has_neighbours, tb_strip_promise_gaps, tb_strip_fill_gaps},
    {"gap-map", N_("Gap map"),    TB_QUANTITY_ANGLE, {NULL}, 0, false, tb_strip_has_neighbours, tb_strip_promise_map, tb_strip_fill_map},
    {"bend",    N_("Bend"),       TB_QUANTITY_BEND, {"fold", "smooth-bend", "bend-radius"}, 1, true, NULL, tb_strip_promise_path, tb_strip_fill_bend},
};
/* clang-format on */

/* ---- parts of charts ---- */

TbSceneCurve *
tb_strip_add_curve(TbSceneChart *chart, const char *tag, const char *label, size_t count)
{
    TbSceneCurve *curve;

    chart->curves = g_renew(TbSceneCurve, chart->curves, chart->curve_count + 1);
    curve = &chart->curves[chart->curve_count++];
    *curve = (TbSceneCurve){.tag = g_strdup(tag),
                            .label = g_strdup(label),
                            .name = g_strdup(label),
                            .keep = NAN,
                            .station = g_new0(double, count),
                            .value = g_new0(double, count),
                            .count = count};
    return curve;
}

void
tb_strip_add_limit(TbSceneChart *chart, double value, char *label, const char *tag)
{
    chart->limits = g_renew(TbSceneLimit, chart->limits, chart->limit_count + 1);
    chart->limits[chart->limit_count++] =
        (TbSceneLimit){.value = value, .label = label, .tag = g_strdup(tag)};
}

void
tb_strip_add_band(
    TbSceneChart *chart, double from, double to, TbLevel level, char *text, const char *finding)
{
    chart->bands = g_renew(TbSceneBand, chart->bands, chart->band_count + 1);
    chart->bands[chart->band_count++] = (TbSceneBand){
        .from = from, .to = to, .level = level, .text = text, .finding = g_strdup(finding)};
}

/* ---- findings ---- */

/* A check's findings are called after it, or begin with its name. */
static bool
is_wanted(const char *check)
{
    if (strcmp(check, "gap") == 0)
        return true;
    for (size_t i = 0; i < G_N_ELEMENTS(kinds); i++)
        for (size_t k = 0; k < G_N_ELEMENTS(kinds[i].rules) && kinds[i].rules[k] != NULL; k++)
            if (g_str_has_prefix(kinds[i].rules[k], check))
                return true;
    return false;
}

static TbResults *
findings_of(const TbCase *theirs)
{
    TbResults *results = tb_results_new(NULL, NULL);

    for (size_t i = 0; i < theirs->stands[0].stand->count; i++) {
        const TbPlaced *placed = &theirs->stands[0].stand->items[i];
        TbResultItem *item = tb_results_add_item(results);

        tb_results_set_text(results, &item->id, placed->id);
        tb_results_set_text(results, &item->name, tb_placed_name(placed));
    }
    for (size_t i = 0; i < tb_check_count; i++)
        if (is_wanted(tb_checks[i].name))
            tb_checks[i].run(theirs, results);
    return results;
}

/* The strip is about one path: its name before a sentence is left out. */
static char *
say_here(const TbAlong *strip, const TbFinding *finding)
{
    g_autofree char *text = tb_say_finding(strip->results, finding, (TbVoice){.unit = strip->unit});
    g_autofree char *name = g_strdup_printf("%s: ", tb_placed_name(strip->placed));

    return g_strdup(g_str_has_prefix(text, name) ? text + strlen(name) : text);
}

/* A few words by rule: value and limit. */
static char *
say_briefly(const TbFinding *finding, TbLengthUnit unit)
{
    TbVoice voice = {.unit = unit};
    g_autofree char *value = tb_voice_value(voice, finding->value, finding->unit, 1);
    g_autofree char *limit = tb_voice_value(voice, finding->limit, finding->unit, 1);

    if (strcmp(finding->rule, "area-shrinks") == 0)
        return g_strdup_printf(_("falls by %s %%"), value);
    if (strcmp(finding->rule, "growth") == 0)
        return g_strdup_printf(_("cone %s, limit %s"), value, limit);
    if (strcmp(finding->rule, "bend-radius") == 0)
        return g_strdup_printf(_("radius %s, least %s"), value, limit);
    if (strcmp(finding->rule, "fold") == 0)
        return g_strdup(finding->level == TB_LEVEL_SHORT ? _("folds") : _("nearly folds"));
    return g_strdup_printf(_("changes by %s, limit %s"), value, limit);
}

/* Findings of a rule that do not hold, as bands with their sentence. */
static void
add_finding_bands(const TbAlong *strip, TbSceneChart *chart, const char *rule)
{
    for (size_t i = 0; i < strip->results->finding_count; i++) {
        const TbFinding *finding = &strip->results->findings[i];

        if (strcmp(finding->rule, rule) != 0 ||
            strcmp(finding->place.item, strip->placed->id) != 0 ||
            finding->level == TB_LEVEL_HOLDS || isnan(finding->place.from))
            continue;
        tb_strip_add_band(chart, finding->place.from, finding->place.to, finding->level,
                          say_here(strip, finding), finding->id);
        chart->bands[chart->band_count - 1].brief = say_briefly(finding, strip->unit);
    }
}

/* ---- the whole ---- */

static void
add_named(TbSceneStrip *strip, const TbStation *stations, size_t count)
{
    strip->named = g_new0(char *, count + 1);
    strip->named_at = g_new0(double, count + 1);
    strip->named_count = count;
    for (size_t i = 0; i < count; i++) {
        strip->named[i] = g_strdup(stations[i].name);
        strip->named_at[i] = stations[i].from_end ? strip->length - stations[i].at : stations[i].at;
    }
}

static void
set_head(const TbAlong *strip)
{
    const TbPlaced *placed = strip->placed;

    strip->strip->item = g_strdup(placed->id);
    strip->strip->name = g_strdup(tb_placed_name(placed));
    strip->strip->unit = strip->unit;
    /* Translators: under a chart: stations along a path, their unit */
    strip->strip->axis_title = g_strdup_printf(_("station %s"), tb_length_unit_name(strip->unit));
    strip->strip->title = g_strdup_printf(_("%s, along the path"), tb_placed_name(placed));
    strip->strip->subtitle = tb_scene_subtitle(strip->stand, strip->told->stand->condition->name);
    strip->strip->caution = g_strdup(tb_say_caution(false));
    strip->strip->length = tb_sweep_length(tb_placed_drawn(placed)->sweep);
    strip->strip->charts = g_new0(TbSceneChart, G_N_ELEMENTS(kinds));
    if (placed->item->kind == TB_ITEM_DUCT)
        add_named(strip->strip, tb_item_duct(placed->item)->stations,
                  tb_item_duct(placed->item)->station_count);
    else
        add_named(strip->strip, tb_item_line(placed->item)->stations,
                  tb_item_line(placed->item)->station_count);
}

static bool
suits(const TbAlong *strip, const TbChartKind *kind)
{
    return kind->suits == NULL || kind->suits(strip);
}

/* Everything that the charts draw: promised in two rounds, each settled at once. */
static TbStatus
compute(TbAlong *strip, TbTask *task, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (int round = 0; round < 2 && status == TB_OK; round++) {
        for (size_t i = 0; i < G_N_ELEMENTS(kinds); i++)
            if (kinds[i].promise != NULL && suits(strip, &kinds[i]))
                kinds[i].promise(strip, round);
        status = tb_cache_settle(strip->study->cache, strip->study->work, task, fault);
    }
    return status;
}

/* What it is of, where the state says more than what is drawn: the chart's name does not leave that
 * open. Of the path itself it is as made in every state. NULL: nothing need be said. */
static const char *
what_of(const TbAlong *strip, const TbChartKind *kind)
{
    const TbCondition *condition = strip->told->stand->condition;

    if (kind->promise != tb_strip_promise_gaps && kind->promise != tb_strip_promise_map)
        return strip->stand->condition->hot != NULL ? _("as made, cold") : NULL;
    if (strip->told != strip->in)
        return condition->scatters ? _("worst of motion and tolerance")
                                   : _("least over the motion");
    if (strip->ask->moving != NULL)
        return _("at rest");
    if (condition->scatters)
        return strip->ask->coarse ? _("nominal parts") : _("at tolerance, worst case");
    if (condition->hot != NULL && strip->ask->pose == NULL)
        return strip->ask->coarse ? _("at full heat") : _("least from cold to hot");
    return NULL;
}

static TbStatus
add_chart(const TbAlong *strip, const TbChartKind *kind, TbFault *fault)
{
    TbSceneChart *chart = &strip->strip->charts[strip->strip->chart_count++];
    TbStatus status;

    chart->name = kind->name;
    chart->head = g_strdup(_(kind->title));
    chart->of = g_strdup(what_of(strip, kind));
    chart->title = chart->of == NULL ? g_strdup(chart->head)
                                     : g_strdup_printf("%s, %s", chart->head, chart->of);
    chart->quantity = kind->quantity;
    chart->unit = g_strdup(tb_quantity_unit(kind->quantity, strip->unit));
    chart->decimals = kind->decimals;
    chart->zero_matters = kind->zero_matters;
    chart->ceiling = NAN;
    status = kind->fill(strip, chart, fault);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < G_N_ELEMENTS(kind->rules) && kind->rules[i] != NULL; i++)
        add_finding_bands(strip, chart, kind->rules[i]);
    chart->summary = tb_strip_say(strip->strip, chart);
    return TB_OK;
}

static TbStatus
fill(TbAlong *strip, const char *item, TbTask *task, TbFault *fault)
{
    TbStatus status = tb_stand_want(strip->stand, item, &strip->item, fault);

    if (status != TB_OK)
        return status;
    strip->placed = &strip->stand->items[strip->item];
    if (tb_placed_form(strip->placed)->sweep == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "item %s has no path to draw curves along", item);
    strip->near = tb_strip_find_neighbours(strip);
    status = compute(strip, task, fault);
    if (status == TB_OK)
        set_head(strip);
    for (size_t i = 0; i < G_N_ELEMENTS(kinds) && status == TB_OK; i++)
        if (suits(strip, &kinds[i]))
            status = add_chart(strip, &kinds[i], fault);
    if (status == TB_OK)
        tb_strip_note_rings(strip);
    return status;
}

/* The state whose motion a settled drawing at rest stands for; NULL: there is none, or while
 * something is dragged. */
static TbStatus
motion_of(TbStudy *study,
          const TbAsk *ask,
          const TbCase *theirs,
          TbTask *task,
          TbCase **motion,
          TbFault *fault)
{
    TbAsk moving = *ask;

    *motion = NULL;
    if (ask->moving == NULL || ask->coarse || ask->pose != NULL)
        return TB_OK;
    moving.state = ask->moving;
    moving.moving = NULL;
    if (theirs->stands[0].stand->variant_id[0] != '\0')
        moving.variant = theirs->stands[0].stand->variant_id;
    return tb_case_new(study, &moving, TB_NEEDS_GAPS | TB_NEEDS_FACTS, false, task, motion, fault);
}

TbStatus
tb_case_strip(TbStudy *study,
              const TbAsk *ask,
              const TbCase *theirs,
              TbResults *judged,
              const char *item,
              TbTask *task,
              TbSceneStrip **strip,
              TbFault *fault)
{
    TbCase *motion;
    TbStatus status = motion_of(study, ask, theirs, task, &motion, fault);
    bool moves = status == TB_OK && motion != NULL && motion->count == 1;
    TbResults *results =
        judged != NULL && !moves ? tb_results_ref(judged) : findings_of(moves ? motion : theirs);
    TbAlong made = {.study = study,
                    .ask = ask,
                    .unit = ask->unit,
                    .theirs = theirs,
                    .in = &theirs->stands[0],
                    .told = moves ? &motion->stands[0] : &theirs->stands[0],
                    .stand = theirs->stands[0].stand,
                    .results = results,
                    .strip = g_new0(TbSceneStrip, 1)};

    made.strip->references = 1;
    if (status == TB_OK)
        status = fill(&made, item, task, fault);
    if (status == TB_OK)
        *strip = made.strip;
    else
        tb_scene_strip_unref(made.strip);
    if (made.near != NULL)
        g_array_unref(made.near);
    tb_results_unref(results);
    tb_case_free(motion);
    return status;
}

TbStatus
tb_study_strip(TbStudy *study,
               const TbAsk *ask,
               const char *item,
               TbTask *task,
               TbSceneStrip **strip,
               TbFault *fault)
{
    TbCase *theirs = NULL;
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    g_autofree char *state = NULL;
    TbAsk drawn = tb_ask_at_rest(ask, &state);
    TbStatus status =
        tb_case_new(study, &drawn, TB_NEEDS_GAPS | TB_NEEDS_FACTS, true, task, &theirs, why);

    if (status == TB_OK)
        status = tb_case_strip(study, &drawn, theirs, NULL, item, task, strip, why);
    tb_case_free(theirs);
    return status;
}
