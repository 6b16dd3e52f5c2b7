/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file autosave.h
 * @brief Copies of unsaved bays for recovery, and what is found of them at the next start.
 *
 * One TbAutosave a document. Some seconds after the first unsaved change, and at most as often from
 * then on, the newest document is written to the recovery folder, never over the user's file. The
 * copy goes when the document is saved or its window closed. A copy is a bay that any reader of
 * bays opens, with one line more: which file it was made from, how that stood, and a sum of the
 * rest.
 *
 * Beside each copy stands a lock that its owner holds while it lives (flock), so that copies of
 * other windows and instances are left alone; the system lets go of it however the owner ends.
 *
 * Writing runs on a thread; everything else on the main loop's. No widget here.
 */
#pragma once

#include "bay/document.h"

#include <gio/gio.h>

/** Where copies go: tightbay/recovered in the user's state folder. To be freed. */
char *tb_autosave_folder(void);

/* ---- what is found at the start ---- */

/** A copy whose owner is gone, held by us until it is freed. */
typedef struct TbRecovered {
    char *path;  /**< of the copy */
    char *uri;   /**< file that it was made from; NULL: untitled */
    char *stamp; /**< how that file stood; NULL: it was not there */
    char *title; /**< of the bay; "" where it has none or is not known */
    gint64 time; /**< when the copy was written, s since 1970 UTC; 0: not known */
    int lock;    /**< held */
} TbRecovered;

/**
 * Take hold of all copies whose owners are gone, newest first; what is left of copies that were
 * saved or closed is swept away.
 *
 * @param folder from tb_autosave_folder()
 * @return TbRecovered, freed with the array; empty when there are none
 */
GPtrArray *tb_recovered_list(const char *folder);

/** Read the bay of a copy. TB_E_FORMAT also when its sum is not that of its bytes. */
TbStatus tb_recovered_read(const TbRecovered *recovered, TbBay **bay, TbFault *fault);

/** True when the user's file was written by someone after the copy was begun. */
bool tb_recovered_is_overtaken(const TbRecovered *recovered);

/** Remove the copy for good. */
void tb_recovered_discard(TbRecovered *recovered);

/** Let go of a copy; it is offered again at the next start unless it was discarded. */
void tb_recovered_free(TbRecovered *recovered);

/* ---- one document's copies ---- */

#define TB_TYPE_AUTOSAVE (tb_autosave_get_type())
G_DECLARE_FINAL_TYPE(TbAutosave, tb_autosave, TB, AUTOSAVE, GObject)

/** Signals: `trouble` (const char *sentence): no copy could be written; told once until one is. */
TbAutosave *tb_autosave_new(const char *folder, unsigned seconds);

void tb_autosave_set_seconds(TbAutosave *autosave, unsigned seconds);

/**
 * The document has changes that are not saved.
 *
 * @param bay  referenced
 * @param file the user's file, or NULL
 * @param stamp how it stood when it was last read or written; NULL: it was not there
 */
void tb_autosave_changed(TbAutosave *autosave, TbBay *bay, GFile *file, const char *stamp);

/** All is saved, or given up: the copy is removed. Call it before letting go of the object, which
 * a thread that writes may keep for a moment. */
void tb_autosave_clean(TbAutosave *autosave);

/** Write what waits now, on this thread. */
void tb_autosave_flush(TbAutosave *autosave);

/** Go on with a recovered copy: it stays until the document is saved or closed. Takes it over. */
void tb_autosave_adopt(TbAutosave *autosave, TbRecovered *recovered);
