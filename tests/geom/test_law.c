/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/law.h"

#include "base/mem.h"
#include "geom/tol.h"
#include "section_scenes.h"
#include "tap.h"

#include <string.h>

static void
near(double got, double want, double relative)
{
    ck_assert_double_eq_tol(got, want, relative * fabs(want));
}

static TbLaw *
law_of(const TbSectionRow *rows, size_t count, double length)
{
    TbLaw *law = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_law_new(rows, count, length, &law, &fault) == TB_OK, "%s", fault.text);
    return law;
}

/** An outlet: rounded port, D shape, lopsided superellipse, round flange; everything differs. */
enum { OUTLET = 4 };
#define OUTLET_LENGTH 311.7

static void
outlet(TbSectionRow rows[OUTLET])
{
    memset(rows, 0, OUTLET * sizeof rows[0]);
    rows[0].section = tb_section_rounded(41.3, 33.9, 7.7);
    rows[0].section.wall = 4.1;
    rows[1].section = tb_section_superellipse(63.1, 38.3, 2.6);
    rows[1].section.half[TB_SIDE_UP] = 28.4;
    rows[1].section.half[TB_SIDE_DOWN] = 9.9;
    rows[1].section.turn = 0.37;
    rows[1].section.offset = tb_vec2(2.3, -4.7);
    rows[1].section.wall = 3.3;
    rows[1].station = 97.3;
    rows[2].section = tb_section_superellipse(57.9, 61.1, 5.3);
    rows[2].section.half[TB_SIDE_RIGHT] = 34.2;
    rows[2].section.half[TB_SIDE_LEFT] = 23.7;
    rows[2].section.turn = 0.59;
    rows[2].section.offset = tb_vec2(3.1, 0.9);
    rows[2].section.wall = 3.3;
    rows[2].station = 205.9;
    rows[3].section = tb_section_rounded(76.2, 76.2, 38.1);
    rows[3].section.wall = 1.65;
    rows[3].from_end = true;
}

/** A table of 2 to 7 sections of any kind whose areas grow, over most or all of a path. */
typedef struct Table {
    TbSectionRow rows[7];
    size_t count;
    double length;
} Table;

static Table
growing_table(gsl_rng *rng, double least_exponent)
{
    Table t = {.count = 2 + gsl_rng_uniform_int(rng, 6)};
    double area = log_between(rng, 200, 3000);
    double station = gsl_rng_get(rng) % 3 == 0 ? between(rng, 0.1, 40) : 0;

    for (size_t i = 0; i < t.count; i++) {
        TbSectionRow *row = &t.rows[i];

        row->section = with_area(random_section(rng, least_exponent), area);
        row->section.turn = between(rng, -3.3, 3.3);
        row->section.offset = tb_vec2(between(rng, -9, 9), between(rng, -9, 9));
        row->section.wall = gsl_rng_get(rng) % 3 == 0 ? 0 : between(rng, 0.5, 6);
        row->station = station;
        area *= gsl_rng_get(rng) % 4 == 0 ? 1 + between(rng, 1e-9, 1e-3) : between(rng, 1.001, 2.1);
        station += log_between(rng, 0.3, 180);
    }
    t.length = t.rows[t.count - 1].station + (gsl_rng_get(rng) % 3 == 0 ? 17.7 : 0);
    return t;
}

/* ---- given sections ---- */

static void
expect_section(TbSlice slice, TbSection s)
{
    for (int i = 0; i < 48; i++) {
        TbVec2 d = {sin(0.13 + 2 * M_PI * i / 48), cos(0.13 + 2 * M_PI * i / 48)}, p, q;

        for (int outer = 0; outer < 2; outer++) {
            double want = section_support(s, d, outer, &q);

            ck_assert_double_eq_tol(tb_slice_support(&slice, d, outer, &p), want, 1e-11);
            ck_assert_double_eq_tol(p.x, q.x, 1e-9);
            ck_assert_double_eq_tol(p.y, q.y, 1e-9);
        }
    }
}

START_TEST(given_sections_are_met_with_turn_offset_and_wall)
{
    TbSectionRow rows[OUTLET];
    TbLaw *law;

    outlet(rows);
    law = law_of(rows, OUTLET, OUTLET_LENGTH);
    for (int i = 0; i < OUTLET; i++) {
        double station = i == 3 ? OUTLET_LENGTH : rows[i].station;
        size_t span = tb_law_find(law, station);

        expect_section(tb_law_at(law, station), rows[i].section);
        /* from the side that ends there too */
        if (i > 0 && i < 3)
            expect_section(tb_law_in_span(tb_law_span(law, span - 1), station), rows[i].section);
    }
    tb_law_unref(law);
}
END_TEST

/** Angle 0 is h, and a turn goes from h towards w: looking downstream, clockwise. */
START_TEST(a_turn_takes_the_top_to_the_right)
{
    TbSectionRow row = {.section = tb_section_superellipse(20, 60, 2)};
    TbLaw *law;
    TbSlice slice;
    TbVec2 p;

    row.section.half[TB_SIDE_UP] = 41;
    row.section.half[TB_SIDE_DOWN] = 19;
    row.section.turn = M_PI / 3;
    row.section.offset = tb_vec2(0, 2.5);
    law = law_of(&row, 1, 50);
    slice = tb_law_at(law, 13);
    tb_slice_support(&slice, tb_vec2(sin(M_PI / 3), cos(M_PI / 3)), false, &p);
    ck_assert_double_eq_tol(p.x, 43.5 * sin(M_PI / 3), 1e-12);
    ck_assert_double_eq_tol(p.y, 43.5 * cos(M_PI / 3), 1e-12);
    tb_law_unref(law);
}
END_TEST

START_TEST(before_the_first_and_after_the_last_section_nothing_changes)
{
    TbSectionRow rows[OUTLET];
    TbLaw *law;
    TbSlice slice;

    outlet(rows);
    rows[0].station = 23.7;
    rows[3].station = 31.1;
    law = law_of(rows, OUTLET, OUTLET_LENGTH);
    ck_assert_uint_eq(tb_law_span_count(law), 5);
    expect_section(tb_law_at(law, 0), rows[0].section);
    expect_section(tb_law_at(law, 11.9), rows[0].section);
    expect_section(tb_law_at(law, OUTLET_LENGTH - 31.1), rows[3].section);
    expect_section(tb_law_at(law, OUTLET_LENGTH - 4.7), rows[3].section);
    slice = tb_law_at(law, 11.9);
    ck_assert_double_eq(slice.growth, 0);
    slice = tb_law_at(law, 23.7);
    ck_assert_double_eq_tol(slice.growth, 0, 1e-12);
    tb_law_unref(law);
}
END_TEST

START_TEST(one_section_is_the_same_everywhere)
{
    TbSectionRow rows[OUTLET];
    TbLaw *law;

    outlet(rows);
    law = law_of(&rows[1], 1, 211.3);
    ck_assert_uint_eq(tb_law_span_count(law), 1);
    for (double s = -5; s < 220; s += 11.3)
        expect_section(tb_law_at(law, s), rows[1].section);
    tb_law_unref(law);
}
END_TEST

START_TEST(a_station_belongs_to_the_span_that_begins_there)
{
    TbSectionRow rows[OUTLET];
    TbLaw *law;

    outlet(rows);
    law = law_of(rows, OUTLET, OUTLET_LENGTH);
    ck_assert_uint_eq(tb_law_span_count(law), 3);
    ck_assert_uint_eq(tb_law_find(law, -1), 0);
    ck_assert_uint_eq(tb_law_find(law, 97.2), 0);
    ck_assert_uint_eq(tb_law_find(law, 97.3), 1);
    ck_assert_uint_eq(tb_law_find(law, 205.9), 2);
    ck_assert_uint_eq(tb_law_find(law, OUTLET_LENGTH), 2);
    ck_assert_uint_eq(tb_law_find(law, 9999), 2);
    tb_law_unref(law);
}
END_TEST

/* ---- the area law ---- */

/** Share of the area that a few roundings of the cubic's terms may take from a slope of 0. */
#define ROUNDING 1e-14

/** Smallest value of a cubic's derivative over 0 to length: it is at an end or at the vertex. */
static double
least_slope(const double c[4], double length)
{
    double least = fmin(c[1], c[1] + length * (2 * c[2] + 3 * length * c[3]));
    double vertex = c[3] != 0 ? -c[2] / (3 * c[3]) : -1;

    if (vertex > 0 && vertex < length)
        least = fmin(least, c[1] + vertex * (2 * c[2] + 3 * vertex * c[3]));
    return least;
}

START_TEST(an_area_that_grows_at_the_sections_never_shrinks_between)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 1000 + _i);
    for (int i = 0; i < 1500; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law = law_of(t.rows, t.count, t.length);

        for (size_t k = 0; k < tb_law_span_count(law); k++) {
            const TbLawSpan *span = tb_law_span(law, k);

            ck_assert(!span->by_size);
            ck_assert_double_ge(least_slope(span->size[0], span->length) * span->length,
                                -ROUNDING * span->size[0][0]);
        }
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(sampled_outlines_never_shrink_and_have_the_laws_area)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 2000 + _i);
    for (int i = 0; i < 5; i++) {
        Table t = growing_table(rng, 1.3);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        double before = 0;

        for (int k = 0; k <= 24; k++) {
            TbSlice slice = tb_law_at(law, t.length * k / 24);
            double area = measured(&slice, false, 3000).area;

            near(area, slice.area, 1e-10);
            ck_assert_double_ge(area, before * (1 - 1e-10));
            before = area;
        }
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(width_over_height_follows_its_cubic)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 3003);
    for (int i = 0; i < 300; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        double station = between(rng, 0, t.length);
        const TbLawSpan *span = tb_law_span(law, tb_law_find(law, station));
        TbSlice slice = tb_law_at(law, station);
        double x = station - span->start;
        const double *a = span->size[0];
        const double *rho = span->size[1];
        TbVec2 p;
        double width = tb_slice_support_turned(&slice, tb_vec2(1, 0), false, &p) +
                       tb_slice_support_turned(&slice, tb_vec2(-1, 0), false, &p);
        double height = tb_slice_support_turned(&slice, tb_vec2(0, 1), false, &p) +
                        tb_slice_support_turned(&slice, tb_vec2(0, -1), false, &p);

        near(slice.area, a[0] + x * (a[1] + x * (a[2] + x * a[3])), 1e-15);
        ck_assert_double_eq_tol(log(width / height),
                                rho[0] + x * (rho[1] + x * (rho[2] + x * rho[3])), 1e-13);
        near(width, tb_slice_width(&slice), 1e-14);
        near(height, tb_slice_height(&slice), 1e-14);
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/** Width and height monotone would swell to 65 x 65 in the middle and shrink again. */
START_TEST(a_section_that_lies_down_while_it_grows_does_not_swell)
{
    TbSectionRow rows[2] = {{.section = tb_section_superellipse(40, 90, 2)},
                            {.section = tb_section_superellipse(90, 41, 2), .from_end = true}};
    TbLaw *law = law_of(rows, 2, 150);
    TbSlice middle = tb_law_at(law, 75);

    near(middle.area, M_PI / 4 * (40 * 90 + 90 * 41) / 2, 1e-12);
    tb_law_unref(law);
    rows[0].holds_size = true;
    law = law_of(rows, 2, 150);
    middle = tb_law_at(law, 75);
    near(middle.area, M_PI / 4 * 65 * 65.5, 1e-12);
    tb_law_unref(law);
}
END_TEST

START_TEST(growth_is_the_derivative_of_the_area)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 64);
    for (int i = 0; i < 300; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law;
        size_t k;
        const TbLawSpan *span;
        double x, h;

        for (size_t r = 0; r < t.count; r++)
            t.rows[r].holds_size = i % 2 == 0 && gsl_rng_get(rng) % 3 == 0;
        law = law_of(t.rows, t.count, t.length);
        k = gsl_rng_uniform_int(rng, tb_law_span_count(law));
        span = tb_law_span(law, k);
        x = span->start + between(rng, 0.1, 0.9) * span->length;
        h = 1e-3 * span->length;
        /* central differences with one step of Richardson; areas to 1e-15, steps of 1e-3 */
        {
            double one =
                (tb_law_in_span(span, x + h).area - tb_law_in_span(span, x - h).area) / (2 * h);
            double two =
                (tb_law_in_span(span, x + 2 * h).area - tb_law_in_span(span, x - 2 * h).area) /
                (4 * h);
            TbSlice slice = tb_law_in_span(span, x);

            ck_assert_double_eq_tol(slice.growth, (4 * one - two) / 3,
                                    1e-8 * slice.area / span->length);
        }
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/* ---- everything else between ---- */

START_TEST(turn_wall_and_offset_stay_between_their_neighbours)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 505);
    for (int i = 0; i < 500; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law = law_of(t.rows, t.count, t.length);

        for (size_t k = 0; k < tb_law_span_count(law); k++) {
            const TbLawSpan *span = tb_law_span(law, k);
            const double *all[4] = {span->turn, span->wall, span->offset_w, span->offset_h};

            for (int v = 0; v < 4; v++) {
                double negated[4], end = 0;

                for (int c = 3; c >= 0; c--) {
                    negated[c] = -all[v][c];
                    end = all[v][c] + span->length * end;
                }
                ck_assert_double_ge(least_slope(end >= all[v][0] ? all[v] : negated, span->length) *
                                        span->length,
                                    -ROUNDING * 20);
            }
        }
        ck_assert_double_ge(tb_law_at(law, between(rng, 0, t.length)).wall, 0);
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_held_size_has_monotone_width_and_height_on_both_sides)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 606);
    for (int i = 0; i < 1000; i++) {
        Table t = growing_table(rng, 1.05);
        size_t held = gsl_rng_uniform_int(rng, t.count);
        TbLaw *law;

        t.rows[held].holds_size = true;
        law = law_of(t.rows, t.count, t.length);
        for (size_t k = 0; k + 1 < t.count; k++) {
            const TbLawSpan *span = tb_law_span(law, tb_law_find(law, t.rows[k].station));
            TbSection from = t.rows[k].section;
            TbSection to = t.rows[k + 1].section;

            ck_assert_int_eq(span->by_size, k == held || k + 1 == held);
            if (!span->by_size) {
                ck_assert_double_ge(least_slope(span->size[0], span->length) * span->length,
                                    -ROUNDING * span->size[0][0]);
                continue;
            }
            for (int v = 0; v < 2; v++) {
                double rise = v == 0 ? tb_section_width(to) - tb_section_width(from)
                                     : tb_section_height(to) - tb_section_height(from);
                double signed_cubic[4];

                for (int c = 0; c < 4; c++)
                    signed_cubic[c] = copysign(1, rise) * span->size[v][c];
                ck_assert_double_ge(least_slope(signed_cubic, span->length) * span->length, -1e-12);
            }
        }
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/** Values and first derivatives of a slice, seen from one side by a small step. */
static void
side_of(const TbLawSpan *span, double station, double step, double value[6], double slope[6])
{
    for (int order = 0; order < 3; order++) {
        TbSlice slice = tb_law_in_span(span, station + order * step);
        double all[6] = {slice.a, slice.b, slice.turn, slice.wall, slice.offset.x, slice.offset.y};
        static const double weight[3] = {-3, 4, -1};

        for (int v = 0; v < 6; v++) {
            if (order == 0)
                value[v] = all[v];
            slope[v] = (order == 0 ? 0 : slope[v]) + weight[order] * all[v] / (2 * step);
        }
    }
}

START_TEST(everything_is_smooth_through_a_given_section)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 707);
    for (int i = 0; i < 400; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law;

        for (size_t r = 0; r < t.count; r++)
            t.rows[r].holds_size = gsl_rng_get(rng) % 3 == 0;
        law = law_of(t.rows, t.count, t.length);
        for (size_t k = 1; k < tb_law_span_count(law); k++) {
            const TbLawSpan *before = tb_law_span(law, k - 1);
            const TbLawSpan *after = tb_law_span(law, k);
            double step = 1e-4 * fmin(before->length, after->length);
            double left[6], right[6], left_slope[6], right_slope[6];

            side_of(before, after->start, -step, left, left_slope);
            side_of(after, after->start, step, right, right_slope);
            for (int v = 0; v < 6; v++) {
                ck_assert_double_eq_tol(left[v], right[v], 1e-12 * 200);
                /* one-sided differences are off by a square of the step, 1e-8 of the change */
                ck_assert_double_eq_tol(left_slope[v] * step, right_slope[v] * step,
                                        1e-6 * 200 * 1e-4);
            }
        }
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/* ---- slices ---- */

START_TEST(every_blend_is_convex)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 808 + _i);
    for (int i = 0; i < 150; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        TbSlice slice = tb_law_at(law, between(rng, 0, t.length));
        bool outer = gsl_rng_get(rng) % 2 == 0;
        TbVec2 p[3];

        for (int k = 0; k < 400; k++) {
            double phi = 2 * M_PI * k / 400;

            tb_slice_support(&slice, tb_vec2(sin(phi), cos(phi)), outer, &p[2]);
            if (k >= 2)
                ck_assert_double_ge(
                    -tb_vec2_cross(tb_vec2_sub(p[1], p[0]), tb_vec2_sub(p[2], p[1])), -1e-9);
            p[0] = p[1];
            p[1] = p[2];
        }
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/** A corner would hold one contact point for a range of normals. */
START_TEST(no_blend_has_a_corner)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 909);
    for (int i = 0; i < 300; i++) {
        Table t = growing_table(rng, 1.5);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        TbSlice slice = tb_law_at(law, between(rng, 0, t.length));

        for (int k = 0; k < 300; k++) {
            double phi = 2 * M_PI * k / 300;
            TbVec2 p, q;

            tb_slice_support(&slice, tb_vec2(sin(phi), cos(phi)), false, &p);
            phi += 0.02;
            tb_slice_support(&slice, tb_vec2(sin(phi), cos(phi)), false, &q);
            ck_assert_double_gt(tb_vec2_length(tb_vec2_sub(p, q)), 1e-6);
        }
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(outer_outline_is_the_inner_one_offset_by_the_wall)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 111);
    for (int i = 0; i < 300; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        TbSlice slice = tb_law_at(law, between(rng, 0, t.length));
        double phi = between(rng, 0, 2 * M_PI);
        TbVec2 d = {sin(phi), cos(phi)}, p, q;
        double inner = tb_slice_support(&slice, d, false, &p);
        double outer = tb_slice_support(&slice, d, true, &q);

        ck_assert_double_eq_tol(outer - inner, slice.wall, 1e-12);
        ck_assert_double_eq_tol(q.x - p.x, slice.wall * d.x, 1e-12);
        ck_assert_double_eq_tol(q.y - p.y, slice.wall * d.y, 1e-12);
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(turned_and_untwisted_supports_agree)
{
    TbSectionRow rows[OUTLET];
    TbLaw *law;
    TbSlice slice;

    outlet(rows);
    law = law_of(rows, OUTLET, OUTLET_LENGTH);
    slice = tb_law_at(law, 161.3);
    for (int i = 0; i < 40; i++) {
        double phi = 0.157 * i, own = phi - slice.turn;
        TbVec2 p, q;

        ck_assert_double_eq_tol(
            tb_slice_support(&slice, tb_vec2(sin(phi), cos(phi)), true, &p),
            tb_slice_support_turned(&slice, tb_vec2(sin(own), cos(own)), true, &q), 1e-12);
        near(tb_vec2_length(p), tb_vec2_length(q), 1e-13);
        ck_assert_double_eq_tol(remainder(atan2(p.x, p.y) - atan2(q.x, q.y) - slice.turn, 2 * M_PI),
                                0, 1e-12);
    }
    tb_law_unref(law);
}
END_TEST

START_TEST(area_and_perimeter_agree_with_a_walk_along_the_outline)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 222 + _i);
    for (int i = 0; i < 15; i++) {
        Table t = growing_table(rng, 1.3);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        TbSlice slice = tb_law_at(law, between(rng, 0, t.length));

        for (int outer = 0; outer < 2; outer++) {
            Measured m = measured(&slice, outer, 4000);

            near(tb_slice_area(&slice, outer), m.area, 1e-10);
            near(tb_slice_perimeter(&slice, outer), m.perimeter, 1e-10);
        }
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(reach_is_never_short_and_hardly_long)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 333);
    for (int i = 0; i < 400; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        TbSlice slice = tb_law_at(law, between(rng, 0, t.length));
        bool outer = gsl_rng_get(rng) % 2 == 0;
        double most = 0;

        for (int k = 0; k < 720; k++) {
            double phi = M_PI * k / 360;
            TbVec2 p;

            tb_slice_support(&slice, tb_vec2(sin(phi), cos(phi)), outer, &p);
            most = fmax(most, tb_vec2_length(p));
        }
        ck_assert_double_ge(tb_slice_reach(&slice, outer), most);
        ck_assert_double_le(tb_slice_reach(&slice, outer), most * 1.09);
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/* ---- moments ---- */

START_TEST(moments_of_an_ellipse_are_closed_forms)
{
    TbSectionRow row = {.section = tb_section_superellipse(61.4, 43.8, 2)};
    TbLaw *law;
    TbSlice slice;
    TbMoments m;
    double a = 30.7, b = 21.9, area = M_PI * a * b, phi = 0.43, ww, hh;
    double c = cos(phi), s = sin(phi), w, h;

    row.section.turn = phi;
    row.section.offset = tb_vec2(7.7, -3.3);
    law = law_of(&row, 1, 10);
    slice = tb_law_at(law, 5);
    m = tb_slice_moments(&slice, false);
    w = c * 7.7 + s * -3.3;
    h = c * -3.3 - s * 7.7;
    ww = area * a * a / 4;
    hh = area * b * b / 4;
    near(m.area, area, 1e-13);
    near(m.first.x, area * w, 1e-12);
    near(m.first.y, area * h, 1e-12);
    near(m.ww, c * c * ww + s * s * hh + area * w * w, 1e-12);
    near(m.hh, s * s * ww + c * c * hh + area * h * h, 1e-12);
    near(m.wh, c * s * (hh - ww) + area * w * h, 1e-11);
    tb_law_unref(law);
}
END_TEST

/** A stadium: rectangle and two half discs with Huygens and Steiner; the outer one is a stadium. */
START_TEST(moments_of_a_stadium_are_closed_forms_inside_and_outside)
{
    TbSectionRow row = {.section = tb_section_rounded(83.1, 41.8, 20.9)};
    TbLaw *law;
    TbSlice slice;

    row.section.wall = 3.4;
    law = law_of(&row, 1, 10);
    slice = tb_law_at(law, 5);
    for (int outer = 0; outer < 2; outer++) {
        double r = 20.9 + outer * 3.4, l = 83.1 - 41.8, e = l / 2;
        TbMoments m = tb_slice_moments(&slice, outer);
        /* half disc: area pi r^2/2, centroid 4r/(3 pi), about its diameter pi r^4/8 */
        double ww =
            2 * r * l * l * l / 12 +
            2 * (M_PI * r * r * r * r / 8 + M_PI * r * r / 2 * e * e + 2 * e * 2 * r * r * r / 3);
        double hh = l * 8 * r * r * r / 12 + M_PI * r * r * r * r / 4;

        near(m.area, M_PI * r * r + 2 * r * l, 1e-13);
        near(m.ww, ww, 1e-12);
        near(m.hh, hh, 1e-12);
        ck_assert_double_eq_tol(m.wh, 0, 1e-7);
        ck_assert_double_eq_tol(m.first.x, 0, 1e-8);
    }
    tb_law_unref(law);
}
END_TEST

START_TEST(moments_of_blends_agree_with_fine_polygons)
{
    enum { MANY = 40000 };
    static TbVec2 p[MANY];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 444);
    for (int i = 0; i < 12; i++) {
        Table t = growing_table(rng, 1.2);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        TbSlice slice = tb_law_at(law, between(rng, 0, t.length));
        bool outer = i % 2 == 0;
        TbMoments m = tb_slice_moments(&slice, outer), q = {0};
        double size;

        tb_slice_outline(&slice, outer, MANY, p);
        for (int k = 0; k < MANY; k++) {
            TbVec2 a = p[(k + 1) % MANY], b = p[k];
            double swept = tb_vec2_cross(a, b);

            q.area += swept / 2;
            q.first.x += swept * (a.x + b.x) / 6;
            q.first.y += swept * (a.y + b.y) / 6;
            q.ww += swept * (a.x * a.x + a.x * b.x + b.x * b.x) / 12;
            q.hh += swept * (a.y * a.y + a.y * b.y + b.y * b.y) / 12;
            q.wh += swept * (2 * a.x * a.y + a.x * b.y + b.x * a.y + 2 * b.x * b.y) / 24;
        }
        size = sqrt(m.area);
        near(m.area, tb_slice_area(&slice, outer), 1e-12);
        near(m.area, q.area, 1e-7);
        ck_assert_double_eq_tol(m.first.x, q.first.x, 1e-7 * size * m.area);
        ck_assert_double_eq_tol(m.first.y, q.first.y, 1e-7 * size * m.area);
        near(m.ww, q.ww, 1e-7);
        near(m.hh, q.hh, 1e-7);
        ck_assert_double_eq_tol(m.wh, q.wh, 1e-7 * (m.ww + m.hh));
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/** One half size a sliver of the other: the arcs of such a quarter turn within a hundredth of the
 * quadrature's range, where its first rules may both have no point. */
START_TEST(moments_of_slivers_miss_no_corner)
{
    static const double exponents[] = {1.05, 1.3, 2, 4, 20, 50};
    static const double slivers[] = {17.3, 0.9, 0.13, 0.01};

    for (int i = 0; i < 6 * 6 * 4; i++) {
        TbSectionRow rows[2] = {{.from_end = false}, {.from_end = true}};
        double big = 2000 - 7.3 * i, small = slivers[i / 36];
        TbLaw *law;

        rows[0].section = tb_section_superellipse(2 * big, 2 * big, exponents[i % 6]);
        rows[1].section = tb_section_superellipse(2 * big, 2 * big, exponents[i / 6 % 6]);
        rows[0].section.half[TB_SIDE_LEFT] = rows[0].section.half[TB_SIDE_UP] = small;
        rows[1].section.half[TB_SIDE_RIGHT] = rows[1].section.half[TB_SIDE_DOWN] = small;
        rows[0].section.wall = rows[1].section.wall = 2.7;
        law = law_of(rows, 2, 83.1);
        for (int k = 0; k <= 4; k++) { /* the given sections too, where one arc has no share */
            TbSlice slice = tb_law_at(law, 83.1 * k / 4);

            near(tb_slice_moments(&slice, false).area, tb_slice_area(&slice, false), 1e-11);
            near(tb_slice_moments(&slice, true).area, tb_slice_area(&slice, true), 1e-11);
        }
        tb_law_unref(law);
    }
}
END_TEST

/** A slice of a blend between two sections as lopsided as the limits allow; a corner's centre may
 * lie far over the origin, where its share of the area is below 0. */
START_TEST(moments_of_the_most_lopsided_blends_have_the_laws_area)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 4444);
    for (int i = 0; i < 1500; i++) {
        TbSectionRow rows[2] = {{.from_end = false}, {.from_end = true}};
        TbLaw *law;
        TbSlice slice;

        for (int k = 0; k < 2; k++) {
            TbSection *s = &rows[k].section;
            double room;

            s->kind = gsl_rng_get(rng) % 2 == 0 ? TB_SECTION_SUPERELLIPSE : TB_SECTION_ROUNDED;
            s->exponent = log_between(rng, 1.05, 50);
            for (int e = 0; e < 4; e++)
                s->half[e] = log_between(rng, 0.01, 2000);
            room = fmin(tb_section_width(*s), tb_section_height(*s)) / 2;
            for (int e = 0; e < 4; e++)
                s->corner[e] = log_between(rng, 0.01, room);
            s->wall = between(rng, 0, 9);
        }
        law = law_of(rows, 2, log_between(rng, 0.01, 5000));
        slice = tb_law_at(law, between(rng, 0, 1) * tb_law_span(law, 0)->length);
        near(tb_slice_moments(&slice, false).area, tb_slice_area(&slice, false), 1e-11);
        near(tb_slice_moments(&slice, true).area, tb_slice_area(&slice, true), 1e-11);
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/* ---- outlines ---- */

/** How far a line at angle @p phi through a point is outside the outline's own: 0 where it touches,
 * below 0 where the point is inside. */
static double
outside(const TbSlice *slice, bool outer, TbVec2 p, double phi)
{
    TbVec2 d = {sin(phi), cos(phi)}, q;

    return tb_vec2_dot(d, p) - tb_slice_support(slice, d, outer, &q);
}

/** Signed distance of a point from the outline, found by its lines: coarse, then by thirds. */
static double
depth_of(const TbSlice *slice, bool outer, TbVec2 p)
{
    enum { COARSE = 720 };
    double step = 2 * M_PI / COARSE, best = 0, low, high;

    for (int n = 1; n < COARSE; n++) {
        if (outside(slice, outer, p, n * step) > outside(slice, outer, p, best))
            best = n * step;
    }
    low = best - step;
    high = best + step;
    while (high - low > 1e-10) {
        double a = low + (high - low) / 3, b = high - (high - low) / 3;

        if (outside(slice, outer, p, a) > outside(slice, outer, p, b))
            high = b;
        else
            low = a;
    }
    return outside(slice, outer, p, low);
}

START_TEST(outline_points_lie_on_the_outline_in_order)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 555);
    for (int i = 0; i < 100; i++) {
        enum { COUNT = 97 };
        Table t = growing_table(rng, 1.05);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        TbSlice slice = tb_law_at(law, between(rng, 0, t.length));
        bool outer = gsl_rng_get(rng) % 2 == 0;
        TbVec2 p[COUNT];
        double turned = 0;

        tb_slice_outline(&slice, outer, COUNT, p);
        for (int k = 0; k < COUNT; k++) {
            TbVec2 last = p[(k + COUNT - 1) % COUNT], next = p[(k + 1) % COUNT];

            if (k % 4 == 0)
                ck_assert_double_eq_tol(depth_of(&slice, outer, p[k]), 0, 1e-8);
            turned += atan2(-tb_vec2_cross(tb_vec2_sub(p[k], last), tb_vec2_sub(next, p[k])),
                            tb_vec2_dot(tb_vec2_sub(p[k], last), tb_vec2_sub(next, p[k])));
        }
        ck_assert_double_eq_tol(turned, 2 * M_PI, 1e-9);
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(outline_of_a_symmetric_section_is_symmetric_and_starts_at_its_top)
{
    TbSectionRow row = {.section = tb_section_rounded(83.1, 41.7, 9.3)};
    TbLaw *law = law_of(&row, 1, 10);
    TbSlice slice = tb_law_at(law, 5);
    TbVec2 p[60];

    tb_slice_outline(&slice, false, 60, p);
    ck_assert_double_eq_tol(p[0].x, 0, 1e-12);
    ck_assert_double_eq_tol(p[0].y, 20.85, 1e-12);
    for (int k = 1; k < 60; k++) {
        ck_assert_double_eq_tol(p[k].x, -p[60 - k].x, 1e-9);
        ck_assert_double_eq_tol(p[k].y, p[60 - k].y, 1e-9);
        ck_assert_double_eq_tol(p[k].y, -p[(90 - k) % 60].y, 1e-9);
    }
    ck_assert_double_gt(p[15].x, 0);
    tb_law_unref(law);
}
END_TEST

START_TEST(outline_of_a_circle_is_a_regular_polygon)
{
    TbSectionRow row = {.section = tb_section_superellipse(76.2, 76.2, 2)};
    TbLaw *law = law_of(&row, 1, 10);
    TbSlice slice = tb_law_at(law, 5);
    TbVec2 p[36];

    tb_slice_outline(&slice, false, 36, p);
    for (int k = 0; k < 36; k++)
        ck_assert_double_eq_tol(tb_vec2_length(tb_vec2_sub(p[k], p[(k + 1) % 36])),
                                76.2 * sin(M_PI / 36), 0.02);
    tb_law_unref(law);
}
END_TEST

START_TEST(counted_outlines_keep_their_chord_and_waste_little)
{
    static const double chords[] = {0.5, 0.05, 1e-3};
    static TbVec2 p[20000];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 666);
    for (int i = 0; i < 60; i++) {
        Table t = growing_table(rng, 1.05);
        TbLaw *law = law_of(t.rows, t.count, t.length);
        TbSlice slice = tb_law_at(law, between(rng, 0, t.length));
        bool outer = gsl_rng_get(rng) % 2 == 0;
        double chord = chords[i % 3];
        size_t count = tb_slice_outline_count(&slice, outer, chord);

        ck_assert_uint_eq(count % 4, 0);
        ck_assert_uint_le(count, 20000);
        tb_slice_outline(&slice, outer, count, p);
        for (size_t k = 0; k < count; k++) {
            TbVec2 a = p[k], b = p[(k + 1) % count], along = tb_vec2_sub(b, a), q;
            double length = tb_vec2_length(along);
            TbVec2 out = {-along.y / length, along.x / length};

            if (length > 0)
                ck_assert_double_le(tb_slice_support(&slice, out, outer, &q) - tb_vec2_dot(out, a),
                                    chord * (1 + 1e-9));
        }
        /* the best polygon has sum of sqrt(length turning) / sqrt(8 chord) points, at most
         * sqrt(2 pi P / (8 chord)) (Cauchy and Schwarz) */
        ck_assert_double_le((double)count,
                            1.7 * sqrt(2 * M_PI * tb_slice_perimeter(&slice, outer) / (8 * chord)) +
                                24);
        tb_law_unref(law);
    }
    gsl_rng_free(rng);
}
END_TEST

/* ---- whole laws ---- */

START_TEST(a_grown_law_is_the_law_of_grown_sections)
{
    const double k = 1.0173;
    TbSectionRow rows[OUTLET], grown[OUTLET];
    TbLaw *law, *scaled, *want;

    outlet(rows);
    rows[2].holds_size = true;
    outlet(grown);
    grown[2].holds_size = true;
    for (int i = 0; i < OUTLET; i++) {
        for (int j = 0; j < 4; j++) {
            grown[i].section.half[j] *= k;
            grown[i].section.corner[j] *= k;
        }
        grown[i].section.wall *= k;
        grown[i].section.offset = tb_vec2_scale(grown[i].section.offset, k);
        grown[i].station *= k;
    }
    law = law_of(rows, OUTLET, OUTLET_LENGTH);
    scaled = tb_law_scaled(law, k);
    want = law_of(grown, OUTLET, OUTLET_LENGTH * k);
    ck_assert_ptr_nonnull(scaled);
    for (double s = 0; s <= OUTLET_LENGTH * k; s += 7.3) {
        TbSlice a = tb_law_at(scaled, s), b = tb_law_at(want, s);

        near(a.a, b.a, 1e-12);
        near(a.b, b.b, 1e-12);
        near(a.area, b.area, 1e-12);
        ck_assert_double_eq_tol(a.growth, b.growth, 1e-10);
        ck_assert_double_eq_tol(a.turn, b.turn, 1e-12);
        ck_assert_double_eq_tol(a.wall, b.wall, 1e-12);
        ck_assert_double_eq_tol(a.offset.x, b.offset.x, 1e-12);
    }
    tb_law_unref(want);
    tb_law_unref(scaled);
    tb_law_unref(law);
}
END_TEST

START_TEST(a_law_lives_as_long_as_its_last_reference)
{
    TbSectionRow rows[OUTLET];
    TbLaw *law, *again;

    outlet(rows);
    law = law_of(rows, OUTLET, OUTLET_LENGTH);
    again = tb_law_ref(law);
    ck_assert_ptr_eq(law, again);
    tb_law_unref(law);
    near(tb_law_at(again, 0).area, tb_section_area(rows[0].section), 1e-15);
    tb_law_unref(again);
    tb_law_unref(NULL);
}
END_TEST

/* ---- refused ---- */

static void
refused(const TbSectionRow *rows, size_t count, double length, TbStatus status, const char *words)
{
    TbFault fault = {0};
    TbLaw *law = (TbLaw *)&fault;

    ck_assert_int_eq(tb_law_new(rows, count, length, &law, &fault), status);
    ck_assert_str_eq(fault.text, words);
    ck_assert_ptr_eq(law, (TbLaw *)&fault);
}

START_TEST(a_section_beyond_the_end_is_refused_with_both_stations)
{
    TbSectionRow rows[OUTLET];

    outlet(rows);
    rows[3].from_end = false;
    rows[3].station = 540;
    refused(rows, OUTLET, 536.3, TB_E_RANGE,
            "section 4 at station 540 mm lies beyond the path's end at 536.3 mm");
    rows[3].from_end = true;
    refused(rows, OUTLET, 536.3, TB_E_RANGE,
            "section 4 at station -3.7 mm lies before the path's start");
    rows[3].station = NAN;
    refused(rows, OUTLET, 536.3, TB_E_RANGE, "section 4 stands at no station (nan mm)");
}
END_TEST

START_TEST(sections_in_one_place_or_out_of_order_are_refused)
{
    TbSectionRow rows[OUTLET];

    outlet(rows);
    rows[2].station = rows[1].station + 3e-6;
    refused(rows, OUTLET, OUTLET_LENGTH, TB_E_DEGENERATE,
            "sections 2 and 3 are both at station 97.3 mm");
    rows[2].station = 61.7;
    refused(rows, OUTLET, OUTLET_LENGTH, TB_E_RANGE,
            "section 3 at station 61.7 mm comes before section 2 at 97.3 mm");
    outlet(rows);
    rows[2].station = OUTLET_LENGTH;
    refused(rows, OUTLET, OUTLET_LENGTH, TB_E_DEGENERATE,
            "sections 3 and 4 are both at station 311.7 mm");
}
END_TEST

START_TEST(a_bad_section_is_refused_by_its_row)
{
    TbSectionRow rows[OUTLET];

    outlet(rows);
    rows[2].section.wall = -0.7;
    refused(rows, OUTLET, OUTLET_LENGTH, TB_E_RANGE,
            "section 3: its wall is -0.7 mm, 0 to 2000 mm is accepted");
    outlet(rows);
    rows[0].section.half[TB_SIDE_LEFT] = rows[0].section.half[TB_SIDE_RIGHT] = 0;
    refused(rows, OUTLET, OUTLET_LENGTH, TB_E_DEGENERATE, "section 1: its width is 0 mm");
    outlet(rows);
    rows[1].section.exponent = NAN;
    refused(rows, OUTLET, OUTLET_LENGTH, TB_E_RANGE,
            "section 2: its exponent is nan, 1.05 to 50 is accepted");
    outlet(rows);
    rows[3].section.corner[TB_CORNER_LU] = 39.4;
    refused(rows, OUTLET, OUTLET_LENGTH, TB_E_DEGENERATE,
            "section 4: its right-up and left-up corners need 77.5 mm of the side they share, "
            "which has 76.2 mm");
}
END_TEST

START_TEST(no_sections_or_no_path_are_refused)
{
    TbSectionRow rows[OUTLET];

    outlet(rows);
    refused(rows, 0, OUTLET_LENGTH, TB_E_DEGENERATE, "a path without a section has no shape");
    refused(rows, 1, 0, TB_E_DEGENERATE, "the path is 0 mm long");
    refused(rows, 1, NAN, TB_E_DEGENERATE, "the path is nan mm long");
    refused(rows, 1, INFINITY, TB_E_DEGENERATE, "the path is inf mm long");
    refused(rows, 10001, 1, TB_E_LIMIT, "10001 sections are given, 10000 are accepted");
}
END_TEST

START_TEST(a_station_within_a_rounding_of_an_end_is_at_it)
{
    TbSectionRow rows[2] = {{.section = tb_section_superellipse(40, 30, 2), .station = -4e-6},
                            {.section = tb_section_superellipse(50, 40, 2), .station = 100.000004}};
    TbLaw *law = law_of(rows, 2, 100);

    ck_assert_uint_eq(tb_law_span_count(law), 1);
    ck_assert_double_eq(tb_law_span(law, 0)->start, 0);
    ck_assert_double_eq(tb_law_span(law, 0)->length, 100);
    tb_law_unref(law);
}
END_TEST

START_TEST(every_failed_allocation_is_reported_and_nothing_is_left)
{
    TbSectionRow rows[OUTLET];
    int n = 0;
    bool made = false;

    outlet(rows);
    while (!made) {
        TbLaw *law = NULL, *scaled = NULL;
        TbFault fault = {0};
        TbStatus status;

        tb_mem_fail_at(++n);
        status = tb_law_new(rows, OUTLET, OUTLET_LENGTH, &law, &fault);
        if (status == TB_OK)
            scaled = tb_law_scaled(law, 1.01);
        else
            ck_assert_str_eq(fault.text, "no room for 4 sections");
        ck_assert(status == TB_OK ? law != NULL : status == TB_E_MEMORY && law == NULL);
        made = scaled != NULL;
        tb_mem_fail_at(0);
        tb_law_unref(scaled);
        tb_law_unref(law);
    }
    ck_assert_int_eq(n, 4); /* the rows, the law, the grown law, and then none fails */
}
END_TEST

START_TEST(reading_a_law_allocates_nothing)
{
    TbSectionRow rows[OUTLET];
    TbLaw *law;
    TbVec2 p[64];
    double sum = 0;

    outlet(rows);
    law = law_of(rows, OUTLET, OUTLET_LENGTH);
    tb_mem_fail_at(1000);
    for (double s = 0; s < OUTLET_LENGTH; s += 17.3) {
        TbSlice slice = tb_law_at(law, s);

        sum += tb_slice_support(&slice, tb_vec2(0.3, 0.7), true, &p[0]);
        sum += tb_slice_perimeter(&slice, true) + tb_slice_moments(&slice, true).area;
        tb_slice_outline(&slice, true, 64, p);
    }
    ck_assert_int_eq(tb_mem_requests(), 0);
    tb_mem_fail_at(0);
    ck_assert(isfinite(sum));
    tb_law_unref(law);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/law");
    TCase *tc = tcase_create("given sections");

    tcase_add_test(tc, given_sections_are_met_with_turn_offset_and_wall);
    tcase_add_test(tc, a_turn_takes_the_top_to_the_right);
    tcase_add_test(tc, before_the_first_and_after_the_last_section_nothing_changes);
    tcase_add_test(tc, one_section_is_the_same_everywhere);
    tcase_add_test(tc, a_station_belongs_to_the_span_that_begins_there);
    suite_add_tcase(suite, tc);
    tc = tcase_create("area");
    tcase_set_timeout(tc, 60);
    tcase_add_loop_test(tc, an_area_that_grows_at_the_sections_never_shrinks_between, 0, 4);
    tcase_add_loop_test(tc, sampled_outlines_never_shrink_and_have_the_laws_area, 0, 4);
    tcase_add_test(tc, width_over_height_follows_its_cubic);
    tcase_add_test(tc, a_section_that_lies_down_while_it_grows_does_not_swell);
    tcase_add_test(tc, growth_is_the_derivative_of_the_area);
    suite_add_tcase(suite, tc);
    tc = tcase_create("between");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, turn_wall_and_offset_stay_between_their_neighbours);
    tcase_add_test(tc, a_held_size_has_monotone_width_and_height_on_both_sides);
    tcase_add_test(tc, everything_is_smooth_through_a_given_section);
    suite_add_tcase(suite, tc);
    tc = tcase_create("slices");
    tcase_set_timeout(tc, 60);
    tcase_add_loop_test(tc, every_blend_is_convex, 0, 2);
    tcase_add_test(tc, no_blend_has_a_corner);
    tcase_add_test(tc, outer_outline_is_the_inner_one_offset_by_the_wall);
    tcase_add_test(tc, turned_and_untwisted_supports_agree);
    tcase_add_loop_test(tc, area_and_perimeter_agree_with_a_walk_along_the_outline, 0, 2);
    tcase_add_test(tc, reach_is_never_short_and_hardly_long);
    suite_add_tcase(suite, tc);
    tc = tcase_create("moments");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, moments_of_an_ellipse_are_closed_forms);
    tcase_add_test(tc, moments_of_a_stadium_are_closed_forms_inside_and_outside);
    tcase_add_test(tc, moments_of_blends_agree_with_fine_polygons);
    tcase_add_test(tc, moments_of_slivers_miss_no_corner);
    tcase_add_test(tc, moments_of_the_most_lopsided_blends_have_the_laws_area);
    suite_add_tcase(suite, tc);
    tc = tcase_create("outlines");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, outline_points_lie_on_the_outline_in_order);
    tcase_add_test(tc, outline_of_a_symmetric_section_is_symmetric_and_starts_at_its_top);
    tcase_add_test(tc, outline_of_a_circle_is_a_regular_polygon);
    tcase_add_test(tc, counted_outlines_keep_their_chord_and_waste_little);
    suite_add_tcase(suite, tc);
    tc = tcase_create("whole laws");
    tcase_add_test(tc, a_grown_law_is_the_law_of_grown_sections);
    tcase_add_test(tc, a_law_lives_as_long_as_its_last_reference);
    suite_add_tcase(suite, tc);
    tc = tcase_create("refused");
    tcase_add_test(tc, a_section_beyond_the_end_is_refused_with_both_stations);
    tcase_add_test(tc, sections_in_one_place_or_out_of_order_are_refused);
    tcase_add_test(tc, a_bad_section_is_refused_by_its_row);
    tcase_add_test(tc, no_sections_or_no_path_are_refused);
    tcase_add_test(tc, a_station_within_a_rounding_of_an_end_is_at_it);
    tcase_add_test(tc, every_failed_allocation_is_reported_and_nothing_is_left);
    tcase_add_test(tc, reading_a_law_allocates_nothing);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
