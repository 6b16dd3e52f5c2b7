/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "cut_ducts.h"
#include "tap.h"

#include "base/mem.h"
#include "geom/cut.h"
#include "geom/tol.h"

#include <gsl/gsl_rng.h>
#include <gsl/gsl_sf_ellint.h>
#include <string.h>

/* ---- helpers ---- */

static TbVec3
random_direction(gsl_rng *rng)
{
    TbVec3 d;

    do
        d = tb_vec3(2 * gsl_rng_uniform(rng) - 1, 2 * gsl_rng_uniform(rng) - 1,
                    2 * gsl_rng_uniform(rng) - 1);
    while (tb_vec3_length2(d) > 1 || tb_vec3_length2(d) < 0.01);
    return tb_vec3_unit(d);
}

static TbPlane
plane_with_normal(TbVec3 origin, TbVec3 n)
{
    TbVec3 helper = fabs(n.z) < 0.8 ? tb_vec3(0, 0, 1) : tb_vec3(0, 1, 0);
    TbVec3 u = tb_vec3_unit(tb_vec3_cross(helper, n));

    return tb_plane_of(origin, u, tb_vec3_cross(n, u));
}

static TbPlane
random_plane(gsl_rng *rng, TbBox3 box)
{
    TbVec3 p = {box.low.x + (box.high.x - box.low.x) * gsl_rng_uniform(rng),
                box.low.y + (box.high.y - box.low.y) * gsl_rng_uniform(rng),
                box.low.z + (box.high.z - box.low.z) * gsl_rng_uniform(rng)};

    return plane_with_normal(p, random_direction(rng));
}

static double
loop_area(const TbCut *cut, size_t i)
{
    return tb_polygon_area(cut->points + cut->loops[i].first, cut->loops[i].count);
}

/** Material: loops that are holes count negative by their direction. */
static double
cut_area(const TbCut *cut)
{
    double sum = 0;

    for (size_t i = 0; i < cut->loop_count; i++)
        if (cut->loops[i].kind != TB_LOOP_OPEN)
            sum += loop_area(cut, i);
    return sum;
}

/** Loops have room, direction and parity that agree, and lie one after the other. */
static void
assert_sound(const TbCut *cut)
{
    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbLoop *loop = &cut->loops[i];

        ck_assert_uint_le(loop->first + loop->count, cut->point_count);
        if (loop->kind == TB_LOOP_OPEN)
            continue;
        ck_assert_uint_ge(loop->count, 3);
        ck_assert_int_eq(loop_area(cut, i) > 0, loop->depth % 2 == 0);
    }
}

static TbSolid *
solid_of(const TbPlain *plain)
{
    TbSolid *solid = tb_solid_new();
    TbFault fault = {0};

    ck_assert_ptr_nonnull(solid);
    ck_assert_msg(tb_solid_add_plain(solid, plain, 7, &fault) == TB_OK, "%s", fault.text);
    return solid;
}

static TbSolid *
solid_of_sweep(TbSweep *sweep)
{
    TbSolid *solid = tb_solid_new();

    ck_assert_int_eq(tb_solid_add_sweep(solid, sweep, 3, NULL), TB_OK);
    tb_sweep_unref(sweep);
    return solid;
}

/**
 * Cavalieri: the cuts' areas over the heights along n add up to the volume. By Gauss-Legendre with
 * three points on each of @p count slabs: exact for areas of fifth degree.
 */
static double
volume_by_cuts(const TbSolid *solid, TbVec3 n, int count)
{
    static const double at[3] = {-0.7745966692414834, 0, 0.7745966692414834};
    static const double weight[3] = {5.0 / 9, 8.0 / 9, 5.0 / 9};
    TbBox3 box = tb_solid_box(solid);
    TbVec3 centre = tb_box3_centre(box);
    double half = tb_box3_diagonal(box) / 2;
    double slab = 2 * half / count;
    double sum = 0;

    for (int i = 0; i < count; i++)
        for (int k = 0; k < 3; k++) {
            double h = -half + slab * (i + 0.5 + at[k] / 2);
            TbCut cut;

            tb_cut_init(&cut);
            ck_assert_int_eq(
                tb_cut_add_solid(&cut, solid,
                                 plane_with_normal(tb_vec3_add_scaled(centre, h, n), n), NULL),
                TB_OK);
            assert_sound(&cut);
            sum += cut_area(&cut) * weight[k] * slab / 2;
            tb_cut_clear(&cut);
        }
    return sum;
}

static void
assert_volume_by_cuts(const TbSolid *solid, double volume, int directions, int count, double share)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 8123);
    for (int i = 0; i < directions; i++)
        ck_assert_double_eq_tol(volume_by_cuts(solid, random_direction(rng), count), volume,
                                share * volume);
    gsl_rng_free(rng);
}

/** Corners and middles of chords lie on the surface of a plain shape; corners nearer. */
static void
assert_on_surface(const TbCut *cut, const TbPlain *plain, TbPlane plane, double corner)
{
    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbLoop *loop = &cut->loops[i];
        const TbVec2 *p = cut->points + loop->first;

        for (size_t k = 0; k < loop->count; k++) {
            TbVec2 next = p[(k + 1) % loop->count];
            TbVec2 middle = tb_vec2_scale(tb_vec2_add(p[k], next), 0.5);

            ck_assert_double_le(fabs(tb_plain_distance(plain, tb_plane_lift(plane, p[k]))), corner);
            ck_assert_double_le(fabs(tb_plain_distance(plain, tb_plane_lift(plane, middle))),
                                TB_TOL_CUT * 1.01);
        }
    }
}

static size_t
random_cuts(const TbPlain *plain, int count, double corner)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbBox3 box = tb_plain_box(plain);
    size_t loops = 0;

    gsl_rng_set(rng, 77003);
    for (int i = 0; i < count; i++) {
        TbPlane plane = random_plane(rng, box);
        TbCut cut;

        tb_cut_init(&cut);
        ck_assert_int_eq(tb_cut_add_plain(&cut, plain, plane, 7, NULL), TB_OK);
        assert_sound(&cut);
        assert_on_surface(&cut, plain, plane, corner);
        loops += cut.loop_count;
        tb_cut_clear(&cut);
    }
    gsl_rng_free(rng);
    return loops;
}

/* ---- shapes ---- */

static TbPlain
sample_block(void)
{
    TbPose pose = tb_pose_turn(tb_vec3(0, 0, 0), tb_vec3(1.3, -0.7, 0.41), 0.937);
    TbPlain plain = tb_plain_block_between(tb_vec3(-21.3, -9.1, -33.7), tb_vec3(21.3, 9.1, 33.7));

    plain = tb_plain_moved(&plain, pose);
    plain.block.centre = tb_vec3(811.3, -37.9, 419.1);
    return plain;
}

static TbPlain
sample_rod(double radius_a, double radius_b)
{
    return (TbPlain){.kind = TB_PLAIN_ROD,
                     .rod = {{811.3, -37.9, 419.1}, {851.9, 3.3, 377.7}, radius_a, radius_b}};
}

/** A U with legs of different length, turned clockwise on purpose. */
static const TbVec2 u_points[8] = {{0.7, 0.3},   {0.7, 51.9},  {14.3, 51.9}, {14.3, 17.1},
                                   {38.9, 17.1}, {38.9, 40.7}, {52.3, 40.7}, {52.3, 0.3}};
#define U_AREA (51.6 * 16.8 + 13.6 * 34.8 + 13.4 * 23.6)

static TbPlain
sample_outline(double rounding)
{
    TbPose pose = tb_pose_turn(tb_vec3(0, 0, 0), tb_vec3(-0.3, 1.7, 0.9), 1.311);

    return (TbPlain){
        .kind = TB_PLAIN_OUTLINE,
        .outline = {{811.3, -37.9, 419.1}, pose.x, pose.y, u_points, 8, 23.7, rounding}};
}

/* ---- planes and plain shapes ---- */

START_TEST(plane_projects_and_lifts_both_ways)
{
    TbPlane plane =
        plane_with_normal(tb_vec3(811.3, -37.9, 419.1), tb_vec3_unit(tb_vec3(0.31, -0.77, 0.52)));
    TbVec2 q = {17.3, -41.9};
    TbVec3 p = tb_vec3_add_scaled(tb_plane_lift(plane, q), 13.7, plane.n);

    ck_assert_double_eq_tol(tb_plane_project(plane, p).x, 17.3, 1e-10);
    ck_assert_double_eq_tol(tb_plane_project(plane, p).y, -41.9, 1e-10);
    ck_assert_double_eq_tol(tb_plane_height(plane, p), 13.7, 1e-10);
}
END_TEST

START_TEST(block_cut_square_to_an_axis_is_the_rectangle)
{
    TbPlain plain = tb_plain_block_between(tb_vec3(10.3, -7.7, 2.1), tb_vec3(41.9, 20.3, 33.7));
    TbPlane plane = tb_plane_of(tb_vec3(0, 0, 17.3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, plane, 5, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    ck_assert_uint_eq(cut.loops[0].count, 4);
    ck_assert_int_eq(cut.loops[0].role, 5);
    ck_assert_int_eq(cut.loops[0].kind, TB_LOOP_OUTER);
    ck_assert_double_eq_tol(cut_area(&cut), 31.6 * 28, 1e-10 * 900);
    tb_cut_clear(&cut);
}
END_TEST

START_TEST(block_face_in_the_plane_is_cut_from_below_only)
{
    /* halves of even numbers, so that the faces are exactly at 2.5 and 34.5 */
    TbPlain plain = tb_plain_block_between(tb_vec3(10.3, -7.7, 2.5), tb_vec3(41.9, 20.3, 34.5));
    TbPlane high = tb_plane_of(tb_vec3(0, 0, 34.5), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbPlane low = tb_plane_of(tb_vec3(0, 0, 2.5), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, high, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    ck_assert_double_eq_tol(cut_area(&cut), 31.6 * 28, 1e-10 * 900);
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, low, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    tb_cut_clear(&cut);
}
END_TEST

START_TEST(cube_cut_through_corners_and_edges_is_the_known_shape)
{
    TbPlain plain = tb_plain_block_between(tb_vec3(-16, -16, -16), tb_vec3(16, 16, 16));
    TbPlane hexagon = plane_with_normal(tb_vec3(0, 0, 0), tb_vec3_unit(tb_vec3(1, 1, 1)));
    TbPlane diagonal =
        tb_plane_of(tb_vec3(0, 0, 0), tb_vec3(M_SQRT1_2, -M_SQRT1_2, 0), tb_vec3(0, 0, 1));
    TbPlane three = plane_with_normal(tb_vec3(16, -16, -16), tb_vec3_unit(tb_vec3(1, 1, 1)));
    TbCut cut;

    tb_cut_init(&cut);
    /* regular hexagon of side a / sqrt(2) */
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, hexagon, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    ck_assert_uint_eq(cut.loops[0].count, 6);
    ck_assert_double_eq_tol(cut_area(&cut), 3 * sqrt(3) / 2 * 512, 1e-9);
    tb_cut_clear(&cut);
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, diagonal, 0, NULL), TB_OK);
    ck_assert_double_eq_tol(cut_area(&cut), 32 * 32 * sqrt(2), 1e-9);
    tb_cut_clear(&cut);
    /* through three corners: triangle of side a sqrt(2) */
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, three, 0, NULL), TB_OK);
    ck_assert_double_eq_tol(cut_area(&cut), sqrt(3) / 4 * 2 * 32 * 32, 1e-9);
    tb_cut_clear(&cut);
}
END_TEST

START_TEST(block_cuts_lie_on_its_surface_and_add_up_to_its_volume)
{
    TbPlain plain = sample_block();
    TbSolid *solid = solid_of(&plain);

    ck_assert_uint_gt(random_cuts(&plain, 2000, 1e-9), 1000);
    assert_volume_by_cuts(solid, 42.6 * 18.2 * 67.4, 6, 200, 2e-5);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(ball_cuts_are_circles)
{
    TbPlain plain = {.kind = TB_PLAIN_BALL, .ball = {{811.3, -37.9, 419.1}, 27.3}};
    TbSolid *solid = solid_of(&plain);
    TbVec3 n = tb_vec3_unit(tb_vec3(0.31, -0.77, 0.52));
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(
        tb_cut_add_plain(&cut, &plain,
                         plane_with_normal(tb_vec3_add_scaled(plain.ball.centre, 11.9, n), n), 0,
                         NULL),
        TB_OK);
    ck_assert_double_eq_tol(cut_area(&cut), M_PI * (27.3 * 27.3 - 11.9 * 11.9), 0.2);
    tb_cut_clear(&cut);
    /* a plane that only touches */
    ck_assert_int_eq(
        tb_cut_add_plain(&cut, &plain,
                         plane_with_normal(tb_vec3_add_scaled(plain.ball.centre, 27.3, n), n), 0,
                         NULL),
        TB_OK);
    ck_assert_uint_eq(cut.loop_count, 0);
    tb_cut_clear(&cut);
    random_cuts(&plain, 500, 1e-9);
    assert_volume_by_cuts(solid, 4 * M_PI / 3 * 27.3 * 27.3 * 27.3, 3, 60, 1e-4);
    tb_solid_unref(solid);
}
END_TEST

static const double rods[5][2] = {{17.3, 17.3}, {17.3, 6.1}, {0, 17.3}, {17.3, 0}, {31.9, 1.7}};

START_TEST(rod_and_cone_cuts_lie_on_the_surface_and_add_up_to_the_volume)
{
    TbPlain plain = sample_rod(rods[_i][0], rods[_i][1]);
    TbSolid *solid = solid_of(&plain);

    ck_assert_uint_gt(random_cuts(&plain, 500, 1e-7), 150);
    assert_volume_by_cuts(solid, tb_plain_volume(&plain), 2, 200, 4e-4);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(rod_cut_square_to_its_axis_is_a_circle_along_it_a_rectangle)
{
    TbPlain plain = {.kind = TB_PLAIN_ROD,
                     .rod = {{10.5, 3.25, 7.75}, {90.25, 3.25, 7.75}, 21.7, 21.7}};
    TbPlane square = tb_plane_of(tb_vec3(33.3, 0, 0), tb_vec3(0, 1, 0), tb_vec3(0, 0, 1));
    TbPlane through = tb_plane_of(tb_vec3(0, 0, 7.75), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbPlane chord = tb_plane_of(tb_vec3(0, 0, 20.75), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbPlane end = tb_plane_of(tb_vec3(90.25, 0, 0), tb_vec3(0, 1, 0), tb_vec3(0, 0, 1));
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, square, 0, NULL), TB_OK);
    ck_assert_double_eq_tol(cut_area(&cut), M_PI * 21.7 * 21.7, 0.1);
    tb_cut_clear(&cut);
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, through, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loops[0].count, 4);
    ck_assert_double_eq_tol(cut_area(&cut), 79.75 * 2 * 21.7, 1e-9);
    tb_cut_clear(&cut);
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, chord, 0, NULL), TB_OK);
    ck_assert_double_eq_tol(cut_area(&cut), 79.75 * 2 * sqrt(21.7 * 21.7 - 169), 1e-9);
    tb_cut_clear(&cut);
    /* the end face itself: the face or nothing, never a part of it */
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, end, 0, NULL), TB_OK);
    if (cut.loop_count > 0)
        ck_assert_double_eq_tol(cut_area(&cut), M_PI * 21.7 * 21.7, 0.1);
    tb_cut_clear(&cut);
}
END_TEST

START_TEST(oblique_cut_of_a_long_rod_is_an_ellipse)
{
    TbPlain plain = {.kind = TB_PLAIN_ROD,
                     .rod = {{-200.3, 3.25, 7.75}, {190.25, 3.25, 7.75}, 21.7, 21.7}};
    double lean = 0.811;
    TbPlane plane = plane_with_normal(tb_vec3(1.7, 3.25, 7.75), tb_vec3(cos(lean), sin(lean), 0));
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_plain(&cut, &plain, plane, 0, NULL), TB_OK);
    ck_assert_double_eq_tol(cut_area(&cut), M_PI * 21.7 * 21.7 / cos(lean), 0.15);
    tb_cut_clear(&cut);
}
END_TEST

START_TEST(cut_of_a_bent_outline_is_one_set_of_true_loops)
{
    TbPlain plain = sample_outline(0);
    const TbOutline *o = &plain.outline;
    TbVec3 w = tb_vec3_cross(o->u, o->v);
    TbCut cut;

    tb_cut_init(&cut);
    /* in its own plane: the U, corner by corner */
    ck_assert_int_eq(
        tb_cut_add_plain(&cut, &plain,
                         tb_plane_of(tb_vec3_add_scaled(o->origin, 9.7, w), o->u, o->v), 0, NULL),
        TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    ck_assert_uint_eq(cut.loops[0].count, 8);
    ck_assert_double_eq_tol(cut_area(&cut), U_AREA, 1e-8);
    tb_cut_clear(&cut);
    /* across both legs: two rectangles */
    ck_assert_int_eq(
        tb_cut_add_plain(&cut, &plain,
                         tb_plane_of(tb_vec3_add_scaled(o->origin, 30.1, o->v), w, o->u), 0, NULL),
        TB_OK);
    ck_assert_uint_eq(cut.loop_count, 2);
    ck_assert_uint_eq(cut.loops[0].count, 4);
    ck_assert_uint_eq(cut.loops[1].count, 4);
    ck_assert_double_eq_tol(cut_area(&cut), 23.7 * (13.6 + 13.4), 1e-8);
    tb_cut_clear(&cut);
}
END_TEST

START_TEST(outline_cuts_lie_on_the_surface_and_add_up_to_the_volume)
{
    TbPlain plain = sample_outline(0);
    TbSolid *solid = solid_of(&plain);

    ck_assert_uint_gt(random_cuts(&plain, 2000, 1e-9), 1000);
    assert_volume_by_cuts(solid, U_AREA * 23.7, 5, 300, 5e-5);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(rounded_outline_cuts_lie_on_the_surface_and_add_up_to_the_volume)
{
    TbPlain plain = sample_outline(4.3);
    TbSolid *solid = solid_of(&plain);

    ck_assert_uint_gt(random_cuts(&plain, 60, 1e-7), 30);
    assert_volume_by_cuts(solid, tb_plain_volume(&plain), 1, 50, 3e-4);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(rounded_outline_in_its_own_plane_is_the_offset)
{
    TbPlain plain = sample_outline(4.3);
    const TbOutline *o = &plain.outline;
    TbVec3 w = tb_vec3_cross(o->u, o->v);
    double perimeter = 2 * (51.6 + 51.6) - 11.2 + 2 * 23.6;
    TbCut cut;
    double outer;
    double t;

    /* perimeter of the U, walked: 51.6 + 13.6 + 34.8 + 24.6 + 23.6 + 13.4 + 40.4 + 51.6 */
    perimeter = 51.6 + 13.6 + 34.8 + 24.6 + 23.6 + 13.4 + 40.4 + 51.6;
    tb_cut_init(&cut);
    /* six corners out (pi/4 t^2 each), two in (t^2 each taken off) */
    outer = U_AREA + perimeter * 4.3 + 4.3 * 4.3 * (6 * M_PI / 4 - 2);
    ck_assert_int_eq(
        tb_cut_add_plain(&cut, &plain,
                         tb_plane_of(tb_vec3_add_scaled(o->origin, 9.7, w), o->u, o->v), 0, NULL),
        TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    ck_assert_double_eq_tol(cut_area(&cut), outer, perimeter * TB_TOL_CUT);
    tb_cut_clear(&cut);
    /* above the core the offset is sqrt(r^2 - z^2) */
    t = sqrt(4.3 * 4.3 - 3.1 * 3.1);
    outer = U_AREA + perimeter * t + t * t * (6 * M_PI / 4 - 2);
    ck_assert_int_eq(
        tb_cut_add_plain(&cut, &plain,
                         tb_plane_of(tb_vec3_add_scaled(o->origin, -3.1, w), o->u, o->v), 0, NULL),
        TB_OK);
    ck_assert_double_eq_tol(cut_area(&cut), outer, perimeter * TB_TOL_CUT);
    tb_cut_clear(&cut);
    /* just under the top: still one loop, the core's outline and a little */
    t = sqrt(4.3 * 4.3 - 4.2999 * 4.2999);
    outer = U_AREA + perimeter * t + t * t * (6 * M_PI / 4 - 2);
    ck_assert_int_eq(
        tb_cut_add_plain(&cut, &plain,
                         tb_plane_of(tb_vec3_add_scaled(o->origin, 23.7 + 4.2999, w), o->u, o->v),
                         0, NULL),
        TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    ck_assert_double_eq_tol(cut_area(&cut), outer, perimeter * TB_TOL_CUT);
    tb_cut_clear(&cut);
}
END_TEST

/* ---- meshes ---- */

/** Longitude and latitude mesh of a star-shaped body, corners on whole millimetres, so that planes
 * at whole heights run through many of them. */
static TbTree *
bumpy_tree(gsl_rng *rng, double size, bool snapped)
{
    enum { ROWS = 14, TURN = 24 };
    TbVec3 vertex[2 + (ROWS - 1) * TURN];
    uint32_t index[3 * 2 * (ROWS - 1) * TURN];
    double phase[3];
    size_t triangles = 0;
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;

    for (int i = 0; i < 3; i++)
        phase[i] = 6 * gsl_rng_uniform(rng);
    vertex[0] = tb_vec3(0, 0, -size);
    vertex[1] = tb_vec3(0, 0, size);
    for (int r = 1; r < ROWS; r++)
        for (int t = 0; t < TURN; t++) {
            double a = M_PI * r / ROWS;
            double b = 2 * M_PI * t / TURN;
            double k = size * (1 + 0.3 * sin(3 * b + phase[0]) * sin(a) +
                               0.2 * sin(4 * a + phase[1]) * cos(2 * b + phase[2]) * sin(a));
            TbVec3 p = {k * sin(a) * cos(b), k * sin(a) * sin(b), -size * cos(a)};

            vertex[2 + (r - 1) * TURN + t] =
                snapped ? tb_vec3(round(p.x), round(p.y), round(p.z)) : p;
        }
    for (int t = 0; t < TURN; t++) {
        uint32_t here = 2 + (uint32_t)t;
        uint32_t next = 2 + (uint32_t)((t + 1) % TURN);
        uint32_t top = (ROWS - 2) * TURN;
        const uint32_t ends[6] = {0, next, here, 1, top + here, top + next};

        memcpy(index + 3 * triangles, ends, sizeof ends);
        triangles += 2;
        for (uint32_t r = 0; r + 2 < ROWS; r++) {
            const uint32_t quad[6] = {r * TURN + here,       r * TURN + next,
                                      (r + 1) * TURN + next, r * TURN + here,
                                      (r + 1) * TURN + next, (r + 1) * TURN + here};

            memcpy(index + 3 * triangles, quad, sizeof quad);
            triangles += 2;
        }
    }
    ck_assert_int_eq(
        tb_mesh_from_arrays(vertex, 2 + (ROWS - 1) * TURN, index, triangles, &mesh, NULL), TB_OK);
    ck_assert(tb_mesh_facts(mesh).closed);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

START_TEST(closed_mesh_gives_closed_loops_also_through_corners_and_edges)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    size_t loops = 0;

    gsl_rng_set(rng, 100 + (unsigned long)_i);
    for (int m = 0; m < 10; m++) {
        TbTree *tree = bumpy_tree(rng, 25, true);

        for (int h = -25; h <= 25; h++)
            for (int axis = 0; axis < 3; axis++) {
                static const TbVec3 way[3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
                TbPlane plane = tb_plane_of(tb_vec3_scale(way[axis], h), way[(axis + 1) % 3],
                                            way[(axis + 2) % 3]);
                TbCut cut;

                tb_cut_init(&cut);
                ck_assert_int_eq(tb_cut_add_mesh(&cut, tree, plane, 0, NULL), TB_OK);
                assert_sound(&cut);
                for (size_t i = 0; i < cut.loop_count; i++)
                    ck_assert_int_eq(cut.loops[i].kind, TB_LOOP_OUTER);
                loops += cut.loop_count;
                tb_cut_clear(&cut);
            }
        tb_tree_unref(tree);
    }
    ck_assert_uint_gt(loops, 1000);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(cuts_of_a_closed_mesh_add_up_to_its_volume)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSolid *solid = tb_solid_new();
    TbTree *tree;

    gsl_rng_set(rng, 4);
    tree = bumpy_tree(rng, 31.7, false);
    ck_assert_int_eq(tb_solid_add_tree(solid, tree, 0, NULL), TB_OK);
    assert_volume_by_cuts(solid, tb_mesh_facts(tb_tree_mesh(tree)).volume, 5, 200, 2e-5);
    tb_tree_unref(tree);
    tb_solid_unref(solid);
    gsl_rng_free(rng);
}
END_TEST

/** Cubes about one point in one mesh: 8 corners each; a count of 11 leaves the last one open. */
static TbTree *
cubes_tree(const double half[], size_t count, size_t last_triangles)
{
    static const uint32_t faces[36] = {0, 2, 1, 0, 3, 2, 4, 5, 6, 4, 6, 7, 0, 1, 5, 0, 5, 4,
                                       1, 2, 6, 1, 6, 5, 2, 3, 7, 2, 7, 6, 3, 0, 4, 3, 4, 7};
    TbVec3 vertex[24];
    uint32_t index[108];
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;

    for (size_t c = 0; c < count; c++) {
        for (size_t i = 0; i < 8; i++) {
            double x = i % 4 == 1 || i % 4 == 2 ? half[c] : -half[c];
            double y = i % 4 >= 2 ? half[c] : -half[c];

            vertex[8 * c + i] = tb_vec3(x, y, i >= 4 ? half[c] : -half[c]);
        }
        for (size_t i = 0; i < 36; i++)
            index[36 * c + i] = faces[i] + 8 * (uint32_t)c;
    }
    ck_assert_int_eq(tb_mesh_from_arrays(vertex, 8 * count, index,
                                         12 * (count - 1) + last_triangles, &mesh, NULL),
                     TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

START_TEST(nested_shells_alternate_solid_and_hole)
{
    const double half[3] = {9.7, 31.3, 20.1};
    TbTree *tree = cubes_tree(half, 3, 12);
    TbPlane plane = tb_plane_of(tb_vec3(0, 0, 3.3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    int seen[3] = {0, 0, 0};
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_mesh(&cut, tree, plane, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 3);
    assert_sound(&cut);
    for (size_t i = 0; i < 3; i++)
        seen[cut.loops[i].depth]++;
    ck_assert(seen[0] == 1 && seen[1] == 1 && seen[2] == 1);
    ck_assert_double_eq_tol(cut_area(&cut), 4 * (31.3 * 31.3 - 20.1 * 20.1 + 9.7 * 9.7), 1e-9);
    tb_cut_clear(&cut);
    tb_tree_unref(tree);
}
END_TEST

START_TEST(open_mesh_gives_an_open_chain)
{
    const double half[1] = {17.3};
    TbTree *tree = cubes_tree(half, 1, 10); /* the side at -x is missing */
    TbPlane plane = tb_plane_of(tb_vec3(0, 0, 3.3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    double length = 0;
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_mesh(&cut, tree, plane, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    ck_assert_int_eq(cut.loops[0].kind, TB_LOOP_OPEN);
    for (size_t i = 0; i + 1 < cut.loops[0].count; i++)
        length += tb_vec2_length(tb_vec2_sub(cut.points[i + 1], cut.points[i]));
    ck_assert_double_eq_tol(length, 6 * 17.3, 1e-9);
    tb_cut_clear(&cut);
    tb_tree_unref(tree);
}
END_TEST

/* ---- sweeps ---- */

/** How far a point lies outside the section at the curve's nearest place; below 0 inside. */
static double
section_distance(const TbSweep *sweep, TbVec3 p, bool outer, double *station)
{
    TbDisc disc;
    TbVec3 to;
    TbVec2 q;
    double most = -INFINITY;
    double best = 0;

    *station = tb_curve_nearest(tb_sweep_curve(sweep), p);
    disc = tb_sweep_at(sweep, *station);
    to = tb_vec3_sub(p, disc.centre);
    q = tb_vec2(tb_vec3_dot(to, disc.frame.w), tb_vec3_dot(to, disc.frame.h));
    /* a convex outline's distance is the most that one of its tangents leaves the point outside */
    for (double step = 2 * M_PI / 90, from = 0, count = 90; step > 1e-8; step /= 8) {
        for (double k = 0; k < count; k++) {
            double angle = from + k * step;
            TbVec2 d = {sin(angle), cos(angle)};
            TbVec2 contact;
            double out = tb_vec2_dot(d, q) - tb_slice_support(&disc.slice, d, outer, &contact);

            if (out > most) {
                most = out;
                best = angle;
            }
        }
        from = best - step;
        count = 17;
    }
    return most;
}

static void
assert_on_sweep(const TbCut *cut, const TbSweep *sweep, TbPlane plane)
{
    double length = tb_sweep_length(sweep);

    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbLoop *loop = &cut->loops[i];

        for (size_t k = 0; k < loop->count; k++) {
            TbVec2 a = cut->points[loop->first + k];
            TbVec2 b = cut->points[loop->first + (k + 1) % loop->count];
            double station;
            double out = section_distance(sweep, tb_plane_lift(plane, a),
                                          loop->kind == TB_LOOP_OUTER, &station);
            bool on_end;

            ck_assert_double_le(out, 1e-5);
            ck_assert_double_ge(out, -1e-5);
            out =
                section_distance(sweep, tb_plane_lift(plane, tb_vec2_scale(tb_vec2_add(a, b), 0.5)),
                                 loop->kind == TB_LOOP_OUTER, &station);
            on_end = station < 1e-6 || station > length - 1e-6;
            ck_assert_double_le(out, TB_TOL_CUT);
            if (!on_end)
                ck_assert_double_ge(out, -TB_TOL_CUT);
        }
    }
}

START_TEST(duct_cuts_lie_on_the_true_surface)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSweep *sweep = sample_duct();
    TbBox3 box = tb_sweep_box(sweep);
    size_t loops = 0;

    gsl_rng_set(rng, 6121);
    for (int i = 0; i < 8; i++) {
        TbPlane plane = random_plane(rng, box);
        TbCut cut;

        tb_cut_init(&cut);
        ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, true, plane, 0, NULL), TB_OK);
        assert_sound(&cut);
        assert_on_sweep(&cut, sweep, plane);
        loops += cut.loop_count;
        tb_cut_clear(&cut);
    }
    ck_assert_uint_gt(loops, 6);
    tb_sweep_unref(sweep);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(duct_cuts_add_up_to_the_wall_volume)
{
    TbSweep *sweep = sample_duct();
    TbSweepVolume volume;
    TbSolid *solid;

    ck_assert_int_eq(tb_sweep_volume(sweep, &volume, NULL), TB_OK);
    solid = solid_of_sweep(sweep);
    assert_volume_by_cuts(solid, volume.wall, 1, 100, 1e-3);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(tube_cuts_add_up_to_the_volume_of_pappus)
{
    TbSweep *sweep = bent_tube();
    double length = (140.6 - 83.1) + (140.8 - 83.1) + 83.1 * M_PI / 2;
    double area = M_PI / 4 * (54.3 * 54.3 - 46.9 * 46.9);
    TbSolid *solid = solid_of_sweep(sweep);

    assert_volume_by_cuts(solid, area * length, 1, 100, 1e-3);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(cut_at_a_station_is_the_section_there)
{
    TbSweep *sweep = sample_duct();
    double length = tb_sweep_length(sweep);

    /* both ends, a given section, and places between */
    for (int i = 0; i <= 40; i++) {
        double station = i == 40 ? 171.3 : length * i / 39;
        TbDisc disc = tb_sweep_at(sweep, station);
        TbPlane plane = tb_plane_of(disc.centre, disc.frame.w, disc.frame.h);
        double inner = tb_slice_area(&disc.slice, false);
        double outer = tb_slice_area(&disc.slice, true);
        double found_inner = 0;
        double found_outer = 0;
        TbCut cut;

        tb_cut_init(&cut);
        ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, true, plane, 0, NULL), TB_OK);
        for (size_t k = 0; k < cut.loop_count; k++) {
            /* the loop about the station; another part of the duct may be cut too */
            if (!tb_polygon_holds(cut.points + cut.loops[k].first, cut.loops[k].count,
                                  tb_vec2(0, 0)))
                continue;
            if (cut.loops[k].kind == TB_LOOP_OUTER)
                found_outer = loop_area(&cut, k);
            else
                found_inner = -loop_area(&cut, k);
        }
        ck_assert_double_eq_tol(found_outer, outer, 250 * TB_TOL_CUT);
        ck_assert_double_eq_tol(found_inner, inner, 250 * TB_TOL_CUT);
        tb_cut_clear(&cut);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(nearly_square_cuts_change_smoothly_into_the_section)
{
    TbSweep *sweep = bent_tube();

    /* on the straight: leaning from 1e-1 to 1e-13 rad, the ellipse's area is A / cos(lean) */
    for (int i = 1; i <= 13; i++) {
        double lean = 0.731 * pow(10, -i);
        TbPlane plane = plane_with_normal(tb_vec3(41.9, -7.7, 402.1),
                                          tb_vec3_unit(tb_vec3(cos(lean), 0, sin(lean))));
        TbCut cut;

        tb_cut_init(&cut);
        ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, true, plane, 0, NULL), TB_OK);
        ck_assert_uint_eq(cut.loop_count, 2);
        assert_sound(&cut);
        ck_assert_double_eq_tol(cut_area(&cut), M_PI / 4 * (54.3 * 54.3 - 46.9 * 46.9) / cos(lean),
                                320 * TB_TOL_CUT);
        tb_cut_clear(&cut);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(cut_through_the_axis_shows_the_wall_on_both_sides_of_an_open_end)
{
    TbSweep *sweep = bent_tube();
    TbPlane plane = tb_plane_of(tb_vec3(0, 0, 402.1), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    double length = (140.6 - 83.1) + (140.8 - 83.1) + 83.1 * M_PI / 2;
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, true, plane, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 2);
    ck_assert_int_eq(cut.loops[0].kind, TB_LOOP_OUTER);
    ck_assert_int_eq(cut.loops[0].depth, 0);
    ck_assert_int_eq(cut.loops[1].kind, TB_LOOP_INNER);
    ck_assert_int_eq(cut.loops[1].depth, 1);
    assert_sound(&cut);
    /* bands of the axis' length: the axis is in the middle of both */
    ck_assert_double_eq_tol(loop_area(&cut, 0), 54.3 * length, 600 * TB_TOL_CUT);
    ck_assert_double_eq_tol(loop_area(&cut, 1), -46.9 * length, 600 * TB_TOL_CUT);
    tb_cut_clear(&cut);
    /* not hollow: the outside alone */
    ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, false, plane, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    tb_cut_clear(&cut);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(planes_that_touch_a_tube_cut_nothing_or_a_sliver)
{
    TbSweep *sweep = bent_tube();
    TbCut cut;

    tb_cut_init(&cut);
    for (int i = -3; i <= 3; i++) {
        /* along the whole tube, and across one end */
        TbPlane top = tb_plane_of(tb_vec3(0, 0, 402.1 + 27.15 + i * 1e-7), tb_vec3(1, 0, 0),
                                  tb_vec3(0, 1, 0));
        TbPlane before =
            tb_plane_of(tb_vec3(10.3 - 1 + i * 1e-7, 0, 0), tb_vec3(0, 1, 0), tb_vec3(0, 0, 1));

        ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, true, before, 0, NULL), TB_OK);
        ck_assert_uint_eq(cut.loop_count, 0);
        ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, true, top, 0, NULL), TB_OK);
        /* depth 3e-7 under the top is a strip sqrt(8 r d) = 8e-3 wide */
        ck_assert_double_le(fabs(cut_area(&cut)), 250 * 0.0082);
        tb_cut_clear(&cut);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(plane_just_under_the_top_of_a_bend_gives_the_true_strip)
{
    /* flat torus: at a height z over the axis the strip is 2 sqrt(r^2 - z^2) wide all along */
    TbSweep *sweep = bent_tube();
    double length = (140.6 - 83.1) + (140.8 - 83.1) + 83.1 * M_PI / 2;

    for (int i = 0; i < 4; i++) {
        double depth = 3.3 * pow(10, -i);
        double z = 27.15 - depth;
        TbPlane plane = tb_plane_of(tb_vec3(0, 0, 402.1 + z), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
        TbCut cut;

        tb_cut_init(&cut);
        ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, true, plane, 0, NULL), TB_OK);
        ck_assert_uint_eq(cut.loop_count, 1);
        ck_assert_double_eq_tol(loop_area(&cut, 0), 2 * sqrt(27.15 * 27.15 - z * z) * length,
                                600 * TB_TOL_CUT);
        tb_cut_clear(&cut);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(cut_along_the_axis_of_a_u_turn_finds_both_legs)
{
    const TbVec3 corners[4] = {
        {10.3, 0.7, 2.1}, {150.9, 0.7, 2.1}, {150.9, 130.1, 2.1}, {10.3, 130.1, 2.1}};
    const double radii[4] = {0, 61.3, 61.3, 0};
    TbPlane plane = tb_plane_of(tb_vec3(43.7, 0, 0), tb_vec3(0, 1, 0), tb_vec3(0, 0, 1));
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;
    TbCut cut;

    ck_assert_int_eq(tb_curve_bent_new(corners, radii, 4, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, 38.1, 1.9, &sweep, NULL), TB_OK);
    tb_curve_unref(curve);
    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_sweep(&cut, sweep, true, plane, 0, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 4);
    ck_assert_double_eq_tol(cut_area(&cut), 2 * M_PI / 4 * (38.1 * 38.1 - 34.3 * 34.3), 0.5);
    tb_cut_clear(&cut);
    tb_sweep_unref(sweep);
}
END_TEST

/* ---- silhouettes ---- */

static double
silhouette_area(const TbSolid *solid, TbPlane plane, double chord)
{
    double area;
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_silhouette(&cut, solid, plane, chord, NULL), TB_OK);
    assert_sound(&cut);
    area = cut_area(&cut);
    tb_cut_clear(&cut);
    return area;
}

/** A plane that everything near the samples lies beyond. */
static TbPlane
plane_before(TbVec3 n)
{
    return plane_with_normal(tb_vec3_add_scaled(tb_vec3(831.3, -7.9, 399.1), 900, n), n);
}

START_TEST(silhouettes_of_plain_shapes_have_their_shadow_s_area)
{
    TbVec3 n = tb_vec3_unit(tb_vec3(0.31, -0.77, 0.52));
    TbPlain block = sample_block();
    TbPlain ball = {.kind = TB_PLAIN_BALL, .ball = {{811.3, -37.9, 419.1}, 27.3}};
    TbPlain rod = sample_rod(17.3, 17.3);
    TbVec3 axis = tb_vec3_sub(rod.rod.b, rod.rod.a);
    double length = tb_vec3_length(axis);
    double lean = fabs(tb_vec3_dot(n, axis)) / length;
    double want = 0;
    TbSolid *solid = solid_of(&block);

    for (int i = 0; i < 3; i++)
        want += 4 * block.block.half[(i + 1) % 3] * block.block.half[(i + 2) % 3] *
                fabs(tb_vec3_dot(n, block.block.axis[i]));
    ck_assert_double_eq_tol(silhouette_area(solid, plane_before(n), 0.25), want, 1e-8);
    /* from the other side the shadow is the same */
    ck_assert_double_eq_tol(silhouette_area(solid, plane_before(tb_vec3_neg(n)), 0.25), want, 1e-8);
    tb_solid_unref(solid);
    solid = solid_of(&ball);
    ck_assert_double_eq_tol(silhouette_area(solid, plane_before(n), 0.01), M_PI * 27.3 * 27.3, 3);
    tb_solid_unref(solid);
    solid = solid_of(&rod);
    want = 2 * 17.3 * length * sqrt(1 - lean * lean) + M_PI * 17.3 * 17.3 * lean;
    ck_assert_double_eq_tol(silhouette_area(solid, plane_before(n), 0.01), want, 3);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(silhouette_shows_only_what_lies_beyond_the_plane)
{
    TbVec3 n = tb_vec3_unit(tb_vec3(0.31, -0.77, 0.52));
    TbPlain ball = {.kind = TB_PLAIN_BALL, .ball = {{811.3, -37.9, 419.1}, 27.3}};
    TbSolid *solid = solid_of(&ball);
    TbPlane low = plane_with_normal(tb_vec3_add_scaled(ball.ball.centre, -11.9, n), n);
    TbPlane high = plane_with_normal(tb_vec3_add_scaled(ball.ball.centre, 11.9, n), n);
    TbPlane front = plane_with_normal(tb_vec3_add_scaled(ball.ball.centre, -27.4, n), n);
    TbPlain block = tb_plain_block_between(tb_vec3(-16.1, -9.7, -20.3), tb_vec3(16.1, 9.7, 20.3));
    TbSolid *other = solid_of(&block);
    TbPlane lean = plane_with_normal(tb_vec3(0, 0, 0), tb_vec3(0.6, 0, 0.8));

    /* the ball's centre in front: a smaller circle; beyond: the whole one */
    ck_assert_double_eq_tol(silhouette_area(solid, low, 0.01), M_PI * (27.3 * 27.3 - 11.9 * 11.9),
                            3);
    ck_assert_double_eq_tol(silhouette_area(solid, high, 0.01), M_PI * 27.3 * 27.3, 3);
    ck_assert_double_eq(silhouette_area(solid, front, 0.01), 0);
    /* half of a block: in its middle plane 0.6 x + 0.8 z = 0 cuts the upright sides at z = 12.075;
     * seen along n the half reaches from the cut's edges to the lower corners */
    {
        const TbVec2 half[4] = {{-16.1, 12.075}, {16.1, -12.075}, {16.1, -20.3}, {-16.1, -20.3}};
        double from = INFINITY;
        double to = -INFINITY;

        for (int i = 0; i < 4; i++) {
            from = fmin(from, 0.8 * half[i].x - 0.6 * half[i].y);
            to = fmax(to, 0.8 * half[i].x - 0.6 * half[i].y);
        }
        ck_assert_double_eq_tol(silhouette_area(other, lean, 0.25), (to - from) * 19.4, 1e-8);
    }
    tb_solid_unref(other);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(silhouettes_of_bent_shapes_are_their_union)
{
    TbPlain plain = sample_outline(0);
    const TbOutline *o = &plain.outline;
    TbVec3 w = tb_vec3_cross(o->u, o->v);
    TbPlane along = tb_plane_of(tb_vec3_add_scaled(o->origin, 100, w), o->u, o->v);
    TbSolid *solid = solid_of(&plain);
    TbSweep *sweep = bent_tube();
    double length = (140.6 - 83.1) + (140.8 - 83.1) + 83.1 * M_PI / 2;
    TbPlane plan = tb_plane_of(tb_vec3(0, 0, 500), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbPlane middle = tb_plane_of(tb_vec3(0, 0, 402.1 - 13.3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    const double half[2] = {17.3, 9.1};
    TbTree *tree = cubes_tree(half, 2, 12);

    /* corners lose less than half a step squared each, sides half a 255th of a step */
    ck_assert_double_eq_tol(silhouette_area(solid, along, 0.25), U_AREA,
                            8 * 0.25 * 0.25 / 2 + 231 * 0.25 / 510);
    tb_solid_unref(solid);
    solid = solid_of_sweep(sweep);
    ck_assert_double_eq_tol(silhouette_area(solid, plan, 0.25), 54.3 * length, 0.125 * 600);
    /* below 13.3 under the axis the tube is narrower */
    ck_assert_double_eq_tol(silhouette_area(solid, middle, 0.25),
                            2 * sqrt(27.15 * 27.15 - 13.3 * 13.3) * length, 0.125 * 600);
    tb_solid_unref(solid);
    solid = tb_solid_new();
    ck_assert_int_eq(tb_solid_add_tree(solid, tree, 0, NULL), TB_OK);
    ck_assert_double_eq_tol(
        silhouette_area(solid,
                        tb_plane_of(tb_vec3(0, 0, 50), tb_vec3(0.8, 0.6, 0), tb_vec3(-0.6, 0.8, 0)),
                        0.25),
        34.6 * 34.6, 4 * 0.25 * 0.25 / 2 + 0.2);
    tb_tree_unref(tree);
    tb_solid_unref(solid);
}
END_TEST

/** Length of all outlines. */
static double
silhouette_length(const TbSolid *solid, TbPlane plane)
{
    double length = 0;
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_silhouette(&cut, solid, plane, 0.25, NULL), TB_OK);
    for (size_t i = 0; i < cut.loop_count; i++)
        for (size_t k = 0; k < cut.loops[i].count; k++) {
            const TbVec2 *p = cut.points + cut.loops[i].first;

            length += tb_vec2_length(tb_vec2_sub(p[(k + 1) % cut.loops[i].count], p[k]));
        }
    tb_cut_clear(&cut);
    return length;
}

/* Two ways: spans between rings, and a fine mesh of the same duct triangle by triangle on a grid;
 * from all sides, through the duct and before it. */
START_TEST(the_silhouette_of_a_sweep_is_that_of_its_triangles)
{
    TbSweep *sweep = sample_duct();
    TbSolid *by_rings, *by_triangles = tb_solid_new();
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 4271);
    ck_assert_int_eq(tb_sweep_mesh(sweep, false, 0.1, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(by_triangles, tree, 3, NULL), TB_OK);
    by_rings = solid_of_sweep(sweep);
    for (int i = 0; i < 12; i++) {
        TbVec3 n = random_direction(rng);
        double off = i % 3 == 0 ? 700 : 140 * gsl_rng_uniform(rng) - 70;
        TbPlane plane =
            plane_with_normal(tb_vec3_add_scaled(tb_vec3(1003.9, 41.3, 371.7), off, n), n);
        double area = silhouette_area(by_rings, plane, 0.25);

        /* a third of the chord all along, and what corners lose */
        ck_assert_double_eq_tol(area, silhouette_area(by_triangles, plane, 0.25),
                                0.25 / 3 * silhouette_length(by_rings, plane) + 1);
        ck_assert(i % 3 != 0 || area > 3000);
    }
    gsl_rng_free(rng);
    tb_solid_unref(by_triangles);
    tb_solid_unref(by_rings);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
}
END_TEST

START_TEST(silhouette_keeps_a_ring_s_hole)
{
    /* three quarters of a ring, seen along its axis, closed by a bar */
    const TbVec3 corners[5] = {
        {0.7, 0.3, 0}, {90.3, 0.3, 0}, {90.3, 90.1, 0}, {0.7, 90.1, 0}, {0.7, 3.3, 0}};
    const double radii[5] = {0, 30.1, 30.1, 30.1, 0};
    TbPlane plan = tb_plane_of(tb_vec3(0, 0, 50), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;
    TbSolid *solid;
    TbCut cut;

    ck_assert_int_eq(tb_curve_bent_new(corners, radii, 5, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, 19.3, 1.1, &sweep, NULL), TB_OK);
    tb_curve_unref(curve);
    solid = solid_of_sweep(sweep);
    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_silhouette(&cut, solid, plan, 0.25, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 2);
    assert_sound(&cut);
    ck_assert_int_eq(cut.loops[0].depth + cut.loops[1].depth, 1);
    tb_cut_clear(&cut);
    tb_solid_unref(solid);
}
END_TEST

/* ---- no room ---- */

START_TEST(every_failed_allocation_leaves_the_cut_as_before)
{
    TbPlain outline = sample_outline(_i == 1 ? 4.3 : 0);
    TbSolid *solid = solid_of(&outline);
    TbSweep *sweep = bent_tube();
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbTree *tree = bumpy_tree(rng, 25, true);
    TbPlane plane =
        plane_with_normal(tb_vec3_add_scaled(outline.outline.origin, 12.1, outline.outline.u),
                          tb_vec3_unit(tb_vec3(0.3, 0.5, 0.7)));
    TbStatus status;
    long n = 0;

    ck_assert_int_eq(tb_solid_add_sweep(solid, sweep, 0, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(solid, tree, 0, NULL), TB_OK);
    if (_i == 2)
        plane = tb_plane_of(tb_vec3(41.9, 0, 402.3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    if (_i == 3)
        plane = tb_plane_of(tb_vec3(0, 0, 3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    do {
        TbCut cut;
        TbFault fault = {0};

        tb_cut_init(&cut);
        tb_mem_fail_at(++n);
        status = tb_cut_add_solid(&cut, solid, plane, &fault);
        tb_mem_fail_at(0);
        if (status != TB_OK) {
            ck_assert_int_eq(status, TB_E_MEMORY);
            ck_assert(strncmp(fault.text, "no room for ", 12) == 0);
            ck_assert_uint_eq(cut.loop_count, 0);
            ck_assert_uint_eq(cut.point_count, 0);
        }
        tb_cut_clear(&cut);
    } while (status != TB_OK);
    ck_assert_int_gt(n, 10);
    gsl_rng_free(rng);
    tb_tree_unref(tree);
    tb_sweep_unref(sweep);
    tb_solid_unref(solid);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/cut");
    TCase *plain = tcase_create("plain");
    TCase *mesh = tcase_create("mesh");
    TCase *sweep = tcase_create("sweep");
    TCase *silhouette = tcase_create("silhouette");

    tcase_add_test(plain, plane_projects_and_lifts_both_ways);
    tcase_add_test(plain, block_cut_square_to_an_axis_is_the_rectangle);
    tcase_add_test(plain, block_face_in_the_plane_is_cut_from_below_only);
    tcase_add_test(plain, cube_cut_through_corners_and_edges_is_the_known_shape);
    tcase_add_test(plain, block_cuts_lie_on_its_surface_and_add_up_to_its_volume);
    tcase_add_test(plain, ball_cuts_are_circles);
    tcase_add_loop_test(plain, rod_and_cone_cuts_lie_on_the_surface_and_add_up_to_the_volume, 0, 5);
    tcase_add_test(plain, rod_cut_square_to_its_axis_is_a_circle_along_it_a_rectangle);
    tcase_add_test(plain, oblique_cut_of_a_long_rod_is_an_ellipse);
    tcase_add_test(plain, cut_of_a_bent_outline_is_one_set_of_true_loops);
    tcase_add_test(plain, outline_cuts_lie_on_the_surface_and_add_up_to_the_volume);
    tcase_add_test(plain, rounded_outline_cuts_lie_on_the_surface_and_add_up_to_the_volume);
    tcase_add_test(plain, rounded_outline_in_its_own_plane_is_the_offset);
    tcase_set_timeout(plain, 200);
    suite_add_tcase(suite, plain);
    tcase_add_loop_test(mesh, closed_mesh_gives_closed_loops_also_through_corners_and_edges, 0, 3);
    tcase_add_test(mesh, cuts_of_a_closed_mesh_add_up_to_its_volume);
    tcase_add_test(mesh, nested_shells_alternate_solid_and_hole);
    tcase_add_test(mesh, open_mesh_gives_an_open_chain);
    tcase_set_timeout(mesh, 200);
    suite_add_tcase(suite, mesh);
    tcase_add_test(sweep, duct_cuts_lie_on_the_true_surface);
    tcase_add_test(sweep, duct_cuts_add_up_to_the_wall_volume);
    tcase_add_test(sweep, tube_cuts_add_up_to_the_volume_of_pappus);
    tcase_add_test(sweep, cut_at_a_station_is_the_section_there);
    tcase_add_test(sweep, nearly_square_cuts_change_smoothly_into_the_section);
    tcase_add_test(sweep, cut_through_the_axis_shows_the_wall_on_both_sides_of_an_open_end);
    tcase_add_test(sweep, planes_that_touch_a_tube_cut_nothing_or_a_sliver);
    tcase_add_test(sweep, plane_just_under_the_top_of_a_bend_gives_the_true_strip);
    tcase_add_test(sweep, cut_along_the_axis_of_a_u_turn_finds_both_legs);
    tcase_add_loop_test(sweep, every_failed_allocation_leaves_the_cut_as_before, 0, 4);
    tcase_set_timeout(sweep, 200);
    suite_add_tcase(suite, sweep);
    tcase_add_test(silhouette, silhouettes_of_plain_shapes_have_their_shadow_s_area);
    tcase_add_test(silhouette, silhouette_shows_only_what_lies_beyond_the_plane);
    tcase_add_test(silhouette, silhouettes_of_bent_shapes_are_their_union);
    tcase_add_test(silhouette, the_silhouette_of_a_sweep_is_that_of_its_triangles);
    tcase_add_test(silhouette, silhouette_keeps_a_ring_s_hole);
    suite_add_tcase(suite, silhouette);
    return tb_test_main(suite);
}
