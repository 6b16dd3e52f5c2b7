/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * A handle put to a new place. The record is copied, turned into its mirror image where the variant
 * mirrors it, changed in the axes it then stands in, and turned back: so no kind of handle knows of
 * mirrors.
 */

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/edit_drag_private.h"
#include "bay/handles.h"
#include "bay/handles_private.h"

#include <string.h>

static double
stepped_size(double x)
{
    return fmax(tb_drag__step(x, TB_DRAG_STEP), TB_DRAG_LEAST);
}

/* ---- ducts and lines ---- */

/** The last knot of a line may ride on another mount than the line. */
static TbVec3
end_shift(const Drag *drag, const TbItem *item)
{
    const TbLine *line = item->kind == TB_ITEM_LINE ? tb_item_line(item) : NULL;
    const TbEnd *end = line != NULL ? line->end : NULL;

    if (line == NULL || line->end_mount == NULL || item->on != NULL ||
        (end != NULL && end->port != NULL) || drag->handle->index + 1 != line->path->knot_count)
        return tb_vec3(0, 0, 0);
    return tb_vec3_sub(tb_bay_mount_shift(drag->bay, drag->variant, line->end_mount),
                       tb_bay_mount_shift(drag->bay, drag->variant, item->mount));
}

TbStatus
tb_drag__no_such(const Drag *drag, const char *sort, TbFault *fault)
{
    return tb_fail(fault, TB_E_RANGE, "\"%s\" has no %s %zu to drag", drag->id, sort,
                   drag->handle->index + 1);
}

TbStatus
tb_drag__no_direction(const Drag *drag, const char *sort, TbFault *fault)
{
    return tb_fail(fault, TB_E_DEGENERATE, "the %s of \"%s\" has no direction there", sort,
                   drag->id);
}

static TbStatus
drag_knot(const Drag *drag, TbItem *item, TbFault *fault)
{
    const TbPath *path = tb_item_has_path(item) ? tb_item_path(item) : NULL;

    if (path == NULL || drag->handle->index >= path->knot_count)
        return tb_drag__no_such(drag, "knot", fault);
    path->knots[drag->handle->index].at =
        tb_drag__step_place(tb_vec3_sub(drag->to, end_shift(drag, item)));
    return TB_OK;
}

static TbStatus
drag_tangent(const Drag *drag, TbItem *item, TbFault *fault)
{
    const TbPath *path = tb_item_has_path(item) ? tb_item_path(item) : NULL;
    bool at_start = drag->handle->index == 0;
    const TbEnd *end = path == NULL ? NULL : at_start ? tb_item_start(item) : tb_item_end(item);
    TbVec3 way;

    if (path == NULL || end == NULL || end->port != NULL || path->knot_count == 0)
        return tb_drag__no_such(drag, "free end", fault);
    way = tb_vec3_sub(drag->to, path->knots[at_start ? 0 : path->knot_count - 1].at);
    if (tb_vec3_length(way) < TB_DRAG_LEAST)
        return tb_drag__no_direction(drag, "end", fault);
    ((TbEnd *)(uintptr_t)end)->tangent = tb_drag__step_direction(way);
    return TB_OK;
}

/** A row's station, kept between those of its neighbours that count from the same end. */
void
tb_edit__place_row(TbDuct *duct, size_t index, double at)
{
    TbRow *row = &duct->rows[index];
    const TbRow *before = index > 0 ? row - 1 : NULL;
    const TbRow *after = index + 1 < duct->row_count ? row + 1 : NULL;
    const TbRow *lower = row->from_end ? after : before;
    const TbRow *upper = row->from_end ? before : after;

    at = tb_drag__step(fmax(at, 0), TB_DRAG_STEP);
    if (upper != NULL && upper->from_end == row->from_end)
        at = fmin(at, upper->at - TB_DRAG_LEAST);
    if (lower != NULL && lower->from_end == row->from_end)
        at = fmax(at, lower->at + TB_DRAG_LEAST);
    row->at = at;
}

static TbStatus
drag_row(const Drag *drag, TbItem *item, TbVec3 to_bay, TbFault *fault)
{
    TbDuct *duct = (TbDuct *)item;
    TbPlacedPath path = {0};
    TbCurve *curve = NULL;
    TbStatus status;
    double at;

    if (item->kind != TB_ITEM_DUCT || drag->handle->index >= duct->row_count)
        return tb_drag__no_such(drag, "section", fault);
    status = tb_bay_path(drag->bay, drag->variant, drag->id, &path, fault);
    if (status == TB_OK)
        status = tb_handle__curve(&path, &curve, fault);
    tb_placed_path_clear(&path);
    if (status != TB_OK)
        return status;
    at = tb_curve_nearest(curve, to_bay);
    if (duct->rows[drag->handle->index].from_end)
        at = tb_curve_length(curve) - at;
    tb_curve_unref(curve);
    tb_edit__place_row(duct, drag->handle->index, at);
    return TB_OK;
}

/* ---- the turbo ---- */

static TbStatus
drag_shaft(const Drag *drag, TbTurbo *turbo, TbFault *fault)
{
    TbVec3 way = tb_vec3_sub(drag->to, turbo->at);

    if (tb_vec3_length(way) < TB_DRAG_LEAST)
        return tb_drag__no_direction(drag, "shaft", fault);
    turbo->shaft = tb_drag__step_direction(way);
    return TB_OK;
}

/** The turn about the shaft that looks at the place; listed housings and those that are not. */
static TbStatus
drag_housing(const Drag *drag, TbTurbo *turbo, TbFault *fault)
{
    TbVec3 x = tb_vec3_unit(turbo->shaft);
    TbVec3 z = tb_vec3_unit(tb_vec3_across(turbo->up, x));
    TbVec3 y = tb_vec3_cross(z, x);
    TbVec3 way = tb_vec3_sub(drag->to, turbo->at);
    double across = tb_vec3_dot(way, y);
    double up = tb_vec3_dot(way, z);
    TbHousing *housing;

    if (drag->handle->index >= TB_HOUSING_COUNT)
        return tb_drag__no_such(drag, "housing", fault);
    if (hypot(across, up) < TB_DRAG_LEAST)
        return tb_drag__no_direction(drag, "housing", fault);
    housing = tb_edit__need_housing(turbo, (int)drag->handle->index);
    if (housing == NULL)
        return tb_edit__no_room(fault);
    housing->turn = tb_drag__step(atan2(-across, up) * (180 / M_PI), TB_DRAG_STEP_ANGLE);
    return TB_OK;
}

/* ---- plain shapes ---- */

static double *
coordinate(TbVec3 *p, int axis)
{
    return axis == 0 ? &p->x : axis == 1 ? &p->y : &p->z;
}

/** One side of a block to a place along its axis; the opposite side stays. */
static void
put_side(TbBlockItem *block, int axis, bool high, TbVec3 to)
{
    TbVec3 middle = tb_vec3_mix(block->low, block->high, 0.5);
    TbVec3 axes[3];
    double before;
    double reach;
    double by;

    tb_handle__block_axes(block, axes);
    before = (*coordinate(&block->high, axis) - *coordinate(&block->low, axis)) / 2;
    reach = tb_vec3_dot(tb_vec3_sub(to, middle), axes[axis]) * (high ? 1 : -1);
    reach = fmax(reach, TB_DRAG_LEAST - before);
    if (axes[axis].x == (axis == 0) && axes[axis].y == (axis == 1) && axes[axis].z == (axis == 2)) {
        /* along the item's own axes the other numbers stay as they are, to the last bit */
        double at = *coordinate(&middle, axis) + (high ? reach : -reach);

        *coordinate(high ? &block->high : &block->low, axis) = tb_drag__step(at, TB_DRAG_STEP);
        return;
    }
    /* turned about its middle: that moves by half of what the side does */
    by = tb_drag__step(reach - before, 2 * TB_DRAG_STEP) / 2;
    middle = tb_vec3_add_scaled(middle, high ? by : -by, axes[axis]);
    for (int k = 0; k < 3; k++) {
        double half = (*coordinate(&block->high, k) - *coordinate(&block->low, k)) / 2;

        if (k == axis)
            half = before + by;
        *coordinate(&block->low, k) = *coordinate(&middle, k) - half;
        *coordinate(&block->high, k) = *coordinate(&middle, k) + half;
    }
}

static TbStatus
drag_block(const Drag *drag, TbBlockItem *block, TbFault *fault)
{
    size_t index = drag->handle->index;

    if (drag->handle->kind == TB_HANDLE_BLOCK_FACE) {
        if (index >= 6)
            return tb_drag__no_such(drag, "face", fault);
        put_side(block, (int)(index / 2), index % 2 == 1, drag->to);
        return TB_OK;
    }
    if (index >= 8)
        return tb_drag__no_such(drag, "corner", fault);
    for (int axis = 0; axis < 3; axis++)
        put_side(block, axis, (index >> axis & 1) != 0, drag->to);
    return TB_OK;
}

static TbStatus
drag_rod(const Drag *drag, TbRodItem *rod, TbFault *fault)
{
    size_t index = drag->handle->index;
    size_t end = drag->handle->kind == TB_HANDLE_ROD_END ? index : index / 2;
    TbVec3 out;
    double radius;

    if (end >= 2)
        return tb_drag__no_such(drag, "end", fault);
    if (drag->handle->kind == TB_HANDLE_ROD_END) {
        *(end == 0 ? &rod->a : &rod->b) = tb_drag__step_place(drag->to);
        return TB_OK;
    }
    out = tb_handle__square_to(tb_vec3_sub(rod->b, rod->a), index % 2);
    radius = stepped_size(tb_vec3_dot(tb_vec3_sub(drag->to, end == 0 ? rod->a : rod->b), out));
    if (end == 1 && tb_is_given(rod->radius_to))
        rod->radius_to = radius;
    else
        rod->radius = radius; /* of a bar without a taper both */
    return TB_OK;
}

static TbStatus
drag_ball(const Drag *drag, TbBallItem *ball, TbFault *fault)
{
    static const TbVec3 out[3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};

    if (drag->handle->index >= 3)
        return tb_drag__no_such(drag, "radius", fault);
    ball->radius =
        stepped_size(tb_vec3_dot(tb_vec3_sub(drag->to, ball->at), out[drag->handle->index]));
    return TB_OK;
}

static TbStatus
drag_outline(const Drag *drag, TbOutlineItem *outline, TbFault *fault)
{
    TbVec3 way = tb_vec3_sub(drag->to, outline->origin);
    TbVec3 u;
    TbVec3 v;
    TbVec3 n;

    tb_handle__outline_axes(outline, &u, &v, &n);
    if (drag->handle->kind == TB_HANDLE_OUTLINE_DEPTH) {
        outline->depth = stepped_size(tb_vec3_dot(way, n));
        return TB_OK;
    }
    if (drag->handle->index >= outline->corner_count)
        return tb_drag__no_such(drag, "corner", fault);
    outline->corners[drag->handle->index].at =
        (TbVec2){tb_drag__step(tb_vec3_dot(way, u), TB_DRAG_STEP),
                 tb_drag__step(tb_vec3_dot(way, v), TB_DRAG_STEP)};
    return TB_OK;
}

/* ---- which is which ---- */

/** What kind of item a handle is of; -1: of several. */
static int
item_kind(TbHandleKind kind)
{
    switch (kind) {
    case TB_HANDLE_SECTION:
        return TB_ITEM_DUCT;
    case TB_HANDLE_SHAFT:
    case TB_HANDLE_HOUSING:
        return TB_ITEM_TURBO;
    case TB_HANDLE_BLOCK_FACE:
    case TB_HANDLE_BLOCK_CORNER:
        return TB_ITEM_BLOCK;
    case TB_HANDLE_ROD_END:
    case TB_HANDLE_ROD_RADIUS:
        return TB_ITEM_ROD;
    case TB_HANDLE_BALL_RADIUS:
        return TB_ITEM_BALL;
    case TB_HANDLE_OUTLINE_CORNER:
    case TB_HANDLE_OUTLINE_DEPTH:
        return TB_ITEM_OUTLINE;
    case TB_HANDLE_ITEM:
    case TB_HANDLE_KNOT:
    case TB_HANDLE_TANGENT:
    case TB_HANDLE_PORT:
    case TB_HANDLE_FLOW:
    case TB_HANDLE_TURN:
    case TB_HANDLE_BOLTS:
    case TB_HANDLE_CLAMP:
        break;
    }
    return -1;
}

/** Change the copy of an item, which stands as it does in the variant. */
static TbStatus
change_item(const Drag *drag, TbItem *item, TbVec3 to_bay, TbFault *fault)
{
    int wanted = item_kind(drag->handle->kind);

    if (wanted >= 0 && item->kind != (TbItemKind)wanted)
        return tb_fail(fault, TB_E_REFERENCE, "\"%s\" is a %s, not a %s", drag->id,
                       tb_item_kind_name(item->kind), tb_item_kind_name((TbItemKind)wanted));
    switch (drag->handle->kind) {
    case TB_HANDLE_KNOT:
        return drag_knot(drag, item, fault);
    case TB_HANDLE_TANGENT:
        return drag_tangent(drag, item, fault);
    case TB_HANDLE_SECTION:
        return drag_row(drag, item, to_bay, fault);
    case TB_HANDLE_SHAFT:
        return drag_shaft(drag, (TbTurbo *)item, fault);
    case TB_HANDLE_HOUSING:
        return drag_housing(drag, (TbTurbo *)item, fault);
    case TB_HANDLE_BLOCK_FACE:
    case TB_HANDLE_BLOCK_CORNER:
        return drag_block(drag, (TbBlockItem *)item, fault);
    case TB_HANDLE_ROD_END:
    case TB_HANDLE_ROD_RADIUS:
        return drag_rod(drag, (TbRodItem *)item, fault);
    case TB_HANDLE_BALL_RADIUS:
        return drag_ball(drag, (TbBallItem *)item, fault);
    case TB_HANDLE_OUTLINE_CORNER:
    case TB_HANDLE_OUTLINE_DEPTH:
        return drag_outline(drag, (TbOutlineItem *)item, fault);
    case TB_HANDLE_TURN:
        return tb_drag__turn(drag, item, fault);
    case TB_HANDLE_ITEM:
    case TB_HANDLE_PORT:
    case TB_HANDLE_FLOW:
    case TB_HANDLE_BOLTS:
    case TB_HANDLE_CLAMP:
        break;
    }
    TB_ASSERT(false && "a handle of a whole item or a port");
    return TB_E_REFERENCE;
}

/** The item that stands for an id in a variant, its pose, and whether it is mirrored. */
static TbStatus
find_standing(const Drag *drag, const TbItem **record, bool *mirrored, TbPose *pose, TbFault *fault)
{
    const TbItem *item;
    TbStatus status = tb_bay_item_pose(drag->bay, drag->variant, drag->id, pose, fault);

    if (status != TB_OK)
        return status;
    item = tb_bay_item_in(drag->bay, drag->variant, drag->id);
    if (item == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "\"%s\" is not there in this variant", drag->id);
    *record = tb_bay_item(drag->bay, item->record.id);
    *mirrored = *record != item;
    return TB_OK;
}

static TbStatus
drag_shape(Drag *drag, TbVec3 to, TbBay **out, TbFault *fault)
{
    const TbItem *record = NULL;
    Edit edit = {.bay = NULL};
    bool mirrored = false;
    TbPose pose;
    TbStatus status = find_standing(drag, &record, &mirrored, &pose, fault);

    if (status == TB_OK)
        status = tb_edit__begin(&edit, drag->bay, &record->record, fault);
    if (status == TB_OK) {
        drag->to = tb_pose_point(tb_pose_inverse(pose), to);
        if (mirrored)
            tb_element_mirror(edit.record->element, edit.record);
        status = change_item(drag, (TbItem *)edit.record, to, fault);
        if (mirrored)
            tb_element_mirror(edit.record->element, edit.record);
    }
    return tb_edit__finish(&edit, status, out, fault);
}

/** A whole item goes by the way from its handle's place in the document. */
static TbStatus
drag_whole(const Drag *drag, TbVec3 to, TbBay **out, TbFault *fault)
{
    const TbItem *record;
    TbHandle *handles = NULL;
    size_t count = 0;
    bool mirrored;
    TbPose pose;
    TbVec3 by = {0, 0, 0};
    TbStatus status = find_standing(drag, &record, &mirrored, &pose, fault);

    if (status == TB_OK)
        status = tb_bay_handles(drag->bay, drag->variant, drag->id, &handles, &count, fault);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < count; i++)
        if (handles[i].kind == TB_HANDLE_ITEM)
            by = tb_vec3_sub(to, handles[i].point);
    tb_free(handles);
    by = tb_drag__step_place(tb_pose_direction(tb_pose_inverse(pose), by));
    if (mirrored)
        by.y = -by.y;
    return tb_edit_move_item(drag->bay, record->record.id, by, out, fault);
}

TbStatus
tb_edit_drag_handle(const TbBay *bay,
                    const char *variant,
                    const char *item,
                    const TbHandle *handle,
                    TbVec3 to,
                    TbBay **out,
                    TbFault *fault)
{
    Drag drag = {.bay = bay, .variant = variant, .id = item, .handle = handle};

    if (variant != NULL && tb_bay_variant(bay, variant) == NULL)
        return tb_edit__not_there("variant", variant, fault);
    if (handle->kind == TB_HANDLE_ITEM)
        return drag_whole(&drag, to, out, fault);
    if (handle->kind == TB_HANDLE_PORT || handle->kind == TB_HANDLE_FLOW)
        return tb_drag__port(&drag, to, out, fault);
    if (handle->kind == TB_HANDLE_BOLTS || handle->kind == TB_HANDLE_CLAMP)
        return tb_drag__clocking(&drag, to, out, fault);
    return drag_shape(&drag, to, out, fault);
}
