/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file in_view.h
 * @brief Rows of a list draw nothing where they are scrolled out of sight.
 *
 * The toolkit keeps the drawing of every row of a list, also of those beyond the edge of what
 * scrolls it, and without a graphics card goes through all of them at every frame of the window. A
 * row asks here when it is drawn; the pane around the list has rows checked before it is drawn
 * itself, for whatever moves a row draws the pane.
 */
#pragma once

#include <gtk/gtk.h>
#include <stdbool.h>

/** For a row's snapshot: true where some of it lies in the window that scrolls it, or little
 * beyond; also where nothing scrolls it. */
bool tb_in_view_draws(GtkWidget *row);

/** Has those rows anywhere inside a list drawn again that came into sight or went out of it. */
void tb_in_view_check_rows(GtkWidget *list);

/** A horizontal box that is such a row. */
GtkWidget *tb_in_view_box_new(int spacing);
