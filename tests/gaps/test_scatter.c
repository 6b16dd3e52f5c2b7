/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "moving_scenes.h"

#include "gaps/moving_profile.h"
#include "gaps/scatter_private.h"

#include <gsl/gsl_cdf.h>

static TbScatter
ask_scatter(const TbScatterAsk *ask, TbWork *work)
{
    TbScatter scatter;
    TbFault fault = {0};

    ck_assert_msg(tb_scatter(ask, work, NULL, &scatter, &fault) == TB_OK, "%s", fault.text);
    return scatter;
}

static TbScatterSource
shift(int side, TbVec3 direction, double half)
{
    return (TbScatterSource){
        .side = side, .kind = TB_SCATTER_SHIFT, .direction = direction, .half = half};
}

static TbScatterSource
turn(int side, TbVec3 point, TbVec3 direction, double half)
{
    return (TbScatterSource){.side = side,
                             .kind = TB_SCATTER_TURN,
                             .point = point,
                             .direction = direction,
                             .half = half};
}

/** Two plates 10 mm apart, the upper one much larger. */
static void
two_plates(TbScatterAsk *ask)
{
    ask->a = solid_of_plain(tb_plain_block_between(tb_vec3(-400, -400, 10), tb_vec3(400, 400, 30)));
    ask->b = solid_of_plain(tb_plain_block_between(tb_vec3(-90, -70, -20), tb_vec3(80, 95, 0)));
    ask->width = 1e-6;
    ask->confidence = 0.999;
}

static void
give_back(TbScatterAsk *ask)
{
    tb_solid_unref((TbSolid *)ask->a);
    tb_solid_unref((TbSolid *)ask->b);
}

/* Both shift along Z with deviations 0.5 and 1.2, and along X, which changes nothing; the upper
 * stands off with deviation 0.4. The gap is normal: mean 10, variance the sum. */
START_TEST(two_plates_with_normal_scatter_break_a_keep_as_often_as_the_closed_form_says)
{
    static const double keep[] = {7, 8.5, 9.9, 11};
    const TbScatterSource sources[] = {
        shift(0, tb_vec3(0, 0, 2), 1.5),
        shift(1, tb_vec3(0, 0, -1), 3.6),
        shift(1, tb_vec3(1, 0, 0), 5),
        {.side = 0, .kind = TB_SCATTER_SIZE, .half = 1.2},
    };
    double deviation = sqrt(0.5 * 0.5 + 1.2 * 1.2 + 0.4 * 0.4);
    TbScatterAsk ask = {.sources = sources, .count = 4, .seed = 17, .samples = 40000};

    two_plates(&ask);
    for (int i = 0; i < 4; i++) {
        double want = gsl_cdf_gaussian_P(keep[i] - 10, deviation);
        TbScatter s;

        ask.keep = keep[i];
        s = ask_scatter(&ask, NULL);
        ck_assert_msg(s.low <= want && want <= s.high, "keep %g: %g not in [%g, %g]", keep[i], want,
                      s.low, s.high);
        ck_assert_uint_eq(s.samples, 40000);
        ck_assert_uint_le(s.undecided, 40);
        ck_assert_double_eq_tol(s.rss, 3 * deviation, 1e-9);
        ck_assert_uint_eq(s.most, 1);
        ck_assert_double_eq_tol(s.share[1], 1.44 / (deviation * deviation), 1e-9);
        ck_assert_double_eq_tol(s.share[2], 0, 1e-12);
        ck_assert_double_eq_tol(s.slope[3], -1.2, 1e-12);
        ck_assert_double_le(s.worst_lower, 10 - 1.5 - 3.6 - 1.2 + 1e-8);
        ck_assert_double_ge(s.worst_upper, 10 - 1.5 - 3.6 - 1.2 - 1e-8);
        ck_assert(!s.worst_exhausted);
    }
    give_back(&ask);
}
END_TEST

/* Even within 3 mm: below 8 in a sixth of all. */
START_TEST(even_scatter_is_even)
{
    TbScatterSource source = shift(0, tb_vec3(0, 0, 1), 3);
    TbScatterAsk ask = {.sources = &source, .count = 1, .seed = 4, .samples = 30000, .keep = 8};
    TbScatter s;

    source.even = true;
    two_plates(&ask);
    s = ask_scatter(&ask, NULL);
    ck_assert_double_le(s.low, 1.0 / 6);
    ck_assert_double_ge(s.high, 1.0 / 6);
    ck_assert_double_lt(s.high - s.low, 0.02);
    give_back(&ask);
}
END_TEST

/* The plates stand 1.7 mm in each other nominally; a sample's gap is that and what it shifts along
 * Z, less what it stands off. Standing off by less than nothing, an overlap may do. */
START_TEST(samples_of_what_overlaps_are_decided_one_by_one_as_the_closed_form_says)
{
    static const double keep[] = {0, 0.3, 2.9};
    const TbScatterSource sources[] = {
        shift(0, tb_vec3(0, 0, 2), 2.7),
        shift(1, tb_vec3(1, 0, 0), 4.3),
        {.side = 1, .kind = TB_SCATTER_SIZE, .half = 3.1},
    };
    TbScatterAsk ask = {.sources = sources, .count = 3, .seed = 5, .samples = 3000};

    two_plates(&ask);
    tb_solid_unref((TbSolid *)ask.a);
    ask.a =
        solid_of_plain(tb_plain_block_between(tb_vec3(-400, -400, -1.7), tb_vec3(400, 400, 30)));
    for (int k = 0; k < 3; k++) {
        uint64_t broken = 0;
        TbScatter s;

        ask.keep = keep[k];
        for (uint64_t i = 0; i < ask.samples; i++) {
            TbPose pose[2];
            double off;

            tb_scatter_sample(&ask, i, pose, &off);
            broken += -1.7 + pose[0].origin.z - pose[1].origin.z < keep[k] + off;
        }
        s = ask_scatter(&ask, NULL);
        ck_assert_uint_ge(s.broken, broken);
        ck_assert_uint_le(s.broken, broken + s.undecided);
        ck_assert_uint_le(s.undecided, 15);
        ck_assert_uint_lt(s.searched, 3000);
        ck_assert_uint_lt(broken, 3000);
    }
    give_back(&ask);
}
END_TEST

/** Placements of both mounts and items: shifts and turns on either side. */
static size_t
placements(gsl_rng *rng, TbScatterSource out[])
{
    size_t count = 0;

    for (int side = 0; side < 2; side++) {
        TbVec3 datum = tb_vec3_scale(random_direction(rng), 150);

        for (int i = 0; i < 3; i++) {
            TbVec3 axis = tb_vec3(i == 0, i == 1, i == 2);

            out[count++] = shift(side, axis, between(rng, 0.2, 2));
            out[count++] = turn(side, datum, axis, between(rng, 0.001, 0.01));
        }
    }
    out[count++] = (TbScatterSource){.side = 0, .kind = TB_SCATTER_SIZE, .half = 0.7};
    return count;
}

/** A sweep and something about `off` mm from it. */
static void
random_scene(gsl_rng *rng, TbScatterAsk *ask, bool swept, double off)
{
    TbSweep *sweep = random_sweep(rng, between(rng, 20, 50));
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
    TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
    TbVec3 to = tb_vec3_add_scaled(p, off, normal);

    ask->a = solid_of_sweep(sweep);
    if (swept) {
        TbVec3 away = tb_vec3_add_scaled(
            to, 200, tb_vec3_unit(tb_vec3_add_scaled(normal, 0.5, random_direction(rng))));

        ask->b = solid_of_sweep(straight_sweep(to, away, tb_section_superellipse(10, 14, 2.6)));
    } else {
        ask->b = solid_of_plain(rod(to, tb_vec3_add_scaled(to, 60, random_direction(rng)), 4));
    }
}

/** Every sample by a whole search of its own. */
static uint64_t
broken_by_force(const TbScatterAsk *ask)
{
    TbMovingAsk still = {.a = ask->a, .b = ask->b, .width = TB_SCATTER_WIDTH, .depth_width = 100};
    uint64_t broken = 0;

    for (uint64_t i = 0; i < ask->samples; i++) {
        TbPose pose[2];
        TbGap gap;
        double off;

        tb_scatter_sample(ask, i, pose, &off);
        ck_assert_int_eq(tb_moving_gap_posed(&still, pose[0], pose[1], NULL, &gap, NULL), TB_OK);
        broken += gap.lower < ask->keep + off;
    }
    return broken;
}

START_TEST(every_sample_is_decided_as_a_search_of_its_own_decides_it)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbScatterSource sources[TB_SCATTER_MOST];
    uint64_t broken = 0, samples = 0;
    int compared = 0;

    gsl_rng_set(rng, 2025);
    for (int n = 0; n < 16; n++) {
        TbScatterAsk ask = {.sources = sources,
                            .width = 1e-4,
                            .confidence = 0.95,
                            .seed = (uint64_t)n,
                            .samples = 300};
        TbScatter s;
        TbGap nominal;

        ask.count = placements(rng, sources);
        random_scene(rng, &ask, n % 2 == 0, between(rng, 14, 30));
        nominal = ask_gap(ask.a, ask.b, 1e-4);
        ask.keep = nominal.lower - between(rng, 0.2, 2);
        if (nominal.contact == TB_CLEAR && ask.keep > 0.5) {
            uint64_t force = broken_by_force(&ask);

            s = ask_scatter(&ask, NULL);
            ck_assert_msg(s.broken <= force + s.undecided && force <= s.broken + s.undecided + 1,
                          "scene %d: %d against %d", n, (int)s.broken, (int)force);
            ck_assert_uint_le(s.undecided, 1);
            ck_assert_uint_lt(s.searched, 30); /* nearly all by the screen */
            broken += s.broken;
            samples += s.samples;
            compared++;
        }
        give_back(&ask);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(compared, 8);
    ck_assert_uint_gt(broken, samples / 50);
    ck_assert_uint_lt(broken, samples / 2);
}
END_TEST

START_TEST(no_sample_within_the_bands_is_below_the_worst_case)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbScatterSource sources[TB_SCATTER_MOST];
    int compared = 0;

    gsl_rng_set(rng, 77);
    for (int n = 0; n < 12; n++) {
        TbScatterAsk ask = {.sources = sources, .width = 0.05, .keep = 1, .seed = (uint64_t)n};
        TbMovingAsk still = {.width = 1e-3, .depth_width = 100};
        TbScatter s;

        ask.count = placements(rng, sources);
        /* an item on its mount: turns about parallel axes elsewhere, others between them */
        for (int i = 0; i < 3 && n % 4 < 2; i++)
            sources[ask.count++] =
                turn(n % 2, tb_vec3(90, -40, 60), tb_vec3(i == 0, i == 1, -(i == 2)), 0.004);
        for (size_t i = 0; i < ask.count; i++)
            sources[i].even = true;
        random_scene(rng, &ask, n % 2 == 0, between(rng, 35, 50));
        s = ask_scatter(&ask, NULL);
        still.a = ask.a;
        still.b = ask.b;
        if (s.nominal.contact == TB_CLEAR && s.worst_lower > 0) {
            for (uint64_t i = 0; i < 300; i++) {
                TbPose pose[2];
                TbGap gap;
                double off;

                tb_scatter_sample(&ask, i, pose, &off);
                ck_assert_int_eq(tb_moving_gap_posed(&still, pose[0], pose[1], NULL, &gap, NULL),
                                 TB_OK);
                ck_assert_double_ge(gap.upper - off, s.worst_lower - TB_TOL_ROUND);
            }
            ck_assert_double_le(s.worst_upper, s.nominal.upper);
            ck_assert(s.worst_exhausted == (n % 4 < 2));
            ck_assert_double_lt(s.worst_upper - s.worst_lower, n % 4 < 2 ? 6 : 0.06);
            compared++;
        }
        give_back(&ask);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(compared, 5);
}
END_TEST

/** Sections of a sampled pose, off their surfaces, and what was said of them within all bands. */
static void
check_sections(const TbScatterAsk *ask,
               const TbScatterMotion *motion,
               const double stations[],
               const TbProfilePoint points[],
               size_t count)
{
    TbSweep *rest = tb_solid_part(ask->a, 0)->sweep;

    for (uint64_t i = 0; i < 200; i++) {
        TbPose pose[2];
        double off;
        TbProfilePoint found[9];
        TbProfileAsk at = {.stations = stations, .count = count, .width = 1e-3};

        tb_scatter_sample(ask, i, pose, &off);
        at.sweep = tb_sweep_moved(rest, pose[0]);
        at.other = tb_solid_moved(ask->b, pose[1]);
        ck_assert_int_eq(tb_profile(&at, NULL, found, NULL), TB_OK);
        for (size_t k = 0; k < count; k++)
            ck_assert_double_ge(found[k].upper - off,
                                points[k].lower - motion->off - motion->slack - TB_TOL_ROUND);
        tb_sweep_unref(at.sweep);
        tb_solid_unref((TbSolid *)at.other);
    }
}

START_TEST(no_sample_brings_a_section_below_its_own_worst_case)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbScatterSource sources[TB_SCATTER_MOST];
    int agreed = 0;

    gsl_rng_set(rng, 771);
    for (int n = 0; n < 10; n++) {
        TbScatterAsk ask = {.sources = sources, .width = 0.05, .keep = 1, .seed = (uint64_t)n};
        double stations[9], least = INFINITY;
        TbProfilePoint points[9];
        TbScatterMotion motion;
        TbMovingProfileAsk along = {
            .moving = &motion.moving, .stations = stations, .count = 9, .near = 90, .fine = 0.02};
        TbScatter s;

        ask.count = placements(rng, sources);
        for (int i = 0; i < 3 && n % 4 < 2; i++) /* axes apart: merging leaves a slack */
            sources[ask.count++] =
                turn(n % 2, tb_vec3(90, -40, 60), tb_vec3(i == 0, i == 1, -(i == 2)), 0.004);
        for (size_t i = 0; i < ask.count; i++)
            sources[i].even = true;
        random_scene(rng, &ask, n % 2 == 0, between(rng, 35, 50));
        s = ask_scatter(&ask, NULL);
        for (int k = 0; k < 9; k++)
            stations[k] = tb_sweep_length(tb_solid_part(ask.a, 0)->sweep) * k / 8;
        ck_assert_int_eq(tb_scatter_motion(&ask, &motion, NULL), TB_OK);
        ck_assert_double_eq(motion.off, 0.7);
        ck_assert((motion.slack > 0) == (n % 4 < 2));
        ck_assert_int_eq(tb_moving_profile(&along, NULL, points, NULL), TB_OK);
        check_sections(&ask, &motion, stations, points, 9);
        for (int k = 0; k < 9; k++)
            least = fmin(least, points[k].lower - motion.off - motion.slack);
        ck_assert_double_ge(least, s.worst_lower - 0.02 - TB_TOL_ROUND);
        agreed += s.nominal.contact == TB_CLEAR;
        give_back(&ask);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(agreed, 5);
}
END_TEST

/* Four quarter turns about Y between two about X: a rod along Z that the inner one lays over by
 * 1 rad comes round to (cos 1, sin 1, 0), where it is nearest; turns about X that were added up
 * outside the others would not get there. */
START_TEST(turns_that_add_up_to_a_whole_one_leave_the_worst_case_below_every_sample)
{
    TbVec3 o = {0, 0, 0}, x = {1, 0, 0}, y = {0, 1, 0};
    const TbScatterSource sources[] = {turn(0, o, x, 0.01),     turn(0, o, y, M_PI / 2),
                                       turn(0, o, y, M_PI / 2), turn(0, o, y, M_PI / 2),
                                       turn(0, o, y, M_PI / 2), turn(0, o, x, 1)};
    const double value[] = {0, 0.5, 0.5, 0, 0, -1};
    TbScatterAsk ask = {.sources = sources, .count = 6, .width = 1e-3};
    TbMovingAsk still = {.width = 1e-3};
    TbPose pose[2];
    TbScatter s;
    TbGap gap;
    double off;

    ask.a = still.a = solid_of_plain(rod(o, tb_vec3(0, 0, 100), 5));
    ask.b = still.b = solid_of_plain(ball(tb_vec3(140 * cos(1), 140 * sin(1), 0), 4));
    s = ask_scatter(&ask, NULL);
    tb_scatter__place(&ask, value, pose, &off);
    ck_assert_int_eq(tb_moving_gap_posed(&still, pose[0], pose[1], NULL, &gap, NULL), TB_OK);
    ck_assert_double_eq_tol(gap.upper, 140 - 100 - 4, 1e-3);
    ck_assert_double_ge(gap.upper, s.worst_lower);
    give_back(&ask);
}
END_TEST

/* Turns of up to 80 deg each about axes anywhere: corners of a rod's box at 400 poses. */
START_TEST(no_point_goes_further_than_all_bands_reach)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 31);
    for (int n = 0; n < 20; n++) {
        TbScatterSource sources[8];
        TbScatterAsk ask = {.sources = sources, .count = 8};

        for (int i = 0; i < 8; i++) {
            sources[i] = turn(0, tb_vec3_scale(random_direction(rng), between(rng, 0, 900)),
                              random_direction(rng), between(rng, 0.01, n < 10 ? 0.2 : 1.4));
            sources[i].even = true;
        }
        ask.a = solid_of_plain(rod(tb_vec3(-20, 0, 0), tb_vec3(50, 10, 0), 9));
        ask.b = solid_of_plain(ball(tb_vec3(900, 0, 0), 4));
        for (uint64_t k = 0; k < 400; k++) {
            TbPose pose[2];
            double off;

            tb_scatter_sample(&ask, k, pose, &off);
            for (int i = 0; i < 2; i++) {
                TbVec3 p = i == 0 ? tb_vec3(-20, 0, 0) : tb_vec3(50, 10, 0);

                ck_assert_double_le(tb_vec3_distance(p, tb_pose_point(pose[0], p)),
                                    tb_scatter__reach(&ask));
            }
        }
        give_back(&ask);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(the_answer_is_the_same_for_any_number_of_threads)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbScatterSource sources[TB_SCATTER_MOST];
    TbScatterAsk ask = {.sources = sources,
                        .width = 1e-3,
                        .confidence = 0.95,
                        .seed = 9,
                        .samples = 3000,
                        .keep = 11};
    TbWork *work = tb_work_new(3);
    TbScatter one, three;

    gsl_rng_set(rng, 5);
    ask.count = placements(rng, sources);
    random_scene(rng, &ask, false, 13);
    one = ask_scatter(&ask, NULL);
    three = ask_scatter(&ask, work);
    ck_assert_uint_gt(one.broken, 0);
    ck_assert_uint_eq(one.broken, three.broken);
    ck_assert_uint_eq(one.undecided, three.undecided);
    ck_assert_uint_eq(one.separated, three.separated);
    ck_assert_uint_eq(one.searched, three.searched);
    ck_assert_double_eq(one.low, three.low);
    ck_assert_double_eq(one.high, three.high);
    tb_work_free(work);
    gsl_rng_free(rng);
    give_back(&ask);
}
END_TEST

static void
expect(const TbScatterAsk *ask, TbStatus status, const char *words)
{
    TbScatter s = {.samples = 123};
    TbFault fault = {0};

    ck_assert_int_eq(tb_scatter(ask, NULL, NULL, &s, &fault), status);
    ck_assert_msg(strstr(fault.text, words) != NULL, "\"%s\" has no \"%s\"", fault.text, words);
    ck_assert_uint_eq(s.samples, 123);
}

START_TEST(what_cannot_be_asked_is_refused_with_its_number)
{
    TbScatterSource source = shift(1, tb_vec3(0, 0, 1), 900);
    TbScatterAsk ask = {.sources = &source, .count = 1, .samples = 10, .keep = 5};

    two_plates(&ask);
    expect(&ask, TB_E_RANGE, "larger than the part's");
    source.half = -1;
    expect(&ask, TB_E_RANGE, "half band of -1");
    source.half = NAN;
    expect(&ask, TB_E_RANGE, "half band of nan");
    source.half = 1;
    source.direction = tb_vec3(0, 0, 0);
    expect(&ask, TB_E_DEGENERATE, "no direction");
    source.direction.z = 1;
    ask.keep = -2;
    expect(&ask, TB_E_RANGE, "keep of -2");
    ask.keep = 5;
    ask.confidence = 1;
    expect(&ask, TB_E_RANGE, "confidence of 1");
    ask.confidence = 0.9;
    ask.samples = 1000000000000;
    expect(&ask, TB_E_RANGE, "1000000000000 samples");
    give_back(&ask);
}
END_TEST

START_TEST(a_million_samples_can_be_cancelled)
{
    TbScatterSource source = shift(1, tb_vec3(0, 0, 1), 1);
    TbScatterAsk ask = {.sources = &source, .count = 1, .samples = 1000000, .keep = 9};
    TbTask task = {.report = NULL};
    TbScatter s;
    TbFault fault = {0};

    two_plates(&ask);
    tb_task_cancel(&task);
    ck_assert_int_eq(tb_scatter(&ask, NULL, &task, &s, &fault), TB_E_CANCELLED);
    ck_assert(fault.text[0] != '\0');
    give_back(&ask);
}
END_TEST

/* Two plates near their keep, so that every sample is decided by itself: the deviation of two
 * shifts of 1.5 and 3.6 is 1.3. */
#define MILLION 1000000

static TbScatterAsk
million(const TbScatterSource sources[2])
{
    TbScatterAsk ask = {
        .sources = sources, .count = 2, .seed = 31, .samples = MILLION, .keep = 8.7};

    two_plates(&ask);
    return ask;
}

START_TEST(a_million_samples_are_the_same_bits_for_any_threads_and_narrow_the_interval)
{
    const TbScatterSource sources[] = {shift(0, tb_vec3(0, 0, 1), 1.5),
                                       shift(1, tb_vec3(0, 0, -1), 3.6)};
    TbScatterAsk ask = million(sources);
    double want = gsl_cdf_gaussian_P(-1, 1);
    TbScatter one = ask_scatter(&ask, NULL);

    ck_assert_uint_eq(one.samples, MILLION);
    ck_assert_msg(one.low <= want && want <= one.high, "%g not in [%g, %g]", want, one.low,
                  one.high);
    /* 3.29 deviations of a share of a million to each side */
    ck_assert_double_lt(one.high - one.low, 7 * sqrt(want * (1 - want) / MILLION));
    for (int threads = 2; threads <= 3; threads++) {
        TbWork *work = tb_work_new(threads);
        TbScatter more = ask_scatter(&ask, work);

        ck_assert_uint_eq(one.broken, more.broken);
        ck_assert_uint_eq(one.undecided, more.undecided);
        ck_assert_double_eq(one.low, more.low);
        ck_assert_double_eq(one.high, more.high);
        ck_assert_mem_eq(one.bins, more.bins, sizeof one.bins);
        tb_work_free(work);
    }
    give_back(&ask);
}
END_TEST

typedef struct Watch {
    TbTask *task;
    double last, stop_at;
    int reports;
    bool backwards;
} Watch;

static void
watch(void *user, const char *what, double share)
{
    Watch *w = user;

    if (strcmp(what, "samples") != 0)
        return;
    w->reports++;
    w->backwards |= share < w->last || share > 1;
    w->last = share;
    if (share >= w->stop_at)
        tb_task_cancel(w->task);
}

START_TEST(a_million_samples_tell_how_far_they_are_and_stop_when_asked)
{
    const TbScatterSource sources[] = {shift(0, tb_vec3(0, 0, 1), 1.5),
                                       shift(1, tb_vec3(0, 0, -1), 3.6)};
    TbScatterAsk ask = million(sources);
    TbTask task = {.report = watch};
    Watch whole = {.task = &task, .stop_at = 2}, part = {.task = &task, .stop_at = 0.3};
    TbScatter s = {.samples = 77};

    task.user = &whole;
    ck_assert_int_eq(tb_scatter(&ask, NULL, &task, &s, NULL), TB_OK);
    ck_assert_int_gt(whole.reports, 20);
    ck_assert(!whole.backwards);
    ck_assert_double_gt(whole.last, 0.9);
    task.user = &part;
    s.samples = 77;
    ck_assert_int_eq(tb_scatter(&ask, NULL, &task, &s, NULL), TB_E_CANCELLED);
    ck_assert_double_lt(part.last, 0.5);
    ck_assert_uint_eq(s.samples, 77);
    give_back(&ask);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/scatter");
    TCase *tests = tcase_create("scatter");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests,
                   two_plates_with_normal_scatter_break_a_keep_as_often_as_the_closed_form_says);
    tcase_add_test(tests, even_scatter_is_even);
    tcase_add_test(tests, samples_of_what_overlaps_are_decided_one_by_one_as_the_closed_form_says);
    tcase_add_test(tests, every_sample_is_decided_as_a_search_of_its_own_decides_it);
    tcase_add_test(tests, no_sample_within_the_bands_is_below_the_worst_case);
    tcase_add_test(tests, no_sample_brings_a_section_below_its_own_worst_case);
    tcase_add_test(tests, turns_that_add_up_to_a_whole_one_leave_the_worst_case_below_every_sample);
    tcase_add_test(tests, no_point_goes_further_than_all_bands_reach);
    tcase_add_test(tests, the_answer_is_the_same_for_any_number_of_threads);
    tcase_add_test(tests, what_cannot_be_asked_is_refused_with_its_number);
    tcase_add_test(tests, a_million_samples_can_be_cancelled);
    tcase_add_test(tests,
                   a_million_samples_are_the_same_bits_for_any_threads_and_narrow_the_interval);
    tcase_add_test(tests, a_million_samples_tell_how_far_they_are_and_stop_when_asked);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
