/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file item_words.h
 * @brief What a row of "In the bay" says, in words and in the bay's unit. All freed by g_free().
 */
#pragma once

#include "app/item_rows.h"
#include "base/quantity.h"

/** The unit that lengths are shown in. */
TbLengthUnit tb_session_unit(TbSession *session);

/** Name for people; of a step its number and what is done. */
char *tb_item_words_name(const TbBay *bay, const TbRecord *record);

/** "18.4 / 25", the gap by its lower bound as the findings tell it; "" without a gap. */
char *tb_item_words_value(TbSession *session, const TbResultGap *gap);

/** "hot, high-s": what of the gap's state and variant is not what is shown; "". */
char *tb_item_words_note(TbSession *session, const TbResultGap *gap);

/** "Brake line, short, 18.4 of 25 mm, hot". Reads the row's name, level and marks. */
char *tb_item_words_said(TbSession *session, const TbItemRow *row, const TbResultGap *gap);

/** Sentences behind mark and number; NULL when there are none. */
char *tb_item_words_explain(TbSession *session, const TbItemRow *row, const TbStanding *standing);
