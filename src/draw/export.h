/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file export.h
 * @brief Pictures as SVG, PDF and PNG files.
 */
#pragma once

#include "draw/picture.h"

typedef enum TbExportFormat {
    TB_EXPORT_UNKNOWN,
    TB_EXPORT_SVG,
    TB_EXPORT_PDF,
    TB_EXPORT_PNG
} TbExportFormat;

/** By the name's ending, whatever its case. */
TbExportFormat tb_export_format_of(const char *file_name);

/** Dots a mm of a PNG: 200 dpi. */
#define TB_EXPORT_DOTS (200.0 / 25.4)

/**
 * A picture as the bytes of a file.
 *
 * @param[out] bytes freed by the caller with tb_free()
 * @return TB_OK, TB_E_MEMORY, TB_E_LIMIT (over 30,000 dots or 5 m a side), TB_E_IO with cairo's
 *         reason
 */
TbStatus tb_export_bytes(const TbPicture *picture,
                         TbExportFormat format,
                         TbTheme theme,
                         unsigned char **bytes,
                         size_t *size,
                         TbFault *fault);
