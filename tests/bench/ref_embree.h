/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ref_embree.h
 * @brief Embree 3: a robust scene over shared buffers, built by one thread, and point queries with
 *        the distance in doubles.
 */
#pragma once

#include "ref_mesh.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct RefEmbree RefEmbree;

/** A device of one thread, no scene yet; buffers are the mesh's own and outlive it. */
RefEmbree *ref_embree_new(const RefMesh *mesh);
void ref_embree_free(RefEmbree *scene);

/** Builds the scene, that there is none asserted; and throws it away. */
void ref_embree_build(RefEmbree *scene);
void ref_embree_drop(RefEmbree *scene);

/** Bytes that Embree says it holds for the scene, without the shared buffers. */
long ref_embree_bytes(const RefEmbree *scene);

/**
 * Distance of each point of a lattice. A query starts from its neighbour's distance and the way
 * between them.
 */
void ref_embree_points(const RefEmbree *scene, const RefLattice *duct, double distance[]);

/** The same, each query on its own. */
void ref_embree_points_cold(const RefEmbree *scene, const RefLattice *duct, double distance[]);

#ifdef __cplusplus
}
#endif
