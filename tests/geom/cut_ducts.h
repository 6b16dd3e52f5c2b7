/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_ducts.h
 * @brief Ducts that tests of cuts and of drawings in motion share.
 */
#pragma once

#include "geom/sweep.h"
#include "tap.h"

/** Round tube with one bend between two straights. */
static inline TbSweep *
bent_tube(void)
{
    const TbVec3 corners[3] = {{10.3, -7.7, 402.1}, {150.9, -7.7, 402.1}, {150.9, 133.1, 402.1}};
    const double radii[3] = {0, 83.1, 0};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;

    ck_assert_int_eq(tb_curve_bent_new(corners, radii, 3, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, 54.3, 3.7, &sweep, NULL), TB_OK);
    tb_curve_unref(curve);
    return sweep;
}

/** An S in space: circle to stadium, turned, to a squarish superellipse, with a wall that grows. */
static inline TbSweep *
sample_duct(void)
{
    static const TbVec3 knots[5] = {{811.3, -37.9, 419.1},
                                    {901.9, -13.3, 397.7},
                                    {991.1, 60.9, 391.3},
                                    {1103.7, 81.1, 331.9},
                                    {1220.1, 43.3, 300.7}};
    TbSectionRow rows[3] = {{.section = tb_section_superellipse(61.3, 61.3, 2)},
                            {.section = tb_section_rounded(83.1, 47.9, 15.3)},
                            {.section = tb_section_superellipse(71.9, 66.1, 5.3)}};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;

    rows[1].station = 171.3;
    rows[1].section.turn = 0.413;
    rows[2].from_end = true;
    for (int i = 0; i < 3; i++)
        rows[i].section.wall = 2.3 + 0.7 * i;
    ck_assert_int_eq(tb_curve_smooth_new(knots, 5, NULL, NULL, &curve, NULL), TB_OK);
    ck_assert_int_eq(
        tb_sweep_new(&(TbSweepDef){.curve = curve, .rows = rows, .row_count = 3}, &sweep, NULL),
        TB_OK);
    tb_curve_unref(curve);
    return sweep;
}
