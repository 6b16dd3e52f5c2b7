/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/pose.h"

TbPose
tb_pose_identity(void)
{
    return (TbPose){{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0, 0, 0}, 1};
}

TbPose
tb_pose_shift(TbVec3 by)
{
    TbPose pose = tb_pose_identity();

    pose.origin = by;
    return pose;
}

/** Rodrigues: the part along the axis stays, the rest turns. */
static TbVec3
turned(TbVec3 v, TbVec3 axis, double c, double s)
{
    TbVec3 along = tb_vec3_scale(axis, tb_vec3_dot(axis, v));
    TbVec3 across = tb_vec3_sub(v, along);
    TbVec3 square = tb_vec3_cross(axis, across);

    return tb_vec3_add(along, tb_vec3_add(tb_vec3_scale(across, c), tb_vec3_scale(square, s)));
}

TbPose
tb_pose_turn(TbVec3 point, TbVec3 direction, double angle)
{
    TbVec3 axis = tb_vec3_unit(direction);
    double c = cos(angle);
    double s = sin(angle);
    TbPose pose = {turned(tb_vec3(1, 0, 0), axis, c, s),
                   turned(tb_vec3(0, 1, 0), axis, c, s),
                   turned(tb_vec3(0, 0, 1), axis, c, s),
                   {0, 0, 0},
                   1};

    pose.origin = tb_vec3_sub(point, tb_pose_direction(pose, point));
    return pose;
}

TbPose
tb_pose_growth(TbVec3 datum, double factor)
{
    TbPose pose = tb_pose_identity();

    pose.scale = factor;
    pose.origin = tb_vec3_scale(datum, 1 - factor);
    return pose;
}

TbPose
tb_pose_compose(TbPose then, TbPose first)
{
    return (TbPose){tb_pose_direction(then, first.x), tb_pose_direction(then, first.y),
                    tb_pose_direction(then, first.z), tb_pose_point(then, first.origin),
                    then.scale * first.scale};
}

TbPose
tb_pose_inverse(TbPose pose)
{
    TbPose back = {{pose.x.x, pose.y.x, pose.z.x},
                   {pose.x.y, pose.y.y, pose.z.y},
                   {pose.x.z, pose.y.z, pose.z.z},
                   {0, 0, 0},
                   1 / pose.scale};

    back.origin = tb_vec3_scale(tb_pose_direction(back, pose.origin), -back.scale);
    return back;
}

TbVec3
tb_pose_direction(TbPose pose, TbVec3 d)
{
    return tb_vec3_add(tb_vec3_scale(pose.x, d.x),
                       tb_vec3_add(tb_vec3_scale(pose.y, d.y), tb_vec3_scale(pose.z, d.z)));
}

TbVec3
tb_pose_point(TbPose pose, TbVec3 p)
{
    return tb_vec3_add_scaled(pose.origin, pose.scale, tb_pose_direction(pose, p));
}

bool
tb_pose_is_identity(TbPose pose)
{
    return pose.x.x == 1 && pose.x.y == 0 && pose.x.z == 0 && pose.y.x == 0 && pose.y.y == 1 &&
           pose.y.z == 0 && pose.z.x == 0 && pose.z.y == 0 && pose.z.z == 1 && pose.origin.x == 0 &&
           pose.origin.y == 0 && pose.origin.z == 0 && pose.scale == 1;
}
