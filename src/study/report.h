/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file report.h
 * @brief Results as JSON and CSV. Keys and columns are a promise; the schema is
 * data/report.schema.json.
 */
#pragma once

#include "study/results.h"

/** The JSON report, ending in a newline; freed with g_free(). Numbers round-trip; NAN is null. */
char *tb_report_json(const TbResults *results);

/** Station table of one duct or line: a header with units, comma, '.', LF. NULL: no such item. */
char *tb_report_stations_csv(const TbResults *results, const char *item);

/** What changed between two: items, areas, gaps, findings, as text. Freed with g_free(). */
char *tb_report_compare_text(const TbResults *old_results, const TbResults *new_results);

/** The same as JSON. */
char *tb_report_compare_json(const TbResults *old_results, const TbResults *new_results);
