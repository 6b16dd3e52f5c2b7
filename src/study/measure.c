/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure.h"

#include <math.h>

#define DEG (180 / G_PI)

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
    table = g_malloc(sizeof *table + count * sizeof table->rows[0]);
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

    input->sweep = tb_sweep_ref(tb_form_of(form)->sweep);
    input->step = step;
    tb_key_add_number(key, step);
    return tb_cache_need(cache, key, &sort_table, input, is_new);
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

    input->sweep = tb_sweep_ref(tb_form_of(form)->sweep);
    input->grown = tb_form_of(form)->grown.scale;
    input->step = step;
    tb_key_add_number(key, step);
    return tb_cache_need(cache, key, &sort_discs, input, is_new);
}

typedef struct ProfileInput {
    TbPairInput pair;
    TbSweep *sweep; /* of a */
    TbDiscs *discs; /* the same */
    double grown;   /* scale of a: stations as drawn times this are stations in the state */
    double step;
} ProfileInput;

static void
profile_input_free(gpointer data)
{
    ProfileInput *input = data;

    tb_pair_input_clear(&input->pair);
    tb_sweep_unref(input->sweep);
    tb_discs_unref(input->discs);
    g_free(input);
}

static TbStatus
make_profile(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const ProfileInput *input = data;
    double length = tb_sweep_length(input->sweep) / input->grown;
    size_t count;
    g_autofree double *stations = stations_of(input->sweep, input->grown, input->step, &count);
    g_autofree TbProfile *profile = g_malloc(sizeof(TbProfile) + count * sizeof(TbProfilePoint));
    TbProfileAsk ask = {.sweep = input->sweep,
                        .other = input->pair.b,
                        .stations = stations,
                        .count = count,
                        .discs = input->discs,
                        .width = input->pair.width,
                        .leave_out = input->pair.leave_out,
                        .leave_out_count = input->pair.leave_count};
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
                                    .free_input = profile_input_free};

TbEntry *
tb_measure_profile(
    TbCache *cache, const TbPairAsk *ask, const TbEntry *discs, double step, bool *is_new)
{
    TbKey *key = tb_measure_pair_key(ask);
    const TbForm *form = tb_form_of(ask->a);
    ProfileInput *input = g_new0(ProfileInput, 1);

    TB_ASSERT(form->sweep != NULL);
    tb_pair_input_init(&input->pair, ask);
    input->sweep = tb_sweep_ref(form->sweep);
    input->grown = form->grown.scale;
    input->discs = tb_discs_ref(discs->value);
    input->step = step;
    tb_key_add_number(key, step);
    return tb_cache_need(cache, key, &sort_profile, input, is_new);
}
