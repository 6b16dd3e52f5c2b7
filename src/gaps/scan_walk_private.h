/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_walk_private.h
 * @brief What a thread works with while it looks for a scan's nearest places, and what settles the
 * pairs that floats leave.
 *
 * scan.c asks, group by group; scan_bound.c keeps the bounds; scan_flat.c and scan_swept.c settle
 * pairs of the two kinds of lattice. Each row has its bound, or some rows share one, which stands
 * in each of their lanes; their nearest place stands in the first of them.
 */
#pragma once

#include "gaps/scan.h"
#include "gaps/scan_private.h"
#include "geom/tol.h"

/** Share of the width asked that a search works with. The rest is for a witness that is not quite
 * as near as what floats have foreseen, and for the rounding of a difference. */
#define TB_SCAN_WIDTH_USED 0.9
#define TB_SCAN_WIDTH_SPARE 0.099

/** Relative allowance for the roundings of a squared cut, and of a foreseen bound. */
#define TB_SCAN_ROUND_UP 1.000002

/** Size of the table of triangles that a row has met. */
#define TB_SCAN_SEEN_BITS 8

/** Directions kept for a row. */
#define TB_SCAN_WAYS 4

/** A direction out of a row's solid, from the scan to it, and how near to the scan it reaches. */
typedef struct TbScanWay {
    TbVec3 way;
    double reach; /**< mm: nothing of the solid lies lower along `way` */
    bool known;
} TbScanWay;

/** What a walk works with; `scan.user` is the walk itself. */
typedef struct TbScanWalk {
    TbScan scan;
    TbScanNear near[TB_LANES];
    double open[TB_LANES];                           /**< least bound of what was given up */
    TbScanWay way[TB_LANES][TB_SCAN_WAYS];           /**< the nearest pair's, then the latest */
    uint32_t seen[TB_LANES][1 << TB_SCAN_SEEN_BITS]; /**< triangle + 1 */
    bool avx2;
} TbScanWalk;

/** Where the nearest place of a lane's row is kept. */
static inline TbScanNear *
tb_scan__near_of(TbScan *scan, int lane)
{
    TbScanWalk *walk = scan->user;

    return &walk->near[tb_scan__first(scan, lane)];
}

/** What a pair must reach to be let go, mm. */
static inline double
tb_scan__cut_of(const TbScan *scan, int lane)
{
    return fmax(0, fmin(scan->upper[lane], scan->foreseen[lane]) - scan->width);
}

/** Bounds of a group's rows, all as far as is asked; nothing is known of them. */
void tb_scan__start_group(TbScanWalk *walk, size_t group, double beyond);

/** Forget the directions and triangles of a group's rows: other rows take their lanes. */
void tb_scan__forget_rows(TbScanWalk *walk);

/** A lane's row is no further away than this, whoever says so. */
void tb_scan__foresee_row(TbScan *scan, int lane, double upper);

/** Takes a witness that is nearer than a lane's bound, which becomes its `upper`.
 *
 * @return whether it was */
bool tb_scan__take(TbScan *scan, int lane, const TbScanNear *witness);

/** The corners of a patch around its outline: low[k], low[k+1], high[k+1], high[k]. */
void tb_scan__patch_corners(const TbLattice *lattice, size_t row, uint32_t column, TbVec3 patch[4]);

/** Settle a pair: a flat patch, exactly; or the strip or section of its row, true to the width. */
void tb_scan__settle_flat(TbScan *scan, const TbScanPair *pair);
void tb_scan__settle_swept(TbScan *scan, const TbScanPair *pair);

/** Swept: the first direction of a row, that of the pair which floats foresaw. One support of the
 * row's solid, and it tells most triangles apart. */
void tb_scan__lead_on(TbScanWalk *walk, int lane, size_t row);

/** Swept: a witness as near as what floats foresaw of a lane's row, once its walk is over. */
void tb_scan__polish(TbScanWalk *walk, int lane);
