/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file solid_private.h
 * @brief What the solid*.c share.
 */
#pragma once

#include "geom/solid.h"

/** Halvings of a piece's strip that a solid keeps: where one search of it goes others go too. At
 * the most 30 strips a piece, a kilobyte each. */
#define TB_SOLID_HALVINGS 4

/** Frees what is kept below a strip. */
void tb_part_strip__clear(TbPartStrip *strip);
