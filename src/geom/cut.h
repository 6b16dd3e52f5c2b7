/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut.h
 * @brief Intersection of a solid's parts with a plane: closed loops, rightly nested.
 *
 * Exact for plain shapes (curves are given as points on them, chords within TB_TOL_CUT), within
 * TB_TOL_CUT for sweeps and rounded outlines, watertight for closed meshes also where the plane
 * runs through vertices and edges (a vertex on the plane counts as above it, for blocks, rods and
 * outlines too). An open mesh gives open chains. A body that only touches the plane has no cut:
 * loops thinner than TB_TOL_PLACE are left out; so may be an island of a sweep that rises less than
 * TB_TOL_CUT through the plane.
 *
 * The material of a part is what its loops enclose by the even-odd rule, outer and inner together:
 * an inner loop (gas side) is closed too, along the end line where the duct ends, so that the wall
 * shows on both sides of the gas. A plane within TB_TOL_PLACE of a duct's end section gives that
 * section.
 */
#pragma once

#include "geom/polygon.h"
#include "geom/solid.h"

/** A plane and its axes on paper: u to the right, v up, n = u x v towards the reader. */
typedef struct TbPlane {
    TbVec3 origin, u, v, n;
} TbPlane;

/** Plane through a point, with u and v given (unit, square). */
TbPlane tb_plane_of(TbVec3 origin, TbVec3 u, TbVec3 v);

TbVec2 tb_plane_project(TbPlane plane, TbVec3 p); /**< on paper, mm */
TbVec3 tb_plane_lift(TbPlane plane, TbVec2 p);
double tb_plane_height(TbPlane plane, TbVec3 p); /**< above 0 towards the reader */

typedef enum TbLoopKind {
    TB_LOOP_OUTER, /**< outside of an item */
    TB_LOOP_INNER, /**< gas side of a duct */
    TB_LOOP_OPEN   /**< chain of an open mesh, not closed */
} TbLoopKind;

typedef struct TbLoop {
    size_t first, count; /**< in the cut's points; closed, the first is not repeated */
    TbLoopKind kind;
    int depth; /**< nesting among loops of the same part and kind, an inner loop one deeper: odd is
                    a hole */
    int role;  /**< of the part */
} TbLoop;

typedef struct TbCut {
    TbVec2 *points;
    size_t point_count, point_room;
    TbLoop *loops;
    size_t loop_count, loop_room;
} TbCut;

void tb_cut_init(TbCut *cut);
void tb_cut_clear(TbCut *cut); /**< frees what it holds; may be used again */

/** Fills an empty cut with what another one holds; it stays empty on failure. */
TbStatus tb_cut_copy(TbCut *to, const TbCut *from, TbFault *fault);

/**
 * Add the cut of a whole solid, sweeps hollow. Counter-clockwise loops are solid, clockwise ones
 * are holes.
 *
 * @return TB_OK, TB_E_MEMORY; on failure of this and the following functions the cut is as before
 */
TbStatus tb_cut_add_solid(TbCut *cut, const TbSolid *solid, TbPlane plane, TbFault *fault);

/** The same with sweeps within @p tolerance mm instead of TB_TOL_CUT, for what moves on a screen.
 */
TbStatus tb_cut_add_solid_within(
    TbCut *cut, const TbSolid *solid, TbPlane plane, double tolerance, TbFault *fault);

TbStatus
tb_cut_add_plain(TbCut *cut, const TbPlain *plain, TbPlane plane, int role, TbFault *fault);
TbStatus tb_cut_add_mesh(TbCut *cut, const TbTree *tree, TbPlane plane, int role, TbFault *fault);
/** Outer loop, and the inner one where the sweep has a wall and @p hollow. */
TbStatus tb_cut_add_sweep(
    TbCut *cut, const TbSweep *sweep, bool hollow, TbPlane plane, int role, TbFault *fault);

/**
 * Outline of what lies beyond the plane (heights below 0), seen along the plane's normal: closed
 * polygons on paper, a set for each part, holes clockwise. Only for drawing: within @p chord, but
 * of a part larger than 2000 chords within a 2000th of its size. Parts in front give nothing.
 *
 * A block, rod, ball or convex piece is the hull of its points beyond the plane. Anything else is
 * its surface as triangles, laid on a grid; the outline's points lie on the triangles' outline, and
 * corners lose less than a grid step.
 *
 * @param chord mm, above 0 (asserted)
 */
TbStatus tb_cut_add_silhouette(
    TbCut *cut, const TbSolid *solid, TbPlane plane, double chord, TbFault *fault);

/** Rings along a sweep, ring after ring: what every silhouette of it is drawn by. Zero is none. */
typedef struct TbCutRings {
    const TbSweep *sweep;  /**< lent */
    size_t columns, count; /**< points of a ring, rings */
    double *stations;
    TbVec3 *points;
} TbCutRings;

/**
 * Rings of the outside, so many that the surface strays from the way between two by half of @p
 * chord mm at most, or so.
 *
 * @param[out] rings cleared by the caller in either case
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_cut_rings(TbCutRings *rings, const TbSweep *sweep, double chord, TbFault *fault);
void tb_cut_rings_clear(TbCutRings *rings);

/**
 * The silhouette of a solid whose sweep has been looked at, for what moves on a screen.
 *
 * @param rings of its sweep, or NULL: it is as before
 * @param step  mm of the grid that sweeps are laid on, @p chord or more. A wide one costs smooth
 *              outlines a chord of the grid; corners are put where the sides to them would meet
 */
TbStatus tb_cut_add_silhouette_on(TbCut *cut,
                                  const TbSolid *solid,
                                  const TbCutRings *rings,
                                  TbPlane plane,
                                  double chord,
                                  double step,
                                  TbFault *fault);
