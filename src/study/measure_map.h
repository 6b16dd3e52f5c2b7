/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file measure_map.h
 * @brief Gap maps, kept: how far each place of a path's outside is from one neighbour.
 */
#pragma once

#include "study/measure.h"

/** Columns stand evenly over the path, its ends included; rows as TbGapMapAsk has them. */
typedef struct TbGapCells {
    size_t columns, rows;
    double gap[]; /**< mm, by column then row; INFINITY beyond reach and where it is left out */
} TbGapCells;

typedef struct TbGapCellsAsk {
    TbPairAsk pair;       /**< a is the path; keep and want are not read */
    size_t columns, rows; /**< 2 or more; 4 or more */
    double beyond;        /**< mm: what is further off does not matter */
} TbGapCellsAsk;

/** The value is a TbGapCells. Made on one thread: neighbours are many. */
TbEntry *tb_measure_gap_cells(TbCache *cache, const TbGapCellsAsk *ask, bool *is_new);
