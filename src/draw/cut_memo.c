/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Shapes on paper, kept from one drawing of a pane to the next. */

#include "draw/cut_view_private.h"

#include "base/mem.h"

#include <string.h>

/** The last drawing: its scene, how that lay on paper, and its shapes there. */
struct TbCutMemo {
    TbScene *scene; /* referenced; NULL: nothing was drawn yet */
    TbRectangle frame;
    double ratio, pixel;
    TbVec2 centre;
    TbPaperShape *shapes; /* of the scene, in its order */
};

TbCutMemo *
tb_cut_memo_new(void)
{
    return tb_alloc(sizeof(TbCutMemo));
}

static void
clear_shapes(TbPaperShape *shapes, size_t count)
{
    for (size_t i = 0; shapes != NULL && i < count; i++)
        tb_cut_drawing__clear_shape(&shapes[i]);
    tb_free(shapes);
}

static void
forget(TbCutMemo *memo)
{
    if (memo->scene != NULL)
        clear_shapes(memo->shapes, memo->scene->shape_count);
    tb_scene_unref(memo->scene);
    memo->scene = NULL;
    memo->shapes = NULL;
}

void
tb_cut_memo_free(TbCutMemo *memo)
{
    if (memo == NULL)
        return;
    forget(memo);
    tb_free(memo);
}

/* ---- what has not changed ---- */

static bool
is_same_point(TbVec2 a, TbVec2 b)
{
    return a.x == b.x && a.y == b.y;
}

/* The same place of every point on paper. */
static bool
lies_alike(const TbCutMemo *memo, const TbCutDrawing *view)
{
    return memo->scene != NULL && is_same_point(memo->frame.low, view->frame.low) &&
           is_same_point(memo->frame.high, view->frame.high) && memo->ratio == view->ratio &&
           is_same_point(memo->centre, view->centre) && memo->pixel == view->screen->pixel;
}

static bool
is_same_cut(const TbCut *a, const TbCut *b)
{
    if (a->point_count != b->point_count || a->loop_count != b->loop_count)
        return false;
    for (size_t i = 0; i < a->loop_count; i++)
        if (a->loops[i].first != b->loops[i].first || a->loops[i].count != b->loops[i].count ||
            a->loops[i].kind != b->loops[i].kind || a->loops[i].depth != b->loops[i].depth ||
            a->loops[i].role != b->loops[i].role)
            return false;
    return a->point_count == 0 || a->points == b->points ||
           memcmp(a->points, b->points, a->point_count * sizeof *a->points) == 0;
}

static bool
is_same_shape(const TbSceneShape *a, const TbSceneShape *b)
{
    return strcmp(a->tag, b->tag) == 0 && is_same_cut(&a->cut, &b->cut) &&
           is_same_cut(&a->silhouette, &b->silhouette) && is_same_cut(&a->envelope, &b->envelope);
}

/* Takes a shape out of the memo; false where it has none such. Shapes keep their places but where
 * some came or went: then, and where a height is another, @p reordered is set. */
static bool
take(TbCutMemo *memo,
     size_t at,
     const TbSceneShape *shape,
     bool hidden,
     TbPaperShape *paper,
     bool *reordered)
{
    size_t count = memo->scene->shape_count;

    for (size_t i = 0; i < count; i++) {
        size_t k = (at + i) % count;

        if (memo->shapes[k].shape == NULL || strcmp(memo->scene->shapes[k].tag, shape->tag) != 0)
            continue;
        if (memo->shapes[k].hidden != hidden || !is_same_shape(&memo->scene->shapes[k], shape))
            return false;
        *reordered |= k != at || memo->scene->shapes[k].height != shape->height;
        *paper = memo->shapes[k];
        memo->shapes[k] = (TbPaperShape){.shape = NULL};
        return true;
    }
    return false;
}

/* ---- places for leaders, which others may hide ---- */

static bool
any_box_meets(const TbPaperCut *cut, TbRectangle box)
{
    for (size_t i = 0; i < cut->loop_count; i++)
        if (cut->boxes[i].low.x <= box.high.x && cut->boxes[i].high.x >= box.low.x &&
            cut->boxes[i].low.y <= box.high.y && cut->boxes[i].high.y >= box.low.y)
            return true;
    return false;
}

/* Whether one of the shapes could hide some of an outline; taken ones have none. */
static bool
any_may_hide(const TbPaperShape shapes[], size_t count, const bool fresh[], const TbPaperCut *cut)
{
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; (fresh == NULL || fresh[i]) && k < cut->loop_count; k++)
            if (any_box_meets(&shapes[i].cut, cut->boxes[k]) ||
                any_box_meets(&shapes[i].silhouette, cut->boxes[k]))
                return true;
    return false;
}

/* What lies beyond is named where nothing hides it: known places go where what came or went may
 * hide them now, or hid others. */
static void
forget_hidden_places(TbCutDrawing *view, const TbCutMemo *memo, const bool fresh[], bool reordered)
{
    for (size_t i = 0; i < view->scene->shape_count; i++) {
        TbPaperCut *cut = &view->shapes[i].silhouette;

        if (fresh[i] || !(cut->deepest.known || cut->any.known))
            continue;
        if (reordered || any_may_hide(view->shapes, view->scene->shape_count, fresh, cut) ||
            any_may_hide(memo->shapes, memo->scene->shape_count, NULL, cut)) {
            cut->deepest = (TbPaperPlace){.known = false};
            cut->any = (TbPaperPlace){.known = false};
        }
    }
}

/* ---- the drawing ---- */

bool
tb_cut_drawing__lay_shapes(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;
    size_t count = scene->shape_count;
    TbCutMemo *memo = view->screen == NULL ? NULL : view->screen->memo;
    bool *fresh = tb_alloc_array(count > 0 ? count : 1, sizeof *fresh);
    bool reordered = false;
    bool done;

    if (memo != NULL && !lies_alike(memo, view))
        forget(memo);
    view->shapes = tb_alloc_array(count > 0 ? count : 1, sizeof(TbPaperShape));
    done = view->shapes != NULL && fresh != NULL;
    for (size_t i = 0; done && i < count; i++) {
        TbPaperShape shape = tb_cut_drawing__paper_shape(view, &scene->shapes[i]);

        fresh[i] = memo == NULL || memo->scene == NULL ||
                   !take(memo, i, &scene->shapes[i], shape.hidden, &view->shapes[i], &reordered);
        if (fresh[i]) {
            done = tb_cut_drawing__lay_shape(view, &scene->shapes[i], &view->shapes[i]);
        } else {
            view->shapes[i].shape = shape.shape;
            view->shapes[i].selected = shape.selected;
        }
    }
    if (done && memo != NULL && memo->scene != NULL)
        forget_hidden_places(view, memo, fresh, reordered || memo->scene->shape_count != count);
    tb_free(fresh);
    return done;
}

void
tb_cut_drawing__leave_shapes(TbCutDrawing *view)
{
    TbCutMemo *memo = view->screen == NULL ? NULL : view->screen->memo;

    if (memo == NULL || view->picture->status != TB_OK) {
        clear_shapes(view->shapes, view->scene->shape_count);
    } else {
        forget(memo);
        *memo = (TbCutMemo){.scene = tb_scene_ref((TbScene *)(uintptr_t)view->scene),
                            .frame = view->frame,
                            .ratio = view->ratio,
                            .pixel = view->screen->pixel,
                            .centre = view->centre,
                            .shapes = view->shapes};
    }
    view->shapes = NULL;
}
