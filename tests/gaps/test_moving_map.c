/* SPDX-License-Identifier: GPL-3.0-or-later */

/** The gap map of a path over a motion. */

#include "warm_scenes.h"

#include "gaps/gap_map.h"
#include "gaps/moving_map.h"

enum { STATIONS = 11, ANGLES = 14, PLACES = STATIONS * ANGLES };

#define BEYOND 55.0
#define LEVEL 17.3

/** A map's places as drawn, and what was said of them. */
typedef struct Map {
    double stations[STATIONS], lower[PLACES], upper[PLACES];
    TbVec3 points[PLACES];
} Map;

static double
angle_at(int m)
{
    return -M_PI + (m + 0.5) * 2 * M_PI / ANGLES;
}

static void
fill(const TbSweep *sweep, double stations[STATIONS], TbVec3 points[PLACES])
{
    for (int k = 0; k < STATIONS; k++) {
        TbDisc disc;

        stations[k] = tb_sweep_length(sweep) * k / (STATIONS - 1);
        disc = tb_sweep_at(sweep, stations[k]);
        for (int m = 0; m < ANGLES; m++)
            points[k * ANGLES + m] = tb_disc_point(&disc, angle_at(m), true, NULL);
    }
}

/** @return how many places are within reach; intervals are as narrow as they are promised */
static int
ask_map(const TbMovingAsk *moving, Map *map)
{
    TbMovingMapAsk ask = {.moving = moving,
                          .stations = map->stations,
                          .station_count = STATIONS,
                          .angle_count = ANGLES,
                          .points = map->points,
                          .beyond = BEYOND,
                          .level = LEVEL};
    TbFault fault = {0};
    int near = 0;

    fill(tb_solid_part(moving->a, 0)->sweep, map->stations, map->points);
    ck_assert_msg(tb_moving_map(&ask, NULL, map->lower, map->upper, &fault) == TB_OK, "%s",
                  fault.text);
    for (int i = 0; i < PLACES; i++) {
        double away = fmax(map->lower[i] - LEVEL, LEVEL - map->upper[i]);

        ck_assert_double_ge(map->lower[i], 0);
        if (map->lower[i] > BEYOND) {
            ck_assert_double_eq(map->lower[i], 2 * BEYOND);
            continue;
        }
        ck_assert_double_le(map->lower[i], map->upper[i]);
        if (map->upper[i] < BEYOND)
            ck_assert_double_le(map->upper[i] - map->lower[i],
                                fmin(TB_MOVING_MAP_WIDEST,
                                     TB_MOVING_MAP_FINE + TB_MOVING_MAP_SHARE * fmax(0, away)) +
                                    TB_TOL_ROUND);
        near++;
    }
    return near;
}

static void
clear(TbMovingAsk *ask)
{
    tb_solid_unref((TbSolid *)ask->a);
    tb_solid_unref((TbSolid *)ask->b);
}

/* ---- closed forms ---- */

#define RADIUS 22.0

/* Along X, 300 above the axis, past a rod of 5 that lies 60 to its side. */
static TbMovingAsk
swinging(void)
{
    TbRock rock = {{0, 0, 100}, {1, 0, 0}, -3 * DEGREE, 2.2 * DEGREE};
    TbMovingAsk ask = {.motion_a = rocking(rock), .width = 1e-2};

    ask.a = solid_of_sweep(straight(tb_vec3(0, 0, 400), tb_vec3(300, 0, 400), 2 * RADIUS));
    ask.b = solid_of_plain(rod(tb_vec3(-150, -60, 400), tb_vec3(450, -60, 400), 5));
    return ask;
}

/* The place and the rod's axis are points about the rock's axis; one turns to the other as far as
 * it may. */
static double
swung_gap(TbVec3 p)
{
    double place = atan2(p.z - 100, p.y), other = atan2(300, -60);
    double way = fmin(fmax(other - place, -3 * DEGREE), 2.2 * DEGREE);
    double r = hypot(p.y, p.z - 100), s = hypot(60, 300);

    return sqrt(r * r + s * s - 2 * r * s * cos(other - place - way)) - 5;
}

static void
check_swung(const TbMovingAsk *ask)
{
    Map map;

    ck_assert_int_gt(ask_map(ask, &map), PLACES / 2);
    for (int i = 0; i < PLACES; i++) {
        double gap = swung_gap(map.points[i]);

        if (map.lower[i] > BEYOND) {
            ck_assert_double_ge(gap, BEYOND - 1e-6);
            continue;
        }
        ck_assert_double_le(map.lower[i], gap + 1e-6);
        ck_assert_double_ge(map.upper[i], gap - 1e-6);
    }
}

START_TEST(places_of_a_rocking_duct_have_the_closed_form_inside_its_range_and_at_its_ends)
{
    TbMovingAsk ask = swinging();

    check_swung(&ask);
    clear(&ask);
}
END_TEST

START_TEST(it_does_not_matter_which_of_the_two_rocks)
{
    TbMovingAsk ask = swinging();

    /* the other the other way */
    ask.motion_b = ask.motion_a;
    ask.motion_b.freedom[0].low = -ask.motion_a.freedom[0].high;
    ask.motion_b.freedom[0].high = -ask.motion_a.freedom[0].low;
    ask.motion_a.count = 0;
    check_swung(&ask);
    clear(&ask);
}
END_TEST

START_TEST(what_stands_still_has_the_map_of_parts_at_rest)
{
    TbMovingAsk moving = swinging();
    Map map;
    double still[PLACES], nearest;
    TbGapMapAsk ask = {.sweep = tb_solid_part(moving.a, 0)->sweep,
                       .other = moving.b,
                       .stations = map.stations,
                       .station_count = STATIONS,
                       .angle_count = ANGLES,
                       .points = map.points,
                       .beyond = BEYOND};

    moving.motion_a.count = 0;
    ask_map(&moving, &map);
    ck_assert_int_eq(tb_gap_map(&ask, NULL, still, &nearest, NULL), TB_OK);
    for (int i = 0; i < PLACES; i++) {
        ck_assert_double_le(map.lower[i], still[i] + TB_TOL_ROUND);
        ck_assert_double_ge(map.upper[i], still[i] - 0.01);
    }
    clear(&moving);
}
END_TEST

START_TEST(stations_near_a_port_of_both_are_left_out)
{
    TbMovingAsk ask = swinging();
    TbLeaveOut port = {.port = {0, 0, 400}, .radius = 70};
    Map map;

    ask.leave_out = &port;
    ask.leave_out_count = 1;
    fill(tb_solid_part(ask.a, 0)->sweep, map.stations, map.points);
    {
        TbMovingMapAsk of = {.moving = &ask,
                             .stations = map.stations,
                             .station_count = STATIONS,
                             .angle_count = ANGLES,
                             .points = map.points,
                             .beyond = BEYOND};

        ck_assert_int_eq(tb_moving_map(&of, NULL, map.lower, NULL, NULL), TB_OK);
    }
    for (int i = 0; i < PLACES; i++)
        ck_assert(isnan(map.lower[i]) == (map.stations[i / ANGLES] < 70 - 1e-4));
    clear(&ask);
}
END_TEST

START_TEST(a_map_that_is_given_up_says_so)
{
    TbMovingAsk ask = swinging();
    TbTask task = {0};
    Map map;
    TbFault fault = {0};
    TbMovingMapAsk of = {.moving = &ask,
                         .stations = map.stations,
                         .station_count = STATIONS,
                         .angle_count = ANGLES,
                         .points = map.points,
                         .beyond = BEYOND};

    fill(tb_solid_part(ask.a, 0)->sweep, map.stations, map.points);
    tb_task_cancel(&task);
    ck_assert_int_eq(tb_moving_map(&of, &task, map.lower, map.upper, &fault), TB_E_CANCELLED);
    ck_assert_str_eq(fault.text, "stopped while a gap map in motion was made");
    clear(&ask);
}
END_TEST

/* ---- a bound that is too small ---- */

/** Maps of ducts that swing past slabs on the outer side, where arcs bulge towards them. @return
 * how many have a place that is said to be further off than it is */
static int
wrong_ones(double factor)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int wrong = 0;

    gsl_rng_set(rng, 8128);
    tb_carried_stray_factor = factor;
    for (int n = 0; n < 60; n++) {
        double reach = between(rng, 250, 450), at = between(rng, -0.03, 0.03);
        TbRock rock = {{0, 0, 0}, {1, 0, 0}, -0.05, 0.05};
        TbMovingAsk ask = {.motion_a = rocking(rock)};
        Map map;

        ask.a = solid_of_sweep(straight(tb_vec3(-50, 0, reach), tb_vec3(60, 0, reach), 24));
        ask.b = solid_of_plain(
            slab(tb_vec3(0, -sin(at), cos(at)), reach + 12 + LEVEL, tb_vec3(0, 0, 0)));
        ask_map(&ask, &map);
        for (int m = 0; m < ANGLES; m++) {
            TbVec3 p = map.points[m];
            double away = fmin(fmax(at - atan2(-p.y, p.z), -0.05), 0.05) + atan2(-p.y, p.z) - at;

            if (map.lower[m] > reach + 12 + LEVEL - hypot(p.y, p.z) * cos(away) + 1e-6) {
                wrong++;
                break;
            }
        }
        clear(&ask);
    }
    tb_carried_stray_factor = 1;
    gsl_rng_free(rng);
    return wrong;
}

START_TEST(half_of_the_bound_of_arcs_gives_wrong_maps_and_all_of_it_none)
{
    ck_assert_int_eq(wrong_ones(1), 0);
    ck_assert_int_gt(wrong_ones(0.5), 5);
}
END_TEST

/* ---- at random ---- */

/** The same places where solids drawn anew at sampled numbers have them. */
static void
check_poses(gsl_rng *rng, const TbMovingAsk *ask, const Map *map)
{
    for (int n = 0; n < 30; n++) {
        double a[TB_MOTION_MOST], b[TB_MOTION_MOST], stations[STATIONS], gap[PLACES], nearest;
        TbVec3 points[PLACES];
        TbMovingStill still;
        TbGapMapAsk at = {.stations = stations,
                          .station_count = STATIONS,
                          .angle_count = ANGLES,
                          .points = points,
                          .beyond = BEYOND};

        sample(rng, ask, a, b);
        ck_assert_int_eq(tb_moving_still(ask, a, b, &still, NULL), TB_OK);
        at.sweep = tb_solid_part(still.solid[0], 0)->sweep;
        at.other = still.solid[1];
        fill(at.sweep, stations, points);
        ck_assert_int_eq(tb_gap_map(&at, NULL, gap, &nearest, NULL), TB_OK);
        for (int i = 0; i < PLACES; i++) {
            if (map->lower[i] <= BEYOND)
                ck_assert_double_ge(gap[i] + 1e-6, map->lower[i]);
            else
                ck_assert_double_gt(gap[i], BEYOND - 1e-6);
        }
        tb_moving_still_clear(&still);
    }
}

/** The other solid as a mesh of its surface. */
static void
mesh_other(TbMovingAsk *ask)
{
    TbSolid *mesh = tb_solid_new();
    TbMesh *skin = NULL;
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_solid_mesh(ask->b, 0.5, &skin, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(skin, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(mesh, tree, TB_ROLE_SKIN, NULL), TB_OK);
    tb_tree_unref(tree);
    tb_mesh_unref(skin);
    tb_solid_unref((TbSolid *)ask->b);
    ask->b = mesh;
}

START_TEST(nor_before_a_mesh)
{
    static const int kinds[] = {0, ROCKS, TIED, ONE | ROCKS};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int near = 0;

    gsl_rng_set(rng, 4409);
    for (size_t n = 0; n < 12; n++) {
        TbMovingAsk ask = {.width = 1e-2};
        Map map;

        random_scene(rng, kinds[n % (sizeof kinds / sizeof kinds[0])], &ask);
        mesh_other(&ask);
        near += ask_map(&ask, &map);
        check_poses(rng, &ask, &map);
        clear(&ask);
    }
    ck_assert_int_gt(near, 200);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(no_sampled_pose_or_warmth_brings_a_place_nearer_than_was_said)
{
    static const int kinds[] = {0,    BOTH,        ROCKS,       ROCKS | BOTH,
                                TIED, TIED | BOTH, ONE | ROCKS, ONE | TIED};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int near = 0;

    gsl_rng_set(rng, 9973);
    for (size_t n = 0; n < 24; n++) {
        TbMovingAsk ask = {.width = 1e-2};
        Map map;

        random_scene(rng, kinds[n % (sizeof kinds / sizeof kinds[0])], &ask);
        near += ask_map(&ask, &map);
        check_poses(rng, &ask, &map);
        clear(&ask);
    }
    ck_assert_int_gt(near, 500);
    gsl_rng_free(rng);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/moving_map");
    TCase *tests = tcase_create("map");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests,
                   places_of_a_rocking_duct_have_the_closed_form_inside_its_range_and_at_its_ends);
    tcase_add_test(tests, it_does_not_matter_which_of_the_two_rocks);
    tcase_add_test(tests, what_stands_still_has_the_map_of_parts_at_rest);
    tcase_add_test(tests, stations_near_a_port_of_both_are_left_out);
    tcase_add_test(tests, a_map_that_is_given_up_says_so);
    tcase_add_test(tests, half_of_the_bound_of_arcs_gives_wrong_maps_and_all_of_it_none);
    tcase_add_test(tests, no_sampled_pose_or_warmth_brings_a_place_nearer_than_was_said);
    tcase_add_test(tests, nor_before_a_mesh);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
