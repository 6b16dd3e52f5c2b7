/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file say.h
 * @brief Findings as sentences: translated for people, English for the report.
 */
#pragma once

#include "study/results.h"

/**
 * @param english true for the report's `text`, else the user's language
 * @return one sentence with the numbers; freed by the caller with g_free()
 */
char *tb_say_finding(const TbResults *results, const TbFinding *finding, bool english);

/** The caution that every report carries once. */
const char *tb_say_caution(bool english);

/** Name of a level in the user's language. */
const char *tb_say_level(TbLevel level);

/** Name of an item by id; the id itself when unknown. */
const char *tb_say_item(const TbResults *results, const char *id);
