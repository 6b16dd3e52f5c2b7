/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* mm of paper */
#define SQUARE 1.15    /* half a side of a knot's square: 7.4 dots a side */
#define BAR 2.0        /* half length of a size's bar */
#define BAR_WIDTH 0.75 /* half width of it */
#define CURSOR 6.0     /* half length of the cursor's tick */
#define RING 3.0       /* radius of the ring around what keys move */
#define SAYS_LINE 4.4  /* from line to line of what the pointer says */
#define SAYS_AIR 1.3   /* round it */
#define SAYS_OFF 4.5   /* from the pointer */

bool
tb_scene_station(const TbScene *scene, const char *item, double station, TbVec2 *at, TbVec2 *across)
{
    for (size_t i = 0; i < scene->line_count; i++) {
        const TbSceneLine *line = &scene->lines[i];

        if (line->station == NULL || strcmp(line->tag, item) != 0)
            continue;
        for (size_t k = 0; k + 1 < line->count; k++) {
            double from = line->station[k];
            double to = line->station[k + 1];
            TbVec2 d = tb_vec2_sub(line->points[k + 1], line->points[k]);
            double length = tb_vec2_length(d);

            if (!(station >= from && station <= to && to > from))
                continue;
            *at = tb_vec2_add(line->points[k], tb_vec2_scale(d, (station - from) / (to - from)));
            /* into the paper: a fifth, as with the ticks */
            *across =
                length < 0.2 * (to - from) ? tb_vec2(0, 0) : tb_vec2(-d.y / length, d.x / length);
            return true;
        }
    }
    return false;
}

/** A direction of the bay on paper, whose y runs down. */
static TbVec2
turned(TbVec2 d, double length)
{
    return tb_vec2(d.x * length, -d.y * length);
}

static void
draw_hovered(TbCutDrawing *view, const char *tag)
{
    const TbScene *scene = view->scene;

    for (size_t i = 0; i < scene->shape_count; i++) {
        TbPaperShape shape = {0};
        TbAreaStyle style = {.fill = TB_INK_NONE, .edge = TB_INK_SELECT, .pen = TB_PEN_CUT};

        if (strcmp(scene->shapes[i].tag, tag) != 0)
            continue;
        if (tb_cut_drawing__lay_shape(view, &scene->shapes[i], &shape)) {
            const TbPaperCut *cut = shape.cut.loop_count > 0 ? &shape.cut : &shape.silhouette;

            for (size_t k = 0; k < cut->loop_count; k++) {
                TbLoopSpan span = {cut->loops[k].first, cut->loops[k].count};

                if (cut->loops[k].kind == TB_LOOP_OPEN)
                    tb_picture_line(view->picture, cut->points + span.first, span.count, style.pen,
                                    style.edge, NULL);
                else
                    tb_picture_area(view->picture, cut->points, &span, 1, style, NULL);
            }
        } else {
            view->picture->status = TB_E_MEMORY;
        }
        tb_cut_drawing__clear_shape(&shape);
    }
}

static void
draw_cursor(TbCutDrawing *view, const char *item, double station)
{
    TbVec2 at, across;

    if (item == NULL || isnan(station) ||
        !tb_scene_station(view->scene, item, station, &at, &across))
        return;
    at = tb_cut_drawing__paper(view, at);
    across = turned(across, CURSOR);
    tb_picture_segment(view->picture, tb_vec2_sub(at, across), tb_vec2_add(at, across),
                       TB_PEN_SCALE, TB_INK_SELECT);
    tb_picture_dot(view->picture, at, 0.8, TB_INK_SELECT);
}

static void
draw_square(TbPicture *picture, TbVec2 at, const TbCutHandle *handle)
{
    TbAreaStyle style = {.fill = handle->active ? TB_INK_SELECT : TB_INK_PAPER,
                         .edge = handle->behind && !handle->active ? TB_INK_QUIET : TB_INK_SELECT,
                         .pen = TB_PEN_GAP};

    tb_picture_rectangle(picture, tb_vec2(at.x - SQUARE, at.y - SQUARE),
                         tb_vec2(at.x + SQUARE, at.y + SQUARE), style, NULL);
}

static void
draw_arrow(TbPicture *picture, TbVec2 at, const TbCutHandle *handle)
{
    TbVec2 d = turned(handle->toward, TB_HANDLE_ARROW);

    /* a direction into the paper has no length on it */
    if (tb_vec2_length(d) < 1) {
        draw_square(picture, at, handle);
        return;
    }
    tb_cut_drawing__arrow(picture, at, tb_vec2_add(at, d), TB_PEN_SCALE, TB_INK_SELECT);
    if (handle->active)
        tb_picture_dot(picture, at, SQUARE, TB_INK_SELECT);
}

static void
draw_bar(TbPicture *picture, TbVec2 at, const TbCutHandle *handle)
{
    TbVec2 d = turned(handle->toward, 1);
    TbVec2 along = {-d.y * BAR, d.x * BAR};
    TbVec2 half = tb_vec2_scale(d, BAR_WIDTH);
    TbVec2 corner[4] = {
        tb_vec2_add(tb_vec2_add(at, along), half), tb_vec2_sub(tb_vec2_add(at, along), half),
        tb_vec2_sub(tb_vec2_sub(at, along), half), tb_vec2_add(tb_vec2_sub(at, along), half)};

    tb_picture_area(picture, corner, &(TbLoopSpan){0, 4}, 1,
                    (TbAreaStyle){.fill = handle->active ? TB_INK_SELECT : TB_INK_PAPER,
                                  .edge = TB_INK_SELECT,
                                  .pen = TB_PEN_GAP},
                    NULL);
}

/** On a wider ring of paper, so that it stands out from whatever it crosses. */
static void
draw_ring(TbPicture *picture, TbVec2 at)
{
    enum { SIDES = 32 }; /* 0.6 mm each: round for the eye */
    TbVec2 round[SIDES];

    for (int i = 0; i < SIDES; i++) {
        double angle = 2 * M_PI * i / SIDES;

        round[i] = tb_vec2(at.x + RING * cos(angle), at.y + RING * sin(angle));
    }
    tb_picture_area(picture, round, &(TbLoopSpan){0, SIDES}, 1,
                    (TbAreaStyle){.edge = TB_INK_PAPER, .pen = TB_PEN_DOUBLE}, NULL);
    tb_picture_area(picture, round, &(TbLoopSpan){0, SIDES}, 1,
                    (TbAreaStyle){.edge = TB_INK_SELECT, .pen = TB_PEN_CUT}, NULL);
}

static void
draw_handle(TbCutDrawing *view, const TbCutHandle *handle)
{
    TbVec2 at = tb_cut_drawing__paper(view, handle->at);

    if (handle->focus)
        draw_ring(view->picture, at);
    switch (handle->mark) {
    case TB_HANDLE_MARK_SQUARE:
        draw_square(view->picture, at, handle);
        break;
    case TB_HANDLE_MARK_ARROW:
        draw_arrow(view->picture, at, handle);
        break;
    case TB_HANDLE_MARK_BAR:
        draw_bar(view->picture, at, handle);
        break;
    }
}

/** Lines of a text, each drawn when @p at is given; returns the widest, mm. */
static double
put_lines(TbCutDrawing *view, const char *text, const TbVec2 *at, size_t *lines)
{
    double widest = 0;

    *lines = 0;
    while (text[0] != '\0') {
        size_t bytes = strcspn(text, "\n");
        char line[200];

        snprintf(line, sizeof line, "%.*s", (int)bytes, text);
        widest =
            fmax(widest, view->measurer.width(view->measurer.user, line, TB_PT_SMALL, *lines == 0));
        if (at != NULL)
            tb_picture_text(view->picture,
                            tb_vec2(at->x, at->y + SAYS_LINE * ((double)*lines + 0.5)),
                            (TbTextStyle){.size = TB_PT_SMALL,
                                          .ink = TB_INK_INK,
                                          .anchor = TB_ANCHOR_LEFT,
                                          .bold = *lines == 0},
                            line);
        ++*lines;
        text += bytes + (text[bytes] == '\n');
    }
    return widest;
}

/** A note below and right of the pointer, or on whatever side has room for it. */
static void
say(TbCutDrawing *view, TbVec2 pointer, const char *text)
{
    size_t lines;
    double width = put_lines(view, text, NULL, &lines) + 2 * SAYS_AIR;
    double height = SAYS_LINE * (double)lines + SAYS_AIR;
    TbVec2 low = {pointer.x + SAYS_OFF, pointer.y + SAYS_OFF};

    if (low.x + width > view->frame.high.x)
        low.x = pointer.x - SAYS_OFF - width;
    if (low.y + height > view->frame.high.y)
        low.y = pointer.y - SAYS_OFF - height;
    low = tb_vec2(fmax(view->frame.low.x + 0.5, low.x), fmax(view->frame.low.y + 0.5, low.y));
    tb_picture_rectangle(
        view->picture, low, tb_vec2(low.x + width, low.y + height),
        (TbAreaStyle){.fill = TB_INK_PAPER, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
    put_lines(view, text, &(TbVec2){low.x + SAYS_AIR, low.y + SAYS_AIR / 2}, &lines);
}

TbStatus
tb_cut_overlay(TbPicture *picture,
               const TbScene *scene,
               TbViewport port,
               const TbCutOverlay *overlay,
               TbMeasurer measurer,
               TbFault *fault)
{
    TbCutScreen screen = {0};
    TbCutDrawing view = {.picture = picture,
                         .scene = scene,
                         .measurer = measurer,
                         .frame = {{0, 0}, {port.width, port.height}},
                         .ratio = port.ratio,
                         .centre = port.centre,
                         .screen = &screen};
    TbVec2 a = {0, 0};

    tb_picture_init(picture, port.width, port.height);
    if (overlay->hovered != NULL)
        draw_hovered(&view, overlay->hovered);
    draw_cursor(&view, overlay->cursor_item, overlay->cursor);
    for (size_t i = 0; i < overlay->band_count; i++) {
        TbVec2 b = tb_viewport_paper(port, overlay->band[i]);

        if (i > 0)
            tb_picture_segment(picture, a, b, TB_PEN_LIMIT, TB_INK_SELECT);
        tb_picture_dot(picture, b, 0.7, TB_INK_SELECT);
        a = b;
    }
    for (size_t i = 0; i < overlay->handle_count; i++)
        draw_handle(&view, &overlay->handles[i]);
    if (overlay->says != NULL && overlay->says[0] != '\0')
        say(&view, overlay->pointer, overlay->says);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
