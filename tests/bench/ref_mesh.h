/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ref_mesh.h
 * @brief What the references are given: the bay's triangles, and the duct's lattice of points.
 *
 * Both sides of a bench get the same numbers. A lattice's points lie ring by ring, three doubles
 * each; its triangles are those of scene_quad().
 */
#pragma once

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A welded mesh in the order of its file. */
typedef struct RefMesh {
    const float *vertex; /**< three each, room for one more float behind the last */
    size_t vertices;
    const uint32_t *index; /**< three a triangle */
    size_t triangles;
} RefMesh;

typedef struct RefLattice {
    const double *point;
    size_t rings, columns;
    const uint32_t *index; /**< three a triangle, two triangles a quad, ring by ring */
} RefLattice;

#ifdef __cplusplus
}
#endif
