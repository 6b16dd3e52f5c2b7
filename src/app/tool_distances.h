/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tool_distances.h
 * @brief A popover that asks for three distances from named points, as a tape gives them, and sets
 *        the point for the tool in hand.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_TOOL_DISTANCES (tb_tool_distances_get_type())
G_DECLARE_FINAL_TYPE(TbToolDistances, tb_tool_distances, TB, TOOL_DISTANCES, GtkPopover)

GtkWidget *tb_tool_distances_new(TbSession *session);
