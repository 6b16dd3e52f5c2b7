/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/inside_private.h"

bool
tb_inside__has(const TbPart *part)
{
    return part->kind != TB_PART_MESH || tb_mesh_facts(tb_tree_mesh(part->tree)).closed;
}

bool
tb_inside__mesh(const TbTree *tree, TbVec3 p)
{
    if (tb_box3_point_distance2(tb_mesh_box(tb_tree_mesh(tree)), p) > 0)
        return false;
    return fabs(tb_tree_winding(tree, p)) > 0.5;
}

/** One corner of every shell decides. */
static void
mesh_reaches_into(const TbTree *inner, const TbTree *outer, bool *found, TbVec3 *point)
{
    const TbMesh *mesh = tb_tree_mesh(inner);
    const uint32_t *shell = tb_mesh_shells(mesh);

    for (size_t i = 0; i < tb_mesh_facts(mesh).shells && !*found; i++) {
        *point = tb_mesh_vertices(mesh)[tb_mesh_indices(mesh)[3 * (size_t)shell[i]]];
        *found = tb_inside__mesh(outer, *point);
    }
}

static bool
is_closed_mesh(const TbPart *part)
{
    return part->kind == TB_PART_MESH && tb_inside__has(part);
}

bool
tb_inside__any_mesh(const TbField *field, TbVec3 p)
{
    const TbNode *root = &field->node[field->root];

    for (uint32_t i = 0; i < root->count; i++) {
        const TbPart *part = tb_field__part(field, root->first + i);

        if (is_closed_mesh(part) && tb_inside__mesh(part->tree, p))
            return true;
    }
    return false;
}

/** Whether the part under a node of one field reaches into a mesh. A part is connected but for a
 * mesh of several shells, and the surfaces do not meet, so one point a shell decides. */
static void
node_reaches_into(
    const TbField *field, uint32_t node, const TbPart *mesh, bool *found, TbVec3 *point)
{
    const TbPart *part = tb_field__part(field, node);
    TbSite site;

    if (tb_box3_distance2(field->node[node].box, tb_mesh_box(tb_tree_mesh(mesh->tree))) > 0)
        return;
    if (part->kind == TB_PART_MESH) {
        mesh_reaches_into(part->tree, mesh->tree, found, point);
        return;
    }
    *point = tb_field__some_point(field, node, &site);
    *found = tb_inside__mesh(mesh->tree, *point);
}

TbStatus
tb_inside__find(const TbField *a,
                const TbField *b,
                bool *found,
                uint32_t *part_a,
                uint32_t *part_b,
                TbVec3 *point)
{
    const TbNode *root_a = &a->node[a->root], *root_b = &b->node[b->root];

    *found = false;
    for (uint32_t i = 0; i < root_a->count; i++) {
        for (uint32_t k = 0; k < root_b->count; k++) {
            const TbPart *on_a = tb_field__part(a, root_a->first + i);
            const TbPart *on_b = tb_field__part(b, root_b->first + k);

            if (is_closed_mesh(on_b))
                node_reaches_into(a, root_a->first + i, on_b, found, point);
            if (!*found && is_closed_mesh(on_a))
                node_reaches_into(b, root_b->first + k, on_a, found, point);
            if (*found) {
                *part_a = a->node[root_a->first + i].part;
                *part_b = b->node[root_b->first + k].part;
                return TB_OK;
            }
        }
    }
    return TB_OK;
}
