/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/ring.h"
#include "random_sweep.h"

#include "geom/tol.h"

/* mm. Rounding of points 100 mm from the path, brought into space and back. */
#define ROUNDING 1e-10

enum { KINDS = 12, DIRECTIONS = 40 };

/** Every kind of outline at its limits. */
static TbSection
kind_of_section(int kind)
{
    static const double exponent[] = {2, 1.05, 1.37, 2.6, 7.9, 40};
    TbSection s;

    switch (kind) {
    case 6: /* a rectangle: the corner as sharp as it is accepted */
        return tb_section_rounded(83.1, 47.7, TB_SECTION_LEAST);
    case 7: /* stadium */
        return tb_section_rounded(91.3, 38.6, 19.3);
    case 8: /* D shape: half a circle, half a rectangle */
        s = tb_section_rounded(52.4, 63.8, 1);
        s.corner[TB_CORNER_RU] = s.corner[TB_CORNER_RD] = 31.9;
        return s;
    case 9: /* hull of four discs, off its middle */
        s = tb_section_rounded(74.9, 57.3, 1);
        s.corner[TB_CORNER_RU] = 3.3;
        s.corner[TB_CORNER_LU] = 22.7;
        s.corner[TB_CORNER_LD] = 9.1;
        s.corner[TB_CORNER_RD] = 41.2;
        s.half[TB_SIDE_RIGHT] = 21.9;
        s.half[TB_SIDE_LEFT] = 53;
        return s;
    case 10: /* uneven halves */
        s = tb_section_superellipse(66.1, 44.3, 3.4);
        s.half[TB_SIDE_UP] = 37.2;
        s.half[TB_SIDE_LEFT] = 11.8;
        return s;
    case 11: /* flat as a letter */
        return tb_section_superellipse(120.7, 9.3, 2.2);
    default:
        return tb_section_superellipse(48.3 + 9 * kind, 61.7 - 5 * kind, exponent[kind]);
    }
}

/** From one kind to another along a bend, turned, shifted, the wall growing from @p wall. */
static TbSweep *
sweep_of_kinds(int from, int to, double wall)
{
    TbVec3 p[3] = {{-31.7, 12.4, 8.8}, {74.2, 3.1, 47.9}, {161.3, -88.6, 59.4}};
    TbSectionRow row[2] = {{.section = kind_of_section(from)}, {.section = kind_of_section(to)}};
    TbCurve *curve = NULL;
    TbFault fault = {0};

    ck_assert(tb_curve_smooth_new(p, 3, NULL, NULL, &curve, &fault) == TB_OK);
    row[0].section.wall = wall;
    row[1].section.wall = 2 * wall;
    row[1].section.turn = 0.41;
    row[1].section.offset = tb_vec2(4.7, -3.9);
    row[1].station = tb_curve_length(curve);
    return sweep_of(curve, row, 2);
}

/** A point in the section's own axes. */
static TbVec2
in_plane(const TbDisc *disc, TbVec3 p)
{
    TbVec3 way = tb_vec3_sub(p, disc->centre);

    return tb_vec2(tb_vec3_dot(way, disc->w), tb_vec3_dot(way, disc->h));
}

/** The outline's normal where the unit shape's is v. */
static TbVec2
outline_normal(const TbSlice *slice, TbVec2 v)
{
    TbVec2 n = {v.x * slice->b, v.y * slice->a};

    return tb_vec2_scale(n, 1 / tb_vec2_length(n));
}

/** How far p lies outside the triangle a, b, c, which runs right-handed about the path (h to w). */
static double
outside_triangle(TbVec2 p, const TbVec2 corner[3])
{
    double out = 0;

    for (int i = 0; i < 3; i++) {
        TbVec2 side = tb_vec2_sub(corner[(i + 1) % 3], corner[i]);
        double length = tb_vec2_length(side);

        if (length > 1e-7)
            out = fmax(out, tb_vec2_cross(side, tb_vec2_sub(p, corner[i])) / length);
    }
    return out;
}

/** How far p lies from the nearest of three points, and so from their triangle at most. */
static double
from_corners(TbVec2 p, const TbVec2 corner[3])
{
    double least = INFINITY;

    for (int i = 0; i < 3; i++)
        least = fmin(least, tb_vec2_length(tb_vec2_sub(p, corner[i])));
    return least;
}

typedef struct Ring {
    TbDisc disc;
    TbRingPlan plan;
    bool outer;
    TbVec3 contact[TB_RING_MOST], meeting[TB_RING_MOST];
} Ring;

/** The outline's points for many normals between two neighbours lie in their triangle. */
static void
check_cell(gsl_rng *rng, const Ring *ring, size_t k)
{
    const TbSlice *slice = &ring->disc.slice;
    size_t next = (k + 1) % ring->plan.columns;
    TbVec2 corner[3] = {in_plane(&ring->disc, ring->contact[k]),
                        in_plane(&ring->disc, ring->meeting[k]),
                        in_plane(&ring->disc, ring->contact[next])};
    TbVec2 v0 = ring->plan.normal[k], v1 = ring->plan.normal[next];

    ck_assert(tb_vec2_cross(v0, v1) <= 0);
    for (int i = 0; i < 12; i++) {
        double near = pow(10, between(rng, -12, 0)), share = i % 2 == 0 ? near : 1 - near;
        TbVec2 v = tb_vec2_add(tb_vec2_scale(v0, 1 - share), tb_vec2_scale(v1, share)), p;
        double out;

        /* a flat side's normal: its ends are checked from their other sides */
        if (tb_vec2_cross(v0, v) == 0 || tb_vec2_cross(v, v1) == 0)
            continue;
        tb_slice_support_turned(slice, outline_normal(slice, v), ring->outer, &p);
        out = fmin(outside_triangle(p, corner), from_corners(p, corner));
        ck_assert_msg(out <= ROUNDING, "column %zu of %zu: %.3g mm outside", k, ring->plan.columns,
                      out);
    }
}

/** Points are on the outline, meetings on both tangents. */
static void
check_points(const Ring *ring)
{
    const TbSlice *slice = &ring->disc.slice;

    for (size_t k = 0; k < ring->plan.columns; k++) {
        size_t next = (k + 1) % ring->plan.columns;
        TbVec2 n0 = outline_normal(slice, ring->plan.normal[k]), p;
        TbVec2 n1 = outline_normal(slice, ring->plan.normal[next]);
        TbVec2 x = in_plane(&ring->disc, ring->contact[k]);
        TbVec2 m = in_plane(&ring->disc, ring->meeting[k]);
        double h0 = tb_slice_support_turned(slice, n0, ring->outer, &p);
        double h1 = tb_slice_support_turned(slice, n1, ring->outer, &p);

        ck_assert_double_eq_tol(tb_vec2_dot(n0, x), h0, ROUNDING);
        ck_assert_double_eq_tol(tb_vec2_dot(n0, m), h0, ROUNDING);
        ck_assert_double_eq_tol(tb_vec2_dot(n1, m), h1, ROUNDING);
        ck_assert(fabs(tb_vec3_dot(tb_vec3_sub(ring->contact[k], ring->disc.centre),
                                   ring->disc.frame.t)) < ROUNDING);
        for (int i = 0; i < DIRECTIONS; i++) {
            double angle = 2 * M_PI * i / DIRECTIONS + 0.013;
            TbVec2 d = {sin(angle), cos(angle)};

            ck_assert(tb_vec2_dot(d, x) <=
                      tb_slice_support_turned(slice, d, ring->outer, &p) + ROUNDING);
        }
    }
}

/** Rings of a sweep, at the ends of its spans and between. */
static void
check_sweep(gsl_rng *rng, const TbSweep *sweep, size_t columns)
{
    Ring ring;

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i += 2) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);
        double u = i % 3 == 0   ? 0
                   : i % 3 == 1 ? piece->extent
                                : piece->extent * gsl_rng_uniform(rng);

        ring.disc = tb_piece_disc(piece, u);
        ring.outer = i % 4 == 0;
        tb_ring_plan_of_span(piece->law, columns, &ring.plan);
        ck_assert_uint_eq(ring.plan.columns, columns);
        tb_ring_points(&ring.disc, &ring.plan, ring.outer, ring.contact, ring.meeting);
        check_points(&ring);
        for (size_t k = 0; k < columns; k++)
            check_cell(rng, &ring, k);
    }
}

START_TEST(triangles_hold_the_outline_for_every_pair_of_kinds)
{
    static const size_t columns[] = {64, TB_RING_LEAST, 37, TB_RING_MOST};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 40417u + (unsigned)_i);
    for (int to = 0; to < KINDS; to++) {
        TbSweep *sweep = sweep_of_kinds(_i, to, to % 2 == 0 ? 0 : 2.3);

        check_sweep(rng, sweep, columns[to % 4]);
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(triangles_hold_the_outlines_of_random_sweeps)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 991);
    for (int i = 0; i < 25; i++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 5, 90));

        check_sweep(rng, sweep, 64);
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

/** How far the outline may rise over the chord from k: the meeting's height. */
static double
height_at(const Ring *ring, size_t k)
{
    TbVec3 chord = tb_vec3_sub(ring->contact[(k + 1) % ring->plan.columns], ring->contact[k]);
    TbVec3 up = tb_vec3_sub(ring->meeting[k], ring->contact[k]);
    double length = tb_vec3_length(chord);

    return length > 1e-9 ? tb_vec3_length(tb_vec3_cross(chord, up)) / length : 0;
}

START_TEST(heights_over_the_chords_are_about_even)
{
    for (int kind = 0; kind < KINDS; kind++) {
        TbSweep *sweep = sweep_of_kinds(kind, kind, 0);
        const TbPiece *piece = tb_sweep_piece(sweep, 0);
        double most = 0, roots = 0;
        Ring ring;

        ring.disc = tb_piece_disc(piece, 0);
        tb_ring_plan_of_span(piece->law, 64, &ring.plan);
        tb_ring_points(&ring.disc, &ring.plan, false, ring.contact, ring.meeting);
        for (size_t k = 0; k < 64; k++) {
            double height = height_at(&ring, k);

            most = fmax(most, height);
            roots += sqrt(height);
        }
        /* equal steps of the integral of sqrt(length x turning) would make them all
         * (sum of roots / 64)^2; cells of the table are steps, and quadrants round to columns */
        ck_assert_msg(most < 2.5 * (roots / 64) * (roots / 64), "kind %d: %.4f mm, even is %.4f",
                      kind, most, (roots / 64) * (roots / 64));
        tb_sweep_unref(sweep);
    }
}
END_TEST

START_TEST(a_circles_points_are_spread_evenly)
{
    TbVec3 a = {0, 0, 0}, b = {100, 0, 0};
    TbSweep *bar = straight_sweep(a, b, tb_section_superellipse(43.7, 43.7, 2));
    const TbPiece *piece = tb_sweep_piece(bar, 0);
    Ring ring;

    ring.disc = tb_piece_disc(piece, 0);
    tb_ring_plan_of_span(piece->law, 64, &ring.plan);
    tb_ring_points(&ring.disc, &ring.plan, false, ring.contact, ring.meeting);
    for (size_t k = 0; k < 64; k++) {
        double step = tb_vec3_distance(ring.contact[k], ring.contact[(k + 1) % 64]);

        ck_assert_double_eq_tol(step, 43.7 * sin(M_PI / 64), 0.04 * step);
    }
    tb_sweep_unref(bar);
}
END_TEST

START_TEST(columns_run_through_given_sections)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 5501);
    for (int i = 0; i < 40; i++) {
        TbSweep *sweep = random_sweep(rng, 60);
        const TbLaw *law = tb_sweep_law(sweep);
        size_t spans = tb_law_span_count(law);

        for (size_t k = 1; k < spans; k++) {
            double station = tb_law_span(law, k)->start;
            double stations[2] = {station - 1e-7, station};
            TbVec3 points[2 * 48];

            tb_sweep_rings(sweep, stations, 2, 48, true, points);
            for (size_t c = 0; c < 48; c++)
                ck_assert_msg(tb_vec3_distance(points[c], points[48 + c]) < 1e-5,
                              "column %zu jumps by %g mm", c,
                              tb_vec3_distance(points[c], points[48 + c]));
        }
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(rings_of_a_sweep_are_rings_of_its_discs)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 771);
    for (int i = 0; i < 20; i++) {
        TbSweep *sweep = random_sweep(rng, 45);
        double length = tb_sweep_length(sweep), stations[9];
        TbVec3 points[9 * 32];

        for (int k = 0; k < 9; k++)
            stations[k] = length * (k / 7.0 - 1.0 / 14);
        tb_sweep_rings(sweep, stations, 9, 32, i % 2 == 0, points);
        for (int k = 0; k < 9; k++) {
            TbDisc disc = tb_sweep_at(sweep, stations[k]);

            for (int c = 0; c < 32; c++) {
                TbVec3 p = points[32 * k + c], contact;
                TbVec3 way = tb_vec3_sub(p, disc.centre);

                /* in its plane, and inside every support line */
                ck_assert_double_lt(fabs(tb_vec3_dot(way, disc.frame.t)), 1e-9);
                for (int j = 0; j < DIRECTIONS; j++) {
                    TbVec3 d = random_direction(rng);

                    ck_assert(tb_vec3_dot(d, p) <=
                              tb_disc_support(&disc, d, i % 2 == 0, &contact) + 1e-9);
                }
            }
        }
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_rectangles_flat_sides_are_single_steps)
{
    TbSweep *sweep = sweep_of_kinds(6, 6, 0);
    const TbPiece *piece = tb_sweep_piece(sweep, 0);
    double flat = 0;
    Ring ring;

    ring.disc = tb_piece_disc(piece, 0);
    tb_ring_plan_of_span(piece->law, 64, &ring.plan);
    tb_ring_points(&ring.disc, &ring.plan, false, ring.contact, ring.meeting);
    for (size_t q = 0; q < 4; q++) {
        size_t k = ring.plan.last[q], next = (k + 1) % 64;

        ck_assert_uint_lt(k, 64);
        ck_assert_double_eq(ring.plan.normal[k].x, ring.plan.normal[next].x);
        flat += tb_vec3_distance(ring.contact[k], ring.contact[next]);
        ck_assert_double_lt(height_at(&ring, k), ROUNDING);
    }
    ck_assert_double_eq_tol(flat, 2 * (83.1 + 47.7 - 4 * TB_SECTION_LEAST), 1e-9);
    tb_sweep_unref(sweep);
}
END_TEST

static Suite *
ring_suite(void)
{
    Suite *suite = suite_create("geom/ring");
    TCase *holds = tcase_create("triangles");
    TCase *spread = tcase_create("spread");

    tcase_set_timeout(holds, 120);
    tcase_add_loop_test(holds, triangles_hold_the_outline_for_every_pair_of_kinds, 0, KINDS);
    tcase_add_test(holds, triangles_hold_the_outlines_of_random_sweeps);
    suite_add_tcase(suite, holds);
    tcase_add_test(spread, heights_over_the_chords_are_about_even);
    tcase_add_test(spread, a_circles_points_are_spread_evenly);
    tcase_add_test(spread, columns_run_through_given_sections);
    tcase_add_test(spread, rings_of_a_sweep_are_rings_of_its_discs);
    tcase_add_test(spread, a_rectangles_flat_sides_are_single_steps);
    suite_add_tcase(suite, spread);
    return suite;
}

int
main(void)
{
    return tb_test_main(ring_suite());
}
