/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view_private.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* mm of paper */
#define LABEL_AIR 1.6 /* around a label's text */
#define DOT 0.7       /* radius of a witness point */
#define SYMBOL 2.6    /* a level's shape */

/** mm of the bay. A gap further than this from the plane belongs on another drawing. */
#define OFF_PLANE 60.0

/** Ink of a gap's dimension under a label. */
#define INK_GAP 20

static bool
in_frame(const TbCutDrawing *view, TbVec2 p, double air)
{
    return p.x > view->frame.low.x + air && p.x < view->frame.high.x - air &&
           p.y > view->frame.low.y + air && p.y < view->frame.high.y - air;
}

/** A label's rectangle about a point lies wholly inside one loop of the scratch. */
static bool
label_fits(const TbCutDrawing *view, const TbCut *cut, TbVec2 at, double width)
{
    for (size_t k = 0; k < cut->loop_count; k++) {
        const TbVec2 *p = view->paper + cut->loops[k].first;
        size_t inside = 0;

        for (int i = 0; i < 9; i++) {
            TbVec2 q = {at.x + (i % 3 - 1) * width / 2,
                        at.y + (i / 3 - 1) * TB_CUT_LABEL_HEIGHT / 2};

            inside += tb_polygon_holds(p, cut->loops[k].count, q) && in_frame(view, q, 0);
        }
        if (inside == 9)
            return true;
    }
    return false;
}

/** How deep a point lies inside a loop and inside the frame, mm of paper; below 0 outside. */
static double
depth_in(const TbCutDrawing *view, const TbVec2 p[], size_t count, TbVec2 q)
{
    double inside = fmin(fmin(q.x - view->frame.low.x, view->frame.high.x - q.x),
                         fmin(q.y - view->frame.low.y, view->frame.high.y - q.y));

    if (!tb_polygon_holds(p, count, q))
        return -1;
    return fmin(inside, tb_polygon_edge_distance(p, count, q));
}

/** The bay's point under a point on paper. */
static TbVec2
in_bay(const TbCutDrawing *view, TbVec2 p)
{
    return tb_vec2(
        view->centre.x + (p.x - (view->frame.low.x + view->frame.high.x) / 2) / view->ratio,
        view->centre.y - (p.y - (view->frame.low.y + view->frame.high.y) / 2) / view->ratio);
}

static bool
any_loop_holds(const TbCut *cut, TbVec2 p)
{
    for (size_t i = 0; i < cut->loop_count; i++)
        if (cut->loops[i].kind != TB_LOOP_OPEN &&
            tb_polygon_holds(cut->points + cut->loops[i].first, cut->loops[i].count, p))
            return true;
    return false;
}

/** A point of a shape beyond the plane that a cut, or something nearer, hides. */
static bool
is_hidden(const TbCutDrawing *view, const TbSceneShape *shape, TbVec2 on_paper_point)
{
    TbVec2 p = in_bay(view, on_paper_point);

    for (size_t i = 0; i < view->scene->shape_count; i++) {
        const TbSceneShape *other = &view->scene->shapes[i];

        if (other != shape && (any_loop_holds(&other->cut, p) ||
                               (tb_cut_drawing__furthest_first(&shape, &other) < 0 &&
                                any_loop_holds(&other->silhouette, p))))
            return true;
    }
    return false;
}

/**
 * The visible point furthest inside any closed loop of a cut: where a leader may end.
 *
 * @param behind the shape whose silhouette the cut is, for what hides it; NULL for a cut itself
 */
static bool
deepest_point(
    TbCutDrawing *view, const TbCut *cut, const TbSceneShape *behind, TbVec2 *best, double *depth)
{
    enum { GRID = 14 };
    *depth = 0;

    if (cut->loop_count == 0 || !tb_cut_drawing__put(view, cut->points, cut->point_count))
        return false;
    for (size_t k = 0; k < cut->loop_count; k++) {
        const TbVec2 *p = view->paper + cut->loops[k].first;
        size_t count = cut->loops[k].count;
        TbRectangle box = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};

        /* a chain has no inside */
        if (cut->loops[k].kind == TB_LOOP_OPEN)
            continue;
        for (size_t i = 0; i < count; i++) {
            box.low = tb_vec2(fmin(box.low.x, p[i].x), fmin(box.low.y, p[i].y));
            box.high = tb_vec2(fmax(box.high.x, p[i].x), fmax(box.high.y, p[i].y));
        }
        box.low = tb_vec2(fmax(box.low.x, view->frame.low.x), fmax(box.low.y, view->frame.low.y));
        box.high =
            tb_vec2(fmin(box.high.x, view->frame.high.x), fmin(box.high.y, view->frame.high.y));
        for (int i = 0; i < GRID * GRID; i++) {
            TbVec2 q = {box.low.x + (box.high.x - box.low.x) * (0.5 + i % GRID) / GRID,
                        box.low.y + (box.high.y - box.low.y) * (0.5 + i / GRID) / GRID};
            /* of equally deep points the middle one */
            double d =
                depth_in(view, p, count, q) - 0.03 * hypot(q.x - (box.low.x + box.high.x) / 2,
                                                           q.y - (box.low.y + box.high.y) / 2);

            if (d > *depth && (behind == NULL || !is_hidden(view, behind, q))) {
                *depth = d;
                *best = q;
            }
        }
    }
    return *depth > 0;
}

/** A visible vertex of an open chain, or of anything too thin for deepest_point(). */
static bool
any_point(TbCutDrawing *view, const TbCut *cut, const TbSceneShape *behind, TbVec2 *best)
{
    double most = -INFINITY;

    if (cut->loop_count == 0 || !tb_cut_drawing__put(view, cut->points, cut->point_count))
        return false;
    for (size_t i = 0; i < cut->point_count; i++) {
        TbVec2 p = view->paper[i];
        double inner = fmin(fmin(p.x - view->frame.low.x, view->frame.high.x - p.x),
                            fmin(p.y - view->frame.low.y, view->frame.high.y - p.y));

        if (inner > most && (behind == NULL || !is_hidden(view, behind, p))) {
            most = inner;
            *best = p;
        }
    }
    return most > 0;
}

enum { RING = 24, RINGS = 9, MOST_CANDIDATES = RING * RINGS + 1 };

/** Places for a label about a point: right on it where there is room, then rings further out. */
static size_t
candidates_about(TbVec2 at, double width, bool inside_fits, TbCandidate out[])
{
    static const double reach[RINGS] = {4, 6.5, 9.5, 13, 17, 22, 28, 36, 46};
    size_t count = 0;

    if (inside_fits)
        out[count++] = (TbCandidate){at, 0};
    for (int r = 0; r < RINGS; r++)
        for (int k = 0; k < RING; k++) {
            double angle = 2 * M_PI * (k + 0.5) / RING;
            TbVec2 d = {cos(angle), sin(angle)};
            /* the ring is wider along the text so that labels end near their thing */
            TbVec2 centre = {at.x + d.x * (reach[r] + width / 2), at.y + d.y * reach[r]};

            out[count++] = (TbCandidate){centre, 12 + 2.5 * reach[r]};
        }
    return count;
}

/** Dislike of a leader that runs over another label, as much as some 60 mm of distance. */
#define CROSSING 150.0

/** mm of paper nearer than which two points are one: a tenth of the finest line. */
#define SAME_PLACE 0.01

/** The point of a label's rectangle nearest to what it names. */
static TbVec2
leader_start(TbVec2 centre, double width, double height, TbVec2 to)
{
    return tb_vec2(fmax(centre.x - width / 2, fmin(centre.x + width / 2, to.x)),
                   fmax(centre.y - height / 2, fmin(centre.y + height / 2, to.y)));
}

/** Candidates whose leader would run over another label are disliked. */
static void
dislike_crossings(
    const TbCutDrawing *view, TbCandidate candidates[], size_t count, double width, TbVec2 to)
{
    for (size_t i = 0; i < count; i++) {
        TbVec2 from = leader_start(candidates[i].centre, width, TB_CUT_LABEL_HEIGHT, to);

        if (tb_placer_crosses(&view->placer, from, to))
            candidates[i].cost += CROSSING;
    }
}

/** Draw a leader, and let later labels keep off it. */
static void
put_leader(TbCutDrawing *view, TbVec2 from, TbVec2 to, TbInk ink)
{
    tb_picture_segment(view->picture, from, to, TB_PEN_FRAME, ink);
    tb_placer_ink_line(&view->placer, (TbVec2[2]){from, to}, 2, false, INK_GAP);
}

static void
put_label(TbCutDrawing *view, TbVec2 at, const char *text, TbInk ink, bool inside_fits)
{
    TbCandidate candidates[MOST_CANDIDATES];
    double width = view->measurer.width(view->measurer.user, text, TB_PT_SMALL, false) + LABEL_AIR;
    size_t count = candidates_about(at, width, inside_fits, candidates);
    TbVec2 centre;

    dislike_crossings(view, candidates, count, width, at);
    if (!tb_placer_place(&view->placer, candidates, count, width, TB_CUT_LABEL_HEIGHT, &centre))
        return;
    if (!inside_fits || tb_vec2_length(tb_vec2_sub(centre, at)) > SAME_PLACE) {
        put_leader(view, leader_start(centre, width, TB_CUT_LABEL_HEIGHT, at), at, TB_INK_QUIET);
        tb_picture_dot(view->picture, at, 0.45, TB_INK_QUIET);
    }
    tb_picture_text(
        view->picture, centre,
        (TbTextStyle){.size = TB_PT_SMALL, .ink = ink, .anchor = TB_ANCHOR_MIDDLE, .backed = true},
        text);
}

static void
label_shape(TbCutDrawing *view, const TbSceneShape *shape)
{
    double width =
        view->measurer.width(view->measurer.user, shape->label, TB_PT_SMALL, false) + LABEL_AIR;
    TbVec2 at;
    double depth;
    bool is_cut = true;
    bool fits;

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
    put_label(view, at, shape->label, is_cut ? TB_INK_INK : TB_INK_QUIET, fits);
}

/* ---- dimensions and stations ---- */

/** Name of whichever side of a gap this plane does not cut; NULL where both are seen in it. */
static const char *
unseen_side(const TbCutDrawing *view, const TbSceneGap *gap)
{
    for (size_t i = 0; i < view->scene->shape_count; i++) {
        const TbSceneShape *shape = &view->scene->shapes[i];

        if (shape->cut.loop_count == 0 && !shape->subject &&
            (strcmp(shape->tag, gap->tag_a) == 0 || strcmp(shape->tag, gap->tag_b) == 0))
            return shape->label;
    }
    return NULL;
}

static void
draw_gap(TbCutDrawing *view, const TbSceneGap *gap)
{
    TbVec2 a = tb_cut_drawing__paper(view, gap->a);
    TbVec2 b = tb_cut_drawing__paper(view, gap->b);
    TbVec2 middle = {(a.x + b.x) / 2, (a.y + b.y) / 2};
    TbInk ink = tb_style_level_ink(gap->level);
    char number[TB_TEXT_NUMBER];
    char text[2 * TB_TEXT_NUMBER + 80];
    const char *name = unseen_side(view, gap);
    TbCandidate candidates[MOST_CANDIDATES];
    double width;
    size_t count;
    TbVec2 centre;

    if (!in_frame(view, a, 0) || !in_frame(view, b, 0) ||
        fmin(fabs(gap->height_a), fabs(gap->height_b)) > OFF_PLANE)
        return;
    tb_picture_segment(view->picture, a, b, TB_PEN_GAP, ink);
    tb_picture_dot(view->picture, a, DOT, ink);
    tb_picture_dot(view->picture, b, DOT, ink);
    tb_placer_ink_line(&view->placer, (TbVec2[2]){a, b}, 2, false, INK_GAP);

    /* rounded down: a gap never looks larger than it is */
    tb_text_fixed(floor(gap->gap * 10 + 1e-6) / 10, 1, number);
    if (isnan(gap->keep)) {
        snprintf(text, sizeof text, "%s", number);
    } else {
        char keep[TB_TEXT_NUMBER];

        tb_text_fixed(gap->keep, 1, keep);
        if (strlen(keep) > 2 && strcmp(keep + strlen(keep) - 2, ".0") == 0)
            keep[strlen(keep) - 2] = '\0';
        snprintf(text, sizeof text, "%s / %s", number, keep);
    }
    if (name != NULL)
        snprintf(text + strlen(text), sizeof text - strlen(text), "  %.60s", name);
    width = view->measurer.width(view->measurer.user, text, TB_PT_TEXT, true) + SYMBOL + 3;
    count = candidates_about(middle, width, false, candidates);
    dislike_crossings(view, candidates, count, width, middle);
    if (!tb_placer_place(&view->placer, candidates, count, width, TB_CUT_LABEL_HEIGHT + 0.6,
                         &centre))
        return;
    put_leader(view, leader_start(centre, width, TB_CUT_LABEL_HEIGHT, middle), middle, ink);
    tb_picture_text(view->picture, tb_vec2(centre.x + (SYMBOL + 1) / 2, centre.y),
                    (TbTextStyle){.size = TB_PT_TEXT,
                                  .ink = ink,
                                  .anchor = TB_ANCHOR_MIDDLE,
                                  .bold = true,
                                  .backed = true},
                    text);
    tb_picture_level(view->picture, tb_vec2(centre.x - width / 2 + SYMBOL / 2 + 0.5, centre.y),
                     SYMBOL, gap->level);
}

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

        if (!in_frame(view, at, 4) || hypot(at.x - last.x, at.y - last.y) < 11)
            continue;
        tb_text_fixed(line->tick_station[i], 0, text);
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
tb_cut_drawing__label(TbCutDrawing *view)
{
    const TbScene *scene = view->scene;

    for (size_t i = 0; i < scene->gap_count; i++)
        draw_gap(view, &scene->gaps[i]);
    for (size_t i = 0; i < scene->line_count; i++)
        label_ticks(view, &scene->lines[i]);
    for (size_t i = 0; i < scene->shape_count; i++)
        if (scene->shapes[i].cut.loop_count > 0)
            label_shape(view, &scene->shapes[i]);
    for (size_t i = 0; i < scene->shape_count; i++)
        if (scene->shapes[i].cut.loop_count == 0)
            label_shape(view, &scene->shapes[i]);
}
