/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file names.h
 * @brief Names in a drop-down that gives way where there is no room for the longest.
 */
#pragma once

#include <gtk/gtk.h>

/** A drop-down whose button ends a long name in dots where the letters are large; its list shows it
 * whole. */
GtkWidget *tb_names_drop_down_new(void);

/** List names where they are other ones than before: another model makes every row anew, and a drag
 * changes the document many times a second. What is chosen is the caller's. */
void tb_names_list(GtkDropDown *drop, GtkStringList *names);
