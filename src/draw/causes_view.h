/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file causes_view.h
 * @brief How one gap comes about: a stair from what it is cold down to what is left, and where
 *        tolerances count their bars and histogram below.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"
#include "study/scene_causes.h"

/** All of it into a rectangle. */
void tb_causes_into(TbPicture *picture,
                    const TbSceneCauses *scene,
                    TbRectangle room,
                    TbMeasurer measurer);

/** On a sheet of A4. @return TB_OK or TB_E_MEMORY */
TbStatus
tb_causes_view(TbPicture *picture, const TbSceneCauses *scene, TbMeasurer measurer, TbFault *fault);
