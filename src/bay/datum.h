/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file datum.h
 * @brief Points that are there to measure from, and a point given by its distances from three.
 *
 * A tape in an engine bay gives distances from bolts and holes, not coordinates.
 */
#pragma once

#include "bay/ports.h"

/** A named point of the bay. */
typedef struct TbDatum {
    const char *id;   /**< of the record; lent by the document */
    const char *name; /**< for people, or the id; lent */
    TbVec3 point;     /**< mm, bay axes, in the variant */
} TbDatum;

/**
 * All points to measure from: ports, fasteners, centres of balls, in this order.
 *
 * @param[out] datums to be given to tb_free(); NULL where there are none
 */
TbStatus tb_bay_datums(
    const TbBay *bay, const char *variant, TbDatum **datums, size_t *count, TbFault *fault);

/**
 * The point at three distances from three points.
 *
 * Two points have them, on either side of the plane through the three; @p towards says which: the
 * one that lies further along it. Closed form in the plane of the three points (see datum.c).
 *
 * @param from     mm, bay axes; not on one line
 * @param names    what to call the three in a fault; NULL: the first, second and third point
 * @param distance mm, above 0
 * @param towards  any direction that leans out of the plane, e.g. up
 * @param[out] point  mm, bay axes
 * @param[out] spread mm of the point's uncertainty (root of the sum of the three axes' squares) for
 *                    1 mm of every distance's, errors independent; infinite in the plane of the
 *                    three points. May be NULL
 * @return TB_OK, TB_E_RANGE (a distance), TB_E_DEGENERATE: the three on one line; distances that do
 *         not meet, with how many millimetres are missing
 */
TbStatus tb_point_by_distances(const TbVec3 from[3],
                               const char *const names[3],
                               const double distance[3],
                               TbVec3 towards,
                               TbVec3 *point,
                               double *spread,
                               TbFault *fault);
