/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Turns: of a plain shape about its middle, of a flange's bolts and a clamp's bolt box about their
 * port. A shape turns by the angle between where its handle is and where it goes, a clocking is
 * that of the place itself.
 */

#include "bay/edit_drag_private.h"
#include "bay/handles_private.h"

#define DEG (180 / M_PI)

/** Right-handed about a unit axis from one way to another, both as seen along it, deg in steps.
 * False where one of them runs along the axis. */
static bool
angle_between(TbVec3 axis, TbVec3 from, TbVec3 to, double *angle)
{
    TbVec3 x = tb_vec3_across(from, axis);
    TbVec3 y = tb_vec3_cross(axis, x);
    TbVec3 way = tb_vec3_across(to, axis);

    if (tb_vec3_length(x) <= 0 || tb_vec3_length(way) < TB_DRAG_LEAST)
        return false;
    *angle =
        tb_drag__step(atan2(tb_vec3_dot(way, y), tb_vec3_dot(way, x)) * DEG, TB_DRAG_STEP_ANGLE);
    return true;
}

/* ---- shapes ---- */

/** The turn about a middle that brings a way to where the handle goes. */
static TbStatus
turn_to(const Drag *drag, TbVec3 middle, TbVec3 axis, TbVec3 from, TbPose *turn, TbFault *fault)
{
    double angle;

    if (!angle_between(axis, from, tb_vec3_sub(drag->to, middle), &angle))
        return tb_drag__no_direction(drag, "turn", fault);
    *turn = tb_pose_turn(middle, axis, angle / DEG);
    return TB_OK;
}

static TbStatus
turn_block(const Drag *drag, TbBlockItem *block, TbFault *fault)
{
    TbVec3 middle = tb_vec3_mix(block->low, block->high, 0.5);
    size_t k = drag->handle->index;
    TbVec3 axis[3];
    TbPose turn;
    TbStatus status;

    if (k >= 3)
        return tb_drag__no_such(drag, "turn", fault);
    tb_handle__block_axes(block, axis);
    status = turn_to(drag, middle, axis[k], axis[(k + 1) % 3], &turn, fault);
    if (status != TB_OK)
        return status;
    block->along = tb_drag__step_direction(tb_pose_direction(turn, axis[0]));
    block->up = tb_drag__step_direction(tb_pose_direction(turn, axis[2]));
    return TB_OK;
}

static TbStatus
turn_rod(const Drag *drag, TbRodItem *rod, TbFault *fault)
{
    TbVec3 way = tb_vec3_sub(rod->b, rod->a);
    TbPose turn;
    TbStatus status;

    if (drag->handle->index >= 2)
        return tb_drag__no_such(drag, "turn", fault);
    status = turn_to(drag, tb_vec3_mix(rod->a, rod->b, 0.5),
                     tb_handle__square_to(way, drag->handle->index), way, &turn, fault);
    if (status != TB_OK)
        return status;
    rod->a = tb_drag__step_place(tb_pose_point(turn, rod->a));
    rod->b = tb_drag__step_place(tb_pose_point(turn, rod->b));
    return TB_OK;
}

static TbStatus
turn_outline(const Drag *drag, TbOutlineItem *outline, TbFault *fault)
{
    TbVec3 u, v, n;
    TbPose turn;
    TbStatus status;

    if (drag->handle->index >= 1)
        return tb_drag__no_such(drag, "turn", fault);
    tb_handle__outline_axes(outline, &u, &v, &n);
    status = turn_to(drag, tb_handle__outline_middle(outline), n, u, &turn, fault);
    if (status != TB_OK)
        return status;
    outline->origin = tb_drag__step_place(tb_pose_point(turn, outline->origin));
    outline->u = tb_drag__step_direction(tb_pose_direction(turn, u));
    outline->v = tb_drag__step_direction(tb_pose_direction(turn, v));
    return TB_OK;
}

TbStatus
tb_drag__turn(const Drag *drag, TbItem *item, TbFault *fault)
{
    switch (item->kind) {
    case TB_ITEM_BLOCK:
        return turn_block(drag, (TbBlockItem *)item, fault);
    case TB_ITEM_ROD:
        return turn_rod(drag, (TbRodItem *)item, fault);
    case TB_ITEM_OUTLINE:
        return turn_outline(drag, (TbOutlineItem *)item, fault);
    case TB_ITEM_DUCT:
    case TB_ITEM_LINE:
    case TB_ITEM_TURBO:
    case TB_ITEM_BALL:
    case TB_ITEM_SCAN:
        break;
    }
    return tb_drag__no_such(drag, "turn", fault);
}

/* ---- ports and joints ---- */

/** Where a place lies about a port, counted from its up. */
static TbStatus
clocking_of(const Drag *drag, const char *port, TbVec3 to, double *angle, TbFault *fault)
{
    TbPortPlace place;
    TbStatus status = tb_bay_port_place(drag->bay, drag->variant, port, &place, fault);

    if (status != TB_OK)
        return status;
    if (!angle_between(place.flow, place.up, tb_vec3_sub(to, place.point), angle))
        return tb_drag__no_direction(drag, "turn", fault);
    return TB_OK;
}

static TbStatus
turn_bolts(const Drag *drag, TbVec3 to, TbBay **out, TbFault *fault)
{
    const TbPort *port = tb_bay_port(drag->bay, drag->handle->id);
    Edit edit = {.bay = NULL};
    bool mirrored = false;
    double angle = 0;
    TbPose pose;
    TbStatus status;

    if (port == NULL)
        return tb_edit__not_there("port", drag->handle->id, fault);
    if (port->bolts == NULL)
        return tb_drag__no_such(drag, "bolt pattern", fault);
    status = clocking_of(drag, port->record.id, to, &angle, fault);
    if (status == TB_OK)
        status = tb_handle__port_axes(drag->bay, drag->variant, port, &pose, &mirrored, fault);
    if (status == TB_OK)
        status = tb_edit__begin(&edit, drag->bay, &port->record, fault);
    if (status == TB_OK)
        ((TbPort *)edit.record)->bolts->turn = mirrored ? -angle : angle;
    return tb_edit__finish(&edit, status, out, fault);
}

static TbStatus
turn_clamp(const Drag *drag, TbVec3 to, TbBay **out, TbFault *fault)
{
    const TbJoint *joint = tb_bay_joint(drag->bay, drag->handle->id);
    size_t index = drag->handle->index;
    Edit edit = {.bay = NULL};
    double angle = 0;
    TbStatus status;

    if (joint == NULL)
        return tb_edit__not_there("joint", drag->handle->id, fault);
    if (index >= joint->box_count)
        return tb_drag__no_such(drag, "bolt box", fault);
    status = clocking_of(drag, joint->a, to, &angle, fault);
    if (status == TB_OK)
        status = tb_edit__begin(&edit, drag->bay, &joint->record, fault);
    if (status == TB_OK)
        ((TbJoint *)edit.record)->boxes[index].turn = angle;
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_drag__clocking(const Drag *drag, TbVec3 to, TbBay **out, TbFault *fault)
{
    if (drag->handle->id == NULL)
        return tb_drag__no_such(drag, "clocking", fault);
    return drag->handle->kind == TB_HANDLE_BOLTS ? turn_bolts(drag, to, out, fault)
                                                 : turn_clamp(drag, to, out, fault);
}
