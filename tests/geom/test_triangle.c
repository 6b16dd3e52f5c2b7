/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Distances are compared with a slow way in quadruple precision, and proved: both points lie on
 * their things, so the distance is not too small; and the plane square to their connection keeps
 * the things apart by as much, so it is not too large.
 */
#include "geom/triangle.h"

#include "geom/tol.h"
#include "mesh_scenes.h"
#include "tap.h"

#define ROUNDS 8000

/** mm allowed for coordinates up to @p largest: 450 times the rounding of one number. */
static double
allowed(double largest)
{
    return 1e-13 * largest;
}

/* ---- the slow way: every feature against every feature, in 113 bits ---- */

__extension__ typedef __float128 Quad;

typedef struct Quad3 {
    Quad x, y, z;
} Quad3;

static Quad3
quad_of(TbVec3 a)
{
    return (Quad3){a.x, a.y, a.z};
}

static Quad3
quad_step(Quad3 a, Quad k, Quad3 b)
{
    return (Quad3){a.x + k * b.x, a.y + k * b.y, a.z + k * b.z};
}

static Quad3
quad_sub(Quad3 a, Quad3 b)
{
    return quad_step(a, -1, b);
}

static Quad
quad_dot(Quad3 a, Quad3 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static Quad3
quad_cross(Quad3 a, Quad3 b)
{
    return (Quad3){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

static Quad
quad_least(Quad a, Quad b)
{
    return b < a ? b : a;
}

/** Squared distances. */
static Quad
slow_point_segment(Quad3 p, Quad3 a, Quad3 b)
{
    Quad3 d = quad_sub(b, a);
    Quad3 w = quad_sub(p, a);
    Quad full = quad_dot(d, d);
    Quad k = full > 0 ? quad_dot(w, d) / full : 0;

    w = quad_step(w, k < 0 ? 0 : k > 1 ? -1 : -k, d);
    return quad_dot(w, w);
}

/** Of the lines, where their nearest points are inside both segments; else of the ends. */
static Quad
slow_segment_segment(Quad3 p0, Quad3 p1, Quad3 q0, Quad3 q1)
{
    Quad3 n = quad_cross(quad_sub(p1, p0), quad_sub(q1, q0));
    Quad3 r = quad_sub(q0, p0);
    Quad n2 = quad_dot(n, n);
    Quad least =
        quad_least(quad_least(slow_point_segment(p0, q0, q1), slow_point_segment(p1, q0, q1)),
                   quad_least(slow_point_segment(q0, p0, p1), slow_point_segment(q1, p0, p1)));
    Quad s, t;

    if (!(n2 > 0))
        return least;
    s = quad_dot(quad_cross(r, quad_sub(q1, q0)), n) / n2;
    t = quad_dot(quad_cross(r, quad_sub(p1, p0)), n) / n2;
    if (s >= 0 && s <= 1 && t >= 0 && t <= 1)
        least = quad_least(least, quad_dot(r, n) * quad_dot(r, n) / n2);
    return least;
}

/** Whether p is seen inside the triangle along its normal. */
static bool
slow_over_face(Quad3 p, const Quad3 t[3], Quad3 n)
{
    for (int i = 0; i < 3; i++) {
        Quad3 side = quad_sub(t[(i + 1) % 3], t[i]);
        if (quad_dot(quad_cross(side, quad_sub(p, t[i])), n) < 0)
            return false;
    }
    return quad_dot(n, n) > 0;
}

static Quad
slow_point_triangle(Quad3 p, const Quad3 t[3])
{
    Quad3 n = quad_cross(quad_sub(t[1], t[0]), quad_sub(t[2], t[0]));
    Quad h = quad_dot(n, quad_sub(p, t[0]));
    Quad least = slow_point_segment(p, t[0], t[1]);

    least = quad_least(least, slow_point_segment(p, t[1], t[2]));
    least = quad_least(least, slow_point_segment(p, t[2], t[0]));
    return slow_over_face(p, t, n) ? quad_least(least, h * h / quad_dot(n, n)) : least;
}

static bool
slow_pierces(Quad3 p0, Quad3 p1, const Quad3 t[3])
{
    Quad3 n = quad_cross(quad_sub(t[1], t[0]), quad_sub(t[2], t[0]));
    Quad h0 = quad_dot(n, quad_sub(p0, t[0]));
    Quad h1 = quad_dot(n, quad_sub(p1, t[0]));

    if (h0 * h1 > 0 || !(h0 < h1 || h1 < h0))
        return false;
    return slow_over_face(quad_step(p0, h0 / (h0 - h1), quad_sub(p1, p0)), t, n);
}

static Quad
slow_triangle_triangle(const Quad3 a[3], const Quad3 b[3])
{
    Quad least = slow_point_triangle(a[0], b);

    for (int i = 0; i < 3; i++) {
        if (slow_pierces(a[i], a[(i + 1) % 3], b) || slow_pierces(b[i], b[(i + 1) % 3], a))
            return 0;
        least = quad_least(least, slow_point_triangle(a[i], b));
        least = quad_least(least, slow_point_triangle(b[i], a));
        for (int k = 0; k < 3; k++)
            least =
                quad_least(least, slow_segment_segment(a[i], a[(i + 1) % 3], b[k], b[(k + 1) % 3]));
    }
    return least;
}

/** Distance of points, segments and triangles, told apart by their corners. */
static double
slow_distance(const TbVec3 a[], int count_a, const TbVec3 b[], int count_b)
{
    Quad3 p[3], q[3];
    Quad d2;

    for (int i = 0; i < count_a; i++)
        p[i] = quad_of(a[i]);
    for (int i = 0; i < count_b; i++)
        q[i] = quad_of(b[i]);
    if (count_a == 3)
        d2 = slow_triangle_triangle(p, q);
    else if (count_a == 2)
        d2 = slow_segment_segment(p[0], p[1], q[0], q[1]);
    else
        d2 = slow_point_triangle(p[0], q);
    return sqrt((double)d2);
}

/** Whether x belongs to the hull of the corners, by the slow way. */
static double
off_hull(TbVec3 x, const TbVec3 t[], int count)
{
    Quad3 q[3] = {quad_of(t[0]), quad_of(t[count - 1]), quad_of(t[count / 2])};

    return sqrt((double)slow_point_triangle(quad_of(x), q));
}

/* ---- proof by a plane between the two ---- */

static double
reach(const TbVec3 p[], int count, TbVec3 from, TbVec3 d)
{
    double most = -INFINITY;

    for (int i = 0; i < count; i++)
        most = fmax(most, tb_vec3_dot(tb_vec3_sub(p[i], from), d));
    return most;
}

/** The gap that the plane square to a - b leaves between two hulls. */
static double
proved(TbNearest n, const TbVec3 a[], int count_a, const TbVec3 b[], int count_b)
{
    TbVec3 d = tb_vec3_unit(tb_vec3_sub(n.a, n.b));

    return n.distance - reach(a, count_a, n.a, tb_vec3_neg(d)) - reach(b, count_b, n.b, d);
}

/** @param largest coordinate met */
static void
check_nearest(
    TbNearest n, const TbVec3 a[], int count_a, const TbVec3 b[], int count_b, double largest)
{
    double tol = allowed(largest);

    ck_assert_double_eq_tol(n.distance, tb_vec3_distance(n.a, n.b), tol);
    ck_assert_double_le(off_hull(n.a, a, count_a), tol);
    ck_assert_double_le(off_hull(n.b, b, count_b), tol);
    ck_assert_double_eq_tol(n.distance, slow_distance(a, count_a, b, count_b), tol);
    /* rounding turns the plane by tol / distance, and the corners are up to 2 largest away */
    if (n.distance > tol)
        ck_assert_double_ge(proved(n, a, count_a, b, count_b),
                            n.distance - tol - tol / n.distance * 4 * largest);
}

/** Half sizes and offsets that every random test runs with. */
static const struct {
    double reach, away;
} scales[] = {{87.3, 0}, {3.1e-5, 0}, {4.7e3, 0}, {11.9, 9.9e3}};

static void
move_all(TbVec3 p[], int count, TbVec3 by)
{
    for (int i = 0; i < count; i++)
        p[i] = tb_vec3_add(p[i], by);
}

START_TEST(point_to_triangle_is_proved_nearest)
{
    Dice dice = {71 + (uint64_t)_i};
    double size = scales[_i].reach;
    double largest = fmax(4 * size, scales[_i].away);
    TbVec3 away = tb_vec3(scales[_i].away, -scales[_i].away, scales[_i].away / 3);

    for (int k = 0; k < ROUNDS; k++) {
        TbVec3 t[3];
        TbVec3 p = dice_point(&dice, 2 * size);
        dice_triangle(&dice, size, t);
        move_all(t, 3, away);
        p = tb_vec3_add(p, away);
        check_nearest(tb_point_triangle(p, t), &p, 1, t, 3, largest);
    }
}
END_TEST

START_TEST(point_of_a_triangle_is_at_distance_zero)
{
    Dice dice = {90};

    for (int k = 0; k < ROUNDS; k++) {
        TbVec3 t[3];
        double u = dice_between(&dice, 0, 1);
        double v = dice_between(&dice, 0, 1);
        dice_triangle(&dice, 61.7, t);
        TbVec3 p = tb_vec3_mix(t[0], tb_vec3_mix(t[1], t[2], u), v);
        ck_assert_double_le(tb_point_triangle(p, t).distance, allowed(250));
        ck_assert_double_le(tb_point_triangle(t[k % 3], t).distance, 0);
    }
}
END_TEST

START_TEST(segments_are_proved_nearest)
{
    Dice dice = {17 + (uint64_t)_i};
    double size = scales[_i].reach;
    double largest = fmax(4 * size, scales[_i].away);
    TbVec3 away = tb_vec3(-scales[_i].away, scales[_i].away, 0.71 * scales[_i].away);

    for (int k = 0; k < ROUNDS; k++) {
        TbVec3 p[2] = {dice_point(&dice, size), dice_point(&dice, size)};
        TbVec3 q[2] = {dice_point(&dice, size), dice_point(&dice, size)};
        double turn = pow(10, dice_between(&dice, -16, 0));
        if (k % 4 == 1) /* parallel, or nearly */
            q[1] = tb_vec3_add(tb_vec3_add_scaled(q[0], 1.3, tb_vec3_sub(p[1], p[0])),
                               dice_point(&dice, k % 8 == 1 ? 0 : size * turn));
        if (k % 16 == 2) /* a point */
            p[1] = p[0];
        if (k % 32 == 2)
            q[1] = q[0];
        move_all(p, 2, away);
        move_all(q, 2, away);
        check_nearest(tb_segment_segment(p[0], p[1], q[0], q[1]), p, 2, q, 2, largest);
    }
}
END_TEST

START_TEST(triangles_are_proved_nearest)
{
    Dice dice = {40 + (uint64_t)_i};
    double size = scales[_i].reach;
    double largest = fmax(8 * size, scales[_i].away);
    TbVec3 away = tb_vec3(scales[_i].away, scales[_i].away, -0.37 * scales[_i].away);
    int apart = 0;

    for (int k = 0; k < ROUNDS; k++) {
        TbVec3 a[3], b[3];
        TbNearest n;
        dice_triangle(&dice, size, a);
        dice_triangle(&dice, size, b);
        move_all(b, 3, dice_point(&dice, 2 * size));
        move_all(a, 3, away);
        move_all(b, 3, away);
        n = tb_triangle_triangle(a, b);
        check_nearest(n, a, 3, b, 3, largest);
        apart += n.distance > allowed(largest);
    }
    ck_assert_int_gt(apart, ROUNDS / 2);
    ck_assert_int_lt(apart, ROUNDS);
}
END_TEST

/** The common point is made first, so the answer is known to be 0. */
START_TEST(triangles_through_a_common_point_are_at_zero)
{
    Dice dice = {8};
    double size = 143.9;

    for (int k = 0; k < ROUNDS; k++) {
        TbVec3 a[3], b[3];
        TbVec3 x, y;
        TbNearest n;
        dice_triangle(&dice, size, a);
        dice_triangle(&dice, size, b);
        x = tb_vec3_mix(a[0], tb_vec3_mix(a[1], a[2], dice_between(&dice, 0, 1)), 0.3);
        y = tb_vec3_mix(b[0], tb_vec3_mix(b[1], b[2], dice_between(&dice, 0, 1)), 0.6);
        move_all(b, 3, tb_vec3_sub(x, y));
        n = tb_triangle_triangle(a, b);
        ck_assert_double_le(n.distance, allowed(8 * size));
        ck_assert_double_le(off_hull(n.a, a, 3), allowed(8 * size));
        ck_assert_double_le(off_hull(n.b, b, 3), allowed(8 * size));
    }
}
END_TEST

START_TEST(piercing_triangles_share_the_point_they_give)
{
    /* the segment from (2.7, 1.9, -31) to (2.7, 1.9, 17) goes through the face; no sides meet */
    TbVec3 a[3] = {{0, 0, 0}, {10.3, 0, 0}, {0, 9.1, 0}};
    TbVec3 b[3] = {{2.7, 1.9, -31}, {2.7, 1.9, 17}, {2.6, 2.2, 3}};
    TbNearest n = tb_triangle_triangle(a, b);

    ck_assert_double_eq(n.distance, 0);
    ck_assert(memcmp(&n.a, &n.b, sizeof n.a) == 0);
    ck_assert_double_eq_tol(n.a.z, 0, 1e-12);
    n = tb_triangle_triangle(b, a);
    ck_assert_double_eq(n.distance, 0);
    ck_assert(memcmp(&n.a, &n.b, sizeof n.a) == 0);
}
END_TEST

START_TEST(a_triangle_inside_another_of_its_plane_touches_it)
{
    TbVec3 a[3] = {{-71.3, -40.9, 5.7}, {90.1, -38.2, 5.7}, {3.3, 77.7, 5.7}};
    TbVec3 b[3] = {{0.1, 0.7, 5.7}, {4.4, 1.3, 5.7}, {2.9, 6.1, 5.7}};

    ck_assert_double_le(tb_triangle_triangle(a, b).distance, 1e-13);
    ck_assert_double_le(tb_triangle_triangle(b, a).distance, 1e-13);
}
END_TEST

/** A needle's plane is the delicate part: the face must not move when one corner wanders by 1e-9.
 */
START_TEST(distance_to_a_needle_is_that_to_its_long_side)
{
    for (int e = 3; e < 16; e++) {
        double width = pow(10, -e);
        TbVec3 t[3] = {{0.3, -12.7, 4.9}, {240.1, 53.9, -31.7}, {0, 0, 0}};
        TbVec3 p = {97.3, 81.9, 44.1};
        TbNearest line = tb_point_segment(p, t[0], t[1]);
        t[2] = tb_vec3_add(tb_vec3_mix(t[0], t[1], 0.43), tb_vec3(0, width, 0));
        /* the corner can bring the needle nearer by its width at most */
        ck_assert_double_le(tb_point_triangle(p, t).distance, line.distance + allowed(250));
        ck_assert_double_ge(tb_point_triangle(p, t).distance, line.distance - width - allowed(250));
    }
}
END_TEST

START_TEST(order_of_things_does_not_change_a_bit)
{
    Dice dice = {3};

    for (int k = 0; k < ROUNDS; k++) {
        TbVec3 p = dice_point(&dice, 97);
        TbVec3 a = dice_point(&dice, 31);
        TbVec3 b = dice_point(&dice, 31);
        TbNearest one = tb_point_segment(p, a, b);
        TbNearest two = tb_point_segment(p, b, a);
        ck_assert(memcmp(&one, &two, sizeof one) == 0);
    }
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/triangle");
    TCase *tests = tcase_create("distances");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, point_to_triangle_is_proved_nearest, 0, 4);
    tcase_add_test(tests, point_of_a_triangle_is_at_distance_zero);
    tcase_add_loop_test(tests, segments_are_proved_nearest, 0, 4);
    tcase_add_loop_test(tests, triangles_are_proved_nearest, 0, 4);
    tcase_add_test(tests, triangles_through_a_common_point_are_at_zero);
    tcase_add_test(tests, piercing_triangles_share_the_point_they_give);
    tcase_add_test(tests, a_triangle_inside_another_of_its_plane_touches_it);
    tcase_add_test(tests, distance_to_a_needle_is_that_to_its_long_side);
    tcase_add_test(tests, order_of_things_does_not_change_a_bit);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
