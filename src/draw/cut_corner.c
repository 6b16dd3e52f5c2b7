/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>

/** mm of paper, on a sheet and on a pane, where room is dearer. */
typedef struct Corner {
    double axis;     /**< length of an axis arrow */
    double front;    /**< length of the arrow to the front */
    double least;    /**< shortest scale bar */
    double edge;     /**< from the frame to the corner's box */
    double bar_room; /**< below the axes */
} Corner;

static const Corner on_sheet = {9, 14, 20, 2, 10};
static const Corner on_pane = {6.5, 9, 12, 1.2, 7.5};

/** From an axis's tip to the middle of its letter, and between two letters. */
#define LETTER 2.4
#define LETTER_APART 3.2

/** An axis that looks shorter than this share of itself points at the reader: a dot, no arrow. */
#define SEEN 0.12

void
tb_cut_drawing__arrow(TbPicture *picture, TbVec2 from, TbVec2 to, TbPen pen, TbInk ink)
{
    TbVec2 d = tb_vec2_sub(to, from);
    double length = tb_vec2_length(d);
    TbVec2 along = tb_vec2_scale(d, 1 / length);
    TbVec2 across = {-along.y, along.x};
    /* the head of a short arrow does not swallow it */
    double head_length = fmin(2.2, 0.6 * length);
    double half = 0.36 * head_length;
    TbVec2 root = tb_vec2_sub(to, tb_vec2_scale(along, head_length));
    TbVec2 head[3] = {to, tb_vec2_add(root, tb_vec2_scale(across, half)),
                      tb_vec2_sub(root, tb_vec2_scale(across, half))};

    tb_picture_segment(picture, from, tb_vec2_sub(to, tb_vec2_scale(along, 0.7 * head_length)), pen,
                       ink);
    tb_picture_area(picture, head, &(TbLoopSpan){0, 3}, 1,
                    (TbAreaStyle){.fill = ink, .edge = ink, .pen = TB_PEN_NONE}, NULL);
}

/** Length of the scale bar, in the unit: 1-2-5 of the bay that gives @p least mm of paper or up
 * to 2.5 times as much. */
static double
bar_length(double ratio, double least, TbLengthUnit unit)
{
    double one = tb_quantity_one(TB_QUANTITY_LENGTH, unit);
    static const double steps[] = {1, 2, 5};
    double decade = 0.01;

    for (;;) {
        for (int i = 0; i < 3; i++)
            if (steps[i] * decade * one * ratio >= least)
                return steps[i] * decade;
        decade *= 10;
    }
}

static const TbTextStyle letter = {
    .size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE};

/** The axes of a corner as they look, y down, with the places of their letters about the origin. */
typedef struct Axes {
    int count;
    TbVec2 tip[3], name_at[3];
    const char *name[3];
    bool seen[3]; /**< not pointing at the reader */
} Axes;

static void
add_axis(Axes *axes, TbVec2 axis, const char *name, double length)
{
    int k = axes->count;
    double seen = tb_vec2_length(axis);
    TbVec2 out = {axis.x / seen, -axis.y / seen};

    if (name == NULL || name[0] == '\0')
        return;
    axes->count++;
    axes->name[k] = name;
    axes->seen[k] = seen >= SEEN;
    axes->tip[k] = tb_vec2(axis.x * length, -axis.y * length);
    axes->name_at[k] = axes->seen[k] ? tb_vec2_add(axes->tip[k], tb_vec2_scale(out, LETTER))
                                     : tb_vec2(-LETTER, LETTER);
    /* two axes may look the same way: their letters stand behind one another */
    for (int i = 0; i < k; i++)
        if (axes->seen[k] &&
            tb_vec2_length(tb_vec2_sub(axes->name_at[i], axes->name_at[k])) < LETTER_APART)
            axes->name_at[k] = tb_vec2_add(axes->name_at[i], tb_vec2_scale(out, LETTER_APART));
}

/** The axes that a view shows. */
static Axes
axes_of(const TbScene *scene, double length)
{
    static const char *const vehicle[3] = {"X", "Y", "Z"};
    Axes axes = {0};

    if (scene->view == TB_SCENE_FREE) {
        for (int i = 0; i < 3; i++)
            add_axis(&axes, scene->axes[i], vehicle[i], length);
    } else {
        add_axis(&axes, tb_vec2(scene->axis_u_sign, 0), scene->axis_u, length);
        add_axis(&axes, tb_vec2(0, scene->axis_v_sign), scene->axis_v, length);
    }
    return axes;
}

/** The box that arrows and letters need about their origin. */
static TbRectangle
axes_box(const Axes *axes)
{
    TbRectangle box = {{-1.5, -1.5}, {1.5, 1.5}};

    for (int i = 0; i < axes->count; i++) {
        TbVec2 at = axes->name_at[i];

        box.low = tb_vec2(fmin(box.low.x, at.x - 1.8), fmin(box.low.y, at.y - 2));
        box.high = tb_vec2(fmax(box.high.x, at.x + 1.8), fmax(box.high.y, at.y + 2));
    }
    return box;
}

static void
draw_axes(TbPicture *picture, const Axes *axes, TbVec2 origin)
{
    for (int i = 0; i < axes->count; i++) {
        if (axes->seen[i])
            tb_cut_drawing__arrow(picture, origin, tb_vec2_add(origin, axes->tip[i]), TB_PEN_FRAME,
                                  TB_INK_INK);
        else
            tb_picture_dot(picture, origin, 0.8, TB_INK_INK);
        tb_picture_text(picture, tb_vec2_add(origin, axes->name_at[i]), letter, axes->name[i]);
    }
}

/** Where the vehicle's front lies on paper, v up; shorter where it points into the paper. */
static TbVec2
front_of(const TbScene *scene)
{
    if (tb_vec2_length(scene->axes[0]) > 0)
        return tb_vec2_scale(scene->axes[0], -1);
    return tb_vec2(scene->front_u, scene->front_v);
}

static void
draw_bar(TbPicture *picture, TbVec2 middle, double length, double on_paper, TbLengthUnit unit)
{
    TbVec2 from = {middle.x - on_paper / 2, middle.y};
    TbVec2 to = {middle.x + on_paper / 2, middle.y};
    char number[TB_TEXT_NUMBER];
    char text[TB_TEXT_NUMBER + 8];

    tb_picture_segment(picture, from, to, TB_PEN_SCALE, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(from.x, from.y - 1.2), tb_vec2(from.x, from.y + 1.2),
                       TB_PEN_FRAME, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(to.x, to.y - 1.2), tb_vec2(to.x, to.y + 1.2), TB_PEN_FRAME,
                       TB_INK_INK);
    tb_text_from_double(length, number);
    tb_text_localise(number);
    snprintf(text, sizeof text, "%s %s", number, tb_length_unit_name(unit));
    tb_picture_text(picture, tb_vec2(middle.x, middle.y + 3.4), letter, text);
}

static void
draw_front(const TbScene *scene, TbPicture *picture, TbVec2 middle, double length)
{
    TbVec2 front = front_of(scene);
    TbVec2 half = {front.x * length / 2, -front.y * length / 2};
    TbTextStyle style = letter;

    style.ink = TB_INK_QUIET;
    tb_cut_drawing__arrow(picture, tb_vec2_sub(middle, half), tb_vec2_add(middle, half),
                          TB_PEN_SCALE, TB_INK_QUIET);
    tb_picture_text(picture, tb_vec2(middle.x, middle.y + fabs(half.y) + 3.2), style,
                    scene->front != NULL ? scene->front : "front");
}

/** The corner of the frame that holds least for a box; false where nothing is free. */
static bool
find_corner(TbCutDrawing *view, double edge, double width, double height, TbVec2 *c)
{
    TbVec2 low = tb_vec2_add(view->frame.low, tb_vec2(width / 2 + edge, height / 2 + edge));
    TbVec2 high = tb_vec2_sub(view->frame.high, tb_vec2(width / 2 + edge, height / 2 + edge));
    double middle = (low.x + high.x) / 2;
    /* corners first, then the middles of the lower and upper edge */
    TbCandidate candidates[6] = {{{low.x, high.y}, 0}, {{high.x, high.y}, 1}, {{low.x, low.y}, 2},
                                 {{high.x, low.y}, 3}, {{middle, high.y}, 9}, {{middle, low.y}, 9}};

    return tb_placer_place(&view->placer, candidates, 6, width, height, c);
}

/** Share of a pane that the corner's box may cover; in a lower pane only the scale bar stands. */
#define MOST_COVERED 0.14

/** What the box holds, and how large it is. */
typedef struct Box {
    Axes axes;
    TbRectangle about; /**< of the axes, about their origin */
    double bar, bar_paper;
    double axes_wide, axes_tall, front_wide;
    double width, height;
    bool has_axes, has_front;
} Box;

static Box
plan_box(const TbCutDrawing *view, const Corner *size, bool has_axes)
{
    const TbScene *scene = view->scene;
    const char *front_word = scene->front != NULL ? scene->front : "front";
    Box box = {.has_axes = has_axes};

    box.bar = bar_length(view->ratio, size->least, scene->unit);
    box.bar_paper = box.bar * tb_quantity_one(TB_QUANTITY_LENGTH, scene->unit) * view->ratio;
    if (has_axes) {
        box.axes = axes_of(scene, size->axis);
        box.about = axes_box(&box.axes);
        box.has_front = tb_vec2_length(front_of(scene)) > 0.3;
        box.axes_wide = box.about.high.x - box.about.low.x;
        box.axes_tall = box.about.high.y - box.about.low.y;
    }
    if (box.has_front) {
        box.front_wide = fmax(size->front, view->measurer.width(view->measurer.user, front_word,
                                                                TB_PT_SMALL, false)) +
                         3;
        box.axes_tall = fmax(box.axes_tall, fabs(front_of(scene).y) * size->front + 7);
    }
    box.width = fmax(box.bar_paper + 8, box.axes_wide + box.front_wide + 3);
    box.height = box.axes_tall + size->bar_room + 2;
    return box;
}

static void
draw_box(const TbCutDrawing *view, const Corner *size, const Box *box, TbVec2 c)
{
    TbPicture *picture = view->picture;
    double left = c.x - (box->axes_wide + box->front_wide) / 2;
    double top = c.y - box->height / 2 + 1;

    tb_picture_rectangle(
        picture, tb_vec2(c.x - box->width / 2, c.y - box->height / 2),
        tb_vec2(c.x + box->width / 2, c.y + box->height / 2),
        (TbAreaStyle){.fill = TB_INK_PAPER, .edge = TB_INK_GRID, .pen = TB_PEN_GRID}, NULL);
    if (box->has_axes)
        draw_axes(picture, &box->axes,
                  tb_vec2(left - box->about.low.x, top + box->axes_tall - box->about.high.y));
    if (box->has_front)
        draw_front(view->scene, picture,
                   tb_vec2(left + box->axes_wide + (box->front_wide + 3) / 2,
                           top + (box->axes_tall - 3.2) / 2),
                   size->front);
    draw_bar(picture, tb_vec2(c.x, c.y + box->height / 2 - size->bar_room + 2), box->bar,
             box->bar_paper, view->scene->unit);
}

void
tb_cut_drawing__corner(TbCutDrawing *view)
{
    const Corner *size = view->screen != NULL ? &on_pane : &on_sheet;
    TbVec2 frame = tb_vec2_sub(view->frame.high, view->frame.low);
    Box box = plan_box(view, size, true);
    TbVec2 c;

    if (view->screen != NULL && box.width * box.height > MOST_COVERED * frame.x * frame.y)
        box = plan_box(view, size, false);
    if (view->screen != NULL && box.width * box.height > MOST_COVERED * frame.x * frame.y)
        return;
    if (find_corner(view, size->edge, box.width, box.height, &c))
        draw_box(view, size, &box, c);
}
