/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file row_list.h
 * @brief What the lists of the window have in common: rows that stay, in a GListModel that follows.
 *
 * A row is the same object as long as what it is about is listed, known by its key; only rows that
 * read differently say `changed`. `items-changed` tells the stretch that differs. No widget here.
 */
#pragma once

#include "app/session.h"

/* ---- a row ---- */

/** Signals: `changed`. */
#define TB_TYPE_LIST_ROW (tb_list_row_get_type())
G_DECLARE_DERIVABLE_TYPE(TbListRow, tb_list_row, TB, LIST_ROW, GObject)

struct _TbListRowClass {
    GObjectClass parent_class;
};

/** Puts a text in the place of another, taking it; false when it says the same. */
bool tb_list_row_put(char **place, char *text);

/** The same for a plain value. */
#define TB_LIST_ROW_PUT(place, value) ((place) != (value) && ((place) = (value), true))

/* ---- the rows ---- */

#define TB_TYPE_ROW_LIST (tb_row_list_get_type())
G_DECLARE_DERIVABLE_TYPE(TbRowList, tb_row_list, TB, ROW_LIST, GObject)

struct _TbRowListClass {
    GObjectClass parent_class;

    GType row_type;
    /** A row's key; lent as long as the row lives. */
    const char *(*key)(void *row);
    void (*session_changed)(TbRowList *list, guint parts);
};

/** Follows a session from now on; referenced. */
void tb_row_list_follow(TbRowList *list, TbSession *session);
TbSession *tb_row_list_session(TbRowList *list); /**< lent */

guint tb_row_list_count(TbRowList *list);
void *tb_row_list_at(TbRowList *list, guint place);         /**< lent; NULL beyond the end */
void *tb_row_list_row(TbRowList *list, const char *key);    /**< lent; NULL: not listed */
int tb_row_list_place(TbRowList *list, const char *key);    /**< -1: not listed */
void tb_row_list_replace(TbRowList *list, GPtrArray *rows); /**< takes them; old ones may be kept */

/** A row reads differently: it says so, and is counted. */
void tb_row_list_tell(TbRowList *list, void *row);
/** How many said `changed`; for tests and benches. */
guint64 tb_row_list_changes(TbRowList *list);
