/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts.h"

#include "base/mem.h"
#include "base/text.h"
#include "draw/chart_private.h"
#include "draw/sheet.h"

#include <math.h>
#include <string.h>

/* mm of paper */
#define LEFT_COLUMN 34.0 /* titles, units, tick numbers */
#define CHART_AIR 5.0    /* between charts */
#define STATION_AXIS 9.0 /* numbers below the last chart */
#define MOST_LABEL 62.0  /* widest column of end labels */
#define NAMED 6.0        /* names of stations above the first chart */

static void
draw_station_axis(const TbPlot *plot)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_MIDDLE};
    double y = plot->box.high.y;

    for (double s = 0; s <= plot->to + 1e-9; s += plot->station.step) {
        char text[TB_TEXT_NUMBER];
        double x = tb_plot__x(plot, s);

        tb_picture_segment(plot->picture, tb_vec2(x, y), tb_vec2(x, y + 1.2), TB_PEN_FRAME,
                           TB_INK_QUIET);
        tb_axis_number(&plot->station, s, text);
        tb_picture_text(plot->picture, tb_vec2(x, y + 3.6), style, text);
    }
    style.anchor = TB_ANCHOR_LEFT;
    tb_picture_text(plot->picture, tb_vec2(plot->left, y + 3.6), style,
                    plot->strip->axis_title == NULL ? "station mm" : plot->strip->axis_title);
}

/** Named stations above the first chart. */
static void
draw_named(const TbPlot *plot, const TbSceneStrip *strip)
{
    double *at;
    double widest = 0;

    if (strip->named_count == 0)
        return;
    at = tb_alloc_array(strip->named_count, sizeof *at);
    if (at == NULL) {
        plot->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i < strip->named_count; i++) {
        at[i] = tb_plot__x(plot, strip->named_at[i]);
        widest = fmax(
            widest, plot->measurer.width(plot->measurer.user, strip->named[i], TB_PT_SMALL, false));
    }
    widest = fmin(widest, (plot->box.high.x - plot->box.low.x) / (double)strip->named_count - 2);
    tb_labels_push_apart(at, strip->named_count, widest + 2, plot->box.low.x, plot->box.high.x);
    for (size_t i = 0; i < strip->named_count; i++) {
        double x = tb_plot__x(plot, strip->named_at[i]);
        char text[TB_TEXT_SHORT];

        tb_text_shorten(plot->measurer, strip->named[i], TB_PT_SMALL, false, widest, text);
        tb_picture_segment(plot->picture, tb_vec2(x, plot->box.low.y),
                           tb_vec2(at[i], plot->box.low.y - 1.6), TB_PEN_FRAME, TB_INK_QUIET);
        tb_picture_text(
            plot->picture, tb_vec2(at[i], plot->box.low.y - 3.6),
            (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_MIDDLE},
            text);
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
    return fmin(MOST_LABEL, widest) + TB_PLOT_SAMPLE + 6;
}

/** A chart's share of the height: one with many curves, or a map, gets twice that of a single one.
 */
static double
share_of(const TbSceneChart *chart)
{
    return chart->curve_count > 3 || chart->map != NULL ? 2 : 1;
}

static bool
is_asked(const char *const names[], const TbSceneChart *chart)
{
    if (names == NULL)
        return true;
    for (size_t i = 0; names[i] != NULL; i++)
        if (chart->name != NULL && strcmp(names[i], chart->name) == 0)
            return true;
    return false;
}

void
tb_charts_into(TbPicture *picture,
               const TbSceneStrip *strip,
               const char *const names[],
               TbRectangle frame,
               TbMeasurer measurer)
{
    TbPlot plot = {.picture = picture,
                   .strip = strip,
                   .measurer = measurer,
                   .to = strip->length,
                   .left = frame.low.x,
                   .right = frame.high.x};
    TbPlot first = {0};
    double above = strip->named_count > 0 ? NAMED : 0;
    double shares = 0, y = frame.low.y + above;
    double height;
    size_t count = 0;

    for (size_t i = 0; i < strip->chart_count; i++) {
        if (!is_asked(names, &strip->charts[i]))
            continue;
        shares += share_of(&strip->charts[i]);
        count++;
    }
    if (count == 0)
        return;
    height = frame.high.y - frame.low.y - STATION_AXIS - above - CHART_AIR * (double)(count - 1);
    plot.station = tb_axis_for(0, strip->length, 14, TB_QUANTITY_LENGTH, strip->unit);
    for (size_t i = 0; i < strip->chart_count; i++) {
        double tall = height * share_of(&strip->charts[i]) / shares;

        if (!is_asked(names, &strip->charts[i]))
            continue;
        plot.chart = &strip->charts[i];
        plot.box = (TbRectangle){{frame.low.x + LEFT_COLUMN, y},
                                 {frame.high.x - label_column(strip, measurer), y + tall}};
        plot.value = tb_plot__value_axis(plot.chart, strip->unit, tall);
        if (first.chart == NULL)
            first = plot;
        tb_plot__draw(&plot);
        y += tall + CHART_AIR;
    }
    tb_picture_layer(picture, TB_LAYER_AXES);
    draw_station_axis(&plot);
    tb_picture_layer(picture, TB_LAYER_LABELS);
    draw_named(&first, strip);
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

    tb_picture_init(picture, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    frame = tb_sheet_frame(picture, texts, measurer);
    tb_charts_into(picture, strip, NULL, frame, measurer);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
