/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file axis.h
 * @brief Axes of charts: where they begin and end, and ticks in steps of 1, 2 or 5.
 */
#pragma once

#include "base/quantity.h"

/** An axis: where it begins and ends and how far its ticks stand apart: 1, 2 or 5 times a power of
 * ten of what is shown, be it mm or inches. */
typedef struct TbAxis {
    double low, high, step; /**< as the values are: mm, mm², 1/m, degrees */
    double one;             /**< so much is one of what is shown; 1 but for inches */
    int decimals;           /**< that a tick's number needs */
} TbAxis;

/** The axis that holds low..high in at most @p most_ticks steps. Equal or empty ranges get room. */
TbAxis tb_axis_for(double low, double high, int most_ticks, TbQuantity quantity, TbLengthUnit unit);

/** A tick's number, as people read it. */
void tb_axis_number(const TbAxis *axis, double tick, char out[TB_TEXT_NUMBER]);

/** The first tick at or above the axis' `from`, for ranges that do not begin at one. */
double tb_axis_first_tick(const TbAxis *axis, double from);
