/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file store.h
 * @brief Meshes and their trees, read once and shared by every document and study.
 *
 * Keyed by checksum, unit and placement. A scan whose file is missing, changed or broken is an
 * answer with a reason, not a failure.
 */
#pragma once

#include "base/work.h"
#include "geom/tree.h"

typedef struct TbStore TbStore;

TbStore *tb_store_new(void);
TbStore *tb_store_ref(TbStore *store);
void tb_store_unref(TbStore *store);

typedef enum TbScanState {
    TB_SCAN_READY,
    TB_SCAN_MISSING, /**< no such file, a folder, no permission */
    TB_SCAN_CHANGED, /**< checksum differs from the document's; the mesh is there all the same */
    TB_SCAN_BROKEN   /**< cannot be read as a mesh */
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
 */
TbScanAnswer tb_store_scan(TbStore *store,
                           const char *path,
                           const char *checksum,
                           double unit,
                           TbPose placement,
                           TbWork *work,
                           TbTask *task);
