/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Tolerances on top of a motion: worst case of both together, and what is said of the samples. */

#include "moving_scenes.h"

#include "gaps/scatter.h"

#include <gsl/gsl_cdf.h>

static TbScatter
ask_scatter(const TbScatterAsk *ask)
{
    TbScatter scatter;
    TbFault fault = {0};

    ck_assert_msg(tb_scatter(ask, NULL, NULL, &scatter, &fault) == TB_OK, "%s", fault.text);
    return scatter;
}

static void
give_back(TbScatterAsk *ask)
{
    tb_solid_unref((TbSolid *)ask->a);
    tb_solid_unref((TbSolid *)ask->b);
}

/* A bar along X of radius 6.3, its tip 220 mm from an axis along Y, under a plate at 47.5. */
#define ARM 220.0
#define RADIUS 6.3
#define HIGH 47.5

static void
bar_under_plate(TbScatterAsk *ask)
{
    ask->a =
        solid_of_plain(tb_plain_block_between(tb_vec3(-900, -400, HIGH), tb_vec3(900, 400, 90)));
    ask->b = solid_of_plain(rod(tb_vec3(120, 0, 0), tb_vec3(ARM, 0, 0), RADIUS));
    ask->width = 1e-6;
    ask->confidence = 0.999;
}

static TbScatterSource
lift(double half)
{
    return (TbScatterSource){
        .side = 1, .kind = TB_SCATTER_SHIFT, .direction = {0, 0, 1}, .half = half};
}

static TbScatterSource
tilt(double half)
{
    return (TbScatterSource){
        .side = 1, .kind = TB_SCATTER_TURN, .direction = {0, 1, 0}, .half = half};
}

/* The tip's edge is nearest: of a flat-ended bar turned by t it is at ARM sin t + RADIUS cos t. */
static double
highest(double turn)
{
    return ARM * sin(turn) + RADIUS * cos(turn);
}

START_TEST(the_worst_case_of_a_shift_a_turn_and_a_rock_about_one_axis_is_the_closed_form)
{
    TbScatterSource sources[] = {
        lift(0.83), tilt(0.011), {.side = 0, .kind = TB_SCATTER_SIZE, .half = 0.37}};
    TbRock rock = {.direction = {0, 1, 0}, .low = -0.052, .high = 0.037};
    TbMotion base = rocking(rock);
    TbScatterAsk ask = {.sources = sources, .count = 3, .keep = 5, .base_b = &base};
    double nominal = HIGH - highest(0.052), worst = HIGH - highest(0.063) - 0.83 - 0.37;
    TbScatter s;

    bar_under_plate(&ask);
    s = ask_scatter(&ask);
    ck_assert_double_le(s.nominal.lower, nominal + 1e-8);
    ck_assert_double_ge(s.nominal.upper, nominal - 1e-8);
    ck_assert_double_eq_tol(s.at_b[0], -0.052, 1e-9);
    ck_assert_double_le(s.worst_lower, worst + 1e-8);
    ck_assert_double_ge(s.worst_upper, worst - 1e-8);
    ck_assert(!s.worst_exhausted);
    /* the lever of the nominal place: its X about the axis */
    ck_assert_double_eq_tol(fabs(s.slope[1]), 0.011 * (ARM * cos(0.052) - RADIUS * sin(0.052)),
                            1e-4);
    ck_assert_double_eq_tol(s.rss, sqrt(s.slope[1] * s.slope[1] + 0.83 * 0.83 + 0.37 * 0.37),
                            1e-12);
    give_back(&ask);
}
END_TEST

START_TEST(chance_is_that_of_the_pose_at_which_the_motion_brings_them_nearest)
{
    TbScatterSource source = lift(1.5);
    TbRock rock = {.direction = {0, 1, 0}, .low = -0.052, .high = 0.037};
    TbMotion base = rocking(rock);
    TbScatterAsk ask = {
        .sources = &source, .count = 1, .base_b = &base, .samples = 20000, .seed = 3};
    double nominal = HIGH - highest(0.052);
    TbScatter s;
    uint64_t sum = 0;
    double mean = 0;

    bar_under_plate(&ask);
    ask.keep = nominal - 0.6;
    s = ask_scatter(&ask);
    ck_assert_double_le(s.low, gsl_cdf_gaussian_P(-0.6, 0.5));
    ck_assert_double_ge(s.high, gsl_cdf_gaussian_P(-0.6, 0.5));
    for (int i = 0; i < TB_SCATTER_BINS; i++) {
        sum += s.bins[i];
        mean += (double)s.bins[i] * (s.bin_from + ((double)i + 0.5) * s.bin_width);
    }
    ck_assert_uint_eq(sum, 20000);
    ck_assert_uint_eq(s.binned, sum);
    ck_assert_double_eq_tol(mean / 20000, nominal, 5 * 0.5 / sqrt(20000));
    ck_assert_double_eq_tol(s.bin_width * TB_SCATTER_BINS, 9 * 0.5, 1e-9);
    give_back(&ask);
}
END_TEST

START_TEST(a_keep_far_below_every_band_is_never_broken_and_its_histogram_is_of_a_few)
{
    TbScatterSource sources[] = {lift(0.5), tilt(0.004)};
    TbScatterAsk ask = {.sources = sources, .count = 2, .samples = 1000000, .keep = 12};
    TbScatter s;

    bar_under_plate(&ask);
    s = ask_scatter(&ask);
    ck_assert_uint_eq(s.broken, 0);
    ck_assert_uint_eq(s.samples, 1000000);
    ck_assert_uint_eq(s.binned, TB_SCATTER_FAR_SAMPLES);
    ck_assert_double_eq(s.low, 0);
    ck_assert_double_lt(s.high, 1e-5);
    give_back(&ask);
}
END_TEST

START_TEST(a_worst_case_that_is_plainly_enough_is_a_true_interval_all_the_same)
{
    TbScatterSource sources[] = {lift(0.5), tilt(0.004)};
    TbScatterAsk ask = {.sources = sources, .count = 2, .keep = 12, .enough = 13};
    double worst = HIGH - highest(0.004) - 0.5;
    TbScatter s;

    bar_under_plate(&ask);
    s = ask_scatter(&ask);
    ck_assert(s.worst_plain);
    ck_assert_double_ge(s.worst_lower, 13);
    ck_assert_double_lt(s.worst_lower, worst);
    ck_assert_double_ge(s.worst_upper, worst - 1e-8);
    ck_assert_double_le(s.worst_upper, s.nominal.upper - 0.5 + 1e-6); /* the bar lies level */
    ask.enough = 41;
    s = ask_scatter(&ask);
    ck_assert(!s.worst_plain);
    ck_assert_double_eq_tol(s.worst_lower, worst, 1e-6);
    give_back(&ask);
}
END_TEST

/** A mount's placement, on both sides: three shifts, and turns where they are wanted. */
static size_t
placements(gsl_rng *rng, bool turns, TbScatterSource out[])
{
    size_t count = 0;

    for (int side = 0; side < 2; side++)
        for (int i = 0; i < 3; i++) {
            TbVec3 axis = tb_vec3(i == 0, i == 1, i == 2);

            out[count++] = (TbScatterSource){.side = side,
                                             .kind = TB_SCATTER_SHIFT,
                                             .direction = axis,
                                             .half = between(rng, 0.2, 1.4)};
            if (turns)
                out[count++] = (TbScatterSource){.side = side,
                                                 .kind = TB_SCATTER_TURN,
                                                 .point = tb_vec3(40, -80, 30),
                                                 .direction = axis,
                                                 .half = between(rng, 0.001, 0.006)};
        }
    out[count++] = (TbScatterSource){.side = 0, .kind = TB_SCATTER_SIZE, .half = 0.7};
    for (size_t i = 0; i < count; i++)
        out[i].even = true;
    return count;
}

/** Numbers of a motion, anywhere within their ranges. */
static TbPose
anywhere(gsl_rng *rng, const TbMotion *motion)
{
    double q[TB_MOTION_MOST];

    for (int i = 0; i < motion->count; i++)
        q[i] = between(rng, motion->freedom[i].low, motion->freedom[i].high);
    return tb_motion_pose(motion, q);
}

/* 10,000 in all: a rock and a growth on one side, a growth on the other, placements of both. With
 * all three turns there are more than a search takes, and what is left is taken off. */
START_TEST(no_sample_of_placement_rock_and_warmth_is_below_the_worst_case)
{
    enum { SCENES = 10, SAMPLES = 1000 };
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbScatterSource sources[TB_SCATTER_MOST];
    int compared = 0;

    gsl_rng_set(rng, 41);
    for (int n = 0; n < SCENES; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 20, 50));
        TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
        TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
        TbVec3 to = tb_vec3_add_scaled(p, between(rng, 34, 46), normal);
        TbRock rock = {.point = {0, -50, -200},
                       .direction = random_direction(rng),
                       .low = -0.02,
                       .high = 0.03};
        TbMotion base[2] = {rocking(rock), {.count = 0}};
        TbScatterAsk ask = {.sources = sources,
                            .width = 0.05,
                            .keep = 1,
                            .seed = (uint64_t)n,
                            .base_a = &base[0],
                            .base_b = &base[1]};
        TbMovingAsk still = {.width = 1e-3, .depth_width = 100, .enough = 0};
        TbScatter s;

        ck_assert_int_eq(tb_motion_add_growth(&base[0], tb_vec3(10, 20, -30), 1, 1.009, NULL),
                         TB_OK);
        ck_assert_int_eq(tb_motion_add_growth(&base[1], tb_vec3(0, 0, 0), 0.998, 1.004, NULL),
                         TB_OK);
        ask.count = placements(rng, n % 2 == 1, sources);
        ask.a = still.a = solid_of_sweep(sweep);
        ask.b = still.b =
            solid_of_plain(rod(to, tb_vec3_add_scaled(to, 60, random_direction(rng)), 4));
        s = ask_scatter(&ask);
        if (s.nominal.contact == TB_CLEAR && s.worst_lower > 0) {
            ck_assert_double_le(s.worst_lower, s.worst_upper);
            ck_assert_double_le(s.worst_upper, s.nominal.upper);
            if (n % 2 == 0)
                ck_assert_double_lt(s.worst_upper - s.worst_lower, 0.051);
            for (uint64_t i = 0; i < SAMPLES; i++) {
                TbPose pose[2];
                TbGap gap;
                double off;

                tb_scatter_sample(&ask, i, pose, &off);
                for (int k = 0; k < 2; k++)
                    pose[k] = tb_pose_compose(pose[k], anywhere(rng, &base[k]));
                still.enough = fmax(s.worst_lower + off, 1e-3);
                ck_assert_int_eq(tb_moving_gap_posed(&still, pose[0], pose[1], NULL, &gap, NULL),
                                 TB_OK);
                ck_assert_double_ge(gap.upper - off, s.worst_lower - TB_TOL_ROUND);
            }
            compared++;
        }
        give_back(&ask);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(compared, 5);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/scatter_motion");
    TCase *tests = tcase_create("scatter_motion");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests,
                   the_worst_case_of_a_shift_a_turn_and_a_rock_about_one_axis_is_the_closed_form);
    tcase_add_test(tests, chance_is_that_of_the_pose_at_which_the_motion_brings_them_nearest);
    tcase_add_test(tests,
                   a_keep_far_below_every_band_is_never_broken_and_its_histogram_is_of_a_few);
    tcase_add_test(tests, a_worst_case_that_is_plainly_enough_is_a_true_interval_all_the_same);
    tcase_add_test(tests, no_sample_of_placement_rock_and_warmth_is_below_the_worst_case);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
