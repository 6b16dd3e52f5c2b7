/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moving_spot_private.h
 * @brief The certified gap over a motion of one body of a path, its section or a point of its skin,
 *        asked for one after the other.
 *
 * It is the search of moving_search.c with that body as the whole of side a: it goes with the
 * motion, and with the path's warmth by its station. Side b's tree and the cells of numbers stay
 * from one body to the next.
 */
#pragma once

#include "gaps/moving_private.h"

typedef struct TbMovingSpots {
    const TbMovingAsk *ask; /**< lent */
    TbMovingSearch search;
    TbConvex body;
    bool has_inside; /**< a mesh of b has */
} TbMovingSpots;

typedef struct TbMovingSpot {
    TbConvex body;             /**< as drawn */
    double station0, station1; /**< of the path between which it lies */
    double beyond;             /**< mm: what is further off is only known to be that */
    double width;              /**< mm, of the interval */
    double
        known; /**< mm: an upper end that was seen already (tb_spots__seen_from()); or INFINITY */
    bool decides; /**< it is enough to know whether anything is nearer than `beyond` */
} TbMovingSpot;

/** Numbers of the whole and a point of b there. */
typedef struct TbMovingSeen {
    double q[TB_MOTION_MOST]; /**< of side a */
    TbVec3 on_b;
    bool there;
} TbMovingSeen;

typedef struct TbMovingSpotGap {
    double lower; /**< mm; 0 where the two meet */
    double upper; /**< mm; INFINITY: nothing nearer than `beyond` was seen */
    bool exhausted;
    bool is_new;     /**< `upper` was seen by this search: then the rest is there */
    TbVec3 point[2]; /**< of `upper`, at that pose */
    TbVec3 at_rest;  /**< point[0] as drawn */
    TbMovingSeen seen;
} TbMovingSpotGap;

/** Both solids of the question have parts; a's path is its first sweep. @return TB_OK or
 * TB_E_MEMORY; to be cleared in either case */
TbStatus tb_spots__start(TbMovingSpots *spots, const TbMovingAsk *ask, TbTask *task);

/** @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY */
TbStatus tb_spots__ask(TbMovingSpots *spots, const TbMovingSpot *spot, TbMovingSpotGap *gap);

/** mm. How far a point of the path, drawn at x, is from what another one saw, at its numbers: an
 * upper end of its own gap. INFINITY where nothing is there. */
double
tb_spots__seen_from(const TbMovingSpots *spots, const TbMovingSeen *seen, double station, TbVec3 x);

void tb_spots__clear(TbMovingSpots *spots);
