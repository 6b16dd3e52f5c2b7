/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file output.h
 * @brief A picture into the file that the user named.
 */
#pragma once

#include "draw/export.h"

#include <math.h>

/** No dots are asked for: the picture's usual ones. */
#define TB_OUTPUT_NO_DPI (-HUGE_VAL)

/**
 * Whether a picture can go there: the ending is one of a picture (`-` is SVG), dots are asked of a
 * PNG only. Says what is wrong.
 *
 * @param dpi of a PNG, or TB_OUTPUT_NO_DPI
 */
bool tb_output_check(const char *command, const char *path, double dpi);

/** Write a picture; says what is wrong. */
bool tb_output_picture(const TbPicture *picture, const char *path, double dpi);
