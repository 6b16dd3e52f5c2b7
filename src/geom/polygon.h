/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file polygon.h
 * @brief Simple polygons of a plane: area, triangles, hulls, nesting.
 *
 * A polygon is a closed row of points without repeating the first. Counter-clockwise area counts
 * positive. Nothing here keeps the caller's points.
 */
#pragma once

#include "base/fault.h"
#include "geom/vec2.h"

#include <stdbool.h>
#include <stddef.h>

/** Signed area, mm^2; centred on the first point to limit rounding. */
double tb_polygon_area(const TbVec2 p[], size_t count);

/** Area centroid, mm; the mean of the points where the area is 0. */
TbVec2 tb_polygon_centroid(const TbVec2 p[], size_t count);

/**
 * TB_OK for a simple polygon of 3 or more points; TB_E_DEGENERATE names the two edges that cross or
 * touch, or the two points in one place (within TB_TOL_PLACE), counted from 1.
 */
TbStatus tb_polygon_check(const TbVec2 p[], size_t count, TbFault *fault);

/** Winding number test; a point on the edge may go either way. */
bool tb_polygon_holds(const TbVec2 p[], size_t count, TbVec2 q);

/** All points lie within @p stray, mm, of the straight way from one place to another. */
bool tb_points_are_straight(const TbVec2 p[], size_t count, TbVec2 from, TbVec2 to, double stray);

/** Distance of a point to the edge, mm, above 0 on both sides. */
double tb_polygon_edge_distance(const TbVec2 p[], size_t count, TbVec2 q);

/** Both in one go: distance to the edge, mm, below 0 where tb_polygon_holds() says no. Two points
 * on one side differ by no more than their distance. */
double tb_polygon_depth(const TbVec2 p[], size_t count, TbVec2 q);

/**
 * Ear clipping of a simple polygon, either way round.
 *
 * @param[out] triangles 3 * (count - 2) indices, counter-clockwise
 * @return TB_OK, TB_E_DEGENERATE (not simple), TB_E_MEMORY
 */
TbStatus tb_polygon_triangulate(const TbVec2 p[], size_t count, size_t triangles[], TbFault *fault);

/** A convex piece of a polygon: 3 or 4 of its points, counter-clockwise. */
typedef struct TbCorners {
    size_t corner[4];
    int count;
} TbCorners;

/**
 * Cut a simple polygon, either way round, into convex pieces of 3 or 4 corners.
 *
 * @param[out] pieces room for count - 2
 * @param[out] used   how many were written
 * @return TB_OK, TB_E_DEGENERATE (not simple), TB_E_MEMORY
 */
TbStatus
tb_polygon_split(const TbVec2 p[], size_t count, TbCorners pieces[], size_t *used, TbFault *fault);

/**
 * Convex hull: counter-clockwise from the leftmost point (of several the lowest), without repeated
 * points and, to rounding, without points on its sides. Points in a row leave their two ends,
 * points in one place one of them.
 *
 * @param[in,out] p    any points, mm; they are put into another order
 * @param[out]    hull room for 2 * @p count points
 * @return how many points the hull has
 */
size_t tb_polygon_hull(TbVec2 p[], size_t count, TbVec2 hull[]);

typedef struct TbLoopSpan {
    size_t first, count; /**< points of one loop in a shared array */
} TbLoopSpan;

/** How deep each loop lies inside the others: 0 outermost, odd ones are holes. The loops do not
 * cross; they may touch. Of two equal ones neither is inside. */
void tb_polygon_nest(const TbVec2 p[], const TbLoopSpan loops[], size_t count, int depth[]);
