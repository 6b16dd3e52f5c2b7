/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Welding. A corner becomes the nearest earlier vertex that is nearer than TB_TOL_WELD (the lowest
 * number among equals), else a new vertex. Vertices hang in chains by the cell they lie in; a cell
 * is so wide that most corners need to look into one or two, and so narrow that even a file in
 * the wrong unit, all its vertices crowded to the tolerance, has short chains. Corners are taken
 * in the order of the file, so the result depends on nothing else.
 */
#include "base/mem.h"
#include "geom/mesh_private.h"
#include "geom/tol.h"

#include <string.h>

/** mm. Side of a cell. */
#define CELL (8 * TB_TOL_WELD)

/** mm. Makes every coordinate positive before it is cut down to a cell. */
#define SHIFT (2 * TB_LIMIT_COORDINATE)

#define NONE UINT32_MAX

#define FIRST_CHAINS 1024

struct TbMeshBuilder {
    TbVec3 *vertex;
    uint32_t *next; /**< of each vertex: the next in its chain */
    uint32_t *chain;
    uint32_t *index;
    size_t vertices, vertex_room, next_room;
    size_t chains; /**< a power of two */
    size_t triangles, index_room;
    size_t read, degenerate, not_finite;
};

/** A corner of the grid. */
typedef struct Cell {
    uint32_t x, y, z;
} Cell;

static uint32_t
cell_along(double x)
{
    return (uint32_t)((x + SHIFT) * (1 / CELL));
}

static Cell
cell_of(TbVec3 p, double beyond)
{
    return (Cell){cell_along(p.x + beyond), cell_along(p.y + beyond), cell_along(p.z + beyond)};
}

static size_t
chain_of(const TbMeshBuilder *builder, Cell cell)
{
    uint64_t h = (cell.x * UINT64_C(0x9e3779b97f4a7c15)) ^ (cell.y * UINT64_C(0xc2b2ae3d27d4eb4f)) ^
                 (cell.z * UINT64_C(0x165667b19e3779f9));

    h ^= h >> 32;
    h *= UINT64_C(0xd6e8feb86659fd93);
    return (size_t)(h >> 32) & (builder->chains - 1);
}

TbMeshBuilder *
tb_mesh_builder_new(void)
{
    return tb_alloc(sizeof(TbMeshBuilder));
}

void
tb_mesh_builder_free(TbMeshBuilder *builder)
{
    if (builder == NULL)
        return;
    tb_free(builder->vertex);
    tb_free(builder->next);
    tb_free(builder->chain);
    tb_free(builder->index);
    tb_free(builder);
}

/** As many chains as vertices, or more. */
static TbStatus
make_chains(TbMeshBuilder *builder, TbFault *fault)
{
    size_t chains = builder->chains > 0 ? 2 * builder->chains : FIRST_CHAINS;
    uint32_t *chain = tb_alloc_array(chains, sizeof *chain);

    if (chain == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu vertices", builder->vertices);
    tb_free(builder->chain);
    builder->chain = chain;
    builder->chains = chains;
    memset(chain, 0xff, chains * sizeof *chain);
    /* from the first vertex on, so that chains do not depend on when they were made */
    for (size_t i = 0; i < builder->vertices; i++) {
        size_t at = chain_of(builder, cell_of(builder->vertex[i], 0));
        builder->next[i] = chain[at];
        chain[at] = (uint32_t)i;
    }
    return TB_OK;
}

static TbStatus
add_vertex(TbMeshBuilder *builder, TbVec3 p, uint32_t *number, TbFault *fault)
{
    void *vertex = builder->vertex;
    void *next = builder->next;
    size_t at;

    if (builder->vertices >= NONE)
        return tb_fail(fault, TB_E_LIMIT, "a mesh of more than %u vertices", NONE);
    if (builder->vertices == builder->chains && make_chains(builder, fault) != TB_OK)
        return TB_E_MEMORY;
    if (tb_grow_array(&vertex, &builder->vertex_room, builder->vertices, sizeof p) == 0)
        builder->vertex = vertex;
    else
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu vertices", builder->vertices);
    if (tb_grow_array(&next, &builder->next_room, builder->vertices, sizeof *builder->next) == 0)
        builder->next = next;
    else
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu vertices", builder->vertices);
    at = chain_of(builder, cell_of(p, 0));
    builder->vertex[builder->vertices] = p;
    builder->next[builder->vertices] = builder->chain[at];
    builder->chain[at] = (uint32_t)builder->vertices;
    *number = (uint32_t)builder->vertices++;
    return TB_OK;
}

/** Nearest vertex of one chain that is nearer than what is known. */
static void
look_into(const TbMeshBuilder *builder, size_t chain, TbVec3 p, double *best2, uint32_t *best)
{
    for (uint32_t i = builder->chain[chain]; i != NONE; i = builder->next[i]) {
        double d2 = tb_vec3_length2(tb_vec3_sub(builder->vertex[i], p));
        if (d2 < *best2 || (d2 <= *best2 && i < *best)) {
            *best2 = d2;
            *best = i;
        }
    }
}

/** The vertex that p becomes part of, or NONE. */
static uint32_t
find_vertex(const TbMeshBuilder *builder, TbVec3 p)
{
    Cell home, low, high, cell;
    double best2 = TB_TOL_WELD * TB_TOL_WELD;
    uint32_t best = NONE;

    if (builder->chains == 0)
        return NONE;
    home = cell_of(p, 0);
    look_into(builder, chain_of(builder, home), p, &best2, &best);
    /* vertices keep their distance, so a second one cannot be as near as this */
    if (!(best2 > 0))
        return best;
    low = cell_of(p, -TB_TOL_WELD);
    high = cell_of(p, TB_TOL_WELD);
    for (cell.x = low.x; cell.x <= high.x; cell.x++)
        for (cell.y = low.y; cell.y <= high.y; cell.y++)
            for (cell.z = low.z; cell.z <= high.z; cell.z++)
                if (cell.x != home.x || cell.y != home.y || cell.z != home.z)
                    look_into(builder, chain_of(builder, cell), p, &best2, &best);
    /* exactly at the tolerance is not nearer than it */
    return best2 < TB_TOL_WELD * TB_TOL_WELD ? best : NONE;
}

static bool
is_usable(TbVec3 p)
{
    return fabs(p.x) <= TB_LIMIT_COORDINATE && fabs(p.y) <= TB_LIMIT_COORDINATE &&
           fabs(p.z) <= TB_LIMIT_COORDINATE;
}

void
tb_mesh_builder__drop(TbMeshBuilder *builder)
{
    builder->read++;
    builder->degenerate++;
}

size_t
tb_mesh_builder__read(const TbMeshBuilder *builder)
{
    return builder->read;
}

uint64_t
tb_mesh_builder__need(const TbMeshBuilder *builder)
{
    return tb_mesh_need(builder->vertices, builder->read);
}

TbStatus
tb_mesh_builder_add(TbMeshBuilder *builder, const TbVec3 corner[3], TbFault *fault)
{
    void *index = builder->index;
    uint32_t v[3];

    builder->read++;
    if (!is_usable(corner[0]) || !is_usable(corner[1]) || !is_usable(corner[2])) {
        builder->not_finite++;
        return TB_OK;
    }
    if (builder->triangles >= TB_MESH__MOST_FACES)
        return tb_fail(fault, TB_E_LIMIT, "a mesh of more than %zu triangles", TB_MESH__MOST_FACES);
    for (int k = 0; k < 3; k++) {
        v[k] = find_vertex(builder, corner[k]);
        if (v[k] == NONE) {
            TbStatus status = add_vertex(builder, corner[k], &v[k], fault);
            if (status != TB_OK)
                return status;
        }
    }
    if (v[0] == v[1] || v[1] == v[2] || v[2] == v[0]) {
        builder->degenerate++;
        return TB_OK;
    }
    if (tb_grow_array(&index, &builder->index_room, builder->triangles, sizeof v) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu triangles", builder->triangles);
    builder->index = index;
    memcpy(builder->index + 3 * builder->triangles, v, sizeof v);
    builder->triangles++;
    return TB_OK;
}

/** Takes out vertices that only dropped triangles used; the others keep their order. */
static void
close_ranks(TbMeshBuilder *builder)
{
    size_t kept = 0;

    for (size_t i = 0; i < builder->vertices; i++)
        builder->next[i] = NONE;
    for (size_t i = 0; i < 3 * builder->triangles; i++)
        builder->next[builder->index[i]] = 0;
    for (size_t i = 0; i < builder->vertices; i++) {
        if (builder->next[i] == NONE)
            continue;
        builder->vertex[kept] = builder->vertex[i];
        builder->next[i] = (uint32_t)kept++;
    }
    for (size_t i = 0; i < 3 * builder->triangles; i++)
        builder->index[i] = builder->next[builder->index[i]];
    builder->vertices = kept;
}

/** Hands the arrays over, cut to size. */
static TbStatus
hand_over(TbMeshBuilder *builder, TbMesh *mesh, TbFault *fault)
{
    void *vertex, *index;

    TB_CLEAR(builder->chain);
    mesh->facts.vertices_read = builder->vertices;
    if (builder->degenerate > 0)
        close_ranks(builder);
    TB_CLEAR(builder->next);
    vertex = tb_resize_array(builder->vertex, builder->vertices, sizeof *mesh->vertex);
    if (vertex != NULL)
        builder->vertex = vertex;
    index = tb_resize_array(builder->index, 3 * builder->triangles, sizeof *mesh->index);
    if (index != NULL)
        builder->index = index;
    if (vertex == NULL || index == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu triangles", builder->triangles);
    mesh->vertex = builder->vertex;
    mesh->vertices = builder->vertices;
    mesh->index = builder->index;
    mesh->triangles = builder->triangles;
    mesh->facts.triangles_read = builder->read;
    mesh->facts.dropped_degenerate = builder->degenerate;
    mesh->facts.dropped_not_finite = builder->not_finite;
    builder->vertex = NULL;
    builder->index = NULL;
    return TB_OK;
}

TbStatus
tb_mesh_builder_finish(
    TbMeshBuilder *builder, TbWork *work, TbTask *task, TbMesh **mesh, TbFault *fault)
{
    TbMesh *made = NULL;
    TbStatus status;

    (void)work;
    if (builder->triangles == 0) {
        status = tb_fail(fault, TB_E_FORMAT,
                         builder->read == 0 ? "no triangles"
                                            : "no triangle left of %zu: %zu have no width, %zu are "
                                              "not finite or beyond %d mm",
                         builder->read, builder->degenerate, builder->not_finite,
                         (int)TB_LIMIT_COORDINATE);
        goto done;
    }
    made = tb_mesh__new();
    if (made == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for a mesh");
        goto done;
    }
    status = hand_over(builder, made, fault);
    if (status == TB_OK)
        status = tb_mesh__find_facts(made, task, fault);
    if (status == TB_OK)
        *mesh = tb_mesh_ref(made);

done:
    tb_mesh_unref(made);
    tb_mesh_builder_free(builder);
    return status;
}
