/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Drawings of what moves on a screen against those of what has settled. */

#include "cut_ducts.h"
#include "tap.h"

#include "geom/cut.h"
#include "geom/tol.h"

#include <gsl/gsl_rng.h>

#define CHORD 0.25

/** Planes through the duct and beside it. */
#define PLANES 24

/* ---- helpers ---- */

static TbSolid *
solid_of(TbSweep *sweep)
{
    TbSolid *solid = tb_solid_new();

    ck_assert_int_eq(tb_solid_add_sweep(solid, sweep, 3, NULL), TB_OK);
    return solid;
}

static TbPlane
some_plane(gsl_rng *rng)
{
    TbVec3 n = tb_vec3_unit(tb_vec3(gsl_rng_uniform(rng) - 0.5, gsl_rng_uniform(rng) - 0.5,
                                    gsl_rng_uniform(rng) - 0.5));
    TbVec3 u = tb_vec3_unit(tb_vec3_across(tb_vec3(0.31, 0.52, 0.77), n));

    return tb_plane_of(
        tb_vec3_add_scaled(tb_vec3(1003.9, 41.3, 371.7), 160 * gsl_rng_uniform(rng) - 60, n), u,
        tb_vec3_cross(n, u));
}

static double
off_segment(TbVec2 p, TbVec2 a, TbVec2 b)
{
    TbVec2 way = tb_vec2_sub(b, a), to = tb_vec2_sub(p, a);
    double length2 = tb_vec2_dot(way, way);
    double share = length2 > 0 ? fmax(0, fmin(1, tb_vec2_dot(to, way) / length2)) : 0;

    return tb_vec2_length(tb_vec2_sub(to, tb_vec2_scale(way, share)));
}

/** How far a point is from a cut's loops. */
static double
off_cut(TbVec2 p, const TbCut *cut)
{
    double least = INFINITY;

    for (size_t l = 0; l < cut->loop_count; l++) {
        const TbVec2 *q = cut->points + cut->loops[l].first;
        size_t count = cut->loops[l].count;

        for (size_t i = 0; i < count; i++)
            least = fmin(least, off_segment(p, q[i], q[(i + 1) % count]));
    }
    return least;
}

/** The most that a point of one cut is from the other's loops, of some hundred points. */
static double
most_off(const TbCut *a, const TbCut *b)
{
    double most = 0;

    for (size_t i = 0; i < a->point_count; i += 1 + a->point_count / 150)
        most = fmax(most, off_cut(a->points[i], b));
    return most;
}

static void
add_moving(TbCut *cut, const TbSolid *solid, const TbCutRings *rings, TbPlane plane, double step)
{
    tb_cut_init(cut);
    ck_assert_int_eq(tb_cut_add_silhouette_on(cut, solid, rings, plane, CHORD, step, NULL), TB_OK);
}

/* ---- silhouettes on a wide grid ---- */

START_TEST(a_silhouette_on_a_wide_grid_has_its_corners)
{
    static const TbVec2 corners[4] = {
        {10.3, -7.7 - 27.15}, {10.3, -7.7 + 27.15}, {150.9 - 27.15, 133.1}, {150.9 + 27.15, 133.1}};
    TbSweep *sweep = bent_tube();
    TbSolid *solid = solid_of(sweep);
    TbPlane plan = tb_plane_of(tb_vec3(0, 0, 500), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbCut cut;

    add_moving(&cut, solid, NULL, plan, 1.13);
    ck_assert_uint_eq(cut.loop_count, 1);
    for (int i = 0; i < 4; i++) {
        double least = INFINITY;

        for (size_t k = 0; k < cut.point_count; k++)
            least = fmin(least, tb_vec2_length(tb_vec2_sub(cut.points[k], corners[i])));
        ck_assert_double_lt(least, 1e-6);
    }
    tb_cut_clear(&cut);
    tb_solid_unref(solid);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(a_silhouette_on_a_wide_grid_is_within_a_third_of_a_step_of_the_fine_one)
{
    TbSweep *sweep = sample_duct();
    TbSolid *solid = solid_of(sweep);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double sum = 0;
    size_t points = 0;

    gsl_rng_set(rng, 717);
    for (int i = 0; i < PLANES; i++) {
        TbPlane plane = some_plane(rng);
        TbCut wide, fine;

        add_moving(&wide, solid, NULL, plane, 1.0);
        add_moving(&fine, solid, NULL, plane, CHORD);
        ck_assert_double_lt(most_off(&wide, &fine), 0.35);
        ck_assert_double_lt(most_off(&fine, &wide), 0.35);
        for (size_t k = 0; k < wide.point_count; k++)
            sum += off_cut(wide.points[k], &fine);
        points += wide.point_count;
        tb_cut_clear(&fine);
        tb_cut_clear(&wide);
    }
    ck_assert_uint_gt(points, 100 * PLANES);
    ck_assert_double_lt(sum / (double)points, 0.02);
    gsl_rng_free(rng);
    tb_solid_unref(solid);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(rings_that_are_lent_give_the_same_silhouette)
{
    TbSweep *sweep = sample_duct();
    TbSolid *solid = solid_of(sweep);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbCutRings rings;

    ck_assert_int_eq(tb_cut_rings(&rings, sweep, CHORD, NULL), TB_OK);
    for (int i = 0; i < PLANES; i++) {
        TbPlane plane = some_plane(rng);
        TbCut own, lent;

        add_moving(&own, solid, NULL, plane, 1.0);
        add_moving(&lent, solid, &rings, plane, 1.0);
        ck_assert_uint_eq(own.point_count, lent.point_count);
        for (size_t k = 0; k < own.point_count; k++) {
            ck_assert_double_eq(own.points[k].x, lent.points[k].x);
            ck_assert_double_eq(own.points[k].y, lent.points[k].y);
        }
        tb_cut_clear(&lent);
        tb_cut_clear(&own);
    }
    tb_cut_rings_clear(&rings);
    gsl_rng_free(rng);
    tb_solid_unref(solid);
    tb_sweep_unref(sweep);
}
END_TEST

/* ---- cuts ---- */

/* A solid keeps its sweep's pieces with a ball about each: those off the plane are not looked at.
 * The sweep alone is looked at all along. */
START_TEST(pieces_off_the_plane_are_left_out_of_no_cut)
{
    TbSweep *sweep = sample_duct();
    TbSolid *solid = solid_of(sweep);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int cut_through = 0;

    for (int i = 0; i < 2 * PLANES; i++) {
        TbPlane plane = some_plane(rng);
        TbCut whole, kept;

        tb_cut_init(&whole);
        tb_cut_init(&kept);
        ck_assert_int_eq(tb_cut_add_sweep(&whole, sweep, true, plane, 3, NULL), TB_OK);
        ck_assert_int_eq(tb_cut_add_solid(&kept, solid, plane, NULL), TB_OK);
        ck_assert_uint_eq(whole.loop_count, kept.loop_count);
        ck_assert_double_lt(most_off(&whole, &kept), TB_TOL_CUT);
        ck_assert_double_lt(most_off(&kept, &whole), TB_TOL_CUT);
        cut_through += whole.loop_count > 0;
        tb_cut_clear(&kept);
        tb_cut_clear(&whole);
    }
    ck_assert_int_gt(cut_through, PLANES);
    gsl_rng_free(rng);
    tb_solid_unref(solid);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(a_cut_of_what_moves_is_within_its_tolerance_of_the_settled_one)
{
    TbSweep *sweep = sample_duct();
    TbSolid *solid = solid_of(sweep);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    for (int i = 0; i < PLANES; i++) {
        TbPlane plane = some_plane(rng);
        TbCut moving, settled;

        tb_cut_init(&moving);
        tb_cut_init(&settled);
        ck_assert_int_eq(tb_cut_add_solid_within(&moving, solid, plane, 0.1, NULL), TB_OK);
        ck_assert_int_eq(tb_cut_add_solid(&settled, solid, plane, NULL), TB_OK);
        ck_assert_uint_le(moving.loop_count, settled.loop_count);
        ck_assert_double_lt(most_off(&moving, &settled), 0.1 + TB_TOL_CUT);
        if (moving.loop_count == settled.loop_count)
            ck_assert_double_lt(most_off(&settled, &moving), 2 * 0.1);
        tb_cut_clear(&settled);
        tb_cut_clear(&moving);
    }
    gsl_rng_free(rng);
    tb_solid_unref(solid);
    tb_sweep_unref(sweep);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("geom/cut_moving");
    TCase *c = tcase_create("silhouettes");

    tcase_add_test(c, a_silhouette_on_a_wide_grid_has_its_corners);
    tcase_add_test(c, a_silhouette_on_a_wide_grid_is_within_a_third_of_a_step_of_the_fine_one);
    tcase_add_test(c, rings_that_are_lent_give_the_same_silhouette);
    suite_add_tcase(s, c);
    c = tcase_create("cuts");
    tcase_add_test(c, pieces_off_the_plane_are_left_out_of_no_cut);
    tcase_add_test(c, a_cut_of_what_moves_is_within_its_tolerance_of_the_settled_one);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
