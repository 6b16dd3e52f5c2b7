/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree.h
 * @brief A tree of boxes over a mesh's triangles: immutable, built once, shared by every query.
 *
 * Eight children a node, and no links: the tree is full but for its right edge, so a place in it is
 * a number. Level 0 are the leaves: leaf i holds the triangles 8 i to 8 i + 7 (the last leaf may
 * hold fewer). Node n of level 1 holds the boxes of the leaves 8 n to 8 n + 7, node n of level 2
 * those of the nodes 8 n to 8 n + 7 of level 1, and so on; the one node of the highest level is
 * the root. Triangles are divided by the middle of the longest side of their centres' box, so that
 * every block of 8, 64, 512, ... triangles lies close together.
 *
 * The tree owns a mesh of its own, in its order: the same triangles leaf by leaf, their vertices
 * numbered by first use. tb_tree_numbers() tells which triangle of the first mesh each one was;
 * whatever leaves the program goes by those numbers, and so do ties. The build does not depend on
 * threads. A query walks with a small stack of its own and allocates nothing.
 */
#pragma once

#include "base/work.h"
#include "geom/mesh.h"
#include "geom/triangle.h"

#include <stdint.h>

/** Children of a node, triangles of a leaf. */
#define TB_TREE_WIDE 8

/** Levels above the leaves, at most: 8^11 is more than three half edges a triangle let a mesh have.
 */
#define TB_TREE_MOST_LEVELS 10

/** Room for a walk that takes one place off its stack and puts all children of it there. */
#define TB_TREE_STACK (TB_TREE_MOST_LEVELS * (TB_TREE_WIDE - 1) + TB_TREE_WIDE)

/** Where a child is missing, what its box says: further from anything than a mesh can be. */
#define TB_TREE_NOWHERE 1e18f

/** The boxes of a node's children, rounded outward; side by side, to be tested eight at a time. */
typedef struct TbTreeNode {
    _Alignas(32) float low[3][TB_TREE_WIDE];
    float high[3][TB_TREE_WIDE];
} TbTreeNode;

/** The leaves of a node of level 1 once more, each between two planes square to about its
 * triangles' mean normal: a scan is a skin, so that is thin where a box is not. Told from the
 * middle of the leaf's box, 0.5f * (low + high) side by side in floats; rounded outward. */
typedef struct TbTreeSlabs {
    _Alignas(32) float low[TB_TREE_WIDE];
    float high[TB_TREE_WIDE];
    int8_t normal[3][TB_TREE_WIDE]; /**< in steps of TB_TREE_NORMAL; 0 where there is none */
} TbTreeSlabs;

#define TB_TREE_NORMAL (1.0 / 127)

/** A place in a tree: a leaf (level 0) or a node. */
typedef struct TbTreeAt {
    uint32_t index;
    int level;
} TbTreeAt;

typedef struct TbTree TbTree;

/**
 * @param mesh stays the caller's; the tree keeps a copy in its own order
 * @return TB_OK, TB_E_MEMORY, TB_E_CANCELLED
 */
TbStatus tb_tree_new(TbMesh *mesh, TbWork *work, TbTask *task, TbTree **tree, TbFault *fault);

/** The tree of the moved mesh; its triangles keep their numbers. @return as tb_tree_new() */
TbStatus tb_tree_moved(
    const TbTree *tree, TbPose pose, TbWork *work, TbTask *task, TbTree **moved, TbFault *fault);

TbTree *tb_tree_ref(TbTree *tree);
void tb_tree_unref(TbTree *tree); /**< NULL is fine */

const TbMesh *tb_tree_mesh(const TbTree *tree); /**< lends: in the tree's order */

/** Lends, for each triangle of tb_tree_mesh(): its number in the mesh the tree was made from. */
const uint32_t *tb_tree_numbers(const TbTree *tree);

/** Levels of nodes, 1 or more; level tb_tree_levels() is the root's. */
int tb_tree_levels(const TbTree *tree);
const TbTreeNode *tb_tree_level(const TbTree *tree, int level); /**< lends; 1 or more (asserted) */
const TbTreeSlabs *tb_tree_slabs(const TbTree *tree);           /**< lends; one a node of level 1 */
/** Nodes of a level; of level 0, leaves. */
size_t tb_tree_level_count(const TbTree *tree, int level);

/* ---- for walks that are not in a hurry ---- */

TbTreeAt tb_tree_root(const TbTree *tree);

/** Children of a node, or triangles of a leaf: 1 to TB_TREE_WIDE. */
int tb_tree_children(const TbTree *tree, TbTreeAt at);

/** A node's child, @p k from 0. */
static inline TbTreeAt
tb_tree_child(TbTreeAt at, int k)
{
    return (TbTreeAt){TB_TREE_WIDE * at.index + (uint32_t)k, at.level - 1};
}

/** A leaf's triangle of tb_tree_mesh(), @p k from 0. */
static inline uint32_t
tb_tree_triangle(TbTreeAt leaf, int k)
{
    return TB_TREE_WIDE * leaf.index + (uint32_t)k;
}

/** Holds a node's child, or a leaf's triangle. */
TbBox3 tb_tree_child_box(const TbTree *tree, TbTreeAt at, int k);

/** Holds all that hangs below a place. */
TbBox3 tb_tree_box(const TbTree *tree, TbTreeAt at);

/** Bits of a packed place that are its index: leaves of the largest mesh fit. */
#define TB_TREE_INDEX_BITS 28

/** A place in one number, for who has room for one only. */
static inline uint32_t
tb_tree_pack(TbTreeAt at)
{
    return (uint32_t)at.level << TB_TREE_INDEX_BITS | at.index;
}

static inline TbTreeAt
tb_tree_unpack(uint32_t packed)
{
    return (TbTreeAt){packed & ((UINT32_C(1) << TB_TREE_INDEX_BITS) - 1),
                      (int)(packed >> TB_TREE_INDEX_BITS)};
}

/* ---- queries ---- */

/** Nearest triangle to a point; ties by the lowest triangle number. */
typedef struct TbTreeHit {
    TbNearest nearest; /**< a is the point asked, b on the mesh */
    uint32_t triangle; /**< its number in the mesh the tree was made from; UINT32_MAX: none */
    uint32_t place;    /**< its number in tb_tree_mesh() */
} TbTreeHit;

/** @param beyond give up past this distance, mm; INFINITY for none. triangle UINT32_MAX: none. */
TbTreeHit tb_tree_nearest(const TbTree *tree, TbVec3 p, double beyond);

/** Points that lie near their neighbours, row by row: a surface unrolled. */
typedef struct TbTreeLattice {
    const TbVec3 *points; /**< rows x columns, any finite ones */
    size_t rows, columns;
    const double *beyond; /**< mm, one a point, as for tb_tree_nearest(); NULL: no end */
} TbTreeLattice;

/**
 * tb_tree_nearest() for every point of a lattice, the same bits, in a fraction of the time: points
 * share walks and learn from their neighbours.
 *
 * @param[out] hits rows x columns answers
 */
void tb_tree_nearest_many(const TbTree *tree, const TbTreeLattice *lattice, TbTreeHit hits[]);

/**
 * Times the mesh turns about a point, by the crossings of a ray along +x with their sense: of a
 * mesh without a rim its winding number, exact further than TB_TOL_ROUND from the surface. In about
 * the time of a short walk.
 *
 * @param[out] odd the ray crosses an odd number of triangles, whatever their sense; or NULL
 */
long tb_tree_turns(const TbTree *tree, TbVec3 p, bool *odd);

/** Solid angle of all triangles of a mesh about a point over 4 pi: its generalised winding number,
 * by the long way. */
double tb_mesh_angle(const TbMesh *mesh, TbVec3 p);

/** The same of some triangles, one after the other. */
double tb_mesh_angle_of(const TbMesh *mesh, size_t first, size_t count, TbVec3 p);

/**
 * Winding number of the mesh about a point: 1 inside an outward shell, 0 outside. For points that
 * are not on the surface. A closed mesh: tb_tree_turns(). Any other mesh: tb_mesh_angle(), between
 * whole numbers; tb_lids_angle() has it quicker.
 */
double tb_tree_winding(const TbTree *tree, TbVec3 p);

/** What would close a tree's mesh, see lids.h. */
typedef struct TbLids TbLids;

/**
 * Lends the lids of a tree's mesh: found at the first question, by whichever thread asks, and kept.
 *
 * @return TB_OK, TB_E_MEMORY (to be asked again)
 */
TbStatus tb_tree_lids(const TbTree *tree, const TbLids **lids);
