/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/shape.h"

#define RAD (G_PI / 180)

/* ---- paths and sections ---- */

static TbStatus
curve_of(const TbPlacedPath *path, TbCurve **curve, TbFault *fault)
{
    if (path->kind == TB_PATH_BENT)
        return tb_curve_bent_new(path->knots, path->radii, path->count, curve, fault);
    return tb_curve_smooth_new(path->knots, path->count,
                               path->has_start ? &path->start_tangent : NULL,
                               path->has_end ? &path->end_tangent : NULL, curve, fault);
}

/* A row of the document as geom has it: radians, four halves and corners, its wall. */
static TbSectionRow
section_of(const TbRow *row, double wall)
{
    TbSectionRow out = {
        .station = row->at, .from_end = row->from_end, .holds_size = row->hold_size};
    TbSection *section = &out.section;

    section->kind = row->kind == TB_ROW_ROUNDED ? TB_SECTION_ROUNDED : TB_SECTION_SUPERELLIPSE;
    for (size_t i = 0; i < 4; i++) {
        double across = i == TB_SIDE_RIGHT || i == TB_SIDE_LEFT ? row->width : row->height;

        section->half[i] = row->half.count == 4 ? row->half.v[i] : across / 2;
        if (row->corner.count > 0)
            section->corner[i] = row->corner.v[row->corner.count == 4 ? i : 0];
    }
    section->exponent = row->exponent;
    section->turn = row->turn * RAD;
    section->offset = row->offset;
    section->wall = tb_is_given(row->wall) ? row->wall : wall;
    return out;
}

static TbStatus
duct_sweep(const TbBlueprint *print, TbCurve *curve, TbSweep **sweep, TbFault *fault)
{
    const TbDuct *duct = tb_item_duct(print->item);
    g_autofree TbSectionRow *rows = g_new0(TbSectionRow, duct->row_count);
    TbSweepDef def = {.curve = curve,
                      .rows = rows,
                      .row_count = duct->row_count,
                      .up = print->path.has_start_up ? &print->path.start_up : NULL};

    for (size_t i = 0; i < duct->row_count; i++)
        rows[i] = section_of(&duct->rows[i], duct->wall);
    return tb_sweep_new(&def, sweep, fault);
}

static TbStatus
line_sweep(const TbBlueprint *print, TbCurve *curve, TbSweep **sweep, TbFault *fault)
{
    const TbLine *line = tb_item_line(print->item);
    double wall = tb_is_given(line->bore) ? (line->diameter - line->bore) / 2 : 0;

    return tb_sweep_new_round(curve, line->diameter, wall, sweep, fault);
}

/* ---- ends ---- */

static TbStatus
add_ring(TbSolid *solid, const TbRing *ring, TbEndAxes axes, TbFault *fault)
{
    TbEndRing disc = {.diameter = ring->diameter,
                      .from = ring->from,
                      .to = ring->to,
                      .role = ring->kind == TB_RING_CLAMP ? TB_ROLE_CLAMP : TB_ROLE_FLANGE};

    return tb_solid_add_ring(solid, &disc, axes, fault);
}

static TbStatus
add_bolt_box(TbSolid *solid, const TbBoltBox *box, TbEndAxes axes, TbFault *fault)
{
    TbEndBox plain = {.along = box->along,
                      .across = box->across,
                      .from = box->from,
                      .to = box->to,
                      .shift = box->shift,
                      .turn = box->turn * RAD,
                      .any_turn = box->free};

    return tb_solid_add_bolt_box(solid, &plain, axes, fault);
}

static TbStatus
add_rings(TbSolid *solid,
          const TbRing *rings,
          size_t ring_count,
          const TbBoltBox *boxes,
          size_t box_count,
          TbEndAxes axes,
          TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; status == TB_OK && i < ring_count; i++)
        status = add_ring(solid, &rings[i], axes, fault);
    for (size_t i = 0; status == TB_OK && i < box_count; i++)
        status = add_bolt_box(solid, &boxes[i], axes, fault);
    return status;
}

static TbStatus
add_end(TbSolid *solid, const TbEnd *end, const TbSweep *sweep, bool at_start, TbFault *fault)
{
    TbDisc disc = tb_sweep_at(sweep, at_start ? 0 : tb_sweep_length(sweep));
    TbEndAxes axes = {.point = disc.centre,
                      .inward = at_start ? disc.frame.t : tb_vec3_neg(disc.frame.t),
                      .frame = disc.frame};

    if (end == NULL)
        return TB_OK;
    return add_rings(solid, end->rings, end->ring_count, end->boxes, end->box_count, axes, fault);
}

static TbStatus
add_clamps(TbSolid *solid, const TbBlueprint *print, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; status == TB_OK && i < print->clamp_count; i++) {
        const TbJoint *joint = print->clamps[i].joint;
        TbPortPlace place = print->clamps[i].place;
        TbEndAxes axes = {
            .point = place.point,
            .inward = place.flow,
            .frame = {.t = place.flow, .h = place.up, .w = tb_vec3_cross(place.flow, place.up)}};

        status = add_rings(solid, joint->rings, joint->ring_count, joint->boxes, joint->box_count,
                           axes, fault);
    }
    return status;
}

static TbStatus
add_path_item(TbSolid *solid, const TbBlueprint *print, TbFault *fault)
{
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;
    TbStatus status = curve_of(&print->path, &curve, fault);

    if (status == TB_OK)
        status = print->item->kind == TB_ITEM_DUCT ? duct_sweep(print, curve, &sweep, fault)
                                                   : line_sweep(print, curve, &sweep, fault);
    if (status == TB_OK)
        status = tb_solid_add_sweep(solid, sweep, TB_ROLE_SKIN, fault);
    if (status == TB_OK)
        status = add_end(solid, tb_item_start(print->item), sweep, true, fault);
    if (status == TB_OK)
        status = add_end(solid, tb_item_end(print->item), sweep, false, fault);
    tb_sweep_unref(sweep);
    tb_curve_unref(curve);
    return status;
}

/* ---- the turbo and plain items ---- */

static double
radius_to(double radius, double other)
{
    return tb_is_given(other) ? other : radius;
}

static TbStatus
add_turbo(TbSolid *solid, const TbBlueprint *print, TbFault *fault)
{
    const TbTurbo *turbo = tb_item_turbo(print->item);
    TbStatus status = TB_OK;

    for (size_t i = 0; status == TB_OK && i < turbo->rod_count; i++) {
        const TbShaftRod *rod = &turbo->rods[i];
        TbPlain plain = {.kind = TB_PLAIN_ROD,
                         .rod = {.a = {rod->from, rod->beside.x, rod->beside.y},
                                 .b = {rod->to, rod->beside.x, rod->beside.y},
                                 .radius_a = rod->radius,
                                 .radius_b = radius_to(rod->radius, rod->radius_to)}};

        plain = tb_plain_moved(&plain, print->pose[rod->of]);
        status = tb_solid_add_plain(solid, &plain, TB_ROLE_SKIN, fault);
    }
    for (size_t i = 0; status == TB_OK && i < turbo->arm_count; i++) {
        const TbArm *arm = &turbo->arms[i];
        TbPlain plain = {.kind = TB_PLAIN_ROD,
                         .rod = {.a = arm->a,
                                 .b = arm->b,
                                 .radius_a = arm->radius,
                                 .radius_b = radius_to(arm->radius, arm->radius_to)}};

        plain = tb_plain_moved(&plain, print->pose[arm->of]);
        status = tb_solid_add_plain(solid, &plain, TB_ROLE_SKIN, fault);
    }
    for (size_t i = 0; status == TB_OK && i < turbo->box_count; i++) {
        const TbBox *box = &turbo->boxes[i];
        TbPlain plain = tb_plain_block_between(box->low, box->high);

        plain = tb_plain_moved(&plain, print->pose[box->of]);
        status = tb_solid_add_plain(solid, &plain, TB_ROLE_SKIN, fault);
    }
    return status;
}

static TbStatus
add_block(TbSolid *solid, const TbBlockItem *block, TbFault *fault)
{
    TbPlain plain = tb_plain_block_between(block->low, block->high);
    TbVec3 x = tb_vec3_unit(block->along);
    TbVec3 z = tb_vec3_unit(tb_vec3_across(block->up, x));

    if (tb_vec3_length(x) == 0 || tb_vec3_length(z) == 0)
        return tb_fail(fault, TB_E_DEGENERATE, "its up direction lies along its x side");
    plain.block.axis[0] = x;
    plain.block.axis[1] = tb_vec3_cross(z, x);
    plain.block.axis[2] = z;
    return tb_solid_add_plain(solid, &plain, TB_ROLE_SKIN, fault);
}

static TbStatus
add_outline(TbSolid *solid, const TbOutlineItem *outline, TbFault *fault)
{
    g_autofree TbVec2 *points = g_new(TbVec2, outline->corner_count);
    TbVec3 u = tb_vec3_unit(outline->u);
    TbPlain plain = {.kind = TB_PLAIN_OUTLINE,
                     .outline = {.origin = outline->origin,
                                 .u = u,
                                 .v = tb_vec3_unit(tb_vec3_across(outline->v, u)),
                                 .points = points,
                                 .count = outline->corner_count,
                                 .depth = outline->depth,
                                 .rounding = outline->rounding}};

    if (tb_vec3_length(plain.outline.u) == 0 || tb_vec3_length(plain.outline.v) == 0)
        return tb_fail(fault, TB_E_DEGENERATE, "its v direction lies along its u");
    for (size_t i = 0; i < outline->corner_count; i++)
        points[i] = outline->corners[i].at;
    return tb_solid_add_plain(solid, &plain, TB_ROLE_SKIN, fault);
}

static TbStatus
add_rod(TbSolid *solid, const TbRodItem *rod, TbFault *fault)
{
    TbPlain plain = {.kind = TB_PLAIN_ROD,
                     .rod = {.a = rod->a,
                             .b = rod->b,
                             .radius_a = rod->radius,
                             .radius_b = radius_to(rod->radius, rod->radius_to)}};

    return tb_solid_add_plain(solid, &plain, TB_ROLE_SKIN, fault);
}

static TbStatus
add_ball(TbSolid *solid, const TbBallItem *ball, TbFault *fault)
{
    TbPlain plain = {.kind = TB_PLAIN_BALL, .ball = {.centre = ball->at, .radius = ball->radius}};

    return tb_solid_add_plain(solid, &plain, TB_ROLE_SKIN, fault);
}

static TbStatus
add_scan(TbSolid *solid, const TbBlueprint *print, TbFault *fault)
{
    if (print->scan.tree == NULL)
        return tb_fail(fault, print->scan.fault.status, "%s", print->scan.fault.text);
    return tb_solid_add_tree(solid, print->scan.tree, TB_ROLE_SKIN, fault);
}

/* Plain items and scans are built in their own axes and then put in place. */
static TbStatus
add_placed(TbSolid **solid, const TbBlueprint *print, TbFault *fault)
{
    const TbItem *item = print->item;
    TbPose pose = print->pose[TB_HOUSING_COUNT];
    TbStatus status = TB_OK;
    TbSolid *moved;

    switch (item->kind) {
    case TB_ITEM_BLOCK:
        status = add_block(*solid, tb_item_block(item), fault);
        break;
    case TB_ITEM_ROD:
        status = add_rod(*solid, tb_item_rod(item), fault);
        break;
    case TB_ITEM_BALL:
        status = add_ball(*solid, tb_item_ball(item), fault);
        break;
    case TB_ITEM_OUTLINE:
        status = add_outline(*solid, tb_item_outline(item), fault);
        break;
    case TB_ITEM_SCAN:
        status = add_scan(*solid, print, fault);
        break;
    case TB_ITEM_DUCT:
    case TB_ITEM_LINE:
    case TB_ITEM_TURBO:
        break;
    }
    if (status != TB_OK || tb_pose_is_identity(pose))
        return status;
    moved = tb_solid_moved(*solid, pose);
    if (moved == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for the shape of %s", item->record.id);
    tb_solid_unref(*solid);
    *solid = moved;
    return TB_OK;
}

TbStatus
tb_blueprint_build(const TbBlueprint *print, TbSolid **solid, TbFault *fault)
{
    TbStatus status;

    *solid = tb_solid_new();
    if (*solid == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for the shape of %s", print->item->record.id);
    if (tb_item_has_path(print->item))
        status = add_path_item(*solid, print, fault);
    else if (print->item->kind == TB_ITEM_TURBO)
        status = add_turbo(*solid, print, fault);
    else
        status = add_placed(solid, print, fault);
    if (status == TB_OK)
        status = add_clamps(*solid, print, fault);
    if (status == TB_OK && tb_solid_part_count(*solid) == 0)
        status = tb_fail(fault, TB_E_DEGENERATE, "it has no shape: nothing is given to draw");
    return status;
}
