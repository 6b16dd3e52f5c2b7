/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "gaps/moving_private.h"
#include "geom/tol.h"

/** The corner poses of a cell, and the one in its middle. */
static TbStatus
add_poses(TbMovingSide *side, TbMovingCell *cell)
{
    const TbMotion *motion = &side->rigid;
    size_t corners = (size_t)1 << side->bits;
    double q[TB_MOTION_MOST];
    void *room = side->pose;

    for (int i = 0; i < motion->count; i++)
        q[i] = 0.5 * (motion->freedom[i].low + motion->freedom[i].high);
    cell->pose = (uint32_t)side->poses;
    for (size_t k = 0; k < corners; k++) {
        for (int bit = 0; bit < side->bits; bit++)
            q[side->bent[bit]] = (k >> bit & 1) != 0 ? cell->high[bit] : cell->low[bit];
        if (tb_grow_array(&room, &side->pose_room, side->poses, sizeof *side->pose) != 0)
            return TB_E_MEMORY;
        side->pose = room;
        side->pose[side->poses++] = tb_motion_pose(motion, q);
    }
    for (int bit = 0; bit < side->bits; bit++)
        q[side->bent[bit]] = 0.5 * (cell->low[bit] + cell->high[bit]);
    cell->middle = tb_motion_pose(motion, q);
    return TB_OK;
}

static TbStatus
add_cell(TbMovingSide *side, TbMovingCell cell)
{
    void *room = side->cell;

    for (int bit = 0; bit < TB_MOTION_BENT + TB_MOTION_WARM; bit++)
        cell.child[bit] = 0;
    if (add_poses(side, &cell) != TB_OK ||
        tb_grow_array(&room, &side->cell_room, side->cells, sizeof cell) != 0)
        return TB_E_MEMORY;
    side->cell = room;
    side->cell[side->cells++] = cell;
    return TB_OK;
}

TbStatus
tb_moving__side(TbMovingSide *side, const TbMotion *motion)
{
    TbMovingCell whole = {.pose = 0};

    side->motion = motion;
    side->bits = side->shifts = 0;
    tb_moving__find_warm(side);
    for (int i = 0; i < side->warms; i++) {
        whole.warm_low[i] = motion->freedom[side->warm[i]].low - tb_moving__rest(side, i);
        whole.warm_high[i] = motion->freedom[side->warm[i]].high - tb_moving__rest(side, i);
    }
    for (int i = 0; i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];

        if (tb_motion_is_bent(motion, i)) {
            whole.low[side->bits] = f->low;
            whole.high[side->bits] = f->high;
            side->bent[side->bits++] = i;
        } else if (f->kind == TB_FREEDOM_SHIFT && f->high > f->low) {
            side->shift[side->shifts++] = i;
        }
    }
    return add_cell(side, whole);
}

void
tb_moving__clear_side(TbMovingSide *side)
{
    tb_field__clear(&side->field);
    tb_free(side->cell);
    tb_free(side->pose);
    side->cell = NULL;
    side->pose = NULL;
}

TbStatus
tb_moving__halve(TbMovingSide *side, uint32_t cell, int bit, uint32_t *first)
{
    TbMovingCell half = side->cell[cell];
    double *ends[2] = {bit < side->bits ? &half.low[bit] : &half.warm_low[bit - side->bits],
                       bit < side->bits ? &half.high[bit] : &half.warm_high[bit - side->bits]};
    double high = *ends[1], middle = 0.5 * (*ends[0] + high);

    *first = half.child[bit];
    if (*first != 0)
        return TB_OK;
    *first = (uint32_t)side->cells;
    *ends[1] = middle;
    if (add_cell(side, half) != TB_OK)
        return TB_E_MEMORY;
    *ends[0] = middle;
    *ends[1] = high;
    if (add_cell(side, half) != TB_OK)
        return TB_E_MEMORY;
    side->cell[cell].child[bit] = *first;
    return TB_OK;
}

void
tb_moving__ranges(const TbMovingSide *side, uint32_t cell, double low[], double high[])
{
    const TbMovingCell *c = &side->cell[cell];

    for (int i = 0; i < side->rigid.count; i++) {
        low[i] = side->motion->freedom[i].low;
        high[i] = side->motion->freedom[i].high;
    }
    for (int bit = 0; bit < side->bits; bit++) {
        low[side->bent[bit]] = c->low[bit];
        high[side->bent[bit]] = c->high[bit];
    }
}

TbVec3
tb_moving__ball(const TbMovingSide *side, uint32_t node, uint32_t cell, double *radius)
{
    const TbMovingCell *c = &side->cell[cell];
    double low[TB_MOTION_MOST], high[TB_MOTION_MOST], warm;
    TbVec3 centre = tb_moving__warm_ball(side, node, cell, &warm);

    *radius = warm;
    if (side->rigid.count == 0)
        return centre;
    tb_moving__ranges(side, cell, low, high);
    *radius = c->middle.scale * warm + tb_motion_travel(&side->rigid, low, high, centre, warm) +
              TB_TOL_ROUND;
    return tb_pose_point(c->middle, centre);
}

/** A turn that nothing but shifts follow: the outermost bent freedom, where it is one. */
static void
set_turn(const TbMovingSide *side,
         TbVec3 centre,
         double radius,
         const TbMovingCell *cell,
         TbCarried *carried)
{
    int first = side->bits > 0 ? side->bent[0] : -1;
    const TbFreedom *f;
    double scale = 0, range;

    carried->turn = -1;
    if (first < 0 || side->motion->freedom[first].kind != TB_FREEDOM_TURN)
        return;
    f = &side->motion->freedom[first];
    carried->axis_point = f->point;
    for (int i = 0; i < first; i++) { /* anything but a shift would turn or move the axis */
        const TbFreedom *outer = &side->motion->freedom[i];

        if (outer->kind != TB_FREEDOM_SHIFT)
            return;
        carried->axis_point = tb_vec3_add_scaled(
            carried->axis_point, 0.5 * (outer->low + outer->high), outer->direction);
    }
    carried->turn = 0;
    carried->axis = f->direction;
    range = cell->high[0] - cell->low[0];
    carried->eighth = 0.125 * range * range;
    for (int k = 0; k < 1 << side->bits; k++) {
        carried->centre[k] = tb_pose_point(carried->pose[k], centre);
        scale = fmax(scale, carried->pose[k].scale);
    }
    carried->radius = scale * radius;
    for (int bit = 0; bit < side->bits; bit++)
        carried->radius += carried->stray[bit];
}

void
tb_moving__carry(const TbMovingSide *side,
                 uint32_t node,
                 uint32_t cell,
                 const TbConvex *body,
                 const TbWarm *warm,
                 TbCarried *carried)
{
    const TbMovingCell *c = &side->cell[cell];
    double radius;
    TbVec3 centre = tb_moving__warm_ball(side, node, cell, &radius);

    carried->body = body;
    carried->warm = side->warms > 0 ? warm : NULL;
    carried->pose = side->pose + c->pose;
    carried->bits = side->bits;
    for (int bit = 0; bit < side->bits; bit++)
        carried->stray[bit] = tb_motion_stray(&side->rigid, side->bent[bit], c->low[bit],
                                              c->high[bit], centre, radius);
    carried->shifts = side->shifts;
    for (int i = 0; i < side->shifts; i++) {
        const TbFreedom *f = &side->motion->freedom[side->shift[i]];

        carried->shift[i] = tb_vec3_scale(f->direction, 0.5 * (f->high - f->low));
    }
    set_turn(side, centre, radius, c, carried);
}
