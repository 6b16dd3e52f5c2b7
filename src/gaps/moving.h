/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moving.h
 * @brief The certified gap of two solids over all of a motion: its interval, the worst place, and
 *        the numbers (angle, shifts, growths) at which it is there.
 *
 * The two motions are independent: every number of one goes with every number of the other, but
 * for warm ones that are tied. What two items have in common (both ride on one mount) moves neither
 * against the other and must not be in either. Numbers are searched along with the surfaces: a part
 * of a surface over a range of them lies in the hull of that part at the range's ends, widened by
 * what an arc leaves its chord. So an interior worst angle is found as any other, and no pose is
 * only sampled.
 *
 * `lower` holds over the whole motion, `upper` is witnessed at one pose. If the budget runs out the
 * interval is wider, still true, and `exhausted`. Where the two meet at some pose the gap is minus
 * the largest depth: cells of numbers are then bounded by the static depth in their middle less
 * what anything that matters travels from there, at most TB_MOVING_DEPTHS times or until the
 * interval is no wider than depth_width or a fiftieth of the depth. So the interval of a depth is
 * wide where the motion is; `upper` is a depth that was found at one pose. An open mesh that meets
 * the other at some pose crosses it: 0. Cold: an answer depends on nothing but the question.
 */
#pragma once

#include "gaps/gap.h"
#include "motion/motion.h"

/** Static depths that a depth over a motion is made from, at most. */
#define TB_MOVING_DEPTHS 64

/** One number that both sides have: the warmth of what carries an end of one, or of both. */
typedef struct TbMovingTie {
    int a, b;      /**< which of the warm freedoms of each, counted from the motion's first */
    bool opposite; /**< one is at its low end where the other is at its high one */
} TbMovingTie;

#define TB_MOVING_TIES TB_MOTION_WARM

typedef struct TbMovingAsk {
    const TbSolid *a, *b; /**< where the motions have not moved them */
    TbMotion motion_a, motion_b;
    TbMovingTie tie[TB_MOVING_TIES];
    int ties;
    double width;       /**< mm wanted between lower and upper; TB_GAP_WIDTH_LEAST or more */
    double depth_width; /**< the same for overlaps; 0 means TB_DEPTH_WIDTH */
    double enough; /**< mm: stop when it is decided that the gap is at least this or below it; 0 or
                        less: only the width stops it */
    const TbLeaveOut *leave_out; /**< where nothing has moved yet */
    size_t leave_out_count;
    long budget; /**< pairs of nodes and ranges; 0 means TB_GAP_BUDGET */
    /** What is known of one pose: the numbers, and the static gap there to the same width or the
     * gap of a motion within this one that is worst there (its `lower` is not read). The search
     * begins with it; NULL: it asks for a pose's gap itself. */
    const struct TbMovingGap *known;
} TbMovingAsk;

typedef struct TbMovingGap {
    TbGap gap; /**< of the worst pose, points where they are then; its interval is the motion's */
    double at_a[TB_MOTION_MOST], at_b[TB_MOTION_MOST]; /**< the numbers of the worst pose */
    TbPose pose_a, pose_b;                             /**< that they make */
    size_t depths; /**< static gaps asked: 1 where the two never meet, 0 where one was known */
} TbMovingGap;

/** The numbers at which nothing has moved. @return false: they are not all within the ranges */
bool tb_moving_rest(const TbMotion *motion, double at[]);

/** @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY */
TbStatus tb_moving_gap(const TbMovingAsk *ask, TbTask *task, TbMovingGap *moving, TbFault *fault);

/** The gap at one value of all numbers. @return as tb_moving_gap() */
TbStatus tb_moving_gap_at(const TbMovingAsk *ask,
                          const double at_a[],
                          const double at_b[],
                          TbTask *task,
                          TbGap *gap,
                          TbFault *fault);

/** The same at any two poses; `enough` counts. @return as tb_moving_gap() */
TbStatus tb_moving_gap_posed(
    const TbMovingAsk *ask, TbPose pose_a, TbPose pose_b, TbTask *task, TbGap *gap, TbFault *fault);

/** Two solids as if they had been drawn where a motion puts them, and their ports: where nothing
 * has moved, and where either has taken them. */
typedef struct TbMovingStill {
    TbSolid *solid[2];
    TbLeaveOut *leave_out;
    size_t leave_out_count;
} TbMovingStill;

/** @return TB_OK or TB_E_MEMORY; to be cleared in either case */
TbStatus tb_moving_still(const TbMovingAsk *ask,
                         const double at_a[],
                         const double at_b[],
                         TbMovingStill *still,
                         TbFault *fault);
void tb_moving_still_clear(TbMovingStill *still);

/** Solids that change their shape along a motion, pose by pose. */
typedef struct TbSampledAsk {
    size_t poses; /**< 1 or more (asserted) */
    /** Both solids at one pose, references handed over; either may be the same each time. */
    TbStatus (*solids)(void *user, size_t pose, TbSolid **a, TbSolid **b, TbFault *fault);
    void *user;
    double width;
    const TbLeaveOut *leave_out; /**< at every pose */
    size_t leave_out_count;
} TbSampledAsk;

/**
 * The least gap of sampled poses: what lies between them is not known, so `certified` is false.
 *
 * @param[out] worst its pose
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY, what `solids` said
 */
TbStatus
tb_moving_sampled(const TbSampledAsk *ask, TbTask *task, TbGap *gap, size_t *worst, TbFault *fault);
