/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Which side of a mesh: thousands of random scenes whose truth is known from the mesh before it was
 * broken. What is decided must be right; what is left undecided must be near a hole.
 */

#include "scenes.h"
#include "soups.h"

#include "base/mem.h"
#include "gaps/inside_private.h"

#include <string.h>

typedef enum Kind { BOX, ELLIPSOID, RING, HOLLOW, TWO, KINDS } Kind;

static void
make_shape(Soup *soup, Kind kind, gsl_rng *rng)
{
    TbVec3 half = {between(rng, 20, 50), between(rng, 20, 50), between(rng, 20, 50)};
    TbVec3 at = {0, 0, 0};
    size_t from;

    soup->count = 0;
    switch (kind) {
    case BOX:
        soup_add_box(soup, at, half, 6, false);
        break;
    case ELLIPSOID:
        soup_add_box(soup, at, half, 7, true);
        break;
    case RING:
        soup_add_torus(soup, 45, 17, 24, 14);
        break;
    case HOLLOW:
        soup_add_box(soup, at, half, 6, true);
        from = soup->count;
        soup_add_box(soup, at, tb_vec3_scale(half, 0.6), 6, true);
        soup_turn(soup, from, soup->count);
        break;
    case TWO:
        soup_add_box(soup, tb_vec3(-60, 3, 2), half, 4, false);
        soup_add_box(soup, tb_vec3(60, 0, 0), half, 4, true);
        break;
    case KINDS:
        break;
    }
    soup_move(soup, tb_pose_turn(tb_vec3(3, 1, 2), random_direction(rng), between(rng, 0, 6)));
    soup_move(soup, tb_pose_shift(tb_vec3(between(rng, -900, 900), between(rng, -900, 900), 500)));
}

/** Something that fits into a ball about c: a ball, a mesh of one, an open sheet, a piece of pipe.
 */
static TbSolid *
make_item(int kind, TbVec3 c, double r, gsl_rng *rng)
{
    TbVec3 d = random_direction(rng), e = tb_vec3_unit(tb_vec3_across(random_direction(rng), d));
    Soup soup = {.count = 0};

    switch (kind) {
    case 0:
        return solid_of_plain(ball(c, r));
    case 1:
        soup_add_box(&soup, c, tb_vec3(r, r, r), 3, true);
        return soup_solid(&soup);
    case 2:
        soup_add(&soup, tb_vec3_add_scaled(c, r, d), tb_vec3_add_scaled(c, -r, d),
                 tb_vec3_add_scaled(c, r, e));
        return soup_solid(&soup);
    default:
        return solid_of_sweep(straight_sweep(tb_vec3_add_scaled(c, -0.7 * r, d),
                                             tb_vec3_add_scaled(c, 0.7 * r, d),
                                             tb_section_superellipse(1.2 * r, 1.2 * r, 2)));
    }
}

static TbVec3
random_place(const Soup *soup, gsl_rng *rng)
{
    size_t i = gsl_rng_uniform_int(rng, soup->count), k = gsl_rng_uniform_int(rng, soup->count);

    /* between two triangles, or a bit beyond one: inside and outside about as often */
    return tb_vec3_mix(soup->corner[3 * i], soup->corner[3 * k], between(rng, -0.3, 1.3));
}

/** Whole-number winding of the unbroken mesh, by all its triangles. */
static long
truth_at(const Soup *whole, TbVec3 p)
{
    double w = soup_winding(whole, p);

    ck_assert_double_eq_tol(w, round(w), 1e-6);
    return lround(w);
}

START_TEST(every_pair_with_a_closed_mesh_is_told_right)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Soup *whole = malloc(sizeof *whole);
    int seen[2] = {0, 0}, met = 0;

    gsl_rng_set(rng, 4711);
    for (int n = 0; n < 800; n++) {
        TbVec3 c;
        double r = between(rng, 0.5, 6), d;
        TbSolid *mesh, *item;
        TbGap g, turned;
        bool in;

        if (n % 4 == 0)
            make_shape(whole, (Kind)(n / 4 % KINDS), rng);
        c = random_place(whole, rng);
        d = soup_distance(whole, c);
        if (fabs(d - r) < 1e-3 || d < 1e-3)
            continue;
        in = truth_at(whole, c) > 0;
        mesh = soup_solid(whole);
        item = make_item(d > r ? n % 4 : 0, c, r, rng);
        g = ask_gap(mesh, item, 1e-2);
        turned = ask_gap(item, mesh, 1e-2);
        ck_assert_int_eq(g.contact, turned.contact);
        if (d < r) {
            ck_assert_int_eq(g.contact, TB_OVERLAPS);
            ck_assert_double_lt(g.upper, 0);
            met++;
        } else if (in) {
            ck_assert_msg(g.contact == TB_INSIDE, "%d: %s", n, tb_contact_name(g.contact));
            ck_assert_int_eq(g.inner, TB_INNER_B);
            ck_assert_int_eq(turned.inner, TB_INNER_A);
            ck_assert_double_le(g.upper, -(d - r) + 1e-2);
        } else {
            ck_assert_msg(g.contact == TB_CLEAR, "%d: %s", n, tb_contact_name(g.contact));
            ck_assert_int_eq(g.inner, TB_INNER_NONE);
            ck_assert_double_ge(g.upper, d - r - 1e-8);
        }
        if (d > r)
            seen[in]++;
        tb_solid_unref(item);
        tb_solid_unref(mesh);
    }
    ck_assert_int_gt(seen[0], 130);
    ck_assert_int_gt(seen[1], 130);
    ck_assert_int_gt(met, 60);
    free(whole);
    gsl_rng_free(rng);
}
END_TEST

/* ---- slightly broken ---- */

/** Corners pulled off a plane by less than a crack, on one side of it: a seam that was not welded.
 */
static void
crack(Soup *soup, gsl_rng *rng)
{
    TbVec3 n = random_direction(rng), middle = {0, 0, 0}, shift = tb_vec3_scale(n, 0.04);

    for (size_t i = 0; i < 3 * soup->count; i++)
        middle = tb_vec3_add_scaled(middle, 1 / (3.0 * (double)soup->count), soup->corner[i]);
    for (size_t i = 0; i < soup->count; i++) {
        TbVec3 *t = soup->corner + 3 * i;
        TbVec3 c = tb_vec3_scale(tb_vec3_add(t[0], tb_vec3_add(t[1], t[2])), 1.0 / 3);

        if (tb_vec3_dot(n, tb_vec3_sub(c, middle)) < 0)
            continue;
        for (int k = 0; k < 3; k++)
            t[k] = tb_vec3_add(t[k], shift);
    }
}

/** @param[out] wound a point of each triangle that was taken out or turned over */
static size_t
break_up(Soup *soup, int how, gsl_rng *rng, TbVec3 wound[])
{
    size_t wounds = 0;

    if (how == 3 || how == 4)
        crack(soup, rng);
    for (int k = 0; k < 3; k++) {
        size_t i = gsl_rng_uniform_int(rng, soup->count);
        const TbVec3 *t = soup->corner + 3 * i;
        TbVec3 a = t[0], b = t[1], c = t[2];

        if (how == 0 || how == 4) {
            wound[wounds++] = tb_vec3_scale(tb_vec3_add(a, tb_vec3_add(b, c)), 1.0 / 3);
            soup_drop(soup, i);
        }
        if (how == 1)
            soup_add(soup, a, b, c);
        if (how == 2 || how == 4) {
            size_t turned = i == 0 ? soup->count - 1 : i - 1;

            wound[wounds++] = soup->corner[3 * turned];
            soup_turn(soup, turned, turned + 1);
        }
    }
    return wounds;
}

static double
wound_distance(const TbVec3 wound[], size_t count, TbVec3 p)
{
    double least = INFINITY;

    for (size_t i = 0; i < count; i++)
        least = fmin(least, tb_vec3_distance(wound[i], p));
    return least;
}

START_TEST(what_is_decided_of_a_slightly_broken_mesh_is_right)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Soup *whole = malloc(sizeof *whole), *broken = malloc(sizeof *broken);
    int decided = 0, left = 0;

    gsl_rng_set(rng, 815);
    for (int n = 0; n < 1500; n++) {
        TbVec3 c, wound[8];
        double r = between(rng, 0.5, 5), d, w;
        TbSolid *mesh, *item;
        size_t wounds;
        TbGap g;
        long in;

        make_shape(whole, (Kind)(n % KINDS), rng);
        memcpy(broken, whole, sizeof *broken);
        wounds = break_up(broken, n / KINDS % 5, rng, wound);
        c = random_place(whole, rng);
        d = soup_distance(whole, c);
        if (d < r + 0.1)
            continue;
        in = truth_at(whole, c);
        w = soup_winding(broken, c);
        mesh = soup_solid(broken);
        item = make_item(n % 4, c, r, rng);
        g = ask_gap(mesh, item, 1e-2);
        if (g.inner == TB_INNER_UNKNOWN) {
            left++;
            ck_assert_msg(fabs(w - (double)in) > 0.2 || wound_distance(wound, wounds, c) < r + 20,
                          "%d: undecided, though the winding is %.3f of %ld", n, w, in);
            ck_assert_int_eq(g.contact, TB_CLEAR);
        } else if (in > 0) {
            /* some of it is inside; that all of it is, is not said where it meets a lid */
            bool at_hole = wound_distance(wound, wounds, c) < r + 20;

            ck_assert_msg((g.contact == TB_INSIDE && g.inner == TB_INNER_B) ||
                              (g.contact == TB_OVERLAPS && at_hole),
                          "%d: %s, winding %.3f", n, tb_contact_name(g.contact), w);
            decided++;
            ck_assert_double_le(g.lower, -(d - r) + 0.1);
        } else {
            decided++;
            ck_assert_msg(g.contact == TB_CLEAR, "%d: %s, winding %.3f", n,
                          tb_contact_name(g.contact), w);
            ck_assert_double_ge(g.upper, d - r - 0.1);
        }
        tb_solid_unref(item);
        tb_solid_unref(mesh);
    }
    ck_assert_int_gt(decided, 800);
    ck_assert_msg(left < decided / 20, "%d left of %d", left, decided);
    free(broken);
    free(whole);
    gsl_rng_free(rng);
}
END_TEST

/* ---- open, flipped, turned inside out ---- */

static void
make_case(Soup *soup, int n)
{
    soup->count = 0;
    soup_add_box(soup, tb_vec3(0, 0, 0), tb_vec3(40, 50, 60), n, false);
}

/** The case without its side at -x. */
static void
make_tray(Soup *soup, int n)
{
    make_case(soup, n);
    for (size_t i = (size_t)(2 * n * n); i-- > 0;)
        soup_drop(soup, i);
}

static TbGap
ask_both(TbSolid *mesh, TbSolid *item)
{
    TbGap g = ask_gap(mesh, item, 1e-2), turned = ask_gap(item, mesh, 1e-2);

    ck_assert_int_eq(g.contact, turned.contact);
    ck_assert_int_eq(g.doubt, turned.doubt);
    ck_assert_int_eq(g.inner == TB_INNER_UNKNOWN, turned.inner == TB_INNER_UNKNOWN);
    tb_solid_unref(item);
    return g;
}

START_TEST(an_open_mesh_never_holds_anything)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Soup *soup = malloc(sizeof *soup);
    int unknown = 0, far = 0;

    gsl_rng_set(rng, 3);
    for (int n = 0; n < 500; n++) {
        TbVec3 way = random_direction(rng), middle = {0, 0, 0}, c;
        double r = between(rng, 0.3, 4), d;
        TbSolid *mesh;
        TbGap g;

        make_shape(soup, (Kind)(n % TWO), rng); /* of two, one might stay closed */
        for (size_t i = 0; i < soup->count; i++)
            middle = tb_vec3_add_scaled(middle, 1 / (double)soup->count, soup->corner[3 * i]);
        for (size_t i = soup->count; i-- > 0;)
            if (tb_vec3_dot(tb_vec3_sub(soup->corner[3 * i], middle), way) > 0)
                soup_drop(soup, i);
        c = n % 10 == 0 ? tb_vec3_add_scaled(middle, between(rng, 100, 800), random_direction(rng))
                        : random_place(soup, rng);
        d = soup_distance(soup, c);
        if (d < r + 1e-3)
            continue;
        mesh = soup_solid(soup);
        g = ask_both(mesh, make_item(n % 4, c, r, rng));
        ck_assert_msg(g.contact == TB_CLEAR, "%d: %s", n, tb_contact_name(g.contact));
        ck_assert_double_ge(g.upper, d - r - 1e-8);
        if (g.inner == TB_INNER_UNKNOWN) {
            unknown++;
            ck_assert_int_eq(g.doubt, TB_DOUBT_OPEN);
            ck_assert_double_eq_tol(g.enclosed, soup_winding(soup, g.point_b), 2 * TB_LIDS_WITHIN);
        } else {
            far++;
            ck_assert_int_eq(g.inner, TB_INNER_NONE);
            ck_assert_double_eq_tol(soup_winding(soup, g.point_b), 0, 0.06);
        }
        tb_solid_unref(mesh);
    }
    ck_assert_int_gt(unknown, 210);
    ck_assert_int_gt(far, 25);
    free(soup);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(in_a_tray_it_is_said_how_much_is_enclosed)
{
    Soup *soup = malloc(sizeof *soup);
    TbSolid *mesh;
    TbGap g;

    make_tray(soup, 6);
    mesh = soup_solid(soup);
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(0, 0, 0), 1e-3)));
    ck_assert_int_eq(g.contact, TB_CLEAR);
    ck_assert_int_eq(g.inner, TB_INNER_UNKNOWN);
    ck_assert_int_eq(g.doubt, TB_DOUBT_OPEN);
    /* a rectangle of half sides a, b at distance d is 4 atan(a b / (d sqrt(a^2 + b^2 + d^2))) */
    ck_assert_double_eq_tol(
        g.enclosed, 1 - atan(50 * 60 / (40 * sqrt(50 * 50 + 60 * 60 + 40 * 40))) / M_PI, 1e-4);
    ck_assert_double_eq_tol(g.upper, 40 - 1e-3, 0.01);
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(0, 0, 70), 3)));
    ck_assert_int_eq(g.inner, TB_INNER_UNKNOWN);
    ck_assert_double_lt(g.enclosed, 0); /* the outside of a side is its front */
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(400, 0, 70), 3)));
    ck_assert_int_eq(g.inner, TB_INNER_NONE);
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(38, 0, 0), 3)));
    ck_assert_int_eq(g.contact, TB_CROSSES);
    ck_assert_double_eq(g.upper, 0);
    tb_solid_unref(mesh);
    free(soup);
}
END_TEST

START_TEST(where_triangles_disagree_only_what_is_enclosed_is_unknown)
{
    Soup *soup = malloc(sizeof *soup);
    TbSolid *mesh;
    TbGap g;

    make_case(soup, 5);
    soup_turn(soup, 0, 100);
    mesh = soup_solid(soup);
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(10, 3, 2), 4)));
    ck_assert_int_eq(g.contact, TB_CLEAR);
    ck_assert_int_eq(g.inner, TB_INNER_UNKNOWN);
    ck_assert_int_eq(g.doubt, TB_DOUBT_FLIPPED);
    ck_assert_double_eq(g.enclosed, 1);
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(50, 3, 2), 4)));
    ck_assert_int_eq(g.contact, TB_CLEAR);
    ck_assert_int_eq(g.inner, TB_INNER_NONE);
    ck_assert_double_eq_tol(g.upper, 6, 0.01);
    tb_solid_unref(mesh);
    free(soup);
}
END_TEST

START_TEST(normals_that_point_in_make_a_room)
{
    Soup *soup = malloc(sizeof *soup);
    TbSolid *mesh;
    TbGap g;

    make_case(soup, 4);
    soup_turn(soup, 0, soup->count);
    /* a part in the room, its normals out */
    soup_add_box(soup, tb_vec3(-20, -30, -30), tb_vec3(10, 10, 10), 2, false);
    mesh = soup_solid(soup);
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(20, 10, 20), 4)));
    ck_assert_int_eq(g.contact, TB_CLEAR);
    ck_assert_int_eq(g.inner, TB_INNER_NONE);
    ck_assert_double_eq_tol(g.upper, 16, 0.01);
    /* into the wall: 3 beyond it */
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(39, 10, 20), 4)));
    ck_assert_int_eq(g.contact, TB_OVERLAPS);
    ck_assert_double_le(g.lower, -3 + 1e-8);
    ck_assert_double_ge(g.upper, -3 - 1e-8);
    /* behind the wall: beyond the room there may be anything */
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(60, 10, 20), 4)));
    ck_assert_int_eq(g.contact, TB_CLEAR);
    ck_assert_int_eq(g.inner, TB_INNER_NONE);
    /* in the part */
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(-20, -30, -30), 4)));
    ck_assert_int_eq(g.contact, TB_CLEAR);
    ck_assert_int_eq(g.inner, TB_INNER_UNKNOWN);
    ck_assert_int_eq(g.doubt, TB_DOUBT_INWARD);
    ck_assert_double_eq(g.enclosed, 1);
    tb_solid_unref(mesh);
    free(soup);
}
END_TEST

/* ---- through a hole ---- */

START_TEST(a_rod_through_holes_of_a_nearly_closed_mesh_is_found_in_it)
{
    Soup *soup = malloc(sizeof *soup);
    TbSolid *mesh;
    TbGap g;
    size_t holes = 0;

    make_case(soup, 21);
    for (size_t i = soup->count; i-- > 0;) {
        const TbVec3 *t = soup->corner + 3 * i;
        TbVec3 m = tb_vec3_scale(tb_vec3_add(t[0], tb_vec3_add(t[1], t[2])), 1.0 / 3);

        if (fabs(m.x) > 39.99 && hypot(m.y, m.z) < 8) {
            soup_drop(soup, i);
            holes++;
        }
    }
    ck_assert_uint_gt(holes, 20);
    mesh = soup_solid(soup);
    /* right through both holes, no triangle touched; its ends stand out by 30 */
    g = ask_both(mesh, solid_of_plain(rod(tb_vec3(-70, 0, 0), tb_vec3(70, 0, 0), 3)));
    ck_assert_int_eq(g.contact, TB_OVERLAPS);
    ck_assert_double_le(g.lower, -40);
    ck_assert_double_ge(g.upper, -44);
    /* up to the hole and not into it */
    g = ask_both(mesh, solid_of_plain(rod(tb_vec3(-70, 0, 0), tb_vec3(-43, 0, 0), 3)));
    ck_assert_int_eq(g.contact, TB_CLEAR);
    /* wholly inside, away from the holes */
    g = ask_both(mesh, solid_of_plain(rod(tb_vec3(-20, 5, 0), tb_vec3(20, 0, 0), 3)));
    ck_assert_int_eq(g.contact, TB_INSIDE);
    ck_assert_int_eq(g.inner, TB_INNER_B);
    /* in the mouth of the hole nobody knows where the surface was */
    g = ask_both(mesh, solid_of_plain(ball(tb_vec3(-40, 0, 0), 0.3)));
    ck_assert_int_eq(g.contact, TB_CLEAR);
    ck_assert_int_eq(g.inner, TB_INNER_UNKNOWN);
    ck_assert_int_eq(g.doubt, TB_DOUBT_HOLE);
    tb_solid_unref(mesh);
    free(soup);
}
END_TEST

/* ---- sheets, shells, parts ---- */

static TbSolid *
sheet(TbVec3 c)
{
    Soup soup = {.count = 0};

    soup_add(&soup, tb_vec3_add(c, tb_vec3(-3, 1, 0)), tb_vec3_add(c, tb_vec3(4, 0, 1)),
             tb_vec3_add(c, tb_vec3(0, 3, -2)));
    return soup_solid(&soup);
}

START_TEST(an_open_sheet_is_inside_whatever_holds_it_and_as_deep_as_it_lies)
{
    TbSolid *holder[3];
    Soup *soup = malloc(sizeof *soup);

    make_case(soup, 3);
    holder[0] = soup_solid(soup);
    holder[1] = solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 50, 40, 60));
    holder[2] = solid_of_sweep(
        straight_sweep(tb_vec3(0, 0, -60), tb_vec3(0, 0, 60), tb_section_rounded(80, 100, 0.02)));
    for (int i = 0; i < 3; i++) {
        /* 12 below the top of all three: its lowest corner 14 */
        TbGap g = ask_both(holder[i], sheet(tb_vec3(1, 2, 48)));

        ck_assert_msg(g.contact == TB_INSIDE, "%d: %s", i, tb_contact_name(g.contact));
        ck_assert_int_eq(g.inner, TB_INNER_B);
        ck_assert_double_le(g.lower, -14 + 1e-8);
        ck_assert_double_ge(g.upper, -14 - 1e-8);
        ck_assert_double_le(g.upper - g.lower, TB_DEPTH_WIDTH + 1e-8);
        /* through the top */
        g = ask_both(holder[i], sheet(tb_vec3(1, 2, 60.3)));
        ck_assert_msg(g.contact == TB_CROSSES, "%d: %s", i, tb_contact_name(g.contact));
        tb_solid_unref(holder[i]);
    }
    free(soup);
}
END_TEST

/** A mesh of one or two small boxes; the second shell at `second`. */
static TbSolid *
shells(TbVec3 first, const TbVec3 *second)
{
    Soup soup = {.count = 0};

    soup_add_box(&soup, first, tb_vec3(2, 3, 4), 1, false);
    if (second != NULL)
        soup_add_box(&soup, *second, tb_vec3(3, 2, 1), 1, false);
    return soup_solid(&soup);
}

START_TEST(shells_of_a_mesh_in_a_filled_duct_are_all_found)
{
    TbSweep *sweep = bend_sweep(120, 0, M_PI / 2, 40, 64, 2);
    TbSolid *duct = solid_of_sweep(tb_sweep_ref(sweep));
    TbVec3 in = {120 * cos(0.6), 120 * sin(0.6), 5}, also = {120 * cos(1.1), 120 * sin(1.1), -9};
    TbVec3 out = {40, 30, 0};
    TbKept kept = {0, tb_sweep_length(sweep)};
    const TbVec3 *second[3] = {NULL, &also, &out};

    for (int i = 0; i < 3; i++) {
        TbSolid *mesh = shells(i == 2 ? out : in, i == 2 ? &in : second[i]);
        const TbTree *tree = tb_solid_part(mesh, 0)->tree;
        uint32_t triangle = 4711;
        TbVec3 t[3];
        bool found;
        TbGap g;

        ck_assert_int_eq(tb_inside__mesh_in_sweep(sweep, kept, tree, &found, &triangle), TB_OK);
        ck_assert_msg(found, "%d", i);
        tb_mesh_corners(tb_tree_mesh(tree), triangle, t);
        ck_assert_double_gt(t[0].y, 50); /* of a shell that is in */
        /* left out up to beyond both */
        ck_assert_int_eq(
            tb_inside__mesh_in_sweep(sweep, (TbKept){200, kept.to}, tree, &found, &triangle),
            TB_OK);
        ck_assert(!found);
        g = ask_both(duct, mesh);
        ck_assert_msg(g.contact == (i == 2 ? TB_OVERLAPS : TB_INSIDE), "%d: %s", i,
                      tb_contact_name(g.contact));
        ck_assert_int_eq(g.inner, i == 2 ? TB_INNER_NONE : TB_INNER_B);
    }
    tb_sweep_unref(sweep);
    tb_solid_unref(duct);
}
END_TEST

START_TEST(inside_needs_all_parts_and_touching_walls_are_not_inside)
{
    TbSolid *big = solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 50, 40, 60));
    TbPlain far = ball(tb_vec3(200, 0, 0), 3);
    TbSolid *two = solid_of_plain(ball(tb_vec3(7, 0, 0), 3));
    TbGap g = ask_both(big, solid_of_plain(ball(tb_vec3(7, 0, 0), 3)));

    ck_assert_int_eq(g.contact, TB_INSIDE);
    ck_assert_int_eq(tb_solid_add_plain(two, &far, 0, NULL), TB_OK);
    g = ask_both(big, two);
    ck_assert_int_eq(g.contact, TB_OVERLAPS);
    ck_assert_int_eq(g.inner, TB_INNER_NONE);
    /* a hair of room, then none */
    g = ask_both(big, solid_of_plain(ball(tb_vec3(7, 0, 50), 10 - 1e-6)));
    ck_assert_int_eq(g.contact, TB_INSIDE);
    g = ask_both(big, solid_of_plain(ball(tb_vec3(7, 0, 50), 10)));
    ck_assert_int_eq(g.contact, TB_OVERLAPS);
    g = ask_both(big, solid_of_plain(ball(tb_vec3(7, 0, 50), 10 + 1e-3)));
    ck_assert_int_eq(g.contact, TB_OVERLAPS);
    /* round about: the block is inside the ball */
    g = ask_both(big, solid_of_plain(ball(tb_vec3(0, 0, 0), 100)));
    ck_assert_int_eq(g.contact, TB_INSIDE);
    ck_assert_int_eq(g.inner, TB_INNER_A);
    tb_solid_unref(big);
}
END_TEST

START_TEST(a_rod_in_a_duct_is_inside_until_it_comes_out)
{
    TbSolid *duct = solid_of_sweep(bend_sweep(120, 0, M_PI / 2, 40, 64, 2));

    for (int i = 0; i < 2; i++) {
        double a = 0.5, b = i == 0 ? 0.8 : 2.2;
        TbGap g = ask_both(duct, solid_of_plain(rod(tb_vec3(120 * cos(a), 120 * sin(a), 0),
                                                    tb_vec3(120 * cos(b), 120 * sin(b), 0), 20)));

        ck_assert_msg(g.contact == (i == 0 ? TB_INSIDE : TB_OVERLAPS), "%d: %s", i,
                      tb_contact_name(g.contact));
    }
    tb_solid_unref(duct);
}
END_TEST

START_TEST(every_failed_allocation_of_a_broken_mesh_is_an_answer)
{
    Soup *soup = malloc(sizeof *soup);
    TbSolid *item = solid_of_plain(ball(tb_vec3(37, 3, 2), 5));
    TbStatus status = TB_E_MEMORY;
    long n = 0;

    make_case(soup, 3);
    soup_drop(soup, 3);
    while (status != TB_OK) {
        /* a new mesh each time: its lids stay once they are there */
        TbSolid *mesh = soup_solid(soup);
        TbGapAsk ask = {.a = mesh, .b = item, .width = 0.01, .hint = INFINITY};
        TbGap gap = {.upper = 4711};
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = tb_gap(&ask, NULL, &gap, &fault);
        tb_mem_fail_at(0);
        tb_solid_unref(mesh);
        if (status == TB_OK) {
            ck_assert_int_eq(gap.contact, TB_OVERLAPS);
            break;
        }
        ck_assert_int_eq(status, TB_E_MEMORY);
        ck_assert_int_eq(fault.status, TB_E_MEMORY);
        ck_assert_double_eq(gap.upper, 4711);
        ck_assert_int_lt(n, 5000);
    }
    ck_assert_int_gt(n, 30);
    tb_solid_unref(item);
    free(soup);
}
END_TEST

START_TEST(names_and_reasons)
{
    ck_assert_str_eq(tb_inner_name(TB_INNER_NONE), "none");
    ck_assert_str_eq(tb_inner_name(TB_INNER_A), "a");
    ck_assert_str_eq(tb_inner_name(TB_INNER_B), "b");
    ck_assert_str_eq(tb_inner_name(TB_INNER_UNKNOWN), "undecidable");
    ck_assert_str_eq(tb_doubt_text(TB_DOUBT_NONE), "");
    ck_assert_ptr_nonnull(strstr(tb_doubt_text(TB_DOUBT_OPEN), "open"));
    ck_assert_ptr_nonnull(strstr(tb_doubt_text(TB_DOUBT_HOLE), "hole"));
    ck_assert_ptr_nonnull(strstr(tb_doubt_text(TB_DOUBT_FLIPPED), "disagree"));
    ck_assert_ptr_nonnull(strstr(tb_doubt_text(TB_DOUBT_INWARD), "room"));
    ck_assert_str_eq(tb_contact_name(TB_INSIDE), "inside");
    ck_assert_str_eq(tb_mesh_body_name(TB_BODY_NEARLY), "nearly closed");
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/sign");
    TCase *c = tcase_create("sign");

    tcase_set_timeout(c, 120);
    tcase_add_test(c, every_pair_with_a_closed_mesh_is_told_right);
    tcase_add_test(c, what_is_decided_of_a_slightly_broken_mesh_is_right);
    tcase_add_test(c, an_open_mesh_never_holds_anything);
    tcase_add_test(c, in_a_tray_it_is_said_how_much_is_enclosed);
    tcase_add_test(c, where_triangles_disagree_only_what_is_enclosed_is_unknown);
    tcase_add_test(c, normals_that_point_in_make_a_room);
    tcase_add_test(c, a_rod_through_holes_of_a_nearly_closed_mesh_is_found_in_it);
    tcase_add_test(c, an_open_sheet_is_inside_whatever_holds_it_and_as_deep_as_it_lies);
    tcase_add_test(c, shells_of_a_mesh_in_a_filled_duct_are_all_found);
    tcase_add_test(c, inside_needs_all_parts_and_touching_walls_are_not_inside);
    tcase_add_test(c, a_rod_in_a_duct_is_inside_until_it_comes_out);
    tcase_add_test(c, every_failed_allocation_of_a_broken_mesh_is_an_answer);
    tcase_add_test(c, names_and_reasons);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
