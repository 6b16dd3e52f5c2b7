/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Cuts of sweeps. A sweep is a row of filled convex sections, and a plane meets the plane of a
 * section in a line, so it meets the section in one chord or not at all. Whether it does is told by
 * two numbers, the heights of the section's highest and lowest point over the plane. So the cut is
 * known once the intervals of the path are known over which the lowest point is below the plane and
 * the highest above it: each such interval, a run, gives one closed loop, up along the chords'
 * left ends, back along their right ends. A run ends in a tip where the plane leaves the surface,
 * or with a whole chord at the end of the sweep: there the loop runs along the end face.
 *
 * Where the path passes the plane nearly square, the sections go from below to above at once: a
 * run too short to be followed (TB_CUT_RING) is one section, and its loop is that section's
 * outline. That is what a cut at a station is.
 */

#include "base/mem.h"
#include "geom/bound.h"
#include "geom/cut_chord.h"
#include "geom/cut_private.h"
#include "geom/tol.h"

/** mm. A run shorter than this is one section: its points are off by no more, times a slope. */
#define TB_CUT_RING 1e-6

/** mm. Longest step along the path before chords are looked at. */
#define TB_CUT_STEP 8.0

/** Halvings of a step at most: from TB_CUT_STEP to below rounding. */
#define TB_CUT_DEPTH 50

/** Share of a step at which its chord is looked at: off the middle, so that an S shows too. */
#define TB_CUT_PROBE 0.44

typedef enum Side { BELOW, CROSSED, ABOVE } Side;

/** A section against the plane. */
typedef struct Row {
    double u;
    TbDisc disc;
    double low, high; /**< heights of the lowest and of the highest point */
    double tilt;      /**< sine of the angle between the two planes */
    Side side;
    TbVec2 left, right; /**< ends of the chord on paper, when crossed */
    TbCutEnd ends[2];   /**< what is known of them, left and right */
} Row;

typedef struct Points {
    TbVec2 *all;
    size_t count, room;
} Points;

typedef struct SweepCut {
    const TbSweep *sweep;
    const TbPiece *piece;
    bool outer;
    TbPlane plane;
    double tolerance;          /**< mm */
    const TbPartStrip *strips; /**< of its pieces, as its solid keeps them; or NULL */
    const TbPartStrip *strip;  /**< of the piece; or NULL */
    Points left, right;        /**< of the run that is being followed */
    TbCut *cut;
    int role;
} SweepCut;

/* ---- one section ---- */

static TbVec2
paper_point(const SweepCut *c, const TbDisc *disc, TbVec2 q)
{
    TbVec3 p = tb_vec3_add_scaled(disc->centre, q.x, disc->frame.w);

    return tb_plane_project(c->plane, tb_vec3_add_scaled(p, q.y, disc->frame.h));
}

static TbVec2
contact(const SweepCut *c, const TbDisc *disc, TbVec2 d)
{
    TbVec2 p;

    tb_slice_support(&disc->slice, d, c->outer, &p);
    return p;
}

/** @param hints where the chord's ends may be, left and right */
static Row
row_near(const SweepCut *c, double u, const TbCutEnd hints[2])
{
    /* a thousandth of TB_TOL_CUT, a tenth of what a screen is content with */
    double near = c->tolerance * c->tolerance;
    Row row = {.u = u, .disc = tb_piece_disc(c->piece, u)};
    const TbDisc *disc = &row.disc;
    double height = tb_plane_height(c->plane, disc->centre);
    TbVec2 rise = {tb_vec3_dot(c->plane.n, disc->frame.w), tb_vec3_dot(c->plane.n, disc->frame.h)};
    TbCutSection section = {&disc->slice, c->outer, height, rise, {0, 0}, {0, 0}};

    row.tilt = tb_vec2_length(rise);
    row.high = height + tb_slice_support(&disc->slice, rise, c->outer, &section.above);
    row.low =
        height - tb_slice_support(&disc->slice, tb_vec2_scale(rise, -1), c->outer, &section.below);
    if (row.high < -TB_TOL_ROUND)
        row.side = BELOW;
    else if (row.low > TB_TOL_ROUND || row.high - row.low <= 2 * TB_TOL_ROUND)
        row.side = ABOVE; /* a section in the plane counts as above, as a vertex does */
    else
        row.side = CROSSED;
    row.ends[0] = hints[0];
    row.ends[1] = hints[1];
    if (row.side == CROSSED) {
        row.left = paper_point(c, disc, tb_cut__chord_end(&section, 1, near, &row.ends[0]));
        row.right = paper_point(c, disc, tb_cut__chord_end(&section, -1, near, &row.ends[1]));
    }
    return row;
}

/** The next row after another one. */
static Row
row_after(const SweepCut *c, const Row *before, double u)
{
    return row_near(c, u, before->ends);
}

static Row
row_of(const SweepCut *c, double u)
{
    static const TbCutEnd nothing[2];

    return row_near(c, u, nothing);
}

/** The row at a share of the way between two. */
static Row
row_between(const SweepCut *c, const Row *a, const Row *b, double share)
{
    bool both = a->side == CROSSED && b->side == CROSSED;
    const Row *crossed = b->side == CROSSED ? b : a;
    TbCutEnd hints[2];

    for (int i = 0; i < 2; i++)
        hints[i] = both ? tb_cut__end_between(a->ends[i], b->ends[i], share) : crossed->ends[i];
    return row_near(c, a->u + share * (b->u - a->u), hints);
}

/* ---- loops ---- */

static TbStatus
push(Points *points, TbVec2 p, TbFault *fault)
{
    void *all = points->all;

    if (tb_grow_array(&all, &points->room, points->count, sizeof p) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for a cut of %zu points", points->count);
    points->all = all;
    points->all[points->count++] = p;
    return TB_OK;
}

static TbStatus
follow(SweepCut *c, const Row *row, TbFault *fault)
{
    TbStatus status = push(&c->left, row->left, fault);

    return status == TB_OK ? push(&c->right, row->right, fault) : status;
}

/** Ends the run: one loop of its left and right ends. */
static TbStatus
end_run(SweepCut *c, TbFault *fault)
{
    size_t first = c->cut->point_count;
    TbStatus status = TB_OK;

    for (size_t i = 0; i < c->left.count && status == TB_OK; i++)
        status = tb_cut__point(c->cut, first, c->left.all[i], fault);
    for (size_t i = c->right.count; i > 0 && status == TB_OK; i--)
        status = tb_cut__point(c->cut, first, c->right.all[i - 1], fault);
    if (status == TB_OK && c->left.count > 0)
        status =
            tb_cut__end(c->cut, first, c->outer ? TB_LOOP_OUTER : TB_LOOP_INNER, c->role, fault);
    c->left.count = 0;
    c->right.count = 0;
    return status;
}

/** Points of a section's outline after @p from up to @p to, right-handed about the path. The point
 * that reaches furthest beyond a chord is a point of the outline, and splits it. */
static TbStatus
outline_arc(SweepCut *c,
            size_t first,
            const TbDisc *disc,
            TbVec2 from,
            TbVec2 to,
            int depth,
            TbFault *fault)
{
    TbVec2 chord = tb_vec2_sub(to, from);
    double length = tb_vec2_length(chord);
    TbVec2 out = {-chord.y, chord.x}; /* the outline goes from h to w: clockwise in (w, h) */
    TbVec2 far_point = contact(c, disc, out);
    TbStatus status;

    if (length > TB_TOL_PLACE && depth > 0 &&
        tb_vec2_dot(out, tb_vec2_sub(far_point, from)) > c->tolerance * length) {
        status = outline_arc(c, first, disc, from, far_point, depth - 1, fault);
        if (status == TB_OK)
            status = outline_arc(c, first, disc, far_point, to, depth - 1, fault);
        return status;
    }
    return tb_cut__point(c->cut, first, paper_point(c, disc, to), fault);
}

static TbStatus
add_ring(SweepCut *c, const TbDisc *disc, TbFault *fault)
{
    static const TbVec2 side[4] = {{0, 1}, {1, 0}, {0, -1}, {-1, 0}};
    size_t first = c->cut->point_count;
    TbStatus status = TB_OK;

    for (int i = 0; i < 4 && status == TB_OK; i++)
        status = outline_arc(c, first, disc, contact(c, disc, side[i]),
                             contact(c, disc, side[(i + 1) % 4]), 30, fault);
    if (status == TB_OK)
        status =
            tb_cut__end(c->cut, first, c->outer ? TB_LOOP_OUTER : TB_LOOP_INNER, c->role, fault);
    return status;
}

/* ---- along the path ---- */

/** Of the strip between two rows: what bounds a whole piece bounds each part of it. */
static TbStripBound
bound_between(const SweepCut *c, const Row *a, const Row *b)
{
    TbStripBound bound;

    if (c->strip == NULL)
        return tb_strip_between(c->piece, a->u, b->u, a->disc, b->disc, c->outer).bound;
    bound = c->strip->strip.bound;
    bound.eighth = (b->u - a->u) * (b->u - a->u) / 8;
    bound.widening = bound.eighth * bound.stray;
    return bound;
}

/** Nothing of the strip between two rows on one side comes through the plane. */
static bool
stays(const SweepCut *c, const Row *a, const Row *b)
{
    bool is_below = a->side == BELOW;
    TbStripBound bound = bound_between(c, a, b);
    TbVec3 d = is_below ? c->plane.n : tb_vec3_neg(c->plane.n);
    double h0 = is_below ? a->high : -a->low;
    double h1 = is_below ? b->high : -b->low;
    double beyond = tb_strip_beyond(&bound, d, h0, h1);

    /* an island lower than the tolerance may go; see cut.h */
    return fmax(h0, h1) + beyond <= 0 || beyond <= c->tolerance / 2;
}

/** The point lies off the chord by more than that. */
static bool
strays(TbVec2 p, TbVec2 from, TbVec2 to, double near)
{
    TbVec2 chord = tb_vec2_sub(to, from);
    TbVec2 to_p = tb_vec2_sub(p, from);
    double length2 = tb_vec2_dot(chord, chord);
    double k = length2 > 0 ? fmax(0, fmin(1, tb_vec2_dot(to_p, chord) / length2)) : 0;

    return tb_vec2_length(tb_vec2_sub(to_p, tb_vec2_scale(chord, k))) > near;
}

/** The run's last chord lies so near its tip that the tip adds nothing. */
static bool
at_tip(const SweepCut *c, const Row *crossed, const Row *out)
{
    double left_over = out->side == BELOW ? crossed->high : -crossed->low;

    return left_over <= c->tolerance / 4 * crossed->tilt;
}

/** From a row to the next: what is between them, and the next row itself where it is crossed. */
static TbStatus
advance(SweepCut *c, const Row *a, const Row *b, int depth, TbFault *fault)
{
    double length = b->u - a->u;
    bool a_crossed = a->side == CROSSED;
    bool b_crossed = b->side == CROSSED;
    Row middle;
    TbStatus status;

    if (a->side == b->side && !a_crossed && (depth == 0 || stays(c, a, b)))
        return TB_OK;
    if (a_crossed && !b_crossed && (depth == 0 || at_tip(c, a, b)))
        return end_run(c, fault);
    if (b_crossed && !a_crossed && (depth == 0 || at_tip(c, b, a)))
        return follow(c, b, fault);
    if (a->side != b->side && !a_crossed && !b_crossed && (depth == 0 || length < TB_CUT_RING)) {
        middle = row_between(c, a, b, 0.5);
        return add_ring(c, &middle.disc, fault);
    }
    middle = row_between(c, a, b, TB_CUT_PROBE);
    if (a_crossed && b_crossed && middle.side == CROSSED &&
        (depth == 0 || (!strays(middle.left, a->left, b->left, c->tolerance) &&
                        !strays(middle.right, a->right, b->right, c->tolerance)))) {
        /* with the middle kept, what strays is about a quarter of that */
        status = follow(c, &middle, fault);
        return status == TB_OK ? follow(c, b, fault) : status;
    }
    status = advance(c, a, &middle, depth - 1, fault);
    return status == TB_OK ? advance(c, &middle, b, depth - 1, fault) : status;
}

/** Along one piece, in steps short enough to be looked at. */
static TbStatus
advance_piece(SweepCut *c, Row *row, double end, TbFault *fault)
{
    double from = row->u;
    int steps = (int)fmax(1, ceil((end - from) / TB_CUT_STEP));
    TbStatus status = TB_OK;

    for (int i = 1; i <= steps && status == TB_OK; i++) {
        Row next = row_after(c, row, i == steps ? end : from + (end - from) * i / steps);

        status = advance(c, row, &next, TB_CUT_DEPTH, fault);
        *row = next;
    }
    return status;
}

/** A sweep's end section that lies in the plane is the cut there, and the next of the sweep begins
 * a little inside. */
static bool
is_in_plane(const Row *row)
{
    return fmax(fabs(row->high), fabs(row->low)) <= TB_TOL_PLACE;
}

static void
take_piece(SweepCut *c, size_t index)
{
    c->piece = tb_sweep_piece(c->sweep, index);
    c->strip = c->strips == NULL ? NULL : &c->strips[index];
}

/** The piece may meet the plane. */
static bool
may_meet(const SweepCut *c)
{
    return c->strip == NULL ||
           fabs(tb_plane_height(c->plane, c->strip->centre)) <= c->strip->radius + TB_TOL_PLACE;
}

/** From piece to piece. @param row the first section, @param last the last one */
static TbStatus
walk_pieces(SweepCut *c, Row *row, bool ends_in_plane, TbFault *fault)
{
    size_t count = tb_sweep_piece_count(c->sweep);
    TbStatus status = TB_OK;
    bool follows = true; /* the row is where the piece begins */

    for (size_t i = 0; i < count && status == TB_OK; i++) {
        double end;

        take_piece(c, i);
        if (row->side != CROSSED && !may_meet(c)) {
            follows = false;
            continue;
        }
        /* the same section, now by the piece that begins there */
        if (i > 0)
            row->u = 0;
        if (!follows)
            *row = row_after(c, row, 0);
        if (!follows && row->side == CROSSED)
            status = follow(c, row, fault);
        follows = true;
        end = c->piece->extent;
        if (i + 1 == count && ends_in_plane)
            end = fmax(end - 2 * TB_TOL_PLACE, end / 2);
        if (status == TB_OK)
            status = advance_piece(c, row, end, fault);
    }
    return status;
}

static TbStatus
walk_sweep(SweepCut *c, TbFault *fault)
{
    TbStatus status = TB_OK;
    Row row;
    Row last;
    bool ends_in_plane;

    take_piece(c, tb_sweep_piece_count(c->sweep) - 1);
    last = row_of(c, c->piece->extent);
    ends_in_plane = is_in_plane(&last);
    take_piece(c, 0);
    row = row_of(c, 0);
    if (is_in_plane(&row)) {
        status = add_ring(c, &row.disc, fault);
        row = row_of(c, fmin(2 * TB_TOL_PLACE, c->piece->extent / 2));
    }
    if (status == TB_OK && row.side == CROSSED)
        status = follow(c, &row, fault);
    if (status == TB_OK)
        status = walk_pieces(c, &row, ends_in_plane, fault);
    if (status == TB_OK)
        status = end_run(c, fault);
    if (status == TB_OK && ends_in_plane)
        status = add_ring(c, &last.disc, fault);
    return status;
}

/** Somewhere between its given sections the sweep has a wall. */
static bool
has_wall(const TbSweep *sweep)
{
    const TbLaw *law = tb_sweep_law(sweep);

    for (size_t i = 0; i < tb_law_span_count(law); i++) {
        const double *wall = tb_law_span(law, i)->wall;

        if (wall[0] != 0 || wall[1] != 0 || wall[2] != 0 || wall[3] != 0)
            return true;
    }
    return false;
}

TbStatus
tb_cut__sweep(TbCut *cut,
              const TbSweep *sweep,
              const TbPartStrip strips[],
              bool hollow,
              TbPlane plane,
              double tolerance,
              int role,
              TbFault *fault)
{
    TbCutMark mark = tb_cut__mark(cut);
    SweepCut c = {.sweep = sweep,
                  .outer = true,
                  .plane = plane,
                  .tolerance = tolerance,
                  .strips = strips,
                  .cut = cut,
                  .role = role};
    TbStatus status = walk_sweep(&c, fault);

    if (status == TB_OK && hollow && has_wall(sweep)) {
        c.outer = false;
        status = walk_sweep(&c, fault);
    }
    if (status == TB_OK)
        status = tb_cut__nest(cut, mark, fault);
    if (status != TB_OK)
        tb_cut__back(cut, mark);
    tb_free(c.left.all);
    tb_free(c.right.all);
    return status;
}

TbStatus
tb_cut_add_sweep(
    TbCut *cut, const TbSweep *sweep, bool hollow, TbPlane plane, int role, TbFault *fault)
{
    return tb_cut__sweep(cut, sweep, NULL, hollow, plane, TB_TOL_CUT, role, fault);
}
