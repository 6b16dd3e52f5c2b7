/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file svg.h
 * @brief A picture as SVG that people can go on with: one unit is one mm, text stays text, and what
 *        belongs together lies in one layer.
 *
 * Layers are `<g id="...">` named by tb_layer_name(). A layer that has to come twice, because
 * something of another one lies between its parts, goes on as "labels-2". Each thing tells what it
 * shows in `data-shows`, the tag of its mark.
 */
#pragma once

#include "draw/picture.h"

/**
 * @param[out] bytes freed by the caller with tb_free(); the same picture gives the same bytes
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_svg_bytes(
    const TbPicture *picture, TbTheme theme, unsigned char **bytes, size_t *size, TbFault *fault);
