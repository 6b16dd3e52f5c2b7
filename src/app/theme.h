/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file theme.h
 * @brief Light, dark or high contrast: as the user set it, or as the desktop says.
 */
#pragma once

#include <gtk/gtk.h>

/** Follow the key "theme" of the settings, and the desktop where that says so, for as long as the
 * program runs. Call once, with a display. */
void tb_theme_follow(GSettings *settings);
