/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cache.h
 * @brief What a study keeps: values by what they were computed from.
 *
 * A key is a row of words: node ids of records, serials of other entries, and the bits of numbers;
 * tb_cache_need() adds what sort of value it is for. Node ids and serials are never given twice, so
 * a key never means two things. A value that is not there is promised first and made later, all
 * promised ones in parallel: who needs a hundred gaps asks for them one after the other and then
 * settles once.
 */
#pragma once

#include "base/work.h"
#include "geom/pose.h"

#include <glib.h>
#include <stdint.h>

/* ---- keys ---- */

typedef struct TbKey TbKey;

/** A key that begins with the node id or serial it is about; used up by tb_cache_need(). */
TbKey *tb_key_new(uint64_t about);
void tb_key_add_word(TbKey *key, uint64_t word);
void tb_key_add_number(TbKey *key, double number); /**< its bits; NAN is fine */
void tb_key_add_vec3(TbKey *key, TbVec3 v);
void tb_key_add_pose(TbKey *key, TbPose pose);
void tb_key_add_text(TbKey *key, const char *text); /**< NULL is "" */

/* ---- entries ---- */

/**
 * Makes a value from its input. Runs on any thread, reads nothing but the input, and gives the
 * same bits wherever it runs.
 *
 * @param[out] value the value; what cannot be made for a reason in the document is a value too
 * @return TB_OK, or TB_E_CANCELLED / TB_E_MEMORY: then there is no value
 */
typedef TbStatus (*TbMake)(const void *input, TbTask *task, void **value, TbFault *fault);

typedef struct TbSort {
    const char *what; /**< for progress: "gaps" */
    TbMake make;
    GDestroyNotify free_value, free_input;
} TbSort;

typedef struct TbEntry {
    const TbSort *sort;
    uint64_t serial; /**< never given twice by this cache */
    void *value;     /**< NULL until settled */
    void *input;     /**< while promised */
    TbKey *key;
    unsigned used;  /**< turn in which it was last asked for */
    unsigned since; /**< turn in which it was promised */
    unsigned whole; /**< which question about everything used it last; 0: none */
} TbEntry;

typedef struct TbCache TbCache;

TbCache *tb_cache_new(void);
void tb_cache_free(TbCache *cache);

/**
 * The entry of a key, promised now where it is new. The key is used up; so is the input, which is
 * freed at once where the entry was there.
 *
 * @param[out] is_new whether it was promised by this call; may be NULL
 */
TbEntry *tb_cache_need(TbCache *cache, TbKey *key, const TbSort *sort, void *input, bool *is_new);

/**
 * Make everything promised. On failure what was not made is forgotten, and entries without a value
 * that callers hold are gone.
 */
TbStatus tb_cache_settle(TbCache *cache, TbWork *work, TbTask *task, TbFault *fault);

/**
 * A new question: entries that no question used for TB_CACHE_TURNS turns are dropped, but for those
 * of the last question about everything: after a long drag in one state the others are still known.
 *
 * @param everything it is about all states and variants
 */
void tb_cache_turn(TbCache *cache, bool everything);

/** Whether an entry is of this turn: nobody asked for it before, or not for long. */
bool tb_cache_is_fresh(const TbCache *cache, const TbEntry *entry);

/** Undo and redo stay quick over this many questions. */
#define TB_CACHE_TURNS 24

/** What is older is looked for every so many turns: few are, and all have to be looked at. */
#define TB_CACHE_SWEEP 8

/** How many times a known entry was asked for. */
size_t tb_cache_reused(const TbCache *cache);

/* ---- counts ---- */

/** What a study computed and what came from its cache, for tests. */
typedef struct TbStudyCounts {
    size_t sweeps, solids, gaps, profiles, tables; /**< computed since the study began */
    size_t reused;
} TbStudyCounts;
