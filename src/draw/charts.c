/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts.h"

#include "base/mem.h"
#include "base/text.h"
#include "draw/sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* mm of paper */
#define LEFT_COLUMN 34.0 /* titles, units, tick numbers */
#define TITLE 21.0       /* a chart's title, wrapped */
#define SAMPLE 7.0       /* piece of a curve repeated beside its label */
#define LABEL_STEP 4.0   /* between labels at curve ends */
#define CHART_AIR 5.0    /* between charts */
#define STATION_AXIS 9.0 /* numbers below the last chart */
#define MOST_LABEL 62.0  /* widest column of end labels */
#define NAMED 6.0        /* names of stations above the first chart */

TbAxis
tb_axis_for(double low, double high, int most_ticks)
{
    static const double steps[] = {1, 2, 5, 10};
    TbAxis axis;
    double decade;

    if (!(high > low)) {
        double air = fmax(1e-3, fabs(low) * 0.05);

        low -= air;
        high += air;
    }
    decade = pow(10, floor(log10((high - low) / most_ticks)));
    axis.step = 10 * decade;
    for (int i = 0; i < 4; i++)
        if ((high - low) / (steps[i] * decade) <= most_ticks) {
            axis.step = steps[i] * decade;
            break;
        }
    axis.low = floor(low / axis.step + 1e-9) * axis.step;
    axis.high = ceil(high / axis.step - 1e-9) * axis.step;
    axis.decimals = (int)fmax(0, fmin(9, -floor(log10(axis.step) + 1e-9)));
    return axis;
}

/** One chart's rectangle and its axes. */
typedef struct Plot {
    TbPicture *picture;
    const TbSceneChart *chart;
    TbMeasurer measurer;
    TbRectangle box;
    TbAxis value, station;
    double length; /**< of the path, mm */
} Plot;

static double
x_of(const Plot *plot, double station)
{
    return plot->box.low.x + (plot->box.high.x - plot->box.low.x) * station / plot->length;
}

static double
y_of(const Plot *plot, double value)
{
    double share = (value - plot->value.low) / (plot->value.high - plot->value.low);

    return plot->box.high.y - (plot->box.high.y - plot->box.low.y) * share;
}

static TbAxis
value_axis(const TbSceneChart *chart, double height)
{
    double low = chart->zero_matters ? 0 : INFINITY;
    double high = chart->zero_matters ? 0 : -INFINITY;

    for (size_t i = 0; i < chart->curve_count; i++)
        for (size_t k = 0; k < chart->curves[i].count; k++) {
            double v = chart->curves[i].value[k];

            if (isnan(v) || (!isnan(chart->ceiling) && v > chart->ceiling))
                continue;
            low = fmin(low, v);
            high = fmax(high, v);
        }
    for (size_t i = 0; i < chart->limit_count; i++) {
        low = fmin(low, chart->limits[i].value);
        high = fmax(high, chart->limits[i].value * 1.08);
    }
    if (!(low <= high))
        low = high = 0;
    return tb_axis_for(low, high, (int)fmax(2, height / 9));
}

static void
draw_grid(const Plot *plot)
{
    TbPicture *picture = plot->picture;
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_RIGHT};
    long steps = lround((plot->value.high - plot->value.low) / plot->value.step);

    for (long i = 0; i <= steps; i++) {
        double v = plot->value.low + plot->value.step * (double)i;
        double y = y_of(plot, v);
        char text[TB_TEXT_NUMBER];

        tb_picture_segment(picture, tb_vec2(plot->box.low.x, y), tb_vec2(plot->box.high.x, y),
                           TB_PEN_GRID, TB_INK_GRID);
        tb_text_fixed(v, plot->value.decimals, text);
        tb_picture_text(picture, tb_vec2(plot->box.low.x - 1.5, y), style, text);
    }
    for (double s = 0; s <= plot->length + 1e-9; s += plot->station.step)
        tb_picture_segment(picture, tb_vec2(x_of(plot, s), plot->box.low.y),
                           tb_vec2(x_of(plot, s), plot->box.high.y), TB_PEN_GRID, TB_INK_GRID);
    if (plot->value.low < 0 && plot->value.high > 0)
        tb_picture_segment(picture, tb_vec2(plot->box.low.x, y_of(plot, 0)),
                           tb_vec2(plot->box.high.x, y_of(plot, 0)), TB_PEN_FRAME, TB_INK_QUIET);
}

static void
draw_bands(const Plot *plot)
{
    for (size_t i = 0; i < plot->chart->band_count; i++) {
        const TbSceneBand *band = &plot->chart->bands[i];
        double a = x_of(plot, fmax(0, band->from));
        double b = x_of(plot, fmin(plot->length, band->to));

        /* a range of no length is still seen */
        if (b - a < 1) {
            a = (a + b) / 2 - 0.5;
            b = a + 1;
        }
        tb_picture_rectangle(plot->picture, tb_vec2(a, plot->box.low.y),
                             tb_vec2(b, plot->box.high.y),
                             (TbAreaStyle){.fill = TB_INK_BAND, .pen = TB_PEN_NONE}, NULL);
    }
}

/** Sentences of bands: on the line above the chart's frame, pushed apart by leaving out none. */
static void
label_bands(const Plot *plot, TbPlacer *placer)
{
    for (size_t i = 0; i < plot->chart->band_count; i++) {
        const TbSceneBand *band = &plot->chart->bands[i];
        double middle = x_of(plot, (fmax(0, band->from) + fmin(plot->length, band->to)) / 2);
        double width =
            plot->measurer.width(plot->measurer.user, band->text, TB_PT_SMALL, false) + 6;
        TbCandidate candidates[24];
        size_t count = 0;
        TbVec2 centre;

        for (int row = 0; row < 4; row++)
            for (int k = 0; k < 6; k++) {
                double x = middle + (k % 2 == 0 ? 1 : -1) * (k / 2) * width / 3;

                x = fmax(plot->box.low.x + width / 2, fmin(plot->box.high.x - width / 2, x));
                candidates[count++] =
                    (TbCandidate){{x, row % 2 == 0 ? plot->box.low.y + 3 + 2.2 * row
                                                   : plot->box.high.y - 3 - 2.2 * (row - 1)},
                                  4.0 * k + 3.0 * row};
            }
        if (!tb_placer_place(placer, candidates, count, width, 4.2, &centre))
            continue;
        tb_picture_level(plot->picture, tb_vec2(centre.x - width / 2 + 1.5, centre.y), 2.4,
                         band->level);
        tb_picture_text(plot->picture, tb_vec2(centre.x + 1.5, centre.y),
                        (TbTextStyle){.size = TB_PT_SMALL,
                                      .ink = tb_style_level_ink(band->level),
                                      .anchor = TB_ANCHOR_MIDDLE,
                                      .backed = true},
                        band->text);
    }
}

/** Draw the runs of a curve that are numbers, no higher than the chart. */
static void
draw_curve(const Plot *plot, const TbSceneCurve *curve, size_t k, TbPlacer *placer)
{
    TbVec2 *run = tb_alloc_array(curve->count > 0 ? curve->count : 1, sizeof *run);
    size_t used = 0;

    if (run == NULL) {
        plot->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i <= curve->count; i++) {
        bool ends = i == curve->count || isnan(curve->value[i]);

        if (!ends) {
            run[used++] = tb_vec2(x_of(plot, curve->station[i]), y_of(plot, curve->value[i]));
        } else {
            tb_picture_line(plot->picture, run, used, tb_style_curve_pen(k), tb_style_curve_ink(k),
                            curve->tag);
            if (used >= 2)
                tb_placer_ink_line(placer, run, used, false, 6);
            used = 0;
        }
    }
    tb_free(run);
}

/** The interval's pale band between lower and upper, where it is wide enough to be seen. */
static void
draw_interval(const Plot *plot, const TbSceneCurve *curve)
{
    for (size_t i = 0; curve->low != NULL && i + 1 < curve->count; i++) {
        TbVec2 p[4];

        if (isnan(curve->value[i]) || isnan(curve->value[i + 1]) ||
            y_of(plot, curve->low[i]) - y_of(plot, curve->value[i]) < 0.1)
            continue;
        p[0] = tb_vec2(x_of(plot, curve->station[i]), y_of(plot, curve->value[i]));
        p[1] = tb_vec2(x_of(plot, curve->station[i + 1]), y_of(plot, curve->value[i + 1]));
        p[2] = tb_vec2(p[1].x, y_of(plot, curve->low[i + 1]));
        p[3] = tb_vec2(p[0].x, y_of(plot, curve->low[i]));
        tb_picture_area(plot->picture, p, &(TbLoopSpan){0, 4}, 1,
                        (TbAreaStyle){.fill = TB_INK_INTERVAL, .pen = TB_PEN_NONE}, NULL);
    }
}

typedef struct EndLabel {
    double y;  /**< where the curve ends */
    bool seen; /**< the curve ends in view: a leader to it helps */
    size_t curve;
} EndLabel;

static int
by_height(const void *a, const void *b)
{
    const EndLabel *p = a;
    const EndLabel *q = b;

    if (p->y != q->y)
        return p->y < q->y ? -1 : 1;
    return p->curve < q->curve ? -1 : p->curve > q->curve;
}

/** Last number of a curve on paper, kept inside the chart; @p seen: the curve ends in view. */
static double
end_height(const Plot *plot, const TbSceneCurve *curve, bool *seen)
{
    *seen = false;
    for (size_t i = curve->count; i-- > 0;)
        if (!isnan(curve->value[i])) {
            double y = y_of(plot, curve->value[i]);

            *seen = i + 1 == curve->count && y >= plot->box.low.y && y <= plot->box.high.y;
            return fmax(plot->box.low.y, fmin(plot->box.high.y, y));
        }
    return plot->box.high.y;
}

static void
label_curves(const Plot *plot)
{
    size_t count = plot->chart->curve_count;
    EndLabel *ends = tb_alloc_array(count > 0 ? count : 1, sizeof *ends);
    double *at = tb_alloc_array(count > 0 ? count : 1, sizeof *at);

    if (ends == NULL || at == NULL) {
        plot->picture->status = TB_E_MEMORY;
        goto done;
    }
    for (size_t i = 0; i < count; i++) {
        ends[i].y = end_height(plot, &plot->chart->curves[i], &ends[i].seen);
        ends[i].curve = i;
    }
    qsort(ends, count, sizeof *ends, by_height);
    for (size_t i = 0; i < count; i++)
        at[i] = ends[i].y;
    tb_labels_push_apart(at, count, LABEL_STEP, plot->box.low.y, plot->box.high.y);
    for (size_t i = 0; i < count; i++) {
        size_t k = ends[i].curve;
        double x = plot->box.high.x + 1.5;
        TbVec2 sample[2] = {{x + 2, at[i]}, {x + 2 + SAMPLE, at[i]}};

        if (ends[i].seen)
            tb_picture_segment(plot->picture, tb_vec2(plot->box.high.x, ends[i].y), sample[0],
                               TB_PEN_GRID, TB_INK_QUIET);
        tb_picture_line(plot->picture, sample, 2, tb_style_curve_pen(k), tb_style_curve_ink(k),
                        plot->chart->curves[k].tag);
        tb_picture_text(plot->picture, tb_vec2(sample[1].x + 1.5, at[i]),
                        (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK},
                        plot->chart->curves[k].label);
    }

done:
    tb_free(at);
    tb_free(ends);
}

/** All lines first, so that a label's paper covers the next line. */
static void
draw_limits(const Plot *plot, TbPlacer *placer)
{
    for (size_t i = 0; i < plot->chart->limit_count; i++) {
        double y = y_of(plot, plot->chart->limits[i].value);
        TbVec2 line[2] = {{plot->box.low.x, y}, {plot->box.high.x, y}};

        tb_picture_line(plot->picture, line, 2, TB_PEN_LIMIT, TB_INK_INK,
                        plot->chart->limits[i].tag);
        tb_placer_ink_line(placer, line, 2, false, 3);
    }
}

/** Beside its line, where least ink lies. */
static void
label_limits(const Plot *plot, TbPlacer *placer)
{
    for (size_t i = 0; i < plot->chart->limit_count; i++) {
        const TbSceneLimit *limit = &plot->chart->limits[i];
        double y = y_of(plot, limit->value);
        double width =
            plot->measurer.width(plot->measurer.user, limit->label, TB_PT_SMALL, false) + 1.5;
        double step = (plot->box.high.x - plot->box.low.x - width - 2) / 15;
        TbCandidate candidates[32];
        size_t count = 0;
        TbVec2 centre;

        for (int k = 0; k < 16; k++)
            for (int side = -1; side <= 1; side += 2)
                candidates[count++] =
                    (TbCandidate){{plot->box.low.x + width / 2 + 1 + k * step, y + side * 2.6},
                                  k + (side > 0 ? 4 : 0)};
        if (tb_placer_place(placer, candidates, count, width, 4.0, &centre))
            tb_picture_text(plot->picture, centre,
                            (TbTextStyle){.size = TB_PT_SMALL,
                                          .ink = TB_INK_INK,
                                          .anchor = TB_ANCHOR_MIDDLE,
                                          .backed = true},
                            limit->label);
    }
}

static void
draw_chart(const Plot *plot)
{
    TbPicture *picture = plot->picture;
    double head_y = plot->box.low.y + 2;
    TbPlacer placer;

    tb_placer_init(&placer, plot->box);
    draw_bands(plot);
    draw_grid(plot);
    head_y += tb_sheet_paragraph(picture, tb_vec2(TB_SHEET_BINDING, head_y), TITLE,
                                 (TbTextStyle){.size = TB_PT_TEXT, .ink = TB_INK_INK, .bold = true},
                                 plot->chart->title, plot->measurer);
    tb_picture_text(picture, tb_vec2(TB_SHEET_BINDING, head_y + 4.5),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET}, plot->chart->unit);
    tb_picture_clip(picture, plot->box.low, plot->box.high);
    for (size_t k = 0; k < plot->chart->curve_count; k++)
        draw_interval(plot, &plot->chart->curves[k]);
    for (size_t k = 0; k < plot->chart->curve_count; k++)
        draw_curve(plot, &plot->chart->curves[k], k, &placer);
    draw_limits(plot, &placer);
    label_limits(plot, &placer);
    label_bands(plot, &placer);
    tb_picture_unclip(picture);
    tb_picture_rectangle(
        picture, plot->box.low, plot->box.high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
    label_curves(plot);
    if (placer.status != TB_OK)
        picture->status = placer.status;
    tb_placer_clear(&placer);
}

static void
draw_station_axis(const Plot *plot)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_MIDDLE};
    double y = plot->box.high.y;

    for (double s = 0; s <= plot->length + 1e-9; s += plot->station.step) {
        char text[TB_TEXT_NUMBER];
        double x = x_of(plot, s);

        tb_picture_segment(plot->picture, tb_vec2(x, y), tb_vec2(x, y + 1.2), TB_PEN_FRAME,
                           TB_INK_QUIET);
        tb_text_fixed(s, plot->station.decimals, text);
        tb_picture_text(plot->picture, tb_vec2(x, y + 3.6), style, text);
    }
    style.anchor = TB_ANCHOR_LEFT;
    tb_picture_text(plot->picture, tb_vec2(TB_SHEET_BINDING, y + 3.6), style, "station mm");
}

/** Named stations above the first chart, with a fine line through all of them. */
static void
draw_named(const Plot *plot, const TbSceneStrip *strip, double bottom)
{
    double *at = tb_alloc_array(strip->named_count > 0 ? strip->named_count : 1, sizeof *at);
    double widest = 0;

    if (at == NULL) {
        plot->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i < strip->named_count; i++) {
        at[i] = x_of(plot, strip->named_at[i]);
        widest = fmax(
            widest, plot->measurer.width(plot->measurer.user, strip->named[i], TB_PT_SMALL, false));
    }
    tb_labels_push_apart(at, strip->named_count, widest + 2, plot->box.low.x, plot->box.high.x);
    for (size_t i = 0; i < strip->named_count; i++) {
        double x = x_of(plot, strip->named_at[i]);

        tb_picture_segment(plot->picture, tb_vec2(x, plot->box.low.y), tb_vec2(x, bottom),
                           TB_PEN_HIDDEN, TB_INK_QUIET);
        tb_picture_segment(plot->picture, tb_vec2(x, plot->box.low.y),
                           tb_vec2(at[i], plot->box.low.y - 1.6), TB_PEN_FRAME, TB_INK_QUIET);
        tb_picture_text(
            plot->picture, tb_vec2(at[i], plot->box.low.y - 3.6),
            (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_MIDDLE},
            strip->named[i]);
    }
    tb_free(at);
}

/** Room that the end labels of all charts need. */
static double
label_column(const TbSceneStrip *strip, TbMeasurer measurer)
{
    double widest = 10;

    for (size_t i = 0; i < strip->chart_count; i++)
        for (size_t k = 0; k < strip->charts[i].curve_count; k++)
            widest = fmax(widest, measurer.width(measurer.user, strip->charts[i].curves[k].label,
                                                 TB_PT_SMALL, false));
    return fmin(MOST_LABEL, widest) + SAMPLE + 6;
}

/** A chart's share of the height: one with many curves gets twice that of a single one. */
static double
share_of(const TbSceneChart *chart)
{
    return chart->curve_count > 3 ? 2 : 1;
}

TbStatus
tb_charts_view(TbPicture *picture, const TbSceneStrip *strip, TbMeasurer measurer, TbFault *fault)
{
    TbSheetTexts texts = {.title = strip->title,
                          .subtitle = strip->subtitle,
                          .caution = strip->caution,
                          .notes = strip->notes,
                          .note_count = strip->note_count};
    TbRectangle frame;
    double shares = 0;
    double height, y;
    Plot plot = {.picture = picture, .measurer = measurer, .length = strip->length};
    Plot first = plot;

    tb_picture_init(picture, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    frame = tb_sheet_frame(picture, texts, measurer);
    for (size_t i = 0; i < strip->chart_count; i++)
        shares += share_of(&strip->charts[i]);
    height = frame.high.y - frame.low.y - STATION_AXIS - (strip->named_count > 0 ? NAMED : 0) -
             CHART_AIR * (double)(strip->chart_count > 0 ? strip->chart_count - 1 : 0);
    plot.station = tb_axis_for(0, strip->length, 14);
    y = frame.low.y + (strip->named_count > 0 ? NAMED : 0);
    for (size_t i = 0; i < strip->chart_count; i++) {
        double tall = height * share_of(&strip->charts[i]) / shares;

        plot.chart = &strip->charts[i];
        plot.box = (TbRectangle){{frame.low.x + LEFT_COLUMN, y},
                                 {frame.high.x - label_column(strip, measurer), y + tall}};
        plot.value = value_axis(plot.chart, tall);
        if (i == 0)
            first = plot;
        draw_chart(&plot);
        y += tall + CHART_AIR;
    }
    if (strip->chart_count > 0) {
        draw_station_axis(&plot);
        draw_named(&first, strip, plot.box.high.y);
    }
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
