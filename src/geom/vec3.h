/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file vec3.h
 * @brief Points and directions in space, by value. Millimetres; vehicle axes unless said.
 *
 * The unit vector of a vector whose squared length underflows is the zero vector, by decision:
 * a caller that cannot go on without a direction asks tb_vec3_length() first.
 */
#pragma once

#include <math.h>
#include <stdbool.h>

typedef struct TbVec3 {
    double x, y, z;
} TbVec3;

static inline TbVec3
tb_vec3(double x, double y, double z)
{
    return (TbVec3){x, y, z};
}

static inline TbVec3
tb_vec3_add(TbVec3 a, TbVec3 b)
{
    return (TbVec3){a.x + b.x, a.y + b.y, a.z + b.z};
}

static inline TbVec3
tb_vec3_sub(TbVec3 a, TbVec3 b)
{
    return (TbVec3){a.x - b.x, a.y - b.y, a.z - b.z};
}

static inline TbVec3
tb_vec3_scale(TbVec3 a, double k)
{
    return (TbVec3){k * a.x, k * a.y, k * a.z};
}

static inline TbVec3
tb_vec3_neg(TbVec3 a)
{
    return (TbVec3){-a.x, -a.y, -a.z};
}

/** a + k b. */
static inline TbVec3
tb_vec3_add_scaled(TbVec3 a, double k, TbVec3 b)
{
    return (TbVec3){a.x + k * b.x, a.y + k * b.y, a.z + k * b.z};
}

/** a at k = 0, b at k = 1. */
static inline TbVec3
tb_vec3_mix(TbVec3 a, TbVec3 b, double k)
{
    return (TbVec3){a.x + k * (b.x - a.x), a.y + k * (b.y - a.y), a.z + k * (b.z - a.z)};
}

static inline double
tb_vec3_dot(TbVec3 a, TbVec3 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static inline TbVec3
tb_vec3_cross(TbVec3 a, TbVec3 b)
{
    return (TbVec3){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

static inline double
tb_vec3_length2(TbVec3 a)
{
    return tb_vec3_dot(a, a);
}

static inline double
tb_vec3_length(TbVec3 a)
{
    return sqrt(tb_vec3_dot(a, a));
}

static inline double
tb_vec3_distance(TbVec3 a, TbVec3 b)
{
    return tb_vec3_length(tb_vec3_sub(a, b));
}

/** Unit vector; the zero vector when the squared length underflows. */
static inline TbVec3
tb_vec3_unit(TbVec3 a)
{
    double length = tb_vec3_length(a);
    return length > 0 ? tb_vec3_scale(a, 1 / length) : (TbVec3){0, 0, 0};
}

/** The part of a that is square to the unit vector t. */
static inline TbVec3
tb_vec3_across(TbVec3 a, TbVec3 t)
{
    return tb_vec3_add_scaled(a, -tb_vec3_dot(a, t), t);
}

static inline bool
tb_vec3_is_finite(TbVec3 a)
{
    return isfinite(a.x) && isfinite(a.y) && isfinite(a.z);
}
