/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file undo.h
 * @brief Undo is a stack of documents: they share nearly everything, so keeping them is cheap.
 */
#pragma once

#include "bay/document.h"

typedef struct TbUndo TbUndo;

/** Starts at @p bay (referenced); NULL when there is no room. */
TbUndo *tb_undo_new(TbBay *bay);
void tb_undo_free(TbUndo *undo); /**< NULL is fine */

/** The document now. Lends. */
TbBay *tb_undo_now(const TbUndo *undo);

/**
 * A new document becomes the present one; what was undone is forgotten.
 *
 * @param what a short name of the change, for the menu; copied
 * @param group changes of the same group above 0 that follow each other are one step (a drag)
 * @return TB_OK or TB_E_MEMORY: nothing has then changed
 */
TbStatus tb_undo_push(TbUndo *undo, TbBay *bay, const char *what, int group, TbFault *fault);

/** Name of the change that a step back or forth would undo or redo; NULL when there is none. */
const char *tb_undo_back_name(const TbUndo *undo);
const char *tb_undo_forth_name(const TbUndo *undo);

/** One step; false when there is none. */
bool tb_undo_back(TbUndo *undo);
bool tb_undo_forth(TbUndo *undo);

/** Drops the present document and goes back to the one before, when it was made by changes of
 * @p group: a drag that was given up. False when it was not. */
bool tb_undo_forget(TbUndo *undo, int group);

/** Remember that @p bay is on disk, wherever it is in the stack; nothing where it is gone. NULL:
 * none of them is. */
void tb_undo_mark_saved_bay(TbUndo *undo, const TbBay *bay);

/** Remember that the present document is on disk. */
void tb_undo_mark_saved(TbUndo *undo);
bool tb_undo_is_saved(const TbUndo *undo);
