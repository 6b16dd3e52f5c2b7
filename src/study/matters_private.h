/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file matters_private.h
 * @brief What matters and standings share.
 */
#pragma once

#include "study/matters.h"

#include <glib.h>

/** True when the live results judge this state and variant anew. */
bool tb_matter__is_superseded(const TbMatterAsk *ask, const char *state, const char *variant);

/** Ids of the items that the live results have, lent by them; NULL: the same as the whole's. */
GHashTable *tb_matter__items_now(const TbMatterAsk *ask);

/** True when an older finding is about an item that the newest document has no more. */
bool tb_matter__is_gone(GHashTable *items_now, const TbResults *whole, const TbFinding *finding);

/** What older results were asked for: as long as it is the same they say the same. */
typedef struct TbOlderAsk {
    TbResults *whole;             /**< referenced; or NULL */
    char *item, *state, *variant; /**< NULL: as in the question */
    char *superseded;             /**< states and variants that newer results judge; NULL: none */
    bool of_same_items; /**< the newer results had the same items: else it is good only once */
} TbOlderAsk;

TbOlderAsk tb_matter__older_ask(const TbMatterAsk *ask, GHashTable *items_now);
void tb_matter__older_ask_clear(TbOlderAsk *older);

/** False too where the newer results have other items than the older ones: @p items_now. */
bool tb_matter__is_same_ask(const TbOlderAsk *older, const TbMatterAsk *ask, GHashTable *items_now);
