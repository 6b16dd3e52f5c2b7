/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure_map.h"

#include "gaps/gap_map.h"
#include "geom/outline.h"

#include <math.h>

/* ---- points ---- */

typedef struct PointsInput {
    TbSweep *sweep;
    size_t columns, rows;
} PointsInput;

static void
points_input_free(gpointer data)
{
    PointsInput *input = data;

    tb_sweep_unref(input->sweep);
    g_free(input);
}

static double
station_of(const TbSweep *sweep, size_t column, size_t columns)
{
    return tb_sweep_length(sweep) * (double)column / (double)(columns - 1);
}

static TbStatus
make_points(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const PointsInput *input = data;
    size_t count = input->columns * input->rows;
    g_autofree TbRingPoints *points = g_malloc0(sizeof *points + count * sizeof points->point[0]);

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while going around sections");
    points->columns = input->columns;
    points->rows = input->rows;
    for (size_t k = 0; k < input->columns; k++) {
        TbDisc disc = tb_sweep_at(input->sweep, station_of(input->sweep, k, input->columns));
        TbStatus status =
            tb_outline_around(&disc, true, input->rows, points->point + k * input->rows);

        if (status != TB_OK)
            return tb_fail(fault, status, "no room to go around %zu sections", input->columns);
    }
    *value = g_steal_pointer(&points);
    return TB_OK;
}

static const TbSort sort_points = {
    .what = "rings", .make = make_points, .free_value = g_free, .free_input = points_input_free};

TbEntry *
tb_measure_ring_points(TbCache *cache, const TbEntry *form, size_t columns, size_t rows)
{
    const TbForm *along = form->value;
    PointsInput *input = g_new0(PointsInput, 1);
    TbKey *key = tb_key_new(form->serial);

    input->sweep = tb_sweep_ref(along->sweep);
    input->columns = columns;
    input->rows = rows;
    tb_key_add_word(key, columns);
    tb_key_add_word(key, rows);
    return tb_cache_need(cache, key, &sort_points, input, NULL);
}

/* ---- cells ---- */

typedef struct CellsInput {
    TbSweep *sweep;
    TbSolid *other;
    const TbRingPoints *points; /* lent by its entry, which is of the same turn */
    double beyond;
    TbLeaveOut *leave_out;
    size_t leave_count;
} CellsInput;

static void
cells_input_free(gpointer data)
{
    CellsInput *input = data;

    tb_sweep_unref(input->sweep);
    tb_solid_unref(input->other);
    g_free(input->leave_out);
    g_free(input);
}

static TbStatus
make_cells(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const CellsInput *input = data;
    size_t columns = input->points->columns, rows = input->points->rows;
    size_t count = columns * rows;
    g_autofree TbGapCells *cells = g_malloc0(sizeof *cells + count * sizeof cells->gap[0]);
    g_autofree double *stations = g_new(double, columns);
    TbGapMapAsk ask = {.sweep = input->sweep,
                       .other = input->other,
                       .stations = stations,
                       .station_count = columns,
                       .angle_count = rows,
                       .points = input->points->point,
                       .beyond = input->beyond,
                       .leave_out = input->leave_out,
                       .leave_out_count = input->leave_count};
    double nearest;
    TbStatus status;

    for (size_t i = 0; i < columns; i++)
        stations[i] = station_of(input->sweep, i, columns);
    status = tb_gap_map(&ask, task, cells->gap, &nearest, fault);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < count; i++)
        if (!(cells->gap[i] <= input->beyond))
            cells->gap[i] = (double)INFINITY;
    cells->columns = columns;
    cells->rows = rows;
    *value = g_steal_pointer(&cells);
    return TB_OK;
}

static const TbSort sort_cells = {
    .what = "gap maps", .make = make_cells, .free_value = g_free, .free_input = cells_input_free};

TbEntry *
tb_measure_gap_cells(TbCache *cache, const TbGapCellsAsk *ask, bool *is_new)
{
    const TbForm *along = ask->pair.a->value, *other = ask->pair.b->value;
    CellsInput *input = g_new0(CellsInput, 1);
    TbKey *key = tb_measure_pair_key(&ask->pair);

    TB_ASSERT(along->sweep != NULL && other->solid != NULL && ask->points->value != NULL);
    input->sweep = tb_sweep_ref(along->sweep);
    input->other = tb_solid_ref(other->solid);
    input->points = ask->points->value;
    input->beyond = ask->beyond;
    input->leave_count = ask->pair.leave_count;
    input->leave_out =
        g_memdup2(ask->pair.leave_out, ask->pair.leave_count * sizeof *ask->pair.leave_out);
    tb_key_add_word(key, ask->points->serial);
    tb_key_add_number(key, ask->beyond);
    return tb_cache_need(cache, key, &sort_cells, input, is_new);
}
