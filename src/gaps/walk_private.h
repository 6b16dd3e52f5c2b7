/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file walk_private.h
 * @brief One filled section after the other against a field, each starting from what the ones
 * before it learned.
 *
 * Kept from section to section, for each node of the field:
 * - a bound of its distance, and from which section. No point of the next section is further than
 *   TbDiscAt.gone says from this one, so the bound less that holds there (Lipschitz);
 * - of a leaf the direction that last held it away, and how far it reaches along it. That is a
 *   separation of the next section too: one support of the section and it is evaluated.
 * Nodes that were opened stay open. The nearest leaf of the section before is looked at first and
 * gives the upper end that the rest is held against.
 */
#pragma once

#include "gaps/discs.h"
#include "gaps/search_private.h"

/** What is known of a node. */
typedef struct TbNodeWay {
    double lower;    /**< bound of its distance from a section ... */
    double gone;     /**< ... and which one; NAN: none yet */
    TbVec3 way;      /**< unit, from the node towards the sections */
    TbVec3 before;   /**< the same of the look before; zero: none */
    double reach;    /**< of the node along `way`, widening included; INFINITY: not computed yet */
    uint32_t looked; /**< number of the last section it was looked at for */
    bool given;      /**< the direction is there */
} TbNodeWay;

/** A node to be followed. */
typedef struct TbDue {
    double lower;
    uint32_t node;
} TbDue;

typedef struct TbWalk {
    TbField *other;
    double width; /**< mm between lower and upper */
    const TbTask *task;
    TbNodeWay *known;
    size_t known_room;
    TbDue *due; /**< a heap: the nearest first, ties by number */
    size_t due_count, due_room;
    uint32_t *opened; /**< in this section, parents before their children; as much room as known */
    size_t opened_count;
    uint32_t last;          /**< leaf of the last witness; UINT32_MAX: none yet */
    uint32_t part;          /**< its part of the other solid */
    double station;         /**< of the witness along the other's path, mm; NAN where it has none */
    double guess;           /**< of the next one: it goes on as it went */
    TbVec3 way, way_before; /**< to the last two witnesses; zero: none yet */
    /* of this section */
    uint32_t number; /**< from 1 */
    const TbDiscAt *at;
    TbConvex body;
    TbVec3 plane; /**< the nearest leaf's direction */
    double front; /**< reach of the section against it; NAN: no such plane */
    double upper, lower;
    TbWitness witness;
    bool met;
    bool undecided; /**< too many steps: the heap's search is to do it */
    long nodes;     /**< leaves looked at */
} TbWalk;

void tb_walk__start(TbWalk *walk, TbField *other, double width, const TbTask *task);

/**
 * The next section of the same row: sets upper, lower, witness and met, or undecided.
 *
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_walk__station(TbWalk *walk, const TbDiscAt *at);

void tb_walk__clear(TbWalk *walk);

/* ---- bounds (walk_bound.c) ---- */

static inline double
tb_larger(double x, double y)
{
    return x > y ? x : y;
}

/** A section and a node that are apart by this need not be followed. */
static inline double
tb_walk__cut_of(const TbWalk *walk)
{
    return tb_larger(0, walk->upper - walk->width);
}

/** What the sections before leave of a node's bound. */
static inline double
tb_walk__inherited(const TbWalk *walk, const TbNodeWay *known)
{
    return isnan(known->gone) ? -(double)INFINITY
                              : known->lower - fabs(walk->at->gone - known->gone);
}

/** Of boxes, balls and the nearest leaf's plane: cheap, before anything else. */
double tb_walk__far_apart(const TbWalk *walk, const TbNode *node);

/** How far away a plane square to a unit d is that has the section behind it. */
double tb_walk__front_of(const TbWalk *walk, TbVec3 d);

/** What a tube reaches beyond its body. */
double tb_walk__beyond_of(const TbWalk *walk, uint32_t node, TbVec3 d);

/** What the direction that held the node away from an earlier section says of this one. */
double tb_walk__remembered(TbWalk *walk, uint32_t node);

/** What the nearest leaf's plane says of a strip. */
double tb_walk__behind_plane(const TbWalk *walk, uint32_t node);
