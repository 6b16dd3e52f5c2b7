/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file output.h
 * @brief A drawing into the file that the user named.
 */
#pragma once

#include "batch/job.h"
#include "draw/export.h"
#include "draw/labels.h"

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

/** Draws @p data, which is the caller's, as tb_cut_view() and its like do: the picture is to be
 * cleared whether it fails or not. */
typedef TbStatus (*TbDrawing)(TbPicture *picture,
                              const void *data,
                              TbMeasurer measurer,
                              TbFault *fault);

/** Draw, and write what was drawn; says what is wrong. */
bool
tb_output_drawing(const TbJob *job, TbDrawing draw, const void *data, const char *path, double dpi);
