/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Paths, frames and volumes against published values and closed forms. Marks beside the numbers:
 * [C] printed in the source named, [K] computed from the closed form named, in double precision.
 */

#include "geom/sweep.h"
#include "tap.h"

#include <math.h>

#define DEGREE (M_PI / 180)

/* ---- frames ----
 *
 * Wang, Jüttler, Zheng, Liu, "Computation of rotation minimizing frames", ACM Trans. Graph. 27(1),
 * 2008, article 2, doi 10.1145/1330511.1330513: double reflection has a global error of fourth
 * order [C]. On a helix (r cos t, r sin t, h t) the torsion is h / (r^2 + h^2), so a frame that
 * starts on the principal normal ends turned back by h T / sqrt(r^2 + h^2) [K]. */

typedef struct Helix {
    double r, h, turned; /**< deg, after one turn [K] */
    TbVec3 end;          /**< where the frame's first axis ends [K] */
    double error[5];     /**< rad, for 8, 16, 32, 64, 128 steps [K] */
} Helix;

static const Helix helices[] = {
    {50,
     10,
     70.601809,
     {-0.33213136, 0.18498324, -0.92491619},
     {2.441e-5, 1.510e-6, 9.415e-8, 5.881e-9, 3.675e-10}},
    {40,
     30,
     216.000000,
     {0.80901699, -0.35267115, 0.47022820},
     {4.598e-4, 2.870e-5, 1.793e-6, 1.121e-7, 7.004e-9}},
};

static TbVec3
helix_point(const Helix *x, double t)
{
    return tb_vec3(x->r * cos(t), x->r * sin(t), x->h * t);
}

static TbVec3
helix_tangent(const Helix *x, double t)
{
    return tb_vec3_unit(tb_vec3(-x->r * sin(t), x->r * cos(t), x->h));
}

/** Angle from the Frenet normal at the end to the carried axis, about the tangent, rad. */
static double
carried_angle(const Helix *x, int steps, TbVec3 *axis)
{
    TbVec3 up = {-1, 0, 0}; /* the principal normal at t = 0 */
    TbFrame f = tb_frame_start(helix_tangent(x, 0), &up);
    TbVec3 normal = {-1, 0, 0}, binormal;

    for (int i = 1; i <= steps; i++) {
        double t0 = 2 * M_PI * (i - 1) / steps, t1 = 2 * M_PI * i / steps;

        f = tb_frame_carry(f, helix_point(x, t0), helix_point(x, t1), helix_tangent(x, t1));
    }
    binormal = tb_vec3_cross(f.t, normal);
    *axis = f.h;
    return atan2(tb_vec3_dot(f.h, binormal), tb_vec3_dot(f.h, normal));
}

START_TEST(a_helix_turns_the_frame_by_its_total_torsion)
{
    const Helix *x = &helices[_i];
    TbVec3 axis;
    double angle = -carried_angle(x, 1024, &axis);

    if (angle < 0)
        angle += 2 * M_PI;
    ck_assert_double_eq_tol(angle, x->turned * DEGREE, 1e-8);
    ck_assert_double_eq_tol(angle, 2 * M_PI * x->h / hypot(x->r, x->h), 1e-11);
    ck_assert_double_le(tb_vec3_distance(axis, x->end), 1e-8);
}
END_TEST

START_TEST(halving_the_step_divides_the_frames_error_by_sixteen)
{
    const Helix *x = &helices[_i];
    double last = 0;

    for (int i = 0; i < 5; i++) {
        TbVec3 axis;
        double want = 2 * M_PI * x->h / hypot(x->r, x->h);
        double error = fabs(remainder(carried_angle(x, 8 << i, &axis) + want, 2 * M_PI));

        ck_assert_double_eq_tol(error, x->error[i], 1e-3 * x->error[i]);
        if (i > 0) {
            ck_assert_double_ge(last / error, 15);
            ck_assert_double_le(last / error, 17);
        }
        last = error;
    }
}
END_TEST

/* The total torsion of a closed curve on a sphere is zero (a classical theorem), so its frame comes
 * home unturned: the sphere's normal N = p / R has dN/ds = T / R, so it is carried itself [K]. */
START_TEST(a_closed_curve_on_a_sphere_brings_its_frame_home)
{
    enum { STEPS = 4096 };
    TbFrame first = {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}}, f = first;
    TbVec3 p[STEPS], up = {0.3, 0.1, 1};
    double radius = 120;

    for (int i = 0; i < STEPS; i++) {
        double a = 2 * M_PI * i / STEPS, z = 0.6 * sin(2 * a), r = sqrt(1 - z * z);

        p[i] = tb_vec3_scale(tb_vec3(r * cos(a), r * sin(a), z), radius);
    }
    for (int i = 0; i <= STEPS; i++) {
        double a = 2 * M_PI * i / STEPS, z = 0.6 * sin(2 * a), dz = 1.2 * cos(2 * a);
        double r = sqrt(1 - z * z), dr = -z * dz / r;
        TbVec3 t = tb_vec3_unit(tb_vec3(dr * cos(a) - r * sin(a), dr * sin(a) + r * cos(a), dz));

        if (i == 0)
            f = first = tb_frame_start(t, &up);
        else
            f = tb_frame_carry(f, p[i - 1], p[i % STEPS], t);
    }
    ck_assert_double_le(tb_vec3_distance(f.h, first.h), 1e-9);
}
END_TEST

/* A sweep's own frame on a spline through a helix: the spline is another curve, so only what its
 * distance from the helix allows. 96 knots a turn leave 1e-6 rad. */
START_TEST(a_sweep_along_a_helix_turns_as_the_helix_does)
{
    const Helix *x = &helices[_i];
    enum { KNOTS = 97 };
    TbVec3 knots[KNOTS], t0 = helix_tangent(x, 0), t1 = helix_tangent(x, 2 * M_PI);
    TbVec3 up = {-1, 0, 0};
    TbSectionRow row = {.section = tb_section_superellipse(12.3, 9.1, 2)};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;
    TbSweepDef def = {NULL, &row, 1, &up};

    for (int i = 0; i < KNOTS; i++)
        knots[i] = helix_point(x, 2 * M_PI * i / (KNOTS - 1));
    ck_assert_int_eq(tb_curve_smooth_new(knots, KNOTS, &t0, &t1, &curve, NULL), TB_OK);
    /* arc length T sqrt(r^2 + h^2) [K] */
    ck_assert_double_eq_tol(tb_curve_length(curve), 2 * M_PI * hypot(x->r, x->h), 1e-4);
    def.curve = curve;
    ck_assert_int_eq(tb_sweep_new(&def, &sweep, NULL), TB_OK);
    ck_assert_double_le(tb_vec3_distance(tb_sweep_at(sweep, 1e9).frame.h, x->end), 2e-6);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* ---- volumes ---- */

static TbCurve *
bent(const TbVec3 *corners, const double *radii, size_t count)
{
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_curve_bent_new(corners, radii, count, &curve, &fault) == TB_OK, "%s",
                  fault.text);
    return curve;
}

/** One bend without straights. */
static TbCurve *
bend(double radius, double degrees)
{
    double angle = degrees * DEGREE, leg = radius * tan(angle / 2);
    TbVec3 corners[3] = {{-leg, 0, 0}, {0, 0, 0}, {leg * cos(angle), leg * sin(angle), 0}};
    double radii[3] = {0, radius, 0};

    return bent(corners, radii, 3);
}

static TbSweepVolume
volume_along(TbCurve *curve, TbSection section, double wall)
{
    TbSectionRow row = {.section = section};
    TbSweepDef def = {curve, &row, 1, NULL};
    TbSweep *sweep = NULL;
    TbSweepVolume v = {0};

    row.section.wall = wall;
    ck_assert_int_eq(tb_sweep_new(&def, &sweep, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_volume(sweep, &v, NULL), TB_OK);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
    return v;
}

static TbSection
circle(double diameter)
{
    return tb_section_superellipse(diameter, diameter, 2);
}

/* Theorem of Pappus and Guldin, V = A times the way of the centroid [K]. */
START_TEST(swept_volumes_follow_pappus_and_guldin)
{
    double v;

    v = volume_along(bend(75, 90), circle(50), 0).inner;
    ck_assert_double_eq_tol(v, 231318.8532, 1e-4);
    v = volume_along(bend(60, 45), circle(63.5), 0).inner;
    ck_assert_double_eq_tol(v, 149237.6713, 1e-4);
    v = volume_along(bend(90, 60), tb_section_rounded(60, 40, 20), 0).inner;
    ck_assert_double_eq_tol(v, 193833.4765, 1e-4);
    v = volume_along(bend(76.2, 90), circle(50.8 - 3), 1.5).wall;
    ck_assert_double_eq_tol(v, 27807.5611, 1e-4);
}
END_TEST

START_TEST(a_whole_torus_has_two_pi_squared_r_r_squared)
{
    TbVec3 corners[6] = {{0, 75, 0},    {75, 75, 0},  {75, -75, 0},
                         {-75, -75, 0}, {-75, 75, 0}, {0, 75, 0}};
    double radii[6] = {0, 75, 75, 75, 75, 0};
    TbSweepVolume v = volume_along(bent(corners, radii, 6), circle(50), 0);

    ck_assert_double_eq_tol(v.inner, 925275.4126, 1e-4);
    ck_assert_double_le(tb_vec3_length(v.inner_centroid), 1e-10);
}
END_TEST

/* Loft of ellipses whose half axes run evenly: V = pi L ((a1 b1 + a2 b2) / 3 + (a1 b2 + a2 b1) / 6)
 * [K, by integration]. Our law makes it where both sections hold their size: two given sections
 * have the secant as slope on both sides, so the cubics of width and height are straight lines. */
static const struct {
    double a1, b1, a2, b2, length, volume, area[5];
} lofts[] = {
    {30,
     20,
     38.1,
     38.1,
     200,
     629179.3271,
     {1884.9556, 2467.44810, 3107.5142, 3805.15396, 4560.3673}},
    {25, 25, 35, 35, 100, 285361.3327, {1963.4954, 2375.82944, 2827.4334, 3318.30724, 3848.4510}},
};

START_TEST(an_even_loft_has_the_areas_and_volume_of_its_closed_form)
{
    TbVec3 ends[2] = {{0, 0, 0}, {lofts[_i].length, 0, 0}};
    double radii[2] = {0, 0};
    TbSectionRow rows[2] = {
        {.section = tb_section_superellipse(2 * lofts[_i].a1, 2 * lofts[_i].b1, 2)},
        {.section = tb_section_superellipse(2 * lofts[_i].a2, 2 * lofts[_i].b2, 2)},
    };
    TbCurve *curve = bent(ends, radii, 2);
    TbSweepDef def = {curve, rows, 2, NULL};
    TbSweep *sweep = NULL;
    TbSweepVolume v = {0};

    rows[1].from_end = true;
    rows[0].holds_size = rows[1].holds_size = true;
    ck_assert_int_eq(tb_sweep_new(&def, &sweep, NULL), TB_OK);
    for (int i = 0; i <= 4; i++)
        ck_assert_double_eq_tol(tb_sweep_at(sweep, lofts[_i].length * i / 4).slice.area,
                                lofts[_i].area[i], 1e-4);
    ck_assert_int_eq(tb_sweep_volume(sweep, &v, NULL), TB_OK);
    ck_assert_double_eq_tol(v.inner, lofts[_i].volume, 1e-4);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* Diameters of equal area along the first loft, and the cone of equal area growth from end to end:
 * 2 atan((d2 - d1) / (2 L)) [K]. */
START_TEST(the_loft_has_the_equal_area_diameters_of_its_closed_form)
{
    static const double want[5] = {48.98979, 56.05045, 62.90159, 69.60512, 76.20000};
    double d0 = sqrt(4 * 30 * 20.0), d1 = 76.2, sum = 0;

    ck_assert_double_eq_tol(2 * atan((d1 - d0) / 400) / DEGREE, 7.783159, 1e-6);
    for (int i = 0; i <= 4; i++) {
        double a = 30 + 8.1 * i / 4, b = 20 + 18.1 * i / 4, area = M_PI * a * b;
        double growth = M_PI * (a * 18.1 + b * 8.1) / 200;

        ck_assert_double_eq_tol(sqrt(4 * area / M_PI), want[i], 1e-5);
        /* the local cone: its slope is that of the equal-area radius, sampled */
        sum += (i == 0 || i == 4 ? 0.5 : 1) * tan(tb_cone_angle(area, growth) / 2) * 50;
    }
    /* integrated over the loft it makes the radius' growth; trapezes of a smooth slope */
    ck_assert_double_eq_tol(2 * sum, d1 - d0, 0.02);
}
END_TEST

/* ---- bender's tables ----
 *
 * Bend angle acos(u . v), tangent length R tan(angle / 2), rotation the signed angle of the bends'
 * planes about the leg, developed length the straights plus R times the angles. The elements Y
 * (transport), B (rotation), C (bend) are those of the trade [C]; points of case a [C], all other
 * numbers [K]. */

static const struct {
    size_t count;
    TbVec3 point[5];
    double radius;
    double straight[4], rotation[3], angle[3]; /**< mm, deg, deg */
    double developed;
} tables[] = {
    {4,
     {{38.5202, -14.0264, 0},
      {45.3142, -14.0264, 0},
      {45.3142, -17.5214, 0.9654},
      {48.6822, -17.5214, 0.9654}},
     1,
     {5.794, 1.625882, 2.368},
     {0, 180},
     {90, 90},
     12.929475},
    {4,
     {{0, 0, 0}, {100, 0, 0}, {100, 100, 0}, {100, 100, 100}},
     40,
     {60, 20, 60},
     {0, 90},
     {90, 90},
     265.663706},
    {4,
     {{0, 0, 0}, {100, 0, 0}, {100, 100, 0}, {100, 100, -100}},
     40,
     {60, 20, 60},
     {0, -90},
     {90, 90},
     265.663706},
    {4,
     {{0, 0, 0}, {100, 0, 0}, {100, 100, 0}, {0, 100, 0}},
     40,
     {60, 20, 60},
     {0, 0},
     {90, 90},
     265.663706},
    {5,
     {{0, 0, 0}, {120, 0, 0}, {200, 80, 0}, {200, 160, 60}, {300, 160, 60}},
     50.8,
     {98.957951, 65.339500, 22.444464, 49.200000},
     {0, 46.686143, 149.036243},
     {45, 55.550098, 90},
     404.888826},
};
enum { TABLES = sizeof tables / sizeof tables[0] };

START_TEST(the_benders_table_is_that_of_the_closed_form)
{
    double radii[5], developed = 0;
    size_t n = tables[_i].count, used = 0;
    TbBend bends[4];
    TbCurve *curve;

    for (int i = 0; i < 5; i++)
        radii[i] = tables[_i].radius;
    ck_assert_uint_eq(tb_curve_max_bends(n), n - 1);
    ck_assert_int_eq(tb_curve_bends(tables[_i].point, radii, n, bends, &used, NULL), TB_OK);
    ck_assert_uint_eq(used, n - 1);
    for (size_t i = 0; i < used; i++) {
        ck_assert_double_eq_tol(bends[i].straight, tables[_i].straight[i], 1e-6);
        developed += bends[i].straight + bends[i].radius * bends[i].angle;
        if (i + 1 == used)
            continue;
        ck_assert_double_eq_tol(bends[i].angle / DEGREE, tables[_i].angle[i], 1e-6);
        ck_assert_double_eq_tol(remainder(bends[i].rotation / DEGREE - tables[_i].rotation[i], 360),
                                0, 1e-6);
        ck_assert_double_eq(bends[i].radius, tables[_i].radius);
    }
    ck_assert_double_eq(bends[used - 1].angle, 0);
    ck_assert_double_eq_tol(developed, tables[_i].developed, 1e-6);
    curve = bent(tables[_i].point, radii, n);
    ck_assert_double_eq_tol(tb_curve_length(curve), tables[_i].developed, 1e-6);
    tb_curve_unref(curve);
}
END_TEST

/** Bend a straight rod by the table, from a frame at the origin. */
static void
bend_by_table(const TbBend bends[], size_t used, TbVec3 point[])
{
    TbFrame f = tb_frame_start(tb_vec3(1, 0, 0), NULL);
    TbVec3 p = {0, 0, 0};

    point[0] = p;
    for (size_t i = 0; i < used; i++) {
        double taken = bends[i].radius * tan(bends[i].angle / 2);

        /* the corner ahead: what this bend takes off the leg belongs to it */
        p = tb_vec3_add_scaled(p, bends[i].straight + taken, f.t);
        point[i + 1] = p;
        f = tb_frame_turned(f, bends[i].rotation);
        f = tb_frame_swing(f, tb_vec3_add_scaled(tb_vec3_scale(f.t, cos(bends[i].angle)),
                                                 sin(bends[i].angle), f.h));
        p = tb_vec3_add_scaled(p, taken, f.t);
    }
}

START_TEST(bending_by_the_table_makes_the_tube_again)
{
    double radii[5];
    size_t n = tables[_i].count, used = 0;
    TbBend bends[4];
    TbVec3 made[5];

    for (int i = 0; i < 5; i++)
        radii[i] = tables[_i].radius;
    ck_assert_int_eq(tb_curve_bends(tables[_i].point, radii, n, bends, &used, NULL), TB_OK);
    bend_by_table(bends, used, made);
    /* up to a rigid motion: all distances between corners, and the sense of every four */
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < i; j++)
            ck_assert_double_eq_tol(tb_vec3_distance(made[i], made[j]),
                                    tb_vec3_distance(tables[_i].point[i], tables[_i].point[j]),
                                    1e-10);
    for (size_t i = 3; i < n; i++) {
        const TbVec3 *p = &tables[_i].point[i - 3], *q = &made[i - 3];
        TbVec3 a = tb_vec3_cross(tb_vec3_sub(p[1], p[0]), tb_vec3_sub(p[2], p[1]));
        TbVec3 b = tb_vec3_cross(tb_vec3_sub(q[1], q[0]), tb_vec3_sub(q[2], q[1]));

        ck_assert_double_eq_tol(tb_vec3_dot(a, tb_vec3_sub(p[3], p[2])),
                                tb_vec3_dot(b, tb_vec3_sub(q[3], q[2])), 1e-6);
    }
}
END_TEST

/* Case g [K]: leg 2 is 120 mm long and its two bends take 76.2 mm each. */
START_TEST(bends_that_overlap_are_listed_and_refused)
{
    TbVec3 point[4] = {{0, 0, 0}, {150, 0, 0}, {150, 0, 120}, {150, 90, 120}};
    double radii[4] = {0, 76.2, 76.2, 0}, straight[3] = {73.8, -32.4, 13.8};
    TbBend bends[3];
    size_t used = 0;
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_curve_bends(point, radii, 4, bends, &used, NULL), TB_OK);
    ck_assert_uint_eq(used, 3);
    for (int i = 0; i < 3; i++)
        ck_assert_double_eq_tol(bends[i].straight, straight[i], 1e-9);
    ck_assert_double_eq_tol(bends[1].rotation, -90 * DEGREE, 1e-12);
    ck_assert_int_eq(tb_curve_bent_new(point, radii, 4, &curve, &fault), TB_E_DEGENERATE);
    ck_assert_ptr_null(curve);
    ck_assert_str_eq(fault.text, "leg 2 is 120 mm, its bends need 152.4 mm (corners 2 to 3)");
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/sweep_values");
    TCase *tc = tcase_create("frames");

    tcase_set_timeout(tc, 60);
    tcase_add_loop_test(tc, a_helix_turns_the_frame_by_its_total_torsion, 0, 2);
    tcase_add_loop_test(tc, halving_the_step_divides_the_frames_error_by_sixteen, 0, 2);
    tcase_add_test(tc, a_closed_curve_on_a_sphere_brings_its_frame_home);
    tcase_add_loop_test(tc, a_sweep_along_a_helix_turns_as_the_helix_does, 0, 2);
    suite_add_tcase(suite, tc);
    tc = tcase_create("volumes");
    tcase_add_test(tc, swept_volumes_follow_pappus_and_guldin);
    tcase_add_test(tc, a_whole_torus_has_two_pi_squared_r_r_squared);
    tcase_add_loop_test(tc, an_even_loft_has_the_areas_and_volume_of_its_closed_form, 0, 2);
    tcase_add_test(tc, the_loft_has_the_equal_area_diameters_of_its_closed_form);
    suite_add_tcase(suite, tc);
    tc = tcase_create("bends");
    tcase_add_loop_test(tc, the_benders_table_is_that_of_the_closed_form, 0, TABLES);
    tcase_add_loop_test(tc, bending_by_the_table_makes_the_tube_again, 0, TABLES);
    tcase_add_test(tc, bends_that_overlap_are_listed_and_refused);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
