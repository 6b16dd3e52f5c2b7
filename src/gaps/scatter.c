/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/scatter.h"

#include "gaps/scatter_private.h"
#include "geom/tol.h"
#include "motion/chance.h"

#include <math.h>

/* ---- the question ---- */

double
tb_scatter__ball(const TbSolid *solid, TbVec3 *centre)
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
    double size = 2 * tb_scatter__ball(s->side == 0 ? ask->a : ask->b, &centre);
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

    if (!(ask->keep >= 0) || !isfinite(ask->keep))
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

void
tb_scatter__place(const TbScatterAsk *ask, const double value[], TbPose pose[2], double *off)
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
tb_scatter__values(const TbScatterAsk *ask, uint64_t sample, double value[])
{
    double even[TB_SCATTER_MOST];
    bool any_even = false;

    tb_chance_normals(ask->seed, sample, 0, value, ask->count);
    for (size_t i = 0; i < ask->count; i++)
        any_even = any_even || ask->sources[i].even;
    if (any_even)
        tb_chance_evens(ask->seed, sample, 1, even, ask->count);
    for (size_t i = 0; i < ask->count; i++)
        value[i] = ask->sources[i].even ? even[i] : value[i] / TB_SCATTER_DEVIATIONS;
}

void
tb_scatter_sample(const TbScatterAsk *ask, uint64_t sample, TbPose pose[2], double *off)
{
    double value[TB_SCATTER_MOST];

    tb_scatter__values(ask, sample, value);
    tb_scatter__place(ask, value, pose, off);
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
        deviation = fabs(out->slope[i]) / (s->even ? sqrt(3) : TB_SCATTER_DEVIATIONS);
        out->share[i] = deviation * deviation;
        variance += out->share[i];
    }
    for (size_t i = 0; i < ask->count; i++) {
        out->share[i] = variance > 0 ? out->share[i] / variance : 0;
        if (out->share[i] > out->share[out->most])
            out->most = i;
    }
}

/* ---- what moves them besides ---- */

/** The two where the motion alone brings them nearest, as if they had been drawn there. */
typedef struct Posed {
    TbScatterAsk ask;
    TbMovingStill still;
} Posed;

/** The gap over the motion alone; what is asked as if the two had been drawn where it is least. */
static TbStatus
find_nominal(const TbScatterAsk *ask, TbTask *task, TbScatter *out, Posed *posed, TbFault *fault)
{
    TbMovingAsk all = {.a = ask->a,
                       .b = ask->b,
                       .width = ask->width,
                       .leave_out = ask->leave_out,
                       .leave_out_count = ask->leave_out_count};
    TbMovingGap moving;
    TbStatus status = TB_OK;

    if (ask->base_a != NULL)
        all.motion_a = *ask->base_a;
    if (ask->base_b != NULL)
        all.motion_b = *ask->base_b;
    for (int i = 0; i < ask->ties; i++)
        all.tie[all.ties++] = ask->tie[i];
    if (ask->nominal != NULL)
        moving = *ask->nominal;
    else
        status = tb_moving_gap(&all, task, &moving, fault);
    if (status != TB_OK)
        return status;
    out->nominal = moving.gap;
    for (int i = 0; i < TB_MOTION_MOST; i++) {
        out->at_a[i] = i < all.motion_a.count ? moving.at_a[i] : 0;
        out->at_b[i] = i < all.motion_b.count ? moving.at_b[i] : 0;
    }
    status = tb_moving_still(&all, moving.at_a, moving.at_b, &posed->still, fault);
    posed->ask.a = posed->still.solid[0];
    posed->ask.b = posed->still.solid[1];
    posed->ask.leave_out = posed->still.leave_out;
    posed->ask.leave_out_count = posed->still.leave_out_count;
    posed->ask.base_a = posed->ask.base_b = NULL;
    posed->ask.ties = 0;
    return status;
}

/** What is to be decided lies inside the worst case's interval, which could be closer. */
static bool
is_undecided(const TbScatterAsk *ask, const TbScatter *made)
{
    double low = made->worst_lower, high = made->worst_upper;

    return ask->enough > 0 && !made->worst_exhausted && ask->width > TB_GAP_WIDTH_LEAST &&
           ((low < ask->keep && ask->keep <= high) || (low < ask->enough && ask->enough <= high));
}

static TbStatus
find_all(const TbScatterAsk *ask,
         TbWork *work,
         TbTask *task,
         TbScatter *made,
         Posed *posed,
         TbFault *fault)
{
    TbGapAsk still = {.a = ask->a,
                      .b = ask->b,
                      .width = ask->width,
                      .hint = INFINITY,
                      .leave_out = ask->leave_out,
                      .leave_out_count = ask->leave_out_count};
    bool moves = ask->base_a != NULL || ask->base_b != NULL;
    TbStatus status = TB_OK;

    if (moves)
        status = find_nominal(ask, task, made, posed, fault);
    else if (ask->nominal != NULL)
        made->nominal = ask->nominal->gap;
    else
        status = tb_gap(&still, task, &made->nominal, fault);
    if (status != TB_OK || made->nominal.nothing)
        return status;
    find_slopes(&posed->ask, made);
    status = tb_scatter__worst(ask, task, made, fault);
    if (status == TB_OK && is_undecided(ask, made)) {
        TbScatterAsk closer = *ask;

        closer.width = TB_GAP_WIDTH_LEAST;
        status = tb_scatter__worst(&closer, task, made, fault);
    }
    if (status == TB_OK && ask->samples > 0)
        status = tb_scatter__chance(&posed->ask, work, task, made, fault);
    return status;
}

TbStatus
tb_scatter(const TbScatterAsk *ask, TbWork *work, TbTask *task, TbScatter *scatter, TbFault *fault)
{
    TbScatter made = {.high = 1};
    Posed posed = {.ask = *ask};
    TbStatus status = check(ask, fault);

    if (status == TB_OK)
        status = find_all(ask, work, task, &made, &posed, fault);
    tb_moving_still_clear(&posed.still);
    if (status == TB_OK)
        *scatter = made;
    return status;
}
