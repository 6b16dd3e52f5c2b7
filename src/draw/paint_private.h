/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file paint_private.h
 * @brief One mark of a painting, its texts and hatches: made for it alone, or kept for the next
 * one.
 */
#pragma once

#include "draw/paint.h"
#include "draw/paint_dots.h"

#include <pango/pangocairo.h>

typedef struct TbPaintHatches TbPaintHatches;

typedef struct TbPaintTexts {
    PangoContext *context;
    TbPaintMeasurer *fonts;  /**< who keeps the layouts; NULL: nobody */
    TbPaintHatches *hatches; /**< what it keeps besides; or NULL */
    TbDots *dots;            /**< what areas and lines are put on; NULL: the context paints them */
    TbDotsBox clip;          /**< of the dots, before the picture's own */
    double scale;            /**< dots for a mm */
} TbPaintTexts;

/** For a context with the picture's scale; ends with tb_paint__texts_end(). */
TbPaintTexts tb_paint__texts(cairo_t *cairo, TbPaintMeasurer *fonts);
void tb_paint__texts_end(TbPaintTexts *texts);

/** How a hatch looks, from the paper's origin on. */
typedef struct TbPaintHatch {
    TbTheme theme;
    TbInk fill; /**< below the lines, in the image only */
    TbInk ink;
    double angle, step;
    bool dotted;
} TbPaintHatch;

TbPaintHatch tb_paint__hatch_of(const TbMark *mark, TbTheme theme);

/** Hatches that are kept as images. */
TbPaintHatches *tb_paint__hatches_new(void);
void tb_paint__hatches_free(TbPaintHatches *hatches);

/**
 * The hatch all over an image as another image, for areas to be filled with.
 *
 * @param target as large as it
 * @param scale  dots for a mm
 * @return lent until the next call
 */
cairo_surface_t *tb_paint__hatch(TbPaintHatches *hatches,
                                 cairo_surface_t *target,
                                 double scale,
                                 const TbPaintHatch *hatch);

/** Lines, or rows of dots, over the clip. */
void tb_paint__hatch_clip(cairo_t *cairo, const TbPaintHatch *hatch);

/** The caller's, with g_object_unref(); not to be changed. */
PangoLayout *tb_paint__layout(TbPaintTexts *texts, const char *text, double size_pt, bool bold);

/**
 * Has the context's image painted on, where its dots are the context's own from the paper's origin
 * on.
 *
 * @return @p dots; NULL where the context has to paint all
 */
TbDots *tb_paint__dots(cairo_t *cairo, TbDots *dots);

/** A raster's image, where the context is. */
void tb_paint__raster(cairo_t *cairo, const TbPicture *picture, const TbMark *mark, TbTheme theme);

/** @param scale dots for a mm */
void tb_paint__raster_on_dots(
    TbDots *dots, double scale, const TbPicture *picture, const TbMark *mark, TbTheme theme);

/** Puts a mark on the dots of a screen; false for what the context has to paint. */
bool tb_paint__on_dots(cairo_t *cairo,
                       TbPaintTexts *texts,
                       const TbPicture *picture,
                       const TbMark *mark,
                       TbTheme theme);

void tb_paint__mark(cairo_t *cairo,
                    TbPaintTexts *texts,
                    const TbPicture *picture,
                    const TbMark *mark,
                    TbTheme theme);
