/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file say_private.h
 * @brief Pieces of sentences, for say*.c only.
 */
#pragma once

#include "study/say.h"

/** English, or in the user's language. */
const char *tb_say__trans(bool english, const char *text) __attribute__((format_arg(2)));

/** What tolerances have to do with a gap, to end its sentence with; or "". */
char *tb_say__scatter(const TbResults *results, const TbFinding *finding, TbVoice voice);

/** What every sentence needs. */
typedef struct TbSpeech {
    const TbResults *results;
    const TbFinding *finding;
    TbVoice voice;
    bool english;
    const char *subject;          /**< name */
    char *value, *limit, *margin; /**< with their units */
    char *where;                  /**< ", at station 123 mm", or "" */
    char *when;                   /**< ", hot, variant tall", or "" */
} TbSpeech;

/** The sentence that its rule has (say_rules.c); NULL: none of its own. */
char *tb_say__by_rule(const TbSpeech *speech);

/** Decimals that tell a value from its limit: two that differ must not read alike. */
int tb_say__decimals_for(double value, double limit);
