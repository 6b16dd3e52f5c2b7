/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/carried.h"

#include "geom/bound.h"

double tb_carried_stray_factor = 1;

/** Relative: rounding of a stray itself. */
#define SPARE (1 + 1e-9)

/** Least scale of the poses: so much of the body's ball can be left to the search. */
static double
least_scale(const TbCarried *carried)
{
    double least = carried->pose[0].scale;

    for (int i = 1; i < 1 << carried->bits; i++)
        least = fmin(least, carried->pose[i].scale);
    return least;
}

TbConvex
tb_carried_convex(const TbCarried *carried)
{
    TbConvex body = {.carried = carried};

    body.radius = carried->body->radius > 0 ? carried->body->radius * least_scale(carried) : 0;
    return body;
}

/** How far a bit's arc may leave its chord along d. Of the last turn P'' points to the axis, so it
 * is (across . d) of what is furthest out. */
static double
stray_along(const TbCarried *carried, int bit, TbVec3 d)
{
    double most = -INFINITY;
    TbVec3 out;

    if (bit != carried->turn || carried->stray[bit] == 0)
        return carried->stray[bit] * SPARE * tb_carried_stray_factor;
    out = tb_vec3_across(d, carried->axis);
    for (int i = 0; i < 1 << carried->bits; i++)
        most = fmax(most, tb_vec3_dot(out, tb_vec3_sub(carried->centre[i], carried->axis_point)));
    most += tb_vec3_length(out) * carried->radius;
    return fmin(carried->stray[bit], fmax(0, carried->eighth * most)) * SPARE *
           tb_carried_stray_factor;
}

/** The larger of two ends, and what an arc reaches beyond: the chord between reaches (1-k) a + k b,
 * the arc at most 4 w k (1-k) more. */
static double
arc_between(double a, double b, double w)
{
    double difference = fabs(a - b), full = 4 * w;

    if (difference >= full)
        return fmax(a, b);
    return fmax(a, b) + (full - difference) * (full - difference) / (4 * full);
}

/** A body's support along d carried to the numbers' furthest ends; a bit for each at its high one.
 */
static TbSupport
warmed(const TbWarm *warm, TbVec3 d, int disc, double reach, TbVec3 contact, int *ends)
{
    TbSupport out = {reach + tb_vec3_dot(d, warm->base), 0, tb_vec3_add(contact, warm->base), disc};

    *ends = 0;
    for (int i = 0; i < warm->count; i++) {
        const TbWarmNumber *n = &warm->number[i];
        double slope = n->k * reach + tb_vec3_dot(d, n->v[disc]);
        double at = slope >= 0 ? n->high : n->low;

        *ends |= slope >= 0 ? 1 << i : 0;
        out.reach += at * slope;
        out.point =
            tb_vec3_add_scaled(out.point, at, tb_vec3_add_scaled(n->v[disc], n->k, contact));
    }
    return out;
}

/** Of two discs each with its own shifts; the strip between them strays as much more as it has
 * grown and as its shifts bend. */
static TbSupport
warm_strip(const TbConvex *body, const TbWarm *warm, TbVec3 d)
{
    TbSupport at[2];
    double along, difference;
    int ends;

    for (int i = 0; i < 2; i++) {
        TbVec3 contact;
        double reach = tb_disc_support(body->disc[i], d, body->outer, &contact);

        at[i] = warmed(warm, d, i, reach, contact, &ends);
    }
    along = 4 * body->bound->eighth *
            (warm->factor * tb_strip_stray_along(body->bound, d) +
             warm->second * SPARE * tb_carried_stray_factor);
    difference = fabs(at[0].reach - at[1].reach);
    if (at[1].reach > at[0].reach)
        at[0] = at[1];
    if (difference < along)
        at[0].beyond = (along - difference) * (along - difference) / (4 * along);
    return at[0];
}

static TbSupport
support_at_rest(const TbCarried *carried, TbVec3 d, int *ends)
{
    TbSupport at;

    *ends = 0;
    if (carried->warm == NULL)
        return tb_convex_support(carried->body, d);
    if (carried->body->bound != NULL)
        return warm_strip(carried->body, carried->warm, d);
    at = tb_convex_support(carried->body, d);
    return warmed(carried->warm, d, 0, at.reach, at.point, ends);
}

TbSupport
tb_carried_support(const TbCarried *carried, TbVec3 d)
{
    int poses = 1 << carried->bits;
    double whole[TB_CARRIED_POSES];
    TbSupport best = {.reach = -INFINITY};
    double ball = carried->body->radius > 0 ? carried->body->radius * least_scale(carried) : 0;

    for (int i = 0; i < poses; i++) {
        const TbPose *pose = &carried->pose[i];
        TbVec3 back = {tb_vec3_dot(d, pose->x), tb_vec3_dot(d, pose->y), tb_vec3_dot(d, pose->z)};
        int ends;
        TbSupport at = support_at_rest(carried, back, &ends);
        double reach = tb_vec3_dot(d, pose->origin) + pose->scale * at.reach - ball;

        whole[i] = reach + pose->scale * at.beyond;
        if (reach > best.reach)
            best =
                (TbSupport){reach, 0, tb_vec3_add_scaled(tb_pose_point(*pose, at.point), -ball, d),
                            i + (at.part == 1 ? TB_CARRIED_SECOND : 0)};
        if (carried->bits == 0)
            best.part += ends << carried->shifts & (TB_CARRIED_POSES - 1);
    }
    for (int bit = carried->bits - 1; bit >= 0; bit--) {
        double w = stray_along(carried, bit, d);

        for (int i = 0; i < 1 << bit; i++)
            whole[i] = arc_between(whole[i], whole[i + (1 << bit)], w);
    }
    best.beyond = whole[0] - best.reach;
    for (int i = 0; i < carried->shifts; i++) {
        double along = tb_vec3_dot(carried->shift[i], d);

        best.reach += fabs(along);
        best.point = tb_vec3_add_scaled(best.point, along < 0 ? -1 : 1, carried->shift[i]);
        if (carried->bits == 0 && along >= 0)
            best.part += 1 << i;
    }
    return best;
}
