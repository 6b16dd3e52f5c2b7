/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file carried.h
 * @brief A convex body carried through a range of poses, as a convex body with its widening.
 *
 * The poses are corners of a box of numbers (angles, shifts, factors), one bit of a pose's number
 * for each. Of one number alone every point runs on a straight line, or on an arc that leaves its
 * chord by at most the bit's stray; so everything that the body passes lies in the hull of the body
 * at the corners, widened. Shifts that come last add segments, exactly.
 */
#pragma once

#include "geom/convex.h"
#include "geom/pose.h"

/** A number of a body's warmth: x goes to x + number (k x + v), v by the strip's disc. */
typedef struct TbWarmNumber {
    double low, high;
    double k; /**< 1: it grows with the number; 0: it is shifted */
    TbVec3 v[2];
} TbWarmNumber;

#define TB_WARM_NUMBERS 3

/** What warmth does to a body at rest: all straight, so no corner poses are needed. */
typedef struct TbWarm {
    TbWarmNumber number[TB_WARM_NUMBERS];
    int count;
    TbVec3 base;   /**< a shift, whatever the numbers are */
    double factor; /**< the largest growth, 1 or more */
    double second; /**< mm per u^2: how much the shifts themselves bend along a strip, at most */
} TbWarm;

#define TB_CARRIED_BITS 4
#define TB_CARRIED_POSES (1 << TB_CARRIED_BITS)

/** In TbSupport.part of a carried body, beside the pose's number (of one pose only: a bit for each
 * shift that is at its far end, then for each number of warmth, four at most): it came from the
 * second disc. */
#define TB_CARRIED_SECOND 16

typedef struct TbCarried {
    const TbConvex *body; /**< at rest, with its own widening; itself neither carried nor stagger */
    const TbPose *pose;   /**< 2^bits */
    int bits;
    const TbWarm *warm;            /**< within the poses; or NULL */
    double stray[TB_CARRIED_BITS]; /**< mm; 0 where straight */
    TbVec3 shift[3];               /**< half ranges of the last shifts */
    int shifts;
    /** Bit of a turn that nothing but the shifts follow, or -1: its arc bulges away from its axis
     * only, so along a direction towards the axis it does not leave its chord. */
    int turn;
    TbVec3 axis_point, axis;         /**< of the turn, moved by the middle of the shifts; unit */
    double eighth;                   /**< rad^2: its range^2 / 8 */
    TbVec3 centre[TB_CARRIED_POSES]; /**< of a ball about the body at each pose */
    double radius; /**< mm: at any number's value between them, the strays included */
} TbCarried;

/** The body that is passed, with its widening; it points into the carried one. */
TbConvex tb_carried_convex(const TbCarried *carried);

/** What convex.c asks of it: without the ball that tb_carried_convex() has said. */
TbSupport tb_carried_support(const TbCarried *carried, TbVec3 d);

/** Tests only: multiplies the strays, of arcs and of shifts that bend along a strip, to prove that
 * a wrong bound is seen. 1 in life. */
extern double tb_carried_stray_factor;
