/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moves.h
 * @brief How two items of a stand move against each other in a state that rocks.
 *
 * An item moves with its mount, that with the mount it rides on, and so on; what both have in
 * common moves neither against the other. Every mount's six ranges are free at once.
 */
#pragma once

#include "motion/motion.h"
#include "study/stand.h"

/** One item's motion, and whose freedoms it is made of. */
typedef struct TbMove {
    TbMotion motion;
    const char *mount[TB_MOTION_MOST];   /**< id, lent by the bay */
    const char *freedom[TB_MOTION_MOST]; /**< rx, ry, rz, tx, ty, tz */
    const char *warm[TB_MOTION_MOST];    /**< id of the item whose warmth a number is, else NULL */
    bool backwards[TB_MOTION_MOST];      /**< its low end is the hot one */
    bool chained; /**< not certified: what carries an end is carried itself (warmth.h) */
} TbMove;

/** Mounts of an item's start and end: those of the ports that a path ends on, a line's own word, or
 * the item's one; ids lent by the bay. */
void tb_moves_ends(const TbStand *stand, size_t item, const char *mount[2]);

/** Mounts that may move against each other: one of those that only one rides on has a range. */
bool tb_moves_apart(const TbStand *stand, const char *mount, const char *other);

/** Of what rides on a mount, against the vehicle. @return as tb_moves_of() */
TbStatus tb_moves_on(const TbStand *stand, const char *mount, TbMove *move, TbFault *fault);

/** Of one item against the vehicle: all mounts that its start rides on. @return as tb_moves_of() */
TbStatus tb_moves_alone(const TbStand *stand, size_t item, TbMove *move, TbFault *fault);

/** Mounts on mounts at most; the reader refuses circles, this stops them too. */
#define TB_MOVES_DEEP 16

/** Mounts that one item rides on and the other does not, what it rides on first; lent by the bay.
 */
typedef struct TbMoveMounts {
    const TbMount *mount[2][4 * TB_MOVES_DEEP];
    size_t count[2];
} TbMoveMounts;

/**
 * Of a pair; at every end, where an item rides on two mounts: all of them then stand with the one
 * that does (with a, where both do).
 */
void tb_moves_mounts(const TbStand *stand, size_t a, size_t b, TbMoveMounts *mounts);

/** All mounts that either item rides on at either end, less those that are common to all; as one
 * row of freedoms. @return as tb_moves_of() */
TbStatus tb_moves_all(const TbStand *stand, size_t a, size_t b, TbMove *move, TbFault *fault);

/**
 * Of two items that keep their shapes.
 *
 * @param[out] move of a and of b; no freedoms where the two do not move against each other
 * @return TB_OK; TB_E_RANGE, TB_E_LIMIT: ranges that cannot be judged; the fault names the mount
 */
TbStatus tb_moves_of(const TbStand *stand, size_t a, size_t b, TbMove move[2], TbFault *fault);
