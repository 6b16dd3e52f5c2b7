/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file repaint.h
 * @brief One image of a picture that is drawn again and again: painted only where it has changed.
 *
 * Two pictures are held against each other mark by mark. A dot that no mark covers which is only in
 * one of them has the same marks on it in the same order, so it has the same colour; all other dots
 * are painted again, within a few rectangles. What is painted so is what a whole painting is.
 */
#pragma once

#include "draw/paint.h"

/** Rectangles that one change is told in, at most. */
enum { TB_REPAINT_MOST = 6 };

/** Of the image, in its dots. */
typedef struct TbRepaintPart {
    int x, y, width, height;
} TbRepaintPart;

/** How the image is to be. */
typedef struct TbRepaintLook {
    int width, height; /**< in its dots */
    double dots;       /**< for a mm of the picture */
    TbTheme theme;
} TbRepaintLook;

typedef struct TbRepaint TbRepaint;

/** @param fonts lent; must live longer */
TbRepaint *tb_repaint_new(TbPaintMeasurer *fonts);
void tb_repaint_free(TbRepaint *repaint); /**< NULL is fine */

/**
 * Bring the image to another picture.
 *
 * @param picture taken over; an empty one is left
 * @param[out] parts what has changed; all of it where the look is another one
 * @return how many; 0: nothing
 */
size_t tb_repaint_take(TbRepaint *repaint,
                       TbPicture *picture,
                       const TbRepaintLook *look,
                       TbRepaintPart parts[TB_REPAINT_MOST]);

/** The next picture is painted as a whole. */
void tb_repaint_forget(TbRepaint *repaint);

const TbPicture *tb_repaint_picture(const TbRepaint *repaint); /**< of the image; lent */
/** Opaque, without a scale of its own; lent until the next change. NULL before the first. */
cairo_surface_t *tb_repaint_image(const TbRepaint *repaint);
