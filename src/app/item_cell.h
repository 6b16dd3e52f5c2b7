/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file item_cell.h
 * @brief One line of "In the bay": level mark, name, note, worst gap, eye.
 *
 * Follows its TbItemRow. Signals: `renamed` (const char *name), `dropped` (TbItemRow *dragged,
 * gboolean below): another row was dropped on this one's upper or lower half.
 */
#pragma once

#include "app/item_rows.h"

#include <gtk/gtk.h>

#define TB_TYPE_ITEM_CELL (tb_item_cell_get_type())
G_DECLARE_FINAL_TYPE(TbItemCell, tb_item_cell, TB, ITEM_CELL, GtkListBoxRow)

/** Both referenced. */
GtkWidget *tb_item_cell_new(TbItemRow *row, TbItemRows *rows, TbSession *session);

TbItemRow *tb_item_cell_row(TbItemCell *line); /**< lent */

/** Put an entry in the place of the name. Enter or leaving it takes the name, Escape does not. */
void tb_item_cell_rename(TbItemCell *line);
