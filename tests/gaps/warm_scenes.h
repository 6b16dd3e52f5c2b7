/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file warm_scenes.h
 * @brief Paths whose ends are carried by what they are joined to, for the tests of gaps in motion.
 */
#pragma once

#include "moving_scenes.h"

static inline void
add(TbMotion *motion, TbFreedomKind kind, TbVec3 point, TbVec3 direction, double low, double high)
{
    TbFreedom freedom = {kind, point, direction, low, high};
    TbFault fault = {0};

    ck_assert_msg(tb_motion_add(motion, freedom, &fault) == TB_OK, "%s", fault.text);
}

/** Growth about its chord, and both ends' shifts. */
static inline void
follow(TbMotion *motion, const TbSweep *sweep, double factor, TbVec3 start, TbVec3 end)
{
    TbVec3 c0 = tb_sweep_at(sweep, 0).centre;
    TbVec3 c1 = tb_sweep_at(sweep, tb_sweep_length(sweep)).centre;

    add(motion, TB_FREEDOM_SPREAD, c0, tb_vec3_sub(c1, c0), fmin(1, factor), fmax(1, factor));
    add(motion, TB_FREEDOM_START, c0, start, 0, tb_vec3_length(start));
    add(motion, TB_FREEDOM_END, c1, end, 0, tb_vec3_length(end));
}

/** Both its ends go by one number instead, from its shifts as they are. */
static inline void
follow_one(TbMotion *motion)
{
    TbFreedom start = motion->freedom[motion->count - 2], end = motion->freedom[motion->count - 1];

    motion->count -= 2;
    add(motion, TB_FREEDOM_ENDS, tb_vec3_scale(end.direction, end.high),
        tb_vec3_scale(start.direction, start.high), 0, 1);
}

static inline TbSweep *
straight(TbVec3 from, TbVec3 to, double diameter)
{
    TbVec3 knot[2] = {from, to};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;

    ck_assert_int_eq(tb_curve_smooth_new(knot, 2, NULL, NULL, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, diameter, 0, &sweep, NULL), TB_OK);
    tb_curve_unref(curve);
    return sweep;
}

enum { ROCKS = 1, BOTH = 2, TIED = 4, ONE = 8 };

static inline TbVec3
some_shift(gsl_rng *rng)
{
    return tb_vec3_scale(random_direction(rng), between(rng, 0.5, 6));
}

static inline void
random_scene(gsl_rng *rng, int kind, TbMovingAsk *ask)
{
    TbSweep *sweep = random_sweep(rng, between(rng, 20, 50));
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
    TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
    TbRock rock = {tb_vec3_scale(random_direction(rng), 300), random_direction(rng), -0.04, 0.03};

    p = tb_vec3_add_scaled(p, between(rng, 12, 40), normal);
    if (kind & ROCKS)
        ck_assert_int_eq(tb_motion_add_rock(&ask->motion_a, rock, NULL), TB_OK);
    follow(&ask->motion_a, sweep, between(rng, 0.99, 1.015), some_shift(rng), some_shift(rng));
    if (kind & ONE)
        follow_one(&ask->motion_a);
    ask->a = solid_of_sweep(sweep);
    if (kind & BOTH) {
        TbSweep *other = random_sweep(rng, between(rng, 10, 30)), *moved;

        disc = tb_sweep_at(other, 0);
        moved = tb_sweep_moved(other, tb_pose_shift(tb_vec3_sub(p, disc.centre)));
        follow(&ask->motion_b, moved, between(rng, 0.99, 1.015), some_shift(rng), some_shift(rng));
        ask->b = solid_of_sweep(moved);
        tb_sweep_unref(other);
    } else {
        add(&ask->motion_b, TB_FREEDOM_GROWTH, tb_vec3_scale(random_direction(rng), 400),
            tb_vec3(0, 0, 0), 1, 1.01);
        ask->b = solid_of_plain(rod(p, tb_vec3_add_scaled(p, 60, normal), between(rng, 3, 8)));
    }
    if (kind & TIED) {
        int a = kind & ROCKS ? 2 : 1;

        ask->tie[ask->ties++] = (TbMovingTie){a, kind & BOTH ? 2 : 0, gsl_rng_uniform(rng) < 0.5};
        if ((kind & BOTH) && !(kind & ONE))
            ask->tie[ask->ties++] = (TbMovingTie){a + 1, 1, false};
    }
}

/** Numbers at random, ends as often as insides; tied ones by their tie. */
static inline void
sample(gsl_rng *rng, const TbMovingAsk *ask, double qa[], double qb[])
{
    const TbMotion *motion[2] = {&ask->motion_a, &ask->motion_b};
    double *q[2] = {qa, qb};

    for (int s = 0; s < 2; s++)
        for (int i = 0; i < motion[s]->count; i++) {
            const TbFreedom *f = &motion[s]->freedom[i];
            double kind = gsl_rng_uniform(rng);

            q[s][i] = kind < 0.35 ? f->low : kind < 0.7 ? f->high : between(rng, f->low, f->high);
        }
    for (int i = 0; i < ask->ties; i++) {
        const TbFreedom *a = &motion[0]->freedom[ask->tie[i].a];
        const TbFreedom *b = &motion[1]->freedom[ask->tie[i].b];
        double t = (qa[ask->tie[i].a] - a->low) / (a->high - a->low);

        t = ask->tie[i].opposite ? 1 - t : t;
        qb[ask->tie[i].b] = b->low + t * (b->high - b->low);
    }
}
