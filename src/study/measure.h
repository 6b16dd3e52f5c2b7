/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file measure.h
 * @brief What is computed of shapes and kept: facts of a sweep, station tables, gaps, profiles.
 *
 * Each is a value of the study's cache: made from an input that holds references to what it reads.
 */
#pragma once

#include "gaps/gap.h"
#include "gaps/profile.h"
#include "motion/motion.h"
#include "study/cache.h"
#include "study/results.h"
#include "study/shape.h"

/* ---- facts of a sweep ---- */

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

/* ---- station tables ---- */

typedef struct TbTable {
    size_t count;
    TbStationRow rows[];
} TbTable;

/** Stations 0, step, 2 step ... and the path's end, of a form as drawn. */
TbEntry *tb_measure_table(TbCache *cache, const TbEntry *form, double step, bool *is_new);

/** How many stations a table or profile of that length has. */
size_t tb_measure_station_count(double length, double step);

/** The station of one row. */
double tb_measure_station(double length, double step, size_t index);

/* ---- gaps ---- */

typedef struct TbPairAsk {
    const TbEntry *a, *b; /**< forms with solids */
    double keep, want;    /**< mm: the gap is refined until it is decided against both */
    double width;         /**< mm */
    const TbLeaveOut *leave_out;
    size_t leave_count;
    const TbMotion *motion[2]; /**< of a and b against each other; NULL: they stand still */
    const struct TbTies *ties; /**< what the motions have in common; NULL: nothing */
    bool uncertified;          /**< what the motions say is not all: nothing is proved */
    TbEntry *still; /**< with motions: the gap of the same two as drawn, settled, where the
                               motions have them so (tb_measure_still()); else NULL */
} TbPairAsk;

/** A key of what a pair's distances depend on: forms, width, what is left out. */
TbKey *tb_measure_pair_key(const TbPairAsk *ask);

/** Adds what a motion is made of; NULL is fine. */
void tb_measure_key_motion(TbKey *key, const TbMotion *motion);
void tb_measure_key_ties(TbKey *key, const struct TbTies *ties);

/** What tb_measure_gap() of a motion begins with: the same gap as drawn, which is another state's
 * entry as well. NULL where the two never are as drawn, or do not move. */
TbEntry *tb_measure_still(TbCache *cache, const TbPairAsk *ask, bool *is_new);

/** To the width asked, whatever the keep. The value is a TbMovingGap, which begins with its TbGap.
 */
TbEntry *tb_measure_gap(TbCache *cache, const TbPairAsk *ask, bool *is_new);

/** A settled gap where it decides the level by keep and want, else the same promised as close as
 * can be. */
TbEntry *tb_measure_decided(TbCache *cache, const TbPairAsk *ask, TbEntry *gap, bool *is_new);

/* ---- profiles ---- */

/** Its sections at the stations of its table, of a form as it stands: for all its profiles. */
TbEntry *tb_measure_discs(TbCache *cache, const TbEntry *form, double step, bool *is_new);

typedef struct TbProfile {
    size_t count;
    TbProfilePoint points[]; /**< stations as drawn */
} TbProfile;

/** Of the path item a against b, at the stations of its table. Keep and want are not read.
 * @param discs a's, settled */
TbEntry *tb_measure_profile(
    TbCache *cache, const TbPairAsk *ask, const TbEntry *discs, double step, bool *is_new);
