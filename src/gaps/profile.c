/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/profile.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "gaps/scan.h"
#include "gaps/scan_parts_private.h"
#include "gaps/walk_private.h"
#include "geom/tol.h"

#include <stdatomic.h>

/** Stations that are done in a row by one thread: what one learns the next one starts from, and the
 * rows are the same for any number of threads. */
#define ROW 128

typedef struct Job {
    const TbProfileAsk *ask;
    TbTask *task;
    TbProfilePoint *points;
    const TbDiscs *discs;
    TbKept kept;
    TbScanNear *scanned; /**< of each station, the solid's meshes; NULL: it has none */
    atomic_int status;
} Job;

/** Whether a station is near a port. One beyond an end, by rounding or not, is the end. */
static bool
is_left_out(const Job *job, double station)
{
    double s = fmin(fmax(station, 0), tb_sweep_length(job->ask->sweep));

    return s < job->kept.from || s > job->kept.to;
}

void
tb_profile_kept(
    const TbSweep *sweep, const TbLeaveOut leave_out[], size_t count, double *from, double *to)
{
    TbKept kept = tb_field__kept(sweep, leave_out, count);

    *from = kept.from;
    *to = kept.to;
}

/** What one row works with. */
typedef struct Row {
    TbField other; /**< without meshes */
    TbWalk walk;
    struct Side {
        TbVec3 point;
        double free; /**< mm: no mesh is nearer */
        bool inside, known;
    } side; /**< of the last station: in a mesh, or not */
} Row;

/** The search of one section best first: slower, and it finds where two bodies meet. */
static TbStatus
search_section(const Row *row, const Job *job, const TbDisc *disc, TbProfilePoint *point)
{
    const TbProfileAsk *ask = job->ask;
    TbConvex body = tb_convex_of_disc(disc, true);
    TbField section, other = {.empty = true};
    TbSearch search = {.upper = INFINITY};
    TbStatus status = tb_field__of_body(&section, &body);

    if (status == TB_OK)
        status = tb_field__of_solid(&other, ask->other, ask->leave_out, ask->leave_out_count);
    if (status == TB_OK) {
        tb_search__start(&search, &section, &other, row->walk.width);
        search.task = job->task;
        status = tb_search__push(&search, 0, other.root, tb_vec3(0, 0, 0));
    }
    if (status == TB_OK)
        status = tb_search__run(&search);
    point->point_a = search.witness.point_a;
    point->point_b = search.witness.point_b;
    point->lower = search.met ? 0 : fmax(0, tb_search__lower(&search));
    point->upper = search.met ? 0 : search.upper;
    tb_search__clear(&search);
    tb_field__clear(&section);
    tb_field__clear(&other);
    return status;
}

/** What the solid's other parts leave of a station's gap. */
static TbStatus
walk_station(Row *row, const Job *job, const TbDiscAt *at, TbProfilePoint *point)
{
    TbWalk *walk = &row->walk;
    TbStatus status = tb_walk__station(walk, at);

    if (status == TB_OK && walk->undecided)
        return search_section(row, job, &at->disc, point);
    point->point_a = walk->witness.point_a;
    point->point_b = walk->witness.point_b;
    point->lower = walk->met ? 0 : fmax(0, walk->lower);
    point->upper = walk->met ? 0 : walk->upper;
    return status;
}

/** Whether a point lies in a mesh. No mesh is nearer to it than `free`: what is within that of a
 * point known before lies on the same side. */
static bool
is_inside(Row *row, const TbSolid *other, TbVec3 p, double free)
{
    if (!row->side.known || tb_vec3_distance(row->side.point, p) >= row->side.free)
        row->side.inside = tb_inside__any_mesh(other, p);
    row->side.known = true;
    row->side.point = p;
    row->side.free = free;
    return row->side.inside;
}

static TbStatus
judge_station(Row *row, const Job *job, size_t i)
{
    const TbDiscAt *at = tb_discs_at(job->discs, i);
    TbProfilePoint *point = &job->points[i];
    TbStatus status = row->other.empty ? TB_OK : walk_station(row, job, at, point);

    if (status != TB_OK)
        return status;
    if (job->scanned != NULL) {
        const TbScanNear *scanned = &job->scanned[i];

        point->lower = fmin(point->lower, scanned->lower);
        if (scanned->upper < point->upper) {
            point->upper = scanned->upper;
            point->point_a = scanned->point_a;
            point->point_b = scanned->point_b;
        }
    }
    if (!isfinite(point->upper))
        return TB_OK;
    point->angle = tb_disc_angle(&at->disc, point->point_a);
    if (point->upper > 0 && job->scanned != NULL &&
        is_inside(row, job->ask->other, point->point_a, job->scanned[i].lower))
        point->lower = point->upper = 0;
    return TB_OK;
}

static TbStatus
run_row(Row *row, const Job *job, size_t from, size_t to)
{
    const TbProfileAsk *ask = job->ask;
    TbStatus status = TB_OK;

    for (size_t i = from; i < to && status == TB_OK; i++) {
        TbProfilePoint *point = &job->points[i];

        *point = (TbProfilePoint){.station = ask->stations[i], .lower = INFINITY};
        point->upper = INFINITY;
        point->left_out = is_left_out(job, ask->stations[i]);
        if (!point->left_out)
            status = judge_station(row, job, i);
    }
    return status;
}

static TbStatus
start_row(Row *row, const Job *job)
{
    const TbProfileAsk *ask = job->ask;

    tb_walk__start(&row->walk, &row->other, fmax(ask->width, TB_GAP_WIDTH_LEAST), job->task);
    return tb_field__of_solid_for_sections(&row->other, ask->other, ask->leave_out,
                                           ask->leave_out_count);
}

static void
run_rows(void *data, size_t from, size_t to, int worker)
{
    Job *job = data;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        Row row = {.other = {.empty = true}};
        size_t end = (i + 1) * ROW < job->ask->count ? (i + 1) * ROW : job->ask->count;
        TbStatus status = start_row(&row, job);

        if (status == TB_OK)
            status = run_row(&row, job, i * ROW, end);
        tb_walk__clear(&row.walk);
        tb_field__clear(&row.other);
        if (status != TB_OK)
            atomic_store(&job->status, (int)status);
    }
}

/* ---- meshes ---- */

/** The sections that are not left out, and which stations they are of. */
typedef struct Sections {
    const TbDisc **disc;
    size_t *station;
    TbScanNear *rows;
    TbLattice *lattice;
    size_t count;
} Sections;

static TbStatus
make_sections(Sections *sections, const Job *job)
{
    const TbProfileAsk *ask = job->ask;

    sections->disc = tb_alloc_array(ask->count, sizeof *sections->disc);
    sections->station = tb_alloc_array(ask->count, sizeof *sections->station);
    sections->rows = tb_alloc_array(ask->count, sizeof *sections->rows);
    if (sections->disc == NULL || sections->station == NULL || sections->rows == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < ask->count; i++) {
        if (is_left_out(job, ask->stations[i]))
            continue;
        sections->disc[sections->count] = &tb_discs_at(job->discs, i)->disc;
        sections->station[sections->count++] = i;
    }
    return sections->count == 0
               ? TB_OK
               : tb_lattice_new_sections(ask->sweep, sections->disc, sections->count,
                                         tb_scan_parts__columns(ask->sweep), &sections->lattice,
                                         NULL);
}

/** One mesh: what of it is nearer than what is known. */
static TbStatus
scan_mesh(Sections *sections, const Job *job, const TbTree *tree)
{
    TbScanAsk ask = {.lattice = sections->lattice,
                     .tree = tree,
                     .width = fmax(job->ask->width, TB_GAP_WIDTH_LEAST),
                     .beyond = INFINITY};
    TbStatus status = tb_scan_rows(&ask, job->ask->work, job->task, sections->rows);

    for (size_t i = 0; i < sections->count && status == TB_OK; i++) {
        TbScanNear *known = &job->scanned[sections->station[i]];
        const TbScanNear *found = &sections->rows[i];
        double lower = fmin(known->lower, found->lower);

        if (found->upper < known->upper)
            *known = *found;
        known->lower = lower;
    }
    return status;
}

/** Every station against every mesh of the solid. */
static TbStatus
scan_meshes(Job *job)
{
    const TbSolid *other = job->ask->other;
    Sections sections = {0};
    TbStatus status = TB_OK;

    for (size_t i = 0; i < tb_solid_part_count(other) && status == TB_OK; i++) {
        const TbPart *part = tb_solid_part(other, i);

        if (part->kind != TB_PART_MESH)
            continue;
        if (job->scanned == NULL) {
            job->scanned = tb_alloc_array(job->ask->count, sizeof *job->scanned);
            status = job->scanned == NULL ? TB_E_MEMORY : make_sections(&sections, job);
            for (size_t k = 0; k < job->ask->count && job->scanned != NULL; k++)
                job->scanned[k].lower = job->scanned[k].upper = INFINITY;
        }
        if (status == TB_OK && sections.count > 0)
            status = scan_mesh(&sections, job, part->tree);
    }
    tb_free(sections.disc);
    tb_free(sections.station);
    tb_free(sections.rows);
    tb_lattice_free(sections.lattice);
    return status;
}

/** The discs of the question, or its own. */
static TbStatus
run_job(Job *job, TbDiscs **own, TbFault *fault)
{
    const TbProfileAsk *ask = job->ask;
    TbStatus status = TB_OK;

    if (ask->discs == NULL)
        status = tb_discs_new(ask->sweep, ask->stations, ask->count, own, fault);
    if (status != TB_OK)
        return status;
    job->discs = ask->discs == NULL ? *own : ask->discs;
    TB_ASSERT(tb_discs_count(job->discs) == ask->count);
    status = scan_meshes(job);
    if (status == TB_OK)
        status = tb_work_for(ask->work, job->task, (ask->count + ROW - 1) / ROW, 1, run_rows, job);
    return status == TB_OK ? (TbStatus)atomic_load(&job->status) : status;
}

TbStatus
tb_profile(const TbProfileAsk *ask, TbTask *task, TbProfilePoint points[], TbFault *fault)
{
    Job job = {.ask = ask, .task = task, .points = points};
    TbDiscs *own = NULL;
    TbStatus status;

    atomic_init(&job.status, TB_OK);
    job.kept = tb_field__kept(ask->sweep, ask->leave_out, ask->leave_out_count);
    status = tb_inside__prepare(ask->other);
    if (status == TB_OK)
        status = run_job(&job, &own, fault);
    tb_discs_unref(own);
    tb_free(job.scanned);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while a gap was followed along a path");
    return status == TB_OK
               ? TB_OK
               : tb_fail(fault, status, "no room to follow a gap along %zu stations", ask->count);
}
