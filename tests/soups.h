/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file soups.h
 * @brief Closed meshes as lists of triangles, to be moved, broken and turned before they are
 * welded.
 */
#pragma once

#include "random_sweep.h"

#include "geom/lids.h"
#include "geom/solid.h"

/** Triangles of a soup, at most. */
#define SOUP_MOST 6000

typedef struct Soup {
    TbVec3 corner[3 * SOUP_MOST];
    size_t count;
} Soup;

static inline void
soup_add(Soup *soup, TbVec3 a, TbVec3 b, TbVec3 c)
{
    ck_assert_uint_lt(soup->count, SOUP_MOST);
    soup->corner[3 * soup->count] = a;
    soup->corner[3 * soup->count + 1] = b;
    soup->corner[3 * soup->count + 2] = c;
    soup->count++;
}

static inline void
soup_add_quad(Soup *soup, TbVec3 a, TbVec3 b, TbVec3 c, TbVec3 d)
{
    soup_add(soup, a, b, c);
    soup_add(soup, a, c, d);
}

/** Point of a face of a box from -half to half, u and v from 0 to 1; u x v points out. */
static inline TbVec3
soup_box_point(TbVec3 half, int face, double u, double v)
{
    double sign = face & 1 ? 1 : -1, s = sign * (2 * u - 1), t = 2 * v - 1;

    if (face / 2 == 0)
        return tb_vec3(sign * half.x, s * half.y, t * half.z);
    if (face / 2 == 1)
        return tb_vec3(t * half.x, sign * half.y, s * half.z);
    return tb_vec3(s * half.x, t * half.y, sign * half.z);
}

/** A box of n x n quads a face; `round` above 0: drawn onto an ellipsoid of the same half sizes. */
static inline void
soup_add_box(Soup *soup, TbVec3 centre, TbVec3 half, int n, bool round)
{
    for (int f = 0; f < 6; f++) {
        for (int i = 0; i < n * n; i++) {
            TbVec3 p[4];

            for (int k = 0; k < 4; k++) {
                TbVec3 unit = {1, 1, 1}, q;

                q = soup_box_point(unit, f, (i % n + (k == 1 || k == 2)) / (double)n,
                                   (i / n + (k >= 2)) / (double)n);
                if (round)
                    q = tb_vec3_unit(q);
                p[k] = tb_vec3_add(centre, tb_vec3(q.x * half.x, q.y * half.y, q.z * half.z));
            }
            soup_add_quad(soup, p[0], p[1], p[2], p[3]);
        }
    }
}

static inline TbVec3
soup_torus_point(double big, double small, double u, double v)
{
    double a = 2 * M_PI * u, b = 2 * M_PI * v, r = big + small * cos(b);

    return tb_vec3(r * cos(a), r * sin(a), small * sin(b));
}

/** A ring about z through nu x nv quads. */
static inline void
soup_add_torus(Soup *soup, double big, double small, int nu, int nv)
{
    for (int i = 0; i < nu; i++) {
        for (int k = 0; k < nv; k++) {
            double u0 = i / (double)nu, u1 = (i + 1) % nu / (double)nu;
            double v0 = k / (double)nv, v1 = (k + 1) % nv / (double)nv;

            soup_add_quad(
                soup, soup_torus_point(big, small, u0, v0), soup_torus_point(big, small, u1, v0),
                soup_torus_point(big, small, u1, v1), soup_torus_point(big, small, u0, v1));
        }
    }
}

/** Turn triangles from..to over. */
static inline void
soup_turn(Soup *soup, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++) {
        TbVec3 kept = soup->corner[3 * i + 1];

        soup->corner[3 * i + 1] = soup->corner[3 * i + 2];
        soup->corner[3 * i + 2] = kept;
    }
}

/** Take a triangle out; the last takes its place. */
static inline void
soup_drop(Soup *soup, size_t i)
{
    soup->count--;
    for (int k = 0; k < 3; k++)
        soup->corner[3 * i + (size_t)k] = soup->corner[3 * soup->count + (size_t)k];
}

static inline void
soup_move(Soup *soup, TbPose pose)
{
    for (size_t i = 0; i < 3 * soup->count; i++)
        soup->corner[i] = tb_pose_point(pose, soup->corner[i]);
}

static inline TbTree *
soup_tree(const Soup *soup)
{
    TbMeshBuilder *builder = tb_mesh_builder_new();
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;
    TbFault fault = {0};

    for (size_t i = 0; i < soup->count; i++)
        ck_assert_int_eq(tb_mesh_builder_add(builder, soup->corner + 3 * i, &fault), TB_OK);
    ck_assert_msg(tb_mesh_builder_finish(builder, NULL, NULL, &mesh, &fault) == TB_OK, "%s",
                  fault.text);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

static inline TbSolid *
soup_solid(const Soup *soup)
{
    TbSolid *solid = tb_solid_new();
    TbTree *tree = soup_tree(soup);

    ck_assert_int_eq(tb_solid_add_tree(solid, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    return solid;
}

/** By all triangles: mm to the nearest. */
static inline double
soup_distance(const Soup *soup, TbVec3 p)
{
    double least = INFINITY;

    for (size_t i = 0; i < soup->count; i++)
        least = fmin(least, tb_point_triangle(p, soup->corner + 3 * i).distance);
    return least;
}

/** By all triangles: solid angle over 4 pi, by the angles of the spherical triangle (not the
 * formula of the program): excess of l'Huilier, with the side's sign. */
static inline double
soup_winding(const Soup *soup, TbVec3 p)
{
    double sum = 0;

    for (size_t i = 0; i < soup->count; i++) {
        TbVec3 u[3];
        double a, b, c, s, t;

        for (int k = 0; k < 3; k++)
            u[k] = tb_vec3_unit(tb_vec3_sub(soup->corner[3 * i + (size_t)k], p));
        a = 2 * asin(fmin(1, tb_vec3_distance(u[1], u[2]) / 2));
        b = 2 * asin(fmin(1, tb_vec3_distance(u[2], u[0]) / 2));
        c = 2 * asin(fmin(1, tb_vec3_distance(u[0], u[1]) / 2));
        s = (a + b + c) / 2;
        t = tan(s / 2) * tan((s - a) / 2) * tan((s - b) / 2) * tan((s - c) / 2);
        t = 4 * atan(sqrt(fmax(0, t)));
        sum += tb_vec3_dot(u[0], tb_vec3_cross(u[1], u[2])) > 0 ? t : -t;
    }
    return sum / (4 * M_PI);
}
