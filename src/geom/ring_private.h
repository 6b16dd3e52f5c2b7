/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ring_private.h
 * @brief What the files ring*.c share: the quadrants of a ring's normals.
 */
#pragma once

#include "geom/quarter.h"
#include "geom/ring.h"

/** Quadrants of normals in the order of the columns, and the signs of their axes. */
static const int tb_ring__corner[4] = {TB_CORNER_RU, TB_CORNER_RD, TB_CORNER_LD, TB_CORNER_LU};
static const double tb_ring__sign_w[4] = {1, 1, -1, -1};
static const double tb_ring__sign_h[4] = {1, -1, -1, 1};
