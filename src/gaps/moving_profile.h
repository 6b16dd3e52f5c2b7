/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moving_profile.h
 * @brief The least gap of every section along a path over all of a motion, certified.
 *
 * Every section is a body of its own, searched over all numbers as two solids are (moving.h): it
 * goes with its side's motion, and where others carry the path's ends by its station's share.
 */
#pragma once

#include "gaps/moving.h"
#include "gaps/profile.h"

/** mm. Interval of what is surely further off than is watched: enough for a curve. */
#define TB_MOVING_PROFILE_FAR 0.25

typedef struct TbMovingProfileAsk {
    const TbMovingAsk *moving; /**< side a has a sweep, its first one is followed */
    const double *stations;    /**< of a as it is drawn, ascending */
    size_t count;
    double near; /**< mm: a station that is surely further off is not looked at closer */
    double fine; /**< mm: interval wanted of the others; TB_GAP_WIDTH_LEAST or more */
} TbMovingProfileAsk;

/**
 * @param[out] points room for ask->count; where the least gap was found, at that pose, and the
 *             angle of the place as drawn. `lower` holds over the whole motion
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_moving_profile(const TbMovingProfileAsk *ask,
                           TbTask *task,
                           TbProfilePoint points[],
                           TbFault *fault);
