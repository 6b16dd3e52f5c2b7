/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Certified gaps over motions against FCL's distances of meshes at sampled poses: none is below
 * the lower end by more than the meshes' error, and at the worst pose it is at the upper end. */
#include "../gaps/moving_scenes.h"
#include "fcl_distance.h"

/** mm. The meshes lie this near to the true surfaces, so distances of two differ by twice as much.
 */
#define CHORD 0.1

enum { POSES = 9 };

/** The triangles of a solid at rest; to be freed. */
static TbVec3 *
corners_of(const TbSolid *solid, size_t *count)
{
    TbMesh *mesh = NULL;
    TbVec3 *corner;

    ck_assert_int_eq(tb_solid_mesh(solid, CHORD, &mesh, NULL), TB_OK);
    *count = tb_mesh_triangle_count(mesh);
    corner = malloc(3 * *count * sizeof *corner);
    for (size_t t = 0; t < *count; t++)
        tb_mesh_corners(mesh, t, corner + 3 * t);
    tb_mesh_unref(mesh);
    return corner;
}

/** Moved by a pose, as FCL takes them. */
static double *
moved(const TbVec3 corner[], size_t count, TbPose pose)
{
    double *out = malloc(9 * count * sizeof *out);

    for (size_t i = 0; i < 3 * count; i++) {
        TbVec3 p = tb_pose_point(pose, corner[i]);

        out[3 * i] = p.x;
        out[3 * i + 1] = p.y;
        out[3 * i + 2] = p.z;
    }
    return out;
}

typedef struct Meshes {
    TbVec3 *a, *b;
    size_t a_count, b_count;
} Meshes;

static double
fcl_at(const Meshes *m, TbPose pose_a, TbPose pose_b)
{
    double *a = moved(m->a, m->a_count, pose_a), *b = moved(m->b, m->b_count, pose_b);
    double distance = fcl_mesh_mesh(a, m->a_count, b, m->b_count);

    free(a);
    free(b);
    return distance;
}

/** A rock and, of every other scene, growth of both; the range's ends and its inside. */
static void
sample(gsl_rng *rng, const TbMotion *motion, int k, double q[])
{
    for (int i = 0; i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];

        q[i] = i == 0                       ? f->low + (f->high - f->low) * k / (POSES - 1)
               : gsl_rng_uniform(rng) < 0.5 ? f->low
                                            : f->high;
    }
}

static int
compare(gsl_rng *rng, bool warm)
{
    TbSweep *sweep = random_sweep(rng, between(rng, 20, 40));
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
    TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
    TbVec3 to = tb_vec3_add_scaled(p, between(rng, 25, 40), normal);
    TbRock rock = {tb_vec3_scale(random_direction(rng), 250), random_direction(rng),
                   -between(rng, 0.01, 0.05), between(rng, 0.01, 0.05)};
    TbMovingAsk ask = {.width = 1e-4, .depth_width = 100, .motion_a = rocking(rock)};
    TbMovingGap m;
    Meshes meshes;
    int compared = 0;

    ask.a = solid_of_sweep(sweep);
    ask.b = solid_of_plain(
        rod(to, tb_vec3_add_scaled(to, 60, random_direction(rng)), between(rng, 2, 9)));
    if (warm) {
        ck_assert_int_eq(tb_motion_add_growth(&ask.motion_a, tb_vec3(0, 0, 0), 1, 1.012, NULL),
                         TB_OK);
        ck_assert_int_eq(tb_motion_add_growth(&ask.motion_b, to, 0.998, 1, NULL), TB_OK);
    }
    m = ask_moving(&ask);
    meshes.a = corners_of(ask.a, &meshes.a_count);
    meshes.b = corners_of(ask.b, &meshes.b_count);
    for (int k = 0; k < POSES && m.gap.contact == TB_CLEAR; k++) {
        double qa[TB_MOTION_MOST], qb[TB_MOTION_MOST], theirs;

        sample(rng, &ask.motion_a, k, qa);
        sample(rng, &ask.motion_b, k, qb);
        theirs =
            fcl_at(&meshes, tb_motion_pose(&ask.motion_a, qa), tb_motion_pose(&ask.motion_b, qb));
        ck_assert_msg(theirs >= m.gap.lower - 2.1 * CHORD, "pose %d: FCL %.6f below %.6f", k,
                      theirs, m.gap.lower);
        compared++;
    }
    if (m.gap.contact == TB_CLEAR)
        ck_assert_double_eq_tol(fcl_at(&meshes, m.pose_a, m.pose_b), m.gap.upper, 2.1 * CHORD);
    free(meshes.a);
    free(meshes.b);
    tb_solid_unref((TbSolid *)ask.a);
    tb_solid_unref((TbSolid *)ask.b);
    return compared;
}

START_TEST(no_sampled_pose_of_a_rock_is_below_the_certified_gap)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int compared = 0;

    gsl_rng_set(rng, 1729);
    for (int n = 0; n < 8; n++)
        compared += compare(rng, n % 2 == 1);
    gsl_rng_free(rng);
    ck_assert_int_gt(compared, 4 * POSES);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/fcl_moving");
    TCase *tests = tcase_create("poses");

    tcase_set_timeout(tests, 200);
    tcase_add_test(tests, no_sampled_pose_of_a_rock_is_below_the_certified_gap);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
