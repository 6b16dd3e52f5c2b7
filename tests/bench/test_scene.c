/* SPDX-License-Identifier: GPL-3.0-or-later */

/** The benches' scene is what it says it is: a small one, taken apart. */

#include "scene.h"
#include "tap.h"

#include "geom/mesh.h"

#include <string.h>

/** Triangles of a small bay, and a sum over all bits of its corners. */
typedef struct Taken {
    TbMeshBuilder *builder;
    size_t count, stop_at;
    uint64_t sum;
} Taken;

static bool
take(void *user, const TbVec3 corner[3])
{
    Taken *taken = user;

    for (int k = 0; k < 3; k++) {
        float number[3] = {(float)corner[k].x, (float)corner[k].y, (float)corner[k].z};
        uint32_t word[3];

        memcpy(word, number, sizeof word);
        for (int i = 0; i < 3; i++)
            taken->sum = (taken->sum ^ word[i]) * 0x100000001B3u;
    }
    taken->count++;
    if (taken->builder != NULL) {
        TbFault fault = {0};

        ck_assert_msg(tb_mesh_builder_add(taken->builder, corner, &fault) == TB_OK, "%s",
                      fault.text);
    }
    return taken->count != taken->stop_at;
}

/** Pieces near the duct: few, for it takes long to place one. */
enum { FEW = 4 };

static size_t
make(double triangles, uint64_t seed, Taken *taken)
{
    static SceneFrame frames[SCENE_RINGS];
    SceneBay bay = {.frames = frames,
                    .triangles = triangles,
                    .gap = 8,
                    .seed = seed,
                    .near = FEW,
                    .around = SCENE_ALL};

    scene_frames(SCENE_RINGS, 0, frames);
    return scene_bay(&bay, take, taken);
}

START_TEST(two_makings_are_the_same_bits_and_another_seed_is_not)
{
    Taken first = {0}, second = {0}, other = {0};

    ck_assert_uint_eq(make(9000, 1, &first), 3 + FEW);
    ck_assert_uint_eq(make(9000, 1, &second), 3 + FEW);
    ck_assert_uint_eq(make(9000, 2, &other), 3 + FEW);
    ck_assert_uint_eq(first.count, second.count);
    ck_assert_uint_eq(first.sum, second.sum);
    ck_assert_uint_ne(first.sum, other.sum);
}
END_TEST

START_TEST(no_more_triangles_come_than_were_wanted_and_nearly_as_many)
{
    Taken taken = {0};

    make(23456, 3, &taken);
    ck_assert_uint_le(taken.count, 23456);
    ck_assert_uint_ge(taken.count, 22000);
}
END_TEST

START_TEST(taking_stops_when_told)
{
    Taken taken = {.stop_at = 17};

    ck_assert_uint_eq(make(9000, 1, &taken), 0);
    ck_assert_uint_eq(taken.count, 17);
}
END_TEST

START_TEST(every_piece_is_closed_but_the_shield)
{
    Taken taken = {.builder = tb_mesh_builder_new()};
    TbMesh *mesh = NULL;
    TbMeshFacts facts;
    TbFault fault = {0};

    make(12000, 1, &taken);
    ck_assert_msg(tb_mesh_builder_finish(taken.builder, NULL, NULL, &mesh, &fault) == TB_OK, "%s",
                  fault.text);
    facts = tb_mesh_facts(mesh);
    ck_assert_uint_eq(facts.triangles_read, taken.count);
    /* two sheets of the shield, each with a rim, and the rest closed */
    ck_assert_uint_eq(facts.shells, 2 + 2 + FEW);
    ck_assert(!facts.closed);
    ck_assert_uint_gt(facts.open_edges, 0);
    ck_assert_uint_lt(facts.open_edges, 400);
    ck_assert_uint_eq(facts.shared_edges, 0);
    tb_mesh_unref(mesh);
}
END_TEST

/** Distance of the bay's vertices to the duct's rings: six pieces were put at 8 to 10 mm. */
START_TEST(the_nearest_vertex_is_about_eight_millimetres_from_the_duct)
{
    static TbVec3 ring[SCENE_POINTS];
    Taken taken = {.builder = tb_mesh_builder_new()};
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    double nearest = INFINITY;

    scene_points(SCENE_RINGS, SCENE_COLUMNS, 0, ring);
    make(30000, 1, &taken);
    ck_assert(tb_mesh_builder_finish(taken.builder, NULL, NULL, &mesh, &fault) == TB_OK);
    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 corner[3];

        tb_mesh_corners(mesh, i, corner);
        for (size_t j = i % 3; j < SCENE_POINTS; j += 3)
            nearest = fmin(nearest, tb_vec3_distance(corner[0], ring[j]));
    }
    ck_assert_double_gt(nearest, 7.5);
    ck_assert_double_lt(nearest, 11);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(rings_are_square_to_the_axis_and_follow_the_section)
{
    SceneFrame frames[SCENE_RINGS];
    double length = scene_frames(SCENE_RINGS, 0, frames);

    /* chords of the axis at 200,000 places */
    double sum = 0;
    TbVec3 last = scene_path(0, 0);
    for (int i = 1; i <= 200000; i++) {
        TbVec3 next = scene_path(i / 200000.0, 0);

        sum += tb_vec3_distance(last, next);
        last = next;
    }
    ck_assert_double_eq_tol(length, sum, 1e-4);
    for (int i = 0; i < SCENE_RINGS; i += 25) {
        const SceneFrame *f = &frames[i];

        ck_assert_double_eq_tol(tb_vec3_dot(f->t, f->u), 0, 1e-12);
        ck_assert_double_eq_tol(tb_vec3_dot(f->u, f->v), 0, 1e-12);
        ck_assert_double_eq_tol(tb_vec3_length(f->v), 1, 1e-12);
        for (int k = 0; k < SCENE_COLUMNS; k += 7) {
            TbVec3 d = tb_vec3_sub(scene_point(f, 2 * M_PI * k / SCENE_COLUMNS), f->centre);
            double x = fabs(tb_vec3_dot(d, f->u) / f->a), y = fabs(tb_vec3_dot(d, f->v) / f->b);

            ck_assert_double_eq_tol(tb_vec3_dot(d, f->t), 0, 1e-11);
            ck_assert_double_eq_tol(pow(x, f->n) + pow(y, f->n), 1, 1e-10);
        }
    }
}
END_TEST

/** The point in the disc's axes: how far outside (or inside) the disc's outline. */
static double
off_outline(const TbDisc *disc, TbVec3 p)
{
    double most = -INFINITY;

    for (int k = 0; k < 720; k++) {
        double angle = M_PI * k / 360;
        TbVec3 d = tb_vec3_add(tb_vec3_scale(disc->w, sin(angle)),
                               tb_vec3_scale(disc->h, cos(angle))),
               contact;

        most = fmax(most, tb_vec3_dot(d, p) - tb_disc_support(disc, d, true, &contact));
    }
    return fabs(most);
}

START_TEST(the_program_s_sweep_of_the_duct_keeps_to_the_closed_form)
{
    static const double drags[] = {0, -3.7};
    SceneFrame frames[SCENE_RINGS];
    SceneDuct duct;
    TbSweep *sweep = NULL;
    TbFault fault = {0};
    double drag = drags[_i], off = 0;

    scene_frames(SCENE_RINGS, drag, frames);
    scene_duct(drag, &duct);
    ck_assert_msg(scene_sweep(&duct, &sweep, &fault) == TB_OK, "%s", fault.text);
    for (int i = 0; i < SCENE_RINGS; i += 10) {
        TbDisc disc = tb_sweep_at(sweep, frames[i].place * tb_sweep_length(sweep));

        for (int k = 0; k < SCENE_COLUMNS; k++)
            off = fmax(off,
                       off_outline(&disc, scene_point(&frames[i], 2 * M_PI * k / SCENE_COLUMNS)));
    }
    ck_assert_double_lt(off, SCENE_SWEEP_ERROR);
    ck_assert_double_gt(off, 0.1 * SCENE_SWEEP_ERROR); /* or the allowance is for nothing */
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(quads_of_a_lattice_close_round_and_use_each_side_twice)
{
    enum { RINGS = 5, COLUMNS = 7 };
    uint32_t index[6 * (RINGS - 1) * COLUMNS];
    TbVec3 points[RINGS * COLUMNS];
    TbMesh *mesh = NULL;
    TbMeshFacts facts;
    TbFault fault = {0};
    TbMeshBuilder *builder = tb_mesh_builder_new();

    scene_points(RINGS, COLUMNS, 0, points);
    scene_indices(RINGS, COLUMNS, index);
    for (size_t t = 0; t < 2 * (RINGS - 1) * COLUMNS; t++) {
        TbVec3 corner[3] = {points[index[3 * t]], points[index[3 * t + 1]],
                            points[index[3 * t + 2]]};

        ck_assert(tb_mesh_builder_add(builder, corner, &fault) == TB_OK);
    }
    ck_assert(tb_mesh_builder_finish(builder, NULL, NULL, &mesh, &fault) == TB_OK);
    facts = tb_mesh_facts(mesh);
    ck_assert_uint_eq(facts.open_edges, 2 * COLUMNS);
    ck_assert_uint_eq(facts.flipped_edges, 0);
    ck_assert_uint_eq(facts.shells, 1);
    tb_mesh_unref(mesh);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("bench/scene");
    TCase *bay = tcase_create("bay");
    TCase *duct = tcase_create("duct");

    tcase_add_test(bay, two_makings_are_the_same_bits_and_another_seed_is_not);
    tcase_add_test(bay, no_more_triangles_come_than_were_wanted_and_nearly_as_many);
    tcase_add_test(bay, taking_stops_when_told);
    tcase_add_test(bay, every_piece_is_closed_but_the_shield);
    tcase_add_test(bay, the_nearest_vertex_is_about_eight_millimetres_from_the_duct);
    tcase_set_timeout(bay, 60);
    suite_add_tcase(s, bay);

    tcase_add_test(duct, rings_are_square_to_the_axis_and_follow_the_section);
    tcase_add_loop_test(duct, the_program_s_sweep_of_the_duct_keeps_to_the_closed_form, 0, 2);
    tcase_add_test(duct, quads_of_a_lattice_close_round_and_use_each_side_twice);
    suite_add_tcase(s, duct);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
