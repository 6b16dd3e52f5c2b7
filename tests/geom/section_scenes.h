/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file section_scenes.h
 * @brief Random sections and tables for the tests, and outlines measured the slow way.
 */
#pragma once

#include "geom/law.h"

#include <gsl/gsl_rng.h>
#include <math.h>

static inline double
between(gsl_rng *rng, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(rng);
}

/** Spread evenly by its logarithm. */
static inline double
log_between(gsl_rng *rng, double low, double high)
{
    return exp(between(rng, log(low), log(high)));
}

/** Any valid section without turn, offset or wall: all kinds, half of them with uneven sides. */
static inline TbSection
random_section(gsl_rng *rng, double least_exponent)
{
    TbSection s = {.exponent = 2};
    double w = log_between(rng, 12, 140);
    double h = w * log_between(rng, 0.3, 3.3);
    double lean_w = gsl_rng_get(rng) % 2 == 0 ? 0.5 : between(rng, 0.15, 0.85);
    double lean_h = gsl_rng_get(rng) % 2 == 0 ? 0.5 : between(rng, 0.15, 0.85);
    bool even = gsl_rng_get(rng) % 2 == 0;
    double share = between(rng, 0.01, 0.5);

    s.kind = gsl_rng_get(rng) % 2 == 0 ? TB_SECTION_SUPERELLIPSE : TB_SECTION_ROUNDED;
    s.half[TB_SIDE_RIGHT] = lean_w * w;
    s.half[TB_SIDE_LEFT] = w - s.half[TB_SIDE_RIGHT];
    s.half[TB_SIDE_UP] = lean_h * h;
    s.half[TB_SIDE_DOWN] = h - s.half[TB_SIDE_UP];
    if (s.kind == TB_SECTION_SUPERELLIPSE && gsl_rng_get(rng) % 4 != 0)
        s.exponent = log_between(rng, least_exponent, 50);
    for (int i = 0; i < 4; i++)
        s.corner[i] = fmin(w, h) * (even ? share : between(rng, 0.01, 0.5));
    return s;
}

/** Grown evenly so that its area is @p area. */
static inline TbSection
with_area(TbSection s, double area)
{
    double k = sqrt(area / tb_section_area(s));

    for (int i = 0; i < 4; i++) {
        s.half[i] *= k;
        s.corner[i] *= k;
    }
    return s;
}

/** Support of a section from its definition: unit shape, stretched, shifted, turned, walled. */
static inline double
section_support(TbSection s, TbVec2 d, bool outer, TbVec2 *contact)
{
    TbShape shape = tb_shape_of(s);
    double a = tb_section_width(s) / 2;
    double b = tb_section_height(s) / 2;
    double c = cos(s.turn);
    double sn = sin(s.turn);
    double dw = c * d.x - sn * d.y;
    double dh = sn * d.x + c * d.y;
    double length = hypot(d.x, d.y);
    double t = outer ? s.wall : 0;
    TbVec2 p;
    double reach = tb_shape_support(&shape, tb_vec2(a * dw, b * dh), &p);
    double w = a * p.x + s.offset.x + t * dw / length;
    double h = b * p.y + s.offset.y + t * dh / length;

    *contact = tb_vec2(c * w + sn * h, c * h - sn * w);
    return reach + s.offset.x * dw + s.offset.y * dh + t * length;
}

/** The k-th of @p cells + 1 normals of a quadrant of the turned axes, crowded towards the axes. */
static inline TbVec2
graded_normal(const TbSlice *slice, int quadrant, int k, int cells)
{
    double z = sinh(7 * (2.0 * k / cells - 1));
    double near = z > 0 ? exp(-z) : 1;
    double far = z > 0 ? 1 : exp(z);
    double length = hypot(near, far);
    double c = cos(slice->turn);
    double s = sin(slice->turn);
    double w, h;

    near /= length;
    far /= length;
    w = quadrant == 0 ? far : quadrant == 1 ? near : quadrant == 2 ? -far : -near;
    h = quadrant == 0 ? near : quadrant == 1 ? -far : quadrant == 2 ? -near : far;
    return tb_vec2(c * w + s * h, c * h - s * w);
}

/** What a slow walk along the outline measures, with nothing but supports. */
typedef struct Measured {
    double area, perimeter;
} Measured;

/**
 * Polygon of contact points, and between two of them two thirds of the triangle that the chord and
 * the tangents make (exact for a parabola); the perimeter as one third tangents, two thirds chord.
 * The error falls with the fourth power of the step.
 */
static inline Measured
measured(const TbSlice *slice, bool outer, int cells)
{
    Measured m = {0, 0};
    TbVec2 first = {0, 0}, last = {0, 0}, last_normal = {0, 0};

    for (int k = 0; k <= 4 * (cells + 1); k++) {
        bool closing = k == 4 * (cells + 1);
        int at = closing ? 0 : k;
        TbVec2 n = graded_normal(slice, at / (cells + 1), at % (cells + 1), cells);
        TbVec2 p;

        tb_slice_support(slice, n, outer, &p);
        if (k == 0) {
            first = p;
        } else {
            TbVec2 along;
            double chord, sin0, sin1, turning;

            p = closing ? first : p;
            along = tb_vec2_sub(p, last);
            chord = tb_vec2_length(along);
            m.area -= tb_vec2_cross(last, p) / 2;
            m.perimeter += chord;
            turning = fabs(tb_vec2_cross(last_normal, n));
            if (chord > 0 && turning > 1e-9) {
                sin0 = fabs(tb_vec2_dot(last_normal, along)) / chord;
                sin1 = fabs(tb_vec2_dot(n, along)) / chord;
                m.area += chord * chord * sin0 * sin1 / turning / 3;
                /* below this the tangents are the chord to 1e-9, and rounding would tell */
                if (turning > 1e-4)
                    m.perimeter += ((sin0 + sin1) / turning - 1) * chord / 3;
            }
        }
        last = p;
        last_normal = n;
    }
    return m;
}
