/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file measure.h
 * @brief Distances and angles between what is picked on the cuts; nothing in the document changes.
 *
 * Two picks make a measure: point and point, point and edge, edge and edge, item and item. Places
 * are mm in the bay's axes as they stand in what is shown. Gaps of items are certified intervals,
 * which come from the study's results.
 */
#pragma once

#include "base/length.h"
#include "geom/cut.h"
#include "study/results.h"

#include <glib.h>

typedef enum TbPickKind { TB_PICK_POINT, TB_PICK_EDGE, TB_PICK_ITEM } TbPickKind;

typedef struct TbPick {
    TbPickKind kind;
    TbVec3 at;    /**< where it was picked */
    TbVec3 along; /**< unit, of an edge */
    char *item;   /**< id, or NULL */
    char *label;  /**< what it is, in words */
} TbPick;

typedef struct TbMeasuring {
    TbPick picks[2];
    int count;
    TbPlane plane; /**< of the view that the last pick was made on */
    TbVec3 aim;    /**< where the second pick would be, while there is one */
    bool has_aim;
} TbMeasuring;

TbMeasuring *tb_measuring_new(void);
void tb_measuring_free(TbMeasuring *measuring); /**< NULL is fine */
void tb_measuring_clear(TbMeasuring *measuring);

/** One pick more; a third begins anew. Copies the texts. */
void tb_measuring_pick(TbMeasuring *measuring, TbPlane plane, const TbPick *pick);

/** Where the next pick would be. */
void tb_measuring_aim(TbMeasuring *measuring, TbPlane plane, TbVec3 at);

/** True when two items are picked: their gap is wanted. */
bool tb_measuring_wants_gap(const TbMeasuring *measuring);

/** The gap of two items in a state and variant (NULL: the first there is), or NULL. Lent. */
const TbResultGap *tb_measuring_gap(
    const TbResults *results, const char *a, const char *b, const char *state, const char *variant);

/** A measure as it is drawn and told. */
typedef struct TbMeasured {
    bool is;
    TbVec3 a, b;    /**< between which it counts */
    char label[64]; /**< beside the dimension: "312.4", "62.5°" */
    char text[400]; /**< the sentence that is shown and copied */
} TbMeasured;

/**
 * What is measured so far; with one pick, from there to what is aimed at.
 *
 * @param gap of two picked items, or NULL where it is not known
 */
TbMeasured
tb_measuring_tell(const TbMeasuring *measuring, const TbResultGap *gap, TbLengthUnit unit);

/** What to do next. Lent, translated. */
const char *tb_measuring_hint(const TbMeasuring *measuring);
