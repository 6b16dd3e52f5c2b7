/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Depths over motions against closed forms and static depths at many poses: none may be deeper
 * than `lower` says, and the worst pose is as deep as `upper`. With half of what travels, wrong
 * certificates must show.
 */

#include "moving_scenes.h"

#include "gaps/moving_private.h"

#include <stdio.h>

static TbMotion
shifted(TbVec3 direction, double low, double high)
{
    TbMotion motion = {.count = 0};
    TbFreedom f = {TB_FREEDOM_SHIFT, {0, 0, 0}, direction, low, high};

    ck_assert_int_eq(tb_motion_add(&motion, f, NULL), TB_OK);
    return motion;
}

/** The interval holds the truth, and its upper end is the depth of its own pose. */
static void
check_depth(const TbMovingAsk *ask, const TbMovingGap *m, double truth, double within)
{
    TbGap at;

    ck_assert_int_eq(m->gap.contact == TB_OVERLAPS || m->gap.contact == TB_INSIDE, 1);
    ck_assert_msg(m->gap.lower <= truth + TB_TOL_ROUND && truth <= m->gap.upper + TB_TOL_ROUND,
                  "[%.9f, %.9f] misses %.9f", m->gap.lower, m->gap.upper, truth);
    ck_assert_msg(m->gap.upper - m->gap.lower <= within, "[%.9f, %.9f] is wider than %g",
                  m->gap.lower, m->gap.upper, within);
    ck_assert(m->gap.exhausted == (m->gap.upper - m->gap.lower > TB_DEPTH_WIDTH));
    ck_assert_uint_le(m->depths, TB_MOVING_DEPTHS + 1);
    ck_assert(m->gap.certified);
    ck_assert_int_eq(tb_moving_gap_at(ask, m->at_a, m->at_b, NULL, &at, NULL), TB_OK);
    ck_assert_double_le(at.lower, m->gap.upper + TB_TOL_ROUND);
}

/* The ball's lowest point goes from 3.7 deep to 11.3 deep and nothing turns. */
START_TEST(a_ball_pushed_into_a_block_is_as_deep_as_it_is_pushed)
{
    TbSolid *a = solid_of_plain(ball(tb_vec3(3, -7, 21), 17));
    TbSolid *b =
        solid_of_plain(tb_plain_block_between(tb_vec3(-200, -190, -200), tb_vec3(210, 200, 0)));
    TbMovingAsk ask = {
        .a = a, .b = b, .width = 1e-3, .motion_a = shifted(tb_vec3(0, 0, 2), -15.3, -7.7)};
    TbMovingGap m = ask_moving(&ask);

    check_depth(&ask, &m, 21 - 17 - 15.3, 0.25);
    ck_assert_double_lt(m.at_a[0], -15);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/* A straight duct 300 mm above the axis turns into a ball that stands on its way at 1.1 deg:
 * nearest there, and 6.3 deep; the ball sinks in by its lowest point, or the duct's side in the
 * ball. */
START_TEST(an_interior_worst_angle_is_found_and_its_depth_is_held)
{
    double angle = 1.1 * DEGREE, far = 300 + 23 + 31 - 6.3;
    TbSolid *a = solid_of_plain(rod(tb_vec3(-140, 0, 300), tb_vec3(160, 0, 300), 23));
    TbSolid *b = solid_of_plain(ball(tb_vec3(11, -far * sin(angle), far * cos(angle)), 31));
    TbRock rock = {{0, 0, 0}, {1, 0, 0}, -2.3 * DEGREE, 2.9 * DEGREE};
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-3, .motion_a = rocking(rock)};
    TbMovingGap m = ask_moving(&ask);

    check_depth(&ask, &m, -6.3, 3);
    ck_assert_double_eq_tol(m.at_a[0], angle, 0.5 * DEGREE);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/* It only meets when it has grown: a rod's tip 410 from its datum grows by 2 %, 8.2, towards a
 * block 3.9 off. */
START_TEST(a_depth_that_is_there_only_when_hot_is_found)
{
    TbVec3 datum = {-70.5, 33, 12};
    TbSolid *a = solid_of_plain(rod(tb_vec3(100, 33, 12), tb_vec3(datum.x + 410, 33, 12), 9));
    TbSolid *b = solid_of_plain(
        tb_plain_block_between(tb_vec3(datum.x + 413.9, -90, -80), tb_vec3(datum.x + 480, 95, 77)));
    TbMovingAsk ask = {.a = a, .b = b, .width = 1e-3};
    TbMovingGap m;

    ck_assert_int_eq(tb_motion_add_growth(&ask.motion_a, datum, 1, 1.02, NULL), TB_OK);
    m = ask_moving(&ask);
    check_depth(&ask, &m, 3.9 - 8.2, 0.35);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/* ---- random ---- */

enum { SCENES = 12, POSES = 20 };

static TbPlain
random_plain(gsl_rng *rng, TbVec3 c, int kind)
{
    TbVec3 d = random_direction(rng), e = tb_vec3_scale(d, between(rng, 8, 50));

    return kind == 0   ? ball(c, between(rng, 5, 25))
           : kind == 1 ? rod(tb_vec3_sub(c, e), tb_vec3_add(c, e), between(rng, 3, 12))
                       : block(c, d, between(rng, 5, 30), between(rng, 5, 30), between(rng, 5, 30));
}

static TbSolid *
meshed(TbSolid *solid)
{
    TbSolid *made = tb_solid_new();
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_solid_mesh(solid, 1.5, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(made, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    tb_solid_unref(solid);
    return made;
}

/** A sweep, and something that stands in its skin somewhere. */
static void
random_pair(gsl_rng *rng, TbMovingAsk *ask, int kind)
{
    TbSweep *sweep = random_sweep(rng, between(rng, 20, 50));
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
    TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);

    p = tb_vec3_add_scaled(p, between(rng, -25, 12), normal);
    ask->a = solid_of_sweep(sweep);
    ask->b = solid_of_plain(random_plain(rng, p, kind % 3));
    if (kind == 3)
        ask->b = meshed((TbSolid *)ask->b);
}

static void
random_motions(gsl_rng *rng, TbMovingAsk *ask, int kind)
{
    TbRock rock = {tb_vec3_scale(random_direction(rng), between(rng, 30, 300)),
                   random_direction(rng), -between(rng, 0, 0.04), between(rng, 0, 0.04)};

    if (kind != 1)
        ck_assert_int_eq(tb_motion_add_rock(&ask->motion_a, rock, NULL), TB_OK);
    if (kind == 2)
        ask->motion_b = shifted(random_direction(rng), -between(rng, 0, 4), between(rng, 1, 5));
    if (kind >= 1)
        ck_assert_int_eq(tb_motion_add_growth(&ask->motion_a,
                                              tb_vec3_scale(random_direction(rng), 200), 1,
                                              between(rng, 0.99, 1.02), NULL),
                         TB_OK);
    if (kind == 1)
        ck_assert_int_eq(
            tb_motion_add_growth(&ask->motion_b, tb_vec3(3, 8, 1), 1, between(rng, 1, 1.02), NULL),
            TB_OK);
}

static double
number_in(gsl_rng *rng, const TbFreedom *f)
{
    double kind = gsl_rng_uniform(rng);

    return kind < 0.3 ? f->low : kind < 0.6 ? f->high : between(rng, f->low, f->high);
}

/** @return whether it was a depth */
static bool
check_scene(gsl_rng *rng, const TbMovingAsk *ask, int scene)
{
    TbMovingGap m = ask_moving(ask);
    TbMovingAsk rough = *ask;
    TbGap at;

    ck_assert_double_le(m.gap.lower, m.gap.upper);
    ck_assert_int_eq(tb_moving_gap_at(ask, m.at_a, m.at_b, NULL, &at, NULL), TB_OK);
    ck_assert_double_le(at.lower, m.gap.upper + TB_TOL_ROUND);
    rough.depth_width = 0.5;
    for (int k = 0; k < POSES; k++) {
        double qa[TB_MOTION_MOST], qb[TB_MOTION_MOST];

        for (int i = 0; i < ask->motion_a.count; i++)
            qa[i] = number_in(rng, &ask->motion_a.freedom[i]);
        for (int i = 0; i < ask->motion_b.count; i++)
            qb[i] = number_in(rng, &ask->motion_b.freedom[i]);
        ck_assert_int_eq(tb_moving_gap_at(&rough, qa, qb, NULL, &at, NULL), TB_OK);
        ck_assert_msg(at.upper >= m.gap.lower - TB_TOL_ROUND,
                      "scene %d, pose %d: %.9f is deeper than %.9f", scene, k, at.upper,
                      m.gap.lower);
    }
    return m.gap.upper < 0;
}

START_TEST(no_pose_of_many_is_deeper_than_a_random_motion_says)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int depths = 0;

    gsl_rng_set(rng, 2741);
    for (int n = 0; n < SCENES; n++) {
        TbMovingAsk ask = {.width = 1e-2};

        random_motions(rng, &ask, n % 3);
        random_pair(rng, &ask, n % 4);
        depths += check_scene(rng, &ask, n);
        tb_solid_unref((TbSolid *)ask.a);
        tb_solid_unref((TbSolid *)ask.b);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(depths, SCENES / 2);
}
END_TEST

/* ---- the bound matters ---- */

/** Balls pushed straight into a block: how many depths are said to be less than they are. */
static int
wrong_ones(double factor)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int wrong = 0;

    gsl_rng_set(rng, 6174);
    tb_moving__travel_factor = factor;
    for (int n = 0; n < 20; n++) {
        double radius = between(rng, 5, 25), least = between(rng, 1, 9),
               most = between(rng, 10, 20);
        TbSolid *a = solid_of_plain(ball(tb_vec3(3, -7, radius), radius));
        TbSolid *b =
            solid_of_plain(tb_plain_block_between(tb_vec3(-99, -90, -200), tb_vec3(91, 88, 0)));
        TbMovingAsk ask = {
            .a = a, .b = b, .width = 1e-3, .motion_a = shifted(tb_vec3(0, 0, -1), least, most)};
        TbMovingGap m = ask_moving(&ask);

        wrong += m.gap.lower > -most + TB_TOL_ROUND;
        tb_solid_unref(a);
        tb_solid_unref(b);
    }
    tb_moving__travel_factor = 1;
    gsl_rng_free(rng);
    return wrong;
}

START_TEST(half_of_what_travels_gives_wrong_depths_and_all_of_it_none)
{
    ck_assert_int_eq(wrong_ones(1), 0);
    ck_assert_int_gt(wrong_ones(0.5), 5);
}
END_TEST

/* ---- failures ---- */

START_TEST(a_depth_without_room_or_cancelled_says_so_and_leaks_nothing)
{
    TbSolid *a = solid_of_plain(ball(tb_vec3(3, -7, 21), 17));
    TbSolid *b =
        solid_of_plain(tb_plain_block_between(tb_vec3(-200, -190, -200), tb_vec3(210, 200, 0)));
    TbMovingAsk ask = {
        .a = a, .b = b, .width = 1e-2, .motion_a = shifted(tb_vec3(0, 0, 2), -15.3, -13)};
    TbTask task = {.report = NULL};
    TbMovingGap m;
    TbFault fault = {0};
    size_t requests;

    tb_mem_fail_at(0);
    ck_assert_int_eq(tb_moving_gap(&ask, NULL, &m, NULL), TB_OK);
    requests = tb_mem_requests();
    for (size_t i = 1; i <= requests; i += 1 + requests / 300) {
        tb_mem_fail_at(i);
        ck_assert_int_eq(tb_moving_gap(&ask, NULL, &m, &fault), TB_E_MEMORY);
        ck_assert(fault.text[0] != '\0');
    }
    tb_mem_fail_at(0);
    tb_task_cancel(&task);
    ck_assert_int_eq(tb_moving_gap(&ask, &task, &m, &fault), TB_E_CANCELLED);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/moving_depth");
    TCase *tests = tcase_create("depths");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, a_ball_pushed_into_a_block_is_as_deep_as_it_is_pushed);
    tcase_add_test(tests, an_interior_worst_angle_is_found_and_its_depth_is_held);
    tcase_add_test(tests, a_depth_that_is_there_only_when_hot_is_found);
    tcase_add_test(tests, no_pose_of_many_is_deeper_than_a_random_motion_says);
    tcase_add_test(tests, half_of_what_travels_gives_wrong_depths_and_all_of_it_none);
    tcase_add_test(tests, a_depth_without_room_or_cancelled_says_so_and_leaks_nothing);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
