/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file recent.h
 * @brief The bays that were open lately, and what file choosers offer.
 */
#pragma once

#include <gtk/gtk.h>

/** The program opened or saved a file. */
void tb_recent_add(GFile *file);

/** Files of this program that are still there, newest first, at most @p most; GFile, owned. */
GPtrArray *tb_recent_list(unsigned most);

/** Bays, and all files. */
void tb_recent_add_filters(GtkFileChooser *chooser);
