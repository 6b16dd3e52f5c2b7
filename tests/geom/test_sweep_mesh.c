/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "sweep_cases.h"

#include "base/mem.h"
#include "geom/mesh.h"
#include "geom/tol.h"

#include <string.h>

static TbMesh *
mesh_of(const TbSweep *sweep, bool inner, double chord)
{
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_sweep_mesh(sweep, inner, chord, &mesh, &fault) == TB_OK, "%s", fault.text);
    return mesh;
}

/** Squeezed sections: a D with n = 6, a tight rounded rectangle, turned far, with a wall. */
static TbSweep *
squeezed(void)
{
    TbCurve *curve = outlet_curve();
    TbSectionRow rows[3] = {
        row_at(0, tb_section_rounded(81.3, 33.7, 2.1), -0.4, 3.1),
        row_at(211.9, tb_section_superellipse(62.7, 51.9, 6), 0.9, 1.7),
        row_at(401.3, tb_section_superellipse(63.5, 63.5, 2), 0.2, 2.5),
    };
    TbSweep *sweep;

    rows[1].section.half[TB_SIDE_UP] = 37.9;
    rows[1].section.half[TB_SIDE_DOWN] = 14;
    sweep = sweep_of(curve, rows, 3, NULL);
    tb_curve_unref(curve);
    return sweep;
}

/** Signed distance of a point of a disc's plane from its outline: the largest n . q - h(n). */
static double
off_outline(const TbDisc *disc, TbVec3 p, bool outer)
{
    double best = -INFINITY, at = 0, step = M_PI / 90;

    for (int i = 0; i < 180; i++) {
        TbVec3 n, x = tb_disc_point(disc, i * step, outer, &n);
        double off = tb_vec3_dot(n, tb_vec3_sub(p, x));

        if (off > best) {
            best = off;
            at = i * step;
        }
    }
    for (int i = 0; i < 40; i++) { /* the best of three, closer and closer */
        step *= 0.7;
        for (int side = -1; side <= 1; side += 2) {
            TbVec3 n, x = tb_disc_point(disc, at + side * step, outer, &n);
            double off = tb_vec3_dot(n, tb_vec3_sub(p, x));

            if (off > best) {
                best = off;
                at += side * step;
                break;
            }
        }
    }
    return best;
}

/** The outline of the plane square to the path through p belongs to the surface, so the distance
 * within that plane is one that the true distance does not exceed. */
static double
farthest_off(const TbSweep *sweep, const TbMesh *mesh, bool inner, size_t samples)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    size_t count = tb_mesh_triangle_count(mesh), skin = 0;
    double length = tb_sweep_length(sweep), worst = 0;

    gsl_rng_set(rng, 31);
    while (skin < samples) {
        TbVec3 t[3], p;
        double a = gsl_rng_uniform(rng), b = gsl_rng_uniform(rng), s;
        TbDisc disc;

        tb_mesh_corners(mesh, gsl_rng_uniform_int(rng, count), t);
        if (a + b > 1) {
            a = 1 - a;
            b = 1 - b;
        }
        p = tb_vec3_add_scaled(tb_vec3_add_scaled(t[0], a, tb_vec3_sub(t[1], t[0])), b,
                               tb_vec3_sub(t[2], t[0]));
        s = tb_curve_nearest(tb_sweep_curve(sweep), p);
        if (s < 1e-6 || s > length - 1e-6)
            continue; /* a cap */
        skin++;
        disc = tb_sweep_at(sweep, s);
        worst = fmax(worst, fabs(off_outline(&disc, p, !inner)));
    }
    gsl_rng_free(rng);
    return worst;
}

START_TEST(mesh_is_closed_and_outward)
{
    TbSweep *sweeps[2] = {outlet(), squeezed()};

    for (int i = 0; i < 4; i++) {
        TbMesh *mesh = mesh_of(sweeps[i / 2], i % 2, 0.05);
        TbMeshFacts facts = tb_mesh_facts(mesh);

        ck_assert(facts.closed);
        ck_assert(!facts.inward);
        ck_assert_uint_eq(facts.shells, 1);
        ck_assert_uint_eq(facts.open_edges + facts.flipped_edges + facts.shared_edges, 0);
        tb_mesh_unref(mesh);
    }
    tb_sweep_unref(sweeps[0]);
    tb_sweep_unref(sweeps[1]);
}
END_TEST

START_TEST(no_triangle_strays_further_than_asked)
{
    TbSweep *sweeps[2] = {outlet(), squeezed()};
    double chords[3] = {0.5, 0.05, 0.02};

    for (int i = 0; i < 2; i++)
        for (int j = 0; j < 3; j++) {
            TbMesh *mesh = mesh_of(sweeps[i], j == 1, chords[j]);
            double worst = farthest_off(sweeps[i], mesh, j == 1, 1000);

            ck_assert_double_le(worst, chords[j]);
            ck_assert_double_ge(worst, 0.1 * chords[j]); /* nor is it needlessly fine */
            tb_mesh_unref(mesh);
        }
    tb_sweep_unref(sweeps[0]);
    tb_sweep_unref(sweeps[1]);
}
END_TEST

START_TEST(volume_of_the_mesh_comes_to_the_sweeps)
{
    TbSweep *sweep = outlet();
    TbSweepVolume v;

    ck_assert_int_eq(tb_sweep_volume(sweep, &v, NULL), TB_OK);
    for (int inner = 0; inner <= 1; inner++) {
        double want = inner ? v.inner : v.inner + v.wall;
        TbMesh *mesh = mesh_of(sweep, inner, 0.02);

        /* 0.02 mm over a radius of about 30 mm, twice */
        ck_assert_double_eq_tol(tb_mesh_facts(mesh).volume, want, 2 * 0.02 / 25 * want);
        tb_mesh_unref(mesh);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(a_straight_tube_needs_two_rings)
{
    TbVec3 ends[2] = {{-431.7, 88.1, 12.9}, {118.3, -204.6, 377.7}};
    double radii[2] = {0, 0};
    TbCurve *curve = bent_curve(ends, radii, 2);
    TbSweep *sweep = NULL;
    TbMesh *mesh;
    size_t around;

    ck_assert_int_eq(tb_sweep_new_round(curve, 45.8, 1.5, &sweep, NULL), TB_OK);
    mesh = mesh_of(sweep, false, 0.05);
    around = (tb_mesh_vertex_count(mesh) - 2) / 2;
    ck_assert_uint_eq(tb_mesh_triangle_count(mesh), 4 * around);
    ck_assert_uint_le(around, 128); /* 0.05 mm on r 22.9: pi / acos(1 - 0.05 / 22.9) = 47.5 */
    tb_mesh_unref(mesh);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
}
END_TEST

START_TEST(too_fine_or_senseless_is_refused)
{
    TbSweep *sweep = outlet();
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    double bad[4] = {0, -1, NAN, 9e-5};

    for (int i = 0; i < 4; i++)
        ck_assert_int_eq(tb_sweep_mesh(sweep, true, bad[i], &mesh, &fault), TB_E_RANGE);
    ck_assert_ptr_null(mesh);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(every_failed_allocation_is_reported_and_nothing_is_left)
{
    TbSweep *sweep = outlet();
    TbStatus status = TB_E_MEMORY;
    long n = 0;

    while (status != TB_OK) {
        TbMesh *mesh = NULL;
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = tb_sweep_mesh(sweep, false, 0.7, &mesh, &fault);
        tb_mem_fail_at(0);
        ck_assert(status == TB_OK || (status == TB_E_MEMORY && mesh == NULL));
        tb_mesh_unref(mesh);
    }
    ck_assert_int_ge(n, 8);
    tb_sweep_unref(sweep);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/sweep_mesh");
    TCase *tc = tcase_create("mesh");

    tcase_set_timeout(tc, 120);
    tcase_add_test(tc, mesh_is_closed_and_outward);
    tcase_add_test(tc, no_triangle_strays_further_than_asked);
    tcase_add_test(tc, volume_of_the_mesh_comes_to_the_sweeps);
    tcase_add_test(tc, a_straight_tube_needs_two_rings);
    tcase_add_test(tc, too_fine_or_senseless_is_refused);
    tcase_add_test(tc, every_failed_allocation_is_reported_and_nothing_is_left);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
