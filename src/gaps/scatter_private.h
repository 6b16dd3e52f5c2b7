/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scatter_private.h
 * @brief The screen of samples: which parts of two surfaces are near at all, and what parts them.
 */
#pragma once

#include "gaps/field_private.h"
#include "gaps/scatter.h"

/** Two nodes that come near, parted along a direction where nothing has moved. */
typedef struct TbScreenPair {
    double lower; /**< mm, rounding taken off */
    TbVec3 way;   /**< unit, from b to a */
    TbVec3 centre[2];
    double radius[2]; /**< balls that hold the nodes */
    uint32_t node[2];
} TbScreenPair;

typedef struct TbScreen {
    TbField field[2];
    TbScreenPair *pair; /**< nearest first */
    size_t count, room;
    double far;       /**< mm: all other pairs are further apart than this */
    TbVec3 centre[2]; /**< balls that hold the solids */
    double radius[2];
    bool has_inside; /**< a mesh may hold what has passed its surface */
    double nominal;  /**< mm, lower end */
} TbScreen;

/** What is said of a sample. */
typedef enum TbScreened { TB_SCREEN_HOLDS, TB_SCREEN_BROKEN, TB_SCREEN_OPEN } TbScreened;

/**
 * @param beyond mm: pairs further apart are not told from each other
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY; to be cleared in any case
 */
TbStatus
tb_screen__of(TbScreen *screen, const TbScatterAsk *ask, double beyond, const TbTask *task);
void tb_screen__clear(TbScreen *screen);

/** Whether the two are `need` mm apart at their poses. Any thread. @param[out] separated */
TbScreened
tb_screen__ask(const TbScreen *screen, const TbPose pose[2], double need, bool *separated);
