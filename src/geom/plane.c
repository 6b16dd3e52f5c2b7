/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/plane.h"

#include "geom/tol.h"

#include <math.h>

static TbStatus
check_point(TbVec3 p, const char *what, TbFault *fault)
{
    double far = fmax(fabs(p.x), fmax(fabs(p.y), fabs(p.z)));

    if (!tb_vec3_is_finite(p))
        return tb_fail(fault, TB_E_RANGE, "the %s is not a number", what);
    if (far > TB_LIMIT_COORDINATE)
        return tb_fail(fault, TB_E_RANGE, "the %s has a coordinate of %.0f mm, at most %.0f mm",
                       what, far, TB_LIMIT_COORDINATE);
    return TB_OK;
}

/** What stands up on paper when nobody says. */
static TbVec3
usual_up(TbVec3 look)
{
    return fabs(look.z) > cos(TB_ANGLE_STEEP) ? tb_vec3(0, 1, 0) : tb_vec3(0, 0, 1);
}

TbStatus
tb_plane_of_sight(TbSight sight, TbPlane *plane, TbFault *fault)
{
    TbVec3 along = tb_vec3_unit(sight.look);
    TbVec3 up = tb_vec3_across(tb_vec3_unit(sight.up), along);
    TbStatus status = check_point(sight.point, "plane's point", fault);

    if (status != TB_OK)
        return status;
    if (!tb_vec3_is_finite(along) || !(tb_vec3_length(along) > 0))
        return tb_fail(fault, TB_E_DEGENERATE, "the plane's look (%g, %g, %g) has no direction",
                       sight.look.x, sight.look.y, sight.look.z);
    /* no up was given, or it points at the reader */
    if (!(tb_vec3_length(up) > sin(TB_ANGLE_STEEP) / 2))
        up = tb_vec3_across(usual_up(along), along);
    up = tb_vec3_unit(up);
    *plane = tb_plane_of(sight.point, tb_vec3_cross(along, up), up);
    return TB_OK;
}

TbSight
tb_sight_onto(TbVec3 point, TbVec3 normal)
{
    TbVec3 n = tb_vec3_unit(normal);
    double x = fabs(n.x);
    double y = fabs(n.y);
    double z = fabs(n.z);
    /* the reader of the nearest usual view: at -Y, at +Z, at -X; of equals the first */
    double sense = y >= z && y >= x ? n.y : z >= x ? -n.z : n.x;
    TbVec3 look = sense < 0 ? tb_vec3_neg(n) : n;

    return (TbSight){point, look, usual_up(look)};
}

TbStatus
tb_sight_through(TbVec3 a, TbVec3 b, TbVec3 c, TbSight *sight, TbFault *fault)
{
    TbVec3 normal = tb_vec3_cross(tb_vec3_sub(b, a), tb_vec3_sub(c, a));
    double longest =
        fmax(tb_vec3_distance(a, b), fmax(tb_vec3_distance(b, c), tb_vec3_distance(c, a)));
    double off = longest > 0 ? tb_vec3_length(normal) / longest : 0;
    TbStatus status = check_point(a, "first point", fault);

    if (status == TB_OK)
        status = check_point(b, "second point", fault);
    if (status == TB_OK)
        status = check_point(c, "third point", fault);
    if (status != TB_OK)
        return status;
    if (off < TB_PLANE_LEAST)
        return tb_fail(fault, TB_E_DEGENERATE,
                       "the three points lie on one line within %.3f mm, a plane needs %.1f mm",
                       off, TB_PLANE_LEAST);
    *sight = tb_sight_onto(a, normal);
    return TB_OK;
}

TbStatus
tb_sight_square(TbVec3 a, TbVec3 b, TbVec3 at, TbSight *sight, TbFault *fault)
{
    TbStatus status = check_point(a, "line's start", fault);

    if (status == TB_OK)
        status = check_point(b, "line's end", fault);
    if (status == TB_OK)
        status = check_point(at, "point", fault);
    if (status != TB_OK)
        return status;
    if (tb_vec3_distance(a, b) < TB_PLANE_LEAST)
        return tb_fail(fault, TB_E_DEGENERATE,
                       "the line is %.3f mm long, a direction needs %.1f mm",
                       tb_vec3_distance(a, b), TB_PLANE_LEAST);
    *sight = tb_sight_onto(at, tb_vec3_sub(b, a));
    return TB_OK;
}
