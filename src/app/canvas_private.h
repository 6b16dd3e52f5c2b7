/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file canvas_private.h
 * @brief The canvas's struct and what its files share.
 */
#pragma once

#include "app/canvas.h"
#include "draw/paint.h"

struct _TbCanvas {
    GtkWidget parent;

    TbCanvasDef def;
    TbPicture picture;    /**< as it was drawn last, for hits */
    GskRenderNode *layer; /**< of the picture; NULL: to be made */
    GPtrArray *over;      /**< nodes over it; NULL: to be made */
    TbPaintMeasurer *measurer;
    double font_scale;

    TbVec2 pointer; /**< where it was last, mm */
    double pinch;   /**< factor of the pinch so far */
    TbVec2 dragged; /**< px: how far the drawing was dragged so far */
    bool space;     /**< the space bar is down: the first button drags the drawing */
    bool pressed;
    bool panning; /**< by the first button and space */
};

void tb_canvas__add_gestures(TbCanvas *canvas);
