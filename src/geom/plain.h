/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file plain.h
 * @brief Plain shapes: block, rod, ball, outline. Filled solids, exact. Values, mm.
 *
 * An outline is a simple polygon in a plane, given a depth: its flat core is the prism, and a
 * rounding r grows that core by r on every side (so that edges and corners have radius r).
 */
#pragma once

#include "base/fault.h"
#include "geom/box3.h"
#include "geom/pose.h"
#include "geom/vec2.h"

typedef enum TbPlainKind {
    TB_PLAIN_BLOCK,
    TB_PLAIN_ROD,
    TB_PLAIN_BALL,
    TB_PLAIN_OUTLINE
} TbPlainKind;

/** Oriented block: centre, three unit square axes, half sizes above 0. */
typedef struct TbBlock {
    TbVec3 centre;
    TbVec3 axis[3];
    double half[3];
} TbBlock;

/** Straight bar with flat ends; a taper (cone) where the two radii differ. */
typedef struct TbRod {
    TbVec3 a, b;
    double radius_a, radius_b; /**< 0 or more, not both 0 */
} TbRod;

typedef struct TbBall {
    TbVec3 centre;
    double radius;
} TbBall;

/** Points of an outline at most: its check compares every edge with every other. */
#define TB_OUTLINE_MOST 2000

/** Points lie at origin + p.x u + p.y v; the core reaches from there to depth along u x v. */
typedef struct TbOutline {
    TbVec3 origin, u, v;  /**< u, v unit and square */
    const TbVec2 *points; /**< belong to whoever made the outline */
    size_t count;
    double depth;    /**< mm, above 0 */
    double rounding; /**< mm, 0 or more */
} TbOutline;

/** Any plain shape; the kind tells which member holds. */
typedef struct TbPlain {
    TbPlainKind kind;
    union {
        TbBlock block;
        TbRod rod;
        TbBall ball;
        TbOutline outline;
    };
} TbPlain;

/** TB_OK, or TB_E_RANGE / TB_E_DEGENERATE with the field and its number. */
TbStatus tb_plain_check(const TbPlain *plain, TbFault *fault);

/** Block from its low and high corner, in the bay's axes. */
TbPlain tb_plain_block_between(TbVec3 low, TbVec3 high);

TbBox3 tb_plain_box(const TbPlain *plain);

/** mm^3. Exact; of a rounded outline that is not convex where the rounding is below half the
 * narrowest notch and fills no edge next to an inner corner. */
double tb_plain_volume(const TbPlain *plain);

/** Moved and grown. Not for outlines (asserted): growing scales their points, and those belong to
 * somebody else; tb_solid_moved() owns points and moves outlines too. */
TbPlain tb_plain_moved(const TbPlain *plain, TbPose pose);

/** Signed distance of a point to the surface, negative inside; mm. Exact; inside a rounded
 * outline it is the core's distance less the rounding: the deepest inside a core that is not convex
 * is a bound (never deeper than the truth). */
double tb_plain_distance(const TbPlain *plain, TbVec3 p);
