/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file rock.h
 * @brief An engine rocking on its mounts: a turn about one axis, right-handed.
 */
#pragma once

#include "base/fault.h"
#include "geom/box3.h"
#include "geom/pose.h"

typedef struct TbRock {
    TbVec3 point, direction; /**< axis in the parent mount's axes; direction need not be unit */
    double low, high;        /**< rad, low <= high */
} TbRock;

/** rad. A range wider than this passes every place twice: a wrong unit. */
#define TB_ROCK_WHOLE (2 * M_PI)

/**
 * @return TB_OK; TB_E_DEGENERATE: no axis; TB_E_RANGE: the range is upside down or wider than a
 *         whole turn, or not finite
 */
TbStatus tb_rock_check(const TbRock *rock, TbFault *fault);

/** Pose at one angle, rad. */
TbPose tb_rock_pose(TbRock rock, double angle);

/**
 * Largest travel of a point over the range, from its rest position at angle 0: the chord
 * 2 rho sin(angle / 2), rho its distance from the axis.
 *
 * @param p mm, in the parent mount's axes
 * @return mm
 */
double tb_rock_travel(TbRock rock, TbVec3 p);

/**
 * Largest distance from the axis of anything in a box: what any of its points travels a radian at
 * most. At one of its corners, since the distance from a line is convex. 0 of an empty box.
 *
 * @return mm
 */
double tb_rock_reach(TbRock rock, TbBox3 box);
