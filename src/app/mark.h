/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file mark.h
 * @brief A level as a small mark: its own shape in its own colour, as the drawings have it.
 *
 * As large as a letter. For the eye only: whoever shows it says the level in words too.
 */
#pragma once

#include "draw/style.h"

#include <gtk/gtk.h>

#define TB_TYPE_LEVEL_MARK (tb_level_mark_get_type())
G_DECLARE_FINAL_TYPE(TbLevelMark, tb_level_mark, TB, LEVEL_MARK, GtkWidget)

/** Shows nothing until a level is set. */
GtkWidget *tb_level_mark_new(void);

void tb_level_mark_set(TbLevelMark *mark, TbLevel level);
void tb_level_mark_set_none(TbLevelMark *mark);

/** The drawings' theme that goes with a widget's text: dark under light letters. */
TbTheme tb_widget_theme(GtkWidget *widget);
