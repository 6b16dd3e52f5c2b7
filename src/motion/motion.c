/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/motion.h"

/* ---- building ---- */

static bool
is_growth(const TbFreedom *freedom)
{
    return freedom->kind == TB_FREEDOM_GROWTH || freedom->kind == TB_FREEDOM_SPREAD;
}

/* mm that a shift moves anything by, a unit of its number, at most. */
static double
shift_of(const TbFreedom *freedom)
{
    double start = tb_vec3_length(freedom->direction);

    return freedom->kind == TB_FREEDOM_ENDS ? fmax(start, tb_vec3_length(freedom->point)) : start;
}

static TbStatus
check(const TbFreedom *freedom, TbFault *fault)
{
    TbRock rock = {freedom->point, freedom->direction, freedom->low, freedom->high};

    if (freedom->kind == TB_FREEDOM_TURN)
        return tb_rock_check(&rock, fault);
    if (!isfinite(freedom->low) || !isfinite(freedom->high) || freedom->low > freedom->high)
        return tb_fail(fault, TB_E_RANGE, "%s from %g to %g is no range",
                       is_growth(freedom) ? "a growth" : "a shift", freedom->low, freedom->high);
    if (freedom->kind == TB_FREEDOM_SPREAD || freedom->kind == TB_FREEDOM_GROWTH)
        return freedom->low > 0 ? TB_OK
                                : tb_fail(fault, TB_E_RANGE,
                                          "growth by a factor of %g leaves nothing", freedom->low);
    if (!(shift_of(freedom) > 0))
        return tb_fail(fault, TB_E_DEGENERATE, "a shift of %g to %g mm has no direction",
                       freedom->low, freedom->high);
    return TB_OK;
}

int
tb_motion_before_warm(const TbMotion *motion)
{
    int count = motion->count, growths = 0;

    while (count > 0 && motion->count - count < TB_MOTION_WARM) {
        const TbFreedom *f = &motion->freedom[count - 1];

        if (f->kind == TB_FREEDOM_TURN || f->kind == TB_FREEDOM_SHIFT)
            break;
        growths += is_growth(f);
        if (growths > 1)
            break;
        count--;
    }
    return count;
}

bool
tb_motion_is_bent(const TbMotion *motion, int freedom)
{
    const TbFreedom *f = &motion->freedom[freedom];
    int before = 0;

    if (!(f->high > f->low) || freedom >= tb_motion_before_warm(motion))
        return false;
    if (f->kind != TB_FREEDOM_SHIFT)
        return true;
    for (int i = 0; i < freedom; i++) {
        const TbFreedom *outer = &motion->freedom[i];

        if (outer->kind != TB_FREEDOM_SHIFT)
            return true;
        before += outer->high > outer->low;
    }
    return before >= TB_MOTION_SHIFTS;
}

TbStatus
tb_motion_add(TbMotion *motion, TbFreedom freedom, TbFault *fault)
{
    TbMotion made = *motion;
    TbStatus status = check(&freedom, fault);
    int bent = 0;

    if (status != TB_OK)
        return status;
    if (made.count == TB_MOTION_MOST)
        return tb_fail(fault, TB_E_LIMIT, "a motion has more than %d freedoms", TB_MOTION_MOST);
    if (!is_growth(&freedom) && freedom.kind != TB_FREEDOM_ENDS)
        freedom.direction = tb_vec3_unit(freedom.direction);
    made.freedom[made.count++] = freedom;
    for (int i = 0; i < made.count; i++)
        bent += tb_motion_is_bent(&made, i);
    if (bent > TB_MOTION_BENT)
        return tb_fail(fault, TB_E_LIMIT,
                       "a motion has %d turns and growths at once, %d are the most", bent,
                       TB_MOTION_BENT);
    *motion = made;
    return TB_OK;
}

TbStatus
tb_motion_add_rock(TbMotion *motion, TbRock rock, TbFault *fault)
{
    TbFreedom turn = {TB_FREEDOM_TURN, rock.point, rock.direction, rock.low, rock.high};

    return tb_motion_add(motion, turn, fault);
}

TbStatus
tb_motion_add_growth(TbMotion *motion, TbVec3 datum, double factor, double other, TbFault *fault)
{
    TbFreedom growth = {.kind = TB_FREEDOM_GROWTH,
                        .point = datum,
                        .low = fmin(factor, other),
                        .high = fmax(factor, other)};

    if (isnan(factor) || isnan(other))
        return tb_fail(fault, TB_E_RANGE, "a growth from %g to %g is no range", factor, other);
    return tb_motion_add(motion, growth, fault);
}

TbStatus
tb_motion_add_mount(TbMotion *motion, const TbMountRange *range, TbFault *fault)
{
    const TbVec3 axis[3] = {range->x, range->y, range->z};
    TbMotion made = *motion;
    TbStatus status = TB_OK;

    for (int i = 0; i < 6 && status == TB_OK; i++) {
        bool turn = i >= 3;
        double low = turn ? range->turn_low[i - 3] : range->shift_low[i];
        double high = turn ? range->turn_high[i - 3] : range->shift_high[i];
        TbFreedom freedom = {turn ? TB_FREEDOM_TURN : TB_FREEDOM_SHIFT, range->point, axis[i % 3],
                             low, high};

        if (low != 0 || high != 0)
            status = tb_motion_add(&made, freedom, fault);
    }
    if (status == TB_OK)
        *motion = made;
    return status;
}

/* ---- poses ---- */

static TbPose
pose_of(const TbFreedom *freedom, double q)
{
    switch (freedom->kind) {
    case TB_FREEDOM_TURN:
        return tb_pose_turn(freedom->point, freedom->direction, q);
    case TB_FREEDOM_SHIFT:
    case TB_FREEDOM_CARRIED:
        return tb_pose_shift(tb_vec3_scale(freedom->direction, q));
    case TB_FREEDOM_GROWTH:
        return tb_pose_growth(freedom->point, q);
    case TB_FREEDOM_SPREAD:
    case TB_FREEDOM_START:
    case TB_FREEDOM_END:
    case TB_FREEDOM_ENDS:
        break;
    }
    return tb_pose_identity();
}

TbPose
tb_motion_pose(const TbMotion *motion, const double q[])
{
    TbPose pose = tb_pose_identity();

    for (int i = 0; i < motion->count; i++)
        pose = tb_pose_compose(pose, pose_of(&motion->freedom[i], q[i]));
    return pose;
}

/* ---- bounds ---- */

/** Distance of a point from what a freedom leaves in place. */
static double
lever(const TbFreedom *freedom, TbVec3 p)
{
    TbVec3 off = tb_vec3_sub(p, freedom->point);

    if (freedom->kind == TB_FREEDOM_SPREAD) /* the chord's further end */
        return fmax(tb_vec3_length(off), tb_vec3_distance(off, freedom->direction));
    return tb_vec3_length(freedom->kind == TB_FREEDOM_TURN ? tb_vec3_across(off, freedom->direction)
                                                           : off);
}

/** The most that the growths outside a freedom, or all of them, enlarge what it does. */
static double
enlarged(const TbMotion *motion, int freedom)
{
    double scale = 1;

    for (int i = 0; i < freedom; i++)
        if (motion->freedom[i].kind == TB_FREEDOM_GROWTH)
            scale *= motion->freedom[i].high;
    return scale;
}

/** Where the middle of the ranges within a freedom puts a ball, and how much larger the ball must
 * be to hold what any of their numbers make of it. */
static TbVec3
ball_within(const TbMotion *motion, int freedom, TbVec3 centre, double *radius)
{
    for (int i = motion->count - 1; i > freedom; i--) {
        const TbFreedom *f = &motion->freedom[i];
        double half = 0.5 * (f->high - f->low), from = lever(f, centre);

        if (f->kind >= TB_FREEDOM_SPREAD) { /* no pose says where it goes: from where it is drawn */
            if (f->kind == TB_FREEDOM_SPREAD)
                *radius =
                    fmax(1, f->high) * *radius + fmax(fabs(f->low - 1), fabs(f->high - 1)) * from;
            else
                *radius += fmax(fabs(f->low), fabs(f->high)) * shift_of(f);
            continue;
        }
        if (f->kind == TB_FREEDOM_TURN) /* the ball stays as large, its centre goes along an arc */
            *radius += 2 * from * sin(0.5 * fmin(half, M_PI));
        else if (f->kind == TB_FREEDOM_SHIFT || f->kind == TB_FREEDOM_CARRIED)
            *radius += half;
        else
            *radius = f->high * *radius + half * from;
        centre = tb_pose_point(pose_of(f, 0.5 * (f->low + f->high)), centre);
    }
    return centre;
}

double
tb_motion_speed(const TbMotion *motion, int freedom, TbVec3 centre, double radius)
{
    const TbFreedom *f = &motion->freedom[freedom];
    TbVec3 c = ball_within(motion, freedom, centre, &radius);

    if (f->kind != TB_FREEDOM_TURN && !is_growth(f))
        return enlarged(motion, freedom) * shift_of(f);
    return enlarged(motion, freedom) * (lever(f, c) + radius);
}

double
tb_motion_travel(
    const TbMotion *motion, const double low[], const double high[], TbVec3 centre, double radius)
{
    double sum = 0;

    for (int i = 0; i < motion->count; i++) {
        double half = 0.5 * (high[i] - low[i]), speed;

        if (!(half > 0))
            continue;
        speed = tb_motion_speed(motion, i, centre, radius);
        if (motion->freedom[i].kind == TB_FREEDOM_TURN) /* a chord, past half a turn the diameter */
            sum += 2 * speed * sin(0.5 * fmin(half, M_PI));
        else
            sum += speed * half;
    }
    return sum;
}

double
tb_motion_stray(
    const TbMotion *motion, int freedom, double low, double high, TbVec3 centre, double radius)
{
    double range = high - low;

    if (motion->freedom[freedom].kind != TB_FREEDOM_TURN)
        return 0;
    return 0.125 * range * range * tb_motion_speed(motion, freedom, centre, radius);
}
