/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file search_private.h
 * @brief Best-first search for the smallest distance of two fields.
 *
 * Invariant: every pair of points of the two fields lies in a pair of nodes that is in the heap or
 * was let go, and `lower` of a pair bounds the distance of all its points. So the least of the
 * heap's top and of what was let go bounds the whole, whatever happened before.
 */
#pragma once

#include "gaps/pair_private.h"

/** Two evaluated points. */
typedef struct TbWitness {
    TbVec3 point_a, point_b;
    TbSite site_a, site_b;
    uint32_t node_a, node_b;
    double share_a, share_b; /**< along a strip, 0 to 1 */
} TbWitness;

typedef struct TbSearch {
    TbField *a, *b;
    double width;  /**< mm between lower and upper */
    double enough; /**< mm; 0 or less: not asked */
    double hint;   /**< mm: a distance known not to be below the true one; INFINITY for none */
    bool scanned;  /**< pairs of a sweep and a mesh are known already (scan_parts_private.h) */
    double apart;  /**< mm of station by which b's point lies behind a's, at least; 0: not asked */
    long budget;   /**< pairs looked at, at most */
    const TbTask *task;

    TbPairs pairs;
    double upper;  /**< distance of the witness, rounding added */
    TbVec3 way;    /**< unit, from b's point to a's */
    double let_go; /**< least lower bound of the pairs not followed */
    TbWitness witness;
    bool met; /**< two evaluated points are in one place */
    bool exhausted;
    long nodes;
} TbSearch;

/** Sets everything but the heap's content; upper is INFINITY. */
void tb_search__start(TbSearch *search, TbField *a, TbField *b, double width);

/** Forget all but the question and the memory: for the next of a row of searches. */
void tb_search__again(TbSearch *search);

/** Put two nodes into the heap. */
TbStatus tb_search__push(TbSearch *search, uint32_t a, uint32_t b, TbVec3 way);

/** Two leaves' nearest points, a strip by its station `share` along: an upper bound. */
void tb_search__try(TbSearch *search, uint32_t a, uint32_t b, double share_a, double share_b);

/** @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY. */
TbStatus tb_search__run(TbSearch *search);

/** Least bound of everything, after a run: heap and let go; no more than upper. */
double tb_search__lower(const TbSearch *search);

void tb_search__clear(TbSearch *search);
