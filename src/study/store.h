/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file store.h
 * @brief Scans: meshes and their trees, read once and shared by every document and study.
 *
 * A tree is known by what it was made from: the SHA-256 of the file's bytes, its format and unit.
 * Where a scan stands is applied to that tree, so a file that stands in two places is read once. A
 * scan whose file is missing, changed, broken or larger than the memory allowed is an answer with a
 * reason, not a failure.
 *
 * The bytes of a file are summed once a start, and again whenever the file may be another one:
 * size, times of writing and of change to the nanosecond, device and file number. Size and time
 * alone are never believed to tell what a file holds: a scan that was replaced by one of the same
 * size and date must not be judged as the old one.
 *
 * Trees are kept on the disk too, where a folder is given (study/shelf.h). What was read from there
 * is, bit for bit, what would have been made.
 *
 * Any thread may ask; two that ask for one file wait for each other, others do not.
 */
#pragma once

#include "base/work.h"
#include "geom/tree.h"

#include <stdint.h>

typedef struct TbStore TbStore;

/**
 * Bytes that one scan may take by default, by tb_mesh_need(), where the machine has them: more than
 * any scan of TB_MESH_MOST triangles needs that share their corners, as those of scanners do. The
 * limit is a scan's own, so that no answer depends on what else is open.
 */
#define TB_SCAN_MEMORY (UINT64_C(4) << 30)

/** Share of the machine's memory that the default does not go beyond: the rest is for the system
 * and all other programs. */
#define TB_SCAN_MEMORY_SHARE 0.5

/** TB_SCAN_MEMORY, or the share of what this machine has. */
uint64_t tb_store_memory_default(void);

typedef struct TbStoreDef {
    const char *cache;    /**< folder for trees on the disk (tb_shelf_default_folder()); or NULL */
    uint64_t cache_limit; /**< bytes in that folder; 0: TB_SHELF_LIMIT */
    uint64_t memory;      /**< bytes that a scan may take; 0: tb_store_memory_default() */
} TbStoreDef;

TbStore *tb_store_new_with(const TbStoreDef *def);
TbStore *tb_store_new(void); /**< no folder, limits by default */
TbStore *tb_store_ref(TbStore *store);

/** The last one waits until the trees handed to the disk are written. */
void tb_store_unref(TbStore *store);

/** Wait until trees are written to the disk, or given up. */
void tb_store_settle(TbStore *store);

typedef enum TbScanState {
    TB_SCAN_READY,
    TB_SCAN_MISSING, /**< no such file, a folder, no permission */
    TB_SCAN_CHANGED, /**< checksum differs from the document's; the mesh is there all the same */
    TB_SCAN_BROKEN,  /**< cannot be read as a mesh */
    TB_SCAN_LARGE    /**< would take more memory than it may: given up before that */
} TbScanState;

typedef struct TbScanAnswer {
    TbScanState state;
    TbTree *tree;      /**< a reference for the caller; NULL where there is none */
    TbFault fault;     /**< why, in one sentence */
    char checksum[65]; /**< SHA-256 of the file as found, hex; "" when not read */
} TbScanAnswer;

/**
 * @param path      absolute, or relative to the working folder
 * @param checksum  hex SHA-256 expected, or NULL / "" for none
 * @param unit      mm for one unit of the file
 * @param placement rigid
 * @param task      polled and told at every stage; when cancelled the answer has no tree, its
 *                  fault says TB_E_CANCELLED, and nothing is kept
 */
TbScanAnswer tb_store_scan(TbStore *store,
                           const char *path,
                           const char *checksum,
                           double unit,
                           TbPose placement,
                           TbWork *work,
                           TbTask *task);

/** What was done since the store began, for tests and the status line. */
typedef struct TbStoreCounts {
    size_t summed; /**< files whose bytes were summed */
    size_t built;  /**< meshes read and trees built */
    size_t loaded; /**< trees that came from the disk */
    size_t moved;  /**< trees put in another place */
} TbStoreCounts;

TbStoreCounts tb_store_counts(TbStore *store);
