/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Inside of closed meshes against CGAL's exact test, near the surface and far from it. */

#include "cgal_side.h"
#include "soups.h"

#include "gaps/inside_private.h"
#include "geom/tol.h"

static CgalSide *
side_of_tree(const TbTree *tree)
{
    const TbMesh *mesh = tb_tree_mesh(tree);
    CgalSide *side = cgal_side_new(&tb_mesh_vertices(mesh)[0].x, tb_mesh_vertex_count(mesh),
                                   tb_mesh_indices(mesh), tb_mesh_triangle_count(mesh));

    ck_assert_ptr_nonnull(side);
    return side;
}

static void
make_mesh(Soup *soup, int kind)
{
    size_t from;

    soup->count = 0;
    switch (kind) {
    case 0:
        soup_add_box(soup, tb_vec3(0, 0, 0), tb_vec3(31, 22, 43), 7, false);
        break;
    case 1:
        soup_add_box(soup, tb_vec3(0, 0, 0), tb_vec3(31, 22, 43), 13, true);
        break;
    case 2:
        soup_add_torus(soup, 45, 17, 37, 23);
        break;
    default: /* a hollow body with a part in its hollow, and another beside it */
        soup_add_box(soup, tb_vec3(0, 0, 0), tb_vec3(31, 22, 43), 9, true);
        from = soup->count;
        soup_add_box(soup, tb_vec3(1, 2, 3), tb_vec3(21, 12, 33), 8, true);
        soup_turn(soup, from, soup->count);
        soup_add_box(soup, tb_vec3(1, 2, 3), tb_vec3(7, 6, 5), 2, false);
        soup_add_box(soup, tb_vec3(61, 2, 3), tb_vec3(17, 26, 5), 3, false);
    }
}

/** Anywhere, or a little off some triangle, down to a micrometre. */
static TbVec3
place_near(const Soup *soup, gsl_rng *rng)
{
    size_t i = gsl_rng_uniform_int(rng, soup->count), k = gsl_rng_uniform_int(rng, soup->count);
    const TbVec3 *t = soup->corner + 3 * i;

    if (gsl_rng_uniform(rng) < 0.4)
        return tb_vec3_mix(t[0], soup->corner[3 * k], between(rng, -0.2, 1.2));
    return tb_vec3_add_scaled(
        tb_vec3_mix(tb_vec3_mix(t[0], t[1], gsl_rng_uniform(rng)), t[2], gsl_rng_uniform(rng)),
        pow(10, between(rng, -3, 0)), random_direction(rng));
}

START_TEST(inside_of_closed_meshes_is_what_an_exact_test_says)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Soup *soup = malloc(sizeof *soup);
    int in = 0, asked = 0;

    gsl_rng_set(rng, 5);
    for (int n = 0; n < 12; n++) {
        TbSolid *solid;
        CgalSide *side;

        make_mesh(soup, _i);
        /* up to 9 m from the origin */
        soup_move(soup, tb_pose_turn(tb_vec3(3, 1, 2), random_direction(rng), between(rng, 0, 6)));
        soup_move(soup, tb_pose_shift(tb_vec3_scale(random_direction(rng), n * 800)));
        solid = soup_solid(soup);
        side = side_of_tree(tb_solid_part(solid, 0)->tree);
        for (int k = 0; k < 3000; k++) {
            TbVec3 p = place_near(soup, rng);
            const double at[3] = {p.x, p.y, p.z};
            int theirs = cgal_side_of(side, at);
            double winding;
            TbLies ours = tb_inside__where(tb_solid_part(solid, 0), p, &winding);

            if (theirs == (ours == TB_LIES_IN ? 1 : -1))
                asked++;
            else /* between corners of one face: on it, to rounding */
                ck_assert_msg(soup_distance(soup, p) <= TB_TOL_ROUND, "%d %d: %d, ours %d", n, k,
                              theirs, (int)ours);
            in += ours == TB_LIES_IN;
        }
        cgal_side_free(side);
        tb_solid_unref(solid);
    }
    ck_assert_int_gt(asked, 30000);
    ck_assert_int_gt(in, asked / 6);
    ck_assert_int_lt(in, asked * 5 / 6);
    free(soup);
    gsl_rng_free(rng);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/cgal_side");
    TCase *c = tcase_create("side");

    tcase_set_timeout(c, 120);
    tcase_add_loop_test(c, inside_of_closed_meshes_is_what_an_exact_test_says, 0, 4);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
