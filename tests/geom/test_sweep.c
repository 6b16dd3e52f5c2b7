/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "sweep_cases.h"

#include "base/mem.h"
#include "geom/tol.h"

#include <string.h>

static double
off_square(TbFrame f)
{
    double worst = fabs(tb_vec3_length(f.t) - 1);

    worst = fmax(worst, fabs(tb_vec3_length(f.h) - 1));
    worst = fmax(worst, fabs(tb_vec3_dot(f.t, f.h)));
    return fmax(worst, tb_vec3_distance(f.w, tb_vec3_cross(f.t, f.h)));
}

/* ---- pieces ---- */

START_TEST(pieces_follow_each_other_without_a_gap)
{
    TbSweep *sweep = outlet();
    size_t count = tb_sweep_piece_count(sweep);

    ck_assert_double_eq(tb_sweep_piece(sweep, 0)->station0, 0);
    for (size_t i = 1; i < count; i++) {
        const TbPiece *a = tb_sweep_piece(sweep, i - 1), *b = tb_sweep_piece(sweep, i);

        ck_assert_double_eq_tol(a->station0 + a->length, b->station0, 1e-12 * b->station0);
        ck_assert_double_gt(a->extent, 0);
        ck_assert_double_gt(a->length, 0);
        ck_assert_double_le(
            tb_vec3_distance(tb_piece_disc(a, a->extent).centre, tb_piece_disc(b, 0).centre),
            1e-11);
    }
    ck_assert_double_eq_tol(tb_sweep_piece(sweep, count - 1)->station0 +
                                tb_sweep_piece(sweep, count - 1)->length,
                            tb_sweep_length(sweep), 1e-12 * tb_sweep_length(sweep));
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(no_piece_straddles_a_given_section)
{
    TbSweep *sweep = outlet();

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *p = tb_sweep_piece(sweep, i);

        ck_assert_double_ge(p->station0, p->law->start - 1e-12);
        ck_assert_double_le(p->station0 + p->length, p->law->start + p->law->length + 1e-9);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(bend_is_never_below_the_tangents_turning)
{
    TbSweep *sweep = outlet();

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *p = tb_sweep_piece(sweep, i);

        ck_assert_double_le(p->bend * p->extent, TB_PIECE_TURN);
        for (int j = 0; j <= 200; j++) {
            TbSpanJet jet = tb_span_jet(p->span, p->u0 + p->extent * j / 200);
            TbVec3 t = tb_vec3_unit(jet.c1);
            double turning = tb_vec3_length(tb_vec3_across(jet.c2, t)) / tb_vec3_length(jet.c1);

            ck_assert_double_le(turning, p->bend * (1 + 1e-13));
        }
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(stations_of_pieces_are_those_of_the_curve)
{
    TbSweep *sweep = outlet();
    const TbCurve *curve = tb_sweep_curve(sweep);

    for (int i = 0; i <= 300; i++) {
        double s = tb_sweep_length(sweep) * i / 300;
        TbDisc disc = tb_sweep_at(sweep, s);

        ck_assert_double_eq_tol(disc.station, s, 1e-11);
        ck_assert_double_le(tb_vec3_distance(disc.centre, tb_curve_at(curve, s).point), 1e-10);
    }
    ck_assert_double_eq(tb_sweep_at(sweep, -4).station, 0);
    ck_assert_double_eq_tol(tb_sweep_at(sweep, 1e9).station, tb_sweep_length(sweep), 1e-12);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(a_joint_belongs_to_the_piece_that_begins_there)
{
    TbSweep *sweep = outlet();

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++)
        ck_assert_uint_eq(tb_sweep_find(sweep, tb_sweep_piece(sweep, i)->station0), i);
    ck_assert_uint_eq(tb_sweep_find(sweep, -1), 0);
    ck_assert_uint_eq(tb_sweep_find(sweep, 1e9), tb_sweep_piece_count(sweep) - 1);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(a_section_at_a_bends_end_makes_no_sliver)
{
    TbCurve *curve = one_bend(76.2, 90, 61.7);
    TbSectionRow rows[3] = {
        row_at(0, tb_section_superellipse(43.7, 43.7, 2), 0, 1.5),
        row_at(61.7, tb_section_superellipse(45.7, 41.2, 2), 0, 1.5),
        row_at(61.7 + 76.2 * M_PI / 2, tb_section_superellipse(51.7, 41.9, 2), 0, 1.5),
    };
    TbSweep *sweep = sweep_of(curve, rows, 3, NULL);

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++)
        ck_assert_double_gt(tb_sweep_piece(sweep, i)->length, 1);
    ck_assert_double_eq_tol(2 * tb_sweep_at(sweep, 61.7).slice.a, 45.7, 1e-9);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* ---- frames ---- */

START_TEST(frames_are_orthonormal_everywhere)
{
    TbSweep *sweep = outlet();

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++)
        for (int j = 0; j <= 20; j++) {
            const TbPiece *p = tb_sweep_piece(sweep, i);
            TbDisc d = tb_piece_disc(p, p->extent * j / 20);

            ck_assert_double_le(off_square(d.frame), 1e-12);
            ck_assert_double_le(off_square((TbFrame){d.frame.t, d.h, d.w}), 1e-12);
        }
    tb_sweep_unref(sweep);
}
END_TEST

/** dh/du near an end of a piece, one-sided, of third order. */
static TbVec3
slope_of_h(const TbPiece *p, double u, double step)
{
    TbVec3 f0 = tb_piece_disc(p, u).frame.h, f1 = tb_piece_disc(p, u + step).frame.h;
    TbVec3 f2 = tb_piece_disc(p, u + 2 * step).frame.h, f3 = tb_piece_disc(p, u + 3 * step).frame.h;
    TbVec3 sum = tb_vec3_add_scaled(tb_vec3_scale(f1, 3), -1.5, f2);

    sum = tb_vec3_add_scaled(sum, 1.0 / 3, f3);
    return tb_vec3_scale(tb_vec3_add_scaled(sum, -11.0 / 6, f0), 1 / step);
}

START_TEST(the_frame_is_smooth_over_every_joint_of_pieces)
{
    TbSweep *sweep = outlet();

    for (size_t i = 1; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *a = tb_sweep_piece(sweep, i - 1), *b = tb_sweep_piece(sweep, i);
        double step = 1e-3 * fmin(a->extent, b->extent);
        TbFrame before = tb_piece_disc(a, a->extent).frame, after = tb_piece_disc(b, 0).frame;

        ck_assert_double_le(tb_vec3_distance(before.h, after.h), 1e-13);
        ck_assert_double_le(
            tb_vec3_distance(slope_of_h(a, a->extent, -step), slope_of_h(b, 0, step)), 1e-9);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(theta_cancels_the_swings_own_twist)
{
    TbSweep *sweep = outlet();
    double largest = 0;

    /* the frame of a piece turns about the tangent by its cubic's own error only */
    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *p = tb_sweep_piece(sweep, i);

        for (int j = 1; j < 10; j++) {
            double u = p->extent * j / 10, step = 1e-4 * p->extent;
            TbDisc a = tb_piece_disc(p, u - step), b = tb_piece_disc(p, u + step);
            TbDisc m = tb_piece_disc(p, u);
            TbVec3 dh = tb_vec3_scale(tb_vec3_sub(b.frame.h, a.frame.h), 0.5 / step);

            largest = fmax(largest, fabs(tb_vec3_dot(dh, m.frame.w)) * p->extent);
        }
    }
    ck_assert_double_le(largest, 2e-5); /* rad over a piece */
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(plane_paths_do_not_twist)
{
    TbVec3 knots[5] = {{10.2, 7.7, 33.1},
                       {60.9, 7.7, 41.9},
                       {133.3, 7.7, 8.8},
                       {141.8, 7.7, -60.3},
                       {99, 7.7, -130}};
    TbCurve *curve = NULL;
    TbSectionRow row = row_at(0, tb_section_superellipse(31.3, 27.1, 2.4), 0, 1.1);
    TbVec3 up = {0.3, 1, -0.4};
    TbSweep *sweep;
    double across;

    ck_assert_int_eq(tb_curve_smooth_new(knots, 5, NULL, NULL, &curve, NULL), TB_OK);
    sweep = sweep_of(curve, &row, 1, &up);
    across = tb_sweep_at(sweep, 0).frame.h.y;
    for (double s = 0; s < tb_sweep_length(sweep); s += 3.3)
        ck_assert_double_eq_tol(tb_sweep_at(sweep, s).frame.h.y, across, 1e-12);
    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++)
        ck_assert_double_le(fabs(tb_sweep_piece(sweep, i)->theta[3]) *
                                pow(tb_sweep_piece(sweep, i)->extent, 3),
                            1e-13);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(bent_paths_have_no_theta_at_all)
{
    TbVec3 corners[5] = {{0, 0, 0}, {120, 0, 0}, {200, 80, 0}, {200, 160, 60}, {300, 160, 60}};
    double radii[5] = {0, 50.8, 50.8, 50.8, 0};
    TbCurve *curve = bent_curve(corners, radii, 5);
    TbSweep *sweep = NULL;

    ck_assert_int_eq(tb_sweep_new_round(curve, 50.8, 1.5, &sweep, NULL), TB_OK);
    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++)
        for (int j = 0; j < 4; j++)
            ck_assert_double_eq(tb_sweep_piece(sweep, i)->theta[j], 0);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(the_path_back_carries_the_frame_back)
{
    TbVec3 back[OUTLET_KNOTS], t0 = {0, -0.1, 1}, t1 = {-0.21, -0.35, 0.9}, up;
    TbCurve *there = outlet_curve(), *home = NULL;
    TbSectionRow row = row_at(0, tb_section_superellipse(31.3, 27.1, 2.4), 0, 1.1);
    TbSweep *a = sweep_of(there, &row, 1, NULL), *b;

    for (int i = 0; i < OUTLET_KNOTS; i++)
        back[i] = outlet_knots[OUTLET_KNOTS - 1 - i];
    ck_assert_int_eq(tb_curve_smooth_new(back, OUTLET_KNOTS, &t0, &t1, &home, NULL), TB_OK);
    up = tb_sweep_at(a, 1e9).frame.h;
    b = sweep_of(home, &row, 1, &up);
    ck_assert_double_le(tb_vec3_distance(tb_sweep_at(b, 1e9).frame.h, tb_sweep_at(a, 0).frame.h),
                        1e-9);
    tb_sweep_unref(b);
    tb_sweep_unref(a);
    tb_curve_unref(home);
    tb_curve_unref(there);
}
END_TEST

START_TEST(a_ring_of_four_bends_closes_with_its_frame)
{
    /* a square of straights and 90 degree bends, started in the middle of a side */
    TbVec3 corners[6] = {{0, 97.3, 0},      {97.3, 97.3, 0},  {97.3, -97.3, 0},
                         {-97.3, -97.3, 0}, {-97.3, 97.3, 0}, {0, 97.3, 0}};
    double radii[6] = {0, 61.9, 61.9, 61.9, 61.9, 0};
    TbCurve *curve = bent_curve(corners, radii, 6);
    TbVec3 up = {0.2, 0.7, 0.9};
    TbSectionRow row = row_at(0, tb_section_rounded(31.3, 27.1, 5.3), 0, 1.1);
    TbSweep *sweep = sweep_of(curve, &row, 1, &up);
    TbDisc first = tb_sweep_at(sweep, 0), last = tb_sweep_at(sweep, 1e9);

    ck_assert_double_le(tb_vec3_distance(first.centre, last.centre), 1e-12);
    ck_assert_double_le(tb_vec3_distance(first.frame.t, last.frame.t), 1e-14);
    ck_assert_double_le(tb_vec3_distance(first.frame.h, last.frame.h), 1e-13);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(positive_turn_moves_height_towards_width)
{
    TbCurve *curve = one_bend(76.2, 60, 50);
    TbVec3 up = {0, 0, 1};
    TbSectionRow row = row_at(0, tb_section_superellipse(60.3, 30.1, 2), 0.3, 1.1);
    TbSweep *sweep = sweep_of(curve, &row, 1, &up);
    TbDisc disc = tb_sweep_at(sweep, 10);
    TbVec3 contact;

    /* path along +X, up +Z: width is t x h = -Y */
    ck_assert_double_le(tb_vec3_distance(disc.frame.w, tb_vec3(0, -1, 0)), 1e-14);
    ck_assert_double_le(tb_vec3_distance(disc.h, tb_vec3(0, -sin(0.3), cos(0.3))), 1e-14);
    /* the ellipse's long end lies along the turned width */
    tb_disc_support(&disc, disc.w, false, &contact);
    ck_assert_double_le(tb_vec3_distance(contact, tb_vec3_add_scaled(disc.centre, 30.15, disc.w)),
                        1e-12);
    ck_assert_double_eq_tol(tb_disc_angle(&disc, contact), M_PI_2 + 0.3, 1e-12);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* ---- discs ---- */

START_TEST(no_outline_point_reaches_beyond_the_support)
{
    TbSweep *sweep = outlet();
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 4711);
    for (int i = 0; i < 200; i++) {
        TbDisc disc = tb_sweep_at(sweep, random_between(rng, 0, tb_sweep_length(sweep)));
        TbVec3 d = {random_between(rng, -1, 1), random_between(rng, -1, 1),
                    random_between(rng, -1, 1)},
               contact;
        bool outer = i % 2;
        double reach = tb_disc_support(&disc, d, outer, &contact);

        ck_assert_double_eq_tol(tb_vec3_dot(d, contact), reach, 1e-10);
        ck_assert_double_eq_tol(tb_vec3_dot(tb_vec3_sub(contact, disc.centre), disc.frame.t), 0,
                                1e-10);
        for (int j = 0; j < 64; j++) {
            TbVec3 n, p = tb_disc_point(&disc, j * 0.1, outer, &n), c;

            ck_assert_double_le(tb_vec3_dot(d, p), reach + 1e-10);
            ck_assert_double_eq_tol(tb_vec3_dot(n, p), tb_disc_support(&disc, n, outer, &c), 1e-10);
        }
    }
    gsl_rng_free(rng);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(the_box_holds_every_sampled_point_and_is_not_idle)
{
    TbSweep *sweep = outlet();
    TbBox3 box = tb_sweep_box(sweep), seen = tb_box3_empty();

    for (int i = 0; i <= 1000; i++) {
        TbDisc disc = tb_sweep_at(sweep, tb_sweep_length(sweep) * i / 1000);

        for (int j = 0; j < 48; j++)
            seen = tb_box3_with_point(seen, tb_disc_point(&disc, j * M_PI / 24, true, NULL));
    }
    ck_assert_double_le(box.low.x, seen.low.x);
    ck_assert_double_le(box.low.y, seen.low.y);
    ck_assert_double_le(box.low.z, seen.low.z);
    ck_assert_double_ge(box.high.x, seen.high.x);
    ck_assert_double_ge(box.high.y, seen.high.y);
    ck_assert_double_ge(box.high.z, seen.high.z);
    ck_assert_double_le(tb_box3_diagonal(box), 1.1 * tb_box3_diagonal(seen));
    tb_sweep_unref(sweep);
}
END_TEST

/* ---- anything goes ---- */

static TbVec3
random_direction(gsl_rng *rng)
{
    double z = random_between(rng, -1, 1), a = random_between(rng, 0, 2 * M_PI);
    double r = sqrt(1 - z * z);

    return tb_vec3(r * cos(a), r * sin(a), z);
}

/** Knots from 1 µm to half a metre apart, each chord turned by up to 170 degrees. */
static TbCurve *
wild_curve(gsl_rng *rng)
{
    TbVec3 knots[8], along = random_direction(rng), tangent = random_direction(rng);
    size_t count = 2 + gsl_rng_uniform_int(rng, 7);
    TbCurve *curve = NULL;

    knots[0] = tb_vec3_scale(random_direction(rng), 5000);
    for (size_t i = 1; i < count; i++) {
        TbVec3 side = tb_vec3_unit(tb_vec3_across(random_direction(rng), along));
        double angle = random_between(rng, 0, 2.97);

        along =
            tb_vec3_unit(tb_vec3_add_scaled(tb_vec3_scale(along, cos(angle)), sin(angle), side));
        knots[i] =
            tb_vec3_add_scaled(knots[i - 1], exp(random_between(rng, log(1e-3), log(500))), along);
    }
    if (tb_curve_smooth_new(knots, count, gsl_rng_uniform(rng) < 0.5 ? &tangent : NULL, NULL,
                            &curve, NULL) != TB_OK)
        return NULL; /* stands still somewhere: refused, which is fine */
    return curve;
}

static TbSweep *
wild_sweep(gsl_rng *rng)
{
    TbCurve *curve = wild_curve(rng);
    TbSectionRow rows[4];
    size_t count = 1 + gsl_rng_uniform_int(rng, 4);
    TbSweep *sweep;

    if (curve == NULL)
        return NULL;
    for (size_t i = 0; i < count; i++) {
        double width = random_between(rng, 5, 90), height = random_between(rng, 5, 90);
        TbSection section = gsl_rng_uniform(rng) < 0.5
                                ? tb_section_superellipse(width, height, 1.1 + 9 * (double)i)
                                : tb_section_rounded(width, height, 0.4 * fmin(width, height));

        rows[i] =
            row_at(tb_curve_length(curve) * ((double)i + gsl_rng_uniform(rng)) / (double)count,
                   section, random_between(rng, -2, 2), random_between(rng, 0, 5));
        rows[i].section.offset = tb_vec2(random_between(rng, -5, 5), random_between(rng, -5, 5));
        rows[i].holds_size = gsl_rng_uniform(rng) < 0.3;
    }
    sweep = sweep_of(curve, rows, count, NULL);
    tb_curve_unref(curve);
    return sweep;
}

static void
check_piece(const TbPiece *piece, TbBox3 box)
{
    ck_assert_double_gt(piece->extent, 0);
    ck_assert_double_gt(piece->length, 0);
    for (int j = 0; j <= 4; j++) {
        double u = piece->extent * j / 4;
        TbDisc disc = tb_piece_disc(piece, u);
        TbSpanJet jet = tb_span_jet(piece->span, piece->u0 + u);
        double turning =
            tb_vec3_length(tb_vec3_across(jet.c2, disc.frame.t)) / tb_vec3_length(jet.c1);

        ck_assert_double_le(off_square(disc.frame), 1e-12);
        ck_assert_double_le(turning, piece->bend * (1 + 1e-12));
        ck_assert_double_eq_tol(tb_piece_u(piece, disc.station), u,
                                1e-9 * (1 + disc.station / tb_vec3_length(jet.c1)));
        for (int k = 0; k < 12; k++) {
            TbVec3 p = tb_disc_point(&disc, k * 0.523, true, NULL);

            ck_assert_double_eq(tb_box3_point_distance2(box, p), 0);
        }
    }
}

START_TEST(wild_sweeps_keep_every_promise)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int made = 0;

    gsl_rng_set(rng, 60221);
    for (int round = 0; round < 150; round++) {
        TbSweep *sweep = wild_sweep(rng);
        TbBox3 box;

        if (sweep == NULL)
            continue;
        made++;
        box = tb_sweep_box(sweep);
        for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
            const TbPiece *piece = tb_sweep_piece(sweep, i), *last;

            check_piece(piece, box);
            if (i == 0)
                continue;
            last = tb_sweep_piece(sweep, i - 1);
            ck_assert_double_le(tb_vec3_distance(tb_piece_disc(last, last->extent).frame.h,
                                                 tb_piece_disc(piece, 0).frame.h),
                                1e-12);
        }
        tb_sweep_unref(sweep);
    }
    ck_assert_int_ge(made, 100);
    gsl_rng_free(rng);
}
END_TEST

/* ---- moving ---- */

START_TEST(a_grown_and_moved_sweep_is_the_sweep_of_grown_and_moved_input)
{
    double k = 1.01137;
    TbPose pose = tb_pose_compose(tb_pose_turn(tb_vec3(13, -8, 71), tb_vec3(0.3, -1.2, 0.7), 1.13),
                                  tb_pose_growth(tb_vec3(401.7, 33.9, -20.2), k));
    TbSweep *sweep = outlet(), *moved = tb_sweep_moved(sweep, pose), *built;
    TbSectionRow rows[4];
    size_t count = outlet_rows(rows);
    TbCurve *curve = tb_curve_moved(tb_sweep_curve(sweep), pose);
    TbVec3 up = tb_pose_direction(pose, tb_sweep_at(sweep, 0).frame.h);

    for (size_t i = 0; i < count; i++) {
        TbSection *s = &rows[i].section;

        for (int j = 0; j < 4; j++) {
            s->half[j] *= k;
            s->corner[j] *= k;
        }
        s->offset = tb_vec2_scale(s->offset, k);
        s->wall *= k;
        rows[i].station *= k;
    }
    built = sweep_of(curve, rows, count, &up);
    ck_assert_uint_eq(tb_sweep_piece_count(built), tb_sweep_piece_count(moved));
    for (int i = 0; i <= 100; i++) {
        double s = tb_sweep_length(moved) * i / 100;
        TbDisc a = tb_sweep_at(moved, s), b = tb_sweep_at(built, s),
               from = tb_sweep_at(sweep, s / k);

        ck_assert_double_le(tb_vec3_distance(a.centre, b.centre), 1e-12 * 1000);
        ck_assert_double_le(tb_vec3_distance(a.h, b.h), 1e-12);
        ck_assert_double_eq_tol(a.slice.area, b.slice.area, 1e-12 * b.slice.area);
        ck_assert_double_eq_tol(a.slice.growth, b.slice.growth, 1e-10);
        ck_assert_double_eq_tol(a.slice.wall, b.slice.wall, 1e-12);
        for (int j = 0; j < 16; j++) {
            TbVec3 p = tb_disc_point(&a, j * 0.4, true, NULL);

            ck_assert_double_le(tb_vec3_distance(p, tb_disc_point(&b, j * 0.4, true, NULL)), 1e-10);
            ck_assert_double_le(
                tb_vec3_distance(p, tb_pose_point(pose, tb_disc_point(&from, j * 0.4, true, NULL))),
                1e-10);
        }
    }
    tb_sweep_unref(built);
    tb_curve_unref(curve);
    tb_sweep_unref(moved);
    tb_sweep_unref(sweep);
}
END_TEST

/* ---- refused ---- */

START_TEST(a_bad_row_is_refused_by_number)
{
    TbCurve *curve = one_bend(76.2, 60, 50);
    TbSectionRow rows[2] = {row_at(0, tb_section_superellipse(60.3, 30.1, 2), 0, 1.1),
                            row_at(40, tb_section_superellipse(60.3, 0, 2), 0, 1.1)};
    TbSweepDef def = {curve, rows, 2, NULL};
    TbSweep *sweep = NULL;
    TbFault fault = {0};
    TbVec3 up = {0, NAN, 1};

    ck_assert_int_ne(tb_sweep_new(&def, &sweep, &fault), TB_OK);
    ck_assert_ptr_null(sweep);
    ck_assert_ptr_nonnull(strstr(fault.text, "section 2"));
    rows[1].section.half[TB_SIDE_UP] = rows[1].section.half[TB_SIDE_DOWN] = 15;
    def.up = &up;
    ck_assert_int_eq(tb_sweep_new(&def, &sweep, &fault), TB_E_RANGE);
    ck_assert_ptr_null(sweep);
    ck_assert_int_ne(tb_sweep_new_round(curve, 6.1, 3.2, &sweep, &fault), TB_OK);
    ck_assert_ptr_null(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(a_path_of_too_many_pieces_is_refused)
{
    enum { CORNERS = 30002 }; /* a zigzag of right angles: 22 pieces a corner and more */
    TbVec3 *corners = calloc(CORNERS, sizeof *corners);
    double *radii = calloc(CORNERS, sizeof *radii);
    TbCurve *curve;
    TbSweep *sweep = NULL;
    TbFault fault = {0};

    ck_assert_ptr_nonnull(corners);
    ck_assert_ptr_nonnull(radii);
    for (int i = 0; i < CORNERS; i++) {
        corners[i] = tb_vec3(0.2 * ((i + 1) / 2), 0.2 * (i / 2), 0);
        radii[i] = 0.07;
    }
    curve = bent_curve(corners, radii, CORNERS);
    ck_assert_int_eq(tb_sweep_new_round(curve, 0.1, 0, &sweep, &fault), TB_E_LIMIT);
    ck_assert_str_eq(fault.text, "the path needs more than 100000 pieces");
    ck_assert_ptr_null(sweep);
    tb_curve_unref(curve);
    free(radii);
    free(corners);
}
END_TEST

START_TEST(every_failed_allocation_is_reported_and_nothing_is_left)
{
    TbCurve *curve = outlet_curve();
    TbSectionRow rows[4];
    TbSweepDef def = {curve, rows, outlet_rows(rows), NULL};
    TbPose pose = tb_pose_growth(tb_vec3(1, 2, 3), 1.01);
    TbStatus status = TB_E_MEMORY;
    long n = 0;

    while (status != TB_OK) {
        TbSweep *sweep = NULL, *moved = NULL;
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = tb_sweep_new(&def, &sweep, &fault);
        if (status == TB_OK)
            moved = tb_sweep_moved(sweep, pose);
        tb_mem_fail_at(0);
        ck_assert(status == TB_OK || (status == TB_E_MEMORY && sweep == NULL));
        if (status == TB_OK && moved == NULL)
            status = TB_E_MEMORY;
        tb_sweep_unref(moved);
        tb_sweep_unref(sweep);
    }
    ck_assert_int_ge(n, 9);
    tb_curve_unref(curve);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/sweep");
    TCase *tc = tcase_create("pieces");

    tcase_add_test(tc, pieces_follow_each_other_without_a_gap);
    tcase_add_test(tc, no_piece_straddles_a_given_section);
    tcase_add_test(tc, bend_is_never_below_the_tangents_turning);
    tcase_add_test(tc, stations_of_pieces_are_those_of_the_curve);
    tcase_add_test(tc, a_joint_belongs_to_the_piece_that_begins_there);
    tcase_add_test(tc, a_section_at_a_bends_end_makes_no_sliver);
    suite_add_tcase(suite, tc);
    tc = tcase_create("frames");
    tcase_add_test(tc, frames_are_orthonormal_everywhere);
    tcase_add_test(tc, the_frame_is_smooth_over_every_joint_of_pieces);
    tcase_add_test(tc, theta_cancels_the_swings_own_twist);
    tcase_add_test(tc, plane_paths_do_not_twist);
    tcase_add_test(tc, bent_paths_have_no_theta_at_all);
    tcase_add_test(tc, the_path_back_carries_the_frame_back);
    tcase_add_test(tc, a_ring_of_four_bends_closes_with_its_frame);
    tcase_add_test(tc, positive_turn_moves_height_towards_width);
    suite_add_tcase(suite, tc);
    tc = tcase_create("discs and boxes");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, no_outline_point_reaches_beyond_the_support);
    tcase_add_test(tc, the_box_holds_every_sampled_point_and_is_not_idle);
    tcase_add_test(tc, wild_sweeps_keep_every_promise);
    suite_add_tcase(suite, tc);
    tc = tcase_create("moved and refused");
    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, a_grown_and_moved_sweep_is_the_sweep_of_grown_and_moved_input);
    tcase_add_test(tc, a_bad_row_is_refused_by_number);
    tcase_add_test(tc, a_path_of_too_many_pieces_is_refused);
    tcase_add_test(tc, every_failed_allocation_is_reported_and_nothing_is_left);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
