/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan.h
 * @brief Distance of a lattice from a scan: the least, and row by row.
 *
 * A flat lattice: exact to TB_TOL_ROUND, `lower` and `upper` are equal (of a drag to TB_SCAN_STAY).
 * A swept one: certified on the true sweep, `upper - lower` at most the width asked, unless
 * `exhausted`. Where the surfaces meet, both are 0. Where nothing is found that is nearer than
 * asked, `upper` is INFINITY, `row` is UINT32_MAX, no place is given, and `lower` is how far was
 * looked (swept: less at most the width). Shells of the scan that float wholly inside a swept
 * lattice's solid are not seen here: ask tb_inside__mesh_in_sweep() too.
 */
#pragma once

#include "base/work.h"
#include "gaps/lattice.h"
#include "geom/tree.h"

/** Nearest place of a row. */
typedef struct TbScanNear {
    double lower, upper;  /**< mm; upper: of the two points (swept: rounded up), or INFINITY */
    TbVec3 point_a;       /**< on the lattice's surface */
    TbVec3 point_b;       /**< on the scan */
    uint32_t row, column; /**< the patch; swept: where floats found it, point_a lies in the row */
    uint32_t triangle;    /**< in the order of tb_tree_mesh() */
    double station;       /**< swept: of point_a, mm */
    double turn;          /**< rocking: how far the sweep is turned then, rad */
    bool exhausted;       /**< swept: wider than the width, halving a strip led no further */
} TbScanNear;

typedef struct TbScanAsk {
    const TbLattice *lattice;
    const TbTree *tree;
    double width;  /**< mm, swept lattices: TB_GAP_WIDTH_LEAST or more */
    double beyond; /**< mm: only what is nearer is looked for; INFINITY for all */
    double enough; /**< mm, the least only; 0 or less: not asked. Nothing beyond this and the width
                      is looked for; a witness below it ends the search early, with `lower` 0 */
} TbScanAsk;

/**
 * The least distance of all rows.
 *
 * @param last answer of a lattice that was nearly the same (the last frame of a drag), or NULL for
 *             a cold query, as settled answers are; one without a place is as good as NULL. Its
 *             place is looked at first. On a flat lattice it is kept where it is as near as the
 *             nearest to within TB_SCAN_STAY: `upper` is then its own, `lower` the nearest's
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus
tb_scan_least(const TbScanAsk *ask, const TbScanNear *last, const TbTask *task, TbScanNear *least);

/** mm. A witness that was nearest in the last frame stays until another is nearer by this: less
 * than what is shown, more than rounding. */
#define TB_SCAN_STAY 1e-7

/**
 * Each row's distance.
 *
 * @param ask       its `enough` is not looked at
 * @param[out] rows tb_lattice_rows() of them; not all are set where it fails
 * @param work      or NULL; the answers do not depend on it
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_scan_rows(const TbScanAsk *ask, TbWork *work, TbTask *task, TbScanNear rows[]);
