/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file json.h
 * @brief Members of JSON objects, one line each. A NULL key is for members of a list.
 */
#pragma once

#include "study/results.h"

#include <json-glib/json-glib.h>

void tb_json_text(JsonBuilder *json, const char *key, const char *text);
void tb_json_number(JsonBuilder *json, const char *key, double x); /**< not finite is null */
void tb_json_integer(JsonBuilder *json, const char *key, long x);
void tb_json_boolean(JsonBuilder *json, const char *key, bool x);
void tb_json_null(JsonBuilder *json, const char *key);
void tb_json_begin(JsonBuilder *json, const char *key);      /**< an object */
void tb_json_begin_list(JsonBuilder *json, const char *key); /**< a list */
void tb_json_numbers(JsonBuilder *json, const char *key, const double x[], size_t count);
void tb_json_point(JsonBuilder *json, const char *key, TbVec3 p); /**< null where not finite */

/** What tolerances do to a gap, as "tolerance"; null where there is nothing to tell. */
void tb_json_scatter(JsonBuilder *json, const TbResultScatter *scatter);

/** A finding as the report has it, in a list. */
void tb_json_finding(JsonBuilder *json, const TbResults *results, const TbFinding *finding);

/** The whole as text, readable, ending in a newline; freed with g_free(). */
char *tb_json_finish(JsonBuilder *json);
