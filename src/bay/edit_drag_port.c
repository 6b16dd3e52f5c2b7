/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/edit.h"
#include "bay/edit_drag_private.h"
#include "bay/handles.h"
#include "bay/handles_private.h"

#include <string.h>

/* ---- few digits ---- */

double
tb_drag__step(double x, double step)
{
    double rounded = round(x / step) * step;

    /* the decimal nearest to the step's multiple, so that the file has few digits */
    return round(rounded * 1e6) / 1e6 + 0.0;
}

TbVec3
tb_drag__step_place(TbVec3 p)
{
    return tb_vec3(tb_drag__step(p.x, TB_DRAG_STEP), tb_drag__step(p.y, TB_DRAG_STEP),
                   tb_drag__step(p.z, TB_DRAG_STEP));
}

TbVec3
tb_drag__step_direction(TbVec3 d)
{
    d = tb_vec3_unit(d);
    return tb_vec3(tb_drag__step(d.x, TB_DRAG_STEP_DIRECTION),
                   tb_drag__step(d.y, TB_DRAG_STEP_DIRECTION),
                   tb_drag__step(d.z, TB_DRAG_STEP_DIRECTION));
}

/* ---- ports ---- */

TbStatus
tb_handle__port_axes(const TbBay *bay,
                     const char *variant_id,
                     const TbPort *port,
                     TbPose *pose,
                     bool *mirrored,
                     TbFault *fault)
{
    const TbVariant *variant = tb_bay_variant(bay, variant_id);
    const TbItem *owner;

    *mirrored = false;
    if (port->owner == NULL) {
        for (size_t i = 0; variant != NULL && i < variant->mirror_count; i++)
            *mirrored |= strcmp(variant->mirrors[i].item, port->record.id) == 0;
        *pose = tb_pose_shift(tb_bay_mount_shift(bay, variant_id, port->mount));
        return TB_OK;
    }
    owner = tb_bay_item_in(bay, variant_id, port->owner);
    if (owner == NULL)
        return tb_fail(fault, TB_E_REFERENCE,
                       "\"%s\", which has port \"%s\", is not there in this "
                       "variant",
                       port->owner, port->record.id);
    *mirrored = owner != tb_bay_item(bay, owner->record.id);
    if (owner->kind == TB_ITEM_TURBO)
        return tb_bay_turbo_pose(bay, variant_id, port->owner, port->housing, pose, fault);
    return tb_bay_item_pose(bay, variant_id, port->owner, pose, fault);
}

static TbStatus
change_port(const Drag *drag, TbPort *port, TbFault *fault)
{
    TbVec3 way = tb_vec3_sub(drag->to, port->at);

    if (drag->handle->kind == TB_HANDLE_PORT) {
        port->at = tb_drag__step_place(drag->to);
        return TB_OK;
    }
    if (tb_vec3_length(way) < TB_DRAG_LEAST)
        return tb_drag__no_direction(drag, "flow", fault);
    port->flow = tb_drag__step_direction(way);
    return TB_OK;
}

TbStatus
tb_drag__port(Drag *drag, TbVec3 to, TbBay **out, TbFault *fault)
{
    const TbPort *port = tb_bay_port(drag->bay, drag->handle->id);
    Edit edit = {.bay = NULL};
    bool mirrored = false;
    TbPose pose;
    TbStatus status;

    if (port == NULL)
        return tb_edit__not_there("port", drag->handle->id != NULL ? drag->handle->id : "", fault);
    drag->id = port->record.id;
    status = tb_handle__port_axes(drag->bay, drag->variant, port, &pose, &mirrored, fault);
    if (status == TB_OK)
        status = tb_edit__begin(&edit, drag->bay, &port->record, fault);
    if (status == TB_OK) {
        drag->to = tb_pose_point(tb_pose_inverse(pose), to);
        if (mirrored)
            tb_element_mirror(edit.record->element, edit.record);
        status = change_port(drag, (TbPort *)edit.record, fault);
        if (mirrored)
            tb_element_mirror(edit.record->element, edit.record);
    }
    return tb_edit__finish(&edit, status, out, fault);
}
