/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Certified gaps of true surfaces against FCL's distances of their meshes, whose error is known.
 */
#include "../gaps/scenes.h"
#include "fcl_distance.h"

/** mm. The meshes lie this near to the true surfaces, so distances of two differ by twice as much.
 */
#define CHORD 2e-2

/** mm. So near that twice as much is below the width of a gap. */
#define FINE_CHORD (0.45 * TB_GAP_WIDTH)

static double *
triangles_of(const TbSolid *solid, double chord, size_t *count)
{
    TbMesh *mesh = NULL;
    double *out;

    ck_assert_int_eq(tb_solid_mesh(solid, chord, &mesh, NULL), TB_OK);
    *count = tb_mesh_triangle_count(mesh);
    out = malloc(9 * *count * sizeof *out);
    for (size_t t = 0; t < *count; t++) {
        TbVec3 corner[3];

        tb_mesh_corners(mesh, t, corner);
        for (int k = 0; k < 3; k++) {
            out[9 * t + 3 * (size_t)k] = corner[k].x;
            out[9 * t + 3 * (size_t)k + 1] = corner[k].y;
            out[9 * t + 3 * (size_t)k + 2] = corner[k].z;
        }
    }
    tb_mesh_unref(mesh);
    return out;
}

static int
compare(const TbSolid *a, const TbSolid *b, double chord, double width)
{
    TbGap g = ask_gap(a, b, width);
    size_t na, nb;
    double *ta, *tb, theirs;

    if (g.contact != TB_CLEAR)
        return 0;
    ta = triangles_of(a, chord, &na);
    tb = triangles_of(b, chord, &nb);
    theirs = fcl_mesh_mesh(ta, na, tb, nb);
    ck_assert_msg(theirs >= g.lower - 2 * chord && theirs <= g.upper + 2 * chord,
                  "ours [%.6f, %.6f], theirs %.6f", g.lower, g.upper, theirs);
    free(ta);
    free(tb);
    return 1;
}

/** Random sweeps, each against another one and a rod that begin some way off it. */
static int
compare_random(
    gsl_rng *rng, int rounds, double least, double most, double off, double chord, double width)
{
    int compared = 0;

    for (int n = 0; n < rounds; n++) {
        TbSweep *first = random_sweep(rng, between(rng, least, most));
        TbSweep *loose = random_sweep(rng, between(rng, least / 2, most / 1.5));
        TbDisc disc = tb_sweep_at(first, between(rng, 0, tb_sweep_length(first)));
        TbDisc start = tb_sweep_at(loose, 0);
        TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
        TbVec3 to = tb_vec3_add_scaled(p, between(rng, off, 2.3 * off), normal);
        TbSolid *a = solid_of_sweep(first), *b, *c;

        b = solid_of_sweep(tb_sweep_moved(loose, tb_pose_shift(tb_vec3_sub(to, start.centre))));
        c = solid_of_plain(
            rod(to, tb_vec3_add_scaled(to, 60, random_direction(rng)), between(rng, 2, 9)));
        compared += compare(a, b, chord, width) + compare(a, c, chord, width);
        tb_solid_unref(a);
        tb_solid_unref(b);
        tb_solid_unref(c);
        tb_sweep_unref(loose);
    }
    return compared;
}

START_TEST(sweeps_and_their_meshes_agree)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 2718);
    ck_assert_int_gt(compare_random(rng, 8, 30, 60, 35, CHORD, 1e-4), 7);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(slim_sweeps_agree_with_meshes_whose_error_is_below_the_width)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    ck_assert_double_lt(2 * FINE_CHORD, TB_GAP_WIDTH);
    gsl_rng_set(rng, 3141);
    ck_assert_int_gt(compare_random(rng, 4, 7, 11, 17, FINE_CHORD, TB_GAP_WIDTH), 3);
    gsl_rng_free(rng);
}
END_TEST

static Suite *
fcl_suite(void)
{
    Suite *suite = suite_create("external/fcl_gap");
    TCase *tests = tcase_create("meshes");

    tcase_set_timeout(tests, 200);
    tcase_add_test(tests, sweeps_and_their_meshes_agree);
    tcase_add_test(tests, slim_sweeps_agree_with_meshes_whose_error_is_below_the_width);
    suite_add_tcase(suite, tests);
    return suite;
}

int
main(void)
{
    return tb_test_main(fcl_suite());
}
