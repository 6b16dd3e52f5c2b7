/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file item_acts.h
 * @brief What is done to items and other records from a list: each an edit with a name to undo by.
 *
 * Without a widget. False: nothing was changed, and the session says why.
 */
#pragma once

#include "app/session.h"

/** Name of a record for people: its own, else its id; NULL when there is no such record. Lent. */
const char *tb_record_title(const TbBay *bay, const char *id);

/** An empty name takes the name away; the same one changes nothing and is true. */
bool tb_item_rename(TbSession *session, const char *id, const char *name);

/** A copy beside it, selected. */
bool tb_item_duplicate(TbSession *session, const char *id);

/** Refused, naming the user, while anything refers to it. */
bool tb_item_remove(TbSession *session, const char *id);

/** Put a record right before another one of its list; @p before NULL: last. */
bool tb_item_move_before(TbSession *session, const char *id, const char *before);

/**
 * A new item of the usual size where the planes meet, of the usual class and mount, guessed;
 * selected.
 *
 * @param kind no scan
 * @param role of a line (TbLineRole), else 0
 */
bool tb_item_add(TbSession *session, TbItemKind kind, int role);

/** A scan of a mesh file, in mm, in the bay's axes, on the body; selected. */
bool tb_item_add_scan(TbSession *session, GFile *mesh);

/** The usual keeps of pairs of classes that have none. False also where all have one. */
bool tb_keeps_add_usual(TbSession *session);
