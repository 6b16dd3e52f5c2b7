/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file measure_facts.h
 * @brief Facts of a sweep that checks ask for, computed once and kept in the study's cache.
 */
#pragma once

#include "gaps/gap.h"
#include "study/cache.h"

/** What checks ask of a path item as drawn. Angles rad. */
typedef struct TbSweepLimits {
    double cone;   /**< rad, full cone angle of equal area growth */
    double fold;   /**< curvature times half extent */
    double wall;   /**< mm, least wall; 0: none is stated */
    double bend;   /**< mm, least bend radius; 0: none is stated */
    double window; /**< equal-area diameters over which smoothness is judged */
} TbSweepLimits;

typedef struct TbSweepFacts {
    double length;        /**< mm */
    TbSweepVolume volume; /**< NAN where the sweep folds */
    TbSweepWorst shrinks, cone, fold_inner, fold_outer, thinnest, tightest;
    TbSweepWorst cone_change; /**< rad, largest change of the cone angle within the window */
    TbSweepWorst bend_change; /**< largest change of diameter times curvature within the window */
    double first_area, last_area, from_area, to_area; /**< mm^2; the last two of `shrinks` */
    double self_apart; /**< mm of path from which on two places count as distant */
    TbGap self;        /**< nearest approach of distant places */
} TbSweepFacts;

/** Promises what facts of a new form, as drawn, read: moments over the spans of its law, which most
 * edits leave alone. To be settled before tb_measure_facts(), which does without where it must. */
void tb_measure_moments(TbCache *cache, const TbEntry *form);

TbEntry *
tb_measure_facts(TbCache *cache, const TbEntry *form, const TbSweepLimits *limits, bool *is_new);
