/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file report.h
 * @brief Results as JSON and CSV. Keys and columns are a promise; the schema is
 * data/report.schema.json.
 */
#pragma once

#include "base/length.h"
#include "study/results.h"

/** The JSON report, ending in a newline; freed with g_free(). Numbers round-trip; NAN is null. */
char *tb_report_json(const TbResults *results);

/** Station table of one duct or line: a header with units, comma, '.', LF. NULL: no such item. */
char *tb_report_stations_csv(const TbResults *results, const char *item);

/* Tables of everything, with a header, units in brackets; by RFC 4180 but for lines ending in LF
 * alone; numbers with '.' that round-trip, unknown ones empty. Freed with g_free(). */

/** Station tables of all ducts and lines, the item's id first. */
char *tb_report_all_stations_csv(const TbResults *results);

/** Every pair x state x variant: interval, keep, level, where. */
char *tb_report_gaps_csv(const TbResults *results);

/** Gaps along paths, a row for each station; empty without TbAsk.profiles. */
char *tb_report_profiles_csv(const TbResults *results);

/** Findings with their English sentences. */
char *tb_report_findings_csv(const TbResults *results);

/** What changed between two: items, areas, gaps, findings, as text. Freed with g_free(). */
char *tb_report_compare_text(const TbResults *old_results,
                             const TbResults *new_results,
                             TbLengthUnit unit);

/** The same as JSON. */
char *tb_report_compare_json(const TbResults *old_results, const TbResults *new_results);
