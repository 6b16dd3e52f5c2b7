/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure_map.h"

#include "gaps/gap_map.h"

#include <math.h>

typedef struct CellsInput {
    TbSweep *sweep;
    TbSolid *other;
    size_t columns, rows;
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
    size_t count = input->columns * input->rows;
    g_autofree TbGapCells *cells = g_malloc0(sizeof *cells + count * sizeof cells->gap[0]);
    g_autofree double *stations = g_new(double, input->columns);
    double length = tb_sweep_length(input->sweep);
    TbGapMapAsk ask = {.sweep = input->sweep,
                       .other = input->other,
                       .stations = stations,
                       .station_count = input->columns,
                       .angle_count = input->rows,
                       .beyond = input->beyond,
                       .leave_out = input->leave_out,
                       .leave_out_count = input->leave_count};
    double nearest;
    TbStatus status;

    for (size_t i = 0; i < input->columns; i++)
        stations[i] = length * (double)i / (double)(input->columns - 1);
    status = tb_gap_map(&ask, task, cells->gap, &nearest, fault);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < count; i++)
        if (!(cells->gap[i] <= input->beyond))
            cells->gap[i] = (double)INFINITY;
    cells->columns = input->columns;
    cells->rows = input->rows;
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

    TB_ASSERT(along->sweep != NULL && other->solid != NULL);
    input->sweep = tb_sweep_ref(along->sweep);
    input->other = tb_solid_ref(other->solid);
    input->columns = ask->columns;
    input->rows = ask->rows;
    input->beyond = ask->beyond;
    input->leave_count = ask->pair.leave_count;
    input->leave_out =
        g_memdup2(ask->pair.leave_out, ask->pair.leave_count * sizeof *ask->pair.leave_out);
    tb_key_add_word(key, ask->columns);
    tb_key_add_word(key, ask->rows);
    tb_key_add_number(key, ask->beyond);
    return tb_cache_need(cache, key, &sort_cells, input, is_new);
}
