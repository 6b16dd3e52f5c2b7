/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_face.h
 * @brief The drawing of a cut in a pane and what hands do with it: shared by the cut panes and the
 *        cut across the path.
 *
 * It draws the session's scene of a slot, selects and hovers, zooms and pans, drags handles, other
 * views' planes and the cursor. What the handles are, its pane says.
 */
#pragma once

#include "app/canvas.h"
#include "app/drag.h"
#include "draw/cut_screen.h"

/** Something to take hold of. */
typedef struct TbGrip {
    TbCutHandle mark;
    size_t number; /**< the pane's */
} TbGrip;

typedef struct TbCutFace TbCutFace;

/** What the pane does for its drawing; any may be NULL. @p user comes first in each. */
typedef struct TbCutFaceDef {
    /** The grips now, to be freed with g_free(). */
    TbGrip *(*grips)(void *user, const TbScene *scene, size_t *count);
    /** Press on a grip: start the face's drag. @p at mm of the bay in the cut's plane */
    void (*press)(void *user, TbDrag *drag, size_t number, const TbScene *scene, TbVec2 at);
    /** Move a grip by mm of the cut's plane, by keys. @p group of the undo step */
    void (*nudge)(void *user, size_t number, const TbScene *scene, TbVec2 by, int group);
    /** Number of the grip that keys move, or -1; and which is meant now. */
    int (*active)(void *user);
    void (*activate)(void *user, int number);
    /** What a grip is called; freed by the face. */
    char *(*name)(void *user, size_t number);
    /** Zoom or scene have changed. */
    void (*changed)(void *user);
    /** A key that means nothing to a drawing. */
    bool (*key)(void *user, guint key, GdkModifierType state);
    /** Points were picked, see tb_cut_face_pick(). */
    void (*picked)(void *user, const TbVec3 points[], size_t count);
    void *user;
} TbCutFaceDef;

/** @param slot of the session's cuts. The canvas is the face's until its parent takes it. */
TbCutFace *tb_cut_face_new(TbSession *session, int slot, const TbCutFaceDef *def);

/** Before the widgets go. NULL is fine. */
void tb_cut_face_free(TbCutFace *face);

GtkWidget *tb_cut_face_canvas(TbCutFace *face); /**< lent */

/** Something of the session has changed. */
void tb_cut_face_follow(TbCutFace *face, guint parts);

/** Fit, true size, zoom by a factor about the middle. */
void tb_cut_face_fit(TbCutFace *face);
void tb_cut_face_true_size(TbCutFace *face);
void tb_cut_face_zoom(TbCutFace *face, double factor);

/** The ratio on this screen: mm of the monitor for one of the bay; 0 while nothing is shown. */
double tb_cut_face_ratio(TbCutFace *face);
/** "1:5", or nothing while nothing is shown. */
void tb_cut_face_show_ratio(TbCutFace *face, GtkLabel *label);

/** The next @p count clicks (2 or 3) pick points: knots and corners near by, else places of the
 * plane. Escape ends it; 0 too. */
void tb_cut_face_pick(TbCutFace *face, size_t count);
