/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cgal_side.h
 * @brief Inside or outside of a closed mesh by CGAL, for tests that compare ours with it.
 */
#pragma once

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct CgalSide CgalSide;

/** @param vertex three doubles each. NULL when CGAL takes the triangles for no closed mesh. */
CgalSide *
cgal_side_new(const double *vertex, size_t vertices, const uint32_t *index, size_t triangles);
void cgal_side_free(CgalSide *side);

/** 1 inside, -1 outside, 0 on it: exact. */
int cgal_side_of(const CgalSide *side, const double p[3]);

#ifdef __cplusplus
}
#endif
