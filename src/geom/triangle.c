/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Every answer here is the distance of two points that were made as mixtures of the given corners,
 * so it can never be too small by more than rounding. A triangle is looked at in a frame of its
 * own: u along its longest side, v square to it in its plane. For a needle the direction v is
 * inexact, but by no more than rounding times length over width; the distance suffers only in
 * second order, and the edges, which are always tried, are exact.
 */
#include "geom/triangle.h"

#include "geom/tol.h"

/** A triangle in its own frame: corners at (0, 0), (length, 0) and (along, height). */
typedef struct Face {
    TbVec3 a, ab, ac; /**< first corner of the longest side, that side, and the way to the third */
    TbVec3 u, v, n;
    double length, along, height; /**< height 0: no area, the face is its edges */
} Face;

static Face
face_of(const TbVec3 t[3])
{
    double side[3];
    int k = 0;
    Face f;
    TbVec3 across;

    for (int i = 0; i < 3; i++)
        side[i] = tb_vec3_distance(t[i], t[(i + 1) % 3]);
    for (int i = 1; i < 3; i++)
        if (side[i] > side[k])
            k = i;
    f.a = t[k];
    f.ab = tb_vec3_sub(t[(k + 1) % 3], f.a);
    f.ac = tb_vec3_sub(t[(k + 2) % 3], f.a);
    f.length = side[k];
    f.u = tb_vec3_unit(f.ab);
    f.along = tb_vec3_dot(f.ac, f.u);
    /* of a needle little is left after the first time, and that not square to u */
    across = tb_vec3_across(tb_vec3_across(f.ac, f.u), f.u);
    f.height = tb_vec3_length(across);
    f.v = tb_vec3_unit(across);
    f.n = tb_vec3_cross(f.u, f.v);
    return f;
}

/** Whether (x, y) of the face's frame is in the triangle; its shares of the second and third
 * corner. */
static bool
face_holds(const Face *f, double x, double y, double *second, double *third)
{
    if (!(f->height > 0) || !(f->length > 0))
        return false;
    *third = y / f->height;
    *second = (x - *third * f->along) / f->length;
    return *third >= 0 && *second >= 0 && *second + *third <= 1;
}

static TbNearest
nearest_of(TbVec3 a, TbVec3 b)
{
    return (TbNearest){tb_vec3_distance(a, b), a, b};
}

static TbNearest
swapped(TbNearest n)
{
    return (TbNearest){n.distance, n.b, n.a};
}

static void
keep_nearer(TbNearest *best, TbNearest other)
{
    if (other.distance < best->distance)
        *best = other;
}

/** An order of points, so that both users of a shared edge compute the same bits. */
static bool
comes_before(TbVec3 a, TbVec3 b)
{
    if (a.x < b.x || a.x > b.x)
        return a.x < b.x;
    if (a.y < b.y || a.y > b.y)
        return a.y < b.y;
    return a.z < b.z;
}

TbNearest
tb_point_segment(TbVec3 p, TbVec3 q0, TbVec3 q1)
{
    TbVec3 from = comes_before(q1, q0) ? q1 : q0;
    TbVec3 to = comes_before(q1, q0) ? q0 : q1;
    TbVec3 d = tb_vec3_sub(to, from);
    double full = tb_vec3_length2(d);
    double way = tb_vec3_dot(tb_vec3_sub(p, from), d);

    if (!(way > 0) || !(full > 0))
        return nearest_of(p, from);
    if (way >= full)
        return nearest_of(p, to);
    return nearest_of(p, tb_vec3_add_scaled(from, way / full, d));
}

/**
 * Nearest points of two lines where they fall inside both segments; an infinite distance where
 * not, or where the lines are parallel: the ends of the segments decide then.
 */
static TbNearest
inner_segment_segment(TbVec3 p0, TbVec3 p1, TbVec3 q0, TbVec3 q1)
{
    TbVec3 d = tb_vec3_sub(p1, p0);
    TbVec3 e = tb_vec3_sub(q1, q0);
    TbVec3 r = tb_vec3_sub(q0, p0);
    TbVec3 n = tb_vec3_cross(d, e);
    double n2 = tb_vec3_length2(n);
    double s, t;
    TbNearest on_q;

    if (!(n2 > 0))
        return (TbNearest){INFINITY, p0, q0};
    s = tb_vec3_dot(tb_vec3_cross(r, e), n) / n2;
    t = tb_vec3_dot(tb_vec3_cross(r, d), n) / n2;
    if (!(s >= 0 && s <= 1 && t >= 0 && t <= 1))
        return (TbNearest){INFINITY, p0, q0};
    /* once more to and fro: takes away what near-parallel lines lost in s */
    on_q = tb_point_segment(tb_vec3_add_scaled(p0, s, d), q0, q1);
    return swapped(tb_point_segment(on_q.b, p0, p1));
}

TbNearest
tb_segment_segment(TbVec3 p0, TbVec3 p1, TbVec3 q0, TbVec3 q1)
{
    TbNearest best = tb_point_segment(p0, q0, q1);

    keep_nearer(&best, tb_point_segment(p1, q0, q1));
    keep_nearer(&best, swapped(tb_point_segment(q0, p0, p1)));
    keep_nearer(&best, swapped(tb_point_segment(q1, p0, p1)));
    keep_nearer(&best, inner_segment_segment(p0, p1, q0, q1));
    return best;
}

static TbNearest
point_face(TbVec3 p, const TbVec3 t[3], const Face *f)
{
    TbVec3 w = tb_vec3_sub(p, f->a);
    double second, third;
    TbNearest best = tb_point_segment(p, t[0], t[1]);

    keep_nearer(&best, tb_point_segment(p, t[1], t[2]));
    keep_nearer(&best, tb_point_segment(p, t[2], t[0]));
    if (face_holds(f, tb_vec3_dot(w, f->u), tb_vec3_dot(w, f->v), &second, &third)) {
        TbVec3 foot = tb_vec3_add_scaled(f->a, second, f->ab);
        keep_nearer(&best, nearest_of(p, tb_vec3_add_scaled(foot, third, f->ac)));
    }
    return best;
}

TbNearest
tb_point_triangle(TbVec3 p, const TbVec3 t[3])
{
    Face f = face_of(t);

    return point_face(p, t, &f);
}

/** Where the segment p0-p1 goes through the face; an infinite distance where it does not. */
static TbNearest
pierce(TbVec3 p0, TbVec3 p1, const TbVec3 t[3], const Face *f)
{
    double h0 = tb_vec3_dot(tb_vec3_sub(p0, f->a), f->n);
    double h1 = tb_vec3_dot(tb_vec3_sub(p1, f->a), f->n);
    double second, third;
    TbVec3 x, w;
    TbNearest at;

    if (!(f->height > 0) || (h0 > 0) == (h1 > 0))
        return (TbNearest){INFINITY, p0, f->a};
    x = tb_vec3_mix(p0, p1, h0 / (h0 - h1));
    w = tb_vec3_sub(x, f->a);
    if (!face_holds(f, tb_vec3_dot(w, f->u), tb_vec3_dot(w, f->v), &second, &third))
        return (TbNearest){INFINITY, p0, f->a};
    at = point_face(x, t, f);
    /* x lies in the face but for rounding: say so */
    return at.distance <= TB_TOL_ROUND ? (TbNearest){0, x, x} : at;
}

TbNearest
tb_triangle_triangle(const TbVec3 a[3], const TbVec3 b[3])
{
    Face fa = face_of(a);
    Face fb = face_of(b);
    TbNearest best = {INFINITY, a[0], b[0]};

    for (int i = 0; i < 3; i++) {
        keep_nearer(&best, pierce(a[i], a[(i + 1) % 3], b, &fb));
        keep_nearer(&best, swapped(pierce(b[i], b[(i + 1) % 3], a, &fa)));
        if (!(best.distance > 0))
            return best;
    }
    for (int i = 0; i < 3; i++) {
        keep_nearer(&best, point_face(a[i], b, &fb));
        keep_nearer(&best, swapped(point_face(b[i], a, &fa)));
    }
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            keep_nearer(&best, inner_segment_segment(a[i], a[(i + 1) % 3], b[j], b[(j + 1) % 3]));
    return best;
}
