/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file gap_axis.h
 * @brief A lying axis of gaps with upright lines at values that matter: what the drawings of a
 *        single gap share.
 */
#pragma once

#include "base/quantity.h"
#include "draw/labels.h"
#include "draw/picture.h"

/** mm of paper. */
#define TB_GAP_AXIS_LINE 4.2  /**< between lines of small text, and rows of names */
#define TB_GAP_AXIS_BELOW 9.0 /**< below the frame: numbers, title */

typedef struct TbGapAxis {
    TbRectangle frame;
    double low, high; /**< mm of the gap, over the frame's width */
} TbGapAxis;

/** Paper's x of a gap. */
double tb_gap_axis_x(const TbGapAxis *axis, double gap);

/** The axis itself, below the frame. */
void tb_gap_axis_draw(TbPicture *picture, const TbGapAxis *axis, TbLengthUnit unit);

/** A value's upright line, up to its name's row: 0 is next to the frame. Nothing where it is not
 * finite. */
void tb_gap_axis_line(
    TbPicture *picture, const TbGapAxis *axis, double gap, TbPen pen, TbInk ink, int row);

/** Its name above the frame, in a row of its own, over the lines of the others. */
void tb_gap_axis_name(
    TbPicture *picture, const TbGapAxis *axis, double gap, const char *name, TbInk ink, int row);
