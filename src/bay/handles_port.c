/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Handles of ports and of what is clocked about them. */

#include "bay/handles_private.h"

#include <string.h>

/** True for a port that the item owns, also in place of another one, or ends on. */
static bool
has_port(const Handles *list, const TbPort *port)
{
    const TbEnd *ends[2] = {NULL, NULL};

    if (port->owner != NULL &&
        (strcmp(port->owner, list->asked) == 0 || strcmp(port->owner, list->item->record.id) == 0))
        return true;
    if (tb_item_has_path(list->item)) {
        ends[0] = tb_item_start(list->item);
        ends[1] = tb_item_end(list->item);
    }
    for (int i = 0; i < 2; i++)
        if (ends[i] != NULL && ends[i]->port != NULL && strcmp(ends[i]->port, port->record.id) == 0)
            return true;
    return false;
}

/** One that turns about a port's flow, counted from its up. */
static void
add_clocking(
    Handles *list, TbHandleKind kind, size_t index, TbPortPlace place, double out, double turn)
{
    double angle = turn * (M_PI / 180);
    TbVec3 side = tb_vec3_cross(place.flow, place.up);
    TbVec3 way = tb_vec3_add_scaled(tb_vec3_scale(place.up, cos(angle)), sin(angle), side);

    tb_handles__add_turn(list, kind, index, tb_vec3_add_scaled(place.point, out, way), way,
                         place.flow);
    if (!list->full)
        list->all[list->count - 1].size = turn;
}

static TbStatus
add_bolts(Handles *list, const TbPort *port, TbPortPlace place, TbFault *fault)
{
    const TbBolts *bolts = port->bolts;
    bool mirrored;
    TbPose pose;
    double out;
    TbStatus status;

    if (bolts == NULL)
        return TB_OK;
    status = tb_handle__port_axes(list->bay, list->variant, port, &pose, &mirrored, fault);
    if (status != TB_OK)
        return status;
    out = tb_is_given(bolts->circle)   ? bolts->circle / 2
          : tb_is_given(bolts->across) ? bolts->across / 2
                                       : TB_HANDLE_REACH;
    add_clocking(list, TB_HANDLE_BOLTS, 0, place, out, mirrored ? -bolts->turn : bolts->turn);
    if (!list->full)
        list->all[list->count - 1].id = port->record.id;
    return TB_OK;
}

/** Bolt boxes of the joints that have the port as either side; they count from side a. */
static TbStatus
add_clamps(Handles *list, const TbPort *port, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < tb_bay_count(list->bay, TB_LIST_JOINTS) && status == TB_OK; i++) {
        const TbJoint *joint = tb_bay_joint_at(list->bay, i);
        TbPortPlace place;

        /* with both sides on the item the first of them brings it */
        if (joint->box_count == 0 || (strcmp(joint->a, port->record.id) != 0 &&
                                      (strcmp(joint->b, port->record.id) != 0 ||
                                       has_port(list, tb_bay_port(list->bay, joint->a)))))
            continue;
        status = tb_bay_port_place(list->bay, list->variant, joint->a, &place, fault);
        for (size_t k = 0; status == TB_OK && k < joint->box_count; k++) {
            const TbBoltBox *box = &joint->boxes[k];
            TbPortPlace at = place;

            at.point = tb_vec3_add_scaled(place.point, box->shift, place.flow);
            add_clocking(list, TB_HANDLE_CLAMP, k, at, box->to, box->turn);
            if (!list->full)
                list->all[list->count - 1].id = joint->record.id;
        }
    }
    return status;
}

TbStatus
tb_handles__add_ports(Handles *list, TbFault *fault)
{
    TbStatus status = TB_OK;

    list->pose = tb_pose_identity();
    for (size_t i = 0; i < tb_bay_count(list->bay, TB_LIST_PORTS) && status == TB_OK; i++) {
        const TbPort *port = tb_bay_port_at(list->bay, i);
        TbPortPlace place;

        if (!has_port(list, port))
            continue;
        status = tb_bay_port_place(list->bay, list->variant, port->record.id, &place, fault);
        if (status != TB_OK)
            break;
        tb_handles__add(list, TB_HANDLE_PORT, 0, place.point, tb_vec3(0, 0, 0), 0);
        tb_handles__add(list, TB_HANDLE_FLOW, 0,
                        tb_vec3_add_scaled(place.point, TB_HANDLE_REACH, place.flow), place.flow,
                        0);
        for (size_t k = 1; k <= 2 && !list->full; k++)
            list->all[list->count - k].id = port->record.id;
        status = add_bolts(list, port, place, fault);
        if (status == TB_OK)
            status = add_clamps(list, port, fault);
    }
    return status;
}
