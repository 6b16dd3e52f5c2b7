/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure_map.h"

#include "gaps/gap_map.h"
#include "gaps/moving_map.h"
#include "geom/outline.h"

#include <math.h>
#include <string.h>

/* ---- points ---- */

typedef struct PointsInput {
    TbSweep *sweep;
    size_t columns, rows;
    double sagitta;
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
        TbStatus status = tb_outline_around(&disc, true, input->rows, input->sagitta,
                                            points->point + k * input->rows);

        if (status != TB_OK)
            return tb_fail(fault, status, "no room to go around %zu sections", input->columns);
    }
    *value = g_steal_pointer(&points);
    return TB_OK;
}

static const TbSort sort_points = {
    .what = "rings", .make = make_points, .free_value = g_free, .free_input = points_input_free};

TbEntry *
tb_measure_ring_points(
    TbCache *cache, const TbEntry *form, size_t columns, size_t rows, double sagitta)
{
    const TbForm *along = form->value;
    PointsInput *input = g_new0(PointsInput, 1);
    TbKey *key = tb_key_new(form->serial);

    input->sweep = tb_sweep_ref(along->sweep);
    input->columns = columns;
    input->rows = rows;
    input->sagitta = sagitta;
    tb_key_add_word(key, columns);
    tb_key_add_word(key, rows);
    tb_key_add_number(key, sagitta);
    return tb_cache_need(cache, key, &sort_points, input, NULL);
}

/* ---- cells ---- */

typedef struct CellsInput {
    TbSweep *sweep;
    TbSolid *other;
    const TbRingPoints *points; /* lent by its entry, which is of the same turn */
    double beyond, width;
    TbLeaveOut *leave_out;
    size_t leave_count;
} CellsInput;

static TbGapCells *
new_cells(const TbRingPoints *points)
{
    size_t count = points->columns * points->rows;
    TbGapCells *cells = g_malloc0(sizeof *cells + count * sizeof cells->gap[0]);

    cells->columns = points->columns;
    cells->rows = points->rows;
    return cells;
}

static double *
new_stations(const TbSweep *sweep, const TbRingPoints *points)
{
    double *stations = g_new(double, points->columns);

    for (size_t i = 0; i < points->columns; i++)
        stations[i] = station_of(sweep, i, points->columns);
    return stations;
}

static void
drop_beyond(TbGapCells *cells, double beyond)
{
    for (size_t i = 0; i < cells->columns * cells->rows; i++)
        if (!(cells->gap[i] <= beyond))
            cells->gap[i] = (double)INFINITY;
}

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
    g_autofree TbGapCells *cells = new_cells(input->points);
    g_autofree double *stations = new_stations(input->sweep, input->points);
    TbGapMapAsk ask = {.sweep = input->sweep,
                       .other = input->other,
                       .stations = stations,
                       .station_count = cells->columns,
                       .angle_count = cells->rows,
                       .points = input->points->point,
                       .beyond = input->beyond,
                       .width = input->width,
                       .leave_out = input->leave_out,
                       .leave_out_count = input->leave_count};
    double nearest;
    TbStatus status;

    status = tb_gap_map(&ask, task, cells->gap, &nearest, fault);
    if (status != TB_OK)
        return status;
    drop_beyond(cells, input->beyond);
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
    input->width = ask->width;
    input->leave_count = ask->pair.leave_count;
    input->leave_out =
        g_memdup2(ask->pair.leave_out, ask->pair.leave_count * sizeof *ask->pair.leave_out);
    tb_key_add_word(key, ask->points->serial);
    tb_key_add_number(key, ask->beyond);
    tb_key_add_number(key, ask->width);
    return tb_cache_need(cache, key, &sort_cells, input, is_new);
}

/* ---- over a motion ---- */

typedef struct MovingInput {
    TbMovingInput *moving;
    const TbRingPoints *points; /* lent by its entry, which is of the same turn */
    TbSweep *sweep;
    double beyond, keep;
} MovingInput;

static void
moving_input_free(gpointer data)
{
    MovingInput *input = data;

    tb_moving_input_free(input->moving);
    tb_sweep_unref(input->sweep);
    g_free(input);
}

/* mm. Points stand inside of the outline by TB_OUTLINE_SAGITTA, which no warmth makes a tenth more.
 */
#define ON_CHORD (1.1 * TB_OUTLINE_SAGITTA)

/* An end less what else there is, no further in than at the surface. What is left out, NAN, stays.
 */
static double
less(double end, double off)
{
    return isnan(end) ? end : fmax(0, end - off);
}

/* The widest interval that the keep lies in or ends at. */
static double
proved_at(const TbGapCells *cells, const double upper[], double keep)
{
    double widest = TB_MOVING_MAP_FINE + 2 * ON_CHORD;

    for (size_t i = 0; i < cells->columns * cells->rows; i++)
        if (cells->gap[i] <= keep && upper[i] >= keep)
            widest = fmax(widest, upper[i] - cells->gap[i]);
    return widest;
}

static TbStatus
make_moving_cells(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const MovingInput *input = data;
    g_autofree TbGapCells *cells = new_cells(input->points);
    g_autofree double *stations = new_stations(input->sweep, input->points);
    g_autofree double *upper = g_new(double, cells->columns * cells->rows);
    TbScatterMotion motion;
    TbMovingMapAsk ask = {.moving = &motion.moving,
                          .stations = stations,
                          .station_count = cells->columns,
                          .angle_count = cells->rows,
                          .points = input->points->point};
    TbStatus status = tb_moving_input_motion(input->moving, &motion, fault);

    if (status == TB_OK) {
        ask.beyond = input->beyond + motion.off + motion.slack + ON_CHORD;
        ask.level = input->keep + motion.off + motion.slack + ON_CHORD;
        status = tb_moving_map(&ask, task, cells->gap, upper, fault);
    }
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < cells->columns * cells->rows; i++) {
        cells->gap[i] = less(cells->gap[i], motion.off + motion.slack + ON_CHORD);
        upper[i] = less(upper[i], motion.off - motion.slack - ON_CHORD);
    }
    cells->proved = proved_at(cells, upper, input->keep);
    drop_beyond(cells, input->beyond);
    *value = g_steal_pointer(&cells);
    return TB_OK;
}

static const TbSort sort_moving_cells = {.what = "gap maps",
                                         .make = make_moving_cells,
                                         .free_value = g_free,
                                         .free_input = moving_input_free};

TbEntry *
tb_measure_moving_cells(
    TbCache *cache, const TbMovingAlong *along, const TbEntry *points, double beyond, bool *is_new)
{
    const TbForm *form = along->pair.a->value;
    MovingInput *input = g_new0(MovingInput, 1);
    TbKey *key = tb_measure_moving_key(along);

    TB_ASSERT(form->sweep != NULL && points->value != NULL);
    input->moving = tb_moving_input_of(along);
    input->points = points->value;
    input->sweep = tb_sweep_ref(form->sweep);
    input->beyond = beyond;
    input->keep = along->pair.keep;
    tb_key_add_word(key, points->serial);
    tb_key_add_number(key, beyond);
    tb_key_add_number(key, along->pair.keep);
    return tb_cache_need(cache, key, &sort_moving_cells, input, is_new);
}
