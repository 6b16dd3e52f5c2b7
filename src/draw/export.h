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

/** Dots an inch of a PNG where nobody says, and what can be asked: below, 9 pt cannot be read;
 * above, an A3 sheet takes over 300 MB while it is painted. */
#define TB_EXPORT_DPI 200.0
#define TB_EXPORT_DPI_LEAST 50.0
#define TB_EXPORT_DPI_MOST 600.0

/**
 * A picture as the bytes of a file: the same picture, the same bytes. Its title is the first text
 * of its layer TB_LAYER_TITLE.
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

/** As a PNG of so many dots an inch, which it says of itself; TB_E_RANGE outside of what can be
 * asked. */
TbStatus tb_export_png(const TbPicture *picture,
                       TbTheme theme,
                       double dpi,
                       unsigned char **bytes,
                       size_t *size,
                       TbFault *fault);

/** Pictures as the pages of one PDF, each page as large as its picture. @param title or NULL */
TbStatus tb_export_pages(const TbPicture pages[],
                         size_t count,
                         TbTheme theme,
                         const char *title,
                         unsigned char **bytes,
                         size_t *size,
                         TbFault *fault);
