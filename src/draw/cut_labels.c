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
lies_inside(const TbCutDrawing *view, const TbPaperCut *cut, TbVec2 at, double width)
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

/** The same about a cut's deepest place, asked once for each width. */
static bool
label_fits(const TbCutDrawing *view, TbPaperCut *cut, double width)
{
    TbPaperPlace *place = &cut->deepest;

    if (place->fit_width != width)
        place->fits = lies_inside(view, cut, place->at, width);
    place->fit_width = width;
    return place->fits;
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
    TbVec2 ring[RING];
    size_t count = 0;

    for (int k = 0; k < RING; k++) {
        double angle = 2 * M_PI * (k + 0.5) / RING;

        ring[k] = tb_vec2(cos(angle), sin(angle));
    }
    if (inside_fits)
        out[count++] = (TbCandidate){at, 0};
    for (int r = 0; r < RINGS; r++)
        for (int k = 0; k < RING; k++) {
            TbVec2 d = ring[k];
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
label_shape(TbCutDrawing *view, TbPaperShape *shape)
{
    char text[TB_TEXT_SHORT];
    TbInk ink = TB_INK_SELECT;
    TbVec2 at;
    double depth, width;
    bool is_cut = true;
    bool fits;

    tb_text_shorten(view->measurer, shape->shape->label, TB_PT_SMALL, false, NAME_MOST, text);
    width = view->measurer.width(view->measurer.user, text, TB_PT_SMALL, false) + TB_CUT_LABEL_AIR;
    if (!tb_cut_drawing__deepest(view, &shape->cut, NULL, &at, &depth)) {
        depth = 0;
        is_cut = tb_cut_drawing__any_point(view, &shape->cut, NULL, &at);
        if (!is_cut && !tb_cut_drawing__deepest(view, &shape->silhouette, shape, &at, &depth)) {
            depth = 0;
            if (!tb_cut_drawing__any_point(view, &shape->silhouette, shape, &at))
                return;
        }
    }
    fits = depth > 0 && label_fits(view, is_cut ? &shape->cut : &shape->silhouette, width);
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
