/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Is one part wholly inside the other? Proved cell by cell of its surface: a cell lies in the ball
 * of its reach about its centre, and a ball about a point inside that is smaller than the point's
 * distance from the surface lies inside too. */

#include "gaps/inside_private.h"

#include "base/mem.h"
#include "gaps/probe_private.h"
#include "geom/tol.h"

/** Cells looked at before nothing is said: a second of one thread. A rod in a duct with a tenth of
 * its radius around it needs some hundreds. */
#define CELL_BUDGET 20000

/** The same where the distance to a sweep's surface has to be searched for each. */
#define SWEEP_BUDGET 4000

/** mm. A cell this small that is not proved to be inside is as good as on the surface. */
#define LEAST_REACH 1e-4

/** Share of a cell's reach to which its centre's depth need be known. */
#define PROBE_SHARE 0.1

typedef struct Proof {
    TbSkin skin, other_skin;
    TbProbe probe; /**< of the other part */
    uint32_t *stack;
    size_t held, room;
    bool refuted;
} Proof;

static TbStatus
push(Proof *proof, uint32_t cell)
{
    void *room = proof->stack;

    if (tb_grow_array(&room, &proof->room, proof->held, sizeof *proof->stack) != 0)
        return TB_E_MEMORY;
    proof->stack = room;
    proof->stack[proof->held++] = cell;
    return TB_OK;
}

/** The distance to a convex solid is a convex function, so a corner of the cell's hull has its
 * most.
 */
static bool
corners_are_inside(const TbPart *other, const TbCell *cell)
{
    double most = -INFINITY;

    if (other->kind != TB_PART_PLAIN || other->piece_count != 1)
        return false;
    for (int i = 0; i < cell->points; i++)
        most = fmax(most, tb_plain_distance(&other->plain, cell->point[i]));
    return most + cell->widening + TB_TOL_ROUND < 0;
}

/** Whether the whole cell is inside; if not, whether that refutes all. */
static TbStatus
look_at(Proof *proof, const TbCell *cell, bool *inside)
{
    double width = fmax(PROBE_SHARE * cell->reach, TB_GAP_WIDTH_LEAST);
    TbSigned at;
    TbStatus status;

    *inside = corners_are_inside(proof->probe.skin->part, cell);
    if (*inside)
        return TB_OK;
    status = tb_probe__at(&proof->probe, cell->centre, width, &at);
    if (status != TB_OK)
        return status;
    *inside = at.upper + cell->off + cell->reach < 0;
    if (!*inside && cell->real)
        proof->refuted = at.lower + cell->off >= -2 * TB_TOL_ROUND || cell->reach < LEAST_REACH;
    return TB_OK;
}

static TbStatus
run(Proof *proof, long budget, const TbTask *task, bool *whole)
{
    TbStatus status = TB_OK;

    for (uint32_t i = proof->skin.roots; i-- > 0 && status == TB_OK;)
        status = push(proof, i);
    for (long looked = 0; status == TB_OK && proof->held > 0; looked++) {
        uint32_t index = proof->stack[--proof->held];
        bool inside = false;
        const TbCell *cell;

        if (looked % 64 == 0 && tb_task_is_cancelled(task))
            return TB_E_CANCELLED;
        status = look_at(proof, &proof->skin.cell[index], &inside);
        if (status != TB_OK || proof->refuted || looked >= budget)
            return status;
        if (inside)
            continue;
        status = tb_skin__open(&proof->skin, index);
        cell = &proof->skin.cell[index];
        for (uint32_t k = cell->count; k-- > 0 && status == TB_OK;)
            status = push(proof, cell->first + k);
    }
    *whole = status == TB_OK;
    return status;
}

static TbKept
kept_of(const TbField *field, uint32_t root)
{
    return (TbKept){field->node[root].station0, field->node[root].station1};
}

static bool
holds_box(TbBox3 outer, TbBox3 inner)
{
    return outer.low.x < inner.low.x && outer.low.y < inner.low.y && outer.low.z < inner.low.z &&
           outer.high.x > inner.high.x && outer.high.y > inner.high.y &&
           outer.high.z > inner.high.z;
}

/** A box about all of a part, tight enough: a sweep's strips are in balls, which stand out. */
static bool
may_be_inside(const TbField *in, uint32_t root_in, const TbField *out, uint32_t root_out)
{
    const TbPart *part = tb_field__part(in, root_in);
    TbBox3 box = in->node[root_in].box;

    if (!tb_inside__has(tb_field__part(out, root_out)))
        return false;
    if (part->kind != TB_PART_SWEEP)
        return holds_box(out->node[root_out].box, box);
    return tb_box3_distance2(out->node[root_out].box, box) <= 0;
}

TbStatus
tb_inside__is_whole(const TbField *in,
                    uint32_t root_in,
                    const TbField *out,
                    uint32_t root_out,
                    const TbTask *task,
                    bool *whole)
{
    Proof proof = {.refuted = false};
    const TbPart *other = tb_field__part(out, root_out);
    TbKept kept = kept_of(out, root_out);
    TbStatus status;

    *whole = false;
    if (!may_be_inside(in, root_in, out, root_out))
        return TB_OK;
    status = tb_skin__of(&proof.skin, tb_field__part(in, root_in), kept_of(in, root_in));
    if (status == TB_OK)
        status = tb_skin__of(&proof.other_skin, other, kept);
    if (status == TB_OK)
        status = tb_probe__of(&proof.probe, &proof.other_skin, kept, out->node[root_out].box);
    if (status == TB_OK && proof.skin.covers)
        status =
            run(&proof, other->kind == TB_PART_SWEEP ? SWEEP_BUDGET : CELL_BUDGET, task, whole);
    tb_probe__clear(&proof.probe);
    tb_skin__clear(&proof.other_skin);
    tb_skin__clear(&proof.skin);
    tb_free(proof.stack);
    return status;
}

/** Whether a shell of the mesh lies in a part that is wholly inside its material: a cavity's wall.
 */
static TbStatus
shell_is_within(const TbPart *mesh, const TbField *in, uint32_t root_in, bool *within)
{
    const TbPart *part = tb_field__part(in, root_in);
    const TbMesh *shells = mesh->kind == TB_PART_MESH ? tb_tree_mesh(mesh->tree) : NULL;
    uint32_t triangle;

    *within = false;
    if (shells == NULL || tb_mesh_facts(shells).shells == 1)
        return TB_OK;
    if (part->kind == TB_PART_SWEEP)
        return tb_inside__mesh_in_sweep(part->sweep, kept_of(in, root_in), mesh->tree, within,
                                        &triangle);
    for (size_t i = 0; i < tb_mesh_facts(shells).shells && !*within; i++) {
        uint32_t corner = tb_mesh_indices(shells)[3 * (size_t)tb_mesh_shells(shells)[i]];
        TbVec3 p = tb_mesh_vertices(shells)[corner];

        *within = part->kind == TB_PART_PLAIN ? tb_plain_distance(&part->plain, p) < 0
                                              : tb_inside__has(part) && tb_inside__mesh(part, p);
    }
    return TB_OK;
}

TbStatus
tb_inside__all_whole(const TbField *in, const TbField *out, const TbTask *task, bool *whole)
{
    const TbNode *root_in = &in->node[in->root], *root_out = &out->node[out->root];
    TbStatus status = TB_OK;

    *whole = true;
    for (uint32_t i = 0; i < root_in->count && status == TB_OK && *whole; i++) {
        uint32_t node = root_in->first + i;

        *whole = false;
        for (uint32_t k = 0; k < root_out->count && status == TB_OK && !*whole; k++) {
            bool holed = false;

            status = tb_inside__is_whole(in, node, out, root_out->first + k, task, whole);
            if (status == TB_OK && *whole)
                status =
                    shell_is_within(tb_field__part(out, root_out->first + k), in, node, &holed);
            *whole = *whole && !holed;
        }
    }
    *whole = *whole && status == TB_OK;
    return status;
}

/* ---- a mesh's shells in a sweep ---- */

/** One point against the sweep's strips: certified, either way. */
typedef struct Points {
    TbField point, sweep;
    TbConvex body;
    TbSearch search;
} Points;

static TbStatus
start_points(Points *points, const TbSweep *sweep, TbKept kept)
{
    TbStatus status;

    points->body = tb_convex_of_point(tb_vec3(0, 0, 0));
    status = tb_field__of_body(&points->point, &points->body);
    if (status == TB_OK)
        status = tb_field__of_sweep(&points->sweep, sweep, kept);
    tb_search__start(&points->search, &points->point, &points->sweep, TB_GAP_WIDTH_LEAST);
    return status;
}

static TbStatus
is_held(Points *points, TbVec3 p, bool *held)
{
    TbSearch *search = &points->search;
    TbStatus status;

    *held = false;
    if (points->sweep.empty ||
        tb_box3_point_distance2(points->sweep.node[points->sweep.root].box, p) > 0)
        return TB_OK;
    points->body = tb_convex_of_point(p);
    tb_field__renew_body(&points->point);
    tb_search__again(search);
    search->enough = TB_GAP_WIDTH_LEAST; /* apart or not: how far does not matter */
    status = tb_search__push(search, 0, points->sweep.root, tb_vec3(0, 0, 0));
    if (status == TB_OK)
        status = tb_search__run(search);
    *held = search->met || search->upper < search->enough;
    return status;
}

TbStatus
tb_inside__mesh_in_sweep(
    const TbSweep *sweep, TbKept kept, const TbTree *tree, bool *found, uint32_t *triangle)
{
    const TbMesh *mesh = tb_tree_mesh(tree);
    const uint32_t *shells = tb_mesh_shells(mesh);
    size_t count = tb_mesh_facts(mesh).shells;
    TbBox3 box = tb_sweep_box(sweep);
    Points points = {.point = {.empty = true}, .sweep = {.empty = true}};
    bool started = false;
    TbStatus status = TB_OK;

    *found = false;
    for (size_t i = 0; i < count && !*found && status == TB_OK; i++) {
        TbVec3 p = tb_mesh_vertices(mesh)[tb_mesh_indices(mesh)[3 * (size_t)shells[i]]];

        if (tb_box3_point_distance2(box, p) > 0)
            continue;
        if (!started) {
            status = start_points(&points, sweep, kept);
            started = true;
        }
        if (status == TB_OK)
            status = is_held(&points, p, found);
        *triangle = shells[i];
    }
    tb_search__clear(&points.search);
    tb_field__clear(&points.point);
    tb_field__clear(&points.sweep);
    return status;
}
