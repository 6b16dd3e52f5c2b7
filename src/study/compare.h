/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file compare.h
 * @brief What differs between two results, as plain lists; told by compare_text.c and compare.c.
 */
#pragma once

#include "study/results.h"

#include <glib.h>

/** mm. A gap that differs by less than this has not changed: the width it is certified to. */
#define TB_COMPARE_GAP 0.02

/** A part of a path on which the inner area changed. */
typedef struct TbStretch {
    double from, to;  /**< stations of the new one, mm */
    double worst, at; /**< largest difference, mm2, new less old, and where */
    double old_area;  /**< there */
} TbStretch;

/** Inner area of a table at a station, mm2: linear between its rows, its ends held. */
double tb_station_area(const TbResultDuct *duct, double station);

/** An array of TbStretch, to be unreferenced. */
GArray *tb_compare_stretches(const TbResultDuct *before, const TbResultDuct *after);

/** What of an item differs: "name, kind, class, mount, shape", or NULL; to be freed. */
char *tb_compare_item(const TbResultItem *before, const TbResultItem *after);

/** "a|b/state/variant", to be freed. */
char *tb_compare_gap_key(const TbResultGap *gap);

/** Gaps by key, so that two long lists are compared in one pass. */
GHashTable *tb_compare_gaps(const TbResults *results);

/** Findings by id. */
GHashTable *tb_compare_findings(const TbResults *results);

/** mm; NAN where there is no gap. */
double tb_compare_gap_of(const TbResultGap *gap);

bool tb_compare_gap_changed(const TbResultGap *before, const TbResultGap *after);
