/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file outline.h
 * @brief A section's outline told evenly by angle about the path, as people look at it.
 *
 * tb_disc_point() goes by the normal's angle: a flat side has one normal, and steps of it leave the
 * side out. Here the steps are of the point's own angle, tb_disc_angle().
 */
#pragma once

#include "geom/sweep.h"

/** mm: as well as gaps are told. */
#define TB_OUTLINE_SAGITTA 0.01

/**
 * Points of a disc's outline at the angles -pi + (k + 1/2) 2 pi / count about the path, from the
 * untwisted h towards w.
 *
 * They lie on chords of the outline, inside of it by at most @p sagitta.
 * Where the path runs outside of the outline, or so near to it that angles do not ascend, the
 * points are those of tb_disc_point() at the same angles.
 *
 * @param count   4 or more
 * @param sagitta mm, above 0 (asserted): TB_OUTLINE_SAGITTA where gaps are told
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus
tb_outline_around(const TbDisc *disc, bool outer, size_t count, double sagitta, TbVec3 out[]);
