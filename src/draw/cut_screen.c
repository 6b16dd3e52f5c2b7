/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include <math.h>
#include <string.h>

/** Sine of the angle between two planes below which the line in which they meet tells nothing. */
#define FACE_ON 0.05

/** mm of paper: the thick ends of another plane's line, as cutting planes are drawn. */
#define THICK_END 4.0

/** The line in which a plane meets the scene's, on paper and inside the frame. */
static bool
meeting_line(const TbCutDrawing *view, TbPlane other, TbVec2 *a, TbVec2 *b)
{
    const TbPlane *here = &view->scene->plane;
    /* points of the line: n . u x + n . v y + height = 0 */
    TbVec2 n = {tb_vec3_dot(other.n, here->u), tb_vec3_dot(other.n, here->v)};
    double length = tb_vec2_length(n);
    double reach =
        (view->frame.high.x - view->frame.low.x + view->frame.high.y - view->frame.low.y) /
        view->ratio;
    double off;
    TbVec2 foot, along;

    if (length < FACE_ON)
        return false;
    n = tb_vec2_scale(n, 1 / length);
    off = tb_vec2_dot(n, view->centre) + tb_plane_height(other, here->origin) / length;
    foot = tb_vec2_sub(view->centre, tb_vec2_scale(n, off));
    along = tb_vec2_scale(tb_vec2(-n.y, n.x), reach);
    *a = tb_cut_drawing__paper(view, tb_vec2_sub(foot, along));
    *b = tb_cut_drawing__paper(view, tb_vec2_add(foot, along));
    return fabs(off) < reach && tb_rectangle_clip(view->frame, a, b);
}

static void
name_other(TbCutDrawing *view, const char *label, TbVec2 a, TbVec2 b)
{
    double width = view->measurer.width(view->measurer.user, label, TB_PT_SMALL, false) + 2;
    TbVec2 d = tb_vec2_scale(tb_vec2_sub(b, a), 1 / tb_vec2_length(tb_vec2_sub(b, a)));
    /* from the line to a label's middle, and from the frame along the line */
    double aside = fabs(d.y) * width / 2 + fabs(d.x) * TB_CUT_LABEL_HEIGHT / 2 + 0.3;
    double inward = fabs(d.x) * width / 2 + fabs(d.y) * TB_CUT_LABEL_HEIGHT / 2 + 0.4;
    TbCandidate candidates[16];
    TbVec2 centre;

    for (int i = 0; i < 16; i++) {
        double side = i % 2 == 0 ? 1 : -1;
        double in = inward + 6.0 * (i / 4);
        TbVec2 at = i / 2 % 2 == 0 ? tb_vec2_add(a, tb_vec2_scale(d, in))
                                   : tb_vec2_sub(b, tb_vec2_scale(d, in));

        candidates[i] =
            (TbCandidate){{at.x - side * aside * d.y, at.y + side * aside * d.x}, 2.0 * i};
    }
    if (tb_placer_place(&view->placer, candidates, 16, width, TB_CUT_LABEL_HEIGHT, &centre))
        tb_picture_text(view->picture, centre,
                        (TbTextStyle){.size = TB_PT_SMALL,
                                      .ink = TB_INK_QUIET,
                                      .anchor = TB_ANCHOR_MIDDLE,
                                      .backed = true},
                        label);
}

/** Ink of another plane's line: a corner box or a leader keeps off it where it can. */
#define INK_OTHER 12

void
tb_cut_drawing__others(TbCutDrawing *view)
{
    for (size_t i = 0; view->screen != NULL && i < view->screen->other_count; i++) {
        const TbCutOther *other = &view->screen->others[i];
        TbVec2 ends[2];
        TbVec2 thick;
        double length;

        if (!meeting_line(view, other->plane, &ends[0], &ends[1]))
            continue;
        length = tb_vec2_length(tb_vec2_sub(ends[1], ends[0]));
        if (length < 3 * THICK_END)
            continue;
        thick = tb_vec2_scale(tb_vec2_sub(ends[1], ends[0]), THICK_END / length);
        tb_picture_line(view->picture, ends, 2, TB_PEN_FRAME, TB_INK_QUIET, other->tag);
        tb_picture_segment(view->picture, ends[0], tb_vec2_add(ends[0], thick), TB_PEN_SCALE,
                           TB_INK_QUIET);
        tb_picture_segment(view->picture, ends[1], tb_vec2_sub(ends[1], thick), TB_PEN_SCALE,
                           TB_INK_QUIET);
        tb_placer_ink_line(&view->placer, ends, 2, false, INK_OTHER);
    }
}

void
tb_cut_drawing__name_others(TbCutDrawing *view)
{
    /* all lines first: no name may lie on any of them */
    for (int naming = 0; naming < 2; naming++)
        for (size_t i = 0; view->screen != NULL && i < view->screen->other_count; i++) {
            const TbCutOther *other = &view->screen->others[i];
            TbVec2 a, b;

            if (!meeting_line(view, other->plane, &a, &b) ||
                tb_vec2_length(tb_vec2_sub(b, a)) < 3 * THICK_END)
                continue;
            if (naming == 0)
                tb_placer_take_line(&view->placer, a, b);
            else
                name_other(view, other->label, a, b);
        }
}

TbStatus
tb_cut_screen(TbPicture *picture,
              const TbScene *scene,
              TbViewport port,
              const TbCutScreen *screen,
              TbMeasurer measurer,
              TbFault *fault)
{
    TbCutDrawing view = {.picture = picture,
                         .scene = scene,
                         .measurer = measurer,
                         .frame = {{0, 0}, {port.width, port.height}},
                         .ratio = port.ratio,
                         .centre = port.centre,
                         .screen = screen};

    tb_picture_init(picture, port.width, port.height);
    tb_cut_drawing__draw(&view);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
