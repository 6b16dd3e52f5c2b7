/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "random_sweep.h"

#include "geom/tol.h"

/* mm. What GJK and the sampled points may be off: their hulls' distance is iterated to 1e-11. */
#define SAMPLE_SLACK 1e-8

/** How far a point lies outside the hull of a strip's two end discs, at least. */
static double
outside_hull(const TbStrip *strip, TbVec3 p)
{
    TbConvex hull = tb_strip_convex(strip, true);
    TbConvex point = tb_convex_of_point(p);
    TbSeparation s;

    hull.bound = NULL;
    s = tb_convex_separation(&point, &hull, tb_vec3_sub(p, strip->disc0.centre), INFINITY, 1e-11);
    return fmax(0, s.hull);
}

/** A point of the outside whose normal in the plane is random, graded towards the axes. */
static TbVec3
random_point(gsl_rng *rng, const TbStrip *strip, double share)
{
    TbDisc disc = tb_piece_disc(strip->piece, strip->u0 + share * (strip->u1 - strip->u0));
    double angle = between(rng, -M_PI, M_PI);

    if (gsl_rng_uniform(rng) < 0.3)
        angle = 0.5 * M_PI * (double)gsl_rng_uniform_int(rng, 4) + disc.slice.turn +
                pow(10, between(rng, -6, -1)) * (gsl_rng_uniform(rng) < 0.5 ? -1 : 1);
    return tb_disc_point(&disc, angle, true, NULL);
}

START_TEST(points_of_a_strip_lie_in_the_hull_of_its_ends_widened)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    long points = 0, strips = 0;
    double worst = 0;

    gsl_rng_set(rng, 20260101u + (unsigned)_i);
    while (points < 60000) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 90));

        for (int k = 0; k < 60; k++) {
            TbStrip strip;

            if (!random_strip(rng, sweep, &strip))
                continue;
            ck_assert(strip.bound.known);
            strips++;
            for (int i = 0; i < 16; i++) {
                double share = i < 8 ? 0.5 : gsl_rng_uniform(rng);
                double away = outside_hull(&strip, random_point(rng, &strip, share));

                ck_assert_msg(away <= strip.bound.widening + SAMPLE_SLACK,
                              "%.9f mm outside, widening %.9f, u %.3f to %.3f", away,
                              strip.bound.widening, strip.u0, strip.u1);
                if (strip.bound.widening > 1e-5)
                    worst = fmax(worst, away / strip.bound.widening);
                points++;
            }
        }
        tb_sweep_unref(sweep);
    }
    ck_assert(strips > 3000);
    /* the bound is not idle: some strip uses a good part of it */
    ck_assert_msg(worst > 0.3, "only %.3f of the widening used", worst);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(no_direction_reaches_beyond_hull_and_excess)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double most = 0;
    long asked = 0;

    gsl_rng_set(rng, 77u + (unsigned)_i);
    while (asked < 12000) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 90));

        for (int k = 0; k < 40; k++) {
            TbStrip strip;
            TbConvex body;

            if (!random_strip(rng, sweep, &strip))
                continue;
            body = tb_strip_convex(&strip, true);
            for (int i = 0; i < 10; i++) {
                TbDisc middle = tb_piece_disc(strip.piece, 0.5 * (strip.u0 + strip.u1));
                double angle = between(rng, -M_PI, M_PI), reach = -INFINITY;
                TbVec3 d = random_direction(rng), contact;
                TbSupport support;

                if (i & 1) /* nearly square to the path: where strips stray */
                    d = tb_vec3_unit(
                        tb_vec3_add(tb_vec3_add(tb_vec3_scale(middle.w, sin(angle)),
                                                tb_vec3_scale(middle.h, cos(angle))),
                                    tb_vec3_scale(middle.frame.t, between(rng, -0.2, 0.2))));
                support = tb_convex_support(&body, d);
                for (int j = 0; j <= 16; j++) {
                    TbDisc disc =
                        tb_piece_disc(strip.piece, strip.u0 + (strip.u1 - strip.u0) * j / 16);

                    reach = fmax(reach, tb_disc_support(&disc, d, true, &contact));
                }
                ck_assert_msg(reach <= support.reach + support.beyond + TB_TOL_ROUND,
                              "reaches %.12f, hull %.12f and %.12f", reach, support.reach,
                              support.beyond);
                if (support.beyond > 1e-6)
                    most = fmax(most, (reach - support.reach) / support.beyond);
                asked++;
            }
        }
        tb_sweep_unref(sweep);
    }
    ck_assert_msg(most > 0.5, "only %.3f of the excess used", most);
    gsl_rng_free(rng);
}
END_TEST

/** Largest share of the widening that the outside of a bend R 120, r 32 uses. */
static double
share_used_by_a_bend(void)
{
    TbSweep *sweep = bend_sweep(120, 0, M_PI / 2, 30, 64, 2);
    double most = 0;

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);
        TbStrip strip = tb_strip_of(piece, 0, 0.6 * piece->extent, true);
        TbDisc disc = tb_piece_disc(piece, 0.3 * piece->extent);
        TbVec3 out = tb_vec3_unit(disc.centre), p;

        if (piece->span->kind != TB_SPAN_ARC)
            continue;
        tb_disc_support(&disc, out, true, &p);
        most = fmax(most, outside_hull(&strip, p) / strip.bound.widening);
    }
    tb_sweep_unref(sweep);
    return most;
}

START_TEST(outside_of_a_bend_uses_nearly_all_and_more_than_a_halved_bound)
{
    double whole = share_used_by_a_bend(), halved;

    ck_assert_msg(whole > 0.9 && whole <= 1, "share %.6f", whole);
    tb_strip_stray_factor = 0.5;
    halved = share_used_by_a_bend();
    tb_strip_stray_factor = 1;
    ck_assert_msg(halved > 1.5, "a halved bound is not seen: %.6f", halved);
}
END_TEST

START_TEST(straight_bar_does_not_stray)
{
    TbSweep *sweep = straight_sweep(tb_vec3(1, 2, 3), tb_vec3(311.7, -12, 48),
                                    tb_section_superellipse(43.7, 21.9, 2.6));
    const TbPiece *piece = tb_sweep_piece(sweep, 0);
    TbStrip strip = tb_strip_of(piece, 0, piece->extent, true);

    ck_assert(strip.bound.known);
    ck_assert_double_eq(strip.bound.widening, 0);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(bound_of_an_arc_is_the_closed_form)
{
    /* a circle of radius r carried along an arc of radius R: |P''| = (R + r)/R^2 at the outside,
     * and the bound takes the eight-sided hull of the circle, r / cos(22.5 deg) */
    double R = 87.3, r = 21.4;
    TbSweep *sweep = bend_sweep(R, 0.2, 1.4, 12, 2 * r, 1.5);

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);
        TbStrip strip = tb_strip_of(piece, 0, piece->extent, true);
        double least = (R + r) / (R * R), most = (R + r / cos(M_PI / 8)) / (R * R);

        if (piece->span->kind != TB_SPAN_ARC)
            continue;
        ck_assert_double_ge(strip.bound.stray, least);
        ck_assert_double_le(strip.bound.stray, most * (1 + 1e-6));
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(balls_and_boxes_hold_their_strips)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 5);
    for (int n = 0; n < 40; n++) {
        TbSweep *sweep = random_sweep(rng, 60);

        for (int k = 0; k < 20; k++) {
            TbStrip strip;
            TbVec3 centre;
            TbBox3 box;
            double radius;

            if (!random_strip(rng, sweep, &strip))
                continue;
            centre = tb_strip_ball(&strip, &radius);
            box = tb_strip_box(&strip);
            for (int i = 0; i < 20; i++) {
                TbVec3 p = random_point(rng, &strip, gsl_rng_uniform(rng));

                ck_assert(tb_vec3_distance(p, centre) <= radius);
                ck_assert(tb_box3_point_distance2(box, p) == 0);
            }
        }
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

/*
 * A stranger read the boxes: a disc's reach along an axis was radius * sqrt(1 - t.x^2). A lean of
 * 1e-8 rad makes t.x round to 1 and the reach 0, though the rim of an 800 mm disc stands 4e-6 mm
 * out: 4000 times TB_TOL_ROUND, and a box is a lower end of a gap. The same in the box of a rod,
 * and by acos in that of a sweep. Now the sine is taken from the other two coordinates, to
 * rounding.
 */
START_TEST(boxes_hold_discs_that_lean_by_next_to_nothing)
{
    for (double lean = 1e-10; lean < 1e-6; lean *= 1.7) {
        TbVec3 a = {3.1, -7.7, 11.9}, b = {3.1 + 700, -7.7 + 700 * lean, 11.9 - 200 * lean};
        TbSweep *sweep = straight_sweep(a, b, tb_section_superellipse(800, 800, 2));
        TbStrip strip = tb_strip_of(tb_sweep_piece(sweep, 0), 0, 351.7, true);
        TbPlain rod = {.kind = TB_PLAIN_ROD, .rod = {a, b, 400, 400}};
        TbBox3 boxes[3] = {tb_strip_box(&strip), tb_sweep_box(sweep), tb_plain_box(&rod)};

        for (int i = 0; i < 360; i++) {
            TbVec3 p = tb_disc_point(&strip.disc0, i * M_PI / 180, true, NULL);

            for (int k = 0; k < 3; k++)
                ck_assert_msg(tb_box3_point_distance2(boxes[k], p) <= TB_TOL_ROUND * TB_TOL_ROUND,
                              "box %d, lean %g: a rim point is out by %g mm", k, lean,
                              sqrt(tb_box3_point_distance2(boxes[k], p)));
        }
        tb_sweep_unref(sweep);
    }
}
END_TEST

/** Point of the outside with the unit shape's normal at v kept: tan(angle) = a/b tan(v). */
static TbVec3
kept_normal(const TbPiece *piece, double u, double v)
{
    TbDisc disc = tb_piece_disc(piece, u);
    TbVec3 d = tb_vec3_add(tb_vec3_scale(disc.w, cos(v) / disc.slice.a),
                           tb_vec3_scale(disc.h, sin(v) / disc.slice.b));
    TbVec3 contact;

    tb_disc_support(&disc, d, true, &contact);
    return contact;
}

START_TEST(skin_points_of_one_normal_stay_near_their_chord)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double most = 0;

    gsl_rng_set(rng, 31);
    for (int n = 0; n < 120; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 90));

        for (int k = 0; k < 40; k++) {
            TbStrip strip;
            double v = between(rng, 0, 2 * M_PI), share = between(rng, 0.2, 0.8), stray, bound;
            TbVec3 p0, p1, p;

            if (!random_strip(rng, sweep, &strip))
                continue;
            p0 = kept_normal(strip.piece, strip.u0, v);
            p1 = kept_normal(strip.piece, strip.u1, v);
            p = kept_normal(strip.piece, strip.u0 + share * (strip.u1 - strip.u0), v);
            stray = tb_vec3_distance(p, tb_vec3_mix(p0, p1, share));
            bound = 4 * share * (1 - share) * strip.bound.eighth * strip.bound.skin;
            ck_assert_msg(stray <= bound + SAMPLE_SLACK, "%.9f mm, bound %.9f", stray, bound);
            if (bound > 1e-4)
                most = fmax(most, stray / bound);
        }
        tb_sweep_unref(sweep);
    }
    ck_assert_msg(most > 0.3, "only %.3f used", most);
    gsl_rng_free(rng);
}
END_TEST

/** A point of the filled disc's rim or inside, any. */
static TbVec3
any_point(gsl_rng *rng, const TbDisc *disc)
{
    TbVec3 rim = tb_disc_point(disc, between(rng, -M_PI, M_PI), true, NULL);
    double inward = gsl_rng_uniform(rng) < 0.8 ? 0 : gsl_rng_uniform(rng);

    return tb_vec3_mix(rim, tb_disc_point(disc, between(rng, -M_PI, M_PI), true, NULL), inward);
}

/** The largest of d . (p - q) over sampled points of the two strips that count. */
static double
sampled_reach(gsl_rng *rng, const TbStrip *a, const TbStrip *b, double apart, TbVec3 d)
{
    double most = -INFINITY;

    for (int i = 0; i < 60; i++) {
        double k = gsl_rng_uniform(rng), from;
        TbDisc p = tb_piece_disc(a->piece, a->u0 + k * (a->u1 - a->u0)), q;
        TbVec3 on_p, on_q;

        from = fmax(p.station + apart, b->disc0.station);
        if (from > b->disc1.station)
            continue;
        /* half of them at the least distance along the path */
        q = tb_piece_disc(
            b->piece,
            tb_piece_u(b->piece, i % 2 == 0 ? from : between(rng, from, b->disc1.station)));
        if (q.station - p.station < apart)
            continue;
        most = fmax(most, tb_disc_support(&p, d, true, &on_p) +
                              tb_disc_support(&q, tb_vec3_neg(d), true, &on_q));
        most = fmax(most, tb_vec3_dot(d, tb_vec3_sub(any_point(rng, &p), any_point(rng, &q))));
    }
    return most;
}

START_TEST(staggered_strips_reach_no_further_than_their_stagger)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    long staggers = 0, near = 0;

    gsl_rng_set(rng, 61u + (unsigned)_i);
    while (staggers < 1500) {
        TbSweep *sweep = random_sweep(rng, between(rng, 10, 60));
        size_t pieces = tb_sweep_piece_count(sweep);

        for (int k = 0; k < 20; k++) {
            size_t first = gsl_rng_uniform_int(rng, pieces), step = gsl_rng_uniform_int(rng, 4);
            const TbPiece *pa = tb_sweep_piece(sweep, first);
            const TbPiece *pb = tb_sweep_piece(sweep, first + step < pieces ? first + step : first);
            double ua = gsl_rng_uniform(rng) * pa->extent, ub = gsl_rng_uniform(rng) * pb->extent;
            TbStrip a = tb_strip_of(pa, k % 2 == 0 ? 0 : ua, pa->extent, true);
            TbStrip b = tb_strip_of(pb, k % 3 == 0 ? ub : 0, pb->extent, true);
            double least = b.disc0.station - a.disc1.station;
            double most = b.disc1.station - a.disc0.station;
            double apart = between(rng, fmax(0.1, least), most);
            TbConvex body;
            TbStagger stagger;

            ck_assert(!tb_stagger_of(&a, &b, most + 1e-6, &stagger));
            if (!(apart < most))
                continue;
            ck_assert(tb_stagger_of(&a, &b, apart, &stagger));
            body = tb_stagger_convex(&stagger);
            staggers++;
            for (int i = 0; i < 8; i++) {
                TbVec3 d = random_direction(rng);
                TbSupport s = tb_convex_support(&body, d);
                double reach = sampled_reach(rng, &a, &b, apart, d);

                ck_assert_msg(reach <= s.reach + s.beyond + SAMPLE_SLACK,
                              "%.9f mm beyond, strips of %.3f and %.3f mm, apart %.3f",
                              reach - s.reach - s.beyond, a.u1 - a.u0, b.u1 - b.u0, apart);
                near += reach > s.reach - 0.3;
            }
        }
        tb_sweep_unref(sweep);
    }
    /* it is no idle bound: samples come near it */
    ck_assert_int_gt(near, staggers);
    gsl_rng_free(rng);
}
END_TEST

/** How far (k, l) lies outside the polygon of a stagger, which runs left-handed round the square.
 */
static double
outside_polygon(const TbStagger *stagger, double k, double l)
{
    double out = 0;

    for (int i = 0; i < stagger->count; i++) {
        int next = (i + 1) % stagger->count;
        TbVec2 side = tb_vec2(stagger->share_a[next] - stagger->share_a[i],
                              stagger->share_b[next] - stagger->share_b[i]);
        TbVec2 way = tb_vec2(k - stagger->share_a[i], l - stagger->share_b[i]);
        double length = tb_vec2_length(side);

        if (length > 1e-9)
            out = fmax(out, -tb_vec2_cross(side, way) / length);
    }
    return out;
}

START_TEST(polygon_of_a_stagger_holds_all_stations_that_count)
{
    /* uneven knots: the speed varies by half along a span */
    TbVec3 p[5] = {{0, 0, 0}, {31, 2, 0}, {74, 60, 11}, {75, 99, 40}, {213, 130, 61}};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSectionRow row = {.section = tb_section_superellipse(9, 9, 2)};
    TbCurve *curve = NULL;
    TbSweep *sweep;
    size_t pieces;

    gsl_rng_set(rng, 8);
    ck_assert_int_eq(tb_curve_smooth_new(p, 5, NULL, NULL, &curve, NULL), TB_OK);
    sweep = sweep_of(curve, &row, 1);
    pieces = tb_sweep_piece_count(sweep);
    for (int i = 0; i < 4000; i++) {
        size_t first = gsl_rng_uniform_int(rng, pieces), step = gsl_rng_uniform_int(rng, 4);
        const TbPiece *pa = tb_sweep_piece(sweep, first);
        const TbPiece *pb = tb_sweep_piece(sweep, first + step < pieces ? first + step : first);
        TbStrip a = tb_strip_of(pa, 0, pa->extent, true), b = tb_strip_of(pb, 0, pb->extent, true);
        double least = fmax(0.01, b.disc0.station - a.disc1.station);
        double apart = between(rng, least, b.disc1.station - a.disc0.station);
        TbStagger stagger;

        ck_assert(tb_stagger_of(&a, &b, apart, &stagger));
        for (int j = 0; j < 20; j++) {
            double station = between(rng, a.disc0.station, a.disc1.station);
            double other = station + apart;
            double k = tb_piece_u(pa, station) / pa->extent, l, out;

            if (other < b.disc0.station || other > b.disc1.station)
                continue;
            l = tb_piece_u(pb, other) / pb->extent;
            out = outside_polygon(&stagger, k, l);
            ck_assert_msg(out <= 1e-12, "share %.6f and %.6f: %.3g outside", k, l, out);
        }
    }
    gsl_rng_free(rng);
    tb_sweep_unref(sweep);
}
END_TEST

static Suite *
bound_suite(void)
{
    Suite *suite = suite_create("geom/bound");
    TCase *samples = tcase_create("samples");
    TCase *exact = tcase_create("closed forms");

    tcase_set_timeout(samples, 120);
    tcase_add_loop_test(samples, points_of_a_strip_lie_in_the_hull_of_its_ends_widened, 0, 4);
    tcase_add_loop_test(samples, no_direction_reaches_beyond_hull_and_excess, 0, 2);
    tcase_add_test(samples, balls_and_boxes_hold_their_strips);
    tcase_add_test(samples, boxes_hold_discs_that_lean_by_next_to_nothing);
    tcase_add_test(samples, skin_points_of_one_normal_stay_near_their_chord);
    tcase_add_test(samples, polygon_of_a_stagger_holds_all_stations_that_count);
    tcase_add_loop_test(samples, staggered_strips_reach_no_further_than_their_stagger, 0, 2);
    suite_add_tcase(suite, samples);
    tcase_add_test(exact, outside_of_a_bend_uses_nearly_all_and_more_than_a_halved_bound);
    tcase_add_test(exact, straight_bar_does_not_stray);
    tcase_add_test(exact, bound_of_an_arc_is_the_closed_form);
    suite_add_tcase(suite, exact);
    return suite;
}

int
main(void)
{
    return tb_test_main(bound_suite());
}
