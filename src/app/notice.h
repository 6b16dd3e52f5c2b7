/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file notice.h
 * @brief A bar along the window's top that stays until it is answered or closed.
 */
#pragma once

#include <gtk/gtk.h>

/** A button of a bar. */
typedef struct TbNoticeButton {
    const char *label; /**< with a mnemonic, translated */
    int answer;        /**< above 0 */
} TbNoticeButton;

typedef struct TbNoticeDef {
    GtkMessageType type;
    const char *text;              /**< translated; wraps */
    const TbNoticeButton *buttons; /**< ended by one without a label; NULL: none */
    const char *kind;              /**< a newer bar of the same kind takes its place; or NULL */
    /** A button was pressed; the bar goes afterwards. Not called when it is only closed. */
    void (*answered)(void *user, int answer);
    void (*gone)(void *user); /**< it goes, however; frees @p user. May be NULL */
    void *user;
} TbNoticeDef;

void tb_notice_show(GtkBox *notices, const TbNoticeDef *def);

/** Takes bars of a kind away. */
void tb_notice_clear(GtkBox *notices, const char *kind);
