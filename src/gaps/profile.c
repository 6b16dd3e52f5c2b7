/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/profile.h"

#include "gaps/inside_private.h"
#include "gaps/search_private.h"
#include "geom/tol.h"

#include <stdatomic.h>

/** Stations that are done in a row by one thread: a bound is carried from one to the next, and the
 * rows are the same for any number of threads. */
#define ROW 16

typedef struct Job {
    const TbProfileAsk *ask;
    TbTask *task;
    TbProfilePoint *points;
    TbKept kept;
    atomic_int status;
} Job;

/** Whether a station is near a port. One beyond an end, by rounding or not, is the end. */
static bool
is_left_out(const Job *job, double station)
{
    double s = fmin(fmax(station, 0), tb_sweep_length(job->ask->sweep));

    return s < job->kept.from || s > job->kept.to;
}

/** What one row works with. */
typedef struct Row {
    TbField section, other;
    TbSearch search;
    TbDisc disc;
    TbConvex body;
} Row;

static TbStatus
search_station(Row *row, TbProfilePoint *point, TbWitness *last)
{
    TbSearch *search = &row->search;
    TbStatus status;

    tb_field__renew_body(&row->section);
    tb_search__again(search);
    if (last->node_b != UINT32_MAX)
        tb_search__try(search, 0, last->node_b, 0, last->share_b);
    status = tb_search__push(search, 0, row->other.root, tb_vec3(0, 0, 0));
    if (status == TB_OK)
        status = tb_search__run(search);
    if (status != TB_OK)
        return status;
    *last = search->witness;
    point->point_a = search->witness.point_a;
    point->point_b = search->witness.point_b;
    point->angle = tb_disc_angle(&row->disc, point->point_a);
    if (search->met || tb_inside__any_mesh(&row->other, point->point_a)) {
        point->lower = point->upper = 0;
    } else {
        point->lower = fmax(0, tb_search__lower(search));
        point->upper = search->upper;
    }
    return TB_OK;
}

static TbStatus
run_row(Row *row, const Job *job, size_t from, size_t to)
{
    const TbProfileAsk *ask = job->ask;
    TbWitness last = {.node_b = UINT32_MAX};
    TbStatus status = TB_OK;

    for (size_t i = from; i < to && status == TB_OK; i++) {
        TbProfilePoint *point = &job->points[i];

        *point = (TbProfilePoint){.station = ask->stations[i], .lower = INFINITY};
        point->upper = INFINITY;
        point->left_out = is_left_out(job, ask->stations[i]);
        if (point->left_out || row->other.empty)
            continue;
        row->disc = tb_sweep_at(ask->sweep, ask->stations[i]);
        status = search_station(row, point, &last);
    }
    return status;
}

static TbStatus
start_row(Row *row, const Job *job)
{
    const TbProfileAsk *ask = job->ask;
    TbStatus status;

    row->disc = tb_sweep_at(ask->sweep, 0);
    row->body = tb_convex_of_disc(&row->disc, true);
    status = tb_field__of_body(&row->section, &row->body);
    if (status == TB_OK)
        status = tb_field__of_solid(&row->other, ask->other, ask->leave_out, ask->leave_out_count);
    tb_search__start(&row->search, &row->section, &row->other,
                     fmax(ask->width, TB_GAP_WIDTH_LEAST));
    row->search.task = job->task;
    return status;
}

static void
run_rows(void *data, size_t from, size_t to, int worker)
{
    Job *job = data;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        Row row = {.section = {.empty = true}, .other = {.empty = true}};
        size_t end = (i + 1) * ROW < job->ask->count ? (i + 1) * ROW : job->ask->count;
        TbStatus status = start_row(&row, job);

        if (status == TB_OK)
            status = run_row(&row, job, i * ROW, end);
        tb_search__clear(&row.search);
        tb_field__clear(&row.section);
        tb_field__clear(&row.other);
        if (status != TB_OK)
            atomic_store(&job->status, (int)status);
    }
}

TbStatus
tb_profile(const TbProfileAsk *ask, TbTask *task, TbProfilePoint points[], TbFault *fault)
{
    Job job = {.ask = ask, .task = task, .points = points};
    size_t rows = (ask->count + ROW - 1) / ROW;
    TbStatus status;

    atomic_init(&job.status, TB_OK);
    job.kept = tb_field__kept(ask->sweep, ask->leave_out, ask->leave_out_count);
    status = tb_work_for(ask->work, task, rows, 1, run_rows, &job);
    if (status == TB_OK)
        status = (TbStatus)atomic_load(&job.status);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while a gap was followed along a path");
    return status == TB_OK
               ? TB_OK
               : tb_fail(fault, status, "no room to follow a gap along %zu stations", ask->count);
}
