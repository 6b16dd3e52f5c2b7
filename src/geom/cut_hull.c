/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Silhouettes of convex parts: the hull of their points beyond a plane, and of where they pass it.
 */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/polygon.h"

typedef struct Cloud {
    TbVec2 *all;
    size_t count, room;
} Cloud;

static TbStatus
add_to_cloud(Cloud *cloud, TbVec2 p, TbFault *fault)
{
    void *all = cloud->all;

    if (tb_grow_array(&all, &cloud->room, cloud->count, sizeof p) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for a silhouette of %zu points", cloud->count);
    cloud->all = all;
    cloud->all[cloud->count++] = p;
    return TB_OK;
}

/** Adds what of a segment lies beyond the plane. */
static TbStatus
add_segment(Cloud *cloud, TbPlane plane, TbVec3 a, TbVec3 b, TbFault *fault)
{
    double from = tb_plane_height(plane, a);
    double to = tb_plane_height(plane, b);
    TbStatus status = TB_OK;

    if (from <= 0)
        status = add_to_cloud(cloud, tb_plane_project(plane, a), fault);
    if (status == TB_OK && to <= 0)
        status = add_to_cloud(cloud, tb_plane_project(plane, b), fault);
    if (status == TB_OK && (from < 0) != (to < 0) && from != to)
        status = add_to_cloud(cloud, tb_plane_project(plane, tb_vec3_mix(a, b, from / (from - to))),
                              fault);
    return status;
}

/** The cloud's hull, as a loop. */
static TbStatus
add_hull(TbCut *cut, Cloud *cloud, int role, TbFault *fault)
{
    TbVec2 *hull = tb_alloc_array(2 * cloud->count, sizeof *hull);
    size_t first = cut->point_count, count;
    TbStatus status = TB_OK;

    if (hull == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a silhouette of %zu points", cloud->count);
    count = tb_polygon_hull(cloud->all, cloud->count, hull);
    for (size_t i = 0; i < count && status == TB_OK; i++)
        status = tb_cut__point(cut, first, hull[i], fault);
    tb_free(hull);
    return status == TB_OK ? tb_cut__end(cut, first, TB_LOOP_OUTER, role, fault) : status;
}

/** Chords of a full turn within @p chord mm. */
static int
turn_count(double radius, double chord)
{
    double cosine = radius > 0 ? 1 - chord / radius : 0;

    return cosine > 0 ? (int)fmax(16, fmin(720, ceil(M_PI / acos(cosine)))) : 16;
}

static TbVec3
circle_point(const TbCircle *circle, TbVec3 x, TbVec3 y, double angle)
{
    TbVec3 p = tb_vec3_add_scaled(circle->centre, circle->radius * cos(angle), x);

    return tb_vec3_add_scaled(p, circle->radius * sin(angle), y);
}

/** Adds where a segment passes the plane. */
static TbStatus
add_passage(Cloud *cloud, TbPlane plane, TbVec3 a, TbVec3 b, TbFault *fault)
{
    double from = tb_plane_height(plane, a);
    double to = tb_plane_height(plane, b);

    if ((from < 0) == (to < 0) || from == to)
        return TB_OK;
    return add_to_cloud(cloud, tb_plane_project(plane, tb_vec3_mix(a, b, from / (from - to))),
                        fault);
}

/** A rod: its generators and the chords of its end circles, beyond the plane. */
static TbStatus
add_rod(Cloud *cloud, const TbConvex *body, TbPlane plane, double chord, TbFault *fault)
{
    const TbCircle *a = &body->circle[0];
    const TbCircle *b = &body->circle[1];
    TbVec3 helper = fabs(a->axis.x) < M_SQRT1_2 ? tb_vec3(1, 0, 0) : tb_vec3(0, 1, 0);
    TbVec3 x = tb_vec3_unit(tb_vec3_across(helper, a->axis));
    TbVec3 y = tb_vec3_cross(a->axis, x);
    int count = turn_count(fmax(a->radius, b->radius), chord);
    TbVec3 from_a = circle_point(a, x, y, 0), from_b = circle_point(b, x, y, 0);
    TbStatus status = TB_OK;

    for (int i = 0; i < count && status == TB_OK; i++) {
        double to = 2 * M_PI * (i + 1) / count;
        TbVec3 to_a = circle_point(a, x, y, to), to_b = circle_point(b, x, y, to);

        status = add_segment(cloud, plane, from_a, from_b, fault);
        if (status == TB_OK)
            status = add_passage(cloud, plane, from_a, to_a, fault);
        if (status == TB_OK)
            status = add_passage(cloud, plane, from_b, to_b, fault);
        from_a = to_a;
        from_b = to_b;
    }
    return status;
}

static TbStatus
add_corners(Cloud *cloud, const TbConvex *body, TbPlane plane, TbFault *fault)
{
    TbStatus status = TB_OK;

    /* all pairs: edges are among them, and the others add nothing outside the hull */
    for (int i = 0; i < body->points; i++)
        for (int k = i + 1; k < body->points && status == TB_OK; k++)
            status = add_segment(cloud, plane, body->point[i], body->point[k], fault);
    return status;
}

static TbStatus
add_ball(Cloud *cloud, const TbBall *ball, TbPlane plane, double chord, TbFault *fault)
{
    double height = tb_plane_height(plane, ball->centre);
    double radius2 = ball->radius * ball->radius - fmax(0, height) * fmax(0, height);
    TbVec2 centre = tb_plane_project(plane, ball->centre);
    int count = turn_count(ball->radius, chord);
    TbStatus status = TB_OK;

    for (int i = 0; i < count && status == TB_OK && radius2 > 0; i++) {
        double angle = 2 * M_PI * i / count;

        status = add_to_cloud(
            cloud,
            tb_vec2(centre.x + sqrt(radius2) * cos(angle), centre.y + sqrt(radius2) * sin(angle)),
            fault);
    }
    return status;
}

TbStatus
tb_cut__hull(TbCut *cut, const TbPart *part, TbPlane plane, double chord, TbFault *fault)
{
    const TbConvex *body = &part->pieces[0];
    Cloud cloud = {0};
    TbStatus status;

    if (part->plain.kind == TB_PLAIN_BALL)
        status = add_ball(&cloud, &part->plain.ball, plane, chord, fault);
    else if (part->plain.kind == TB_PLAIN_ROD)
        status = add_rod(&cloud, body, plane, chord, fault);
    else
        status = add_corners(&cloud, body, plane, fault);
    if (status == TB_OK)
        status = cloud.count < 3 ? TB_OK : add_hull(cut, &cloud, part->role, fault);
    tb_free(cloud.all);
    return status;
}
