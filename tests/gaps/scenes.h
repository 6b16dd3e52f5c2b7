/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scenes.h
 * @brief Solids for the tests of gaps, made at run time, and the question with its usual fields.
 */
#pragma once

#include "random_sweep.h"

#include "gaps/gap.h"
#include "geom/tol.h"

static inline TbSolid *
solid_of_sweep(TbSweep *sweep)
{
    TbSolid *solid = tb_solid_new();

    ck_assert_int_eq(tb_solid_add_sweep(solid, sweep, 0, NULL), TB_OK);
    tb_sweep_unref(sweep);
    return solid;
}

static inline TbSolid *
solid_of_plain(TbPlain plain)
{
    TbSolid *solid = tb_solid_new();
    TbFault fault = {0};

    ck_assert_msg(tb_solid_add_plain(solid, &plain, 0, &fault) == TB_OK, "%s", fault.text);
    return solid;
}

static inline TbPlain
ball(TbVec3 centre, double radius)
{
    return (TbPlain){.kind = TB_PLAIN_BALL, .ball = {centre, radius}};
}

static inline TbPlain
rod(TbVec3 a, TbVec3 b, double radius)
{
    return (TbPlain){.kind = TB_PLAIN_ROD, .rod = {a, b, radius, radius}};
}

static inline TbPlain
cone(TbVec3 a, TbVec3 b, double radius_a, double radius_b)
{
    return (TbPlain){.kind = TB_PLAIN_ROD, .rod = {a, b, radius_a, radius_b}};
}

/** A block with one axis along `z`, the others square to it in some way. */
static inline TbPlain
block(TbVec3 centre, TbVec3 z, double x_half, double y_half, double z_half)
{
    TbVec3 axis = tb_vec3_unit(z);
    TbVec3 other = fabs(axis.x) < 0.7 ? tb_vec3(1, 0, 0) : tb_vec3(0, 1, 0);
    TbVec3 x = tb_vec3_unit(tb_vec3_across(other, axis));

    return (TbPlain){
        .kind = TB_PLAIN_BLOCK,
        .block = {centre, {x, tb_vec3_cross(axis, x), axis}, {x_half, y_half, z_half}}};
}

/** A prism over points of the plane z = z0, standing up by depth. */
static inline TbPlain
prism(const TbVec2 points[], size_t count, double z0, double depth, double rounding)
{
    return (TbPlain){.kind = TB_PLAIN_OUTLINE,
                     .outline = {{0, 0, z0}, {1, 0, 0}, {0, 1, 0}, points, count, depth, rounding}};
}

/** An L: 60 x 50 less the corner beyond (24, 18). */
static const TbVec2 angle_points[6] = {{0, 0}, {60, 0}, {60, 18}, {24, 18}, {24, 50}, {0, 50}};

/** An irregular pentagon, convex. */
static const TbVec2 pentagon[5] = {{0, 0}, {41, -6}, {55, 23}, {30, 47}, {-9, 28}};

/** A slab 200 mm thick whose near face is the plane n . x = c seen from below; n unit. */
static inline TbPlain
slab(TbVec3 n, double c, TbVec3 about)
{
    TbVec3 foot = tb_vec3_add_scaled(about, c - tb_vec3_dot(about, n), n);

    return block(tb_vec3_add_scaled(foot, 100, n), n, 900, 900, 100);
}

static inline TbGap
ask_gap(const TbSolid *a, const TbSolid *b, double width)
{
    TbGapAsk ask = {.a = a, .b = b, .width = width, .hint = INFINITY};
    TbGap gap;
    TbFault fault = {0};

    ck_assert_msg(tb_gap(&ask, NULL, &gap, &fault) == TB_OK, "%s", fault.text);
    return gap;
}

/** Ask both ways round, give the solids back, and check the interval against the truth. */
static inline void
check_gap(TbSolid *a, TbSolid *b, double truth, const char *what)
{
    static const double widths[3] = {1e-2, 1e-4, 1e-6};

    for (int i = 0; i < 3; i++) {
        for (int turn = 0; turn < 2; turn++) {
            TbGap g = turn == 0 ? ask_gap(a, b, widths[i]) : ask_gap(b, a, widths[i]);

            ck_assert_msg(g.lower <= truth + TB_TOL_ROUND && g.upper >= truth - TB_TOL_ROUND,
                          "%s: [%.10f, %.10f] misses %.10f", what, g.lower, g.upper, truth);
            ck_assert_msg(g.upper - g.lower <= widths[i] && !g.exhausted,
                          "%s: [%.10f, %.10f] is wider than %g (%ld nodes)", what, g.lower, g.upper,
                          widths[i], g.nodes);
            ck_assert_int_eq(g.contact, TB_CLEAR);
            ck_assert_double_eq_tol(tb_vec3_distance(g.point_a, g.point_b), g.upper,
                                    2 * TB_TOL_ROUND);
        }
    }
    tb_solid_unref(a);
    tb_solid_unref(b);
}
