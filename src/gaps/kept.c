/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What is left of a solid when the surroundings of ports are taken off. */

#include "gaps/field_private.h"
#include "geom/tol.h"

/** First station, walking from one end, whose centre is `radius` from the port: the distance
 * changes no faster than the station, so a step of what is missing never jumps over it. */
static double
walk_away(const TbSweep *sweep, const TbLeaveOut *leave_out, bool from_start)
{
    double length = tb_sweep_length(sweep), walked = 0;

    while (walked < length) {
        double station = from_start ? walked : length - walked;
        double away = tb_vec3_distance(tb_sweep_place(sweep, station).point, leave_out->port);

        if (away >= leave_out->radius - TB_TOL_PLACE)
            break;
        walked += fmax(leave_out->radius - away, TB_TOL_PLACE);
    }
    return walked;
}

TbKept
tb_field__kept(const TbSweep *sweep, const TbLeaveOut leave_out[], size_t count)
{
    TbVec3 start = tb_sweep_place(sweep, 0).point, end;
    double length = tb_sweep_length(sweep);
    TbKept kept = {0, length};

    end = tb_sweep_place(sweep, length).point;
    for (size_t i = 0; i < count; i++) {
        TbVec3 port = leave_out[i].port;

        if (tb_vec3_distance(start, port) <= TB_PORT_REACH)
            kept.from = fmax(kept.from, walk_away(sweep, &leave_out[i], true));
        if (tb_vec3_distance(end, port) <= TB_PORT_REACH)
            kept.to = fmin(kept.to, length - walk_away(sweep, &leave_out[i], false));
    }
    return kept;
}

bool
tb_field__is_left_out(const TbPart *part, const TbLeaveOut leave_out[], size_t count)
{
    TbVec3 middle;

    if (part->kind != TB_PART_PLAIN || part->role == TB_ROLE_SKIN)
        return false;
    middle = tb_box3_centre(tb_plain_box(&part->plain));
    for (size_t i = 0; i < count; i++) {
        if (tb_vec3_distance(middle, leave_out[i].port) <= leave_out[i].radius)
            return true;
    }
    return false;
}
