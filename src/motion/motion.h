/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file motion.h
 * @brief Everything that may move one item, each by a number of its own that is free in a range;
 *        and proved bounds of how far any of its points then goes.
 *
 * A motion is a row of freedoms: x' = f0(q0, f1(q1, ... x)), so the first is the outermost. A turn
 * is about a fixed axis, a shift along a fixed direction, a growth about a fixed datum. Ranges are
 * whole: any combination of the numbers may be. Of a point and all numbers but one, a shift and a
 * growth make a straight line, a turn an arc; the bounds come from that. mm and rad.
 */
#pragma once

#include "motion/rock.h"

typedef enum TbFreedomKind {
    TB_FREEDOM_TURN,
    TB_FREEDOM_SHIFT,
    TB_FREEDOM_GROWTH,
    TB_FREEDOM_CARRIED, /**< a warm shift of the whole, outside its growth */
    /* of a path item whose ends are held by others, within all else: no pose can say them */
    TB_FREEDOM_SPREAD, /**< it grows about its own chord: its ends stay (sweep.h, drifted) */
    TB_FREEDOM_START,  /**< its start is shifted */
    TB_FREEDOM_END,    /**< its end is */
    TB_FREEDOM_ENDS    /**< both are, by one number */
} TbFreedomKind;

typedef struct TbFreedom {
    TbFreedomKind kind;
    TbVec3 point;     /**< on a turn's axis; a growth's datum; where a spread path begins; of both
                         ends: mm that the end goes a unit of the number */
    TbVec3 direction; /**< of a turn's axis, or a shift's; need not be unit. Of a spread path: from
                         its start to its end. Of both ends: as `point`, of the start */
    double low, high; /**< rad; mm; factor; of both ends without a unit: low <= high */
} TbFreedom;

/** Freedoms of one motion, at most: a mount's six, its parent's six, and warmth. */
#define TB_MOTION_MOST 15

/** Of them turns and growths with a range, and shifts behind one, at most: a search holds a hull of
 * all their extremes. */
#define TB_MOTION_BENT 4

/** Shifts with a range that only shifts stand before, which need no hull; those beyond do. */
#define TB_MOTION_SHIFTS 3

typedef struct TbMotion {
    TbFreedom freedom[TB_MOTION_MOST];
    int count;
} TbMotion;

/**
 * Adds a freedom within those that are there.
 *
 * @return TB_OK; TB_E_DEGENERATE: a turn without an axis, a shift without a direction; TB_E_RANGE:
 *         range upside down or not finite, a turn over a whole turn, a factor of 0 or less;
 *         TB_E_LIMIT: more than TB_MOTION_MOST, or than TB_MOTION_BENT. The motion is then as it
 *         was
 */
TbStatus tb_motion_add(TbMotion *motion, TbFreedom freedom, TbFault *fault);

TbStatus tb_motion_add_rock(TbMotion *motion, TbRock rock, TbFault *fault);

/** Growth from a datum between two factors, in either order. */
TbStatus
tb_motion_add_growth(TbMotion *motion, TbVec3 datum, double factor, double other, TbFault *fault);

/** Six freedoms about axes x, y, z through a point: first turned about z, then y, then x, then
 * shifted. */
typedef struct TbMountRange {
    TbVec3 point, x, y, z;
    double shift_low[3], shift_high[3]; /**< mm, along x y z */
    double turn_low[3], turn_high[3];   /**< rad, about x y z */
} TbMountRange;

/** Those of a mount's freedoms that are not 0 alone. @return as tb_motion_add() */
TbStatus tb_motion_add_mount(TbMotion *motion, const TbMountRange *range, TbFault *fault);

/** Warm freedoms are the innermost ones: at most one growth or spread, and shifts. Each
 * moves a point on a straight line, whatever the others of them are. */
#define TB_MOTION_WARM 3

/** How many freedoms stand before the warm ones. */
int tb_motion_before_warm(const TbMotion *motion);

/** A freedom takes part in the hull of extremes: it has a range, and is none of the first
 * TB_MOTION_SHIFTS shifts that only shifts stand before. */
bool tb_motion_is_bent(const TbMotion *motion, int freedom);

/** @param q of each freedom */
TbPose tb_motion_pose(const TbMotion *motion, const double q[]);

/** Most that one freedom moves any point of a ball a unit of its number: of a turn the distance
 * from the axis, of a growth that from the datum, of a shift 1; whatever the others are. */
double tb_motion_speed(const TbMotion *motion, int freedom, TbVec3 centre, double radius);

/**
 * How far any point of a ball is from where the middle of the ranges puts it, at most.
 *
 * @param low,high ranges of each freedom, within its own
 */
double tb_motion_travel(
    const TbMotion *motion, const double low[], const double high[], TbVec3 centre, double radius);

/**
 * How far any point of a ball leaves the straight line between its places at the two ends of one
 * freedom's range, at most: range^2 / 8 times the speed of a turn (its second derivative is as
 * large), 0 of what is straight.
 */
double tb_motion_stray(
    const TbMotion *motion, int freedom, double low, double high, TbVec3 centre, double radius);
