/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include "base/text.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/** mm of paper. A longer name ends in an ellipsis: a label without a place says nothing at all. */
#define NAME_MOST 60.0

bool
tb_cut_drawing__in_frame(const TbCutDrawing *view, TbVec2 p, double air)
{
    return p.x > view->frame.low.x + air && p.x < view->frame.high.x - air &&
           p.y > view->frame.low.y + air && p.y < view->frame.high.y - air;
}

/** A label's rectangle about a point lies wholly inside one loop. */
static bool
label_fits(const TbCutDrawing *view, const TbPaperCut *cut, TbVec2 at, double width)
{
    for (size_t k = 0; k < cut->loop_count; k++) {
        const TbVec2 *p = cut->points + cut->loops[k].first;
        size_t inside = 0;

        if (cut->loops[k].kind == TB_LOOP_OPEN ||
            cut->boxes[k].high.x - cut->boxes[k].low.x < width)
            continue;
        for (int i = 0; i < 9; i++) {
            TbVec2 q = {at.x + (i % 3 - 1) * width / 2,
                        at.y + (i / 3 - 1) * TB_CUT_LABEL_HEIGHT / 2};

            inside +=
                tb_polygon_holds(p, cut->loops[k].count, q) && tb_cut_drawing__in_frame(view, q, 0);
        }
        if (inside == 9)
            return true;
    }
    return false;
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

/** Points of a grid over a loop, and what is known of their depths from those already asked. */
enum { GRID = 14, GRID_POINTS = GRID * GRID };

/** Every so many-th row and column of the grid is looked at first. */
enum { GRID_FIRST = 3 };

typedef struct LoopSearch {
    const TbCutDrawing *view;
    const TbVec2 *points;
    size_t count;
    const TbPaperShape *behind;
    TbRectangle box;
    double most[GRID_POINTS]; /**< no point lies deeper than this */
    bool known[GRID_POINTS];  /**< and this one exactly so deep */
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
    TbVec2 q = grid_point(search, i);

    if (search->known[i] || search->most[i] <= over)
        return search->most[i];
    search->most[i] = tb_polygon_depth(search->points, search->count, q);
    search->known[i] = true;
    for (int k = 0; k < GRID_POINTS; k++)
        if (!search->known[k]) {
            double far = tb_vec2_length(tb_vec2_sub(grid_point(search, k), q));
            /* outside stays outside for as far as the edge is away */
            double bound = search->most[i] + far;

            search->most[k] = fmin(search->most[k], bound);
        }
    return search->most[i];
}

/** How good a place a grid point is, where it may be better than @p best; else anything less. */
static double
grid_worth(LoopSearch *search, int i, double best)
{
    const TbCutDrawing *view = search->view;
    TbVec2 q = grid_point(search, i);
    TbVec2 middle = tb_vec2_scale(tb_vec2_add(search->box.low, search->box.high), 0.5);
    double edge = fmin(fmin(q.x - view->frame.low.x, view->frame.high.x - q.x),
                       fmin(q.y - view->frame.low.y, view->frame.high.y - q.y));
    /* of equally deep points the middle one */
    double off = 0.03 * tb_vec2_length(tb_vec2_sub(q, middle));
    double worth;

    if (edge - off <= best)
        return -INFINITY;
    worth = fmin(edge, grid_depth(search, i, best + off)) - off;
    if (worth <= best || !search->known[i] || search->most[i] < 0)
        return -INFINITY;
    return search->behind == NULL || !is_hidden(view, search->behind, q) ? worth
                                                                         : (double)-INFINITY;
}

/** Of a loop's points in a grid over its box the visible one that lies deepest inside. */
static void
search_loop(const TbCutDrawing *view,
            const TbPaperCut *cut,
            size_t k,
            const TbPaperShape *behind,
            TbVec2 *best,
            double *depth)
{
    LoopSearch search = {.view = view,
                         .points = cut->points + cut->loops[k].first,
                         .count = cut->loops[k].count,
                         .behind = behind,
                         .box = seen_box(view, cut, k)};

    for (int i = 0; i < GRID_POINTS; i++)
        search.most[i] = INFINITY;
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

/**
 * The visible point furthest inside any closed loop of a cut: where a leader may end. Loops whose
 * boxes could not hold a deeper one are passed over.
 *
 * @param behind the shape whose silhouette the cut is, for what hides it; NULL for a cut itself
 */
static bool
deepest_point(const TbCutDrawing *view,
              const TbPaperCut *cut,
              const TbPaperShape *behind,
              TbVec2 *best,
              double *depth)
{
    *depth = 0;
    for (size_t k = 0; k < cut->loop_count; k++) {
        TbRectangle box = seen_box(view, cut, k);

        /* a chain has no inside */
        if (cut->loops[k].kind != TB_LOOP_OPEN &&
            fmin(box.high.x - box.low.x, box.high.y - box.low.y) / 2 > *depth)
            search_loop(view, cut, k, behind, best, depth);
    }
    return *depth > 0;
}

/** A visible vertex of an open chain, or of anything too thin for deepest_point(). */
static bool
any_point(const TbCutDrawing *view, const TbPaperCut *cut, const TbPaperShape *behind, TbVec2 *best)
{
    double most = 0;

    for (size_t i = 0; i < cut->point_count; i++) {
        TbVec2 p = cut->points[i];
        double inner = fmin(fmin(p.x - view->frame.low.x, view->frame.high.x - p.x),
                            fmin(p.y - view->frame.low.y, view->frame.high.y - p.y));

        if (inner > most && (behind == NULL || !is_hidden(view, behind, p))) {
            most = inner;
            *best = p;
        }
    }
    return most > 0;
}

enum { RING = 24, RINGS = 9 };
_Static_assert(RING *RINGS + 1 == TB_CUT_CANDIDATES, "one place on the thing itself, and rings");

/** mm of paper from what is named to the middle of its label, and on a pane the share of its
 * smaller side, that and the least. */
static const double reaches[RINGS] = {4, 6.5, 9.5, 13, 17, 22, 28, 36, 46};
#define REACH_SHARE 0.22
#define LEAST_REACH 9.5

size_t
tb_cut_drawing__candidates_about(TbVec2 at,
                                 double width,
                                 bool inside_fits,
                                 TbCandidate out[TB_CUT_CANDIDATES])
{
    size_t count = 0;

    if (inside_fits)
        out[count++] = (TbCandidate){at, 0};
    for (int r = 0; r < RINGS; r++)
        for (int k = 0; k < RING; k++) {
            double angle = 2 * M_PI * (k + 0.5) / RING;
            TbVec2 d = {cos(angle), sin(angle)};
            /* the ring is wider along the text so that labels end near their thing */
            TbVec2 centre = {at.x + d.x * (reaches[r] + width / 2), at.y + d.y * reaches[r]};

            out[count++] = (TbCandidate){centre, 12 + 2.5 * reaches[r]};
        }
    return count;
}

/** Dislike of a leader that runs over another label, as much as some 60 mm of distance. */
#define CROSSING 150.0

/** mm of paper nearer than which two points are one: a tenth of the finest line. */
#define SAME_PLACE 0.01

TbVec2
tb_cut_drawing__leader_start(TbVec2 centre, double width, double height, TbVec2 to)
{
    return tb_vec2(fmax(centre.x - width / 2, fmin(centre.x + width / 2, to.x)),
                   fmax(centre.y - height / 2, fmin(centre.y + height / 2, to.y)));
}

/** What a free candidate costs, as far as it matters whether that is below @p least: the dearer
 * questions come last. */
static double
cost_of(const TbCutDrawing *view,
        const TbCandidate *candidate,
        double width,
        double height,
        TbVec2 to,
        double least)
{
    TbVec2 c = candidate->centre;
    TbRectangle r = {{c.x - width / 2, c.y - height / 2}, {c.x + width / 2, c.y + height / 2}};
    TbVec2 from = tb_cut_drawing__leader_start(c, width, height, to);
    double cost = candidate->cost;

    if (cost >= least || !tb_placer_is_free(&view->placer, r))
        return HUGE_VAL;
    cost += tb_placer_ink_under(&view->placer, r);
    if (cost < least)
        cost += tb_placer_ink_along(&view->placer, from, to);
    if (cost < least && tb_placer_crosses(&view->placer, from, to))
        cost += CROSSING;
    return cost;
}

bool
tb_cut_drawing__place(TbCutDrawing *view,
                      const TbCandidate candidates[],
                      size_t count,
                      double width,
                      double height,
                      TbVec2 to,
                      TbVec2 *centre)
{
    double least = HUGE_VAL;

    for (size_t i = 0; i < count; i++) {
        double cost = cost_of(view, &candidates[i], width, height, to, least);

        if (cost < least) {
            least = cost;
            *centre = candidates[i].centre;
        }
    }
    if (least == HUGE_VAL)
        return false;
    tb_placer_take(&view->placer, (TbRectangle){{centre->x - width / 2, centre->y - height / 2},
                                                {centre->x + width / 2, centre->y + height / 2}});
    return true;
}

void
tb_cut_drawing__put_leader(TbCutDrawing *view, TbVec2 from, TbVec2 to, TbInk ink)
{
    tb_picture_segment(view->picture, from, to, TB_PEN_FRAME, ink);
    tb_placer_ink_line(&view->placer, (TbVec2[2]){from, to}, 2, false, TB_CUT_INK_GAP);
}

/** Of candidates in the order of tb_cut_drawing__candidates_about() those that are near enough: a
 * small pane has no room for long leaders, and the pointer tells names too. */
static size_t
near_enough(const TbCutDrawing *view, size_t count, bool inside_fits)
{
    double room =
        fmin(view->frame.high.x - view->frame.low.x, view->frame.high.y - view->frame.low.y);
    size_t rings = 0;

    if (view->screen == NULL)
        return count;
    while (rings < RINGS && reaches[rings] <= fmax(LEAST_REACH, REACH_SHARE * room))
        rings++;
    return rings * RING + (inside_fits ? 1 : 0);
}

static void
put_label(TbCutDrawing *view, TbVec2 at, const char *text, TbInk ink, bool inside_fits)
{
    TbCandidate candidates[TB_CUT_CANDIDATES];
    double width =
        view->measurer.width(view->measurer.user, text, TB_PT_SMALL, false) + TB_CUT_LABEL_AIR;
    size_t count = near_enough(
        view, tb_cut_drawing__candidates_about(at, width, inside_fits, candidates), inside_fits);
    TbVec2 centre;

    if (!tb_cut_drawing__place(view, candidates, count, width, TB_CUT_LABEL_HEIGHT, at, &centre))
        return;
    if (!inside_fits || tb_vec2_length(tb_vec2_sub(centre, at)) > SAME_PLACE) {
        tb_cut_drawing__put_leader(
            view, tb_cut_drawing__leader_start(centre, width, TB_CUT_LABEL_HEIGHT, at), at,
            TB_INK_QUIET);
        tb_picture_dot(view->picture, at, 0.45, TB_INK_QUIET);
    }
    tb_picture_text(
        view->picture, centre,
        (TbTextStyle){.size = TB_PT_SMALL, .ink = ink, .anchor = TB_ANCHOR_MIDDLE, .backed = true},
        text);
}

static void
label_shape(TbCutDrawing *view, const TbPaperShape *shape)
{
    char text[TB_TEXT_SHORT];
    TbInk ink = TB_INK_SELECT;
    TbVec2 at;
    double depth, width;
    bool is_cut = true;
    bool fits;

    tb_text_shorten(view->measurer, shape->shape->label, TB_PT_SMALL, false, NAME_MOST, text);
    width = view->measurer.width(view->measurer.user, text, TB_PT_SMALL, false) + TB_CUT_LABEL_AIR;
    if (!deepest_point(view, &shape->cut, NULL, &at, &depth)) {
        depth = 0;
        is_cut = any_point(view, &shape->cut, NULL, &at);
        if (!is_cut && !deepest_point(view, &shape->silhouette, shape, &at, &depth)) {
            depth = 0;
            if (!any_point(view, &shape->silhouette, shape, &at))
                return;
        }
    }
    fits = depth > 0 && label_fits(view, is_cut ? &shape->cut : &shape->silhouette, at, width);
    /* on a pane what lies beyond tells its name under the pointer */
    if (!is_cut && !fits && !shape->selected && view->screen != NULL)
        return;
    if (!fits && view->names == 0)
        return;
    view->names -= !fits;
    if (!shape->selected)
        ink = is_cut ? TB_INK_INK : TB_INK_QUIET;
    put_label(view, at, text, ink, fits);
}

/* ---- what is selected and not in the pane ---- */

/** mm of paper: an arrow at the pane's edge, and its distance from it. */
#define EDGE_ARROW 5.0
#define EDGE 1.5

/** The middle of what a plane shows of a shape, on paper; false when it shows nothing. */
static bool
middle_of(const TbCutDrawing *view, const TbSceneShape *shape, TbVec2 *middle)
{
    const TbCut *cut = shape->cut.point_count > 0 ? &shape->cut : &shape->silhouette;
    TbVec2 low = {HUGE_VAL, HUGE_VAL};
    TbVec2 high = {-HUGE_VAL, -HUGE_VAL};

    for (size_t i = 0; i < cut->point_count; i++) {
        low = tb_vec2(fmin(low.x, cut->points[i].x), fmin(low.y, cut->points[i].y));
        high = tb_vec2(fmax(high.x, cut->points[i].x), fmax(high.y, cut->points[i].y));
    }
    *middle = tb_cut_drawing__paper(view, tb_vec2_scale(tb_vec2_add(low, high), 0.5));
    return cut->point_count > 0;
}

/** An arrow at the pane's edge towards what is selected and lies beside it, with its name. */
static void
point_at_selected(TbCutDrawing *view, const TbPaperShape *shape)
{
    TbVec2 middle = tb_vec2_scale(tb_vec2_add(view->frame.low, view->frame.high), 0.5);
    TbVec2 low = tb_vec2_add(view->frame.low, tb_vec2(EDGE, EDGE));
    TbVec2 high = tb_vec2_sub(view->frame.high, tb_vec2(EDGE, EDGE));
    TbVec2 to, tip, root, way;

    if (shape->hidden || shape->cut.loop_count > 0 || shape->silhouette.loop_count > 0 ||
        !middle_of(view, shape->shape, &to))
        return;
    way = tb_vec2_sub(to, middle);
    tip = tb_vec2(fmin(high.x, fmax(low.x, to.x)), fmin(high.y, fmax(low.y, to.y)));
    /* smaller than a dot, and there: nothing to point at */
    if (tip.x == to.x && tip.y == to.y)
        return;
    root = tb_vec2_sub(tip, tb_vec2_scale(way, EDGE_ARROW / tb_vec2_length(way)));
    tb_cut_drawing__arrow(view->picture, root, tip, TB_PEN_SCALE, TB_INK_SELECT);
    tb_placer_take_line(&view->placer, root, tip);
    put_label(view, root, shape->shape->label, TB_INK_SELECT, false);
}

/* ---- all names ---- */

static bool
has_gap(const TbScene *scene, const char *tag)
{
    for (size_t i = 0; i < scene->gap_count; i++)
        if (strcmp(scene->gaps[i].tag_a, tag) == 0 || strcmp(scene->gaps[i].tag_b, tag) == 0)
            return true;
    return false;
}

/** Names of what is selected, then of what is dimensioned, of what is cut, of what lies beyond. */
static bool
has_turn(const TbCutDrawing *view, const TbPaperShape *shape, int turn)
{
    const TbScene *scene = view->scene;
    bool cut = shape->shape->cut.loop_count > 0;
    int own = shape->selected ? 0 : cut && has_gap(scene, shape->shape->tag) ? 1 : cut ? 2 : 3;

    if (view->few_names && !shape->shape->subject && !has_gap(scene, shape->shape->tag))
        return false;
    /* the title of a cut across names its subject */
    return own == turn && !shape->hidden && !(shape->shape->subject && scene->inside_count > 0);
}

/** mm^2 of a pane for one name that needs a leader: more than that hide what they name, and the
 * pointer tells the others. */
#define ROOM_FOR_NAME 700.0

void
tb_cut_drawing__label(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;
    TbVec2 size = tb_vec2_sub(view->frame.high, view->frame.low);

    view->names = view->screen == NULL ? SIZE_MAX : 2 + (size_t)(size.x * size.y / ROOM_FOR_NAME);
    for (size_t i = 0; i < scene->shape_count; i++)
        if (view->shapes[i].selected)
            point_at_selected(view, &view->shapes[i]);
    tb_cut_drawing__label_dimensions(view);
    tb_picture_layer(view->picture, TB_LAYER_LABELS);
    for (int turn = 0; turn < 4; turn++)
        for (size_t i = 0; i < scene->shape_count; i++)
            if (has_turn(view, &view->shapes[i], turn))
                label_shape(view, &view->shapes[i]);
}
