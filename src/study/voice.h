/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file voice.h
 * @brief How numbers are told in sentences: in which language and in which unit.
 *
 * All texts are freed with g_free(). Zeros behind the decimal mark are left out.
 */
#pragma once

#include "base/quantity.h"

#include <stdbool.h>

typedef struct TbVoice {
    bool english;      /**< for machines and reports: English, with a point; else as the user */
    TbLengthUnit unit; /**< that lengths are told in */
} TbVoice;

/** Of the JSON report: English, in mm. */
#define TB_VOICE_REPORT ((TbVoice){.english = true, .unit = TB_UNIT_MM})

/** "18.4"; "unknown" where it is not finite. */
char *tb_voice_number(TbVoice voice, double x, int decimals);

/** "18.4 mm", "7.5°". @p decimals of mm, mm², degrees, as in base/quantity.h */
char *tb_voice_quantity(TbVoice voice, double x, TbQuantity quantity, int decimals);

/** The number of it alone, where its unit comes later in the sentence: "from 18.4 to 25 mm". */
char *tb_voice_bare(TbVoice voice, double x, TbQuantity quantity, int decimals);

/** The same for a unit of a report: "mm", "deg", "degC"; others, and "%", are left to the sentence.
 */
char *tb_voice_value(TbVoice voice, double x, const char *unit, int decimals);

/** A gap, rounded down: "18.4 mm". */
char *tb_voice_gap(TbVoice voice, double gap, int decimals);

/** A keep as it is given: "25 mm". */
char *tb_voice_keep(TbVoice voice, double keep, int decimals);
