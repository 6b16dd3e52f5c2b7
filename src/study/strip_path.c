/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Charts of the path alone: area, growth, bends. */

#include "study/strip_build.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* mm between the stations at which the allowed band is told. */
#define ALLOWED_STEP 2.5

/* 1/m in 1/mm. */
#define PER_METRE 1000

static const TbTable *
table_of(const TbAlong *strip)
{
    return strip->table->value;
}

static TbSweepLimits
limits_of(const TbAlong *strip)
{
    return tb_check_limits(strip->theirs->catalogue, strip->theirs->bay, strip->placed->item);
}

bool
tb_strip_has_sections(const TbAlong *strip)
{
    return strip->placed->item->kind == TB_ITEM_DUCT;
}

void
tb_strip_promise_path(TbAlong *strip, int round)
{
    bool is_new;

    if (round > 0)
        return;
    strip->table = tb_measure_table(strip->study->cache, strip->placed->drawn,
                                    tb_ask_step(strip->ask), &is_new);
    strip->study->counts.tables += is_new;
}

/* A curve of one column of the table. */
static TbSceneCurve *
add_column(const TbAlong *strip,
           TbSceneChart *chart,
           const char *label,
           double (*value)(const TbStationRow *row))
{
    const TbTable *table = table_of(strip);
    TbSceneCurve *curve = tb_strip_add_curve(chart, strip->placed->id, label, table->count);

    for (size_t i = 0; i < table->count; i++) {
        curve->station[i] = table->rows[i].station;
        curve->value[i] = value(&table->rows[i]);
    }
    return curve;
}

/* ---- area ---- */

static double
area_of(const TbStationRow *row)
{
    return row->area;
}

/* Both ends are given, by what the path joins. Between them the radius of equal area r neither
 * falls nor grows faster than k = tan(limit / 2), so r0 <= r <= r1, r <= r0 + k s and r >= r1 - k
 * (L - s): no area curve between the ends that obeys the rules leaves this, and each point of it
 * lies on one that does. Where the ends themselves break a rule nothing is allowed. */
static void
allow(const TbSweep *sweep, double k, TbSceneAllowed *allowed)
{
    double length = tb_sweep_length(sweep);
    double r0 = sqrt(tb_law_at(tb_sweep_law(sweep), 0).area / G_PI);
    double r1 = sqrt(tb_law_at(tb_sweep_law(sweep), length).area / G_PI);
    bool possible = r1 >= r0 && r1 <= r0 + k * length;
    size_t count = (size_t)ceil(length / ALLOWED_STEP) + 1;

    allowed->count = count;
    allowed->station = g_new(double, count);
    allowed->low = g_new(double, count);
    allowed->high = g_new(double, count);
    for (size_t i = 0; i < count; i++) {
        double s = length * (double)i / (double)(count - 1);
        double low = fmax(r0, r1 - k * (length - s));
        double high = fmin(r1, r0 + k * s);

        allowed->station[i] = s;
        allowed->low[i] = possible ? G_PI * low * low : (double)NAN;
        allowed->high[i] = possible ? G_PI * high * high : (double)NAN;
    }
}

TbStatus
tb_strip_fill_area(const TbAlong *strip, TbSceneChart *chart, TbFault *fault)
{
    double limit = limits_of(strip).cone;
    g_autofree char *text =
        tb_scene_quantity(limit * 180 / G_PI, TB_QUANTITY_ANGLE, strip->unit, 1);

    (void)fault;
    add_column(strip, chart, _("inner area"), area_of);
    if (!tb_check_is_outlet(strip->placed->item))
        return TB_OK;
    allow(tb_placed_drawn(strip->placed)->sweep, tan(limit / 2), &chart->allowed);
    chart->allowed.label = g_strdup_printf(_("allowed between the ends: growth up to %s"), text);
    return TB_OK;
}

/* ---- growth ---- */

static double
cone_of(const TbStationRow *row)
{
    return row->cone_angle;
}

TbStatus
tb_strip_fill_cone(const TbAlong *strip, TbSceneChart *chart, TbFault *fault)
{
    double limit = limits_of(strip).cone * 180 / G_PI;
    g_autofree char *text = tb_scene_quantity(limit, TB_QUANTITY_ANGLE, strip->unit, 1);

    (void)fault;
    add_column(strip, chart, _("equal area growth"), cone_of);
    if (tb_check_is_outlet(strip->placed->item))
        tb_strip_add_limit(chart, limit, g_strdup_printf(_("attached up to %s"), text),
                           strip->placed->id);
    return TB_OK;
}

/* ---- bends ---- */

static double
bend_of(const TbStationRow *row)
{
    return row->curvature * PER_METRE;
}

TbStatus
tb_strip_fill_bend(const TbAlong *strip, TbSceneChart *chart, TbFault *fault)
{
    double radius = limits_of(strip).bend;

    (void)fault;
    add_column(strip, chart, _("path"), bend_of);
    if (radius > 0) {
        g_autofree char *text = tb_scene_quantity(radius, TB_QUANTITY_LENGTH, strip->unit, 1);

        tb_strip_add_limit(chart, PER_METRE / radius, g_strdup_printf(_("radius %s"), text),
                           strip->placed->id);
    }
    return TB_OK;
}
