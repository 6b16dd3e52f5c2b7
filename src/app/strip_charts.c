/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/strip_charts.h"

#include "app/canvas.h"
#include "app/strip_fits.h"
#include "base/text.h"
#include "draw/sheet.h"
#include "study/results.h"

#include <glib/gi18n.h>
#include <math.h>

/** px around an edge that still take hold of it. */
#define EDGE_NEAR 5.0

/** px that a press may move and still be a click. */
#define CLICK_NEAR 3.0

/** mm that the arrows move the cursor; Shift: ten times. */
#define CURSOR_STEP 1.0

/** What a press has taken hold of. */
typedef enum Hold { HOLD_NOTHING, HOLD_CURSOR, HOLD_EDGE, HOLD_HEAD } Hold;

struct TbStripCharts {
    TbSession *session;
    GSettings *settings;
    GtkWidget *canvas;

    TbStripFits fits;
    TbSceneStrip *strip; /* shown; reference; NULL: none */
    TbStripRange range;  /* stations in view; to 0: all */
    double scroll;       /* mm */
    TbStripPlaces places;
    TbStripView view; /* of the last picture */

    Hold hold;
    TbVec2 pressed;
    TbStripHit at;         /* what was pressed */
    double height;         /* of the chart whose edge is held, when it was pressed */
    gint64 last_press;     /* us, on the axis */
    const char *cursor_as; /* name of the pointer's shape */

    void (*folded)(void *user);
    void *user;
};

/* ---- what is shown ---- */

static double
cursor_of(const TbStripCharts *charts)
{
    return fmin(tb_session_cursor(charts->session), charts->strip->length);
}

static bool
has_strip(const TbStripCharts *charts)
{
    return charts->strip != NULL;
}

/** The finding of the session by the id that the strip has for it, or NULL. */
static const char *
selected_of(const TbStripCharts *charts)
{
    const char *selected = tb_session_finding(charts->session);

    for (size_t i = 0; selected != NULL && i < charts->strip->chart_count; i++) {
        const TbSceneChart *chart = &charts->strip->charts[i];

        for (size_t k = 0; k < chart->band_count; k++)
            if (tb_finding_id_alike(chart->bands[k].finding, selected))
                return chart->bands[k].finding;
    }
    return NULL;
}

/** What stands in a pane without charts. */
static void
draw_empty(const TbStripCharts *charts, TbPicture *picture, TbVec2 size)
{
    const TbFault *fault = NULL;
    const char *text = _("Add a duct or a line, or choose one: its area, gaps and bends along its "
                         "path are drawn here.");

    tb_session_strip(charts->session, &fault);
    if (tb_session_cursor_item(charts->session) != NULL)
        text = fault != NULL && fault->text[0] != '\0' ? fault->text : "";
    tb_picture_init(picture, size.x, size.y);
    tb_sheet_paragraph(
        picture, tb_vec2(size.x / 2, size.y / 2), fmax(20, size.x - 20),
        (TbTextStyle){.size = TB_PT_TEXT, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_MIDDLE}, text,
        tb_canvas_measurer(TB_CANVAS(charts->canvas)));
}

static void
draw(void *user, TbPicture *picture, TbVec2 size)
{
    TbStripCharts *charts = user;

    charts->places.count = 0;
    if (!has_strip(charts)) {
        draw_empty(charts, picture, size);
        return;
    }
    charts->view = (TbStripView){.width = size.x,
                                 .height = size.y,
                                 .from = charts->range.from,
                                 .to = charts->range.to,
                                 .scroll = charts->scroll,
                                 .fits = charts->fits.fit,
                                 .fit_count = charts->fits.count,
                                 .selected = selected_of(charts)};
    tb_strip_screen(picture, charts->strip, &charts->view,
                    tb_canvas_measurer(TB_CANVAS(charts->canvas)), &charts->places, NULL);
}

static void
draw_over(void *user, TbPicture *picture, TbVec2 size)
{
    TbStripCharts *charts = user;

    if (!has_strip(charts) || charts->places.count == 0)
        return;
    (void)size;
    tb_strip_cursor(picture, charts->strip, &charts->places, cursor_of(charts),
                    tb_canvas_measurer(TB_CANVAS(charts->canvas)), NULL);
}

static void
redraw(TbStripCharts *charts)
{
    tb_canvas_redraw(TB_CANVAS(charts->canvas));
}

static void
describe(TbStripCharts *charts)
{
    g_autofree char *label = NULL;
    g_autoptr(GString) text = g_string_new(NULL);

    if (!has_strip(charts)) {
        tb_canvas_describe(TB_CANVAS(charts->canvas), _("Charts along the path"), "");
        return;
    }
    label = g_strdup_printf(_("Charts along %s"), charts->strip->name);
    {
        g_autofree char *here = tb_scene_strip_say_at(charts->strip, cursor_of(charts));

        g_string_append(text, here);
    }
    for (size_t i = 0; i < charts->strip->chart_count; i++)
        g_string_append_printf(text, " %s: %s", charts->strip->charts[i].title,
                               charts->strip->charts[i].summary);
    tb_canvas_describe(TB_CANVAS(charts->canvas), label, text->str);
}

static void
put_range(TbStripCharts *charts, TbStripRange range)
{
    charts->range = range;
    tb_session_set_stretch(charts->session, range.from, range.to);
}

/** What was in view when the file was left, for its first strip; of any other the whole path. */
static TbStripRange
kept_range(TbStripCharts *charts, const TbSceneStrip *strip)
{
    TbStripRange range = {0, 0};

    if (charts->strip == NULL && strip != NULL)
        tb_session_stretch(charts->session, &range.from, &range.to);
    return range.to > range.from ? tb_strip_pan(range, strip->length, 0) : range;
}

/** Takes the session's strip where it is of the cursor's item; the last one stays meanwhile. */
static void
take_strip(TbStripCharts *charts)
{
    TbSceneStrip *strip = tb_session_strip(charts->session, NULL);
    const char *item = tb_session_cursor_item(charts->session);

    if (strip != NULL && g_strcmp0(strip->item, item) != 0)
        strip = NULL;
    if (strip == charts->strip)
        return;
    if (strip == NULL || charts->strip == NULL ||
        g_strcmp0(strip->item, charts->strip->item) != 0) {
        put_range(charts, kept_range(charts, strip));
        charts->scroll = 0;
    } else if (charts->range.to > 0) {
        /* the path may have become shorter */
        put_range(charts, tb_strip_pan(charts->range, strip->length, 0));
    }
    tb_scene_strip_unref(charts->strip);
    charts->strip = strip == NULL ? NULL : tb_scene_strip_ref(strip);
    redraw(charts);
}

void
tb_strip_charts_follow(TbStripCharts *charts, guint parts)
{
    if (parts & (TB_SESSION_SHOWN | TB_SESSION_CURSOR))
        take_strip(charts);
    if (parts & TB_SESSION_SELECTION)
        redraw(charts);
    if (parts & TB_SESSION_CURSOR)
        tb_canvas_redraw_over(TB_CANVAS(charts->canvas));
    if (parts & (TB_SESSION_SHOWN | TB_SESSION_CURSOR))
        describe(charts);
}

/* ---- zoom and scroll ---- */

static TbStripRange
range_of(const TbStripCharts *charts)
{
    return charts->range.to > charts->range.from ? charts->range
                                                 : (TbStripRange){0, charts->strip->length};
}

static void
set_range(TbStripCharts *charts, TbStripRange range)
{
    bool all = range.from <= 0 && range.to >= charts->strip->length;

    put_range(charts, all ? (TbStripRange){0, 0} : range);
    redraw(charts);
}

static void
zoom(void *user, TbVec2 at, double factor)
{
    TbStripCharts *charts = user;

    if (has_strip(charts) && charts->places.count > 0)
        set_range(charts, tb_strip_zoom(range_of(charts), charts->strip->length,
                                        tb_strip_station(&charts->places, at.x), factor));
}

/** Up and down goes through the charts where they are taller than the pane; else, as sideways does
 * always, along the path. */
static void
pan(void *user, TbVec2 by)
{
    TbStripCharts *charts = user;
    double hidden = charts->places.tall - charts->places.axis;
    double along = by.x;

    if (!has_strip(charts) || charts->places.count == 0)
        return;
    if (hidden > 0.01 || charts->scroll > 0) {
        charts->scroll = fmax(0, fmin(fmax(0, hidden), charts->scroll - by.y));
        redraw(charts);
    } else {
        along += by.y;
    }
    if (along != 0 && charts->range.to > charts->range.from)
        set_range(charts, tb_strip_pan(charts->range, charts->strip->length,
                                       -along * (charts->places.to - charts->places.from) /
                                           (charts->places.right - charts->places.left)));
}

static void
fit(void *user)
{
    TbStripCharts *charts = user;

    if (has_strip(charts))
        set_range(charts, (TbStripRange){0, charts->strip->length});
}

void
tb_strip_charts_show_all(TbStripCharts *charts)
{
    fit(charts);
}

void
tb_strip_charts_zoom(TbStripCharts *charts, double factor)
{
    TbStripRange range;
    double at;

    if (!has_strip(charts))
        return;
    range = range_of(charts);
    at = cursor_of(charts);
    if (at < range.from || at > range.to)
        at = (range.from + range.to) / 2;
    set_range(charts, tb_strip_zoom(range, charts->strip->length, at, factor));
}

void
tb_strip_charts_range(TbStripCharts *charts, double *from, double *to)
{
    TbStripRange range = has_strip(charts) ? range_of(charts) : (TbStripRange){0, 0};

    *from = range.from;
    *to = range.to;
}

/** Puts a station in view, in the middle where it was not. */
static void
show_station(TbStripCharts *charts, double station)
{
    TbStripRange range = range_of(charts);

    if (station < range.from || station > range.to)
        set_range(charts, tb_strip_pan(range, charts->strip->length,
                                       station - (range.from + range.to) / 2));
}

/* ---- heights ---- */

bool
tb_strip_charts_is_folded(TbStripCharts *charts, const char *chart)
{
    return tb_strip_fits_is_folded(&charts->fits, chart);
}

static void
fits_changed(TbStripCharts *charts)
{
    tb_strip_fits_save(&charts->fits, charts->settings);
    charts->scroll = 0;
    redraw(charts);
    if (charts->folded != NULL)
        charts->folded(charts->user);
}

void
tb_strip_charts_fold(TbStripCharts *charts, const char *chart, bool folded)
{
    tb_strip_fits_set_folded(&charts->fits, chart, folded);
    fits_changed(charts);
}

void
tb_strip_charts_even_out(TbStripCharts *charts)
{
    tb_strip_fits_clear(&charts->fits);
    fits_changed(charts);
}

static const TbStripPlace *
place_of(const TbStripCharts *charts, size_t chart)
{
    for (size_t i = 0; i < charts->places.count; i++)
        if (charts->places.place[i].chart == chart)
            return &charts->places.place[i];
    return NULL;
}

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

static void
hover(void *user, TbCanvasPointer pointer)
{
    TbStripCharts *charts = user;
    TbStripHit under;

    if (!has_strip(charts) || charts->places.count == 0)
        return;
    under = hit(charts, pointer.at);
    set_shape(charts, under.part == TB_STRIP_EDGE                                   ? "ns-resize"
                      : under.part == TB_STRIP_HEAD || under.finding != NULL        ? "pointer"
                      : under.part == TB_STRIP_CHART || under.part == TB_STRIP_AXIS ? "col-resize"
                                                                                    : NULL);
    tell(charts, &under);
}

static void
leave(void *user)
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

static void
press(void *user, TbCanvasPointer pointer)
{
    TbStripCharts *charts = user;

    charts->hold = HOLD_NOTHING;
    if (!has_strip(charts) || charts->places.count == 0)
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
        const TbStripPlace *place = place_of(charts, charts->at.chart);

        charts->hold = HOLD_EDGE;
        charts->height = place->box.high.y - place->box.low.y;
        break;
    }
    case TB_STRIP_AXIS:
        if (is_double(charts)) {
            fit(charts);
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

static void
drag(void *user, TbCanvasPointer pointer)
{
    TbStripCharts *charts = user;

    if (!has_strip(charts) || charts->places.count == 0)
        return;
    if (charts->hold == HOLD_CURSOR)
        put_cursor(charts, pointer.at.x);
    if (charts->hold == HOLD_EDGE) {
        tb_strip_fits_set_height(&charts->fits, charts->strip->charts[charts->at.chart].name,
                                 charts->height + pointer.at.y - charts->pressed.y);
        redraw(charts);
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

static void
release(void *user, TbCanvasPointer pointer)
{
    TbStripCharts *charts = user;
    Hold hold = charts->hold;
    bool click =
        tb_vec2_length(tb_vec2_sub(pointer.at, charts->pressed)) <= mm_of(charts, CLICK_NEAR);

    charts->hold = HOLD_NOTHING;
    if (!has_strip(charts))
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

static void
give_up(void *user)
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
    double station = cursor_of(charts), narrowest = INFINITY;

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

static bool
key(void *user, guint value, GdkModifierType state)
{
    TbStripCharts *charts = user;
    double station;

    if (!has_strip(charts) || (state & (GDK_CONTROL_MASK | GDK_ALT_MASK)))
        return false;
    if (value == GDK_KEY_Return || value == GDK_KEY_KP_Enter) {
        const char *finding = finding_here(charts);

        if (finding != NULL)
            go_to(charts, finding);
        return finding != NULL;
    }
    station = cursor_of(charts);
    if (!cursor_key(charts, value, state, &station))
        return false;
    station = fmax(0, fmin(charts->strip->length, station));
    tb_session_set_cursor(charts->session, NULL, station);
    show_station(charts, station);
    return true;
}

/* ---- the whole ---- */

TbStripCharts *
tb_strip_charts_new(TbSession *session, GSettings *settings, void (*folded)(void *), void *user)
{
    TbStripCharts *charts = g_new0(TbStripCharts, 1);
    TbCanvasDef def = {.draw = draw,
                       .draw_over = draw_over,
                       .zoom = zoom,
                       .pan = pan,
                       .fit = fit,
                       .press = press,
                       .drag = drag,
                       .release = release,
                       .give_up = give_up,
                       .hover = hover,
                       .leave = leave,
                       .key = key,
                       .user = charts};

    charts->session = g_object_ref(session);
    charts->folded = folded;
    charts->user = user;
    charts->settings = settings == NULL ? NULL : g_object_ref(settings);
    tb_strip_fits_load(&charts->fits, settings);
    charts->canvas = g_object_ref_sink(tb_canvas_new(&def));
    take_strip(charts);
    describe(charts);
    return charts;
}

void
tb_strip_charts_free(TbStripCharts *charts)
{
    tb_canvas_forget(TB_CANVAS(charts->canvas));
    g_object_unref(charts->canvas);
    tb_scene_strip_unref(charts->strip);
    tb_strip_fits_clear(&charts->fits);
    g_clear_object(&charts->settings);
    g_object_unref(charts->session);
    g_free(charts);
}

GtkWidget *
tb_strip_charts_canvas(TbStripCharts *charts)
{
    return charts->canvas;
}

const TbSceneStrip *
tb_strip_charts_strip(TbStripCharts *charts)
{
    return charts->strip;
}
