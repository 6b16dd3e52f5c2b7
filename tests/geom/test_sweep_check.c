/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "sweep_cases.h"

/** The largest of many samples, and the first and last that break a limit. */
typedef struct Sampled {
    double value, station, from, to;
} Sampled;

enum { SAMPLES = 20000 };

static void
take(Sampled *s, double value, double station, double limit)
{
    if (value > s->value) {
        s->value = value;
        s->station = station;
    }
    if (value > limit + 1e-9) {
        s->from = fmin(s->from, station);
        s->to = station;
    }
}

static const Sampled none = {-INFINITY, 0, INFINITY, -1};

/* ---- folding ---- */

START_TEST(a_bends_fold_is_its_half_width_over_its_radius)
{
    TbCurve *curve = one_bend(33.3, 75, 41.7);
    TbSweep *sweep = NULL;
    double end = 41.7 + 33.3 * 75 * M_PI / 180;
    TbSweepWorst inner, outer;

    /* the gas side just has room, the wall's outside has not */
    ck_assert_int_eq(tb_sweep_new_round(curve, 67.4, 1.2, &sweep, NULL), TB_OK);
    inner = tb_sweep_folds(sweep, 1).inner;
    outer = tb_sweep_folds(sweep, 1).outer;
    ck_assert_double_eq_tol(inner.value, 32.5 / 33.3, 1e-12);
    ck_assert_double_eq_tol(outer.value, 33.7 / 33.3, 1e-12);
    ck_assert_double_gt(inner.from, inner.to);
    ck_assert_double_eq_tol(outer.from, 41.7, 1e-9);
    ck_assert_double_eq_tol(outer.to, end, 1e-9);
    ck_assert_double_ge(outer.station, 41.7 - 1e-9);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(the_folds_angle_points_to_the_inside_of_the_bend)
{
    TbCurve *curve = one_bend(33.3, 75, 41.7); /* from +X up towards +Z */
    TbVec3 ups[3] = {{0, 0, 1}, {0, 1, 0}, {0, 1, 1}};
    double want[3] = {0, M_PI_2, M_PI_4}; /* from h towards w = t x h */
    TbSectionRow row = row_at(0, tb_section_superellipse(30.1, 21.7, 2), 0.2, 0);

    for (int i = 0; i < 3; i++) {
        TbSweep *sweep = sweep_of(curve, &row, 1, &ups[i]);

        ck_assert_double_eq_tol(tb_sweep_folds(sweep, 1).inner.angle, want[i], 1e-12);
        tb_sweep_unref(sweep);
    }
    tb_curve_unref(curve);
}
END_TEST

START_TEST(a_flat_section_on_edge_folds_where_it_would_not_lying)
{
    TbCurve *curve = one_bend(40, 75, 41.7);
    TbSectionRow row = row_at(0, tb_section_rounded(91.4, 30.6, 9), 0, 0);
    TbVec3 up = {0, 0, 1};
    TbSweep *lying = sweep_of(curve, &row, 1, &up), *standing;

    row.section.turn = M_PI_2;
    standing = sweep_of(curve, &row, 1, &up);
    ck_assert_double_eq_tol(tb_sweep_folds(lying, 1).inner.value, 15.3 / 40, 1e-12);
    ck_assert_double_eq_tol(tb_sweep_folds(standing, 1).inner.value, 45.7 / 40, 1e-12);
    tb_sweep_unref(standing);
    tb_sweep_unref(lying);
    tb_curve_unref(curve);
}
END_TEST

static double
fold_at(const TbSweep *sweep, double station, bool outer)
{
    TbDisc disc = tb_sweep_at(sweep, station);
    TbVec3 k = tb_curve_at(tb_sweep_curve(sweep), station).curvature, contact;

    return tb_disc_support(&disc, k, outer, &contact) - tb_vec3_dot(k, disc.centre);
}

START_TEST(the_outlets_fold_is_that_of_dense_samples)
{
    TbSweep *sweep = outlet();
    Sampled s = none;
    double limit = 0.25, step = tb_sweep_length(sweep) / SAMPLES;
    TbSweepWorst worst = tb_sweep_folds(sweep, limit).outer;

    for (int i = 0; i <= SAMPLES; i++) {
        double at = i * step;

        take(&s, fold_at(sweep, at, true), at, limit);
    }
    ck_assert_double_ge(worst.value, s.value);
    /* the peak is a crease at a knot: samples miss it by a step's worth of slope */
    ck_assert_double_eq_tol(worst.value, s.value, 1e-4);
    ck_assert_double_eq_tol(worst.value, fold_at(sweep, worst.station, true), 1e-9);
    ck_assert_double_eq_tol(worst.station, s.station, 2 * step);
    ck_assert_double_eq_tol(worst.from, s.from, 1.01 * step);
    ck_assert_double_eq_tol(worst.to, s.to, 1.01 * step);
    tb_sweep_unref(sweep);
}
END_TEST

/** A path at random; its two sections lie beside it, the wall grows. */
static TbSweep *
random_duct(gsl_rng *rng)
{
    TbSectionRow rows[2];
    TbVec3 knots[5];
    TbCurve *curve = NULL;
    TbSweep *sweep;

    for (int i = 0; i < 5; i++)
        knots[i] = tb_vec3(83.7 * i + random_between(rng, -20, 20), random_between(rng, -60, 60),
                           random_between(rng, -60, 60));
    for (int i = 0; i < 2; i++) {
        double wide = random_between(rng, 20, 70), high = random_between(rng, 20, 70);

        rows[i] = row_at(0, tb_section_superellipse(wide, high, random_between(rng, 2, 4)),
                         random_between(rng, -1, 1), random_between(rng, 0.5, 60));
        rows[i].section.offset =
            tb_vec2(random_between(rng, -25, 25), random_between(rng, -25, 25));
    }
    rows[1].from_end = true;
    ck_assert_int_eq(tb_curve_smooth_new(knots, 5, NULL, NULL, &curve, NULL), TB_OK);
    sweep = sweep_of(curve, rows, 2, NULL);
    tb_curve_unref(curve);
    return sweep;
}

/** Relative. Of a peak between a piece's end and the sample next to it only the samples are seen.
 */
#define PEAK 1e-5

/** Against samples, both sides: nothing folds by the limit, so that pieces are left out. */
static void
check_folds(const TbSweep *sweep)
{
    enum { FEW = 2000 };
    TbSweepFolds folds = tb_sweep_folds(sweep, 1e3);
    const TbSweepWorst worst[2] = {folds.inner, folds.outer};

    for (int side = 0; side < 2; side++) {
        double most = 0;

        for (int i = 0; i <= FEW; i++)
            most = fmax(most, fold_at(sweep, tb_sweep_length(sweep) * i / FEW, side == 1));
        ck_assert_double_ge(worst[side].value, most * (1 - PEAK));
        ck_assert_double_eq_tol(worst[side].value, most, 0.01 * most);
        ck_assert_double_eq_tol(worst[side].value, fold_at(sweep, worst[side].station, side == 1),
                                1e-8);
    }
}

START_TEST(folds_of_ducts_beside_their_paths_are_those_of_dense_samples_on_both_sides)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int apart = 0;

    gsl_rng_set(rng, 1126);
    for (int i = 0; i < 60; i++) {
        TbSweep *sweep = random_duct(rng);
        TbSweepFolds folds = tb_sweep_folds(sweep, 1e3);

        check_folds(sweep);
        apart += fabs(folds.inner.station - folds.outer.station) > 20;
        tb_sweep_unref(sweep);
    }
    /* of some, the two sides are worst in places far from each other */
    ck_assert_int_gt(apart, 5);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_straight_duct_neither_folds_nor_bends)
{
    TbVec3 ends[2] = {{-431.7, 88.1, 12.9}, {118.3, -204.6, 377.7}};
    double radii[2] = {0, 0};
    TbCurve *curve = bent_curve(ends, radii, 2);
    TbSweep *sweep = NULL;

    ck_assert_int_eq(tb_sweep_new_round(curve, 45.8, 1.5, &sweep, NULL), TB_OK);
    ck_assert_double_eq(tb_sweep_folds(sweep, 1).outer.value, 0);
    ck_assert(isinf(tb_sweep_tightest(sweep, 100).value));
    ck_assert_double_gt(tb_sweep_tightest(sweep, 100).from, tb_sweep_tightest(sweep, 100).to);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* ---- bend radius ---- */

START_TEST(the_tightest_bend_of_a_bent_path_is_its_smallest_radius)
{
    TbVec3 corners[5] = {{0, 0, 0}, {120, 0, 0}, {200, 80, 0}, {200, 160, 60}, {300, 160, 60}};
    double radii[5] = {0, 50.8, 43.7, 61.9, 0};
    TbCurve *curve = bent_curve(corners, radii, 5);
    const TbSpan *arc = tb_curve_span(curve, 3);
    TbSweep *sweep = NULL;
    TbSweepWorst worst;

    ck_assert_int_eq(tb_sweep_new_round(curve, 25.4, 1.5, &sweep, NULL), TB_OK);
    worst = tb_sweep_tightest(sweep, 47);
    ck_assert_double_eq_tol(worst.value, 43.7, 1e-10);
    ck_assert_double_eq_tol(worst.from, arc->start, 1e-9);
    ck_assert_double_eq_tol(worst.to, arc->start + arc->length, 1e-9);
    worst = tb_sweep_tightest(sweep, 43.6);
    ck_assert_double_gt(worst.from, worst.to);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(the_tightest_place_of_a_smooth_path_is_that_of_dense_samples)
{
    TbSweep *sweep = outlet();
    const TbCurve *curve = tb_sweep_curve(sweep);
    double limit = 150, step = tb_sweep_length(sweep) / SAMPLES;
    TbSweepWorst worst = tb_sweep_tightest(sweep, limit);
    Sampled s = none;

    for (int i = 0; i <= SAMPLES; i++)
        take(&s, tb_vec3_length(tb_curve_at(curve, i * step).curvature), i * step, 1 / limit);
    ck_assert_double_le(worst.value, 1 / s.value);
    ck_assert_double_eq_tol(worst.value, 1 / s.value, 1e-3 * worst.value);
    ck_assert_double_eq_tol(
        tb_vec3_length(tb_curve_at(curve, worst.station).curvature) * worst.value, 1, 1e-9);
    ck_assert_double_eq_tol(worst.station, s.station, 2 * step);
    ck_assert_double_eq_tol(worst.from, s.from, 1.01 * step);
    ck_assert_double_eq_tol(worst.to, s.to, 1.01 * step);
    tb_sweep_unref(sweep);
}
END_TEST

/* ---- wall ---- */

START_TEST(the_thinnest_wall_is_a_given_one)
{
    TbSweep *sweep;
    TbCurve *curve = outlet_curve();
    TbSectionRow rows[4];
    TbSweepWorst worst;

    outlet_rows(rows);
    rows[1].section.wall = 1.3;
    sweep = sweep_of(curve, rows, 4, NULL);
    worst = tb_sweep_thinnest(sweep, 1.8);
    ck_assert_double_eq_tol(worst.value, 1.3, 1e-12);
    ck_assert_double_eq_tol(worst.station, 163.7, 1e-9);
    ck_assert_double_eq_tol(tb_sweep_at(sweep, worst.from).slice.wall, 1.8, 1e-9);
    ck_assert_double_eq_tol(tb_sweep_at(sweep, worst.to).slice.wall, 1.8, 1e-9);
    ck_assert_double_lt(worst.from, 163.7);
    ck_assert_double_gt(worst.to, 163.7);
    worst = tb_sweep_thinnest(sweep, 1.3 - 1e-9);
    ck_assert_double_gt(worst.from, worst.to);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* ---- growth ---- */

/* Circles whose width grows evenly are a cone: r' = 0.1 everywhere, angle 2 atan 0.1. */
START_TEST(a_straight_cone_has_one_cone_angle)
{
    TbVec3 ends[2] = {{0, 0, 0}, {100, 0, 0}};
    double radii[2] = {0, 0};
    TbCurve *curve = bent_curve(ends, radii, 2);
    TbSectionRow rows[2] = {row_at(0, tb_section_superellipse(50, 50, 2), 0, 0),
                            row_at(100, tb_section_superellipse(70, 70, 2), 0, 0)};
    TbSweep *sweep;
    TbSweepWorst worst;

    rows[0].holds_size = rows[1].holds_size = true;
    sweep = sweep_of(curve, rows, 2, NULL);
    worst = tb_sweep_cone(sweep, 11 * M_PI / 180);
    ck_assert_double_eq_tol(worst.value, 2 * atan(0.1), 1e-12);
    ck_assert_double_eq_tol(worst.from, 0, 1e-12);
    ck_assert_double_eq_tol(worst.to, 100, 1e-12);
    worst = tb_sweep_cone(sweep, 12 * M_PI / 180);
    ck_assert_double_gt(worst.from, worst.to);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

static void
check_cone(const TbSweep *sweep, double limit)
{
    double step = tb_sweep_length(sweep) / SAMPLES;
    TbSweepWorst worst = tb_sweep_cone(sweep, limit);
    Sampled s = none;

    for (int i = 0; i <= SAMPLES; i++) {
        TbSlice slice = tb_law_at(tb_sweep_law(sweep), i * step);

        take(&s, tb_cone_angle(slice.area, slice.growth), i * step, limit);
    }
    ck_assert_double_ge(worst.value, s.value - 1e-12);
    ck_assert_double_eq_tol(worst.value, s.value, 1e-6);
    if (s.from <= s.to) {
        ck_assert_double_eq_tol(worst.from, s.from, 1.01 * step);
        ck_assert_double_eq_tol(worst.to, s.to, 1.01 * step);
    } else {
        ck_assert_double_gt(worst.from, worst.to);
    }
}

START_TEST(the_steepest_cone_is_that_of_dense_samples)
{
    TbCurve *curve = outlet_curve();
    TbSectionRow rows[4];
    double limits[4] = {0.12, 0, -0.03, 3};

    for (int i = 0; i < 12; i++) {
        TbSweep *sweep;

        outlet_rows(rows);
        rows[1].holds_size = i % 3 > 0; /* area polynomials of degree 12 on two spans */
        rows[2].holds_size = i % 3 > 1;
        sweep = sweep_of(curve, rows, 4, NULL);
        check_cone(sweep, limits[i / 3]);
        tb_sweep_unref(sweep);
    }
    tb_curve_unref(curve);
}
END_TEST

/* ---- shrinking ---- */

static TbSweep *
round_duct(TbCurve *curve, const double areas[], const double stations[], size_t count)
{
    TbSectionRow rows[8];

    for (size_t i = 0; i < count; i++) {
        double width = sqrt(4 * areas[i] / M_PI);

        rows[i] = row_at(stations[i], tb_section_superellipse(width, width, 2), 0, 0);
    }
    return sweep_of(curve, rows, count, NULL);
}

START_TEST(areas_that_grow_never_shrink)
{
    TbCurve *curve = outlet_curve();
    double areas[5] = {1713, 1713, 1901.7, 2477.3, 2477.3}, stations[5] = {11, 90, 200, 310, 420};
    TbSweep *sweep = round_duct(curve, areas, stations, 5);
    TbSweepWorst worst = tb_sweep_shrinks(sweep);

    ck_assert_double_eq(worst.value, 0);
    ck_assert_double_gt(worst.from, worst.to);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* The law is monotone between given sections, so a dip is as deep as the given ones say. */
START_TEST(the_deepest_fall_is_found_with_its_range)
{
    TbCurve *curve = outlet_curve();
    double areas[6] = {1713, 2403.1, 2299.7, 2611.3, 2207.9, 2950},
           stations[6] = {0, 90, 150, 230, 310, 420};
    TbSweep *sweep = round_duct(curve, areas, stations, 6);
    TbSweepWorst worst = tb_sweep_shrinks(sweep);

    ck_assert_double_eq_tol(worst.value, (2611.3 - 2207.9) / 2611.3, 1e-12);
    ck_assert_double_eq_tol(worst.station, 310, 1e-9);
    ck_assert_double_eq_tol(worst.from, 230, 1e-9);
    ck_assert_double_gt(worst.to, 310);
    ck_assert_double_lt(worst.to, 420);
    ck_assert_double_eq_tol(tb_sweep_at(sweep, worst.to).slice.area, 2611.3, 1e-8);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(a_fall_to_the_end_lasts_to_the_end)
{
    TbCurve *curve = outlet_curve();
    double areas[3] = {1713, 2403.1, 1999.9}, stations[3] = {0, 130, 390};
    TbSweep *sweep = round_duct(curve, areas, stations, 3);
    TbSweepWorst worst = tb_sweep_shrinks(sweep);

    ck_assert_double_eq_tol(worst.value, (2403.1 - 1999.9) / 2403.1, 1e-12);
    ck_assert_double_eq_tol(worst.from, 130, 1e-9);
    ck_assert_double_eq(worst.to, tb_sweep_length(sweep));
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/sweep_check");
    TCase *tc = tcase_create("fold and bend");

    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, a_bends_fold_is_its_half_width_over_its_radius);
    tcase_add_test(tc, the_folds_angle_points_to_the_inside_of_the_bend);
    tcase_add_test(tc, a_flat_section_on_edge_folds_where_it_would_not_lying);
    tcase_add_test(tc, the_outlets_fold_is_that_of_dense_samples);
    tcase_add_test(tc, folds_of_ducts_beside_their_paths_are_those_of_dense_samples_on_both_sides);
    tcase_add_test(tc, a_straight_duct_neither_folds_nor_bends);
    tcase_add_test(tc, the_tightest_bend_of_a_bent_path_is_its_smallest_radius);
    tcase_add_test(tc, the_tightest_place_of_a_smooth_path_is_that_of_dense_samples);
    suite_add_tcase(suite, tc);
    tc = tcase_create("wall, growth, shrinking");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, the_thinnest_wall_is_a_given_one);
    tcase_add_test(tc, a_straight_cone_has_one_cone_angle);
    tcase_add_test(tc, the_steepest_cone_is_that_of_dense_samples);
    tcase_add_test(tc, areas_that_grow_never_shrink);
    tcase_add_test(tc, the_deepest_fall_is_found_with_its_range);
    tcase_add_test(tc, a_fall_to_the_end_lasts_to_the_end);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
