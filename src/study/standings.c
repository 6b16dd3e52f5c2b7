/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/matters_private.h"

#include <math.h>
#include <string.h>

/* How items stand by one of the results, or by both. */
typedef GHashTable Standings; /* id, lent by the results, to TbStanding */

/* What older results say: immutable, of one question. */
typedef struct Older {
    gatomicrefcount references;
    TbOlderAsk ask;
    Standings *by_item;
} Older;

struct TbStandings {
    Standings *by_item;
    Older *older;
    TbResults *live;
};

static TbStanding *
standing_of(Standings *standings, const char *item)
{
    TbStanding *standing = g_hash_table_lookup(standings, item);

    if (standing == NULL) {
        standing = g_new0(TbStanding, 1);
        standing->item = item;
        g_hash_table_insert(standings, (char *)item, standing);
    }
    return standing;
}

static bool
is_shown(const TbMatterAsk *ask, const char *state, const char *variant)
{
    return g_strcmp0(state, ask->state) == 0 && g_strcmp0(variant, ask->variant) == 0;
}

/* What the results say is of before the newer ones. */
static bool
is_older(const TbMatterAsk *ask, const TbResults *results)
{
    return ask->live != NULL && results == ask->whole;
}

/* ---- levels ---- */

static bool
is_told_rather(const TbMatterAsk *ask, const TbFinding *finding, const TbStanding *standing)
{
    int rank = tb_level_rank(finding->level) - tb_level_rank(standing->level);

    if (!standing->judged || rank != 0)
        return !standing->judged || rank > 0;
    if (finding->level != TB_LEVEL_OPEN &&
        tb_finding_is_gap(finding) != tb_finding_is_gap(standing->worst))
        return tb_finding_is_gap(finding); /* as tb_finding_order() */
    if (tb_margin_is_worse(finding->margin, standing->worst->margin) ||
        tb_margin_is_worse(standing->worst->margin, finding->margin))
        return tb_margin_is_worse(finding->margin, standing->worst->margin);
    return is_shown(ask, finding->state, finding->variant) &&
           !is_shown(ask, standing->worst->state, standing->worst->variant);
}

static void
judge(Standings *standings,
      const TbMatterAsk *ask,
      const char *item,
      const TbFinding *finding,
      const TbResults *results)
{
    TbStanding *standing;

    if (item[0] == '\0')
        return;
    standing = standing_of(standings, item);
    if (!is_told_rather(ask, finding, standing))
        return;
    standing->judged = true;
    standing->level = finding->level;
    standing->worst = finding;
    standing->results = results;
    standing->stale = is_older(ask, results);
}

/* Once for each item that a finding is about. Items are named by the results' own texts. */
static void
judge_items(Standings *standings,
            const TbMatterAsk *ask,
            const TbFinding *finding,
            const TbResults *results,
            GHashTable *ids)
{
    const char *bar = strchr(finding->subject, '|');
    g_autofree char *first =
        bar == NULL ? NULL : g_strndup(finding->subject, (size_t)(bar - finding->subject));
    const char *subjects[] = {bar == NULL ? finding->subject : first, bar == NULL ? "" : bar + 1};
    bool placed = finding->place.item[0] == '\0';

    for (size_t i = 0; i < G_N_ELEMENTS(subjects); i++) {
        const char *id = g_hash_table_lookup(ids, subjects[i]);

        placed |= strcmp(subjects[i], finding->place.item) == 0;
        if (id != NULL)
            judge(standings, ask, id, finding, results);
    }
    if (!placed)
        judge(standings, ask, finding->place.item, finding, results);
}

static GHashTable *
ids_of(const TbResults *results)
{
    GHashTable *ids = g_hash_table_new(g_str_hash, g_str_equal);

    for (size_t i = 0; i < results->item_count; i++)
        g_hash_table_insert(ids, results->items[i].id, results->items[i].id);
    return ids;
}

/* ---- gaps ---- */

static void
hold_gap(Standings *standings,
         const TbMatterAsk *ask,
         const char *item,
         const TbResultGap *gap,
         const TbResults *results)
{
    TbStanding *standing = standing_of(standings, item);
    const TbResultGap *now = standing->gap;

    if (now != NULL && !tb_margin_is_worse(gap->margin, now->margin) &&
        (tb_margin_is_worse(now->margin, gap->margin) || !is_shown(ask, gap->state, gap->variant) ||
         is_shown(ask, now->state, now->variant)))
        return;
    standing->gap = gap;
    standing->gap_results = results;
    standing->gap_stale = is_older(ask, results);
}

/* ---- all of one ---- */

static bool
is_gone(GHashTable *now, const char *item)
{
    return now != NULL && !g_hash_table_contains(now, item);
}

static void
take(Standings *standings, const TbMatterAsk *ask, const TbResults *results, GHashTable *now)
{
    bool older = is_older(ask, results);
    GHashTable *ids = ids_of(results);

    for (size_t i = 0; i < results->finding_count; i++) {
        const TbFinding *finding = &results->findings[i];

        if (ask->item != NULL && !tb_finding_is_about(finding, ask->item))
            continue;
        if (!older || (!tb_matter__is_superseded(ask, finding->state, finding->variant) &&
                       !tb_matter__is_gone(now, results, finding)))
            judge_items(standings, ask, finding, results, ids);
    }
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];

        if (ask->item != NULL && strcmp(gap->a, ask->item) != 0 && strcmp(gap->b, ask->item) != 0)
            continue;
        if (isnan(gap->keep) || isnan(gap->margin) ||
            (older && (tb_matter__is_superseded(ask, gap->state, gap->variant) ||
                       is_gone(now, gap->a) || is_gone(now, gap->b))))
            continue;
        hold_gap(standings, ask, gap->a, gap, results);
        hold_gap(standings, ask, gap->b, gap, results);
    }
    g_hash_table_unref(ids);
}

static Standings *
standings_of(const TbMatterAsk *ask, const TbResults *results, GHashTable *now)
{
    Standings *standings = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, g_free);

    if (results != NULL)
        take(standings, ask, results, now);
    return standings;
}

/* ---- both ---- */

static Older *
older_new(const TbMatterAsk *ask, GHashTable *items_now)
{
    Older *older = g_new0(Older, 1);

    g_atomic_ref_count_init(&older->references);
    older->ask = tb_matter__older_ask(ask, items_now);
    older->by_item = standings_of(ask, ask->whole, items_now);
    return older;
}

static void
older_unref(Older *older)
{
    if (!g_atomic_ref_count_dec(&older->references))
        return;
    g_hash_table_unref(older->by_item);
    tb_matter__older_ask_clear(&older->ask);
    g_free(older);
}

static Older *
older_of(const TbMatterAsk *ask, const TbStandings *before)
{
    GHashTable *items_now = tb_matter__items_now(ask);
    Older *older = before == NULL ? NULL : before->older;

    if (older != NULL && tb_matter__is_same_ask(&older->ask, ask, items_now))
        g_atomic_ref_count_inc(&older->references);
    else
        older = older_new(ask, items_now);
    g_clear_pointer(&items_now, g_hash_table_unref);
    return older;
}

static void
join(Standings *standings, const TbMatterAsk *ask, const TbStanding *one)
{
    if (one->judged)
        judge(standings, ask, one->item, one->worst, one->results);
    if (one->gap != NULL)
        hold_gap(standings, ask, one->item, one->gap, one->gap_results);
}

TbStandings *
tb_standings_again(const TbMatterAsk *ask, const TbStandings *before)
{
    TbStandings *standings = g_new0(TbStandings, 1);
    GHashTableIter iter;
    void *one;

    standings->older = older_of(ask, before);
    standings->live = ask->live == NULL ? NULL : tb_results_ref((TbResults *)ask->live);
    standings->by_item = standings_of(ask, ask->live, NULL);
    g_hash_table_iter_init(&iter, standings->older->by_item);
    while (g_hash_table_iter_next(&iter, NULL, &one))
        join(standings->by_item, ask, one);
    return standings;
}

TbStandings *
tb_standings_new(const TbMatterAsk *ask)
{
    return tb_standings_again(ask, NULL);
}

void
tb_standings_free(TbStandings *standings)
{
    if (standings == NULL)
        return;
    g_hash_table_unref(standings->by_item);
    older_unref(standings->older);
    tb_results_unref(standings->live);
    g_free(standings);
}

const TbStanding *
tb_standings_find(const TbStandings *standings, const char *item)
{
    return g_hash_table_lookup(standings->by_item, item);
}
