/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/seen.h"

#include "geom/tol.h"
#include "study/form.h"

#include <math.h>

typedef struct SeenInput {
    TbSolid *solid;
    const TbCutRings *rings; /* lent by their entry, which is of the same turn; or NULL */
    TbPlane plane;
    double within, step; /* mm; of a grid, if there is one */
} SeenInput;

static void
input_free(gpointer data)
{
    SeenInput *input = data;

    tb_solid_unref(input->solid);
    g_free(input);
}

static void
seen_free(gpointer data)
{
    TbSeen *seen = data;

    tb_cut_clear(&seen->cut);
    g_free(seen);
}

/* What cannot be drawn is told by who draws; only lack of room is no answer. */
static TbStatus
finish(TbStatus status, TbSeen *seen, void **value, TbFault *fault)
{
    if (status == TB_E_MEMORY) {
        *fault = seen->fault;
        seen_free(seen);
        return status;
    }
    *value = seen;
    return TB_OK;
}

static TbStatus
make_cut(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const SeenInput *input = data;
    TbSeen *seen;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while cutting");
    seen = g_new0(TbSeen, 1);
    return finish(tb_cut_add_solid_within(&seen->cut, input->solid, input->plane, input->within,
                                          &seen->fault),
                  seen, value, fault);
}

static TbStatus
make_beyond(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const SeenInput *input = data;
    TbSeen *seen;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while drawing outlines");
    seen = g_new0(TbSeen, 1);
    return finish(tb_cut_add_silhouette_on(&seen->cut, input->solid, input->rings, input->plane,
                                           input->within, input->step, &seen->fault),
                  seen, value, fault);
}

static const TbSort sort_cut = {
    .what = "cuts", .make = make_cut, .free_value = seen_free, .free_input = input_free};

static const TbSort sort_beyond = {
    .what = "outlines", .make = make_beyond, .free_value = seen_free, .free_input = input_free};

static SeenInput *
input_new(const TbEntry *form, TbPlane plane, double within)
{
    SeenInput *input = g_new0(SeenInput, 1);

    input->solid = tb_solid_ref(((const TbForm *)form->value)->solid);
    input->plane = plane;
    input->within = within;
    return input;
}

static TbEntry *
need(TbCache *cache, const TbEntry *form, SeenInput *input, const TbSort *sort)
{
    TbKey *key = tb_key_new(form->serial);

    tb_key_add_vec3(key, input->plane.origin);
    tb_key_add_vec3(key, input->plane.u);
    tb_key_add_vec3(key, input->plane.v);
    tb_key_add_number(key, input->within);
    tb_key_add_number(key, input->step);
    return tb_cache_need(cache, key, sort, input, NULL);
}

TbEntry *
tb_seen_cut(TbCache *cache, const TbEntry *form, TbPlane plane, bool coarse)
{
    return need(cache, form, input_new(form, plane, coarse ? TB_SEEN_MOVING : TB_TOL_CUT),
                &sort_cut);
}

static bool
is_axis(TbVec3 v)
{
    return (v.x != 0) + (v.y != 0) + (v.z != 0) == 1;
}

TbEntry *
tb_seen_beyond(
    TbCache *cache, const TbEntry *form, const TbEntry *rings, TbPlane plane, bool all, bool coarse)
{
    SeenInput *input;

    /* A plane square to an axis, moved along it: no point's place on paper changes, to the last
     * bit, since its height is multiplied by zeros. So one plane before everything will do. */
    if (all && is_axis(plane.u) && is_axis(plane.v))
        plane.origin = tb_vec3_add_scaled(tb_vec3_across(plane.origin, plane.n),
                                          2 * TB_LIMIT_COORDINATE, plane.n);
    input = input_new(form, plane, TB_SEEN_CHORD);
    input->step = coarse && rings != NULL ? TB_SEEN_GRID_MOVING : TB_SEEN_CHORD;
    input->rings = rings == NULL ? NULL : &((const TbSeenRings *)rings->value)->rings;
    return need(cache, form, input, &sort_beyond);
}

/* ---- rings ---- */

static void
rings_free(gpointer data)
{
    TbSeenRings *rings = data;

    tb_cut_rings_clear(&rings->rings);
    tb_sweep_unref(rings->sweep);
    g_free(rings);
}

static TbStatus
make_rings(const void *data, TbTask *task, void **value, TbFault *fault)
{
    TbSweep *sweep = (TbSweep *)(uintptr_t)data;
    TbSeenRings *rings;
    TbStatus status;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while drawing outlines");
    rings = g_new0(TbSeenRings, 1);
    rings->sweep = tb_sweep_ref(sweep);
    status = tb_cut_rings(&rings->rings, sweep, TB_SEEN_CHORD, fault);
    if (status == TB_OK)
        *value = rings;
    else
        rings_free(rings);
    return status;
}

static void
sweep_free(gpointer data)
{
    tb_sweep_unref(data);
}

static const TbSort sort_rings = {
    .what = "outlines", .make = make_rings, .free_value = rings_free, .free_input = sweep_free};

TbEntry *
tb_seen_rings(TbCache *cache, const TbEntry *form)
{
    return tb_cache_need(cache, tb_key_new(form->serial), &sort_rings,
                         tb_sweep_ref(((const TbForm *)form->value)->sweep), NULL);
}

/* ---- centre lines ---- */

static void
trace_free(gpointer data)
{
    TbTrace *trace = data;

    g_free(trace->station);
    g_free(trace->point);
    g_free(trace);
}

static TbStatus
make_trace(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const TbSweep *sweep = data;
    double length = tb_sweep_length(sweep);
    size_t steps = MAX(1, (size_t)ceil(length / TB_SEEN_STEP));
    TbTrace *trace;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while following paths");
    trace = g_new0(TbTrace, 1);
    trace->count = steps + 1;
    trace->station = g_new(double, steps + 1);
    trace->point = g_new(TbVec3, steps + 1);
    for (size_t i = 0; i <= steps; i++) {
        trace->station[i] = length * (double)i / (double)steps;
        trace->point[i] = tb_sweep_place(sweep, trace->station[i]).point;
    }
    *value = trace;
    return TB_OK;
}

static const TbSort sort_trace = {
    .what = "paths", .make = make_trace, .free_value = trace_free, .free_input = sweep_free};

TbEntry *
tb_seen_trace(TbCache *cache, const TbEntry *form)
{
    return tb_cache_need(cache, tb_key_new(form->serial), &sort_trace,
                         tb_sweep_ref(((const TbForm *)form->value)->sweep), NULL);
}
