/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scatter_private.h
 * @brief The parts of tb_scatter(): the worst case (scatter_worst.c), samples (scatter_chance.c)
 * and their screen (scatter_screen.c): which parts of two surfaces are near at all, and what parts
 * them.
 */
#pragma once

#include "gaps/field_private.h"
#include "gaps/scatter.h"

/** Deviations in a half band: what a tolerance is commonly taken to hold. */
#define TB_SCATTER_DEVIATIONS 3.0

/** A ball about a solid. @return its radius, mm */
double tb_scatter__ball(const TbSolid *solid, TbVec3 *centre);

/** A mesh of it has an inside, in which other things may lie. */
bool tb_scatter__has_inside(const TbSolid *solid);

/** What all sources are in one sample, in half bands. */
void tb_scatter__values(const TbScatterAsk *ask, uint64_t sample, double value[]);

/** Poses and standing off, mm, for values in half bands. */
void tb_scatter__place(const TbScatterAsk *ask, const double value[], TbPose pose[2], double *off);

/** mm. What all bands together move any point of either solid and let surfaces stand off, at most;
 * whatever moves them besides. */
double tb_scatter__reach(const TbScatterAsk *ask);

/** Fills the worst case; the nominal gap and the slopes are there. */
TbStatus tb_scatter__worst(const TbScatterAsk *ask, TbTask *task, TbScatter *out, TbFault *fault);

/** Fills what samples say, and the histogram. @param ask nothing moves the two besides */
TbStatus tb_scatter__chance(
    const TbScatterAsk *ask, TbWork *work, TbTask *task, TbScatter *out, TbFault *fault);

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
 * @param beyond  mm: pairs further apart are not told from each other
 * @param thinned where there are many, only some from everywhere: they show samples that are
 *                broken, and none that hold; `far` is then -INFINITY
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY; to be cleared in any case
 */
TbStatus tb_screen__of(
    TbScreen *screen, const TbScatterAsk *ask, double beyond, bool thinned, const TbTask *task);
void tb_screen__clear(TbScreen *screen);

/** Whether the two are `need` mm apart at their poses. Any thread. @param[out] separated */
TbScreened
tb_screen__ask(const TbScreen *screen, const TbPose pose[2], double need, bool *separated);
