/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file paint_private.h
 * @brief Texts of a painting: laid out for it alone, or kept for the next one.
 */
#pragma once

#include "draw/paint.h"

#include <pango/pangocairo.h>

typedef struct TbPaintTexts {
    PangoContext *context;
    TbPaintMeasurer *fonts; /**< who keeps the layouts; NULL: nobody */
} TbPaintTexts;

/** For a context with the picture's scale; ends with tb_paint__texts_end(). */
TbPaintTexts tb_paint__texts(cairo_t *cairo, TbPaintMeasurer *fonts);
void tb_paint__texts_end(TbPaintTexts *texts);

/** The caller's, with g_object_unref(); not to be changed. */
PangoLayout *tb_paint__layout(TbPaintTexts *texts, const char *text, double size_pt, bool bold);
