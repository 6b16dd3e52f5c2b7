/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree_points_faces.h
 * @brief Eight triangles of a leaf in floats, and how far a point is from them, about; part of the
 *        kernel of tree_points_kernel.h.
 *
 * How much the distance may be off, `allow`. u = 2^-24; M bounds the coordinates of the triangle
 * and of the points about a local origin. They are taken in doubles and then rounded: points and
 * triangle move by at most sqrt(3) u M each, 3.5 u M in all. What follows is of the rounded ones;
 * w = p - b, and every difference of two points is at most 2 sqrt(3) M < 3.5 M long.
 *
 * A triangle is laid into its plane: b at the origin, its longest side bc along u, a above it, in a
 * frame u, v = n x u, n. Distances do not change when points move by less, so the errors add:
 * - n is the unit vector of ab x ac, a the corner opposite the longest side. A component of the
 *   product errs by at most 4 u times its terms, all together by 4 sqrt(2) u |ab| |ac|; with
 *   kappa = |ab| |ac| / |ab x ac| that turns n by 5.7 kappa u, and its length errs by 4 u. u errs
 *   by 5 u, so v by (5.7 kappa + 15) u.
 * - The point's coordinates x, y, h: 8 u, (5.7 kappa + 18) u and (5.7 kappa + 7) u times |w|, in
 * all (8.1 kappa + 33) u |w|.
 * - The corner a: (8.1 kappa + 29) u times |ab|, as it is found the same way; c: 3 u |bc|.
 * - Sides as direction and length: 6 u times their length. Offsets and overruns in the plane, and
 *   which side of a line the foot is on: 10 u |w|; a foot that is wrongly said to be inside lies
 *   that near the edge. Squares, sums: 3 u times the distance.
 * - w and bc as differences: 7 u M.
 * Together 3.5 u M (16.2 kappa + 84) + 10.5 u M < (57 kappa + 305) u M < 256 (1 + kappa) u M, which
 * is ALLOW (1 + kappa) M, for kappa >= 1, and kappa is never less. The same holds for a distance
 * that comes out too small.
 *
 * Triangles with kappa above FLATTEST (an angle above 178 degrees) or with next to no area have no
 * plane worth the name. They are laid down as their longest side, which is no further from any
 * point of theirs than a is: |ab x ac| / |bc| <= |ab| |ac| / (31 |bc|) <= |bc| / 120, as both sides
 * together are hardly longer than bc; and where |ab x ac|^2 is below LEAST_NORMAL2 at a small
 * kappa, the shorter side, whose square is below 33e-15 mm^2.
 *
 * TB_TOL_ROUND for what the doubles err that decide is part of `allow`.
 */
#pragma once

#include "geom/lanes.h"
#include "geom/tol.h"

#include <float.h>

/** No unit: 256 * 2^-24, see above. */
#define ALLOW 0x1p-16f

/** No unit: the largest kappa of a triangle that is laid into its plane. */
#define FLATTEST 32.0f

/** mm^4: a squared normal below this has lost its digits, or is none. */
#define LEAST_NORMAL2 1e-30f

/** mm^2: a squared side below this is a point. */
#define LEAST_EDGE2 1e-30f

/** No unit, and mm: height of a triangle that is laid down as its longest side, see above. */
#define FLAT_SHARE 0x1p-6f
#define FLAT_LEAST 2e-7f

/** No unit: 512 * 2^-24, of squared distances from a tin's axis, see tins. */
#define TIN_SLACK 0x1p-15f

/**
 * Eight triangles about a local origin, each in a frame of its own: b at its origin, c on the axis
 * u at `base`, a at v >= 0; the sides b to a and c to a by their directions (along u and v) and
 * lengths.
 */
typedef struct Faces {
    TbP8 b, u, v, n;
    TbF8 base, bu, bv, side_b, cu, cv, side_c;
    TbF8 allow; /**< mm: how much the distance found may be off */
} Faces;

/**
 * A tin about a leaf's triangles, all lanes alike: a leaf is often flat, but seldom its box.
 *
 * With n the axis, f(x) = |x - centre|^2 - (n . (x - centre))^2 and |x|^2 = f(x) + (n . x)^2 hold
 * whatever length n has; its rounded length of 1 + 4 u makes f up to 100 u M^2 too small a square.
 * Terms of both squares err by 160 u M^2, so TIN_SLACK = 512 u covers f; what is linear errs by
 * 14 u M, and ALLOW covers that.
 */
typedef struct Tin {
    TbP8 centre, axis;  /**< the axis is unit, or 0 where there is none */
    TbF8 half, radius;  /**< mm: half its height, and about the axis */
    TbF8 slack2, allow; /**< mm^2, mm: how much what is computed may be off */
} Tin;

TB_LANES_INLINE TbP8
p8_select(TbI8 mask, TbP8 a, TbP8 b)
{
    return (TbP8){tb_f8_select(mask, a.x, b.x), tb_f8_select(mask, a.y, b.y),
                  tb_f8_select(mask, a.z, b.z)};
}

TB_LANES_INLINE TbP8
p8_scale(TbF8 k, TbP8 a)
{
    return (TbP8){k * a.x, k * a.y, k * a.z};
}

TB_LANES_INLINE TbF8
f8_abs(TbF8 x)
{
    return tb_f8_max(x, -x);
}

TB_LANES_INLINE TbF8
p8_largest(TbP8 a)
{
    return tb_f8_max(f8_abs(a.x), tb_f8_max(f8_abs(a.y), f8_abs(a.z)));
}

/** The corner opposite the longest side becomes the first. */
TB_LANES_INLINE void
turn(TbP8 corner[3])
{
    TbP8 e[3];
    TbF8 l[3];
    TbI8 first, second;
    TbP8 a = corner[0], b = corner[1], c = corner[2];

    for (int k = 0; k < 3; k++) {
        e[k] = tb_p8_sub(corner[(k + 2) % 3], corner[(k + 1) % 3]);
        l[k] = tb_p8_dot(e[k], e[k]);
    }
    first = (l[0] >= l[1]) & (l[0] >= l[2]);
    second = l[1] >= l[2];
    corner[0] = p8_select(first, a, p8_select(second, b, c));
    corner[1] = p8_select(first, b, p8_select(second, c, a));
    corner[2] = p8_select(first, c, p8_select(second, a, b));
}

TB_LANES_INLINE TbF8
f8_sum(TbF8 x)
{
    x += __builtin_shuffle(x, (TbI8){4, 5, 6, 7, 0, 1, 2, 3});
    x += __builtin_shuffle(x, (TbI8){2, 3, 0, 1, 6, 7, 4, 5});
    return x + __builtin_shuffle(x, (TbI8){1, 0, 3, 2, 5, 4, 7, 6});
}

TB_LANES_INLINE TbF8
f8_largest(TbF8 x)
{
    x = tb_f8_max(x, __builtin_shuffle(x, (TbI8){4, 5, 6, 7, 0, 1, 2, 3}));
    x = tb_f8_max(x, __builtin_shuffle(x, (TbI8){2, 3, 0, 1, 6, 7, 4, 5}));
    return tb_f8_max(x, __builtin_shuffle(x, (TbI8){1, 0, 3, 2, 5, 4, 7, 6}));
}

TB_LANES_INLINE TbF8
f8_least(TbF8 x)
{
    return -f8_largest(-x);
}

TB_LANES_INLINE TbP8
p8_sum(TbP8 a)
{
    return (TbP8){f8_sum(a.x), f8_sum(a.y), f8_sum(a.z)};
}

/** @param normal of the triangles, m their largest coordinate */
TB_LANES_INLINE Tin
tin_of_corners(const TbP8 corner[3], TbP8 normal, TbF8 m)
{
    TbF8 zero = {0}, half = {0}, radius2 = {0}, length2;
    TbP8 first;
    TbI8 turned;
    Tin tin;

    tin.centre = p8_sum((TbP8){corner[0].x + corner[1].x + corner[2].x,
                               corner[0].y + corner[1].y + corner[2].y,
                               corner[0].z + corner[1].z + corner[2].z});
    tin.centre = p8_scale(tb_f8(1.0f / 24), tin.centre);
    /* both sides of a sheet may be in a leaf: all normals to one side of the first one's plane */
    first = (TbP8){tb_f8(normal.x[0]), tb_f8(normal.y[0]), tb_f8(normal.z[0])};
    turned = tb_p8_dot(normal, first) < 0.0f;
    normal = p8_sum(p8_select(turned, p8_scale(tb_f8(-1), normal), normal));
    length2 = tb_p8_dot(normal, normal);
    tin.axis =
        p8_scale(tb_f8_select(length2 > LEAST_NORMAL2,
                              1.0f / tb_f8_sqrt(tb_f8_max(length2, tb_f8(LEAST_NORMAL2))), zero),
                 normal);
    m = f8_largest(m);
    tin.allow = ALLOW * m + (float)TB_TOL_ROUND;
    tin.slack2 = TIN_SLACK * m * m;
    for (int k = 0; k < 3; k++) {
        TbP8 v = tb_p8_sub(corner[k], tin.centre);
        TbF8 t = tb_p8_dot(v, tin.axis);
        half = tb_f8_max(half, f8_abs(t));
        radius2 = tb_f8_max(radius2, tb_p8_dot(v, v) - t * t);
    }
    tin.half = f8_largest(half);
    tin.radius = tb_f8_sqrt(f8_largest(radius2) + tin.slack2);
    return tin;
}

/** 1 / sqrt(x) where x is above least, and 0 elsewhere. */
TB_LANES_INLINE TbF8
f8_per_root(TbF8 x, TbI8 use)
{
    TbF8 one = tb_f8(1);

    return tb_f8_select(use, one / tb_f8_sqrt(tb_f8_select(use, x, one)), tb_f8(0));
}

/** Some unit vector that is square to a unit vector. */
TB_LANES_INLINE TbP8
p8_square_to(TbP8 u)
{
    TbF8 zero = {0};
    TbI8 is_x = f8_abs(u.x) > 0.8f;
    TbP8 v = p8_select(is_x, (TbP8){-u.z, zero, u.x}, (TbP8){zero, u.z, -u.y});

    return p8_scale(1.0f / tb_f8_sqrt(tb_p8_dot(v, v)), v);
}

/**
 * @param tin  filled too, unless NULL
 * @param reach mm: largest coordinate of a point about the origin
 */
static inline void
faces_of_corners(Faces *f, Tin *tin, TbP8 corner[3], float reach)
{
    TbF8 m = tb_f8(reach), one = tb_f8(1), zero = {0}, ab2, ac2, bc2, n2, per, skew2, x, y;
    TbP8 n, ab, ac, bc;
    TbI8 has_base, has_plane, has_side;

    for (int k = 0; k < 3; k++)
        m = tb_f8_max(m, p8_largest(corner[k]));
    turn(corner);
    ab = tb_p8_sub(corner[1], corner[0]);
    ac = tb_p8_sub(corner[2], corner[0]);
    bc = tb_p8_sub(corner[2], corner[1]);
    ab2 = tb_p8_dot(ab, ab);
    ac2 = tb_p8_dot(ac, ac);
    bc2 = tb_p8_dot(bc, bc);
    n = tb_p8_cross(ab, ac);
    n2 = tb_p8_dot(n, n);
    if (tin != NULL)
        *tin = tin_of_corners(corner, n, m);
    has_base = bc2 > LEAST_EDGE2;
    has_plane = (n2 > LEAST_NORMAL2) & (ab2 * ac2 <= FLATTEST * FLATTEST * n2);
    f->b = corner[1];
    per = f8_per_root(bc2, has_base);
    f->base = bc2 * per;
    f->u = p8_select(has_base, p8_scale(per, bc), (TbP8){one, zero, zero});
    f->n = p8_scale(f8_per_root(n2, has_plane), n);
    f->v = p8_select(has_plane, tb_p8_cross(f->n, f->u), p8_square_to(f->u));
    f->n = p8_select(has_plane, f->n, tb_p8_cross(f->u, f->v));
    skew2 = tb_f8_select(has_plane, ab2 * ac2 / tb_f8_select(has_plane, n2, one), one);
    f->allow = ALLOW * m * (one + tb_f8_sqrt(skew2)) + (float)TB_TOL_ROUND;
    f->allow += tb_f8_select(has_plane, zero, FLAT_SHARE * f->base + FLAT_LEAST);
    /* where a is: on the base where there is no plane */
    x = -tb_p8_dot(ab, f->u);
    y = tb_f8_select(has_plane, -tb_p8_dot(ab, f->v), zero);
    x = tb_f8_min(tb_f8_max(x, zero), f->base);
    ab2 = x * x + y * y;
    has_side = ab2 > LEAST_EDGE2;
    per = f8_per_root(ab2, has_side);
    f->side_b = ab2 * per;
    f->bu = tb_f8_select(has_side, x * per, one);
    f->bv = y * per;
    x = f->base - x;
    ac2 = x * x + y * y;
    has_side = ac2 > LEAST_EDGE2;
    per = f8_per_root(ac2, has_side);
    f->side_c = ac2 * per;
    f->cu = tb_f8_select(has_side, x * per, one);
    f->cv = y * per;
}

/** How far t lies outside 0 to length. */
TB_LANES_INLINE TbF8
past_ends(TbF8 t, TbF8 length)
{
    return tb_f8_max(tb_f8_max(-t, t - length), tb_f8(0));
}

/** Squared distances of one point to eight triangles. */
TB_LANES_INLINE TbF8
faces_distance2(const Faces *f, TbP8 p)
{
    TbP8 w = tb_p8_sub(p, f->b);
    TbF8 x = tb_p8_dot(w, f->u), y = tb_p8_dot(w, f->v), h = tb_p8_dot(w, f->n);
    TbF8 back = x - f->base;
    TbF8 past = past_ends(x, f->base);
    TbF8 off_b = f->bu * y - f->bv * x, past_b = past_ends(f->bu * x + f->bv * y, f->side_b);
    TbF8 off_c = f->cu * y + f->cv * back, past_c = past_ends(f->cv * y - f->cu * back, f->side_c);
    TbF8 off = tb_f8_max(tb_f8_max(off_b, off_c), -y);
    TbF8 flat = tb_f8_min(off_b * off_b + past_b * past_b, off_c * off_c + past_c * past_c);

    flat = tb_f8_min(flat, y * y + past * past);
    return h * h + tb_f8_select(off > 0.0f, flat, tb_f8(0));
}
