/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/paint_private.h"

#include <glib.h>
#include <math.h>
#include <stdint.h>

static void
use_ink(cairo_t *cairo, TbTheme theme, TbInk ink)
{
    TbColour c = tb_style_colour(theme, ink);

    cairo_set_source_rgba(cairo, c.red, c.green, c.blue, c.alpha);
}

static void
trace_loops(cairo_t *cairo, const TbPicture *picture, const TbMark *mark)
{
    bool closed = mark->kind != TB_MARK_LINE;

    cairo_new_path(cairo);
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];

        for (size_t i = 0; i < loop.count; i++) {
            TbVec2 p = picture->points[loop.first + i];

            if (i == 0)
                cairo_move_to(cairo, p.x, p.y);
            else
                cairo_line_to(cairo, p.x, p.y);
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

static void
paint_area(cairo_t *cairo, const TbPicture *picture, const TbMark *mark, TbTheme theme)
{
    cairo_save(cairo);
    cairo_set_fill_rule(cairo, CAIRO_FILL_RULE_EVEN_ODD);
    trace_loops(cairo, picture, mark);
    if (mark->fill != TB_INK_NONE) {
        use_ink(cairo, theme, mark->fill);
        cairo_fill_preserve(cairo);
    }
    if (mark->hatch_step > 0) {
        TbPaintHatch hatch = tb_paint__hatch_of(mark, theme);

        cairo_save(cairo);
        cairo_clip(cairo);
        tb_paint__hatch_clip(cairo, &hatch);
        cairo_restore(cairo);
        trace_loops(cairo, picture, mark);
    }
    stroke(cairo, theme, mark->pen, mark->ink);
    cairo_new_path(cairo);
    cairo_restore(cairo);
}

static void
paint_text(cairo_t *cairo,
           TbPaintTexts *texts,
           const TbPicture *picture,
           const TbMark *mark,
           TbTheme theme)
{
    PangoLayout *layout =
        tb_paint__layout(texts, tb_picture_string(picture, mark->text), mark->size, mark->bold);
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

/* ---- pictures ---- */

/** Clips come in pairs, on and off; see tb_picture_clip(). */
static void
paint_clip(cairo_t *cairo, const TbPicture *picture, const TbMark *mark)
{
    if (mark->loops > 0) {
        cairo_save(cairo);
        trace_loops(cairo, picture, mark);
        cairo_clip(cairo);
    } else {
        cairo_restore(cairo);
    }
}

void
tb_paint__mark(cairo_t *cairo,
               TbPaintTexts *texts,
               const TbPicture *picture,
               const TbMark *mark,
               TbTheme theme)
{
    if (texts->dots != NULL && tb_paint__on_dots(cairo, texts, picture, mark, theme))
        return;
    switch (mark->kind) {
    case TB_MARK_AREA:
        paint_area(cairo, picture, mark, theme);
        break;
    case TB_MARK_LINE:
        trace_loops(cairo, picture, mark);
        stroke(cairo, theme, mark->pen, mark->ink);
        break;
    case TB_MARK_TEXT:
        paint_text(cairo, texts, picture, mark, theme);
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
        tb_paint__raster(cairo, picture, mark, theme);
        break;
    }
}

void
tb_paint_some(cairo_t *cairo,
              const TbPicture *picture,
              size_t first,
              size_t count,
              TbTheme theme,
              TbPaintMeasurer *fonts)
{
    TbPaintTexts texts = tb_paint__texts(cairo, fonts);

    for (size_t i = first; i < first + count; i++)
        tb_paint__mark(cairo, &texts, picture, &picture->marks[i], theme);
    tb_paint__texts_end(&texts);
}

void
tb_paint_marks(cairo_t *cairo, const TbPicture *picture, TbTheme theme)
{
    tb_paint_some(cairo, picture, 0, picture->mark_count, theme, NULL);
}

void
tb_paint_again(cairo_t *cairo, const TbPicture *picture, TbTheme theme, TbPaintMeasurer *fonts)
{
    use_ink(cairo, theme, TB_INK_PAPER);
    cairo_rectangle(cairo, 0, 0, picture->width, picture->height);
    cairo_fill(cairo);
    tb_paint_some(cairo, picture, 0, picture->mark_count, theme, fonts);
}

void
tb_paint_picture(cairo_t *cairo, const TbPicture *picture, TbTheme theme)
{
    tb_paint_again(cairo, picture, theme, NULL);
}
