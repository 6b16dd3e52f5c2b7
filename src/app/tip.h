/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tip.h
 * @brief What a widget says of itself, said again only when it is another text.
 */
#pragma once

#include <gtk/gtk.h>
#include <stdbool.h>

/** Sets the tip unless it has it already: the toolkit asks the display server each time where the
 * pointer is. @return true when it was another one */
bool tb_tip_set(GtkWidget *widget, const char *text);
