/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file detail_cell.h
 * @brief What one value is typed or chosen in: an entry, an entry with suggestions, a drop-down, a
 *        switch, a small text. Widgets alone; detail_field.c gives them their meaning.
 */
#pragma once

#include "bay/fields.h"

#include <gtk/gtk.h>

/** By the field's kind; a drop-down and suggestions are empty. */
GtkWidget *tb_detail_cell_new(const TbField *field);

/** What has the keyboard: the entry within suggestions, the text within its frame, else the cell.
 */
GtkWidget *tb_detail_cell_inner(GtkWidget *cell);

/** What is typed; freed by g_free(); NULL for drop-downs and switches. */
char *tb_detail_cell_text(GtkWidget *cell);
void tb_detail_cell_set_text(GtkWidget *cell, const char *text);
