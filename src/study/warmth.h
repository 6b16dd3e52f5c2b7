/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file warmth.h
 * @brief How items go from drawn to hot: how much each grows, and what carries it along.
 *
 * Every item is anywhere between cold and hot, whatever the others are: parts warm at different
 * times. What stands on a port, or has a path that ends on ports, goes with the ports' owners and
 * keeps its joints: its own growth is about the port, or along its path (sweep.h, drifted). A port
 * without an owner stays where it is, for a mount has no growth of its own.
 */
#pragma once

#include "study/measure_pair.h"
#include "study/moves.h"

/** An end of an item that another one carries. */
typedef struct TbCarry {
    const char *by; /**< id of the item that does; NULL: nothing moves it */
    TbVec3 shift;   /**< mm, when that is hot */
} TbCarry;

/** What warmth does to one item in a state. */
typedef struct TbWarming {
    bool unknown;     /**< it is warm, but nothing says how much it expands */
    bool follows;     /**< a path between two ports */
    bool chained;     /**< what carries it is carried itself: told as if that went with its own
                           warmth alone, so it is not certified */
    double factor;    /**< 1 + how much it grows, at its hottest */
    TbVec3 about;     /**< where it grows from; of a path that follows the middle of its chord */
    TbCarry carry[2]; /**< of a path that follows its start and end; else the first of the whole */
} TbWarming;

/** Of an item that is there, in its stand's state. */
TbWarming tb_warmth_of(const TbStand *stand, size_t item);

/** Nothing of it changes. */
bool tb_warming_is_none(const TbWarming *warming);

/** Where it puts an item when hot; of a path that follows about where, its ends' mean shift. */
TbPose tb_warming_pose(const TbWarming *warming);

/** Where a hot port is. @param place as drawn */
TbVec3 tb_warmth_port(const TbStand *stand, const char *port, TbVec3 place);

/**
 * Adds the warmth of both items, within all that moves them.
 *
 * @param[in,out] move of a and of b
 * @param[out] ties  what they have in common
 * @return TB_OK; TB_E_LIMIT with the item named
 */
TbStatus tb_warmth_moves(
    const TbStand *stand, size_t a, size_t b, TbMove move[2], TbTies *ties, TbFault *fault);
