/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/strip_charts_private.h"

#include "base/text.h"
#include "draw/sheet.h"
#include "study/results.h"

#include <glib/gi18n.h>
#include <math.h>

/* ---- what is shown ---- */

double
tb_strip__cursor_of(const TbStripCharts *charts)
{
    return fmin(tb_session_cursor(charts->session), charts->strip->length);
}

bool
tb_strip__has_strip(const TbStripCharts *charts)
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
    if (!tb_strip__has_strip(charts)) {
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

    if (!tb_strip__has_strip(charts) || charts->places.count == 0)
        return;
    (void)size;
    tb_strip_cursor(picture, charts->strip, &charts->places, tb_strip__cursor_of(charts),
                    tb_canvas_measurer(TB_CANVAS(charts->canvas)), NULL);
}

void
tb_strip__redraw(TbStripCharts *charts)
{
    tb_canvas_redraw(TB_CANVAS(charts->canvas));
}

static void
describe(TbStripCharts *charts)
{
    g_autofree char *label = NULL;
    g_autoptr(GString) text = g_string_new(NULL);

    if (!tb_strip__has_strip(charts)) {
        tb_canvas_describe(TB_CANVAS(charts->canvas), _("Charts along the path"), "");
        return;
    }
    label = g_strdup_printf(_("Charts along %s"), charts->strip->name);
    {
        g_autofree char *here = tb_scene_strip_say_at(charts->strip, tb_strip__cursor_of(charts));

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
    tb_strip__redraw(charts);
}

void
tb_strip_charts_follow(TbStripCharts *charts, guint parts)
{
    if (parts & TB_SESSION_BEHIND)
        tb_canvas_set_stale(TB_CANVAS(charts->canvas), tb_session_is_behind(charts->session));
    if (parts & (TB_SESSION_SHOWN | TB_SESSION_CURSOR))
        take_strip(charts);
    if (parts & TB_SESSION_SELECTION)
        tb_strip__redraw(charts);
    if (parts & TB_SESSION_CURSOR)
        tb_canvas_redraw_over(TB_CANVAS(charts->canvas));
    /* nobody listens to what a pointer drags; what stands after it is told */
    if ((parts & (TB_SESSION_SHOWN | TB_SESSION_CURSOR)) && !tb_session_is_held(charts->session))
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
    tb_strip__redraw(charts);
}

static void
zoom(void *user, TbVec2 at, double factor)
{
    TbStripCharts *charts = user;

    if (tb_strip__has_strip(charts) && charts->places.count > 0)
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

    if (!tb_strip__has_strip(charts) || charts->places.count == 0)
        return;
    if (hidden > 0.01 || charts->scroll > 0) {
        charts->scroll = fmax(0, fmin(fmax(0, hidden), charts->scroll - by.y));
        tb_strip__redraw(charts);
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

    if (tb_strip__has_strip(charts))
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

    if (!tb_strip__has_strip(charts))
        return;
    range = range_of(charts);
    at = tb_strip__cursor_of(charts);
    if (at < range.from || at > range.to)
        at = (range.from + range.to) / 2;
    set_range(charts, tb_strip_zoom(range, charts->strip->length, at, factor));
}

/** Puts a station in view, in the middle where it was not. */
void
tb_strip__show_station(TbStripCharts *charts, double station)
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
    tb_strip__redraw(charts);
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

const TbStripPlace *
tb_strip__place_of(const TbStripCharts *charts, size_t chart)
{
    for (size_t i = 0; i < charts->places.count; i++)
        if (charts->places.place[i].chart == chart)
            return &charts->places.place[i];
    return NULL;
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
                       .press = tb_strip__press,
                       .drag = tb_strip__drag,
                       .release = tb_strip__release,
                       .give_up = tb_strip__give_up,
                       .hover = tb_strip__hover,
                       .leave = tb_strip__leave,
                       .key = tb_strip__key,
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
