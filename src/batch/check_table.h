/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file check_table.h
 * @brief The table of all states and variants as text: which effect eats how much of each gap.
 */
#pragma once

#include "study/results.h"
#include "study/voice.h"

#include <glib.h>

/** Appends the worst rows, or with @p all every one, and how many there are. */
void tb_check_table(GString *text, const TbResults *results, TbVoice voice, bool all);
