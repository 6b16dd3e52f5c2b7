/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_view.h
 * @brief A section plot: the scene of one plane on a sheet, as a drawing office would draw it.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"
#include "study/scene.h"

/**
 * Draw a scene on an A4 sheet at the largest standard ratio at which its window fits.
 *
 * @param[out] picture started by this function; the caller clears it
 * @param ratio 0, or the ratio wanted (0.5 is 1:2)
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_cut_view(
    TbPicture *picture, const TbScene *scene, double ratio, TbMeasurer measurer, TbFault *fault);

/**
 * Draw a scene into a rectangle of a picture that is there: shapes, gaps, names, axes, front and
 * scale bar, and a thin frame.
 *
 * @param frame mm of paper
 * @param ratio 0: the largest of the series of ISO 5455 at which the scene's window fits
 * @return the ratio; want of room is kept by the picture
 */
double tb_cut_into(
    TbPicture *picture, const TbScene *scene, TbRectangle frame, double ratio, TbMeasurer measurer);

/**
 * The same small: the duct that the scene is about with its surroundings, the gaps that do not
 * simply hold, and only the names of what these are between.
 */
double
tb_cut_overview(TbPicture *picture, const TbScene *scene, TbRectangle frame, TbMeasurer measurer);
