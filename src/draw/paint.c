/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/paint.h"

#include <glib.h>
#include <math.h>
#include <pango/pangocairo.h>
#include <stdint.h>

static void
use_ink(cairo_t *cairo, TbTheme theme, TbInk ink)
{
    TbColour c = tb_style_colour(theme, ink);

    cairo_set_source_rgba(cairo, c.red, c.green, c.blue, c.alpha);
}

static void
trace_loops(cairo_t *cairo, const TbPicture *picture, const TbMark *mark, bool closed)
{
    cairo_new_path(cairo);
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];
        const TbVec2 *p = picture->points + loop.first;

        for (size_t i = 0; i < loop.count; i++) {
            if (i == 0)
                cairo_move_to(cairo, p[i].x, p[i].y);
            else
                cairo_line_to(cairo, p[i].x, p[i].y);
        }
        if (closed)
            cairo_close_path(cairo);
    }
}

static void
stroke(cairo_t *cairo, TbTheme theme, TbPen pen, TbInk ink)
{
    TbPenStyle style = tb_style_pen(pen);

    if (pen == TB_PEN_NONE)
        return;
    use_ink(cairo, theme, ink);
    cairo_set_line_width(cairo, style.width);
    cairo_set_dash(cairo, style.dash, style.dashes, 0);
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_cap(cairo, style.dashes > 0 ? CAIRO_LINE_CAP_BUTT : CAIRO_LINE_CAP_ROUND);
    cairo_stroke(cairo);
}

/** Hatch the clip: parallel lines, or rows of dots, over the path's extent. */
static void
hatch(cairo_t *cairo, TbTheme theme, const TbMark *mark)
{
    double step = mark->hatch_step;
    double x0, y0, x1, y1;

    cairo_save(cairo);
    cairo_rotate(cairo, -mark->hatch_angle * M_PI / 180);
    /* of the clip, along and across the lines */
    cairo_clip_extents(cairo, &x0, &y0, &x1, &y1);
    /* lines and dots count from the paper's origin, so neighbours of one class line up */
    x0 = floor(x0 / step) * step;
    use_ink(cairo, theme, mark->ink);
    cairo_set_line_width(cairo, tb_style_pen(TB_PEN_HATCH).width);
    if (mark->hatch_dotted) {
        double dash[2] = {0.01, step};

        cairo_set_dash(cairo, dash, 2, 0);
        cairo_set_line_cap(cairo, CAIRO_LINE_CAP_ROUND);
        cairo_set_line_width(cairo, 0.3);
    } else {
        cairo_set_dash(cairo, NULL, 0, 0);
    }
    cairo_new_path(cairo);
    for (double y = ceil(y0 / step) * step; y <= y1; y += step) {
        cairo_move_to(cairo, x0, y);
        cairo_line_to(cairo, x1, y);
    }
    cairo_stroke(cairo);
    cairo_restore(cairo);
}

static void
paint_area(cairo_t *cairo, const TbPicture *picture, const TbMark *mark, TbTheme theme)
{
    cairo_save(cairo);
    cairo_set_fill_rule(cairo, CAIRO_FILL_RULE_EVEN_ODD);
    trace_loops(cairo, picture, mark, true);
    if (mark->fill != TB_INK_NONE) {
        use_ink(cairo, theme, mark->fill);
        cairo_fill_preserve(cairo);
    }
    if (mark->hatch_step > 0) {
        cairo_save(cairo);
        cairo_clip(cairo);
        hatch(cairo, theme, mark);
        cairo_restore(cairo);
        trace_loops(cairo, picture, mark, true);
    }
    stroke(cairo, theme, mark->pen, mark->ink);
    cairo_new_path(cairo);
    cairo_restore(cairo);
}

static PangoLayout *
set_text(PangoContext *context, const char *text, double size_pt, bool bold)
{
    PangoLayout *layout = pango_layout_new(context);
    PangoFontDescription *font = pango_font_description_from_string("Sans");

    /* the context's unit is a millimetre */
    pango_font_description_set_absolute_size(font, size_pt * TB_MM_PER_PT * PANGO_SCALE);
    if (bold)
        pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
    pango_layout_set_font_description(layout, font);
    pango_layout_set_text(layout, text, -1);
    pango_font_description_free(font);
    return layout;
}

/** Positions of letters are not rounded: at one unit a millimetre, rounding would be gross. */
static PangoContext *
exact_context(cairo_t *cairo)
{
    PangoContext *context = pango_cairo_create_context(cairo);
    cairo_font_options_t *options = cairo_font_options_create();

    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context, options);
    pango_context_set_round_glyph_positions(context, FALSE);
    cairo_font_options_destroy(options);
    return context;
}

static void
paint_text(cairo_t *cairo,
           PangoContext *context,
           const TbPicture *picture,
           const TbMark *mark,
           TbTheme theme)
{
    PangoLayout *layout =
        set_text(context, tb_picture_string(picture, mark->text), mark->size, mark->bold);
    PangoRectangle logical;
    double width, height, x;

    pango_layout_get_extents(layout, NULL, &logical);
    width = (double)logical.width / PANGO_SCALE;
    height = (double)logical.height / PANGO_SCALE;
    x = mark->anchor == TB_ANCHOR_LEFT ? 0 : mark->anchor == TB_ANCHOR_RIGHT ? -width : -width / 2;

    cairo_save(cairo);
    cairo_translate(cairo, mark->at.x, mark->at.y);
    cairo_rotate(cairo, -mark->turn * M_PI / 180);
    if (mark->backed) {
        use_ink(cairo, theme, TB_INK_PAPER);
        cairo_rectangle(cairo, x - TB_PAINT_BACKING, -height / 2 + TB_PAINT_BACKING / 2,
                        width + 2 * TB_PAINT_BACKING, height - TB_PAINT_BACKING);
        cairo_fill(cairo);
    }
    use_ink(cairo, theme, mark->ink);
    cairo_move_to(cairo, x, -height / 2);
    pango_cairo_show_layout(cairo, layout);
    cairo_restore(cairo);
    g_object_unref(layout);
}

/* ---- rasters ---- */

/** Dots of the image along one side of a cell: between cells the scale runs on evenly, whatever the
 * viewer makes of an image. */
#define DOTS 4

/** Share at a place in cells, linear between the cells' middles. */
static double
share_at(const double *share, const TbMark *mark, double x, double y)
{
    double k = fmax(0, fmin((double)mark->columns - 1, x - 0.5));
    double m = fmax(0, fmin((double)mark->rows - 1, y - 0.5));
    size_t k0 = (size_t)k, m0 = (size_t)m;
    size_t k1 = k0 + 1 < mark->columns ? k0 + 1 : k0, m1 = m0 + 1 < mark->rows ? m0 + 1 : m0;
    double low = share[k0 * mark->rows + m0] * (1 - (k - (double)k0)) +
                 share[k1 * mark->rows + m0] * (k - (double)k0);
    double high = share[k0 * mark->rows + m1] * (1 - (k - (double)k0)) +
                  share[k1 * mark->rows + m1] * (k - (double)k0);

    return low + (m - (double)m0) * (high - low);
}

static uint32_t
dot_of(TbTheme theme, double share)
{
    TbColour c = tb_style_scale(theme, share);

    return (uint32_t)lround(c.red * 255) << 16 | (uint32_t)lround(c.green * 255) << 8 |
           (uint32_t)lround(c.blue * 255);
}

cairo_surface_t *
tb_paint_raster(const TbPicture *picture, const TbMark *mark, TbTheme theme)
{
    enum { STEPS = 256 };
    const double *share = picture->shares + mark->first_share;
    cairo_surface_t *image = cairo_image_surface_create(
        CAIRO_FORMAT_RGB24, (int)mark->columns * DOTS, (int)mark->rows * DOTS);
    int stride = cairo_image_surface_get_stride(image);
    unsigned char *bytes = cairo_image_surface_get_data(image);
    uint32_t scale[STEPS];

    for (int i = 0; i < STEPS; i++)
        scale[i] = dot_of(theme, (double)i / (STEPS - 1));
    for (size_t y = 0; bytes != NULL && y < mark->rows * DOTS; y++) {
        uint32_t *row = (uint32_t *)(void *)(bytes + y * (size_t)stride);
        /* the first row of an image is its top */
        double up = (double)mark->rows - ((double)y + 0.5) / DOTS;

        for (size_t x = 0; x < mark->columns * DOTS; x++) {
            double at = share_at(share, mark, ((double)x + 0.5) / DOTS, up);

            row[x] = scale[(size_t)lround(fmax(0, fmin(1, at)) * (STEPS - 1))];
        }
    }
    cairo_surface_mark_dirty(image);
    return image;
}

static void
paint_raster(cairo_t *cairo, const TbPicture *picture, const TbMark *mark, TbTheme theme)
{
    const TbVec2 *corner = picture->points + picture->loops[mark->first_loop].first;
    cairo_surface_t *image = tb_paint_raster(picture, mark, theme);

    cairo_save(cairo);
    cairo_translate(cairo, corner[0].x, corner[0].y);
    cairo_scale(cairo, (corner[2].x - corner[0].x) / (double)(mark->columns * DOTS),
                (corner[2].y - corner[0].y) / (double)(mark->rows * DOTS));
    cairo_set_source_surface(cairo, image, 0, 0);
    cairo_pattern_set_filter(cairo_get_source(cairo), CAIRO_FILTER_BILINEAR);
    cairo_pattern_set_extend(cairo_get_source(cairo), CAIRO_EXTEND_PAD);
    cairo_rectangle(cairo, 0, 0, (double)mark->columns * DOTS, (double)mark->rows * DOTS);
    cairo_fill(cairo);
    cairo_restore(cairo);
    cairo_surface_destroy(image);
}

/* ---- pictures ---- */

/** Clips come in pairs, on and off; see tb_picture_clip(). */
static void
paint_clip(cairo_t *cairo, const TbPicture *picture, const TbMark *mark)
{
    if (mark->loops > 0) {
        cairo_save(cairo);
        trace_loops(cairo, picture, mark, true);
        cairo_clip(cairo);
    } else {
        cairo_restore(cairo);
    }
}

static void
paint_mark(cairo_t *cairo,
           PangoContext *context,
           const TbPicture *picture,
           const TbMark *mark,
           TbTheme theme)
{
    switch (mark->kind) {
    case TB_MARK_AREA:
        paint_area(cairo, picture, mark, theme);
        break;
    case TB_MARK_LINE:
        trace_loops(cairo, picture, mark, false);
        stroke(cairo, theme, mark->pen, mark->ink);
        break;
    case TB_MARK_TEXT:
        paint_text(cairo, context, picture, mark, theme);
        break;
    case TB_MARK_DOT:
        use_ink(cairo, theme, mark->fill);
        cairo_new_path(cairo);
        cairo_arc(cairo, mark->at.x, mark->at.y, mark->size, 0, 2 * M_PI);
        cairo_fill(cairo);
        break;
    case TB_MARK_CLIP:
        paint_clip(cairo, picture, mark);
        break;
    case TB_MARK_RASTER:
        paint_raster(cairo, picture, mark, theme);
        break;
    }
}

void
tb_paint_some(cairo_t *cairo, const TbPicture *picture, size_t first, size_t count, TbTheme theme)
{
    PangoContext *context = exact_context(cairo);

    for (size_t i = first; i < first + count; i++)
        paint_mark(cairo, context, picture, &picture->marks[i], theme);
    g_object_unref(context);
}

void
tb_paint_marks(cairo_t *cairo, const TbPicture *picture, TbTheme theme)
{
    tb_paint_some(cairo, picture, 0, picture->mark_count, theme);
}

void
tb_paint_picture(cairo_t *cairo, const TbPicture *picture, TbTheme theme)
{
    use_ink(cairo, theme, TB_INK_PAPER);
    cairo_rectangle(cairo, 0, 0, picture->width, picture->height);
    cairo_fill(cairo);
    tb_paint_marks(cairo, picture, theme);
}

/* ---- measuring ---- */

struct TbPaintMeasurer {
    cairo_surface_t *surface;
    cairo_t *cairo;
    PangoContext *context;
    GHashTable *widths; /* Measured, key and value in one */
};

/** So many widths are remembered; a drawing has some hundred texts, of which a drag changes few. */
enum { MEASURED_MOST = 4096 };

/** A text that was measured. */
typedef struct Measured {
    const char *text;
    double size, width;
    bool bold;
} Measured;

static unsigned
measured_hash(const void *data)
{
    const Measured *measured = data;

    return g_str_hash(measured->text) * 31 + g_double_hash(&measured->size) + measured->bold;
}

static int
measured_equal(const void *a, const void *b)
{
    const Measured *x = a, *y = b;

    return x->size == y->size && x->bold == y->bold && strcmp(x->text, y->text) == 0;
}

static void
measured_free(void *data)
{
    Measured *measured = data;

    g_free((char *)(uintptr_t)measured->text);
    g_free(measured);
}

TbPaintMeasurer *
tb_paint_measurer_new(void)
{
    TbPaintMeasurer *measurer = g_new0(TbPaintMeasurer, 1);

    measurer->surface = cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1);
    measurer->cairo = cairo_create(measurer->surface);
    measurer->context = exact_context(measurer->cairo);
    measurer->widths = g_hash_table_new_full(measured_hash, measured_equal, measured_free, NULL);
    return measurer;
}

void
tb_paint_measurer_free(TbPaintMeasurer *measurer)
{
    if (measurer == NULL)
        return;
    g_hash_table_unref(measurer->widths);
    g_object_unref(measurer->context);
    cairo_destroy(measurer->cairo);
    cairo_surface_destroy(measurer->surface);
    g_free(measurer);
}

static double
pango_width(void *user, const char *text, double size_pt, bool bold)
{
    TbPaintMeasurer *measurer = user;
    Measured asked = {.text = text, .size = size_pt, .bold = bold};
    Measured *known = g_hash_table_lookup(measurer->widths, &asked);
    PangoLayout *layout;
    PangoRectangle logical;

    if (known != NULL)
        return known->width;
    layout = set_text(measurer->context, text, size_pt, bold);
    pango_layout_get_extents(layout, NULL, &logical);
    g_object_unref(layout);
    asked.text = g_strdup(text);
    asked.width = (double)logical.width / PANGO_SCALE;
    if (g_hash_table_size(measurer->widths) >= MEASURED_MOST)
        g_hash_table_remove_all(measurer->widths);
    known = g_new(Measured, 1);
    *known = asked;
    g_hash_table_add(measurer->widths, known);
    return asked.width;
}

TbMeasurer
tb_paint_measurer(TbPaintMeasurer *measurer)
{
    return (TbMeasurer){pango_width, measurer};
}
