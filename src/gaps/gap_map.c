/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/gap_map.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "gaps/search_private.h"
#include "geom/tol.h"

#include <stdatomic.h>

typedef struct Job {
    const TbGapMapAsk *ask;
    TbTask *task;
    double *gap;
    TbSolid *sweeps; /**< of the other solid, alone */
    atomic_int status;
} Job;

/** What one station works with. Plain shapes and meshes are asked directly; the solid's sweeps are
 * searched, all in one field. */
typedef struct Ring {
    const TbGapMapAsk *ask;
    TbField point, sweeps;
    TbConvex body;
    TbSearch search;
    TbWitness last;
} Ring;

/** Least distance to the plain shapes and meshes; 0 inside. */
static double
distance_to_exact(const TbSolid *solid, TbVec3 p, double beyond)
{
    double least = INFINITY;

    for (size_t i = 0; i < tb_solid_part_count(solid) && least > 0; i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind == TB_PART_PLAIN)
            least = fmin(least, fmax(0, tb_plain_distance(&part->plain, p)));
        if (part->kind != TB_PART_MESH)
            continue;
        least = fmin(least, tb_tree_nearest(part->tree, p, fmin(least, beyond)).nearest.distance);
        if (tb_inside__is_in(part, p))
            least = 0;
    }
    return least;
}

/** Least distance to the sweeps as far as it is below @p beyond; else anything above. */
static TbStatus
distance_to_sweeps(Ring *ring, TbVec3 p, double beyond, double *distance)
{
    TbSearch *search = &ring->search;
    TbStatus status;

    ring->body = tb_convex_of_point(p);
    tb_field__renew_body(&ring->point);
    tb_search__again(search);
    /* what is further than this need not be followed */
    search->hint = beyond + search->width;
    if (ring->last.node_b != UINT32_MAX)
        tb_search__try(search, 0, ring->last.node_b, 0, ring->last.share_b);
    status = tb_search__push(search, 0, ring->sweeps.root, tb_vec3(0, 0, 0));
    if (status == TB_OK)
        status = tb_search__run(search);
    ring->last = search->witness;
    *distance = search->met ? 0 : search->upper;
    return status;
}

static TbStatus
run_ring(Ring *ring, const TbDisc *disc, double gap[])
{
    const TbGapMapAsk *ask = ring->ask;
    double step = 2 * M_PI / (double)ask->angle_count;
    TbStatus status = TB_OK;

    for (size_t k = 0; k < ask->angle_count && status == TB_OK; k++) {
        TbVec3 p = tb_disc_point(disc, -M_PI + ((double)k + 0.5) * step, true, NULL);
        double swept = INFINITY, least = distance_to_exact(ask->other, p, ask->beyond);

        if (!ring->sweeps.empty && least > 0)
            status = distance_to_sweeps(ring, p, fmin(least, ask->beyond), &swept);
        least = fmin(least, swept);
        gap[k] = least <= ask->beyond ? least : fmax(ask->beyond, fmin(least, 2 * ask->beyond));
    }
    return status;
}

/** The sweeps of a solid alone, as a solid of their own: NULL when there is no room. */
static TbSolid *
sweeps_of(const TbSolid *solid)
{
    TbSolid *only = tb_solid_new();

    for (size_t i = 0; i < tb_solid_part_count(solid) && only != NULL; i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind == TB_PART_SWEEP &&
            tb_solid_add_sweep(only, part->sweep, part->role, NULL) != TB_OK) {
            tb_solid_unref(only);
            return NULL;
        }
    }
    return only;
}

static TbStatus
start_ring(Ring *ring, const TbSolid *sweeps)
{
    TbStatus status;

    ring->body = tb_convex_of_point(tb_vec3(0, 0, 0));
    status = tb_field__of_body(&ring->point, &ring->body);
    if (status == TB_OK)
        status = tb_field__of_solid(&ring->sweeps, sweeps, NULL, 0);
    tb_search__start(&ring->search, &ring->point, &ring->sweeps, TB_GAP_WIDTH);
    ring->last.node_b = UINT32_MAX;
    return status;
}

static TbStatus
run_station(const Job *job, size_t i)
{
    const TbGapMapAsk *ask = job->ask;
    Ring ring = {.ask = ask, .point = {.empty = true}, .sweeps = {.empty = true}};
    TbDisc disc = tb_sweep_at(ask->sweep, ask->stations[i]);
    TbStatus status = start_ring(&ring, job->sweeps);

    if (status == TB_OK)
        status = run_ring(&ring, &disc, job->gap + i * ask->angle_count);
    tb_search__clear(&ring.search);
    tb_field__clear(&ring.point);
    tb_field__clear(&ring.sweeps);
    return status;
}

static void
run_stations(void *data, size_t from, size_t to, int worker)
{
    Job *job = data;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        TbStatus status = run_station(job, i);

        if (status != TB_OK)
            atomic_store(&job->status, (int)status);
    }
}

TbStatus
tb_gap_map(const TbGapMapAsk *ask, TbTask *task, double gap[], double *nearest, TbFault *fault)
{
    Job job = {.ask = ask, .task = task, .gap = gap};
    TbStatus status;
    double least = INFINITY;

    job.sweeps = tb_inside__prepare(ask->other) == TB_OK ? sweeps_of(ask->other) : NULL;
    if (job.sweeps == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a gap map");
    atomic_init(&job.status, TB_OK);
    status = tb_work_for(ask->work, task, ask->station_count, 1, run_stations, &job);
    tb_solid_unref(job.sweeps);
    if (status == TB_OK)
        status = (TbStatus)atomic_load(&job.status);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while a gap map was made");
    if (status != TB_OK)
        return tb_fail(fault, status, "no room for a gap map of %zu stations", ask->station_count);
    for (size_t i = 0; i < ask->station_count * ask->angle_count; i++)
        least = fmin(least, gap[i]);
    *nearest = least;
    return TB_OK;
}
