/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file measure_moving.h
 * @brief The least gap along a path over all of a motion and of its tolerances, station by station.
 */
#pragma once

#include "gaps/moving.h"
#include "study/case.h"

/** mm above what is watched. A station that is surely further off is not looked at closer. */
#define TB_MEASURE_MOVING_NEAR 20.0

/** mm. How wide the interval of a near station may be: half of what a chart's digits show. */
#define TB_MEASURE_MOVING_FINE 0.05

/** A pair that is asked along one of its paths over its motion, at the edge of its tolerances. */
typedef struct TbMovingAlong {
    TbPairAsk pair; /**< a is the path's */
    TbTies ties;
    const TbSpreadSet *spread; /**< at tolerance, sides as the pair has them; else NULL */
    bool turned;               /**< the path is side b of the pair */
} TbMovingAlong;

/**
 * What is asked along a path of a settled pair. Lends from the stand.
 *
 * @return false where nothing moves or scatters, or the pair is blended or cannot be judged
 */
bool tb_measure_moving_along(
    const TbCaseStand *in, guint index, bool turned, double width, TbMovingAlong *along);

/** The value is a TbProfile, stations as drawn. Whether it is proved: see
 * tb_measure_moving_is_certified().
 */
TbEntry *
tb_measure_moving_profile(TbCache *cache, const TbMovingAlong *along, double step, bool *is_new);

/** What is said is proved; not where an end's carrier is told without what carries it (warmth.h),
 * nor the tolerance of what rides on two mounts. */
bool tb_measure_moving_is_certified(const TbMovingAlong *along);

/* ---- for what else is computed along a path in motion ---- */

/** A question with its own copies. */
typedef struct TbMovingInput TbMovingInput;

TbMovingInput *tb_moving_input_of(const TbMovingAlong *along);
void tb_moving_input_free(TbMovingInput *input);

/** The motion and what is to be taken off its gaps. Lends from the input. */
TbStatus
tb_moving_input_motion(const TbMovingInput *input, TbScatterMotion *motion, TbFault *fault);

/** A key of all that it depends on but for the keep. */
TbKey *tb_measure_moving_key(const TbMovingAlong *along);
