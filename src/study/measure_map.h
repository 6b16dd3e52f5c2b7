/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file measure_map.h
 * @brief Gap maps, kept: how far each place of a path's outside is from one neighbour.
 */
#pragma once

#include "study/measure_moving.h"

/** Points of a path's outside, evenly by station and by angle about the path (outline.h). */
typedef struct TbRingPoints {
    size_t columns, rows;
    TbVec3 point[]; /**< by column, then row */
} TbRingPoints;

/** Of a form as it stands: for all its gap maps. @param columns,rows 2 or more; 4 or more */
TbEntry *tb_measure_ring_points(
    TbCache *cache, const TbEntry *form, size_t columns, size_t rows, double sagitta);

/** Columns stand evenly over the path, its ends included; rows as TbRingPoints has them. */
typedef struct TbGapCells {
    size_t columns, rows;
    double proved; /**< mm: over a motion the widest interval of a place at the keep; else 0 */
    double gap[];  /**< mm, by column then row; INFINITY beyond reach and where it is left out; over
                        a motion the lower ends */
} TbGapCells;

typedef struct TbGapCellsAsk {
    TbPairAsk pair;        /**< a is the path; keep and want are not read */
    const TbEntry *points; /**< a's ring points, settled */
    double beyond;         /**< mm: what is further off does not matter */
    double width;          /**< mm that what is told may be off */
} TbGapCellsAsk;

/** The value is a TbGapCells. Made on one thread: neighbours are many. */
TbEntry *tb_measure_gap_cells(TbCache *cache, const TbGapCellsAsk *ask, bool *is_new);

/** The same over all of a pair's motion: no number of it brings a place nearer. The value is a
 * TbGapCells. @param points of the path as drawn, settled */
TbEntry *tb_measure_moving_cells(
    TbCache *cache, const TbMovingAlong *along, const TbEntry *points, double beyond, bool *is_new);
