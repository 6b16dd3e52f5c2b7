/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "geom/curve.h"
#include "geom/tol.h"
#include "tap.h"

#include <float.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>

/** An outlet's path with knots as uneven as they come: 3 mm to 240 mm apart. */
static const TbVec3 uneven[] = {
    {11.3, -7.9, 402.1},   {14.2, -8.4, 401.3},  {97.6, -31.2, 366.8},
    {103.1, -35.5, 361.9}, {241.7, 17.3, 168.4}, {244.1, 19.9, 163.2},
};
enum { UNEVEN = sizeof uneven / sizeof uneven[0] };

static TbCurve *
smooth(const TbVec3 *knots, size_t count, const TbVec3 *t0, const TbVec3 *t1)
{
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_curve_smooth_new(knots, count, t0, t1, &curve, &fault) == TB_OK, "%s",
                  fault.text);
    return curve;
}

static TbCurve *
bent(const TbVec3 *corners, const double *radii, size_t count)
{
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_curve_bent_new(corners, radii, count, &curve, &fault) == TB_OK, "%s",
                  fault.text);
    return curve;
}

static double
between(gsl_rng *rng, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(rng);
}

static TbVec3
random_direction(gsl_rng *rng)
{
    double z = between(rng, -1, 1), a = between(rng, 0, 2 * M_PI), r = sqrt(1 - z * z);

    return tb_vec3(r * cos(a), r * sin(a), z);
}

/** Knots that wander on, each chord turned from the last by at most @p turn rad. */
static void
wander(gsl_rng *rng, TbVec3 knots[], size_t count, double turn)
{
    TbVec3 along = random_direction(rng);

    knots[0] = tb_vec3_scale(random_direction(rng), 350);
    for (size_t i = 1; i < count; i++) {
        TbVec3 side = tb_vec3_unit(tb_vec3_across(random_direction(rng), along));
        double angle = between(rng, 0, turn), step = exp(between(rng, log(0.7), log(180)));

        along =
            tb_vec3_unit(tb_vec3_add_scaled(tb_vec3_scale(along, cos(angle)), sin(angle), side));
        knots[i] = tb_vec3_add_scaled(knots[i - 1], step, along);
    }
}

/* ---- smooth paths ---- */

START_TEST(point_tangent_and_second_derivative_agree_at_every_knot)
{
    TbVec3 t0 = {0.31, -0.87, 0.22}, t1 = {0.1, 0.4, -2.7};
    TbCurve *curve = smooth(uneven, UNEVEN, &t0, &t1);

    for (size_t i = 1; i < tb_curve_span_count(curve); i++) {
        const TbSpan *before = tb_curve_span(curve, i - 1), *after = tb_curve_span(curve, i);
        TbSpanJet a = tb_span_jet(before, before->extent), b = tb_span_jet(after, 0);

        ck_assert_double_le(tb_vec3_distance(a.c, b.c), 1e-12);
        ck_assert_double_le(tb_vec3_distance(a.c1, b.c1), 1e-13);
        /* C'' is of the order 1 / chord, the shortest chord 3 mm */
        ck_assert_double_le(tb_vec3_distance(a.c2, b.c2), 1e-13);
    }
    tb_curve_unref(curve);
}
END_TEST

START_TEST(knots_are_met_exactly)
{
    TbCurve *curve = smooth(uneven, UNEVEN, NULL, NULL);

    for (size_t i = 0; i + 1 < UNEVEN; i++) {
        const TbSpan *span = tb_curve_span(curve, i);

        ck_assert_double_eq(tb_vec3_distance(tb_span_jet(span, 0).c, uneven[i]), 0);
        ck_assert_double_le(tb_vec3_distance(tb_span_jet(span, span->extent).c, uneven[i + 1]),
                            2e-13);
    }
    tb_curve_unref(curve);
}
END_TEST

START_TEST(clamped_ends_run_along_the_given_tangents_at_unit_speed)
{
    TbVec3 t0 = {0.31, -0.87, 0.22}, t1 = {0.1, 0.4, -2.7};
    TbCurve *curve = smooth(uneven, UNEVEN, &t0, &t1);
    TbCurvePoint first = tb_curve_at(curve, -5), last = tb_curve_at(curve, 1e9);
    const TbSpan *span = tb_curve_span(curve, UNEVEN - 2);

    ck_assert_double_le(tb_vec3_distance(first.tangent, tb_vec3_unit(t0)), 1e-15);
    ck_assert_double_le(tb_vec3_distance(last.tangent, tb_vec3_unit(t1)), 1e-14);
    ck_assert_double_eq_tol(tb_vec3_length(tb_span_jet(span, span->extent).c1), 1, 1e-14);
    ck_assert_double_eq(first.station, 0);
    ck_assert_double_eq(last.station, tb_curve_length(curve));
    tb_curve_unref(curve);
}
END_TEST

START_TEST(natural_ends_have_no_curvature)
{
    TbCurve *curve = smooth(uneven, UNEVEN, NULL, NULL);

    ck_assert_double_le(tb_vec3_length(tb_curve_at(curve, 0).curvature), 1e-14);
    ck_assert_double_le(tb_vec3_length(tb_curve_at(curve, 1e9).curvature), 1e-13);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(two_knots_make_an_exact_straight)
{
    TbVec3 knots[2] = {{-431.7, 88.1, 12.9}, {118.3, -204.6, 377.7}};
    TbCurve *curve = smooth(knots, 2, NULL, NULL);
    const TbSpan *span = tb_curve_span(curve, 0);
    double length = tb_vec3_distance(knots[0], knots[1]);

    ck_assert_double_eq(tb_vec3_length(span->c[2]), 0);
    ck_assert_double_eq(tb_vec3_length(span->c[3]), 0);
    ck_assert_double_eq(tb_curve_length(curve), length);
    ck_assert_double_eq(tb_curve_at(curve, 0.37 * length).u, 0.37 * length);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(collinear_uneven_knots_stay_straight)
{
    TbVec3 from = {-431.7, 88.1, 12.9}, along = {0.36, -0.48, 0.8}, knots[5];
    double at[5] = {0, 0.9, 211.3, 214, 518.8};
    TbCurve *curve;

    for (int i = 0; i < 5; i++)
        knots[i] = tb_vec3_add_scaled(from, at[i], along);
    curve = smooth(knots, 5, &along, NULL);
    ck_assert_double_eq_tol(tb_curve_length(curve), 518.8, 1e-10);
    for (double s = 0; s < 518.8; s += 7.3)
        ck_assert_double_le(
            tb_vec3_distance(tb_curve_at(curve, s).point, tb_vec3_add_scaled(from, s, along)),
            1e-10);
    tb_curve_unref(curve);
}
END_TEST

/** Distance of a point from a line segment. */
static double
from_segment(TbVec3 p, TbVec3 a, TbVec3 b)
{
    TbVec3 ab = tb_vec3_sub(b, a);
    double k = tb_vec3_dot(tb_vec3_sub(p, a), ab) / tb_vec3_length2(ab);

    return tb_vec3_distance(p, tb_vec3_mix(a, b, fmin(1, fmax(0, k))));
}

static double
turn_of(TbVec3 a, TbVec3 b, TbVec3 c)
{
    TbVec3 u = tb_vec3_sub(b, a), v = tb_vec3_sub(c, b);

    return atan2(tb_vec3_length(tb_vec3_cross(u, v)), tb_vec3_dot(u, v));
}

/* The proof is in curve_smooth.c: a span strays from its chord by at most h sin(theta/2), however
 * uneven the chords are. Chords here differ by up to 1 : 250. */
START_TEST(uneven_knots_do_not_overshoot_the_stated_bound)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double largest = 0;

    gsl_rng_set(rng, 20417);
    for (int round = 0; round < 400; round++) {
        TbVec3 knots[9];
        TbCurve *curve = NULL;
        double theta = 0;

        wander(rng, knots, 9, 1.4);
        for (int i = 1; i < 8; i++)
            theta = fmax(theta, turn_of(knots[i - 1], knots[i], knots[i + 1]));
        curve = smooth(knots, 9, NULL, NULL);
        for (size_t i = 0; i < 8; i++) {
            const TbSpan *span = tb_curve_span(curve, i);

            for (int j = 1; j < 32; j++) {
                double off = from_segment(tb_span_jet(span, span->extent * j / 32).c, knots[i],
                                          knots[i + 1]);
                double bound = span->extent * sin(0.5 * theta);

                ck_assert_double_le(off, bound);
                largest = fmax(largest, off / bound);
            }
        }
        tb_curve_unref(curve);
    }
    ck_assert_double_ge(largest, 0.2); /* the bound is not idle */
    gsl_rng_free(rng);
}
END_TEST

/* ---- arc length ---- */

/** Slow second method: Romberg's table on the speed, 2^12 steps. */
static double
romberg(const TbSpan *span, double u0, double u1)
{
    double row[13] = {0};

    for (int k = 0; k <= 12; k++) {
        int steps = 1 << k;
        double h = (u1 - u0) / steps, sum = 0, last = row[0], four = 1;

        for (int i = 0; i <= steps; i++)
            sum +=
                (i == 0 || i == steps ? 0.5 : 1) * tb_vec3_length(tb_span_jet(span, u0 + i * h).c1);
        row[0] = h * sum;
        for (int j = 1; j <= k; j++) {
            double old = row[j];

            four *= 4;
            row[j] = row[j - 1] + (row[j - 1] - last) / (four - 1);
            last = old;
        }
    }
    return row[12];
}

START_TEST(arc_length_agrees_with_a_slow_quadrature_to_a_billionth)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 977);
    for (int round = 0; round < 12; round++) {
        TbVec3 knots[5];
        TbCurve *curve;
        double slow = 0;

        wander(rng, knots, 5, 1.1);
        curve = smooth(knots, 5, NULL, NULL);
        for (size_t i = 0; i < 4; i++) {
            const TbSpan *span = tb_curve_span(curve, i);
            double part = romberg(span, 0, 0.61 * span->extent);

            ck_assert_double_eq_tol(tb_span_arc(span, 0.61 * span->extent), part, 1e-9 * part);
            slow += romberg(span, 0, span->extent);
        }
        ck_assert_double_eq_tol(tb_curve_length(curve), slow, 1e-9 * slow);
        tb_curve_unref(curve);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_station_comes_back_from_its_place)
{
    TbVec3 t0 = {0.31, -0.87, 0.22};
    TbCurve *curve = smooth(uneven, UNEVEN, &t0, NULL);
    double length = tb_curve_length(curve);

    for (int i = 0; i <= 500; i++) {
        double s = length * i / 500;
        TbCurvePoint at = tb_curve_at(curve, s);
        TbCurvePoint back = tb_curve_in_span(curve, at.span, at.u);

        ck_assert_double_eq_tol(back.station, s, 1e-12 * length);
        ck_assert_double_le(tb_vec3_distance(back.point, at.point), 1e-11);
    }
    tb_curve_unref(curve);
}
END_TEST

START_TEST(curvature_is_the_tangents_turning_by_station)
{
    TbVec3 t0 = {0.31, -0.87, 0.22};
    TbCurve *curve = smooth(uneven, UNEVEN, &t0, NULL);
    double length = tb_curve_length(curve), step = 1e-4;

    for (int i = 1; i < 60; i++) {
        double s = length * i / 60;
        TbCurvePoint at = tb_curve_at(curve, s);
        TbVec3 change =
            tb_vec3_sub(tb_curve_at(curve, s + step).tangent, tb_curve_at(curve, s - step).tangent);

        ck_assert_double_le(tb_vec3_distance(tb_vec3_scale(change, 0.5 / step), at.curvature),
                            1e-6);
        ck_assert_double_eq_tol(tb_vec3_dot(at.curvature, at.tangent), 0, 1e-14);
    }
    tb_curve_unref(curve);
}
END_TEST

/* ---- bent paths ---- */

static const TbVec3 corners_f[] = {
    {0, 0, 0}, {120, 0, 0}, {200, 80, 0}, {200, 160, 60}, {300, 160, 60}};
static const double radii_f[] = {0, 50.8, 50.8, 50.8, 0};

START_TEST(bent_path_is_tangent_at_every_joint_and_touches_its_legs)
{
    TbCurve *curve = bent(corners_f, radii_f, 5);

    ck_assert_uint_eq(tb_curve_span_count(curve), 7);
    for (size_t i = 1; i < tb_curve_span_count(curve); i++) {
        const TbSpan *before = tb_curve_span(curve, i - 1), *after = tb_curve_span(curve, i);
        TbSpanJet a = tb_span_jet(before, before->extent), b = tb_span_jet(after, 0);

        ck_assert_double_le(tb_vec3_distance(a.c, b.c), 1e-12);
        ck_assert_double_le(tb_vec3_distance(a.c1, b.c1), 1e-14);
        ck_assert_double_eq_tol(tb_vec3_length(b.c1), 1, 1e-14);
    }
    ck_assert_double_le(tb_vec3_distance(tb_curve_at(curve, 1e9).point, corners_f[4]), 1e-12);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(arcs_have_their_radius_and_stations_without_rounding)
{
    TbCurve *curve = bent(corners_f, radii_f, 5);
    const TbSpan *arc = tb_curve_span(curve, 3);
    TbCurvePoint at = tb_curve_at(curve, arc->start + 0.371 * arc->length);

    ck_assert_int_eq(arc->kind, TB_SPAN_ARC);
    ck_assert_double_eq(arc->length, arc->extent);
    ck_assert_double_eq_tol(tb_vec3_length(at.curvature), 1 / 50.8, 1e-15);
    ck_assert_double_eq_tol(tb_vec3_distance(at.point, arc->c[0]), 50.8, 1e-12);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(a_corner_on_the_straight_is_no_bend)
{
    TbVec3 corners[4] = {{0, 0, 0}, {70, 0, 0}, {183.4, 0, 0}, {183.4, 95.1, 0}};
    double radii[4] = {0, 0, 31.7, 0};
    TbCurve *curve = bent(corners, radii, 4);
    TbBend bends[3];
    size_t used = 0;

    ck_assert_uint_eq(tb_curve_span_count(curve), 3);
    ck_assert_double_eq_tol(tb_curve_length(curve), 183.4 + 95.1 - 2 * 31.7 + 31.7 * M_PI / 2,
                            1e-12);
    ck_assert_int_eq(tb_curve_bends(corners, radii, 4, bends, &used, NULL), TB_OK);
    ck_assert_uint_eq(used, 2);
    ck_assert_double_eq_tol(bends[0].straight, 183.4 - 31.7, 1e-12);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(bends_that_just_touch_leave_no_straight_between)
{
    TbVec3 corners[4] = {{0, 0, 0}, {97.3, 0, 0}, {97.3, 87.4, 0}, {10.1, 87.4, 0}};
    double radii[4] = {0, 43.7, 43.7, 0};
    TbCurve *curve = bent(corners, radii, 4);

    ck_assert_uint_eq(tb_curve_span_count(curve), 4);
    ck_assert_int_eq(tb_curve_span(curve, 1)->kind, TB_SPAN_ARC);
    ck_assert_int_eq(tb_curve_span(curve, 2)->kind, TB_SPAN_ARC);
    tb_curve_unref(curve);
}
END_TEST

/* ---- moving and finding ---- */

START_TEST(a_moved_curve_is_the_curve_of_moved_knots)
{
    TbPose pose = tb_pose_compose(tb_pose_turn(tb_vec3(13, -8, 71), tb_vec3(0.3, -1.2, 0.7), 1.13),
                                  tb_pose_growth(tb_vec3(401.7, 33.9, -20.2), 1.01137));
    TbVec3 t0 = {0.31, -0.87, 0.22}, t0_moved = tb_pose_direction(pose, t0), knots[UNEVEN];
    TbCurve *curve = smooth(uneven, UNEVEN, &t0, NULL), *moved = tb_curve_moved(curve, pose);
    TbCurve *built;
    double length = tb_curve_length(curve);

    for (size_t i = 0; i < UNEVEN; i++)
        knots[i] = tb_pose_point(pose, uneven[i]);
    built = smooth(knots, UNEVEN, &t0_moved, NULL);
    ck_assert_double_eq_tol(tb_curve_length(moved), 1.01137 * length, 1e-12 * length);
    ck_assert_double_eq_tol(tb_curve_length(built), tb_curve_length(moved), 1e-11 * length);
    for (int i = 0; i <= 40; i++) {
        double s = 1.01137 * length * i / 40;
        TbCurvePoint a = tb_curve_at(moved, s), b = tb_curve_at(built, s);

        ck_assert_double_le(tb_vec3_distance(a.point, b.point), 1e-10);
        ck_assert_double_le(tb_vec3_distance(a.tangent, b.tangent), 1e-12);
        ck_assert_double_le(tb_vec3_distance(a.curvature, b.curvature), 1e-11);
    }
    tb_curve_unref(built);
    tb_curve_unref(moved);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(a_moved_arc_grows_its_radius)
{
    TbPose pose = tb_pose_growth(tb_vec3(401.7, 33.9, -20.2), 1.0093);
    TbCurve *curve = bent(corners_f, radii_f, 5), *moved = tb_curve_moved(curve, pose);
    double s = 0.53 * tb_curve_length(curve);

    ck_assert_double_eq_tol(tb_curve_span(moved, 1)->radius, 50.8 * 1.0093, 1e-12);
    ck_assert_double_le(tb_vec3_distance(tb_curve_at(moved, s * 1.0093).point,
                                         tb_pose_point(pose, tb_curve_at(curve, s).point)),
                        1e-11);
    tb_curve_unref(moved);
    tb_curve_unref(curve);
}
END_TEST

/** The smallest of 20,000 sampled distances. */
static double
sampled_distance(const TbCurve *curve, TbVec3 p)
{
    double least = INFINITY;

    for (size_t i = 0; i < tb_curve_span_count(curve); i++) {
        const TbSpan *span = tb_curve_span(curve, i);

        for (int j = 0; j <= 4000; j++)
            least = fmin(least, tb_vec3_distance(tb_span_jet(span, span->extent * j / 4000).c, p));
    }
    return least;
}

START_TEST(the_nearest_place_is_never_beaten_by_samples)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbCurve *curves[2] = {smooth(uneven, UNEVEN, NULL, NULL), bent(corners_f, radii_f, 5)};

    gsl_rng_set(rng, 5501);
    for (int i = 0; i < 2; i++)
        for (int round = 0; round < 60; round++) {
            TbVec3 p = tb_vec3_add_scaled(tb_vec3(140, 30, 190), between(rng, 0, 400),
                                          random_direction(rng));
            double s = tb_curve_nearest(curves[i], p);
            double d = tb_vec3_distance(tb_curve_at(curves[i], s).point, p);
            double slow = sampled_distance(curves[i], p);

            ck_assert_double_le(d, slow + 1e-10);
            ck_assert_double_ge(d, slow - 0.02); /* samples are at most 0.1 mm apart */
        }
    tb_curve_unref(curves[1]);
    tb_curve_unref(curves[0]);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_point_of_the_curve_finds_its_own_station)
{
    TbCurve *curves[2] = {smooth(uneven, UNEVEN, NULL, NULL), bent(corners_f, radii_f, 5)};

    for (int i = 0; i < 2; i++) {
        double length = tb_curve_length(curves[i]);

        for (int j = 0; j <= 97; j++) {
            double s = length * j / 97;

            ck_assert_double_eq_tol(tb_curve_nearest(curves[i], tb_curve_at(curves[i], s).point), s,
                                    1e-9 * length);
        }
    }
    tb_curve_unref(curves[1]);
    tb_curve_unref(curves[0]);
}
END_TEST

/* ---- what is refused ---- */

static void
refused_smooth(const TbVec3 *knots, size_t count, TbStatus status, const char *text)
{
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_curve_smooth_new(knots, count, NULL, NULL, &curve, &fault), status);
    ck_assert_ptr_null(curve);
    ck_assert_str_eq(fault.text, text);
}

START_TEST(one_knot_is_refused)
{
    refused_smooth(uneven, 1, TB_E_RANGE, "path has 1 knot, 2 are needed");
}
END_TEST

START_TEST(two_knots_in_one_place_are_refused_by_number)
{
    TbVec3 knots[4] = {{0, 0, 0}, {40, 3, 0}, {40, 3, 0.0000075}, {80, 0, 0}};

    refused_smooth(knots, 4, TB_E_DEGENERATE, "knots 2 and 3 are in one place, 7.5e-06 mm apart");
}
END_TEST

START_TEST(a_knot_that_is_no_number_is_refused)
{
    TbVec3 knots[3] = {{0, 0, 0}, {40, NAN, 0}, {80, 0, 0}};

    refused_smooth(knots, 3, TB_E_RANGE, "knot 2: a coordinate is not a finite number");
    knots[1].y = 0;
    knots[2].z = HUGE_VAL; /* what 1e400 is read as */
    refused_smooth(knots, 3, TB_E_RANGE, "knot 3: a coordinate is not a finite number");
}
END_TEST

START_TEST(a_knot_beyond_the_bay_is_refused)
{
    TbVec3 knots[2] = {{0, 0, 0}, {40, -10000.25, 0}};

    refused_smooth(knots, 2, TB_E_RANGE, "knot 2: coordinate 10000.25 mm is beyond 10000 mm");
}
END_TEST

START_TEST(a_path_that_doubles_back_at_a_knot_is_refused)
{
    TbVec3 knots[4] = {{0, 0, 0}, {90, 0, 0}, {180, 0, 0}, {120, 0.5, 0}};
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_curve_smooth_new(knots, 4, NULL, NULL, &curve, &fault), TB_E_DEGENERATE);
    ck_assert_ptr_nonnull(strstr(fault.text, "knot 3: the path doubles back, it turns 179.5"));
}
END_TEST

START_TEST(a_path_that_stands_still_is_refused)
{
    TbVec3 knots[3] = {{0, 0, 0}, {100, 0, 0}, {2, 0, 1.9}}; /* turns 178.89 degrees */
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_curve_smooth_new(knots, 3, NULL, NULL, &curve, &fault), TB_E_DEGENERATE);
    ck_assert_ptr_nonnull(strstr(fault.text, "stands still"));
    ck_assert_ptr_null(curve);
}
END_TEST

START_TEST(an_end_tangent_against_the_path_is_refused)
{
    TbVec3 knots[3] = {{0, 0, 0}, {100, 0, 0}, {200, 40, 0}}, back = {-3, 0, 0.001};
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_curve_smooth_new(knots, 3, &back, NULL, &curve, &fault), TB_E_DEGENERATE);
    ck_assert_ptr_nonnull(strstr(fault.text, "knot 1: the path doubles back"));
    back = tb_vec3(0, 0, 0);
    ck_assert_int_eq(tb_curve_smooth_new(knots, 3, NULL, &back, &curve, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "the path's end tangent has no direction");
    back = tb_vec3(NAN, 0, 1);
    ck_assert_int_eq(tb_curve_smooth_new(knots, 3, &back, NULL, &curve, &fault), TB_E_RANGE);
}
END_TEST

static void
refused_bent(
    const TbVec3 *corners, const double *radii, size_t n, TbStatus status, const char *text)
{
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_curve_bent_new(corners, radii, n, &curve, &fault), status);
    ck_assert_ptr_null(curve);
    ck_assert_str_eq(fault.text, text);
}

START_TEST(bends_that_do_not_fit_name_the_leg_and_both_lengths)
{
    TbVec3 corners[4] = {{0, 0, 0}, {150, 0, 0}, {150, 0, 120}, {150, 90, 120}};
    double radii[4] = {0, 76.2, 76.2, 0};

    refused_bent(corners, radii, 4, TB_E_DEGENERATE,
                 "leg 2 is 120 mm, its bends need 152.4 mm (corners 2 to 3)");
}
END_TEST

START_TEST(bad_radii_are_refused_by_corner)
{
    TbVec3 corners[3] = {{0, 0, 0}, {150, 0, 0}, {150, 0, 120}};
    double radii[3] = {0, 0, 0};

    refused_bent(corners, radii, 3, TB_E_RANGE,
                 "corner 2: bend radius 0 mm where the path turns 90 degrees");
    radii[1] = -3.5;
    refused_bent(corners, radii, 3, TB_E_RANGE, "corner 2: bend radius -3.5 mm is out of range");
    radii[1] = NAN;
    refused_bent(corners, radii, 3, TB_E_RANGE, "corner 2: the bend radius is not a finite number");
    radii[1] = 1e9;
    refused_bent(corners, radii, 3, TB_E_RANGE,
                 "corner 2: bend radius 1000000000 mm is out of range");
}
END_TEST

START_TEST(corners_in_one_place_or_doubling_back_are_refused)
{
    TbVec3 corners[3] = {{0, 0, 0}, {150, 0, 0}, {20, 0, 0}};
    double radii[3] = {0, 20, 0};

    refused_bent(corners, radii, 3, TB_E_DEGENERATE,
                 "corner 2: the path doubles back, it turns 180 degrees");
    corners[2] = corners[1];
    refused_bent(corners, radii, 3, TB_E_DEGENERATE,
                 "corners 2 and 3 are in one place, 0 mm apart");
}
END_TEST

START_TEST(every_failed_allocation_is_reported_and_nothing_is_left)
{
    long n = 0;
    TbStatus status = TB_E_MEMORY;

    while (status != TB_OK) {
        TbCurve *a = NULL, *b = NULL, *moved;
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = tb_curve_smooth_new(uneven, UNEVEN, NULL, NULL, &a, &fault);
        if (status == TB_OK)
            status = tb_curve_bent_new(corners_f, radii_f, 5, &b, &fault);
        moved = status == TB_OK ? tb_curve_moved(b, tb_pose_shift(tb_vec3(1, 2, 3))) : NULL;
        tb_mem_fail_at(0);
        if (status == TB_OK && moved == NULL)
            status = TB_E_MEMORY;
        ck_assert(status == TB_OK || status == TB_E_MEMORY);
        tb_curve_unref(moved);
        tb_curve_unref(b);
        tb_curve_unref(a);
    }
    ck_assert_int_ge(n, 8); /* three for the smooth one, three for the bent one, one to move */
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/curve");
    TCase *tc = tcase_create("smooth");

    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, point_tangent_and_second_derivative_agree_at_every_knot);
    tcase_add_test(tc, knots_are_met_exactly);
    tcase_add_test(tc, clamped_ends_run_along_the_given_tangents_at_unit_speed);
    tcase_add_test(tc, natural_ends_have_no_curvature);
    tcase_add_test(tc, two_knots_make_an_exact_straight);
    tcase_add_test(tc, collinear_uneven_knots_stay_straight);
    tcase_add_test(tc, uneven_knots_do_not_overshoot_the_stated_bound);
    suite_add_tcase(suite, tc);
    tc = tcase_create("arc length");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, arc_length_agrees_with_a_slow_quadrature_to_a_billionth);
    tcase_add_test(tc, a_station_comes_back_from_its_place);
    tcase_add_test(tc, curvature_is_the_tangents_turning_by_station);
    suite_add_tcase(suite, tc);
    tc = tcase_create("bent");
    tcase_add_test(tc, bent_path_is_tangent_at_every_joint_and_touches_its_legs);
    tcase_add_test(tc, arcs_have_their_radius_and_stations_without_rounding);
    tcase_add_test(tc, a_corner_on_the_straight_is_no_bend);
    tcase_add_test(tc, bends_that_just_touch_leave_no_straight_between);
    suite_add_tcase(suite, tc);
    tc = tcase_create("moved and nearest");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, a_moved_curve_is_the_curve_of_moved_knots);
    tcase_add_test(tc, a_moved_arc_grows_its_radius);
    tcase_add_test(tc, the_nearest_place_is_never_beaten_by_samples);
    tcase_add_test(tc, a_point_of_the_curve_finds_its_own_station);
    suite_add_tcase(suite, tc);
    tc = tcase_create("refused");
    tcase_add_test(tc, one_knot_is_refused);
    tcase_add_test(tc, two_knots_in_one_place_are_refused_by_number);
    tcase_add_test(tc, a_knot_that_is_no_number_is_refused);
    tcase_add_test(tc, a_knot_beyond_the_bay_is_refused);
    tcase_add_test(tc, a_path_that_doubles_back_at_a_knot_is_refused);
    tcase_add_test(tc, a_path_that_stands_still_is_refused);
    tcase_add_test(tc, an_end_tangent_against_the_path_is_refused);
    tcase_add_test(tc, bends_that_do_not_fit_name_the_leg_and_both_lengths);
    tcase_add_test(tc, bad_radii_are_refused_by_corner);
    tcase_add_test(tc, corners_in_one_place_or_doubling_back_are_refused);
    tcase_add_test(tc, every_failed_allocation_is_reported_and_nothing_is_left);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
