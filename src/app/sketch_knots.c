/* SPDX-License-Identifier: GPL-3.0-or-later */

/* More knots for a path that is there: put where the path passes nearest on the view. */

#include "app/sketch_private.h"

#include "bay/edit.h"
#include "bay/ports.h"

#include <math.h>

/** Where a new knot goes. */
typedef struct Slot {
    size_t before; /* of the placed path's knots */
    TbVec3 at;     /* bay axes */
    double off;    /* mm on paper from the chord */
} Slot;

/* The chord that passes nearest; what a point has square to the view is the chord's there. */
static Slot
find_slot(const TbPlacedPath *path, const TbItem *item, TbPlane plane, TbVec2 p)
{
    bool free_start = tb_item_start(item) == NULL || tb_item_start(item)->port == NULL;
    bool free_end = tb_item_end(item) == NULL || tb_item_end(item)->port == NULL;
    Slot best = {.before = 1, .off = INFINITY};

    for (size_t i = 0; i + 1 < path->count; i++) {
        TbVec2 a = tb_plane_project(plane, path->knots[i]);
        TbVec2 d = tb_vec2_sub(tb_plane_project(plane, path->knots[i + 1]), a);
        double length2 = tb_vec2_dot(d, d);
        double k = length2 > 0 ? tb_vec2_dot(tb_vec2_sub(p, a), d) / length2 : 0;
        bool beyond =
            (k < 0 && i == 0 && free_start) || (k > 1 && i + 2 == path->count && free_end);
        double on = CLAMP(k, 0, 1);
        double off = tb_vec2_length(tb_vec2_sub(p, tb_vec2_add(a, tb_vec2_scale(d, on))));
        TbVec3 chord = tb_vec3_mix(path->knots[i], path->knots[i + 1], on);

        if (!(off < best.off))
            continue;
        best.off = off;
        best.before = beyond ? (k < 0 ? 0 : path->count) : i + 1;
        best.at =
            tb_vec3_add_scaled(tb_plane_lift(plane, p), tb_plane_height(plane, chord), plane.n);
    }
    return best;
}

/* A corner's bend: that of its neighbours, or what the item can be bent to. */
static double
radius_for(const TbItem *item, const TbPath *path)
{
    if (path->kind == TB_PATH_SMOOTH)
        return (double)NAN;
    for (size_t i = 0; i < path->knot_count; i++)
        if (tb_is_given(path->knots[i].radius) && path->knots[i].radius > 0)
            return path->knots[i].radius;
    if (item->kind == TB_ITEM_LINE)
        return tb_is_given(tb_item_line(item)->least_bend) ? tb_item_line(item)->least_bend
                                                           : 2 * tb_item_line(item)->diameter;
    return tb_item_duct(item)->row_count > 0 && tb_is_given(tb_item_duct(item)->rows[0].width)
               ? 1.5 * tb_item_duct(item)->rows[0].width
               : 0;
}

static TbVec3
stepped(TbVec3 p)
{
    return tb_vec3(round(p.x / TB_SKETCH_STEP) * TB_SKETCH_STEP,
                   round(p.y / TB_SKETCH_STEP) * TB_SKETCH_STEP,
                   round(p.z / TB_SKETCH_STEP) * TB_SKETCH_STEP);
}

TbStatus
tb_sketch__knot_bay(
    TbSketch *sketch, const TbBay *bay, const char *variant, TbBay **out, TbFault *fault)
{
    const TbItem *item = tb_bay_item(bay, sketch->item);
    const TbSketchAim *aim = &sketch->aim;
    TbPlacedPath path = {0};
    TbPose pose;
    TbStatus status;
    Slot slot;
    size_t index;

    if (item == NULL || !tb_item_has_path(item))
        return tb_fail(fault, TB_E_REFERENCE, "knots are for a duct or line: select one");
    if (!aim->is)
        return tb_fail(fault, TB_E_DEGENERATE, "nothing is aimed at");
    status = tb_bay_item_pose(bay, variant, sketch->item, &pose, fault);
    if (status == TB_OK)
        status = tb_bay_path(bay, variant, sketch->item, &path, fault);
    if (status != TB_OK)
        return status;
    slot = find_slot(&path, item, aim->plane, aim->on_paper);
    tb_placed_path_clear(&path);
    index = slot.before;
    if (tb_item_start(item) != NULL && tb_item_start(item)->port != NULL)
        index--; /* the port's own knot is not among the item's */
    return tb_edit_add_knot(bay, sketch->item, index,
                            stepped(tb_pose_point(tb_pose_inverse(pose), slot.at)),
                            radius_for(item, tb_item_path(item)), out, fault);
}
