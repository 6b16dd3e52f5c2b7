/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file states.h
 * @brief Which states are judged, what they are made of, and how warm an item is in one.
 *
 * A state is a set of plain states: cold, hot, rocking, at tolerance. Combined states and texts
 * such as "hot+rocking" are sets of more than one. A bay that declares no cold state has one all
 * the same, called "cold".
 */
#pragma once

#include "bay/document.h"

#include <glib.h>

/** Plain states by bit: index in the bay's list, the last bit the cold state nobody declared. */
typedef uint64_t TbStateSet;

/** What a state has beyond cold, in the order in which it is told. */
enum { TB_EFFECT_WARMTH = 1, TB_EFFECT_ROCK = 2, TB_EFFECT_TOLERANCE = 4 };
#define TB_EFFECTS 3

typedef struct TbCondition {
    char *id;   /**< as declared, or as asked */
    char *name; /**< for people */
    TbStateSet set;
    const TbState *hot; /**< the first hot state of the set, lent by the bay; NULL: cold */
    unsigned effects;   /**< TB_EFFECT_... */
    bool rocks;         /**< mounts go through their ranges */
    bool scatters;      /**< at the edge of tolerance */
    char *unjudged;     /**< why it is not judged, or NULL */
} TbCondition;

/**
 * The set a text stands for: ids joined by '+'.
 *
 * @return TB_OK, or TB_E_REFERENCE naming the id and the ids that there are
 */
TbStatus tb_states_set(const TbBay *bay, const char *text, TbStateSet *set, TbFault *fault);

/**
 * What is asked: one state, or with NULL all of the bay.
 *
 * @param[out] conditions of TbCondition, freed with the array
 */
TbStatus
tb_states_asked(const TbBay *bay, const char *text, GPtrArray **conditions, TbFault *fault);

/** The text of what a condition is with some of its effects only: "hot+rocking", or the cold state.
 * Freed by the caller. */
char *tb_states_part(const TbBay *bay, const TbCondition *condition, unsigned effects);

/**
 * The temperature that an item's growth goes by in a condition, degC; NAN where nothing is said
 * (it then keeps its drawn size). The item's own word goes first, then the state's most particular
 * one, then the first.
 */
double tb_states_growth(const TbCondition *condition, const TbItem *item);
