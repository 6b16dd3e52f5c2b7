/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_rock.h
 * @brief Certified distance of a duct that rocks about an axis from a scan: the least over all
 *        angles, by lattices that hold what they pass.
 */
#pragma once

#include "gaps/scan.h"
#include "motion/rock.h"

typedef struct TbScanRockAsk {
    const TbSweep *sweep; /**< at angle 0 */
    const double *stations;
    size_t count, columns; /**< of its lattice */
    const TbTree *tree;
    TbRock rock;                   /**< valid; its range may be 0 */
    const TbLatticeWarmth *warmth; /**< within the rock, as of the sweep at angle 0; or NULL */
    double width, beyond, enough;  /**< as TbScanAsk */
} TbScanRockAsk;

/**
 * Over all angles and warmths the true distance lies in [lower, upper]; `turn` is the angle at
 * which point_a, where it then is, and point_b are as near as `upper`, at some warmth. Otherwise as
 * tb_scan_least(): surfaces only.
 *
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_scan_rock(const TbScanRockAsk *ask, const TbTask *task, TbScanNear *least);

/** Of a mesh of the duct, at sampled angles alone. */
typedef struct TbScanPosesAsk {
    TbLattice *lattice;   /**< flat; its points are set by the search */
    const TbVec3 *points; /**< of the lattice at angle 0 */
    size_t points_count;
    const TbTree *tree;
    TbRock rock;   /**< valid */
    size_t poses;  /**< evenly from the rock's low to its high end, 2 or more (asserted) */
    double beyond; /**< as TbScanAsk */
} TbScanPosesAsk;

/**
 * The least distance of all poses, exact as of tb_scan_least(); what lies between the poses is not
 * looked at. Poses are walked some at a time, over one set of boxes that hold what a row passes.
 *
 * @param[out] least `turn` is the angle
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_scan_poses(const TbScanPosesAsk *ask, const TbTask *task, TbScanNear *least);
