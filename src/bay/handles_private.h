/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file handles_private.h
 * @brief What the list of handles and their drag both go by. For handles.c and edit_drag.c only.
 */
#pragma once

#include "bay/document.h"
#include "bay/ports.h"
#include "geom/curve.h"

/** One of two directions square to an axis (and to each other), unit. */
TbVec3 tb_handle__square_to(TbVec3 axis, size_t which);

/** The axes of a turned block, unit and square, in the item's axes. */
void tb_handle__block_axes(const TbBlockItem *block, TbVec3 axis[3]);

/** An outline's plane, unit and square: its depth goes along n. */
void tb_handle__outline_axes(const TbOutlineItem *outline, TbVec3 *u, TbVec3 *v, TbVec3 *n);

/** The curve of a placed path. */
TbStatus tb_handle__curve(const TbPlacedPath *path, TbCurve **curve, TbFault *fault);

/** mm along the shaft at which its direction is dragged. */
double tb_handle__shaft_reach(const TbTurbo *turbo);
