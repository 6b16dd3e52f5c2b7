/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file walk_private.h
 * @brief One filled section after the other against a field, each starting from what the one before
 *        it learned.
 *
 * What is kept from section to section, for each node of the field, is the direction that last held
 * it away, and how far the node reaches along it. That is a separation of the next section too: one
 * support of the section and it is evaluated, so a bound that comes of it is as sound as any. Nodes
 * that were opened stay open. The nearest leaf of the section before is looked at first and gives
 * the upper end that the rest is held against.
 */
#pragma once

#include "gaps/discs.h"
#include "gaps/search_private.h"

/** What is known of a node. */
typedef struct TbKnown {
    TbVec3 way;   /**< unit, from the node towards the sections */
    double reach; /**< of the node along it, widening included; INFINITY: not computed yet */
    double lower; /**< of this section against it, where `turn` is this section's */
    uint32_t turn;
    bool given; /**< the direction is there */
} TbKnown;

/** A node to be looked at. */
typedef struct TbDue {
    double lower;
    uint32_t node;
} TbDue;

typedef struct TbWalk {
    TbField *other;
    double width; /**< mm between lower and upper */
    const TbTask *task;
    TbKnown *known;
    size_t known_room;
    TbDue *due;
    size_t due_count, due_room;
    uint32_t last; /**< leaf of the last witness; UINT32_MAX: none yet */
    /* of this section */
    uint32_t turn;
    const TbDiscAt *at;
    TbConvex body;
    TbVec3 plane; /**< the nearest leaf's direction */
    double front; /**< reach of the section against it; NAN: no such plane */
    double upper, let_go;
    TbWitness witness;
    bool met;
    bool undecided; /**< too many steps: the heap's search is to do it */
    long nodes;
} TbWalk;

void tb_walk__start(TbWalk *walk, TbField *other, double width, const TbTask *task);

/**
 * The next section: sets upper, let_go, witness and met, or undecided.
 *
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_walk__station(TbWalk *walk, const TbDiscAt *at);

/** Least bound of everything; no more than upper. */
double tb_walk__lower(const TbWalk *walk);

void tb_walk__clear(TbWalk *walk);
