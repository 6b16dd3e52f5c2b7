/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ref_fcl.h
 * @brief FCL's distance of two meshes (BVHModel<OBBRSS>), cold.
 */
#pragma once

#include "ref_mesh.h"

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct RefFcl RefFcl;

/** Both models, ready. */
RefFcl *ref_fcl_new(const RefMesh *mesh, const RefLattice *duct);
void ref_fcl_free(RefFcl *pair);

/** Smallest distance, nothing known before. */
double ref_fcl_global(const RefFcl *pair);

/**
 * The duct turned about an axis along X through (0, y, z), at @p poses angles evenly from @p low to
 * @p high, rad: the smallest distance over all. FCL moves a model by a transform, nothing is built.
 *
 * @param carried each pose is given the best so far as its bound to begin with, or is cold
 */
double ref_fcl_rock(
    const RefFcl *pair, double y, double z, double low, double high, int poses, bool carried);

#ifdef __cplusplus
}
#endif
