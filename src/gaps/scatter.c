/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/scatter.h"

#include "base/mem.h"
#include "gaps/scatter_private.h"
#include "geom/tol.h"
#include "motion/chance.h"

#include <stdatomic.h>

/** Deviations in a half band: what a tolerance is commonly taken to hold. */
#define DEVIATIONS 3.0

/** Samples of one piece of the loop. */
#define GRAIN 256

/** The screen looks so many times as far beyond the keep as all bands together move. */
#define FAR_BANDS 1.0

/** What moves a point besides, over its nominal lever: a band is no larger than its part, and far
 * less in all but name. */
#define LEVER_SPARE 2.0

/* ---- the question ---- */

static double
ball_of(const TbSolid *solid, TbVec3 *centre)
{
    TbBox3 box = tb_solid_box(solid);

    *centre = tb_box3_centre(box);
    return 0.5 * tb_box3_diagonal(box);
}

static TbStatus
check_source(const TbScatterAsk *ask, size_t index, TbFault *fault)
{
    const TbScatterSource *s = &ask->sources[index];
    TbVec3 centre;
    double size = 2 * ball_of(s->side == 0 ? ask->a : ask->b, &centre);
    double most = s->kind == TB_SCATTER_TURN ? M_PI / 2 : size;

    if (!(s->half >= 0) || !isfinite(s->half))
        return tb_fail(fault, TB_E_RANGE, "tolerance %zu has a half band of %g", index + 1,
                       s->half);
    if (s->half > most)
        return tb_fail(fault, TB_E_RANGE,
                       s->kind == TB_SCATTER_TURN
                           ? "tolerance %zu turns by %g rad, %g are the most"
                           : "tolerance %zu is %g mm either way, larger than the part's %g mm",
                       index + 1, s->half, most);
    if (s->kind != TB_SCATTER_SIZE && !(tb_vec3_length(s->direction) > 0))
        return tb_fail(fault, TB_E_DEGENERATE, "tolerance %zu has no direction", index + 1);
    return TB_OK;
}

static TbStatus
check(const TbScatterAsk *ask, TbFault *fault)
{
    TbStatus status = TB_OK;

    if (!(ask->keep > 0) || !isfinite(ask->keep))
        return tb_fail(fault, TB_E_RANGE, "a keep of %g mm cannot be broken by chance", ask->keep);
    if (ask->count > TB_SCATTER_MOST)
        return tb_fail(fault, TB_E_RANGE, "%zu tolerances at one gap, %d are the most", ask->count,
                       TB_SCATTER_MOST);
    if (ask->samples > TB_SCATTER_SAMPLES_MOST)
        return tb_fail(fault, TB_E_RANGE, "%llu samples, %d are the most",
                       (unsigned long long)ask->samples, TB_SCATTER_SAMPLES_MOST);
    if (ask->samples > 0 && !(ask->confidence > 0 && ask->confidence < 1))
        return tb_fail(fault, TB_E_RANGE, "a confidence of %g is not between 0 and 1",
                       ask->confidence);
    for (size_t i = 0; i < ask->count && status == TB_OK; i++)
        status = check_source(ask, i, fault);
    return status;
}

/* ---- one sample ---- */

/** Poses and standing off for values in half bands. */
static void
place(const TbScatterAsk *ask, const double value[], TbPose pose[2], double *off)
{
    *off = 0;
    pose[0] = pose[1] = tb_pose_identity();
    for (size_t i = 0; i < ask->count; i++) {
        const TbScatterSource *s = &ask->sources[i];

        if (s->kind == TB_SCATTER_SIZE)
            *off += value[i] * s->half;
        else if (s->kind == TB_SCATTER_TURN)
            pose[s->side] = tb_pose_compose(
                pose[s->side], tb_pose_turn(s->point, s->direction, value[i] * s->half));
    }
    for (size_t i = 0; i < ask->count; i++) {
        const TbScatterSource *s = &ask->sources[i];

        if (s->kind == TB_SCATTER_SHIFT)
            pose[s->side].origin = tb_vec3_add_scaled(pose[s->side].origin, value[i] * s->half,
                                                      tb_vec3_unit(s->direction));
    }
}

void
tb_scatter_sample(const TbScatterAsk *ask, uint64_t sample, TbPose pose[2], double *off)
{
    double value[TB_SCATTER_MOST], even[TB_SCATTER_MOST];
    bool any_even = false;

    tb_chance_normals(ask->seed, sample, 0, value, ask->count);
    for (size_t i = 0; i < ask->count; i++)
        any_even = any_even || ask->sources[i].even;
    if (any_even)
        tb_chance_evens(ask->seed, sample, 1, even, ask->count);
    for (size_t i = 0; i < ask->count; i++)
        value[i] = ask->sources[i].even ? even[i] : value[i] / DEVIATIONS;
    place(ask, value, pose, off);
}

/* ---- first order ---- */

static void
find_slopes(const TbScatterAsk *ask, TbScatter *out)
{
    TbVec3 way = tb_vec3_unit(tb_vec3_sub(out->nominal.point_a, out->nominal.point_b));
    double variance = 0;

    if (out->nominal.contact != TB_CLEAR)
        way = out->nominal.way_out;
    for (size_t i = 0; i < ask->count; i++) {
        const TbScatterSource *s = &ask->sources[i];
        TbVec3 at = s->side == 0 ? out->nominal.point_a : out->nominal.point_b;
        TbVec3 d = s->kind == TB_SCATTER_SIZE ? way : tb_vec3_unit(s->direction);
        double deviation;

        if (s->kind == TB_SCATTER_TURN)
            d = tb_vec3_cross(d, tb_vec3_sub(at, s->point));
        out->slope[i] = s->kind == TB_SCATTER_SIZE
                            ? -s->half
                            : (s->side == 0 ? 1 : -1) * s->half * tb_vec3_dot(way, d);
        out->rss = hypot(out->rss, out->slope[i]);
        deviation = fabs(out->slope[i]) / (s->even ? sqrt(3) : DEVIATIONS);
        out->share[i] = deviation * deviation;
        variance += out->share[i];
    }
    for (size_t i = 0; i < ask->count; i++) {
        out->share[i] = variance > 0 ? out->share[i] / variance : 0;
        if (out->share[i] > out->share[out->most])
            out->most = i;
    }
}

/* ---- worst case ---- */

/** Sources that do the same are one freedom of the sum of their bands. */
static TbFreedom *
same_freedom(TbMotion *motion, const TbScatterSource *s)
{
    TbVec3 d = tb_vec3_unit(s->direction);

    for (int i = 0; i < motion->count; i++) {
        TbFreedom *f = &motion->freedom[i];
        bool turn = f->kind == TB_FREEDOM_TURN;

        if (turn != (s->kind == TB_SCATTER_TURN) ||
            tb_vec3_length(tb_vec3_cross(f->direction, d)) > TB_TOL_UNIT)
            continue;
        return f;
    }
    return NULL;
}

/** mm. Furthest that a point of a side may be from a turn's axis, bands of all else included. */
static double
lever_of(const TbScatterAsk *ask, int side, TbVec3 point)
{
    TbVec3 centre;
    double radius = ball_of(side == 0 ? ask->a : ask->b, &centre);

    return LEVER_SPARE * (radius + tb_vec3_distance(centre, point));
}

/**
 * What it may move any point that turn `s`, the innermost so far, is taken out to turn `same`. Past
 * another turn g it goes with f g - g f, whose linear part is (F-1)(G-1) - (G-1)(F-1), at most
 * 2 |F-1| |G-1| of a point's lever, and whose rest is at most |F-1| |G-1| of how far the axes are
 * apart, two levers. Where the axes are parallel but apart, it leaves a shift of (F-1) of that.
 */
static double
slack_of(const TbScatterAsk *ask,
         const TbMotion *motion,
         const TbFreedom *same,
         const TbScatterSource *s)
{
    double turn = 2 * sin(0.5 * s->half);
    double slack =
        turn * tb_vec3_length(tb_vec3_across(tb_vec3_sub(s->point, same->point), same->direction));

    for (const TbFreedom *f = same + 1; f < motion->freedom + motion->count; f++) {
        double lever = fmax(lever_of(ask, s->side, f->point), lever_of(ask, s->side, s->point));

        slack +=
            4 * turn * 2 * sin(0.5 * f->high) * fmax(lever, lever_of(ask, s->side, same->point));
    }
    return slack;
}

/** One side's sources as a motion, shifts first; parallel turns that are not neighbours become one,
 * and what that leaves open is added to `slack`. */
static TbStatus
motion_of(const TbScatterAsk *ask, int side, TbMotion *motion, double *slack, TbFault *fault)
{
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < ask->count; i++) {
            const TbScatterSource *s = &ask->sources[i];
            TbScatterKind kind = pass == 0 ? TB_SCATTER_SHIFT : TB_SCATTER_TURN;
            TbFreedom made = {kind == TB_SCATTER_TURN ? TB_FREEDOM_TURN : TB_FREEDOM_SHIFT,
                              s->point, s->direction, -s->half, s->half};
            TbFreedom *same;
            TbStatus status;

            if (s->side != side || s->kind != kind || !(s->half > 0))
                continue;
            same = same_freedom(motion, s);
            if (same == NULL) {
                status = tb_motion_add(motion, made, fault);
                if (status != TB_OK)
                    return status;
                continue;
            }
            if (kind == TB_SCATTER_TURN)
                *slack += slack_of(ask, motion, same, s);
            same->low -= s->half;
            same->high += s->half;
        }
    return TB_OK;
}

/** The values of all sources at which the merged motions are where they are. */
static void
values_at(const TbScatterAsk *ask,
          const TbMovingAsk *moving,
          const TbMovingGap *worst,
          double value[])
{
    for (size_t i = 0; i < ask->count; i++) {
        const TbScatterSource *s = &ask->sources[i];
        TbMotion motion = s->side == 0 ? moving->motion_a : moving->motion_b;
        const double *at = s->side == 0 ? worst->at_a : worst->at_b;
        const TbFreedom *same;

        value[i] = 1; /* standing off: as far as it may */
        if (s->kind == TB_SCATTER_SIZE || !(s->half > 0))
            continue;
        same = same_freedom(&motion, s);
        value[i] = at[same - motion.freedom] / same->high;
        if (tb_vec3_dot(same->direction, s->direction) < 0)
            value[i] = -value[i];
    }
}

/** The gap of one sample's poses. */
static TbStatus
gap_posed(const TbScatterAsk *ask,
          const TbPose pose[2],
          double enough,
          double width,
          TbTask *task,
          TbGap *gap,
          TbFault *fault)
{
    TbMovingAsk moving = {.a = ask->a,
                          .b = ask->b,
                          .width = width,
                          .enough = enough,
                          .leave_out = ask->leave_out,
                          .leave_out_count = ask->leave_out_count};

    return tb_moving_gap_posed(&moving, pose[0], pose[1], task, gap, fault);
}

/** The gap for some values of all sources. */
static TbStatus
gap_for(const TbScatterAsk *ask,
        const double value[],
        double enough,
        double width,
        TbTask *task,
        TbGap *gap,
        TbFault *fault)
{
    TbPose pose[2];
    double off;

    place(ask, value, pose, &off);
    return gap_posed(ask, pose, enough, width, task, gap, fault);
}

static TbStatus
find_worst(const TbScatterAsk *ask, TbTask *task, TbScatter *out, TbFault *fault)
{
    TbMovingAsk moving = {.a = ask->a,
                          .b = ask->b,
                          .width = ask->width,
                          .leave_out = ask->leave_out,
                          .leave_out_count = ask->leave_out_count};
    double value[TB_SCATTER_MOST], slack = 0, off = 0;
    TbMovingGap worst;
    TbStatus status = motion_of(ask, 0, &moving.motion_a, &slack, fault);

    if (status == TB_OK)
        status = motion_of(ask, 1, &moving.motion_b, &slack, fault);
    if (status == TB_OK)
        status = tb_moving_gap(&moving, task, &worst, fault);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < ask->count; i++)
        if (ask->sources[i].kind == TB_SCATTER_SIZE)
            off += ask->sources[i].half;
    out->worst_upper = worst.gap.upper - off;
    if (slack > 0) { /* the merged pose is none that the sources have */
        TbGap gap;

        values_at(ask, &moving, &worst, value);
        status = gap_for(ask, value, 0, ask->width, task, &gap, fault);
        if (status != TB_OK)
            return status;
        out->worst_upper = fmin(out->nominal.upper, gap.upper) - off;
    }
    out->worst_lower = fmin(worst.gap.lower - off - slack, out->worst_upper);
    out->worst_exhausted =
        worst.gap.exhausted || out->worst_upper - out->worst_lower > ask->width + TB_TOL_ROUND;
    return TB_OK;
}

/* ---- by chance ---- */

typedef struct Job {
    const TbScatterAsk *ask;
    const TbScreen *screen;
    TbTask *task;
    atomic_ullong broken, undecided, separated, searched; /* sums: no order matters */
    atomic_int status;
} Job;

/** A whole search, where the screen has no answer. */
static TbStatus
search_sample(Job *job, const TbPose pose[2], double need, bool *broken)
{
    TbGap gap;
    TbStatus status =
        gap_posed(job->ask, pose, fmax(0, need), TB_SCATTER_WIDTH, job->task, &gap, NULL);

    atomic_fetch_add(&job->searched, 1);
    if (status != TB_OK)
        return status;
    *broken = gap.lower < need;
    if (gap.lower < need && gap.upper >= need)
        atomic_fetch_add(&job->undecided, 1);
    return TB_OK;
}

static void
run_samples(void *data, size_t from, size_t to, int worker)
{
    Job *job = data;

    (void)worker;
    for (size_t i = from; i < to && atomic_load(&job->status) == TB_OK; i++) {
        TbPose pose[2];
        bool broken = false, separated = false;
        TbScreened said = TB_SCREEN_OPEN;
        double off, need;
        TbStatus status = TB_OK;

        tb_scatter_sample(job->ask, i, pose, &off);
        need = job->ask->keep + off;
        if (job->screen != NULL)
            said = tb_screen__ask(job->screen, pose, need, &separated);
        if (separated)
            atomic_fetch_add(&job->separated, 1);
        if (said == TB_SCREEN_OPEN)
            status = search_sample(job, pose, need, &broken);
        if (status != TB_OK)
            atomic_store(&job->status, (int)status);
        if (broken || said == TB_SCREEN_BROKEN)
            atomic_fetch_add(&job->broken, 1);
    }
}

/** What all bands together move any point of either solid, and let surfaces stand off. */
static double
reach_of_bands(const TbScatterAsk *ask)
{
    double sum = 0;

    for (size_t i = 0; i < ask->count; i++) {
        const TbScatterSource *s = &ask->sources[i];
        TbVec3 centre;
        double radius = ball_of(s->side == 0 ? ask->a : ask->b, &centre);

        sum += s->half *
               (s->kind == TB_SCATTER_TURN ? radius + tb_vec3_distance(centre, s->point) : 1);
    }
    return sum;
}

static TbStatus
find_chance(const TbScatterAsk *ask, TbWork *work, TbTask *task, TbScatter *out, TbFault *fault)
{
    TbScreen screen = {.count = 0};
    Job job = {.ask = ask, .task = task};
    bool screened = out->nominal.contact == TB_CLEAR && out->nominal.inner == TB_INNER_NONE;
    TbStatus status = TB_OK;

    if (screened) {
        status = tb_screen__of(&screen, ask, ask->keep + FAR_BANDS * reach_of_bands(ask), task);
        screen.nominal = out->nominal.lower;
        job.screen = &screen;
    }
    if (status == TB_OK)
        status = tb_work_for(work, task, ask->samples, GRAIN, run_samples, &job);
    if (status == TB_OK)
        status = (TbStatus)atomic_load(&job.status);
    tb_screen__clear(&screen);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while tolerances were sampled");
    if (status != TB_OK)
        return tb_fail(fault, status, "no room to sample tolerances");
    out->samples = ask->samples;
    out->broken = atomic_load(&job.broken);
    out->undecided = atomic_load(&job.undecided);
    out->separated = atomic_load(&job.separated);
    out->searched = atomic_load(&job.searched);
    tb_chance_interval(out->broken, out->samples, ask->confidence, &out->low, &out->high);
    return TB_OK;
}

TbStatus
tb_scatter(const TbScatterAsk *ask, TbWork *work, TbTask *task, TbScatter *scatter, TbFault *fault)
{
    TbGapAsk nominal = {.a = ask->a,
                        .b = ask->b,
                        .width = ask->width,
                        .hint = INFINITY,
                        .leave_out = ask->leave_out,
                        .leave_out_count = ask->leave_out_count};
    TbScatter made = {.high = 1};
    TbStatus status = check(ask, fault);

    if (status == TB_OK)
        status = tb_gap(&nominal, task, &made.nominal, fault);
    if (status == TB_OK && !made.nominal.nothing) {
        find_slopes(ask, &made);
        status = find_worst(ask, task, &made, fault);
        if (status == TB_OK && ask->samples > 0)
            status = find_chance(ask, work, task, &made, fault);
    }
    if (status == TB_OK)
        *scatter = made;
    return status;
}
