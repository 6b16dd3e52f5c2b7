/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file frame.h
 * @brief Tangent, height and width along a path, carried without twist.
 *
 * Looking along t (downstream): w to the right, h up. h x w = t, so a positive turn, right-handed
 * about t, moves h towards w. All three are unit and square to each other.
 */
#pragma once

#include "geom/vec3.h"

typedef struct TbFrame {
    TbVec3 t; /**< along the path, with the gas */
    TbVec3 h; /**< where a section's height points at turn 0 */
    TbVec3 w; /**< where its width points: w = t x h */
} TbFrame;

/**
 * Frame at the start of a path.
 *
 * @param tangent unit
 * @param up      the start port's `up`, laid square to the tangent; NULL, or nearly parallel to the
 *                tangent (within TB_TOL_PLACE of it): the bay's +Z, or -X where the tangent is
 *                within TB_ANGLE_STEEP of vertical
 */
TbFrame tb_frame_start(TbVec3 tangent, const TbVec3 *up);

/**
 * Carry a frame one step by double reflection; the error over a path is of fourth order in the
 * step. Source: Wang, Jüttler, Zheng, Liu, "Computation of rotation minimizing frames", ACM Trans.
 * Graph. 27(1), 2008, doi 10.1145/1330511.1330513.
 *
 * @param from    frame at p0
 * @param p0,p1   the points, apart
 * @param tangent unit tangent at p1
 */
TbFrame tb_frame_carry(TbFrame from, TbVec3 p0, TbVec3 p1, TbVec3 tangent);

/**
 * The smallest rotation that takes one tangent to another, applied to a frame. The tangents are
 * less than 180 degrees apart (asserted to 179).
 */
TbFrame tb_frame_swing(TbFrame from, TbVec3 tangent);

/** h and w turned by an angle in rad, right-handed about t. */
TbFrame tb_frame_turned(TbFrame f, double angle);
