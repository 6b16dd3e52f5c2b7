/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Texts laid out by pango: measured for the drawings, and kept for what is painted again. */

#include "draw/paint_private.h"

#include <glib.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

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

/* ---- measuring ---- */

struct TbPaintMeasurer {
    cairo_surface_t *surface;
    cairo_t *cairo;
    PangoContext *context;
    GHashTable *widths;     /* Measured, key and value in one */
    PangoContext *painting; /* of the texts that are painted; its matrix is the drawing's */
    cairo_matrix_t matrix;  /* that it has; all 0: none yet */
    GHashTable *layouts;    /* Measured with a layout, key and value in one */
    TbPaintHatches *hatches;
    TbDots *dots;
};

/** So many widths are remembered; a drawing has some hundred texts, of which a drag changes few. */
enum { MEASURED_MOST = 4096 };

/** So many layouts, each some kB. */
enum { LAID_MOST = 512 };

/** A text that was measured, or laid out. */
typedef struct Measured {
    const char *text;
    double size, width;
    bool bold;
    PangoLayout *layout; /**< NULL: measured only */
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
    g_clear_object(&measured->layout);
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
    measurer->painting = exact_context(measurer->cairo);
    measurer->layouts = g_hash_table_new_full(measured_hash, measured_equal, measured_free, NULL);
    measurer->hatches = tb_paint__hatches_new();
    measurer->dots = tb_dots_new();
    return measurer;
}

void
tb_paint_measurer_free(TbPaintMeasurer *measurer)
{
    if (measurer == NULL)
        return;
    tb_dots_free(measurer->dots);
    tb_paint__hatches_free(measurer->hatches);
    g_hash_table_unref(measurer->layouts);
    g_object_unref(measurer->painting);
    g_hash_table_unref(measurer->widths);
    g_object_unref(measurer->context);
    cairo_destroy(measurer->cairo);
    cairo_surface_destroy(measurer->surface);
    g_free(measurer);
}

/** Remembers one more in a table, which starts again when it is full. */
static const Measured *
remember(GHashTable *table, unsigned most, const Measured *asked)
{
    Measured *known = g_new(Measured, 1);

    *known = *asked;
    known->text = g_strdup(asked->text);
    if (g_hash_table_size(table) >= most)
        g_hash_table_remove_all(table);
    g_hash_table_add(table, known);
    return known;
}

static double
pango_width(void *user, const char *text, double size_pt, bool bold)
{
    TbPaintMeasurer *measurer = user;
    Measured asked = {.text = text, .size = size_pt, .bold = bold};
    const Measured *known = g_hash_table_lookup(measurer->widths, &asked);
    PangoLayout *layout;
    PangoRectangle logical;

    if (known != NULL)
        return known->width;
    layout = set_text(measurer->context, text, size_pt, bold);
    pango_layout_get_extents(layout, NULL, &logical);
    g_object_unref(layout);
    asked.width = (double)logical.width / PANGO_SCALE;
    return remember(measurer->widths, MEASURED_MOST, &asked)->width;
}

TbMeasurer
tb_paint_measurer(TbPaintMeasurer *measurer)
{
    return (TbMeasurer){pango_width, measurer};
}

/* ---- painting ---- */

TbPaintTexts
tb_paint__texts(cairo_t *cairo, TbPaintMeasurer *fonts)
{
    cairo_matrix_t matrix;

    if (fonts == NULL)
        return (TbPaintTexts){.context = exact_context(cairo)};
    /* by the measurer's own surface: another one's options would lay everything out again */
    cairo_get_matrix(cairo, &matrix);
    matrix.x0 = matrix.y0 = 0;
    /* another matrix, even the same one again, has every text laid out anew */
    if (memcmp(&matrix, &fonts->matrix, sizeof matrix) != 0) {
        cairo_set_matrix(fonts->cairo, &matrix);
        pango_cairo_update_context(fonts->cairo, fonts->painting);
        cairo_identity_matrix(fonts->cairo);
        fonts->matrix = matrix;
    }
    return (TbPaintTexts){.context = g_object_ref(fonts->painting),
                          .fonts = fonts,
                          .hatches = fonts->hatches,
                          .dots = tb_paint__dots(cairo, fonts->dots),
                          .scale = matrix.xx};
}

void
tb_paint__texts_end(TbPaintTexts *texts)
{
    g_clear_object(&texts->context);
}

PangoLayout *
tb_paint__layout(TbPaintTexts *texts, const char *text, double size_pt, bool bold)
{
    Measured asked = {.text = text, .size = size_pt, .bold = bold};
    const Measured *known;

    if (texts->fonts == NULL)
        return set_text(texts->context, text, size_pt, bold);
    known = g_hash_table_lookup(texts->fonts->layouts, &asked);
    if (known == NULL) {
        asked.layout = set_text(texts->context, text, size_pt, bold);
        known = remember(texts->fonts->layouts, LAID_MOST, &asked);
    }
    return g_object_ref(known->layout);
}
