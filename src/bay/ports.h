/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ports.h
 * @brief Where things are: ports follow their owners, items and path ends follow their ports.
 *
 * Everything here is at rest and cold, in the bay's axes, in one variant. A NULL variant is the
 * document as it stands. Motion and growth come after, per mount and item, in study.
 *
 * In a variant: a shifted mount takes its items, its child mounts and its ports along; a swapped
 * item gives its place to another, and its ports too; a mirrored item or port has Y turned to -Y.
 */
#pragma once

#include "bay/document.h"
#include "geom/pose.h"

typedef struct TbPortPlace {
    TbVec3 point;      /**< mm, bay axes */
    TbVec3 flow, up;   /**< unit, square to each other */
    const char *mount; /**< id of the mount it rides on; lent by the document; NULL: the vehicle */
} TbPortPlace;

/** A port's place as a pose: x = flow, z = up, y = z x x. */
TbPose tb_port_pose(TbPortPlace place);

/**
 * A port in the bay's axes.
 *
 * @return TB_OK; TB_E_REFERENCE (no such port, owner, variant; ports that follow each other in a
 *         circle, with their ids); TB_E_DEGENERATE (up along the flow, a direction of zero)
 */
TbStatus tb_bay_port_place(
    const TbBay *bay, const char *variant, const char *port, TbPortPlace *place, TbFault *fault);

/**
 * What stands for an item in a variant: itself, the one swapped in, or its mirror image.
 *
 * @return lent by the document; NULL where it is hidden, or a spare that is not asked for. The
 *         record's node id is the same each time
 */
const TbItem *tb_bay_item_in(const TbBay *bay, const char *variant, const char *id);

/**
 * From an item's own axes to the bay's: the port it stands on and the shift of its mount. The item
 * itself is the one of tb_bay_item_in(), so that a mirrored item has proper axes.
 */
TbStatus tb_bay_item_pose(
    const TbBay *bay, const char *variant, const char *item, TbPose *pose, TbFault *fault);

/**
 * From a turbo's housing axes (its turn included) to the bay's; @p housing -1 is the turbo's own.
 */
TbStatus tb_bay_turbo_pose(const TbBay *bay,
                           const char *variant,
                           const char *turbo,
                           int housing,
                           TbPose *pose,
                           TbFault *fault);

/** A duct's or line's path in the bay's axes, its ends put on their ports. */
typedef struct TbPlacedPath {
    int kind;                          /**< TbPathKind */
    TbVec3 *knots;                     /**< mm */
    double *radii;                     /**< mm, 0 where not given */
    size_t count;                      /**< of both, 2 or more */
    bool has_start, has_end;           /**< the two below hold */
    TbVec3 start_tangent, end_tangent; /**< unit, along the path */
    bool has_start_up;                 /**< the start has a port */
    TbVec3 start_up; /**< unit, zero of the sections' turn: the start port's up; without a port
                          vehicle +Z, or -X where the path starts within 18 deg of vertical */
} TbPlacedPath;

/** @return TB_OK, or as tb_bay_port_place(); TB_E_DEGENERATE with fewer than two knots */
TbStatus tb_bay_path(
    const TbBay *bay, const char *variant, const char *item, TbPlacedPath *path, TbFault *fault);

/** Frees the arrays; the struct may be used again. */
void tb_placed_path_clear(TbPlacedPath *path);

/** Shift of a mount in a variant, mm: its own and those of the mounts it rides on. */
TbVec3 tb_bay_mount_shift(const TbBay *bay, const char *variant, const char *mount);

/** The mirror image of an item (y to -y in its own axes), made once and lent; NULL: no room. */
const TbItem *tb_item_mirrored(const TbItem *item);
