/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include "base/mem.h"
#include "draw/sheet.h"

#include <math.h>

/** Share of the subject's size that is shown around it. */
#define AROUND 0.12

static void
hold(TbRectangle *box, TbVec2 p)
{
    box->low = tb_vec2(fmin(box->low.x, p.x), fmin(box->low.y, p.y));
    box->high = tb_vec2(fmax(box->high.x, p.x), fmax(box->high.y, p.y));
}

static void
hold_cut(TbRectangle *box, const TbCut *cut)
{
    for (size_t i = 0; i < cut->point_count; i++)
        hold(box, cut->points[i]);
}

/** What does not simply hold; where all holds, the gap with the least to spare. */
static size_t
choose_gaps(const TbScene *scene, TbSceneGap chosen[])
{
    size_t count = 0, least = scene->gap_count;

    for (size_t i = 0; i < scene->gap_count; i++) {
        const TbSceneGap *gap = &scene->gaps[i];
        double spare = gap->gap - gap->keep;

        if (gap->level == TB_LEVEL_SHORT || gap->level == TB_LEVEL_WATCH)
            chosen[count++] = *gap;
        if (!isnan(spare) &&
            (least == scene->gap_count || spare < scene->gaps[least].gap - scene->gaps[least].keep))
            least = i;
    }
    if (count == 0 && least < scene->gap_count)
        chosen[count++] = scene->gaps[least];
    return count;
}

/** The subject and the chosen gaps, with something around them; the whole window without any. */
static void
choose_window(TbScene *seen)
{
    TbRectangle box = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    TbVec2 air;

    for (size_t i = 0; i < seen->shape_count; i++) {
        if (!seen->shapes[i].subject)
            continue;
        hold_cut(&box, &seen->shapes[i].cut);
        hold_cut(&box, &seen->shapes[i].silhouette);
    }
    for (size_t i = 0; i < seen->gap_count; i++) {
        hold(&box, seen->gaps[i].a);
        hold(&box, seen->gaps[i].b);
    }
    if (box.low.x > box.high.x)
        return;
    air = tb_vec2_scale(tb_vec2_sub(box.high, box.low), AROUND);
    seen->low = tb_vec2_sub(box.low, air);
    seen->high = tb_vec2_add(box.high, air);
}

double
tb_cut_overview(TbPicture *picture, const TbScene *scene, TbRectangle frame, TbMeasurer measurer)
{
    TbScene seen = *scene; /* lends everything but its gaps */
    TbCutDrawing view = {.picture = picture,
                         .scene = &seen,
                         .measurer = measurer,
                         .frame = frame,
                         .few_names = true};
    TbVec2 size;

    seen.gaps = tb_alloc_array(scene->gap_count + 1, sizeof(TbSceneGap));
    if (seen.gaps == NULL) {
        picture->status = TB_E_MEMORY;
        return 1;
    }
    seen.gap_count = choose_gaps(scene, seen.gaps);
    choose_window(&seen);
    size = tb_vec2_sub(seen.high, seen.low);
    view.ratio = tb_sheet_standard_ratio(size.x, size.y, frame);
    view.centre = tb_vec2_scale(tb_vec2_add(seen.low, seen.high), 0.5);
    tb_cut_drawing__draw(&view);
    tb_picture_rectangle(
        picture, frame.low, frame.high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
    tb_free(seen.gaps);
    return view.ratio;
}
