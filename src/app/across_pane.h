/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file across_pane.h
 * @brief The pane with the section at the cursor's station, whose sizes are dragged where the duct
 *        has a given section.
 *
 * Page Up and Page Down step the station by 1 mm, with Shift by 10.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_ACROSS_PANE (tb_across_pane_get_type())
G_DECLARE_FINAL_TYPE(TbAcrossPane, tb_across_pane, TB, ACROSS_PANE, GtkBox)

GtkWidget *tb_across_pane_new(TbSession *session);
