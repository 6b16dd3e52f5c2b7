/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/gap_map.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "gaps/search_private.h"
#include "geom/tol.h"

#include <stdatomic.h>

/** Stations that are done together: as many as a packet of neighbours on a fine map is tall. */
#define BAND 16

typedef struct Job {
    const TbGapMapAsk *ask;
    double *gap;
    TbKept kept;           /**< stations that are not left out */
    const TbSolid *sweeps; /**< of the other solid, alone */
    TbBox3 sweeps_box;
    atomic_int status;
} Job;

/** Some stations' points, and the least distances found so far, in the order of the map. */
typedef struct Band {
    const TbGapMapAsk *ask;
    size_t rows, count;
    const TbVec3 *point;
    TbVec3 *own; /**< points, where none are given */
    double *gap;
    double
        *limit; /**< a mesh at hand: how far it need be looked for; then how far it is at least */
    TbTreeHit *hit;
    signed char *inside; /**< the mesh at hand; -1: not known */
    TbBox3 box;
} Band;

/** What a band's sweeps work with, all in one field; of one station at a time. */
typedef struct Ring {
    TbField point, sweeps;
    TbConvex body;
    TbSearch search;
    TbWitness last;
} Ring;

/* ---- plain shapes ---- */

/** mm, squared: nothing beyond matters at a point. */
static double
cut2_at(const Band *band, size_t i)
{
    double cut = fmin(band->gap[i], band->ask->beyond) + TB_TOL_ROUND;

    return cut * cut;
}

static void
lower_by_plain(Band *band, const TbPart *part)
{
    TbBox3 box = tb_solid_part_box(part);
    double far = band->ask->beyond + TB_TOL_ROUND;

    if (tb_box3_distance2(box, band->box) > far * far)
        return;
    for (size_t i = 0; i < band->count; i++)
        if (tb_box3_point_distance2(box, band->point[i]) <= cut2_at(band, i))
            band->gap[i] =
                fmin(band->gap[i], fmax(0, tb_plain_distance(&part->plain, band->point[i])));
}

/* ---- meshes ---- */

/** Where the way between two points is shorter than the way of one to the mesh, the mesh is not
 * between them. */
static bool
is_one_side(const Band *band, size_t i, size_t k)
{
    double way = tb_vec3_distance(band->point[i], band->point[k]) + 2 * TB_TOL_ROUND;

    return band->inside[k] >= 0 && way < fmax(band->limit[i], band->limit[k]);
}

static bool
is_in(Band *band, const TbPart *part, bool closed, size_t i)
{
    size_t columns = band->ask->angle_count;

    /* the lid of a hole would be between two points unseen: of closed meshes only */
    if (closed && i % columns > 0 && is_one_side(band, i, i - 1))
        return band->inside[i - 1] > 0;
    if (closed && i >= columns && is_one_side(band, i, i - columns))
        return band->inside[i - columns] > 0;
    return tb_inside__is_in(part, band->point[i]);
}

static void
lower_by_mesh(Band *band, const TbPart *part)
{
    TbTreeLattice lattice = {band->point, band->rows, band->ask->angle_count, band->limit};
    bool closed = tb_mesh_facts(tb_tree_mesh(part->tree)).closed;

    for (size_t i = 0; i < band->count; i++)
        band->limit[i] = fmin(band->gap[i], band->ask->beyond);
    tb_tree_nearest_many(part->tree, &lattice, band->hit);
    for (size_t i = 0; i < band->count; i++) {
        double distance = band->hit[i].nearest.distance;

        band->limit[i] = fmin(band->limit[i], distance);
        band->inside[i] = -1;
        band->gap[i] = fmin(band->gap[i], distance);
        if (!(band->gap[i] > 0))
            continue;
        band->inside[i] = is_in(band, part, closed, i);
        if (band->inside[i] > 0)
            band->gap[i] = 0;
    }
}

/* ---- sweeps ---- */

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

static bool
has_others(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++)
        if (tb_solid_part(solid, i)->kind != TB_PART_SWEEP)
            return true;
    return false;
}

/** The sweeps of a solid alone: itself, or a solid of their own, which is also @p made. False when
 * there is no room. */
static bool
take_sweeps(Job *job, const TbSolid *solid, TbSolid **made)
{
    *made = NULL;
    job->sweeps = solid;
    if (!has_others(solid))
        return true;
    job->sweeps = *made = tb_solid_new();
    for (size_t i = 0; i < tb_solid_part_count(solid) && *made != NULL; i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind == TB_PART_SWEEP &&
            tb_solid_add_sweep(*made, part->sweep, part->role, NULL) != TB_OK)
            return false;
    }
    return *made != NULL;
}

static TbStatus
start_ring(Ring *ring, const Job *job)
{
    TbStatus status;

    ring->body = tb_convex_of_point(tb_vec3(0, 0, 0));
    status = tb_field__of_body(&ring->point, &ring->body);
    if (status == TB_OK)
        status = tb_field__of_solid(&ring->sweeps, job->sweeps, job->ask->leave_out,
                                    job->ask->leave_out_count);
    tb_search__start(&ring->search, &ring->point, &ring->sweeps,
                     job->ask->width > 0 ? job->ask->width : TB_GAP_WIDTH);
    return status;
}

/** One station of a band: what is not nearer than what is known already need not be followed. */
static TbStatus
lower_station(Band *band, const Job *job, Ring *ring, size_t row)
{
    TbStatus status = TB_OK;
    size_t columns = band->ask->angle_count;

    ring->last.node_b = UINT32_MAX;
    for (size_t i = row * columns; i < (row + 1) * columns && status == TB_OK; i++) {
        double swept;

        if (!(band->gap[i] > 0) ||
            tb_box3_point_distance2(job->sweeps_box, band->point[i]) > cut2_at(band, i))
            continue;
        status =
            distance_to_sweeps(ring, band->point[i], fmin(band->gap[i], band->ask->beyond), &swept);
        band->gap[i] = fmin(band->gap[i], swept);
    }
    return status;
}

static TbStatus
lower_by_sweeps(Band *band, const Job *job)
{
    Ring ring = {.point = {.empty = true}, .sweeps = {.empty = true}};
    double far = band->ask->beyond + TB_TOL_ROUND;
    TbStatus status;

    if (!(tb_box3_distance2(job->sweeps_box, band->box) <= far * far))
        return TB_OK;
    status = start_ring(&ring, job);
    for (size_t row = 0; row < band->rows && status == TB_OK && !ring.sweeps.empty; row++)
        status = lower_station(band, job, &ring, row);
    tb_search__clear(&ring.search);
    tb_field__clear(&ring.point);
    tb_field__clear(&ring.sweeps);
    return status;
}

/* ---- bands ---- */

/** What is judged of the other solid, and of which kind. */
static bool
is_kind(const TbGapMapAsk *ask, size_t i, TbPartKind kind)
{
    const TbPart *part = tb_solid_part(ask->other, i);

    return part->kind == kind && !tb_field__is_left_out(part, ask->leave_out, ask->leave_out_count);
}

static void
clear_band(Band *band)
{
    tb_free(band->own);
    tb_free(band->limit);
    tb_free(band->hit);
    tb_free(band->inside);
}

/** Points by the normals' angles, where none are given. */
static TbVec3 *
points_of(const TbGapMapAsk *ask, size_t first, size_t rows)
{
    double step = 2 * M_PI / (double)ask->angle_count;
    TbVec3 *points = tb_alloc_array(rows * ask->angle_count, sizeof *points);

    for (size_t row = 0; row < rows && points != NULL; row++) {
        TbDisc disc = tb_sweep_at(ask->sweep, ask->stations[first + row]);

        for (size_t k = 0; k < ask->angle_count; k++)
            points[row * ask->angle_count + k] =
                tb_disc_point(&disc, -M_PI + ((double)k + 0.5) * step, true, NULL);
    }
    return points;
}

static TbStatus
start_band(Band *band, const Job *job, size_t first)
{
    const TbGapMapAsk *ask = job->ask;

    band->ask = ask;
    band->rows = ask->station_count - first < BAND ? ask->station_count - first : BAND;
    band->count = band->rows * ask->angle_count;
    band->gap = job->gap + first * ask->angle_count;
    band->own = ask->points == NULL ? points_of(ask, first, band->rows) : NULL;
    band->point = ask->points != NULL ? ask->points + first * ask->angle_count : band->own;
    if (band->point == NULL)
        return TB_E_MEMORY;
    band->box = tb_box3_empty();
    for (size_t i = 0; i < band->count; i++) {
        band->gap[i] = (double)INFINITY;
        band->box = tb_box3_with_point(band->box, band->point[i]);
    }
    return TB_OK;
}

/** Room for what meshes need. */
static TbStatus
start_meshes(Band *band)
{
    if (band->limit == NULL) {
        band->limit = tb_alloc_array(band->count, sizeof *band->limit);
        band->hit = tb_alloc_array(band->count, sizeof *band->hit);
        band->inside = tb_alloc_array(band->count, sizeof *band->inside);
    }
    return band->limit != NULL && band->hit != NULL && band->inside != NULL ? TB_OK : TB_E_MEMORY;
}

/** Whether a station is near a port. One beyond an end, by rounding or not, is the end. */
static bool
is_left_out(const Job *job, double station)
{
    double s = fmin(fmax(station, 0), tb_sweep_length(job->ask->sweep));

    return s < job->kept.from || s > job->kept.to;
}

static TbStatus
run_band(const Job *job, size_t first)
{
    const TbGapMapAsk *ask = job->ask;
    Band band = {.rows = 0};
    TbStatus status = start_band(&band, job, first);

    for (size_t i = 0; i < tb_solid_part_count(ask->other) && status == TB_OK; i++)
        if (is_kind(ask, i, TB_PART_PLAIN))
            lower_by_plain(&band, tb_solid_part(ask->other, i));
    for (size_t i = 0; i < tb_solid_part_count(ask->other) && status == TB_OK; i++)
        if (is_kind(ask, i, TB_PART_MESH)) {
            status = start_meshes(&band);
            if (status == TB_OK)
                lower_by_mesh(&band, tb_solid_part(ask->other, i));
        }
    if (status == TB_OK)
        status = lower_by_sweeps(&band, job);
    for (size_t i = 0; i < band.count && status == TB_OK; i++)
        if (!(band.gap[i] <= ask->beyond))
            band.gap[i] = 2 * ask->beyond;
    for (size_t row = 0; row < band.rows && status == TB_OK; row++)
        if (is_left_out(job, ask->stations[first + row]))
            for (size_t k = 0; k < ask->angle_count; k++)
                band.gap[row * ask->angle_count + k] = (double)NAN;
    clear_band(&band);
    return status;
}

static void
run_bands(void *data, size_t from, size_t to, int worker)
{
    Job *job = data;

    (void)worker;
    for (size_t i = from; i < to; i += BAND) {
        TbStatus status = run_band(job, i);

        if (status != TB_OK)
            atomic_store(&job->status, (int)status);
    }
}

TbStatus
tb_gap_map(const TbGapMapAsk *ask, TbTask *task, double gap[], double *nearest, TbFault *fault)
{
    Job job = {.ask = ask,
               .gap = gap,
               .kept = tb_field__kept(ask->sweep, ask->leave_out, ask->leave_out_count)};
    TbSolid *made = NULL;
    TbStatus status;
    double least = INFINITY;

    if (tb_inside__prepare(ask->other) != TB_OK || !take_sweeps(&job, ask->other, &made)) {
        tb_solid_unref(made);
        return tb_fail(fault, TB_E_MEMORY, "no room for a gap map");
    }
    job.sweeps_box = tb_solid_box(job.sweeps);
    atomic_init(&job.status, TB_OK);
    status = tb_work_for(ask->work, task, ask->station_count, BAND, run_bands, &job);
    tb_solid_unref(made);
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
