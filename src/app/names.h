/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file names.h
 * @brief Names in a drop-down that gives way where there is no room for the longest.
 */
#pragma once

#include <gtk/gtk.h>

/**
 * A drop-down whose button ends a name in dots where it is long or the letters are large; its list
 * shows it whole, on as many lines as it needs.
 *
 * @param most letters of a name that the button shows whole
 */
GtkWidget *tb_names_drop_down_new(int most);

/** The same for one that a template has made. */
void tb_names_dress(GtkDropDown *drop, int most);

/** A wrapped label takes so many lines and no more, which names of a sentence's length would; what
 * then ends in dots is its tip. */
void tb_names_limit(GtkLabel *label, int lines);

/** List names where they are other ones than before: another model makes every row anew, and a drag
 * changes the document many times a second. What is chosen is the caller's. */
void tb_names_list(GtkDropDown *drop, GtkStringList *names);
