/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file item_rows.h
 * @brief What the pane "In the bay" lists: items by group, fasteners, the fitting order.
 *
 * A GListModel of TbItemRow that follows its session. A row stays the same object as long as its
 * record is listed; when a document or an answer comes, only rows that read differently say
 * `changed`, so that fifty answers a second cost what changed in them. No widget here.
 */
#pragma once

#include "app/row_list.h"
#include "study/matters.h"

typedef enum TbItemGroup {
    TB_GROUP_GAS_PATH, /**< ducts, and shapes of class `hot`: collector, catalyst */
    TB_GROUP_TURBO,
    TB_GROUP_LINES,
    TB_GROUP_OBSTACLES,
    TB_GROUP_SCANS,
    TB_GROUP_FASTENERS,
    TB_GROUP_STEPS, /**< the fitting order */
} TbItemGroup;

/** "Gas path", translated. */
const char *tb_item_group_name(TbItemGroup group);

#define TB_TYPE_ITEM_ROW (tb_item_row_get_type())
G_DECLARE_FINAL_TYPE(TbItemRow, tb_item_row, TB, ITEM_ROW, TbListRow)

/** Read it; the rows alone write. Signals: `changed`. Texts are never NULL. */
struct _TbItemRow {
    TbListRow parent;

    char *id, *name;
    TbItemGroup group;
    bool is_item; /**< else a fastener or a step: no level, no gap */
    bool hidden;
    bool absent;   /**< not there in the variant that is shown */
    bool judged;   /**< level says something */
    TbLevel level; /**< worst of all findings about it */
    char *value;   /**< "18.4 / 25": worst gap and its keep; "" */
    bool is_short; /**< that gap does not hold */
    char *note;    /**< "hot": where the worst gap is, when that is not shown; "" */
    bool stale;    /**< the numbers are of an older document */
    char *said;    /**< the row in words: "Brake line, short, 18.4 of 25 mm, hot" */
};

#define TB_TYPE_ITEM_ROWS (tb_item_rows_get_type())
G_DECLARE_FINAL_TYPE(TbItemRows, tb_item_rows, TB, ITEM_ROWS, TbRowList)

/** @param session referenced */
TbItemRows *tb_item_rows_new(TbSession *session);

/** Only rows whose name or id has this in it, whatever the case; "" lists all. */
void tb_item_rows_set_filter(TbItemRows *rows, const char *text);

/** Place of a record's row; -1 when it is not listed. */
int tb_item_rows_find(TbItemRows *rows, const char *id);

/** The row at a place; lent; NULL beyond the end. */
TbItemRow *tb_item_rows_at(TbItemRows *rows, guint place);

/** What is behind a row's mark and number, in sentences; NULL when nothing is. For a tooltip. */
char *tb_item_rows_explain(TbItemRows *rows, const TbItemRow *row);

/** How many rows said `changed` since the rows were made; for tests and benches. */
guint64 tb_item_rows_changes(TbItemRows *rows);
