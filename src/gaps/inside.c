/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/inside_private.h"

#include "base/mem.h"

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

/* ---- one vertex of every shell ---- */

static uint32_t
shell_of(uint32_t shell[], uint32_t v)
{
    while (shell[v] != v) {
        shell[v] = shell[shell[v]];
        v = shell[v];
    }
    return v;
}

/** Union-find over the triangles; afterwards a vertex that is its own parent stands for a shell,
 * and one that no triangle uses has none. */
static void
join_shells(const TbMesh *mesh, uint32_t shell[])
{
    const uint32_t *index = tb_mesh_indices(mesh);
    size_t corners = 3 * tb_mesh_triangle_count(mesh);

    for (size_t v = 0; v < tb_mesh_vertex_count(mesh); v++)
        shell[v] = UINT32_MAX;
    for (size_t i = 0; i < corners; i++)
        shell[index[i]] = index[i];
    for (size_t i = 0; i < corners; i++) {
        uint32_t a = shell_of(shell, index[i - i % 3]);
        uint32_t b = shell_of(shell, index[i]);

        if (a != b)
            shell[a > b ? a : b] = a > b ? b : a;
    }
}

static TbStatus
mesh_reaches_into(const TbTree *inner, const TbTree *outer, bool *found, TbVec3 *point)
{
    const TbMesh *mesh = tb_tree_mesh(inner);
    const TbVec3 *vertex = tb_mesh_vertices(mesh);
    uint32_t *shell;

    if (tb_mesh_facts(mesh).shells <= 1) {
        *point = vertex[tb_mesh_indices(mesh)[0]];
        *found = tb_inside__mesh(outer, *point);
        return TB_OK;
    }
    shell = tb_alloc_array(tb_mesh_vertex_count(mesh), sizeof *shell);
    if (shell == NULL)
        return TB_E_MEMORY;
    join_shells(mesh, shell);
    for (size_t v = 0; v < tb_mesh_vertex_count(mesh) && !*found; v++) {
        if (shell[v] != v)
            continue;
        *point = vertex[v];
        *found = tb_inside__mesh(outer, *point);
    }
    tb_free(shell);
    return TB_OK;
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
static TbStatus
node_reaches_into(
    const TbField *field, uint32_t node, const TbPart *mesh, bool *found, TbVec3 *point)
{
    const TbPart *part = tb_field__part(field, node);
    TbSite site;

    if (tb_box3_distance2(field->node[node].box, tb_mesh_box(tb_tree_mesh(mesh->tree))) > 0)
        return TB_OK;
    if (part->kind == TB_PART_MESH)
        return mesh_reaches_into(part->tree, mesh->tree, found, point);
    *point = tb_field__some_point(field, node, &site);
    *found = tb_inside__mesh(mesh->tree, *point);
    return TB_OK;
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
    TbStatus status = TB_OK;

    *found = false;
    for (uint32_t i = 0; i < root_a->count; i++) {
        for (uint32_t k = 0; k < root_b->count; k++) {
            const TbPart *on_a = tb_field__part(a, root_a->first + i);
            const TbPart *on_b = tb_field__part(b, root_b->first + k);

            if (is_closed_mesh(on_b))
                status = node_reaches_into(a, root_a->first + i, on_b, found, point);
            if (status == TB_OK && !*found && is_closed_mesh(on_a))
                status = node_reaches_into(b, root_b->first + k, on_a, found, point);
            if (status != TB_OK)
                return status;
            if (*found) {
                *part_a = a->node[root_a->first + i].part;
                *part_b = b->node[root_b->first + k].part;
                return TB_OK;
            }
        }
    }
    return TB_OK;
}
