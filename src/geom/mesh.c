/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/mesh.h"

#include "base/mem.h"
#include "geom/mesh_private.h"
#include "geom/tol.h"

#include <string.h>

TbMesh *
tb_mesh__new(void)
{
    TbMesh *mesh = tb_alloc(sizeof *mesh);

    if (mesh != NULL)
        atomic_init(&mesh->references, 1);
    return mesh;
}

static TbStatus
check_arrays(const TbVec3 vertex[],
             size_t vertices,
             const uint32_t index[],
             size_t triangles,
             TbFault *fault)
{
    if (triangles == 0)
        return tb_fail(fault, TB_E_DEGENERATE, "a mesh of no triangles");
    if (triangles > TB_MESH__MOST_FACES || vertices > UINT32_MAX)
        return tb_fail(fault, TB_E_LIMIT,
                       "a mesh of %zu triangles and %zu vertices, %zu and %zu are the most",
                       triangles, vertices, TB_MESH__MOST_FACES, (size_t)UINT32_MAX);
    for (size_t i = 0; i < vertices; i++)
        if (!tb_vec3_is_finite(vertex[i]))
            return tb_fail(fault, TB_E_RANGE, "vertex %zu of a mesh is not finite", i);
    for (size_t i = 0; i < 3 * triangles; i++)
        if (index[i] >= vertices)
            return tb_fail(fault, TB_E_RANGE, "triangle %zu of a mesh names vertex %zu of %zu",
                           i / 3, (size_t)index[i], vertices);
    return TB_OK;
}

TbStatus
tb_mesh_from_arrays(const TbVec3 vertex[],
                    size_t vertices,
                    const uint32_t index[],
                    size_t triangles,
                    TbMesh **mesh,
                    TbFault *fault)
{
    TbStatus status = check_arrays(vertex, vertices, index, triangles, fault);
    TbMesh *made;

    if (status != TB_OK)
        return status;
    made = tb_mesh__new();
    if (made != NULL) {
        made->vertex = tb_alloc_array(vertices, sizeof *made->vertex);
        made->index = tb_alloc_array(3 * triangles, sizeof *made->index);
    }
    if (made == NULL || made->vertex == NULL || made->index == NULL) {
        tb_mesh_unref(made);
        return tb_fail(fault, TB_E_MEMORY, "no room for a mesh of %zu triangles", triangles);
    }
    memcpy(made->vertex, vertex, vertices * sizeof *vertex);
    memcpy(made->index, index, 3 * triangles * sizeof *index);
    made->vertices = vertices;
    made->triangles = triangles;
    made->facts.triangles_read = triangles;
    made->facts.vertices_read = vertices;
    status = tb_mesh__find_facts(made, NULL, fault);
    if (status != TB_OK) {
        tb_mesh_unref(made);
        return status;
    }
    *mesh = made;
    return TB_OK;
}

TbMesh *
tb_mesh_ref(TbMesh *mesh)
{
    atomic_fetch_add(&mesh->references, 1);
    return mesh;
}

void
tb_mesh_unref(TbMesh *mesh)
{
    if (mesh == NULL || atomic_fetch_sub(&mesh->references, 1) > 1)
        return;
    tb_free(mesh->vertex);
    tb_free(mesh->index);
    tb_free(mesh->shell);
    tb_free(mesh);
}

TbMesh *
tb_mesh_moved(const TbMesh *mesh, TbPose pose)
{
    TbMesh *moved = tb_mesh__new();
    double k = pose.scale;

    if (moved == NULL)
        return NULL;
    moved->vertex = tb_alloc_array(mesh->vertices, sizeof *moved->vertex);
    moved->index = tb_alloc_array(3 * mesh->triangles, sizeof *moved->index);
    moved->shell = tb_alloc_array(mesh->facts.shells, sizeof *moved->shell);
    if (moved->vertex == NULL || moved->index == NULL || moved->shell == NULL) {
        tb_mesh_unref(moved);
        return NULL;
    }
    memcpy(moved->index, mesh->index, 3 * mesh->triangles * sizeof *moved->index);
    memcpy(moved->shell, mesh->shell, mesh->facts.shells * sizeof *moved->shell);
    moved->vertices = mesh->vertices;
    moved->triangles = mesh->triangles;
    moved->facts = mesh->facts;
    moved->facts.volume *= k * k * k;
    moved->facts.area *= k * k;
    moved->box = tb_box3_empty();
    for (size_t i = 0; i < mesh->vertices; i++)
        moved->vertex[i] = tb_pose_point(pose, mesh->vertex[i]);
    for (size_t i = 0; i < 3 * mesh->triangles; i++)
        moved->box = tb_box3_with_point(moved->box, moved->vertex[moved->index[i]]);
    return moved;
}

size_t
tb_mesh_vertex_count(const TbMesh *mesh)
{
    return mesh->vertices;
}

size_t
tb_mesh_triangle_count(const TbMesh *mesh)
{
    return mesh->triangles;
}

const TbVec3 *
tb_mesh_vertices(const TbMesh *mesh)
{
    return mesh->vertex;
}

const uint32_t *
tb_mesh_indices(const TbMesh *mesh)
{
    return mesh->index;
}

TbMeshFacts
tb_mesh_facts(const TbMesh *mesh)
{
    return mesh->facts;
}

const uint32_t *
tb_mesh_shells(const TbMesh *mesh)
{
    return mesh->shell;
}

TbBox3
tb_mesh_box(const TbMesh *mesh)
{
    return mesh->box;
}
