/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/section.h"

#include "section_scenes.h"
#include "tap.h"

#include <gsl/gsl_sf_gamma.h>

static const double exponents[] = {1.05, 1.31, 1.97, 2, 2.6, 4.3, 8.7, 23, 50};
enum { EXPONENTS = sizeof exponents / sizeof exponents[0] };

static void
near(double got, double want, double relative)
{
    ck_assert_double_eq_tol(got, want, relative * fabs(want));
}

/* ---- areas and perimeters ---- */

/** The integral of (1 - x^n)^(1/n) over 0 to 1 is B(1/n, 1 + 1/n)/n. */
START_TEST(superellipse_area_is_the_beta_function)
{
    double n = exponents[_i];

    near(tb_section_area(tb_section_superellipse(61.4, 43.7, n)),
         61.4 * 43.7 * gsl_sf_beta(1 / n, 1 + 1 / n) / n, 1e-13);
}
END_TEST

/** Equal steps of the parameter: the trapezoid rule of a periodic function is exact to rounding. */
static double
ellipse_perimeter(double a, double b)
{
    double sum = 0;

    for (int i = 0; i < 4000; i++)
        sum += hypot(a * sin(i * M_PI / 2000), b * cos(i * M_PI / 2000));
    return sum * M_PI / 2000;
}

START_TEST(ellipse_perimeter_agrees_with_the_trapezoid_rule)
{
    near(tb_section_perimeter(tb_section_superellipse(61.4, 43.7, 2)),
         ellipse_perimeter(30.7, 21.85), 1e-14);
    near(tb_section_perimeter(tb_section_superellipse(17.3, 138, 2)), ellipse_perimeter(8.65, 69),
         1e-14);
    near(tb_section_perimeter(tb_section_superellipse(43.7, 43.7, 2)), M_PI * 43.7, 1e-15);
}
END_TEST

START_TEST(perimeter_of_a_sliver_is_twice_its_width)
{
    near(tb_section_perimeter(tb_section_superellipse(1987, 0.02, 2)), 2 * 1987, 1e-8);
}
END_TEST

/** With x = a cos^(2/n), y = b sin^(2/n) and both ends graded: brute force, thousands of chords. */
static double
chords_of_superellipse(double a, double b, double n, int cells)
{
    double sum = 0, x0 = a, y0 = 0;

    for (int i = 1; i <= cells; i++) {
        double u = 8.5 * (2.0 * i / cells - 1);
        double zeta = sinh(u);
        double x = i == cells ? 0 : a * pow(1 / (1 + exp(zeta)), 1 / n);
        double y = i == cells ? b : b * pow(1 / (1 + exp(-zeta)), 1 / n);

        sum += hypot(x - x0, y - y0);
        x0 = x;
        y0 = y;
    }
    return 4 * sum;
}

START_TEST(superellipse_perimeter_agrees_with_chords)
{
    double n = exponents[_i];
    double coarse = chords_of_superellipse(30.7, 11.9, n, 20000);
    double fine = chords_of_superellipse(30.7, 11.9, n, 40000);

    /* chords fall short by a square of the step */
    near(tb_section_perimeter(tb_section_superellipse(61.4, 23.8, n)), fine + (fine - coarse) / 3,
         1e-10);
}
END_TEST

START_TEST(rounded_area_and_perimeter_count_every_corner)
{
    TbSection s = {.kind = TB_SECTION_ROUNDED,
                   .half = {41.3, 17.9, 22.7, 13.1},
                   .corner = {3.7, 11.9, 0.8, 20.3}};
    double r = 3.7 + 11.9 + 0.8 + 20.3;
    double rr = 3.7 * 3.7 + 11.9 * 11.9 + 0.8 * 0.8 + 20.3 * 20.3;

    near(tb_section_area(s), 59.2 * 35.8 - (1 - M_PI / 4) * rr, 1e-14);
    near(tb_section_perimeter(s), 2 * (59.2 + 35.8) - (2 - M_PI / 2) * r, 1e-14);
}
END_TEST

START_TEST(stadium_and_circle_are_limits_of_the_rounded_rectangle)
{
    TbSection stadium = tb_section_rounded(83.1, 41.7, 41.7 / 2);
    TbSection circle = tb_section_rounded(41.7, 41.7, 41.7 / 2);
    double r = 41.7 / 2;

    near(tb_section_area(stadium), M_PI * r * r + 2 * r * (83.1 - 41.7), 1e-14);
    near(tb_section_perimeter(stadium), 2 * M_PI * r + 2 * (83.1 - 41.7), 1e-14);
    near(tb_section_area(circle), M_PI * r * r, 1e-14);
    near(tb_section_perimeter(circle), 2 * M_PI * r, 1e-14);
    near(tb_section_hydraulic_diameter(circle), 41.7, 1e-14);
}
END_TEST

START_TEST(d_shape_of_four_ellipse_quarters_adds_up)
{
    TbSection s = tb_section_superellipse(60, 40, 2);
    double e[4] = {41.3, 17.9, 22.7, 13.1};
    double area = 0, perimeter = 0;

    for (int i = 0; i < 4; i++)
        s.half[i] = e[i];
    for (int w = 0; w < 2; w++) {
        for (int h = 2; h < 4; h++) {
            area += M_PI / 4 * e[w] * e[h];
            perimeter += ellipse_perimeter(e[w], e[h]) / 4;
        }
    }
    near(tb_section_area(s), area, 1e-14);
    near(tb_section_perimeter(s), perimeter, 1e-14);
    near(tb_section_hydraulic_diameter(s), 4 * area / perimeter, 1e-14);
}
END_TEST

/* ---- support ---- */

START_TEST(contact_lies_on_the_outline_and_reaches_furthest)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 20260 + _i);
    for (int i = 0; i < 300; i++) {
        TbSection s = random_section(rng, 1.05);
        TbShape shape = tb_shape_of(s);
        double angle = between(rng, 0, 2 * M_PI);
        TbVec2 d = {3.7 * sin(angle), 3.7 * cos(angle)};
        TbVec2 p, q;
        double reach = tb_shape_support(&shape, d, &p);

        near(tb_vec2_dot(d, p), reach, 1e-14);
        if (s.kind == TB_SECTION_SUPERELLIPSE) {
            double ex = shape.half[p.x < 0 ? TB_SIDE_LEFT : TB_SIDE_RIGHT];
            double ey = shape.half[p.y < 0 ? TB_SIDE_DOWN : TB_SIDE_UP];

            near(pow(fabs(p.x) / ex, s.exponent) + pow(fabs(p.y) / ey, s.exponent), 1, 1e-12);
        }
        for (int k = 0; k < 200; k++) {
            double other = between(rng, 0, 2 * M_PI);

            tb_shape_support(&shape, tb_vec2(sin(other), cos(other)), &q);
            ck_assert_double_le(tb_vec2_dot(d, q), reach * (1 + 1e-14));
        }
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(superellipse_points_never_pass_the_support)
{
    double n = exponents[_i];
    TbSection s = tb_section_superellipse(60, 40, n);
    TbShape shape;
    double most[7] = {0};

    s.half[TB_SIDE_RIGHT] = 41.9;
    s.half[TB_SIDE_LEFT] = 18.1;
    shape = tb_shape_of(s);
    for (int k = 0; k < 7; k++) {
        double angle = 0.05 + 0.23 * k;
        TbVec2 d = {sin(angle), cos(angle)}, p;
        double reach = tb_shape_support(&shape, d, &p);

        for (int i = -4000; i <= 4000; i++) {
            double zeta = sinh(i * 0.002);
            double x = 2 * 41.9 / 60 * pow(1 / (1 + exp(zeta)), 1 / n);
            double y = pow(1 / (1 + exp(-zeta)), 1 / n);

            most[k] = fmax(most[k], d.x * x + d.y * y);
        }
        ck_assert_double_le(most[k], reach * (1 + 1e-14));
        near(most[k], reach, 1e-5);
    }
}
END_TEST

/** The hull of four stretched corner discs: its support is the largest of theirs. */
START_TEST(rounded_support_is_the_largest_of_its_corners)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 4711);
    for (int i = 0; i < 4000; i++) {
        TbSection s = random_section(rng, 2);
        double angle = between(rng, 0, 2 * M_PI);
        TbVec2 d = {sin(angle), cos(angle)}, p;
        double most = -INFINITY;

        s.kind = TB_SECTION_ROUNDED;
        for (int corner = 0; corner < 4; corner++) {
            bool left = corner == TB_CORNER_LU || corner == TB_CORNER_LD;
            bool down = corner == TB_CORNER_LD || corner == TB_CORNER_RD;
            double r = s.corner[corner];
            double x = left ? r - s.half[TB_SIDE_LEFT] : s.half[TB_SIDE_RIGHT] - r;
            double y = down ? r - s.half[TB_SIDE_DOWN] : s.half[TB_SIDE_UP] - r;

            most = fmax(most, x * d.x + y * d.y + r);
        }
        near(section_support(s, d, false, &p), most, 1e-13);
        near(tb_vec2_dot(d, p), most, 1e-13);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(support_grows_with_the_direction_from_tiny_to_huge)
{
    static const double scales[] = {1e-280, 1e-160, 3.3e-20, 7.1, 2.9e20, 1e160, 1e280};

    for (int e = 0; e < EXPONENTS; e++) {
        TbShape shape = tb_shape_of(tb_section_superellipse(60, 40, exponents[e]));
        TbVec2 d = {0.31, -0.87}, p, q;
        double reach = tb_shape_support(&shape, d, &p);

        for (size_t i = 0; i < sizeof scales / sizeof scales[0]; i++) {
            near(tb_shape_support(&shape, tb_vec2_scale(d, scales[i]), &q), scales[i] * reach,
                 1e-13);
            near(q.x, p.x, 1e-12);
            near(q.y, p.y, 1e-12);
        }
    }
}
END_TEST

START_TEST(a_zero_component_is_exact_for_every_kind)
{
    for (int e = 0; e < EXPONENTS; e++) {
        TbShape shape = tb_shape_of(tb_section_superellipse(60, 40, exponents[e]));
        TbVec2 p;

        ck_assert(tb_shape_support(&shape, tb_vec2(0, 2.5), &p) == 2.5);
        ck_assert(p.x == 0 && p.y == 1);
        ck_assert(tb_shape_support(&shape, tb_vec2(-2.5, 0), &p) == 2.5);
        ck_assert(p.x == -1 && p.y == 0);
        ck_assert(tb_shape_support(&shape, tb_vec2(0, 0), &p) == 0);
        ck_assert(isfinite(p.x) && isfinite(p.y));
    }
}
END_TEST

START_TEST(lopsided_directions_do_not_overflow)
{
    for (int e = 0; e < EXPONENTS; e++) {
        TbShape shape = tb_shape_of(tb_section_superellipse(60, 40, exponents[e]));
        TbVec2 p;

        near(tb_shape_support(&shape, tb_vec2(1e300, 1e-300), &p), 1e300, 1e-15);
        ck_assert_double_eq(p.x, 1);
        near(tb_shape_support(&shape, tb_vec2(5e-324, -1), &p), 1, 1e-15);
        ck_assert(p.y == -1 && p.x >= 0 && p.x < 1e-6);
    }
}
END_TEST

/** Four half-extents: the outline turns through the axes without a corner or a jump. */
START_TEST(d_shape_is_smooth_across_its_axes)
{
    TbSection s = tb_section_superellipse(60, 40, 2.6);
    TbShape shape;

    s.half[TB_SIDE_UP] = 31.3;
    s.half[TB_SIDE_DOWN] = 8.7;
    shape = tb_shape_of(s);
    for (double tilt = 1e-3; tilt > 1e-12; tilt /= 7) {
        TbVec2 above, below;

        tb_shape_support(&shape, tb_vec2(1, tilt), &above);
        tb_shape_support(&shape, tb_vec2(1, -tilt), &below);
        /* contact runs as tilt^(m-1), m - 1 = 1/(n-1) = 1/1.6 */
        ck_assert_double_gt(above.y, below.y);
        ck_assert_double_le(above.y - below.y, 4 * pow(tilt, 1 / 1.6));
        ck_assert_double_le(fabs(above.x - below.x), 4 * tilt);
    }
}
END_TEST

/* ---- pairs ---- */

/** A slice that shows a plain blend of two unit shapes. */
static TbSlice
blend_of(const TbShape *a, const TbShape *b, double mix)
{
    return (TbSlice){.from = a, .to = b, .mix = mix, .a = 1, .b = 1};
}

START_TEST(blend_area_polynomial_agrees_with_measured_outlines)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double worst = 0;

    gsl_rng_set(rng, 90 + _i);
    for (int i = 0; i < 25; i++) {
        TbShape a = tb_shape_of(random_section(rng, 1.3));
        TbShape b = tb_shape_of(random_section(rng, 1.3));
        TbShapePair pair = tb_shape_pair(&a, &b);
        double w = between(rng, 0, 1);
        TbSlice slice = blend_of(&a, &b, w);
        double area = measured(&slice, false, 4000).area;

        worst =
            fmax(worst, fabs(pair.area[0] + w * (pair.area[1] + w * pair.area[2]) - area) / area);
    }
    ck_assert_double_le(worst, 1e-10);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(blend_area_ends_at_the_shapes_own_areas)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 77);
    for (int i = 0; i < 200; i++) {
        TbShape a = tb_shape_of(random_section(rng, 1.05));
        TbShape b = tb_shape_of(random_section(rng, 1.05));
        TbShapePair ab = tb_shape_pair(&a, &b);
        TbShapePair ba = tb_shape_pair(&b, &a);

        ck_assert_double_eq_tol(ab.area[0] + ab.area[1] + ab.area[2], b.area, 1e-14 * b.area * 4);
        /* Brunn and Minkowski: the root of the area is concave */
        ck_assert_double_ge(sqrt(ab.area[0] + ab.area[1] / 2 + ab.area[2] / 4),
                            (sqrt(a.area) + sqrt(b.area)) / 2 - 1e-14);
        ck_assert_double_eq_tol(ab.area[2], ba.area[2], 1e-13 * 4);
        near(ab.difference.x, ba.difference.x, 1e-14);
        near(ab.difference.y, ba.difference.y, 1e-14);
    }
    gsl_rng_free(rng);
}
END_TEST

/** The mixed area with a disc of radius 1 is half the perimeter (Steiner). */
START_TEST(mixed_area_with_a_circle_is_half_the_perimeter)
{
    TbShape circle = tb_shape_of(tb_section_superellipse(2, 2, 2));
    TbSection s = tb_section_rounded(2, 2, 0.3);
    TbShape shape = tb_shape_of(s);
    TbShapePair pair = tb_shape_pair(&shape, &circle);

    near(pair.area[1] / 2 + shape.area, tb_section_perimeter(s) / 2, 1e-14);
    near(pair.area[1] / 2 + shape.area, (8 - (8 - 2 * M_PI) * 0.3) / 2, 1e-14);
    s = tb_section_superellipse(2, 2, 3.4);
    shape = tb_shape_of(s);
    pair = tb_shape_pair(&shape, &circle);
    near(pair.area[1] / 2 + shape.area, chords_of_superellipse(1, 1, 3.4, 40000) / 2, 1e-7);
}
END_TEST

/** Why areas are divided out: half way from square to circle of the same area a plain blend has
 * 1/2 + 1/sqrt(pi) times that area. */
START_TEST(plain_blend_of_square_and_equal_circle_swells_by_six_percent)
{
    double side = 2;
    double radius = side / sqrt(M_PI);
    TbShape square = tb_shape_of(tb_section_rounded(200000, 200000, 0.01));
    TbShape circle = tb_shape_of(tb_section_superellipse(2, 2, 2));
    TbShapePair pair = tb_shape_pair(&square, &circle);
    double mixed = (pair.area[1] / 2 + square.area) * radius;
    double half_way = square.area / 4 + mixed / 2 + circle.area * radius * radius / 4;

    near(half_way / (side * side), 0.5 + 1 / sqrt(M_PI), 1e-6);
    near(half_way / (side * side), 1.0641896, 1e-6);
}
END_TEST

START_TEST(no_normal_exceeds_the_stated_contact_difference)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double x, y;

    gsl_rng_set(rng, 31337 + _i);
    for (int i = 0; i < 60; i++) {
        TbShape a = tb_shape_of(random_section(rng, 1.05));
        TbShape b = tb_shape_of(random_section(rng, 1.05));
        TbShapePair pair = tb_shape_pair(&a, &b);
        TbSlice slice = blend_of(&a, &b, 0);

        x = y = 0;
        for (int quadrant = 0; quadrant < 4; quadrant++) {
            for (int k = 0; k <= 3000; k++) {
                TbVec2 n = graded_normal(&slice, quadrant, k, 3000);
                TbVec2 p, q;

                tb_shape_support(&a, n, &p);
                tb_shape_support(&b, n, &q);
                x = fmax(x, fabs(p.x - q.x));
                y = fmax(y, fabs(p.y - q.y));
            }
        }
        ck_assert_double_le(x, pair.difference.x);
        ck_assert_double_le(y, pair.difference.y);
        /* and it is not loose: slack of the bound, plus the samples' own step */
        ck_assert_double_le(pair.difference.x, x + 0.01);
        ck_assert_double_le(pair.difference.y, y + 0.01);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(equal_shapes_have_no_difference_and_a_constant_area)
{
    TbShape a = tb_shape_of(tb_section_superellipse(61.4, 43.7, 2.6));
    TbShape b = tb_shape_of(tb_section_superellipse(12.9, 87.2, 2.6));
    TbShapePair pair = tb_shape_pair(&a, &b);

    ck_assert(tb_shape_equal(&a, &b));
    ck_assert(pair.difference.x == 0 && pair.difference.y == 0);
    ck_assert(pair.area[1] == 0 && pair.area[2] == 0 && pair.area[0] == a.area);
}
END_TEST

START_TEST(shapes_that_differ_in_one_field_are_not_equal)
{
    TbSection s = tb_section_rounded(60, 40, 7.3);
    TbShape plain = tb_shape_of(s), other;

    s.corner[TB_CORNER_LD] = 7.4;
    other = tb_shape_of(s);
    ck_assert(!tb_shape_equal(&plain, &other));
    s = tb_section_rounded(60, 40, 7.3);
    s.half[TB_SIDE_UP] = 20.5;
    s.half[TB_SIDE_DOWN] = 19.5;
    other = tb_shape_of(s);
    ck_assert(!tb_shape_equal(&plain, &other));
}
END_TEST

/* ---- refused ---- */

static void
refused(TbSection s, TbStatus status, const char *words)
{
    TbFault fault = {0};

    ck_assert_int_eq(tb_section_check(s, &fault), status);
    ck_assert_str_eq(fault.text, words);
}

START_TEST(good_sections_are_accepted)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbFault fault = {0};

    for (int i = 0; i < 2000; i++)
        ck_assert_msg(tb_section_check(random_section(rng, 1.05), &fault) == TB_OK, "%s",
                      fault.text);
    /* 12.7 + 12.7 is 25.4 to a rounding at most */
    ck_assert_int_eq(tb_section_check(tb_section_rounded(83.1, 25.4, 12.7), &fault), TB_OK);
    ck_assert_int_eq(tb_section_check(tb_section_rounded(60, 0.3, 0.1 + 0.05), &fault), TB_OK);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(sizes_are_refused_with_the_side_and_the_number)
{
    TbSection s = tb_section_superellipse(60, 40, 2);

    s.half[TB_SIDE_LEFT] = NAN;
    refused(s, TB_E_RANGE, "its left half size is nan mm, 0 to 2000 mm is accepted");
    s.half[TB_SIDE_LEFT] = -3.2;
    refused(s, TB_E_RANGE, "its left half size is -3.2 mm, 0 to 2000 mm is accepted");
    s.half[TB_SIDE_LEFT] = INFINITY;
    refused(s, TB_E_RANGE, "its left half size is inf mm, 0 to 2000 mm is accepted");
    refused(tb_section_superellipse(0, 40, 2), TB_E_DEGENERATE, "its width is 0 mm");
    refused(tb_section_superellipse(60, 0, 2), TB_E_DEGENERATE, "its height is 0 mm");
    refused(tb_section_superellipse(60, 0.012, 2), TB_E_DEGENERATE,
            "its upper half size is 0.006 mm, 0.01 mm or more is needed");
    refused(tb_section_superellipse(60, 5000, 2), TB_E_RANGE,
            "its upper half size is 2500 mm, 0 to 2000 mm is accepted");
}
END_TEST

START_TEST(exponents_outside_their_range_are_refused)
{
    refused(tb_section_superellipse(60, 40, 1), TB_E_RANGE,
            "its exponent is 1, 1.05 to 50 is accepted");
    refused(tb_section_superellipse(60, 40, 51), TB_E_RANGE,
            "its exponent is 51, 1.05 to 50 is accepted");
    refused(tb_section_superellipse(60, 40, NAN), TB_E_RANGE,
            "its exponent is nan, 1.05 to 50 is accepted");
}
END_TEST

START_TEST(corners_that_do_not_fit_name_the_side_they_share)
{
    TbSection s = tb_section_rounded(60, 40, 11.3);

    refused(tb_section_rounded(60, 40, 20.4), TB_E_DEGENERATE,
            "its left-up and left-down corners need 40.8 mm of the side they share, which has 40 "
            "mm");
    s.corner[TB_CORNER_LD] = 49.1;
    s.corner[TB_CORNER_LU] = 0.2;
    s.half[TB_SIDE_UP] = 40;
    refused(s, TB_E_DEGENERATE,
            "its left-down and right-down corners need 60.4 mm of the side they share, which has "
            "60 mm");
    s.corner[TB_CORNER_LD] = 0;
    refused(s, TB_E_RANGE, "its left-down corner has radius 0 mm, 0.01 to 2000 mm is accepted");
    s.corner[TB_CORNER_LD] = NAN;
    refused(s, TB_E_RANGE, "its left-down corner has radius nan mm, 0.01 to 2000 mm is accepted");
}
END_TEST

START_TEST(turn_offset_and_wall_are_refused_with_their_number)
{
    TbSection s = tb_section_superellipse(60, 40, 2);

    s.wall = -1.2;
    refused(s, TB_E_RANGE, "its wall is -1.2 mm, 0 to 2000 mm is accepted");
    s.wall = 0;
    s.offset.y = -2001;
    refused(s, TB_E_RANGE, "its offset in height is -2001 mm, -2000 to 2000 mm is accepted");
    s.offset = tb_vec2(NAN, 0);
    refused(s, TB_E_RANGE, "its offset in width is nan mm, -2000 to 2000 mm is accepted");
    s.offset = tb_vec2(0, 0);
    s.turn = 90;
    refused(s, TB_E_RANGE, "its turn is 90 rad, -63 to 63 rad is accepted");
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/section");
    TCase *tc = tcase_create("size");

    tcase_add_loop_test(tc, superellipse_area_is_the_beta_function, 0, EXPONENTS);
    tcase_add_test(tc, ellipse_perimeter_agrees_with_the_trapezoid_rule);
    tcase_add_test(tc, perimeter_of_a_sliver_is_twice_its_width);
    tcase_add_loop_test(tc, superellipse_perimeter_agrees_with_chords, 0, EXPONENTS);
    tcase_add_test(tc, rounded_area_and_perimeter_count_every_corner);
    tcase_add_test(tc, stadium_and_circle_are_limits_of_the_rounded_rectangle);
    tcase_add_test(tc, d_shape_of_four_ellipse_quarters_adds_up);
    suite_add_tcase(suite, tc);
    tc = tcase_create("support");
    tcase_set_timeout(tc, 60);
    tcase_add_loop_test(tc, contact_lies_on_the_outline_and_reaches_furthest, 0, 4);
    tcase_add_loop_test(tc, superellipse_points_never_pass_the_support, 0, EXPONENTS);
    tcase_add_test(tc, rounded_support_is_the_largest_of_its_corners);
    tcase_add_test(tc, support_grows_with_the_direction_from_tiny_to_huge);
    tcase_add_test(tc, a_zero_component_is_exact_for_every_kind);
    tcase_add_test(tc, lopsided_directions_do_not_overflow);
    tcase_add_test(tc, d_shape_is_smooth_across_its_axes);
    suite_add_tcase(suite, tc);
    tc = tcase_create("pairs");
    tcase_set_timeout(tc, 60);
    tcase_add_loop_test(tc, blend_area_polynomial_agrees_with_measured_outlines, 0, 4);
    tcase_add_test(tc, blend_area_ends_at_the_shapes_own_areas);
    tcase_add_test(tc, mixed_area_with_a_circle_is_half_the_perimeter);
    tcase_add_test(tc, plain_blend_of_square_and_equal_circle_swells_by_six_percent);
    tcase_add_loop_test(tc, no_normal_exceeds_the_stated_contact_difference, 0, 4);
    tcase_add_test(tc, equal_shapes_have_no_difference_and_a_constant_area);
    tcase_add_test(tc, shapes_that_differ_in_one_field_are_not_equal);
    suite_add_tcase(suite, tc);
    tc = tcase_create("refused");
    tcase_add_test(tc, good_sections_are_accepted);
    tcase_add_test(tc, sizes_are_refused_with_the_side_and_the_number);
    tcase_add_test(tc, exponents_outside_their_range_are_refused);
    tcase_add_test(tc, corners_that_do_not_fit_name_the_side_they_share);
    tcase_add_test(tc, turn_offset_and_wall_are_refused_with_their_number);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
