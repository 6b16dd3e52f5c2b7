/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file paint_private.h
 * @brief One mark of a painting, its texts and hatches: made for it alone, or kept for the next
 * one.
 */
#pragma once

#include "draw/paint.h"

#include <pango/pangocairo.h>

typedef struct TbPaintHatches TbPaintHatches;

typedef struct TbPaintTexts {
    PangoContext *context;
    TbPaintMeasurer *fonts;  /**< who keeps the layouts; NULL: nobody */
    TbPaintHatches *hatches; /**< what it keeps besides; or NULL */
    double stray;            /**< mm: by so little lines may stray, where nobody can see it; or 0 */
} TbPaintTexts;

/** Of a dot of the screen: by so little a line may stray where points are left out. */
#define TB_PAINT_STRAY 0.08

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

/** Hatches that are kept as images. */
TbPaintHatches *tb_paint__hatches_new(void);
void tb_paint__hatches_free(TbPaintHatches *hatches);

/**
 * The hatch all over the context's target as an image in its dots, for areas to be filled with.
 *
 * @param hatches who keeps it; or NULL
 * @return lent until the next call; NULL where it has to be drawn line by line: nobody keeps it, or
 *         the target is no plain image
 */
cairo_surface_t *
tb_paint__hatch(cairo_t *cairo, TbPaintHatches *hatches, const TbPaintHatch *hatch);

/** Lines, or rows of dots, over the clip. */
void tb_paint__hatch_clip(cairo_t *cairo, const TbPaintHatch *hatch);

/** The caller's, with g_object_unref(); not to be changed. */
PangoLayout *tb_paint__layout(TbPaintTexts *texts, const char *text, double size_pt, bool bold);

void tb_paint__mark(cairo_t *cairo,
                    TbPaintTexts *texts,
                    const TbPicture *picture,
                    const TbMark *mark,
                    TbTheme theme);
