/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/moving_map.h"

#include "base/mem.h"
#include "gaps/moving_spot_private.h"
#include "geom/tol.h"

#include <math.h>

/** A patch is so many stations by so many angles: all of it is passed over at once where it is far.
 */
enum { PATCH_STATIONS = 4, PATCH_ANGLES = 6 };

typedef struct Job {
    const TbMovingMapAsk *ask;
    TbMovingSpots spots;
    TbMovingSeen *seen; /**< by angle: what the last station looked at saw */
    double *lower, *upper;
    TbKept kept;
    double length; /**< mm, of the path */
} Job;

/** Some stations by some angles. */
typedef struct Patch {
    size_t station, stations, angle, angles;
} Patch;

static TbVec3
point_at(const Job *job, size_t station, size_t angle)
{
    return job->ask->points[station * job->ask->angle_count + angle];
}

static void
put(Job *job, size_t station, size_t angle, double lower, double upper)
{
    size_t i = station * job->ask->angle_count + angle;
    double far = 2 * job->ask->beyond;

    job->lower[i] = lower <= job->ask->beyond ? lower : far;
    if (job->upper != NULL)
        job->upper[i] = lower <= job->ask->beyond ? upper : far;
}

/** mm: the interval that is wanted of a gap that is known to lie in one. */
static double
wanted(const TbMovingMapAsk *ask, const TbMovingSpotGap *gap)
{
    double away = fmax(gap->lower - ask->level, ask->level - gap->upper);

    return fmin(TB_MOVING_MAP_WIDEST, TB_MOVING_MAP_FINE + TB_MOVING_MAP_SHARE * fmax(0, away));
}

/** First about, then as closely as it is near the level. */
static TbStatus
look_at_point(Job *job, size_t station, size_t angle)
{
    TbVec3 x = point_at(job, station, angle);
    double s = job->ask->stations[station];
    size_t before = angle > 0 ? angle - 1 : job->ask->angle_count - 1;
    TbMovingSpot spot = {.body = tb_convex_of_point(x),
                         .station0 = s,
                         .station1 = s,
                         .beyond = job->ask->beyond,
                         .width = TB_MOVING_MAP_WIDEST};
    TbMovingSpotGap gap = {.lower = 0};
    TbStatus status = TB_OK;

    spot.known = fmin(tb_spots__seen_from(&job->spots, &job->seen[angle], s, x),
                      tb_spots__seen_from(&job->spots, &job->seen[before], s, x));
    for (int look = 0; look < 2 && status == TB_OK; look++) {
        status = tb_spots__ask(&job->spots, &spot, &gap);
        if (gap.is_new)
            job->seen[angle] = gap.seen;
        if (gap.exhausted || !(gap.lower < job->ask->beyond) ||
            gap.upper - gap.lower <= wanted(job->ask, &gap))
            break;
        spot.known = fmin(spot.known, gap.upper);
        spot.width = wanted(job->ask, &gap);
    }
    if (status == TB_OK)
        put(job, station, angle, gap.lower, gap.upper);
    return status;
}

/** A ball about all of a patch, which goes as its points do. */
static TbMovingSpot
ball_of(const Job *job, Patch patch)
{
    const TbMovingMapAsk *ask = job->ask;
    TbBox3 box = tb_box3_empty();
    TbBall ball = {.radius = 0};

    for (size_t k = 0; k < patch.stations; k++)
        for (size_t m = 0; m < patch.angles; m++)
            box = tb_box3_with_point(box, point_at(job, patch.station + k, patch.angle + m));
    ball.centre = tb_box3_centre(box);
    for (size_t k = 0; k < patch.stations; k++)
        for (size_t m = 0; m < patch.angles; m++)
            ball.radius = fmax(
                ball.radius,
                tb_vec3_distance(ball.centre, point_at(job, patch.station + k, patch.angle + m)));
    ball.radius += TB_TOL_ROUND;
    return (TbMovingSpot){.body = tb_convex_of_ball(&ball),
                          .station0 = ask->stations[patch.station],
                          .station1 = ask->stations[patch.station + patch.stations - 1],
                          .beyond = ask->beyond,
                          .width = TB_MOVING_MAP_WIDEST,
                          .known = INFINITY,
                          .decides = true};
}

static TbStatus
look_at_patch(Job *job, Patch patch)
{
    TbMovingSpot spot = ball_of(job, patch);
    TbMovingSpotGap gap;
    TbStatus status = tb_spots__ask(&job->spots, &spot, &gap);

    for (size_t k = 0; k < patch.stations; k++)
        for (size_t m = 0; m < patch.angles && status == TB_OK; m++) {
            if (gap.lower >= job->ask->beyond)
                put(job, patch.station + k, patch.angle + m, INFINITY, INFINITY);
            else
                status = look_at_point(job, patch.station + k, patch.angle + m);
        }
    return status;
}

/** A station beyond an end, by rounding or not, is the end. */
static bool
is_left_out(const Job *job, size_t station)
{
    double s = fmin(fmax(job->ask->stations[station], 0), job->length);

    return s < job->kept.from || s > job->kept.to;
}

static void
leave_out(Job *job, size_t station)
{
    for (size_t m = 0; m < job->ask->angle_count; m++) {
        job->lower[station * job->ask->angle_count + m] = (double)NAN;
        if (job->upper != NULL)
            job->upper[station * job->ask->angle_count + m] = (double)NAN;
    }
}

static TbStatus
look_at_all(Job *job)
{
    const TbMovingMapAsk *ask = job->ask;
    Patch patch = {.stations = 0};
    TbStatus status = TB_OK;

    for (size_t k = 0; k < ask->station_count && status == TB_OK; k += patch.stations) {
        patch = (Patch){.station = k, .stations = 1};
        if (is_left_out(job, k)) {
            leave_out(job, k);
            continue;
        }
        while (patch.stations < PATCH_STATIONS && k + patch.stations < ask->station_count &&
               !is_left_out(job, k + patch.stations))
            patch.stations++;
        for (size_t m = 0; m < ask->angle_count && status == TB_OK; m += PATCH_ANGLES) {
            patch.angle = m;
            patch.angles =
                ask->angle_count - m < PATCH_ANGLES ? ask->angle_count - m : PATCH_ANGLES;
            status = look_at_patch(job, patch);
        }
    }
    return status;
}

TbStatus
tb_moving_map(
    const TbMovingMapAsk *ask, TbTask *task, double lower[], double upper[], TbFault *fault)
{
    const TbMovingAsk *moving = ask->moving;
    const TbSweep *sweep = tb_solid_sweep(moving->a);
    Job job = {.ask = ask, .lower = lower, .upper = upper};
    TbStatus status = tb_spots__start(&job.spots, moving, task);

    TB_ASSERT(sweep != NULL);
    job.length = tb_sweep_length(sweep);
    job.kept = tb_field__kept(sweep, moving->leave_out, moving->leave_out_count);
    job.seen = tb_alloc_array(ask->angle_count, sizeof *job.seen);
    if (job.seen == NULL)
        status = TB_E_MEMORY;
    for (size_t m = 0; m < ask->angle_count && status == TB_OK; m++)
        job.seen[m].there = false;
    if (status == TB_OK)
        status = look_at_all(&job);
    tb_free(job.seen);
    tb_spots__clear(&job.spots);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while a gap map in motion was made");
    if (status != TB_OK)
        return tb_fail(fault, status, "no room for a gap map of %zu stations in motion",
                       ask->station_count);
    return TB_OK;
}
