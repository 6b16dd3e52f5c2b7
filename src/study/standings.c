/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/matters_private.h"

#include <math.h>
#include <string.h>

struct TbStandings {
    GHashTable *by_item; /* id, lent by the standing, to TbStanding */
    TbResults *whole, *live;
};

static TbStanding *
standing_of(TbStandings *standings, const char *item)
{
    TbStanding *standing = g_hash_table_lookup(standings->by_item, item);

    if (standing == NULL) {
        standing = g_new0(TbStanding, 1);
        standing->item = item;
        g_hash_table_insert(standings->by_item, (char *)item, standing);
    }
    return standing;
}

static bool
is_shown(const TbMatterAsk *ask, const char *state, const char *variant)
{
    return g_strcmp0(state, ask->state) == 0 && g_strcmp0(variant, ask->variant) == 0;
}

/* ---- levels ---- */

static bool
is_told_rather(const TbMatterAsk *ask, const TbFinding *finding, const TbStanding *standing)
{
    int rank = tb_level_rank(finding->level) - tb_level_rank(standing->level);

    if (!standing->judged || rank != 0)
        return !standing->judged || rank > 0;
    if (tb_matter__is_worse(finding->margin, standing->worst->margin) ||
        tb_matter__is_worse(standing->worst->margin, finding->margin))
        return tb_matter__is_worse(finding->margin, standing->worst->margin);
    return is_shown(ask, finding->state, finding->variant) &&
           !is_shown(ask, standing->worst->state, standing->worst->variant);
}

static void
judge(TbStandings *standings,
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
    standing->stale = ask->live != NULL && results == ask->whole;
}

/* Once for each item that a finding is about. Items are named by the results' own texts. */
static void
judge_items(TbStandings *standings,
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
hold_gap(TbStandings *standings,
         const TbMatterAsk *ask,
         const char *item,
         const TbResultGap *gap,
         bool stale)
{
    TbStanding *standing = standing_of(standings, item);
    const TbResultGap *now = standing->gap;

    if (now != NULL && !tb_matter__is_worse(gap->margin, now->margin) &&
        (tb_matter__is_worse(now->margin, gap->margin) ||
         !is_shown(ask, gap->state, gap->variant) || is_shown(ask, now->state, now->variant)))
        return;
    standing->gap = gap;
    standing->gap_stale = stale;
}

/* ---- all of one ---- */

static bool
is_gone(GHashTable *now, const char *item)
{
    return now != NULL && !g_hash_table_contains(now, item);
}

static void
take(TbStandings *standings, const TbMatterAsk *ask, const TbResults *results, GHashTable *now)
{
    bool older = ask->live != NULL && results == ask->whole;
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
        hold_gap(standings, ask, gap->a, gap, older);
        hold_gap(standings, ask, gap->b, gap, older);
    }
    g_hash_table_unref(ids);
}

TbStandings *
tb_standings_new(const TbMatterAsk *ask)
{
    TbStandings *standings = g_new0(TbStandings, 1);
    GHashTable *now = tb_matter__items_now(ask);

    standings->by_item = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, g_free);
    if (ask->live != NULL) {
        take(standings, ask, ask->live, now);
        standings->live = tb_results_ref((TbResults *)ask->live);
    }
    if (ask->whole != NULL) {
        take(standings, ask, ask->whole, now);
        standings->whole = tb_results_ref((TbResults *)ask->whole);
    }
    g_clear_pointer(&now, g_hash_table_unref);
    return standings;
}

void
tb_standings_free(TbStandings *standings)
{
    if (standings == NULL)
        return;
    g_hash_table_unref(standings->by_item);
    tb_results_unref(standings->whole);
    tb_results_unref(standings->live);
    g_free(standings);
}

const TbStanding *
tb_standings_find(const TbStandings *standings, const char *item)
{
    return g_hash_table_lookup(standings->by_item, item);
}
