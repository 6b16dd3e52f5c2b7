/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file random_sweep.h
 * @brief Sweeps and obstacles for tests: random ones of every kind from a seeded generator, and the
 *        few exact ones (straight bar, bend) that have closed forms.
 */
#pragma once

#include "geom/bound.h"
#include "tap.h"

#include <gsl/gsl_rng.h>

static inline double
between(gsl_rng *rng, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(rng);
}

static inline TbVec3
random_direction(gsl_rng *rng)
{
    for (;;) {
        TbVec3 d = {between(rng, -1, 1), between(rng, -1, 1), between(rng, -1, 1)};
        double square = tb_vec3_length2(d);

        if (square > 0.01 && square < 1)
            return tb_vec3_unit(d);
    }
}

/** Every kind of outline: circle, superellipse, D shape, rounded with four radii, off centre. */
static inline TbSection
random_section(gsl_rng *rng, double size, bool plain)
{
    double w = size * between(rng, 0.6, 1.4), h = size * between(rng, 0.6, 1.4);
    double kind = gsl_rng_uniform(rng);
    TbSection s = tb_section_superellipse(w, h, 2);

    if (kind < 0.5)
        s.exponent = between(rng, 1.3, 8);
    if (kind < 0.25) {
        s.half[TB_SIDE_RIGHT] *= between(rng, 0.5, 1.5);
        s.half[TB_SIDE_UP] *= between(rng, 0.5, 1.5);
    }
    if (kind > 0.75) {
        s = tb_section_rounded(w, h, 0.05 * size);
        for (int i = 0; i < 4; i++)
            s.corner[i] = between(rng, 0.1, 0.95) * 0.5 * fmin(w, h);
    }
    if (plain)
        return s;
    s.wall = gsl_rng_uniform(rng) < 0.3 ? 0 : between(rng, 0.8, 5);
    if (gsl_rng_uniform(rng) < 0.4)
        s.offset = tb_vec2(between(rng, -0.2, 0.2) * size, between(rng, -0.2, 0.2) * size);
    return s;
}

static inline TbSweep *
sweep_of(TbCurve *curve, const TbSectionRow rows[], size_t count)
{
    TbSweepDef def = {.curve = curve, .rows = rows, .row_count = count};
    TbSweep *sweep = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_sweep_new(&def, &sweep, &fault) == TB_OK, "%s", fault.text);
    tb_curve_unref(curve);
    return sweep;
}

/** Smooth or bent, 4 to 6 points, 2 to 4 sections, bends of all tightness. */
static inline TbSweep *
random_sweep(gsl_rng *rng, double size)
{
    size_t count = 4 + gsl_rng_uniform_int(rng, 3), rows = 2 + gsl_rng_uniform_int(rng, 3);
    bool bent = gsl_rng_uniform(rng) < 0.35;
    TbVec3 p[6], way = random_direction(rng);
    double radii[6], length, turn = 0;
    TbSectionRow row[4];
    TbCurve *curve = NULL;
    TbFault fault = {0};
    TbStatus status;

    p[0] = tb_vec3_scale(random_direction(rng), 50);
    for (size_t i = 1; i < count; i++) {
        p[i] = tb_vec3_add_scaled(p[i - 1], between(rng, 70, 130), way);
        way = tb_vec3_unit(tb_vec3_add_scaled(way, bent ? 0.7 : 0.45, random_direction(rng)));
        radii[i] = between(rng, 20, 45);
    }
    radii[0] = 0;
    status = bent ? tb_curve_bent_new(p, radii, count, &curve, &fault)
                  : tb_curve_smooth_new(p, count, NULL, NULL, &curve, &fault);
    ck_assert_msg(status == TB_OK, "%s", fault.text);
    length = tb_curve_length(curve);
    for (size_t i = 0; i < rows; i++) {
        row[i] = (TbSectionRow){.section = random_section(rng, size, false)};
        row[i].station = length *
                         ((double)i + (i > 0 && i + 1 < rows ? between(rng, -.3, .3) : 0)) /
                         (double)(rows - 1);
        row[i].station = fmin(row[i].station, length);
        row[i].section.turn = turn;
        row[i].holds_size = gsl_rng_uniform(rng) < 0.3;
        turn += between(rng, -0.4, 0.4);
    }
    return sweep_of(curve, row, rows);
}

/** One section all along a straight. */
static inline TbSweep *
straight_sweep(TbVec3 a, TbVec3 b, TbSection section)
{
    TbVec3 p[2] = {a, b};
    TbSectionRow row = {.section = section};
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_curve_smooth_new(p, 2, NULL, NULL, &curve, &fault) == TB_OK, "%s", fault.text);
    return sweep_of(curve, &row, 1);
}

/**
 * A round bar bent about the Z axis through the origin: the arc of radius R runs from angle a0 to
 * a1 (from +X towards +Y, less than half a turn) in the plane z = 0, between two straights `leg`
 * long.
 */
static inline TbSweep *
bend_sweep(double R, double a0, double a1, double leg, double outside, double wall)
{
    double half = 0.5 * (a1 - a0), reach = R * tan(half) + leg, middle = 0.5 * (a0 + a1);
    TbVec3 corner = {R / cos(half) * cos(middle), R / cos(half) * sin(middle), 0};
    TbVec3 p[3] = {tb_vec3_add_scaled(corner, -reach, tb_vec3(-sin(a0), cos(a0), 0)), corner,
                   tb_vec3_add_scaled(corner, reach, tb_vec3(-sin(a1), cos(a1), 0))};
    double radii[3] = {0, R, 0};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_curve_bent_new(p, radii, 3, &curve, &fault) == TB_OK, "%s", fault.text);
    ck_assert_msg(tb_sweep_new_round(curve, outside, wall, &sweep, &fault) == TB_OK, "%s",
                  fault.text);
    tb_curve_unref(curve);
    return sweep;
}

/** A random part of a random piece, now and then all of it; false when it came out too short. */
static inline bool
random_strip(gsl_rng *rng, const TbSweep *sweep, TbStrip *strip)
{
    size_t index = gsl_rng_uniform_int(rng, tb_sweep_piece_count(sweep));
    const TbPiece *piece = tb_sweep_piece(sweep, index);
    double u0 = between(rng, 0, piece->extent);
    double u1 = fmin(piece->extent, u0 + piece->extent * pow(10, between(rng, -1.5, 0)));

    if (gsl_rng_uniform(rng) < 0.25)
        u0 = 0;
    if (gsl_rng_uniform(rng) < 0.25)
        u1 = piece->extent;
    if (u1 - u0 < 0.02)
        return false;
    *strip = tb_strip_of(piece, u0, u1, true);
    return true;
}
