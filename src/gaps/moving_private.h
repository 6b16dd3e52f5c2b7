/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moving_private.h
 * @brief Best-first search for the smallest distance of two fields in motion.
 *
 * A pair is two nodes and two cells, one of each side's numbers. Invariant: every pair of points at
 * every value of the numbers lies in a pair that is in the heap or was let go, and `lower` of a
 * pair bounds the distance of all its points over all of its cells.
 */
#pragma once

#include "gaps/pair_private.h"
#include "geom/carried.h"
#include "motion/motion.h"

/** A box of one side's bent freedoms. */
typedef struct TbMovingCell {
    double low[TB_MOTION_BENT], high[TB_MOTION_BENT];
    TbPose middle;                  /**< shifts in the middle of their ranges */
    uint32_t pose;                  /**< first of the side's corner poses */
    uint32_t child[TB_MOTION_BENT]; /**< its halves by that number, one behind the other; or 0 */
} TbMovingCell;

/** One side. */
typedef struct TbMovingSide {
    const TbMotion *motion;
    TbField field;
    int bent[TB_MOTION_BENT], bits; /**< which freedom each bit of a pose is */
    int shift[TB_MOTION_SHIFTS], shifts;
    TbMovingCell *cell;
    size_t cells, cell_room;
    TbPose *pose;
    size_t poses, pose_room;
} TbMovingSide;

/** Two evaluated points and the numbers at which they are there. */
typedef struct TbMovingWitness {
    TbVec3 point[2];
    TbSite site[2];
    double q[2][TB_MOTION_MOST];
} TbMovingWitness;

typedef struct TbMovingSearch {
    TbMovingSide side[2];
    double width, enough;
    long budget;
    const TbTask *task;
    TbPairs pairs;
    double upper, let_go;
    TbMovingWitness witness;
    bool met, exhausted;
    bool scanned; /**< pairs of a sweep and a mesh are known already */
    long nodes;
} TbMovingSearch;

/** A side whose field is filled already. @return TB_OK or TB_E_MEMORY; to be cleared in either
 * case. */
TbStatus tb_moving__side(TbMovingSide *side, const TbMotion *motion);
void tb_moving__clear_side(TbMovingSide *side);

/** The halves of a cell by one of its bits: the first's number, the other follows it. @return TB_OK
 * or TB_E_MEMORY */
TbStatus tb_moving__halve(TbMovingSide *side, uint32_t cell, int bit, uint32_t *first);

/** A cell's ranges of all freedoms. */
void tb_moving__ranges(const TbMovingSide *side, uint32_t cell, double low[], double high[]);

/** A ball that holds a node at all of a cell's numbers. */
TbVec3 tb_moving__ball(const TbMovingSide *side, uint32_t node, uint32_t cell, double *radius);

/** Fills what carries a body of a node over a cell; it points into the side. */
void tb_moving__carry(const TbMovingSide *side,
                      uint32_t node,
                      uint32_t cell,
                      const TbConvex *body,
                      TbCarried *carried);

/** From sides, width, budget and a first upper end on. @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_moving__run(TbMovingSearch *search);

/**
 * Where the motion is one rock: looks at every pair of a sweep of one side and a mesh of the other,
 * all over the rock. Where all are apart the search leaves them out (`scanned`), its upper end and
 * witness are the best of them, and `lower` bounds them; else all is as before.
 *
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_moving__look_at_scans(TbMovingSearch *search,
                                  const TbLeaveOut leave_out[],
                                  size_t count,
                                  double *lower);

/** Least bound of everything after a run. */
double tb_moving__lower(const TbMovingSearch *search);

void tb_moving__clear(TbMovingSearch *search);
