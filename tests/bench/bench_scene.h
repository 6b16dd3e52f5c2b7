/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_scene.h
 * @brief The scene in memory, for our side and in the shape that the references take.
 */
#pragma once

#include "ref_mesh.h"
#include "scene.h"

#include "geom/tree.h"

/** A bay, and the duct's lattice. */
typedef struct BenchScene {
    TbMesh *mesh; /**< in the order of its file */
    RefMesh bay;  /**< the same numbers */
    TbVec3 *points;
    RefLattice duct; /**< of those points */
} BenchScene;

/** Reads a binary STL; what goes wrong is printed and ends the program. */
void bench_scene_open(const char *path, BenchScene *scene);
void bench_scene_close(BenchScene *scene);

/** From a file to its mesh, as the program reads it; NULL and a printed line on failure. */
TbMesh *bench_read_mesh(const char *path);

/** A tree over a mesh, built by one thread; ends the program when there is no room. */
TbTree *bench_tree(TbMesh *mesh);

/** The nearest place of the mesh to each of the duct's points. */
void bench_points(const TbTree *tree, const BenchScene *scene, TbTreeHit hits[]);

/** Room that is never NULL. */
void *bench_room(size_t count, size_t size);
