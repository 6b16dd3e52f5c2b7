/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan.h
 * @brief Distance of a lattice from a scan: the least, and row by row.
 *
 * A flat lattice: exact, `lower` and `upper` are equal. A swept one: certified on the true sweep,
 * `upper - lower` at most the width asked, unless `exhausted`. Where the surfaces meet, both are 0.
 * Shells of the scan that float wholly inside a swept lattice's solid are not seen here: ask
 * tb_inside__mesh_in_sweep() too.
 */
#pragma once

#include "base/work.h"
#include "gaps/lattice.h"
#include "geom/tree.h"

/** Nearest place of a row. */
typedef struct TbScanNear {
    double lower, upper; /**< mm; upper is witnessed. INFINITY: further than asked for */
    TbVec3 point_a;      /**< on the lattice's surface */
    TbVec3 point_b;      /**< on the scan */
    uint32_t row, column;
    uint32_t triangle; /**< in the order of tb_tree_mesh() */
    double station;    /**< swept: of point_a, mm */
    bool exhausted;
} TbScanNear;

typedef struct TbScanAsk {
    const TbLattice *lattice;
    const TbTree *tree;
    double width;  /**< mm, swept lattices: TB_GAP_WIDTH_LEAST or more */
    double beyond; /**< mm: give up past this; INFINITY for none */
    double enough; /**< mm: the least only: stop when it is decided that the distance is at least
                        this or below it; 0 or less: not asked */
} TbScanAsk;

/**
 * The least distance of all rows.
 *
 * @param last answer of a lattice that was nearly the same (the last frame of a drag), or NULL for
 *             a cold query, as settled answers are. Its place is looked at first, and kept where it
 *             is as near as the nearest to within TB_SCAN_STAY; `upper` is then its own
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus
tb_scan_least(const TbScanAsk *ask, const TbScanNear *last, TbTask *task, TbScanNear *least);

/** mm. A witness that was nearest in the last frame stays until another is nearer by this: less
 * than what is shown, more than rounding. */
#define TB_SCAN_STAY 1e-7

/**
 * Each row's distance.
 *
 * @param[out] rows tb_lattice_rows() of them
 * @param work      or NULL; the answers do not depend on it
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_scan_rows(const TbScanAsk *ask, TbWork *work, TbTask *task, TbScanNear rows[]);
