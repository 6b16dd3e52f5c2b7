/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file skin_private.h
 * @brief The surface of one part, cut into cells that are halved on demand.
 *
 * A cell is a piece of the surface: it lies in the hull of up to 8 points, grown by its widening,
 * and carries one point of the surface that was evaluated. The children of a cell cover it.
 */
#pragma once

#include "gaps/field_private.h"

/** rad. An outline's sides may be flat, and lie then in one normal, an axis of the unit shape: what
 * is this near to an axis is cut along its chord instead of by its normals. */
#define TB_FLAT_TURN 1e-9

typedef enum TbCellKind {
    TB_CELL_SKIN,   /**< of a sweep: stations by normals of the unit shape */
    TB_CELL_END,    /**< of a sweep's flat end: share of the radius by normals */
    TB_CELL_FLANK,  /**< of a cone or round edge: share of the length by angle */
    TB_CELL_SECTOR, /**< of a flat circle */
    TB_CELL_FACE,   /**< parallelogram */
    TB_CELL_FLAT,   /**< flat triangle */
    TB_CELL_SPHERE, /**< spherical triangle */
    TB_CELL_BOXES /**< all of the mesh in a box; its point is the box's middle, not the surface's */
} TbCellKind;

typedef struct TbCell {
    TbCellKind kind;
    uint32_t index; /**< strip, end, triangle of a tree's mesh or packed place in the tree */
    double x0, x1;  /**< range along: share 0 to 1 */
    double y0, y1;  /**< share along the chord of an arc that does not turn: a flat side */
    double v0, v1;  /**< range across: rad, or share */
    TbVec3 shape[4];
    double radius[2];
    TbVec3 point[8];
    int points;
    double widening;
    double off; /**< mm that the centre may be off the surface */
    TbVec3 centre;
    TbVec3 normal; /**< of a sweep's cells: outwards at the centre, nearly */
    double reach;  /**< from the centre to any point of the cell, at most */
    double station;
    bool real;             /**< the centre is a point of the surface */
    bool lid;              /**< of a mesh: not of it, but of what would close it */
    uint32_t first, count; /**< children */
} TbCell;

typedef struct TbSkin {
    const TbPart *part;
    TbCell *cell;
    size_t count, room;
    uint32_t roots;  /**< the first so many cells cover the surface */
    size_t covering; /**< the first so many strips cover the sweep */
    TbStrip *strip;
    size_t strips, strip_room;
    TbDisc end[2]; /**< of a sweep */
    bool covers; /**< false: this surface cannot be cut yet (rounded outline that is not convex) */
} TbSkin;

/** @param kept of a sweep. @return TB_OK or TB_E_MEMORY; to be cleared in either case. */
TbStatus tb_skin__of(TbSkin *skin, const TbPart *part, TbKept kept);

void tb_skin__clear(TbSkin *skin);

/** Fill a cell from its ranges and add it. @return TB_OK or TB_E_MEMORY. */
TbStatus tb_skin__add(TbSkin *skin, TbCell *cell);
TbStatus tb_skin__add_strip(TbSkin *skin, const TbStrip *strip);

/** Make a cell's two (a mesh's up to eight) children. */
TbStatus tb_skin__open(TbSkin *skin, uint32_t cell);

/** The cell's hull; its widening is not in it. */
TbConvex tb_skin__hull(const TbCell *cell);
