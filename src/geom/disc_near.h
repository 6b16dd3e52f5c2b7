/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file disc_near.h
 * @brief How near a filled section comes to a body on which a point has its nearest point in closed
 *        form: a point, two points, a block, a rod or cone, any of them grown by a ball.
 *
 * GJK knows bodies by support alone, so it has to find a block's face corner by corner. Here every
 * point of the section's outline that comes up is held against the body itself: that is an upper
 * end, and its direction, evaluated by support, a lower one. Two or three of them settle it where
 * the nearest point lies on the outline.
 */
#pragma once

#include "geom/convex.h"

/**
 * @param disc  outside, wall included
 * @param start, enough, width as for tb_convex_separation()
 * @param[out] found the same as that says, but for `rounds`, which counts supports here; weights
 *              are of two points only. Where this is false, `direction` is the best it came to, and
 *              no more is said.
 * @return false: another body, or they meet, or it did not settle
 */
bool tb_disc_near(const TbDisc *disc,
                  const TbConvex *body,
                  TbVec3 start,
                  double enough,
                  double width,
                  TbSeparation *found);
