/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scenes.h"

#include "base/mem.h"

#include <string.h>

/** A random convex plain shape about a point. */
static TbPlain
random_plain(gsl_rng *rng, TbVec3 c)
{
    TbVec3 d = random_direction(rng), e = tb_vec3_scale(d, between(rng, 8, 70));

    switch (gsl_rng_uniform_int(rng, 4)) {
    case 0:
        return ball(c, between(rng, 0.5, 12));
    case 1:
        return rod(tb_vec3_sub(c, e), tb_vec3_add(c, e), between(rng, 1, 8));
    case 2:
        return cone(tb_vec3_sub(c, e), tb_vec3_add(c, e), between(rng, 1, 15), between(rng, 0, 9));
    default:
        return block(c, d, between(rng, 3, 30), between(rng, 3, 30), between(rng, 3, 30));
    }
}

/** A place some way off the outside of a random station. */
static TbVec3
place_near(gsl_rng *rng, const TbSweep *sweep, double least, double most)
{
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
    TbVec3 n, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &n);

    return tb_vec3_add_scaled(p, between(rng, least, most), n);
}

/** Many stations' filled sections against one convex body: a distance that is nowhere too small. */
static double
sampled(const TbSweep *sweep, const TbConvex *body, int stations)
{
    double least = INFINITY;

    for (int i = 0; i <= stations; i++) {
        TbDisc disc = tb_sweep_at(sweep, tb_sweep_length(sweep) * i / stations);
        TbConvex section = tb_convex_of_disc(&disc, true);

        least = fmin(
            least, tb_convex_separation(&section, body, tb_vec3(0, 0, 0), INFINITY, 1e-9).distance);
    }
    return least;
}

START_TEST(random_sweeps_and_plain_shapes_against_dense_sampling)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int clear = 0;

    gsl_rng_set(rng, 900u + (unsigned)_i);
    for (int n = 0; n < 55; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 80));
        TbSolid *a = solid_of_sweep(tb_sweep_ref(sweep));

        for (int k = 0; k < 3; k++) {
            TbSolid *b = solid_of_plain(random_plain(rng, place_near(rng, sweep, 2, 60)));
            const TbConvex *body = tb_solid_part(b, 0)->pieces;
            double width = k == 0 ? 1e-2 : k == 1 ? 1e-4 : 1e-6, near = sampled(sweep, body, 300);
            TbGap g = ask_gap(a, b, width);

            ck_assert_msg(g.lower <= near + 1e-8, "lower %.9f above a sampled %.9f", g.lower, near);
            if (g.contact == TB_CLEAR) {
                ck_assert_double_le(g.upper, near + width + 1e-8);
                ck_assert_double_le(g.upper - g.lower, width + 1e-12);
                ck_assert(!g.exhausted);
                clear++;
            }
            /* sampled stations 1 mm apart may miss a shallow dip, but not a deep one */
            if (near > 1)
                ck_assert_int_eq(g.contact, TB_CLEAR);
            if (near <= 0)
                ck_assert_int_eq(g.contact, TB_OVERLAPS);
            tb_solid_unref(b);
        }
        tb_solid_unref(a);
        tb_sweep_unref(sweep);
    }
    ck_assert_int_gt(clear, 90);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(random_pairs_of_sweeps_against_dense_sampling)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 4711);
    for (int n = 0; n < 40; n++) {
        TbSweep *first = random_sweep(rng, between(rng, 30, 60));
        TbSweep *loose = random_sweep(rng, between(rng, 15, 40)), *second;
        TbDisc start = tb_sweep_at(loose, 0);
        TbVec3 to = place_near(rng, first, 20, 70);
        TbSolid *a, *b;
        double near = INFINITY, width = n & 1 ? 1e-2 : 1e-3;
        TbGap g;

        second = tb_sweep_moved(loose, tb_pose_shift(tb_vec3_sub(to, start.centre)));
        for (int i = 0; i <= 60; i++) {
            TbDisc disc = tb_sweep_at(second, tb_sweep_length(second) * i / 60);
            TbConvex section = tb_convex_of_disc(&disc, true);

            near = fmin(near, sampled(first, &section, 60));
        }
        a = solid_of_sweep(first);
        b = solid_of_sweep(second);
        g = ask_gap(a, b, width);
        ck_assert_msg(g.lower <= near + 1e-8, "lower %.9f above a sampled %.9f", g.lower, near);
        if (g.contact == TB_CLEAR)
            ck_assert_msg(g.upper - g.lower <= width + 1e-12 && g.upper <= near + width,
                          "[%.6f, %.6f], sampled %.6f, %ld nodes", g.lower, g.upper, near, g.nodes);
        tb_solid_unref(a);
        tb_solid_unref(b);
        tb_sweep_unref(loose);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(depth_is_never_less_than_a_sampled_one)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int deep = 0;

    gsl_rng_set(rng, 15);
    for (int n = 0; n < 24; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 60));
        TbSolid *a = solid_of_sweep(tb_sweep_ref(sweep));
        TbSolid *b = solid_of_plain(random_plain(rng, place_near(rng, sweep, -12, 3)));
        const TbPlain *plain = &tb_solid_part(b, 0)->plain;
        TbGapAsk ask = {.a = a, .b = b, .width = 1e-2, .depth_width = 0.1, .hint = INFINITY};
        double least = INFINITY;
        TbGap g;

        for (int i = 0; i <= 300; i++) {
            TbDisc disc = tb_sweep_at(sweep, tb_sweep_length(sweep) * i / 300);

            for (int k = 0; k < 90; k++) {
                TbVec3 p = tb_disc_point(&disc, 2 * M_PI * k / 90, true, NULL);

                least = fmin(least, tb_plain_distance(plain, p));
            }
        }
        ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
        ck_assert_msg(g.lower <= least + 1e-8, "lower %.6f, sampled %.6f", g.lower, least);
        ck_assert_double_le(g.lower, g.upper);
        if (g.contact == TB_OVERLAPS) {
            ck_assert_msg(g.exhausted || g.upper - g.lower <= 0.1 + 1e-8, "[%.6f, %.6f]", g.lower,
                          g.upper);
            deep++;
        } else {
            ck_assert_double_ge(least, -0.1);
        }
        tb_solid_unref(a);
        tb_solid_unref(b);
        tb_sweep_unref(sweep);
    }
    ck_assert_int_gt(deep, 10);
    gsl_rng_free(rng);
}
END_TEST

/** Distance of a point to many points of a sweep's surface, ends included: nowhere too small. */
static double
to_sampled_surface(const TbVec3 *surface, size_t count, TbVec3 p)
{
    double least = INFINITY;

    for (size_t i = 0; i < count; i++)
        least = fmin(least, tb_vec3_length2(tb_vec3_sub(surface[i], p)));
    return sqrt(least);
}

enum { ALONG = 220, AROUND = 112 };

static size_t
sample_surface(const TbSweep *sweep, TbVec3 *surface)
{
    size_t n = 0;

    for (int i = 0; i <= ALONG; i++) {
        TbDisc disc = tb_sweep_at(sweep, tb_sweep_length(sweep) * i / ALONG);
        TbVec3 origin =
            tb_vec3_add(disc.centre, tb_vec3_add(tb_vec3_scale(disc.w, disc.slice.offset.x),
                                                 tb_vec3_scale(disc.h, disc.slice.offset.y)));
        TbVec3 rim;
        TbVec2 outline[AROUND];

        tb_slice_outline(&disc.slice, true, AROUND, outline);
        for (int k = 0; k < AROUND; k++) {
            surface[n++] =
                tb_vec3_add_scaled(tb_vec3_add_scaled(disc.centre, outline[k].x, disc.frame.w),
                                   outline[k].y, disc.frame.h);
            rim = surface[n - 1];
            for (int r = 1; (i == 0 || i == ALONG) && r < 24; r++)
                surface[n++] = tb_vec3_mix(origin, rim, r / 24.0);
        }
    }
    return n;
}

START_TEST(depth_in_sweeps_is_as_sampled)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbVec3 *surface = malloc(((ALONG + 1) * AROUND + 48 * AROUND) * sizeof *surface);
    int deep = 0;

    gsl_rng_set(rng, 1234);
    for (int n = 0; n < 14; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 60));
        TbVec3 c = place_near(rng, sweep, -9, 9);
        double r = between(rng, 4, 14), sampled_depth = 0;
        size_t count = sample_surface(sweep, surface);
        TbSolid *a = solid_of_sweep(tb_sweep_ref(sweep)), *b = solid_of_plain(ball(c, r));
        TbGapAsk ask = {.a = a, .b = b, .width = 1e-2, .depth_width = 0.05, .hint = INFINITY};
        TbGap g;

        ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
        for (int i = 0; i < 300; i++) {
            TbVec3 q = tb_vec3_add_scaled(c, r, random_direction(rng));
            TbConvex point = tb_convex_of_point(q);
            double off = to_sampled_surface(surface, count, q);

            /* inside: sections 1 mm apart are within half of that, the surface is not */
            if (off > 4 && off > sampled_depth && sampled(sweep, &point, 400) < 0.6)
                sampled_depth = off;
        }
        /* samples lie up to 4 mm apart on flat sides: up to 2^2 / (2 * 4) further off at 4 mm */
        ck_assert_msg(sampled_depth <= 0 || g.lower <= -sampled_depth + 0.5,
                      "lower %.6f, sampled %.6f", g.lower, -sampled_depth);
        if (g.contact == TB_OVERLAPS && !g.exhausted && g.upper < 0) {
            /* the witness is as deep as it says: a point of the sweep in the ball, or one of the
             * ball that is so far from the sweep's surface */
            double in_ball = tb_vec3_distance(g.point_a, c) - r;

            if (fabs(in_ball - g.upper) > 1e-6)
                ck_assert_double_ge(to_sampled_surface(surface, count, g.point_b), -g.upper - 1e-6);
            deep++;
        }
        tb_solid_unref(a);
        tb_solid_unref(b);
        tb_sweep_unref(sweep);
    }
    ck_assert_int_gt(deep, 7);
    free(surface);
    gsl_rng_free(rng);
}
END_TEST

/* ---- meshes ---- */

/** A wavy sheet beside the sweep: an open mesh of 2 nx ny triangles. */
static TbSolid *
sheet(gsl_rng *rng, TbVec3 about, TbVec3 n, uint32_t nx, uint32_t ny, double size)
{
    size_t vertices = (size_t)(nx + 1) * (ny + 1), triangles = 2 * (size_t)nx * ny;
    TbVec3 *vertex = malloc(vertices * sizeof *vertex);
    uint32_t *index = malloc(3 * triangles * sizeof *index), *at = index;
    TbVec3 x = tb_vec3_unit(tb_vec3_across(random_direction(rng), n)), y = tb_vec3_cross(n, x);
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;
    TbSolid *solid = tb_solid_new();

    for (uint32_t i = 0; i <= nx; i++)
        for (uint32_t k = 0; k <= ny; k++) {
            double u = size * ((double)i / nx - 0.5), v = size * ((double)k / ny - 0.5);
            TbVec3 p = tb_vec3_add_scaled(about, 3 * sin(u / 9) * cos(v / 7) + 0.01 * u * v / 9, n);

            vertex[i * (ny + 1) + k] = tb_vec3_add_scaled(tb_vec3_add_scaled(p, u, x), v, y);
        }
    for (uint32_t i = 0; i < nx; i++)
        for (uint32_t k = 0; k < ny; k++) {
            uint32_t a = i * (ny + 1) + k, b = a + ny + 1;
            uint32_t corner[6] = {a, b, a + 1, a + 1, b, b + 1};

            for (int j = 0; j < 6; j++)
                *at++ = corner[j];
        }
    ck_assert_int_eq(tb_mesh_from_arrays(vertex, vertices, index, triangles, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(solid, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    free(vertex);
    free(index);
    return solid;
}

START_TEST(sweep_and_mesh_as_every_triangle_on_its_own)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 62);
    for (int n = 0; n < 12; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 60));
        TbDisc disc = tb_sweep_at(sweep, between(rng, 0.3, 0.7) * tb_sweep_length(sweep));
        TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
        TbSolid *a, *b;
        const TbMesh *mesh;
        double near = INFINITY;
        TbGap g;

        p = tb_vec3_add_scaled(p, between(rng, 8, 30), normal);
        b = sheet(rng, p, normal, 16, 14, 60);
        mesh = tb_tree_mesh(tb_solid_part(b, 0)->tree);
        for (size_t t = 0; t < tb_mesh_triangle_count(mesh); t++) {
            TbVec3 corner[3];
            TbConvex triangle;

            tb_mesh_corners(mesh, t, corner);
            triangle = tb_convex_of_triangle(corner);
            near = fmin(near, sampled(sweep, &triangle, 80));
        }
        a = solid_of_sweep(sweep);
        g = ask_gap(a, b, 1e-3);
        ck_assert_msg(g.lower <= near + 1e-8, "lower %.9f, sampled %.9f", g.lower, near);
        if (near > 0.5) {
            ck_assert_int_eq(g.contact, TB_CLEAR);
            ck_assert_double_le(g.upper, near + 1e-3);
            ck_assert_double_le(g.upper - g.lower, 1e-3);
            ck_assert(g.site_a.on_sweep && g.site_b.triangle < tb_mesh_triangle_count(mesh));
        }
        tb_solid_unref(a);
        tb_solid_unref(b);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(mesh_and_mesh_as_every_pair_of_triangles)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 63);
    for (int n = 0; n < 6; n++) {
        TbSolid *a = sheet(rng, tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 12, 12, 60);
        TbSolid *b =
            sheet(rng, tb_vec3_scale(random_direction(rng), 45), random_direction(rng), 10, 11, 60);
        const TbMesh *ma = tb_tree_mesh(tb_solid_part(a, 0)->tree);
        const TbMesh *mb = tb_tree_mesh(tb_solid_part(b, 0)->tree);
        double near = INFINITY;
        TbGap g = ask_gap(a, b, 1e-5);

        for (size_t i = 0; i < tb_mesh_triangle_count(ma); i++)
            for (size_t k = 0; k < tb_mesh_triangle_count(mb); k++) {
                TbVec3 p[3], q[3];

                tb_mesh_corners(ma, i, p);
                tb_mesh_corners(mb, k, q);
                near = fmin(near, tb_triangle_triangle(p, q).distance);
            }
        if (near > 0) {
            ck_assert_msg(g.lower <= near + 1e-9 && g.upper >= near - 1e-9 &&
                              g.upper - g.lower <= 1e-5,
                          "[%.9f, %.9f], exact %.9f", g.lower, g.upper, near);
        } else {
            ck_assert_int_eq(g.contact, TB_CROSSES);
            ck_assert_double_eq(g.upper, 0);
        }
        tb_solid_unref(a);
        tb_solid_unref(b);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(open_mesh_through_a_duct_crosses_and_has_no_depth)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSolid *a = solid_of_sweep(
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), tb_section_superellipse(64, 50, 2.6)));
    TbSolid *b = sheet(rng, tb_vec3(140, 3, 5), tb_vec3(0.1, 0.2, 1), 9, 9, 150);
    TbGap g = ask_gap(a, b, 1e-2);

    ck_assert_int_eq(g.contact, TB_CROSSES);
    ck_assert_double_eq(g.lower, 0);
    ck_assert_double_eq(g.upper, 0);
    tb_solid_unref(a);
    tb_solid_unref(b);
    gsl_rng_free(rng);
}
END_TEST

/* Asked only whether some gap is kept, a sheet through a duct was once said to touch it: the
 * lattice had met it, was content with less than enough, and left the search without the meeting.
 */
START_TEST(what_meets_is_called_the_same_whatever_is_enough)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSolid *a = solid_of_sweep(
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), tb_section_superellipse(64, 50, 2.6)));

    for (int i = 0; i < 60; i++) {
        TbSolid *b = sheet(rng, tb_vec3(40 + 3.7 * i, 3, 0.9 * i), tb_vec3(0.1, 0.2, 1), 9, 9, 150);
        TbGapAsk ask = {.a = a, .b = b, .width = 1e-2, .enough = 1e-5 * pow(1.3, i)};
        TbGap g, whole = ask_gap(a, b, 1e-2);

        ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
        ck_assert(g.lower <= whole.upper && g.upper >= whole.lower);
        if (!(g.upper > 0))
            ck_assert_int_eq(g.contact, whole.contact);
        tb_solid_unref(b);
    }
    tb_solid_unref(a);
    gsl_rng_free(rng);
}
END_TEST

/* ---- contact kinds, ports, what was asked ---- */

START_TEST(flush_blocks_touch)
{
    TbSolid *a = solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 20, 30, 7));
    TbSolid *b = solid_of_plain(block(tb_vec3(5, 5, 16), tb_vec3(0, 0, 1), 8, 9, 9));
    TbGap g = ask_gap(a, b, 1e-2);

    ck_assert_int_eq(g.contact, TB_TOUCHES);
    ck_assert(g.lower <= 0 && g.upper >= 0 && g.upper - g.lower <= TB_DEPTH_WIDTH + 1e-8);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/** A duct with a flange, and the turbo's face it ends on. */
static TbSolid *
duct_with_flange(void)
{
    TbSolid *solid = solid_of_sweep(
        straight_sweep(tb_vec3(0, 0, 0), tb_vec3(200, 0, 0), tb_section_superellipse(60, 60, 2)));
    TbEndAxes axes = {{0, 0, 0}, {1, 0, 0}, {{1, 0, 0}, {0, 0, 1}, {0, -1, 0}}};
    TbEndRing flange = {.diameter = 90, .from = 0, .to = 8, .role = TB_ROLE_FLANGE};

    ck_assert_int_eq(tb_solid_add_ring(solid, &flange, axes, NULL), TB_OK);
    return solid;
}

START_TEST(port_leaves_out_the_start_of_the_duct_and_its_flange)
{
    TbSolid *a = duct_with_flange();
    TbSolid *b = solid_of_plain(block(tb_vec3(-20, 0, 0), tb_vec3(0, 0, 1), 20, 80, 80));
    TbLeaveOut port = {{0.5, 0, 0}, 40};
    TbGapAsk ask = {.a = a, .b = b, .width = 1e-4, .hint = INFINITY};
    TbGap g;

    /* joined: without the port it touches */
    ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
    ck_assert_int_eq(g.contact, TB_TOUCHES);
    /* the first station 40 mm from the port is at 40.5 */
    ask.leave_out = &port;
    ask.leave_out_count = 1;
    ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
    ck_assert_int_eq(g.contact, TB_CLEAR);
    ck_assert_double_eq_tol(g.upper, 40.5, 1e-3);
    ck_assert_double_le(g.lower, 40.5 + 1e-4);
    /* a port that is not at this duct's end changes nothing */
    port.port.x = -10;
    ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
    ck_assert_int_eq(g.contact, TB_TOUCHES);
    /* one that reaches over the whole duct leaves nothing */
    port = (TbLeaveOut){{0, 0, 0}, 400};
    ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
    ck_assert(g.nothing && isinf(g.upper));
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(enough_decides_and_stays_sound)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 8);
    for (int n = 0; n < 40; n++) {
        TbSweep *sweep = random_sweep(rng, 50);
        TbSolid *b = solid_of_plain(random_plain(rng, place_near(rng, sweep, 5, 60)));
        TbSolid *a = solid_of_sweep(sweep);
        TbGap exact = ask_gap(a, b, 1e-5), g;
        TbGapAsk ask = {.a = a, .b = b, .width = 1e-5, .hint = INFINITY};

        ask.enough = between(rng, 1, 40);
        ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
        ck_assert(g.lower <= exact.upper && g.upper >= exact.lower);
        ck_assert_msg(g.lower >= ask.enough || g.upper < ask.enough || g.upper - g.lower <= 1e-5,
                      "[%.6f, %.6f] does not decide %.6f", g.lower, g.upper, ask.enough);
        tb_solid_unref(a);
        tb_solid_unref(b);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(budget_ends_with_a_wider_true_interval)
{
    TbSolid *a = solid_of_sweep(bend_sweep(120, 0, M_PI / 2, 20, 64, 2));
    TbSolid *b = solid_of_plain(ball(tb_vec3(0, 0, 0), 5));
    TbGapAsk ask = {.a = a, .b = b, .width = 1e-6, .hint = INFINITY, .budget = 60};
    TbGap g;

    ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
    ck_assert(g.exhausted);
    ck_assert(g.lower <= 83 && g.upper >= 83 && g.upper - g.lower > 1e-6);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(hint_true_or_false_changes_only_the_speed)
{
    TbSolid *a = solid_of_sweep(bend_sweep(120, 0, M_PI / 2, 20, 64, 2));
    TbSolid *b = solid_of_plain(ball(tb_vec3(100, 130, 20), 5));
    TbGap exact = ask_gap(a, b, 1e-4), g;
    TbGapAsk ask = {.a = a, .b = b, .width = 1e-4};

    for (int i = 0; i < 3; i++) {
        ask.hint = exact.upper + (i - 1) * 0.7;
        ck_assert_int_eq(tb_gap(&ask, NULL, &g, NULL), TB_OK);
        ck_assert(g.lower <= exact.upper && g.upper >= exact.lower);
        ck_assert_double_le(g.upper - g.lower, 1e-4);
    }
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/* ---- the same every time, stopping, no room ---- */

static bool
same_gap(const TbGap *x, const TbGap *y)
{
    return memcmp(&x->lower, &y->lower, sizeof x->lower) == 0 &&
           memcmp(&x->upper, &y->upper, sizeof x->upper) == 0 &&
           memcmp(&x->point_a, &y->point_a, sizeof x->point_a) == 0 &&
           memcmp(&x->point_b, &y->point_b, sizeof x->point_b) == 0 && x->nodes == y->nodes &&
           x->contact == y->contact && x->site_a.station == y->site_a.station &&
           x->site_a.angle == y->site_a.angle;
}

START_TEST(same_bits_again_and_after_other_questions)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 21);
    for (int n = 0; n < 15; n++) {
        TbSweep *sweep = random_sweep(rng, 50);
        TbSolid *b = solid_of_plain(random_plain(rng, place_near(rng, sweep, -3, 30)));
        TbSolid *c = solid_of_plain(random_plain(rng, place_near(rng, sweep, 5, 60)));
        TbSolid *a = solid_of_sweep(sweep);
        TbGap first = ask_gap(a, b, 1e-4), again;

        ask_gap(a, c, 1e-3);
        ask_gap(c, b, 1e-2);
        again = ask_gap(a, b, 1e-4);
        ck_assert(same_gap(&first, &again));
        tb_solid_unref(a);
        tb_solid_unref(b);
        tb_solid_unref(c);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(cancelled_task_stops_the_search)
{
    TbSolid *a = solid_of_sweep(bend_sweep(120, 0, M_PI / 2, 20, 64, 2));
    TbSolid *b = solid_of_plain(ball(tb_vec3(100, 130, 20), 5));
    TbGapAsk ask = {.a = a, .b = b, .width = 1e-4, .hint = INFINITY};
    TbGap g = {.lower = -7.5};
    TbTask task = {0};
    TbFault fault = {0};

    tb_task_cancel(&task);
    ck_assert_int_eq(tb_gap(&ask, &task, &g, &fault), TB_E_CANCELLED);
    ck_assert_double_eq(g.lower, -7.5);
    ck_assert_str_eq(fault.text, "stopped while a gap was searched");
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

static void
fail_every_allocation(const TbSolid *a, const TbSolid *b)
{
    TbGapAsk ask = {.a = a, .b = b, .width = 1e-3, .hint = INFINITY};
    TbStatus status = TB_E_MEMORY;
    long n = 0;

    while (status != TB_OK) {
        TbGap g = {.lower = -7.5};
        TbFault fault = {0};

        n++;
        tb_mem_fail_at(n);
        status = tb_gap(&ask, NULL, &g, &fault);
        tb_mem_fail_at(0);
        ck_assert(status == TB_OK || status == TB_E_MEMORY);
        if (status != TB_OK)
            ck_assert_double_eq(g.lower, -7.5);
        ck_assert_int_lt(n, 400);
    }
    ck_assert_int_gt(n, 4);
}

START_TEST(every_failed_allocation_is_an_answer)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSolid *a = solid_of_sweep(bend_sweep(120, 0, M_PI / 2, 20, 64, 2));
    TbSolid *b = solid_of_plain(ball(tb_vec3(100, 130, 20), 5));
    TbSolid *c = solid_of_plain(ball(tb_vec3(85, 85, 20), 15));
    TbSolid *d = sheet(rng, tb_vec3(100, 130, 20), tb_vec3(1, 1, 0), 7, 7, 40);

    fail_every_allocation(a, b);
    fail_every_allocation(a, c);
    fail_every_allocation(a, d);
    tb_solid_unref(a);
    tb_solid_unref(b);
    tb_solid_unref(c);
    tb_solid_unref(d);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(names_of_the_contacts)
{
    ck_assert_str_eq(tb_contact_name(TB_CLEAR), "clear");
    ck_assert_str_eq(tb_contact_name(TB_TOUCHES), "touches");
    ck_assert_str_eq(tb_contact_name(TB_CROSSES), "crosses");
    ck_assert_str_eq(tb_contact_name(TB_OVERLAPS), "overlaps");
}
END_TEST

static Suite *
certificate_suite(void)
{
    Suite *suite = suite_create("gaps/certificate");
    TCase *random = tcase_create("random");
    TCase *kinds = tcase_create("kinds");
    TCase *same = tcase_create("same");

    tcase_set_timeout(random, 120);
    tcase_add_loop_test(random, random_sweeps_and_plain_shapes_against_dense_sampling, 0, 3);
    tcase_add_test(random, random_pairs_of_sweeps_against_dense_sampling);
    tcase_add_test(random, depth_is_never_less_than_a_sampled_one);
    tcase_add_test(random, depth_in_sweeps_is_as_sampled);
    tcase_add_test(random, sweep_and_mesh_as_every_triangle_on_its_own);
    tcase_add_test(random, mesh_and_mesh_as_every_pair_of_triangles);
    suite_add_tcase(suite, random);
    tcase_set_timeout(kinds, 60);
    tcase_add_test(kinds, open_mesh_through_a_duct_crosses_and_has_no_depth);
    tcase_add_test(kinds, what_meets_is_called_the_same_whatever_is_enough);
    tcase_add_test(kinds, flush_blocks_touch);
    tcase_add_test(kinds, port_leaves_out_the_start_of_the_duct_and_its_flange);
    tcase_add_test(kinds, enough_decides_and_stays_sound);
    tcase_add_test(kinds, budget_ends_with_a_wider_true_interval);
    tcase_add_test(kinds, hint_true_or_false_changes_only_the_speed);
    tcase_add_test(kinds, names_of_the_contacts);
    suite_add_tcase(suite, kinds);
    tcase_set_timeout(same, 60);
    tcase_add_test(same, same_bits_again_and_after_other_questions);
    tcase_add_test(same, cancelled_task_stops_the_search);
    tcase_add_test(same, every_failed_allocation_is_an_answer);
    suite_add_tcase(suite, same);
    return suite;
}

int
main(void)
{
    return tb_test_main(certificate_suite());
}
