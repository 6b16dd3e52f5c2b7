/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moving_map.h
 * @brief The gap map of a path over all of a motion: how near each place of its outside comes to
 *        another solid, certified.
 *
 * A place goes with its side's motion, and where others carry the path's ends by its station's
 * share, as its section does (moving_profile.h). What matters of a map is where it passes one
 * level, the keep: there distances are proved to TB_MOVING_MAP_FINE, and away from it as much wider
 * as TB_MOVING_MAP_SHARE of how far away they are.
 */
#pragma once

#include "gaps/moving.h"

/** mm. Interval of a place at the level: half of what a chart's digits show. */
#define TB_MOVING_MAP_FINE 0.05

/** mm a mm between a place's gap and the level. */
#define TB_MOVING_MAP_SHARE 0.2

/** mm. No interval is wider than this, but where the search's budget ends. */
#define TB_MOVING_MAP_WIDEST 1.0

typedef struct TbMovingMapAsk {
    const TbMovingAsk *moving; /**< side a has a sweep, its first one's outside is looked at */
    const double *stations;    /**< of a as it is drawn, ascending */
    size_t station_count;
    size_t angle_count;
    const TbVec3 *points; /**< as drawn, by station, then around the path */
    double beyond;        /**< mm, above 0: gaps above this are only known to be above it */
    double level;         /**< mm, 0 or more */
} TbMovingMapAsk;

/**
 * @param[out] lower station_count x angle_count, mm, by station then angle: no value of the numbers
 *             brings the place nearer; 0 where it enters the other; 2 x `beyond` what is further
 *             than that; NAN at stations that are left out
 * @param[out] upper the same of what was seen at some value; or NULL
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_moving_map(
    const TbMovingMapAsk *ask, TbTask *task, double lower[], double upper[], TbFault *fault);
