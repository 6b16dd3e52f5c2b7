/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/solid.h"

#include "base/mem.h"
#include "geom/polygon.h"
#include "geom/solid_private.h"

#include <stdatomic.h>
#include <string.h>

struct TbSolid {
    atomic_int references;
    TbPart *parts;
    size_t count, room;
};

TbSolid *
tb_solid_new(void)
{
    TbSolid *solid = tb_alloc(sizeof *solid);

    if (solid != NULL)
        atomic_init(&solid->references, 1);
    return solid;
}

TbSolid *
tb_solid_ref(TbSolid *solid)
{
    atomic_fetch_add(&solid->references, 1);
    return solid;
}

static void
clear_part(TbPart *part)
{
    for (size_t i = 0; part->strips != NULL && i < tb_sweep_piece_count(part->sweep); i++)
        tb_part_strip__clear(&part->strips[i]);
    tb_free(part->strips);
    tb_sweep_unref(part->sweep);
    tb_tree_unref(part->tree);
    tb_free(part->pieces);
    if (part->kind == TB_PART_PLAIN && part->plain.kind == TB_PLAIN_OUTLINE)
        tb_free((void *)part->plain.outline.points);
}

void
tb_solid_unref(TbSolid *solid)
{
    if (solid == NULL || atomic_fetch_sub(&solid->references, 1) > 1)
        return;
    for (size_t i = 0; i < solid->count; i++)
        clear_part(&solid->parts[i]);
    tb_free(solid->parts);
    tb_free(solid);
}

/** Takes over what the part holds; frees it when there is no room. */
static TbStatus
take_part(TbSolid *solid, TbPart part, TbFault *fault)
{
    void *parts = solid->parts;

    if (tb_grow_array(&parts, &solid->room, solid->count, sizeof part) != 0) {
        clear_part(&part);
        return tb_fail(fault, TB_E_MEMORY, "no room for part %zu of a solid", solid->count + 1);
    }
    solid->parts = parts;
    solid->parts[solid->count++] = part;
    return TB_OK;
}

TbStatus
tb_solid_add_sweep(TbSolid *solid, TbSweep *sweep, int role, TbFault *fault)
{
    TbPart part = {.kind = TB_PART_SWEEP, .role = role};
    size_t count = tb_sweep_piece_count(sweep);

    part.strips = tb_alloc_array(count, sizeof *part.strips);
    if (part.strips == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for the %zu pieces of a path", count);
    for (size_t i = 0; i < count; i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);

        part.strips[i] = tb_part_strip_of(tb_strip_of(piece, 0, piece->extent, true));
        part.strips[i].keeps = TB_SOLID_HALVINGS;
    }
    part.sweep = tb_sweep_ref(sweep);
    part.box = tb_sweep_box(sweep);
    return take_part(solid, part, fault);
}

TbStatus
tb_solid_add_tree(TbSolid *solid, TbTree *tree, int role, TbFault *fault)
{
    TbPart part = {.kind = TB_PART_MESH, .role = role};

    part.tree = tb_tree_ref(tree);
    return take_part(solid, part, fault);
}

/* ---- outlines ---- */

/** Prism over a convex piece of the outline, grown by the rounding. */
static TbConvex
prism_of(const TbOutline *outline, const TbCorners *piece)
{
    TbConvex body = {.points = 2 * piece->count, .radius = outline->rounding};
    TbVec3 up = tb_vec3_scale(tb_vec3_cross(outline->u, outline->v), outline->depth);

    for (int i = 0; i < piece->count; i++) {
        TbVec2 p = outline->points[piece->corner[i]];
        TbVec3 foot = tb_vec3_add_scaled(outline->origin, p.x, outline->u);

        foot = tb_vec3_add_scaled(foot, p.y, outline->v);
        body.point[i] = foot;
        body.point[piece->count + i] = tb_vec3_add(foot, up);
    }
    return body;
}

static TbStatus
split_outline(TbPart *part, TbFault *fault)
{
    const TbOutline *outline = &part->plain.outline;
    TbCorners *corners = tb_alloc_array(outline->count - 2, sizeof *corners);
    size_t used = 0;
    TbStatus status;

    if (corners == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for an outline of %zu points", outline->count);
    status = tb_polygon_split(outline->points, outline->count, corners, &used, fault);
    if (status == TB_OK) {
        part->pieces = tb_alloc_array(used, sizeof *part->pieces);
        if (part->pieces == NULL)
            status =
                tb_fail(fault, TB_E_MEMORY, "no room for an outline of %zu points", outline->count);
    }
    for (size_t i = 0; i < used && status == TB_OK; i++)
        part->pieces[part->piece_count++] = prism_of(outline, &corners[i]);
    tb_free(corners);
    return status;
}

/** Copies the points, counter-clockwise about u x v and grown by @p scale. */
static TbStatus
own_points(TbOutline *outline, double scale, TbFault *fault)
{
    size_t count = outline->count;
    bool turned = tb_polygon_area(outline->points, count) < 0;
    TbVec2 *points = tb_alloc_array(count, sizeof *points);

    if (points == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for an outline of %zu points", count);
    for (size_t i = 0; i < count; i++)
        points[i] = tb_vec2_scale(outline->points[turned ? count - 1 - i : i], scale);
    outline->points = points;
    return TB_OK;
}

static TbStatus
make_pieces(TbPart *part, TbFault *fault)
{
    if (part->plain.kind == TB_PLAIN_OUTLINE)
        return split_outline(part, fault);
    part->pieces = tb_alloc(sizeof *part->pieces);
    if (part->pieces == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a plain shape");
    part->piece_count = 1;
    if (part->plain.kind == TB_PLAIN_BLOCK)
        part->pieces[0] = tb_convex_of_block(&part->plain.block);
    else if (part->plain.kind == TB_PLAIN_ROD)
        part->pieces[0] = tb_convex_of_rod(&part->plain.rod);
    else
        part->pieces[0] = tb_convex_of_ball(&part->plain.ball);
    return TB_OK;
}

/** Adds a plain shape whose outline, if it is one, is first grown by @p scale about its origin. */
static TbStatus
add_plain(TbSolid *solid, const TbPlain *plain, double scale, int role, TbFault *fault)
{
    TbPart part = {.kind = TB_PART_PLAIN, .plain = *plain, .role = role};
    TbStatus status;

    if (plain->kind == TB_PLAIN_OUTLINE) {
        status = own_points(&part.plain.outline, scale, fault);
        if (status != TB_OK)
            return status;
    }
    status = make_pieces(&part, fault);
    if (status != TB_OK) {
        clear_part(&part);
        return status;
    }
    return take_part(solid, part, fault);
}

TbStatus
tb_solid_add_plain(TbSolid *solid, const TbPlain *plain, int role, TbFault *fault)
{
    TbStatus status = tb_plain_check(plain, fault);

    return status == TB_OK ? add_plain(solid, plain, 1, role, fault) : status;
}

/* ---- moving ---- */

static TbStatus
add_moved_sweep(TbSolid *moved, const TbPart *part, TbPose pose)
{
    TbSweep *sweep = tb_sweep_moved(part->sweep, pose);
    TbStatus status = TB_E_MEMORY;

    if (sweep != NULL)
        status = tb_solid_add_sweep(moved, sweep, part->role, NULL);
    tb_sweep_unref(sweep);
    return status;
}

static TbStatus
add_moved_tree(TbSolid *moved, const TbPart *part, TbPose pose)
{
    TbTree *tree = NULL;
    TbStatus status = tb_tree_moved(part->tree, pose, NULL, NULL, &tree, NULL);

    if (status == TB_OK)
        status = tb_solid_add_tree(moved, tree, part->role, NULL);
    tb_tree_unref(tree);
    return status;
}

static TbStatus
add_moved_plain(TbSolid *moved, const TbPart *part, TbPose pose)
{
    TbPlain plain = part->plain;

    if (plain.kind != TB_PLAIN_OUTLINE) {
        plain = tb_plain_moved(&plain, pose);
        return add_plain(moved, &plain, 1, part->role, NULL);
    }
    plain.outline.origin = tb_pose_point(pose, plain.outline.origin);
    plain.outline.u = tb_pose_direction(pose, plain.outline.u);
    plain.outline.v = tb_pose_direction(pose, plain.outline.v);
    plain.outline.depth *= pose.scale;
    plain.outline.rounding *= pose.scale;
    return add_plain(moved, &plain, pose.scale, part->role, NULL);
}

TbStatus
tb_solid_add_moved(TbSolid *solid, const TbPart *part, TbPose pose)
{
    if (part->kind == TB_PART_SWEEP)
        return add_moved_sweep(solid, part, pose);
    if (part->kind == TB_PART_MESH)
        return add_moved_tree(solid, part, pose);
    return add_moved_plain(solid, part, pose);
}

TbSolid *
tb_solid_moved(const TbSolid *solid, TbPose pose)
{
    TbSolid *moved = tb_solid_new();
    TbStatus status = moved == NULL ? TB_E_MEMORY : TB_OK;

    for (size_t i = 0; i < solid->count && status == TB_OK; i++)
        status = tb_solid_add_moved(moved, &solid->parts[i], pose);
    if (status == TB_OK)
        return moved;
    tb_solid_unref(moved);
    return NULL;
}

/* ---- asking ---- */

size_t
tb_solid_part_count(const TbSolid *solid)
{
    return solid->count;
}

const TbPart *
tb_solid_part(const TbSolid *solid, size_t index)
{
    TB_ASSERT(index < solid->count);
    return &solid->parts[index];
}

TbSweep *
tb_solid_sweep(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++)
        if (tb_solid_part(solid, i)->kind == TB_PART_SWEEP)
            return tb_solid_part(solid, i)->sweep;
    return NULL;
}

TbBox3
tb_solid_part_box(const TbPart *part)
{
    switch (part->kind) {
    case TB_PART_SWEEP:
        return part->box;
    case TB_PART_PLAIN:
        return tb_plain_box(&part->plain);
    case TB_PART_MESH:
        return tb_mesh_box(tb_tree_mesh(part->tree));
    }
    return tb_box3_empty();
}

TbBox3
tb_solid_box(const TbSolid *solid)
{
    TbBox3 box = tb_box3_empty();

    for (size_t i = 0; i < solid->count; i++)
        box = tb_box3_union(box, tb_solid_part_box(&solid->parts[i]));
    return box;
}

bool
tb_solid_has_inside(const TbSolid *solid)
{
    for (size_t i = 0; i < solid->count; i++) {
        const TbPart *part = &solid->parts[i];

        if (part->kind == TB_PART_MESH && !tb_mesh_facts(tb_tree_mesh(part->tree)).closed)
            return false;
    }
    return true;
}
