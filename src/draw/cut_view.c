/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view.h"

#include "base/mem.h"
#include "base/text.h"
#include "draw/sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* mm of paper */
#define LABEL_HEIGHT 4.4
#define LABEL_AIR 1.6    /* around a label's text */
#define DOT 0.7          /* radius of a witness point */
#define SHORTEST_DIM 9.0 /* shorter gaps are dimensioned beside */
#define TICK 1.6         /* half length of a station tick */
#define SYMBOL 2.6       /* a level's shape */
#define AXIS 9.0         /* length of an axis arrow */
#define FRONT 14.0       /* length of the arrow to the front */

/** mm of the bay. A gap further than this from the plane belongs on another drawing. */
#define OFF_PLANE 60.0

/** Weights of ink under a label. */
enum { INK_BEYOND = 2, INK_CENTRE = 4, INK_CUT = 8 };

typedef struct View {
    TbPicture *picture;
    const TbScene *scene;
    TbMeasurer measurer;
    TbRectangle frame; /**< the drawing's part of the sheet */
    double ratio;
    TbVec2 centre; /**< of the window, mm of the bay */
    TbPlacer placer;
    TbVec2 *paper; /**< scratch: points on paper */
    size_t paper_room;
    TbLoopSpan *spans;
    size_t span_room;
} View;

static TbVec2
on_paper(const View *view, TbVec2 p)
{
    return tb_vec2(
        (view->frame.low.x + view->frame.high.x) / 2 + view->ratio * (p.x - view->centre.x),
        (view->frame.low.y + view->frame.high.y) / 2 - view->ratio * (p.y - view->centre.y));
}

/** All points of a cut on paper, in the scratch; false when there is no room. */
static bool
put_on_paper(View *view, const TbVec2 points[], size_t count)
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
        view->paper[i] = on_paper(view, points[i]);
    return true;
}

static bool
room_for_spans(View *view, size_t count)
{
    while (view->span_room < count || view->spans == NULL) {
        void *array = view->spans;

        if (tb_grow_array(&array, &view->span_room, view->span_room, sizeof *view->spans) != 0) {
            view->picture->status = TB_E_MEMORY;
            return false;
        }
        view->spans = array;
    }
    return true;
}

/* ---- shapes ---- */

static void
draw_silhouette(View *view, const TbSceneShape *shape)
{
    const TbCut *cut = &shape->silhouette;
    TbInk ink = shape->subject ? TB_INK_INK : TB_INK_QUIET;

    if (cut->loop_count == 0 || !put_on_paper(view, cut->points, cut->point_count))
        return;
    for (size_t i = 0; i < cut->loop_count; i++) {
        TbLoopSpan span = {cut->loops[i].first, cut->loops[i].count};
        TbAreaStyle style = {.fill = TB_INK_PAPER, .edge = ink, .pen = TB_PEN_BEYOND};

        tb_picture_area(view->picture, view->paper, &span, 1, style, shape->tag);
        tb_placer_ink_line(&view->placer, view->paper + span.first, span.count, true, INK_BEYOND);
    }
}

static int
furthest_first(const void *a, const void *b)
{
    const TbSceneShape *const *p = a;
    const TbSceneShape *const *q = b;

    if ((*p)->height != (*q)->height)
        return (*p)->height < (*q)->height ? -1 : 1;
    return *p < *q ? -1 : *p > *q;
}

/** What lies beyond, the nearer in front of the further. */
static void
draw_silhouettes(View *view)
{
    const TbScene *scene = view->scene;
    const TbSceneShape **order =
        tb_alloc_array(scene->shape_count > 0 ? scene->shape_count : 1, sizeof(TbSceneShape *));

    if (order == NULL) {
        view->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i < scene->shape_count; i++)
        order[i] = &scene->shapes[i];
    qsort(order, scene->shape_count, sizeof(TbSceneShape *), furthest_first);
    for (size_t i = 0; i < scene->shape_count; i++)
        draw_silhouette(view, order[i]);
    tb_free(order);
}

/** Loops of one role fill together, even-odd, so that holes and the gas side stay open. */
static void
draw_role(View *view, const TbSceneShape *shape, int role, TbAreaStyle style)
{
    const TbCut *cut = &shape->cut;
    size_t spans = 0;

    for (size_t i = 0; i < cut->loop_count; i++)
        if (cut->loops[i].role == role && cut->loops[i].kind != TB_LOOP_OPEN)
            view->spans[spans++] = (TbLoopSpan){cut->loops[i].first, cut->loops[i].count};
    if (spans > 0)
        tb_picture_area(view->picture, view->paper, view->spans, spans, style, shape->tag);
}

static void
draw_cut(View *view, const TbSceneShape *shape)
{
    const TbCut *cut = &shape->cut;
    TbLookStyle look = tb_style_look(shape->look);
    TbAreaStyle style = {.fill = look.fill,
                         .edge = shape->subject ? TB_INK_INK : look.edge,
                         .pen = TB_PEN_CUT,
                         .hatch_angle = look.hatch_angle,
                         .hatch_step = look.hatch_step,
                         .hatch_dotted = look.dotted};

    if (cut->loop_count == 0 || !put_on_paper(view, cut->points, cut->point_count) ||
        !room_for_spans(view, cut->loop_count))
        return;
    /* clamps and flanges are envelopes about the skin: drawn first, the skin on top */
    for (int role = TB_ROLE_BOLT; role >= TB_ROLE_SKIN; role--) {
        TbAreaStyle now = style;

        if (role == TB_ROLE_CLAMP || role == TB_ROLE_BOLT)
            now = (TbAreaStyle){.fill = TB_INK_NONE, .edge = style.edge, .pen = TB_PEN_ENVELOPE};
        draw_role(view, shape, role, now);
    }
    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbVec2 *p = view->paper + cut->loops[i].first;
        bool open = cut->loops[i].kind == TB_LOOP_OPEN;

        if (open)
            tb_picture_line(view->picture, p, cut->loops[i].count, TB_PEN_CUT, look.edge,
                            shape->tag);
        tb_placer_ink_line(&view->placer, p, cut->loops[i].count, !open, INK_CUT);
    }
}

static void
draw_line(View *view, const TbSceneLine *line)
{
    if (line->count < 2 || !put_on_paper(view, line->points, line->count))
        return;
    tb_picture_line(view->picture, view->paper, line->count, TB_PEN_CENTRE, TB_INK_INK, line->tag);
    tb_placer_ink_line(&view->placer, view->paper, line->count, false, INK_CENTRE);
    for (size_t i = 0; i < line->tick_count; i++) {
        TbVec2 at = on_paper(view, line->tick[i]);
        /* paper's y runs down */
        TbVec2 d = {line->tick_direction[i].x * TICK, -line->tick_direction[i].y * TICK};

        tb_picture_segment(view->picture, tb_vec2_sub(at, d), tb_vec2_add(at, d), TB_PEN_FRAME,
                           TB_INK_INK);
    }
}

/* ---- labels ---- */

static bool
in_frame(const View *view, TbVec2 p, double air)
{
    return p.x > view->frame.low.x + air && p.x < view->frame.high.x - air &&
           p.y > view->frame.low.y + air && p.y < view->frame.high.y - air;
}

/** A label's rectangle about a point lies wholly inside one loop of the scratch. */
static bool
label_fits(const View *view, const TbCut *cut, TbVec2 at, double width)
{
    for (size_t k = 0; k < cut->loop_count; k++) {
        const TbVec2 *p = view->paper + cut->loops[k].first;
        size_t inside = 0;

        for (int i = 0; i < 9; i++) {
            TbVec2 q = {at.x + (i % 3 - 1) * width / 2, at.y + (i / 3 - 1) * LABEL_HEIGHT / 2};

            inside += tb_polygon_holds(p, cut->loops[k].count, q) && in_frame(view, q, 0);
        }
        if (inside == 9)
            return true;
    }
    return false;
}

/** How deep a point lies inside a loop and inside the frame, mm of paper; below 0 outside. */
static double
depth_in(const View *view, const TbVec2 p[], size_t count, TbVec2 q)
{
    double inside = fmin(fmin(q.x - view->frame.low.x, view->frame.high.x - q.x),
                         fmin(q.y - view->frame.low.y, view->frame.high.y - q.y));

    if (!tb_polygon_holds(p, count, q))
        return -1;
    return fmin(inside, tb_polygon_edge_distance(p, count, q));
}

/** The bay's point under a point on paper. */
static TbVec2
in_bay(const View *view, TbVec2 p)
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
is_hidden(const View *view, const TbSceneShape *shape, TbVec2 on_paper_point)
{
    TbVec2 p = in_bay(view, on_paper_point);

    for (size_t i = 0; i < view->scene->shape_count; i++) {
        const TbSceneShape *other = &view->scene->shapes[i];

        if (other != shape &&
            (any_loop_holds(&other->cut, p) ||
             (furthest_first(&shape, &other) < 0 && any_loop_holds(&other->silhouette, p))))
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
deepest_point(View *view, const TbCut *cut, const TbSceneShape *behind, TbVec2 *best, double *depth)
{
    enum { GRID = 14 };
    *depth = 0;

    if (cut->loop_count == 0 || !put_on_paper(view, cut->points, cut->point_count))
        return false;
    for (size_t k = 0; k < cut->loop_count; k++) {
        const TbVec2 *p = view->paper + cut->loops[k].first;
        size_t count = cut->loops[k].count;
        TbRectangle box = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};

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
any_point(View *view, const TbCut *cut, TbVec2 *best)
{
    double most = -INFINITY;

    if (cut->loop_count == 0 || !put_on_paper(view, cut->points, cut->point_count))
        return false;
    for (size_t i = 0; i < cut->point_count; i++) {
        TbVec2 p = view->paper[i];
        double inner = fmin(fmin(p.x - view->frame.low.x, view->frame.high.x - p.x),
                            fmin(p.y - view->frame.low.y, view->frame.high.y - p.y));

        if (inner > most) {
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

/** The point of a label's rectangle nearest to what it names. */
static TbVec2
leader_start(TbVec2 centre, double width, double height, TbVec2 to)
{
    return tb_vec2(fmax(centre.x - width / 2, fmin(centre.x + width / 2, to.x)),
                   fmax(centre.y - height / 2, fmin(centre.y + height / 2, to.y)));
}

static void
put_label(View *view, TbVec2 at, const char *text, TbInk ink, bool inside_fits)
{
    TbCandidate candidates[MOST_CANDIDATES];
    double width = view->measurer.width(view->measurer.user, text, TB_PT_SMALL, false) + LABEL_AIR;
    size_t count = candidates_about(at, width, inside_fits, candidates);
    TbVec2 centre;

    if (!tb_placer_place(&view->placer, candidates, count, width, LABEL_HEIGHT, &centre))
        return;
    if (!inside_fits || fabs(centre.x - at.x) > 1e-6 || fabs(centre.y - at.y) > 1e-6) {
        TbVec2 from = leader_start(centre, width, LABEL_HEIGHT, at);

        tb_picture_segment(view->picture, from, at, TB_PEN_FRAME, TB_INK_QUIET);
        tb_picture_dot(view->picture, at, 0.45, TB_INK_QUIET);
    }
    tb_picture_text(
        view->picture, centre,
        (TbTextStyle){.size = TB_PT_SMALL, .ink = ink, .anchor = TB_ANCHOR_MIDDLE, .backed = true},
        text);
}

static void
label_shape(View *view, const TbSceneShape *shape)
{
    double width =
        view->measurer.width(view->measurer.user, shape->label, TB_PT_SMALL, false) + LABEL_AIR;
    TbVec2 at;
    double depth;
    bool is_cut = true;
    bool fits;

    if (!deepest_point(view, &shape->cut, NULL, &at, &depth)) {
        depth = 0;
        if (!any_point(view, &shape->cut, &at)) {
            is_cut = false;
            if (!deepest_point(view, &shape->silhouette, shape, &at, &depth))
                return;
        }
    }
    fits = depth > 0 && label_fits(view, is_cut ? &shape->cut : &shape->silhouette, at, width);
    put_label(view, at, shape->label, is_cut ? TB_INK_INK : TB_INK_QUIET, fits);
}

/* ---- dimensions, stations, corners ---- */

/** Name of whichever side of a gap this plane does not cut; NULL where both are seen in it. */
static const char *
unseen_side(const View *view, const TbSceneGap *gap)
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
draw_gap(View *view, const TbSceneGap *gap)
{
    TbVec2 a = on_paper(view, gap->a);
    TbVec2 b = on_paper(view, gap->b);
    TbVec2 middle = {(a.x + b.x) / 2, (a.y + b.y) / 2};
    TbInk ink = tb_style_level_ink(gap->level);
    char number[TB_TEXT_NUMBER];
    char text[2 * TB_TEXT_NUMBER + 80];
    const char *name = unseen_side(view, gap);
    TbCandidate candidates[MOST_CANDIDATES];
    double width;
    TbVec2 centre;

    if (!in_frame(view, a, 0) || !in_frame(view, b, 0) ||
        fmin(fabs(gap->height_a), fabs(gap->height_b)) > OFF_PLANE)
        return;
    tb_picture_segment(view->picture, a, b, TB_PEN_GAP, ink);
    tb_picture_dot(view->picture, a, DOT, ink);
    tb_picture_dot(view->picture, b, DOT, ink);
    tb_placer_ink_line(&view->placer, (TbVec2[2]){a, b}, 2, false, 20);

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
    if (!tb_placer_place(&view->placer, candidates,
                         candidates_about(middle, width, false, candidates), width,
                         LABEL_HEIGHT + 0.6, &centre))
        return;
    tb_picture_segment(view->picture, leader_start(centre, width, LABEL_HEIGHT, middle), middle,
                       TB_PEN_FRAME, ink);
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
label_ticks(View *view, const TbSceneLine *line)
{
    TbVec2 last = {-INFINITY, -INFINITY};

    for (size_t i = 0; i < line->tick_count; i++) {
        TbVec2 at = on_paper(view, line->tick[i]);
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
        if (!tb_placer_place(&view->placer, candidates, 4, width, LABEL_HEIGHT - 0.8, &centre))
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

static void
draw_arrow(TbPicture *picture, TbVec2 from, TbVec2 to, TbPen pen, TbInk ink)
{
    TbVec2 d = tb_vec2_sub(to, from);
    double length = tb_vec2_length(d);
    TbVec2 along = tb_vec2_scale(d, 1 / length);
    TbVec2 across = {-along.y, along.x};
    TbVec2 head[3] = {
        to,
        {to.x - 2.2 * along.x + 0.8 * across.x, to.y - 2.2 * along.y + 0.8 * across.y},
        {to.x - 2.2 * along.x - 0.8 * across.x, to.y - 2.2 * along.y - 0.8 * across.y}};

    tb_picture_segment(picture, from, tb_vec2_sub(to, tb_vec2_scale(along, 1.5)), pen, ink);
    tb_picture_area(picture, head, &(TbLoopSpan){0, 3}, 1,
                    (TbAreaStyle){.fill = ink, .edge = ink, .pen = TB_PEN_NONE}, NULL);
}

/** Length of the scale bar: 1-2-5 mm of the bay that gives 20 to 50 mm of paper. */
static double
bar_length(double ratio)
{
    static const double steps[] = {1, 2, 5};
    double decade = 0.01;

    for (;;) {
        for (int i = 0; i < 3; i++)
            if (steps[i] * decade * ratio >= 20)
                return steps[i] * decade;
        decade *= 10;
    }
}

/** Axes, arrow to the front and scale bar, together in the corner that holds least. */
static void
draw_corner(View *view)
{
    const TbScene *scene = view->scene;
    TbPicture *picture = view->picture;
    double bar = bar_length(view->ratio);
    double bar_paper = bar * view->ratio;
    double width = fmax(bar_paper + 8, 2 * AXIS + FRONT + 30);
    double height = 2 * AXIS + 14;
    TbVec2 low = view->frame.low;
    TbVec2 high = view->frame.high;
    TbVec2 corners[4] = {{low.x + width / 2 + 2, high.y - height / 2 - 2},
                         {high.x - width / 2 - 2, high.y - height / 2 - 2},
                         {low.x + width / 2 + 2, low.y + height / 2 + 2},
                         {high.x - width / 2 - 2, low.y + height / 2 + 2}};
    TbCandidate candidates[4];
    char number[TB_TEXT_NUMBER];
    char text[TB_TEXT_NUMBER + 8];
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE};
    TbVec2 c, origin, tip;

    for (int i = 0; i < 4; i++)
        candidates[i] = (TbCandidate){corners[i], i};
    if (!tb_placer_place(&view->placer, candidates, 4, width, height, &c))
        return;
    tb_picture_rectangle(
        picture, tb_vec2(c.x - width / 2, c.y - height / 2),
        tb_vec2(c.x + width / 2, c.y + height / 2),
        (TbAreaStyle){.fill = TB_INK_PAPER, .edge = TB_INK_GRID, .pen = TB_PEN_GRID}, NULL);

    origin = tb_vec2(c.x - width / 2 + AXIS + 5, c.y - height / 2 + AXIS + 5);
    tip = tb_vec2(origin.x + scene->axis_u_sign * AXIS, origin.y);
    draw_arrow(picture, origin, tip, TB_PEN_FRAME, TB_INK_INK);
    tb_picture_text(picture, tb_vec2(tip.x + scene->axis_u_sign * 2.4, tip.y), style,
                    scene->axis_u);
    tip = tb_vec2(origin.x, origin.y - scene->axis_v_sign * AXIS);
    draw_arrow(picture, origin, tip, TB_PEN_FRAME, TB_INK_INK);
    tb_picture_text(picture, tb_vec2(tip.x, tip.y - scene->axis_v_sign * 2.4), style,
                    scene->axis_v);

    if (scene->front_u != 0 || scene->front_v != 0) {
        TbVec2 from = {c.x + width / 2 - 5 - (scene->front_u > 0 ? FRONT : 0), origin.y};
        TbVec2 to;

        if (scene->front_u == 0)
            from.x = c.x + width / 2 - 5 - FRONT / 2;
        to = tb_vec2(from.x + scene->front_u * FRONT, from.y - scene->front_v * FRONT / 2);
        draw_arrow(picture, from, to, TB_PEN_SCALE, TB_INK_QUIET);
        style.ink = TB_INK_QUIET;
        tb_picture_text(picture, tb_vec2((from.x + to.x) / 2, from.y + 4), style, "front");
        style.ink = TB_INK_INK;
    }

    origin = tb_vec2(c.x - bar_paper / 2, c.y + height / 2 - 8);
    tip = tb_vec2(origin.x + bar_paper, origin.y);
    tb_picture_segment(picture, origin, tip, TB_PEN_SCALE, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(origin.x, origin.y - 1.2),
                       tb_vec2(origin.x, origin.y + 1.2), TB_PEN_FRAME, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(tip.x, tip.y - 1.2), tb_vec2(tip.x, tip.y + 1.2),
                       TB_PEN_FRAME, TB_INK_INK);
    tb_text_from_double(bar, number);
    snprintf(text, sizeof text, "%s mm", number);
    tb_picture_text(picture, tb_vec2(c.x, origin.y + 4), style, text);
}

/* ---- all together ---- */

static void
draw_all(View *view)
{
    const TbScene *scene = view->scene;

    tb_picture_clip(view->picture, view->frame.low, view->frame.high);
    draw_silhouettes(view);
    /* the subject's cut lies on top of its neighbours' */
    for (int subject = 0; subject < 2; subject++)
        for (size_t i = 0; i < scene->shape_count; i++)
            if (scene->shapes[i].subject == (subject == 1))
                draw_cut(view, &scene->shapes[i]);
    for (size_t i = 0; i < scene->line_count; i++)
        draw_line(view, &scene->lines[i]);
    draw_corner(view);
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
    tb_picture_unclip(view->picture);
    tb_picture_rectangle(
        view->picture, view->frame.low, view->frame.high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
}

TbStatus
tb_cut_view(
    TbPicture *picture, const TbScene *scene, double ratio, TbMeasurer measurer, TbFault *fault)
{
    View view = {.picture = picture, .scene = scene, .measurer = measurer};
    TbSheetTexts texts = {.title = scene->title,
                          .subtitle = scene->subtitle,
                          .caution = scene->caution,
                          .notes = scene->notes,
                          .note_count = scene->note_count};
    TbVec2 size = tb_vec2_sub(scene->high, scene->low);
    TbPicture trial;
    char scale[24];

    /* the head carries the ratio, and the ratio depends on the room below the head */
    tb_picture_init(&trial, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    view.frame = tb_sheet_frame(&trial, texts, measurer);
    tb_picture_clear(&trial);
    view.ratio = ratio > 0 ? ratio : tb_sheet_ratio(size.x, size.y, view.frame);
    view.centre = tb_vec2_scale(tb_vec2_add(scene->low, scene->high), 0.5);
    tb_sheet_ratio_text(view.ratio, scale);
    texts.scale = scale;

    tb_picture_init(picture, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    tb_sheet_frame(picture, texts, measurer);
    tb_placer_init(&view.placer, view.frame);
    draw_all(&view);
    tb_placer_clear(&view.placer);
    tb_free(view.paper);
    tb_free(view.spans);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
