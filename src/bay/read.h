/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file read.h
 * @brief A `.bay` file becomes a document, or one sentence says where it is wrong.
 *
 * Order: size limit, XML without network, entities or DTD, depth limit, RELAX NG (data/bay.rng),
 * then ranges, ids and references. Elements and attributes of another namespace, and those of a
 * later file version, are kept where records allow them and warned about.
 * Records come from base/mem.h; libxml2's tree and GLib's buffers do not.
 */
#pragma once

#include "bay/document.h"

#include <gio/gio.h>

/** Larger files are refused before they are read: 64 MiB, some thousand times a real bay. */
#define TB_BAY_SIZE_LIMIT ((size_t)64 << 20)

/** Deeper nesting is refused: the format itself has 5 levels. */
#define TB_BAY_DEPTH_LIMIT 64

/**
 * @param bytes the file
 * @param size  how many
 * @param[out] bay a reference for the caller; untouched on failure
 * @param[out] fault the first thing that is wrong, with its line; may be NULL
 * @return TB_OK, TB_E_FORMAT, TB_E_RANGE, TB_E_REFERENCE, TB_E_LIMIT, TB_E_MEMORY
 */
TbStatus tb_bay_read_bytes(const char *bytes, size_t size, TbBay **bay, TbFault *fault);

/** The same from a file; "-" is standard input. TB_E_IO with the system's words. */
TbStatus tb_bay_read_file(const char *path, TbBay **bay, TbFault *fault);

/** Fault to GError: "place:LINE: text", or "place: text" without a line. Domain TB_ERROR. */
void tb_set_error(GError **error, const TbFault *fault, const char *place);

#define TB_ERROR (tb_error_quark())
GQuark tb_error_quark(void); /**< the code is the TbStatus */
