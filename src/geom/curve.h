/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file curve.h
 * @brief The centre curve of a duct or line, by arc length.
 *
 * A curve is a row of spans. A span is a cubic in u (a piece of a C2 spline) or a circular arc in u
 * (arc length). Station s counts true arc length in mm from the start, to TB_TOL_STATION relative.
 * A curve is immutable and reference-counted; any thread may read it.
 */
#pragma once

#include "base/fault.h"
#include "geom/pose.h"
#include "geom/vec3.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum TbSpanKind {
    TB_SPAN_CUBIC, /**< C(u) = c0 + u c1 + u^2 c2 + u^3 c3; a straight has c2 = c3 = 0, |c1| = 1 */
    TB_SPAN_ARC    /**< C(u) = c0 + cos(u/R) c1 + sin(u/R) c2, |c1| = |c2| = R, square; c3 unused */
} TbSpanKind;

typedef struct TbSpan {
    TbSpanKind kind;
    double extent; /**< u runs from 0 to this, above 0; mm */
    TbVec3 c[4];
    double radius; /**< of an arc, mm; 0 for a cubic */
    double start;  /**< station at u = 0 */
    double length; /**< arc length, mm */
} TbSpan;

typedef struct TbCurve TbCurve;

/** A place on a curve, and what the curve does there. Derivatives are by arc length. */
typedef struct TbCurvePoint {
    double station;
    size_t span;
    double u;
    TbVec3 point;
    TbVec3 tangent;   /**< unit */
    TbVec3 curvature; /**< dT/ds, points to the inside of the bend, 1/mm */
} TbCurvePoint;

/**
 * Smooth path: C2 cubic spline through the knots over chord length. With a tangent given the end
 * is clamped to it (unit speed); without one it is natural (no curvature at that end). However
 * uneven the knots are, a span strays from its chord, h long, by at most h sin(theta/2), theta the
 * largest turn at any knot (proof in curve_smooth.c).
 *
 * @param knots  points, mm, at least 2; neighbours further apart than TB_TOL_PLACE
 * @param start_tangent,end_tangent directions with the gas, need not be unit; or NULL
 * @param[out] curve owned by the caller
 * @return TB_OK, TB_E_RANGE (not finite, beyond TB_LIMIT_COORDINATE, fewer than 2),
 *         TB_E_DEGENERATE (two knots in one place; a path that doubles back at a knot, or stands
 *         still), TB_E_MEMORY. The fault names the knot, counted from 1
 */
TbStatus tb_curve_smooth_new(const TbVec3 knots[],
                             size_t count,
                             const TbVec3 *start_tangent,
                             const TbVec3 *end_tangent,
                             TbCurve **curve,
                             TbFault *fault);

/**
 * Bent path: straights between corners, an arc of the given radius at each inner corner.
 *
 * @param corners points, mm, at least 2, the ends included
 * @param radii   one for each corner, mm; those of the two ends are not read. A radius of 0 is
 *                refused where the path turns
 * @return as above; bends that do not fit give TB_E_DEGENERATE, with the leg, the length it needs
 *         and the length it has
 */
TbStatus tb_curve_bent_new(
    const TbVec3 corners[], const double radii[], size_t count, TbCurve **curve, TbFault *fault);

/** One row of a bender's table: straight, then turn the plane of the bend, then bend. */
typedef struct TbBend {
    double straight; /**< mm before the bend; in the last row the straight after the last bend */
    double rotation; /**< rad, from the last bend's plane, right-handed about the path; first 0 */
    double angle;    /**< rad, 0 to pi; 0 in the last row */
    double radius;   /**< mm */
} TbBend;

/** How many rows tb_curve_bends() writes for @p count corners. */
size_t tb_curve_max_bends(size_t count);

/**
 * The bender's table of corners and radii, also where bends do not fit (a straight is then below
 * 0).
 *
 * @param[out] bends room for tb_curve_max_bends(count)
 * @param[out] used  rows written: the bends plus the last straight
 */
TbStatus tb_curve_bends(const TbVec3 corners[],
                        const double radii[],
                        size_t count,
                        TbBend bends[],
                        size_t *used,
                        TbFault *fault);

TbCurve *tb_curve_ref(TbCurve *curve);
void tb_curve_unref(TbCurve *curve); /**< NULL is fine */

/** The same curve elsewhere, grown with its pose; stations scale too. NULL when no room. */
TbCurve *tb_curve_moved(const TbCurve *curve, TbPose pose);

double tb_curve_length(const TbCurve *curve);
size_t tb_curve_span_count(const TbCurve *curve);
const TbSpan *tb_curve_span(const TbCurve *curve, size_t index); /**< lends */

/** Place at a station; stations beyond an end are the end. */
TbCurvePoint tb_curve_at(const TbCurve *curve, double station);

/** Place at u of a span; at a joint of spans both sides give the same point and tangent. */
TbCurvePoint tb_curve_in_span(const TbCurve *curve, size_t span, double u);

/** Station of the curve's point nearest to @p p (global, to TB_TOL_STATION of the length). */
double tb_curve_nearest(const TbCurve *curve, TbVec3 p);

/** Point of a span and its first three derivatives by u: what bounds are made of. */
typedef struct TbSpanJet {
    TbVec3 c, c1, c2, c3;
} TbSpanJet;

TbSpanJet tb_span_jet(const TbSpan *span, double u);

/** Arc length of a span from u = 0 to @p u, mm; 8-point Gauss-Legendre on short enough parts. */
double tb_span_arc(const TbSpan *span, double u);
