/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_pane.h
 * @brief A pane with a side, plan, front or free cut: which one, where its plane is, the drawing.
 *
 * Page Up and Page Down step the plane by 1 mm, with Shift by 10.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_CUT_PANE (tb_cut_pane_get_type())
G_DECLARE_FINAL_TYPE(TbCutPane, tb_cut_pane, TB, CUT_PANE, GtkBox)

/** @param slot TB_SLOT_LEFT or TB_SLOT_MIDDLE */
GtkWidget *tb_cut_pane_new(TbSession *session, int slot);

/** The ratio shown: mm of the screen for one of the bay; 0 while nothing is shown. */
double tb_cut_pane_ratio(TbCutPane *pane);
