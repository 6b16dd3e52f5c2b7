/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file window_private.h
 * @brief The window's struct and what its files share.
 */
#pragma once

#include "app/fold.h"
#include "app/window.h"

/** How many dividers are remembered. */
#define TB_DIVIDERS 6

struct _TbWindow {
    GtkApplicationWindow parent;

    GSettings *settings; /**< the program's */
    TbSession *session;
    TbKeeper *keeper;
    gulong changed;

    GtkStack *stack;
    GtkOverlay *overlay;
    TbFold *fold; /**< around the panes */
    GtkBox *notices, *welcome_box, *choice_box, *tools_box;
    GtkBox *list_box, *left_box, *middle_box, *across_box, *strip_box, *details_box, *findings_box;
    GtkPaned *list_paned, *side_paned, *strip_paned, *left_paned, *middle_paned, *details_paned;
    int divider_sizes[TB_DIVIDERS]; /**< px of their panes when they last moved */
    unsigned dividers_moved;        /**< a bit for each that somebody moved */
    GtkButton *save_button, *undo_button, *redo_button;
    GtkLabel *title_label, *subtitle_label;
    GtkLabel *pointer_label, *message_label, *caution_label;
    GtkBox *progress_box;
    GtkProgressBar *progress_bar;
};

/** The actions of a window; see the table in window_actions.c. */
void tb_window__add_actions(TbWindow *window);

/** Enables what can be done now. */
void tb_window__update_actions(TbWindow *window);

/** Sizes a new window as the last one was left. */
void tb_window__restore_size(TbWindow *window);

/** Puts dividers, views and planes where they were left; for a window that has its bay. */
void tb_window__restore_view(TbWindow *window);

/** Remembers all of it; before the window goes. */
void tb_window__keep_state(TbWindow *window);

/** Puts the right column below the list while the window is too narrow for both. */
void tb_window__follow_width(TbWindow *window);

/** Makes a new window no larger than the screen. */
void tb_window__fit_screen(TbWindow *window);
