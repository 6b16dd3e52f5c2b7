/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/results_build.h"
#include "study/room.h"

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

/* The same of a record, in the results' own room. */
#define ADD_IN(results, array, count)                                                              \
    ((array) = tb_room_grow((results)->room, (array), (count), sizeof *(array)),                   \
     memset(&(array)[count], 0, sizeof *(array)), &(array)[(count)++])

static char no_text[] = "";

static char *
text_of(TbResults *results, const char *text)
{
    return text == NULL || *text == '\0' ? no_text : tb_room_text(results->room, text);
}

void
tb_results_set_text(TbResults *results, char **place, const char *text)
{
    *place = text_of(results, text);
}

void *
tb_results_copy(TbResults *results, const void *from, size_t size)
{
    return tb_room_copy(results->room, from, size);
}

TbResults *
tb_results_new(const char *bay, const char *revision)
{
    TbResults *results = g_new0(TbResults, 1);

    results->references = 1;
    results->room = tb_room_new();
    results->bay = text_of(results, bay);
    results->revision = text_of(results, revision);
    return results;
}

TbResultItem *
tb_results_add_item(TbResults *results)
{
    TbResultItem *item = ADD(results->items, results->item_count);

    item->id = no_text;
    item->name = no_text;
    item->kind = no_text;
    item->item_class = no_text;
    item->mount = no_text;
    item->shape = no_text;
    return item;
}

static void
name_it(TbResults *results, TbResultName *added, const char *id, const char *name)
{
    added->id = text_of(results, id);
    added->name = text_of(results, name);
}

void
tb_results_add_state(TbResults *results, const char *id, const char *name)
{
    name_it(results, ADD(results->states, results->state_count), id, name);
}

void
tb_results_add_variant(TbResults *results, const char *id, const char *name)
{
    name_it(results, ADD(results->variants, results->variant_count), id, name);
}

void
tb_results_add_warning(TbResults *results, const char *text)
{
    *ADD(results->warnings, results->warning_count) = text_of(results, text);
}

TbResultDuct *
tb_results_add_duct(TbResults *results)
{
    TbResultDuct *duct = ADD(results->ducts, results->duct_count);

    duct->id = no_text;
    duct->length = duct->volume_inner = duct->volume_wall = duct->mass = NAN;
    duct->centre = tb_vec3(NAN, NAN, NAN);
    return duct;
}

void
tb_result_duct_add_named(TbResults *results, TbResultDuct *duct, const char *name, double station)
{
    size_t count = duct->named_count;

    duct->named_at = tb_room_grow(results->room, duct->named_at, count, sizeof *duct->named_at);
    duct->named_at[count] = station;
    name_it(results, ADD_IN(results, duct->named, duct->named_count), NULL, name);
}

TbResultGap *
tb_results_add_gap(TbResults *results)
{
    TbResultGap *gap = ADD(results->gaps, results->gap_count);

    gap->a = no_text;
    gap->b = no_text;
    gap->state = no_text;
    gap->variant = no_text;
    gap->reason = no_text;
    gap->keep = gap->margin = gap->want_margin = NAN;
    gap->gap.lower = gap->gap.upper = NAN;
    return gap;
}

void
tb_result_gap_add_excluded(TbResults *results, TbResultGap *gap, const char *port, double radius)
{
    TbResultExcluded *excluded = ADD_IN(results, gap->excluded, gap->excluded_count);

    excluded->port = text_of(results, port);
    excluded->radius = radius;
}

TbResultCombination *
tb_results_add_combination(TbResults *results)
{
    TbResultCombination *row = ADD(results->combinations, results->combination_count);

    row->a = no_text;
    row->b = no_text;
    row->state = no_text;
    row->variant = no_text;
    return row;
}

void
tb_result_combination_add_cause(
    TbResults *results, TbResultCombination *row, const char *cause, double alone, double added)
{
    TbResultCause *made = ADD_IN(results, row->causes, row->cause_count);

    made->cause = text_of(results, cause);
    made->alone = alone;
    made->added = added;
}

void
tb_result_gap_add_warmth(
    TbResults *results, TbResultGap *gap, const char *item, double share, double effect)
{
    TbResultWarmth *made;

    for (size_t i = 0; i < gap->warmth_count; i++)
        if (strcmp(gap->warmth[i].item, item) == 0) {
            gap->warmth[i].effect += effect;
            return;
        }
    made = ADD_IN(results, gap->warmth, gap->warmth_count);
    made->item = text_of(results, item);
    made->share = share;
    made->effect = effect;
}

TbResultMove *
tb_result_gap_add_move(
    TbResults *results, TbResultGap *gap, const char *item, const char *mount, const char *freedom)
{
    TbResultMove *move = ADD_IN(results, gap->moves, gap->move_count);

    move->item = text_of(results, item);
    move->mount = text_of(results, mount);
    move->freedom = text_of(results, freedom);
    return move;
}

TbResultProfile *
tb_results_add_profile(TbResults *results, size_t count)
{
    TbResultProfile *profile = ADD(results->profiles, results->profile_count);

    profile->a = no_text;
    profile->b = no_text;
    profile->state = no_text;
    profile->variant = no_text;
    profile->station = tb_room_take(results->room, 3 * count * sizeof(double));
    profile->gap = profile->station + count;
    profile->lower = profile->gap + count;
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

    finding->rule = text_of(results, def->rule);
    finding->subject = text_of(results, def->subject);
    finding->state = text_of(results, def->state);
    finding->variant = text_of(results, def->variant);
    finding->unit = text_of(results, def->unit);
    finding->basis = text_of(results, def->basis);
    finding->id = tb_room_join(results->room, finding->rule, "/", finding->subject,
                               def->part == NULL ? "" : "#", def->part == NULL ? "" : def->part,
                               "/", finding->state, "/", finding->variant, NULL);
    finding->value = def->value;
    finding->limit = def->limit;
    finding->margin = def->margin;
    finding->level = def->level;
    finding->place = def->place;
    finding->place.item = text_of(results, def->place.item);
    return finding;
}

static void
add_fact(TbResults *results, TbFinding *finding, const char *name, const char *text, double number)
{
    TbFact *fact = ADD_IN(results, finding->facts, finding->fact_count);

    fact->name = text_of(results, name);
    fact->text = text_of(results, text);
    fact->number = number;
}

void
tb_finding_add_number(TbResults *results, TbFinding *finding, const char *name, double number)
{
    add_fact(results, finding, name, NULL, number);
}

void
tb_finding_add_text(TbResults *results, TbFinding *finding, const char *name, const char *text)
{
    add_fact(results, finding, name, text, NAN);
}
