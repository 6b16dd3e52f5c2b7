/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file profile.h
 * @brief Gap along the path: each station's filled section against a solid, with its interval.
 */
#pragma once

#include "gaps/discs.h"
#include "gaps/gap.h"

typedef struct TbProfilePoint {
    double station;
    double lower, upper; /**< mm; 0 where the section meets the solid */
    TbVec3 point_a, point_b;
    double angle;  /**< rad, of point_a */
    bool left_out; /**< within a port's radius: nothing computed */
} TbProfilePoint;

/** Bound carried from station to station: the next one starts from its neighbour's answer. */
typedef struct TbProfileAsk {
    TbSweep *sweep;
    const TbSolid *other;
    const double *stations; /**< ascending */
    size_t count;
    double width;
    const TbLeaveOut *leave_out;
    size_t leave_out_count;
    const TbDiscs *discs; /**< of the sweep at these stations, or NULL: made for this profile */
    TbWork *work;         /**< or NULL; the answers do not depend on it */
} TbProfileAsk;

/** Between which stations a path's sections are looked at: not where ports leave them out. */
void tb_profile_kept(
    const TbSweep *sweep, const TbLeaveOut leave_out[], size_t count, double *from, double *to);

/** @param[out] points room for ask->count. */
TbStatus tb_profile(const TbProfileAsk *ask, TbTask *task, TbProfilePoint points[], TbFault *fault);
