/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure.h"

#include "gaps/moving.h"

#include "geom/tol.h"
#include "study/moments.h"
#include "study/warmth.h"

#include <math.h>
#include <string.h>

#define DEG (180 / G_PI)

static const TbForm *
form_of(const TbEntry *entry)
{
    const TbForm *form = entry->value;

    TB_ASSERT(form != NULL);
    return form;
}

/* ---- stations ---- */

size_t
tb_measure_station_count(double length, double step)
{
    /* A last step shorter than a thousandth of the others is part of the one before it. */
    return (size_t)floor(length / step - 1e-3) + 2;
}

double
tb_measure_station(double length, double step, size_t index)
{
    return index + 1 >= tb_measure_station_count(length, step) ? length : (double)index * step;
}

/* ---- facts ---- */

typedef struct FactsInput {
    TbSweep *sweep;
    TbSweepLimits limits;
    const TbLawMoments **moments; /* of each span of the law; NULL: none is known */
} FactsInput;

static void
facts_input_free(gpointer data)
{
    FactsInput *input = data;

    tb_sweep_unref(input->sweep);
    g_free(input->moments);
    g_free(input);
}

/* One station as smoothness sees it. */
typedef struct Smooth {
    double station, cone, bend, diameter;
} Smooth;

/* Stations a twentieth of a diameter apart resolve a change over a whole one. */
#define SMOOTH_PER_DIAMETER 20

static Smooth
smooth_at(const TbSweep *sweep, double station)
{
    TbSlice slice = tb_law_at(tb_sweep_law(sweep), station);
    TbCurvePoint point = tb_sweep_place(sweep, station);
    double diameter = sqrt(4 * slice.area / G_PI);

    return (Smooth){.station = station,
                    .cone = tb_cone_angle(slice.area, slice.growth),
                    .bend = diameter * tb_vec3_length(point.curvature),
                    .diameter = diameter};
}

static void
consider(TbSweepWorst *worst, double change, double from, double to)
{
    if (change <= worst->value)
        return;
    *worst = (TbSweepWorst){
        .value = change, .station = (from + to) / 2, .angle = NAN, .from = from, .to = to};
}

/* Largest change of cone angle and of bend within a window that moves along the path. */
static void
find_changes(const FactsInput *input, TbSweepFacts *facts)
{
    double length = tb_sweep_length(input->sweep);
    double diameter = smooth_at(input->sweep, 0).diameter;
    size_t count = (size_t)ceil(length / diameter * SMOOTH_PER_DIAMETER) + 1;
    g_autofree Smooth *row = g_new(Smooth, count + 1);

    for (size_t i = 0; i <= count; i++)
        row[i] = smooth_at(input->sweep, length * (double)i / (double)count);
    facts->cone_change = (TbSweepWorst){.from = 1, .to = 0};
    facts->bend_change = facts->cone_change;
    for (size_t i = 0; i <= count; i++)
        for (size_t k = i + 1; k <= count && row[k].station - row[i].station <=
                                                 input->limits.window * row[i].diameter;
             k++) {
            consider(&facts->cone_change, fabs(row[k].cone - row[i].cone), row[i].station,
                     row[k].station);
            consider(&facts->bend_change, fabs(row[k].bend - row[i].bend), row[i].station,
                     row[k].station);
        }
}

/* Places this far apart along the path, in largest half extents, are distant: a tight half turn
 * about a centre one half extent away lies between. */
#define DISTANT 8

static double
largest_reach(const TbSweep *sweep)
{
    double reach = 0;

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);
        TbSlice slice = tb_law_in_span(piece->law, piece->station0);

        reach = fmax(reach, tb_slice_reach(&slice, true));
    }
    return reach;
}

static TbStatus
make_facts(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const FactsInput *input = data;
    const TbSweep *sweep = input->sweep;
    const TbLaw *law = tb_sweep_law(sweep);
    g_autofree TbSweepFacts *facts = g_new0(TbSweepFacts, 1);
    TbStatus status;

    facts->length = tb_sweep_length(sweep);
    facts->shrinks = tb_sweep_shrinks(sweep);
    facts->cone = tb_sweep_cone(sweep, input->limits.cone);
    facts->fold_inner = tb_sweep_fold(sweep, false, input->limits.fold);
    facts->fold_outer = tb_sweep_fold(sweep, true, input->limits.fold);
    facts->thinnest = tb_sweep_thinnest(sweep, input->limits.wall);
    facts->tightest = tb_sweep_tightest(sweep, input->limits.bend);
    facts->first_area = tb_law_at(law, 0).area;
    facts->last_area = tb_law_at(law, tb_sweep_length(sweep)).area;
    facts->from_area = tb_law_at(law, facts->shrinks.from).area;
    facts->to_area = tb_law_at(law, facts->shrinks.station).area;
    find_changes(input, facts);
    if (tb_sweep_volume_by(sweep, input->moments, &facts->volume, NULL) != TB_OK)
        facts->volume = (TbSweepVolume){NAN, NAN, {NAN, NAN, NAN}, {NAN, NAN, NAN}};
    facts->self_apart = DISTANT * largest_reach(sweep);
    status = tb_gap_self(sweep, facts->self_apart, TB_GAP_WIDTH, task, &facts->self, fault);
    if (status != TB_OK)
        return status;
    *value = g_steal_pointer(&facts);
    return TB_OK;
}

static const TbSort sort_facts = {
    .what = "paths", .make = make_facts, .free_value = g_free, .free_input = facts_input_free};

void
tb_measure_moments(TbCache *cache, const TbEntry *form)
{
    if (form_of(form)->sweep != NULL && tb_cache_is_fresh(cache, form))
        g_free(tb_moments_of(cache, form_of(form)->sweep));
}

TbEntry *
tb_measure_facts(TbCache *cache, const TbEntry *form, const TbSweepLimits *limits, bool *is_new)
{
    FactsInput *input = g_new0(FactsInput, 1);
    TbKey *key = tb_key_new(form->serial);
    TbEntry *entry;
    bool promised;

    input->sweep = tb_sweep_ref(form_of(form)->sweep);
    input->limits = *limits;
    tb_key_add_number(key, limits->cone);
    tb_key_add_number(key, limits->fold);
    tb_key_add_number(key, limits->wall);
    tb_key_add_number(key, limits->bend);
    tb_key_add_number(key, limits->window);
    entry = tb_cache_need(cache, key, &sort_facts, input, &promised);
    if (promised && tb_cache_is_fresh(cache, form))
        input->moments = tb_moments_of(cache, input->sweep);
    if (is_new != NULL)
        *is_new = promised;
    return entry;
}

/* ---- tables ---- */

typedef struct TableInput {
    TbSweep *sweep;
    double step;
} TableInput;

static void
table_input_free(gpointer data)
{
    TableInput *input = data;

    tb_sweep_unref(input->sweep);
    g_free(input);
}

static TbStationRow
row_at(const TbSweep *sweep, double station)
{
    TbDisc disc = tb_sweep_at(sweep, station);
    TbCurvePoint point = tb_sweep_place(sweep, station);
    TbSlice slice = disc.slice;
    double perimeter = tb_slice_perimeter(&slice, false);

    return (TbStationRow){.station = station,
                          .point = disc.centre,
                          .tangent = disc.frame.t,
                          .area = slice.area,
                          .perimeter = perimeter,
                          .hydraulic_diameter = 4 * slice.area / perimeter,
                          .width = tb_slice_width(&slice),
                          .height = tb_slice_height(&slice),
                          .turn = slice.turn * DEG,
                          .wall = slice.wall,
                          .curvature = tb_vec3_length(point.curvature),
                          .growth = slice.growth,
                          .cone_angle = tb_cone_angle(slice.area, slice.growth) * DEG};
}

static TbStatus
make_table(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const TableInput *input = data;
    double length = tb_sweep_length(input->sweep);
    size_t count = tb_measure_station_count(length, input->step);
    TbTable *table;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while measuring stations");
    table = g_malloc0(sizeof *table + count * sizeof table->rows[0]);
    table->count = count;
    for (size_t i = 0; i < count; i++)
        table->rows[i] = row_at(input->sweep, tb_measure_station(length, input->step, i));
    *value = table;
    return TB_OK;
}

static const TbSort sort_table = {
    .what = "stations", .make = make_table, .free_value = g_free, .free_input = table_input_free};

TbEntry *
tb_measure_table(TbCache *cache, const TbEntry *form, double step, bool *is_new)
{
    TableInput *input = g_new0(TableInput, 1);
    TbKey *key = tb_key_new(form->serial);

    input->sweep = tb_sweep_ref(form_of(form)->sweep);
    input->step = step;
    tb_key_add_number(key, step);
    return tb_cache_need(cache, key, &sort_table, input, is_new);
}

/* ---- pairs ---- */

typedef struct PairInput {
    TbSolid *a, *b;
    TbSweep *sweep; /* of a, for profiles; or NULL */
    TbDiscs *discs; /* the same */
    double grown;   /* scale of a: stations as drawn times this are stations in the state */
    double width, step;
    TbLeaveOut *leave_out;
    size_t leave_count;
    TbMotion *motion[2]; /* or NULL */
    TbTies ties;
    bool uncertified;
    TbMovingGap *still; /* or NULL */
} PairInput;

static void
pair_input_free(gpointer data)
{
    PairInput *input = data;

    tb_solid_unref(input->a);
    tb_solid_unref(input->b);
    tb_sweep_unref(input->sweep);
    tb_discs_unref(input->discs);
    g_free(input->leave_out);
    g_free(input->motion[0]);
    g_free(input->motion[1]);
    g_free(input->still);
    g_free(input);
}

static PairInput *
pair_input(const TbPairAsk *ask)
{
    const TbForm *a = form_of(ask->a);
    PairInput *input = g_new0(PairInput, 1);

    input->a = tb_solid_ref(a->solid);
    input->b = tb_solid_ref(form_of(ask->b)->solid);
    input->sweep = a->sweep == NULL ? NULL : tb_sweep_ref(a->sweep);
    input->grown = a->grown.scale;
    input->width = ask->width;
    input->leave_count = ask->leave_count;
    input->leave_out = g_memdup2(ask->leave_out, ask->leave_count * sizeof *ask->leave_out);
    for (int s = 0; s < 2; s++)
        input->motion[s] =
            ask->motion[s] == NULL ? NULL : g_memdup2(ask->motion[s], sizeof *ask->motion[s]);
    if (ask->ties != NULL)
        input->ties = *ask->ties;
    input->uncertified = ask->uncertified;
    if (ask->still != NULL) {
        input->still = g_memdup2(ask->still->value, sizeof *input->still);
        for (int s = 0; s < 2; s++)
            if (ask->motion[s] != NULL)
                tb_moving_rest(ask->motion[s], s == 0 ? input->still->at_a : input->still->at_b);
    }
    return input;
}

TbKey *
tb_measure_pair_key(const TbPairAsk *ask)
{
    TbKey *key = tb_key_new(ask->a->serial);

    tb_key_add_word(key, ask->b->serial);
    tb_key_add_number(key, ask->width);
    tb_key_add_word(key, ask->leave_count);
    for (size_t i = 0; i < ask->leave_count; i++) {
        tb_key_add_vec3(key, ask->leave_out[i].port);
        tb_key_add_number(key, ask->leave_out[i].radius);
    }
    return key;
}

void
tb_measure_key_motion(TbKey *key, const TbMotion *motion)
{
    tb_key_add_word(key, motion == NULL ? 0 : (uint64_t)motion->count);
    for (int i = 0; motion != NULL && i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];

        tb_key_add_word(key, (uint64_t)f->kind);
        tb_key_add_vec3(key, f->point);
        tb_key_add_vec3(key, f->direction);
        tb_key_add_number(key, f->low);
        tb_key_add_number(key, f->high);
    }
}

void
tb_measure_key_ties(TbKey *key, const TbTies *ties)
{
    for (int i = 0; ties != NULL && i < ties->count; i++) {
        tb_key_add_word(key, (uint64_t)ties->tie[i].a << 8 | (uint64_t)ties->tie[i].b);
        tb_key_add_word(key, ties->tie[i].opposite);
    }
}

/* A limit inside the interval leaves the level undecided. */
static bool
is_undecided(const TbGap *gap, double limit)
{
    return gap->lower < limit && limit <= gap->upper;
}

static TbStatus
gap_of(const PairInput *input, TbTask *task, TbMovingGap *moving, TbFault *fault)
{
    TbGapAsk ask = {.a = input->a,
                    .b = input->b,
                    .width = input->width,
                    .leave_out = input->leave_out,
                    .leave_out_count = input->leave_count,
                    .hint = INFINITY};
    TbMovingAsk all = {.a = input->a,
                       .b = input->b,
                       .width = input->width,
                       .leave_out = input->leave_out,
                       .leave_out_count = input->leave_count,
                       .known = input->still};
    TbStatus status;

    if (input->motion[0] == NULL && input->motion[1] == NULL)
        return tb_gap(&ask, task, &moving->gap, fault);
    if (input->motion[0] != NULL)
        all.motion_a = *input->motion[0];
    if (input->motion[1] != NULL)
        all.motion_b = *input->motion[1];
    memcpy(all.tie, input->ties.tie, sizeof all.tie);
    all.ties = input->ties.count;
    status = tb_moving_gap(&all, task, moving, fault);
    if (status == TB_OK && input->uncertified)
        moving->gap.certified = false;
    return status;
}

static TbStatus
make_gap(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const PairInput *input = data;
    g_autofree TbMovingGap *moving = g_new0(TbMovingGap, 1);
    TbStatus status = gap_of(input, task, moving, fault);

    if (status != TB_OK)
        return status;
    *value = g_steal_pointer(&moving);
    return TB_OK;
}

static const TbSort sort_gap = {
    .what = "gaps", .make = make_gap, .free_value = g_free, .free_input = pair_input_free};

TbEntry *
tb_measure_gap(TbCache *cache, const TbPairAsk *ask, bool *is_new)
{
    TbKey *key = tb_measure_pair_key(ask);

    tb_measure_key_motion(key, ask->motion[0]);
    tb_measure_key_motion(key, ask->motion[1]);
    tb_measure_key_ties(key, ask->ties);
    tb_key_add_word(key, ask->uncertified);
    tb_key_add_word(key, ask->still == NULL ? 0 : ask->still->serial);
    return tb_cache_need(cache, key, &sort_gap, pair_input(ask), is_new);
}

TbEntry *
tb_measure_still(TbCache *cache, const TbPairAsk *ask, bool *is_new)
{
    TbPairAsk still = *ask;
    double at[TB_MOTION_MOST];

    *is_new = false;
    for (int s = 0; s < 2; s++)
        if (ask->motion[s] != NULL && !tb_moving_rest(ask->motion[s], at))
            return NULL;
    if (ask->motion[0] == NULL && ask->motion[1] == NULL)
        return NULL;
    still.motion[0] = still.motion[1] = NULL;
    still.ties = NULL;
    still.uncertified = false;
    return tb_measure_gap(cache, &still, is_new);
}

TbEntry *
tb_measure_decided(TbCache *cache, const TbPairAsk *ask, TbEntry *gap, bool *is_new)
{
    const TbGap *known = gap->value;
    TbPairAsk closer = *ask;

    *is_new = false;
    if (known->nothing || ask->width <= TB_GAP_WIDTH_LEAST ||
        (!is_undecided(known, ask->keep) && !is_undecided(known, ask->keep + ask->want)))
        return gap;
    closer.width = TB_GAP_WIDTH_LEAST;
    return tb_measure_gap(cache, &closer, is_new);
}

/* ---- profiles ---- */

typedef struct DiscsInput {
    TbSweep *sweep;
    double grown, step;
} DiscsInput;

static void
discs_input_free(gpointer data)
{
    DiscsInput *input = data;

    tb_sweep_unref(input->sweep);
    g_free(input);
}

static void
discs_free(gpointer data)
{
    tb_discs_unref(data);
}

/* Stations as drawn, where they are in the state. */
static double *
stations_of(const TbSweep *sweep, double grown, double step, size_t *count)
{
    double length = tb_sweep_length(sweep) / grown;
    double *stations;

    *count = tb_measure_station_count(length, step);
    stations = g_new(double, *count);
    for (size_t i = 0; i < *count; i++)
        stations[i] = tb_measure_station(length, step, i) * grown;
    return stations;
}

static TbStatus
make_discs(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const DiscsInput *input = data;
    size_t count;
    g_autofree double *stations = stations_of(input->sweep, input->grown, input->step, &count);
    TbDiscs *discs = NULL;
    TbStatus status;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while cutting sections");
    status = tb_discs_new(input->sweep, stations, count, &discs, fault);
    if (status == TB_OK)
        *value = discs;
    return status;
}

static const TbSort sort_discs = {.what = "sections",
                                  .make = make_discs,
                                  .free_value = discs_free,
                                  .free_input = discs_input_free};

TbEntry *
tb_measure_discs(TbCache *cache, const TbEntry *form, double step, bool *is_new)
{
    DiscsInput *input = g_new0(DiscsInput, 1);
    TbKey *key = tb_key_new(form->serial);

    input->sweep = tb_sweep_ref(form_of(form)->sweep);
    input->grown = form_of(form)->grown.scale;
    input->step = step;
    tb_key_add_number(key, step);
    return tb_cache_need(cache, key, &sort_discs, input, is_new);
}

static TbStatus
make_profile(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const PairInput *input = data;
    double length = tb_sweep_length(input->sweep) / input->grown;
    size_t count;
    g_autofree double *stations = stations_of(input->sweep, input->grown, input->step, &count);
    g_autofree TbProfile *profile = g_malloc0(sizeof(TbProfile) + count * sizeof(TbProfilePoint));
    TbProfileAsk ask = {.sweep = input->sweep,
                        .other = input->b,
                        .stations = stations,
                        .count = count,
                        .discs = input->discs,
                        .width = input->width,
                        .leave_out = input->leave_out,
                        .leave_out_count = input->leave_count};
    TbStatus status;

    status = tb_profile(&ask, task, profile->points, fault);
    if (status != TB_OK)
        return status;
    profile->count = count;
    for (size_t i = 0; i < count; i++)
        profile->points[i].station = tb_measure_station(length, input->step, i);
    *value = g_steal_pointer(&profile);
    return TB_OK;
}

static const TbSort sort_profile = {.what = "gaps along the path",
                                    .make = make_profile,
                                    .free_value = g_free,
                                    .free_input = pair_input_free};

TbEntry *
tb_measure_profile(
    TbCache *cache, const TbPairAsk *ask, const TbEntry *discs, double step, bool *is_new)
{
    TbKey *key = tb_measure_pair_key(ask);
    PairInput *input = pair_input(ask);

    TB_ASSERT(input->sweep != NULL);
    input->discs = tb_discs_ref(discs->value);
    input->step = step;
    tb_key_add_number(key, step);
    return tb_cache_need(cache, key, &sort_profile, input, is_new);
}
