/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/frame.h"

#include "base/fault.h"
#include "geom/tol.h"

/** cos 179 degrees: tangents that oppose each other have no smallest rotation. */
#define COS_OPPOSED (-0.99984769515639124)

/** h made unit and square to t, w from both. */
static TbFrame
squared(TbVec3 t, TbVec3 h)
{
    TbFrame f;

    f.t = t;
    f.h = tb_vec3_unit(tb_vec3_across(h, t));
    f.w = tb_vec3_cross(t, f.h);
    return f;
}

TbFrame
tb_frame_start(TbVec3 tangent, const TbVec3 *up)
{
    TbVec3 across;

    if (up != NULL) {
        across = tb_vec3_across(tb_vec3_unit(*up), tangent);
        if (tb_vec3_length(across) > TB_TOL_PLACE)
            return squared(tangent, across);
    }
    /* nearly vertical tangent: its own part across Z would point anywhere */
    if (tb_vec3_length(tb_vec3(tangent.x, tangent.y, 0)) <= sin(TB_ANGLE_STEEP))
        return squared(tangent, tb_vec3(-1, 0, 0));
    return squared(tangent, tb_vec3(0, 0, 1));
}

/** Mirror image of v in the plane square to axis; axis2 is the axis' squared length. */
static TbVec3
mirrored(TbVec3 v, TbVec3 axis, double axis2)
{
    return tb_vec3_add_scaled(v, -2 * tb_vec3_dot(axis, v) / axis2, axis);
}

TbFrame
tb_frame_carry(TbFrame from, TbVec3 p0, TbVec3 p1, TbVec3 tangent)
{
    TbVec3 step = tb_vec3_sub(p1, p0);
    double step2 = tb_vec3_length2(step);
    TbVec3 h, t, gap;
    double gap2;

    if (!(step2 > 0)) /* a step too short to have a direction: no mirror */
        return tb_frame_swing(from, tangent);
    h = mirrored(from.h, step, step2);
    t = mirrored(from.t, step, step2);
    gap = tb_vec3_sub(tangent, t);
    gap2 = tb_vec3_length2(gap);
    if (gap2 > 0)
        h = mirrored(h, gap, gap2);
    return squared(tangent, h);
}

TbFrame
tb_frame_swing(TbFrame from, TbVec3 tangent)
{
    double cosine = tb_vec3_dot(from.t, tangent);
    TbVec3 sum = tb_vec3_add(from.t, tangent);
    double k;

    TB_ASSERT(cosine > COS_OPPOSED);
    k = -tb_vec3_dot(from.h, tangent) / (1 + cosine);
    return squared(tangent, tb_vec3_add_scaled(from.h, k, sum));
}

TbFrame
tb_frame_turned(TbFrame f, double angle)
{
    double c = cos(angle), s = sin(angle);
    TbFrame out;

    out.t = f.t;
    out.h = tb_vec3_add_scaled(tb_vec3_scale(f.h, c), s, f.w);
    out.w = tb_vec3_add_scaled(tb_vec3_scale(f.w, c), -s, f.h);
    return out;
}
