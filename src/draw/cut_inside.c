/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Where a leader may end: a place of a shape that is seen, as deep inside it as can be. */

#include "draw/cut_view_private.h"

#include "base/mem.h"
#include "geom/polygon.h"

#include <math.h>

/* without a call: asked for some 50000 times at a frame of a drag */
static double
lesser(double a, double b)
{
    return a < b ? a : b;
}

static bool
box_holds(TbRectangle box, TbVec2 p)
{
    return p.x >= box.low.x && p.x <= box.high.x && p.y >= box.low.y && p.y <= box.high.y;
}

static bool
any_loop_holds(const TbPaperCut *cut, TbVec2 p)
{
    for (size_t i = 0; i < cut->loop_count; i++)
        if (cut->loops[i].kind != TB_LOOP_OPEN && box_holds(cut->boxes[i], p) &&
            tb_polygon_holds(cut->points + cut->loops[i].first, cut->loops[i].count, p))
            return true;
    return false;
}

/** A point of a shape beyond the plane that a cut, or something nearer, hides. */
static bool
is_hidden(const TbCutDrawing *view, const TbPaperShape *shape, TbVec2 p)
{
    for (size_t i = 0; i < view->scene->shape_count; i++) {
        const TbPaperShape *other = &view->shapes[i];

        if (other != shape && (any_loop_holds(&other->cut, p) ||
                               (tb_cut_drawing__furthest_first(&shape, &other) < 0 &&
                                any_loop_holds(&other->silhouette, p))))
            return true;
    }
    return false;
}

/** The part of a loop's box that lies in the frame; empty boxes have low above high. */
static TbRectangle
seen_box(const TbCutDrawing *view, const TbPaperCut *cut, size_t k)
{
    TbRectangle box = cut->boxes[k];

    box.low = tb_vec2(fmax(box.low.x, view->frame.low.x), fmax(box.low.y, view->frame.low.y));
    box.high = tb_vec2(fmin(box.high.x, view->frame.high.x), fmin(box.high.y, view->frame.high.y));
    return box;
}

/** Points of a grid over a loop. */
enum { GRID = 14, GRID_POINTS = GRID * GRID };

/** Every so many-th row and column of the grid is looked at first. */
enum { GRID_FIRST = 3 };

/** What is known of their depths from those already asked: good as long as the loop is. */
struct TbPaperDepths {
    double most[GRID_POINTS]; /**< no point lies deeper than this */
    bool known[GRID_POINTS];  /**< and this one exactly so deep */
};

typedef struct LoopSearch {
    const TbCutDrawing *view;
    const TbVec2 *points;
    size_t count;
    const TbPaperShape *behind;
    TbRectangle box;
    TbPaperDepths *depths;
} LoopSearch;

static TbVec2
grid_point(const LoopSearch *search, int i)
{
    TbVec2 size = tb_vec2_sub(search->box.high, search->box.low);

    return tb_vec2(search->box.low.x + size.x * (0.5 + i % GRID) / GRID,
                   search->box.low.y + size.y * (0.5 + i / GRID) / GRID);
}

/** Depth of a grid point in its loop, where it may be above @p over; lowers what its neighbours may
 * have, for two points' depths differ by no more than their distance. */
static double
grid_depth(LoopSearch *search, int i, double over)
{
    TbPaperDepths *depths = search->depths;
    TbVec2 q = grid_point(search, i);

    if (depths->known[i] || depths->most[i] <= over)
        return depths->most[i];
    depths->most[i] = tb_polygon_depth(search->points, search->count, q);
    depths->known[i] = true;
    for (int k = 0; k < GRID_POINTS; k++)
        if (!depths->known[k]) {
            double far = tb_vec2_length(tb_vec2_sub(grid_point(search, k), q));
            /* outside stays outside for as far as the edge is away */
            double bound = depths->most[i] + far;

            depths->most[k] = lesser(depths->most[k], bound);
        }
    return depths->most[i];
}

/** How good a place a grid point is, where it may be better than @p best; else anything less. */
static double
grid_worth(LoopSearch *search, int i, double best)
{
    const TbCutDrawing *view = search->view;
    TbVec2 q = grid_point(search, i);
    TbVec2 middle = tb_vec2_scale(tb_vec2_add(search->box.low, search->box.high), 0.5);
    double edge = lesser(lesser(q.x - view->frame.low.x, view->frame.high.x - q.x),
                         lesser(q.y - view->frame.low.y, view->frame.high.y - q.y));
    /* of equally deep points the middle one */
    double off = 0.03 * tb_vec2_length(tb_vec2_sub(q, middle));
    double worth;

    if (edge - off <= best)
        return -INFINITY;
    worth = lesser(edge, grid_depth(search, i, best + off)) - off;
    if (worth <= best || !search->depths->known[i] || search->depths->most[i] < 0)
        return -INFINITY;
    return search->behind == NULL || !is_hidden(view, search->behind, q) ? worth
                                                                         : (double)-INFINITY;
}

/** Of one loop of a cut; NULL when there is no room. */
static TbPaperDepths *
depths_of(TbPaperCut *cut, size_t k)
{
    if (cut->depths == NULL)
        cut->depths = tb_alloc_array(cut->loop_count, sizeof(TbPaperDepths *));
    if (cut->depths == NULL || cut->depths[k] != NULL)
        return cut->depths == NULL ? NULL : cut->depths[k];
    cut->depths[k] = tb_alloc(sizeof(TbPaperDepths));
    for (int i = 0; cut->depths[k] != NULL && i < GRID_POINTS; i++)
        cut->depths[k]->most[i] = INFINITY;
    return cut->depths[k];
}

/** Of a loop's points in a grid over its box the visible one that lies deepest inside. */
static void
search_loop(TbCutDrawing *view,
            TbPaperCut *cut,
            size_t k,
            const TbPaperShape *behind,
            TbVec2 *best,
            double *depth)
{
    TbPaperDepths *depths = depths_of(cut, k);
    LoopSearch search = {.view = view,
                         .points = cut->points + cut->loops[k].first,
                         .count = cut->loops[k].count,
                         .behind = behind,
                         .box = seen_box(view, cut, k),
                         .depths = depths};

    if (depths == NULL) {
        view->picture->status = TB_E_MEMORY;
        return;
    }
    /* a few points all over first: most of the others then cannot be better */
    for (int first = 1; first >= 0; first--)
        for (int i = 0; i < GRID_POINTS; i++) {
            double worth;

            if ((i % GRID % GRID_FIRST == 1 && i / GRID % GRID_FIRST == 1) != (first == 1))
                continue;
            worth = grid_worth(&search, i, *depth);
            if (worth > *depth) {
                *depth = worth;
                *best = grid_point(&search, i);
            }
        }
}

bool
tb_cut_drawing__deepest(
    TbCutDrawing *view, TbPaperCut *cut, const TbPaperShape *behind, TbVec2 *best, double *depth)
{
    TbPaperPlace *place = &cut->deepest;

    for (size_t k = 0; !place->known && k < cut->loop_count; k++) {
        TbRectangle box = seen_box(view, cut, k);

        /* a chain has no inside */
        if (cut->loops[k].kind != TB_LOOP_OPEN &&
            fmin(box.high.x - box.low.x, box.high.y - box.low.y) / 2 > place->depth)
            search_loop(view, cut, k, behind, &place->at, &place->depth);
    }
    place->known = true;
    *best = place->at;
    *depth = place->depth;
    return place->depth > 0;
}

bool
tb_cut_drawing__any_point(const TbCutDrawing *view,
                          TbPaperCut *cut,
                          const TbPaperShape *behind,
                          TbVec2 *best)
{
    TbPaperPlace *place = &cut->any;

    for (size_t i = 0; !place->known && i < cut->point_count; i++) {
        TbVec2 p = cut->points[i];
        double inner = lesser(lesser(p.x - view->frame.low.x, view->frame.high.x - p.x),
                              lesser(p.y - view->frame.low.y, view->frame.high.y - p.y));

        if (inner > place->depth && (behind == NULL || !is_hidden(view, behind, p))) {
            place->depth = inner;
            place->at = p;
        }
    }
    place->known = true;
    *best = place->at;
    return place->depth > 0;
}
