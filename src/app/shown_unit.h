/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file shown_unit.h
 * @brief In which unit lengths are shown: as the bay says, unless the user prefers one.
 *
 * The file holds millimetres in any case. The preference is the program's, asked on the main
 * thread only.
 */
#pragma once

#include "base/quantity.h"
#include "bay/document.h"

/** What the user prefers; in the order of the settings' schema. */
typedef enum TbPreferredUnit {
    TB_PREFER_BAY, /**< as the bay says */
    TB_PREFER_MM,
    TB_PREFER_INCH
} TbPreferredUnit;

void tb_shown_unit_prefer(TbPreferredUnit preferred);

/** The unit in which a bay's lengths are shown now. */
TbLengthUnit tb_shown_unit(const TbBay *bay);

/** "X 1432.0  Y 212.0  Z 688.4 mm"; freed with g_free(). */
char *tb_shown_place(TbVec3 p, TbLengthUnit unit);
