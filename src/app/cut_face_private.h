/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_face_private.h
 * @brief The struct of a cut's drawing and what its files share.
 */
#pragma once

#include "app/cut_face.h"
#include "app/tool_hand.h"

enum {
    TB_FACE_VIEWS = 8, /* room for every TbSceneView */
    TB_FACE_HITS = 12,
    TB_FACE_PICKS = 3
};

/** px of the widget. A grip is hit within half of 24 dots; lines within 6. */
#define TB_FACE_GRIP_REACH 12.0
#define TB_FACE_REACH 6.0

struct TbCutFace {
    TbSession *session;
    int slot;
    TbCutFaceDef def;
    TbCanvas *canvas;
    TbToolHand *hand;
    TbCutMemo *memo; /**< of the last drawing */

    TbViewport ports[TB_FACE_VIEWS]; /**< by view; ratio 0: not placed yet */
    bool touched[TB_FACE_VIEWS];     /**< zoomed or panned by hand: it is not fitted any more */

    guint telling; /**< source that tells of another ratio; 0: none */

    TbPlane free_plane; /**< of the free cut's viewport */

    TbDrag drag;
    int nudges;    /**< group of key steps of one grip */
    int nudged;    /**< that grip */
    TbGrip *grips; /**< as drawn last */
    size_t grip_count;
    bool fresh; /**< the picture was drawn since what lies over it was */

    bool keyed; /**< keys have gone to the active grip: it says what it is called */

    char *hovered; /**< tag, or NULL */
    char *says;
    TbVec2 pointer; /**< mm of paper */

    TbVec2 clicked; /**< mm of paper: where the last click was */
    size_t below;   /**< how many things a repeated click has gone through */

    size_t picking; /**< points wanted; 0: not picking */
    TbVec3 picks[TB_FACE_PICKS];
    size_t picked;
};

/** The scene of now, or NULL. */
TbScene *tb_cut_face__scene(TbCutFace *face);

/** How it lies in the pane; of a scene that is not NULL. */
TbViewport tb_cut_face__port(TbCutFace *face, const TbScene *scene);

/** Canvas callbacks: the drawing. */
void tb_cut_face__draw(void *user, TbPicture *picture, TbVec2 size);
void tb_cut_face__draw_over(void *user, TbPicture *picture, TbVec2 size);

/** Sets what is under the pointer. */
void tb_cut_face__hover(TbCutFace *face, TbVec2 at);
void tb_cut_face__unhover(TbCutFace *face);

/** "X 1432.0  Y 212.0  Z 688.4 mm" in the status line: the place under a point of the pane. */
void tb_cut_face__tell_place(TbCutFace *face, const TbScene *scene, TbVec2 at);

/** Number of the grip under a point in the face's list, or -1. */
int tb_cut_face__grip_at(TbCutFace *face, TbVec2 at);

/** True where the cursor's tick is under a point. */
bool tb_cut_face__is_on_cursor(TbCutFace *face, const TbScene *scene, TbVec2 at);

/** The view whose plane a tag names; false for all other tags. */
bool tb_cut_face__plane_of_tag(const char *tag, TbSceneView *view);

/** Selects what is under a point; again, what lies below it. */
void tb_cut_face__select_at(TbCutFace *face, TbVec2 at);

/** Takes a point for tb_cut_face_pick(). */
void tb_cut_face__take_pick(TbCutFace *face, const TbScene *scene, TbVec2 at);

/** The grips of a scene, anew. */
void tb_cut_face__update_grips(TbCutFace *face, const TbScene *scene);

/** Where the grip that keys move stands in the face's list, or -1. */
int tb_cut_face__active_grip(TbCutFace *face);

/** Takes back what the status line says of keys on a grip. */
void tb_cut_face__drop_hint(TbCutFace *face);

/** Canvas callbacks: the drawing zoomed about a place, moved by mm of paper, fitted, in true size.
 */
void tb_cut_face__zoom(void *face, TbVec2 at, double factor);
void tb_cut_face__pan(void *face, TbVec2 by);
void tb_cut_face__fit(void *face);
void tb_cut_face__true_size(void *face, double ratio);

/** "Brake line", and below it its gap; freed by the caller. */
char *tb_cut_face__item_words(TbCutFace *face, const char *item);

/** A key pressed on the drawing. */
bool tb_cut_face__key(void *user, guint key, GdkModifierType state);

/** Tells the screen reader what is to be seen. */
void tb_cut_face__describe(TbCutFace *face);

/** The plane of a view as the session has it; false where there is none. */
bool tb_cut_face__plane(TbSession *session, TbSceneView view, TbPlane *plane);
