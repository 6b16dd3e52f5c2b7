/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file sliding.h
 * @brief A row of controls that slides sideways where it has no room.
 *
 * With large letters in a small window a pane's head is wider than the pane. It must not make the
 * window wider than the screen: the row shows what fits, the wheel slides it, and what the keys
 * focus slides into view.
 */
#pragma once

#include <gtk/gtk.h>

/** @param row whose least height is kept, and whose width is taken where there is room */
GtkWidget *tb_sliding_new(GtkWidget *row);
