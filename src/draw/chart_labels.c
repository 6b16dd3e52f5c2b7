/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/chart_private.h"

#include "base/mem.h"

#include <math.h>
#include <stdlib.h>

/** mm of paper that a line of letters takes. */
#define TALL 4.2

/** Curves whose limits a low chart tells. */
#define TOLD 3

/** Room before a sentence for its level's shape. */
#define MARK 5.0

static double
width_of(const TbPlot *plot, const char *text)
{
    return plot->measurer.width(plot->measurer.user, text, TB_PT_SMALL, false);
}

static bool
is_low(const TbPlot *plot)
{
    return plot->box.high.y - plot->box.low.y < TB_PLOT_LOW;
}

/* ---- sentences of findings ---- */

/** Where a sentence may stand: near its range, in rows at the box's bottom and top. */
static size_t
sentence_places(const TbPlot *plot, double middle, double width, TbCandidate candidates[24])
{
    size_t count = 0;

    for (int row = 0; row < 4; row++)
        for (int k = 0; k < 6; k++) {
            double x = middle + (k % 2 == 0 ? 1 : -1) * (k / 2) * width / 3;

            x = fmax(plot->box.low.x + width / 2, fmin(plot->box.high.x - width / 2, x));
            candidates[count++] =
                (TbCandidate){{x, row % 2 == 0 ? plot->box.low.y + 3 + 2.2 * row
                                               : plot->box.high.y - 3 - 2.2 * (row - 1)},
                              4.0 * k + 3.0 * row};
        }
    return count;
}

/** Put a sentence where it is free; false where it is not. */
static bool
put_sentence(const TbPlot *plot, const TbSceneBand *band, const char *text, TbPlacer *placer)
{
    double a = fmax(plot->from, band->from), b = fmin(plot->to, band->to);
    double width = width_of(plot, text) + MARK + 1;
    TbCandidate candidates[24];
    size_t count = sentence_places(plot, tb_plot__x(plot, (a + b) / 2), width, candidates);
    TbVec2 centre;

    if (!tb_placer_place(placer, candidates, count, width, TALL, &centre))
        return false;
    tb_picture_level(plot->picture, tb_vec2(centre.x - width / 2 + 1.5, centre.y), 2.4,
                     band->level);
    tb_picture_text(plot->picture, tb_vec2(centre.x + 1.5, centre.y),
                    (TbTextStyle){.size = TB_PT_SMALL,
                                  .ink = tb_style_level_ink(band->level),
                                  .anchor = TB_ANCHOR_MIDDLE,
                                  .backed = true},
                    text);
    return true;
}

/** Whole where there is room, else in a few words, else shortened, a name before its numbers. */
static void
label_band(const TbPlot *plot, const TbSceneBand *band, TbPlacer *placer)
{
    double wide = plot->box.high.x - plot->box.low.x - MARK - 4;
    const char *brief = band->brief == NULL ? band->text : band->brief;
    char text[TB_TEXT_SHORT];

    if (!is_low(plot) && width_of(plot, band->text) <= wide &&
        put_sentence(plot, band, band->text, placer))
        return;
    if (width_of(plot, brief) <= wide && put_sentence(plot, band, brief, placer))
        return;
    tb_text_shorten_name(plot->measurer, brief, band->name, TB_PT_SMALL, 0.4 * wide, text);
    put_sentence(plot, band, text, placer);
}

void
tb_plot__label_bands(const TbPlot *plot, TbPlacer *placer)
{
    tb_picture_layer(plot->picture, TB_LAYER_FINDINGS);
    for (size_t i = 0; i < plot->chart->band_count; i++)
        if (plot->chart->bands[i].to >= plot->from && plot->chart->bands[i].from <= plot->to)
            label_band(plot, &plot->chart->bands[i], placer);
}

/* ---- limits ---- */

/** On low charts the limits of the worst curves alone are told: the values beside say the rest. */
static bool
is_told(const TbPlot *plot, const TbSceneLimit *limit)
{
    if (plot->box.high.y - plot->box.low.y >= TB_PLOT_MIDDLE || plot->chart->curve_count <= TOLD)
        return true;
    for (size_t i = 0; i < TOLD; i++)
        if (plot->chart->curves[i].keep == limit->value)
            return true;
    return false;
}

/** Beside its line, where least ink lies. */
void
tb_plot__label_limits(const TbPlot *plot, TbPlacer *placer)
{
    for (size_t i = 0; i < plot->chart->limit_count; i++) {
        const TbSceneLimit *limit = &plot->chart->limits[i];
        double y = tb_plot__y(plot, limit->value);
        double width = width_of(plot, limit->label) + 1.5;
        bool whole = limit->to <= limit->from;
        double left = whole ? plot->box.low.x
                            : fmax(plot->box.low.x, tb_plot__x(plot, limit->from) - width / 2);
        double right = whole ? plot->box.high.x
                             : fmin(plot->box.high.x, tb_plot__x(plot, limit->to) + width / 2);
        double step = (right - left - width - 2) / 15;
        TbCandidate candidates[32];
        size_t count = 0;
        TbVec2 centre;

        if (!is_told(plot, limit))
            continue;
        for (int k = 0; k < 16; k++)
            for (int side = -1; side <= 1; side += 2)
                candidates[count++] = (TbCandidate){
                    {left + width / 2 + 1 + k * step, y + side * 2.6}, k + (side > 0 ? 4 : 0)};
        if (tb_placer_place(placer, candidates, count, width, 4.0, &centre))
            tb_picture_text(plot->picture, centre,
                            (TbTextStyle){.size = TB_PT_SMALL,
                                          .ink = TB_INK_INK,
                                          .anchor = TB_ANCHOR_MIDDLE,
                                          .backed = true},
                            limit->label);
    }
}

/** In a corner, shortened to half the chart; left out where none is free and on low charts. */
void
tb_plot__label_allowed(const TbPlot *plot, TbPlacer *placer)
{
    double half = (plot->box.high.x - plot->box.low.x) / 2;
    TbCandidate candidates[4];
    char text[TB_TEXT_SHORT];
    double width;
    TbVec2 centre;

    if (plot->chart->allowed.count == 0 || is_low(plot))
        return;
    tb_text_shorten(plot->measurer, plot->chart->allowed.label, TB_PT_SMALL, false, half, text);
    width = width_of(plot, text) + 2;
    for (int i = 0; i < 4; i++)
        candidates[i] =
            (TbCandidate){{i % 2 == 0 ? plot->box.high.x - width / 2 : plot->box.low.x + width / 2,
                           i < 2 ? plot->box.high.y - 2.6 : plot->box.low.y + 2.6},
                          5.0 * i};
    if (tb_placer_place(placer, candidates, 4, width, TALL, &centre))
        tb_picture_text(
            plot->picture, centre,
            (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_MIDDLE},
            text);
}

/* ---- names at the curves' ends ---- */

typedef struct EndLabel {
    double y;  /**< where the curve leaves the view */
    bool seen; /**< it does so in view: a leader to it helps */
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

/** Last number of a curve in view on paper, kept inside the chart. */
static EndLabel
end_of(const TbPlot *plot, size_t k)
{
    const TbSceneCurve *curve = &plot->chart->curves[k];
    double value = tb_scene_curve_at(curve, plot->to);
    EndLabel end = {.y = plot->box.high.y, .curve = k};

    if (!isnan(value)) {
        end.y = tb_plot__y(plot, value);
        end.seen = end.y >= plot->box.low.y && end.y <= plot->box.high.y;
    }
    for (size_t i = curve->count; isnan(value) && i-- > 0;)
        if (!isnan(curve->value[i]) && curve->station[i] <= plot->to) {
            value = curve->value[i];
            end.y = tb_plot__y(plot, value);
        }
    end.y = fmax(plot->box.low.y, fmin(plot->box.high.y, end.y));
    return end;
}

/** How many names fit beside a chart; those of the first curves, which are the worst, stand. */
static size_t
label_count(const TbPlot *plot)
{
    double fit = floor((plot->box.high.y - plot->box.low.y) / TB_PLOT_LABEL_STEP + 1e-9) + 1;

    return fit < (double)plot->chart->curve_count ? (size_t)fit : plot->chart->curve_count;
}

/** The labels from the top down, @p at their heights in that order. */
static void
sort_ends(const TbPlot *plot, EndLabel ends[], double at[])
{
    size_t count = label_count(plot);

    for (size_t i = 0; i < count; i++)
        ends[i] = end_of(plot, i);
    qsort(ends, count, sizeof *ends, by_height);
    for (size_t i = 0; i < count; i++)
        at[i] = ends[i].y;
    tb_labels_push_apart(at, count, TB_PLOT_LABEL_STEP, plot->box.low.y, plot->box.high.y);
}

void
tb_plot__label_heights(const TbPlot *plot, double at[])
{
    size_t count = label_count(plot);
    EndLabel *ends = tb_alloc_array(count > 0 ? count : 1, sizeof *ends);
    double *sorted = tb_alloc_array(count > 0 ? count : 1, sizeof *sorted);

    if (ends == NULL || sorted == NULL)
        plot->picture->status = TB_E_MEMORY;
    else
        sort_ends(plot, ends, sorted);
    for (size_t i = 0; i < plot->chart->curve_count; i++)
        at[i] = (double)NAN;
    for (size_t i = 0; i < count && plot->picture->status == TB_OK; i++)
        at[ends[i].curve] = sorted[i];
    tb_free(sorted);
    tb_free(ends);
}

/** One label: leader, piece of the curve, name. */
static void
label_curve(const TbPlot *plot, const EndLabel *end, double y)
{
    const TbSceneCurve *curve = &plot->chart->curves[end->curve];
    double x = plot->box.high.x + 1.5;
    TbVec2 sample[2] = {{x + 2, y}, {x + 2 + TB_PLOT_SAMPLE, y}};
    double left = sample[1].x + 1.5;
    double right = plot->right - plot->values;
    char text[TB_TEXT_SHORT];

    if (end->seen)
        tb_picture_segment(plot->picture, tb_vec2(plot->box.high.x, end->y), sample[0], TB_PEN_GRID,
                           TB_INK_QUIET);
    tb_picture_line(plot->picture, sample, 2, tb_style_curve_pen(end->curve),
                    tb_style_curve_ink(end->curve), curve->tag);
    tb_text_shorten_name(plot->measurer, plot->values > 0 ? curve->name : curve->label, curve->name,
                         TB_PT_SMALL, right - left, text);
    tb_picture_text(plot->picture, tb_vec2(left, y),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK}, text);
}

void
tb_plot__label_curves(const TbPlot *plot)
{
    size_t count = label_count(plot);
    EndLabel *ends = tb_alloc_array(count > 0 ? count : 1, sizeof *ends);
    double *at = tb_alloc_array(count > 0 ? count : 1, sizeof *at);

    if (ends == NULL || at == NULL) {
        plot->picture->status = TB_E_MEMORY;
        count = 0;
    } else {
        sort_ends(plot, ends, at);
    }
    tb_picture_layer(plot->picture, TB_LAYER_LABELS);
    for (size_t i = 0; i < count; i++)
        label_curve(plot, &ends[i], at[i]);
    tb_free(at);
    tb_free(ends);
}
