/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file item_list.h
 * @brief The pane "In the bay": every item with its level, its worst gap against its keep, and
 *        what is done to it.
 *
 * Keys while a row has the focus: F2 renames, Ctrl+D duplicates, Delete removes, Space shows or
 * hides, Alt+Up and Alt+Down move, Ctrl+F searches, the Menu key opens the row's menu. Actions
 * `list.*` of the pane do the same.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_ITEM_LIST (tb_item_list_get_type())
G_DECLARE_FINAL_TYPE(TbItemList, tb_item_list, TB, ITEM_LIST, GtkBox)

/** @param session referenced */
GtkWidget *tb_item_list_new(TbSession *session);
