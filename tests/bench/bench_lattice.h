/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_lattice.h
 * @brief The scene with our tree over the bay and a flat lattice for the duct.
 */
#pragma once

#include "bench_scene.h"

#include "gaps/scan.h"

typedef struct BenchPair {
    BenchScene scene;
    TbTree *tree;
    TbLattice *lattice; /**< of the scene's points */
} BenchPair;

void bench_pair_open(const char *path, BenchPair *pair);
void bench_pair_close(BenchPair *pair);

/** A flat lattice of the benches' size; ends the program when there is no room. */
TbLattice *bench_lattice(const TbVec3 points[]);

/** The least distance, exact; @p last NULL for a cold query. */
TbScanNear bench_least(const BenchPair *pair, const TbScanNear *last);

/** Each of the 400 rows' distances, exact. */
void bench_rows(const BenchPair *pair, TbScanNear rows[]);
