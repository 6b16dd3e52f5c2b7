/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/scatter_private.h"
#include "geom/tol.h"
#include "motion/chance.h"

#include <math.h>
#include <stdatomic.h>

/** Samples of one piece of the loop. */
#define GRAIN 256

/** So many samples take long enough that somebody waits for them. */
#define MANY 100000

/** Samples between two looks at the task. */
#define POLL 16

/** Samples that are tried with a few pairs, and how many of them may be left to search. */
#define TRIAL 256
#define LEFT_OF_TRIAL 4

/** The screen looks so many deviations of all that moves beyond the keep. */
#define FAR 4.5

/** A normal number by chance is no further from 0 than this many deviations: see chance.h. */
#define FURTHEST 8.6

/** mm. Depths of samples are searched to, where any would do, and where some would not. */
#define ANY_DEPTH 1e4
#define ROUGH_DEPTH 0.5

typedef struct Job {
    const TbScatterAsk *ask;
    const TbScatter *out;
    const TbScreen *screen;
    bool only_bins; /**< no band could break the keep: nothing is judged */
    TbTask *task;
    size_t count;                                         /**< of samples that are drawn */
    atomic_size_t done;                                   /**< of them, for whoever waits */
    atomic_ullong broken, undecided, separated, searched; /* sums: no order matters */
    atomic_ullong bins[TB_SCATTER_BINS];
    atomic_int status;
} Job;

/**
 * mm. No less than the gap of a sample, by the nominal witness alone. Of surfaces that are apart or
 * meet: how far its two points are from each other now. Of a depth: the point that lies so deep in
 * the other solid has moved against it by |A p - B p|, and a signed distance changes no faster; of
 * the two points either may be that one.
 */
static double
upper_of(const TbGap *nominal, const TbPose pose[2])
{
    TbVec3 a = nominal->point_a, b = nominal->point_b;

    if (nominal->upper >= 0)
        return tb_vec3_distance(tb_pose_point(pose[0], a), tb_pose_point(pose[1], b)) +
               TB_TOL_ROUND;
    return nominal->upper + TB_TOL_ROUND +
           fmax(tb_vec3_distance(tb_pose_point(pose[0], a), tb_pose_point(pose[1], a)),
                tb_vec3_distance(tb_pose_point(pose[0], b), tb_pose_point(pose[1], b)));
}

/** A whole search, where the screen has no answer. */
static TbStatus
search_sample(Job *job, const TbPose pose[2], double need, bool *broken)
{
    TbMovingAsk moving = {.a = job->ask->a,
                          .b = job->ask->b,
                          .width = TB_SCATTER_WIDTH,
                          .enough = fmax(0, need),
                          .leave_out = job->ask->leave_out,
                          .leave_out_count = job->ask->leave_out_count};
    TbGap gap;
    TbStatus status;

    /* how deep does not matter where no overlap would be enough; else it is found out by and by */
    moving.depth_width = need >= 0 ? ANY_DEPTH : ROUGH_DEPTH;
    status = tb_moving_gap_posed(&moving, pose[0], pose[1], job->task, &gap, NULL);
    if (status == TB_OK && need < 0 && gap.lower < need && gap.upper >= need) {
        moving.depth_width = TB_DEPTH_WIDTH;
        status = tb_moving_gap_posed(&moving, pose[0], pose[1], job->task, &gap, NULL);
    }
    atomic_fetch_add(&job->searched, 1);
    if (status != TB_OK)
        return status;
    *broken = gap.lower < need || gap.contact == TB_CROSSES;
    if (gap.lower < need && gap.upper >= need)
        atomic_fetch_add(&job->undecided, 1);
    return TB_OK;
}

/** The bin of a sample, to the first order. */
static size_t
bin_of(const Job *job, const double value[])
{
    double gap = job->out->nominal.upper, at;

    for (size_t i = 0; i < job->ask->count; i++)
        gap += job->out->slope[i] * value[i];
    at = (gap - job->out->bin_from) / job->out->bin_width;
    return at < 0 ? 0 : (size_t)fmin(at, TB_SCATTER_BINS - 1);
}

/** Pairs of parts that overlap do not say how deep the two do: where a surface stands off by less
 * than nothing, they only tell what is apart. */
static TbScreened
ask_screen(const Job *job, const TbPose pose[2], double need, bool *separated)
{
    TbScreened said = tb_screen__ask(job->screen, pose, fmax(0, need), separated);

    return said == TB_SCREEN_BROKEN && need < 0 ? TB_SCREEN_OPEN : said;
}

/** What can be said of a sample without a search. */
static TbScreened
judge_quickly(const Job *job, const TbPose pose[2], double need, bool *separated)
{
    *separated = false;
    if (job->out->nominal.contact != TB_CLEAR && upper_of(&job->out->nominal, pose) < need)
        return TB_SCREEN_BROKEN;
    return job->screen == NULL ? TB_SCREEN_OPEN : ask_screen(job, pose, need, separated);
}

static void
judge_sample(Job *job, const double value[])
{
    TbPose pose[2];
    bool broken = false, separated;
    TbScreened said;
    double off, need;
    TbStatus status = TB_OK;

    tb_scatter__place(job->ask, value, pose, &off);
    need = job->ask->keep + off;
    said = judge_quickly(job, pose, need, &separated);
    if (separated)
        atomic_fetch_add(&job->separated, 1);
    if (said == TB_SCREEN_OPEN)
        status = search_sample(job, pose, need, &broken);
    if (status != TB_OK)
        atomic_store(&job->status, (int)status);
    if (broken || said == TB_SCREEN_BROKEN)
        atomic_fetch_add(&job->broken, 1);
}

static void
run_samples(void *data, size_t from, size_t to, int worker)
{
    Job *job = data;
    unsigned own[TB_SCATTER_BINS] = {0};

    (void)worker;
    for (size_t i = from; i < to && atomic_load(&job->status) == TB_OK; i++) {
        double value[TB_SCATTER_MOST];

        tb_scatter__values(job->ask, i, value);
        if (job->out->bin_width > 0)
            own[bin_of(job, value)]++;
        if (!job->only_bins)
            judge_sample(job, value);
        if (i % POLL == 0 && tb_task_is_cancelled(job->task))
            atomic_store(&job->status, TB_E_CANCELLED);
    }
    for (size_t k = 0; k < TB_SCATTER_BINS; k++)
        if (own[k] > 0)
            atomic_fetch_add(&job->bins[k], own[k]);
    atomic_fetch_add(&job->done, to - from);
    if (job->count >= MANY)
        tb_task_report(job->task, "samples", (double)atomic_load(&job->done) / (double)job->count);
}

/** Where the histogram lies. */
static void
set_bins(const TbScatterAsk *ask, TbScatter *out)
{
    double variance = 0;

    for (size_t i = 0; i < ask->count; i++) {
        double deviation = out->slope[i] / (ask->sources[i].even ? sqrt(3) : TB_SCATTER_DEVIATIONS);

        variance += deviation * deviation;
    }
    out->bin_width = 2 * TB_SCATTER_SPAN * sqrt(variance) / TB_SCATTER_BINS;
    out->bin_from = out->nominal.upper - TB_SCATTER_SPAN * sqrt(variance);
}

/** mm. How far the screen looks beyond the keep: few samples move more. */
static double
far_of(const TbScatterAsk *ask)
{
    double sum = 0;

    for (size_t i = 0; i < ask->count; i++) {
        const TbScatterSource *s = &ask->sources[i];
        TbVec3 centre;
        double radius = tb_scatter__ball(s->side == 0 ? ask->a : ask->b, &centre);
        double arm = s->kind == TB_SCATTER_TURN ? radius + tb_vec3_distance(centre, s->point) : 1;

        sum = hypot(sum, s->half * arm / (s->even ? 1 : TB_SCATTER_DEVIATIONS / FAR));
    }
    return sum;
}

/** What the surfaces say of a sample is all there is to say: nothing lies inside the other, or
 * where that is not known there is only an open mesh, which has no inside to lie in. */
static bool
is_of_surfaces(const TbScatterAsk *ask, const TbScatter *out)
{
    return out->nominal.contact == TB_CLEAR &&
           (out->nominal.inner == TB_INNER_NONE ||
            (out->nominal.inner == TB_INNER_UNKNOWN && !tb_scatter__has_inside(ask->a) &&
             !tb_scatter__has_inside(ask->b)));
}

/** No number by chance could break the keep. */
static bool
is_far(const TbScatterAsk *ask, const TbScatter *out)
{
    double reach = tb_scatter__reach(ask) * FURTHEST / TB_SCATTER_DEVIATIONS;

    return is_of_surfaces(ask, out) && out->nominal.lower - reach >= ask->keep;
}

/**
 * Pairs of what meets nominally: the nominal witness decides one way only, and not where a sample
 * takes it further than the keep. Elsewhere along a scan that is crossed they may meet all the
 * same, and then some pair shows it.
 */
static bool
is_met_by_pairs(const TbScatterAsk *ask, const TbScatter *out)
{
    return out->nominal.contact != TB_CLEAR && out->nominal.upper + far_of(ask) >= ask->keep;
}

/** The first samples tell whether a few pairs do for all. */
static bool
leaves_many(const Job *job)
{
    size_t left = 0;

    for (uint64_t i = 0; i < TRIAL && i < job->ask->samples && !tb_task_is_cancelled(job->task);
         i++) {
        double value[TB_SCATTER_MOST], off;
        TbPose pose[2];
        bool separated;

        tb_scatter__values(job->ask, i, value);
        tb_scatter__place(job->ask, value, pose, &off);
        left += judge_quickly(job, pose, job->ask->keep + off, &separated) == TB_SCREEN_OPEN;
    }
    return left > LEFT_OF_TRIAL;
}

/** Of what meets a few pairs first: most that scatters from there is broken, as any of them shows.
 * What is only grazed needs all, and they are few. */
static TbStatus
set_screen(Job *job, TbScreen *screen)
{
    const TbScatterAsk *ask = job->ask;
    bool meets = is_met_by_pairs(ask, job->out);
    double beyond = ask->keep + far_of(ask);
    TbStatus status;

    if (job->only_bins || !(meets || is_of_surfaces(ask, job->out)))
        return TB_OK;
    status = tb_screen__of(screen, ask, beyond, meets, job->task);
    job->screen = screen;
    screen->nominal = job->out->nominal.lower;
    if (status != TB_OK || !meets || screen->far >= 0 || !leaves_many(job))
        return status;
    tb_screen__clear(screen);
    status = tb_screen__of(screen, ask, beyond, false, job->task);
    screen->nominal = job->out->nominal.lower;
    return status;
}

static void
take(Job *job, TbScatter *out)
{
    out->samples = job->ask->samples;
    out->broken = atomic_load(&job->broken);
    out->undecided = atomic_load(&job->undecided);
    out->separated = atomic_load(&job->separated);
    out->searched = atomic_load(&job->searched);
    for (size_t k = 0; k < TB_SCATTER_BINS; k++) {
        out->bins[k] = atomic_load(&job->bins[k]);
        out->binned += out->bins[k];
    }
    tb_chance_interval(out->broken, out->samples, job->ask->confidence, &out->low, &out->high);
}

TbStatus
tb_scatter__chance(
    const TbScatterAsk *ask, TbWork *work, TbTask *task, TbScatter *out, TbFault *fault)
{
    TbScreen screen = {.count = 0};
    Job job = {.ask = ask, .out = out, .task = task, .only_bins = is_far(ask, out)};
    uint64_t count = ask->samples;
    TbStatus status;

    set_bins(ask, out);
    if (job.only_bins && count > TB_SCATTER_FAR_SAMPLES)
        count = TB_SCATTER_FAR_SAMPLES;
    status = set_screen(&job, &screen);
    job.count = count;
    if (status == TB_OK)
        status = tb_work_for(work, task, count, GRAIN, run_samples, &job);
    if (status == TB_OK)
        status = (TbStatus)atomic_load(&job.status);
    tb_screen__clear(&screen);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while tolerances were sampled");
    if (status != TB_OK)
        return tb_fail(fault, status, "no room to sample tolerances");
    take(&job, out);
    return TB_OK;
}
