/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moving_profile.h
 * @brief The least gap of every section along a path over all of a motion, certified.
 *
 * Profiles at single poses, in the middles of cells of numbers; a section's gap over a cell is at
 * least that, less what the section and all of the other solid that could matter travel there.
 * Cells are halved where a station is near and its interval wide. So the work is bounded by the
 * number of poses: what that leaves is a wide interval, still true.
 */
#pragma once

#include "gaps/moving.h"
#include "gaps/profile.h"

/** Poses that are looked at, if nothing is said. */
#define TB_MOVING_PROFILE_POSES 48

typedef struct TbMovingProfileAsk {
    const TbMovingAsk *moving; /**< side a has a sweep, its first one is followed */
    const double *stations;    /**< of a as it is drawn, ascending */
    size_t count;
    double near;  /**< mm: a station that is surely further off is not looked at closer */
    double fine;  /**< mm: interval wanted of the others */
    size_t poses; /**< at most; 0 means TB_MOVING_PROFILE_POSES */
    const double *at_a, *at_b; /**< numbers that are looked at first, or NULL */
} TbMovingProfileAsk;

/**
 * @param[out] points room for ask->count; where the least gap was found, at that pose
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_moving_profile(const TbMovingProfileAsk *ask,
                           TbTask *task,
                           TbProfilePoint points[],
                           TbFault *fault);
