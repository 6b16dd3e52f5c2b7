/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file finding_cell.h
 * @brief One row of "Findings": mark and sentence, where and when below, then what was decided.
 *
 * A cell is used for one row after the other. Signals: `decide`: its button was pressed.
 */
#pragma once

#include "app/matter_rows.h"

#include <gtk/gtk.h>

#define TB_TYPE_FINDING_CELL (tb_finding_cell_get_type())
G_DECLARE_FINAL_TYPE(TbFindingCell, tb_finding_cell, TB, FINDING_CELL, GtkWidget)

GtkWidget *tb_finding_cell_new(void);

/** @param row referenced while it is shown; NULL: none */
void tb_finding_cell_set_row(TbFindingCell *cell, TbMatterRow *row);
TbMatterRow *tb_finding_cell_row(TbFindingCell *cell); /**< lent; or NULL */
