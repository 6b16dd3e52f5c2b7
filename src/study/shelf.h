/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file shelf.h
 * @brief Trees of scans kept on the disk, so that a second start need not weld and build them.
 *
 * A folder with one file a tree, named by a digest of its key and written by geom/tree_file.h. A
 * shelf is a help, never a condition: a folder that cannot be made, a full disk, a file that is
 * damaged, of another version or of another program's making are as if nothing were there, and
 * nobody is told. Writing happens on a thread of its own; no answer waits for it.
 *
 * Any number of shelves, threads and processes may use one folder at once: files come whole or not
 * at all, and one that is thrown out while it is read is read to its end.
 */
#pragma once

#include "geom/tree.h"

#include <stdint.h>

typedef struct TbShelf TbShelf;

/**
 * Bytes that the folder may hold; the files used longest ago are thrown out beyond. 4 GiB are about
 * 130 scans of a million triangles: years of one desk's work, and a small part of any disk.
 */
#define TB_SHELF_LIMIT (UINT64_C(4) << 30)

/** The user's folder for it, tightbay/scans in the cache folder; freed with g_free(). */
char *tb_shelf_default_folder(void);

/** @param folder made when the first tree is kept @param limit bytes; 0 means TB_SHELF_LIMIT */
TbShelf *tb_shelf_new(const char *folder, uint64_t limit);

/** Waits until what was handed over is written; NULL is fine. */
void tb_shelf_free(TbShelf *shelf);

/** The tree of a key, a reference for the caller; NULL where there is none to be had. */
TbTree *tb_shelf_find(TbShelf *shelf, const char *key, TbWork *work, TbTask *task);

/** Hand a tree over to be written; returns at once. */
void tb_shelf_keep(TbShelf *shelf, const char *key, TbTree *tree);

/** Wait until everything handed over so far is written, or was given up. */
void tb_shelf_settle(TbShelf *shelf);
