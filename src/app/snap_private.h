/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file snap_private.h
 * @brief The index of a drawing's outlines, for snap.c.
 */
#pragma once

#include "app/snap.h"

#include <stdbool.h>
#include <stdint.h>

/** A piece of an outline, or a single place (a and b the same). */
typedef struct TbSnapPiece {
    TbVec2 a, b;
    uint32_t owner;  /**< of the index's owners */
    bool closed;     /**< the piece before and the one after are there, also around the ends */
    bool is_place;   /**< an end of a gap: a point, not an edge */
    uint32_t before; /**< piece that ends at a; itself where there is none */
    double height;   /**< of a place, mm above the plane */
    bool on_plane;   /**< of a cut, not of a silhouette */
} TbSnapPiece;

/** Called for each piece whose box is near. */
typedef void TbSnapVisit(void *user, const TbSnapIndex *index, const TbSnapPiece *piece);

/** Visits every piece whose box comes within @p radius of a point, mm of the bay. */
void tb_snap_index__near(
    const TbSnapIndex *index, TbVec2 at, double radius, TbSnapVisit *visit, void *user);

const TbSnapPiece *tb_snap_index__piece(const TbSnapIndex *index, uint32_t k);
const char *tb_snap_index__tag(const TbSnapIndex *index, uint32_t owner);
/** Name of an item, or what a gap's end is, in words. */
const char *tb_snap_index__label(const TbSnapIndex *index, uint32_t owner);
