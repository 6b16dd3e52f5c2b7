/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file edit_private.h
 * @brief What every edit is made of. For the edit_*.c files only.
 */
#pragma once

#include "bay/build.h"
#include "bay/edit.h"

/** A document being made from another one. */
typedef struct Edit {
    const TbBay *from; /**< the other one, which is right; lent until it is finished */
    TbBay *bay;        /**< the new one */
    TbRecord *record;  /**< its copy of the touched record, already in place */
} Edit;

/** Begin; with a record the new document has its own copy of it. */
TbStatus tb_edit__begin(Edit *edit, const TbBay *bay, const TbRecord *record, TbFault *fault);

/** The new document is checked like one that was read, and handed over or dropped. */
TbStatus tb_edit__finish(Edit *edit, TbStatus status, TbBay **out, TbFault *fault);

/** "no room for the change". */
TbStatus tb_edit__no_room(TbFault *fault);

/** `port "x" is not in the bay`. */
TbStatus tb_edit__not_there(const char *sort, const char *id, TbFault *fault);

/** The item of an id, of one kind. */
TbStatus tb_edit__find_item(
    const TbBay *bay, const char *id, TbItemKind kind, const TbItem **item, TbFault *fault);

/** The housing of a turbo, added where it is not listed; NULL: no room. */
TbHousing *tb_edit__need_housing(TbTurbo *turbo, int of);

/** A row's station, kept between those of its neighbours that count from the same end. */
void tb_edit__place_row(TbDuct *duct, size_t index, double at);

/** Shift an item in its own axes; its ports are not touched. */
void tb_edit__shift_item(TbItem *item, TbVec3 by);

/** An old id and what it becomes. */
typedef struct IdPair {
    char from[TB_ID_ROOM], to[TB_ID_ROOM];
} IdPair;

typedef struct IdPairs {
    IdPair *all;
    size_t count, room;
} IdPairs;

/** What an id becomes; itself where it does not change. */
const char *tb_edit__renamed(const IdPairs *pairs, const char *id);

/**
 * Give a record of a document under way an id that nobody has: its own, or the next of "x-2",
 * "x-3". Its name follows ("Turbine outlet 2"); a change is added to the pairs.
 */
TbStatus tb_edit__fresh_id(const TbBay *bay, TbRecord *record, IdPairs *pairs, TbFault *fault);

/** Every reference of a record that is among the pairs. */
TbStatus tb_edit__rename_references(TbRecord *record, const IdPairs *pairs, TbFault *fault);

/** A text that may be NULL into a record's; false: no room. */
bool tb_edit__put_text(char **to, const char *text);
