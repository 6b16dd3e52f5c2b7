/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file snap.h
 * @brief Where a pointer on a cut means to be: on a point, an edge, an angle or the grid.
 *
 * Of what lies within TB_SNAP_RADIUS of the pointer the nearest point goes first, then the place
 * where an edge meets an angle, then the nearest edge, then an angle from the last point; the grid
 * is always there. All in mm of the bay on a view's plane (u to the right, v up); radii are mm of
 * paper, so that a hand needs the same care at every zoom.
 *
 * An index of a drawing's outlines is made once for a scene (scenes are immutable) in a time that
 * grows with their points, and asked in the logarithm of it.
 */
#pragma once

#include "base/quantity.h"
#include "study/scene.h"

/** mm of paper. How far a pointer may be off: 8 dots, a third of what a finger needs. */
#define TB_SNAP_RADIUS 2.5

/** mm of paper. The grid's steps are at least so far apart: below, hands miss them. */
#define TB_SNAP_STEP 2.0

/** mm of paper. A corner's legs are at least so long: the outline of a scan has a corner at every
 * triangle, and nobody means those. */
#define TB_SNAP_LEG 1.2

/** deg. A corner turns at least so far: the chords of a curve turn by less. */
#define TB_SNAP_CORNER 24.0

/** deg. Angles from the last point are multiples of this. */
#define TB_SNAP_ANGLE_STEP 15.0

/** Room for what was snapped to, in words. */
enum { TB_SNAP_LABEL = 120 };

typedef enum TbSnapKind {
    TB_SNAP_NONE, /**< switched off: the pointer itself */
    TB_SNAP_GRID,
    TB_SNAP_ANGLE,
    TB_SNAP_EDGE,
    TB_SNAP_CROSSING, /**< of an edge and an angle */
    TB_SNAP_POINT
} TbSnapKind;

/** A place worth hitting that no outline shows: a port, a knot, a corner of one's own. */
typedef struct TbSnapPoint {
    TbVec3 at;   /**< mm, bay axes */
    char *label; /**< "port Drain", translated */
    char *item;  /**< id of the item it belongs to, or NULL */
    char *port;  /**< id of the port it is, or NULL */
} TbSnapPoint;

typedef struct TbSnapIndex TbSnapIndex;

/**
 * @param scene   referenced
 * @param without tag of an item that is not snapped to (what is being drawn), or NULL
 */
TbSnapIndex *tb_snap_index_new(TbScene *scene, const char *without);
void tb_snap_index_free(TbSnapIndex *index); /**< NULL is fine */
const TbScene *tb_snap_index_scene(const TbSnapIndex *index);

/** How many outline pieces it holds. */
size_t tb_snap_index_count(const TbSnapIndex *index);

typedef struct TbSnapAsk {
    const TbSnapIndex *index; /**< or NULL */
    TbPlane plane;            /**< that the points are shown on */
    double ratio;             /**< mm of paper for one of the bay, above 0 (asserted) */
    TbLengthUnit unit;        /**< that the grid is round in */
    const TbSnapPoint *points;
    size_t point_count;
    bool has_last; /**< angles count from `last` */
    TbVec2 last;
    bool off; /**< no snapping at all */
} TbSnapAsk;

typedef struct TbSnap {
    TbSnapKind kind;
    TbVec2 at;
    double height;    /**< mm above the plane of what was hit; NAN where that says nothing */
    TbVec2 along;     /**< unit, of an edge or angle; else 0 */
    const char *item; /**< id of what was hit; lent by the index or the points; NULL: none */
    const char *port; /**< id; lent by the points; NULL: none */
    char label[TB_SNAP_LABEL]; /**< "corner of Frame rail", "grid 5 mm", "30°"; translated */
} TbSnap;

void tb_snap(const TbSnapAsk *ask, TbVec2 pointer, TbSnap *snap);

/** The grid's step at a ratio, mm: 1, 2 or 5 times a power of ten of the unit; 0.1 mm, 0.005 in or
 * more. */
double tb_snap_step(double ratio, TbLengthUnit unit);

/** Which item's cut lies under a point (the smallest one), or its silhouette; NULL: none. Lent. */
const char *tb_snap_item_at(const TbSnapIndex *index, TbVec2 at);
