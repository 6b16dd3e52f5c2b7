/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file files.h
 * @brief The file of one bay: read it, save it whole or not at all, and notice when others do.
 *
 * A TbFile knows how its file stood when it was last read or written here (a stamp and its
 * SHA-256). Saving over something else is refused until it is allowed by name; a change on the disk
 * is told once, and one that leaves the same bytes (a touch, our own save) is not told at all. A
 * link is followed: its target is saved and watched.
 *
 * Reading and writing run on a thread of their own over an immutable document; answers and signals
 * come on the thread that asked, which must run a main loop. No widget here.
 *
 * Signals: `disk-news` (TbDiskNews news).
 */
#pragma once

#include "bay/document.h"

#include <gio/gio.h>

/** What somebody else did to the file. */
typedef enum TbDiskNews {
    TB_DISK_CHANGED, /**< other bytes than those that were read or written here */
    TB_DISK_GONE     /**< removed, or moved away */
} TbDiskNews;

typedef enum TbFileError {
    TB_FILE_ERROR_CHANGED /**< saving would write over what somebody else saved */
} TbFileError;
#define TB_FILE_ERROR (tb_file_error_quark())
GQuark tb_file_error_quark(void);

#define TB_TYPE_FILE (tb_file_get_type())
G_DECLARE_FINAL_TYPE(TbFile, tb_file, TB, FILE, GObject)

/** @param place where the bay is kept; NULL: nowhere yet */
TbFile *tb_file_new(GFile *place);

GFile *tb_file_place(TbFile *file); /**< lent; NULL: nowhere yet */

/** Stamp (disk_mark.h) of the file as it was last read or written here; NULL: it was not there.
 * Lent. */
const char *tb_file_stamp(TbFile *file);

/** The document at hand was made from the file when it had this stamp (a recovered one). */
void tb_file_set_stamp(TbFile *file, const char *stamp);

/**
 * Read the bay. Errors: TB_ERROR with "NAME:LINE: sentence", or of GIO.
 * @return a reference for the caller; NULL with @p error
 */
TbBay *tb_file_load(TbFile *file, GCancellable *cancel, GError **error);
void tb_file_load_async(TbFile *file, GCancellable *cancel, GAsyncReadyCallback done, void *user);
TbBay *tb_file_load_finish(TbFile *file, GAsyncResult *result, GError **error);

/**
 * Save a document. On failure the old file is as it was and nothing is left beside it.
 *
 * @param to    another place, which becomes the file's own when all went well; NULL: where it is
 * @param force write over what somebody else saved meanwhile
 */
void tb_file_save_async(
    TbFile *file, TbBay *bay, GFile *to, bool force, GAsyncReadyCallback done, void *user);
/** @return the document that is on the disk now, a reference for the caller; NULL with @p error:
 * TB_FILE_ERROR_CHANGED, TB_ERROR, or of GIO */
TbBay *tb_file_save_finish(TbFile *file, GAsyncResult *result, GError **error);

/** The same and wait for it. */
bool tb_file_save(TbFile *file, TbBay *bay, GFile *to, bool force, GError **error);

/** What is on the disk now is known and may be written over; says no more of it. */
void tb_file_keep_mine(TbFile *file);
