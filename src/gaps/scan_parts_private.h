/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_parts_private.h
 * @brief Ducts against scans within a search of two solids: by lattices, ahead of the search
 * itself.
 */
#pragma once

#include "gaps/search_private.h"

/** What is known of all pairs of a sweep of one solid and a mesh of the other. */
typedef struct TbScanParts {
    bool any;     /**< there is such a pair */
    bool decided; /**< all of them are apart: `lower` holds, and the search leaves them out */
    double lower; /**< mm, of all of them */
    long looks;
} TbScanParts;

/**
 * Looks at every such pair. Where all are apart, the search's witness and upper end are the best of
 * them and its own. Where one is not clearly apart, or a shell of a mesh floats inside a sweep, the
 * search is left as it was, and looks at all of them itself.
 *
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_scan_parts__look(TbSearch *search,
                             const TbLeaveOut leave_out[],
                             size_t leave_out_count,
                             TbScanParts *parts);

/** Columns of a lattice for a sweep as thick as this one, 16 to TB_LATTICE_MOST_COLUMNS. */
size_t tb_scan_parts__columns(const TbSweep *sweep);
