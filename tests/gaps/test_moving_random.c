/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Certified gaps over motions against sampled poses: no pose may be below `lower`, and the
 * witness's pose must be as near as `upper`. Sweeps, plain shapes and meshes; rocks, growths on
 * both sides, mounts of six freedoms. Last, with half of the bound of arcs, wrong certificates must
 * show.
 */

#include "moving_scenes.h"

enum { SCENES = 60, POSES = 170 };

static TbPlain
random_plain(gsl_rng *rng, TbVec3 c)
{
    TbVec3 d = random_direction(rng), e = tb_vec3_scale(d, between(rng, 8, 70));

    switch (gsl_rng_uniform_int(rng, 3)) {
    case 0:
        return ball(c, between(rng, 0.5, 12));
    case 1:
        return rod(tb_vec3_sub(c, e), tb_vec3_add(c, e), between(rng, 1, 8));
    default:
        return block(c, d, between(rng, 3, 30), between(rng, 3, 30), between(rng, 3, 30));
    }
}

/** The surface of a solid as a mesh of its own. */
static TbSolid *
meshed(TbSolid *solid, double chord)
{
    TbSolid *made = tb_solid_new();
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_solid_mesh(solid, chord, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(made, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    tb_solid_unref(solid);
    return made;
}

/** A sweep, and something a little off one of its stations as it is somewhere in its motion. */
static void
random_pair(gsl_rng *rng, TbMovingAsk *ask, int kind)
{
    TbSweep *sweep = random_sweep(rng, between(rng, 20, 60)), *other;
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
    TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
    double q[TB_MOTION_MOST], off = between(rng, 8, 40);

    for (int i = 0; i < ask->motion_a.count; i++)
        q[i] = between(rng, ask->motion_a.freedom[i].low, ask->motion_a.freedom[i].high);
    p = tb_pose_point(tb_motion_pose(&ask->motion_a, q), tb_vec3_add_scaled(p, off, normal));
    ask->a = solid_of_sweep(sweep);
    if (kind == 0) {
        other = random_sweep(rng, between(rng, 10, 40));
        disc = tb_sweep_at(other, 0);
        ask->b = solid_of_sweep(tb_sweep_moved(other, tb_pose_shift(tb_vec3_sub(p, disc.centre))));
        tb_sweep_unref(other);
        return;
    }
    ask->b = solid_of_plain(random_plain(rng, p));
    if (kind == 2)
        ask->b = meshed((TbSolid *)ask->b, 0.5);
}

static TbRock
random_rock(gsl_rng *rng, double most)
{
    TbRock rock = {tb_vec3_scale(random_direction(rng), between(rng, 0, 400)),
                   random_direction(rng), 0, 0};

    rock.low = -between(rng, 0, most);
    rock.high = between(rng, 0, most);
    return rock;
}

static void
random_motions(gsl_rng *rng, TbMovingAsk *ask, int kind)
{
    TbVec3 datum = tb_vec3_scale(random_direction(rng), 300);

    if (kind == 2) { /* a mount's six */
        TbVec3 x = random_direction(rng),
               y = tb_vec3_unit(tb_vec3_across(random_direction(rng), x));
        TbMountRange range = {.point = tb_vec3_scale(random_direction(rng), 200),
                              .x = x,
                              .y = y,
                              .z = tb_vec3_cross(x, y)};

        for (int i = 0; i < 3; i++) {
            range.shift_low[i] = -between(rng, 0, 6);
            range.shift_high[i] = between(rng, 0, 6);
            range.turn_low[i] = -between(rng, 0, 0.03);
            range.turn_high[i] = between(rng, 0, 0.03);
        }
        ck_assert_int_eq(tb_motion_add_mount(&ask->motion_a, &range, NULL), TB_OK);
        return;
    }
    ck_assert_int_eq(tb_motion_add_rock(&ask->motion_a, random_rock(rng, 0.09), NULL), TB_OK);
    if (kind == 0)
        return;
    ck_assert_int_eq(tb_motion_add_growth(&ask->motion_a, datum, 1, between(rng, 0.99, 1.02), NULL),
                     TB_OK);
    ck_assert_int_eq(
        tb_motion_add_growth(&ask->motion_b, tb_vec3(0, 0, 0), 1, between(rng, 0.99, 1.02), NULL),
        TB_OK);
}

/** Ends of ranges as often as their insides: worst poses like corners. */
static void
sample(gsl_rng *rng, const TbMotion *motion, double q[])
{
    for (int i = 0; i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];
        double kind = gsl_rng_uniform(rng);

        q[i] = kind < 0.25 ? f->low : kind < 0.5 ? f->high : between(rng, f->low, f->high);
    }
}

/** Near the worst pose, where a bound that is too high shows. */
static void
nudge(gsl_rng *rng, const TbMotion *motion, const double at[], double q[])
{
    for (int i = 0; i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];
        double range = (f->high - f->low) * between(rng, 0, 0.1);

        q[i] = fmin(f->high, fmax(f->low, at[i] + between(rng, -range, range)));
    }
}

/** @return how many poses were compared */
static int
check_poses(gsl_rng *rng, const TbMovingAsk *ask, const TbMovingGap *m, int poses)
{
    int compared = 0;

    for (int k = 0; k < poses; k++) {
        double qa[TB_MOTION_MOST], qb[TB_MOTION_MOST];
        TbGap at;

        if (k % 3 == 2) {
            nudge(rng, &ask->motion_a, m->at_a, qa);
            nudge(rng, &ask->motion_b, m->at_b, qb);
        } else {
            sample(rng, &ask->motion_a, qa);
            sample(rng, &ask->motion_b, qb);
        }
        ck_assert_int_eq(tb_moving_gap_at(ask, qa, qb, NULL, &at, NULL), TB_OK);
        ck_assert_msg(at.upper >= m->gap.lower - TB_TOL_ROUND, "pose %d: %.9f below %.9f", k,
                      at.upper, m->gap.lower);
        compared++;
    }
    return compared;
}

/** @param motions 0: a rock; 1: and growths; 2: six freedoms */
static int
check_scenes(int motions, int obstacles, unsigned long seed, double width, int scenes)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int compared = 0, clear = 0;

    gsl_rng_set(rng, seed);
    for (int n = 0; n < scenes; n++) {
        TbMovingAsk ask = {.width = width, .depth_width = 1};
        TbMovingGap m;

        random_motions(rng, &ask, motions);
        random_pair(rng, &ask, obstacles);
        m = ask_moving(&ask);
        if (m.gap.contact == TB_CLEAR) {
            clear++;
            ck_assert_msg(m.gap.upper - m.gap.lower <= width || m.gap.exhausted,
                          "scene %d: [%.9f, %.9f], %ld nodes", n, m.gap.lower, m.gap.upper,
                          m.gap.nodes);
            check_witness(&ask, &m);
        }
        compared += check_poses(rng, &ask, &m, m.gap.contact == TB_CLEAR ? POSES : 4);
        tb_solid_unref((TbSolid *)ask.a);
        tb_solid_unref((TbSolid *)ask.b);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(clear, scenes / 3);
    return compared;
}

START_TEST(ten_thousand_poses_of_rocking_sweeps_are_never_below_lower)
{
    int compared = check_scenes(0, 0, 4711, 1e-2, SCENES / 2);

    compared += check_scenes(0, 1, 1234, 1e-4, SCENES);
    ck_assert_int_gt(compared, 6000);
}
END_TEST

START_TEST(poses_of_rocking_sweeps_before_meshes_are_never_below_lower)
{
    check_scenes(0, 2, 577, 1e-3, SCENES / 3);
}
END_TEST

START_TEST(poses_of_what_rocks_and_warms_are_never_below_lower)
{
    ck_assert_int_gt(check_scenes(1, 1, 99, 1e-3, SCENES / 2), 3000);
}
END_TEST

START_TEST(poses_of_mounts_with_six_freedoms_are_never_below_lower)
{
    check_scenes(2, 1, 31337, 5e-2, SCENES / 6);
}
END_TEST

/** Certificates of a rod that swings past balls on the outer side, where arcs bulge towards them;
 * @return how many are above the truth */
static int
wrong_ones(double factor)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int wrong = 0;

    gsl_rng_set(rng, 8128);
    tb_carried_stray_factor = factor;
    for (int n = 0; n < 60; n++) {
        double reach = between(rng, 250, 450), at = between(rng, -0.03, 0.03),
               off = between(rng, 2, 9);
        TbRock rock = {{0, 0, 0}, {1, 0, 0}, -0.05, 0.05};
        TbVec3 out = {0, -sin(at), cos(at)};
        TbMovingAsk ask = {.width = 1e-4, .motion_a = rocking(rock)};
        TbMovingGap m;

        ask.a = solid_of_plain(rod(tb_vec3(-50, 0, reach), tb_vec3(60, 0, reach), 12));
        ask.b = solid_of_plain(slab(out, reach + 12 + off, tb_vec3(0, 0, 0)));
        m = ask_moving(&ask);
        if (m.gap.lower > off + TB_TOL_ROUND)
            wrong++;
        tb_solid_unref((TbSolid *)ask.a);
        tb_solid_unref((TbSolid *)ask.b);
    }
    tb_carried_stray_factor = 1;
    gsl_rng_free(rng);
    return wrong;
}

START_TEST(half_of_the_bound_of_arcs_gives_wrong_certificates_and_all_of_it_none)
{
    ck_assert_int_eq(wrong_ones(1), 0);
    ck_assert_int_gt(wrong_ones(0.5), 5);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/moving_random");
    TCase *tests = tcase_create("random");

    tcase_set_timeout(tests, 200);
    tcase_add_test(tests, ten_thousand_poses_of_rocking_sweeps_are_never_below_lower);
    tcase_add_test(tests, poses_of_rocking_sweeps_before_meshes_are_never_below_lower);
    tcase_add_test(tests, poses_of_what_rocks_and_warms_are_never_below_lower);
    tcase_add_test(tests, poses_of_mounts_with_six_freedoms_are_never_below_lower);
    tcase_add_test(tests, half_of_the_bound_of_arcs_gives_wrong_certificates_and_all_of_it_none);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
