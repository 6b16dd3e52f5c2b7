/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file drag.h
 * @brief Something taken hold of in a cut: from the press to the release, without a widget.
 *
 * A press is a click until the pointer has left the dead zone. From there on every move is an edit
 * of the document at the press, in one undo step; giving up leaves no trace. What is grabbed keeps
 * its distance from the pointer, so that nothing jumps.
 *
 * Places are points of the cut's plane, mm of the bay, u to the right and v up.
 */
#pragma once

#include "app/session.h"
#include "bay/handles.h"
#include "geom/cut.h"

/** mm of paper. Nearer to the press than this a hand did not mean to move: 4 dots. */
#define TB_DRAG_DEAD 1.25

/** mm. Planes and stations are dragged in steps of this, which is also what is shown of them. */
#define TB_DRAG_PLANE_STEP 0.1

typedef enum TbDragKind {
    TB_DRAG_NONE,
    TB_DRAG_PRESS,  /**< on nothing that moves: a click, if anything */
    TB_DRAG_HANDLE, /**< of an item */
    TB_DRAG_PART,   /**< a size of a section row, in the cut across */
    TB_DRAG_PLANE,  /**< another view's plane */
    TB_DRAG_CURSOR  /**< the station along a path */
} TbDragKind;

/** A size of a section as it is dragged: value = from + per_mm * (move along `along`), or for a
 * turn the angle about the centre. */
typedef struct TbPartGrip {
    TbSectionPart part;
    size_t row;
    TbVec2 at;     /**< where its handle is */
    TbVec2 along;  /**< unit: where it moves when the value grows */
    double value;  /**< mm, or deg of a turn */
    double per_mm; /**< of the value for one mm: 2 of a width, 1 of a corner */
} TbPartGrip;

typedef struct TbDrag {
    TbSession *session; /**< lent */
    TbDragKind kind;
    bool begun;   /**< the dead zone is left */
    TbVec2 press; /**< where it began */
    TbPlane plane;
    int group;  /**< of the undo steps; 0: none yet */
    TbBay *bay; /**< at the press */
    char *item, *variant, *port, *what;
    TbHandle handle; /**< as the document has it */
    TbPose pose;     /**< from there to where the drawing shows it: it has grown */
    TbPartGrip grip;
    TbCutAsk moved;  /**< TB_DRAG_PLANE: the plane at the press */
    TbFault refused; /**< why the last move was no edit; text "" when it was one */
} TbDrag;

void tb_drag_init(TbDrag *drag, TbSession *session);
void tb_drag_clear(TbDrag *drag); /**< gives up what runs */

bool tb_drag_is_running(const TbDrag *drag);

/* ---- pressing ---- */

void tb_drag_press(TbDrag *drag, TbVec2 at);

/** @p number of the item's handles, see tb_bay_handles(); false when there is none such. */
bool tb_drag_press_handle(TbDrag *drag, const char *item, size_t number, TbPlane plane, TbVec2 at);

void tb_drag_press_part(TbDrag *drag, const char *duct, TbPartGrip grip, TbVec2 at);

void tb_drag_press_plane(TbDrag *drag, TbSceneView moved, TbPlane plane, TbVec2 at);

void tb_drag_press_cursor(TbDrag *drag, TbVec2 at);

/* ---- moving ---- */

/**
 * The pointer is at a place.
 *
 * @param ratio    mm of paper for one of the bay
 * @param one_axis along u or v only, whichever is the further
 * @param scene    TB_DRAG_CURSOR: where the path is; else not looked at
 * @return true when something changed, or was refused
 */
bool tb_drag_move(TbDrag *drag, TbVec2 at, double ratio, bool one_axis, const TbScene *scene);

/** The end. @return true when it was a click: nothing had moved */
bool tb_drag_release(TbDrag *drag);

/** Everything as at the press. */
void tb_drag_cancel(TbDrag *drag);

/* ---- the same by keys ---- */

/** Move a handle by mm of the cut's plane; an undo step of its own, or one with the steps of the
 * same handle before it. */
bool tb_drag_nudge(TbSession *session,
                   const char *item,
                   size_t number,
                   TbPlane plane,
                   TbVec2 by,
                   int group,
                   TbFault *fault);

/** The same for a size of a section. */
bool tb_drag_nudge_part(TbSession *session,
                        const char *duct,
                        const TbPartGrip *grip,
                        TbVec2 by,
                        int group,
                        TbFault *fault);

/* ---- arithmetic ---- */

/** Only the larger of both parts of a way. */
TbVec2 tb_drag_one_axis(TbVec2 by);

/** Where a handle goes when its projection moves by mm of the cut's plane. One that slides moves
 * along its direction; where that runs into the paper it stays. */
TbVec3 tb_drag_target(const TbHandle *handle, TbPlane plane, TbVec2 by);

/** The same for a handle of an item that is drawn grown: where the document has it go. */
TbVec3 tb_drag_target_in(TbPose pose, const TbHandle *handle, TbPlane plane, TbVec2 by);

/** A handle where the drawing shows it. */
TbHandle tb_drag_shown_handle(TbPose pose, const TbHandle *handle);

/** The value of a section's part when its handle is moved. */
double tb_drag_part_value(const TbPartGrip *grip, TbVec2 press, TbVec2 at);

/** A value on a step, so that what is shown is what is set. */
double tb_drag_stepped(double value);

/** The station of a path's shown centre line that is nearest to a place; NAN when none is shown. */
double tb_drag_station(const TbScene *scene, const char *item, TbVec2 at);

/** "knot 3", "low face": what a handle is called; freed by the caller. */
char *tb_drag_handle_name(const TbHandle *handle);
