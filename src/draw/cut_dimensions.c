/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers of a section plot: gaps, stations, and what a section measures. */

#include "draw/cut_view_private.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* mm of paper */
#define DOT 0.7        /* radius of a witness point */
#define SYMBOL 2.6     /* a level's shape */
#define NAME_MOST 42.0 /* of a name behind a gap's number: a longer one ends in an ellipsis */

/** mm of the bay. A gap further than this from the plane belongs on another drawing. */
#define OFF_PLANE 60.0

/* ---- gaps ---- */

/** Name of the side of a gap that the plot is not about, rather one that this plane does not cut;
 * NULL: none. */
static const char *
other_side(const TbCutDrawing *view, const TbSceneGap *gap)
{
    const char *name = NULL;

    for (size_t i = 0; i < view->scene->shape_count; i++) {
        const TbSceneShape *shape = &view->scene->shapes[i];

        if (shape->subject ||
            (strcmp(shape->tag, gap->tag_a) != 0 && strcmp(shape->tag, gap->tag_b) != 0))
            continue;
        if (shape->cut.loop_count == 0)
            return shape->label;
        name = shape->label;
    }
    return name;
}

/** The part of a gap's dimension that is on the paper; false when it is not drawn at all. A sheet
 * shows the whole of it or nothing, a pane what it holds. */
static bool
seen_gap(const TbCutDrawing *view, const TbSceneGap *gap, TbVec2 *a, TbVec2 *b)
{
    *a = tb_cut_drawing__paper(view, gap->a);
    *b = tb_cut_drawing__paper(view, gap->b);
    if (fmin(fabs(gap->height_a), fabs(gap->height_b)) > OFF_PLANE ||
        tb_cut_drawing__is_hidden(view, gap->tag_a) || tb_cut_drawing__is_hidden(view, gap->tag_b))
        return false;
    if (view->screen != NULL)
        return tb_rectangle_clip(view->frame, a, b);
    return tb_cut_drawing__in_frame(view, *a, 0) && tb_cut_drawing__in_frame(view, *b, 0);
}

/** A distance within the plane is no gap that anything is judged by. */
static TbLayer
layer_of(const TbSceneGap *gap)
{
    return gap->flat ? TB_LAYER_DIMENSIONS : TB_LAYER_GAPS;
}

void
tb_cut_drawing__dimensions(TbCutDrawing *view)
{
    for (size_t i = 0; i < view->scene->gap_count; i++) {
        const TbSceneGap *gap = &view->scene->gaps[i];
        TbInk ink = gap->flat ? TB_INK_QUIET : tb_style_level_ink(gap->level);
        double dot = gap->flat ? 0.6 * DOT : DOT;
        TbVec2 ends[2];
        char tag[40];

        if (!seen_gap(view, gap, &ends[0], &ends[1]))
            continue;
        snprintf(tag, sizeof tag, "gap:%zu", i);
        tb_picture_layer(view->picture, layer_of(gap));
        tb_picture_line(view->picture, ends, 2, gap->flat ? TB_PEN_FRAME : TB_PEN_GAP, ink, tag);
        tb_picture_dot(view->picture, tb_cut_drawing__paper(view, gap->a), dot, ink);
        tb_picture_dot(view->picture, tb_cut_drawing__paper(view, gap->b), dot, ink);
        tb_placer_ink_line(&view->placer, ends, 2, false, TB_CUT_INK_GAP);
        tb_placer_take_line(&view->placer, ends[0], ends[1]);
    }
}

/** "14.9 / 12  Subframe": gap rounded down, so that it never looks larger than it is; keep; whose
 * it is. */
static void
gap_text(const TbCutDrawing *view, const TbSceneGap *gap, const char *name, char *text, size_t size)
{
    char number[TB_TEXT_NUMBER];
    char keep[TB_TEXT_NUMBER];
    char whose[TB_TEXT_SHORT];

    tb_gap_words(gap->gap, gap->keep, view->scene->unit, number, keep);
    snprintf(text, size, "%s%s%s", number, isnan(gap->keep) ? "" : " / ", keep);
    if (name == NULL)
        return;
    tb_text_shorten(view->measurer, name, TB_PT_TEXT, true, NAME_MOST, whose);
    snprintf(text + strlen(text), size - strlen(text), "  %s", whose);
}

/** @return false when there is no room for it */
static bool
put_gap(TbCutDrawing *view, const TbSceneGap *gap, const char *name, TbVec2 middle)
{
    TbInk ink = gap->flat ? TB_INK_QUIET : tb_style_level_ink(gap->level);
    double symbol = gap->flat ? 0 : SYMBOL + 1;
    TbTextStyle style = {.size = gap->flat ? TB_PT_SMALL : TB_PT_TEXT,
                         .ink = ink,
                         .anchor = TB_ANCHOR_MIDDLE,
                         .bold = !gap->flat,
                         .backed = true};
    TbCandidate candidates[TB_CUT_CANDIDATES];
    char text[2 * TB_TEXT_NUMBER + TB_TEXT_SHORT];
    TbVec2 centre;
    double width;
    size_t count;

    gap_text(view, gap, name, text, sizeof text);
    width = view->measurer.width(view->measurer.user, text, style.size, style.bold) + symbol + 2;
    count = tb_cut_drawing__candidates_about(middle, width, false, candidates);
    if (!tb_cut_drawing__place(view, candidates, count, width, TB_CUT_LABEL_HEIGHT + 0.6, middle,
                               &centre))
        return false;
    tb_cut_drawing__put_leader(
        view, tb_cut_drawing__leader_start(centre, width, TB_CUT_LABEL_HEIGHT, middle), middle,
        ink);
    tb_picture_text(view->picture, tb_vec2(centre.x + symbol / 2, centre.y), style, text);
    if (!gap->flat)
        tb_picture_level(view->picture, tb_vec2(centre.x - width / 2 + SYMBOL / 2 + 0.5, centre.y),
                         SYMBOL, gap->level);
    return true;
}

/** In a crowd a number comes to stand below another thing's name, so it carries that of its own;
 * alone only where there is no room for both. */
static void
label_gap(TbCutDrawing *view, const TbSceneGap *gap)
{
    const char *name = gap->flat ? NULL : other_side(view, gap);
    TbVec2 a, b, middle;

    if (!seen_gap(view, gap, &a, &b))
        return;
    middle = tb_vec2((a.x + b.x) / 2, (a.y + b.y) / 2);
    if (!put_gap(view, gap, name, middle) && name != NULL)
        put_gap(view, gap, NULL, middle);
}

/* ---- inside a section ---- */

/** mm between the lines inside a section. */
#define INSIDE_LINE 4.3

/** The inner outline of the section that a cut across is about, or NULL. */
static const TbRectangle *
inner_box(const TbCutDrawing *view)
{
    for (size_t i = 0; i < view->scene->shape_count; i++)
        for (size_t k = 0; view->shapes[i].shape->subject && k < view->shapes[i].cut.loop_count;
             k++)
            if (view->shapes[i].cut.loops[k].kind == TB_LOOP_INNER &&
                view->shapes[i].cut.loops[k].role == TB_ROLE_SKIN)
                return &view->shapes[i].cut.boxes[k];
    return NULL;
}

/** What a section measures: within its outline where there is room, else beside it. */
static void
label_inside(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;
    const TbRectangle *box = inner_box(view);
    double height = INSIDE_LINE * (double)scene->inside_count + 0.6;
    double width = 0;
    TbCandidate candidates[TB_CUT_CANDIDATES];
    TbVec2 at, centre;
    size_t count;
    bool fits;

    if (box == NULL || scene->inside_count == 0)
        return;
    for (size_t i = 0; i < scene->inside_count; i++)
        width = fmax(width, view->measurer.width(view->measurer.user, scene->inside[i], TB_PT_SMALL,
                                                 i == 0));
    width += TB_CUT_LABEL_AIR;
    at = tb_vec2((box->low.x + box->high.x) / 2, (box->low.y + box->high.y) / 2);
    /* a rectangle lies in the ellipse of the box when its corners do */
    fits = hypot(width / (box->high.x - box->low.x), height / (box->high.y - box->low.y)) < 1;
    count = tb_cut_drawing__candidates_about(at, width, fits, candidates);
    for (size_t i = fits ? 1 : 0; i < count; i++)
        candidates[i].centre.y +=
            (candidates[i].centre.y > at.y ? 1 : -1) * (height - TB_CUT_LABEL_HEIGHT) / 2;
    if (!tb_cut_drawing__place(view, candidates, count, width, height, at, &centre))
        return;
    if (!fits && tb_cut_drawing__in_frame(view, at, 0))
        tb_cut_drawing__put_leader(view, tb_cut_drawing__leader_start(centre, width, height, at),
                                   at, TB_INK_QUIET);
    for (size_t i = 0; i < scene->inside_count; i++)
        tb_picture_text(
            view->picture,
            tb_vec2(centre.x,
                    centre.y + INSIDE_LINE * ((double)i + 0.5 - (double)scene->inside_count / 2)),
            (TbTextStyle){.size = TB_PT_SMALL,
                          .ink = i == 0 ? TB_INK_INK : TB_INK_QUIET,
                          .anchor = TB_ANCHOR_MIDDLE,
                          .bold = i == 0,
                          .backed = true},
            scene->inside[i]);
}

/* ---- stations ---- */

/** Station numbers beside the ticks, every second tick where they stand closely. */
static void
label_ticks(TbCutDrawing *view, const TbSceneLine *line)
{
    TbVec2 last = {-INFINITY, -INFINITY};

    for (size_t i = 0; i < line->tick_count; i++) {
        TbVec2 at = tb_cut_drawing__paper(view, line->tick[i]);
        TbVec2 d = {line->tick_direction[i].x, -line->tick_direction[i].y};
        TbCandidate candidates[4];
        char text[TB_TEXT_NUMBER];
        double width;
        TbVec2 centre;

        if (!tb_cut_drawing__in_frame(view, at, 4) || hypot(at.x - last.x, at.y - last.y) < 11)
            continue;
        tb_quantity_write(line->tick_station[i], TB_QUANTITY_LENGTH, view->scene->unit, 0, text);
        tb_text_trim(text);
        width = view->measurer.width(view->measurer.user, text, TB_PT_SMALL, false) + 1;
        for (int k = 0; k < 4; k++) {
            double side = (k % 2 == 0 ? 1 : -1) * (k < 2 ? 4.5 : 8.0);

            candidates[k] = (TbCandidate){
                {at.x + d.x * (side + (side > 0 ? 1 : -1) * width / 3), at.y + d.y * side},
                k < 2 ? 0.0 : 10.0};
        }
        if (!tb_placer_place(&view->placer, candidates, 4, width, TB_CUT_LABEL_HEIGHT - 0.8,
                             &centre))
            continue;
        last = at;
        tb_picture_text(view->picture, centre,
                        (TbTextStyle){.size = TB_PT_SMALL,
                                      .ink = TB_INK_QUIET,
                                      .anchor = TB_ANCHOR_MIDDLE,
                                      .backed = true},
                        text);
    }
}

void
tb_cut_drawing__label_dimensions(TbCutDrawing *view)
{
    tb_picture_layer(view->picture, TB_LAYER_DIMENSIONS);
    label_inside(view);
    for (size_t i = 0; i < view->scene->gap_count; i++) {
        tb_picture_layer(view->picture, layer_of(&view->scene->gaps[i]));
        label_gap(view, &view->scene->gaps[i]);
    }
    tb_picture_layer(view->picture, TB_LAYER_LABELS);
    for (size_t i = 0; i < view->scene->line_count; i++)
        if (!tb_cut_drawing__is_hidden(view, view->scene->lines[i].tag))
            label_ticks(view, &view->scene->lines[i]);
}
