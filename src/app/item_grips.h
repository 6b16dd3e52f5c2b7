/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file item_grips.h
 * @brief The selected item's handles as a cut shows them.
 */
#pragma once

#include "app/cut_face.h"

/**
 * Knots and places as squares, directions as arrows, sizes as bars. Of handles behind one another
 * the nearest to the plane; what slides into the paper has none.
 *
 * @return to be freed with g_free(); NULL where nothing with handles is selected
 */
TbGrip *tb_item_grips(TbSession *session, const TbScene *scene, size_t *count);

/** "Knot 3, X 1243 Y -203 Z 703 mm"; freed by the caller. */
char *tb_item_grip_name(TbSession *session, size_t number);
