/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Marks of a picture on a screen: all but texts go straight onto the image's dots. */

#include "draw/paint_private.h"

#include <glib.h>
#include <math.h>

/* ---- the image ---- */

/* The context's clip, where it is one box of whole dots. */
static bool
clip_of(cairo_t *cairo, TbDotsBox *box)
{
    cairo_rectangle_list_t *clip;
    bool found;

    cairo_save(cairo);
    cairo_identity_matrix(cairo);
    clip = cairo_copy_clip_rectangle_list(cairo);
    found = clip->status == CAIRO_STATUS_SUCCESS && clip->num_rectangles == 1;
    if (found) {
        cairo_rectangle_t r = clip->rectangles[0];

        *box = (TbDotsBox){(int)r.x, (int)r.y, (int)(r.x + r.width), (int)(r.y + r.height)};
        found = box->left == r.x && box->top == r.y && box->right == r.x + r.width &&
                box->bottom == r.y + r.height;
    }
    cairo_rectangle_list_destroy(clip);
    cairo_restore(cairo);
    return found;
}

TbDots *
tb_paint__dots(cairo_t *cairo, TbDots *dots)
{
    cairo_surface_t *image = cairo_get_target(cairo);
    cairo_matrix_t m;
    TbDotsBox clip;
    double x, y;

    if (cairo_surface_get_type(image) != CAIRO_SURFACE_TYPE_IMAGE ||
        cairo_image_surface_get_format(image) != CAIRO_FORMAT_RGB24 ||
        cairo_image_surface_get_data(image) == NULL)
        return NULL;
    cairo_surface_get_device_scale(image, &x, &y);
    cairo_get_matrix(cairo, &m);
    if (x != 1 || y != 1 || m.xx != m.yy || m.xy != 0 || m.yx != 0 || m.x0 != 0 || m.y0 != 0 ||
        !clip_of(cairo, &clip))
        return NULL;
    tb_dots_begin(dots, image, clip);
    return dots;
}

/* ---- marks ---- */

/* A mark's loops in dots. */
typedef struct Traced {
    TbVec2 *points;
    TbLoopSpan *loops;
} Traced;

static Traced
traced(const TbPicture *picture, const TbMark *mark, double scale)
{
    const TbLoopSpan *loops = picture->loops + mark->first_loop;
    size_t count = 0;
    Traced traced;

    for (size_t k = 0; k < mark->loops; k++)
        count += loops[k].count;
    traced.points = g_new(TbVec2, count + 1);
    traced.loops = g_new(TbLoopSpan, mark->loops + 1);
    count = 0;
    for (size_t k = 0; k < mark->loops; k++) {
        traced.loops[k] = (TbLoopSpan){count, loops[k].count};
        for (size_t i = 0; i < loops[k].count; i++)
            traced.points[count++] = tb_vec2_scale(picture->points[loops[k].first + i], scale);
    }
    return traced;
}

static TbPenStyle
pen_in_dots(TbPen pen, double scale)
{
    TbPenStyle style = tb_style_pen(pen);

    style.width *= scale;
    for (int i = 0; i < style.dashes; i++)
        style.dash[i] *= scale;
    return style;
}

static void
stroke(TbPaintTexts *texts, const TbMark *mark, const Traced *traced, TbTheme theme)
{
    TbPenStyle pen = pen_in_dots(mark->pen, texts->scale);

    if (mark->pen == TB_PEN_NONE)
        return;
    for (size_t k = 0; k < mark->loops; k++)
        tb_dots_stroke(texts->dots, traced->points + traced->loops[k].first, traced->loops[k].count,
                       mark->kind == TB_MARK_AREA, &pen, tb_style_colour(theme, mark->ink));
}

static void
fill(cairo_t *cairo, TbPaintTexts *texts, const TbMark *mark, const Traced *traced, TbTheme theme)
{
    TbDotsInk ink = tb_dots_colour(tb_style_colour(theme, mark->fill));

    if (mark->hatch_step > 0) {
        TbPaintHatch hatch = tb_paint__hatch_of(mark, theme);

        ink = tb_dots_image(
            tb_paint__hatch(texts->hatches, cairo_get_target(cairo), texts->scale, &hatch));
    } else if (mark->fill == TB_INK_NONE) {
        return;
    }
    tb_dots_fill(texts->dots, traced->points, traced->loops, mark->loops, &ink);
}

/* A line of no length with round ends. */
static void
put_dot(TbPaintTexts *texts, const TbMark *mark, TbTheme theme)
{
    TbVec2 at = tb_vec2_scale(mark->at, texts->scale);
    TbPenStyle pen = {.width = 2 * mark->size * texts->scale};

    tb_dots_stroke(texts->dots, (const TbVec2[2]){at, at}, 2, false, &pen,
                   tb_style_colour(theme, mark->fill));
}

/* On whole dots, for the context, too: it paints texts, and a clip through dots costs
 * it much. */
static void
clip(cairo_t *cairo, TbPaintTexts *texts, const TbPicture *picture, const TbMark *mark)
{
    const TbVec2 *corner;
    cairo_matrix_t matrix;
    TbDotsBox box;

    if (mark->loops == 0) {
        cairo_restore(cairo);
        tb_dots_set_clip(texts->dots, texts->clip);
        return;
    }
    corner = picture->points + picture->loops[mark->first_loop].first;
    box = tb_dots_nearest_box(tb_vec2_scale(corner[0], texts->scale),
                              tb_vec2_scale(corner[2], texts->scale));
    texts->clip = tb_dots_clip(texts->dots, box);
    cairo_save(cairo);
    cairo_get_matrix(cairo, &matrix);
    cairo_identity_matrix(cairo);
    cairo_rectangle(cairo, box.left, box.top, box.right - box.left, box.bottom - box.top);
    cairo_clip(cairo);
    cairo_set_matrix(cairo, &matrix);
}

bool
tb_paint__on_dots(cairo_t *cairo,
                  TbPaintTexts *texts,
                  const TbPicture *picture,
                  const TbMark *mark,
                  TbTheme theme)
{
    Traced shape;

    switch (mark->kind) {
    case TB_MARK_DOT:
        put_dot(texts, mark, theme);
        return true;
    case TB_MARK_CLIP:
        clip(cairo, texts, picture, mark);
        return true;
    case TB_MARK_RASTER:
        tb_paint__raster_on_dots(texts->dots, texts->scale, picture, mark, theme);
        return true;
    case TB_MARK_TEXT:
        return false;
    case TB_MARK_AREA:
    case TB_MARK_LINE:
        break;
    }
    shape = traced(picture, mark, texts->scale);
    if (mark->kind == TB_MARK_AREA)
        fill(cairo, texts, mark, &shape, theme);
    stroke(texts, mark, &shape, theme);
    g_free(shape.points);
    g_free(shape.loops);
    return true;
}
