/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts_screen.h"

#include "base/mem.h"
#include "base/text.h"
#include "draw/chart_private.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/* mm of the picture */
#define EDGE 2.0 /* left of titles, right of labels */
#define LEFT_COLUMN 35.0
#define MOST_LABEL 72.0  /* widest right margin ... */
#define LABEL_SHARE 0.27 /* ... and as a share of the width */
#define LEAST_LARGE 17.0 /* many curves, a map */
#define TOP 3.0
#define AIR 3.6 /* between charts: half a tick's number on both sides */
#define FOLDED_AIR 1.5
#define FOLDED 6.0     /* a head line */
#define AXIS_TALL 11.5 /* numbers, and names of stations */
#define NUMBERS 3.4    /* from the axis to the middle of its numbers */
#define NAMES 8.0      /* the same of the names */
#define FLAG_TALL 4.6
#define VALUE_AIR 2.0 /* between a name and its value */

/* ---- layout ---- */

/** What a chart takes when all have room: many curves, and angles, want more. */
static double
natural_of(const TbSceneChart *chart)
{
    if (chart->map != NULL)
        return 36;
    return chart->curve_count > 3 ? 38 : 16;
}

/** What a chart is not made lower than, though others scroll away for it. */
static double
least_of(const TbSceneChart *chart)
{
    return chart->map != NULL || chart->curve_count > 3 ? LEAST_LARGE : TB_STRIP_LEAST;
}

static TbStripFit
fit_of(const TbStripView *view, const TbSceneChart *chart)
{
    for (size_t i = 0; i < view->fit_count; i++)
        if (strcmp(view->fits[i].chart, chart->name) == 0)
            return view->fits[i];
    return (TbStripFit){.chart = chart->name};
}

/** mm a natural mm for those without a height, so that all fit the room as far as none is lower
 * than the least. */
static double
share_factor(const TbSceneStrip *strip, const TbStripView *view, size_t count, double room)
{
    double factor = INFINITY;

    /* each round those at the least take it, and the others share what is left */
    for (size_t round = 0; round <= count; round++) {
        double natural = 0, left = room;

        for (size_t i = 0; i < count; i++) {
            TbStripFit fit = fit_of(view, &strip->charts[i]);
            double own = natural_of(&strip->charts[i]);

            left -= fit.folded ? FOLDED + FOLDED_AIR : AIR;
            if (fit.folded)
                continue;
            if (fit.height > 0)
                left -= fmax(TB_STRIP_LEAST, fit.height);
            else if (factor * own < least_of(&strip->charts[i]))
                left -= least_of(&strip->charts[i]);
            else
                natural += own;
        }
        if (!(natural > 0))
            return 0;
        if (left / natural == factor)
            break;
        factor = left / natural;
    }
    return factor;
}

static void
lay_out(const TbSceneStrip *strip, const TbStripView *view, double margin, TbStripPlaces *places)
{
    size_t count = strip->chart_count < TB_STRIP_MOST ? strip->chart_count : TB_STRIP_MOST;
    double factor, y = TOP - view->scroll;

    *places = (TbStripPlaces){.count = count,
                              .width = view->width,
                              .height = view->height,
                              .from = view->to > view->from ? view->from : 0,
                              .to = view->to > view->from ? view->to : strip->length,
                              .left = LEFT_COLUMN,
                              .right = fmax(LEFT_COLUMN + 10, view->width - margin),
                              .axis = view->height - AXIS_TALL};
    factor = share_factor(strip, view, count, places->axis - TOP);
    for (size_t i = 0; i < count; i++) {
        TbStripFit fit = fit_of(view, &strip->charts[i]);
        TbStripPlace *place = &places->place[i];
        double tall = fit.height > 0 ? fmax(TB_STRIP_LEAST, fit.height)
                                     : fmax(least_of(&strip->charts[i]),
                                            factor * natural_of(&strip->charts[i]));

        tall = fit.folded ? FOLDED : tall;
        *place = (TbStripPlace){.chart = i, .folded = fit.folded, .top = y};
        place->box = (TbRectangle){{places->left, y}, {places->right, y + tall}};
        y += tall + (fit.folded ? FOLDED_AIR : AIR);
    }
    places->tall = y + view->scroll;
}

/** Wide enough for a gap and its keep, bold as one that is short; with air before them. */
static double
value_column(const TbSceneStrip *strip, TbMeasurer measurer)
{
    const char *wide = strip->unit == TB_UNIT_INCH ? "0.432 / 0.315" : "26.1 / 30";

    return fmax(TB_PLOT_VALUE, measurer.width(measurer.user, wide, TB_PT_SMALL, true) + VALUE_AIR);
}

static double
margin_of(const TbSceneStrip *strip, double width, TbMeasurer measurer)
{
    double widest = 12;

    for (size_t i = 0; i < strip->chart_count; i++)
        for (size_t k = 0; k < strip->charts[i].curve_count; k++)
            widest = fmax(widest, measurer.width(measurer.user, strip->charts[i].curves[k].name,
                                                 TB_PT_SMALL, false));
    return fmin(fmin(MOST_LABEL, LABEL_SHARE * width),
                widest + TB_PLOT_SAMPLE + 6 + value_column(strip, measurer) + EDGE);
}

static TbAxis
station_axis(const TbSceneStrip *strip, const TbStripPlaces *places)
{
    return tb_axis_for(places->from, places->to, (int)fmax(2, (places->right - places->left) / 16),
                       TB_QUANTITY_LENGTH, strip->unit);
}

static TbPlot
plot_of(TbPicture *picture,
        const TbSceneStrip *strip,
        const TbStripPlaces *places,
        const TbStripPlace *place,
        TbMeasurer measurer)
{
    double tall = place->box.high.y - place->box.low.y;
    TbPlot plot = {.picture = picture,
                   .strip = strip,
                   .chart = &strip->charts[place->chart],
                   .measurer = measurer,
                   .box = place->box,
                   .from = places->from,
                   .to = places->to,
                   .left = EDGE,
                   .right = places->width - EDGE,
                   .values = value_column(strip, measurer)};

    plot.station = station_axis(strip, places);
    plot.value = tb_plot__value_axis(plot.chart, strip->unit, tall);
    return plot;
}

/* ---- the charts ---- */

/** A chart's head line: what it is and, shortened, what it shows. */
static void
draw_folded(const TbPlot *plot)
{
    const TbSceneChart *chart = plot->chart;
    const char *summary = chart->summary == NULL ? "" : chart->summary;
    g_autofree char *said =
        chart->of == NULL ? g_strdup(summary) : g_strdup_printf("(%s) %s", chart->of, summary);
    double y = (plot->box.low.y + plot->box.high.y) / 2;
    char text[TB_TEXT_SHORT];

    tb_picture_text(plot->picture, tb_vec2(plot->left, y),
                    (TbTextStyle){.size = TB_PT_TEXT, .ink = TB_INK_INK, .bold = true},
                    tb_plot__name(chart));
    tb_text_shorten(plot->measurer, said, TB_PT_SMALL, false, plot->right - plot->box.low.x, text);
    tb_picture_text(plot->picture, tb_vec2(plot->box.low.x, y),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET}, text);
}

static bool
is_in_view(const TbStripPlaces *places, const TbStripPlace *place)
{
    return place->box.high.y > 0 && place->box.low.y < places->axis;
}

/** Names below the numbers, pushed apart. */
static void
draw_named(TbPicture *picture,
           const TbSceneStrip *strip,
           const TbStripPlaces *places,
           TbMeasurer measurer)
{
    double *at = tb_alloc_array(strip->named_count > 0 ? strip->named_count : 1, sizeof *at);
    double widest = 0;
    size_t shown = 0;

    if (at == NULL) {
        picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i < strip->named_count; i++)
        if (strip->named_at[i] >= places->from && strip->named_at[i] <= places->to) {
            at[shown++] = tb_strip_x(places, strip->named_at[i]);
            widest =
                fmax(widest, measurer.width(measurer.user, strip->named[i], TB_PT_SMALL, false));
        }
    widest = fmin(widest, (places->right - places->left) / (double)(shown > 0 ? shown : 1) - 2);
    tb_labels_push_apart(at, shown, widest + 2, places->left, places->right);
    shown = 0;
    for (size_t i = 0; i < strip->named_count; i++) {
        double x = tb_strip_x(places, strip->named_at[i]);
        char text[TB_TEXT_SHORT];

        if (strip->named_at[i] < places->from || strip->named_at[i] > places->to)
            continue;
        tb_text_shorten(measurer, strip->named[i], TB_PT_SMALL, false, widest, text);
        tb_picture_segment(picture, tb_vec2(x, places->axis + 5.4),
                           tb_vec2(at[shown], places->axis + 6), TB_PEN_FRAME, TB_INK_QUIET);
        tb_picture_text(
            picture, tb_vec2(at[shown++], places->axis + NAMES),
            (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE},
            text);
    }
    tb_free(at);
}

/** A small triangle downwards: charts go on below. */
static void
draw_more(TbPicture *picture, const TbStripPlaces *places)
{
    TbVec2 at = {places->left / 2, places->axis - 1};
    TbVec2 corner[3] = {{at.x - 1.8, at.y - 1.6}, {at.x + 1.8, at.y - 1.6}, {at.x, at.y}};

    tb_picture_rectangle(picture, tb_vec2(0, places->axis - 3.4),
                         tb_vec2(places->left - 0.2, places->axis - 0.2),
                         (TbAreaStyle){.fill = TB_INK_PAPER, .pen = TB_PEN_NONE}, NULL);
    tb_picture_area(picture, corner, &(TbLoopSpan){0, 3}, 1,
                    (TbAreaStyle){.fill = TB_INK_QUIET, .pen = TB_PEN_NONE}, NULL);
}

/** The axis covers charts that are scrolled under it. */
static void
draw_axis(TbPicture *picture,
          const TbSceneStrip *strip,
          const TbStripPlaces *places,
          TbMeasurer measurer)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_MIDDLE};
    TbAxis axis = station_axis(strip, places);

    tb_picture_rectangle(picture, tb_vec2(0, places->axis), tb_vec2(places->width, places->height),
                         (TbAreaStyle){.fill = TB_INK_PAPER, .pen = TB_PEN_NONE}, NULL);
    tb_picture_segment(picture, tb_vec2(places->left, places->axis),
                       tb_vec2(places->right, places->axis), TB_PEN_FRAME, TB_INK_QUIET);
    for (double s = tb_axis_first_tick(&axis, places->from); s <= places->to + 1e-9;
         s += axis.step) {
        char text[TB_TEXT_NUMBER];
        double x = tb_strip_x(places, s);

        tb_picture_segment(picture, tb_vec2(x, places->axis), tb_vec2(x, places->axis + 1.2),
                           TB_PEN_FRAME, TB_INK_QUIET);
        tb_axis_number(&axis, s, text);
        tb_picture_text(picture, tb_vec2(x, places->axis + NUMBERS), style, text);
    }
    style.anchor = TB_ANCHOR_LEFT;
    tb_picture_text(picture, tb_vec2(EDGE, places->axis + NUMBERS), style,
                    strip->axis_title == NULL ? "station mm" : strip->axis_title);
    if (places->place[places->count - 1].box.high.y > places->axis)
        draw_more(picture, places);
    draw_named(picture, strip, places, measurer);
}

TbStatus
tb_strip_screen(TbPicture *picture,
                const TbSceneStrip *strip,
                const TbStripView *view,
                TbMeasurer measurer,
                TbStripPlaces *places,
                TbFault *fault)
{
    tb_picture_init(picture, view->width, view->height);
    lay_out(strip, view, margin_of(strip, view->width, measurer), places);
    for (size_t i = 0; i < places->count; i++) {
        TbPlot plot = plot_of(picture, strip, places, &places->place[i], measurer);

        plot.selected = view->selected;
        if (!is_in_view(places, &places->place[i]))
            continue;
        if (places->place[i].folded)
            draw_folded(&plot);
        else
            tb_plot__draw(&plot);
    }
    draw_axis(picture, strip, places, measurer);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}

/* ---- the cursor ---- */

#define VALUE_TEXT (2 * TB_TEXT_NUMBER)

/** "26.1 / 30" of a gap, else the number. */
static void
value_text(const TbPlot *plot, const TbSceneCurve *curve, double station, char text[VALUE_TEXT])
{
    double told = tb_scene_curve_told(curve, station);
    char number[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    if (isnan(curve->keep)) {
        tb_quantity_write(told, plot->chart->quantity, plot->strip->unit, plot->chart->decimals,
                          number);
        tb_text_format(text, VALUE_TEXT, "%s", number);
        return;
    }
    tb_gap_words(told, curve->keep, plot->strip->unit, number, keep);
    tb_text_format(text, VALUE_TEXT, "%s / %s", number, keep);
}

static void
put_values(const TbPlot *plot, double station, double axis)
{
    size_t count = plot->chart->curve_count;
    double *at = tb_alloc_array(count > 0 ? count : 1, sizeof *at);

    if (at == NULL) {
        plot->picture->status = TB_E_MEMORY;
        return;
    }
    tb_plot__label_heights(plot, at);
    for (size_t i = 0; i < count; i++) {
        const TbSceneCurve *curve = &plot->chart->curves[i];
        double value = tb_scene_curve_at(curve, station);
        double y = tb_plot__y(plot, value);
        bool is_short = tb_scene_curve_told(curve, station) < curve->keep;
        char text[VALUE_TEXT];

        if (isnan(value))
            continue;
        if (y >= plot->box.low.y && y <= fmin(axis, plot->box.high.y))
            tb_picture_dot(plot->picture, tb_vec2(tb_plot__x(plot, station), y), 0.8,
                           tb_style_curve_ink(i));
        /* what is scrolled under the axis has no value there */
        if (isnan(at[i]) || at[i] > axis)
            continue;
        value_text(plot, curve, station, text);
        tb_picture_text(plot->picture, tb_vec2(plot->right, at[i]),
                        (TbTextStyle){.size = TB_PT_SMALL,
                                      .ink = is_short ? TB_INK_SHORT : TB_INK_INK,
                                      .anchor = TB_ANCHOR_RIGHT,
                                      .bold = is_short},
                        text);
    }
    tb_free(at);
}

/** Who has the least room around the path, and where. */
static void
put_spot(const TbPlot *plot, double station, double axis)
{
    TbSceneMapSpot spot = tb_scene_map_worst(plot->chart->map, plot->strip->length, station);
    double y = tb_plot__angle_y(plot, spot.angle);
    double left = plot->box.high.x + 25;
    char angle[TB_TEXT_NUMBER], text[TB_TEXT_SHORT], whole[TB_TEXT_SHORT];

    if (spot.neighbour == NULL || y > axis)
        return;
    tb_picture_dot(plot->picture, tb_vec2(tb_plot__x(plot, station), y), 1, TB_INK_SELECT);
    tb_text_fixed(spot.angle, 0, angle);
    tb_text_format(whole, sizeof whole, "%s°", angle);
    y = fmax(plot->box.low.y + 2.2, fmin(plot->box.high.y - 6.4, y));
    tb_text_shorten(plot->measurer, spot.neighbour->name, TB_PT_SMALL, false, plot->right - left,
                    text);
    tb_picture_text(
        plot->picture, tb_vec2(plot->right, y),
        (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_RIGHT}, text);
    tb_picture_text(
        plot->picture, tb_vec2(plot->right, y + TB_PLOT_LABEL_STEP),
        (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_RIGHT}, whole);
}

/** Numbers of the axis that a flag would cut into are covered whole. */
static void
cover_numbers(TbPicture *picture,
              const TbSceneStrip *strip,
              const TbStripPlaces *places,
              double low,
              double high,
              TbMeasurer measurer)
{
    TbAxis axis = station_axis(strip, places);

    for (double s = tb_axis_first_tick(&axis, places->from); s <= places->to + 1e-9;
         s += axis.step) {
        double x = tb_strip_x(places, s), half;
        char text[TB_TEXT_NUMBER];

        tb_axis_number(&axis, s, text);
        half = measurer.width(measurer.user, text, TB_PT_SMALL, false) / 2 + 0.4;
        if (x + half > low && x - half < high)
            tb_picture_rectangle(picture, tb_vec2(x - half, places->axis + 1.3),
                                 tb_vec2(x + half, places->axis + 1 + FLAG_TALL),
                                 (TbAreaStyle){.fill = TB_INK_PAPER, .pen = TB_PEN_NONE}, NULL);
    }
}

/** The station on the axis, in a flag. */
static void
put_flag(TbPicture *picture,
         const TbSceneStrip *strip,
         const TbStripPlaces *places,
         double station,
         TbMeasurer measurer)
{
    double x = tb_strip_x(places, station);
    char number[TB_TEXT_NUMBER], text[64];
    double half;

    tb_quantity_write(station, TB_QUANTITY_LENGTH, strip->unit, 1, number);
    tb_text_format(text, sizeof text, "%s %s", number, tb_length_unit_name(strip->unit));
    half = measurer.width(measurer.user, text, TB_PT_SMALL, true) / 2 + 1.2;
    tb_picture_segment(picture, tb_vec2(x, 0), tb_vec2(x, places->axis + 1), TB_PEN_GAP,
                       TB_INK_SELECT);
    x = fmax(half, fmin(places->width - half, x));
    cover_numbers(picture, strip, places, x - half, x + half, measurer);
    tb_picture_rectangle(picture, tb_vec2(x - half, places->axis + 1),
                         tb_vec2(x + half, places->axis + 1 + FLAG_TALL),
                         (TbAreaStyle){.fill = TB_INK_SELECT, .pen = TB_PEN_NONE}, NULL);
    tb_picture_text(
        picture, tb_vec2(x, places->axis + 1 + FLAG_TALL / 2),
        (TbTextStyle){
            .size = TB_PT_SMALL, .ink = TB_INK_PAPER, .anchor = TB_ANCHOR_MIDDLE, .bold = true},
        text);
}

TbStatus
tb_strip_cursor(TbPicture *picture,
                const TbSceneStrip *strip,
                const TbStripPlaces *places,
                double station,
                TbMeasurer measurer,
                TbFault *fault)
{
    tb_picture_init(picture, places->width, places->height);
    for (size_t i = 0; i < places->count; i++) {
        TbPlot plot = plot_of(picture, strip, places, &places->place[i], measurer);
        bool seen = station >= places->from && station <= places->to;

        if (!is_in_view(places, &places->place[i]) || places->place[i].folded || !seen)
            continue;
        if (plot.chart->map != NULL)
            put_spot(&plot, station, places->axis);
        else
            put_values(&plot, station, places->axis);
    }
    if (station >= places->from && station <= places->to)
        put_flag(picture, strip, places, station, measurer);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
