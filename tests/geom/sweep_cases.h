/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file sweep_cases.h
 * @brief Sweeps that several test programs use.
 */
#pragma once

#include "geom/sweep.h"
#include "tap.h"

#include <gsl/gsl_rng.h>
#include <math.h>

/** An outlet: round turbine exit, stadium past the rail, round flange; uneven knots. */
static const TbVec3 outlet_knots[] = {
    {412.3, -187.9, 702.1}, {419.8, -171.4, 664.3}, {468.6, -131.2, 603.8},
    {603.1, -95.5, 561.9},  {741.7, 17.3, 468.4},   {792.1, 23.9, 303.2},
};
enum { OUTLET_KNOTS = sizeof outlet_knots / sizeof outlet_knots[0] };

static inline TbSectionRow
row_at(double station, TbSection section, double turn, double wall)
{
    TbSectionRow row = {.section = section, .station = station};

    row.section.turn = turn;
    row.section.wall = wall;
    return row;
}

static inline TbSweep *
sweep_of(TbCurve *curve, const TbSectionRow *rows, size_t count, const TbVec3 *up)
{
    TbSweepDef def = {curve, rows, count, up};
    TbSweep *sweep = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_sweep_new(&def, &sweep, &fault) == TB_OK, "%s", fault.text);
    return sweep;
}

/** Rows of the outlet: kinds differ, all values change. */
static inline size_t
outlet_rows(TbSectionRow rows[4])
{
    rows[0] = row_at(0, tb_section_superellipse(51.3, 51.3, 2), 0, 2.1);
    rows[1] = row_at(163.7, tb_section_rounded(73.1, 39.7, 11.3), 0.37, 2.9);
    rows[2] = row_at(241.9, tb_section_superellipse(64.2, 52.9, 3.3), -0.21, 2.4);
    rows[2].section.offset = tb_vec2(3.7, -2.2);
    rows[3] = row_at(0, tb_section_superellipse(63.5, 63.5, 2), 0, 3);
    rows[3].from_end = true;
    return 4;
}

static inline TbCurve *
outlet_curve(void)
{
    TbVec3 t0 = {0.21, 0.35, -0.9}, t1 = {0, 0.1, -1};
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_curve_smooth_new(outlet_knots, OUTLET_KNOTS, &t0, &t1, &curve, &fault) ==
                      TB_OK,
                  "%s", fault.text);
    return curve;
}

static inline TbSweep *
outlet(void)
{
    TbSectionRow rows[4];
    size_t count = outlet_rows(rows);
    TbCurve *curve = outlet_curve();
    TbSweep *sweep = sweep_of(curve, rows, count, NULL);

    tb_curve_unref(curve);
    return sweep;
}

static inline TbCurve *
bent_curve(const TbVec3 *corners, const double *radii, size_t count)
{
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_curve_bent_new(corners, radii, count, &curve, &fault) == TB_OK, "%s",
                  fault.text);
    return curve;
}

/** One bend of @p degrees with straights of @p straight mm on both sides, in the plane Y = 0. */
static inline TbCurve *
one_bend(double radius, double degrees, double straight)
{
    double angle = degrees * M_PI / 180, leg = straight + radius * tan(angle / 2);
    TbVec3 corners[3] = {{-leg, 0, 0}, {0, 0, 0}, {leg * cos(angle), 0, leg * sin(angle)}};
    double radii[3] = {0, radius, 0};

    return bent_curve(corners, radii, 3);
}

static inline double
random_between(gsl_rng *rng, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(rng);
}
