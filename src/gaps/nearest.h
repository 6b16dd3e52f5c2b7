/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file nearest.h
 * @brief The k nearest of many solids to one, each with its certified gap.
 */
#pragma once

#include "gaps/gap.h"

/** One of the nearest. */
typedef struct TbNear {
    size_t index; /**< of the question's others */
    TbGap gap;    /**< bit for bit what tb_gap() says of the two */
} TbNear;

typedef struct TbNearestAsk {
    const TbSolid *solid;
    const TbSolid *const *others;
    size_t count;
    size_t most;  /**< k: how many are wanted, 1 or more */
    double width; /**< mm, as of a gap */
} TbNearestAsk;

/** What it took. */
typedef struct TbNearestCost {
    size_t searched; /**< gaps that were searched at all */
    size_t settled;  /**< gaps that were settled to their width */
    long nodes;
} TbNearestCost;

/**
 * By the upper ends of their gaps, ties by index: the first k of what all gaps would say. Others
 * whose box is further away than the k-th are not searched, others that are shown to be further
 * (TbGapAsk.enough) are not settled. Solids without anything are no neighbours.
 *
 * @param[out] near  room for ask->most
 * @param[out] found how many: the smaller of most and how many there are
 * @param[out] cost  or NULL
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_nearest(const TbNearestAsk *ask,
                    TbTask *task,
                    TbNear near[],
                    size_t *found,
                    TbNearestCost *cost,
                    TbFault *fault);
