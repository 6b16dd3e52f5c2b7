/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file paint.h
 * @brief Strokes a picture onto any cairo surface, and measures texts with pango.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"

#include <cairo.h>

/**
 * Paint on a context whose unit is one mm of the picture. Draw freely; the caller checks the
 * surface's status once at the end.
 */
void tb_paint_picture(cairo_t *cairo, const TbPicture *picture, TbTheme theme);

/** The same without paper: what lies over another picture. */
void tb_paint_marks(cairo_t *cairo, const TbPicture *picture, TbTheme theme);

/** A measurer by the painter's own fonts; lives until tb_paint_measurer_free(). It also keeps texts
 * as they were laid out for what is painted again and again. */
typedef struct TbPaintMeasurer TbPaintMeasurer;

/** As tb_paint_picture(), with the texts that a measurer has kept of the last time. */
void
tb_paint_again(cairo_t *cairo, const TbPicture *picture, TbTheme theme, TbPaintMeasurer *fonts);

/** Only some of its marks; clips and what they clip go together. @p fonts may be NULL. */
void tb_paint_some(cairo_t *cairo,
                   const TbPicture *picture,
                   size_t first,
                   size_t count,
                   TbTheme theme,
                   TbPaintMeasurer *fonts);

/** The image of a raster's cells, its top first; the caller destroys it. */
cairo_surface_t *tb_paint_raster(const TbPicture *picture, const TbMark *mark, TbTheme theme);

/** mm of paper left free around a backed text. */
#define TB_PAINT_BACKING 0.5

TbPaintMeasurer *tb_paint_measurer_new(void);
void tb_paint_measurer_free(TbPaintMeasurer *measurer); /**< NULL is fine */
TbMeasurer tb_paint_measurer(TbPaintMeasurer *measurer);
