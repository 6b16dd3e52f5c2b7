/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The gap to each neighbour along the path. */

#include "study/strip_build.h"

#include "study/measure_moving.h"
#include "study/voice.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* mm. Neighbours further off are not worth a curve: no keep is that large. */
#define NEIGHBOUR_NEAR 120.0

/* mm above the largest keep: what is further off does not matter on a chart. */
#define ABOVE_KEEP 40.0

/* Neighbours on one chart, the worst ones. */
#define MOST_NEIGHBOURS 8

/* ---- neighbours ---- */

static int
by_margin(const void *a, const void *b)
{
    const TbAlongNear *one = a, *two = b;

    return (one->margin > two->margin) - (one->margin < two->margin);
}

GArray *
tb_strip_find_neighbours(const TbAlong *strip)
{
    GArray *found = g_array_new(FALSE, TRUE, sizeof(TbAlongNear));

    for (guint i = 0; i < strip->told->pairs->len; i++) {
        const TbPair *pair = strip->told->pairs->pdata[i];
        TbAlongNear near = {.pair = pair, .turned = pair->b == strip->item};

        if ((pair->a != strip->item && pair->b != strip->item) ||
            !tb_case_gap(strip->told, i, &near.gap) || near.gap.lower > NEIGHBOUR_NEAR)
            continue;
        near.other = &strip->stand->items[near.turned ? pair->a : pair->b];
        near.margin = near.gap.lower - pair->gap;
        g_array_append_val(found, near);
    }
    g_array_sort(found, by_margin);
    if (found->len > MOST_NEIGHBOURS)
        g_array_set_size(found, MOST_NEIGHBOURS);
    return found;
}

bool
tb_strip_has_neighbours(const TbAlong *strip)
{
    return strip->near->len > 0;
}

static guint
index_of(const TbAlong *strip, const TbPair *pair)
{
    guint index = 0;

    while (strip->told->pairs->pdata[index] != pair)
        index++;
    return index;
}

/* Nothing moves the two against each other, and no tolerance: at rest is all there is. */
static bool
is_still(const TbAlong *strip, const TbAlongNear *near)
{
    guint index = index_of(strip, near->pair);

    return (strip->told->spread == NULL || strip->told->spread[index].count == 0) &&
           (strip->told->moves == NULL || !strip->told->blended[index]);
}

bool
tb_strip_is_worst(const TbAlong *strip)
{
    const TbCondition *condition = strip->told->stand->condition;

    return strip->told != strip->in || (!strip->ask->coarse && strip->ask->pose == NULL &&
                                        (condition->scatters || condition->hot != NULL));
}

bool
tb_strip_along(const TbAlong *strip, const TbAlongNear *near, TbMovingAlong *along)
{
    return tb_strip_is_worst(strip) &&
           tb_measure_moving_along(strip->told, index_of(strip, near->pair), near->turned,
                                   tb_ask_width(strip->ask), along);
}

/* Of the worst where that can be said; else of the parts as they are drawn. */
static TbEntry *
profile_of(const TbAlong *strip, TbAlongNear *near, double step, bool *is_new)
{
    double width = tb_ask_width(strip->ask);
    TbPairAsk ask = near->turned ? tb_case_pair_ask_turned(strip->in, near->pair, width)
                                 : tb_case_pair_ask(strip->in, near->pair, width);
    TbMovingAlong along;

    if (tb_strip_along(strip, near, &along)) {
        near->unproved = !tb_measure_moving_is_certified(&along);
        return tb_measure_moving_profile(strip->study->cache, &along, step, is_new);
    }
    near->at_rest = tb_strip_is_worst(strip) && !is_still(strip, near);
    return tb_measure_profile(strip->study->cache, &ask, strip->discs, step, is_new);
}

void
tb_strip_promise_gaps(TbAlong *strip, int round)
{
    TbStudy *study = strip->study;
    double step = tb_ask_step(strip->ask);

    if (round == 0) {
        strip->discs = tb_measure_discs(study->cache, strip->placed->entry, step, NULL);
        return;
    }
    for (guint i = 0; i < strip->near->len; i++) {
        TbAlongNear *near = &g_array_index(strip->near, TbAlongNear, i);
        bool is_new;

        near->profile = profile_of(strip, near, step, &is_new);
        study->counts.profiles += is_new;
    }
}

/* ---- what is short ---- */

const TbFinding *
tb_strip_pair_finding(const TbAlong *strip, const TbPair *pair)
{
    g_autofree char *subject =
        tb_results_pair(strip->stand->items[pair->a].id, strip->stand->items[pair->b].id);

    for (size_t i = 0; i < strip->results->finding_count; i++) {
        const TbFinding *finding = &strip->results->findings[i];

        if (strcmp(finding->rule, "gap") == 0 && strcmp(finding->subject, subject) == 0)
            return finding;
    }
    return NULL;
}

/* "Brake line: 26.1 of 30 mm", as the findings tell it. */
static char *
say_gap(const TbAlongNear *near, TbLengthUnit unit)
{
    char gap[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    tb_gap_words(near->gap.lower, near->pair->gap, unit, gap, keep);
    /* Translators: a neighbour, its gap, the gap that must be kept, their unit */
    return g_strdup_printf(_("%s: %s of %s %s"), tb_placed_name(near->other), gap, keep,
                           tb_length_unit_name(unit));
}

/* One stretch: with numbers where the finding's place is. */
static void
add_stretch(const TbAlong *strip,
            TbSceneChart *chart,
            const TbAlongNear *near,
            const TbFinding *finding,
            double from,
            double to,
            bool is_short)
{
    double slack = tb_ask_step(strip->ask);
    bool told = finding != NULL && finding->place.from >= from - slack &&
                finding->place.from <= to + slack &&
                strcmp(finding->place.item, strip->placed->id) == 0;
    const char *name = tb_placed_name(near->other);

    tb_strip_add_band(chart, from, to, is_short ? TB_LEVEL_SHORT : TB_LEVEL_WATCH,
                      told       ? say_gap(near, strip->unit)
                      : is_short ? g_strdup_printf(_("%s short of its keep"), name)
                                 : g_strdup_printf(_("%s near its keep"), name),
                      finding == NULL ? "" : finding->id);
    chart->bands[chart->band_count - 1].name = g_strdup(name);
}

static bool
is_below(const TbProfilePoint *point, double keep)
{
    return !point->left_out && point->lower < keep;
}

/* Stretches on which a neighbour is nearer than its keep or, where it is nowhere, than is wanted.
 */
static size_t
add_stretches(const TbAlong *strip, TbSceneChart *chart, const TbAlongNear *near, bool is_short)
{
    const TbProfile *profile = near->profile->value;
    const TbFinding *finding = tb_strip_pair_finding(strip, near->pair);
    double keep = near->pair->gap + (is_short ? 0 : near->pair->want);
    size_t from = 0, found = 0;
    bool open = false;

    for (size_t i = 0; i <= profile->count; i++) {
        bool below = i < profile->count && is_below(&profile->points[i], keep);

        if (below && !open)
            from = i;
        if (!below && open) {
            add_stretch(strip, chart, near, finding, profile->points[from].station,
                        profile->points[i - 1].station, is_short);
            found++;
        }
        open = below;
    }
    return found;
}

/* ---- curves ---- */

/* The line of a keep, shared by the neighbours of one keep; it runs where one of them is near. */
static void
add_keep(TbSceneChart *chart, const TbAlongNear *near, TbLengthUnit unit)
{
    const TbProfile *profile = near->profile->value;
    double wanted = near->pair->gap;
    double from = INFINITY, to = -INFINITY;
    g_autofree char *keep = NULL;

    for (size_t i = 0; i < profile->count; i++)
        if (!profile->points[i].left_out && profile->points[i].upper < wanted + ABOVE_KEEP) {
            from = fmin(from, profile->points[i].station);
            to = fmax(to, profile->points[i].station);
        }
    if (!(from <= to))
        return;
    for (size_t i = 0; i < chart->limit_count; i++)
        if (chart->limits[i].value == wanted) {
            chart->limits[i].from = fmin(chart->limits[i].from, from);
            chart->limits[i].to = fmax(chart->limits[i].to, to);
            return;
        }
    keep = tb_voice_keep((TbVoice){.unit = unit}, wanted, 1);
    tb_strip_add_limit(chart, wanted, g_strdup_printf(_("keep %s"), keep), "");
    chart->limits[chart->limit_count - 1].from = from;
    chart->limits[chart->limit_count - 1].to = to;
}

static void
add_curve(TbSceneChart *chart, const TbAlongNear *near, TbLengthUnit unit)
{
    const TbPlaced *other = near->other;
    const TbProfile *profile = near->profile->value;
    double wanted = near->pair->gap;
    char keep[TB_TEXT_NUMBER];
    g_autofree char *label = NULL;
    TbSceneCurve *curve;

    tb_keep_write(wanted, unit, 1, keep);
    label = g_strdup_printf(near->at_rest    ? _("%s at rest, keep %s")
                            : near->unproved ? _("%s, not proved, keep %s")
                                             : _("%s, keep %s"),
                            tb_placed_name(other), keep);
    curve = tb_strip_add_curve(chart, other->id, label, profile->count);

    g_free(curve->name);
    curve->name = g_strdup(tb_placed_name(other));
    curve->keep = wanted;
    curve->low = g_new0(double, profile->count);
    for (size_t i = 0; i < profile->count; i++) {
        const TbProfilePoint *point = &profile->points[i];

        curve->station[i] = point->station;
        curve->value[i] = point->left_out ? (double)NAN : point->upper;
        curve->low[i] = point->left_out ? (double)NAN : point->lower;
    }
    add_keep(chart, near, unit);
}

TbStatus
tb_strip_fill_gaps(const TbAlong *strip, TbSceneChart *chart, TbFault *fault)
{
    (void)fault;
    chart->ceiling = 0;
    for (guint i = 0; i < strip->near->len; i++) {
        const TbAlongNear *near = &g_array_index(strip->near, TbAlongNear, i);

        chart->ceiling = fmax(chart->ceiling, near->pair->gap + ABOVE_KEEP);
        add_curve(chart, near, strip->unit);
        if (add_stretches(strip, chart, near, true) == 0)
            add_stretches(strip, chart, near, false);
    }
    return TB_OK;
}

/* ---- rings ---- */

/* mm. The rows of a profile stand apart; nearer between two of them by less is no ring's doing. */
#define RING_NEARER 0.1

/* Is the neighbour nearest to a ring, clamp or bolt box of the item, which no curve shows? */
static bool
is_nearest_to_ring(const TbAlongNear *near, const TbGap *gap)
{
    const TbProfile *profile = near->profile->value;
    bool on_sweep = near->turned ? gap->site_b.on_sweep : gap->site_a.on_sweep;
    double nearest = INFINITY;

    for (size_t i = 0; i < profile->count; i++)
        if (!profile->points[i].left_out)
            nearest = fmin(nearest, profile->points[i].upper);
    return !on_sweep && gap->upper < nearest - RING_NEARER;
}

void
tb_strip_note_rings(const TbAlong *strip)
{
    g_autoptr(GString) text = g_string_new(NULL);

    for (guint i = 0; i < strip->near->len; i++) {
        const TbAlongNear *near = &g_array_index(strip->near, TbAlongNear, i);
        g_autofree char *gap = tb_scene_gap(near->gap.lower, near->pair->gap, strip->unit);

        if (is_nearest_to_ring(near, &near->gap))
            g_string_append_printf(text, "%s%s %s", text->len == 0 ? "" : "; ",
                                   tb_placed_name(near->other), gap);
    }
    if (text->len == 0)
        return;
    strip->strip->notes = g_new0(char *, 1);
    strip->strip->note_count = 1;
    strip->strip->notes[0] = g_strdup_printf(
        _("Rings and clamps at the ends are in no curve and come nearer (gap / keep, %s): %s"),
        tb_length_unit_name(strip->unit), text->str);
}
