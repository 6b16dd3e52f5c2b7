/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ref_occt.h
 * @brief Open CASCADE: surfaces through rings of points, areas of their stations, distances.
 *
 * Points are three doubles. Whoever asks for a shape frees it.
 */
#pragma once

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct RefShape RefShape;

/** Ways to make a surface of rings. */
typedef enum RefSweep {
    REF_LOFT, /**< ThruSections: through the rings */
    REF_PIPE  /**< MakePipeShell: the rings carried along the path */
} RefSweep;

typedef struct RefRings {
    const double *axis;  /**< six points of a clamped cubic B-spline; for REF_PIPE */
    const double *point; /**< ring by ring */
    size_t rings, columns;
} RefRings;

/** NULL when it could not be made. */
RefShape *ref_occt_sweep(RefSweep how, const RefRings *rings);

/** Box: centre, three axes of nine numbers, three half sizes. */
RefShape *ref_occt_block(const double *centre, const double *axis, const double *half);

/** Bar between two points. */
RefShape *ref_occt_rod(const double *a, const double *b, double radius);

/** Round line about a clamped cubic B-spline of six points, 18 numbers. */
RefShape *ref_occt_line(const double *point, double radius);

void ref_occt_free(RefShape *shape);

/**
 * Areas of polygons of 128 points on @p count lines of one parameter, end to end: the fastest way
 * to areas along a shape (cutting by planes takes some hundred times longer).
 */
void ref_occt_areas(const RefShape *shape, size_t count, double area[]);

double ref_occt_distance(const RefShape *a, const RefShape *b);

#ifdef __cplusplus
}
#endif
