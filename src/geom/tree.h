/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree.h
 * @brief A tree of boxes over a mesh's triangles: immutable, built once, shared by every query.
 *
 * Binary, by the middle of the longest side of the centres; leaves hold up to TB_TREE_LEAF
 * triangles. The build does not depend on threads.
 */
#pragma once

#include "base/work.h"
#include "geom/mesh.h"
#include "geom/triangle.h"

#include <stdint.h>

#define TB_TREE_LEAF 8

/** Inner: `first` is the left child, the right one is first + 1. Leaf: triangles order[first] ...
 */
typedef struct TbTreeNode {
    float low[3], high[3]; /**< rounded outward */
    uint32_t first;
    uint32_t count; /**< triangles of a leaf; 0 for an inner node */
} TbTreeNode;

typedef struct TbTree TbTree;

TbStatus tb_tree_new(TbMesh *mesh, TbWork *work, TbTask *task, TbTree **tree, TbFault *fault);
TbTree *tb_tree_ref(TbTree *tree);
void tb_tree_unref(TbTree *tree); /**< NULL is fine */

const TbMesh *tb_tree_mesh(const TbTree *tree);      /**< lends */
const TbTreeNode *tb_tree_nodes(const TbTree *tree); /**< lends; the root is node 0 */
size_t tb_tree_node_count(const TbTree *tree);
const uint32_t *tb_tree_order(const TbTree *tree); /**< lends: triangle numbers by leaf */

/** Nearest triangle to a point; ties by the lowest triangle number. */
typedef struct TbTreeHit {
    TbNearest nearest; /**< a is the point asked, b on the mesh */
    uint32_t triangle;
} TbTreeHit;

/** @param beyond give up past this distance, mm; INFINITY for none. triangle UINT32_MAX: none. */
TbTreeHit tb_tree_nearest(const TbTree *tree, TbVec3 p, double beyond);

/** Winding number of a closed mesh about a point (1 inside an outward shell): exact sum of solid
 * angles, far nodes too; for points not on the surface. */
double tb_tree_winding(const TbTree *tree, TbVec3 p);
