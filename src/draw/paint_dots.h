/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file paint_dots.h
 * @brief Areas and lines put straight onto the dots of an image: what screens are painted with.
 *
 * A general painter turns each stroke into an outline with its joints and ends, and cuts that with
 * a grid much finer than the dots. The drawing of a pane is some hundred thin lines of short
 * pieces, so nearly all its time went there. Here a dot's share of a line follows from the distance
 * of its middle, and its share of an area is summed up exactly from the area's edges.
 *
 * Places are in dots of the image, x to the right, y down; the middle of the first dot is at 0.5.
 * What has a place that is no number, or beyond 1e9 dots, is left out. Only what lies inside the
 * clip is touched or costs anything.
 */
#pragma once

#include "draw/style.h"

#include "geom/polygon.h"
#include "geom/vec2.h"

#include <cairo.h>
#include <stdint.h>

typedef struct TbDots TbDots;

/** Of an image: dots from low to high, without that. */
typedef struct TbDotsBox {
    int left, top, right, bottom;
} TbDotsBox;

/** A colour, or an image of which the dots at the same places are taken; premultiplied. */
typedef struct TbDotsInk {
    uint32_t colour;
    const uint32_t *image; /**< NULL: the colour */
    size_t stride;         /**< of the image, dots from row to row */
} TbDotsInk;

TbDotsInk tb_dots_colour(TbColour colour);

/** @param image ARGB32, as large as what is painted on; lent as long as the ink is used */
TbDotsInk tb_dots_image(cairo_surface_t *image);

TbDots *tb_dots_new(void);
void tb_dots_free(TbDots *dots); /**< NULL is fine */

/**
 * What is painted from here on. The caller may paint on the image by other means in between.
 *
 * @param image RGB24, without a scale of its own; lent until the next call, and must live so long
 * @param clip  inside the image
 */
void tb_dots_begin(TbDots *dots, cairo_surface_t *image, TbDotsBox clip);

/** From one corner to the other, on the nearest whole dots; far beyond any image at most. */
TbDotsBox tb_dots_nearest_box(TbVec2 one, TbVec2 other);

/** Clips to what lies in this box, too. @return the clip before, for tb_dots_set_clip() */
TbDotsBox tb_dots_clip(TbDots *dots, TbDotsBox box);
void tb_dots_set_clip(TbDots *dots, TbDotsBox clip);

/** Closed loops, even-odd. Holes turn the other way than what they are in, as those of cuts do; a
 * wall thinner than a dot has too large a share where both its sides turn the same way. */
void tb_dots_fill(TbDots *dots,
                  const TbVec2 points[],
                  const TbLoopSpan loops[],
                  size_t loop_count,
                  const TbDotsInk *ink);

/**
 * A line through points. Joints are round; ends are round where it is solid, flat where it is
 * dashed.
 *
 * @param closed also from the last point to the first
 * @param pen    its width and dashes in dots
 */
void tb_dots_stroke(TbDots *dots,
                    const TbVec2 points[],
                    size_t count,
                    bool closed,
                    const TbPenStyle *pen,
                    TbColour colour);

/** To be painted by somebody else: dots of a row from the image's left side, 0xRRGGBB; afterwards
 * tb_dots_painted(). Ask for rows inside the clip only. */
uint32_t *tb_dots_row(TbDots *dots, int y);
void tb_dots_painted(TbDots *dots);
