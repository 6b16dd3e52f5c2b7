/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/contour.h"

#include "base/mem.h"

#include <stdint.h>

#define NOWHERE UINT32_MAX
#define MOST_NODES ((size_t)1 << 30)

/** The grid with a rim of infinity around it: node (i, j) of the rimmed grid is (i-1, j-1). */
typedef struct Tracer {
    const TbGrid *grid;
    double level;
    size_t columns, rows; /**< with the rim */
    uint32_t *next;       /**< of each edge that the level crosses: the next one of its loop */
    TbContour *contour;
    size_t point_room, loop_room;
} Tracer;

static double
value_at(const Tracer *tracer, size_t i, size_t j)
{
    if (i == 0 || j == 0 || i > tracer->grid->columns || j > tracer->grid->rows)
        return (double)INFINITY;
    return tracer->grid->value[(i - 1) * tracer->grid->rows + (j - 1)];
}

static bool
is_below(const Tracer *tracer, size_t i, size_t j)
{
    return value_at(tracer, i, j) < tracer->level;
}

/** Edge k of the cell at (i, j), counter-clockwise from the lower one: two numbers a node, of the
 * edge to its right and of the one upwards. */
static uint32_t
edge_of(const Tracer *tracer, size_t i, size_t j, int k)
{
    size_t node = (i + (k == 1)) * tracer->rows + j + (k == 2);

    return (uint32_t)(2 * node + (k == 1 || k == 3));
}

/** Whether the middle of a cell counts as below. */
static bool
middle_is_below(const Tracer *tracer, size_t i, size_t j)
{
    double sum = value_at(tracer, i, j) + value_at(tracer, i + 1, j) +
                 value_at(tracer, i + 1, j + 1) + value_at(tracer, i, j + 1);

    return sum < 4 * tracer->level;
}

/** Join the crossings of one cell: from where a loop leaves what is below, going round the cell
 * counter-clockwise, to where it came in. */
static void
join_cell(Tracer *tracer, size_t i, size_t j)
{
    bool below[4] = {is_below(tracer, i, j), is_below(tracer, i + 1, j),
                     is_below(tracer, i + 1, j + 1), is_below(tracer, i, j + 1)};
    int in[2], out[2];
    int ins = 0, outs = 0;

    for (int k = 0; k < 4; k++) {
        if (!below[k] && below[(k + 1) % 4])
            in[ins++] = k;
        if (below[k] && !below[(k + 1) % 4])
            out[outs++] = k;
    }
    if (ins == 0)
        return;
    if (ins == 1) {
        tracer->next[edge_of(tracer, i, j, out[0])] = edge_of(tracer, i, j, in[0]);
        return;
    }
    for (int m = 0; m < 2; m++) {
        /* the corner before the way out was entered one edge earlier; joined, two later */
        int from = middle_is_below(tracer, i, j) ? (out[m] + 1) % 4 : (out[m] + 3) % 4;

        tracer->next[edge_of(tracer, i, j, out[m])] = edge_of(tracer, i, j, from);
    }
}

/** Where the level crosses an edge, in columns and rows of the grid. */
static TbVec2
crossing(const Tracer *tracer, uint32_t edge)
{
    size_t i = edge / 2 / tracer->rows;
    size_t j = edge / 2 % tracer->rows;
    bool up = edge % 2 == 1;
    double a = value_at(tracer, i, j);
    double b = value_at(tracer, i + !up, j + up);
    /* to infinity it is no way at all */
    double share = a < tracer->level ? (isfinite(b) ? (tracer->level - a) / (b - a) : 0)
                                     : (isfinite(a) ? (tracer->level - a) / (b - a) : 1);

    return tb_vec2((double)i - 1 + (up ? 0 : share), (double)j - 1 + (up ? share : 0));
}

static bool
keep_point(Tracer *tracer, TbLoopSpan *loop, TbVec2 p)
{
    TbContour *contour = tracer->contour;
    void *points = contour->points;

    if (loop->count > 0) {
        TbVec2 last = contour->points[contour->point_count - 1];

        /* several edges end in one node at the rim */
        if (last.x == p.x && last.y == p.y)
            return true;
    }
    if (tb_grow_array(&points, &tracer->point_room, contour->point_count, sizeof p) != 0)
        return false;
    contour->points = points;
    contour->points[contour->point_count++] = p;
    loop->count++;
    return true;
}

static bool
keep_loop(Tracer *tracer, TbLoopSpan loop)
{
    TbContour *contour = tracer->contour;
    void *loops = contour->loops;

    if (tb_grow_array(&loops, &tracer->loop_room, contour->loop_count, sizeof loop) != 0)
        return false;
    contour->loops = loops;
    contour->loops[contour->loop_count++] = loop;
    return true;
}

/** Follow one loop and forget its edges. */
static bool
trace(Tracer *tracer, uint32_t first)
{
    TbLoopSpan loop = {.first = tracer->contour->point_count};
    uint32_t edge = first;

    do {
        uint32_t next = tracer->next[edge];

        if (!keep_point(tracer, &loop, crossing(tracer, edge)))
            return false;
        tracer->next[edge] = NOWHERE;
        edge = next;
    } while (edge != first);
    return keep_loop(tracer, loop);
}

TbStatus
tb_contour_below(const TbGrid *grid, double level, TbContour *contour, TbFault *fault)
{
    Tracer tracer = {.grid = grid,
                     .level = level,
                     .columns = grid->columns + 2,
                     .rows = grid->rows + 2,
                     .contour = contour};
    size_t edges = 2 * tracer.columns * tracer.rows;
    bool kept = true;

    *contour = (TbContour){0};
    if (tracer.columns > MOST_NODES / tracer.rows)
        return tb_fail(fault, TB_E_LIMIT, "a grid of %zu x %zu nodes is too large to contour",
                       grid->columns, grid->rows);
    tracer.next = tb_alloc_array(edges, sizeof *tracer.next);
    if (tracer.next == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room to contour %zu x %zu nodes", grid->columns,
                       grid->rows);
    for (size_t i = 0; i < edges; i++)
        tracer.next[i] = NOWHERE;
    for (size_t i = 0; i + 1 < tracer.columns; i++)
        for (size_t j = 0; j + 1 < tracer.rows; j++)
            join_cell(&tracer, i, j);
    for (size_t i = 0; i < edges && kept; i++)
        if (tracer.next[i] != NOWHERE)
            kept = trace(&tracer, (uint32_t)i);
    tb_free(tracer.next);
    if (kept)
        return TB_OK;
    tb_contour_clear(contour);
    return tb_fail(fault, TB_E_MEMORY, "no room to contour %zu x %zu nodes", grid->columns,
                   grid->rows);
}

void
tb_contour_clear(TbContour *contour)
{
    tb_free(contour->points);
    tb_free(contour->loops);
    *contour = (TbContour){0};
}
