/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What the pointer and the keys ask of charts on the screen. */

#include "draw/charts_screen.h"

#include <math.h>

/** mm of path that a zoomed view shows at least. */
#define LEAST_RANGE 10.0

/** mm of the picture around a basin's mark that still mean it. */
#define BASIN_NEAR 4.0

double
tb_strip_x(const TbStripPlaces *places, double station)
{
    return places->left +
           (places->right - places->left) * (station - places->from) / (places->to - places->from);
}

double
tb_strip_station(const TbStripPlaces *places, double x)
{
    double share = (x - places->left) / (places->right - places->left);

    return places->from + fmax(0, fmin(1, share)) * (places->to - places->from);
}

/** The narrowest range of a finding there: what lies under a wide one is reached too. */
static const char *
band_at(const TbSceneChart *chart, double station, double near_by)
{
    const char *found = NULL;
    double narrowest = INFINITY;

    for (size_t i = 0; i < chart->band_count; i++) {
        const TbSceneBand *band = &chart->bands[i];

        if (band->finding == NULL || band->finding[0] == '\0' || station < band->from - near_by ||
            station > band->to + near_by || band->to - band->from >= narrowest)
            continue;
        narrowest = band->to - band->from;
        found = band->finding;
    }
    return found;
}

static const char *
basin_at(const TbSceneMap *map, const TbStripPlaces *places, const TbStripPlace *place, TbVec2 at)
{
    const char *found = NULL;
    double nearest = BASIN_NEAR;

    for (size_t i = 0; i < map->basin_count; i++) {
        const TbSceneBasin *basin = &map->basins[i];
        double y =
            place->box.high.y - (place->box.high.y - place->box.low.y) * (basin->angle + 180) / 360;
        double away = hypot(tb_strip_x(places, basin->station) - at.x, y - at.y);

        if (away >= nearest || basin->finding == NULL || basin->finding[0] == '\0')
            continue;
        nearest = away;
        found = basin->finding;
    }
    return found;
}

static TbStripHit
chart_hit(const TbSceneStrip *strip,
          const TbStripPlaces *places,
          const TbStripPlace *place,
          TbVec2 at)
{
    const TbSceneChart *chart = &strip->charts[place->chart];
    TbStripHit hit = {.part = TB_STRIP_CHART,
                      .chart = place->chart,
                      .station = tb_strip_station(places, at.x),
                      .angle = NAN};
    /* half a mm of picture: a band of no length is drawn that wide */
    double near_by = 0.5 * (places->to - places->from) / (places->right - places->left);

    hit.finding = band_at(chart, hit.station, near_by);
    if (chart->map == NULL)
        return hit;
    hit.angle = -180 + 360 * (place->box.high.y - at.y) / (place->box.high.y - place->box.low.y);
    hit.finding = basin_at(chart->map, places, place, at);
    return hit;
}

TbStripHit
tb_strip_hit(const TbSceneStrip *strip, const TbStripPlaces *places, TbVec2 at, double near_by)
{
    TbStripHit hit = {.part = TB_STRIP_NOTHING, .station = NAN, .angle = NAN};

    if (at.y >= places->axis) {
        hit.part = TB_STRIP_AXIS;
        hit.station = tb_strip_station(places, at.x);
        return hit;
    }
    for (size_t i = 0; i < places->count; i++) {
        const TbStripPlace *place = &places->place[i];

        if (!place->folded && fabs(at.y - place->box.high.y) <= near_by) {
            hit.part = TB_STRIP_EDGE;
            hit.chart = place->chart;
            return hit;
        }
        if (at.y < place->box.low.y || at.y > place->box.high.y)
            continue;
        if (place->folded || at.x < places->left) {
            hit.part = TB_STRIP_HEAD;
            hit.chart = place->chart;
            return hit;
        }
        return at.x > places->right ? hit : chart_hit(strip, places, place, at);
    }
    return hit;
}

/* ---- ranges ---- */

static TbStripRange
kept_in(TbStripRange range, double length)
{
    double wide = range.to - range.from;

    if (wide >= length)
        return (TbStripRange){0, length};
    if (range.from < 0)
        return (TbStripRange){0, wide};
    if (range.to > length)
        return (TbStripRange){length - wide, length};
    return range;
}

TbStripRange
tb_strip_zoom(TbStripRange range, double length, double at, double factor)
{
    double wide = range.to - range.from;
    double wanted = fmin(length, fmax(fmin(LEAST_RANGE, length), wide / factor));
    double share = (at - range.from) / wide;

    return kept_in((TbStripRange){at - share * wanted, at + (1 - share) * wanted}, length);
}

TbStripRange
tb_strip_pan(TbStripRange range, double length, double by)
{
    return kept_in((TbStripRange){range.from + by, range.to + by}, length);
}

/** mm. Nearer than this the cursor stands on a named station. */
#define ON_STATION 1e-6

double
tb_strip_next_named(const TbSceneStrip *strip, double station, bool back)
{
    double next = back ? 0 : strip->length;

    for (size_t i = 0; i < strip->named_count; i++) {
        double at = strip->named_at[i];

        if (back && at < station - ON_STATION)
            next = fmax(next, at);
        if (!back && at > station + ON_STATION)
            next = fmin(next, at);
    }
    return next;
}
