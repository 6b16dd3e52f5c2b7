/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/results_build.h"

#include <glib.h>
#include <math.h>
#include <string.h>

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
