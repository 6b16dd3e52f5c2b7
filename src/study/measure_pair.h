/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file measure_pair.h
 * @brief Gaps of pairs, computed once and kept in the study's cache: still, or over a motion.
 */
#pragma once

#include "gaps/gap.h"
#include "gaps/moving.h"
#include "study/cache.h"
#include "study/form.h"

/** What several numbers of two items are at once: the same warmth of one item. */
typedef struct TbTies {
    TbMovingTie tie[TB_MOVING_TIES];
    int count;
} TbTies;

typedef struct TbPairAsk {
    const TbEntry *a, *b; /**< forms with solids */
    double keep, want;    /**< mm: the gap is refined until it is decided against both */
    double width;         /**< mm */
    const TbLeaveOut *leave_out;
    size_t leave_count;
    const TbMotion *motion[2]; /**< of a and b against each other; NULL: they stand still */
    const TbTies *ties;        /**< what the motions have in common; NULL: nothing */
    bool uncertified;          /**< what the motions say is not all: nothing is proved */
    TbEntry *still; /**< with motions: the gap of the same two as drawn, settled, where the
                         motions have them so (tb_measure_still()); else NULL */
} TbPairAsk;

/** A key of what a pair's distances depend on as it stands: forms, width, what is left out. */
TbKey *tb_measure_pair_key(const TbPairAsk *ask);

/** The same with the motions and their ties. */
TbKey *tb_measure_motion_key(const TbPairAsk *ask);

/** What is made of an ask reads this, in whatever thread: references and copies. */
typedef struct TbPairInput {
    TbSolid *a, *b;
    double width; /**< mm */
    TbLeaveOut *leave_out;
    size_t leave_count;
    TbMotion *motion[2]; /**< of a and b, or NULL */
    TbTies ties;
} TbPairInput;

void tb_pair_input_init(TbPairInput *input, const TbPairAsk *ask);
void tb_pair_input_clear(TbPairInput *input);

/** What tb_measure_gap() of a motion begins with: the same gap as drawn, which is another state's
 * entry as well. NULL where the two never are as drawn, or do not move. */
TbEntry *tb_measure_still(TbCache *cache, const TbPairAsk *ask, bool *is_new);

/** To the width asked, whatever the keep. The value is a TbMovingGap, which begins with its TbGap.
 */
TbEntry *tb_measure_gap(TbCache *cache, const TbPairAsk *ask, bool *is_new);

/** A settled gap where it decides the level by keep and want, else the same promised as close as
 * can be. */
TbEntry *tb_measure_decided(TbCache *cache, const TbPairAsk *ask, TbEntry *gap, bool *is_new);
