/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moving_scenes.h
 * @brief Motions for the tests of gaps, and what every answer must satisfy.
 */
#pragma once

#include "scenes.h"

#include "base/mem.h"
#include "gaps/moving.h"
#include "geom/carried.h"

#define DEGREE (M_PI / 180)

static inline TbMotion
rocking(TbRock rock)
{
    TbMotion motion = {.count = 0};
    TbFault fault = {0};

    ck_assert_msg(tb_motion_add_rock(&motion, rock, &fault) == TB_OK, "%s", fault.text);
    return motion;
}

static inline TbMovingGap
ask_moving(const TbMovingAsk *ask)
{
    TbMovingGap moving;
    TbFault fault = {0};

    ck_assert_msg(tb_moving_gap(ask, NULL, &moving, &fault) == TB_OK, "%s", fault.text);
    return moving;
}

/** The witness is two points as far apart as said, and the gap of the two solids at its numbers is
 * no more than that. */
static inline void
check_witness(const TbMovingAsk *ask, const TbMovingGap *m)
{
    TbGap at;

    ck_assert_double_eq_tol(tb_vec3_distance(m->gap.point_a, m->gap.point_b), m->gap.upper,
                            2 * TB_TOL_ROUND);
    for (int i = 0; i < ask->motion_a.count; i++) {
        ck_assert_double_ge(m->at_a[i], ask->motion_a.freedom[i].low);
        ck_assert_double_le(m->at_a[i], ask->motion_a.freedom[i].high);
    }
    ck_assert_int_eq(tb_moving_gap_at(ask, m->at_a, m->at_b, NULL, &at, NULL), TB_OK);
    ck_assert_double_le(at.lower, m->gap.upper + TB_TOL_ROUND);
    ck_assert_double_ge(at.upper, m->gap.lower - TB_TOL_ROUND);
}
