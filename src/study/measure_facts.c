/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure_facts.h"

#include "geom/tol.h"
#include "study/form.h"
#include "study/moments.h"

#include <math.h>

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
    TbSweepFolds folds;
    TbStatus status;

    facts->length = tb_sweep_length(sweep);
    facts->shrinks = tb_sweep_shrinks(sweep);
    facts->cone = tb_sweep_cone(sweep, input->limits.cone);
    folds = tb_sweep_folds(sweep, input->limits.fold);
    facts->fold_inner = folds.inner;
    facts->fold_outer = folds.outer;
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
    if (tb_form_of(form)->sweep != NULL && tb_cache_is_fresh(cache, form))
        g_free(tb_moments_of(cache, tb_form_of(form)->sweep));
}

TbEntry *
tb_measure_facts(TbCache *cache, const TbEntry *form, const TbSweepLimits *limits, bool *is_new)
{
    FactsInput *input = g_new0(FactsInput, 1);
    TbKey *key = tb_key_new(form->serial);
    TbEntry *entry;
    bool promised;

    input->sweep = tb_sweep_ref(tb_form_of(form)->sweep);
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
