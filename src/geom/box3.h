/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file box3.h
 * @brief Boxes along the axes, by value. Millimetres.
 *
 * A box is closed. An empty box has low above high in every axis; union with it changes nothing;
 * its distance to anything is infinite.
 */
#pragma once

#include "geom/vec3.h"

typedef struct TbBox3 {
    TbVec3 low, high;
} TbBox3;

static inline TbBox3
tb_box3_empty(void)
{
    return (TbBox3){{INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};
}

static inline bool
tb_box3_is_empty(TbBox3 b)
{
    return !(b.low.x <= b.high.x && b.low.y <= b.high.y && b.low.z <= b.high.z);
}

static inline TbBox3
tb_box3_with_point(TbBox3 b, TbVec3 p)
{
    return (TbBox3){{fmin(b.low.x, p.x), fmin(b.low.y, p.y), fmin(b.low.z, p.z)},
                    {fmax(b.high.x, p.x), fmax(b.high.y, p.y), fmax(b.high.z, p.z)}};
}

static inline TbBox3
tb_box3_union(TbBox3 a, TbBox3 b)
{
    return (TbBox3){{fmin(a.low.x, b.low.x), fmin(a.low.y, b.low.y), fmin(a.low.z, b.low.z)},
                    {fmax(a.high.x, b.high.x), fmax(a.high.y, b.high.y), fmax(a.high.z, b.high.z)}};
}

/** Wider by r on all six sides; an empty box stays empty. */
static inline TbBox3
tb_box3_grown(TbBox3 b, double r)
{
    return (TbBox3){{b.low.x - r, b.low.y - r, b.low.z - r},
                    {b.high.x + r, b.high.y + r, b.high.z + r}};
}

static inline TbVec3
tb_box3_centre(TbBox3 b)
{
    return tb_vec3_mix(b.low, b.high, 0.5);
}

/** Length of the diagonal; 0 for an empty box. */
static inline double
tb_box3_diagonal(TbBox3 b)
{
    return tb_box3_is_empty(b) ? 0 : tb_vec3_distance(b.low, b.high);
}

/** Squared distance of a point to the box, 0 inside. */
static inline double
tb_box3_point_distance2(TbBox3 b, TbVec3 p)
{
    double x = fmax(0, fmax(b.low.x - p.x, p.x - b.high.x));
    double y = fmax(0, fmax(b.low.y - p.y, p.y - b.high.y));
    double z = fmax(0, fmax(b.low.z - p.z, p.z - b.high.z));
    return x * x + y * y + z * z;
}

/** Squared distance of two boxes, 0 where they meet. */
static inline double
tb_box3_distance2(TbBox3 a, TbBox3 b)
{
    double x = fmax(0, fmax(a.low.x - b.high.x, b.low.x - a.high.x));
    double y = fmax(0, fmax(a.low.y - b.high.y, b.low.y - a.high.y));
    double z = fmax(0, fmax(a.low.z - b.high.z, b.low.z - a.high.z));
    return x * x + y * y + z * z;
}
