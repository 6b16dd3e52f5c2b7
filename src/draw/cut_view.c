/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include "base/mem.h"
#include "base/text.h"
#include "draw/sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* mm of paper */
#define TICK 1.6   /* half length of a station tick */
#define AXIS 9.0   /* length of an axis arrow */
#define FRONT 14.0 /* length of the arrow to the front */

/** Weights of ink under a label. */
enum { INK_BEYOND = 2, INK_CENTRE = 4, INK_CUT = 8 };

TbVec2
tb_cut_drawing__paper(const TbCutDrawing *view, TbVec2 p)
{
    return tb_vec2(
        (view->frame.low.x + view->frame.high.x) / 2 + view->ratio * (p.x - view->centre.x),
        (view->frame.low.y + view->frame.high.y) / 2 - view->ratio * (p.y - view->centre.y));
}

/** All points of a cut on paper, in the scratch; false when there is no room. */
bool
tb_cut_drawing__put(TbCutDrawing *view, const TbVec2 points[], size_t count)
{
    while (view->paper_room < count || view->paper == NULL) {
        void *array = view->paper;

        if (tb_grow_array(&array, &view->paper_room, view->paper_room, sizeof *view->paper) != 0) {
            view->picture->status = TB_E_MEMORY;
            return false;
        }
        view->paper = array;
    }
    for (size_t i = 0; i < count; i++)
        view->paper[i] = tb_cut_drawing__paper(view, points[i]);
    return true;
}

static bool
room_for_spans(TbCutDrawing *view, size_t count)
{
    while (view->span_room < count || view->spans == NULL) {
        void *array = view->spans;

        if (tb_grow_array(&array, &view->span_room, view->span_room, sizeof *view->spans) != 0) {
            view->picture->status = TB_E_MEMORY;
            return false;
        }
        view->spans = array;
    }
    return true;
}

/* ---- shapes ---- */

static void
draw_silhouette(TbCutDrawing *view, const TbSceneShape *shape)
{
    const TbCut *cut = &shape->silhouette;
    TbInk ink = shape->subject ? TB_INK_INK : TB_INK_QUIET;

    if (cut->loop_count == 0 || !tb_cut_drawing__put(view, cut->points, cut->point_count))
        return;
    for (size_t i = 0; i < cut->loop_count; i++) {
        TbLoopSpan span = {cut->loops[i].first, cut->loops[i].count};
        TbAreaStyle style = {.fill = TB_INK_PAPER, .edge = ink, .pen = TB_PEN_BEYOND};

        tb_picture_area(view->picture, view->paper, &span, 1, style, shape->tag);
        tb_placer_ink_line(&view->placer, view->paper + span.first, span.count, true, INK_BEYOND);
    }
}

int
tb_cut_drawing__furthest_first(const void *a, const void *b)
{
    const TbSceneShape *const *p = a;
    const TbSceneShape *const *q = b;

    if ((*p)->height != (*q)->height)
        return (*p)->height < (*q)->height ? -1 : 1;
    return *p < *q ? -1 : *p > *q;
}

/** What lies beyond, the nearer in front of the further. */
static void
draw_silhouettes(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;
    const TbSceneShape **order =
        tb_alloc_array(scene->shape_count > 0 ? scene->shape_count : 1, sizeof(TbSceneShape *));

    if (order == NULL) {
        view->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i < scene->shape_count; i++)
        order[i] = &scene->shapes[i];
    qsort(order, scene->shape_count, sizeof(TbSceneShape *), tb_cut_drawing__furthest_first);
    for (size_t i = 0; i < scene->shape_count; i++)
        draw_silhouette(view, order[i]);
    tb_free(order);
}

/** Loops of one role fill together, even-odd, so that holes and the gas side stay open. */
static void
draw_role(TbCutDrawing *view, const TbSceneShape *shape, int role, TbAreaStyle style)
{
    const TbCut *cut = &shape->cut;
    size_t spans = 0;

    for (size_t i = 0; i < cut->loop_count; i++)
        if (cut->loops[i].role == role && cut->loops[i].kind != TB_LOOP_OPEN)
            view->spans[spans++] = (TbLoopSpan){cut->loops[i].first, cut->loops[i].count};
    if (spans > 0)
        tb_picture_area(view->picture, view->paper, view->spans, spans, style, shape->tag);
}

static void
draw_cut(TbCutDrawing *view, const TbSceneShape *shape)
{
    const TbCut *cut = &shape->cut;
    TbLookStyle look = tb_style_look(shape->look);
    TbAreaStyle style = {.fill = look.fill,
                         .edge = shape->subject ? TB_INK_INK : look.edge,
                         .pen = TB_PEN_CUT,
                         .hatch_angle = look.hatch_angle,
                         .hatch_step = look.hatch_step,
                         .hatch_dotted = look.dotted};

    if (cut->loop_count == 0 || !tb_cut_drawing__put(view, cut->points, cut->point_count) ||
        !room_for_spans(view, cut->loop_count))
        return;
    /* clamps and flanges are envelopes about the skin: drawn first, the skin on top */
    for (int role = TB_ROLE_BOLT; role >= TB_ROLE_SKIN; role--) {
        TbAreaStyle now = style;

        if (role == TB_ROLE_CLAMP || role == TB_ROLE_BOLT)
            now = (TbAreaStyle){.fill = TB_INK_NONE, .edge = style.edge, .pen = TB_PEN_ENVELOPE};
        draw_role(view, shape, role, now);
    }
    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbVec2 *p = view->paper + cut->loops[i].first;
        bool open = cut->loops[i].kind == TB_LOOP_OPEN;

        if (open)
            tb_picture_line(view->picture, p, cut->loops[i].count, TB_PEN_CUT, look.edge,
                            shape->tag);
        tb_placer_ink_line(&view->placer, p, cut->loops[i].count, !open, INK_CUT);
    }
}

static void
draw_line(TbCutDrawing *view, const TbSceneLine *line)
{
    if (line->count < 2 || !tb_cut_drawing__put(view, line->points, line->count))
        return;
    tb_picture_line(view->picture, view->paper, line->count, TB_PEN_CENTRE, TB_INK_INK, line->tag);
    tb_placer_ink_line(&view->placer, view->paper, line->count, false, INK_CENTRE);
    for (size_t i = 0; i < line->tick_count; i++) {
        TbVec2 at = tb_cut_drawing__paper(view, line->tick[i]);
        /* paper's y runs down */
        TbVec2 d = {line->tick_direction[i].x * TICK, -line->tick_direction[i].y * TICK};

        tb_picture_segment(view->picture, tb_vec2_sub(at, d), tb_vec2_add(at, d), TB_PEN_FRAME,
                           TB_INK_INK);
    }
}

/* ---- corner ---- */

static void
draw_arrow(TbPicture *picture, TbVec2 from, TbVec2 to, TbPen pen, TbInk ink)
{
    TbVec2 d = tb_vec2_sub(to, from);
    double length = tb_vec2_length(d);
    TbVec2 along = tb_vec2_scale(d, 1 / length);
    TbVec2 across = {-along.y, along.x};
    TbVec2 head[3] = {
        to,
        {to.x - 2.2 * along.x + 0.8 * across.x, to.y - 2.2 * along.y + 0.8 * across.y},
        {to.x - 2.2 * along.x - 0.8 * across.x, to.y - 2.2 * along.y - 0.8 * across.y}};

    tb_picture_segment(picture, from, tb_vec2_sub(to, tb_vec2_scale(along, 1.5)), pen, ink);
    tb_picture_area(picture, head, &(TbLoopSpan){0, 3}, 1,
                    (TbAreaStyle){.fill = ink, .edge = ink, .pen = TB_PEN_NONE}, NULL);
}

/** Length of the scale bar: 1-2-5 mm of the bay that gives 20 to 50 mm of paper. */
static double
bar_length(double ratio)
{
    static const double steps[] = {1, 2, 5};
    double decade = 0.01;

    for (;;) {
        for (int i = 0; i < 3; i++)
            if (steps[i] * decade * ratio >= 20)
                return steps[i] * decade;
        decade *= 10;
    }
}

/** Axes, arrow to the front and scale bar, together in the corner that holds least. */
static void
draw_corner(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;
    TbPicture *picture = view->picture;
    double bar = bar_length(view->ratio);
    double bar_paper = bar * view->ratio;
    double width = fmax(bar_paper + 8, 2 * AXIS + FRONT + 30);
    double height = 2 * AXIS + 14;
    TbVec2 low = view->frame.low;
    TbVec2 high = view->frame.high;
    TbVec2 corners[4] = {{low.x + width / 2 + 2, high.y - height / 2 - 2},
                         {high.x - width / 2 - 2, high.y - height / 2 - 2},
                         {low.x + width / 2 + 2, low.y + height / 2 + 2},
                         {high.x - width / 2 - 2, low.y + height / 2 + 2}};
    TbCandidate candidates[4];
    char number[TB_TEXT_NUMBER];
    char text[TB_TEXT_NUMBER + 8];
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE};
    TbVec2 c, origin, tip;

    for (int i = 0; i < 4; i++)
        candidates[i] = (TbCandidate){corners[i], i};
    if (!tb_placer_place(&view->placer, candidates, 4, width, height, &c))
        return;
    tb_picture_rectangle(
        picture, tb_vec2(c.x - width / 2, c.y - height / 2),
        tb_vec2(c.x + width / 2, c.y + height / 2),
        (TbAreaStyle){.fill = TB_INK_PAPER, .edge = TB_INK_GRID, .pen = TB_PEN_GRID}, NULL);

    origin = tb_vec2(c.x - width / 2 + AXIS + 5, c.y - height / 2 + AXIS + 5);
    tip = tb_vec2(origin.x + scene->axis_u_sign * AXIS, origin.y);
    draw_arrow(picture, origin, tip, TB_PEN_FRAME, TB_INK_INK);
    tb_picture_text(picture, tb_vec2(tip.x + scene->axis_u_sign * 2.4, tip.y), style,
                    scene->axis_u);
    tip = tb_vec2(origin.x, origin.y - scene->axis_v_sign * AXIS);
    draw_arrow(picture, origin, tip, TB_PEN_FRAME, TB_INK_INK);
    tb_picture_text(picture, tb_vec2(tip.x, tip.y - scene->axis_v_sign * 2.4), style,
                    scene->axis_v);

    if (scene->front_u != 0 || scene->front_v != 0) {
        TbVec2 from = {c.x + width / 2 - 5 - (scene->front_u > 0 ? FRONT : 0), origin.y};
        TbVec2 to;

        if (scene->front_u == 0)
            from.x = c.x + width / 2 - 5 - FRONT / 2;
        to = tb_vec2(from.x + scene->front_u * FRONT, from.y - scene->front_v * FRONT / 2);
        draw_arrow(picture, from, to, TB_PEN_SCALE, TB_INK_QUIET);
        style.ink = TB_INK_QUIET;
        tb_picture_text(picture, tb_vec2((from.x + to.x) / 2, from.y + 4), style, "front");
        style.ink = TB_INK_INK;
    }

    origin = tb_vec2(c.x - bar_paper / 2, c.y + height / 2 - 8);
    tip = tb_vec2(origin.x + bar_paper, origin.y);
    tb_picture_segment(picture, origin, tip, TB_PEN_SCALE, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(origin.x, origin.y - 1.2),
                       tb_vec2(origin.x, origin.y + 1.2), TB_PEN_FRAME, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(tip.x, tip.y - 1.2), tb_vec2(tip.x, tip.y + 1.2),
                       TB_PEN_FRAME, TB_INK_INK);
    tb_text_from_double(bar, number);
    snprintf(text, sizeof text, "%s mm", number);
    tb_picture_text(picture, tb_vec2(c.x, origin.y + 4), style, text);
}

/* ---- all together ---- */

static void
draw_all(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;

    tb_picture_clip(view->picture, view->frame.low, view->frame.high);
    draw_silhouettes(view);
    /* the subject's cut lies on top of its neighbours' */
    for (int subject = 0; subject < 2; subject++)
        for (size_t i = 0; i < scene->shape_count; i++)
            if (scene->shapes[i].subject == (subject == 1))
                draw_cut(view, &scene->shapes[i]);
    for (size_t i = 0; i < scene->line_count; i++)
        draw_line(view, &scene->lines[i]);
    draw_corner(view);
    tb_cut_drawing__label(view);
    tb_picture_unclip(view->picture);
    tb_picture_rectangle(
        view->picture, view->frame.low, view->frame.high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
}

TbStatus
tb_cut_view(
    TbPicture *picture, const TbScene *scene, double ratio, TbMeasurer measurer, TbFault *fault)
{
    TbCutDrawing view = {.picture = picture, .scene = scene, .measurer = measurer};
    TbSheetTexts texts = {.title = scene->title,
                          .subtitle = scene->subtitle,
                          .caution = scene->caution,
                          .notes = scene->notes,
                          .note_count = scene->note_count};
    TbVec2 size = tb_vec2_sub(scene->high, scene->low);
    TbPicture trial;
    char scale[24];

    /* the head carries the ratio, and the ratio depends on the room below the head */
    tb_picture_init(&trial, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    view.frame = tb_sheet_frame(&trial, texts, measurer);
    tb_picture_clear(&trial);
    view.ratio = ratio > 0 ? ratio : tb_sheet_ratio(size.x, size.y, view.frame);
    view.centre = tb_vec2_scale(tb_vec2_add(scene->low, scene->high), 0.5);
    tb_sheet_ratio_text(view.ratio, scale);
    texts.scale = scale;

    tb_picture_init(picture, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    tb_sheet_frame(picture, texts, measurer);
    tb_placer_init(&view.placer, view.frame);
    draw_all(&view);
    tb_placer_clear(&view.placer);
    tb_free(view.paper);
    tb_free(view.spans);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
