/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file strip.h
 * @brief The pane "Along the path": which duct or line, the station as typed, and its charts.
 */
#pragma once

#include "app/strip_charts.h"

#define TB_TYPE_STRIP_PANE (tb_strip_pane_get_type())
G_DECLARE_FINAL_TYPE(TbStripPane, tb_strip_pane, TB, STRIP_PANE, GtkBox)

/** @param settings where heights and folds are kept, or NULL; both referenced */
GtkWidget *tb_strip_pane_new(TbSession *session, GSettings *settings);
