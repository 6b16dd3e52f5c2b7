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
