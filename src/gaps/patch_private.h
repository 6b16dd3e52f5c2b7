/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file patch_private.h
 * @brief Exact distance of a flat patch, two triangles side by side, from a triangle.
 */
#pragma once

#include "geom/triangle.h"

/** Nearest points of the triangles a b f and a f d, and of the triangle t; a is on the patch. */
TbNearest tb_patch__nearest(const TbVec3 patch[4], const TbVec3 t[3]);
