/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/moving_private.h"
#include "gaps/scatter_private.h"
#include "geom/tol.h"

#include <math.h>

/** How much of one side's sources goes into its motion; what does not is taken off. */
typedef enum Depth { WITH_ALL, WITHOUT_TURNS, WITHOUT_ANY } Depth;

/** Both sides as motions: sources outermost, then what moves them besides. */
typedef struct Joint {
    const TbScatterAsk *ask;
    TbMovingAsk moving;
    Depth depth[2];
    int own[2];   /**< how many freedoms of a side are of sources */
    double slack; /**< mm: what the motions leave out, at most */
} Joint;

static TbMotion *
motion_at(Joint *joint, int side)
{
    return side == 0 ? &joint->moving.motion_a : &joint->moving.motion_b;
}

static const TbMotion *
base_of(const TbScatterAsk *ask, int side)
{
    return side == 0 ? ask->base_a : ask->base_b;
}

/** mm. Furthest that anything of a side is from where it rests, by what moves it besides. */
static double
base_reach(const TbScatterAsk *ask, int side)
{
    const TbMotion *base = base_of(ask, side);
    double low[TB_MOTION_MOST], high[TB_MOTION_MOST], middle[TB_MOTION_MOST], radius, reach;
    TbVec3 centre;
    TbPose pose;

    if (base == NULL)
        return 0;
    radius = tb_scatter__ball(side == 0 ? ask->a : ask->b, &centre);
    for (int i = 0; i < base->count; i++) {
        low[i] = base->freedom[i].low;
        high[i] = base->freedom[i].high;
        middle[i] = 0.5 * (low[i] + high[i]);
    }
    pose = tb_motion_pose(base, middle);
    reach = tb_vec3_distance(tb_pose_point(pose, centre), centre) + (1 + pose.scale) * radius;
    /* twice: no pose says where the middle of a warmth is */
    return reach + 2 * tb_motion_travel(base, low, high, centre, radius);
}

/**
 * mm. What all turns of a side take a point further from the middle of its ball, at most, in
 * whatever order and about whichever of their axes. About an axis through p, |y - c| changes by
 * (w x (y - p)) . u = (w x (c - p)) . u a radian, u being unit from c to y: by |c - p| at most.
 */
static double
turns_reach(const TbScatterAsk *ask, int side, TbVec3 centre)
{
    double turns = 0, off = 0;

    for (size_t i = 0; i < ask->count; i++) {
        const TbScatterSource *s = &ask->sources[i];

        if (s->side != side || s->kind != TB_SCATTER_TURN)
            continue;
        turns += s->half;
        off = fmax(off, tb_vec3_distance(centre, s->point));
    }
    return turns * off;
}

/** mm. Furthest that a point of a side may be from a turn's axis, bands of all else included:
 * shifts are outside all turns. */
static double
lever_of(const TbScatterAsk *ask, int side, TbVec3 point)
{
    TbVec3 centre;
    double radius = tb_scatter__ball(side == 0 ? ask->a : ask->b, &centre);

    return radius + tb_vec3_distance(centre, point) + turns_reach(ask, side, centre) +
           base_reach(ask, side);
}

/** How far a turn by an angle to either side takes a point, over its lever. */
static double
chord_of(double angle)
{
    return 2 * sin(0.5 * fmin(angle, M_PI));
}

/** mm. What a source moves any point of its side, at most. */
static double
reach_of(const TbScatterAsk *ask, const TbScatterSource *s)
{
    return s->kind == TB_SCATTER_TURN ? chord_of(s->half) * lever_of(ask, s->side, s->point)
                                      : s->half;
}

/** Sources that do the same are one freedom of the sum of their bands. */
static TbFreedom *
same_freedom(TbMotion *motion, int own, const TbScatterSource *s)
{
    TbVec3 d = tb_vec3_unit(s->direction);

    for (int i = 0; i < own; i++) {
        TbFreedom *f = &motion->freedom[i];
        bool turn = f->kind == TB_FREEDOM_TURN;

        if (turn != (s->kind == TB_SCATTER_TURN) ||
            tb_vec3_length(tb_vec3_cross(f->direction, d)) > TB_TOL_UNIT)
            continue;
        return f;
    }
    return NULL;
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
    double turn = chord_of(s->half);
    double slack =
        turn * tb_vec3_length(tb_vec3_across(tb_vec3_sub(s->point, same->point), same->direction));

    for (const TbFreedom *f = same + 1; f < motion->freedom + motion->count; f++) {
        double lever = fmax(lever_of(ask, s->side, f->point), lever_of(ask, s->side, s->point));

        slack += 4 * turn * chord_of(f->high) * fmax(lever, lever_of(ask, s->side, same->point));
    }
    return slack;
}

/** The source is in the motion, rather than taken off. */
static bool
is_within(const Joint *joint, const TbScatterSource *s)
{
    Depth depth = joint->depth[s->side];

    return s->half > 0 && (s->kind == TB_SCATTER_SHIFT  ? depth != WITHOUT_ANY
                           : s->kind == TB_SCATTER_TURN ? depth == WITH_ALL
                                                        : false);
}

/** Another band about the same axis: past half a turn each way every angle is there already. */
static void
widen(TbFreedom *same, double half)
{
    double most = same->kind == TB_FREEDOM_TURN ? M_PI : (double)INFINITY;

    same->high = fmin(most, same->high + half);
    same->low = -same->high;
}

/** Shifts first; parallel turns that are not neighbours become one, and what that leaves open is
 * added to the slack. */
static TbStatus
add_sources(Joint *joint, int side, double *slack, TbFault *fault)
{
    const TbScatterAsk *ask = joint->ask;
    TbMotion *motion = motion_at(joint, side);

    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < ask->count; i++) {
            const TbScatterSource *s = &ask->sources[i];
            TbScatterKind kind = pass == 0 ? TB_SCATTER_SHIFT : TB_SCATTER_TURN;
            TbFreedom made = {kind == TB_SCATTER_TURN ? TB_FREEDOM_TURN : TB_FREEDOM_SHIFT,
                              s->point, s->direction, -s->half, s->half};
            TbFreedom *same;
            TbStatus status;

            if (s->side != side || s->kind != kind)
                continue;
            if (!is_within(joint, s)) {
                *slack += reach_of(ask, s);
                continue;
            }
            same = same_freedom(motion, motion->count, s);
            if (same == NULL) {
                status = tb_motion_add(motion, made, fault);
                if (status != TB_OK)
                    return status;
                continue;
            }
            if (kind == TB_SCATTER_TURN)
                *slack += slack_of(ask, motion, same, s);
            widen(same, s->half);
        }
    joint->own[side] = motion->count;
    return TB_OK;
}

static TbStatus
try_side(Joint *joint, int side, Depth depth, double *slack, TbFault *fault)
{
    const TbMotion *base = base_of(joint->ask, side);
    TbMotion *motion = motion_at(joint, side);
    TbStatus status;

    *motion = (TbMotion){.count = 0};
    *slack = 0;
    joint->depth[side] = depth;
    status = add_sources(joint, side, slack, fault);
    for (int i = 0; base != NULL && i < base->count && status == TB_OK; i++)
        status = tb_motion_add(motion, base->freedom[i], fault);
    return status;
}

/** A search takes so many turns: where there are more, sources are taken off by what they reach,
 * turns first. What moves a side besides always stays in. */
static TbStatus
set_side(Joint *joint, int side, TbFault *fault)
{
    double slack = 0;
    TbStatus status = try_side(joint, side, WITH_ALL, &slack, fault);

    if (status == TB_E_LIMIT)
        status = try_side(joint, side, WITHOUT_TURNS, &slack, fault);
    if (status == TB_E_LIMIT)
        status = try_side(joint, side, WITHOUT_ANY, &slack, fault);
    joint->slack += slack;
    return status;
}

/** Both sides and what they have in common; the question's solids, ports and width are there. */
static TbStatus
set_sides(Joint *joint, TbFault *fault)
{
    const TbScatterAsk *ask = joint->ask;
    TbStatus status = set_side(joint, 0, fault);

    if (status == TB_OK)
        status = set_side(joint, 1, fault);
    for (int i = 0; i < ask->ties; i++) /* numbers of sources stand before what is tied */
        joint->moving.tie[joint->moving.ties++] = (TbMovingTie){.a = ask->tie[i].a + joint->own[0],
                                                                .b = ask->tie[i].b + joint->own[1],
                                                                .opposite = ask->tie[i].opposite};
    return status;
}

static Joint
joint_of(const TbScatterAsk *ask)
{
    return (Joint){.ask = ask,
                   .moving = {.a = ask->a,
                              .b = ask->b,
                              .width = ask->width,
                              .leave_out = ask->leave_out,
                              .leave_out_count = ask->leave_out_count}};
}

/** The values of all sources at which the merged motions are where they are; of those that are not
 * in them, the end that brings the nominal places nearer. */
static void
values_at(Joint *joint, const TbMovingGap *worst, const double slope[], double value[])
{
    const TbScatterAsk *ask = joint->ask;

    for (size_t i = 0; i < ask->count; i++) {
        const TbScatterSource *s = &ask->sources[i];
        TbMotion *motion = motion_at(joint, s->side);
        const double *at = s->side == 0 ? worst->at_a : worst->at_b;
        const TbFreedom *same;

        value[i] = slope[i] > 0 ? -1 : 1; /* standing off: as far as it may */
        if (!is_within(joint, s))
            continue;
        same = same_freedom(motion, joint->own[s->side], s);
        value[i] = at[same - motion->freedom] / same->high;
        if (tb_vec3_dot(same->direction, s->direction) < 0)
            value[i] = -value[i];
    }
}

/** The gap of all sources' values, and of the numbers of what moves them besides. */
static TbStatus
gap_for(Joint *joint,
        const double value[],
        const TbMovingGap *worst,
        TbTask *task,
        TbGap *gap,
        TbFault *fault)
{
    const TbScatterAsk *ask = joint->ask;
    TbMovingAsk base = {.a = ask->a,
                        .b = ask->b,
                        .leave_out = ask->leave_out,
                        .leave_out_count = ask->leave_out_count};
    TbMovingAsk posed = {.width = ask->width};
    TbMovingStill still;
    TbPose pose[2];
    double off;
    TbStatus status;

    if (ask->base_a != NULL)
        base.motion_a = *ask->base_a;
    if (ask->base_b != NULL)
        base.motion_b = *ask->base_b;
    status = tb_moving_still(&base, worst->at_a + joint->own[0], worst->at_b + joint->own[1],
                             &still, fault);
    tb_scatter__place(ask, value, pose, &off);
    posed.a = still.solid[0];
    posed.b = still.solid[1];
    posed.leave_out = still.leave_out;
    posed.leave_out_count = still.leave_out_count;
    if (status == TB_OK)
        status = tb_moving_gap_posed(&posed, pose[0], pose[1], task, gap, fault);
    tb_moving_still_clear(&still);
    return status;
}

static double
off_of(const TbScatterAsk *ask)
{
    double off = 0;

    for (size_t i = 0; i < ask->count; i++)
        if (ask->sources[i].kind == TB_SCATTER_SIZE)
            off += ask->sources[i].half;
    return off;
}

/** The nominal places, with every source at the end that brings them nearer. */
static double
upper_by_first_order(const TbScatterAsk *ask, const TbScatter *out, double off)
{
    double value[TB_SCATTER_MOST], unused;
    TbPose pose[2];

    for (size_t i = 0; i < ask->count; i++)
        value[i] = out->slope[i] > 0 ? -1 : 1;
    tb_scatter__place(ask, value, pose, &unused);
    return tb_vec3_distance(tb_pose_point(pose[0], out->nominal.point_a),
                            tb_pose_point(pose[1], out->nominal.point_b)) +
           TB_TOL_ROUND - off;
}

double
tb_scatter__reach(const TbScatterAsk *ask)
{
    double sum = 0;

    for (size_t i = 0; i < ask->count; i++)
        sum += reach_of(ask, &ask->sources[i]);
    return sum;
}

/** The nominal gap at the numbers of the merged motions: sources at 0. */
static void
set_nominal(const Joint *joint, const TbScatter *out, TbMovingGap *nominal)
{
    *nominal = (TbMovingGap){.gap = out->nominal};
    for (int s = 0; s < 2; s++) {
        const TbMotion *base = base_of(joint->ask, s);
        double *at = (s == 0 ? nominal->at_a : nominal->at_b) + joint->own[s];

        for (int i = 0; base != NULL && i < base->count; i++)
            at[i] = s == 0 ? out->at_a[i] : out->at_b[i];
    }
}

/** What the two are in the worst case, whose interval is there: surfaces that stand off may meet
 * where those that were searched do not. */
static void
take_contact(const TbScatterAsk *ask, const TbGap *seen, TbScatter *out)
{
    const TbGap *doubt = seen->contact == TB_CLEAR ? &out->nominal : seen;
    bool apart = seen->contact == TB_CLEAR || seen->contact == TB_TOUCHES, open;

    out->worst_contact = seen->contact;
    out->worst_inner = doubt->inner;
    out->worst_doubt = doubt->doubt;
    out->worst_enclosed = doubt->enclosed;
    if (seen->contact != TB_CROSSES && !(apart && out->worst_upper < 0))
        return;
    open = tb_moving__is_open(ask->a) || tb_moving__is_open(ask->b);
    out->worst_contact = open || !apart ? TB_CROSSES : TB_OVERLAPS;
    if (out->worst_contact != TB_CROSSES)
        return;
    out->worst_upper = 0;
    out->worst_lower = open ? 0 : fmin(out->worst_lower, 0);
}

/** What all bands together could do to the gap leaves it enough. */
static bool
is_plainly_enough(const TbScatterAsk *ask, TbScatter *out)
{
    double off = off_of(ask), lower = out->nominal.lower - tb_scatter__reach(ask);

    if (!(ask->enough > 0) || lower < ask->enough + TB_SCATTER_ROOMY ||
        out->nominal.contact != TB_CLEAR)
        return false;
    out->worst_upper = fmin(out->nominal.upper - off, upper_by_first_order(ask, out, off));
    out->worst_lower = fmin(lower, out->worst_upper);
    out->worst_plain = true;
    take_contact(ask, &out->nominal, out);
    return true;
}

TbStatus
tb_scatter__worst(const TbScatterAsk *ask, TbTask *task, TbScatter *out, TbFault *fault)
{
    Joint joint = joint_of(ask);
    double value[TB_SCATTER_MOST], off = off_of(ask);
    TbMovingGap nominal, worst;
    TbGap gap, *seen = &worst.gap;
    TbStatus status;

    if (is_plainly_enough(ask, out))
        return TB_OK;
    status = set_sides(&joint, fault);
    if (status != TB_OK)
        return status;
    set_nominal(&joint, out, &nominal);
    joint.moving.known = &nominal;
    status = tb_moving_gap(&joint.moving, task, &worst, fault);
    if (status != TB_OK)
        return status;
    if (joint.slack > 0) { /* the merged pose is none that the sources have */
        values_at(&joint, &worst, out->slope, value);
        status = gap_for(&joint, value, &worst, task, &gap, fault);
        if (status != TB_OK)
            return status;
        seen = gap.upper < out->nominal.upper ? &gap : &out->nominal;
    }
    out->worst_upper = seen->upper - off;
    out->worst_lower = fmin(worst.gap.lower - off - joint.slack, out->worst_upper);
    take_contact(ask, seen, out);
    out->worst_exhausted =
        worst.gap.exhausted || out->worst_upper - out->worst_lower > ask->width + TB_TOL_ROUND;
    return TB_OK;
}

TbStatus
tb_scatter_motion(const TbScatterAsk *ask, TbScatterMotion *motion, TbFault *fault)
{
    Joint joint = joint_of(ask);
    TbStatus status = set_sides(&joint, fault);

    if (status == TB_OK)
        *motion =
            (TbScatterMotion){.moving = joint.moving, .off = off_of(ask), .slack = joint.slack};
    return status;
}
