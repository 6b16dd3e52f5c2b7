/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include "base/mem.h"
#include "geom/polygon.h"

#include <math.h>
#include <string.h>

/** Dots. Loops smaller than this are left out on a pane: they would be a breath of grey. */
#define FINE 0.33

/** Dots. Points are left out on a pane as long as the line stays this near to them: a line's edge
 * is then off by less than the finest step of its antialiasing that an eye can tell. */
#define STRAY 0.15

/** Dots. Points nearer than this to the one before go first, without a look at the line. */
#define CLOSE 0.1

/** So many points in a row may be left out: bounds the work for one. */
#define MOST_SKIPPED 24

/** mm of paper of a dot where nobody says: the window's 3.2 dots a millimetre. */
#define DOT (1 / 3.2)

/** mm of paper beside the frame in which a line's half width and a dot still show. */
#define BESIDE 3.0

TbVec2
tb_cut_drawing__paper(const TbCutDrawing *view, TbVec2 p)
{
    return tb_vec2(
        (view->frame.low.x + view->frame.high.x) / 2 + view->ratio * (p.x - view->centre.x),
        (view->frame.low.y + view->frame.high.y) / 2 - view->ratio * (p.y - view->centre.y));
}

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

bool
tb_cut_drawing__is_hidden(const TbCutDrawing *view, const char *tag)
{
    for (size_t i = 0; view->screen != NULL && i < view->screen->hidden_count; i++)
        if (strcmp(view->screen->hidden[i], tag) == 0)
            return true;
    return false;
}

static TbRectangle
box_of(const TbVec2 p[], size_t count)
{
    TbRectangle box = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};

    for (size_t i = 0; i < count; i++) {
        box.low.x = p[i].x < box.low.x ? p[i].x : box.low.x;
        box.low.y = p[i].y < box.low.y ? p[i].y : box.low.y;
        box.high.x = p[i].x > box.high.x ? p[i].x : box.high.x;
        box.high.y = p[i].y > box.high.y ? p[i].y : box.high.y;
    }
    return box;
}

/** On which sides of a rectangle a point lies. */
static int
sides(TbRectangle r, TbVec2 p)
{
    return (p.x < r.low.x) | (p.x > r.high.x) << 1 | (p.y < r.low.y) << 2 | (p.y > r.high.y) << 3;
}

/** Leave out points that lie on the one before, in place; the first and the last point stay. */
static size_t
drop_close(TbVec2 p[], size_t count, double close)
{
    size_t kept = 1;

    for (size_t i = 1; i < count; i++)
        if (i + 1 == count || fabs(p[i].x - p[kept - 1].x) >= close ||
            fabs(p[i].y - p[kept - 1].y) >= close)
            p[kept++] = p[i];
    return kept;
}

/**
 * Leave out what nobody sees, in place; the first and the last point stay.
 *
 * A row of points beyond one and the same edge of the frame is replaced by its ends: the straight
 * line between them lies beyond that edge too, so what is filled inside the frame stays the same.
 * Any other row goes where the line stays near enough to all of it.
 */
static size_t
thin(TbVec2 p[], size_t count, TbRectangle near_by, double stray)
{
    size_t kept = 1;
    size_t skipped = 0; /* points before i that are left out */
    int beyond = count > 0 ? sides(near_by, p[0]) : 0;

    for (size_t i = 1; i + 1 < count; i++) {
        TbVec2 from = p[kept - 1];
        int all = beyond & sides(near_by, p[i]);

        if ((all & sides(near_by, p[i + 1])) != 0) {
            beyond = all;
            skipped = MOST_SKIPPED; /* what is beyond an edge is not asked to be straight */
            continue;
        }
        if (skipped < MOST_SKIPPED &&
            tb_points_are_straight(p + i - skipped, skipped + 1, from, p[i + 1], stray)) {
            skipped++;
            beyond = all;
            continue;
        }
        p[kept++] = p[i];
        skipped = 0;
        beyond = sides(near_by, p[i]);
    }
    if (count > 1)
        p[kept++] = p[count - 1];
    return kept;
}

static bool
is_worth(const TbCutDrawing *view, TbRectangle box, double fine)
{
    return box.high.x >= view->frame.low.x - BESIDE && box.low.x <= view->frame.high.x + BESIDE &&
           box.high.y >= view->frame.low.y - BESIDE && box.low.y <= view->frame.high.y + BESIDE &&
           (box.high.x - box.low.x >= fine || box.high.y - box.low.y >= fine);
}

static bool
lay_cut(const TbCutDrawing *view, const TbCut *cut, TbPaperCut *on_paper)
{
    double dot = view->screen != NULL && view->screen->pixel > 0 ? view->screen->pixel : DOT;
    double fine = FINE * dot;
    double stray = STRAY * dot;
    TbRectangle near_by = {{view->frame.low.x - BESIDE, view->frame.low.y - BESIDE},
                           {view->frame.high.x + BESIDE, view->frame.high.y + BESIDE}};

    if (cut->loop_count == 0)
        return true;
    on_paper->points = tb_alloc_array(cut->point_count, sizeof(TbVec2));
    on_paper->loops = tb_alloc_array(cut->loop_count, sizeof(TbLoop));
    on_paper->boxes = tb_alloc_array(cut->loop_count, sizeof(TbRectangle));
    if (on_paper->points == NULL || on_paper->loops == NULL || on_paper->boxes == NULL)
        return false;
    for (size_t i = 0; i < cut->loop_count; i++) {
        TbLoop loop = cut->loops[i];
        TbVec2 *p = on_paper->points + on_paper->point_count;
        TbRectangle box;

        for (size_t k = 0; k < loop.count; k++)
            p[k] = tb_cut_drawing__paper(view, cut->points[loop.first + k]);
        box = box_of(p, loop.count);
        if (view->screen != NULL && !is_worth(view, box, fine))
            continue;
        if (view->screen != NULL)
            loop.count = thin(p, drop_close(p, loop.count, CLOSE * dot), near_by, stray);
        loop.first = on_paper->point_count;
        on_paper->point_count += loop.count;
        on_paper->boxes[on_paper->loop_count] = box;
        on_paper->loops[on_paper->loop_count++] = loop;
    }
    return true;
}

TbPaperShape
tb_cut_drawing__paper_shape(const TbCutDrawing *view, const TbSceneShape *shape)
{
    return (TbPaperShape){.shape = shape,
                          .hidden = tb_cut_drawing__is_hidden(view, shape->tag),
                          .selected = view->screen != NULL && view->screen->selected != NULL &&
                                      strcmp(view->screen->selected, shape->tag) == 0};
}

bool
tb_cut_drawing__lay_shape(const TbCutDrawing *view, const TbSceneShape *shape, TbPaperShape *paper)
{
    *paper = tb_cut_drawing__paper_shape(view, shape);
    return paper->hidden || (lay_cut(view, &shape->cut, &paper->cut) &&
                             lay_cut(view, &shape->silhouette, &paper->silhouette) &&
                             lay_cut(view, &shape->envelope, &paper->envelope));
}

static void
clear_paper_cut(TbPaperCut *cut)
{
    for (size_t i = 0; cut->depths != NULL && i < cut->loop_count; i++)
        tb_free(cut->depths[i]);
    tb_free(cut->depths);
    tb_free(cut->points);
    tb_free(cut->loops);
    tb_free(cut->boxes);
}

void
tb_cut_drawing__clear_shape(TbPaperShape *paper)
{
    clear_paper_cut(&paper->cut);
    clear_paper_cut(&paper->silhouette);
    clear_paper_cut(&paper->envelope);
}
