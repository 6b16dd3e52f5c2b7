/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file strip_table.h
 * @brief The charts along a path as a table in a window of its own.
 */
#pragma once

#include "study/scene.h"

#include <gtk/gtk.h>

/** Shows any table in a window over @p parent. @param label what a screen reader calls it
 * @param table taken */
void tb_table_show(GtkWindow *parent, const char *title, const char *label, TbSceneTable *table);

/** Shows a window over @p parent; the strip is not kept. */
void tb_strip_table_show(GtkWindow *parent, const TbSceneStrip *strip);
