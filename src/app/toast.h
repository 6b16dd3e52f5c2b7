/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file toast.h
 * @brief A short sentence over the window's lower edge that goes by itself, with one button.
 *
 * What can be taken back is done at once and offered here for some seconds, instead of asking
 * beforehand. A newer toast takes the place of an older one, which then counts as gone.
 */
#pragma once

#include <gtk/gtk.h>

typedef struct TbToastDef {
    const char *text;   /**< one sentence without a full stop, translated */
    const char *button; /**< "Undo"; NULL: none */
    /** The button was pressed; may be NULL. */
    void (*pressed)(void *user);
    /** It goes, whether the button was pressed or not; frees @p user. May be NULL. */
    void (*gone)(void *user);
    void *user;
} TbToastDef;

/** Show a toast over @p overlay. */
void tb_toast_show(GtkOverlay *overlay, const TbToastDef *def);
