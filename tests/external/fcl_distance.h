/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file fcl_distance.h
 * @brief Distance of two triangle meshes by FCL, for tests that compare ours with it.
 */
#pragma once

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Triangles are nine doubles each. */
double fcl_mesh_mesh(const double *a, size_t a_count, const double *b, size_t b_count);

#ifdef __cplusplus
}
#endif
