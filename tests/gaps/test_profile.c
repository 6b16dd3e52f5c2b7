/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scenes.h"

#include "base/mem.h"
#include "gaps/gap_map.h"
#include "gaps/profile.h"

#include <string.h>

enum { STATIONS = 83 };

typedef struct Scene {
    TbSweep *sweep;
    TbSolid *other;
    double stations[STATIONS];
} Scene;

static Scene
scene_of(TbSweep *sweep, TbSolid *other)
{
    Scene scene = {.sweep = sweep, .other = other};

    for (int i = 0; i < STATIONS; i++)
        scene.stations[i] = tb_sweep_length(sweep) * i / (STATIONS - 1);
    return scene;
}

static void
scene_clear(Scene *scene)
{
    tb_sweep_unref(scene->sweep);
    tb_solid_unref(scene->other);
}

static TbProfileAsk
ask_of(const Scene *scene, double width)
{
    return (TbProfileAsk){.sweep = scene->sweep,
                          .other = scene->other,
                          .stations = scene->stations,
                          .count = STATIONS,
                          .width = width};
}

START_TEST(round_duct_past_a_ball)
{
    Scene scene = scene_of(
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), tb_section_superellipse(57, 57, 2)),
        solid_of_plain(ball(tb_vec3(141.3, 30, 40), 6.3)));
    TbProfileAsk ask = ask_of(&scene, 1e-6);
    TbProfilePoint points[STATIONS];

    ck_assert_int_eq(tb_profile(&ask, NULL, points, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i++) {
        /* a flat disc of radius 28.5 at x, the ball's centre 50 from the axis */
        double truth = hypot(scene.stations[i] - 141.3, 50 - 28.5) - 6.3;

        ck_assert_msg(points[i].lower <= truth + 1e-9 && points[i].upper >= truth - 1e-9 &&
                          points[i].upper - points[i].lower <= 1e-6,
                      "station %.3f: [%.9f, %.9f], %.9f", scene.stations[i], points[i].lower,
                      points[i].upper, truth);
        ck_assert(!points[i].left_out);
    }
    scene_clear(&scene);
}
END_TEST

START_TEST(stations_that_meet_the_solid_have_gap_0)
{
    Scene scene = scene_of(
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), tb_section_superellipse(57, 57, 2)),
        solid_of_plain(block(tb_vec3(150, 0, 40), tb_vec3(0, 0, 1), 30, 30, 20)));
    TbProfileAsk ask = ask_of(&scene, 1e-4);
    TbProfilePoint points[STATIONS];

    ck_assert_int_eq(tb_profile(&ask, NULL, points, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i++) {
        double off = fmax(0, fabs(scene.stations[i] - 150) - 30);

        ck_assert_double_eq_tol(points[i].upper, off, 1e-4);
    }
    scene_clear(&scene);
}
END_TEST

/** A bend among a ball, a bar and a random sweep. */
static Scene
crowded(void)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSweep *loose, *near;
    TbSolid *other = solid_of_plain(ball(tb_vec3(100, 130, 20), 8));
    TbPlain bar = rod(tb_vec3(-40, 90, 60), tb_vec3(150, 20, 75), 6);

    gsl_rng_set(rng, 4);
    loose = random_sweep(rng, 30);
    near = tb_sweep_moved(loose, tb_pose_shift(tb_vec3(60, 60, -120)));
    ck_assert_int_eq(tb_solid_add_plain(other, &bar, 0, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_sweep(other, near, 0, NULL), TB_OK);
    tb_sweep_unref(near);
    tb_sweep_unref(loose);
    gsl_rng_free(rng);
    return scene_of(bend_sweep(120, 0, M_PI / 2, 40, 64, 2), other);
}

START_TEST(each_station_as_a_thin_search_of_its_own)
{
    Scene scene = crowded();
    TbProfileAsk ask = ask_of(&scene, 1e-4);
    TbProfilePoint points[STATIONS], alone;

    ck_assert_int_eq(tb_profile(&ask, NULL, points, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i += 7) {
        ask.stations = &scene.stations[i];
        ask.count = 1;
        ck_assert_int_eq(tb_profile(&ask, NULL, &alone, NULL), TB_OK);
        ck_assert(points[i].lower <= alone.upper && points[i].upper >= alone.lower);
        ck_assert_double_le(points[i].upper - points[i].lower, 1e-4);
        ck_assert_double_eq_tol(tb_vec3_distance(points[i].point_a, points[i].point_b),
                                points[i].upper, 2 * TB_TOL_ROUND);
    }
    scene_clear(&scene);
}
END_TEST

START_TEST(profile_never_goes_below_the_certified_gap)
{
    Scene scene = crowded();
    TbSolid *whole = solid_of_sweep(tb_sweep_ref(scene.sweep));
    TbProfileAsk ask = ask_of(&scene, 1e-3);
    TbProfilePoint points[STATIONS];
    TbGap g = ask_gap(whole, scene.other, 1e-3);
    double least = INFINITY;

    ck_assert_int_eq(tb_profile(&ask, NULL, points, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i++) {
        ck_assert_double_ge(points[i].upper, g.lower);
        least = fmin(least, points[i].upper);
    }
    /* stations 3 mm apart see nearly all of it */
    ck_assert_double_le(least, g.upper + 0.2);
    tb_solid_unref(whole);
    scene_clear(&scene);
}
END_TEST

START_TEST(same_bits_for_one_and_two_threads)
{
    Scene scene = crowded();
    TbProfileAsk ask = ask_of(&scene, 1e-4);
    TbProfilePoint one[STATIONS], two[STATIONS];
    TbWork *work = tb_work_new(2);

    memset(one, 0, sizeof one);
    memset(two, 0, sizeof two);
    ck_assert_int_eq(tb_profile(&ask, NULL, one, NULL), TB_OK);
    ask.work = work;
    ck_assert_int_eq(tb_profile(&ask, NULL, two, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i++) {
        ck_assert(memcmp(&one[i].lower, &two[i].lower, sizeof one[i].lower) == 0);
        ck_assert(memcmp(&one[i].upper, &two[i].upper, sizeof one[i].upper) == 0);
        ck_assert(memcmp(&one[i].point_a, &two[i].point_a, sizeof one[i].point_a) == 0);
        ck_assert(memcmp(&one[i].angle, &two[i].angle, sizeof one[i].angle) == 0);
    }
    tb_work_free(work);
    scene_clear(&scene);
}
END_TEST

START_TEST(stations_near_a_port_are_left_out)
{
    Scene scene = scene_of(
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), tb_section_superellipse(57, 57, 2)),
        solid_of_plain(ball(tb_vec3(141.3, 30, 40), 6.3)));
    TbProfileAsk ask = ask_of(&scene, 1e-4);
    TbLeaveOut port = {{300, 1, 0}, 50};
    TbProfilePoint points[STATIONS];

    ask.leave_out = &port;
    ask.leave_out_count = 1;
    ck_assert_int_eq(tb_profile(&ask, NULL, points, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i++)
        ck_assert_int_eq(points[i].left_out, scene.stations[i] > 300 - sqrt(2499));
    scene_clear(&scene);
}
END_TEST

/*
 * A stranger's fuzz asked for 40 stations L i / 39: the last one came out one unit in the last
 * place beyond the path's end and was said to be left out at a port, where there was no port at
 * all. A station beyond an end is the end everywhere else; now here too.
 */
START_TEST(station_beyond_an_end_is_the_end)
{
    TbSweep *sweep =
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), tb_section_superellipse(57, 57, 2));
    Scene scene = scene_of(sweep, solid_of_plain(ball(tb_vec3(331, 1, 2), 6.3)));
    TbProfileAsk ask = ask_of(&scene, 1e-6);
    TbProfilePoint points[STATIONS];

    scene.stations[0] = -1e-13;
    scene.stations[STATIONS - 1] = nextafter(300, 400);
    ck_assert_int_eq(tb_profile(&ask, NULL, points, NULL), TB_OK);
    ck_assert(!points[0].left_out && !points[STATIONS - 1].left_out);
    ck_assert_double_eq_tol(points[STATIONS - 1].upper, 31 - 6.3, 1e-6);
    ck_assert_double_eq_tol(points[0].upper, 331 - 6.3, 1e-6);
    scene_clear(&scene);
}
END_TEST

START_TEST(cancelled_and_out_of_room)
{
    Scene scene = crowded();
    TbProfileAsk ask = ask_of(&scene, 1e-2);
    TbProfilePoint points[STATIONS];
    TbTask task = {0};
    TbStatus status = TB_E_MEMORY;

    tb_task_cancel(&task);
    ck_assert_int_eq(tb_profile(&ask, &task, points, NULL), TB_E_CANCELLED);
    for (long n = 1; status != TB_OK; n++) {
        tb_mem_fail_at(n);
        status = tb_profile(&ask, NULL, points, NULL);
        tb_mem_fail_at(0);
        ck_assert(status == TB_OK || status == TB_E_MEMORY);
        ck_assert_int_lt(n, 1000);
    }
    scene_clear(&scene);
}
END_TEST

/* ---- the unrolled map ---- */

START_TEST(map_has_the_distance_of_every_point)
{
    Scene scene = crowded();
    enum { ANGLES = 24 };
    double gap[9 * ANGLES], nearest, again[9 * ANGLES];
    TbGapMapAsk ask = {.sweep = scene.sweep, .other = scene.other, .stations = scene.stations + 20};
    TbWork *work = tb_work_new(2);
    double least = INFINITY;

    ask.station_count = 9;
    ask.angle_count = ANGLES;
    ask.beyond = 90;
    ck_assert_int_eq(tb_gap_map(&ask, NULL, gap, &nearest, NULL), TB_OK);
    for (int i = 0; i < 9; i++) {
        TbDisc disc = tb_sweep_at(scene.sweep, ask.stations[i]);

        for (int k = 0; k < ANGLES; k++) {
            double angle = -M_PI + (k + 0.5) * 2 * M_PI / ANGLES;
            TbVec3 p = tb_disc_point(&disc, angle, true, NULL);
            TbSolid *point = solid_of_plain(ball(p, 1e-4));
            TbGap g = ask_gap(point, scene.other, 1e-3);

            if (g.upper + 1e-4 < ask.beyond)
                ck_assert_double_eq_tol(gap[i * ANGLES + k], fmax(0, g.upper + 1e-4),
                                        TB_GAP_WIDTH + 2e-3);
            else
                ck_assert_double_ge(gap[i * ANGLES + k], ask.beyond - TB_GAP_WIDTH);
            least = fmin(least, gap[i * ANGLES + k]);
            tb_solid_unref(point);
        }
    }
    ck_assert_double_eq(nearest, least);
    ask.work = work;
    ck_assert_int_eq(tb_gap_map(&ask, NULL, again, &nearest, NULL), TB_OK);
    ck_assert(memcmp(gap, again, sizeof gap) == 0);
    tb_work_free(work);
    scene_clear(&scene);
}
END_TEST

START_TEST(map_is_0_inside_and_more_than_beyond_far_off)
{
    Scene scene = scene_of(
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), tb_section_superellipse(57, 57, 2)),
        solid_of_plain(block(tb_vec3(150, 0, 40), tb_vec3(0, 0, 1), 30, 30, 20)));
    double gap[STATIONS * 8], nearest;
    TbGapMapAsk ask = {.sweep = scene.sweep, .other = scene.other, .stations = scene.stations};

    ask.station_count = STATIONS;
    ask.angle_count = 8;
    ask.beyond = 25;
    ck_assert_int_eq(tb_gap_map(&ask, NULL, gap, &nearest, NULL), TB_OK);
    ck_assert_double_eq(nearest, 0);
    /* the point at 22.5 deg from the top of the middle station lies in the block, 6.3 deep */
    ck_assert_double_eq(gap[(STATIONS / 2) * 8 + 4], 0);
    ck_assert_double_gt(gap[0], 25);
    scene_clear(&scene);
}
END_TEST

/* ---- a path against itself ---- */

START_TEST(path_that_comes_back_beside_itself)
{
    /* a long U: two legs 2 * 60 apart, round tube of 38: the legs are 120 - 38 apart */
    TbVec3 p[4] = {{0, 0, 0}, {400, 0, 0}, {400, 120, 0}, {0, 120, 0}};
    double radii[4] = {0, 60, 60, 0};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;
    TbGap g;

    ck_assert_int_eq(tb_curve_bent_new(p, radii, 4, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, 38, 1.5, &sweep, NULL), TB_OK);
    ck_assert_int_eq(tb_gap_self(sweep, 200, 1e-2, NULL, &g, NULL), TB_OK);
    ck_assert_msg(g.lower <= 82 && g.upper >= 82 - 1e-9 && g.upper - g.lower <= 1e-2 &&
                      !g.exhausted,
                  "[%.6f, %.6f] %ld", g.lower, g.upper, g.nodes);
    ck_assert_double_ge(fabs(g.site_a.station - g.site_b.station), 200 - 1e-6);
    ck_assert_int_eq(tb_gap_self(sweep, 2000, 1e-2, NULL, &g, NULL), TB_OK);
    ck_assert(g.nothing);
    tb_curve_unref(curve);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(straight_path_is_as_far_from_itself_as_asked)
{
    TbSweep *sweep =
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(200, 0, 0), tb_section_superellipse(40, 40, 2));
    TbGap g;

    ck_assert_int_eq(tb_gap_self(sweep, 150, 1, NULL, &g, NULL), TB_OK);
    ck_assert(g.lower <= 150 && g.upper >= 150 - 1e-6 && g.lower > 140);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(bend_comes_nearest_to_itself_along_its_inside)
{
    /* round tube r in a bend R: places an arc s apart are 2 (R - r) sin(s / 2R) apart, inside to
     * inside, all along the bend */
    TbVec3 p[3] = {{-500, 0, 0}, {0, 0, 0}, {-500 * cos(0.4), 500 * sin(0.4), 0}};
    double radii[3] = {0, 61.7, 0}, apart = 143.9, r = 19.3;
    double truth = 2 * (61.7 - r) * sin(apart / (2 * 61.7));
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;
    TbGap g;

    ck_assert_int_eq(tb_curve_bent_new(p, radii, 3, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, 2 * r, 1.5, &sweep, NULL), TB_OK);
    for (double width = 1e-1; width > 1e-5; width *= 0.1) {
        ck_assert_int_eq(tb_gap_self(sweep, apart, width, NULL, &g, NULL), TB_OK);
        ck_assert_msg(g.lower <= truth && g.upper >= truth && g.upper - g.lower <= width &&
                          !g.exhausted,
                      "[%.9f, %.9f], %.9f, %ld", g.lower, g.upper, truth, g.nodes);
        ck_assert_double_ge(g.site_b.station - g.site_a.station, apart * (1 - 1e-9));
    }
    tb_curve_unref(curve);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(random_paths_come_no_nearer_to_themselves_than_said)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 7717);
    for (int i = 0; i < 30; i++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 10, 40));
        double length = tb_sweep_length(sweep), apart = length * between(rng, 0.1, 0.6);
        double least = INFINITY;
        TbGap g;

        ck_assert_int_eq(tb_gap_self(sweep, apart, 1e-2, NULL, &g, NULL), TB_OK);
        ck_assert(!g.exhausted);
        ck_assert_double_le(g.upper - g.lower, 1e-2);
        for (int k = 0; k < 400; k++) {
            double s = between(rng, 0, length - apart);
            double t = k % 2 == 0 ? s + apart : between(rng, s + apart, length);
            TbDisc p = tb_sweep_at(sweep, s), q = tb_sweep_at(sweep, t);
            TbConvex a = tb_convex_of_disc(&p, true), b = tb_convex_of_disc(&q, true);
            TbSeparation found = tb_convex_separation(&a, &b, tb_vec3(0, 0, 0), INFINITY, 1e-9);

            least = fmin(least, found.distance);
        }
        ck_assert_msg(g.lower <= least + 1e-9, "lower %.9f above a sampled %.9f", g.lower, least);
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

static Suite *
profile_suite(void)
{
    Suite *suite = suite_create("gaps/profile");
    TCase *along = tcase_create("along");
    TCase *map = tcase_create("map");
    TCase *self = tcase_create("self");

    tcase_set_timeout(along, 60);
    tcase_add_test(along, round_duct_past_a_ball);
    tcase_add_test(along, stations_that_meet_the_solid_have_gap_0);
    tcase_add_test(along, each_station_as_a_thin_search_of_its_own);
    tcase_add_test(along, profile_never_goes_below_the_certified_gap);
    tcase_add_test(along, same_bits_for_one_and_two_threads);
    tcase_add_test(along, stations_near_a_port_are_left_out);
    tcase_add_test(along, station_beyond_an_end_is_the_end);
    tcase_add_test(along, cancelled_and_out_of_room);
    suite_add_tcase(suite, along);
    tcase_set_timeout(map, 60);
    tcase_add_test(map, map_has_the_distance_of_every_point);
    tcase_add_test(map, map_is_0_inside_and_more_than_beyond_far_off);
    suite_add_tcase(suite, map);
    tcase_set_timeout(self, 60);
    tcase_add_test(self, path_that_comes_back_beside_itself);
    tcase_add_test(self, straight_path_is_as_far_from_itself_as_asked);
    tcase_add_test(self, bend_comes_nearest_to_itself_along_its_inside);
    tcase_add_test(self, random_paths_come_no_nearer_to_themselves_than_said);
    suite_add_tcase(suite, self);
    return suite;
}

int
main(void)
{
    return tb_test_main(profile_suite());
}
