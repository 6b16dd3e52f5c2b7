/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file shape_private.h
 * @brief Private to geom: the support of a unit shape, inline: searches ask for little else.
 */
#pragma once

#include "geom/section.h"

#include <math.h>

/** Squares of lengths within these do not overflow, and lose nothing below the last digit. */
#define TB_SQUARE_LEAST 1e-270
#define TB_SQUARE_MOST 1e270

/**
 * (p^m + q^m)^(1/m) for p, q >= 0, and its gradient. One division by the larger makes it free of
 * overflow for every direction; a zero stays an exact zero.
 */
double tb_shape__any_norm(double exponent, double dual, double p, double q, double *x, double *y);

/** The same; the ellipse goes the short way wherever nothing overflows. */
static inline double
tb_shape__norm(double exponent, double dual, double p, double q, double *x, double *y)
{
    double square = p * p + q * q;

    if (exponent == 2 && square > TB_SQUARE_LEAST && square < TB_SQUARE_MOST) {
        double root = sqrt(square);

        *x = p / root;
        *y = q / root;
        return root;
    }
    return tb_shape__any_norm(exponent, dual, p, q, x, y);
}

/** A direction by its quadrant, and in the quadrant's own positive axes. */
typedef struct TbQuadrant {
    bool left, down;
    double p, q;
} TbQuadrant;

static inline TbQuadrant
tb_quadrant_of(TbVec2 d)
{
    return (TbQuadrant){d.x < 0, d.y < 0, fabs(d.x), fabs(d.y)};
}

static inline const TbShapeQuarter *
tb_shape__quarter(const TbShape *shape, const TbQuadrant *at)
{
    return &shape->quarter[(at->left ? 1 : 0) + (at->down ? 2 : 0)];
}

/** @param[out] x, y the contact point in the quadrant's axes */
static inline double
tb_shape__support(const TbShape *shape, const TbQuadrant *at, double *x, double *y)
{
    const TbShapeQuarter *k = tb_shape__quarter(shape, at);
    double reach = tb_shape__norm(shape->exponent, shape->dual, at->p * k->w, at->q * k->h, x, y);

    *x = k->at_w + k->w * *x;
    *y = k->at_h + k->h * *y;
    return k->at_w * at->p + k->at_h * at->q + reach;
}

static inline double
tb_shape__furthest(const TbShape *shape, const TbQuadrant *at)
{
    const TbShapeQuarter *k = tb_shape__quarter(shape, at);
    double x, y;

    return k->at_w * at->p + k->at_h * at->q +
           tb_shape__norm(shape->exponent, shape->dual, at->p * k->w, at->q * k->h, &x, &y);
}
