/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Cuts of rounded outlines. The body is all that lies within the rounding of its core, and the
 * distance to the core is exact, also where the core is not convex; so the cut is the set of points
 * of the plane at which that distance is below the rounding. A distance changes no faster than one
 * moves: a square whose middle is further from the surface than its corners are from the middle is
 * left out. What remains is a band of small squares; marching round them gives loops that close by
 * edge numbers, and chords are halved onto the true outline until they are within TB_TOL_CUT.
 */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/tol.h"

/** Halvings of the square around the cut; the finest squares are 1/256 of it. */
#define ROUNDED_LEVELS 8

/** Halvings with which the place of the cut is found first; then the square is drawn closer. */
#define ROUNDED_LOOK 5

/** Times the square is drawn closer: a cut that is 32^6 times smaller than the body is no cut. */
#define ROUNDED_LOOKS 6

typedef struct Square {
    TbVec2 low;
    double side;
} Square;

typedef struct RoundedCut {
    const TbPlain *plain;
    TbPlane plane;
    Square all;
    uint64_t cells;   /**< along a side, at the level that is walked */
    TbVec2 low, high; /**< of the squares met */
    TbCutSegments segments;
    TbCut *cut;
} RoundedCut;

static double
field(const RoundedCut *r, TbVec2 p)
{
    return tb_plain_distance(r->plain, tb_plane_lift(r->plane, p));
}

static TbVec2
corner(const RoundedCut *r, uint64_t i, uint64_t j)
{
    double step = r->all.side / (double)r->cells;

    return tb_vec2(r->all.low.x + step * (double)i, r->all.low.y + step * (double)j);
}

/* ---- marching ---- */

/** Number of the edge that leaves a corner along x (0) or y (1). */
static uint64_t
edge_number(const RoundedCut *r, uint64_t i, uint64_t j, unsigned way)
{
    return 2 * (j * (r->cells + 1) + i) + way;
}

static TbStatus
march(RoundedCut *r, uint64_t i, uint64_t j, double middle, TbFault *fault)
{
    const uint64_t edge[4] = {edge_number(r, i, j, 0), edge_number(r, i + 1, j, 1),
                              edge_number(r, i, j + 1, 0), edge_number(r, i, j, 1)};
    const bool inside[4] = {field(r, corner(r, i, j)) < 0, field(r, corner(r, i + 1, j)) < 0,
                            field(r, corner(r, i + 1, j + 1)) < 0,
                            field(r, corner(r, i, j + 1)) < 0};

    return tb_cut__square(&r->segments, inside, edge, middle < 0, fault);
}

/** Halves a square down to a level where the surface may pass; there marches, or notes it. */
static TbStatus
walk(RoundedCut *r, Square square, int levels, bool marching, TbFault *fault)
{
    double half = square.side / 2;
    TbVec2 centre = {square.low.x + half, square.low.y + half};
    double middle = field(r, centre);
    TbStatus status = TB_OK;

    if (fabs(middle) > half * M_SQRT2 + TB_TOL_ROUND)
        return TB_OK;
    if (levels == 0) {
        double step = r->all.side / (double)r->cells;

        r->low = tb_vec2(fmin(r->low.x, square.low.x), fmin(r->low.y, square.low.y));
        r->high = tb_vec2(fmax(r->high.x, square.low.x + square.side),
                          fmax(r->high.y, square.low.y + square.side));
        if (!marching)
            return TB_OK;
        return march(r, (uint64_t)llround((square.low.x - r->all.low.x) / step),
                     (uint64_t)llround((square.low.y - r->all.low.y) / step), middle, fault);
    }
    for (int k = 0; k < 4 && status == TB_OK; k++) {
        Square quarter = {{square.low.x + (k % 2) * half, square.low.y + (k / 2) * half}, half};

        status = walk(r, quarter, levels - 1, marching, fault);
    }
    return status;
}

/** Draws the square closer around the cut; false when the plane misses. */
static bool
find_square(RoundedCut *r)
{
    TbBox3 box = tb_plain_box(r->plain);
    TbVec2 centre = tb_plane_project(r->plane, tb_box3_centre(box));
    double side = tb_box3_diagonal(box);

    r->all = (Square){{centre.x - side / 2, centre.y - side / 2}, side};
    for (int i = 0; i < ROUNDED_LOOKS; i++) {
        r->cells = 1U << ROUNDED_LOOK;
        r->low = tb_vec2(INFINITY, INFINITY);
        r->high = tb_vec2(-INFINITY, -INFINITY);
        if (walk(r, r->all, ROUNDED_LOOK, false, NULL) != TB_OK || !(r->low.x <= r->high.x))
            return false;
        side = fmax(r->high.x - r->low.x, r->high.y - r->low.y);
        if (side > r->all.side / 2)
            break;
        /* odd shares: grid lines then seldom run along a side of the body */
        side *= 1.0316227766;
        r->all = (Square){{(r->low.x + r->high.x) / 2 - 0.5077 * side,
                           (r->low.y + r->high.y) / 2 - 0.5041 * side},
                          side * 1.0123};
    }
    return true;
}

/* ---- points ---- */

/** Between a point inside and one outside, the surface, to TB_TOL_ROUND. */
static TbVec2
between(const RoundedCut *r, TbVec2 inside, TbVec2 outside)
{
    while (tb_vec2_length(tb_vec2_sub(outside, inside)) > TB_TOL_ROUND) {
        TbVec2 middle = tb_vec2_scale(tb_vec2_add(inside, outside), 0.5);

        /* nothing between two neighbouring numbers */
        if ((middle.x == inside.x && middle.y == inside.y) ||
            (middle.x == outside.x && middle.y == outside.y))
            break;
        if (field(r, middle) < 0)
            inside = middle;
        else
            outside = middle;
    }
    return inside;
}

static bool
grid_point(void *user, uint64_t edge, TbVec2 *point)
{
    const RoundedCut *r = user;
    uint64_t i = edge / 2 % (r->cells + 1);
    uint64_t j = edge / 2 / (r->cells + 1);
    TbVec2 a = corner(r, i, j);
    TbVec2 b = edge % 2 == 0 ? corner(r, i + 1, j) : corner(r, i, j + 1);

    *point = field(r, a) < 0 ? between(r, a, b) : between(r, b, a);
    return true;
}

/** The point of the outline on the line through the middle of a chord, square to it; false when
 * there is none within the chord's length. */
static bool
over_middle(const RoundedCut *r, TbVec2 from, TbVec2 to, TbVec2 *point)
{
    TbVec2 middle = tb_vec2_scale(tb_vec2_add(from, to), 0.5);
    TbVec2 right = {to.y - from.y, from.x - to.x};
    double here = field(r, middle);
    double way = here < 0 ? 1 : -1; /* the body is on the left */

    for (double share = 1.0 / 64; share <= 1; share *= 2) {
        TbVec2 p = tb_vec2_add(middle, tb_vec2_scale(right, way * share));

        if ((field(r, p) < 0) != (here < 0)) {
            *point = here < 0 ? between(r, middle, p) : between(r, p, middle);
            return true;
        }
    }
    return false;
}

/** Points after @p from up to @p to. */
static TbStatus
add_arc(RoundedCut *r, size_t first, TbVec2 from, TbVec2 to, int depth, TbFault *fault)
{
    TbVec2 middle = tb_vec2_scale(tb_vec2_add(from, to), 0.5);
    TbVec2 on;
    TbStatus status;

    if (depth == 0 || tb_vec2_length(tb_vec2_sub(to, from)) < TB_TOL_CUT ||
        !over_middle(r, from, to, &on) || tb_vec2_length(tb_vec2_sub(on, middle)) < TB_TOL_CUT / 2)
        return tb_cut__point(r->cut, first, to, fault);
    status = add_arc(r, first, from, on, depth - 1, fault);
    if (status == TB_OK)
        status = add_arc(r, first, on, to, depth - 1, fault);
    return status;
}

static TbStatus
refine(RoundedCut *r, const TbCut *coarse, int role, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < coarse->loop_count && status == TB_OK; i++) {
        const TbLoop *loop = &coarse->loops[i];
        const TbVec2 *p = coarse->points + loop->first;
        size_t first = r->cut->point_count;

        for (size_t k = 0; k < loop->count && status == TB_OK; k++)
            status = add_arc(r, first, p[k], p[(k + 1) % loop->count], 24, fault);
        if (status == TB_OK)
            status = tb_cut__end(r->cut, first, TB_LOOP_OUTER, role, fault);
    }
    return status;
}

TbStatus
tb_cut__rounded(TbCut *cut, const TbPlain *plain, TbPlane plane, int role, TbFault *fault)
{
    RoundedCut r = {.plain = plain, .plane = plane, .cut = cut};
    TbCut coarse;
    TbStatus status;

    if (!find_square(&r))
        return TB_OK;
    tb_cut_init(&coarse);
    r.cells = 1U << ROUNDED_LEVELS;
    status = walk(&r, r.all, ROUNDED_LEVELS, true, fault);
    if (status == TB_OK)
        status = tb_cut__chain(&r.segments, grid_point, &r, &coarse, role, fault);
    if (status == TB_OK)
        status = refine(&r, &coarse, role, fault);
    tb_free(r.segments.all);
    tb_cut_clear(&coarse);
    return status;
}
