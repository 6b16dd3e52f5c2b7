/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file convex.h
 * @brief Convex bodies by support function, and the distance of two of them (GJK) with a lower
 *        bound that is sound whatever the iteration did.
 *
 * A body is the hull of up to 4 filled discs of a sweep, up to 2 circles (ends of a rod or cone)
 * and up to 8 points, grown by a ball. A strip of a sweep is the hull of its two end discs; what
 * the true strip may reach beyond that hull is its widening, which bound.h computes and the body
 * carries along.
 */
#pragma once

#include "geom/plain.h"
#include "geom/sweep.h"

/** A filled circle in space. */
typedef struct TbCircle {
    TbVec3 centre, axis; /**< axis unit */
    double radius;
} TbCircle;

struct TbStripBound;
struct TbStagger;
struct TbCarried;

typedef struct TbConvex {
    const TbDisc *disc[4];
    TbCircle circle[2];
    TbVec3 point[8];
    int discs, circles, points;
    bool outer;    /**< discs with their wall */
    double radius; /**< ball that grows the hull, mm */
    /** Of a strip: the true solid may reach beyond the hull. NULL: it does not. */
    const struct TbStripBound *bound;
    /** The body is what bound.h says of a stagger, and nothing else. NULL: it is not one. */
    const struct TbStagger *stagger;
    /** The body is what carried.h says of another one in motion, and nothing else. */
    const struct TbCarried *carried;
} TbConvex;

TbConvex tb_convex_of_point(TbVec3 p);
TbConvex tb_convex_of_triangle(const TbVec3 t[3]);
TbConvex tb_convex_of_block(const TbBlock *block);
TbConvex tb_convex_of_rod(const TbRod *rod);
TbConvex tb_convex_of_ball(const TbBall *ball);
TbConvex tb_convex_of_disc(const TbDisc *disc, bool outer);
TbConvex tb_convex_of_box(TbBox3 box);

/** Which part of a body a support point came from: 0-3 discs, 4-5 circles, 8-15 points; of a
 * stagger its corner, of a carried body as carried.h says. */
typedef struct TbSupport {
    double reach;  /**< max of d . p over the hull and ball, widening not counted, mm */
    double beyond; /**< widening along d, mm */
    TbVec3 point;
    int part;
} TbSupport;

/** @param d unit. */
TbSupport tb_convex_support(const TbConvex *body, TbVec3 d);

/** A box that holds the body, widening included. */
TbBox3 tb_convex_box(const TbConvex *body);

/** Mean of the centres and points the body is made of; inside it. */
TbVec3 tb_convex_centre(const TbConvex *body);

/** What one run of GJK found. */
typedef struct TbSeparation {
    double lower;    /**< the bodies, widened, are at least this far apart along `direction`; can be
                          negative. Sound: it is a separation that was evaluated */
    double hull;     /**< the same for the plain hulls, balls included */
    double distance; /**< of the plain hulls, balls included, as the iteration left it; 0 when they
                          meet */
    TbVec3 direction;                /**< unit, from b towards a */
    TbVec3 point_a, point_b;         /**< of the plain hulls, balls included */
    double share_a[16], share_b[16]; /**< weights of the parts in the final simplex */
    double second_a, second_b;       /**< of carried bodies: of their strips' second discs */
    int rounds;
} TbSeparation;

/**
 * Distance of two bodies: Gilbert, Johnson, Keerthi, IEEE J. Robotics Automation 4 (1988) 193,
 * doi 10.1109/56.2083. `lower` and `hull` are -support_a(-d) - support_b(d) of the best direction
 * d tried, so they hold whatever the iteration did; TB_TOL_ROUND is not yet taken off.
 *
 * @param start  first direction, from b towards a; zero lets the function choose
 * @param enough stop as soon as `lower` reaches this, mm; INFINITY to go to the end
 * @param width  stop when `distance` is known to this, mm
 */
TbSeparation tb_convex_separation(
    const TbConvex *a, const TbConvex *b, TbVec3 start, double enough, double width);
