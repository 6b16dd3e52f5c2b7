/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file sketch_private.h
 * @brief What the files of the sketch share.
 */
#pragma once

#include "app/sketch.h"

/** A point that is set. Lent. */
static inline const TbSketchPoint *
tb_sketch__point(const TbSketch *sketch, guint k)
{
    return &g_array_index(sketch->points, TbSketchPoint, k);
}

/** Set points and, while points are aimed at, the one aimed at; of TbSketchPoint, ports lent. */
GArray *tb_sketch__points_with_aim(const TbSketch *sketch);

/** Radius and reach with what is aimed at. */
double tb_sketch__radius(const TbSketch *sketch);
void tb_sketch__reach(const TbSketch *sketch, double *from, double *to);

/** True for what has corners in one plane and a depth. */
bool tb_sketch__is_flat(TbTool tool);

/** True where two planes look the same way. */
bool tb_sketch__parallel(TbPlane a, TbPlane b);

/** Aim at a point in space that is meant on a view. */
void tb_sketch__aim_at(TbSketch *sketch, TbPlane plane, TbVec3 at);

/** Which vehicle axis (0 X, 1 Y, 2 Z) a direction lies along, and its sense; -1: none. */
int tb_sketch__axis(TbVec3 direction, double *sense);

/** A knot more for the duct or line at what is aimed at. */
TbStatus tb_sketch__knot_bay(
    TbSketch *sketch, const TbBay *bay, const char *variant, TbBay **out, TbFault *fault);
