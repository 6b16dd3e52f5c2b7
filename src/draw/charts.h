/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file charts.h
 * @brief Charts along a path: one station axis, a chart below the other, labels at curve ends.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"
#include "study/scene.h"

/** A value axis: where it begins and ends and how far its ticks stand apart (1, 2 or 5 times a
 * power of ten). */
typedef struct TbAxis {
    double low, high, step;
    int decimals; /**< that a tick's number needs */
} TbAxis;

/** The axis that holds low..high in at most @p most_ticks steps. Equal or empty ranges get room. */
TbAxis tb_axis_for(double low, double high, int most_ticks);

/**
 * Draw a strip on an A4 sheet.
 *
 * @param[out] picture started by this function; the caller clears it
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus
tb_charts_view(TbPicture *picture, const TbSceneStrip *strip, TbMeasurer measurer, TbFault *fault);
