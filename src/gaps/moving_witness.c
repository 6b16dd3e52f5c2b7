/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Evaluated points of a search over motions: real bodies at numbers that the simplex says. */
#include "gaps/moving_private.h"
#include "geom/tol.h"

#include <string.h>

/** One side of a witness: a station of a strip or the exact body itself, at one pose. */
typedef struct Real {
    TbConvex at_rest, body;
    TbDisc disc;
    TbCarried carried;
    TbWarm warm;
    TbPose pose; /**< shifts in the middle */
    TbSite site;
    double q[TB_MOTION_MOST];
} Real;

static void
real_body(Real *real, const TbMovingSide *side, uint32_t node, double share)
{
    const TbNode *n = &side->field.node[node];
    const TbStrip *strip;

    real->site = (TbSite){.part = n->part, .triangle = UINT32_MAX};
    if (n->kind != TB_NODE_STRIP) {
        real->at_rest = tb_field__body(&side->field, node);
        if (n->kind == TB_NODE_TRIANGLE)
            real->site.triangle =
                tb_tree_numbers(tb_field__part(&side->field, node)->tree)[n->index];
        return;
    }
    strip = tb_field__strip(&side->field, node);
    real->disc = share <= 0 ? strip->disc0
                 : share >= 1
                     ? strip->disc1
                     : tb_piece_disc(strip->piece, strip->u0 + share * (strip->u1 - strip->u0));
    real->at_rest = tb_convex_of_disc(&real->disc, true);
    real->site.on_sweep = true;
    real->site.station = real->disc.station;
}

/** @param share weights of the poses in the final simplex of the pair's bodies */
static void
real_side(Real *real,
          const TbMovingSide *side,
          uint32_t node,
          uint32_t cell,
          const double share[],
          double second)
{
    const TbMovingCell *c = &side->cell[cell];

    real_body(real, side, node, second);
    for (int i = 0; i < side->motion->count; i++)
        real->q[i] = 0.5 * (side->motion->freedom[i].low + side->motion->freedom[i].high);
    for (int bit = 0; bit < side->bits; bit++) {
        double along = 0;

        for (int k = 0; k < 1 << side->bits; k++)
            along += (k >> bit & 1) != 0 ? share[k] : 0;
        real->q[side->bent[bit]] =
            fmin(c->high[bit], c->low[bit] + along * (c->high[bit] - c->low[bit]));
    }
    real->pose = tb_motion_pose(&side->rigid, real->q);
    tb_moving__warm_at(side, node, cell, real->site.on_sweep ? &real->disc.station : NULL,
                       &real->warm);
    tb_moving__carry(side, node, cell, &real->at_rest, &real->warm, &real->carried);
    real->carried.pose = &real->pose;
    real->carried.bits = 0;
    real->carried.turn = -1;
    real->body = tb_carried_convex(&real->carried);
}

/** A warm number that the final simplex can say: as many as its parts have bits for. */
static bool
is_told(const TbMovingSide *side, int number)
{
    return side->shifts + number < TB_CARRIED_BITS;
}

/** Fixes a number of warmth that the simplex cannot say, from rest. */
static void
fix_warm(const TbMovingSide *side, Real *real, int number, double at)
{
    real->warm.number[number].low = real->warm.number[number].high = at;
    real->q[side->warm[number]] = at + tb_moving__rest(side, number);
}

static void
take_warmth(const TbMovingSide *side, Real *real, const double share[])
{
    for (int i = 0; i < side->warms; i++) {
        const TbWarmNumber *n = &real->warm.number[i];
        double to = 0;

        if (!is_told(side, i) || n->low == n->high)
            continue;
        for (int k = 0; k < TB_CARRIED_SECOND; k++)
            to += (k >> (side->shifts + i) & 1) != 0 ? share[k] : 0;
        real->q[side->warm[i]] =
            tb_moving__rest(side, i) + n->low + fmin(1, to) * (n->high - n->low);
    }
}

/** About the section's middle, where its warmth has not shifted it. */
static double
angle_at_rest(const TbMovingSide *side, const Real *real, TbVec3 point)
{
    TbVec3 p = tb_pose_point(tb_pose_inverse(tb_motion_pose(&side->rigid, real->q)), point);
    TbVec3 c = real->disc.centre;

    for (int i = 0; i < side->warms; i++) {
        const TbWarmNumber *n = &real->warm.number[i];

        p = tb_vec3_add_scaled(p, tb_moving__rest(side, i) - real->q[side->warm[i]],
                               tb_vec3_add_scaled(n->v[0], n->k, c));
    }
    return tb_disc_angle(&real->disc, p);
}

/** How fast a side's reach along d grows with one of its numbers. */
static double
slope_of(const Real *real, int number, TbVec3 d)
{
    TbVec3 back = {tb_vec3_dot(d, real->pose.x), tb_vec3_dot(d, real->pose.y),
                   tb_vec3_dot(d, real->pose.z)};
    const TbWarmNumber *n = &real->warm.number[number];

    return real->pose.scale *
           (n->k * tb_convex_support(&real->at_rest, back).reach + tb_vec3_dot(back, n->v[0]));
}

/** What the final simplex cannot say is put where it brings the two nearest: tied numbers on both
 * sides at once. */
static void
fix_warmth(const TbMovingSearch *search, const TbPair *pair, Real real[2], TbVec3 way)
{
    TbVec3 d[2] = {tb_vec3_neg(way), way};

    for (int i = 0; i < search->ties; i++) {
        const TbMovingSide *a = &search->side[0], *b = &search->side[1];
        const TbMovingCell *cell = &a->cell[pair->cell[0]];
        int na = search->tie[i].a - a->rigid.count, nb = search->tie[i].b - b->rigid.count;
        double low = cell->warm_low[na], high = cell->warm_high[na], slope, other[2];

        other[0] = tb_moving__tie_other(search, i, low);
        other[1] = tb_moving__tie_other(search, i, high);
        slope = (high - low) * slope_of(&real[0], na, d[0]) +
                (other[1] - other[0]) * slope_of(&real[1], nb, d[1]);
        fix_warm(a, &real[0], na, slope >= 0 ? high : low);
        fix_warm(b, &real[1], nb, other[slope >= 0]);
    }
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < search->side[s].warms; i++) {
            const TbMovingSide *side = &search->side[s];
            const TbMovingCell *cell = &side->cell[pair->cell[s]];

            if (!side->tied[i] && !is_told(side, i))
                fix_warm(side, &real[s], i,
                         slope_of(&real[s], i, d[s]) >= 0 ? cell->warm_high[i] : cell->warm_low[i]);
        }
}

/** The shifts at which a side's point is where it is: each is pushed to and fro by shares. */
static void
take_side(TbMovingSearch *search, int which, Real *real, TbVec3 point, const double share[])
{
    const TbMovingSide *side = &search->side[which];
    TbMovingWitness *w = &search->witness;

    for (int i = 0; i < side->shifts; i++) {
        const TbFreedom *f = &side->motion->freedom[side->shift[i]];
        double to = 0;

        for (int k = 0; k < TB_CARRIED_SECOND; k++)
            to += (k >> i & 1) != 0 ? share[k] : -share[k];
        real->q[side->shift[i]] =
            fmin(f->high, fmax(f->low, 0.5 * (f->low + f->high) + 0.5 * to * (f->high - f->low)));
    }
    take_warmth(side, real, share);
    if (real->site.on_sweep)
        real->site.angle = angle_at_rest(side, real, point);
    w->point[which] = point;
    w->site[which] = real->site;
    for (int i = 0; i < side->motion->count; i++)
        w->q[which][i] = real->q[i];
}

void
tb_moving__try_witness(TbMovingSearch *search, const TbPair *pair, const TbSeparation *near)
{
    Real real[2];
    TbSeparation found;
    double upper;

    real_side(&real[0], &search->side[0], pair->node[0], pair->cell[0], near->share_a,
              near->second_a);
    real_side(&real[1], &search->side[1], pair->node[1], pair->cell[1], near->share_b,
              near->second_b);
    fix_warmth(search, pair, real, near->direction);
    found = tb_convex_separation(&real[0].body, &real[1].body, near->direction, INFINITY,
                                 TB_WITNESS_SHARE * search->width);
    upper = found.distance + TB_TOL_ROUND;
    if (upper >= search->upper)
        return;
    search->upper = upper;
    search->met = found.distance <= TB_MEETS;
    take_side(search, 0, &real[0], found.point_a, found.share_a);
    take_side(search, 1, &real[1], found.point_b, found.share_b);
}

void
tb_moving__take_scanned(TbMovingSearch *search, const TbMovingScanned *near)
{
    Real real[2];
    TbSeparation found;
    double upper;

    for (int s = 0; s < 2; s++) {
        const TbMovingSide *side = &search->side[s];
        Real *r = &real[s];
        bool swept = s == near->swept;

        r->disc = near->disc;
        r->at_rest =
            swept ? tb_convex_of_disc(&r->disc, true) : tb_convex_of_triangle(near->corner);
        r->site = (TbSite){.part = (uint32_t)(swept ? near->sweep_part : near->mesh_part),
                           .on_sweep = swept,
                           .station = swept ? near->disc.station : 0,
                           .triangle = swept ? UINT32_MAX : near->triangle};
        memcpy(r->q, near->q[s], sizeof r->q);
        r->pose = tb_motion_pose(&side->rigid, r->q);
        tb_moving__warm_row(side, NULL, near->disc.station, &r->warm);
        r->carried = (TbCarried){.body = &r->at_rest,
                                 .pose = &r->pose,
                                 .warm = side->warms > 0 ? &r->warm : NULL,
                                 .turn = -1};
        r->body = tb_carried_convex(&r->carried);
    }
    found = tb_convex_separation(&real[0].body, &real[1].body, near->way, INFINITY,
                                 TB_WITNESS_SHARE * search->width);
    upper = found.distance + TB_TOL_ROUND;
    if (upper >= search->upper)
        return;
    search->upper = upper;
    take_side(search, 0, &real[0], found.point_a, found.share_a);
    take_side(search, 1, &real[1], found.point_b, found.share_b);
}
