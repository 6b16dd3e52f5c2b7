/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scene_build.h
 * @brief What the makers of scenes share: names, numbers, heads.
 */
#pragma once

#include "study/case.h"
#include "study/scene.h"

/* Numbers with at most so many decimals (of mm, mm², degrees: see base/quantity.h), no zeros
 * behind, in the user's writing; "?" where there is none. Freed by the caller. */

char *tb_scene_number(double x, int decimals);

/** With its unit: "14.8 mm", "7.5°". */
char *tb_scene_quantity(double x, TbQuantity quantity, TbLengthUnit unit, int decimals);

/** A length without its unit, where the sentence has it. */
char *tb_scene_length(double x, TbLengthUnit unit, int decimals);

/** "18.4 / 25": a gap, rounded down, and its keep. */
char *tb_scene_gap(double gap, double keep, TbLengthUnit unit);

/** Bay, revision, state and variant; freed by the caller. @param state as people read it */
char *tb_scene_subtitle(const TbStand *stand, const char *state);

/** Name for people of what stands at a place, or its id. Lent. */
const char *tb_placed_name(const TbPlaced *placed);

/**
 * A named station of a duct or line.
 *
 * @param length of its path, as drawn
 * @param[out] at mm from the start
 * @return TB_OK; TB_E_REFERENCE, with the names there are
 */
TbStatus tb_placed_station(
    const TbPlaced *placed, const char *name, double length, double *at, TbFault *fault);

/**
 * An item that must be there with its shape.
 *
 * @return TB_OK, TB_E_REFERENCE (no such item, not in this variant), or why it has no shape
 */
TbStatus tb_stand_want(const TbStand *stand, const char *id, size_t *index, TbFault *fault);
