/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file triangle.h
 * @brief Exact distances between points, segments and triangles, with their witness points. mm.
 */
#pragma once

#include "geom/vec3.h"

/** Two nearest points and their distance. */
typedef struct TbNearest {
    double distance;
    TbVec3 a, b; /**< on the first and on the second thing */
} TbNearest;

/** Segments p0-p1 and q0-q1; either may be a point. Parallel ones: any pair of the shared part. */
TbNearest tb_segment_segment(TbVec3 p0, TbVec3 p1, TbVec3 q0, TbVec3 q1);

TbNearest tb_point_segment(TbVec3 p, TbVec3 q0, TbVec3 q1);

/** The triangle may be a needle or a point. */
TbNearest tb_point_triangle(TbVec3 p, const TbVec3 t[3]);

/** 0 where they meet or pierce, with a common point. */
TbNearest tb_triangle_triangle(const TbVec3 a[3], const TbVec3 b[3]);
