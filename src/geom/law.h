/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file law.h
 * @brief Sections along a path: what the outline is between the given ones.
 *
 * Between two given sections area A and rho = ln(width/height) are C1 monotone cubics of the
 * station (Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238, doi 10.1137/0717021), so an
 * area that grows at the given sections grows everywhere between. Turn, wall and offset are
 * monotone cubics too. The outline is the blend of the two unit shapes, w = smoothstep of the
 * station, stretched so that area and width/height follow their laws exactly:
 *     K = diag(a, b) ((1-w) U0 + w U1),   a b G(w) = A,   a / b = exp(rho)
 * with G(w) the area of the blend. A section that `holds size` asks for monotone width and height
 * on both of its sides instead; area is then promised nothing.
 * Before the first given section and after the last one the law is constant; the cubics leave and
 * reach such a part with slope 0. Everything is C1 along the whole path, also where area and
 * width/height hand over to width and height.
 */
#pragma once

#include "geom/section.h"

/** Largest number of given sections of one path. */
#define TB_LAW_MOST_ROWS 10000

typedef struct TbSectionRow {
    TbSection section;
    double station; /**< mm from the start, or from the end where from_end is set (0 or more) */
    bool from_end;
    bool holds_size; /**< width and height monotone instead of area and width/height */
} TbSectionRow;

/** One interval between given sections, in x = station - start. A constant end is one too. */
typedef struct TbLawSpan {
    double start, length; /**< mm */
    bool by_size;         /**< `size` holds W and H instead of A and rho */
    double size[2][4];    /**< cubics: A mm^2 and rho = ln(W/H); or W and H, mm */
    double turn[4], wall[4], offset_w[4], offset_h[4]; /**< cubics, rad and mm */
    TbShape from, to;
    TbShapePair pair;
} TbLawSpan;

/** The section at one station: blended, stretched, turned, shifted, with its wall. */
typedef struct TbSlice {
    const TbShape *from, *to; /**< belong to the law */
    double mix;               /**< w, 0 at from; 0 throughout where both shapes are equal */
    double a, b;              /**< half width and half height of the inner outline, mm */
    double turn;              /**< rad */
    double wall;              /**< mm */
    TbVec2 offset;            /**< mm, in the turned axes */
    double area;              /**< inner, mm^2 */
    double growth;            /**< dA/ds, mm^2/mm */
    bool is_circle;           /**< a circle of radius a about the offset, which supports know */
} TbSlice;

typedef struct TbLaw TbLaw;

/**
 * The law of a path.
 *
 * @param rows   at least 1, stations ascending once resolved, apart by TB_TOL_PLACE or more, inside
 *               0 to length; nearer to an end than TB_TOL_PLACE is at it
 * @param length of the path, mm
 * @param[out] law owned by the caller; untouched on failure
 * @return TB_OK, TB_E_RANGE or TB_E_DEGENERATE naming the row (from 1), TB_E_LIMIT, TB_E_MEMORY
 */
TbStatus
tb_law_new(const TbSectionRow rows[], size_t count, double length, TbLaw **law, TbFault *fault);

TbLaw *tb_law_ref(TbLaw *law);
void tb_law_unref(TbLaw *law); /**< NULL is fine */

/** The same law grown: sizes, walls, offsets and stations times @p factor. NULL when no room. */
TbLaw *tb_law_scaled(const TbLaw *law, double factor);

size_t tb_law_span_count(const TbLaw *law);
const TbLawSpan *tb_law_span(const TbLaw *law, size_t index); /**< lends */

/** Index of the span that holds a station; at a given section the span that begins there. */
size_t tb_law_find(const TbLaw *law, double station);

/** The section at a station; stations beyond an end are the end. Allocates nothing. */
TbSlice tb_law_at(const TbLaw *law, double station);

/** The section at a station, its span known: what inner loops call. */
TbSlice tb_law_in_span(const TbLawSpan *span, double station);

/** Its turn alone. */
double tb_law_turn_in_span(const TbLawSpan *span, double station);

/**
 * Support of a slice in its plane, in the path's untwisted axes.
 *
 * @param d     direction (w, h), any length
 * @param outer with the wall
 * @param[out] contact point of the outline, mm from the path's point
 */
double tb_slice_support(const TbSlice *slice, TbVec2 d, bool outer, TbVec2 *contact);

/** The same in the slice's own turned axes, for callers that hold those axes: no sine or cosine. */
double tb_slice_support_turned(const TbSlice *slice, TbVec2 d, bool outer, TbVec2 *contact);

/** The same without the point. */
double tb_slice_furthest_turned(const TbSlice *slice, TbVec2 d, bool outer);

/** Half the largest diameter about the path's point, at least: an upper bound, mm. */
double tb_slice_reach(const TbSlice *slice, bool outer);

/** The same, the least there is for circles: a radius about the path's point, mm. */
double tb_slice_radius(const TbSlice *slice, bool outer);

double tb_slice_width(const TbSlice *slice);
double tb_slice_height(const TbSlice *slice);

/** Inner or outer area (outer by Steiner: A + P t + pi t^2), mm^2. */
double tb_slice_area(const TbSlice *slice, bool outer);

/** Inner or outer perimeter by Cauchy's formula, to 1e-10 relative, mm. */
double tb_slice_perimeter(const TbSlice *slice, bool outer);

/** Area, first and second moments of a slice about the path's point in the untwisted axes; mm. */
typedef struct TbMoments {
    double area;
    TbVec2 first;      /**< integral of (w, h), mm^3 */
    double ww, wh, hh; /**< integrals of w w, w h, h h, mm^4 */
} TbMoments;

/** By contour integrals, to 1e-12 relative; the area is an integral too, not the closed form, but
 * for a circle. */
TbMoments tb_slice_moments(const TbSlice *slice, bool outer);

/**
 * Points on the outline, right-handed about the path (h towards w), spread by turning and length so
 * that flat sides and tight corners both look right. The first is the middle of the top in the
 * turned axes; where the section is symmetric and @p count a multiple of 4, the points are too.
 * Every point lies on the outline to rounding.
 *
 * @param count 8 or more (asserted)
 * @param[out] out caller's array of @p count points, mm
 */
void tb_slice_outline(const TbSlice *slice, bool outer, size_t count, TbVec2 out[]);

/** How many points of tb_slice_outline() keep every chord within @p chord mm of the outline: a
 * multiple of 4, proved chord by chord; at most 100,000, whatever the chord. */
size_t tb_slice_outline_count(const TbSlice *slice, bool outer, double chord);
