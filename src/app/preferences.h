/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file preferences.h
 * @brief The preferences window: theme, unit, copies for recovery. Each change holds at once.
 */
#pragma once

#include <gtk/gtk.h>

/** Show it; one for the whole program. */
void tb_preferences_show(GtkWindow *parent, GSettings *settings);
