/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file curve_private.h
 * @brief What the two kinds of path and the sweep share about a curve.
 */
#pragma once

#include "geom/curve.h"

#include "base/text.h"

/** rad. Two chords or legs that turn by more double back: 179 degrees. */
#define TB_TURN_MOST 3.1241393610698500

/** rad. A corner that turns by less is no corner: over 10 m it is TB_TOL_PLACE. */
#define TB_TURN_LEAST 1e-9

/** A curve of @p count spans with kind, extent, c and radius set; stations and lengths are computed
 * here. NULL when no room. */
TbCurve *tb_curve__new(const TbSpan spans[], size_t count);

/** Points in range and neighbours apart, else a fault about the `what` ("knot") and its number. */
TbStatus
tb_curve__check_points(const TbVec3 points[], size_t count, const char *what, TbFault *fault);

/** dC/du. */
TbVec3 tb_span__slope(const TbSpan *span, double u);

/** |dC/du|. */
double tb_span__speed(const TbSpan *span, double u);

/** The place at u of a span, its number and the station known. */
TbCurvePoint tb_span__place(const TbSpan *span, size_t index, double u, double station);

/** True where u is arc length: arcs, and cubics without c2 and c3. */
bool tb_span__is_even(const TbSpan *span);

/** Places of the quadrature rule used throughout. */
#define TB_GAUSS 8

/** The 8-point Gauss-Legendre rule over an interval; exact for degree 15. */
void tb_gauss__places(double u0, double u1, double at[TB_GAUSS], double weight[TB_GAUSS]);

/** Arc length between two parameters by one 8-point Gauss-Legendre rule. */
double tb_span__gauss(const TbSpan *span, double u0, double u1);

/** Arc length between two parameters, halved until the rule agrees with its halves. */
double tb_span__arc_between(const TbSpan *span, double u0, double u1);

/** u of the place an arc length into a span: Newton, kept inside its bracket by halving. */
double tb_span__u_of(const TbSpan *span, double arc);

/** Chord from u0 to u1, without the rounding of two large points. */
TbVec3 tb_span__chord(const TbSpan *span, double u0, double u1);

/** Angle between two directions of any length, rad, 0 to pi. */
double tb_curve__turn(TbVec3 a, TbVec3 b);

/** A number for a fault: four decimals at most, no zeros behind. */
const char *tb_curve__number(double x, char out[TB_TEXT_NUMBER]);
