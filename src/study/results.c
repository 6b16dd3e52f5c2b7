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

/* ---- making ---- */

/* Room for one more: arrays have room for the next power of two, so it runs out at powers. */
static void *
grown(void *array, size_t count, size_t size)
{
    if (count != 0 && (count & (count - 1)) != 0)
        return array;
    return g_realloc_n(array, count == 0 ? 1 : 2 * count, size);
}

#define ADD(array, count)                                                                          \
    ((array) = grown((array), (count), sizeof *(array)),                                           \
     memset(&(array)[count], 0, sizeof *(array)), &(array)[(count)++])

static char *
text_of(const char *text)
{
    return g_strdup(text == NULL ? "" : text);
}

void
tb_results_set_text(char **place, const char *text)
{
    char *copy = text_of(text);

    g_free(*place);
    *place = copy;
}

TbResults *
tb_results_new(const char *bay, const char *revision)
{
    TbResults *results = g_new0(TbResults, 1);

    results->references = 1;
    results->bay = text_of(bay);
    results->revision = text_of(revision);
    return results;
}

TbResultItem *
tb_results_add_item(TbResults *results)
{
    TbResultItem *item = ADD(results->items, results->item_count);

    item->id = text_of(NULL);
    item->name = text_of(NULL);
    item->kind = text_of(NULL);
    item->item_class = text_of(NULL);
    item->mount = text_of(NULL);
    item->shape = text_of(NULL);
    return item;
}

static void
add_name(TbResultName **names, size_t *count, const char *id, const char *name)
{
    TbResultName *added = ADD(*names, *count);

    added->id = text_of(id);
    added->name = text_of(name);
}

void
tb_results_add_state(TbResults *results, const char *id, const char *name)
{
    add_name(&results->states, &results->state_count, id, name);
}

void
tb_results_add_variant(TbResults *results, const char *id, const char *name)
{
    add_name(&results->variants, &results->variant_count, id, name);
}

void
tb_results_add_warning(TbResults *results, const char *text)
{
    *ADD(results->warnings, results->warning_count) = text_of(text);
}

TbResultDuct *
tb_results_add_duct(TbResults *results)
{
    TbResultDuct *duct = ADD(results->ducts, results->duct_count);

    duct->id = text_of(NULL);
    duct->length = duct->volume_inner = duct->volume_wall = duct->mass = NAN;
    duct->centre = tb_vec3(NAN, NAN, NAN);
    return duct;
}

void
tb_result_duct_add_named(TbResultDuct *duct, const char *name, double station)
{
    size_t count = duct->named_count;

    duct->named_at = grown(duct->named_at, count, sizeof *duct->named_at);
    duct->named_at[count] = station;
    add_name(&duct->named, &duct->named_count, NULL, name);
}

TbResultGap *
tb_results_add_gap(TbResults *results)
{
    TbResultGap *gap = ADD(results->gaps, results->gap_count);

    gap->a = text_of(NULL);
    gap->b = text_of(NULL);
    gap->state = text_of(NULL);
    gap->variant = text_of(NULL);
    gap->reason = text_of(NULL);
    gap->keep = gap->margin = gap->want_margin = NAN;
    gap->gap.lower = gap->gap.upper = NAN;
    return gap;
}

void
tb_result_gap_add_excluded(TbResultGap *gap, const char *port, double radius)
{
    TbResultExcluded *excluded = ADD(gap->excluded, gap->excluded_count);

    excluded->port = text_of(port);
    excluded->radius = radius;
}

TbResultCombination *
tb_results_add_combination(TbResults *results)
{
    TbResultCombination *row = ADD(results->combinations, results->combination_count);

    row->a = text_of(NULL);
    row->b = text_of(NULL);
    row->state = text_of(NULL);
    row->variant = text_of(NULL);
    return row;
}

void
tb_result_combination_add_cause(TbResultCombination *row,
                                const char *cause,
                                double alone,
                                double added)
{
    TbResultCause *made = ADD(row->causes, row->cause_count);

    made->cause = g_strdup(cause);
    made->alone = alone;
    made->added = added;
}

void
tb_result_gap_add_warmth(TbResultGap *gap, const char *item, double share, double effect)
{
    TbResultWarmth *made;

    for (size_t i = 0; i < gap->warmth_count; i++)
        if (strcmp(gap->warmth[i].item, item) == 0) {
            gap->warmth[i].effect += effect;
            return;
        }
    made = ADD(gap->warmth, gap->warmth_count);
    made->item = g_strdup(item);
    made->share = share;
    made->effect = effect;
}

TbResultMove *
tb_result_gap_add_move(TbResultGap *gap, const char *item, const char *mount, const char *freedom)
{
    TbResultMove *move = ADD(gap->moves, gap->move_count);

    move->item = text_of(item);
    move->mount = text_of(mount);
    move->freedom = text_of(freedom);
    return move;
}

TbResultProfile *
tb_results_add_profile(TbResults *results, size_t count)
{
    TbResultProfile *profile = ADD(results->profiles, results->profile_count);

    profile->a = text_of(NULL);
    profile->b = text_of(NULL);
    profile->state = text_of(NULL);
    profile->variant = text_of(NULL);
    profile->station = g_new0(double, count);
    profile->gap = g_new0(double, count);
    profile->lower = g_new0(double, count);
    profile->count = count;
    profile->keep = NAN;
    profile->certified = true;
    return profile;
}

TbFindingDef
tb_finding_def(const char *rule, const char *subject)
{
    return (TbFindingDef){
        .rule = rule,
        .subject = subject,
        .value = NAN,
        .limit = NAN,
        .margin = NAN,
        .place = {.from = NAN, .to = NAN, .angle = NAN, .point = {NAN, NAN, NAN}},
    };
}

TbFinding *
tb_results_add_finding(TbResults *results, const TbFindingDef *def)
{
    TbFinding *finding = ADD(results->findings, results->finding_count);

    finding->rule = text_of(def->rule);
    finding->subject = text_of(def->subject);
    finding->state = text_of(def->state);
    finding->variant = text_of(def->variant);
    finding->unit = text_of(def->unit);
    finding->basis = text_of(def->basis);
    finding->id = g_strconcat(finding->rule, "/", finding->subject, def->part == NULL ? "" : "#",
                              def->part == NULL ? "" : def->part, "/", finding->state, "/",
                              finding->variant, NULL);
    finding->value = def->value;
    finding->limit = def->limit;
    finding->margin = def->margin;
    finding->level = def->level;
    finding->place = def->place;
    finding->place.item = text_of(def->place.item);
    return finding;
}

static void
add_fact(TbFinding *finding, const char *name, const char *text, double number)
{
    TbFact *fact = ADD(finding->facts, finding->fact_count);

    fact->name = text_of(name);
    fact->text = text_of(text);
    fact->number = number;
}

void
tb_finding_add_number(TbFinding *finding, const char *name, double number)
{
    add_fact(finding, name, NULL, number);
}

void
tb_finding_add_text(TbFinding *finding, const char *name, const char *text)
{
    add_fact(finding, name, text, NAN);
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
