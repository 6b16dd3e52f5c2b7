/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file clipboard.h
 * @brief Items go to the clipboard and come from it: within a bay, between windows, and as text.
 *
 * What is copied is offered as TB_CLIP_TYPE (bay/clip.h) and as plain text, so that it can be sent
 * in a letter and pasted from there.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

/** The selected item onto the clipboard; false: none is selected. */
bool tb_clipboard_copy(GtkWidget *widget, TbSession *session);

/** The same, and it goes; refused while anything refers to it. */
bool tb_clipboard_cut(GtkWidget *widget, TbSession *session);

/** What is on the clipboard into the bay, a little later; the first item is then selected. */
void tb_clipboard_paste(GtkWidget *widget, TbSession *session);

/** Ctrl+C, X and V anywhere in @p widget but where they are for text. @p session referenced. */
void tb_clipboard_add_keys(GtkWidget *widget, TbSession *session);
