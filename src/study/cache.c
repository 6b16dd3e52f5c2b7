/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/cache.h"

#include <string.h>

struct TbCache {
    GHashTable *entries; /* TbKey, the entry's own -> TbEntry */
    GPtrArray *promised; /* entries without a value, in the order asked */
    uint64_t serial;
    unsigned turn;
    unsigned whole;  /* questions about everything so far */
    bool everything; /* the one of this turn is */
    size_t reused;
};

/* ---- keys ---- */

/* Words of a key without a motion, and more. */
enum { KEY_ROOM = 40 };

struct TbKey {
    size_t count, room;
    uint64_t *words; /* its own, or more */
    uint64_t own[KEY_ROOM];
};

TbKey *
tb_key_new(uint64_t about)
{
    TbKey *key = g_new(TbKey, 1);

    key->count = 0;
    key->room = KEY_ROOM;
    key->words = key->own;
    tb_key_add_word(key, about);
    return key;
}

static void
key_free(TbKey *key)
{
    if (key->words != key->own)
        g_free(key->words);
    g_free(key);
}

static guint
key_hash(gconstpointer data)
{
    const TbKey *key = data;
    uint64_t sum = 0;

    /* each step a product by 2^64 over the golden ratio: high bits depend on all words */
    for (size_t i = 0; i < key->count; i++)
        sum = ((sum << 5 | sum >> 59) ^ key->words[i]) * 0x9e3779b97f4a7c15;
    return (guint)(sum >> 32);
}

static gboolean
key_equal(gconstpointer one, gconstpointer two)
{
    const TbKey *a = one, *b = two;

    return a->count == b->count && memcmp(a->words, b->words, a->count * sizeof a->words[0]) == 0;
}

static void
key_grow(TbKey *key)
{
    uint64_t *words = key->words == key->own ? NULL : key->words;

    key->room *= 2;
    key->words = g_renew(uint64_t, words, key->room);
    if (words == NULL)
        memcpy(key->words, key->own, sizeof key->own);
}

void
tb_key_add_word(TbKey *key, uint64_t word)
{
    if (G_UNLIKELY(key->count == key->room))
        key_grow(key);
    key->words[key->count++] = word;
}

void
tb_key_add_number(TbKey *key, double number)
{
    uint64_t bits;

    memcpy(&bits, &number, sizeof bits);
    tb_key_add_word(key, bits);
}

void
tb_key_add_vec3(TbKey *key, TbVec3 v)
{
    tb_key_add_number(key, v.x);
    tb_key_add_number(key, v.y);
    tb_key_add_number(key, v.z);
}

void
tb_key_add_pose(TbKey *key, TbPose pose)
{
    tb_key_add_vec3(key, pose.x);
    tb_key_add_vec3(key, pose.y);
    tb_key_add_vec3(key, pose.z);
    tb_key_add_vec3(key, pose.origin);
    tb_key_add_number(key, pose.scale);
}

void
tb_key_add_text(TbKey *key, const char *text)
{
    size_t size = text == NULL ? 0 : strlen(text);

    tb_key_add_word(key, size); /* so that two texts in a row cannot run together */
    for (size_t i = 0; i < size; i += sizeof(uint64_t)) {
        uint64_t word = 0;

        memcpy(&word, text + i, MIN(sizeof word, size - i));
        tb_key_add_word(key, word);
    }
}

/* ---- entries ---- */

static void
entry_free(gpointer data)
{
    TbEntry *entry = data;

    if (entry->value != NULL)
        entry->sort->free_value(entry->value);
    if (entry->input != NULL)
        entry->sort->free_input(entry->input);
    key_free(entry->key);
    g_free(entry);
}

TbCache *
tb_cache_new(void)
{
    TbCache *cache = g_new0(TbCache, 1);

    cache->entries = g_hash_table_new_full(key_hash, key_equal, NULL, entry_free);
    cache->promised = g_ptr_array_new();
    return cache;
}

void
tb_cache_free(TbCache *cache)
{
    if (cache == NULL)
        return;
    g_ptr_array_unref(cache->promised);
    g_hash_table_unref(cache->entries);
    g_free(cache);
}

TbEntry *
tb_cache_need(TbCache *cache, TbKey *key, const TbSort *sort, void *input, bool *is_new)
{
    TbEntry *entry;

    tb_key_add_word(key, (uintptr_t)sort);
    entry = g_hash_table_lookup(cache->entries, key);
    if (is_new != NULL)
        *is_new = entry == NULL;
    if (entry != NULL) {
        TB_ASSERT(entry->sort == sort);
        key_free(key);
        sort->free_input(input);
        entry->used = cache->turn;
        if (cache->everything)
            entry->whole = cache->whole;
        cache->reused++;
        return entry;
    }
    entry = g_new0(TbEntry, 1);
    entry->sort = sort;
    entry->serial = ++cache->serial;
    entry->input = input;
    entry->key = key;
    entry->used = entry->since = cache->turn;
    entry->whole = cache->everything ? cache->whole : 0;
    g_hash_table_insert(cache->entries, entry->key, entry);
    g_ptr_array_add(cache->promised, entry);
    return entry;
}

/* One round of making. */
typedef struct Round {
    GPtrArray *promised;
    TbTask *task;
    TbStatus *status;
    TbFault *fault;
} Round;

static void
make_some(void *data, size_t from, size_t to, int worker)
{
    Round *round = data;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        TbEntry *entry = round->promised->pdata[i];

        round->status[i] =
            entry->sort->make(entry->input, round->task, &entry->value, &round->fault[i]);
        tb_task_report(round->task, entry->sort->what, (double)(i + 1) / round->promised->len);
    }
}

/* Inputs are done with; entries that got no value are forgotten. */
static TbStatus
sort_out(TbCache *cache, Round *round, TbFault *fault)
{
    TbStatus first = TB_OK;

    for (guint i = 0; i < round->promised->len; i++) {
        TbEntry *entry = round->promised->pdata[i];

        if (round->status[i] != TB_OK && first == TB_OK) {
            first = round->status[i];
            if (fault != NULL)
                *fault = round->fault[i];
        }
        if (entry->value == NULL) {
            g_hash_table_remove(cache->entries, entry->key);
            continue;
        }
        entry->sort->free_input(entry->input);
        entry->input = NULL;
    }
    g_ptr_array_set_size(round->promised, 0);
    return first;
}

TbStatus
tb_cache_settle(TbCache *cache, TbWork *work, TbTask *task, TbFault *fault)
{
    size_t count = cache->promised->len;
    g_autofree TbStatus *status = g_new0(TbStatus, count);
    g_autofree TbFault *faults = g_new0(TbFault, count);
    Round round = {.promised = cache->promised, .task = task, .status = status, .fault = faults};
    TbStatus loop = tb_work_for(work, task, count, 1, make_some, &round);
    TbStatus made = sort_out(cache, &round, fault);

    if (loop == TB_OK)
        return made;
    return tb_fail(fault, loop, "stopped before everything was judged");
}

static gboolean
is_old(gpointer key, gpointer value, gpointer user)
{
    const TbEntry *entry = value;
    const TbCache *cache = user;

    (void)key;
    return cache->turn - entry->used > TB_CACHE_TURNS &&
           (entry->whole == 0 || entry->whole != cache->whole);
}

void
tb_cache_turn(TbCache *cache, bool everything)
{
    TB_ASSERT(cache->promised->len == 0);
    cache->turn++;
    if (cache->turn % TB_CACHE_SWEEP == 0)
        g_hash_table_foreach_remove(cache->entries, is_old, cache);
    cache->whole += everything;
    cache->everything = everything;
}

bool
tb_cache_is_fresh(const TbCache *cache, const TbEntry *entry)
{
    return entry->since == cache->turn;
}

size_t
tb_cache_reused(const TbCache *cache)
{
    return cache->reused;
}
