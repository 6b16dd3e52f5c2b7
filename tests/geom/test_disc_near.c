/* SPDX-License-Identifier: GPL-3.0-or-later */

/* A filled section and a body on which a point has its nearest point in closed form: everything is
 * held against GJK, which knows both by support alone. */

#include "random_sweep.h"

#include "geom/disc_near.h"
#include "geom/tol.h"

enum { POINT, CAPSULE, BALL, BLOCK, ROD, CONE, KINDS };

static const char *const kind_name[KINDS] = {"point", "capsule", "ball", "block", "rod", "cone"};

/* mm. GJK is run to 1e-12; what is left is the rounding of coordinates. */
#define EXACT 1e-9

static TbConvex
random_block(gsl_rng *rng, TbVec3 at)
{
    TbVec3 x = random_direction(rng), y = tb_vec3_unit(tb_vec3_across(random_direction(rng), x));
    TbBlock block = {at, {x, y, tb_vec3_cross(x, y)}, {0, 0, 0}};

    for (int k = 0; k < 3; k++)
        block.half[k] = between(rng, 0.3, 60);
    return tb_convex_of_block(&block);
}

static TbConvex
random_body(gsl_rng *rng, int kind, TbVec3 at)
{
    TbVec3 far = tb_vec3_add_scaled(at, between(rng, 1, 120), random_direction(rng));
    TbRod rod = {at, far, between(rng, 1, 40), between(rng, 0, 40)};
    TbBall ball = {at, between(rng, 1, 40)};
    TbConvex body = tb_convex_of_point(at);

    if (kind == BLOCK)
        return random_block(rng, at);
    if (kind == ROD)
        rod.radius_b = rod.radius_a;
    if (kind == ROD || kind == CONE)
        return tb_convex_of_rod(&rod);
    if (kind == BALL)
        return tb_convex_of_ball(&ball);
    if (kind == CAPSULE) {
        body.point[body.points++] = far;
        body.radius = between(rng, 1, 20);
    }
    return body;
}

/** A point of a disc: in its plane, and in no direction beyond its outline. */
static void
check_on_disc(const TbDisc *disc, TbVec3 p)
{
    TbVec3 way = tb_vec3_sub(p, disc->centre), contact;

    ck_assert_double_eq_tol(tb_vec3_dot(way, disc->frame.t), 0, EXACT);
    for (int i = 0; i < 64; i++) {
        double angle = 2 * M_PI * i / 64;
        TbVec3 d = tb_vec3_add_scaled(tb_vec3_scale(disc->w, cos(angle)), sin(angle), disc->h);

        ck_assert_double_le(tb_vec3_dot(d, p), tb_disc_support(disc, d, true, &contact) + EXACT);
    }
}

/** A point of a body: in no direction beyond it. */
static void
check_on_body(gsl_rng *rng, const TbConvex *body, TbVec3 p, TbVec3 out)
{
    for (int i = 0; i < 64; i++) {
        double reach = tb_convex_support(body, out).reach;

        ck_assert_double_le(tb_vec3_dot(out, p), reach + EXACT);
        out = random_direction(rng);
    }
}

typedef struct Score {
    int asked, settled;
    long supports;
} Score;

/** One pair from a start that is off by up to `lean`. */
static void
compare(gsl_rng *rng, const TbDisc *disc, const TbConvex *body, double lean, Score *score)
{
    TbConvex section = tb_convex_of_disc(disc, true);
    TbSeparation truth = tb_convex_separation(&section, body, tb_vec3(0, 0, 0), INFINITY, 1e-12);
    TbVec3 start = tb_vec3_add_scaled(truth.direction, lean, random_direction(rng));
    double width = 5e-4;
    TbSeparation found;

    if (truth.distance < 2e-3)
        return;
    score->asked++;
    if (!tb_disc_near(disc, body, start, INFINITY, width, &found)) {
        ck_assert_double_eq_tol(tb_vec3_length(found.direction), 1, 1e-12);
        return;
    }
    score->settled++;
    score->supports += found.rounds;
    ck_assert_double_le(found.lower, truth.distance + EXACT);
    ck_assert_double_ge(found.distance, truth.distance - EXACT);
    ck_assert_double_le(found.distance - found.lower, width);
    ck_assert_double_eq_tol(found.distance, tb_vec3_distance(found.point_a, found.point_b), EXACT);
    check_on_disc(disc, found.point_a);
    check_on_body(rng, body, found.point_b, found.direction);
    if (body->points == 2) {
        TbVec3 core = tb_vec3_mix(body->point[0], body->point[1], found.share_b[9]);

        ck_assert_double_eq_tol(found.share_b[8] + found.share_b[9], 1, EXACT);
        ck_assert_double_eq_tol(tb_vec3_distance(core, found.point_b), body->radius, EXACT);
    }
}

START_TEST(sections_and_bodies_are_as_far_apart_as_by_support_alone)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Score all = {0, 0, 0};

    gsl_rng_set(rng, 71);
    for (int n = 0; n < 120; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 10, 60));

        for (int i = 0; i < 60; i++) {
            TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
            TbVec3 at =
                tb_vec3_add_scaled(disc.centre, between(rng, 10, 200), random_direction(rng));
            TbConvex body = random_body(rng, i % KINDS, at);

            compare(rng, &disc, &body, i % 4 == 0 ? 1 : 0.02, &all);
        }
        tb_sweep_unref(sweep);
    }
    ck_assert_int_gt(all.asked, 5000);
    /* the rest lies before a section's face */
    ck_assert_msg(all.settled > all.asked / 2, "%d of %d", all.settled, all.asked);
    ck_assert_msg(all.supports < 4L * all.settled, "%ld for %d", all.supports, all.settled);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(beside_an_outline_every_kind_of_body_settles_in_a_few_supports)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSweep *sweep;

    gsl_rng_set(rng, 5);
    sweep = random_sweep(rng, 40);
    for (int kind = 0; kind < KINDS; kind++) {
        Score score = {0, 0, 0};

        for (int i = 0; i < 400; i++) {
            TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
            double angle = between(rng, 0, 2 * M_PI);
            TbVec3 out = tb_vec3_add_scaled(tb_vec3_scale(disc.w, cos(angle)), sin(angle), disc.h);
            TbVec3 at = tb_vec3_add_scaled(disc.centre, between(rng, 120, 220), out);
            TbConvex body = random_body(rng, kind, at);

            compare(rng, &disc, &body, 0.01, &score);
        }
        ck_assert_msg(score.settled > 0.9 * score.asked && score.asked > 200, "%s: %d of %d",
                      kind_name[kind], score.settled, score.asked);
        ck_assert_msg(score.supports < 3L * score.settled, "%s: %ld for %d", kind_name[kind],
                      score.supports, score.settled);
    }
    tb_sweep_unref(sweep);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(what_is_far_enough_is_let_go_by_its_first_support)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSweep *sweep;

    gsl_rng_set(rng, 8);
    sweep = random_sweep(rng, 40);
    for (int i = 0; i < 300; i++) {
        TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
        TbVec3 way = random_direction(rng);
        TbConvex body = random_body(rng, i % KINDS, tb_vec3_add_scaled(disc.centre, 400, way));
        TbSeparation found;

        ck_assert(tb_disc_near(&disc, &body, tb_vec3_neg(way), 80, 1e-6, &found));
        ck_assert_double_ge(found.lower, 80);
        ck_assert_int_eq(found.rounds, 1);
    }
    tb_sweep_unref(sweep);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(other_bodies_and_what_is_met_are_left_to_others)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbVec3 corner[3] = {{90, 3, 1}, {95, 40, 2}, {91, 7, 50}};
    TbConvex triangle = tb_convex_of_triangle(corner), block, rod;
    TbSeparation found;
    TbSweep *sweep;
    TbDisc disc;

    gsl_rng_set(rng, 13);
    sweep = random_sweep(rng, 40);
    disc = tb_sweep_at(sweep, 0.4 * tb_sweep_length(sweep));
    ck_assert(!tb_disc_near(&disc, &triangle, tb_vec3(0, 0, 0), INFINITY, 1e-3, &found));
    block = random_block(rng, tb_vec3(300, 20, 10));
    ck_assert(tb_disc_near(&disc, &block, tb_vec3(0, 0, 0), 1, 1e-3, &found));
    /* eight corners that are no block */
    block.point[7].x += 1e-3;
    ck_assert(!tb_disc_near(&disc, &block, tb_vec3(0, 0, 0), 1, 1e-3, &found));
    rod = random_body(rng, ROD, tb_vec3(300, 20, 10));
    rod.circle[1].axis = random_direction(rng);
    ck_assert(!tb_disc_near(&disc, &rod, tb_vec3(0, 0, 0), 1, 1e-3, &found));
    for (int kind = BALL; kind < KINDS; kind++) {
        TbConvex body = random_body(rng, kind, disc.centre);

        ck_assert(!tb_disc_near(&disc, &body, tb_vec3(0, 0, 0), INFINITY, 1e-3, &found));
    }
    tb_sweep_unref(sweep);
    gsl_rng_free(rng);
}
END_TEST

static Suite *
disc_near_suite(void)
{
    Suite *suite = suite_create("geom/disc_near");
    TCase *tests = tcase_create("near");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, sections_and_bodies_are_as_far_apart_as_by_support_alone);
    tcase_add_test(tests, beside_an_outline_every_kind_of_body_settles_in_a_few_supports);
    tcase_add_test(tests, what_is_far_enough_is_let_go_by_its_first_support);
    tcase_add_test(tests, other_bodies_and_what_is_met_are_left_to_others);
    suite_add_tcase(suite, tests);
    return suite;
}

int
main(void)
{
    return tb_test_main(disc_near_suite());
}
