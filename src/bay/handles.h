/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file handles.h
 * @brief What of an item can be taken hold of, where that is, and the edit that a new place means.
 *
 * Places are in the bay's axes at rest and cold, in one variant (NULL: the document as it stands):
 * the shift of the item's mount, the port it stands on, a swap and a mirror are all in them. A drag
 * goes the other way: it finds what to write into the document so that the handle lands where the
 * person let it go. What ends on a moved port or turbo follows by itself (ports.h).
 *
 * A handle with a `direction` slides along it (a face, a radius, a station) or turns with it (a
 * shaft, a flow, a housing, a block, bolts); one without is free in space.
 */
#pragma once

#include "bay/ports.h"

typedef enum TbHandleKind {
    TB_HANDLE_ITEM,           /**< the whole item, at a place in its middle; a path has one from
                                   two own knots on */
    TB_HANDLE_KNOT,           /**< index: of the item's own knots or corners */
    TB_HANDLE_TANGENT,        /**< index 0 start, 1 end: an end's direction, where it is given */
    TB_HANDLE_SECTION,        /**< index: section row; slides along the path */
    TB_HANDLE_PORT,           /**< id: a port it owns or ends on */
    TB_HANDLE_FLOW,           /**< id: that port's direction */
    TB_HANDLE_SHAFT,          /**< direction of a turbo's shaft */
    TB_HANDLE_HOUSING,        /**< index: TbHousingPart; turns about the shaft */
    TB_HANDLE_BLOCK_FACE,     /**< index: 2 axis + 1 for the high side; slides */
    TB_HANDLE_BLOCK_CORNER,   /**< index: bit k is set where it is high along the block's axis k */
    TB_HANDLE_ROD_END,        /**< index 0: a, 1: b */
    TB_HANDLE_ROD_RADIUS,     /**< index: 2 end + k; k two directions square to the rod; slides */
    TB_HANDLE_BALL_RADIUS,    /**< index: along X, Y, Z of its axes; slides */
    TB_HANDLE_OUTLINE_CORNER, /**< index: of the outline's corners; stays in its plane */
    TB_HANDLE_OUTLINE_DEPTH,  /**< slides square to the plane */
    TB_HANDLE_TURN,           /**< index: of a block the axis it turns about, through its middle; of
                                   a rod one of two square to it, its length stays; of an outline 0,
                                   square to its plane */
    TB_HANDLE_BOLTS,          /**< id: a port it owns or ends on; the bolt pattern's turn */
    TB_HANDLE_CLAMP           /**< id: a joint at such a port, index: bolt box; where it points */
} TbHandleKind;

typedef struct TbHandle {
    TbHandleKind kind;
    size_t index;
    const char *id;   /**< of a port or joint; lent by the document; else NULL */
    TbVec3 point;     /**< mm, bay axes */
    TbVec3 direction; /**< unit, bay axes; 0 0 0: free */
    double size;      /**< what it sets: radius, depth, length of a block's side, station mm; turn
                           of a housing, bolts, a clamp deg; else 0 */
    TbVec3 axis;      /**< unit, bay axes: what a turn goes about; 0 0 0: it is none. A housing's is
                           the shaft */
} TbHandle;

/** mm. How far in front of its point the tip of a direction is shown and dragged. */
#define TB_HANDLE_REACH 40.0

/** mm. Dragged places are rounded to this in the item's own axes, so that a file that was drawn by
 * hand stays readable: a micrometre, a hundredth of what a height gauge shows. */
#define TB_DRAG_STEP 1e-3

/** No unit. The same for the three numbers of a unit direction: 0.0006 degrees. */
#define TB_DRAG_STEP_DIRECTION 1e-5

/** deg. The same for turns. */
#define TB_DRAG_STEP_ANGLE 0.01

/** mm. A drag leaves a size or the way between two section rows this large at least. */
#define TB_DRAG_LEAST 0.1

/**
 * The handles of an item.
 *
 * @param[out] handles to be given to tb_free(); NULL where there are none (the item is hidden in
 *                     the variant, or spare)
 * @param[out] count   how many
 * @return TB_OK, TB_E_REFERENCE (no such item or variant), TB_E_DEGENERATE, TB_E_MEMORY
 */
TbStatus tb_bay_handles(const TbBay *bay,
                        const char *variant,
                        const char *item,
                        TbHandle **handles,
                        size_t *count,
                        TbFault *fault);

/**
 * The document with a handle put to a new place. Give it the document and the handle of the drag's
 * start each time; only `kind`, `index` and `id` of the handle are read.
 *
 * Sizes stay above TB_DRAG_LEAST, a section row between its neighbours. A whole item takes the
 * ports it owns along, as tb_edit_move_item() does.
 *
 * @param to mm, bay axes; a sliding handle takes the part along its direction
 * @return as edit.h says; TB_E_DEGENERATE also where a direction has no length
 */
TbStatus tb_edit_drag_handle(const TbBay *bay,
                             const char *variant,
                             const char *item,
                             const TbHandle *handle,
                             TbVec3 to,
                             TbBay **out,
                             TbFault *fault);

/** What of a section row is dragged in the cut across the path. */
typedef enum TbSectionPart {
    TB_SECTION_PART_WIDTH,  /**< mm, of four half-extents the two sides in step */
    TB_SECTION_PART_HEIGHT, /**< mm */
    TB_SECTION_PART_RIGHT,  /**< mm, one half-extent; of a symmetric row both */
    TB_SECTION_PART_LEFT,
    TB_SECTION_PART_UP,
    TB_SECTION_PART_DOWN,
    TB_SECTION_PART_TURN,     /**< deg */
    TB_SECTION_PART_CORNER,   /**< mm, all corner radii, of four in step */
    TB_SECTION_PART_EXPONENT, /**< of a superellipse */
    TB_SECTION_PART_STATION   /**< mm from where the row counts, between its neighbours */
} TbSectionPart;

/**
 * One number of a section row. Corner radii that fill their side (a stadium, a circle) go on
 * filling it, others are made to fit.
 *
 * @param variant where the duct is mirrored, right and left and the turn's sign are those seen
 */
TbStatus tb_edit_drag_section(const TbBay *bay,
                              const char *variant,
                              const char *duct,
                              size_t row,
                              TbSectionPart part,
                              double value,
                              TbBay **out,
                              TbFault *fault);
