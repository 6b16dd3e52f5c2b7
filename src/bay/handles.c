/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/handles.h"

#include "base/mem.h"
#include "bay/handles_private.h"

#include <string.h>

/* ---- a growing list ---- */

void
tb_handles__add(
    Handles *list, TbHandleKind kind, size_t index, TbVec3 point, TbVec3 direction, double size)
{
    void *room = list->all;

    if (list->full || tb_grow_array(&room, &list->room, list->count, sizeof *list->all) != 0) {
        list->full = true;
        return;
    }
    list->all = room;
    list->all[list->count++] = (TbHandle){kind,
                                          index,
                                          NULL,
                                          tb_pose_point(list->pose, point),
                                          tb_pose_direction(list->pose, tb_vec3_unit(direction)),
                                          size,
                                          {0, 0, 0}};
}

void
tb_handles__add_turn(
    Handles *list, TbHandleKind kind, size_t index, TbVec3 point, TbVec3 direction, TbVec3 axis)
{
    tb_handles__add(list, kind, index, point, direction, 0);
    if (!list->full)
        list->all[list->count - 1].axis = tb_pose_direction(list->pose, tb_vec3_unit(axis));
}

static const TbVec3 nowhere = {0, 0, 0};

/* ---- shared with the drag ---- */

TbVec3
tb_handle__square_to(TbVec3 axis, size_t which)
{
    TbVec3 t = tb_vec3_unit(axis);
    /* the direction of the axes that leans most across it: a handle seen in most views */
    TbVec3 up = fabs(t.z) < 0.9 ? tb_vec3(0, 0, 1) : tb_vec3(1, 0, 0);
    TbVec3 first = tb_vec3_unit(tb_vec3_across(up, t));

    return which == 0 ? first : tb_vec3_cross(t, first);
}

void
tb_handle__block_axes(const TbBlockItem *block, TbVec3 axis[3])
{
    axis[0] = tb_vec3_unit(block->along);
    axis[2] = tb_vec3_unit(tb_vec3_across(block->up, axis[0]));
    axis[1] = tb_vec3_cross(axis[2], axis[0]);
}

void
tb_handle__outline_axes(const TbOutlineItem *outline, TbVec3 *u, TbVec3 *v, TbVec3 *n)
{
    *u = tb_vec3_unit(outline->u);
    *v = tb_vec3_unit(tb_vec3_across(outline->v, *u));
    *n = tb_vec3_cross(*u, *v);
}

TbStatus
tb_handle__curve(const TbPlacedPath *path, TbCurve **curve, TbFault *fault)
{
    if (path->kind == TB_PATH_BENT)
        return tb_curve_bent_new(path->knots, path->radii, path->count, curve, fault);
    return tb_curve_smooth_new(path->knots, path->count,
                               path->has_start ? &path->start_tangent : NULL,
                               path->has_end ? &path->end_tangent : NULL, curve, fault);
}

/* ---- ducts and lines ---- */

static TbVec3
end_knot(const TbPlacedPath *path, int which)
{
    return path->knots[which == 0 ? 0 : path->count - 1];
}

/** The own knots among the placed ones, the end of a line that rides elsewhere included. */
static void
add_knots(Handles *list, const TbPlacedPath *path)
{
    const TbEnd *start = tb_item_start(list->item);
    const TbPath *own = tb_item_path(list->item);
    size_t first = start != NULL && start->port != NULL;

    list->pose = tb_pose_identity(); /* the placed path is in the bay's axes */
    if (own->knot_count >= 2) {      /* between its own knots: ends on ports do not go along */
        const TbVec3 *middle = path->knots + first + own->knot_count / 2;

        tb_handles__add(list, TB_HANDLE_ITEM, 0, tb_vec3_mix(middle[-1], middle[0], 0.5), nowhere,
                        0);
    }
    for (size_t i = 0; i < own->knot_count; i++)
        tb_handles__add(list, TB_HANDLE_KNOT, i, path->knots[first + i], nowhere, 0);
}

static void
add_tangents(Handles *list, const TbPlacedPath *path)
{
    const TbEnd *ends[2] = {tb_item_start(list->item), tb_item_end(list->item)};
    TbVec3 tangents[2] = {path->start_tangent, path->end_tangent};

    for (int i = 0; i < 2; i++)
        if (ends[i] != NULL && ends[i]->port == NULL && tb_vec3_is_given(ends[i]->tangent))
            tb_handles__add(list, TB_HANDLE_TANGENT, (size_t)i,
                            tb_vec3_add_scaled(end_knot(path, i), TB_HANDLE_REACH, tangents[i]),
                            tangents[i], 0);
}

/** Rows stand on the path; a path that has no curve (a knot dragged onto another) shows none. */
static void
add_rows(Handles *list, const TbPlacedPath *path)
{
    const TbDuct *duct = tb_item_duct(list->item);
    TbCurve *curve = NULL;
    double length;

    if (tb_handle__curve(path, &curve, NULL) != TB_OK)
        return;
    length = tb_curve_length(curve);
    for (size_t i = 0; i < duct->row_count; i++) {
        const TbRow *row = &duct->rows[i];
        TbCurvePoint at = tb_curve_at(curve, row->from_end ? length - row->at : row->at);

        tb_handles__add(list, TB_HANDLE_SECTION, i, at.point, at.tangent, at.station);
    }
    tb_curve_unref(curve);
}

static TbStatus
add_path(Handles *list, TbFault *fault)
{
    TbPlacedPath path = {0};
    TbStatus status = tb_bay_path(list->bay, list->variant, list->asked, &path, fault);

    if (status != TB_OK)
        return status;
    add_knots(list, &path);
    add_tangents(list, &path);
    if (list->item->kind == TB_ITEM_DUCT)
        add_rows(list, &path);
    tb_placed_path_clear(&path);
    return TB_OK;
}

/* ---- the turbo ---- */

double
tb_handle__shaft_reach(const TbTurbo *turbo)
{
    double reach = 0;

    for (size_t i = 0; i < turbo->rod_count; i++)
        reach = fmax(reach, fmax(turbo->rods[i].from, turbo->rods[i].to));
    return reach + TB_HANDLE_REACH;
}

/** Where along and how far from the shaft the handle of a housing's turn is. */
static void
housing_reach(const TbTurbo *turbo, int of, double *along, double *out)
{
    *along = 0;
    *out = TB_HANDLE_REACH;
    for (size_t i = 0; i < turbo->rod_count; i++)
        if (turbo->rods[i].of == of && turbo->rods[i].radius + TB_HANDLE_REACH / 2 > *out) {
            *along = (turbo->rods[i].from + turbo->rods[i].to) / 2;
            *out = turbo->rods[i].radius + TB_HANDLE_REACH / 2;
        }
}

static TbStatus
add_turbo(Handles *list, TbFault *fault)
{
    const TbTurbo *turbo = tb_item_turbo(list->item);
    TbPose own;
    TbStatus status = tb_bay_turbo_pose(list->bay, list->variant, list->asked, -1, &own, fault);

    if (status != TB_OK)
        return status;
    list->pose = own;
    tb_handles__add(list, TB_HANDLE_ITEM, 0, nowhere, nowhere, 0);
    tb_handles__add(list, TB_HANDLE_SHAFT, 0, tb_vec3(tb_handle__shaft_reach(turbo), 0, 0),
                    tb_vec3(1, 0, 0), 0);
    for (int of = 0; of < TB_HOUSING_COUNT; of++) {
        const TbHousing *housing = tb_turbo_housing(turbo, of);
        double turn = housing != NULL ? housing->turn : 0;
        double angle = turn * (M_PI / 180);
        TbVec3 up = tb_vec3(0, -sin(angle), cos(angle)); /* z turned about x */
        double along;
        double out;

        housing_reach(turbo, of, &along, &out);
        tb_handles__add_turn(list, TB_HANDLE_HOUSING, (size_t)of,
                             tb_vec3_add(tb_vec3(along, 0, 0), tb_vec3_scale(up, out)), up,
                             tb_vec3(1, 0, 0));
        if (!list->full)
            list->all[list->count - 1].size = turn;
    }
    return TB_OK;
}

/* ---- plain shapes ---- */

static void
add_block(Handles *list)
{
    const TbBlockItem *block = tb_item_block(list->item);
    TbVec3 half = tb_vec3_scale(tb_vec3_sub(block->high, block->low), 0.5);
    TbVec3 middle = tb_vec3_mix(block->low, block->high, 0.5);
    double size[3] = {half.x, half.y, half.z};
    TbVec3 axis[3];

    tb_handle__block_axes(block, axis);
    tb_handles__add(list, TB_HANDLE_ITEM, 0, middle, nowhere, 0);
    for (size_t face = 0; face < 6; face++) {
        double side = face % 2 == 0 ? -1 : 1;

        tb_handles__add(list, TB_HANDLE_BLOCK_FACE, face,
                        tb_vec3_add_scaled(middle, side * size[face / 2], axis[face / 2]),
                        tb_vec3_scale(axis[face / 2], side), 2 * size[face / 2]);
    }
    for (size_t corner = 0; corner < 8; corner++) {
        TbVec3 at = middle;

        for (int k = 0; k < 3; k++)
            at = tb_vec3_add_scaled(at, (corner >> k & 1) != 0 ? size[k] : -size[k], axis[k]);
        tb_handles__add(list, TB_HANDLE_BLOCK_CORNER, corner, at, nowhere, 0);
    }
    for (size_t k = 0; k < 3; k++) {
        size_t next = (k + 1) % 3;

        tb_handles__add_turn(
            list, TB_HANDLE_TURN, k,
            tb_vec3_add_scaled(middle, size[next] + TB_HANDLE_REACH / 2, axis[next]), axis[next],
            axis[k]);
    }
}

static void
add_rod(Handles *list)
{
    const TbRodItem *rod = tb_item_rod(list->item);
    TbVec3 ends[2] = {rod->a, rod->b};
    double radii[2] = {rod->radius, tb_is_given(rod->radius_to) ? rod->radius_to : rod->radius};
    TbVec3 axis = tb_vec3_sub(rod->b, rod->a);

    tb_handles__add(list, TB_HANDLE_ITEM, 0, tb_vec3_mix(rod->a, rod->b, 0.5), nowhere, 0);
    for (size_t i = 0; i < 2; i++)
        tb_handles__add(list, TB_HANDLE_ROD_END, i, ends[i], nowhere, 0);
    for (size_t i = 0; i < 4; i++) {
        TbVec3 out = tb_handle__square_to(axis, i % 2);

        tb_handles__add(list, TB_HANDLE_ROD_RADIUS, i,
                        tb_vec3_add_scaled(ends[i / 2], radii[i / 2], out), out, radii[i / 2]);
    }
    for (size_t i = 0; i < 2; i++)
        tb_handles__add_turn(list, TB_HANDLE_TURN, i,
                             tb_vec3_add_scaled(rod->b, TB_HANDLE_REACH / 2, tb_vec3_unit(axis)),
                             axis, tb_handle__square_to(axis, i));
}

static void
add_ball(Handles *list)
{
    const TbBallItem *ball = tb_item_ball(list->item);
    static const TbVec3 out[3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};

    tb_handles__add(list, TB_HANDLE_ITEM, 0, ball->at, nowhere, 0);
    for (size_t i = 0; i < 3; i++)
        tb_handles__add(list, TB_HANDLE_BALL_RADIUS, i,
                        tb_vec3_add_scaled(ball->at, ball->radius, out[i]), out[i], ball->radius);
}

static TbVec3
outline_point(const TbOutlineItem *outline, TbVec2 at)
{
    TbVec3 u;
    TbVec3 v;
    TbVec3 n;

    tb_handle__outline_axes(outline, &u, &v, &n);
    return tb_vec3_add_scaled(tb_vec3_add_scaled(outline->origin, at.x, u), at.y, v);
}

TbVec3
tb_handle__outline_middle(const TbOutlineItem *outline)
{
    TbVec2 middle = {0, 0};

    for (size_t i = 0; i < outline->corner_count; i++) {
        middle.x += outline->corners[i].at.x / (double)outline->corner_count;
        middle.y += outline->corners[i].at.y / (double)outline->corner_count;
    }
    return outline_point(outline, middle);
}

static void
add_outline(Handles *list)
{
    const TbOutlineItem *outline = tb_item_outline(list->item);
    TbVec3 middle = tb_handle__outline_middle(outline);
    double reach = 0; /* along u */
    TbVec3 u;
    TbVec3 v;
    TbVec3 n;

    tb_handle__outline_axes(outline, &u, &v, &n);
    for (size_t i = 0; i < outline->corner_count; i++) {
        TbVec3 at = outline_point(outline, outline->corners[i].at);

        reach = fmax(reach, tb_vec3_dot(tb_vec3_sub(at, middle), u));
        tb_handles__add(list, TB_HANDLE_OUTLINE_CORNER, i, at, nowhere, 0);
    }
    tb_handles__add(list, TB_HANDLE_ITEM, 0, middle, nowhere, 0);
    tb_handles__add(list, TB_HANDLE_OUTLINE_DEPTH, 0, tb_vec3_add_scaled(middle, outline->depth, n),
                    n, outline->depth);
    tb_handles__add_turn(list, TB_HANDLE_TURN, 0,
                         tb_vec3_add_scaled(middle, reach + TB_HANDLE_REACH / 2, u), u, n);
}

static TbStatus
add_all(Handles *list, TbFault *fault)
{
    switch (list->item->kind) {
    case TB_ITEM_DUCT:
    case TB_ITEM_LINE:
        return add_path(list, fault);
    case TB_ITEM_TURBO:
        return add_turbo(list, fault);
    case TB_ITEM_BLOCK:
        add_block(list);
        break;
    case TB_ITEM_ROD:
        add_rod(list);
        break;
    case TB_ITEM_BALL:
        add_ball(list);
        break;
    case TB_ITEM_OUTLINE:
        add_outline(list);
        break;
    case TB_ITEM_SCAN:
        tb_handles__add(list, TB_HANDLE_ITEM, 0, tb_item_scan(list->item)->at, nowhere, 0);
        break;
    }
    return TB_OK;
}

TbStatus
tb_bay_handles(const TbBay *bay,
               const char *variant,
               const char *id,
               TbHandle **handles,
               size_t *count,
               TbFault *fault)
{
    Handles list = {.bay = bay, .variant = variant, .asked = id};
    TbStatus status = tb_bay_item_pose(bay, variant, id, &list.pose, fault);

    if (status != TB_OK)
        return status;
    list.item = tb_bay_item_in(bay, variant, id);
    if (list.item != NULL) {
        status = add_all(&list, fault);
        if (status == TB_OK)
            status = tb_handles__add_ports(&list, fault);
    }
    if (status == TB_OK && list.full)
        status = tb_fail(fault, TB_E_MEMORY, "no room for the handles of \"%s\"", id);
    if (status != TB_OK) {
        tb_free(list.all);
        return status;
    }
    *handles = list.all;
    *count = list.count;
    return TB_OK;
}
