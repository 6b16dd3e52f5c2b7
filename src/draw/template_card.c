/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/template_card.h"

#include "base/mem.h"
#include "draw/sheet.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* mm of paper */
#define AIR 6.0         /* from the outline to the card's left and lower edge */
#define AIR_NAMED 9.5   /* to its right and upper one: the axes' letters stand there */
#define AXIS 4.0        /* of an axis beyond the outline */
#define LETTER 2.6      /* from an axis's end to the middle of its letter */
#define LEAST_WIDE 66.0 /* of a card: room for its texts */
#define TEXT_AIR 3.0    /* about the texts */
#define LINE 4.2        /* from line to line */
#define CROSS 1.5       /* of a hole's cross beyond its rim */
#define BARE_CROSS 3.0  /* half a cross where the hole has no size */

static bool
is_shown(const TbCard *card, TbTemplateRole role)
{
    switch (card->side) {
    case TB_TEMPLATE_OUTSIDE:
        return role != TB_TEMPLATE_INNER;
    case TB_TEMPLATE_INSIDE:
        return role != TB_TEMPLATE_OUTER;
    case TB_TEMPLATE_BOTH:
        break;
    }
    return true;
}

/** A shape without the side that is asked for (a solid bar has no inside) shows what it has. */
static bool
has_role(const TbTemplate *shape, TbTemplateRole role)
{
    for (size_t i = 0; i < shape->loop_count; i++)
        if (shape->loops[i].role == role)
            return true;
    return false;
}

static TbTemplateSide
side_of(const TbTemplate *shape, TbTemplateSide side)
{
    if ((side == TB_TEMPLATE_OUTSIDE && !has_role(shape, TB_TEMPLATE_OUTER)) ||
        (side == TB_TEMPLATE_INSIDE && !has_role(shape, TB_TEMPLATE_INNER)))
        return TB_TEMPLATE_BOTH;
    return side;
}

static void
bound(TbCard *card)
{
    const TbTemplate *shape = card->shape;

    card->low = tb_vec2(INFINITY, INFINITY);
    card->high = tb_vec2(-INFINITY, -INFINITY);
    for (size_t i = 0; i < shape->loop_count; i++) {
        TbLoopSpan span = shape->loops[i].span;

        for (size_t k = 0; is_shown(card, shape->loops[i].role) && k < span.count; k++) {
            TbVec2 p = shape->points[span.first + k];

            card->low = tb_vec2(fmin(card->low.x, p.x), fmin(card->low.y, p.y));
            card->high = tb_vec2(fmax(card->high.x, p.x), fmax(card->high.y, p.y));
        }
    }
    for (size_t i = 0; i < shape->centre_count; i++) {
        TbVec2 c = shape->centres[i];

        card->low =
            tb_vec2(fmin(card->low.x, c.x - BARE_CROSS), fmin(card->low.y, c.y - BARE_CROSS));
        card->high =
            tb_vec2(fmax(card->high.x, c.x + BARE_CROSS), fmax(card->high.y, c.y + BARE_CROSS));
    }
}

/** The texts below the shape; drawn where a picture is given. @return lines of it all */
static double
put_texts(const TbCard *card, TbPicture *picture, TbVec2 at, TbMeasurer measurer)
{
    const TbTemplate *shape = card->shape;
    TbTextStyle plain = {.size = TB_PT_SMALL, .ink = TB_INK_INK};
    TbTextStyle head = {.size = TB_PT_TEXT, .ink = TB_INK_INK, .bold = true};
    double wide = card->size.x - 2 * TEXT_AIR;
    double y = at.y;

    y += LINE + tb_sheet_paragraph(picture, tb_vec2(at.x, y), wide, head, shape->name, measurer);
    y += LINE + tb_sheet_paragraph(picture, tb_vec2(at.x, y), wide, plain, card->templates->subject,
                                   measurer);
    for (size_t i = 0; i < shape->line_count; i++)
        y += LINE +
             tb_sheet_paragraph(picture, tb_vec2(at.x, y), wide, plain, shape->lines[i], measurer);
    y += LINE + tb_sheet_paragraph(picture, tb_vec2(at.x, y), wide, plain, _("looking downstream"),
                                   measurer);
    return y - at.y;
}

TbCard
tb_card_of(const TbTemplates *templates,
           const TbTemplate *shape,
           TbTemplateSide side,
           TbMeasurer measurer)
{
    TbCard card = {.templates = templates, .shape = shape, .side = side_of(shape, side)};
    TbPicture trial;
    double wide, tall;

    bound(&card);
    wide = card.high.x - card.low.x + AIR + AIR_NAMED;
    tall = card.high.y - card.low.y + AIR + AIR_NAMED;
    card.size.x = fmax(LEAST_WIDE, wide);
    card.origin = tb_vec2((card.size.x - wide) / 2 + AIR - card.low.x, AIR_NAMED + card.high.y);
    card.text_top = tall + LINE / 2;
    tb_picture_init(&trial, 1, 1);
    card.size.y = tall + put_texts(&card, &trial, tb_vec2(0, 0), measurer) + TEXT_AIR;
    tb_picture_clear(&trial);
    return card;
}

/* ---- drawing ---- */

static TbVec2
place(const TbCard *card, TbVec2 corner, TbVec2 p)
{
    return tb_vec2(corner.x + card->origin.x + p.x, corner.y + card->origin.y - p.y);
}

/** Loops of the roles that fill together; a ring between outside and inside is the wall. */
static void
draw_outlines(const TbCard *card, TbPicture *picture, TbVec2 corner)
{
    const TbTemplate *shape = card->shape;
    TbVec2 *points = tb_alloc_array(shape->point_count + 1, sizeof *points);
    TbLoopSpan *spans = tb_alloc_array(shape->loop_count + 1, sizeof *spans);
    size_t count = 0;
    TbAreaStyle style = {.fill = TB_INK_NONE, .edge = TB_INK_INK, .pen = TB_PEN_FRAME};

    if (points == NULL || spans == NULL) {
        picture->status = TB_E_MEMORY;
    } else {
        for (size_t i = 0; i < shape->point_count; i++)
            points[i] = place(card, corner, shape->points[i]);
        for (size_t i = 0; i < shape->loop_count; i++)
            if (is_shown(card, shape->loops[i].role))
                spans[count++] = shape->loops[i].span;
        for (size_t i = 0; i < count; i++)
            tb_picture_area(picture, points, &spans[i], 1, style, NULL);
    }
    tb_free(points);
    tb_free(spans);
}

static void
draw_axes(const TbCard *card, TbPicture *picture, TbVec2 corner)
{
    const TbTemplates *templates = card->templates;
    TbVec2 o = place(card, corner, tb_vec2(0, 0));
    TbVec2 low = place(card, corner, tb_vec2(card->low.x - AXIS, card->low.y - AXIS));
    TbVec2 high = place(card, corner, tb_vec2(card->high.x + AXIS, card->high.y + AXIS));
    TbTextStyle letter = {.size = TB_PT_TEXT, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE};
    TbVec2 across[2] = {{low.x, o.y}, {high.x, o.y}};
    TbVec2 up[2] = {{o.x, low.y}, {o.x, high.y}};

    tb_picture_line(picture, across, 2, TB_PEN_CENTRE, TB_INK_INK, NULL);
    tb_picture_line(picture, up, 2, TB_PEN_CENTRE, TB_INK_INK, NULL);
    if (templates->axis_u[0] != '\0')
        tb_picture_text(picture, tb_vec2(high.x + LETTER, o.y), letter, templates->axis_u);
    tb_picture_text(picture, tb_vec2(o.x, high.y - LETTER), letter, templates->axis_v);
}

/** Crosses where holes are: a centre punch or a leather punch is set on them. */
static void
draw_centres(const TbCard *card, TbPicture *picture, TbVec2 corner)
{
    const TbTemplate *shape = card->shape;
    size_t hole = 0;

    for (size_t i = 0; i < shape->centre_count; i++) {
        TbVec2 c = place(card, corner, shape->centres[i]);
        double half = BARE_CROSS;

        while (hole < shape->loop_count && shape->loops[hole].role != TB_TEMPLATE_HOLE)
            hole++;
        if (hole < shape->loop_count) {
            TbVec2 rim = shape->points[shape->loops[hole++].span.first];

            half = CROSS + tb_vec2_length(tb_vec2_sub(rim, shape->centres[i]));
        }
        tb_picture_segment(picture, tb_vec2(c.x - half, c.y), tb_vec2(c.x + half, c.y),
                           TB_PEN_FRAME, TB_INK_INK);
        tb_picture_segment(picture, tb_vec2(c.x, c.y - half), tb_vec2(c.x, c.y + half),
                           TB_PEN_FRAME, TB_INK_INK);
    }
}

/** Whether a text about a place lies on the piece that is cut out: inside of every outline. */
static bool
is_inside(const TbCard *card, TbVec2 at, double width)
{
    const TbTemplate *shape = card->shape;

    for (size_t i = 0; i < shape->loop_count; i++) {
        TbLoopSpan span = shape->loops[i].span;

        for (int k = 0; is_shown(card, shape->loops[i].role) && k < 4; k++) {
            TbVec2 corner = {at.x + (k % 2 - 0.5) * (width + 2), at.y + (k / 2 - 0.5) * 1.5 * LINE};

            if (!tb_polygon_holds(shape->points + span.first, span.count, corner))
                return false;
        }
    }
    return true;
}

/** A text on the piece, which still says what it is once the card around it is gone; left out where
 * there is no room for it. */
static void
put_inside(const TbCard *card,
           TbPicture *picture,
           TbVec2 corner,
           TbVec2 at,
           TbTextStyle style,
           const char *text,
           TbMeasurer measurer)
{
    double width = measurer.width(measurer.user, text, style.size, style.bold);

    if (is_inside(card, at, width) && fabs(at.x) > width / 2 && fabs(at.y) > LINE / 2)
        tb_picture_text(picture, place(card, corner, at), style, text);
}

/** Which piece it is, and where its height points. */
static void
draw_brief(const TbCard *card, TbPicture *picture, TbVec2 corner, TbMeasurer measurer)
{
    TbTextStyle letter = {.size = TB_PT_TEXT, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE};
    TbTextStyle head = {
        .size = TB_PT_HEAD, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE, .bold = true};

    put_inside(card, picture, corner, tb_vec2(card->low.x * 0.4, card->low.y * 0.4), head,
               card->shape->brief, measurer);
    put_inside(card, picture, corner, tb_vec2(LETTER, card->high.y * 0.6), letter,
               card->templates->axis_v, measurer);
}

void
tb_card_draw(const TbCard *card, TbPicture *picture, TbVec2 corner, TbMeasurer measurer)
{
    tb_picture_layer(picture, TB_LAYER_CUT_LINES);
    tb_picture_rectangle(
        picture, corner, tb_vec2_add(corner, card->size),
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_HIDDEN}, NULL);
    tb_picture_layer(picture, TB_LAYER_OUTLINES);
    draw_outlines(card, picture, corner);
    tb_picture_layer(picture, TB_LAYER_CENTRE_LINES);
    draw_centres(card, picture, corner);
    tb_picture_layer(picture, TB_LAYER_AXES);
    draw_axes(card, picture, corner);
    tb_picture_layer(picture, TB_LAYER_LABELS);
    draw_brief(card, picture, corner, measurer);
    put_texts(card, picture, tb_vec2(corner.x + TEXT_AIR, corner.y + card->text_top), measurer);
}
