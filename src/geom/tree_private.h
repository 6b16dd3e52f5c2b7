/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree_private.h
 * @brief A tree's record, for the files that make trees.
 */
#pragma once

#include "geom/tree.h"

#include <stdatomic.h>

struct TbTree {
    atomic_int references;
    TbMesh *mesh;                               /**< in the tree's order */
    uint32_t *numbers;                          /**< one a triangle */
    void *room;                                 /**< of all nodes */
    TbTreeNode *level[TB_TREE_MOST_LEVELS + 1]; /**< from 1: into the room, lowest level first */
    TbTreeSlabs *slabs;                         /**< into the room, after the nodes */
    size_t count[TB_TREE_MOST_LEVELS + 1];      /**< nodes of each level; 0: leaves */
    int levels;
    _Atomic(TbLids *) lids; /**< NULL until asked for */
};

/** Nodes of all levels over so many triangles. */
size_t tb_tree__nodes(size_t triangles);

/** A tree with room for the nodes and numbers of so many triangles, but without a mesh; level[1] is
 * the first of all nodes. NULL when no room. */
TbTree *tb_tree__room(size_t triangles);

/** Place the children's boxes of all nodes, and the leaves' slabs; the mesh is there. @return TB_OK
 * or TB_E_CANCELLED */
TbStatus tb_tree__fill_boxes(TbTree *tree, TbWork *work, TbTask *task);
