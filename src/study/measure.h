/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file measure.h
 * @brief What is computed along a sweep and kept: station tables, sections, profiles of a gap.
 *
 * Each is a value of the study's cache: made from an input that holds references to what it reads.
 */
#pragma once

#include "gaps/profile.h"
#include "study/measure_pair.h"
#include "study/results.h"

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

/* ---- profiles ---- */

/** A sweep's sections at the stations of its table, of a form as it stands: for all its profiles.
 */
TbEntry *tb_measure_discs(TbCache *cache, const TbEntry *form, double step, bool *is_new);

typedef struct TbProfile {
    size_t count;
    TbProfilePoint points[]; /**< stations as drawn */
} TbProfile;

/** Of the path item a against b, at the stations of its table. Keep and want are not read.
 * @param discs a's, settled */
TbEntry *tb_measure_profile(
    TbCache *cache, const TbPairAsk *ask, const TbEntry *discs, double step, bool *is_new);
