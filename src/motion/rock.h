/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file rock.h
 * @brief An engine rocking on its mounts: a turn about one axis, right-handed.
 */
#pragma once

#include "geom/pose.h"

typedef struct TbRock {
    TbVec3 point, direction; /**< axis in the parent mount's axes; direction need not be unit */
    double low, high;        /**< rad, low <= high */
} TbRock;

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
