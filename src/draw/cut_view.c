/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include "base/mem.h"
#include "draw/sheet.h"

#include <math.h>
#include <stdlib.h>

/* mm of paper */
#define TICK 1.6         /* half length of a station tick */
#define DOUBLE_LEAST 3.0 /* a loop narrower than this has no room for a second outline */
#define BEYOND_FRAME 6.0 /* lines are cut off this far beside the frame */

/** Weights of ink under a label. */
enum { INK_BEYOND = 2, INK_CENTRE = 4, INK_CUT = 8 };

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
draw_silhouette(TbCutDrawing *view, const TbPaperShape *shape)
{
    const TbPaperCut *cut = &shape->silhouette;
    TbInk ink = shape->selected ? TB_INK_SELECT : shape->shape->subject ? TB_INK_INK : TB_INK_QUIET;

    for (size_t i = 0; i < cut->loop_count; i++) {
        TbLoopSpan span = {cut->loops[i].first, cut->loops[i].count};
        TbAreaStyle style = {.fill = TB_INK_PAPER, .edge = ink, .pen = TB_PEN_BEYOND};

        tb_picture_area(view->picture, cut->points, &span, 1, style, shape->shape->tag);
        tb_placer_ink_line(&view->placer, cut->points + span.first, span.count, true, INK_BEYOND);
    }
}

int
tb_cut_drawing__furthest_first(const void *a, const void *b)
{
    const TbSceneShape *p = (*(const TbPaperShape *const *)a)->shape;
    const TbSceneShape *q = (*(const TbPaperShape *const *)b)->shape;

    if (p->height != q->height)
        return p->height < q->height ? -1 : 1;
    return p < q ? -1 : p > q;
}

/** What lies beyond, the nearer in front of the further. */
static void
draw_silhouettes(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;
    const TbPaperShape **order =
        tb_alloc_array(scene->shape_count > 0 ? scene->shape_count : 1, sizeof(TbPaperShape *));

    if (order == NULL) {
        view->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i < scene->shape_count; i++)
        order[i] = &view->shapes[i];
    qsort(order, scene->shape_count, sizeof(TbPaperShape *), tb_cut_drawing__furthest_first);
    for (size_t i = 0; i < scene->shape_count; i++)
        draw_silhouette(view, order[i]);
    tb_free(order);
}

/** Loops of one role fill together, even-odd, so that holes and the gas side stay open. */
static void
draw_role(TbCutDrawing *view, const TbPaperShape *shape, int role, TbAreaStyle style)
{
    const TbPaperCut *cut = &shape->cut;
    size_t spans = 0;

    for (size_t i = 0; i < cut->loop_count; i++)
        if (cut->loops[i].role == role && cut->loops[i].kind != TB_LOOP_OPEN)
            view->spans[spans++] = (TbLoopSpan){cut->loops[i].first, cut->loops[i].count};
    if (spans > 0)
        tb_picture_area(view->picture, cut->points, view->spans, spans, style, shape->shape->tag);
}

/** The outline as two lines: a wide one, and paper along its middle. */
static void
double_outline(TbCutDrawing *view, const TbPaperShape *shape, TbInk edge)
{
    const TbPaperCut *cut = &shape->cut;

    for (size_t i = 0; i < cut->loop_count; i++) {
        TbLoopSpan span = {cut->loops[i].first, cut->loops[i].count};
        TbRectangle box = cut->boxes[i];
        TbAreaStyle wide = {.fill = TB_INK_NONE, .edge = edge, .pen = TB_PEN_DOUBLE};
        TbAreaStyle core = {.fill = TB_INK_NONE, .edge = TB_INK_PAPER, .pen = TB_PEN_DOUBLE_CORE};

        if (cut->loops[i].kind == TB_LOOP_OPEN ||
            fmin(box.high.x - box.low.x, box.high.y - box.low.y) < DOUBLE_LEAST)
            continue;
        tb_picture_area(view->picture, cut->points, &span, 1, wide, NULL);
        tb_picture_area(view->picture, cut->points, &span, 1, core, NULL);
    }
}

static void
draw_cut(TbCutDrawing *view, const TbPaperShape *shape)
{
    const TbPaperCut *cut = &shape->cut;
    TbLookStyle look = tb_style_look(shape->shape->look);
    TbAreaStyle style = {.fill = look.fill,
                         .edge = shape->selected         ? TB_INK_SELECT
                                 : shape->shape->subject ? TB_INK_INK
                                                         : look.edge,
                         .pen = TB_PEN_CUT,
                         .hatch_angle = look.hatch_angle,
                         .hatch_step = look.hatch_step,
                         .hatch_dotted = look.dotted};

    if (cut->loop_count == 0 || !room_for_spans(view, cut->loop_count))
        return;
    /* clamps and flanges are envelopes about the skin: drawn first, the skin on top */
    for (int role = TB_ROLE_BOLT; role >= TB_ROLE_SKIN; role--) {
        TbAreaStyle now = style;

        tb_picture_layer(view->picture, role == TB_ROLE_CLAMP || role == TB_ROLE_BOLT
                                            ? TB_LAYER_ENVELOPES
                                            : TB_LAYER_OUTLINES);
        if (role == TB_ROLE_CLAMP || role == TB_ROLE_BOLT)
            now = (TbAreaStyle){.fill = TB_INK_NONE, .edge = style.edge, .pen = TB_PEN_ENVELOPE};
        draw_role(view, shape, role, now);
    }
    tb_picture_layer(view->picture, TB_LAYER_OUTLINES);
    if (look.double_edge)
        double_outline(view, shape, style.edge);
    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbVec2 *p = cut->points + cut->loops[i].first;
        bool open = cut->loops[i].kind == TB_LOOP_OPEN;

        if (open)
            tb_picture_line(view->picture, p, cut->loops[i].count, style.pen,
                            shape->selected ? style.edge : look.edge, shape->shape->tag);
        tb_placer_ink_line(&view->placer, p, cut->loops[i].count, !open, INK_CUT);
    }
}

/** What a thing passes while it moves: lines of its own over all cuts. They are found by the
 * pointer, but what they enclose is not of the thing. */
static void
draw_envelope(TbCutDrawing *view, const TbPaperShape *shape)
{
    const TbPaperCut *cut = &shape->envelope;
    TbInk ink = shape->selected ? TB_INK_SELECT : tb_style_look(shape->shape->look).edge;

    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbVec2 *p = cut->points + cut->loops[i].first;
        size_t count = cut->loops[i].count;
        const TbVec2 last[2] = {p[count - 1], p[0]};

        tb_picture_line(view->picture, p, count, TB_PEN_ENVELOPE, ink, shape->shape->tag);
        tb_picture_line(view->picture, last, 2, TB_PEN_ENVELOPE, ink, shape->shape->tag);
        tb_placer_ink_line(&view->placer, p, count, true, INK_BEYOND);
    }
}

/* ---- lines ---- */

/** The parts of the scratch's points that lie near the frame, each a line of its own: dashes are
 * made one by one, and at a large ratio a path has thousands of them where nobody looks. */
static void
draw_seen_parts(TbCutDrawing *view, size_t count, const char *tag)
{
    TbRectangle near_by = {{view->frame.low.x - BEYOND_FRAME, view->frame.low.y - BEYOND_FRAME},
                           {view->frame.high.x + BEYOND_FRAME, view->frame.high.y + BEYOND_FRAME}};
    size_t first = 0;
    bool within = false;

    for (size_t i = 0; i + 1 < count; i++) {
        TbVec2 a = view->paper[i], b = view->paper[i + 1];
        bool seen = tb_rectangle_clip(near_by, &a, &b);

        if (seen && !within)
            first = i;
        if (within && !seen)
            tb_picture_line(view->picture, view->paper + first, i - first + 1, TB_PEN_CENTRE,
                            TB_INK_INK, tag);
        within = seen;
    }
    if (within)
        tb_picture_line(view->picture, view->paper + first, count - first, TB_PEN_CENTRE,
                        TB_INK_INK, tag);
}

static void
draw_line(TbCutDrawing *view, const TbSceneLine *line)
{
    if (line->count < 2 || tb_cut_drawing__is_hidden(view, line->tag) ||
        !tb_cut_drawing__put(view, line->points, line->count))
        return;
    draw_seen_parts(view, line->count, line->tag);
    tb_placer_ink_line(&view->placer, view->paper, line->count, false, INK_CENTRE);
    for (size_t i = 0; i < line->tick_count; i++) {
        TbVec2 at = tb_cut_drawing__paper(view, line->tick[i]);
        /* paper's y runs down */
        TbVec2 d = {line->tick_direction[i].x * TICK, -line->tick_direction[i].y * TICK};

        tb_picture_segment(view->picture, tb_vec2_sub(at, d), tb_vec2_add(at, d), TB_PEN_FRAME,
                           TB_INK_INK);
    }
}

/* ---- all together ---- */

static void
keep_off_handles(TbCutDrawing *view)
{
    /* mm of paper: the largest handle and its outline */
    const double half = 2.6;

    for (size_t i = 0; view->screen != NULL && i < view->screen->keep_off_count; i++) {
        TbVec2 at = tb_cut_drawing__paper(view, view->screen->keep_off[i]);

        tb_placer_take(&view->placer,
                       (TbRectangle){{at.x - half, at.y - half}, {at.x + half, at.y + half}});
    }
}

static void
draw_inside(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;

    tb_picture_layer(view->picture, TB_LAYER_BEYOND);
    draw_silhouettes(view);
    /* the subject's cut lies on top of its neighbours' */
    for (int subject = 0; subject < 2; subject++)
        for (size_t i = 0; i < scene->shape_count; i++)
            if (scene->shapes[i].subject == (subject == 1))
                draw_cut(view, &view->shapes[i]);
    tb_picture_layer(view->picture, TB_LAYER_ENVELOPES);
    for (size_t i = 0; i < scene->shape_count; i++)
        draw_envelope(view, &view->shapes[i]);
    tb_picture_layer(view->picture, TB_LAYER_CENTRE_LINES);
    for (size_t i = 0; i < scene->line_count; i++)
        draw_line(view, &scene->lines[i]);
    keep_off_handles(view);
    tb_cut_drawing__dimensions(view);
    tb_picture_layer(view->picture, TB_LAYER_PLANES);
    tb_cut_drawing__others(view);
    tb_picture_layer(view->picture, TB_LAYER_AXES);
    tb_cut_drawing__corner(view);
    tb_picture_layer(view->picture, TB_LAYER_PLANES);
    tb_cut_drawing__name_others(view);
    tb_picture_layer(view->picture, TB_LAYER_LABELS);
    tb_cut_drawing__label(view);
}

void
tb_cut_drawing__draw(TbCutDrawing *view)
{
    tb_placer_init(&view->placer, view->frame);
    tb_picture_clip(view->picture, view->frame.low, view->frame.high);
    if (tb_cut_drawing__lay_shapes(view))
        draw_inside(view);
    else
        view->picture->status = TB_E_MEMORY;
    tb_picture_unclip(view->picture);
    tb_cut_drawing__leave_shapes(view);
    tb_placer_clear(&view->placer);
    tb_free(view->paper);
    tb_free(view->spans);
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
    tb_cut_drawing__draw(&view);
    tb_picture_layer(picture, TB_LAYER_FRAME);
    tb_picture_rectangle(
        picture, view.frame.low, view.frame.high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}

double
tb_cut_into(
    TbPicture *picture, const TbScene *scene, TbRectangle frame, double ratio, TbMeasurer measurer)
{
    TbVec2 size = tb_vec2_sub(scene->high, scene->low);
    TbCutDrawing view = {.picture = picture, .scene = scene, .measurer = measurer, .frame = frame};

    view.ratio = ratio > 0 ? ratio : tb_sheet_standard_ratio(size.x, size.y, frame);
    view.centre = tb_vec2_scale(tb_vec2_add(scene->low, scene->high), 0.5);
    tb_cut_drawing__draw(&view);
    tb_picture_rectangle(
        picture, frame.low, frame.high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
    return view.ratio;
}
