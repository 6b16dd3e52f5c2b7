/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Settling pairs of a swept lattice: the true strip or filled section of a row against a triangle.
 * What a pair is worth is decided by separations of convex bodies; patches only say where to begin.
 */
#include "gaps/scan_walk_private.h"
#include "geom/carried.h"

/** Times that a support point at each end of a strip is led to the triangle. */
#define POLISH_ROUNDS 2

/** A strip is halved at most so often: below any width that can be asked. */
#define DEEPEST 40

/** The same where the bound is below the width: that is all that is asked then, nothing can be less
 * than 0 apart, and halving only looks for a place where the two meet. A triangle that grazes a
 * strip has none, and would be halved into 2^DEEPEST crumbs. */
#define DEEPEST_TOUCHING 6

/** Shares of the width to which separations are iterated; the rest is for the strip. */
#define HULL_SHARE 0.125
#define WITNESS_SHARE 0.05

/** mm. Evaluated bodies nearer than this meet: both ends carry one rounding. */
#define MEETS (2 * TB_TOL_ROUND)

/** One strip, or a part of one, against one triangle. */
typedef struct Strip {
    TbScan *scan;
    const TbScanPair *pair;
    TbConvex triangle;
    TbVec3 corner[3];
    size_t row;
    double turn; /**< rocking: at which sections are evaluated, rad */
} Strip;

/** True where it is the nearest so far. */
static bool
take_witness(const Strip *s, double station, TbVec3 a, TbVec3 b, double upper)
{
    return tb_scan__take(s->scan, s->pair->lane,
                         &(TbScanNear){.upper = upper,
                                       .point_a = a,
                                       .point_b = b,
                                       .row = (uint32_t)s->row,
                                       .column = s->pair->column,
                                       .triangle = s->pair->triangle,
                                       .station = station,
                                       .turn = s->turn});
}

/** The point of an evaluated section that is furthest out along a direction that tells the two
 * apart: on a round section it is the nearest one, nearly, and costs a tenth of a separation. */
static bool
point_witness(const Strip *s, const TbDisc *disc, TbVec3 way)
{
    TbVec3 contact;
    TbNearest near;

    tb_disc_support(disc, tb_vec3_neg(way), true, &contact);
    near = tb_point_triangle(contact, s->corner);
    return near.distance > MEETS &&
           take_witness(s, disc->station, near.a, near.b, near.distance + TB_TOL_ROUND);
}

/** An evaluated section against the triangle: an upper bound, and its two points. Where a bound is
 * so near to 0 that they may meet, this is found out: halving a strip would not. */
static TbSeparation
witness(const Strip *s, const TbDisc *disc, TbVec3 way)
{
    TbScan *scan = s->scan;
    TbConvex body = tb_convex_of_disc(disc, true);
    TbSeparation found =
        tb_convex_separation(&body, &s->triangle, way, INFINITY, WITNESS_SHARE * scan->width);
    double upper;

    if (found.lower <= 0 && found.distance > MEETS)
        found = tb_convex_separation(&body, &s->triangle, found.direction, INFINITY, 0);
    upper = found.distance <= MEETS ? 0 : found.distance + TB_TOL_ROUND;
    take_witness(s, disc->station, found.point_a, found.point_b, upper);
    return found;
}

/** How far a triangle reaches along a direction. */
static double
reach_along(const TbVec3 corner[3], TbVec3 d)
{
    return fmax(fmax(tb_vec3_dot(d, corner[0]), tb_vec3_dot(d, corner[1])),
                tb_vec3_dot(d, corner[2]));
}

/** The direction that a separation has found for the whole row, and how far the row reaches along
 * it. */
static void
remember_way(const Strip *s, const TbSeparation *found)
{
    TbScanWalk *walk = s->scan->user;
    TbScanWay *ways = walk->way[s->pair->lane];

    memmove(ways + 2, ways + 1, (TB_SCAN_WAYS - 2) * sizeof *ways);
    ways[1] = (TbScanWay){found->direction, found->lower + reach_along(s->corner, found->direction),
                          true};
}

/** The latest direction is the nearest pair's. */
static void
lead_with_latest(const Strip *s)
{
    TbScanWalk *walk = s->scan->user;
    TbScanWay *ways = walk->way[s->pair->lane];

    ways[0] = ways[1];
}

/** True where a remembered direction is enough: three dot products. */
static bool
is_told_apart(const Strip *s)
{
    const TbScanWalk *walk = s->scan->user;
    const TbScanWay *ways = walk->way[s->pair->lane];
    double cut = tb_scan__cut_of(s->scan, s->pair->lane) + TB_TOL_ROUND;

    for (int i = 0; i < TB_SCAN_WAYS; i++)
        if (ways[i].known && ways[i].reach - reach_along(s->corner, ways[i].way) >= cut)
            return true;
    return false;
}

/** Halving leads no further, or the row is known to meet the scan. */
static bool
is_deep_enough(const Strip *s, int depth)
{
    double cut = tb_scan__cut_of(s->scan, s->pair->lane);

    return depth >= (cut > 0 ? DEEPEST : DEEPEST_TOUCHING) || !(s->scan->upper[s->pair->lane] > 0);
}

/** A pair is left with a bound that its row's width does not allow. */
static void
open_end(const Strip *s, double lower)
{
    TbScanWalk *walk = s->scan->user;
    double *open = &walk->open[tb_scan__first(s->scan, s->pair->lane)];

    *open = fmin(*open, lower);
}

/** A body of the row against the triangle, given up as soon as they are far enough apart. */
static TbSeparation
separate(const Strip *s, const TbConvex *body, TbVec3 way)
{
    return tb_convex_separation(body, &s->triangle, way,
                                tb_scan__cut_of(s->scan, s->pair->lane) + TB_TOL_ROUND,
                                HULL_SHARE * s->scan->width);
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

/** A strip, or a part of one: apart, or witnessed to within the width, or halved. */
static void
look_at_strip(const Strip *s, const TbStrip *strip, TbVec3 way, int depth)
{
    TbScan *scan = s->scan;
    int lane = s->pair->lane;
    TbConvex body = tb_strip_convex(strip, true);
    TbSeparation found = separate(s, &body, way);
    double lower = found.lower - TB_TOL_ROUND;
    TbDisc disc;
    TbStrip half[2];

    if (depth == 0)
        remember_way(s, &found);
    if (lower >= tb_scan__cut_of(scan, lane))
        return;
    disc = station_of(strip, found.share_a[1]);
    if (point_witness(s, &disc, found.direction) && depth == 0)
        lead_with_latest(s);
    if (lower >= tb_scan__cut_of(scan, lane))
        return;
    witness(s, &disc, found.direction);
    if (lower >= tb_scan__cut_of(scan, lane))
        return;
    if (is_deep_enough(s, depth)) {
        open_end(s, lower);
        return;
    }
    tb_strip_halves(strip, true, half);
    look_at_strip(s, &half[0], found.direction, depth + 1);
    look_at_strip(s, &half[1], found.direction, depth + 1);
}

/** A filled section is exact: its separation decides, one way or the other. */
static void
look_at_section(const Strip *s, const TbDisc *disc, TbVec3 way)
{
    TbScan *scan = s->scan;
    int lane = s->pair->lane;
    TbConvex body = tb_convex_of_disc(disc, true);
    TbSeparation found = separate(s, &body, way);
    double lower = found.lower - TB_TOL_ROUND;

    remember_way(s, &found);
    if (lower >= tb_scan__cut_of(scan, lane))
        return;
    if (point_witness(s, disc, found.direction))
        lead_with_latest(s);
    if (lower >= tb_scan__cut_of(scan, lane))
        return;
    found = witness(s, disc, found.direction);
    lower = fmax(lower, found.lower - TB_TOL_ROUND);
    if (lower < tb_scan__cut_of(scan, lane))
        open_end(s, lower);
}

/* ---- rocking ---- */

/** A body of the row, and the turns and warmths that it is carried through. */
typedef struct Carried {
    TbPose pose[2];
    TbWarm warm;
    TbCarried carried;
} Carried;

/** A strip over a range of turns and all warmths; or, where that is NULL, a section. */
static TbConvex
carry(const Strip *s,
      const TbConvex *rest,
      const TbStrip *strip,
      double station,
      double from,
      double to,
      Carried *c)
{
    const TbLattice *lattice = s->scan->lattice;
    const TbLatticeRock *rock = &lattice->rock;
    double range = to - from;

    c->pose[0] = from == 0 ? tb_pose_identity() : tb_pose_turn(rock->point, rock->axis, from);
    if (to > from)
        c->pose[1] = tb_pose_turn(rock->point, rock->axis, to);
    c->carried = (TbCarried){.body = rest, .pose = c->pose, .bits = to > from ? 1 : 0, .turn = -1};
    if (lattice->warmth.of != NULL) {
        tb_lattice__warm(lattice, strip, station, &c->warm);
        c->carried.warm = &c->warm;
    }
    c->carried.eighth = 0.125 * range * range;
    if (to > from)
        c->carried.stray[0] = c->carried.eighth * tb_lattice__lever(lattice, s->row);
    return tb_carried_convex(&c->carried);
}

static TbDisc
turned_disc(const TbLatticeRock *rock, TbDisc disc, double turn)
{
    TbPose pose = tb_pose_turn(rock->point, rock->axis, turn);

    disc.centre = tb_pose_point(pose, disc.centre);
    disc.frame.t = tb_pose_direction(pose, disc.frame.t);
    disc.frame.h = tb_pose_direction(pose, disc.frame.h);
    disc.frame.w = tb_pose_direction(pose, disc.frame.w);
    disc.w = tb_pose_direction(pose, disc.w);
    disc.h = tb_pose_direction(pose, disc.h);
    return disc;
}

/** The same of a section that is warm: all its warmths are one convex body of real points. */
static bool
warm_witness(Strip *s, const TbDisc *disc, double turn, const TbSeparation *found, int depth)
{
    TbScan *scan = s->scan;
    double lower = found->lower - TB_TOL_ROUND, upper;
    TbConvex rest = tb_convex_of_disc(disc, true), body;
    TbSeparation apart;
    TbNearest near;
    Carried c;

    body = carry(s, &rest, NULL, disc->station, turn, turn, &c);
    near = tb_point_triangle(tb_carried_support(&c.carried, tb_vec3_neg(found->direction)).point,
                             s->corner);
    if (near.distance > MEETS &&
        take_witness(s, disc->station, near.a, near.b, near.distance + TB_TOL_ROUND) && depth == 0)
        lead_with_latest(s);
    if (lower >= tb_scan__cut_of(scan, s->pair->lane))
        return true;
    apart = tb_convex_separation(&body, &s->triangle, found->direction, INFINITY,
                                 WITNESS_SHARE * scan->width);
    upper = apart.distance <= MEETS ? 0 : apart.distance + TB_TOL_ROUND;
    take_witness(s, disc->station, apart.point_a, apart.point_b, upper);
    return lower >= tb_scan__cut_of(scan, s->pair->lane);
}

/** Two points at one turn, by the cheapest means that does: true where that lets the pair go. */
static bool
witness_at(Strip *s, const TbDisc *at_rest, double turn, const TbSeparation *found, int depth)
{
    TbScan *scan = s->scan;
    int lane = s->pair->lane;
    double lower = found->lower - TB_TOL_ROUND;
    TbDisc disc = turned_disc(&scan->lattice->rock, *at_rest, turn);

    s->turn = turn;
    if (scan->lattice->warmth.of != NULL) {
        bool done = warm_witness(s, at_rest, turn, found, depth);

        s->turn = 0;
        return done;
    }
    if (point_witness(s, &disc, found->direction) && depth == 0)
        lead_with_latest(s);
    if (lower < tb_scan__cut_of(scan, lane))
        witness(s, &disc, found->direction);
    s->turn = 0;
    return lower >= tb_scan__cut_of(scan, lane);
}

/** A strip (NULL: the section of the row) over a range of turns: apart, or witnessed to within the
 * width, or halved, along or in turn. */
static void
look_at_rocking(Strip *s, const TbStrip *strip, double from, double to, TbVec3 way, int depth)
{
    TbScan *scan = s->scan;
    const TbLattice *lattice = scan->lattice;
    int lane = s->pair->lane;
    const TbDisc *section = &lattice->disc[lattice->row[s->row].low];
    TbConvex rest = strip != NULL ? tb_strip_convex(strip, true) : tb_convex_of_disc(section, true);
    Carried c;
    TbConvex body = carry(s, &rest, strip, section->station, from, to, &c);
    TbSeparation found = separate(s, &body, way);
    double middle = 0.5 * (from + to);
    TbDisc disc;
    TbStrip half[2];

    if (depth == 0)
        remember_way(s, &found);
    if (found.lower - TB_TOL_ROUND >= tb_scan__cut_of(scan, lane))
        return;
    disc = strip != NULL ? station_of(strip, found.second_a) : *section;
    if (witness_at(s, &disc, from + found.share_a[1] * (to - from), &found, depth))
        return;
    if (is_deep_enough(s, depth)) {
        open_end(s, found.lower - TB_TOL_ROUND);
        return;
    }
    if (to > from && (strip == NULL || c.carried.stray[0] >= strip->bound.widening)) {
        look_at_rocking(s, strip, from, middle, found.direction, depth + 1);
        look_at_rocking(s, strip, middle, to, found.direction, depth + 1);
        return;
    }
    if (strip == NULL) { /* a section at all warmths is exact */
        open_end(s, found.lower - TB_TOL_ROUND);
        return;
    }
    tb_strip_halves(strip, true, half);
    look_at_rocking(s, &half[0], from, to, found.direction, depth + 1);
    look_at_rocking(s, &half[1], from, to, found.direction, depth + 1);
}

/* ---- pairs ---- */

/** Each row meets each triangle once; the table forgets, and is then only slower. */
static bool
was_seen(TbScanWalk *walk, int lane, uint32_t triangle)
{
    uint32_t *seen =
        &walk->seen[lane][(triangle * UINT32_C(2654435761)) >> (32 - TB_SCAN_SEEN_BITS)];
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
    uint32_t next = (column + 1) % (uint32_t)lattice->columns;
    TbVec3 middle = tb_vec3_mix(low[column], row->flat_end ? low[next] : high[next], 0.5);
    TbVec3 q = tb_point_triangle(middle, corner).b, p, along;
    double length2, k;

    if (row->flat_end) {
        p = foot_on_ring(lattice, row->low, column, q);
        return tb_vec3_sub(p, tb_point_triangle(p, corner).b);
    }
    p = foot_on_ring(lattice, row->low, column, q);
    along = tb_vec3_sub(foot_on_ring(lattice, row->high, column, q), p);
    length2 = tb_vec3_length2(along);
    k = length2 > 0 ? tb_vec3_dot(tb_vec3_sub(q, p), along) / length2 : 0;
    p = tb_vec3_add_scaled(p, k < 0 ? 0 : k > 1 ? 1 : k, along);
    return tb_vec3_sub(p, q);
}

void
tb_scan__settle_swept(TbScan *scan, const TbScanPair *pair)
{
    TbScanWalk *walk = scan->user;
    const TbLattice *lattice = scan->lattice;
    Strip s = {.scan = scan, .pair = pair, .row = scan->group * TB_LANES + pair->lane};
    const TbLatticeRow *row = &lattice->row[s.row];
    TbVec3 way;

    if (was_seen(walk, pair->lane, pair->triangle))
        return;
    tb_mesh_corners(tb_tree_mesh(scan->tree), pair->triangle, s.corner);
    if (is_told_apart(&s))
        return;
    s.triangle = tb_convex_of_triangle(s.corner);
    way = way_from_patch(lattice, row, pair->column, s.corner);
    if (lattice->rock.half > 0 || lattice->warmth.of != NULL) {
        look_at_rocking(&s, row->flat_end ? NULL : &lattice->strip[s.row], -lattice->rock.half,
                        lattice->rock.half, way, 0);
        return;
    }
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
    return scan->upper[lane] <=
           scan->foreseen[lane] + TB_SCAN_WIDTH_SPARE / TB_SCAN_WIDTH_USED * scan->width;
}

/** Support points of one or two sections, each along the way from the last one to the triangle. */
static void
polish_ends(const Strip *s, const TbDisc *const end[], int ends, TbVec3 way)
{
    for (int i = 0; i < ends * POLISH_ROUNDS; i++) {
        const TbScanNear *best = tb_scan__near_of(s->scan, s->pair->lane);

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

/** The pair that floats foresaw, which may be nearer than any witness yet: by support points, and
 * where these do not do and it is asked, by its separation. */
static void
polish(TbScanWalk *walk, int lane, bool to_the_end)
{
    TbScan *scan = &walk->scan;
    const TbScanPair *pair = &scan->hint[lane];
    const TbLattice *lattice = scan->lattice;
    Strip s = {.scan = scan, .pair = pair, .row = scan->hint_group[lane] * TB_LANES + pair->lane};
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

void
tb_scan__lead_on(TbScanWalk *walk, int lane, size_t row)
{
    const TbLattice *lattice = walk->scan.lattice;
    const TbScanNear *near = tb_scan__near_of(&walk->scan, lane);
    TbConvex body;
    TbSupport support;
    TbVec3 way;

    polish(walk, lane, false);
    way = tb_vec3_sub(near->point_a, near->point_b);
    if (near->row == UINT32_MAX || !(tb_vec3_length2(way) > 0))
        return;
    way = tb_vec3_unit(way);
    body = lattice->row[row].flat_end
               ? tb_convex_of_disc(&lattice->disc[lattice->row[row].low], true)
               : tb_strip_convex(&lattice->strip[row], true);
    support = tb_convex_support(&body, tb_vec3_neg(way));
    for (int k = lane; k < lane + walk->scan.together; k++)
        walk->way[k][0] = (TbScanWay){way, -support.reach - support.beyond, true};
}

void
tb_scan__polish(TbScanWalk *walk, int lane)
{
    if (!is_polished(&walk->scan, lane))
        polish(walk, lane, true);
}
