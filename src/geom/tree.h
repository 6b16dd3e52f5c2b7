/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree.h
 * @brief A tree of boxes over a mesh's triangles: immutable, built once, shared by every query.
 *
 * Binary, by the middle of the longest side of the centres; leaves hold up to TB_TREE_LEAF
 * triangles, lowest number first. The build does not depend on threads. A query walks with a small
 * stack of its own and allocates nothing; no path from the root is longer than TB_TREE_DEEPEST.
 */
#pragma once

#include "base/work.h"
#include "geom/mesh.h"
#include "geom/triangle.h"

#include <stdint.h>

#define TB_TREE_LEAF 8

/** Nodes below the root on any path: 64 splits by place, then halves of at most 2^32 triangles. */
#define TB_TREE_DEEPEST 96

/** Room for a walk that pushes both children before it takes one. */
#define TB_TREE_STACK (TB_TREE_DEEPEST + 2)

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

/**
 * Winding number of the mesh about a point: 1 inside an outward shell, 0 outside. For points that
 * are not on the surface.
 *
 * A closed mesh: signed crossings of a ray, a whole number, exact further than TB_TOL_ROUND from
 * the surface, in about the time of a nearest query. Any other mesh: the sum of solid angles, over
 * all triangles; between whole numbers, and only a hint.
 */
double tb_tree_winding(const TbTree *tree, TbVec3 p);
