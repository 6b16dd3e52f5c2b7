/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file svg_private.h
 * @brief Elements of an SVG sorted into layers, without changing what is seen.
 *
 * An element goes back to its layer's group as long as nothing that was painted since lies under
 * it; else its layer begins a second group on top. What lies under it is asked of a coarse grid
 * over the sheet that errs on the safe side.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"

#include <glib.h>

/** Where an outline crosses a row of parallel lines; axes along and across the lines. */
typedef struct TbSvgCrossing {
    double line;  /**< lines from the paper's origin, whole */
    double along; /**< mm */
} TbSvgCrossing;

/**
 * All crossings of a mark's loops, by line and then along it: from one to the next but one is
 * inside, even-odd.
 *
 * @param angle deg of the lines from paper's x, counter-clockwise
 * @param step  mm between them
 * @param seen  lines beside it are left out, and what is further along them is brought to its end
 * @return array of TbSvgCrossing; freed by the caller
 */
GArray *tb_svg__crossings(
    const TbPicture *picture, const TbMark *mark, double angle, double step, TbRectangle seen);

typedef struct TbSvgLayers TbSvgLayers;

TbSvgLayers *tb_svg_layers__new(double width, double height);
void tb_svg_layers__free(TbSvgLayers *layers);

/** Elements from here on are clipped, by the clip path of this number; 0: not at all. */
void tb_svg_layers__clip(TbSvgLayers *layers, unsigned number, TbRectangle to);

/** Where the next element's ink lies: along a line, within loops (even-odd), in a box. */
void tb_svg_layers__ink_line(TbSvgLayers *layers, const TbVec2 points[], size_t count, bool closed);
void tb_svg_layers__ink_area(TbSvgLayers *layers, const TbPicture *picture, const TbMark *mark);
void tb_svg_layers__ink_box(TbSvgLayers *layers, TbVec2 low, TbVec2 high);

/** Put an element with the ink told since the last one. */
void tb_svg_layers__put(TbSvgLayers *layers, TbLayer layer, const char *element);

/** All groups, in painting order. */
void tb_svg_layers__write(const TbSvgLayers *layers, GString *svg);
