/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ref_cgal.h
 * @brief CGAL's box tree (AABB_tree, plain doubles) with a functor that prunes by distance.
 */
#pragma once

#include "ref_mesh.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct RefCgal RefCgal;

/** Tree of boxes, and the tree of points that starts nearest-point queries. */
RefCgal *ref_cgal_new(const RefMesh *mesh);
void ref_cgal_free(RefCgal *tree);

/**
 * Exact distance of each strip between two rings to the mesh. A strip starts from its neighbour's
 * distance and the way between them; the first one from the nearest points of its corners.
 *
 * @param[out] profile rings - 1 distances, mm
 */
void ref_cgal_profile(const RefCgal *tree, const RefLattice *duct, double profile[]);

/** The same, each strip's bound from the nearest points of all of its corners, in the same time. */
void ref_cgal_profile_by_points(const RefCgal *tree, const RefLattice *duct, double profile[]);

/** Exact distance of the whole lattice; a bound from every 37th point first. */
double ref_cgal_global(const RefCgal *tree, const RefLattice *duct);

#ifdef __cplusplus
}
#endif
