/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_screen.h
 * @brief A section plot in a window's pane: no sheet, any zoom; and what lies over it.
 *
 * The picture is as large as the pane, in mm of paper (y down), drawn at a ratio about a centre in
 * mm of the scene's plane (v up). What changes with the pointer only (handles, cursor, what is
 * pointed at, rubber band) is a second picture, so that the first one can be kept.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"
#include "study/scene.h"

/** Which part of a plane a pane shows. */
typedef struct TbViewport {
    double width, height; /**< of the pane, mm of paper */
    TbVec2 centre;        /**< what lies in its middle, mm of the bay */
    double ratio;         /**< mm of paper for one of the bay */
} TbViewport;

/** Smallest and largest ratio: a whole car in a palm, and a tenth of a millimetre across it. */
#define TB_RATIO_LEAST (1.0 / 200)
#define TB_RATIO_MOST 50.0

TbVec2 tb_viewport_paper(TbViewport port, TbVec2 bay); /**< where a point of the bay lies */
TbVec2 tb_viewport_bay(TbViewport port, TbVec2 paper); /**< what lies under a point */

/** The ratio and centre at which low..high fit with @p air mm of paper all round; the pane's size
 * is kept. An empty window gets 1:2. */
TbViewport tb_viewport_fit(TbViewport port, TbVec2 low, TbVec2 high, double air);

/** Zoom by a factor; what lies under @p paper stays there, also where the ratio meets its limit. */
TbViewport tb_viewport_zoom_at(TbViewport port, TbVec2 paper, double factor);

/** Move the drawing by mm of paper. */
TbViewport tb_viewport_pan(TbViewport port, TbVec2 by);

/** "1:2.5", "1.5:1": two significant figures where the ratio is not a round one. 24 bytes.
 * @param ratio above 0 (asserted) */
void tb_viewport_ratio_text(double ratio, char text[24]);

/** Another view's plane, drawn as the line in which it meets this one. */
typedef struct TbCutOther {
    const char *tag;   /**< what a hit gives back: "plane:plan" */
    const char *label; /**< "Z 640" */
    TbPlane plane;
} TbCutOther;

/** What one drawing leaves for the next one of the same pane: shapes that have not changed are not
 * put on paper again, nor searched for a place to point into. Of one thread. */
typedef struct TbCutMemo TbCutMemo;

TbCutMemo *tb_cut_memo_new(void);       /**< NULL when there is no room */
void tb_cut_memo_free(TbCutMemo *memo); /**< NULL is fine */

/** What is drawn besides the scene; all may be 0. */
typedef struct TbCutScreen {
    const char *selected;      /**< tag of an item; its outline is in the selection's ink */
    const char *const *hidden; /**< tags that are not drawn */
    size_t hidden_count;
    const TbCutOther *others;
    size_t other_count;
    const TbVec2 *keep_off; /**< mm of the bay: handles, that no label may cover */
    size_t keep_off_count;
    double pixel;    /**< mm of paper of a device's dot; 0: 1 / 3.2 */
    TbCutMemo *memo; /**< of the pane; or NULL */
} TbCutScreen;

/**
 * Draw a scene into a pane.
 *
 * Tags of marks: an item's id; "gap:K" of the scene's K-th gap; those of the others.
 *
 * @param[out] picture started by this function; the caller clears it
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_cut_screen(TbPicture *picture,
                       const TbScene *scene,
                       TbViewport port,
                       const TbCutScreen *screen,
                       TbMeasurer measurer,
                       TbFault *fault);

/** mm of paper: length of a direction's arrow. */
#define TB_HANDLE_ARROW 7.0

/** How a handle is drawn. */
typedef enum TbHandleMark {
    TB_HANDLE_MARK_SQUARE, /**< a knot, a corner, a place */
    TB_HANDLE_MARK_ARROW,  /**< a direction */
    TB_HANDLE_MARK_BAR     /**< a size */
} TbHandleMark;

typedef struct TbCutHandle {
    TbVec2 at;     /**< mm of the bay */
    TbVec2 toward; /**< unit, of an arrow, and that a bar stands square to */
    TbHandleMark mark;
    bool active; /**< dragged, or that the keys move */
    bool focus;  /**< the keys are at it now: a ring around it */
    bool behind; /**< it lies off the plane: drawn hollow */
} TbCutHandle;

/** What lies over the picture; all may be 0. */
typedef struct TbCutOverlay {
    const char *hovered;     /**< tag of an item: its outline again, in the selection's ink */
    const char *says;        /**< beside the pointer: name and gap */
    TbVec2 pointer;          /**< mm of paper */
    const char *cursor_item; /**< the duct or line that the cursor stands on */
    double cursor;           /**< its station, mm; NAN: none */
    const TbCutHandle *handles;
    size_t handle_count;
    const TbVec2 *band; /**< mm of the bay: a rubber band, open */
    size_t band_count;
} TbCutOverlay;

/** Draw what lies over a scene's picture; marks carry no tags. As tb_cut_screen() otherwise. */
TbStatus tb_cut_overlay(TbPicture *picture,
                        const TbScene *scene,
                        TbViewport port,
                        const TbCutOverlay *overlay,
                        TbMeasurer measurer,
                        TbFault *fault);

/**
 * Where a station lies on a path as the scene shows it.
 *
 * @param[out] at     mm of the bay
 * @param[out] across unit, square to the path on paper; 0 where the path runs into the paper
 * @return false when the path or that part of it is not shown
 */
bool tb_scene_station(
    const TbScene *scene, const char *item, double station, TbVec2 *at, TbVec2 *across);
