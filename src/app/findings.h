/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file findings.h
 * @brief The pane "Findings": what is short, cannot be judged or is near, worst first; a click
 *        goes there; what was decided stands on the row.
 *
 * Keys in the list: Up and Down go from finding to finding, F2 or the Menu key decides about one.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_FINDINGS (tb_findings_get_type())
G_DECLARE_FINAL_TYPE(TbFindings, tb_findings, TB, FINDINGS, GtkBox)

/** @param session referenced */
GtkWidget *tb_findings_new(TbSession *session);
