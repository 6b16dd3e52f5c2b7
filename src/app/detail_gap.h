/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file detail_gap.h
 * @brief How near an item comes to its neighbours: the worst gap, its bounds, where it is, in which
 *        state; as the study judged it.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_DETAIL_GAP (tb_detail_gap_get_type())
G_DECLARE_FINAL_TYPE(TbDetailGap, tb_detail_gap, TB, DETAIL_GAP, GtkBox)

/** @param session must outlive the widget */
GtkWidget *tb_detail_gap_new(TbSession *session, const char *item);

/** The newest results. */
void tb_detail_gap_update(TbDetailGap *gap);
