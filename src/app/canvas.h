/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file canvas.h
 * @brief A widget that shows one picture and, over it, what follows the pointer.
 *
 * The picture is kept as render nodes and made again only when its owner says so, or when the
 * widget's size, font, scale or theme changes, and painted again only where it differs; what lies
 * over it has nodes of its own, so that moving it repaints only where it is and was. A mm of the
 * picture is 3.2 dots times the font's scale.
 *
 * Gestures as elsewhere on the desktop: scrolling pans; Ctrl and scrolling, and a pinch, zoom at
 * the pointer; the middle button, or Space and the first button, drag the drawing. Keys: + - zoom,
 * 0 fits, 1 is true size, arrows pan. Everything else goes to the owner.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"

#include <gtk/gtk.h>

#define TB_TYPE_CANVAS (tb_canvas_get_type())
G_DECLARE_FINAL_TYPE(TbCanvas, tb_canvas, TB, CANVAS, GtkWidget)

/** Dots of the widget for one mm of a picture, at the usual font. */
#define TB_CANVAS_DOTS 3.2

/** What a pointer does, in mm of the picture. */
typedef struct TbCanvasPointer {
    TbVec2 at;
    GdkModifierType state;
} TbCanvasPointer;

/** What the owner does; any may be NULL. @p user comes first in each. */
typedef struct TbCanvasDef {
    /** Makes the picture of a size in mm; it is cleared by the canvas. */
    void (*draw)(void *user, TbPicture *picture, TbVec2 size);
    /** Paints in place of draw, where the picture has colours of its own; a unit of @p cairo is a
     * mm. */
    void (*paint)(void *user, cairo_t *cairo, TbVec2 size);
    void (*draw_over)(void *user, TbPicture *picture, TbVec2 size);

    void (*zoom)(void *user, TbVec2 at, double factor);
    void (*pan)(void *user, TbVec2 by);
    void (*fit)(void *user);
    /** @p ratio at which a mm of the bay is one of the monitor. */
    void (*true_size)(void *user, double ratio);

    void (*press)(void *user, TbCanvasPointer pointer);
    void (*drag)(void *user, TbCanvasPointer pointer);    /**< while pressed */
    void (*release)(void *user, TbCanvasPointer pointer); /**< may come without a move */
    void (*give_up)(void *user);                          /**< the press was taken away */
    void (*hover)(void *user, TbCanvasPointer pointer);   /**< while not pressed */
    void (*leave)(void *user);
    /** @return true when the key has done something */
    bool (*key)(void *user, guint key, GdkModifierType state);
    void (*focus)(void *user, bool in);
    void *user;
} TbCanvasDef;

/** How large a widget's letters are against the usual ones, 10 pt at 96 dots an inch. */
double tb_font_scale(GtkWidget *widget);

/** @param def copied; its user must live as long as the widget's owner calls it */
GtkWidget *tb_canvas_new(const TbCanvasDef *def);

/** Nobody is called any more: for an owner that goes first. */
void tb_canvas_forget(TbCanvas *canvas);

void tb_canvas_redraw(TbCanvas *canvas);      /**< the picture, and what lies over it */
void tb_canvas_redraw_over(TbCanvas *canvas); /**< only that */

/** It shows what holds no more, and is paler. */
void tb_canvas_set_stale(TbCanvas *canvas, bool stale);

TbVec2 tb_canvas_size(TbCanvas *canvas);  /**< mm of the picture */
double tb_canvas_dots(TbCanvas *canvas);  /**< of the widget for one mm */
double tb_canvas_pixel(TbCanvas *canvas); /**< mm of the picture of a dot of the screen */
/** Ratio at which a mm of the bay is one of the monitor's, by what the monitor says of its size. */
double tb_canvas_true_ratio(TbCanvas *canvas);
TbTheme tb_canvas_theme(TbCanvas *canvas);
TbMeasurer tb_canvas_measurer(TbCanvas *canvas); /**< lives as long as the canvas */

/** Everything under a point, the likeliest first; see tb_picture_hits(). @p dots of reach. */
size_t tb_canvas_hits(TbCanvas *canvas, TbVec2 at, double dots, const char *tags[], size_t most);

/** What a screen reader says: a name, and what is to be seen. */
void tb_canvas_describe(TbCanvas *canvas, const char *label, const char *description);
