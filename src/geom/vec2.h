/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file vec2.h
 * @brief Points and directions of a plane, by value. Millimetres.
 */
#pragma once

#include <math.h>

typedef struct TbVec2 {
    double x, y;
} TbVec2;

static inline TbVec2
tb_vec2(double x, double y)
{
    return (TbVec2){x, y};
}

static inline TbVec2
tb_vec2_add(TbVec2 a, TbVec2 b)
{
    return (TbVec2){a.x + b.x, a.y + b.y};
}

static inline TbVec2
tb_vec2_sub(TbVec2 a, TbVec2 b)
{
    return (TbVec2){a.x - b.x, a.y - b.y};
}

static inline TbVec2
tb_vec2_scale(TbVec2 a, double k)
{
    return (TbVec2){k * a.x, k * a.y};
}

static inline double
tb_vec2_dot(TbVec2 a, TbVec2 b)
{
    return a.x * b.x + a.y * b.y;
}

/** Above 0 where b lies counter-clockwise of a; twice the area of the triangle (0, a, b). */
static inline double
tb_vec2_cross(TbVec2 a, TbVec2 b)
{
    return a.x * b.y - a.y * b.x;
}

static inline double
tb_vec2_length(TbVec2 a)
{
    return sqrt(tb_vec2_dot(a, a));
}
