/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * file stand.h
 * brief The bay as it stands in one variant and one state: which items are there, and where.
 */
#pragma once

#include "bay/catalogue.h"
#include "study/form.h"
#include "study/results.h"
#include "study/shape.h"
#include "study/states.h"

/** One item's place in the document, and what stands there. Everything is lent. */
typedef struct TbPlaced {
    const char *id;      /**< of the place, the same in all variants */
    const TbItem *item;  /**< what stands there; NULL: hidden, or a spare nobody asked for */
    TbEntry *drawn;      /**< form as drawn; NULL without an item */
    TbEntry *entry;      /**< form in the state */
    bool unknown_growth; /**< it is warm, but nothing says how much it expands */
    bool follows;        /**< warm, a path between ports: it keeps its joints (warmth.h) */
} TbPlaced;

typedef struct TbStand {
    const TbBay *bay;
    const TbCatalogue *catalogue;
    const char *variant;    /**< id or NULL */
    const char *variant_id; /**< id or "" */
    const TbCondition *condition;
    const TbResultGap *pose; /**< lent: at whose numbers things stand (posed.h); NULL: at rest, and
                                  as hot as the state makes them */
    const TbCondition *keeps_of; /**< lent: whose keeps say which pairs there are; NULL: its own */
    TbPlaced *items;             /**< in the document's order */
    size_t count;
} TbStand;

/**
 * Place all items and promise their forms as drawn: settle the cache before tb_stand_grow().
 *
 * param counts goes up by what was promised anew
 */
TbStand *tb_stand_new(const TbBay *bay,
                      const TbCatalogue *catalogue,
                      const char *variant,
                      const TbCondition *condition,
                      TbCache *cache,
                      const TbShapeSources *sources,
                      TbStudyCounts *counts);
void tb_stand_free(TbStand *stand);

/** Promise the forms in the state: settle again before they are used. */
void tb_stand_grow(TbStand *stand, TbCache *cache, TbStudyCounts *counts);

/** Forms of a settled stand; NULL where no item stands. */
const TbForm *tb_placed_form(const TbPlaced *placed);
const TbForm *tb_placed_drawn(const TbPlaced *placed);

/** As drawn, of an entry that is some item's form in the state. */
const TbEntry *tb_stand_drawn(const TbStand *stand, const TbEntry *entry);

/** Index of an item by the id of its place; stand->count when there is none. */
size_t tb_stand_find(const TbStand *stand, const char *id);

/** True where the item ends on a port, owns it, or stands on it. */
bool tb_placed_meets(const TbPlaced *placed, const TbPort *port);
