/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file matter_rows.h
 * @brief What the pane "Findings" lists: each matter once, at its worst, with what was decided.
 *
 * A GListModel of TbMatterRow that follows its session, worst first, filtered by level and item.
 * A row stays the same object as long as its matter is listed; only rows that read differently say
 * `changed`. While a document is being judged again the order is held, so that rows do not jump
 * under the pointer. No widget here.
 *
 * Signals of the rows: `counted`: counts or the summary may be others.
 */
#pragma once

#include "app/judged.h"
#include "app/row_list.h"

#define TB_TYPE_MATTER_ROW (tb_matter_row_get_type())
G_DECLARE_FINAL_TYPE(TbMatterRow, tb_matter_row, TB, MATTER_ROW, TbListRow)

/** Read it; the rows alone write. Signals: `changed`. Texts are never NULL. */
struct _TbMatterRow {
    TbListRow parent;

    char *key;
    const TbFinding *finding; /**< the worst; lent until the rows' next `counted` */
    TbLevel level;
    char *sentence; /**< what is found */
    char *where;    /**< where and when, and in how many more; "" */
    char *decided;  /**< "Waived by A. B. until 2027-01-31: reason"; "" */
    bool stale;     /**< of the older document */
    char *said;     /**< the row in words */
};

#define TB_TYPE_MATTER_ROWS (tb_matter_rows_get_type())
G_DECLARE_FINAL_TYPE(TbMatterRows, tb_matter_rows, TB, MATTER_ROWS, TbRowList)

/** All levels but `holds` are listed at first. @param session referenced */
TbMatterRows *tb_matter_rows_new(TbSession *session);

void tb_matter_rows_list_level(TbMatterRows *rows, TbLevel level, bool listed);
bool tb_matter_rows_lists_level(TbMatterRows *rows, TbLevel level);

/** Only what is about the selected item, where there is one. */
void tb_matter_rows_set_only_selected(TbMatterRows *rows, bool only);

/** Matters at a level, of the selected item where only that is listed. */
size_t tb_matter_rows_count(TbMatterRows *rows, TbLevel level);

/** "241 of 243 checks hold"; freed with g_free(). */
char *tb_matter_rows_summary(TbMatterRows *rows);
/** The same counting every state and variant: "2431 of 2451, counting every state and variant". */
char *tb_matter_rows_summary_whole(TbMatterRows *rows);
/** The worst level of all. */
TbLevel tb_matter_rows_worst(TbMatterRows *rows);

/** Place of the row of a finding's matter; -1 when it is not listed. */
int tb_matter_rows_find(TbMatterRows *rows, const char *finding);
TbMatterRow *tb_matter_rows_at(TbMatterRows *rows, guint place); /**< lent; NULL beyond the end */
