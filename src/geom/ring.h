/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ring.h
 * @brief Outlines of a sweep as rings of points with like places on every ring, and where the
 *        tangents at neighbouring points meet.
 *
 * Column k of a ring is the outline's point whose normal on the unit shape is v_k, so points of one
 * column run along the duct on one of the lines that bound.h bounds. Such a point is linear in the
 * blend and in the half sizes: two tables, blended and stretched, no power and no root a point (the
 * wall's direction costs one root). Tangents' meetings are linear in the support function, so they
 * blend and stretch the same way.
 *
 * The outline from column k to column k + 1 lies in the triangle contact[k], meeting[k],
 * contact[k + 1], to TB_TOL_ROUND; the last column's neighbour is the first. So the points of a
 * ring and its meetings hold the whole outline between them.
 *
 * Columns run right-handed about the path, h towards w (section.h); column 0 is the top, where a
 * flat top ends on the right. The four axes are always among the normals. A flat side has two
 * columns of one normal, its ends; where many normals share one point (a sharp corner), so do the
 * columns. Units: mm.
 */
#pragma once

#include "geom/sweep.h"

/** Columns of a ring, least and most. */
#define TB_RING_LEAST 16
#define TB_RING_MOST 256

/** Normals and the two tables of one span of a law. A value; it refers to nothing. */
typedef struct TbRingPlan {
    size_t columns; /**< K */
    /** Columns where each quadrant of normals begins and ends, from the top: right-up, right-down,
     * left-down, left-up. The last one ends at K where the top is not flat (column 0 again). */
    size_t first[4], last[4];
    TbVec2 normal[TB_RING_MOST]; /**< v_k: unit, (w, h) of the unit shape */
    struct TbRingTable {
        double contact_w[TB_RING_MOST], contact_h[TB_RING_MOST];
        double meeting_w[TB_RING_MOST], meeting_h[TB_RING_MOST];
    } from, to; /**< of the span's two unit shapes */
} TbRingPlan;

/**
 * The plan of a span: normals spread by about equal height of the outline over its chords, with the
 * aspect and the wall at the span's ends. Costs some ten microseconds; allocates nothing.
 *
 * @param columns TB_RING_LEAST to TB_RING_MOST (asserted)
 */
void tb_ring_plan_of_span(const TbLawSpan *span, size_t columns, TbRingPlan *plan);

/** One set of normals for all spans of a law, so that columns run through its given sections. */
void tb_ring_plan_of_law(const TbLaw *law, size_t columns, TbRingPlan *plan);

/** The tables of @p span for the normals that @p plan already has. */
void tb_ring_plan_move(const TbLawSpan *span, TbRingPlan *plan);

/**
 * One ring in space.
 *
 * @param disc of a piece whose law span the plan was made for
 * @param outer with the wall
 * @param[out] contact K points of the outline
 * @param[out] meeting K meetings of the tangents at k and k + 1; NULL: not wanted
 */
void tb_ring_points(
    const TbDisc *disc, const TbRingPlan *plan, bool outer, TbVec3 contact[], TbVec3 meeting[]);

/**
 * Rings at stations of a sweep, all with the same normals.
 *
 * @param stations ascending, mm; beyond an end is the end
 * @param columns  TB_RING_LEAST to TB_RING_MOST (asserted)
 * @param[out] points caller's array of rings x columns, ring after ring
 */
void tb_sweep_rings(const TbSweep *sweep,
                    const double stations[],
                    size_t rings,
                    size_t columns,
                    bool outer,
                    TbVec3 points[]);
