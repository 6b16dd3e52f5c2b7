/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * A mesh in another order. What lies side by side in the new order was scattered in the old one,
 * so what will be needed a little later is asked for in time.
 */
#include "base/mem.h"
#include "geom/mesh_private.h"

#include <stdlib.h>
#include <string.h>

#define NONE UINT32_MAX

/** Triangles between two looks at the task. */
#define POLL 65536

/** Triangles ahead whose corners' numbers, and then whose corners are asked for. */
#define FAR_AHEAD 32
#define AHEAD 16

static void
ask_ahead(const TbMesh *mesh, const uint32_t order[], const uint32_t number[], size_t at)
{
    if (at + FAR_AHEAD < mesh->triangles)
        __builtin_prefetch(mesh->index + 3 * (size_t)order[at + FAR_AHEAD]);
    if (at + AHEAD < mesh->triangles) {
        const uint32_t *corner = mesh->index + 3 * (size_t)order[at + AHEAD];
        for (int k = 0; k < 3; k++) {
            __builtin_prefetch(number + corner[k]);
            __builtin_prefetch(mesh->vertex + corner[k]);
        }
    }
}

/** @param number of each old vertex: its new number, or NONE. @return false when cancelled. */
static bool
copy_triangles(
    const TbMesh *mesh, const uint32_t order[], uint32_t number[], TbTask *task, TbMesh *copy)
{
    uint32_t *index = copy->index;
    size_t vertices = 0;

    for (size_t i = 0; i < mesh->triangles; i++) {
        const uint32_t *corner = mesh->index + 3 * (size_t)order[i];
        if (i % POLL == 0 && tb_task_is_cancelled(task))
            return false;
        ask_ahead(mesh, order, number, i);
        for (int k = 0; k < 3; k++) {
            uint32_t v = corner[k];
            if (number[v] == NONE) {
                copy->vertex[vertices] = mesh->vertex[v];
                number[v] = (uint32_t)vertices++;
            }
            *index++ = number[v];
        }
    }
    copy->vertices = vertices;
    return true;
}

static int
compare_pairs(const void *a, const void *b)
{
    uint64_t p = *(const uint64_t *)a;
    uint64_t q = *(const uint64_t *)b;

    return p < q ? -1 : p > q;
}

/** Where the shells' triangles are now: their old numbers, sorted, are looked up for each triangle.
 */
static bool
copy_shells(const TbMesh *mesh, const uint32_t order[], TbMesh *copy)
{
    size_t shells = mesh->facts.shells;
    uint64_t *known = tb_alloc_array(shells, sizeof *known);

    if (known == NULL)
        return false;
    for (size_t i = 0; i < shells; i++)
        known[i] = (uint64_t)mesh->shell[i] << 32 | i;
    qsort(known, shells, sizeof *known, compare_pairs);
    for (size_t i = 0; i < mesh->triangles; i++) {
        size_t from = 0;
        for (size_t left = shells; left > 1; left -= left / 2)
            from += (uint32_t)(known[from + left / 2] >> 32) <= order[i] ? left / 2 : 0;
        if ((uint32_t)(known[from] >> 32) == order[i])
            copy->shell[(uint32_t)known[from]] = (uint32_t)i;
    }
    tb_free(known);
    return true;
}

static bool
make_room(const TbMesh *mesh, TbMesh *copy)
{
    copy->vertex = tb_alloc_array(mesh->vertices, sizeof *copy->vertex);
    copy->index = tb_alloc_array(3 * mesh->triangles, sizeof *copy->index);
    copy->shell = tb_alloc_array(mesh->facts.shells, sizeof *copy->shell);
    return copy->vertex != NULL && copy->index != NULL && copy->shell != NULL;
}

/** Gives back what vertices without triangles would have taken. */
static bool
cut_to_size(const TbMesh *mesh, TbMesh *copy)
{
    void *fitted;

    if (copy->vertices == mesh->vertices)
        return true;
    fitted = tb_resize_array(copy->vertex, copy->vertices, sizeof *copy->vertex);
    if (fitted != NULL)
        copy->vertex = fitted;
    return fitted != NULL;
}

TbStatus
tb_mesh__in_order(
    const TbMesh *mesh, const uint32_t order[], TbTask *task, TbMesh **copy, TbFault *fault)
{
    TbMesh *made = tb_mesh__new();
    uint32_t *number = tb_alloc_array(mesh->vertices, sizeof *number);
    TbStatus status = TB_OK;

    if (made == NULL || number == NULL || !make_room(mesh, made)) {
        status = TB_E_MEMORY;
        goto done;
    }
    memset(number, 0xff, mesh->vertices * sizeof *number);
    made->triangles = mesh->triangles;
    made->facts = mesh->facts;
    made->box = mesh->box;
    if (!copy_triangles(mesh, order, number, task, made))
        status = TB_E_CANCELLED;
    else if (!cut_to_size(mesh, made) || !copy_shells(mesh, order, made))
        status = TB_E_MEMORY;

done:
    tb_free(number);
    if (status == TB_OK) {
        *copy = made;
        return TB_OK;
    }
    tb_mesh_unref(made);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while building a tree");
    return tb_fail(fault, status, "no room for a tree of %zu triangles", mesh->triangles);
}
