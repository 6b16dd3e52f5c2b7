/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Certified gaps of true surfaces against FCL's distances of their meshes, whose error is known.
 */
#include "../gaps/scenes.h"
#include "fcl_distance.h"

/** mm. The meshes lie this near to the true surfaces, so distances of two differ by twice as much.
 */
#define CHORD 2e-2

static double *
triangles_of(const TbSolid *solid, size_t *count)
{
    TbMesh *mesh = NULL;
    double *out;

    ck_assert_int_eq(tb_solid_mesh(solid, CHORD, &mesh, NULL), TB_OK);
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
compare(const TbSolid *a, const TbSolid *b)
{
    TbGap g = ask_gap(a, b, 1e-4);
    size_t na, nb;
    double *ta, *tb, theirs;

    if (g.contact != TB_CLEAR)
        return 0;
    ta = triangles_of(a, &na);
    tb = triangles_of(b, &nb);
    theirs = fcl_mesh_mesh(ta, na, tb, nb);
    ck_assert_msg(theirs >= g.lower - 2 * CHORD && theirs <= g.upper + 2 * CHORD,
                  "ours [%.6f, %.6f], theirs %.6f", g.lower, g.upper, theirs);
    free(ta);
    free(tb);
    return 1;
}

/** A random sweep, and another one moved so that it starts some way off the first. */
START_TEST(sweeps_and_their_meshes_agree)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int compared = 0;

    gsl_rng_set(rng, 2718);
    for (int n = 0; n < 8; n++) {
        TbSweep *first = random_sweep(rng, between(rng, 30, 60));
        TbSweep *loose = random_sweep(rng, between(rng, 15, 40));
        TbDisc disc = tb_sweep_at(first, between(rng, 0, tb_sweep_length(first)));
        TbDisc start = tb_sweep_at(loose, 0);
        TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
        TbVec3 to = tb_vec3_add_scaled(p, between(rng, 35, 80), normal);
        TbSolid *a = solid_of_sweep(first), *b, *c;

        b = solid_of_sweep(tb_sweep_moved(loose, tb_pose_shift(tb_vec3_sub(to, start.centre))));
        c = solid_of_plain(
            rod(to, tb_vec3_add_scaled(to, 60, random_direction(rng)), between(rng, 2, 9)));
        compared += compare(a, b) + compare(a, c);
        tb_solid_unref(a);
        tb_solid_unref(b);
        tb_solid_unref(c);
        tb_sweep_unref(loose);
    }
    ck_assert_int_gt(compared, 7);
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
    suite_add_tcase(suite, tests);
    return suite;
}

int
main(void)
{
    return tb_test_main(fcl_suite());
}
