/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file blend.h
 * @brief Gaps of lines and ducts that ride on two mounts while these move: sampled, not certified.
 *
 * How a hose or a bellows gives way is not known. The path is taken to follow its start at one end,
 * its end at the other, and in between to go over from one to the other smoothly with the station:
 * a line's path is led through such points, a duct's sections are shifted (sweep.h, drifted). Some
 * poses are looked at: of one freedom 13 evenly, of more all their extremes and the middle; warm,
 * each with either item cold and hot.
 */
#pragma once

#include "study/measure.h"
#include "study/moves.h"

#define TB_BLEND_POSES 33

/** Poses of both items' ends, relative to where a thing that keeps its shape is drawn. */
typedef struct TbBlend {
    size_t count;
    bool warps[2]; /**< rides on two mounts */
    bool bends[2]; /**< of these a line, whose path is led anew; else sections are shifted */
    TbPose start[2][TB_BLEND_POSES], end[2][TB_BLEND_POSES];
    double q[TB_BLEND_POSES][TB_MOTION_MOST]; /**< of the move's freedoms */
} TbBlend;

/** True where an item's two ends ride on two mounts: a line that says so, or a path between ports
 * of two. */
bool tb_blend_rides_on_two(const TbStand *stand, size_t item);

/** Where in a blended gap's numbers of side b stands how warm a and b were: 0 or 1. */
#define TB_BLEND_WARMTH 0

/**
 * @param[out] move all freedoms of all mounts that are not common to both items, as side a's
 * @return TB_OK, or as tb_moves_of()
 */
TbStatus
tb_blend_of(const TbStand *stand, size_t a, size_t b, TbMove *move, TbBlend *blend, TbFault *fault);

/** The value is a TbMovingGap that is not certified; its numbers are side a's, and side b's from
 * TB_BLEND_WARMTH on their warmths. Stations are those as drawn. */
TbEntry *tb_blend_gap(
    TbCache *cache, const TbStand *stand, const TbPairAsk *ask, const TbBlend *blend, bool *is_new);
