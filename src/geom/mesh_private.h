/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file mesh_private.h
 * @brief What the files of a mesh share: its record, its facts, and the readers' common ground.
 */
#pragma once

#include "geom/mesh.h"

#include <stdatomic.h>

struct TbMesh {
    atomic_int references;
    TbVec3 *vertex;
    uint32_t *index;
    uint32_t *shell; /**< a triangle of each shell */
    size_t vertices, triangles;
    TbMeshFacts facts;
    TbBox3 box;
};

/** Triangles that fit: half edges are counted in 32 bits, three a triangle. */
#define TB_MESH__MOST_FACES ((size_t)UINT32_MAX / 3)

/** An empty record that owns nothing yet; NULL when no room. */
TbMesh *tb_mesh__new(void);

/**
 * Find out what a mesh is: edges, shells, volume, area, box. The counts of what was read and
 * dropped are left alone. Time and room grow with the number of triangles.
 *
 * @return TB_OK, TB_E_MEMORY, TB_E_CANCELLED
 */
TbStatus tb_mesh__find_facts(TbMesh *mesh, TbTask *task, TbFault *fault);

/**
 * The same triangles in another order, vertices numbered by first use; vertices that no triangle
 * uses are left out. Facts stay, shells keep their order.
 *
 * @param order of each triangle of the copy, its number in @p mesh: a permutation
 * @return TB_OK, TB_E_MEMORY, TB_E_CANCELLED
 */
TbStatus tb_mesh__in_order(
    const TbMesh *mesh, const uint32_t order[], TbTask *task, TbMesh **copy, TbFault *fault);

/** Count a face that has no triangle in it: one read, one degenerate. */
void tb_mesh_builder__drop(TbMeshBuilder *builder);

/** Triangles handed to the builder so far, dropped ones too. */
size_t tb_mesh_builder__read(const TbMeshBuilder *builder);

/** Bytes that a mesh of what was handed over so far takes. */
uint64_t tb_mesh_builder__need(const TbMeshBuilder *builder);
