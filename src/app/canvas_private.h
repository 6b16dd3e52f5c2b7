/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file canvas_private.h
 * @brief The canvas's struct and what its files share.
 */
#pragma once

#include "app/canvas.h"
#include "draw/repaint.h"

struct _TbCanvas {
    GtkWidget parent;

    TbCanvasDef def;
    TbPaintMeasurer *measurer;
    TbRepaint *repaint;          /**< the picture as it was drawn last, and its image */
    bool stale;                  /**< the owner has another picture */
    GPtrArray *tiles;            /**< nodes of the image, row by row; NULL: to be made */
    int laid_width, laid_height; /**< px that the tiles cover */
    GPtrArray *over;             /**< nodes over it; NULL: to be made */
    double font_scale;
    double density;       /**< of the monitor, as was asked last; 0: never */
    gint64 density_asked; /**< us, monotonic */

    TbVec2 pointer; /**< where it was last, mm */
    double pinch;   /**< factor of the pinch so far */
    TbVec2 dragged; /**< px: how far the drawing was dragged so far */
    bool space;     /**< the space bar is down: the first button drags the drawing */
    bool pressed;
    bool panning; /**< by the first button and space */
};

void tb_canvas__add_gestures(TbCanvas *canvas);

/** The picture as it is now, in as many nodes as it has tiles. */
void tb_canvas__append_tiles(TbCanvas *canvas, GtkSnapshot *snapshot);
void tb_canvas__forget_tiles(TbCanvas *canvas);
