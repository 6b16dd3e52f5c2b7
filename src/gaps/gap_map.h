/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file gap_map.h
 * @brief Gap unrolled: distance of points of the outer surface, by station and angle.
 */
#pragma once

#include "gaps/gap.h"

typedef struct TbGapMapAsk {
    const TbSweep *sweep;
    const TbSolid *other;
    const double *stations; /**< ascending */
    size_t station_count;
    size_t angle_count;   /**< angles -pi + (k + 1/2) 2 pi / count, the in-plane normal's ... */
    const TbVec3 *points; /**< ... unless these are given, by station then angle; or NULL */
    double beyond;        /**< mm, above 0: distances above this are only known to be above it */
    const TbLeaveOut *leave_out; /**< ports at which the two join; NULL: none */
    size_t leave_out_count;
    double width; /**< mm that distances to sweeps may be too much; 0: TB_GAP_WIDTH */
    TbWork *work;
} TbGapMapAsk;

/**
 * @param[out] gap   station_count x angle_count distances, mm, by station then angle, to
 * sweeps to `width`; 0 inside; what is further than `beyond` gets twice that; NAN at stations that
 * are left out. To plain shapes and meshes distances are exact, the same as of every triangle tried
 * @param[out] nearest the least of them, INFINITY where all stations are left out
 */
TbStatus
tb_gap_map(const TbGapMapAsk *ask, TbTask *task, double gap[], double *nearest, TbFault *fault);
