/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pose.h
 * @brief Where a rigid thing sits, and how much it has grown: a similarity, by value.
 *
 * p' = origin + scale * (p.x x + p.y y + p.z z), with x, y, z unit, square and right-handed.
 * It lives in geom, below motion, because a scan's placement and a grown sweep need it.
 */
#pragma once

#include "geom/vec3.h"

typedef struct TbPose {
    TbVec3 x, y, z; /**< where the axes go */
    TbVec3 origin;  /**< where the origin goes, mm */
    double scale;   /**< above 0; 1 is rigid */
} TbPose;

/** Leaves everything where it is. */
TbPose tb_pose_identity(void);

TbPose tb_pose_shift(TbVec3 by);

/** Right-handed turn about an axis. @p direction need not be unit, @p angle in rad. */
TbPose tb_pose_turn(TbVec3 point, TbVec3 direction, double angle);

/** Growth by @p factor from a datum point: p' = datum + factor (p - datum). */
TbPose tb_pose_growth(TbVec3 datum, double factor);

/** First @p first, then @p then. */
TbPose tb_pose_compose(TbPose then, TbPose first);

TbPose tb_pose_inverse(TbPose pose);

TbVec3 tb_pose_point(TbPose pose, TbVec3 p);

/** Turns a direction; its length is kept, growth does not touch it. */
TbVec3 tb_pose_direction(TbPose pose, TbVec3 d);

/** Bit for bit the identity. */
bool tb_pose_is_identity(TbPose pose);
