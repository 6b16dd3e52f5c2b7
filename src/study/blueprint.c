/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/shape.h"

#include <string.h>

static bool
ends_on(const TbItem *item, const char *port)
{
    const TbEnd *start, *end;

    if (!tb_item_has_path(item))
        return false;
    start = tb_item_start(item);
    end = tb_item_end(item);
    return (start != NULL && g_strcmp0(start->port, port) == 0) ||
           (end != NULL && g_strcmp0(end->port, port) == 0);
}

/* ---- clamps of joints ---- */

/* The clamp counts with the first item of the document that ends on the joint, so that it counts
 * once; without one it belongs to the owner of port a. */
static const char *
clamp_bearer(const TbBay *bay, const char *variant, const TbJoint *joint)
{
    const TbPort *port;

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        const char *id = tb_bay_item_at(bay, i)->record.id;
        const TbItem *item = tb_bay_item_in(bay, variant, id);

        if (item != NULL && (ends_on(item, joint->a) || ends_on(item, joint->b)))
            return id;
    }
    port = tb_bay_port(bay, joint->a);
    return port == NULL ? NULL : port->owner;
}

static TbStatus
place_clamps(TbBlueprint *blueprint, const TbBay *bay, const char *variant, const char *id)
{
    g_autoptr(GArray) clamps = g_array_new(FALSE, TRUE, sizeof(TbClamp));
    TbStatus status = TB_OK;

    for (size_t i = 0; status == TB_OK && i < tb_bay_count(bay, TB_LIST_JOINTS); i++) {
        const TbJoint *joint = tb_bay_joint_at(bay, i);
        TbClamp clamp = {.joint = joint};

        if (joint->ring_count + joint->box_count == 0 ||
            g_strcmp0(clamp_bearer(bay, variant, joint), id) != 0)
            continue;
        status = tb_bay_port_place(bay, variant, joint->a, &clamp.place, &blueprint->fault);
        if (status == TB_OK) {
            tb_record_ref(&joint->record);
            g_array_append_val(clamps, clamp);
        }
    }
    blueprint->clamp_count = clamps->len;
    blueprint->clamps = (TbClamp *)(void *)g_array_free(g_steal_pointer(&clamps), FALSE);
    return status;
}

/* ---- scans ---- */

static const double scan_units[] = {
    [TB_SCAN_MM] = 1, [TB_SCAN_CM] = 10, [TB_SCAN_M] = 1000, [TB_SCAN_INCH] = 25.4};

/* The scan's own axes: x along, z up laid square to it. */
static TbStatus
scan_placement(const TbScanItem *scan, TbPose *pose, TbFault *fault)
{
    TbVec3 x = tb_vec3_unit(scan->along);
    TbVec3 z = tb_vec3_unit(tb_vec3_across(scan->up, x));

    if (tb_vec3_length(x) == 0 || tb_vec3_length(z) == 0)
        return tb_fail(fault, TB_E_DEGENERATE, "its up direction lies along its x axis");
    *pose = (TbPose){.x = x, .y = tb_vec3_cross(z, x), .z = z, .origin = scan->at, .scale = 1};
    return TB_OK;
}

static TbStatus
find_scan(TbBlueprint *blueprint, const TbShapeSources *sources)
{
    const TbScanItem *scan = tb_item_scan(blueprint->item);
    g_autofree char *path = NULL;
    TbPose pose;
    TbStatus status = scan_placement(scan, &pose, &blueprint->fault);

    if (status != TB_OK)
        return status;
    if (sources->folder == NULL || g_path_is_absolute(scan->file))
        path = g_strdup(scan->file);
    else
        path = g_build_filename(sources->folder, scan->file, NULL);
    blueprint->scan = tb_store_scan(sources->store, path, scan->sha256, scan_units[scan->unit],
                                    pose, sources->work, sources->task);
    return TB_OK;
}

/* ---- the whole ---- */

static TbStatus
place_item(TbBlueprint *blueprint,
           const TbBay *bay,
           const char *variant,
           const char *id,
           const TbShapeSources *sources)
{
    TbFault *fault = &blueprint->fault;
    TbStatus status = TB_OK;

    for (size_t i = 0; i <= TB_HOUSING_COUNT; i++)
        blueprint->pose[i] = tb_pose_identity();
    if (tb_item_has_path(blueprint->item))
        status = tb_bay_path(bay, variant, id, &blueprint->path, fault);
    else if (blueprint->item->kind == TB_ITEM_TURBO)
        for (int i = 0; status == TB_OK && i <= TB_HOUSING_COUNT; i++)
            status = tb_bay_turbo_pose(bay, variant, id, i == TB_HOUSING_COUNT ? -1 : i,
                                       &blueprint->pose[i], fault);
    else
        status = tb_bay_item_pose(bay, variant, id, &blueprint->pose[TB_HOUSING_COUNT], fault);
    if (status == TB_OK && blueprint->item->kind == TB_ITEM_SCAN)
        status = find_scan(blueprint, sources);
    if (status == TB_OK)
        status = place_clamps(blueprint, bay, variant, id);
    return status;
}

TbBlueprint *
tb_blueprint_new(const TbBay *bay,
                 const char *variant,
                 const char *id,
                 const TbShapeSources *sources)
{
    TbBlueprint *blueprint = g_new0(TbBlueprint, 1);

    blueprint->item = tb_bay_item_in(bay, variant, id);
    TB_ASSERT(blueprint->item != NULL);
    tb_record_ref(&blueprint->item->record);
    blueprint->status = place_item(blueprint, bay, variant, id, sources);
    return blueprint;
}

void
tb_blueprint_free(TbBlueprint *blueprint)
{
    if (blueprint == NULL)
        return;
    for (size_t i = 0; i < blueprint->clamp_count; i++)
        tb_record_unref(&blueprint->clamps[i].joint->record);
    g_free(blueprint->clamps);
    tb_tree_unref(blueprint->scan.tree);
    tb_placed_path_clear(&blueprint->path);
    tb_record_unref(&blueprint->item->record);
    g_free(blueprint);
}

/* ---- key ---- */

static void
add_path(TbKey *key, const TbPlacedPath *path)
{
    tb_key_add_word(key, (uint64_t)path->kind);
    tb_key_add_word(key, path->count);
    for (size_t i = 0; i < path->count; i++) {
        tb_key_add_vec3(key, path->knots[i]);
        tb_key_add_number(key, path->radii[i]);
    }
    tb_key_add_word(key, (path->has_start ? 1 : 0) | (path->has_end ? 2 : 0) |
                             (path->has_start_up ? 4 : 0));
    if (path->has_start)
        tb_key_add_vec3(key, path->start_tangent);
    if (path->has_end)
        tb_key_add_vec3(key, path->end_tangent);
    if (path->has_start_up)
        tb_key_add_vec3(key, path->start_up);
}

TbKey *
tb_blueprint_key(const TbBlueprint *blueprint)
{
    TbKey *key = tb_key_new(blueprint->item->record.node);

    tb_key_add_word(key, blueprint->status);
    tb_key_add_text(key, blueprint->status == TB_OK ? NULL : blueprint->fault.text);
    add_path(key, &blueprint->path);
    for (size_t i = 0; i <= TB_HOUSING_COUNT; i++)
        tb_key_add_pose(key, blueprint->pose[i]);
    tb_key_add_word(key, blueprint->scan.state);
    tb_key_add_text(key, blueprint->scan.checksum);
    tb_key_add_text(key, blueprint->scan.fault.text);
    for (size_t i = 0; i < blueprint->clamp_count; i++) {
        tb_key_add_word(key, blueprint->clamps[i].joint->record.node);
        tb_key_add_pose(key, tb_port_pose(blueprint->clamps[i].place));
    }
    return key;
}
