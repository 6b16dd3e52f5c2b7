/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file sketch.h
 * @brief An obstacle or a line while it is drawn on the cuts: what is set, what is aimed at, what
 *        it would be in the document.
 *
 * Everything is first aimed at (by the pointer, by typed numbers, by a point that is computed
 * elsewhere) and then set. A point aimed at on one view has two coordinates from there; the third
 * is the plane's for the first point, and for every further one that of the point before, unless
 * the plane was moved in between: then the plane's again. A point on a port has all three from it.
 *
 * Nothing here touches a document: tb_sketch_bay() makes the one that would be, and undo hears of
 * it when it is done. Points are mm in the bay's axes as the shown variant has them.
 */
#pragma once

#include "base/quantity.h"
#include "bay/document.h"
#include "geom/cut.h"

#include <glib.h>

typedef enum TbTool {
    TB_TOOL_NONE,
    TB_TOOL_BLOCK,
    TB_TOOL_ROD,
    TB_TOOL_OUTLINE,
    TB_TOOL_BALL,
    TB_TOOL_LINE,
    TB_TOOL_KNOTS, /**< more knots for a duct or line that is there */
    TB_TOOL_MEASURE
} TbTool;
enum { TB_TOOL_COUNT = 8 };

/** mm. A side, a length, a radius is at least this: finer is a slip of the hand. */
#define TB_SKETCH_LEAST 0.1

/** mm. What is written is rounded to this, so that a file drawn by hand stays readable: ten times
 * finer than a height gauge shows. */
#define TB_SKETCH_STEP 1e-3

typedef enum TbSketchStage {
    TB_SKETCH_POINTS, /**< the next point is aimed at */
    TB_SKETCH_SIZE,   /**< rod, ball: the radius is aimed at */
    TB_SKETCH_DEPTH   /**< block, outline: complete; its reach square to the view may be aimed at */
} TbSketchStage;

typedef struct TbSketchPoint {
    TbVec3 at;
    char *port; /**< id of the port it lies on, or NULL */
} TbSketchPoint;

/** What is asked beside the shape, and remembered for the next one. */
typedef struct TbSketchFacts {
    char *name;  /**< or NULL: "Block 2" */
    char *klass; /**< of shapes; a line's is that of its role */
    char *mount;
    int known; /**< TbKnownBy */
    double uncertainty;
    char *datum;     /**< or NULL */
    char *date;      /**< YYYY-MM-DD, or NULL */
    int role;        /**< TbLineRole */
    double diameter; /**< mm, of lines */
    bool bent;       /**< of lines: straights and bends, not a smooth curve */
    double bend;     /**< mm, radius of those bends */
    double radius;   /**< mm, of rods and balls */
    double depth;    /**< mm, of blocks and outlines */
} TbSketchFacts;

/** Where the pointer or typed numbers mean to be. */
typedef struct TbSketchAim {
    bool is;         /**< the rest holds */
    TbPlane plane;   /**< of the view */
    TbVec2 on_paper; /**< mm */
    TbVec3 at;
    char *port;      /**< or NULL */
    double radius;   /**< while a size is aimed at */
    double from, to; /**< while a depth is aimed at */
    bool
        square_on; /**< the view shows what is aimed at: a depth needs another one than the shape */
} TbSketchAim;

/** Read it; change it by the functions below, facts excepted. */
typedef struct TbSketch {
    TbTool tool;
    TbSketchStage stage;
    GArray *points;     /**< of TbSketchPoint */
    TbPlane plane;      /**< that the first point was set on */
    TbPlane last_plane; /**< that the last point was set on */
    double from, to;    /**< mm over `plane`, of blocks and outlines */
    TbSketchAim aim;
    TbVec2 pointer; /**< where the pointer was, on the aim's plane; what a bare length follows */
    char *id;       /**< of the new item, see tb_sketch_choose_id(); or NULL */
    char *item;     /**< TB_TOOL_KNOTS: the duct or line */
    TbSketchFacts facts;
} TbSketch;

TbSketch *tb_sketch_new(void);
void tb_sketch_free(TbSketch *sketch); /**< NULL is fine */

/** Another tool, or the same one again: nothing is set yet. The facts stay. */
void tb_sketch_begin(TbSketch *sketch, TbTool tool);

/** The facts as a dictionary for the program's settings (floating), and back: what is not there or
 * out of range stays as it is. Name, mount, datum and date are each bay's own. */
GVariant *tb_sketch_remember(const TbSketchFacts *facts);
void tb_sketch_recall(TbSketchFacts *facts, GVariant *remembered);

/** True when a point is set that Escape would drop. */
bool tb_sketch_is_begun(const TbSketch *sketch);

/** The word for an item's class. Lent. */
const char *tb_sketch_class(const TbSketch *sketch);

/* ---- aiming ---- */

/**
 * The pointer is at a point of a view's plane.
 *
 * @param pointer where it is, and @p snapped where that means to be
 * @param port    id of the port it snapped to, @p port_height mm above the plane; or NULL
 */
void tb_sketch_aim(TbSketch *sketch,
                   TbPlane plane,
                   TbVec2 pointer,
                   TbVec2 snapped,
                   const char *port,
                   double port_height);

/** A point in space, computed elsewhere (by three distances). */
void tb_sketch_aim_point(TbSketch *sketch, TbPlane plane, TbVec3 at);

/** The pointer has left. */
void tb_sketch_aim_away(TbSketch *sketch);

/**
 * Typed numbers, on the view whose plane is given:
 *
 *     120          that far towards the pointer; a diameter; a depth
 *     120 x 40     so wide and so high, towards the pointer
 *     120, 40      a step along the view's two axes
 *     120 @ 30     that far at an angle, counter-clockwise from the right
 *     = 1240, 630  a place in the view's two axes; with three numbers: X, Y, Z
 *
 * Numbers are parted by ';' or by a comma with a space; each may have a unit (base/length.h).
 *
 * @return TB_OK, TB_E_FORMAT (with how to write it), TB_E_RANGE (too small, too large)
 */
TbStatus tb_sketch_aim_typed(
    TbSketch *sketch, TbPlane plane, const char *text, TbLengthUnit unit, TbFault *fault);

/* ---- setting ---- */

typedef enum TbSketchStep {
    TB_SKETCH_REFUSED, /**< the fault says why */
    TB_SKETCH_MORE,    /**< set; more may follow */
    TB_SKETCH_DONE     /**< complete: take tb_sketch_bay() */
} TbSketchStep;

/** Set what is aimed at. A line or outline is done when its last point is set again, an outline
 * closes on its first one, a block or outline is done by a point in its own view. */
TbSketchStep tb_sketch_set(TbSketch *sketch, TbFault *fault);

/** Done as it stands, without what is aimed at. */
TbSketchStep tb_sketch_finish(TbSketch *sketch, TbFault *fault);

/** Take back the last point or stage; false when there is none. */
bool tb_sketch_back(TbSketch *sketch);

/** Which of the set points lies within @p radius mm of a point on a plane, or -1. */
int tb_sketch_point_at(const TbSketch *sketch, TbPlane plane, TbVec2 at, double radius);

/** Move a set point on a view; what it has square to that view stays. */
void tb_sketch_move_point(TbSketch *sketch, int index, TbPlane plane, TbVec2 to);

/* ---- what it would be ---- */

/**
 * The document with what is drawn, as far as it can be told with what is aimed at; after
 * TB_SKETCH_DONE without it.
 *
 * @param variant that is shown; NULL: the document as it stands
 * @param[out] out a reference for the caller
 * @return TB_OK; TB_E_DEGENERATE when there is no shape yet; as tb_edit_add()
 */
TbStatus
tb_sketch_bay(TbSketch *sketch, const TbBay *bay, const char *variant, TbBay **out, TbFault *fault);

/** Give what will be drawn an id that the document does not have, and so its number:
 * tb_sketch_bay() does the same. */
void tb_sketch_choose_id(TbSketch *sketch, const TbBay *bay);

/** "draw Block 2", translated; freed with g_free(). */
char *tb_sketch_act(const TbSketch *sketch, const TbBay *bay);

/** "Block 2": the name it gets. Freed with g_free(). */
char *tb_sketch_name(const TbSketch *sketch);

/* ---- what is shown of it ---- */

typedef struct TbSketchStroke {
    TbVec2 a, b; /**< mm on a view's plane */
} TbSketchStroke;

/** The rubber band on a view; of TbSketchStroke. Freed with g_array_unref(). */
GArray *tb_sketch_strokes(const TbSketch *sketch, TbPlane plane);

typedef struct TbSketchSize {
    TbVec2 a, b;   /**< between which it counts, mm on a view's plane */
    TbVec2 inside; /**< its words stand on the other side of it */
    char text[64]; /**< "120.0", "Ø 40.0", "120.0 at 30.0°" */
} TbSketchSize;

/** Live sizes on a view; of TbSketchSize. Freed with g_array_unref(). */
GArray *tb_sketch_sizes(const TbSketch *sketch, TbPlane plane, TbLengthUnit unit);

/** Sizes in one sentence: "120.0 x 40.0 x 60.0 mm"; "" while there is none. Freed with g_free(). */
char *tb_sketch_says(const TbSketch *sketch, TbLengthUnit unit);

/** What to do next, and what may be typed. Lent, translated. */
const char *tb_sketch_hint(const TbSketch *sketch);

/** True for the tools that draw a new item. */
bool tb_tool_draws(TbTool tool);

/** Name of a tool, as on its button. Lent, translated. */
const char *tb_tool_name(TbTool tool);
