/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What a chart shows, in sentences: for those who hear it, and for folded charts. */

#include "study/strip_build.h"

#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>

typedef struct Ends {
    double least, most, least_at, most_at;
} Ends;

/* Of values that read alike the first one counts: a straight is not least somewhere by rounding. */
static Ends
ends_of(const TbSceneCurve *curve, int decimals)
{
    double alike = 0.05 * pow(10, -decimals);
    Ends ends = {.least = INFINITY, .most = -INFINITY, .least_at = NAN, .most_at = NAN};

    for (size_t i = 0; i < curve->count; i++) {
        double value = curve->low == NULL ? curve->value[i] : curve->low[i];

        if (value < ends.least - alike) {
            ends.least = value;
            ends.least_at = curve->station[i];
        }
        if (value > ends.most + alike) {
            ends.most = value;
            ends.most_at = curve->station[i];
        }
    }
    return ends;
}

static void
say_range(const TbSceneChart *chart, TbLengthUnit unit, GString *text)
{
    Ends ends = ends_of(&chart->curves[0], chart->decimals);
    g_autofree char *least = tb_scene_quantity(ends.least, chart->quantity, unit, chart->decimals);
    g_autofree char *most = tb_scene_quantity(ends.most, chart->quantity, unit, chart->decimals);
    g_autofree char *least_at = tb_scene_length(ends.least_at, unit, 0);
    g_autofree char *most_at = tb_scene_length(ends.most_at, unit, 0);

    if (isnan(ends.least_at))
        return;
    g_string_append_printf(text, _("%s at station %s to %s at station %s."), least, least_at, most,
                           most_at);
}

static void
say_least(const TbSceneChart *chart, const TbSceneCurve *curve, TbLengthUnit unit, GString *text)
{
    Ends ends = ends_of(curve, chart->decimals);
    g_autofree char *at = tb_scene_length(ends.least_at, unit, 0);
    const double *told = curve->low == NULL ? curve->value : curve->low;
    double lowest = INFINITY;
    char least[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    if (isnan(ends.least_at))
        return;
    for (size_t i = 0; i < curve->count; i++)
        lowest = fmin(lowest, told[i]);
    tb_gap_words(lowest, curve->keep, unit, least, keep);
    g_string_append_printf(text, _("%s%s: least %s %s at station %s, keep %s."),
                           text->len > 0 ? " " : "", curve->name, least, chart->unit, at, keep);
}

static void
say_map(const TbSceneMap *map, TbLengthUnit unit, GString *text)
{
    for (size_t i = 0; i < map->basin_count && i < 4; i++) {
        const TbSceneBasin *basin = &map->basins[i];
        g_autofree char *at = tb_scene_length(basin->station, unit, 0);
        g_autofree char *angle = tb_scene_quantity(basin->angle, TB_QUANTITY_ANGLE, unit, 0);

        g_string_append_printf(text, _("%s%s nearest at station %s, angle %s."),
                               text->len > 0 ? " " : "", map->neighbours[basin->neighbour].name, at,
                               angle);
    }
}

/* How surely a map of the worst is right, and what in it is not of the worst. */
static void
say_proof(const TbSceneMap *map, TbLengthUnit unit, GString *text)
{
    g_autofree char *to = tb_scene_quantity(map->proved, TB_QUANTITY_LENGTH, unit, 2);

    if (map->proved > 0)
        g_string_append_printf(text, _("%sProved to %s at the keep."), text->len > 0 ? " " : "",
                               to);
    for (size_t i = 0; i < map->neighbour_count; i++)
        if (map->neighbours[i].at_rest || map->neighbours[i].unproved)
            g_string_append_printf(text,
                                   map->neighbours[i].at_rest ? _("%s%s is shown at rest.")
                                                              : _("%s%s is not proved."),
                                   text->len > 0 ? " " : "", map->neighbours[i].name);
}

char *
tb_strip_say(const TbSceneStrip *strip, const TbSceneChart *chart)
{
    GString *text = g_string_new(NULL);

    if (chart->map != NULL) {
        say_map(chart->map, strip->unit, text);
        say_proof(chart->map, strip->unit, text);
    } else if (chart->curve_count > 0 && !isnan(chart->curves[0].keep))
        for (size_t i = 0; i < chart->curve_count; i++)
            say_least(chart, &chart->curves[i], strip->unit, text);
    else if (chart->curve_count > 0)
        say_range(chart, strip->unit, text);
    if (chart->map != NULL && strip->coarse)
        g_string_append_printf(text, " %s", _("Coarse while something moves."));
    for (size_t i = 0; i < chart->band_count; i++)
        g_string_append_printf(text, "%s%s: %s.", text->len > 0 ? " " : "",
                               tb_say_level(chart->bands[i].level), chart->bands[i].text);
    return g_string_free(text, FALSE);
}

static void
say_value(const TbSceneStrip *strip,
          const TbSceneChart *chart,
          const TbSceneCurve *curve,
          double station,
          GString *text)
{
    double told = tb_scene_curve_told(curve, station);
    g_autofree char *value = tb_scene_quantity(told, chart->quantity, strip->unit, chart->decimals);
    char gap[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    if (isnan(told))
        return;
    if (isnan(curve->keep)) {
        g_string_append_printf(text, "; %s %s", chart->title, value);
        return;
    }
    tb_gap_words(told, curve->keep, strip->unit, gap, keep);
    /* Translators: gap to a neighbour at one station, then the gap that must be kept, their unit */
    g_string_append_printf(text, _("; %s %s of %s %s"), curve->name, gap, keep,
                           tb_length_unit_name(strip->unit));
}

char *
tb_scene_strip_say_at(const TbSceneStrip *strip, double station)
{
    g_autofree char *at = tb_scene_quantity(station, TB_QUANTITY_LENGTH, strip->unit, 1);
    GString *text = g_string_new(NULL);

    g_string_append_printf(text, _("Station %s"), at);
    for (size_t i = 0; i < strip->chart_count; i++) {
        const TbSceneChart *chart = &strip->charts[i];

        for (size_t k = 0; k < chart->curve_count; k++)
            say_value(strip, chart, &chart->curves[k], station, text);
    }
    g_string_append_c(text, '.');
    return g_string_free(text, FALSE);
}
