/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/ports.h"

#include "base/mem.h"
#include "bay/build.h"
#include "geom/tol.h"

#include <stdio.h>
#include <string.h>

/* ---- what a variant says ---- */

static TbStatus
find_variant(const TbBay *bay, const char *id, const TbVariant **variant, TbFault *fault)
{
    *variant = tb_bay_variant(bay, id);
    if (id != NULL && *variant == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "variant \"%s\" is not in the bay", id);
    return TB_OK;
}

static bool
is_target(const TbTarget *targets, size_t count, const char *id)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(targets[i].item, id) == 0)
            return true;
    return false;
}

static bool
is_mirrored(const TbVariant *variant, const char *id)
{
    return variant != NULL && is_target(variant->mirrors, variant->mirror_count, id);
}

/** The item that stands for another one, before any mirror: swapped or itself. */
static const TbItem *
swapped(const TbBay *bay, const TbVariant *variant, const char *id)
{
    if (variant != NULL)
        for (size_t i = 0; i < variant->swap_count; i++)
            if (strcmp(variant->swaps[i].item, id) == 0)
                return tb_bay_item(bay, variant->swaps[i].with);
    return tb_bay_item(bay, id);
}

/** True when the item, or the one it stands for, is mirrored. */
static bool
stands_mirrored(const TbVariant *variant, const char *id, const TbItem *item)
{
    return is_mirrored(variant, id) || is_mirrored(variant, item->record.id);
}

/** The same with its mirror image, hidden or not. NULL: no such item. */
static TbStatus
stand_in(
    const TbBay *bay, const TbVariant *variant, const char *id, const TbItem **item, TbFault *fault)
{
    *item = swapped(bay, variant, id);
    if (*item == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "item \"%s\" is not in the bay", id);
    if (stands_mirrored(variant, id, *item)) {
        *item = tb_item_mirrored(*item);
        if (*item == NULL)
            return tb_fail(fault, TB_E_MEMORY, "no room for the mirror image of \"%s\"", id);
    }
    return TB_OK;
}

const TbItem *
tb_item_mirrored(const TbItem *item)
{
    return (const TbItem *)tb_record_mirrored(&item->record);
}

const TbItem *
tb_bay_item_in(const TbBay *bay, const char *variant_id, const char *id)
{
    const TbVariant *variant = tb_bay_variant(bay, variant_id);
    const TbItem *item = tb_bay_item(bay, id);

    if (item == NULL || item->spare)
        return NULL;
    if (variant != NULL && is_target(variant->hides, variant->hide_count, id))
        return NULL;
    return stand_in(bay, variant, id, &item, NULL) == TB_OK ? item : NULL;
}

static TbVec3
shift_of(const TbBay *bay, const TbVariant *variant, const char *mount)
{
    TbVec3 sum = tb_vec3(0, 0, 0);

    /* the document's check has seen that no mount rides on itself */
    for (const TbMount *at = tb_bay_mount(bay, mount); at != NULL && variant != NULL;
         at = tb_bay_mount(bay, at->parent))
        for (size_t i = 0; i < variant->shift_count; i++)
            if (strcmp(variant->shifts[i].mount, at->record.id) == 0)
                sum = tb_vec3_add(sum, variant->shifts[i].by);
    return sum;
}

TbVec3
tb_bay_mount_shift(const TbBay *bay, const char *variant, const char *mount)
{
    return shift_of(bay, tb_bay_variant(bay, variant), mount);
}

/* ---- axes ---- */

/** Axes with x along @p x and z as near to @p z as square allows. The two must not be parallel. */
static TbPose
axes(TbVec3 origin, TbVec3 x, TbVec3 z)
{
    TbPose pose = tb_pose_identity();

    pose.x = tb_vec3_unit(x);
    pose.z = tb_vec3_unit(tb_vec3_across(z, pose.x));
    pose.y = tb_vec3_cross(pose.z, pose.x);
    pose.origin = origin;
    return pose;
}

/** Vehicle +Z, or -X where the direction is within TB_ANGLE_STEEP of vertical (job words). */
static TbVec3
usual_up(TbVec3 flow)
{
    return fabs(tb_vec3_unit(flow).z) > cos(TB_ANGLE_STEEP) ? tb_vec3(-1, 0, 0) : tb_vec3(0, 0, 1);
}

TbPose
tb_port_pose(TbPortPlace place)
{
    return axes(place.point, place.flow, place.up);
}

/* ---- ports follow items, items follow ports ---- */

/** The ports on the way, to see a circle. */
typedef struct Trail {
    const struct Trail *back;
    const char *port;
} Trail;

/** "a -> b -> a", from the place where @p id was first met. */
static void
tell_circle(const Trail *trail, const char *id, char *out, size_t room)
{
    if (strcmp(trail->port, id) != 0)
        tell_circle(trail->back, id, out, room);
    snprintf(out + strlen(out), room - strlen(out), "%s -> ", trail->port);
}

static TbStatus place_port(const TbBay *bay,
                           const TbVariant *variant,
                           const char *id,
                           const Trail *back,
                           TbPortPlace *place,
                           TbFault *fault);

static TbStatus
item_pose(const TbBay *bay,
          const TbVariant *variant,
          const TbItem *item,
          const Trail *back,
          TbPose *pose,
          TbFault *fault)
{
    TbPortPlace place;
    TbStatus status;

    if (item->on == NULL) {
        *pose = tb_pose_shift(shift_of(bay, variant, item->mount));
        return TB_OK;
    }
    status = place_port(bay, variant, item->on, back, &place, fault);
    if (status == TB_OK)
        *pose = tb_port_pose(place);
    return status;
}

/** From a housing's axes to those that the turbo is given in. */
static TbPose
housing_pose(const TbTurbo *turbo, int of)
{
    const TbHousing *housing = of >= 0 ? tb_turbo_housing(turbo, of) : NULL;
    double turn = housing != NULL ? housing->turn : 0; /* deg */
    TbPose turned = tb_pose_identity();

    if (turn != 0)
        turned = tb_pose_turn(tb_vec3(0, 0, 0), tb_vec3(1, 0, 0), turn * (M_PI / 180));
    return tb_pose_compose(axes(turbo->at, turbo->shaft, turbo->up), turned);
}

/** The axes that a port of an owner is given in. */
static TbStatus
owner_pose(const TbBay *bay,
           const TbVariant *variant,
           const TbItem *owner,
           int housing,
           const Trail *back,
           TbPose *pose,
           TbFault *fault)
{
    TbStatus status = item_pose(bay, variant, owner, back, pose, fault);

    if (status == TB_OK && owner->kind == TB_ITEM_TURBO)
        *pose = tb_pose_compose(*pose, housing_pose(tb_item_turbo(owner), housing));
    return status;
}

/** A port given in axes, in the bay's. */
static TbStatus
put_port(const TbPort *port, TbPose pose, TbPortPlace *place, TbFault *fault)
{
    TbVec3 flow = tb_vec3_unit(tb_pose_direction(pose, port->flow));
    TbVec3 up = tb_vec3_is_given(port->up) ? tb_pose_direction(pose, port->up) : usual_up(flow);

    up = tb_vec3_unit(tb_vec3_across(tb_vec3_unit(up), flow));
    if (tb_vec3_length(flow) < 0.5 || tb_vec3_length(up) < 0.5) /* units, or zero by decision */
        return tb_fail(fault, TB_E_DEGENERATE,
                       "port \"%s\" has no direction, or its up lies along it", port->record.id);
    place->point = tb_pose_point(pose, port->at);
    place->flow = flow;
    place->up = up;
    return TB_OK;
}

static TbStatus
place_owned(const TbBay *bay,
            const TbVariant *variant,
            const TbPort *port,
            const Trail *trail,
            TbPortPlace *place,
            TbFault *fault)
{
    const TbItem *owner;
    TbPose pose;
    TbStatus status = stand_in(bay, variant, port->owner, &owner, fault);

    if (status == TB_OK)
        status = owner_pose(bay, variant, owner, port->housing, trail, &pose, fault);
    if (status != TB_OK)
        return status;
    if (stands_mirrored(variant, port->owner, owner)) {
        port = (const TbPort *)tb_record_mirrored(&port->record);
        if (port == NULL)
            return tb_fail(fault, TB_E_MEMORY, "no room for a mirrored port");
    }
    place->mount = owner->mount;
    return put_port(port, pose, place, fault);
}

static TbStatus
place_port(const TbBay *bay,
           const TbVariant *variant,
           const char *id,
           const Trail *back,
           TbPortPlace *place,
           TbFault *fault)
{
    const TbPort *port = tb_bay_port(bay, id);
    Trail trail = {back, id};

    if (port == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "port \"%s\" is not in the bay", id);
    for (const Trail *at = back; at != NULL; at = at->back)
        if (strcmp(at->port, id) == 0) {
            char circle[TB_FAULT_TEXT / 2] = "";

            tell_circle(back, id, circle, sizeof circle);
            return tb_fail(fault, TB_E_REFERENCE, "ports follow each other in a circle: %s%s",
                           circle, id);
        }
    if (port->owner != NULL)
        return place_owned(bay, variant, port, &trail, place, fault);
    place->mount = port->mount;
    if (is_mirrored(variant, id)) {
        port = (const TbPort *)tb_record_mirrored(&port->record);
        if (port == NULL)
            return tb_fail(fault, TB_E_MEMORY, "no room for the mirror image of \"%s\"", id);
    }
    return put_port(port, tb_pose_shift(shift_of(bay, variant, port->mount)), place, fault);
}

TbStatus
tb_bay_port_place(
    const TbBay *bay, const char *variant_id, const char *port, TbPortPlace *place, TbFault *fault)
{
    const TbVariant *variant;
    TbPortPlace found;
    TbStatus status = find_variant(bay, variant_id, &variant, fault);

    if (status == TB_OK)
        status = place_port(bay, variant, port, NULL, &found, fault);
    if (status == TB_OK)
        *place = found;
    return status;
}

TbStatus
tb_bay_item_pose(
    const TbBay *bay, const char *variant_id, const char *id, TbPose *pose, TbFault *fault)
{
    const TbVariant *variant;
    const TbItem *item;
    TbPose found;
    TbStatus status = find_variant(bay, variant_id, &variant, fault);

    if (status == TB_OK)
        status = stand_in(bay, variant, id, &item, fault);
    if (status == TB_OK)
        status = item_pose(bay, variant, item, NULL, &found, fault);
    if (status == TB_OK)
        *pose = found;
    return status;
}

TbStatus
tb_bay_turbo_pose(const TbBay *bay,
                  const char *variant_id,
                  const char *id,
                  int housing,
                  TbPose *pose,
                  TbFault *fault)
{
    const TbVariant *variant;
    const TbItem *item;
    TbPose found;
    TbStatus status = find_variant(bay, variant_id, &variant, fault);

    if (status == TB_OK)
        status = stand_in(bay, variant, id, &item, fault);
    if (status == TB_OK && item->kind != TB_ITEM_TURBO)
        status = tb_fail(fault, TB_E_REFERENCE, "\"%s\" is a %s, not a turbo", id,
                         tb_item_kind_name(item->kind));
    if (status == TB_OK)
        status = owner_pose(bay, variant, item, housing, NULL, &found, fault);
    if (status == TB_OK)
        *pose = found;
    return status;
}

/* ---- paths ---- */

/** One end of a path, if it has a port or a tangent. */
typedef struct End {
    bool has_port, has_tangent;
    TbPortPlace place;
    TbVec3 tangent; /**< unit, along the path */
} End;

static TbStatus
place_end(const TbBay *bay,
          const TbVariant *variant,
          const TbEnd *end,
          TbPose pose,
          End *out,
          TbFault *fault)
{
    TbStatus status = TB_OK;

    *out = (End){false, false, {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}, NULL}, {0, 0, 0}};
    if (end == NULL)
        return TB_OK;
    if (end->port != NULL) {
        status = place_port(bay, variant, end->port, NULL, &out->place, fault);
        out->has_port = out->has_tangent = status == TB_OK;
        out->tangent = end->against ? tb_vec3_neg(out->place.flow) : out->place.flow;
    } else if (tb_vec3_is_given(end->tangent)) {
        out->has_tangent = true;
        out->tangent = tb_vec3_unit(tb_pose_direction(pose, end->tangent));
    }
    return status;
}

/** The free knots of an item and its port ends, one after the other. */
static TbStatus
lay_knots(const TbPath *path,
          TbPose pose,
          const End *start,
          const End *end,
          TbPlacedPath *out,
          TbFault *fault)
{
    size_t count = path->knot_count + start->has_port + end->has_port;
    size_t n = 0;

    if (count < 2)
        return tb_fail(fault, TB_E_DEGENERATE, "path has %zu knots, 2 are needed", count);
    out->knots = tb_alloc_array(count, sizeof *out->knots);
    out->radii = tb_alloc_array(count, sizeof *out->radii);
    if (out->knots == NULL || out->radii == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu knots", count);
    if (start->has_port)
        out->knots[n++] = start->place.point;
    for (size_t i = 0; i < path->knot_count; i++) {
        out->knots[n] = tb_pose_point(pose, path->knots[i].at);
        out->radii[n] = tb_is_given(path->knots[i].radius) ? path->knots[i].radius : 0;
        n++;
    }
    if (end->has_port)
        out->knots[n++] = end->place.point;
    out->count = n;
    return TB_OK;
}

/** A line whose free end rides on another mount goes with that one. */
static void
shift_line_end(const TbBay *bay, const TbVariant *variant, const TbItem *item, TbPlacedPath *out)
{
    const TbLine *line = tb_item_line(item);
    TbVec3 by;

    if (line->end_mount == NULL || item->on != NULL)
        return;
    by = tb_vec3_sub(shift_of(bay, variant, line->end_mount), shift_of(bay, variant, item->mount));
    out->knots[out->count - 1] = tb_vec3_add(out->knots[out->count - 1], by);
}

/** Direction of the first leg. */
static TbVec3
along_start(const TbPlacedPath *path)
{
    return tb_vec3_unit(tb_vec3_sub(path->knots[1], path->knots[0]));
}

static TbStatus
place_path(const TbBay *bay,
           const TbVariant *variant,
           const TbItem *item,
           TbPlacedPath *out,
           TbFault *fault)
{
    End start;
    End end;
    TbPose pose;
    TbStatus status = item_pose(bay, variant, item, NULL, &pose, fault);

    if (status == TB_OK)
        status = place_end(bay, variant, tb_item_start(item), pose, &start, fault);
    if (status == TB_OK)
        status = place_end(bay, variant, tb_item_end(item), pose, &end, fault);
    if (status == TB_OK)
        status = lay_knots(tb_item_path(item), pose, &start, &end, out, fault);
    if (status != TB_OK)
        return status;
    if (item->kind == TB_ITEM_LINE && !end.has_port)
        shift_line_end(bay, variant, item, out);
    out->kind = tb_item_path(item)->kind;
    out->has_start = start.has_tangent;
    out->has_end = end.has_tangent;
    out->start_tangent = start.tangent;
    out->end_tangent = end.tangent;
    out->has_start_up = start.has_port;
    out->start_up = start.has_port ? start.place.up
                                   : usual_up(start.has_tangent ? start.tangent : along_start(out));
    return TB_OK;
}

TbStatus
tb_bay_path(
    const TbBay *bay, const char *variant_id, const char *id, TbPlacedPath *path, TbFault *fault)
{
    const TbVariant *variant;
    const TbItem *item;
    TbPlacedPath found = {0};
    TbStatus status = find_variant(bay, variant_id, &variant, fault);

    if (status == TB_OK)
        status = stand_in(bay, variant, id, &item, fault);
    if (status == TB_OK && !tb_item_has_path(item))
        status = tb_fail(fault, TB_E_REFERENCE, "\"%s\" is a %s and has no path", id,
                         tb_item_kind_name(item->kind));
    if (status == TB_OK)
        status = place_path(bay, variant, item, &found, fault);
    if (status == TB_OK)
        *path = found;
    else
        tb_placed_path_clear(&found);
    return status;
}

void
tb_placed_path_clear(TbPlacedPath *path)
{
    TB_CLEAR(path->knots);
    TB_CLEAR(path->radii);
    path->count = 0;
}
