/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "sweep_cases.h"

static TbSweepVolume
volume_of(const TbSweep *sweep)
{
    TbSweepVolume v = {0};
    TbFault fault = {0};

    ck_assert_msg(tb_sweep_volume(sweep, &v, &fault) == TB_OK, "%s", fault.text);
    return v;
}

START_TEST(straight_tube_is_area_times_length)
{
    TbVec3 ends[2] = {{-431.7, 88.1, 12.9}, {118.3, -204.6, 377.7}};
    double radii[2] = {0, 0}, length = tb_vec3_distance(ends[0], ends[1]);
    double inner = M_PI * 21.4 * 21.4 * length, outer = M_PI * 22.9 * 22.9 * length;
    TbCurve *curve = bent_curve(ends, radii, 2);
    TbSweep *sweep = NULL;
    TbSweepVolume v;

    ck_assert_int_eq(tb_sweep_new_round(curve, 45.8, 1.5, &sweep, NULL), TB_OK);
    v = volume_of(sweep);
    ck_assert_double_eq_tol(v.inner, inner, 1e-12 * inner);
    ck_assert_double_eq_tol(v.wall, outer - inner, 1e-11 * inner);
    ck_assert_double_le(tb_vec3_distance(v.inner_centroid, tb_vec3_mix(ends[0], ends[1], 0.5)),
                        1e-9);
    ck_assert_double_le(tb_vec3_distance(v.wall_centroid, tb_vec3_mix(ends[0], ends[1], 0.5)),
                        1e-8);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* The centroid of a bend's sector: ((R + r^2 / (4 R)) sin(half) / half from the bend's centre,
 * since a point at distance x from the axis counts x, and the mean of x^2 is R^2 + r^2 / 4. */
START_TEST(bend_has_the_torus_volume_and_centroid)
{
    double radius = 76.2, r = 25.4, angle = 97.3 * M_PI / 180, half = angle / 2;
    double want = M_PI * r * r * radius * angle;
    double far = (radius + r * r / (4 * radius)) * sin(half) / half;
    TbCurve *curve = one_bend(radius, 97.3, 0);
    TbSweep *sweep = NULL;
    TbVec3 centre, corner_side;
    TbSweepVolume v;

    ck_assert_int_eq(tb_sweep_new_round(curve, 2 * r, 0, &sweep, NULL), TB_OK);
    v = volume_of(sweep);
    centre = tb_curve_span(curve, 0)->c[0];
    corner_side = tb_vec3_unit(tb_vec3_neg(centre)); /* the corner is the origin */
    ck_assert_double_eq_tol(v.inner, want, 1e-11 * want);
    ck_assert_double_eq(v.wall, 0);
    ck_assert_double_le(
        tb_vec3_distance(v.inner_centroid, tb_vec3_add_scaled(centre, far, corner_side)), 1e-9);
    ck_assert_double_eq(tb_vec3_distance(v.inner_centroid, v.wall_centroid), 0);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/* Pappus with the section's own centroid: V = A (R - e) angle for an offset e to the inside. */
START_TEST(an_eccentric_section_counts_at_its_own_radius)
{
    double radius = 88.9, angle = 61 * M_PI / 180, e = 7.3;
    TbCurve *curve = one_bend(radius, 61, 0);
    TbSectionRow row = row_at(0, tb_section_superellipse(44.1, 31.7, 2), 0, 0);
    TbVec3 up = {0, 0, 1}; /* the bend rises: its centre lies along the height */
    double area = tb_section_area(row.section);

    for (int side = -1; side <= 1; side += 2) {
        TbSweep *sweep;
        double want = area * (radius - side * e) * angle;

        row.section.offset = tb_vec2(2.9, side * e);
        sweep = sweep_of(curve, &row, 1, &up);
        ck_assert_double_eq_tol(volume_of(sweep).inner, want, 1e-10 * want);
        tb_sweep_unref(sweep);
    }
    tb_curve_unref(curve);
}
END_TEST

/* A section that is symmetric about the path's point has no first moment, so V is the integral of
 * A however the path bends, and A is a cubic between given sections. */
START_TEST(a_symmetric_duct_holds_the_integral_of_its_area)
{
    TbCurve *curve = outlet_curve();
    TbSectionRow rows[4];
    TbSweep *sweep;
    double want = 0;

    outlet_rows(rows);
    rows[2].section.offset = tb_vec2(0, 0);
    sweep = sweep_of(curve, rows, 4, NULL);
    for (size_t i = 0; i < tb_law_span_count(tb_sweep_law(sweep)); i++) {
        const TbLawSpan *law = tb_law_span(tb_sweep_law(sweep), i);
        const double *c = law->size[0];
        double l = law->length;

        ck_assert(!law->by_size);
        want += l * (c[0] + l * (c[1] / 2 + l * (c[2] / 3 + l * c[3] / 4)));
    }
    ck_assert_double_eq_tol(volume_of(sweep).inner, want, 1e-8 * want);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

/** A slow second method: midpoints over station, ray angle and radius, each point counted by
 * 1 - k . q. */
static double
counted(const TbSweep *sweep, bool outer, TbVec3 *centroid)
{
    enum { ALONG = 600, AROUND = 720 };
    double total = 0;
    TbVec3 moment = {0, 0, 0};

    for (int i = 0; i < ALONG; i++) {
        double s = tb_sweep_length(sweep) * (i + 0.5) / ALONG;
        TbDisc disc = tb_sweep_at(sweep, s);
        TbVec3 k = tb_curve_at(tb_sweep_curve(sweep), s).curvature;
        TbVec3 first = tb_disc_point(&disc, 0, outer, NULL), last = first;

        for (int j = 1; j <= AROUND; j++) {
            TbVec3 here = tb_disc_point(&disc, 2 * M_PI * j / AROUND, outer, NULL);
            TbVec3 a = tb_vec3_sub(last, disc.centre), b = tb_vec3_sub(here, disc.centre);
            double area = 0.5 * tb_vec3_dot(tb_vec3_cross(a, b), disc.frame.t);
            TbVec3 q = tb_vec3_scale(tb_vec3_add(a, b), 1.0 / 3);
            double dv = area * (1 - tb_vec3_dot(k, q));

            total += dv;
            moment = tb_vec3_add_scaled(moment, dv, tb_vec3_add(disc.centre, q));
            last = here;
        }
    }
    *centroid = tb_vec3_scale(moment, 1 / total);
    return total * tb_sweep_length(sweep) / ALONG;
}

START_TEST(the_outlet_agrees_with_counted_triangles)
{
    TbSweep *sweep = outlet();
    TbSweepVolume v = volume_of(sweep);
    TbVec3 c0, c1;
    double inner = counted(sweep, false, &c0), outer = counted(sweep, true, &c1);

    /* midpoints of 600 stations and chords of half a degree: about 5e-5 */
    ck_assert_double_eq_tol(v.inner, inner, 1e-4 * inner);
    ck_assert_double_eq_tol(v.wall, outer - inner, 1e-3 * (outer - inner));
    ck_assert_double_le(tb_vec3_distance(v.inner_centroid, c0), 0.05);
    c1 = tb_vec3_scale(tb_vec3_sub(tb_vec3_scale(c1, outer), tb_vec3_scale(c0, inner)),
                       1 / (outer - inner));
    ck_assert_double_le(tb_vec3_distance(v.wall_centroid, c1), 0.2);
    tb_sweep_unref(sweep);
}
END_TEST

/** Volume without any table: Boole's rule, 32 parts a piece, the sections' moments as they are. */
static double
plain_volume(const TbSweep *sweep, bool outer)
{
    static const double weight[4] = {14, 32, 12, 32};
    double total = 0;

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);
        double h = piece->extent / 32, sum = 0;

        for (int j = 0; j <= 32; j++) {
            TbSpanJet jet = tb_span_jet(piece->span, piece->u0 + j * h);
            TbDisc disc = tb_piece_disc(piece, j * h);
            TbMoments m = tb_slice_moments(&disc.slice, outer);
            double speed = tb_vec3_length(jet.c1);
            TbVec3 k = tb_vec3_scale(tb_vec3_across(jet.c2, disc.frame.t), 1 / (speed * speed));
            double dv = m.area - m.first.x * tb_vec3_dot(k, disc.frame.w) -
                        m.first.y * tb_vec3_dot(k, disc.frame.h);

            sum += (j == 0 || j == 32 ? 7 : weight[j % 4]) * speed * dv;
        }
        total += 2 * h / 45 * sum;
    }
    return total;
}

START_TEST(volumes_are_exact_to_a_hundred_millionth)
{
    TbCurve *curve = outlet_curve();
    TbSectionRow rows[4];
    TbSweep *sweep;
    TbSweepVolume v;
    double inner;

    outlet_rows(rows);
    rows[1].section.half[TB_SIDE_UP] = 27.1; /* a D without symmetry */
    rows[2].section.exponent = 7.7;
    rows[2].holds_size = true;
    sweep = sweep_of(curve, rows, 4, NULL);
    v = volume_of(sweep);
    inner = plain_volume(sweep, false);
    ck_assert_double_eq_tol(v.inner, inner, 1e-8 * inner);
    ck_assert_double_eq_tol(v.wall, plain_volume(sweep, true) - inner, 1e-8 * v.wall);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(growth_multiplies_volumes_by_its_cube)
{
    double k = 1.0137;
    TbPose pose = tb_pose_growth(tb_vec3(401.7, 33.9, -20.2), k);
    TbSweep *sweep = outlet(), *grown = tb_sweep_moved(sweep, pose);
    TbSweepVolume v = volume_of(sweep), g = volume_of(grown);

    ck_assert_double_eq_tol(g.inner, k * k * k * v.inner, 1e-10 * g.inner);
    ck_assert_double_eq_tol(g.wall, k * k * k * v.wall, 1e-9 * g.wall);
    ck_assert_double_le(tb_vec3_distance(g.inner_centroid, tb_pose_point(pose, v.inner_centroid)),
                        1e-7);
    tb_sweep_unref(grown);
    tb_sweep_unref(sweep);
}
END_TEST

/* Of a second sweep's law, which ends elsewhere, the span between the first two sections is the
 * same: its moments serve the first as well as its own. */
START_TEST(moments_kept_from_another_law_give_the_same_bits)
{
    TbSectionRow rows[4];
    size_t count = outlet_rows(rows);
    TbVec3 knots[OUTLET_KNOTS], t0 = {1, 0.2, -0.1}, t1 = {0.3, 0.9, 0.2};
    TbSweep *sweep = outlet(), *longer;
    const TbLaw *law = tb_sweep_law(sweep);
    TbCurve *curve = NULL;
    TbLawMoments *made[4] = {NULL};
    const TbLawMoments *kept[4] = {NULL};
    TbSweepVolume want = volume_of(sweep), got = {0};

    memcpy(knots, outlet_knots, sizeof knots);
    knots[OUTLET_KNOTS - 1].z += 17.3;
    ck_assert_int_eq(tb_curve_smooth_new(knots, OUTLET_KNOTS, &t0, &t1, &curve, NULL), TB_OK);
    longer = sweep_of(curve, rows, count, NULL);
    ck_assert_uint_eq(tb_law_span_count(law), 3);
    made[0] = tb_law_moments_new(tb_law_span(tb_sweep_law(longer), 0));
    made[2] = tb_law_moments_new(tb_law_span(law, 2));
    for (int i = 0; i < 4; i++)
        kept[i] = made[i];
    ck_assert_int_eq(tb_sweep_volume_by(sweep, kept, &got, NULL), TB_OK);
    ck_assert_mem_eq(&got, &want, sizeof want);
    kept[2] = made[0];
    ck_assert_int_eq(tb_sweep_volume_by(sweep, kept, &got, NULL), TB_OK);
    ck_assert_double_gt(fabs(got.inner - want.inner), 1); /* they are read */
    tb_law_moments_free(made[0]);
    tb_law_moments_free(made[2]);
    tb_sweep_unref(longer);
    tb_curve_unref(curve);
    tb_sweep_unref(sweep);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/sweep_volume");
    TCase *tc = tcase_create("volume");

    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, straight_tube_is_area_times_length);
    tcase_add_test(tc, bend_has_the_torus_volume_and_centroid);
    tcase_add_test(tc, an_eccentric_section_counts_at_its_own_radius);
    tcase_add_test(tc, a_symmetric_duct_holds_the_integral_of_its_area);
    tcase_add_test(tc, the_outlet_agrees_with_counted_triangles);
    tcase_add_test(tc, volumes_are_exact_to_a_hundred_millionth);
    tcase_add_test(tc, growth_multiplies_volumes_by_its_cube);
    tcase_add_test(tc, moments_kept_from_another_law_give_the_same_bits);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
