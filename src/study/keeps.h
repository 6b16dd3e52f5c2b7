/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file keeps.h
 * @brief Which pairs of items are judged in a state, with which keep, and where they are left out.
 *
 * Every two items that a keep speaks of are a pair; an item is no pair with itself. Of several
 * keeps the one that names more items goes, then the first in the file. A keep speaks of a state
 * by its value for it; without one, by its largest value for a state that includes this one, for
 * what must hold through all of "hot+rocking" must hold in "hot" as well.
 */
#pragma once

#include "gaps/gap.h"
#include "study/results.h"
#include "study/stand.h"

typedef struct TbPair {
    size_t a, b;            /**< items of the stand */
    const TbKeep *keep;     /**< lent by the bay */
    double gap;             /**< mm, what must be kept */
    const char *keep_state; /**< the keep's state that the value is from, lent */
    double want;           /**< mm: above the keep by less is `watch`; the larger of the next two */
    double margin;         /**< mm, the keep's */
    double uncertainty;    /**< mm, of both items, root of the sum of squares */
    TbLeaveOut *leave_out; /**< in the state's place */
    TbLeaveOut *leave_rest;  /**< the same, as drawn */
    const char **leave_port; /**< their ports, lent */
    size_t leave_count;
} TbPair;

/**
 * The pairs of a settled stand, in the document's order.
 *
 * @return array of TbPair, freed with it; never NULL
 */
GPtrArray *tb_keeps_pairs(const TbStand *stand);

/** True where a keep has a value for the stand's state, or where the bay has no keeps at all. */
bool tb_keeps_speak(const TbStand *stand);

/** How well an item is known, mm (95 %); 0 where nothing is said. */
double tb_keeps_uncertainty(const TbItem *item);

/**
 * The level of a gap.
 *
 * @param[out] reason a sentence where it is open, else ""
 */
TbLevel tb_keeps_level(const TbGap *gap, double keep, double want, const char **reason);
