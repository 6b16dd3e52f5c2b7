/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scene_build.h
 * @brief What the makers of scenes share: names, numbers, heads.
 */
#pragma once

#include "study/case.h"
#include "study/scene.h"

/** A number with at most so many decimals, no zeros behind; freed by the caller. */
char *tb_scene_number(double x, int decimals);

/** Bay, revision, state and variant; freed by the caller. */
char *tb_scene_subtitle(const TbStand *stand);

/** Name for people of what stands at a place, or its id. Lent. */
const char *tb_placed_name(const TbPlaced *placed);

/**
 * An item that must be there with its shape.
 *
 * @return TB_OK, TB_E_REFERENCE (no such item, not in this variant), or why it has no shape
 */
TbStatus tb_stand_want(const TbStand *stand, const char *id, size_t *index, TbFault *fault);
