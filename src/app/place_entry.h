/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file place_entry.h
 * @brief An entry for where something is along one direction: a plane, the cursor's station.
 *
 * It shows the place in the session's unit. Enter and leaving it take what a person typed; a text
 * that is no length stays, marked, and the session says why. Escape takes the text back and leads
 * to the drawing; Page Up and Page Down step by 1 mm, with Shift by 10.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

/** What its owner does for it. */
typedef struct TbPlaceDef {
    /** Where it is, mm; false: there is no place now. */
    bool (*at)(void *user, double *mm);
    /** A place was typed. */
    void (*move)(void *user, double mm);
    /** A key steps, mm: above 0 for Page Up. */
    void (*step)(void *user, double by);
    void *user;
    const char *name;  /**< for a screen reader, lent while it is made; NULL: the owner says it */
    const char *tip;   /**< lent while it is made */
    int chars;         /**< its width */
    GtkWidget *escape; /**< has the focus after Escape; outlives the entry */
} TbPlaceDef;

#define TB_TYPE_PLACE_ENTRY (tb_place_entry_get_type())
G_DECLARE_FINAL_TYPE(TbPlaceEntry, tb_place_entry, TB, PLACE_ENTRY, GtkEntry)

/** @param session referenced */
GtkWidget *tb_place_entry_new(TbSession *session, const TbPlaceDef *def);

/** Shows where the place is now; empty and not to be used where there is none. */
void tb_place_entry_show(TbPlaceEntry *entry);

/** A key that may step, from the entry or its owner's drawing; true when it did. */
bool tb_place_entry_key(TbPlaceEntry *entry, guint key, GdkModifierType state);
