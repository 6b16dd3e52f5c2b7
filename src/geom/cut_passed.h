/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_passed.h
 * @brief Where a plane meets what a solid passes on its way: the outline of its envelope.
 */
#pragma once

#include "geom/cut.h"
#include "geom/pose.h"

/** A way as cells: of each the poses at its corners. Between them every point runs near enough to
 * the hull of its places at the corners; how near is who makes the cells to say. */
typedef struct TbPassing {
    const TbPose *pose; /**< cells * corners */
    size_t cells, corners;
} TbPassing;

/**
 * How long the convex bodies are that stand for a solid, at most, mm: discs of a sweep, a plain
 * shape, a mesh's triangles. Of a body so long, the hull of a cell that turns it by an angle lies
 * outside of what it passes by at most a quarter of the angle times that.
 */
double tb_cut_passed_size(const TbSolid *solid);

/**
 * Add the outline, one for all parts together: loops of role 0, holes clockwise. Each part is taken
 * as the union of convex bodies within half of @p chord (a mesh as its triangles: holes of its
 * envelope are left out), and each of them passes the hull of its places at a cell's corners, which
 * the plane cuts exactly. Corners of the outline lose
 * less than @p chord, of an envelope larger than 2000 chords less than a 2000th of its size.
 *
 * @param chord mm, above 0 (asserted)
 * @return TB_OK, TB_E_MEMORY; on failure the cut is as before
 */
TbStatus tb_cut_add_passed(TbCut *cut,
                           const TbSolid *solid,
                           const TbPassing *passing,
                           TbPlane plane,
                           double chord,
                           TbFault *fault);
