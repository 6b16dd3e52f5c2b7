/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/scan.h"

#include "base/mem.h"
#include "gaps/patch_private.h"
#include "gaps/scan_private.h"
#include "geom/tol.h"

#include <stdatomic.h>

/** Groups that one thread does in a row: a bound is carried from one to the next, and the blocks
 * are the same for any number of threads. */
#define BLOCK 8

/** A cold query looks at every so many rings and columns first; a row at so many columns. */
#define SAMPLE_RINGS 12
#define SAMPLE_COLUMNS 16
#define SAMPLE_ROW 8

/** mm. A cut that is no cut: nothing is as far, but what is missing (TB_NOWHERE) is further. */
#define MOST_CUT 1e16

/** Share of the width asked that a search works with. The rest is for a witness that is not quite
 * as near as what floats have foreseen, and for the rounding of a difference. */
#define WIDTH_USED 0.9
#define WIDTH_SPARE 0.099

/** Relative allowance for the roundings of a squared cut. */
#define ROUND_UP 1.000002

/** Size of the table of triangles that a row has met. */
#define SEEN_BITS 8

/** A direction out of a row's strip, from the scan to it, and how near to the scan it reaches. */
typedef struct Way {
    TbVec3 way;
    double reach;
    bool known;
} Way;

/** Times that a support point at each end of a strip is led to the triangle. */
#define POLISH_ROUNDS 2

/** Directions kept for a row. */
#define WAYS 4

/** What a walk works with. */
typedef struct Walk {
    TbScan scan;
    TbScanNear near[TB_LANES];
    double open[TB_LANES];                   /**< least bound of what was given up */
    Way way[TB_LANES][WAYS];                 /**< the nearest pair's, then the latest */
    uint32_t seen[TB_LANES][1 << SEEN_BITS]; /**< triangle + 1 */
    long looks;
    bool avx2;
} Walk;

/* ---- bounds ---- */

static void
set_cut(TbScan *scan, int lane)
{
    double upper = fmin(scan->upper[lane], scan->foreseen[lane]);
    double cut = fmax(0, upper - scan->width) + scan->slack;

    cut = cut < MOST_CUT ? cut : MOST_CUT;
    scan->cut[lane] = (float)(cut * ROUND_UP);
    scan->cut2[lane] = (float)(cut * cut * ROUND_UP * ROUND_UP);
}

static void
set_most(TbScan *scan)
{
    scan->most_cut = scan->cut[0];
    for (int lane = 1; lane < TB_LANES; lane++)
        if (scan->cut[lane] > scan->most_cut)
            scan->most_cut = scan->cut[lane];
}

/** A row is no further away than this, whoever says so. */
static void
foresee(TbScan *scan, int lane, double upper)
{
    int from = tb_scan__first(scan, lane), to = from + scan->together;

    for (int k = from; k < to; k++) {
        scan->foreseen[k] = upper;
        set_cut(scan, k);
    }
    set_most(scan);
}

void
tb_scan__foresee(TbScan *scan, const TbScanPair *pair, float distance2)
{
    double upper = (sqrt((double)distance2) + scan->slack) * ROUND_UP;

    if (!(upper < scan->foreseen[pair->lane]))
        return;
    foresee(scan, pair->lane, upper);
    scan->hint[tb_scan__first(scan, pair->lane)] = *pair;
}

void
tb_scan__lower(TbScan *scan, int lane, double upper)
{
    int from = tb_scan__first(scan, lane), to = from + scan->together;

    for (int k = from; k < to; k++) {
        scan->upper[k] = upper;
        set_cut(scan, k);
    }
    set_most(scan);
}

/** The nearest first: most of the others need not be looked at then. */
void
tb_scan__settle_kept(TbScan *scan, int lane)
{
    TbScanPair *kept = scan->kept[lane];
    int count = scan->kept_count[lane], nearest = 0;

    for (int i = 1; i < count; i++)
        if (kept[i].distance2 < kept[nearest].distance2)
            nearest = i;
    if (count > 0 && tb_scan__matters(scan, &kept[nearest]))
        scan->settle(scan, &kept[nearest]);
    for (int i = 0; i < count; i++)
        if (i != nearest && tb_scan__matters(scan, &kept[i]))
            scan->settle(scan, &kept[i]);
    scan->kept_count[lane] = 0;
}

void
tb_scan__make_room(TbScan *scan, int lane)
{
    TbScanPair *kept = scan->kept[lane];
    int left = 0;

    for (int i = 0; i < scan->kept_count[lane]; i++)
        if (tb_scan__matters(scan, &kept[i]))
            kept[left++] = kept[i];
    scan->kept_count[lane] = left;
    if (left > TB_SCAN_KEPT / 2)
        tb_scan__settle_kept(scan, lane);
}

static void
walk_rows(Walk *walk)
{
    if (walk->avx2)
        tb_scan__walk_avx2(&walk->scan);
    else
        tb_scan__walk_plain(&walk->scan);
}

static void
look_near(Walk *walk, int lane, uint32_t column, uint32_t triangle)
{
    if (walk->avx2)
        tb_scan__near_avx2(&walk->scan, lane, column, triangle / TB_LANES);
    else
        tb_scan__near_plain(&walk->scan, lane, column, triangle / TB_LANES);
}

/* ---- flat patches ---- */

static void
patch_corners(const TbLattice *lattice, size_t row, uint32_t column, TbVec3 patch[4])
{
    const TbVec3 *low = lattice->ring + lattice->row[row].low * lattice->columns;
    const TbVec3 *high = lattice->ring + lattice->row[row].high * lattice->columns;
    size_t next = (column + 1) % lattice->columns;

    patch[0] = low[column];
    patch[1] = low[next];
    patch[2] = high[next];
    patch[3] = high[column];
}

static TbScanNear *
near_of(TbScan *scan, int lane)
{
    Walk *walk = scan->user;

    return &walk->near[tb_scan__first(scan, lane)];
}

/** True where the way between the best two points tells the pair apart too: neighbours that share a
 * corner with them are most of what is kept. */
static bool
is_behind(const TbScanNear *best, const TbVec3 patch[4], const TbVec3 t[3])
{
    TbVec3 d = tb_vec3_sub(best->point_a, best->point_b);
    double a = INFINITY, b = -INFINITY;

    for (int k = 0; k < 4; k++) {
        double x = tb_vec3_dot(d, patch[k]);
        a = x < a ? x : a;
    }
    for (int k = 0; k < 3; k++) {
        double x = tb_vec3_dot(d, t[k]);
        b = x > b ? x : b;
    }
    /* d is as long as the best distance is large */
    return best->upper > 0 && a - b >= (best->upper - TB_TOL_ROUND) * best->upper;
}

/** A row's nearest points have changed. */
static void
set_way(TbScan *scan, int lane, const TbScanNear *near)
{
    TbVec3 d = tb_vec3_sub(near->point_a, near->point_b);
    double length = tb_vec3_length(d);
    TbScanWays *ways = &scan->ways;

    if (scan->together == TB_LANES)
        return;
    d = length > 0 ? tb_vec3_scale(d, 1 / length) : tb_vec3(0, 0, 0);
    ways->newest[0][lane] = (float)d.x;
    ways->newest[1][lane] = (float)d.y;
    ways->newest[2][lane] = (float)d.z;
    ways->stale |= 1u << lane;
}

static void
settle_flat(TbScan *scan, const TbScanPair *pair)
{
    const TbLattice *lattice = scan->lattice;
    size_t row = scan->group * TB_LANES + pair->lane;
    TbScanNear *best = near_of(scan, pair->lane);
    TbVec3 patch[4], t[3];
    TbNearest found;

    patch_corners(lattice, row, pair->column, patch);
    tb_mesh_corners(tb_tree_mesh(scan->tree), pair->triangle, t);
    if (best->row != UINT32_MAX && is_behind(best, patch, t))
        return;
    found = tb_patch__nearest(patch, t);
    if (!(found.distance < scan->upper[pair->lane]))
        return;
    *best = (TbScanNear){.lower = found.distance,
                         .upper = found.distance,
                         .point_a = found.a,
                         .point_b = found.b,
                         .row = (uint32_t)row,
                         .column = pair->column,
                         .triangle = pair->triangle};
    set_way(scan, pair->lane, best);
    tb_scan__lower(scan, pair->lane, found.distance);
}

/* ---- the true sweep ---- */

/** One strip, or a part of one, against one triangle. */
typedef struct Strip {
    TbScan *scan;
    const TbScanPair *pair;
    TbConvex triangle;
    TbVec3 corner[3];
    size_t row;
} Strip;

/** A strip is halved at most so often: below any width that can be asked. */
#define DEEPEST 40

/** Shares of the width to which separations are iterated; the rest is for the strip. */
#define HULL_SHARE 0.125
#define WITNESS_SHARE 0.05

/** mm. Evaluated bodies nearer than this meet: both ends carry one rounding. */
#define MEETS (2 * TB_TOL_ROUND)

/** What a pair must reach to be let go. */
static double
cut_of(const TbScan *scan, int lane)
{
    return fmax(0, fmin(scan->upper[lane], scan->foreseen[lane]) - scan->width);
}

/** True where it is the nearest so far. */
static bool
take_witness(Strip *s, double station, TbVec3 a, TbVec3 b, double upper)
{
    TbScan *scan = s->scan;
    TbScanNear *best = near_of(scan, s->pair->lane);

    if (!(upper < scan->upper[s->pair->lane]))
        return false;
    *best = (TbScanNear){.upper = upper,
                         .point_a = a,
                         .point_b = b,
                         .row = (uint32_t)s->row,
                         .column = s->pair->column,
                         .triangle = s->pair->triangle,
                         .station = station};
    set_way(scan, s->pair->lane, best);
    tb_scan__lower(scan, s->pair->lane, upper);
    return true;
}

/** The point of an evaluated section that is furthest out along a direction that tells the two
 * apart: on a round section it is the nearest one, nearly, and costs a tenth of a separation. */
static bool
point_witness(Strip *s, const TbDisc *disc, TbVec3 way)
{
    TbVec3 contact;
    TbNearest near;

    tb_disc_support(disc, tb_vec3_neg(way), true, &contact);
    near = tb_point_triangle(contact, s->corner);
    return near.distance > MEETS &&
           take_witness(s, disc->station, near.a, near.b, near.distance + TB_TOL_ROUND);
}

/** An evaluated section against the triangle: an upper bound, and its two points. */
static TbSeparation
witness(Strip *s, const TbDisc *disc, TbVec3 way)
{
    TbScan *scan = s->scan;
    TbConvex body = tb_convex_of_disc(disc, true);
    TbSeparation found =
        tb_convex_separation(&body, &s->triangle, way, INFINITY, WITNESS_SHARE * scan->width);
    double upper = found.distance <= MEETS ? 0 : found.distance + TB_TOL_ROUND;

    take_witness(s, disc->station, found.point_a, found.point_b, upper);
    return found;
}

/** A direction of the row that told a triangle apart, and how far the row reaches along it. */
static void
remember_way(Walk *walk, int lane, TbVec3 way, double reach)
{
    Way *ways = walk->way[lane];

    memmove(ways + 2, ways + 1, (WAYS - 2) * sizeof *ways);
    ways[1] = (Way){way, reach, true};
}

static double
reach_along(const TbVec3 corner[3], TbVec3 d)
{
    return fmax(fmax(tb_vec3_dot(d, corner[0]), tb_vec3_dot(d, corner[1])),
                tb_vec3_dot(d, corner[2]));
}

/** True where a remembered direction is enough: three dot products. */
static bool
is_told_apart(const Walk *walk, const Strip *s)
{
    const Way *ways = walk->way[s->pair->lane];
    double cut = cut_of(s->scan, s->pair->lane) + TB_TOL_ROUND;

    for (int i = 0; i < WAYS; i++)
        if (ways[i].known && ways[i].reach - reach_along(s->corner, ways[i].way) >= cut)
            return true;
    return false;
}

static void
open_end(Walk *walk, int lane, double lower)
{
    int at = tb_scan__first(&walk->scan, lane);

    walk->open[at] = fmin(walk->open[at], lower);
}

/** The section of a strip between its ends. */
static TbDisc
station_of(const TbStrip *strip, double share)
{
    if (share <= 0)
        return strip->disc0;
    if (share >= 1)
        return strip->disc1;
    return tb_piece_disc(strip->piece, strip->u0 + share * (strip->u1 - strip->u0));
}

static void
look_at_strip(Strip *s, const TbStrip *strip, TbVec3 way, int depth)
{
    TbScan *scan = s->scan;
    Walk *walk = scan->user;
    int lane = s->pair->lane;
    TbConvex body = tb_strip_convex(strip, true);
    TbSeparation found = tb_convex_separation(
        &body, &s->triangle, way, cut_of(scan, lane) + TB_TOL_ROUND, HULL_SHARE * scan->width);
    double lower = found.lower - TB_TOL_ROUND, middle;
    TbDisc disc;
    TbStrip half;

    walk->looks++;
    if (depth == 0)
        remember_way(walk, lane, found.direction,
                     found.lower + reach_along(s->corner, found.direction));
    if (lower >= cut_of(scan, lane))
        return;
    disc = station_of(strip, found.share_a[1]);
    if (point_witness(s, &disc, found.direction) && depth == 0)
        walk->way[lane][0] = walk->way[lane][1];
    if (lower >= cut_of(scan, lane))
        return;
    witness(s, &disc, found.direction);
    if (lower >= cut_of(scan, lane))
        return;
    if (depth == DEEPEST || !(scan->upper[lane] > 0)) {
        open_end(walk, lane, lower);
        return;
    }
    middle = 0.5 * (strip->u0 + strip->u1);
    disc = tb_piece_disc(strip->piece, middle);
    half = tb_strip_between(strip->piece, strip->u0, middle, strip->disc0, disc, true);
    look_at_strip(s, &half, found.direction, depth + 1);
    half = tb_strip_between(strip->piece, middle, strip->u1, disc, strip->disc1, true);
    look_at_strip(s, &half, found.direction, depth + 1);
}

/** A filled section is exact: its separation decides, one way or the other. */
static void
look_at_section(Strip *s, const TbDisc *disc, TbVec3 way)
{
    TbScan *scan = s->scan;
    Walk *walk = scan->user;
    int lane = s->pair->lane;
    TbConvex body = tb_convex_of_disc(disc, true);
    TbSeparation found = tb_convex_separation(
        &body, &s->triangle, way, cut_of(scan, lane) + TB_TOL_ROUND, HULL_SHARE * scan->width);
    double lower = found.lower - TB_TOL_ROUND;

    walk->looks++;
    remember_way(walk, lane, found.direction,
                 found.lower + reach_along(s->corner, found.direction));
    if (lower >= cut_of(scan, lane))
        return;
    if (point_witness(s, disc, found.direction))
        walk->way[lane][0] = walk->way[lane][1];
    if (lower >= cut_of(scan, lane))
        return;
    found = witness(s, disc, found.direction);
    lower = fmax(lower, found.lower - TB_TOL_ROUND);
    if (lower < cut_of(scan, lane))
        open_end(walk, lane, lower);
}

/** Each row meets each triangle once; the table forgets, and is then only slower. */
static bool
was_seen(Walk *walk, int lane, uint32_t triangle)
{
    uint32_t *seen = &walk->seen[lane][(triangle * UINT32_C(2654435761)) >> (32 - SEEN_BITS)];
    bool was = *seen == triangle + 1;

    *seen = triangle + 1;
    return was;
}

/**
 * Foot of a point on a ring near a column, from its tangents: where the way to the point is square
 * to the tangent, both taken as linear from one column to the next. Unlike a walk to and fro it
 * does not mind that the outline is rounder than the point is far.
 */
static TbVec3
foot_on_ring(const TbLattice *lattice, uint32_t ring, uint32_t column, TbVec3 q)
{
    const TbVec3 *points = lattice->ring + ring * lattice->columns;
    TbVec3 a = points[column], b = points[(column + 1) % lattice->columns];
    TbVec3 u = lattice->meeting[ring * lattice->columns + column];
    double at_a = tb_vec3_dot(tb_vec3_sub(q, a), tb_vec3_unit(tb_vec3_sub(u, a)));
    double at_b = tb_vec3_dot(tb_vec3_sub(q, b), tb_vec3_unit(tb_vec3_sub(b, u)));
    double s = at_a > at_b ? at_a / (at_a - at_b) : 0.5;

    return tb_vec3_mix(a, b, s < 0 ? 0 : s > 1 ? 1 : s);
}

/** From a triangle to a patch: a first direction, good to the second order of a patch's size. */
static TbVec3
way_from_patch(const TbLattice *lattice,
               const TbLatticeRow *row,
               uint32_t column,
               const TbVec3 corner[3])
{
    const TbVec3 *low = lattice->ring + row->low * lattice->columns;
    const TbVec3 *high = lattice->ring + row->high * lattice->columns;
    TbVec3 middle = tb_vec3_mix(low[column], high[(column + 1) % lattice->columns], 0.5);
    TbVec3 q = tb_point_triangle(middle, corner).b, p, along;
    double length2, k;

    if (row->flat_end)
        return tb_vec3_sub(foot_on_ring(lattice, row->low, column, q), q);
    p = foot_on_ring(lattice, row->low, column, q);
    along = tb_vec3_sub(foot_on_ring(lattice, row->high, column, q), p);
    length2 = tb_vec3_length2(along);
    k = length2 > 0 ? tb_vec3_dot(tb_vec3_sub(q, p), along) / length2 : 0;
    p = tb_vec3_add_scaled(p, k < 0 ? 0 : k > 1 ? 1 : k, along);
    return tb_vec3_sub(p, q);
}

static void
settle_swept(TbScan *scan, const TbScanPair *pair)
{
    Walk *walk = scan->user;
    const TbLattice *lattice = scan->lattice;
    Strip s = {.scan = scan, .pair = pair, .row = scan->group * TB_LANES + pair->lane};
    const TbLatticeRow *row = &lattice->row[s.row];
    TbVec3 way;

    if (was_seen(walk, pair->lane, pair->triangle))
        return;
    tb_mesh_corners(tb_tree_mesh(scan->tree), pair->triangle, s.corner);
    if (is_told_apart(walk, &s))
        return;
    s.triangle = tb_convex_of_triangle(s.corner);
    way = way_from_patch(lattice, row, pair->column, s.corner);
    if (row->flat_end) {
        look_at_section(&s, &lattice->disc[row->low], way);
        return;
    }
    look_at_strip(&s, &lattice->strip[s.row], way, 0);
}

/** Whether a row's witness is as near as what floats foresaw, but for the width's spare share. */
static bool
is_polished(const TbScan *scan, int lane)
{
    return scan->upper[lane] <= scan->foreseen[lane] + WIDTH_SPARE / WIDTH_USED * scan->width;
}

/** Support points of one or two sections, each along the way from the last one to the triangle. */
static void
polish_ends(Strip *s, const TbDisc *const end[], int ends, TbVec3 way)
{
    for (int i = 0; i < ends * POLISH_ROUNDS; i++) {
        const TbScanNear *best = near_of(s->scan, s->pair->lane);

        if (!point_witness(s, end[i % ends], way))
            continue;
        if (is_polished(s->scan, s->pair->lane))
            return;
        way = tb_vec3_unit(tb_vec3_sub(best->point_a, best->point_b));
    }
}

/** The ends of a row's strip, or its section. @return how many */
static int
ends_of(const TbLattice *lattice, size_t row, const TbDisc *end[2])
{
    if (lattice->row[row].flat_end) {
        end[0] = &lattice->disc[lattice->row[row].low];
        return 1;
    }
    end[0] = &lattice->strip[row].disc0;
    end[1] = &lattice->strip[row].disc1;
    return 2;
}

/** The pair that floats foresaw, evaluated to its end: a bound may be had before there is a witness
 * to match. */
static void
polish(Walk *walk, int lane, bool to_the_end)
{
    TbScan *scan = &walk->scan;
    const TbScanPair *pair = &scan->hint[lane];
    const TbLattice *lattice = scan->lattice;
    Strip s = {.scan = scan, .pair = pair, .row = scan->group * TB_LANES + pair->lane};
    const TbLatticeRow *row = &lattice->row[s.row];
    const TbStrip *strip = &lattice->strip[s.row];
    const TbDisc *end[2];
    int ends = ends_of(lattice, s.row, end);
    TbSeparation found;
    TbConvex body;
    TbVec3 way;
    TbDisc disc;

    tb_mesh_corners(tb_tree_mesh(scan->tree), pair->triangle, s.corner);
    way = way_from_patch(lattice, row, pair->column, s.corner);
    if (tb_vec3_length2(way) > 0)
        polish_ends(&s, end, ends, tb_vec3_unit(way));
    if (is_polished(scan, lane) || !to_the_end)
        return;
    s.triangle = tb_convex_of_triangle(s.corner);
    if (row->flat_end) {
        witness(&s, end[0], way);
        return;
    }
    body = tb_strip_convex(strip, true);
    found = tb_convex_separation(&body, &s.triangle, way, INFINITY, HULL_SHARE * scan->width);
    disc = station_of(strip, found.share_a[1]);
    witness(&s, &disc, found.direction);
}

/** The direction of the pair that floats foresaw: one support of the row's solid, and it tells most
 * triangles apart. */
static void
lead_on(Walk *walk, int lane, size_t row)
{
    const TbLattice *lattice = walk->scan.lattice;
    const TbScanNear *near = near_of(&walk->scan, lane);
    TbConvex body = lattice->row[row].flat_end
                        ? tb_convex_of_disc(&lattice->disc[lattice->row[row].low], true)
                        : tb_strip_convex(&lattice->strip[row], true);
    TbSupport support;
    TbVec3 way;

    polish(walk, lane, false);
    way = tb_vec3_sub(near->point_a, near->point_b);
    if (near->row == UINT32_MAX || !(tb_vec3_length2(way) > 0))
        return;
    way = tb_vec3_unit(way);
    support = tb_convex_support(&body, tb_vec3_neg(way));
    for (int k = lane; k < lane + walk->scan.together; k++)
        walk->way[k][0] = (Way){way, -support.reach - support.beyond, true};
}

static void
walk_group(Walk *walk)
{
    TbScan *scan = &walk->scan;

    walk_rows(walk);
    for (int lane = 0; lane < TB_LANES && scan->lattice->swept; lane += scan->together)
        if (!is_polished(scan, lane))
            polish(walk, lane, true);
}

/* ---- beginnings ---- */

/** Largest coordinate of a scan, mm. */
static float
furthest_of(const TbTree *tree)
{
    TbBox3 box = tb_mesh_box(tb_tree_mesh(tree));
    double x = fmax(fabs(box.low.x), fabs(box.high.x)), y = fmax(fabs(box.low.y), fabs(box.high.y));
    double z = fmax(fabs(box.low.z), fabs(box.high.z));

    return (float)fmax(x, fmax(y, z));
}

static void
start_walk(Walk *walk, const TbScanAsk *ask, int together)
{
    TbScan *scan = &walk->scan;

    scan->lattice = ask->lattice;
    scan->tree = ask->tree;
    scan->together = together;
    scan->width = ask->lattice->swept ? WIDTH_USED * fmax(ask->width, TB_GAP_WIDTH_LEAST) : 0;
    scan->slack = (double)(TB_SCAN_CORNER * ask->lattice->furthest);
    scan->ways.slack = TB_SCAN_ALONG * fmaxf(ask->lattice->furthest, furthest_of(ask->tree));
    scan->settle = ask->lattice->swept ? settle_swept : settle_flat;
    scan->user = walk;
    walk->avx2 = tb_lanes_in_use() == TB_LANES_AVX2;
}

/** Bounds of a group's rows, all as far as is asked. */
static void
start_group(Walk *walk, size_t group, double beyond)
{
    TbScan *scan = &walk->scan;

    scan->group = group;
    for (int lane = 0; lane < TB_LANES; lane++) {
        bool there = group * TB_LANES + (size_t)lane < scan->lattice->rows;

        scan->upper[lane] = scan->foreseen[lane] = there || scan->together == TB_LANES ? beyond : 0;
        set_cut(scan, lane);
        walk->near[lane] = (TbScanNear){.upper = beyond, .row = UINT32_MAX};
        walk->open[lane] = INFINITY;
        memset(walk->way[lane], 0, sizeof walk->way[lane]);
    }
    set_most(scan);
    memset(scan->ways.newest, 0, sizeof scan->ways.newest);
    scan->ways.stale = (1u << TB_LANES) - 1;
    memset(walk->seen, 0, sizeof walk->seen);
}

/** A point of the surface and one of the scan: an upper bound. */
static void
take_point(Walk *walk,
           int lane,
           size_t row,
           size_t ring,
           size_t column,
           uint32_t triangle,
           TbNearest nearest)
{
    TbScan *scan = &walk->scan;
    double upper = nearest.distance + (scan->lattice->swept ? TB_TOL_ROUND : 0);

    if (!(upper < scan->upper[lane]))
        return;
    *near_of(scan, lane) = (TbScanNear){.upper = upper,
                                        .point_a = nearest.a,
                                        .point_b = nearest.b,
                                        .row = (uint32_t)row,
                                        .column = (uint32_t)column,
                                        .triangle = triangle};
    if (scan->lattice->swept)
        near_of(scan, lane)->station = scan->lattice->disc[ring].station;
    set_way(scan, lane, near_of(scan, lane));
    tb_scan__lower(scan, lane, upper);
}

/** The corners of a row about a column against one triangle. */
static void
try_corners(Walk *walk, int lane, size_t row, uint32_t column, uint32_t triangle)
{
    const TbLattice *lattice = walk->scan.lattice;
    TbVec3 t[3];

    tb_mesh_corners(tb_tree_mesh(walk->scan.tree), triangle, t);
    for (size_t k = lattice->columns - 1; k <= lattice->columns + 1; k++) {
        size_t at = (column + k) % lattice->columns, ring = lattice->row[row].low;

        take_point(walk, lane, row, ring, at, triangle,
                   tb_point_triangle(lattice->ring[ring * lattice->columns + at], t));
    }
}

/** Every so many corners of a row against the whole scan. */
static void
sample_row(Walk *walk, int lane, size_t row, size_t step)
{
    const TbLattice *lattice = walk->scan.lattice;
    size_t ring = lattice->row[row].low;

    for (size_t k = 0; k < lattice->columns; k += step) {
        TbTreeHit hit = tb_tree_nearest(walk->scan.tree, lattice->ring[ring * lattice->columns + k],
                                        walk->scan.upper[lane]);

        if (hit.place != UINT32_MAX)
            take_point(walk, lane, row, ring, k, hit.place, hit.nearest);
    }
}

/** What is certain of a row once its walk is over. */
static TbScanNear
finish(const Walk *walk, int lane, double beyond)
{
    TbScanNear near = walk->near[lane];
    const TbScan *scan = &walk->scan;

    if (near.row == UINT32_MAX) {
        near.lower = fmax(0, beyond - scan->width);
        near.upper = INFINITY;
        return near;
    }
    near.lower = scan->lattice->swept ? cut_of(scan, lane) : near.upper;
    if (walk->open[lane] < near.lower) {
        near.lower = fmax(0, walk->open[lane]);
        near.exhausted = near.upper - near.lower > scan->width;
    }
    return near;
}

/* ---- the least ---- */

/** Some points of every few rings, each given up where it is no nearer than the best so far. */
static void
sample_all(Walk *walk)
{
    for (size_t row = 0; row < walk->scan.lattice->rows; row += SAMPLE_RINGS)
        sample_row(walk, 0, row, SAMPLE_COLUMNS);
}

/** The place that was nearest in the last frame: a good bound to begin with. */
static void
look_at_last(Walk *walk, const TbScanNear *last)
{
    size_t rows = walk->scan.lattice->rows, first = last->row > 0 ? last->row - 1 : 0;

    for (size_t row = first; row <= last->row + 1 && row < rows; row++) {
        try_corners(walk, 0, row, last->column, last->triangle);
        walk->scan.group = row / TB_LANES;
        look_near(walk, (int)(row % TB_LANES), last->column, last->triangle);
    }
}

static TbStatus
walk_all(Walk *walk, double enough, size_t first, TbTask *task)
{
    size_t groups = walk->scan.lattice->groups;

    for (size_t i = 0; i < groups; i++) {
        /* the most promising group first, then the others in their order */
        size_t group = i == 0 ? first : i <= first ? i - 1 : i;

        if (tb_task_is_cancelled(task))
            return TB_E_CANCELLED;
        if (walk->scan.upper[0] < enough)
            break;
        walk->scan.group = group;
        for (int lane = 0; lane < TB_LANES; lane++)
            memset(walk->way[lane], 0, sizeof walk->way[lane]);
        memset(walk->seen, 0, sizeof walk->seen);
        walk_group(walk);
    }
    return TB_OK;
}

/** The last frame's place again, where it still is as good as the nearest. */
static void
stay(const Walk *walk, const TbScanNear *last, TbScanNear *least)
{
    const TbLattice *lattice = walk->scan.lattice;
    TbVec3 patch[4], t[3];
    TbNearest kept;

    if (lattice->swept || last->row >= lattice->rows)
        return;
    patch_corners(lattice, last->row, last->column, patch);
    tb_mesh_corners(tb_tree_mesh(walk->scan.tree), last->triangle, t);
    kept = tb_patch__nearest(patch, t);
    if (kept.distance > least->upper + TB_SCAN_STAY)
        return;
    least->upper = kept.distance;
    least->lower = fmin(least->lower, kept.distance);
    least->point_a = kept.a;
    least->point_b = kept.b;
    least->row = last->row;
    least->column = last->column;
    least->triangle = last->triangle;
}

TbStatus
tb_scan_least(const TbScanAsk *ask, const TbScanNear *last, TbTask *task, TbScanNear *least)
{
    Walk *walk = tb_alloc(sizeof *walk);
    double beyond = ask->beyond;
    bool known = last != NULL && last->row < ask->lattice->rows;
    size_t first = 0;
    TbStatus status;

    if (walk == NULL)
        return TB_E_MEMORY;
    start_walk(walk, ask, TB_LANES);
    if (ask->enough > 0)
        beyond = fmin(beyond, ask->enough + walk->scan.width);
    start_group(walk, 0, beyond);
    if (known)
        look_at_last(walk, last);
    else
        sample_all(walk);
    if (walk->near[0].row != UINT32_MAX)
        first = walk->near[0].row / TB_LANES;
    status = walk_all(walk, ask->enough, first, task);
    if (status == TB_OK) {
        *least = finish(walk, 0, beyond);
        if (walk->scan.upper[0] < ask->enough)
            least->lower = 0; /* others have not been looked at */
        if (known && least->row != UINT32_MAX)
            stay(walk, last, least);
    }
    tb_free(walk);
    return status;
}

/* ---- row by row ---- */

typedef struct Job {
    const TbScanAsk *ask;
    TbTask *task;
    TbScanNear *rows;
    atomic_int status;
} Job;

/** Where a row's neighbour was nearest. */
typedef struct Start {
    bool known;
    double upper; /**< mm */
    uint32_t column, triangle;
} Start;

static Start
start_of(const Walk *walk, int lane)
{
    const TbScan *scan = &walk->scan;
    int first = tb_scan__first(scan, lane);
    const TbScanNear *near = &walk->near[first];

    if (scan->foreseen[first] < scan->upper[first])
        return (Start){true, scan->foreseen[first], scan->hint[first].column,
                       scan->hint[first].triangle};
    return (Start){near->row != UINT32_MAX, near->upper, near->column, near->triangle};
}

/** Bounds to begin with: what the neighbour says, or samples where there is none. A flat row begins
 * at the ring where its neighbour ends, to which is no further than across the neighbour. */
static Start
start_rows(Walk *walk, size_t group, Start last)
{
    const TbLattice *lattice = walk->scan.lattice;

    for (int lane = 0; lane < TB_LANES && group * TB_LANES + (size_t)lane < lattice->rows;
         lane += walk->scan.together) {
        size_t row = group * TB_LANES + (size_t)lane;
        double far =
            !lattice->swept && row > 0 ? lattice->step[row - 1] + last.upper : (double)INFINITY;

        if (!last.known)
            sample_row(walk, lane, row, SAMPLE_ROW);
        else if (far * ROUND_UP < walk->scan.foreseen[lane])
            foresee(&walk->scan, lane, far * ROUND_UP);
        else
            try_corners(walk, lane, row, last.column, last.triangle);
        if (!last.known)
            last = start_of(walk, lane);
        if (!last.known)
            continue;
        walk->scan.hint[lane] = (TbScanPair){
            .triangle = last.triangle, .column = (uint16_t)last.column, .lane = (uint8_t)lane};
        look_near(walk, lane, last.column, last.triangle);
        if (lattice->swept)
            lead_on(walk, lane, row);
        last = start_of(walk, lane);
    }
    return last;
}

static void
run_block(Walk *walk, Job *job, size_t from, size_t to)
{
    const TbLattice *lattice = job->ask->lattice;
    Start last = {.known = false};

    for (size_t group = from; group < to && !tb_task_is_cancelled(job->task); group++) {
        start_group(walk, group, job->ask->beyond);
        last = start_rows(walk, group, last);
        walk_group(walk);
        for (int lane = 0; lane < TB_LANES; lane++) {
            size_t row = group * TB_LANES + (size_t)lane;

            if (row >= lattice->rows)
                break;
            job->rows[row] = finish(walk, tb_scan__first(&walk->scan, lane), job->ask->beyond);
            last = start_of(walk, lane);
        }
    }
}

static void
run_blocks(void *data, size_t from, size_t to, int worker)
{
    Job *job = data;
    size_t groups = job->ask->lattice->groups;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        Walk *walk = tb_alloc(sizeof *walk);

        if (walk == NULL) {
            atomic_store(&job->status, TB_E_MEMORY);
            return;
        }
        start_walk(walk, job->ask, job->ask->lattice->sections ? 2 : 1);
        run_block(walk, job, i * BLOCK, (i + 1) * BLOCK < groups ? (i + 1) * BLOCK : groups);
        tb_free(walk);
    }
}

TbStatus
tb_scan_rows(const TbScanAsk *ask, TbWork *work, TbTask *task, TbScanNear rows[])
{
    Job job = {.ask = ask, .task = task, .rows = rows};
    TbStatus status;

    atomic_init(&job.status, TB_OK);
    status =
        tb_work_for(work, task, (ask->lattice->groups + BLOCK - 1) / BLOCK, 1, run_blocks, &job);
    if (status == TB_OK)
        status = (TbStatus)atomic_load(&job.status);
    if (status == TB_OK && tb_task_is_cancelled(task))
        status = TB_E_CANCELLED;
    return status;
}
