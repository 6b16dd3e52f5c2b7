/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_build.h"

#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* mm. Gaps above this are not worth room on a chart: no keep is that large. */
#define GAP_CEILING 120.0

/* Neighbours on one chart, the worst ones. */
#define MOST_NEIGHBOURS 8

typedef struct Strip {
    const TbCase *theirs;
    const TbCaseStand *in;
    const TbStand *stand;
    size_t item;
    const TbTable *table;
    const TbResults *results; /* findings about it */
    TbSceneStrip *strip;
} Strip;

/* ---- parts of charts ---- */

static TbSceneChart *
add_chart(TbSceneStrip *strip, const char *title, const char *unit)
{
    TbSceneChart *chart = &strip->charts[strip->chart_count++];

    chart->title = g_strdup(title);
    chart->unit = g_strdup(unit);
    chart->zero_matters = true;
    chart->ceiling = NAN;
    return chart;
}

static TbSceneCurve *
add_curve(TbSceneChart *chart, const char *tag, const char *label, size_t count)
{
    TbSceneCurve *curve;

    chart->curves = g_renew(TbSceneCurve, chart->curves, chart->curve_count + 1);
    curve = &chart->curves[chart->curve_count++];
    *curve = (TbSceneCurve){.tag = g_strdup(tag),
                            .label = g_strdup(label),
                            .station = g_new0(double, count),
                            .value = g_new0(double, count),
                            .count = count};
    return curve;
}

static void
add_limit(TbSceneChart *chart, double value, char *label, const char *tag)
{
    chart->limits = g_renew(TbSceneLimit, chart->limits, chart->limit_count + 1);
    chart->limits[chart->limit_count++] =
        (TbSceneLimit){.value = value, .label = label, .tag = g_strdup(tag)};
}

/* Neighbours of one keep share its line. */
static bool
has_limit(const TbSceneChart *chart, double value)
{
    for (size_t i = 0; i < chart->limit_count; i++)
        if (chart->limits[i].value == value)
            return true;
    return false;
}

static void
add_band(TbSceneChart *chart, double from, double to, TbLevel level, char *text)
{
    chart->bands = g_renew(TbSceneBand, chart->bands, chart->band_count + 1);
    chart->bands[chart->band_count++] =
        (TbSceneBand){.from = from, .to = to, .level = level, .text = text};
}

/* Findings of a rule that do not hold, as bands with their sentence. */
static void
add_finding_bands(const Strip *strip, TbSceneChart *chart, const char *rule)
{
    for (size_t i = 0; i < strip->results->finding_count; i++) {
        const TbFinding *finding = &strip->results->findings[i];

        if (strcmp(finding->rule, rule) != 0 ||
            strcmp(finding->place.item, strip->stand->items[strip->item].id) != 0 ||
            finding->level == TB_LEVEL_HOLDS || isnan(finding->place.from))
            continue;
        add_band(chart, finding->place.from, finding->place.to, finding->level,
                 tb_say_finding(strip->results, finding, false));
    }
}

/* ---- area and cone ---- */

static void
add_area(const Strip *strip)
{
    const char *id = strip->stand->items[strip->item].id;
    TbSceneChart *chart = add_chart(strip->strip, _("Area"), "mm²");
    TbSceneCurve *curve = add_curve(chart, id, _("inner area"), strip->table->count);

    for (size_t i = 0; i < strip->table->count; i++) {
        curve->station[i] = strip->table->rows[i].station;
        curve->value[i] = strip->table->rows[i].area;
    }
    add_finding_bands(strip, chart, "area-shrinks");
}

static void
add_cone(const Strip *strip)
{
    const TbPlaced *placed = &strip->stand->items[strip->item];
    TbSceneChart *chart = add_chart(strip->strip, _("Cone angle"), "deg");
    TbSceneCurve *curve = add_curve(chart, placed->id, _("equal area growth"), strip->table->count);
    TbSweepLimits limits =
        tb_check_limits(strip->theirs->catalogue, strip->theirs->bay, placed->item);
    double limit = limits.cone * 180 / G_PI;
    g_autofree char *text = tb_scene_number(limit, 1);

    for (size_t i = 0; i < strip->table->count; i++) {
        curve->station[i] = strip->table->rows[i].station;
        curve->value[i] = strip->table->rows[i].cone_angle;
    }
    if (tb_check_is_outlet(placed->item))
        add_limit(chart, limit, g_strdup_printf(_("attached up to %s deg"), text), placed->id);
    add_finding_bands(strip, chart, "growth");
}

/* ---- gaps ---- */

typedef struct Neighbour {
    const TbPair *pair;
    bool turned;
    const TbGap *gap; /* of the pair */
    double margin;    /* of that gap */
    TbEntry *entry;
} Neighbour;

static int
by_margin(const void *a, const void *b)
{
    const Neighbour *one = a, *two = b;

    return (one->margin > two->margin) - (one->margin < two->margin);
}

static GArray *
find_neighbours(const Strip *strip)
{
    GArray *found = g_array_new(FALSE, TRUE, sizeof(Neighbour));

    for (guint i = 0; i < strip->in->pairs->len; i++) {
        const TbPair *pair = strip->in->pairs->pdata[i];
        const TbGap *gap = strip->in->gaps[i] == NULL ? NULL : strip->in->gaps[i]->value;
        Neighbour neighbour = {.pair = pair, .turned = pair->b == strip->item, .gap = gap};

        if (gap == NULL || gap->nothing || gap->lower > GAP_CEILING ||
            (pair->a != strip->item && pair->b != strip->item))
            continue;
        neighbour.margin = gap->lower - pair->gap;
        g_array_append_val(found, neighbour);
    }
    g_array_sort(found, by_margin);
    if (found->len > MOST_NEIGHBOURS)
        g_array_set_size(found, MOST_NEIGHBOURS);
    return found;
}

/* Stretches on which a neighbour is nearer than its keep. */
static void
add_gap_bands(TbSceneChart *chart, const TbProfile *profile, const char *name, double keep)
{
    size_t from = 0;
    bool open = false;

    for (size_t i = 0; i <= profile->count; i++) {
        const TbProfilePoint *point = &profile->points[i];
        bool below = i < profile->count && !point->left_out && point->lower < keep;

        if (below && !open)
            from = i;
        if (!below && open)
            add_band(chart, profile->points[from].station, profile->points[i - 1].station,
                     TB_LEVEL_SHORT, g_strdup_printf(_("%s short of its keep"), name));
        open = below;
    }
}

static void
add_gap_curve(const Strip *strip, TbSceneChart *chart, const Neighbour *neighbour)
{
    const TbPair *pair = neighbour->pair;
    const TbPlaced *other = &strip->stand->items[neighbour->turned ? pair->a : pair->b];
    const TbProfile *profile = neighbour->entry->value;
    g_autofree char *keep = tb_scene_number(pair->gap, 1);
    g_autofree char *label = g_strdup_printf(_("%s, keep %s"), tb_placed_name(other), keep);
    TbSceneCurve *curve = add_curve(chart, other->id, label, profile->count);

    curve->low = g_new0(double, profile->count);
    for (size_t i = 0; i < profile->count; i++) {
        const TbProfilePoint *point = &profile->points[i];

        curve->station[i] = point->station;
        curve->value[i] = point->left_out ? (double)NAN : point->upper;
        curve->low[i] = point->left_out ? (double)NAN : point->lower;
    }
    if (!has_limit(chart, pair->gap))
        add_limit(chart, pair->gap, g_strdup_printf(_("keep %s mm"), keep), "");
    add_gap_bands(chart, profile, tb_placed_name(other), pair->gap);
}

/* mm. The rows of a profile stand apart; nearer between two of them by less is no ring's doing. */
#define RING_NEARER 0.1

/* Is the neighbour nearest to a ring, clamp or bolt box of the item, which no curve shows? */
static bool
is_nearest_to_ring(const Neighbour *neighbour, const TbGap *gap)
{
    const TbProfile *profile = neighbour->entry->value;
    bool on_sweep = neighbour->turned ? gap->site_b.on_sweep : gap->site_a.on_sweep;
    double nearest = INFINITY;

    for (size_t i = 0; i < profile->count; i++)
        if (!profile->points[i].left_out)
            nearest = fmin(nearest, profile->points[i].upper);
    return !on_sweep && gap->upper < nearest - RING_NEARER;
}

static void
note_rings(const Strip *strip, GArray *neighbours)
{
    g_autoptr(GString) text = g_string_new(NULL);

    for (guint i = 0; i < neighbours->len; i++) {
        const Neighbour *neighbour = &g_array_index(neighbours, Neighbour, i);
        const TbPair *pair = neighbour->pair;
        const TbPlaced *other = &strip->stand->items[neighbour->turned ? pair->a : pair->b];
        g_autofree char *gap = tb_scene_number(floor(neighbour->gap->upper * 10 + 1e-6) / 10, 1);
        g_autofree char *keep = tb_scene_number(pair->gap, 1);

        if (is_nearest_to_ring(neighbour, neighbour->gap))
            g_string_append_printf(text, "%s%s %s / %s", text->len == 0 ? "" : ", ",
                                   tb_placed_name(other), gap, keep);
    }
    if (text->len == 0)
        return;
    strip->strip->notes = g_new0(char *, 1);
    strip->strip->note_count = 1;
    strip->strip->notes[0] = g_strdup_printf(
        _("Rings and clamps at the ends are in no curve and come nearer (gap / keep, mm): %s"),
        text->str);
}

static TbStatus
add_gaps(const Strip *strip, TbStudy *study, const TbAsk *ask, TbTask *task, TbFault *fault)
{
    g_autoptr(GArray) neighbours = find_neighbours(strip);
    const TbEntry *along = strip->stand->items[strip->item].entry;
    TbEntry *discs = tb_measure_discs(study->cache, along, tb_ask_step(ask), NULL);
    TbSceneChart *chart;
    TbStatus status = tb_cache_settle(study->cache, study->work, task, fault);

    if (status != TB_OK || neighbours->len == 0)
        return status;
    for (guint i = 0; i < neighbours->len; i++) {
        Neighbour *neighbour = &g_array_index(neighbours, Neighbour, i);
        TbPairAsk pair_ask =
            neighbour->turned
                ? tb_case_pair_ask_turned(strip->in, neighbour->pair, tb_ask_width(ask))
                : tb_case_pair_ask(strip->in, neighbour->pair, tb_ask_width(ask));
        bool is_new;

        neighbour->entry =
            tb_measure_profile(study->cache, &pair_ask, discs, tb_ask_step(ask), &is_new);
        study->counts.profiles += is_new;
    }
    status = tb_cache_settle(study->cache, study->work, task, fault);
    if (status != TB_OK)
        return status;
    chart = add_chart(strip->strip, _("Gap"), "mm");
    chart->ceiling = GAP_CEILING;
    for (guint i = 0; i < neighbours->len; i++)
        add_gap_curve(strip, chart, &g_array_index(neighbours, Neighbour, i));
    note_rings(strip, neighbours);
    return TB_OK;
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
set_head(const Strip *strip)
{
    const TbPlaced *placed = &strip->stand->items[strip->item];

    strip->strip->title = g_strdup_printf(_("%s, along the path"), tb_placed_name(placed));
    strip->strip->subtitle = tb_scene_subtitle(strip->stand);
    strip->strip->caution = g_strdup(tb_say_caution(false));
    strip->strip->length = tb_sweep_length(tb_placed_drawn(placed)->sweep);
    strip->strip->charts = g_new0(TbSceneChart, 3);
    if (placed->item->kind == TB_ITEM_DUCT)
        add_named(strip->strip, tb_item_duct(placed->item)->stations,
                  tb_item_duct(placed->item)->station_count);
    else
        add_named(strip->strip, tb_item_line(placed->item)->stations,
                  tb_item_line(placed->item)->station_count);
}

static TbResults *
findings_of(const TbCase *theirs)
{
    TbResults *results = tb_results_new(NULL, NULL);

    for (size_t i = 0; i < theirs->stands[0].stand->count; i++) {
        const TbPlaced *placed = &theirs->stands[0].stand->items[i];
        TbResultItem *item = tb_results_add_item(results);

        tb_results_set_text(&item->id, placed->id);
        tb_results_set_text(&item->name, tb_placed_name(placed));
    }
    tb_check_area(theirs, results);
    tb_check_growth(theirs, results);
    return results;
}

static TbStatus
fill(Strip *strip, TbStudy *study, const TbAsk *ask, const char *item, TbTask *task, TbFault *fault)
{
    TbStatus status = tb_stand_want(strip->stand, item, &strip->item, fault);
    const TbPlaced *placed;
    TbEntry *table;
    bool is_new;

    if (status != TB_OK)
        return status;
    placed = &strip->stand->items[strip->item];
    if (tb_placed_form(placed)->sweep == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "item %s has no path to draw curves along", item);
    table = tb_measure_table(study->cache, placed->drawn, tb_ask_step(ask), &is_new);
    study->counts.tables += is_new;
    status = tb_cache_settle(study->cache, study->work, task, fault);
    if (status != TB_OK)
        return status;
    strip->table = table->value;
    set_head(strip);
    add_area(strip);
    if (placed->item->kind == TB_ITEM_DUCT)
        add_cone(strip);
    return add_gaps(strip, study, ask, task, fault);
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
    TbResults *results;
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    TbStatus status =
        tb_case_new(study, ask, TB_NEEDS_GAPS | TB_NEEDS_FACTS, true, task, &theirs, why);
    Strip made = {.theirs = theirs};

    if (status != TB_OK)
        return status;
    results = findings_of(theirs);
    made.theirs = theirs;
    made.in = &theirs->stands[0];
    made.stand = made.in->stand;
    made.results = results;
    made.strip = g_new0(TbSceneStrip, 1);
    made.strip->references = 1;
    status = fill(&made, study, ask, item, task, why);
    if (status == TB_OK)
        *strip = made.strip;
    else
        tb_scene_strip_unref(made.strip);
    tb_results_unref(results);
    tb_case_free(theirs);
    return status;
}
