/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The rim of a mesh: every edge as the number of triangles that run along it less those against. */

#include "geom/rim_private.h"

#include "base/mem.h"

#include <stdlib.h>

/** One side of a triangle, kept with its lower vertex. */
typedef struct Half {
    uint32_t high;
    int32_t sense; /**< +1 from the lower vertex to the higher */
} Half;

static int
compare_halves(const void *a, const void *b)
{
    const Half *p = a, *q = b;

    return p->high < q->high ? -1 : p->high > q->high;
}

static void
sort_halves(Half *half, size_t count)
{
    if (count > 16) { /* about where the library's sort is quicker */
        qsort(half, count, sizeof *half, compare_halves);
        return;
    }
    for (size_t i = 1; i < count; i++) {
        Half moving = half[i];
        size_t k = i;

        for (; k > 0 && moving.high < half[k - 1].high; k--)
            half[k] = half[k - 1];
        half[k] = moving;
    }
}

/** Counting sort by the lower vertex; `first` has vertices + 1 entries. */
static void
fill_buckets(const TbMesh *mesh, uint32_t first[], Half half[])
{
    const uint32_t *index = tb_mesh_indices(mesh);
    size_t corners = 3 * tb_mesh_triangle_count(mesh), vertices = tb_mesh_vertex_count(mesh);
    uint32_t sum = 0;

    for (size_t v = 0; v <= vertices; v++)
        first[v] = 0;
    for (size_t i = 0; i < corners; i++) {
        uint32_t a = index[i], b = index[i % 3 == 2 ? i - 2 : i + 1];

        if (a != b)
            first[a < b ? a : b]++;
    }
    for (size_t v = 0; v <= vertices; v++) {
        sum += first[v];
        first[v] = sum;
    }
    for (size_t i = corners; i-- > 0;) {
        uint32_t a = index[i], b = index[i % 3 == 2 ? i - 2 : i + 1];

        if (a < b)
            half[--first[a]] = (Half){b, 1};
        else if (b < a)
            half[--first[b]] = (Half){a, -1};
    }
}

static TbStatus
add_edge(TbRim *rim, uint32_t low, uint32_t high, int32_t sum)
{
    void *room = rim->edge;

    if (tb_grow_array(&room, &rim->room, rim->edges, sizeof *rim->edge) != 0)
        return TB_E_MEMORY;
    rim->edge = room;
    rim->edge[rim->edges++] = sum > 0 ? (TbRimEdge){low, high, sum} : (TbRimEdge){high, low, -sum};
    return TB_OK;
}

static TbStatus
sum_bucket(TbRim *rim, uint32_t low, const Half half[], size_t count)
{
    TbStatus status = TB_OK;

    for (size_t i = 0, k; i < count && status == TB_OK; i = k) {
        int32_t sum = 0;

        for (k = i; k < count && half[k].high == half[i].high; k++)
            sum += half[k].sense;
        if ((k - i) % 2 == 1)
            rim->even = false;
        if (sum != 0 && !rim->many)
            status = add_edge(rim, low, half[i].high, sum);
    }
    return status;
}

/** The rim's own numbers for its vertices, in the mesh's order. */
static TbStatus
number_vertices(TbRim *rim, const TbMesh *mesh, uint32_t number[])
{
    size_t vertices = tb_mesh_vertex_count(mesh);

    for (size_t v = 0; v < vertices; v++)
        number[v] = UINT32_MAX;
    for (size_t i = 0; i < rim->edges; i++)
        number[rim->edge[i].from] = number[rim->edge[i].to] = 0;
    for (size_t v = 0; v < vertices; v++)
        if (number[v] == 0)
            number[v] = (uint32_t)rim->count++;
    rim->own = tb_alloc_array(rim->count + 1, sizeof *rim->own);
    if (rim->own == NULL)
        return TB_E_MEMORY;
    for (size_t v = 0; v < vertices; v++)
        if (number[v] != UINT32_MAX)
            rim->own[number[v]] = tb_mesh_vertices(mesh)[v];
    for (size_t i = 0; i < rim->edges; i++) {
        rim->edge[i].from = number[rim->edge[i].from];
        rim->edge[i].to = number[rim->edge[i].to];
    }
    return TB_OK;
}

TbStatus
tb_rim__of_mesh(TbRim *rim, const TbMesh *mesh, size_t most)
{
    size_t vertices = tb_mesh_vertex_count(mesh);
    uint32_t *first = tb_alloc_array(vertices + 1, sizeof *first);
    Half *half = tb_alloc_array(3 * tb_mesh_triangle_count(mesh), sizeof *half);
    TbStatus status = first == NULL || half == NULL ? TB_E_MEMORY : TB_OK;

    *rim = (TbRim){.even = true};
    if (status == TB_OK)
        fill_buckets(mesh, first, half);
    for (size_t v = 0; v < vertices && status == TB_OK; v++) {
        size_t count = first[v + 1] - first[v];

        sort_halves(half + first[v], count);
        status = sum_bucket(rim, (uint32_t)v, half + first[v], count);
        rim->many = rim->many || rim->edges > most;
    }
    tb_free(half);
    if (status == TB_OK && !rim->many)
        status = number_vertices(rim, mesh, first);
    tb_free(first);
    return status;
}

void
tb_rim__clear(TbRim *rim)
{
    tb_free(rim->edge);
    tb_free(rim->own);
    tb_free(rim->to);
    tb_free(rim->drawn);
    *rim = (TbRim){.edges = 0};
}

/* ---- drawing together ---- */

/** Places by cells twice as wide as the distance asked: what is near lies in 8 cells. */
typedef struct Grid {
    uint32_t *slot; /**< place + 1, or 0 */
    size_t mask;
    double cell;
} Grid;

static size_t
slot_of(const Grid *grid, const int64_t cell[3])
{
    uint64_t h = (uint64_t)cell[0] * UINT64_C(0x9E3779B97F4A7C15);

    h = (h ^ (uint64_t)cell[1]) * UINT64_C(0xBF58476D1CE4E5B9);
    h = (h ^ (h >> 29) ^ (uint64_t)cell[2]) * UINT64_C(0x94D049BB133111EB);
    return (size_t)(h ^ (h >> 32)) & grid->mask;
}

static void
cell_of(const Grid *grid, TbVec3 p, int64_t cell[3])
{
    cell[0] = (int64_t)floor(p.x / grid->cell);
    cell[1] = (int64_t)floor(p.y / grid->cell);
    cell[2] = (int64_t)floor(p.z / grid->cell);
}

/** Nearest place of one cell, if nearer than what was found before. */
static void
look_into(
    const TbRim *rim, const Grid *grid, const int64_t cell[3], TbVec3 p, uint32_t *near, double *d)
{
    for (size_t i = slot_of(grid, cell); grid->slot[i] != 0; i = (i + 1) & grid->mask) {
        uint32_t place = grid->slot[i] - 1;
        double away = tb_vec3_distance(rim->drawn[place], p);

        if (away < *d || (away <= *d && place < *near)) {
            *d = away;
            *near = place;
        }
    }
}

static uint32_t
place_near(const TbRim *rim, const Grid *grid, TbVec3 p, double within)
{
    TbVec3 reach = {within, within, within};
    uint32_t near = UINT32_MAX;
    double d = nextafter(within, 0);
    int64_t low[3], high[3], cell[3];

    cell_of(grid, tb_vec3_sub(p, reach), low);
    cell_of(grid, tb_vec3_add(p, reach), high);
    for (cell[0] = low[0]; cell[0] <= high[0]; cell[0]++)
        for (cell[1] = low[1]; cell[1] <= high[1]; cell[1]++)
            for (cell[2] = low[2]; cell[2] <= high[2]; cell[2]++)
                look_into(rim, grid, cell, p, &near, &d);
    return near;
}

static uint32_t
add_place(TbRim *rim, Grid *grid, TbVec3 p)
{
    int64_t cell[3];
    size_t i;

    cell_of(grid, p, cell);
    for (i = slot_of(grid, cell); grid->slot[i] != 0; i = (i + 1) & grid->mask)
        ;
    rim->drawn[rim->places++] = p;
    grid->slot[i] = (uint32_t)rim->places;
    return (uint32_t)rim->places - 1;
}

TbStatus
tb_rim__draw_together(TbRim *rim, double within)
{
    Grid grid = {.mask = 15, .cell = 2 * within};
    size_t slots;

    while (grid.mask < 2 * rim->count)
        grid.mask = 2 * grid.mask + 1;
    slots = grid.mask + 1;
    grid.slot = tb_alloc_array(slots, sizeof *grid.slot);
    rim->to = tb_alloc_array(rim->count + 1, sizeof *rim->to);
    rim->drawn = tb_alloc_array(rim->count + 1, sizeof *rim->drawn);
    if (grid.slot == NULL || rim->to == NULL || rim->drawn == NULL) {
        tb_free(grid.slot);
        return TB_E_MEMORY;
    }
    for (size_t i = 0; i < slots; i++)
        grid.slot[i] = 0;
    for (size_t v = 0; v < rim->count; v++) {
        uint32_t near = place_near(rim, &grid, rim->own[v], within);

        rim->to[v] = near != UINT32_MAX ? near : add_place(rim, &grid, rim->own[v]);
    }
    tb_free(grid.slot);
    return TB_OK;
}
