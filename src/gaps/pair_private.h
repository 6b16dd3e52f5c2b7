/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pair_private.h
 * @brief Pairs of nodes still to be looked at, best first: the queue of both searches, of fields
 *        that stand still (search) and in motion (moving_search).
 */
#pragma once

#include "gaps/field_private.h"

/** Share of the width to which a separation of two hulls is iterated; the rest is for the strips.
 */
#define TB_HULL_SHARE 0.125

/** The same for two evaluated bodies: their distance becomes the upper end. */
#define TB_WITNESS_SHARE 0.05

/** mm. Evaluated bodies nearer than this meet: both ends carry one rounding. */
#define TB_MEETS (2 * TB_TOL_ROUND)

/** Pairs between two looks at the task. */
#define TB_PAIR_POLL 256

/** Two nodes still to be looked at; in motion with a cell of each side's numbers, else 0. */
typedef struct TbPair {
    double lower; /**< mm, rounding taken off */
    TbVec3 way;   /**< separating direction of the pair it came from, or zero */
    uint32_t node[2], cell[2];
    bool fine; /**< its own separation has been computed */
} TbPair;

/** A heap, the least `lower` first. Zero is an empty one. */
typedef struct TbPairs {
    TbPair *pair; /**< the first is the best */
    size_t count, room;
} TbPairs;

/** Ties by the numbers of nodes and cells, so that the order is the question's alone. */
bool tb_pair__is_before(const TbPair *x, const TbPair *y);

/** @return TB_OK or TB_E_MEMORY */
TbStatus tb_pairs__push(TbPairs *pairs, const TbPair *pair);

/** The best one; there must be one. */
TbPair tb_pairs__pop(TbPairs *pairs);

/** The least of the bounds in it; INFINITY when it is empty. */
double tb_pairs__lower(const TbPairs *pairs);

void tb_pairs__clear(TbPairs *pairs);

/** A pair of a sweep and a mesh: such are known where scans have been looked at ahead. */
bool tb_pair__is_scanned(const TbField *a, uint32_t node_a, const TbField *b, uint32_t node_b);
