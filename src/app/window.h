/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file window.h
 * @brief One window, one bay: the header, the panes and the status line around a session.
 *
 * A window without a bay shows the welcome page.
 */
#pragma once

#include "app/application.h"
#include "app/keeper.h"
#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_WINDOW (tb_window_get_type())
G_DECLARE_FINAL_TYPE(TbWindow, tb_window, TB, WINDOW, GtkApplicationWindow)

TbWindow *tb_window_new(TbApplication *application);

/** Show a bay in a window that has none yet. @p file NULL: untitled. */
void tb_window_show_bay(TbWindow *window, TbBay *bay, TbFile *file);

/** Looks after the bay on the disk; NULL while the welcome page is shown. Lent. */
TbKeeper *tb_window_keeper(TbWindow *window);

/** NULL while the welcome page is shown. Lent. */
TbSession *tb_window_session(TbWindow *window);

/** Where notice bars go, top of the window. Lent. */
GtkBox *tb_window_notices(TbWindow *window);

/** What toasts lie over. Lent. */
GtkOverlay *tb_window_overlay(TbWindow *window);
