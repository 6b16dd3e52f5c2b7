/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file charts.h
 * @brief Charts along a path: one station axis, a chart below the other, labels at curve ends; on a
 *        sheet, and on the screen.
 */
#pragma once

#include "draw/axis.h"
#include "draw/labels.h"
#include "draw/picture.h"
#include "study/scene.h"

/**
 * Draw a strip on an A4 sheet.
 *
 * @param[out] picture started by this function; the caller clears it
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus
tb_charts_view(TbPicture *picture, const TbSceneStrip *strip, TbMeasurer measurer, TbFault *fault);

/**
 * Draw charts of a strip into a rectangle of a picture that is there, the station axis below them.
 *
 * @param names  of the charts wanted, ending in NULL (see TbSceneChart); NULL: all
 * @param frame  mm of paper, titles and curve labels included
 */
void tb_charts_into(TbPicture *picture,
                    const TbSceneStrip *strip,
                    const char *const names[],
                    TbRectangle frame,
                    TbMeasurer measurer);
