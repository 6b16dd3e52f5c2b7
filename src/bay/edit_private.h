/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file edit_private.h
 * @brief What every edit is made of. For the edit_*.c files only.
 */
#pragma once

#include "bay/build.h"

/** A document being made from another one. */
typedef struct Edit {
    TbBay *bay;       /**< the new one */
    TbRecord *record; /**< its copy of the touched record, already in place */
} Edit;

/** Begin; with a record the new document has its own copy of it. */
TbStatus tb_edit__begin(Edit *edit, const TbBay *bay, const TbRecord *record, TbFault *fault);

/** The new document is checked like one that was read, and handed over or dropped. */
TbStatus tb_edit__finish(Edit *edit, TbStatus status, TbBay **out, TbFault *fault);

/** "no room for the change". */
TbStatus tb_edit__no_room(TbFault *fault);

/** `port "x" is not in the bay`. */
TbStatus tb_edit__not_there(const char *sort, const char *id, TbFault *fault);

/** The housing of a turbo, added where it is not listed; NULL: no room. */
TbHousing *tb_edit__need_housing(TbTurbo *turbo, int of);

/** A row's station, kept between those of its neighbours that count from the same end. */
void tb_edit__place_row(TbDuct *duct, size_t index, double at);
