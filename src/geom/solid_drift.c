/* SPDX-License-Identifier: GPL-3.0-or-later */

/** A path item whose ends are carried to where the ports have gone. */
#include "geom/solid.h"

bool
tb_solid_chord(const TbSolid *solid, TbVec3 *start, TbVec3 *end, double *length)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind != TB_PART_SWEEP)
            continue;
        *length = tb_sweep_length(part->sweep);
        *start = tb_sweep_at(part->sweep, 0).centre;
        *end = tb_sweep_at(part->sweep, *length).centre;
        return true;
    }
    return false;
}

bool
tb_part_is_at_end(const TbPart *part, TbVec3 start, TbVec3 end)
{
    TbVec3 middle = tb_box3_centre(tb_solid_part_box(part));

    return tb_vec3_distance(middle, end) < tb_vec3_distance(middle, start);
}

TbPose
tb_drift_pose(TbVec3 end, double factor, TbVec3 shift)
{
    return tb_pose_compose(tb_pose_shift(shift), tb_pose_growth(end, factor));
}

static TbStatus
add_drifted(TbSolid *made, const TbPart *part, TbVec3 c[2], double factor, TbVec3 start, TbVec3 end)
{
    bool at_end = part->kind != TB_PART_SWEEP && tb_part_is_at_end(part, c[0], c[1]);
    TbSweep *sweep;
    TbStatus status;

    if (part->kind != TB_PART_SWEEP)
        return tb_solid_add_moved(made, part,
                                  tb_drift_pose(c[at_end], factor, at_end ? end : start));
    sweep = tb_sweep_drifted(part->sweep, factor, start, end);
    if (sweep == NULL)
        return TB_E_MEMORY;
    status = tb_solid_add_sweep(made, sweep, part->role, NULL);
    tb_sweep_unref(sweep);
    return status;
}

TbSolid *
tb_solid_drifted(const TbSolid *solid, double factor, TbVec3 start, TbVec3 end)
{
    TbSolid *made = tb_solid_new();
    TbStatus status = made == NULL ? TB_E_MEMORY : TB_OK;
    TbVec3 c[2] = {{0, 0, 0}, {0, 0, 0}};
    double length;
    bool path = tb_solid_chord(solid, &c[0], &c[1], &length);

    TB_ASSERT(path);
    for (size_t i = 0; i < tb_solid_part_count(solid) && status == TB_OK; i++)
        status = add_drifted(made, tb_solid_part(solid, i), c, factor, start, end);
    if (status == TB_OK)
        return made;
    tb_solid_unref(made);
    return NULL;
}
