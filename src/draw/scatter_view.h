/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scatter_view.h
 * @brief What tolerances do to a gap: bars of what contributes, and the histogram of its samples.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"
#include "study/scene_scatter.h"

/** Both side by side into a rectangle (one above the other where it is narrow), sentences above
 * them. */
void tb_scatter_into(TbPicture *picture,
                     const TbSceneScatter *scene,
                     TbRectangle room,
                     TbMeasurer measurer);

/** mm. Room of a width that is lower has no place for the histogram, or not for a single bar. */
double tb_scatter_least_height(const TbSceneScatter *scene, double width, TbMeasurer measurer);

/** On a sheet of A4. @return TB_OK or TB_E_MEMORY */
TbStatus tb_scatter_view(TbPicture *picture,
                         const TbSceneScatter *scene,
                         TbMeasurer measurer,
                         TbFault *fault);
