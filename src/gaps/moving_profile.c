/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/moving_profile.h"

#include "base/mem.h"
#include "gaps/field_private.h"
#include "geom/tol.h"

#include <math.h>
#include <string.h>

/** Numbers of both sides in ranges, and what is known of each station over them. */
typedef struct Cell {
    double low[2][TB_MOTION_MOST], high[2][TB_MOTION_MOST];
    double *bound; /**< mm, of each station; INFINITY: settled elsewhere */
} Cell;

/** What bounds how much a station's gap changes with the numbers. */
typedef struct Place {
    TbVec3 centre;
    double reach; /**< mm: a ball about the section, as drawn */
    double moved; /**< mm: no point of it is further from where it is drawn */
} Place;

typedef struct Job {
    const TbMovingProfileAsk *ask;
    const TbMotion *motion[2];
    TbTask *task;
    TbFault *fault;
    TbSweep *sweep; /**< of a as drawn, lent */
    TbProfilePoint *points;
    Place *places;
    double moved_b; /**< mm: no point of b is further from where it is drawn */
    Cell *cells;
    size_t cell_count, poses;
    /* room for one profile */
    double *stations;
    size_t *which;
    TbProfilePoint *found;
} Job;

/* ---- bounds ---- */

/** The number at which a freedom does nothing. */
static double
rest_of(const TbFreedom *freedom)
{
    return freedom->kind == TB_FREEDOM_GROWTH || freedom->kind == TB_FREEDOM_SPREAD ? 1 : 0;
}

/** mm. Furthest that a ball's points are from where they are drawn: no further from the middle of
 * ranges that hold the rest than that is from the rest. */
static double
moved_from_rest(const TbMotion *motion, TbVec3 centre, double radius)
{
    TbMotion wide = *motion;
    double low[TB_MOTION_MOST], high[TB_MOTION_MOST];

    for (int i = 0; i < wide.count; i++) {
        TbFreedom *f = &wide.freedom[i];

        f->low = low[i] = fmin(f->low, rest_of(f));
        f->high = high[i] = fmax(f->high, rest_of(f));
    }
    return 2 * tb_motion_travel(&wide, low, high, centre, radius);
}

/** mm. What a station's gap, known to be `gap` in a cell's middle, changes by in the cell, at most.
 * Nearer than that is only what is now within that of the section, so no more of b counts. */
static double
change_in(const Job *job, const Cell *cell, size_t station, double gap)
{
    const Place *place = &job->places[station];
    double about = place->reach + gap + place->moved + job->moved_b;

    return tb_motion_travel(job->motion[0], cell->low[0], cell->high[0], place->centre,
                            place->reach) +
           tb_motion_travel(job->motion[1], cell->low[1], cell->high[1], place->centre, about) +
           TB_TOL_ROUND;
}

/* ---- one pose ---- */

static TbSweep *
sweep_of(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++)
        if (tb_solid_part(solid, i)->kind == TB_PART_SWEEP)
            return tb_solid_part(solid, i)->sweep;
    return NULL;
}

static TbStatus
profile_at(Job *job, size_t count, const TbMovingStill *still)
{
    TbSweep *sweep = sweep_of(still->solid[0]);
    double scale = tb_sweep_length(sweep) / tb_sweep_length(job->sweep);
    TbProfileAsk ask = {.sweep = sweep,
                        .other = still->solid[1],
                        .stations = job->stations,
                        .count = count,
                        .width = job->ask->moving->width,
                        .leave_out = still->leave_out,
                        .leave_out_count = still->leave_out_count};

    for (size_t i = 0; i < count; i++)
        job->stations[i] = job->ask->stations[job->which[i]] * scale;
    return tb_profile(&ask, job->task, job->found, job->fault);
}

/** What moves b without changing it is turned back and moves a instead: a scan stays as it is. */
static TbStatus
turn_back(const Job *job, const double at_b[], TbMovingStill *still)
{
    TbPose back = tb_pose_inverse(tb_motion_pose(job->motion[1], at_b));
    TbSolid *moved = tb_solid_moved(still->solid[0], back);
    size_t count = still->leave_out_count;
    TbLeaveOut *ports;

    if (moved == NULL)
        return TB_E_MEMORY;
    tb_solid_unref(still->solid[0]);
    still->solid[0] = moved;
    if (count == 0)
        return TB_OK;
    ports = tb_alloc_array(2 * count, sizeof *ports);
    if (ports == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < count; i++) {
        ports[i] = ports[count + i] = still->leave_out[i];
        ports[count + i].port = tb_pose_point(back, ports[i].port);
    }
    tb_free(still->leave_out);
    still->leave_out = ports;
    still->leave_out_count = 2 * count;
    return TB_OK;
}

/** Gaps of the chosen stations at one value of all numbers: into `found`, and into the points where
 * they are the least so far. */
static TbStatus
look_at(Job *job, size_t count, const double at_a[], const double at_b[])
{
    TbMovingAsk posed = *job->ask->moving;
    bool rigid = tb_motion_before_warm(job->motion[1]) == job->motion[1]->count;
    TbMovingStill still;
    TbStatus status;

    if (rigid)
        posed.motion_b.count = 0;
    status = tb_moving_still(&posed, at_a, at_b, &still, job->fault);
    if (status == TB_OK && rigid && job->motion[1]->count > 0)
        status = turn_back(job, at_b, &still);
    if (status == TB_OK)
        status = profile_at(job, count, &still);
    tb_moving_still_clear(&still);
    job->poses++;
    for (size_t i = 0; i < count && status == TB_OK; i++) {
        TbProfilePoint *point = &job->points[job->which[i]];
        double station = point->station, lower = point->lower;

        if (job->found[i].left_out || job->found[i].upper >= point->upper)
            continue;
        *point = job->found[i];
        point->station = station;
        point->lower = lower;
    }
    return status;
}

/* ---- cells ---- */

/** A station's bound in a cell is worth a closer look. */
static bool
is_wide(const Job *job, size_t station, double bound)
{
    double upper = job->points[station].upper;

    return bound < job->ask->near && upper > 0 && bound < upper - job->ask->fine;
}

/** How much closer a cell could bring what is widest, mm; 0: nothing is to be done there. */
static double
want_of(const Job *job, const Cell *cell, size_t *station)
{
    double most = 0;

    for (size_t i = 0; i < job->ask->count; i++) {
        double want = job->points[i].upper - cell->bound[i];

        if (is_wide(job, i, cell->bound[i]) && want > most) {
            most = want;
            *station = i;
        }
    }
    return most;
}

/** The gaps in a cell's middle, and by them what is known of it. */
static TbStatus
look_at_cell(Job *job, Cell *cell)
{
    double at[2][TB_MOTION_MOST];
    size_t count = 0;
    TbStatus status;

    for (int s = 0; s < 2; s++)
        for (int i = 0; i < job->motion[s]->count; i++)
            at[s][i] = 0.5 * (cell->low[s][i] + cell->high[s][i]);
    for (size_t i = 0; i < job->ask->count; i++)
        if (is_wide(job, i, cell->bound[i]))
            job->which[count++] = i;
    if (count == 0)
        return TB_OK;
    status = look_at(job, count, at[0], at[1]);
    for (size_t k = 0; k < count && status == TB_OK; k++) {
        size_t i = job->which[k];
        const TbProfilePoint *found = &job->found[k];
        double bound;

        if (found->left_out || !isfinite(found->upper))
            continue;
        bound = found->lower - change_in(job, cell, i, found->upper);
        cell->bound[i] = fmax(cell->bound[i], fmax(0, bound));
    }
    return status;
}

/** The number that moves the station's neighbourhood most is halved, and what is tied to it. */
static void
halve(const Job *job, const Cell *cell, size_t station, Cell half[2])
{
    const TbMovingAsk *moving = job->ask->moving;
    double most = -1, gap = fmin(job->points[station].upper, job->ask->near);
    int side = 0, which = 0;

    for (int s = 0; s < 2; s++)
        for (int i = 0; i < job->motion[s]->count; i++) {
            Cell one = *cell;
            double change;

            for (int t = 0; t < 2; t++)
                for (int k = 0; k < job->motion[t]->count; k++)
                    if (t != s || k != i)
                        one.high[t][k] = one.low[t][k];
            change = change_in(job, &one, station, gap);
            if (change > most) {
                most = change;
                side = s;
                which = i;
            }
        }
    for (int h = 0; h < 2; h++) {
        double *bound = half[h].bound;

        half[h] = *cell;
        half[h].bound = bound;
    }
    half[0].high[side][which] = half[1].low[side][which] =
        0.5 * (cell->low[side][which] + cell->high[side][which]);
    for (int i = 0; i < moving->ties; i++) {
        const TbMovingTie *tie = &moving->tie[i];
        int other = side == 0 ? tie->b : tie->a, t = 1 - side;

        if (which == (side == 0 ? tie->a : tie->b))
            half[tie->opposite].high[t][other] = half[!tie->opposite].low[t][other] =
                0.5 * (cell->low[t][other] + cell->high[t][other]);
    }
}

static size_t
widest_cell(const Job *job, size_t *station, double *want)
{
    size_t widest = 0;

    *want = 0;
    for (size_t i = 0; i < job->cell_count; i++) {
        size_t at = 0;
        double this = want_of(job, &job->cells[i], &at);

        if (this > *want) {
            *want = this;
            widest = i;
            *station = at;
        }
    }
    return widest;
}

/** Two for one: the first half takes the cell's place, the second the next free one. */
static TbStatus
divide(Job *job, size_t index, size_t station)
{
    size_t size = job->ask->count * sizeof(double);
    Cell half[2] = {{.bound = job->cells[index].bound},
                    {.bound = tb_alloc_array(job->ask->count, sizeof(double))}};
    TbStatus status;

    if (half[1].bound == NULL)
        return TB_E_MEMORY;
    memcpy(half[1].bound, half[0].bound, size);
    halve(job, &job->cells[index], station, half);
    job->cells[index] = half[0];
    job->cells[job->cell_count++] = half[1];
    status = look_at_cell(job, &job->cells[index]);
    return status == TB_OK ? look_at_cell(job, &job->cells[job->cell_count - 1]) : status;
}

static TbStatus
first_cell(Job *job)
{
    Cell *cell = &job->cells[job->cell_count];

    cell->bound = tb_alloc_array(job->ask->count, sizeof *cell->bound);
    if (cell->bound == NULL)
        return TB_E_MEMORY;
    job->cell_count++;
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < job->motion[s]->count; i++) {
            cell->low[s][i] = job->motion[s]->freedom[i].low;
            cell->high[s][i] = job->motion[s]->freedom[i].high;
        }
    for (size_t i = 0; i < job->ask->count; i++)
        cell->bound[i] = job->points[i].left_out ? INFINITY : -INFINITY;
    return look_at_cell(job, cell);
}

static TbStatus
search(Job *job)
{
    size_t most = job->ask->poses > 0 ? job->ask->poses : TB_MOVING_PROFILE_POSES;
    size_t count = 0;
    TbStatus status = TB_OK;

    for (size_t i = 0; i < job->ask->count; i++)
        if (!job->points[i].left_out)
            job->which[count++] = i;
    if (count == 0)
        return TB_OK;
    if (job->ask->at_a != NULL)
        status = look_at(job, count, job->ask->at_a, job->ask->at_b);
    if (status == TB_OK)
        status = first_cell(job);
    while (status == TB_OK && job->poses + 2 <= most) {
        size_t station = 0;
        double want;
        size_t index = widest_cell(job, &station, &want);

        if (!(want > 0))
            break;
        status = divide(job, index, station);
    }
    for (size_t i = 0; i < job->ask->count && status == TB_OK; i++) {
        TbProfilePoint *point = &job->points[i];

        point->lower = point->upper;
        for (size_t k = 0; k < job->cell_count; k++)
            point->lower = fmin(point->lower, fmax(0, job->cells[k].bound[i]));
    }
    return status;
}

/* ---- whole ---- */

static TbStatus
find_places(Job *job)
{
    const TbMovingProfileAsk *ask = job->ask;
    TbKept kept = tb_field__kept(job->sweep, ask->moving->leave_out, ask->moving->leave_out_count);
    TbBox3 box = tb_solid_box(ask->moving->b);
    TbDiscs *discs = NULL;
    TbStatus status = tb_discs_new(job->sweep, ask->stations, ask->count, &discs, job->fault);

    if (status != TB_OK)
        return status;
    job->moved_b =
        moved_from_rest(job->motion[1], tb_box3_centre(box), 0.5 * tb_box3_diagonal(box));
    for (size_t i = 0; i < ask->count; i++) {
        const TbDiscAt *at = tb_discs_at(discs, i);
        double s = fmin(fmax(ask->stations[i], 0), tb_sweep_length(job->sweep));

        job->places[i] = (Place){.centre = at->disc.centre, .reach = at->reach};
        job->places[i].moved = moved_from_rest(job->motion[0], at->disc.centre, at->reach);
        job->points[i] = (TbProfilePoint){.station = ask->stations[i],
                                          .lower = INFINITY,
                                          .upper = INFINITY,
                                          .left_out = s < kept.from || s > kept.to};
    }
    tb_discs_unref(discs);
    return TB_OK;
}

TbStatus
tb_moving_profile(const TbMovingProfileAsk *ask,
                  TbTask *task,
                  TbProfilePoint points[],
                  TbFault *fault)
{
    size_t most = (ask->poses > 0 ? ask->poses : TB_MOVING_PROFILE_POSES) + 1;
    Job job = {.ask = ask,
               .motion = {&ask->moving->motion_a, &ask->moving->motion_b},
               .task = task,
               .fault = fault,
               .sweep = sweep_of(ask->moving->a),
               .points = points};
    TbStatus status = TB_E_MEMORY;

    TB_ASSERT(job.sweep != NULL);
    job.places = tb_alloc_array(ask->count, sizeof *job.places);
    job.cells = tb_alloc_array(most, sizeof *job.cells);
    job.stations = tb_alloc_array(ask->count, sizeof *job.stations);
    job.which = tb_alloc_array(ask->count, sizeof *job.which);
    job.found = tb_alloc_array(ask->count, sizeof *job.found);
    if (job.places != NULL && job.cells != NULL && job.stations != NULL && job.which != NULL &&
        job.found != NULL)
        status = find_places(&job);
    if (status == TB_OK)
        status = search(&job);
    for (size_t i = 0; i < job.cell_count; i++)
        tb_free(job.cells[i].bound);
    tb_free(job.places);
    tb_free(job.cells);
    tb_free(job.stations);
    tb_free(job.which);
    tb_free(job.found);
    if (status == TB_E_MEMORY)
        tb_fail(fault, status, "no room to follow a gap in motion along %zu stations", ask->count);
    return status;
}
