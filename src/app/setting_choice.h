/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file setting_choice.h
 * @brief A setting with a few values as a drop-down.
 */
#pragma once

#include <gtk/gtk.h>

/** Each follows the other. @p drop_down a GtkDropDown whose rows are in the schema's order */
void tb_setting_choice_bind(GSettings *settings, const char *name, void *drop_down);
