/* SPDX-License-Identifier: GPL-3.0-or-later */

/** The least gap of every section along a path over a motion. */

#include "moving_scenes.h"

#include "gaps/moving_profile.h"

enum { STATIONS = 27 };

#define NEAR 60.0
#define FINE 0.3

static void
fill_stations(const TbMovingAsk *moving, double stations[STATIONS])
{
    double length = tb_sweep_length(tb_solid_part(moving->a, 0)->sweep);

    for (int i = 0; i < STATIONS; i++)
        stations[i] = length * i / (STATIONS - 1);
}

static void
ask_profile(const TbMovingAsk *moving,
            const double stations[STATIONS],
            size_t poses,
            TbProfilePoint points[STATIONS])
{
    TbMovingProfileAsk ask = {.moving = moving,
                              .stations = stations,
                              .count = STATIONS,
                              .near = NEAR,
                              .fine = FINE,
                              .poses = poses};
    TbFault fault = {0};

    ck_assert_msg(tb_moving_profile(&ask, NULL, points, &fault) == TB_OK, "%s", fault.text);
    for (int i = 0; i < STATIONS; i++) {
        ck_assert_double_eq(points[i].station, stations[i]);
        ck_assert_double_le(points[i].lower, points[i].upper);
        ck_assert_double_ge(points[i].lower, 0);
    }
}

static void
clear(TbMovingAsk *ask)
{
    tb_solid_unref((TbSolid *)ask->a);
    tb_solid_unref((TbSolid *)ask->b);
}

#define RADIUS 20.0
#define HIGH 61.0
#define ANGLE (4 * DEGREE)

/* A straight duct along X turns about Y; a slab lies above. A section's top comes highest inside
 * the range where its station is short of the radius times the angle's tangent, else at an end. */
static double
slab_gap(double x)
{
    double q = fmin(fabs(atan2(x, RADIUS)), ANGLE);

    return HIGH - fabs(x) * sin(q) - RADIUS * cos(q);
}

static void
check_slab(TbMovingAsk *ask)
{
    double stations[STATIONS];
    TbProfilePoint points[STATIONS];

    fill_stations(ask, stations);
    ask_profile(ask, stations, 200, points);
    for (int i = 0; i < STATIONS; i++) {
        double gap = slab_gap(stations[i] - 130);

        ck_assert_double_ge(points[i].upper, gap - 1e-6);
        ck_assert_double_le(points[i].lower, gap + 1e-6);
        ck_assert_double_le(points[i].upper - points[i].lower, FINE + 1e-9);
    }
}

static TbMovingAsk
slab_scene(void)
{
    TbSection circle = tb_section_superellipse(2 * RADIUS, 2 * RADIUS, 2);

    return (TbMovingAsk){
        .a = solid_of_sweep(straight_sweep(tb_vec3(-130, 0, 0), tb_vec3(170, 0, 0), circle)),
        .b = solid_of_plain(
            tb_plain_block_between(tb_vec3(-900, -400, HIGH), tb_vec3(900, 400, 90))),
        .width = 1e-3};
}

START_TEST(a_rocking_duct_under_a_slab_has_the_closed_form_at_every_station)
{
    TbRock rock = {{0, 0, 0}, {0, 1, 0}, -ANGLE, ANGLE};
    TbMovingAsk ask = slab_scene();

    ask.motion_a = rocking(rock);
    check_slab(&ask);
    clear(&ask);
}
END_TEST

/* The duct stands still, the slab turns: the same gaps. */
START_TEST(it_does_not_matter_which_of_the_two_moves)
{
    TbRock rock = {{0, 0, 0}, {0, 1, 0}, -ANGLE, ANGLE};
    TbMovingAsk ask = slab_scene();

    ask.motion_b = rocking(rock);
    check_slab(&ask);
    clear(&ask);
}
END_TEST

START_TEST(numbers_looked_at_first_are_in_the_answer)
{
    TbRock rock = {{0, 0, 0}, {0, 1, 0}, -ANGLE, ANGLE};
    TbMovingAsk moving = slab_scene();
    double stations[STATIONS], at = ANGLE, none = 0;
    TbProfilePoint points[STATIONS];
    TbMovingProfileAsk ask = {.moving = &moving,
                              .stations = stations,
                              .count = STATIONS,
                              .near = NEAR,
                              .fine = FINE,
                              .poses = 2,
                              .at_a = &at,
                              .at_b = &none};

    moving.motion_a = rocking(rock);
    fill_stations(&moving, stations);
    ck_assert_int_eq(tb_moving_profile(&ask, NULL, points, NULL), TB_OK);
    ck_assert_double_eq_tol(points[0].upper, slab_gap(-130), 2e-3);
    clear(&moving);
}
END_TEST

/* ---- random ---- */

static void
random_numbers(gsl_rng *rng, const TbMotion *motion, double q[TB_MOTION_MOST])
{
    for (int i = 0; i < motion->count; i++)
        q[i] = between(rng, motion->freedom[i].low, motion->freedom[i].high);
}

static TbMovingAsk
random_scene(gsl_rng *rng, int kind)
{
    TbSweep *sweep = random_sweep(rng, between(rng, 20, 60));
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
    TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
    TbRock rock = {tb_vec3_scale(random_direction(rng), between(rng, 0, 400)),
                   random_direction(rng), -between(rng, 0, 0.06), between(rng, 0, 0.06)};
    TbMovingAsk ask = {.width = 1e-2};

    p = tb_vec3_add_scaled(p, between(rng, 15, 50), normal);
    ask.a = solid_of_sweep(sweep);
    ask.b = solid_of_plain(rod(p, tb_vec3_add_scaled(p, 90, random_direction(rng)), 7));
    if (kind != 1)
        ask.motion_a = rocking(rock);
    else
        ask.motion_b = rocking(rock);
    if (kind == 2) {
        ck_assert_int_eq(tb_motion_add_growth(&ask.motion_a, tb_vec3(30, 60, -90), 1, 1.01, NULL),
                         TB_OK);
        ck_assert_int_eq(tb_motion_add_growth(&ask.motion_b, tb_vec3(0, 9, 0), 0.99, 1, NULL),
                         TB_OK);
    }
    return ask;
}

/* A profile at one value of all numbers, made apart from the code that is tested. */
static void
check_pose(gsl_rng *rng,
           const TbMovingAsk *ask,
           const double stations[STATIONS],
           const TbProfilePoint points[STATIONS])
{
    double a[TB_MOTION_MOST], b[TB_MOTION_MOST], grown;
    TbSweep *sweep, *rest = tb_solid_part(ask->a, 0)->sweep;
    TbSolid *other;
    TbPose pose;
    double at[STATIONS];
    TbProfilePoint found[STATIONS];

    random_numbers(rng, &ask->motion_a, a);
    random_numbers(rng, &ask->motion_b, b);
    pose = tb_motion_pose(&ask->motion_a, a);
    grown = pose.scale;
    sweep = tb_sweep_moved(rest, pose);
    other = tb_solid_moved(ask->b, tb_motion_pose(&ask->motion_b, b));
    for (int i = 0; i < STATIONS; i++)
        at[i] = stations[i] * grown;
    {
        TbProfileAsk still = {
            .sweep = sweep, .other = other, .stations = at, .count = STATIONS, .width = 1e-3};

        ck_assert_int_eq(tb_profile(&still, NULL, found, NULL), TB_OK);
    }
    for (int i = 0; i < STATIONS; i++)
        ck_assert_double_ge(found[i].upper, points[i].lower - 1e-6);
    tb_sweep_unref(sweep);
    tb_solid_unref(other);
}

START_TEST(no_sampled_pose_brings_a_section_nearer_than_was_said)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 40487);
    for (int n = 0; n < 18; n++) {
        TbMovingAsk ask = random_scene(rng, n % 3);
        double stations[STATIONS], told = 0, wide = 0;
        TbProfilePoint points[STATIONS];

        fill_stations(&ask, stations);
        ask_profile(&ask, stations, 48, points);
        for (int k = 0; k < 40; k++)
            check_pose(rng, &ask, stations, points);
        for (int i = 0; i < STATIONS; i++)
            if (points[i].upper < NEAR && points[i].upper > 0) {
                told += 1;
                wide += points[i].upper - points[i].lower;
            }
        if (told > 0) /* of motions of up to 50 mm; of more numbers less is said */
            ck_assert_double_le(wide / told, 4);
        clear(&ask);
    }
    gsl_rng_free(rng);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/moving_profile");
    TCase *tests = tcase_create("profile");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, a_rocking_duct_under_a_slab_has_the_closed_form_at_every_station);
    tcase_add_test(tests, it_does_not_matter_which_of_the_two_moves);
    tcase_add_test(tests, numbers_looked_at_first_are_in_the_answer);
    tcase_add_test(tests, no_sampled_pose_brings_a_section_nearer_than_was_said);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
