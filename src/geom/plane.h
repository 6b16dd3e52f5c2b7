/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file plane.h
 * @brief Planes of a free cut: from where one looks, through three points, square to a line.
 *
 * A plane that nobody turned by hand lies on paper as the usual view nearest to it does: seen from
 * the left, from above or from the front, with Z up the page; where the plane is within
 * TB_ANGLE_STEEP of level, with Y up the page. Millimetres.
 */
#pragma once

#include "base/fault.h"
#include "geom/cut.h"

/** mm. Three points are no plane when one lies nearer than this to the line of the others: points
 * are picked or taped to a tenth, and the plane's direction would be that tenth and nothing else.
 */
#define TB_PLANE_LEAST 0.1

/** A free plane as it is asked: a point on it, where the reader looks, what stands up on paper. */
typedef struct TbSight {
    TbVec3 point; /**< mm; the paper's (0, 0) */
    TbVec3 look;  /**< any length above 0, square to the plane, away from the reader */
    TbVec3 up;    /**< any length; 0 or along look: chosen as above */
} TbSight;

/**
 * @return TB_OK, TB_E_RANGE (not finite, or beyond TB_LIMIT_COORDINATE), TB_E_DEGENERATE (a look
 *         without direction); @p plane untouched on failure
 */
TbStatus tb_plane_of_sight(TbSight sight, TbPlane *plane, TbFault *fault);

/**
 * The look onto a plane given by a point and a normal of either sense.
 *
 * @param normal not 0 (asserted)
 */
TbSight tb_sight_onto(TbVec3 point, TbVec3 normal);

/**
 * Through three points; the first is the paper's (0, 0).
 *
 * @return TB_OK, TB_E_DEGENERATE (on one line within TB_PLANE_LEAST, the distance is told),
 *         TB_E_RANGE (not finite, or beyond TB_LIMIT_COORDINATE)
 */
TbStatus tb_sight_through(TbVec3 a, TbVec3 b, TbVec3 c, TbSight *sight, TbFault *fault);

/**
 * Square to the line from @p a to @p b, through @p at.
 *
 * @return TB_OK, TB_E_DEGENERATE (@p a and @p b within TB_PLANE_LEAST), TB_E_RANGE
 */
TbStatus tb_sight_square(TbVec3 a, TbVec3 b, TbVec3 at, TbSight *sight, TbFault *fault);
