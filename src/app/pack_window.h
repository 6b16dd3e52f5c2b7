/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack_window.h
 * @brief The review pack's window: its sheets, which chapters there are, PDF and paper.
 *
 * The pack is of the bay as it stands in its window, saved or not, and follows it a moment after
 * every change. All of it is made by the thread of a TbPackJob.
 */
#pragma once

#include "app/window.h"

#define TB_TYPE_PACK_WINDOW (tb_pack_window_get_type())
G_DECLARE_FINAL_TYPE(TbPackWindow, tb_pack_window, TB, PACK_WINDOW, GtkWindow)

/** Present the pack of a window that has a bay; one for each window, gone with it. Lent. */
TbPackWindow *tb_pack_window_show(TbWindow *parent);

/** How many sheets the pack has; 0 while it is not made yet. */
size_t tb_pack_window_count(TbPackWindow *window);

/** Compare with the earlier bay of a file; says so where it cannot be read. NULL: with none. */
void tb_pack_window_compare(TbPackWindow *window, GFile *file);

/** A print operation of all sheets, for the dialog and for tests. */
GtkPrintOperation *tb_pack_window_print_operation(TbPackWindow *window);
