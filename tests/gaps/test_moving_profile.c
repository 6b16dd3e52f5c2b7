/* SPDX-License-Identifier: GPL-3.0-or-later */

/** The least gap of every section along a path over a motion. */

#include "warm_scenes.h"

#include "gaps/moving_profile.h"

enum { STATIONS = 27 };

#define NEAR 60.0
#define FINE 0.02

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
            TbProfilePoint points[STATIONS])
{
    TbMovingProfileAsk ask = {
        .moving = moving, .stations = stations, .count = STATIONS, .near = NEAR, .fine = FINE};
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
    ask_profile(ask, stations, points);
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

/* Certificates of ducts that swing past slabs on the outer side, where arcs bulge towards them.
 * @return how many are above the truth */
static int
wrong_ones(double factor)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int wrong = 0;

    gsl_rng_set(rng, 8128);
    tb_carried_stray_factor = factor;
    for (int n = 0; n < 40; n++) {
        double reach = between(rng, 250, 450), at = between(rng, -0.03, 0.03);
        double off = between(rng, 2, 9);
        TbRock rock = {{0, 0, 0}, {1, 0, 0}, -0.05, 0.05};
        TbMovingAsk moving = {.motion_a = rocking(rock)};
        double station = 47.3;
        TbProfilePoint point;
        TbMovingProfileAsk ask = {
            .moving = &moving, .stations = &station, .count = 1, .near = NEAR, .fine = 1e-4};

        moving.a = solid_of_sweep(straight(tb_vec3(-50, 0, reach), tb_vec3(60, 0, reach), 24));
        moving.b =
            solid_of_plain(slab(tb_vec3(0, -sin(at), cos(at)), reach + 12 + off, tb_vec3(0, 0, 0)));
        ck_assert_int_eq(tb_moving_profile(&ask, NULL, &point, NULL), TB_OK);
        wrong += point.lower > off + TB_TOL_ROUND;
        clear(&moving);
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

/* A straight duct over a slab, whose ends go down by 5 and 2 when what they stand on is hot, and
 * which grows by 1 % itself: at every station both are hot, and a section keeps its way up. */
START_TEST(a_duct_whose_ends_are_carried_has_the_closed_form_at_every_station)
{
    TbSweep *sweep = straight(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 2 * RADIUS);
    TbMovingAsk ask = {.width = 1e-3};
    double stations[STATIONS];
    TbProfilePoint points[STATIONS];

    follow(&ask.motion_a, sweep, 1.01, tb_vec3(0, 0, -5), tb_vec3(0, 0, -2));
    ask.a = solid_of_sweep(sweep);
    ask.b =
        solid_of_plain(tb_plain_block_between(tb_vec3(-900, -400, -90), tb_vec3(900, 400, -HIGH)));
    fill_stations(&ask, stations);
    ask_profile(&ask, stations, points);
    for (int i = 0; i < STATIONS; i++) {
        double share = stations[i] / 300, w = share * share * (3 - 2 * share);
        double gap = HIGH - 1.01 * RADIUS - 5 * (1 - w) - 2 * w;

        ck_assert_double_ge(points[i].upper, gap - 1e-6);
        ck_assert_double_le(points[i].lower, gap + 1e-6);
        ck_assert_double_le(points[i].upper - points[i].lower, FINE + 1e-9);
        ck_assert_double_eq_tol(fabs(cos(points[i].angle)), 1, 1e-3);
        ck_assert_double_eq_tol(points[i].point_a.z, -HIGH + gap, 2 * FINE);
    }
    clear(&ask);
}
END_TEST

START_TEST(what_is_further_than_is_watched_is_still_told)
{
    TbRock rock = {{0, 0, 0}, {0, 1, 0}, -ANGLE, ANGLE};
    TbMovingAsk moving = slab_scene();
    double stations[STATIONS];
    TbProfilePoint points[STATIONS];
    TbMovingProfileAsk ask = {
        .moving = &moving, .stations = stations, .count = STATIONS, .near = 35, .fine = FINE};

    moving.motion_a = rocking(rock);
    fill_stations(&moving, stations);
    ck_assert_int_eq(tb_moving_profile(&ask, NULL, points, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i++) {
        double gap = slab_gap(stations[i] - 130);

        ck_assert_double_le(points[i].lower, gap + 1e-6);
        ck_assert_double_ge(points[i].upper, gap - 1e-6);
        ck_assert_double_le(points[i].upper - points[i].lower,
                            gap < 35 ? FINE : TB_MOVING_PROFILE_FAR);
    }
    clear(&moving);
}
END_TEST

/* Apart from all of its skin, and inside of it throughout. */
START_TEST(a_section_within_a_mesh_has_no_gap)
{
    TbRock rock = {{0, 0, 0}, {0, 1, 0}, -ANGLE, ANGLE};
    TbMovingAsk ask = slab_scene();
    TbPlain around = tb_plain_block_between(tb_vec3(-60, -400, -210), tb_vec3(900, 400, 190));
    TbSolid *plain = solid_of_plain(around), *mesh = tb_solid_new();
    TbMesh *skin = NULL;
    TbTree *tree = NULL;
    double stations[STATIONS];
    TbProfilePoint points[STATIONS];

    ck_assert_int_eq(tb_solid_mesh(plain, 1, &skin, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(skin, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(mesh, tree, TB_ROLE_SKIN, NULL), TB_OK);
    tb_solid_unref((TbSolid *)ask.b);
    ask.b = mesh;
    ask.motion_b = rocking(rock);
    fill_stations(&ask, stations);
    ask_profile(&ask, stations, points);
    for (int i = 0; i < STATIONS; i++)
        ck_assert(stations[i] - 130 < -75 ? points[i].lower > 5
                                          : stations[i] - 130 < -45 || points[i].upper == 0);
    tb_tree_unref(tree);
    tb_mesh_unref(skin);
    tb_solid_unref(plain);
    clear(&ask);
}
END_TEST

/* ---- random ---- */

static TbMovingAsk
random_rigid(gsl_rng *rng, int kind)
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

/* A profile at one value of all numbers, of solids drawn anew. */
static void
check_pose(gsl_rng *rng,
           const TbMovingAsk *ask,
           const double stations[STATIONS],
           const TbProfilePoint points[STATIONS])
{
    double a[TB_MOTION_MOST], b[TB_MOTION_MOST], at[STATIONS], length;
    TbProfilePoint found[STATIONS];
    TbMovingStill still;
    TbProfileAsk posed = {.stations = at, .count = STATIONS, .width = 1e-3};

    sample(rng, ask, a, b);
    ck_assert_int_eq(tb_moving_still(ask, a, b, &still, NULL), TB_OK);
    posed.sweep = tb_solid_part(still.solid[0], 0)->sweep;
    posed.other = still.solid[1];
    length = tb_sweep_length(tb_solid_part(ask->a, 0)->sweep);
    for (int i = 0; i < STATIONS; i++)
        at[i] = stations[i] * tb_sweep_length(posed.sweep) / length;
    ck_assert_int_eq(tb_profile(&posed, NULL, found, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i++)
        ck_assert_double_ge(found[i].upper, points[i].lower - 1e-6);
    tb_moving_still_clear(&still);
}

/* @return how many stations were near */
static int
check_scene(gsl_rng *rng, const TbMovingAsk *ask, int poses)
{
    double stations[STATIONS];
    TbProfilePoint points[STATIONS];
    int near = 0;

    fill_stations(ask, stations);
    ask_profile(ask, stations, points);
    for (int k = 0; k < poses; k++)
        check_pose(rng, ask, stations, points);
    for (int i = 0; i < STATIONS; i++)
        if (points[i].upper < NEAR && points[i].upper > 0) {
            ck_assert_double_le(points[i].upper - points[i].lower, FINE + 1e-9);
            near++;
        }
    return near;
}

START_TEST(no_sampled_pose_brings_a_section_nearer_than_was_said)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int near = 0;

    gsl_rng_set(rng, 40487);
    for (int n = 0; n < 18; n++) {
        TbMovingAsk ask = random_rigid(rng, n % 3);

        near += check_scene(rng, &ask, 40);
        clear(&ask);
    }
    ck_assert_int_gt(near, 150);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(nor_does_a_warmth_of_what_carries_its_ends)
{
    static const int kinds[] = {0,    BOTH,        ROCKS,       ROCKS | BOTH,
                                TIED, TIED | BOTH, ONE | ROCKS, ONE | TIED};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int near = 0;

    gsl_rng_set(rng, 7207);
    for (size_t n = 0; n < 24; n++) {
        TbMovingAsk ask = {.width = 1e-2};

        random_scene(rng, kinds[n % (sizeof kinds / sizeof kinds[0])], &ask);
        near += check_scene(rng, &ask, 40);
        clear(&ask);
    }
    ck_assert_int_gt(near, 150);
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
    tcase_add_test(tests, half_of_the_bound_of_arcs_gives_wrong_certificates_and_all_of_it_none);
    tcase_add_test(tests, a_duct_whose_ends_are_carried_has_the_closed_form_at_every_station);
    tcase_add_test(tests, what_is_further_than_is_watched_is_still_told);
    tcase_add_test(tests, a_section_within_a_mesh_has_no_gap);
    tcase_add_test(tests, no_sampled_pose_brings_a_section_nearer_than_was_said);
    tcase_add_test(tests, nor_does_a_warmth_of_what_carries_its_ends);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
