/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/chart_private.h"

#include "base/mem.h"
#include "base/text.h"
#include "draw/sheet.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/* ---- axes ---- */

double
tb_plot__x(const TbPlot *plot, double station)
{
    return plot->box.low.x +
           (plot->box.high.x - plot->box.low.x) * (station - plot->from) / (plot->to - plot->from);
}

double
tb_plot__y(const TbPlot *plot, double value)
{
    double share = (value - plot->value.low) / (plot->value.high - plot->value.low);

    return plot->box.high.y - (plot->box.high.y - plot->box.low.y) * share;
}

/** What a chart's curves, limits and band span. */
static void
span_of(const TbSceneChart *chart, double *low, double *high)
{
    double ceiling = isnan(chart->ceiling) ? (double)INFINITY : chart->ceiling;

    for (size_t i = 0; i < chart->curve_count; i++)
        for (size_t k = 0; k < chart->curves[i].count; k++) {
            double v = chart->curves[i].value[k];

            if (isnan(v))
                continue;
            *low = fmin(*low, fmin(v, ceiling));
            *high = fmax(*high, fmin(v, ceiling));
        }
    for (size_t i = 0; i < chart->allowed.count; i++)
        if (!isnan(chart->allowed.high[i]))
            *high = fmax(*high, chart->allowed.high[i]);
    for (size_t i = 0; i < chart->limit_count; i++) {
        *low = fmin(*low, chart->limits[i].value);
        *high = fmax(*high, chart->limits[i].value);
    }
}

/** Air above the highest value, as a share of the range. */
#define HEAD_ROOM 0.08

/** An axis spans at least so many of the steps that its values are read in. */
#define LEAST_DIGITS 10

/** Low charts have few ticks: what lies between the last one and the highest value is not worth
 * their room. */
static TbAxis
capped_axis(const TbSceneChart *chart, TbLengthUnit unit, double low, double high, int most_ticks)
{
    TbAxis axis = tb_axis_for(low, high, most_ticks, chart->quantity, unit);
    double air = HEAD_ROOM * (high - low);

    if (high > low) {
        axis.high = fmin(axis.high, high + air);
        axis.low = low < 0 ? fmax(axis.low, low - air) : axis.low;
    }
    return axis;
}

/** mm of paper between ticks whose numbers do not touch. */
#define TICK_LEAST 3.7

static int
ticks_of(const TbAxis *axis)
{
    double first = tb_axis_first_tick(axis, axis->low);

    return (int)floor((axis->high - first) / axis->step + 1e-9) + 1;
}

TbAxis
tb_plot__value_axis(const TbSceneChart *chart, TbLengthUnit unit, double height)
{
    double low = chart->zero_matters ? 0 : INFINITY;
    double high = chart->zero_matters ? 0 : -INFINITY;
    TbAxis axis;

    span_of(chart, &low, &high);
    if (!(low <= high))
        low = high = 0;
    /* what is the same all along is no drama of its last digits */
    high = fmax(high, low + LEAST_DIGITS * pow(10, -chart->decimals));
    axis = capped_axis(chart, unit, low, high, (int)fmax(2, height / 9));
    /* a lone tick tells no scale: finer ones, where their numbers have room */
    for (int most = 3; most <= 4 && high > low && ticks_of(&axis) < 2; most++) {
        TbAxis finer = capped_axis(chart, unit, low, high, most);

        if (finer.step / (finer.high - finer.low) * height < TICK_LEAST)
            break;
        axis = finer;
    }
    return axis;
}

/* ---- what lies below the curves ---- */

void
tb_plot__named(const TbPlot *plot)
{
    for (size_t i = 0; i < plot->strip->named_count; i++) {
        double x = tb_plot__x(plot, plot->strip->named_at[i]);

        if (x >= plot->box.low.x && x <= plot->box.high.x)
            tb_picture_segment(plot->picture, tb_vec2(x, plot->box.low.y),
                               tb_vec2(x, plot->box.high.y), TB_PEN_HIDDEN, TB_INK_QUIET);
    }
}

static void
draw_grid(const TbPlot *plot)
{
    TbPicture *picture = plot->picture;
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_RIGHT};
    double first = tb_axis_first_tick(&plot->value, plot->value.low);

    for (double v = first; v <= plot->value.high + 1e-9 * plot->value.step; v += plot->value.step) {
        double y = tb_plot__y(plot, v);
        char text[TB_TEXT_NUMBER];

        tb_picture_segment(picture, tb_vec2(plot->box.low.x, y), tb_vec2(plot->box.high.x, y),
                           TB_PEN_GRID, TB_INK_GRID);
        tb_axis_number(&plot->value, v, text);
        tb_picture_text(picture, tb_vec2(plot->box.low.x - 1.5, y), style, text);
    }
    for (double s = tb_axis_first_tick(&plot->station, plot->from); s <= plot->to + 1e-9;
         s += plot->station.step)
        tb_picture_segment(picture, tb_vec2(tb_plot__x(plot, s), plot->box.low.y),
                           tb_vec2(tb_plot__x(plot, s), plot->box.high.y), TB_PEN_GRID,
                           TB_INK_GRID);
    if (plot->value.low < 0 && plot->value.high > 0)
        tb_picture_segment(picture, tb_vec2(plot->box.low.x, tb_plot__y(plot, 0)),
                           tb_vec2(plot->box.high.x, tb_plot__y(plot, 0)), TB_PEN_FRAME,
                           TB_INK_QUIET);
}

static TbInk
band_ink(TbLevel level)
{
    return level == TB_LEVEL_SHORT || level == TB_LEVEL_OPEN ? TB_INK_BAND : TB_INK_BAND_WATCH;
}

void
tb_plot__bands(const TbPlot *plot)
{
    tb_picture_layer(plot->picture, TB_LAYER_FINDINGS);
    for (size_t i = 0; i < plot->chart->band_count; i++) {
        const TbSceneBand *band = &plot->chart->bands[i];
        double a = tb_plot__x(plot, fmax(plot->from, band->from));
        double b = tb_plot__x(plot, fmin(plot->to, band->to));
        bool chosen = plot->selected != NULL && band->finding != NULL &&
                      strcmp(band->finding, plot->selected) == 0;

        if (band->to < plot->from || band->from > plot->to)
            continue;
        /* a range of no length is still seen */
        if (b - a < 1) {
            a = fmax(plot->box.low.x, (a + b) / 2 - 0.5);
            b = fmin(plot->box.high.x, a + 1);
        }
        tb_picture_rectangle(plot->picture, tb_vec2(a, plot->box.low.y),
                             tb_vec2(b, plot->box.high.y),
                             (TbAreaStyle){.fill = band_ink(band->level),
                                           .edge = TB_INK_SELECT,
                                           .pen = chosen ? TB_PEN_GAP : TB_PEN_NONE},
                             band->finding);
    }
}

/** A run of the allowed band, from one told station to before another. */
static void
draw_allowed_run(const TbPlot *plot, size_t from, size_t to)
{
    const TbSceneAllowed *allowed = &plot->chart->allowed;
    size_t count = to - from;
    TbVec2 *p = tb_alloc_array(2 * count, sizeof *p);

    if (p == NULL) {
        plot->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i < count; i++) {
        double x = tb_plot__x(plot, allowed->station[from + i]);

        p[i] = tb_vec2(x, tb_plot__y(plot, allowed->low[from + i]));
        p[2 * count - 1 - i] = tb_vec2(x, tb_plot__y(plot, allowed->high[from + i]));
    }
    tb_picture_area(plot->picture, p, &(TbLoopSpan){0, 2 * count}, 1,
                    (TbAreaStyle){.fill = TB_INK_INTERVAL, .pen = TB_PEN_NONE}, NULL);
    tb_free(p);
}

static void
draw_allowed(const TbPlot *plot)
{
    const TbSceneAllowed *allowed = &plot->chart->allowed;
    size_t from = 0;

    for (size_t i = 0; i <= allowed->count; i++) {
        if (i < allowed->count && !isnan(allowed->low[i]))
            continue;
        if (i > from + 1)
            draw_allowed_run(plot, from, i);
        from = i + 1;
    }
}

/* ---- curves ---- */

/** Draw the runs of a curve that are numbers, no higher than the chart. */
static void
draw_curve(const TbPlot *plot, const TbSceneCurve *curve, size_t k, TbPlacer *placer)
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
            run[used++] =
                tb_vec2(tb_plot__x(plot, curve->station[i]), tb_plot__y(plot, curve->value[i]));
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
draw_interval(const TbPlot *plot, const TbSceneCurve *curve)
{
    for (size_t i = 0; curve->low != NULL && i + 1 < curve->count; i++) {
        TbVec2 p[4];

        if (isnan(curve->value[i]) || isnan(curve->value[i + 1]) ||
            tb_plot__y(plot, curve->low[i]) - tb_plot__y(plot, curve->value[i]) < 0.1)
            continue;
        p[0] = tb_vec2(tb_plot__x(plot, curve->station[i]), tb_plot__y(plot, curve->value[i]));
        p[1] =
            tb_vec2(tb_plot__x(plot, curve->station[i + 1]), tb_plot__y(plot, curve->value[i + 1]));
        p[2] = tb_vec2(p[1].x, tb_plot__y(plot, curve->low[i + 1]));
        p[3] = tb_vec2(p[0].x, tb_plot__y(plot, curve->low[i]));
        tb_picture_area(plot->picture, p, &(TbLoopSpan){0, 4}, 1,
                        (TbAreaStyle){.fill = TB_INK_INTERVAL, .pen = TB_PEN_NONE}, NULL);
    }
}

/** All lines first, so that a label's paper covers the next line. */
static void
draw_limits(const TbPlot *plot, TbPlacer *placer)
{
    for (size_t i = 0; i < plot->chart->limit_count; i++) {
        double y = tb_plot__y(plot, plot->chart->limits[i].value);
        bool whole = plot->chart->limits[i].to <= plot->chart->limits[i].from;
        TbVec2 line[2] = {
            {whole ? plot->box.low.x : tb_plot__x(plot, plot->chart->limits[i].from), y},
            {whole ? plot->box.high.x : tb_plot__x(plot, plot->chart->limits[i].to), y}};

        tb_picture_line(plot->picture, line, 2, TB_PEN_LIMIT, TB_INK_INK,
                        plot->chart->limits[i].tag);
        tb_placer_ink_line(placer, line, 2, false, 3);
    }
}

/* ---- the whole ---- */

/** mm between lines of a head, and from its last line to the unit below it. */
#define HEAD_LINE 4.0
#define HEAD_UNIT 4.5

/** mm between a name and the unit beside it. */
#define HEAD_BESIDE 1.0

/** mm below a chart's foot that the middle of a head's last line may lie: in the air below it. */
#define HEAD_BELOW 1.3

const char *
tb_plot__name(const TbSceneChart *chart)
{
    return chart->head == NULL ? chart->title : chart->head;
}

/** In as many lines as stand beside the chart, the last one shortened. @return mm below the first
 */
static double
put_what(const TbPlot *plot, double y, double room)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK};
    const char *rest = plot->chart->of;
    int lines = (int)fmax(1, floor(room / HEAD_LINE)), line = 0;
    char text[TB_TEXT_SHORT];

    for (; *rest != '\0' && line < lines; line++) {
        size_t fits = tb_text_fit(plot->measurer, rest, style.size, false, TB_PLOT_TITLE);

        if (line == lines - 1)
            tb_text_shorten(plot->measurer, rest, style.size, false, TB_PLOT_TITLE, text);
        else
            g_snprintf(text, sizeof text, "%.*s", (int)fits, rest);
        tb_picture_text(plot->picture, tb_vec2(plot->left, y + HEAD_LINE * line), style, text);
        rest += fits;
        rest += strspn(rest, " ");
    }
    return HEAD_LINE * (line - 1);
}

/** The last line of a name, wrapped as a paragraph is. */
static const char *
last_line(const TbPlot *plot, const char *name, TbTextStyle style)
{
    const char *line = name;

    for (;;) {
        name += tb_text_fit(plot->measurer, line, style.size, style.bold, TB_PLOT_TITLE);
        name += strspn(name, " ");
        if (*name == '\0')
            return line;
        line = name;
    }
}

void
tb_plot__head(const TbPlot *plot)
{
    TbTextStyle style = {.size = TB_PT_TEXT, .ink = TB_INK_INK, .bold = true};
    TbTextStyle quiet = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET};
    const char *name = tb_plot__name(plot->chart), *unit = plot->chart->unit;
    double y = plot->box.low.y + 2, foot = plot->box.high.y, x = plot->left;
    double down = tb_sheet_paragraph(plot->picture, tb_vec2(x, y), TB_PLOT_TITLE, style, name,
                                     plot->measurer);

    y += down;
    if (plot->chart->of == NULL) {
        tb_picture_text(plot->picture, tb_vec2(x, y + HEAD_UNIT), quiet, unit);
        return;
    }
    x += plot->measurer.width(plot->measurer.user, last_line(plot, name, style), style.size, true) +
         HEAD_BESIDE;
    if (x + plot->measurer.width(plot->measurer.user, unit, quiet.size, false) <=
        plot->left + TB_PLOT_TITLE) {
        tb_picture_text(plot->picture, tb_vec2(x, y), quiet, unit);
        put_what(plot, y + HEAD_LINE, foot + HEAD_BELOW - y);
        return;
    }
    y += HEAD_LINE;
    y += put_what(plot, y, foot - y - HEAD_UNIT);
    tb_picture_text(plot->picture, tb_vec2(plot->left, y + HEAD_UNIT), quiet, unit);
}

static void
draw_curves(const TbPlot *plot, TbPlacer *placer)
{
    tb_plot__bands(plot);
    tb_picture_layer(plot->picture, TB_LAYER_GRID);
    draw_grid(plot);
    tb_plot__named(plot);
    tb_picture_layer(plot->picture, TB_LAYER_CURVES);
    tb_picture_clip(plot->picture, plot->box.low, plot->box.high);
    draw_allowed(plot);
    for (size_t k = 0; k < plot->chart->curve_count; k++)
        draw_interval(plot, &plot->chart->curves[k]);
    for (size_t k = 0; k < plot->chart->curve_count; k++)
        draw_curve(plot, &plot->chart->curves[k], k, placer);
    tb_picture_layer(plot->picture, TB_LAYER_LIMITS);
    draw_limits(plot, placer);
    tb_plot__label_limits(plot, placer);
    tb_plot__label_bands(plot, placer);
    tb_picture_layer(plot->picture, TB_LAYER_CURVES);
    tb_plot__label_allowed(plot, placer);
    tb_picture_unclip(plot->picture);
}

void
tb_plot__draw(const TbPlot *plot)
{
    TbPicture *picture = plot->picture;
    TbPlacer placer;

    tb_placer_init(&placer, plot->box);
    tb_picture_layer(picture, TB_LAYER_GRID);
    tb_plot__head(plot);
    if (plot->chart->map != NULL)
        tb_plot__map(plot, &placer);
    else
        draw_curves(plot, &placer);
    tb_picture_layer(picture, TB_LAYER_FRAME);
    tb_picture_rectangle(
        picture, plot->box.low, plot->box.high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
    if (plot->chart->map == NULL)
        tb_plot__label_curves(plot);
    if (placer.status != TB_OK)
        picture->status = placer.status;
    tb_placer_clear(&placer);
}
