/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file output.h
 * @brief A picture into the file that the user named.
 */
#pragma once

#include "draw/export.h"

/** The format of a name, `-` being SVG; says what is wrong and gives TB_EXPORT_UNKNOWN. */
TbExportFormat tb_output_format(const char *command, const char *path);

/** Write a picture; says what is wrong. */
bool tb_output_picture(const TbPicture *picture, const char *path);
