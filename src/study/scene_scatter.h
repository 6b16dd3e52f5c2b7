/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scene_scatter.h
 * @brief What tolerances do to one gap, as plain data to be drawn: which contribute how much, and
 *        how sampled gaps are spread.
 */
#pragma once

#include "study/results.h"

#include "base/quantity.h"

/** One tolerance, as a bar. */
typedef struct TbSceneBar {
    char *name;       /**< "Turbine outlet: DCTG 8, size 512 mm" */
    char *band;       /**< "±3 mm" */
    double half;      /**< mm that the band changes the gap by, above 0 */
    double share;     /**< of the variance, 0 to 1 */
    const char *item; /**< whose it is, in the name; lent by the results; NULL: of none */
} TbSceneBar;

typedef struct TbSceneScatter {
    char *title;    /**< "Turbine outlet to Brake line" */
    char *subtitle; /**< state and variant */
    TbLengthUnit unit;
    TbSceneBar *bars; /**< the largest share first; what moves the gap by nothing is left out */
    size_t bar_count;
    size_t still_count;               /**< how many were left out */
    double nominal, rss, worst, keep; /**< mm; worst: the least gap proved; keep NAN */
    double bin_from, bin_width;       /**< mm */
    const uint64_t *bins;             /**< lent by the results */
    size_t bin_count;                 /**< 0: nothing was sampled */
    uint64_t samples;
    char **lines; /**< what it comes to, in sentences: also what is read out instead of it */
    size_t line_count;
    const char *verdict; /**< the line that says how likely it is short, or why not; lent */
} TbSceneScatter;

/**
 * @param gap of the results, with its scatter; both must live as long as the scene
 * @return never NULL
 */
TbSceneScatter *
tb_scene_scatter_new(const TbResults *results, const TbResultGap *gap, TbLengthUnit unit);
/** Decimals that a gap is told with: those of the causes beside it, near the keep as many as tell
 * it from that. */
int tb_scene_scatter_decimals(const TbSceneScatter *scene, double gap);

void tb_scene_scatter_free(TbSceneScatter *scene); /**< NULL is fine */
