/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file posed.h
 * @brief Things where a gap found them nearest: its numbers of motion and warmth, applied.
 *
 * A pose is a gap of the results (TbAsk.pose). Mounts stand at its numbers, those it does not name
 * at rest, and an item is as warm as it says, others as hot as the state makes them.
 */
#pragma once

#include "study/stand.h"

/** Its numbers can be drawn: it has some, and none of its items is bent between two mounts. */
bool tb_posed_can(const TbResultGap *gap);

/** How warm an item is, 0 to 1. */
double tb_posed_share(const TbResultGap *gap, const char *item);

/** Where a mount takes what rides on it. */
TbPose tb_posed_mount(const TbStand *stand, const char *mount);

/** Where its mount takes an item; of one that rides on two, at rest. */
TbPose tb_posed_item(const TbStand *stand, size_t item);

/** "engine rx -2.5°, Turbine outlet 61 % warm"; freed by the caller. */
char *tb_posed_tell(const TbBay *bay, const TbResultGap *gap, TbLengthUnit unit);
