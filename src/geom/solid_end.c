/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Ends of ducts as plain shapes: what a gap has to see besides the skin. */

#include "geom/solid.h"

TbStatus
tb_solid_add_ring(TbSolid *solid, const TbEndRing *ring, TbEndAxes axes, TbFault *fault)
{
    TbPlain disc = {.kind = TB_PLAIN_ROD};

    disc.rod.a = tb_vec3_add_scaled(axes.point, ring->from, axes.inward);
    disc.rod.b = tb_vec3_add_scaled(axes.point, ring->to, axes.inward);
    disc.rod.radius_a = disc.rod.radius_b = ring->diameter / 2;
    return tb_solid_add_plain(solid, &disc, ring->role, fault);
}

/** A box whose clocking is free sweeps a disc: the least round bar that holds every turn. */
static TbPlain
envelope_of(const TbEndBox *box, TbVec3 middle, TbVec3 along)
{
    TbPlain bar = {.kind = TB_PLAIN_ROD};

    bar.rod.a = tb_vec3_add_scaled(middle, -box->along / 2, along);
    bar.rod.b = tb_vec3_add_scaled(middle, box->along / 2, along);
    bar.rod.radius_a = bar.rod.radius_b = hypot(box->to, box->across / 2);
    return bar;
}

TbStatus
tb_solid_add_bolt_box(TbSolid *solid, const TbEndBox *box, TbEndAxes axes, TbFault *fault)
{
    TbVec3 middle = tb_vec3_add_scaled(axes.point, box->shift, axes.inward);
    TbFrame frame = tb_frame_turned(axes.frame, box->turn);
    TbPlain plain = {.kind = TB_PLAIN_BLOCK};

    if (box->any_turn) {
        plain = envelope_of(box, middle, frame.t);
    } else {
        plain.block.centre = tb_vec3_add_scaled(middle, (box->from + box->to) / 2, frame.h);
        plain.block.axis[0] = frame.t;
        plain.block.axis[1] = tb_vec3_cross(frame.h, frame.t);
        plain.block.axis[2] = frame.h;
        plain.block.half[0] = box->along / 2;
        plain.block.half[1] = box->across / 2;
        plain.block.half[2] = (box->to - box->from) / 2;
    }
    return tb_solid_add_plain(solid, &plain, TB_ROLE_BOLT, fault);
}
