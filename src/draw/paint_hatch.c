/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Hatches: drawn line by line, or kept as images that areas of a screen are filled with. */

#include "draw/paint_private.h"

#include <glib.h>
#include <math.h>

/** mm: dots of a dotted hatch. */
#define DOT 0.3

/** So many images at once: each class of things has one, and what is selected another. */
enum { IMAGES_MOST = 24 };

struct TbPaintHatches {
    GHashTable *images; /* TbPaintHatch to cairo_surface_t; all of one size and scale */
    int width, height;
    double dots;
};

TbPaintHatch
tb_paint__hatch_of(const TbMark *mark, TbTheme theme)
{
    return (TbPaintHatch){.theme = theme,
                          .fill = mark->fill,
                          .ink = mark->ink,
                          .angle = mark->hatch_angle,
                          .step = mark->hatch_step,
                          .dotted = mark->hatch_dotted};
}

/* ---- line by line ---- */

void
tb_paint__hatch_clip(cairo_t *cairo, const TbPaintHatch *hatch)
{
    TbColour ink = tb_style_colour(hatch->theme, hatch->ink);
    double step = hatch->step;
    double x0, y0, x1, y1;

    cairo_save(cairo);
    cairo_rotate(cairo, -hatch->angle * M_PI / 180);
    /* of the clip, along and across the lines */
    cairo_clip_extents(cairo, &x0, &y0, &x1, &y1);
    /* lines and dots count from the paper's origin, so neighbours of one class line up */
    x0 = floor(x0 / step) * step;
    cairo_set_source_rgba(cairo, ink.red, ink.green, ink.blue, ink.alpha);
    cairo_set_line_width(cairo, tb_style_pen(TB_PEN_HATCH).width);
    if (hatch->dotted) {
        double dash[2] = {0.01, step};

        cairo_set_dash(cairo, dash, 2, 0);
        cairo_set_line_cap(cairo, CAIRO_LINE_CAP_ROUND);
        cairo_set_line_width(cairo, DOT);
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

/* ---- as images ---- */

static unsigned
hatch_hash(const void *data)
{
    const TbPaintHatch *hatch = data;

    return g_double_hash(&hatch->angle) * 31 + g_double_hash(&hatch->step) +
           ((unsigned)hatch->fill * TB_INK_COUNT + (unsigned)hatch->ink) * 2 + hatch->dotted;
}

static int
hatch_equal(const void *a, const void *b)
{
    const TbPaintHatch *p = a, *q = b;

    return p->theme == q->theme && p->fill == q->fill && p->ink == q->ink && p->angle == q->angle &&
           p->step == q->step && p->dotted == q->dotted;
}

TbPaintHatches *
tb_paint__hatches_new(void)
{
    TbPaintHatches *hatches = g_new0(TbPaintHatches, 1);

    hatches->images = g_hash_table_new_full(hatch_hash, hatch_equal, g_free,
                                            (GDestroyNotify)cairo_surface_destroy);
    return hatches;
}

void
tb_paint__hatches_free(TbPaintHatches *hatches)
{
    g_hash_table_unref(hatches->images);
    g_free(hatches);
}

static cairo_surface_t *
image_of(const TbPaintHatches *hatches, const TbPaintHatch *hatch)
{
    cairo_surface_t *image =
        cairo_image_surface_create(CAIRO_FORMAT_ARGB32, hatches->width, hatches->height);
    cairo_t *cairo = cairo_create(image);

    if (hatch->fill != TB_INK_NONE) {
        TbColour fill = tb_style_colour(hatch->theme, hatch->fill);

        cairo_set_source_rgba(cairo, fill.red, fill.green, fill.blue, fill.alpha);
        cairo_paint(cairo);
    }
    cairo_scale(cairo, hatches->dots, hatches->dots);
    tb_paint__hatch_clip(cairo, hatch);
    cairo_destroy(cairo);
    return image;
}

cairo_surface_t *
tb_paint__hatch(TbPaintHatches *hatches,
                cairo_surface_t *target,
                double scale,
                const TbPaintHatch *hatch)
{
    int width = cairo_image_surface_get_width(target);
    int height = cairo_image_surface_get_height(target);
    cairo_surface_t *image;

    if (width != hatches->width || height != hatches->height || scale != hatches->dots ||
        g_hash_table_size(hatches->images) >= IMAGES_MOST) {
        g_hash_table_remove_all(hatches->images);
        hatches->width = width;
        hatches->height = height;
        hatches->dots = scale;
    }
    image = g_hash_table_lookup(hatches->images, hatch);
    if (image == NULL) {
        image = image_of(hatches, hatch);
        g_hash_table_insert(hatches->images, g_memdup2(hatch, sizeof *hatch), image);
    }
    return image;
}
