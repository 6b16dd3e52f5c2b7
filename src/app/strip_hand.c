/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What pointer and keys mean on the charts along the path. */

#include "app/strip_charts_private.h"

#include "base/text.h"
#include "study/results.h"

#include <glib/gi18n.h>
#include <math.h>

/** px around an edge that still take hold of it. */
#define EDGE_NEAR 5.0

/** px that a press may move and still be a click. */
#define CLICK_NEAR 3.0

/** mm that the arrows move the cursor; Shift: ten times. */
#define CURSOR_STEP 1.0

/* ---- the pointer ---- */

static double
mm_of(const TbStripCharts *charts, double px)
{
    return px / tb_canvas_dots(TB_CANVAS(charts->canvas));
}

static TbStripHit
hit(const TbStripCharts *charts, TbVec2 at)
{
    return tb_strip_hit(charts->strip, &charts->places, at, mm_of(charts, EDGE_NEAR));
}

static void
set_shape(TbStripCharts *charts, const char *name)
{
    if (g_strcmp0(charts->cursor_as, name) == 0)
        return;
    charts->cursor_as = name;
    gtk_widget_set_cursor_from_name(charts->canvas, name);
}

/** What is under the pointer, in the status line: the station, and a place of the gap map. */
static void
tell(TbStripCharts *charts, const TbStripHit *under)
{
    const TbSceneChart *chart = &charts->strip->charts[under->chart];
    TbLengthUnit unit;
    char at[TB_QUANTITY_TEXT], angle[TB_QUANTITY_TEXT], gap[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];
    TbSceneMapSpot spot = {.neighbour = NULL};
    g_autofree char *text = NULL;

    if (under->part != TB_STRIP_CHART && under->part != TB_STRIP_AXIS) {
        tb_session_set_pointer(charts->session, "");
        return;
    }
    unit = charts->strip->unit;
    tb_quantity_say_fixed(under->station, TB_QUANTITY_LENGTH, unit, 1, at);
    if (under->part == TB_STRIP_CHART && chart->map != NULL)
        spot = tb_scene_map_at(chart->map, charts->strip->length, under->station, under->angle);
    if (spot.neighbour == NULL) {
        text = g_strdup_printf(_("station %s"), at);
    } else {
        tb_quantity_say(under->angle, TB_QUANTITY_ANGLE, unit, 0, angle);
        tb_gap_words(spot.gap, spot.neighbour->keep, unit, gap, keep);
        /* Translators: a place on a duct's outside; who is nearest to it, gap and keep */
        text = g_strdup_printf(_("station %s, %s: %s, %s of %s %s"), at, angle,
                               spot.neighbour->name, gap, keep, tb_length_unit_name(unit));
    }
    tb_session_set_pointer(charts->session, text);
}

void
tb_strip__hover(void *user, TbCanvasPointer pointer)
{
    TbStripCharts *charts = user;
    TbStripHit under;

    if (!tb_strip__has_strip(charts) || charts->places.count == 0)
        return;
    under = hit(charts, pointer.at);
    set_shape(charts, under.part == TB_STRIP_EDGE                                   ? "ns-resize"
                      : under.part == TB_STRIP_HEAD || under.finding != NULL        ? "pointer"
                      : under.part == TB_STRIP_CHART || under.part == TB_STRIP_AXIS ? "col-resize"
                                                                                    : NULL);
    tell(charts, &under);
}

void
tb_strip__leave(void *user)
{
    TbStripCharts *charts = user;

    tb_session_set_pointer(charts->session, "");
}

static bool
is_double(TbStripCharts *charts)
{
    int limit = 400;
    gint64 now = g_get_monotonic_time();
    bool twice;

    g_object_get(gtk_widget_get_settings(charts->canvas), "gtk-double-click-time", &limit, NULL);
    twice = now - charts->last_press < (gint64)limit * 1000;
    charts->last_press = twice ? 0 : now;
    return twice;
}

static void
put_cursor(TbStripCharts *charts, double x)
{
    double station = tb_strip_station(&charts->places, x);

    /* tenths: what the flag and the entry tell */
    tb_session_set_cursor(charts->session, NULL, round(station * 10) / 10);
}

void
tb_strip__press(void *user, TbCanvasPointer pointer)
{
    TbStripCharts *charts = user;

    charts->hold = HOLD_NOTHING;
    if (!tb_strip__has_strip(charts) || charts->places.count == 0)
        return;
    charts->pressed = pointer.at;
    charts->at = hit(charts, pointer.at);
    switch (charts->at.part) {
    case TB_STRIP_NOTHING:
        break;
    case TB_STRIP_HEAD:
        charts->hold = HOLD_HEAD;
        break;
    case TB_STRIP_EDGE: {
        const TbStripPlace *place = tb_strip__place_of(charts, charts->at.chart);

        charts->hold = HOLD_EDGE;
        charts->height = place->box.high.y - place->box.low.y;
        break;
    }
    case TB_STRIP_AXIS:
        if (is_double(charts)) {
            tb_strip_charts_show_all(charts);
            break;
        }
        charts->hold = HOLD_CURSOR;
        put_cursor(charts, pointer.at.x);
        break;
    case TB_STRIP_CHART:
        charts->hold = HOLD_CURSOR;
        put_cursor(charts, pointer.at.x);
        break;
    }
}

void
tb_strip__drag(void *user, TbCanvasPointer pointer)
{
    TbStripCharts *charts = user;

    if (!tb_strip__has_strip(charts) || charts->places.count == 0)
        return;
    if (charts->hold == HOLD_CURSOR)
        put_cursor(charts, pointer.at.x);
    if (charts->hold == HOLD_EDGE) {
        tb_strip_fits_set_height(&charts->fits, charts->strip->charts[charts->at.chart].name,
                                 charts->height + pointer.at.y - charts->pressed.y);
        tb_strip__redraw(charts);
    }
}

static void
go_to(TbStripCharts *charts, const char *id)
{
    const TbResults *whole = tb_session_whole_results(charts->session);
    const TbResults *shown = tb_session_results(charts->session);
    const TbFinding *finding = shown == NULL ? NULL : tb_results_finding(shown, id);

    if (finding == NULL && whole != NULL)
        finding = tb_results_finding(whole, id);
    if (finding != NULL)
        tb_session_go_to_finding(charts->session, finding);
}

void
tb_strip__release(void *user, TbCanvasPointer pointer)
{
    TbStripCharts *charts = user;
    Hold hold = charts->hold;
    bool click =
        tb_vec2_length(tb_vec2_sub(pointer.at, charts->pressed)) <= mm_of(charts, CLICK_NEAR);

    charts->hold = HOLD_NOTHING;
    if (!tb_strip__has_strip(charts))
        return;
    if (hold == HOLD_EDGE)
        tb_strip_fits_save(&charts->fits, charts->settings);
    if (!click)
        return;
    if (hold == HOLD_HEAD) {
        const char *name = charts->strip->charts[charts->at.chart].name;

        tb_strip_charts_fold(charts, name, !tb_strip_fits_is_folded(&charts->fits, name));
    }
    if (hold == HOLD_CURSOR && charts->at.finding != NULL)
        go_to(charts, charts->at.finding);
}

void
tb_strip__give_up(void *user)
{
    TbStripCharts *charts = user;

    charts->hold = HOLD_NOTHING;
}

/* ---- keys ---- */

/** The narrowest range of a finding at the cursor, over all charts. */
static const char *
finding_here(const TbStripCharts *charts)
{
    const char *found = NULL;
    double station = tb_strip__cursor_of(charts), narrowest = INFINITY;

    for (size_t i = 0; i < charts->strip->chart_count; i++) {
        const TbSceneChart *chart = &charts->strip->charts[i];

        for (size_t k = 0; k < chart->band_count; k++) {
            const TbSceneBand *band = &chart->bands[k];

            if (band->finding[0] == '\0' || station < band->from - CURSOR_STEP ||
                station > band->to + CURSOR_STEP || band->to - band->from >= narrowest)
                continue;
            narrowest = band->to - band->from;
            found = band->finding;
        }
    }
    return found;
}

static bool
cursor_key(const TbStripCharts *charts, guint key, GdkModifierType state, double *station)
{
    double step = state & GDK_SHIFT_MASK ? 10 * CURSOR_STEP : CURSOR_STEP;

    switch (key) {
    case GDK_KEY_Left:
        *station -= step;
        return true;
    case GDK_KEY_Right:
        *station += step;
        return true;
    case GDK_KEY_Home:
        *station = 0;
        return true;
    case GDK_KEY_End:
        *station = charts->strip->length;
        return true;
    case GDK_KEY_Page_Up:
        *station = tb_strip_next_named(charts->strip, *station, true);
        return true;
    case GDK_KEY_Page_Down:
        *station = tb_strip_next_named(charts->strip, *station, false);
        return true;
    default:
        return false;
    }
}

bool
tb_strip__key(void *user, guint value, GdkModifierType state)
{
    TbStripCharts *charts = user;
    double station;

    if (!tb_strip__has_strip(charts) || (state & (GDK_CONTROL_MASK | GDK_ALT_MASK)))
        return false;
    if (value == GDK_KEY_Return || value == GDK_KEY_KP_Enter) {
        const char *finding = finding_here(charts);

        if (finding != NULL)
            go_to(charts, finding);
        return finding != NULL;
    }
    station = tb_strip__cursor_of(charts);
    if (!cursor_key(charts, value, state, &station))
        return false;
    station = fmax(0, fmin(charts->strip->length, station));
    tb_session_set_cursor(charts->session, NULL, station);
    tb_strip__show_station(charts, station);
    return true;
}
