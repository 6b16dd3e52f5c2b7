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

#include "gaps/moving.h"
#include "gaps/pair_private.h"
#include "geom/carried.h"
#include "motion/motion.h"

/** A box of one side's bent freedoms. */
typedef struct TbMovingCell {
    double low[TB_MOTION_BENT], high[TB_MOTION_BENT];
    double warm_low[TB_MOTION_WARM], warm_high[TB_MOTION_WARM]; /**< from rest: 0 as drawn */
    TbPose middle; /**< shifts in the middle of their ranges */
    uint32_t pose; /**< first of the side's corner poses */
    /** Its halves by that number, bent or then warm, one behind the other; or 0. */
    uint32_t child[TB_MOTION_BENT + TB_MOTION_WARM];
} TbMovingCell;

/** One side. */
typedef struct TbMovingSide {
    const TbMotion *motion;
    TbField field;
    int bent[TB_MOTION_BENT], bits; /**< which freedom each bit of a pose is */
    int shift[TB_MOTION_SHIFTS], shifts;
    TbMotion rigid; /**< the motion without its warm freedoms */
    int warm[TB_MOTION_WARM], warms;
    bool tied[TB_MOTION_WARM]; /**< with a number of the other side */
    bool follows;              /**< a path whose ends are carried by others */
    TbVec3 chord[2];           /**< its ends at rest */
    double length;             /**< mm, of its path */
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
    const TbMovingTie *tie;
    int ties;
    bool met, exhausted;
    bool scanned; /**< pairs of a sweep and a mesh are known already */
    long nodes;
} TbMovingSearch;

/** A side whose field is filled already. @return TB_OK or TB_E_MEMORY; to be cleared in either
 * case. */
TbStatus tb_moving__side(TbMovingSide *side, const TbMotion *motion);
void tb_moving__clear_side(TbMovingSide *side);

/* ---- warmth (moving_warm.c); numbers are of TbMovingSide.warm ---- */

/** What of a side's motion is warm, and where its path begins and ends. */
void tb_moving__find_warm(TbMovingSide *side);
bool tb_moving__is_growth(const TbMovingSide *side, int number);

/** The freedom's number as drawn: 1 of a growth, else 0. */
double tb_moving__rest(const TbMovingSide *side, int number);

/** Of a node over a cell. @return mm of a ball by which a body that is no strip must be larger */
double tb_moving__warm(const TbMovingSide *side, uint32_t node, uint32_t cell, TbWarm *warm);

/** Of an exact body of a node; @p station of its section where it is one, else NULL. */
void tb_moving__warm_at(
    const TbMovingSide *side, uint32_t node, uint32_t cell, const double *station, TbWarm *warm);

/** The same of a strip of a side's sweep over all of its warmth; or, where it is NULL, of the
 * section at a station: what a lattice asks (TbLatticeWarmth). @param user the side */
void tb_moving__warm_row(const void *user, const TbStrip *strip, double station, TbWarm *warm);

/** A ball that holds a node at every warmth of a cell, before it is moved. */
TbVec3 tb_moving__warm_ball(const TbMovingSide *side, uint32_t node, uint32_t cell, double *radius);

/** Neither side is moved otherwise: a shift that both have in common is none. */
bool tb_moving__ties_cancel(const TbMovingSearch *search);

/** Takes what tied numbers do to both sides off both. */
void tb_moving__untie(const TbMovingSearch *search, const TbPair *pair, TbWarm warm[2]);

/** mm: about by how much warmth has a strip overstate itself: its shifts bend along it, and tied
 * ones differ from its one end to the other. */
double tb_moving__strip_loose(const TbMovingSide *side, uint32_t node, uint32_t cell);

/** mm: about by how much a tied number is overstated where each side has it to itself. */
double tb_moving__tie_loose(const TbMovingSearch *search, const TbPair *pair, int tie);

/** Side b's number, from rest, that goes with side a's. */
double tb_moving__tie_other(const TbMovingSearch *search, int tie, double number);

/** The halves of a cell by one of its bits, bent ones first and then warm ones: the first's number,
 * the other follows it. @return TB_OK or TB_E_MEMORY */
TbStatus tb_moving__halve(TbMovingSide *side, uint32_t cell, int bit, uint32_t *first);

/** A cell's ranges of all freedoms. */
void tb_moving__ranges(const TbMovingSide *side, uint32_t cell, double low[], double high[]);

/** A ball that holds a node at all of a cell's numbers. */
TbVec3 tb_moving__ball(const TbMovingSide *side, uint32_t node, uint32_t cell, double *radius);

/** Fills what carries a body of a node over a cell; it points into the side and the warmth, which
 * counts where the side has one. */
void tb_moving__carry(const TbMovingSide *side,
                      uint32_t node,
                      uint32_t cell,
                      const TbConvex *body,
                      const TbWarm *warm,
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

/** A section of a side's sweep and a triangle of the other's mesh, as near as warmth brings them.
 */
typedef struct TbMovingScanned {
    int swept; /**< the side with the sweep */
    size_t sweep_part, mesh_part;
    TbDisc disc; /**< at rest */
    TbVec3 corner[3];
    uint32_t triangle;           /**< of the mesh's own numbers */
    double q[2][TB_MOTION_MOST]; /**< what is not warm */
    TbVec3 way;                  /**< from b to a, about */
} TbMovingScanned;

/** Takes it where it is nearer than the search's upper end. */
void tb_moving__take_scanned(TbMovingSearch *search, const TbMovingScanned *near);

/** Two real points of a pair at numbers of its cells, after the separation of its bodies. */
void tb_moving__try_witness(TbMovingSearch *search, const TbPair *pair, const TbSeparation *near);

/** A pose is the worst so far: its gap, numbers (which may be the answer's own) and poses. */
void tb_moving__take_pose(TbMovingGap *moving,
                          const TbMotion *const motion[2],
                          const TbGap *gap,
                          const double at_a[],
                          const double at_b[]);

/** A solid all of whose parts are meshes without an inside: nothing can be deep in it. */
bool tb_moving__is_open(const TbSolid *solid);

/** How deep two solids, all of whose parts have an inside, stand in each other at one pose, to
 * ask->depth_width.
 * @param known mm, TB_TOL_ROUND or less: only what is deeper counts. `lower` is then at most that,
 *              and the contact TB_TOUCHES where nothing deeper was found; `nodes` are points
 *              that were probed */
TbStatus tb_moving__depth_at(const TbMovingAsk *ask,
                             const double at_a[],
                             const double at_b[],
                             double known,
                             TbTask *task,
                             TbGap *gap,
                             TbFault *fault);

/** Multiplies what anything travels in the bound of a depth: only tests set it, to less than 1, to
 * see that it matters. */
extern double tb_moving__travel_factor;

/**
 * From a pose at which they meet, or nearly, to the whole motion (moving_depth.c).
 *
 * @param refined       the pose's gap was asked as close as this one is
 * @param[in,out] moving the pose
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_moving__depth(
    const TbMovingAsk *ask, bool refined, TbTask *task, TbMovingGap *moving, TbFault *fault);

/** Least bound of everything after a run. */
double tb_moving__lower(const TbMovingSearch *search);

void tb_moving__clear(TbMovingSearch *search);
