/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file section.h
 * @brief Closed outline of a duct in the plane square to its path, given by its support function.
 *
 * Axes of the plane: w to the right, h up, looking downstream (frame.h). A direction at angle phi
 * is (w, h) = (sin phi, cos phi): 0 is h, and phi grows right-handed about the path, h towards w.
 * Sizes are inside sizes; the wall goes outwards. Every section is convex and smooth, so its
 * support function h(d) = max over the section of d . p says everything: a wall t adds t, a turn
 * turns the argument, an offset adds a linear term.
 * Units: mm, mm^2, rad.
 */
#pragma once

#include "base/fault.h"
#include "geom/vec2.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum TbSectionKind {
    TB_SECTION_SUPERELLIPSE, /**< |w/a|^n + |h/b|^n = 1: ellipse and circle at n = 2 */
    TB_SECTION_ROUNDED       /**< rectangle with four corner radii: stadium, circle at its limits */
} TbSectionKind;

/** Directions of the four half-extents. */
enum { TB_SIDE_RIGHT, TB_SIDE_LEFT, TB_SIDE_UP, TB_SIDE_DOWN };

/** Corners: right-up, left-up, left-down, right-down. */
enum { TB_CORNER_RU, TB_CORNER_LU, TB_CORNER_LD, TB_CORNER_RD };

/** Exponents accepted: below, a corner-less diamond is too sharp to make; above, it is a rectangle
 * and wants corner radii. */
#define TB_EXPONENT_LEAST 1.05
#define TB_EXPONENT_MOST 50.0

/** mm. Smallest half size and corner radius: a tenth of the finest cast or machined radius. */
#define TB_SECTION_LEAST 0.01

/** rad. Ten whole turns; more is a wrong unit. */
#define TB_SECTION_TURN_LIMIT 63.0

/** A section as the document has it. A value: copy it freely. */
typedef struct TbSection {
    TbSectionKind kind;
    double half[4];  /**< mm from the origin along +w, -w, +h, -h, each above 0 (see TB_SIDE_...) */
    double exponent; /**< superellipse: 1.05 to 50; 2 is an ellipse */
    double corner[4]; /**< rounded: mm, 0.01 or more (outlines are smooth); two neighbours fit into
                           the side they share */
    double turn;      /**< rad, right-handed about the path */
    TbVec2 offset;    /**< mm along (w, h) before the turn: eccentric section */
    double wall;      /**< mm, 0 or more */
} TbSection;

/** Width and height 2a x 2b with one exponent, no turn, offset or wall. */
TbSection tb_section_superellipse(double width, double height, double exponent);

/** Width x height with one corner radius, no turn, offset or wall. */
TbSection tb_section_rounded(double width, double height, double corner);

double tb_section_width(TbSection s);
double tb_section_height(TbSection s);

/**
 * TB_OK, or TB_E_RANGE / TB_E_DEGENERATE with the field and its number: "its wall is -1.2 mm, 0 to
 * 2000 mm is accepted". The caller says whose it is.
 */
TbStatus tb_section_check(TbSection s, TbFault *fault);

/** Inner area, mm^2, of a valid section. Closed form: w h Gamma(1+1/n)^2 / Gamma(1+2/n) for a
 * superellipse, the rectangle less (1 - pi/4) r^2 a corner. */
double tb_section_area(TbSection s);

/** Inner perimeter, mm, of a valid section. Closed form for ellipse (complete elliptic integral)
 * and rounded rectangle, else quadrature to 1e-13 relative. */
double tb_section_perimeter(TbSection s);

/** 4 A / P, mm. */
double tb_section_hydraulic_diameter(TbSection s);

/* ---- the unit shape: a section stretched to width = height = 2 about its own origin ---- */

/** What of a unit shape lies in a quadrant of normals: a quarter of half sizes w, h about a centre,
 * all in the quadrant's own positive axes. */
typedef struct TbShapeQuarter {
    double at_w, at_h, w, h;
} TbShapeQuarter;

/**
 * What remains of a section when size, turn, offset and wall are taken off. Its support function is
 * evaluated in the inner loop of everything, so it is a plain struct with its constants ready.
 */
typedef struct TbShape {
    TbSectionKind kind;
    double exponent, dual; /**< n and m with 1/m + 1/n = 1; 2 for rounded */
    double half[4];        /**< half-extents; right + left = 2, up + down = 2 */
    double corner_w[4];    /**< rounded: the corner's ellipse quarter along w, h */
    double corner_h[4];
    TbShapeQuarter quarter[4]; /**< of normals: right up, left up, right down, left down */
    double area;               /**< of the unit shape */
    bool is_disc;              /**< the unit circle: a superellipse of exponent 2, even halves */
} TbShape;

/** The unit shape of a valid section. */
TbShape tb_shape_of(TbSection s);

/** Same shape, field by field; never compare with memcmp (padding). */
bool tb_shape_equal(const TbShape *a, const TbShape *b);

/** Perimeter of the unit shape stretched by (a, b), mm where a and b are; as exact as
 * tb_section_perimeter(). */
double tb_shape_perimeter(const TbShape *shape, double a, double b);

/**
 * Support of the unit shape in direction d (any length, homogeneous of degree 1). For a shape
 * stretched by (a, b) ask in direction (a d.x, b d.y) and stretch the contact point.
 *
 * @param[out] contact the outline's point whose normal is d; on a flat side any point of the side
 * @return max of d . p over the shape
 */
double tb_shape_support(const TbShape *shape, TbVec2 d, TbVec2 *contact);

/** The same without the point: how far alone, for less. */
double tb_shape_furthest(const TbShape *shape, TbVec2 d);

/** Area of the blend (1-w) a + w b of two unit shapes, as a polynomial in w, and how far their
 * contact points for one normal differ at most, along w and h. */
typedef struct TbShapePair {
    double area[3];    /**< G(w) = area[0] + w (area[1] + w area[2]) */
    TbVec2 difference; /**< rigorous upper bound, at most 0.3 % of the half size above the true
                            one; 0 for equal shapes */
} TbShapePair;

TbShapePair tb_shape_pair(const TbShape *a, const TbShape *b);
