/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file say.h
 * @brief Findings as sentences: translated for people, English for the report.
 */
#pragma once

#include "study/results.h"
#include "study/voice.h"

/**
 * @param voice TB_VOICE_REPORT for the report's `text`, else the user's language and unit
 * @return one sentence with the numbers; freed by the caller with g_free()
 */
char *tb_say_finding(const TbResults *results, const TbFinding *finding, TbVoice voice);

/** The same in two, for rows of a list: what is found, and where and when ("at station 135 mm of
 * Turbine outlet, cold, variant tall"; ""). In the user's language; both
 * freed with g_free(). */
char *tb_say_finding_short(const TbResults *results, const TbFinding *finding, TbLengthUnit unit);
char *tb_say_finding_where(const TbResults *results, const TbFinding *finding, TbLengthUnit unit);

/** What a tolerance is: "engine: placement ty", "Turbine outlet: DCTG 8, size 512 mm". Freed by the
 * caller with g_free(). */
char *tb_say_source(const TbResults *results, const TbResultSource *source, TbVoice voice);

/** The caution that every report carries once. */
const char *tb_say_caution(bool english);

/** Name of a level in the user's language. */
const char *tb_say_level(TbLevel level);

/** What long work is at, in the user's language, by the word that a task reports; a word that is
 * not the program's own is lent back. */
const char *tb_say_progress(const char *what);

/** Name of an item by id; the id itself when unknown. */
const char *tb_say_item(const TbResults *results, const char *id);

/** Name of a TbResultCause in the user's language: "warmth". */
const char *tb_say_cause(const char *cause);

/**
 * What eats a row's gap: "cold 34.1 mm; warmth takes 1.2 mm (alone 1.3 mm)"; "" where nothing does.
 * Freed with g_free().
 */
char *tb_say_causes(const TbResultCombination *row, TbVoice voice);
