/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tool_bar.h
 * @brief The tools, and what is asked while one draws: class, mount, how it is known, typed
 * numbers.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_TOOL_BAR (tb_tool_bar_get_type())
G_DECLARE_FINAL_TYPE(TbToolBar, tb_tool_bar, TB, TOOL_BAR, GtkBox)

GtkWidget *tb_tool_bar_new(TbSession *session);
