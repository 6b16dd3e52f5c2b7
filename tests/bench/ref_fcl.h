/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ref_fcl.h
 * @brief FCL's distance of two meshes (BVHModel<OBBRSS>), cold.
 */
#pragma once

#include "ref_mesh.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct RefFcl RefFcl;

/** Both models, ready. */
RefFcl *ref_fcl_new(const RefMesh *mesh, const RefLattice *duct);
void ref_fcl_free(RefFcl *pair);

/** Smallest distance, nothing known before. */
double ref_fcl_global(const RefFcl *pair);

#ifdef __cplusplus
}
#endif
