/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "base/mem.h"
#include "geom/solid.h"
#include "geom/tol.h"

#include <gsl/gsl_rng.h>
#include <string.h>

/** A U, clockwise. */
static const TbVec2 u_points[8] = {{0.7, 0.3},   {0.7, 51.9},  {14.3, 51.9}, {14.3, 17.1},
                                   {38.9, 17.1}, {38.9, 40.7}, {52.3, 40.7}, {52.3, 0.3}};

static TbPlain
plate(double rounding)
{
    TbPose pose = tb_pose_turn(tb_vec3(0, 0, 0), tb_vec3(-0.3, 1.7, 0.9), 1.311);

    return (TbPlain){
        .kind = TB_PLAIN_OUTLINE,
        .outline = {{811.3, -37.9, 419.1}, pose.x, pose.y, u_points, 8, 23.7, rounding}};
}

static const TbPlain cone = {.kind = TB_PLAIN_ROD,
                             .rod = {{811.3, -37.9, 419.1}, {851.9, 3.3, 377.7}, 17.3, 6.1}};
static const TbPlain ball = {.kind = TB_PLAIN_BALL, .ball = {{833.3, 17.9, 401.1}, 27.3}};

static TbSweep *
straight_tube(void)
{
    const TbVec3 ends[2] = {{811.3, -37.9, 419.1}, {911.3, -7.9, 399.1}};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;

    ck_assert_int_eq(tb_curve_smooth_new(ends, 2, NULL, NULL, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, 44.5, 1.7, &sweep, NULL), TB_OK);
    tb_curve_unref(curve);
    return sweep;
}

/** A tetrahedron; without its last triangle it is open. */
static TbTree *
tetra_tree(bool closed)
{
    const TbVec3 vertex[4] = {
        {0.1, 0.2, 0.3}, {31.7, 0.9, 1.1}, {3.3, 28.1, -2.1}, {7.7, 5.5, 33.3}};
    const uint32_t index[12] = {0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3};
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_mesh_from_arrays(vertex, 4, index, closed ? 4 : 3, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

static TbSolid *
full_solid(void)
{
    TbSolid *solid = tb_solid_new();
    TbSweep *sweep = straight_tube();
    TbTree *tree = tetra_tree(true);
    TbPlain outline = plate(4.3);

    ck_assert_int_eq(tb_solid_add_sweep(solid, sweep, 1, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_plain(solid, &outline, 2, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_plain(solid, &cone, 3, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(solid, tree, 4, NULL), TB_OK);
    tb_sweep_unref(sweep);
    tb_tree_unref(tree);
    return solid;
}

/** Largest reach of the union of a part's pieces along d. */
static double
reach(const TbPart *part, TbVec3 d)
{
    double most = -INFINITY;

    for (size_t i = 0; i < part->piece_count; i++)
        most = fmax(most, tb_convex_support(&part->pieces[i], d).reach);
    return most;
}

START_TEST(pieces_fill_the_outline_and_no_more)
{
    TbPlain plain = plate(_i == 0 ? 0 : 4.3);
    TbSolid *solid = tb_solid_new();
    const TbPart *part;
    TbBox3 box = tb_plain_box(&plain);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    ck_assert_int_eq(tb_solid_add_plain(solid, &plain, 9, NULL), TB_OK);
    part = tb_solid_part(solid, 0);
    ck_assert_int_eq(part->role, 9);
    ck_assert_uint_eq(part->piece_count, 3);
    gsl_rng_set(rng, 51);
    for (int i = 0; i < 3000; i++) {
        TbConvex point = tb_convex_of_point(
            tb_vec3(box.low.x + (box.high.x - box.low.x) * gsl_rng_uniform(rng),
                    box.low.y + (box.high.y - box.low.y) * gsl_rng_uniform(rng),
                    box.low.z + (box.high.z - box.low.z) * gsl_rng_uniform(rng)));
        double distance = tb_plain_distance(&plain, point.point[0]);
        double least = INFINITY;

        for (size_t k = 0; k < part->piece_count; k++)
            least = fmin(least, tb_convex_separation(&point, &part->pieces[k], tb_vec3(0, 0, 0),
                                                     INFINITY, 1e-9)
                                    .distance);
        ck_assert_double_eq_tol(least, fmax(0, distance), 1e-6);
    }
    gsl_rng_free(rng);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(solid_keeps_its_own_copy_of_an_outline)
{
    TbVec2 points[8];
    TbPlain plain = plate(0);
    TbSolid *solid = tb_solid_new();
    const TbOutline *kept;

    memcpy(points, u_points, sizeof points);
    plain.outline.points = points;
    ck_assert_int_eq(tb_solid_add_plain(solid, &plain, 0, NULL), TB_OK);
    memset(points, 0, sizeof points);
    kept = &tb_solid_part(solid, 0)->plain.outline;
    ck_assert_double_eq(kept->points[0].x, 52.3); /* the other way round */
    ck_assert_double_eq(kept->points[7].y, 0.3);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(bad_shape_is_refused_and_leaves_the_solid_alone)
{
    TbPlain bad = ball;
    TbSolid *solid = tb_solid_new();
    TbFault fault = {0};

    bad.ball.radius = -1.5;
    ck_assert_int_eq(tb_solid_add_plain(solid, &bad, 0, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "radius of the ball is -1.5 mm, outside 1e-05 to 2000 mm");
    ck_assert_uint_eq(tb_solid_part_count(solid), 0);
    ck_assert(tb_box3_is_empty(tb_solid_box(solid)));
    tb_solid_unref(solid);
}
END_TEST

START_TEST(open_mesh_has_no_inside)
{
    TbSolid *solid = full_solid();
    TbTree *tree = tetra_tree(false);

    ck_assert(tb_solid_has_inside(solid));
    ck_assert_int_eq(tb_solid_add_tree(solid, tree, 0, NULL), TB_OK);
    ck_assert(!tb_solid_has_inside(solid));
    tb_tree_unref(tree);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(moved_solid_is_the_same_shape_elsewhere_and_grown)
{
    TbPose pose =
        tb_pose_compose(tb_pose_growth(tb_vec3(603.3, -8.1, 9.9), 1.0137),
                        tb_pose_turn(tb_vec3(740.1, -7.9, 303.1), tb_vec3(0.3, 0.9, -0.5), 0.417));
    TbSolid *solid = full_solid();
    TbSolid *moved = tb_solid_moved(solid, pose);
    const TbPart *a;
    const TbPart *b;

    ck_assert_ptr_nonnull(moved);
    ck_assert_uint_eq(tb_solid_part_count(moved), 4);
    ck_assert_double_eq_tol(tb_sweep_length(tb_solid_part(moved, 0)->sweep),
                            1.0137 * tb_sweep_length(tb_solid_part(solid, 0)->sweep), 1e-7);
    a = tb_solid_part(solid, 1);
    b = tb_solid_part(moved, 1);
    ck_assert_int_eq(b->role, 2);
    ck_assert_double_eq_tol(tb_plain_volume(&b->plain), pow(1.0137, 3) * tb_plain_volume(&a->plain),
                            1e-5);
    for (int k = 0; k < 50; k++) {
        TbVec3 p = {790 + 1.7 * k, 20 - 0.9 * k, 391.3 + 0.9 * k};
        TbVec3 d = tb_vec3_unit(tb_vec3(1.3 * k - 20, 7.7, k % 7 - 3));

        ck_assert_double_eq_tol(tb_plain_distance(&b->plain, tb_pose_point(pose, p)),
                                1.0137 * tb_plain_distance(&a->plain, p), 1e-9);
        ck_assert_double_eq_tol(reach(b, tb_pose_direction(pose, d)) -
                                    tb_vec3_dot(tb_pose_direction(pose, d), pose.origin),
                                1.0137 * reach(a, d), 1e-9);
    }
    ck_assert_double_eq_tol(
        tb_mesh_facts(tb_tree_mesh(tb_solid_part(moved, 3)->tree)).volume,
        pow(1.0137, 3) * tb_mesh_facts(tb_tree_mesh(tb_solid_part(solid, 3)->tree)).volume, 1e-6);
    tb_solid_unref(moved);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(meshes_of_plain_shapes_are_closed_and_have_their_volume)
{
    TbPlain block = tb_plain_block_between(tb_vec3(10.3, 2.1, 3.3), tb_vec3(47.1, 29.9, 41.7));
    TbPlain tip = cone;
    TbPlain shape[6] = {block, cone, ball, plate(0), plate(4.3), tip};

    shape[5].rod.radius_b = 0;
    for (int i = 0; i < 6; i++) {
        TbSolid *solid = tb_solid_new();
        TbMesh *mesh = NULL;
        double volume = tb_plain_volume(&shape[i]);

        ck_assert_int_eq(tb_solid_add_plain(solid, &shape[i], 0, NULL), TB_OK);
        ck_assert_int_eq(tb_solid_mesh(solid, 0.01, &mesh, NULL), TB_OK);
        ck_assert(tb_mesh_facts(mesh).closed);
        ck_assert(!tb_mesh_facts(mesh).inward);
        /* chords of 0.01 mm: volume short by at most that over the surface */
        ck_assert_double_eq_tol(tb_mesh_facts(mesh).volume, volume,
                                0.01 * tb_mesh_facts(mesh).area + 1e-8 * volume);
        for (size_t k = 0; k < tb_mesh_vertex_count(mesh); k++)
            ck_assert_double_le(fabs(tb_plain_distance(&shape[i], tb_mesh_vertices(mesh)[k])),
                                1e-9);
        for (size_t k = 0; k < tb_mesh_triangle_count(mesh); k++) {
            TbVec3 t[3];
            TbVec3 middle;

            tb_mesh_corners(mesh, k, t);
            middle = tb_vec3_scale(tb_vec3_add(t[0], tb_vec3_add(t[1], t[2])), 1.0 / 3);
            ck_assert_double_le(fabs(tb_plain_distance(&shape[i], middle)), 0.0101);
        }
        tb_mesh_unref(mesh);
        tb_solid_unref(solid);
    }
}
END_TEST

START_TEST(mesh_of_a_solid_is_all_its_parts)
{
    TbSolid *solid = full_solid();
    TbMesh *mesh = NULL;
    size_t triangles = 0;

    ck_assert_int_eq(tb_solid_mesh(solid, 0.05, &mesh, NULL), TB_OK);
    for (size_t i = 0; i < 4; i++) {
        TbMesh *part = NULL;

        ck_assert_int_eq(tb_solid_part_mesh(tb_solid_part(solid, i), 0.05, &part, NULL), TB_OK);
        triangles += tb_mesh_triangle_count(part);
        tb_mesh_unref(part);
    }
    ck_assert_uint_eq(tb_mesh_triangle_count(mesh), triangles);
    ck_assert_uint_eq(tb_mesh_facts(mesh).shells, 4);
    ck_assert(tb_mesh_facts(mesh).closed);
    tb_mesh_unref(mesh);
    tb_solid_unref(solid);
}
END_TEST

/* ---- ends ---- */

/** A joint whose gas runs along +X, with up +Z. */
static TbEndAxes
end_axes(bool at_start)
{
    TbVec3 up = {0.3, 0, 1.7};
    TbFrame frame = tb_frame_start(tb_vec3(1, 0, 0), &up);

    return (TbEndAxes){{811.3, -37.9, 419.1}, {at_start ? 1 : -1, 0, 0}, frame};
}

static TbEndBox
bolt_box(void)
{
    return (TbEndBox){
        .along = 26.5, .across = 60, .from = sqrt(63 * 63 - 30 * 30), .to = 93, .turn = M_PI_2};
}

START_TEST(end_has_flange_clamp_and_bolt_where_they_belong)
{
    TbEndRing flange = {.diameter = 108, .from = 0, .to = 12, .role = TB_ROLE_FLANGE};
    TbEndRing clamp = {.diameter = 126, .from = -13, .to = 13, .role = TB_ROLE_CLAMP};
    TbEndBox bolt = bolt_box();
    TbSolid *solid = tb_solid_new();
    TbBox3 box;
    double inner = sqrt(63 * 63 - 30 * 30);

    ck_assert_int_eq(tb_solid_add_ring(solid, &flange, end_axes(false), NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_ring(solid, &clamp, end_axes(false), NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_bolt_box(solid, &bolt, end_axes(false), NULL), TB_OK);
    ck_assert_uint_eq(tb_solid_part_count(solid), 3);
    ck_assert_int_eq(tb_solid_part(solid, 0)->role, TB_ROLE_FLANGE);
    ck_assert_int_eq(tb_solid_part(solid, 1)->role, TB_ROLE_CLAMP);
    ck_assert_int_eq(tb_solid_part(solid, 2)->role, TB_ROLE_BOLT);
    /* the duct ends here: the disc lies upstream of the joint */
    box = tb_solid_part_box(tb_solid_part(solid, 0));
    ck_assert_double_eq_tol(box.low.x, 811.3 - 12, 1e-9);
    ck_assert_double_eq_tol(box.high.x, 811.3, 1e-9);
    ck_assert_double_eq_tol(box.high.z, 419.1 + 54, 1e-9);
    box = tb_solid_part_box(tb_solid_part(solid, 1));
    ck_assert_double_eq_tol(box.low.x, 811.3 - 13, 1e-9);
    ck_assert_double_eq_tol(box.high.x, 811.3 + 13, 1e-9);
    ck_assert_double_eq_tol(box.low.y, -37.9 - 63, 1e-9);
    /* a quarter right-handed about +X takes +Z to -Y; the box sticks out beyond the ring */
    box = tb_solid_part_box(tb_solid_part(solid, 2));
    ck_assert_double_eq_tol(box.low.y, -37.9 - 63 - 30, 1e-9);
    ck_assert_double_eq_tol(box.high.y, -37.9 - inner, 1e-9);
    ck_assert_double_eq_tol(box.low.z, 419.1 - 30, 1e-9);
    ck_assert_double_eq_tol(box.high.z, 419.1 + 30, 1e-9);
    ck_assert_double_eq_tol(box.high.x - box.low.x, 26.5, 1e-9);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(end_at_a_start_has_its_flange_downstream)
{
    TbEndRing flange = {.diameter = 108, .from = 0, .to = 12, .role = TB_ROLE_FLANGE};
    TbSolid *solid = tb_solid_new();
    TbBox3 box;

    ck_assert_int_eq(tb_solid_add_ring(solid, &flange, end_axes(true), NULL), TB_OK);
    ck_assert_uint_eq(tb_solid_part_count(solid), 1);
    box = tb_solid_box(solid);
    ck_assert_double_eq_tol(box.low.x, 811.3, 1e-9);
    ck_assert_double_eq_tol(box.high.x, 811.3 + 12, 1e-9);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(bolt_box_of_any_turn_is_a_bar_that_holds_every_turn)
{
    TbEndBox bolt = bolt_box();
    TbSolid *bar = tb_solid_new();
    const TbPlain *rod;
    double most = 0;

    bolt.any_turn = true;
    bolt.shift = 4.7;
    ck_assert_int_eq(tb_solid_add_bolt_box(bar, &bolt, end_axes(false), NULL), TB_OK);
    rod = &tb_solid_part(bar, 0)->plain;
    ck_assert_int_eq(rod->kind, TB_PLAIN_ROD);
    bolt.any_turn = false;
    for (int k = 0; k < 12; k++) {
        TbSolid *one = tb_solid_new();
        const TbConvex *box;

        bolt.turn = 0.37 + 2 * M_PI * k / 12;
        ck_assert_int_eq(tb_solid_add_bolt_box(one, &bolt, end_axes(false), NULL), TB_OK);
        box = &tb_solid_part(one, 0)->pieces[0];
        for (int i = 0; i < box->points; i++) {
            ck_assert_double_le(tb_plain_distance(rod, box->point[i]), 1e-9);
            most = fmax(most, hypot(box->point[i].y + 37.9, box->point[i].z - 419.1));
        }
        tb_solid_unref(one);
    }
    /* and no wider than it must be */
    ck_assert_double_eq_tol(rod->rod.radius_a, most, 1e-9);
    tb_solid_unref(bar);
}
END_TEST

START_TEST(end_with_half_a_thing_or_no_direction_is_refused)
{
    TbEndRing flange = {.diameter = -108, .from = 0, .to = 12, .role = TB_ROLE_FLANGE};
    TbEndBox bolt = bolt_box();
    TbEndAxes axes = end_axes(false);
    TbSolid *solid = tb_solid_new();

    ck_assert_int_eq(tb_solid_add_ring(solid, &flange, axes, NULL), TB_E_RANGE);
    flange.diameter = 108;
    axes.inward = tb_vec3(0, 0, 0);
    ck_assert_int_eq(tb_solid_add_ring(solid, &flange, axes, NULL), TB_E_DEGENERATE);
    bolt.across = 0;
    ck_assert_int_ne(tb_solid_add_bolt_box(solid, &bolt, end_axes(false), NULL), TB_OK);
    bolt = bolt_box();
    bolt.to = bolt.from;
    ck_assert_int_ne(tb_solid_add_bolt_box(solid, &bolt, end_axes(false), NULL), TB_OK);
    bolt = bolt_box();
    bolt.turn = NAN;
    ck_assert_int_eq(tb_solid_add_bolt_box(solid, &bolt, end_axes(false), NULL), TB_E_RANGE);
    ck_assert_uint_eq(tb_solid_part_count(solid), 0);
    tb_solid_unref(solid);
}
END_TEST

/* ---- no room ---- */

START_TEST(every_failed_allocation_frees_what_was_made)
{
    TbPlain outline = plate(4.3);
    TbSolid *full = full_solid();
    TbStatus status = TB_E_MEMORY;

    for (long n = 1; status != TB_OK; n++) {
        TbSolid *solid;
        TbSolid *moved = NULL;
        TbMesh *mesh = NULL;

        tb_mem_fail_at(n);
        solid = tb_solid_new();
        status = solid == NULL ? TB_E_MEMORY : tb_solid_add_plain(solid, &outline, 0, NULL);
        if (status == TB_OK)
            status = tb_solid_mesh(solid, 0.5, &mesh, NULL);
        if (status == TB_OK) {
            moved = tb_solid_moved(full, tb_pose_shift(tb_vec3(1.1, 2.2, 3.3)));
            status = moved == NULL ? TB_E_MEMORY : TB_OK;
        }
        tb_mem_fail_at(0);
        ck_assert(status == TB_OK || status == TB_E_MEMORY);
        tb_mesh_unref(mesh);
        tb_solid_unref(moved);
        tb_solid_unref(solid);
    }
    tb_solid_unref(full);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/solid");
    TCase *tests = tcase_create("solid");

    tcase_add_loop_test(tests, pieces_fill_the_outline_and_no_more, 0, 2);
    tcase_add_test(tests, solid_keeps_its_own_copy_of_an_outline);
    tcase_add_test(tests, bad_shape_is_refused_and_leaves_the_solid_alone);
    tcase_add_test(tests, open_mesh_has_no_inside);
    tcase_add_test(tests, moved_solid_is_the_same_shape_elsewhere_and_grown);
    tcase_add_test(tests, meshes_of_plain_shapes_are_closed_and_have_their_volume);
    tcase_add_test(tests, mesh_of_a_solid_is_all_its_parts);
    tcase_add_test(tests, end_has_flange_clamp_and_bolt_where_they_belong);
    tcase_add_test(tests, end_at_a_start_has_its_flange_downstream);
    tcase_add_test(tests, bolt_box_of_any_turn_is_a_bar_that_holds_every_turn);
    tcase_add_test(tests, end_with_half_a_thing_or_no_direction_is_refused);
    tcase_add_test(tests, every_failed_allocation_frees_what_was_made);
    tcase_set_timeout(tests, 120);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
