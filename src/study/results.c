/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/results_build.h"

#include <glib.h>
#include <math.h>
#include <string.h>

const char *
tb_level_name(TbLevel level)
{
    switch (level) {
    case TB_LEVEL_HOLDS:
        return "holds";
    case TB_LEVEL_WATCH:
        return "watch";
    case TB_LEVEL_SHORT:
        return "short";
    case TB_LEVEL_OPEN:
        return "open";
    }
    return "open";
}

/* ---- reading ---- */

static const TbFact *
find_fact(const TbFinding *finding, const char *name)
{
    for (size_t i = 0; i < finding->fact_count; i++)
        if (strcmp(finding->facts[i].name, name) == 0)
            return &finding->facts[i];
    return NULL;
}

double
tb_finding_number(const TbFinding *finding, const char *name)
{
    const TbFact *fact = find_fact(finding, name);

    return fact == NULL ? (double)NAN : fact->number;
}

const char *
tb_finding_text(const TbFinding *finding, const char *name)
{
    const TbFact *fact = find_fact(finding, name);

    return fact == NULL ? "" : fact->text;
}

char *
tb_results_pair(const char *a, const char *b)
{
    bool in_order = strcmp(a, b) <= 0;

    return g_strdup_printf("%s|%s", in_order ? a : b, in_order ? b : a);
}

const TbResultItem *
tb_results_item(const TbResults *results, const char *id)
{
    for (size_t i = 0; i < results->item_count; i++)
        if (strcmp(results->items[i].id, id) == 0)
            return &results->items[i];
    return NULL;
}

const TbResultDuct *
tb_results_duct(const TbResults *results, const char *id)
{
    for (size_t i = 0; i < results->duct_count; i++)
        if (strcmp(results->ducts[i].id, id) == 0)
            return &results->ducts[i];
    return NULL;
}

const TbResultCombination *
tb_results_combination(const TbResults *results, const TbResultGap *gap)
{
    for (size_t i = 0; i < results->combination_count; i++) {
        const TbResultCombination *row = &results->combinations[i];

        if (strcmp(row->a, gap->a) == 0 && strcmp(row->b, gap->b) == 0 &&
            strcmp(row->state, gap->state) == 0 && strcmp(row->variant, gap->variant) == 0)
            return row;
    }
    return NULL;
}

bool
tb_finding_id_alike(const char *a, const char *b)
{
    const char *variant_a = strrchr(a, '/'), *variant_b = strrchr(b, '/');

    if (variant_a == NULL || variant_b == NULL)
        return strcmp(a, b) == 0;
    return variant_a - a == variant_b - b && strncmp(a, b, (size_t)(variant_a - a)) == 0 &&
           (variant_a[1] == '\0' || variant_b[1] == '\0' || strcmp(variant_a, variant_b) == 0);
}

const TbFinding *
tb_results_finding(const TbResults *results, const char *id)
{
    const TbFinding *alike = NULL;

    for (size_t i = 0; i < results->finding_count; i++) {
        if (strcmp(results->findings[i].id, id) == 0)
            return &results->findings[i];
        if (alike == NULL && tb_finding_id_alike(results->findings[i].id, id))
            alike = &results->findings[i];
    }
    return alike;
}

TbLevel
tb_results_worst(const TbResults *results)
{
    /* How bad each level is: what does not hold beats what is not known. */
    static const int rank[] = {
        [TB_LEVEL_HOLDS] = 0, [TB_LEVEL_WATCH] = 1, [TB_LEVEL_OPEN] = 2, [TB_LEVEL_SHORT] = 3};
    TbLevel worst = TB_LEVEL_HOLDS;

    for (size_t i = 0; i < results->finding_count; i++)
        if (rank[results->findings[i].level] > rank[worst])
            worst = results->findings[i].level;
    return worst;
}

/* ---- ending ---- */

TbResults *
tb_results_ref(TbResults *results)
{
    g_atomic_int_inc(&results->references);
    return results;
}

static void
clear_names(TbResultName *names, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        g_free(names[i].id);
        g_free(names[i].name);
    }
    g_free(names);
}

static void
clear_items(TbResults *results)
{
    for (size_t i = 0; i < results->item_count; i++) {
        TbResultItem *item = &results->items[i];

        g_free(item->id);
        g_free(item->name);
        g_free(item->kind);
        g_free(item->item_class);
        g_free(item->mount);
        g_free(item->shape);
    }
    g_free(results->items);
}

static void
clear_ducts(TbResults *results)
{
    for (size_t i = 0; i < results->duct_count; i++) {
        TbResultDuct *duct = &results->ducts[i];

        g_free(duct->id);
        g_free(duct->rows);
        g_free(duct->named_at);
        clear_names(duct->named, duct->named_count);
    }
    g_free(results->ducts);
}

static void
clear_gaps(TbResults *results)
{
    for (size_t i = 0; i < results->gap_count; i++) {
        TbResultGap *gap = &results->gaps[i];

        g_free(gap->a);
        g_free(gap->b);
        g_free(gap->state);
        g_free(gap->variant);
        g_free(gap->reason);
        for (size_t k = 0; k < gap->excluded_count; k++)
            g_free(gap->excluded[k].port);
        g_free(gap->excluded);
        for (size_t k = 0; k < gap->move_count; k++) {
            g_free(gap->moves[k].item);
            g_free(gap->moves[k].mount);
            g_free(gap->moves[k].freedom);
        }
        g_free(gap->moves);
        for (size_t k = 0; k < gap->warmth_count; k++)
            g_free(gap->warmth[k].item);
        g_free(gap->warmth);
        tb_result_scatter_free(gap->scatter);
    }
    g_free(results->gaps);
}

static void
clear_combinations(TbResults *results)
{
    for (size_t i = 0; i < results->combination_count; i++) {
        TbResultCombination *row = &results->combinations[i];

        g_free(row->a);
        g_free(row->b);
        g_free(row->state);
        g_free(row->variant);
        for (size_t k = 0; k < row->cause_count; k++)
            g_free(row->causes[k].cause);
        g_free(row->causes);
    }
    g_free(results->combinations);
}

static void
clear_profiles(TbResults *results)
{
    for (size_t i = 0; i < results->profile_count; i++) {
        TbResultProfile *profile = &results->profiles[i];

        g_free(profile->a);
        g_free(profile->b);
        g_free(profile->state);
        g_free(profile->variant);
        g_free(profile->station);
        g_free(profile->gap);
        g_free(profile->lower);
    }
    g_free(results->profiles);
}

static void
clear_findings(TbResults *results)
{
    for (size_t i = 0; i < results->finding_count; i++) {
        TbFinding *finding = &results->findings[i];

        g_free(finding->id);
        g_free(finding->rule);
        g_free(finding->subject);
        g_free(finding->place.item);
        g_free(finding->state);
        g_free(finding->variant);
        g_free(finding->unit);
        g_free(finding->basis);
        for (size_t k = 0; k < finding->fact_count; k++) {
            g_free(finding->facts[k].name);
            g_free(finding->facts[k].text);
        }
        g_free(finding->facts);
    }
    g_free(results->findings);
}

void
tb_results_unref(TbResults *results)
{
    if (results == NULL || !g_atomic_int_dec_and_test(&results->references))
        return;
    g_free(results->bay);
    g_free(results->revision);
    clear_items(results);
    clear_names(results->states, results->state_count);
    clear_names(results->variants, results->variant_count);
    clear_ducts(results);
    clear_gaps(results);
    clear_combinations(results);
    clear_profiles(results);
    clear_findings(results);
    for (size_t i = 0; i < results->warning_count; i++)
        g_free(results->warnings[i]);
    g_free(results->warnings);
    g_free(results);
}
