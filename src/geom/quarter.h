/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file quarter.h
 * @brief Private to geom: one quarter of a section, and the mixed area of two quarters.
 *
 * Every section is four quarters, one for each quadrant of normals, joined by flat sides. Seen in
 * its own quadrant (both axes made positive) a quarter is a superellipse's quarter of half sizes
 * (w, h) about the point (at_w, at_h):
 *     support(p, q) = at_w p + at_h q + ((w p)^m + (h q)^m)^(1/m),   p, q >= 0
 * A rounded rectangle's corner has n = 2; a superellipse has its centre at the origin.
 */
#pragma once

#include "geom/section.h"

typedef struct TbQuarter {
    double at_w, at_h; /**< centre; negative where the corner reaches over the origin */
    double w, h;       /**< half sizes, above 0 */
    double exponent, dual;
} TbQuarter;

/** The quarter of a unit shape at one of TB_CORNER_..., stretched by (a, b). */
TbQuarter tb_shape_quarter(const TbShape *shape, int corner, double a, double b);

/** Same quarter, field by field. */
bool tb_quarter_equal(const TbQuarter *a, const TbQuarter *b);

/** Support in a direction p, q >= 0, and the contact point, both in the quarter's own quadrant. */
double tb_quarter_support(const TbQuarter *quarter, double p, double q, TbVec2 *contact);

/**
 * The integral of the support of @p a over the outline of @p b, flat halves included, where both
 * are quarters of one quadrant: summed over four quarters it is twice the mixed area of the two
 * sections. Symmetric. With a unit circle it is b's part of the perimeter (Cauchy); with itself
 * twice its part of the area. Closed form where both arcs are ellipses or one is the other
 * stretched evenly; else quadrature good to 1e-14 relative.
 */
double tb_quarter_mixed(const TbQuarter *a, const TbQuarter *b);

/** Length of the quarter's outline with its flat halves: tb_quarter_mixed() with a unit circle. */
double tb_quarter_length(const TbQuarter *quarter);

/** Area of |x|^n + |y|^n <= 1 in one quadrant: Gamma(1+1/n)^2 / Gamma(1+2/n). */
double tb_quarter_factor(double exponent);

/** A place on a quarter's arc, in units of its half sizes, by zeta = ln(Y^n / X^n). */
typedef struct TbArcPlace {
    double x, y; /**< X and Y: x^n + y^n = 1 */
    double c, s; /**< x^n and y^n, each to its own last digit */
} TbArcPlace;

static inline TbArcPlace
tb_arc_place(double exponent, double zeta)
{
    double e = exp(-fabs(zeta));
    double large = 1 / (1 + e);
    double small = e / (1 + e);
    double x, y;

    if (exponent == 2) {
        x = sqrt(large);
        y = sqrt(small);
    } else {
        double ln_large = -log1p(e) / exponent;

        x = exp(ln_large);
        y = exp(ln_large - fabs(zeta) / exponent);
    }
    return zeta > 0 ? (TbArcPlace){y, x, small, large} : (TbArcPlace){x, y, large, small};
}

/** sinh u and cosh u with one exponential; to rounding of cosh u. */
static inline double
tb_sinh_cosh(double u, double *cosh_u)
{
    double e = exp(u);

    *cosh_u = 0.5 * (e + 1 / e);
    return 0.5 * (e - 1 / e);
}
