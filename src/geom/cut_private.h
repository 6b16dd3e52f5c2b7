/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_private.h
 * @brief What the cutters of the different shapes share: growing a cut, chaining segments.
 */
#pragma once

#include "geom/cut.h"

#include <stdint.h>

/** Where a cut stood, to go back to on failure and to nest from on success. */
typedef struct TbCutMark {
    size_t points, loops;
} TbCutMark;

TbCutMark tb_cut__mark(const TbCut *cut);
void tb_cut__back(TbCut *cut, TbCutMark mark);

/** Appends a point to the loop being written, which began at point @p first; a repetition of the
 * last point is left out. */
TbStatus tb_cut__point(TbCut *cut, size_t first, TbVec2 p, TbFault *fault);

/** Ends the loop that began at point @p first; drops it when nothing is inside (open: when it is
 * one point). Depth is 0 until tb_cut__nest(). */
TbStatus tb_cut__end(TbCut *cut, size_t first, TbLoopKind kind, int role, TbFault *fault);

/** Depths and directions of the loops since a mark, which are those of one part. */
TbStatus tb_cut__nest(TbCut *cut, TbCutMark mark, TbFault *fault);

/* ---- chains of segments ---- */

/** A piece of a cut between two edges of a mesh or grid, the solid on its left. */
typedef struct TbCutSegment {
    uint64_t from, to; /**< numbers of the edges: what is chained, never the coordinates */
} TbCutSegment;

typedef struct TbCutSegments {
    TbCutSegment *all;
    size_t count, room;
} TbCutSegments;

TbStatus tb_cut__segment(TbCutSegments *segments, uint64_t from, uint64_t to, TbFault *fault);

/**
 * Segments of the outline through one square of a grid.
 *
 * @param inside which corners lie in the body, counter-clockwise
 * @param edge   numbers of the edges from each corner to the next
 * @param joined where only two opposite corners lie inside: they hang together
 */
TbStatus tb_cut__square(TbCutSegments *segments,
                        const bool inside[4],
                        const uint64_t edge[4],
                        bool joined,
                        TbFault *fault);

/** The point of an edge; false: leave it out. */
typedef bool (*TbCutPoint)(void *user, uint64_t edge, TbVec2 *point);

/** Chains segments into loops and open rows and writes them into the cut. */
TbStatus tb_cut__chain(const TbCutSegments *segments,
                       TbCutPoint point,
                       void *user,
                       TbCut *cut,
                       int role,
                       TbFault *fault);

/** Writes the loops of a traced grid with what is straight, within @p near mm, as one piece. */
TbStatus tb_cut__thinned(TbCut *cut, const TbCut *traced, double near, TbFault *fault);

/* ---- cutters that others call ---- */

/** tb_cut_add_sweep() within @p tolerance mm instead of TB_TOL_CUT.
 * @param strips of its pieces, as a solid keeps them, or NULL: with them, what does not come near
 *               the plane is not looked at */
TbStatus tb_cut__sweep(TbCut *cut,
                       const TbSweep *sweep,
                       const TbPartStrip strips[],
                       bool hollow,
                       TbPlane plane,
                       double tolerance,
                       int role,
                       TbFault *fault);

/** The silhouette of a part that is one convex piece: a ball, a rod, or its first piece's points.
 */
TbStatus tb_cut__hull(TbCut *cut, const TbPart *part, TbPlane plane, double chord, TbFault *fault);

/** The silhouette of a sweep beyond a plane by rings of it, not yet nested; see
 * tb_cut_add_silhouette_on(). */
TbStatus tb_cut__shadow(TbCut *cut,
                        const TbCutRings *rings,
                        TbPlane plane,
                        double chord,
                        double step,
                        int role,
                        TbFault *fault);

/**
 * A prism with flat faces.
 *
 * @param vertex    2 * corners points: the lower outline, then the upper one; outward where the
 *                  outline runs counter-clockwise seen from above
 * @param triangles 3 * (corners - 2) numbers of the lower outline's corners, counter-clockwise
 */
TbStatus tb_cut__prism(TbCut *cut,
                       const TbVec3 vertex[],
                       uint32_t corners,
                       const size_t triangles[],
                       TbPlane plane,
                       int role,
                       TbFault *fault);

/** An outline with a rounding. */

TbStatus tb_cut__rounded(TbCut *cut, const TbPlain *plain, TbPlane plane, int role, TbFault *fault);
