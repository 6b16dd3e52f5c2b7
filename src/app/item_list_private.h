/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file item_list_private.h
 * @brief The pane's struct and what its files share.
 */
#pragma once

#include "app/item_cell.h"
#include "app/item_list.h"

struct _TbItemList {
    GtkBox parent;

    TbSession *session;
    TbItemRows *rows;
    GSimpleActionGroup *actions;

    GtkWidget *menu; /* of a row */
    GtkListBox *list;
    GtkScrolledWindow *scrolled;
    GtkSearchBar *search_bar;
    GtkSearchEntry *search_entry;
    GtkToggleButton *search_button;
    GtkLabel *empty_label;
    GMenuModel *row_menu;
    GtkFileChooserNative *chooser; /* while it is open */
    guint scrolling;               /* idle source that scrolls to the selection; 0: none */
    bool following;                /* the selection is being put where the session has it */
};

/** The line of a record; NULL when it is not listed. */
TbItemCell *tb_item_list__line_of(TbItemList *list, const char *id);

/** The row that acts are about; NULL: none is selected. */
TbItemRow *tb_item_list__selected_row(TbItemList *list);

/** Moves a record next to another one of its group; it is selected and has the focus then. */
void tb_item_list__move_beside(TbItemList *list, const char *id, const char *other, bool below);

/** The actions `list.*`; see the table in item_list_acts.c. */
void tb_item_list__add_actions(TbItemList *list);

/** Enables what can be done now. */
void tb_item_list__enable_actions(TbItemList *list);
