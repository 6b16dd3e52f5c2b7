/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/results_build.h"
#include "study/room.h"

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

    return g_strconcat(in_order ? a : b, "|", in_order ? b : a, NULL);
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

void
tb_results_unref(TbResults *results)
{
    if (results == NULL || !g_atomic_int_dec_and_test(&results->references))
        return;
    g_free(results->items);
    g_free(results->states);
    g_free(results->variants);
    g_free(results->ducts);
    g_free(results->gaps);
    g_free(results->profiles);
    g_free(results->combinations);
    g_free(results->findings);
    g_free(results->warnings);
    tb_room_free(results->room);
    g_free(results);
}
