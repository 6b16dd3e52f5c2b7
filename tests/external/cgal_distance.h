/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cgal_distance.h
 * @brief Distances by CGAL, for tests that compare ours with them. Points are three doubles.
 */
#pragma once

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** In exact arithmetic, rounded once at the end. Triangles must have an area. */
double cgal_triangle_triangle(const double a[9], const double b[9]);
double cgal_point_triangle(const double p[3], const double t[9]);
double cgal_segment_segment(const double a[6], const double b[6]);

/** 1 when the two have a point in common, exactly; else 0. */
int cgal_triangles_meet(const double a[9], const double b[9]);

/** A box tree over triangles (nine doubles each). */
typedef struct CgalTree CgalTree;

CgalTree *cgal_tree_new(const double *triangles, size_t count);
void cgal_tree_free(CgalTree *tree);
double cgal_tree_distance(CgalTree *tree, const double p[3]);

#ifdef __cplusplus
}
#endif
