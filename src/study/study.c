/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/study.h"

#include "physics/mass.h"
#include "study/case.h"
#include "study/combine.h"
#include "study/measure_moving.h"

#include <math.h>

TbStudy *
tb_study_new(TbStore *store, TbWork *work)
{
    TbCatalogue *catalogue = NULL;
    TbStudy *study;

    if (tb_catalogue_new(&catalogue, NULL) != TB_OK)
        return NULL;
    study = g_new0(TbStudy, 1);
    study->store = tb_store_ref(store);
    study->work = work;
    study->cache = tb_cache_new();
    study->catalogue = catalogue;
    return study;
}

void
tb_study_free(TbStudy *study)
{
    if (study == NULL)
        return;
    tb_cache_free(study->cache);
    tb_catalogue_unref(study->catalogue);
    tb_store_unref(study->store);
    g_free(study);
}

TbStudyCounts
tb_study_counts(const TbStudy *study)
{
    TbStudyCounts counts = study->counts;

    counts.reused = tb_cache_reused(study->cache);
    return counts;
}

/* ---- tables and profiles ---- */

/* A pair is profiled where its gap is at most this above what is watched, mm: further off a chart
 * shows nothing that anybody decides by. */
#define PROFILE_NEAR 100.0

typedef struct Profiled {
    const TbCaseStand *in;
    const TbPair *pair;
    bool turned;
    bool moves; /* over a motion, as `along` says */
    TbMovingAlong along;
    TbEntry *discs;
    TbEntry *entry;
} Profiled;

/* Stand and item of a path as drawn, and its table. */
typedef struct Tabled {
    const TbCaseStand *in;
    size_t item;
    TbEntry *entry;
} Tabled;

/* Tables of every path item, in the first variant in which it stands. */
static GArray *
need_tables(TbStudy *study, const TbAsk *ask, const TbCase *theirs)
{
    GArray *tables = g_array_new(FALSE, TRUE, sizeof(Tabled));
    size_t items = theirs->stands[0].stand->count;

    for (size_t i = 0; i < items; i++)
        for (size_t k = 0; k < theirs->count; k++) {
            Tabled tabled = {.in = &theirs->stands[k], .item = i};
            const TbForm *form = tb_placed_drawn(&tabled.in->stand->items[i]);
            bool is_new;

            if (form == NULL || form->sweep == NULL)
                continue;
            tabled.entry = tb_measure_table(study->cache, tabled.in->stand->items[i].drawn,
                                            tb_ask_step(ask), &is_new);
            study->counts.tables += is_new;
            g_array_append_val(tables, tabled);
            break;
        }
    return tables;
}

static bool
is_duct(const TbCaseStand *in, size_t item)
{
    return in->stand->items[item].item->kind == TB_ITEM_DUCT;
}

/* Promises the sections that a profile goes along. */
static void
need_discs(TbStudy *study, const TbAsk *ask, Profiled profiled, GArray *profiles)
{
    const TbPair *pair = profiled.pair;
    const TbPlaced *along = &profiled.in->stand->items[profiled.turned ? pair->b : pair->a];

    profiled.discs = tb_measure_discs(study->cache, along->entry, tb_ask_step(ask), NULL);
    g_array_append_val(profiles, profiled);
}

/* Along one of a pair's ducts: at the worst that its state makes of the two, else as they are
 * drawn. Of what rocks or scatters that would be one case of many, and nothing is told. */
static void
add_along(TbStudy *study,
          const TbAsk *ask,
          const TbCaseStand *in,
          guint index,
          bool turned,
          GArray *profiles)
{
    const TbCondition *condition = in->stand->condition;
    const TbPair *pair = in->pairs->pdata[index];
    Profiled profiled = {.in = in, .pair = pair, .turned = turned};

    if (!is_duct(in, turned ? pair->b : pair->a))
        return;
    profiled.moves = ask->motion_profiles &&
                     tb_measure_moving_along(in, index, turned, tb_ask_width(ask), &profiled.along);
    if (profiled.moves)
        g_array_append_val(profiles, profiled);
    else if (!condition->scatters && !condition->rocks)
        need_discs(study, ask, profiled, profiles);
}

/* mm above what is watched: pairs further off are not followed. */
static double
near_of(const TbCondition *condition)
{
    return condition->scatters || condition->rocks ? TB_MEASURE_MOVING_NEAR : PROFILE_NEAR;
}

/* Which pairs are followed along their ducts. */
static GArray *
find_profiles(TbStudy *study, const TbAsk *ask, const TbCase *theirs)
{
    GArray *profiles = g_array_new(FALSE, TRUE, sizeof(Profiled));

    for (size_t i = 0; ask->profiles && i < theirs->count; i++) {
        const TbCaseStand *in = &theirs->stands[i];
        double near = near_of(in->stand->condition);

        for (guint k = 0; k < in->pairs->len; k++) {
            const TbPair *pair = in->pairs->pdata[k];
            const TbGap *gap = in->gaps[k] == NULL ? NULL : in->gaps[k]->value;

            if (gap == NULL || gap->upper > pair->gap + pair->want + near)
                continue;
            add_along(study, ask, in, k, false, profiles);
            add_along(study, ask, in, k, true, profiles);
        }
    }
    return profiles;
}

/* Promises the profiles; their sections are there. */
static void
need_profiles(TbStudy *study, const TbAsk *ask, GArray *profiles)
{
    for (guint i = 0; i < profiles->len; i++) {
        Profiled *profiled = &g_array_index(profiles, Profiled, i);
        TbPairAsk pair_ask =
            profiled->turned
                ? tb_case_pair_ask_turned(profiled->in, profiled->pair, tb_ask_width(ask))
                : tb_case_pair_ask(profiled->in, profiled->pair, tb_ask_width(ask));
        bool is_new;

        if (profiled->moves)
            profiled->entry = tb_measure_moving_profile(study->cache, &profiled->along,
                                                        tb_ask_step(ask), &is_new);
        else
            profiled->entry = tb_measure_profile(study->cache, &pair_ask, profiled->discs,
                                                 tb_ask_step(ask), &is_new);
        study->counts.profiles += is_new;
    }
}

/* ---- results ---- */

static const char *
text_or(const char *text, const char *other)
{
    return text == NULL ? other : text;
}

static void
add_item(const TbCase *theirs, size_t index, TbResults *results)
{
    for (size_t i = 0; i < theirs->count; i++) {
        const TbPlaced *placed = &theirs->stands[i].stand->items[index];
        TbResultItem *item;

        if (placed->item == NULL)
            continue;
        item = tb_results_add_item(results);
        tb_results_set_text(results, &item->id, placed->id);
        tb_results_set_text(results, &item->name, text_or(placed->item->record.name, placed->id));
        tb_results_set_text(results, &item->kind, tb_item_kind_name(placed->item->kind));
        tb_results_set_text(results, &item->item_class, placed->item->klass);
        tb_results_set_text(results, &item->mount, placed->item->mount);
        tb_results_set_text(results, &item->shape, tb_placed_drawn(placed)->digest);
        return;
    }
}

static void
add_head(const TbCase *theirs, TbResults *results)
{
    size_t states = theirs->count / theirs->variants;

    for (size_t i = 0; i < theirs->bay->warning_count; i++) {
        g_autofree char *text = g_strdup_printf("line %d: %s", theirs->bay->warnings[i].line,
                                                theirs->bay->warnings[i].text);

        tb_results_add_warning(results, text);
    }
    for (size_t i = 0; i < theirs->stands[0].stand->count; i++)
        add_item(theirs, i, results);
    for (size_t i = 0; i < states; i++)
        if (theirs->stands[i].judged)
            tb_results_add_state(results, theirs->stands[i].stand->condition->id,
                                 theirs->stands[i].stand->condition->name);
    for (size_t i = 0; i < theirs->variants; i++) {
        const char *id = theirs->stands[i * states].stand->variant;
        const TbVariant *variant = tb_bay_variant(theirs->bay, id);

        if (variant != NULL)
            tb_results_add_variant(results, id, text_or(variant->record.name, id));
    }
}

/* kg of the wall by its material's density, or what the item says. */
static double
mass_of(const TbCase *theirs, const TbItem *item, double wall_volume)
{
    const TbMaterial *material;

    if (tb_is_given(item->mass))
        return item->mass;
    if (item->kind == TB_ITEM_LINE && !tb_is_given(tb_item_line(item)->bore))
        return NAN;
    material = tb_catalogue_find(theirs->catalogue, theirs->bay, item->material);
    return material == NULL
               ? (double)NAN
               : tb_mass_of(wall_volume * 1e-9, material->density, tb_vec3(0, 0, 0)).mass;
}

static void
add_named(TbResults *results, TbResultDuct *duct, const TbStation *stations, size_t count)
{
    for (size_t i = 0; i < count; i++)
        tb_result_duct_add_named(results, duct, stations[i].name,
                                 stations[i].from_end ? duct->length - stations[i].at
                                                      : stations[i].at);
}

static void
add_duct(const TbCase *theirs, const Tabled *tabled, TbResults *results)
{
    const TbPlaced *placed = &tabled->in->stand->items[tabled->item];
    const TbTable *table = tabled->entry->value;
    const TbSweepFacts *facts = tabled->in->facts[tabled->item]->value;
    TbResultDuct *duct = tb_results_add_duct(results);

    tb_results_set_text(results, &duct->id, placed->id);
    duct->is_line = placed->item->kind == TB_ITEM_LINE;
    duct->length = tb_sweep_length(tb_placed_drawn(placed)->sweep);
    duct->volume_inner = facts->volume.inner;
    duct->volume_wall = facts->volume.wall;
    duct->centre =
        tb_vec3_is_given(placed->item->centre) ? placed->item->centre : facts->volume.wall_centroid;
    duct->mass = mass_of(theirs, placed->item, facts->volume.wall);
    duct->row_count = table->count;
    duct->rows = tb_results_copy(results, table->rows, table->count * sizeof table->rows[0]);
    if (duct->is_line)
        add_named(results, duct, tb_item_line(placed->item)->stations,
                  tb_item_line(placed->item)->station_count);
    else
        add_named(results, duct, tb_item_duct(placed->item)->stations,
                  tb_item_duct(placed->item)->station_count);
}

static void
add_profile(const Profiled *profiled, TbResults *results)
{
    const TbStand *stand = profiled->in->stand;
    const TbPair *pair = profiled->pair;
    const TbProfile *points = profiled->entry->value;
    TbResultProfile *profile = tb_results_add_profile(results, points->count);

    tb_results_set_text(results, &profile->a,
                        stand->items[profiled->turned ? pair->b : pair->a].id);
    tb_results_set_text(results, &profile->b,
                        stand->items[profiled->turned ? pair->a : pair->b].id);
    tb_results_set_text(results, &profile->state, stand->condition->id);
    tb_results_set_text(results, &profile->variant, stand->variant_id);
    profile->keep = pair->gap;
    profile->certified = !profiled->moves || tb_measure_moving_is_certified(&profiled->along);
    for (size_t i = 0; i < points->count; i++) {
        bool left_out = points->points[i].left_out;

        profile->station[i] = points->points[i].station;
        profile->gap[i] = left_out ? (double)NAN : points->points[i].upper;
        profile->lower[i] = left_out ? (double)NAN : points->points[i].lower;
    }
}

static TbResults *
collect(const TbAsk *ask, const TbCase *theirs, const GArray *tables, const GArray *profiles)
{
    const TbHead *head = ask->bay->head;
    TbResults *results = tb_results_new(head->title, head->revision);

    add_head(theirs, results);
    for (guint i = 0; i < tables->len; i++)
        add_duct(theirs, &g_array_index(tables, Tabled, i), results);
    for (size_t i = 0; i < tb_check_count; i++)
        tb_checks[i].run(theirs, results);
    for (guint i = 0; i < profiles->len; i++)
        add_profile(&g_array_index(profiles, Profiled, i), results);
    return results;
}

TbStatus
tb_case_judge(TbStudy *study,
              const TbAsk *ask,
              const TbCase *theirs,
              TbTask *task,
              TbResults **results,
              TbFault *fault)
{
    GArray *tables = need_tables(study, ask, theirs);
    GArray *profiles = find_profiles(study, ask, theirs);
    TbStatus status = tb_cache_settle(study->cache, study->work, task, fault);

    if (status == TB_OK) {
        need_profiles(study, ask, profiles);
        status = tb_cache_settle(study->cache, study->work, task, fault);
    }
    if (status == TB_OK)
        *results = collect(ask, theirs, tables, profiles);
    g_array_unref(tables);
    g_array_unref(profiles);
    return status;
}

TbStatus
tb_study_judge(TbStudy *study, const TbAsk *ask, TbTask *task, TbResults **results, TbFault *fault)
{
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    TbCase *theirs = NULL;
    TbStatus status =
        tb_case_new(study, ask, tb_checks_needs() | TB_NEEDS_FACTS, false, task, &theirs, why);

    if (status == TB_OK)
        status = tb_case_judge(study, ask, theirs, task, results, why);
    if (status == TB_OK && ask->combine) {
        status = tb_combine(study, ask, theirs, task, *results, why);
        if (status != TB_OK) {
            tb_results_unref(*results);
            *results = NULL;
        }
    }
    tb_case_free(theirs);
    return status;
}
