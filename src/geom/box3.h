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

/** The lower one, the first unless the second is lower: one instruction, unlike fmin(). */
static inline double
tb_box3__lower(double a, double b)
{
    return b < a ? b : a;
}

/** The higher one, the first unless the second is higher. */
static inline double
tb_box3__higher(double a, double b)
{
    return b > a ? b : a;
}

/** A coordinate that is not a number changes nothing. */
static inline TbBox3
tb_box3_with_point(TbBox3 b, TbVec3 p)
{
    return (TbBox3){
        {tb_box3__lower(b.low.x, p.x), tb_box3__lower(b.low.y, p.y), tb_box3__lower(b.low.z, p.z)},
        {tb_box3__higher(b.high.x, p.x), tb_box3__higher(b.high.y, p.y),
         tb_box3__higher(b.high.z, p.z)}};
}

static inline TbBox3
tb_box3_union(TbBox3 a, TbBox3 b)
{
    return (TbBox3){{tb_box3__lower(a.low.x, b.low.x), tb_box3__lower(a.low.y, b.low.y),
                     tb_box3__lower(a.low.z, b.low.z)},
                    {tb_box3__higher(a.high.x, b.high.x), tb_box3__higher(a.high.y, b.high.y),
                     tb_box3__higher(a.high.z, b.high.z)}};
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

/** Of two gaps between intervals, the one that is there; 0 where they meet. */
static inline double
tb_box3__gap(double below, double above)
{
    return tb_box3__higher(0, tb_box3__higher(below, above));
}

/** Squared distance of a point to the box, 0 inside. */
static inline double
tb_box3_point_distance2(TbBox3 b, TbVec3 p)
{
    double x = tb_box3__gap(b.low.x - p.x, p.x - b.high.x);
    double y = tb_box3__gap(b.low.y - p.y, p.y - b.high.y);
    double z = tb_box3__gap(b.low.z - p.z, p.z - b.high.z);
    return x * x + y * y + z * z;
}

/** Squared distance of two boxes, 0 where they meet. */
static inline double
tb_box3_distance2(TbBox3 a, TbBox3 b)
{
    double x = tb_box3__gap(a.low.x - b.high.x, b.low.x - a.high.x);
    double y = tb_box3__gap(a.low.y - b.high.y, b.low.y - a.high.y);
    double z = tb_box3__gap(a.low.z - b.high.z, b.low.z - a.high.z);
    return x * x + y * y + z * z;
}

/** How far a box reaches along a direction, mm for a unit one. */
static inline double
tb_box3_reach(TbBox3 b, TbVec3 d)
{
    return (d.x > 0 ? b.high.x : b.low.x) * d.x + (d.y > 0 ? b.high.y : b.low.y) * d.y +
           (d.z > 0 ? b.high.z : b.low.z) * d.z;
}
