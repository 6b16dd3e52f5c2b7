/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The gap map: which neighbour leaves how much room above its keep, all around the path. */

#include "geom/outline.h"
#include "geom/tol.h"
#include "study/measure_map.h"
#include "study/strip_build.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* mm above the keep: beyond this nothing is decided by the map. */
#define REACH 40.0

/* mm above the keep at the scale's dark end; what is shorter is as dark. */
#define LEAST -20.0

/* mm of path between columns. */
#define COLUMN_STEP 5.0

/* mm that distances may be off while something moves, and that points may stand inside of the
 * outline then: together half a hundredth of the scale. */
#define COARSE_WIDTH 0.2
#define COARSE_SAGITTA 0.1

enum {
    ROWS = 72,        /* 5 deg: of a 70 mm tube 3 mm */
    COARSE_ROWS = 24, /* while something moves */
    COARSE_STEPS = 3, /* columns are so many times further apart then */
    LEAST_COLUMNS = 8,
    MOST_COLUMNS = 400
};

static size_t
columns_of(const TbAlong *strip)
{
    double length = tb_sweep_length(tb_placed_drawn(strip->placed)->sweep);
    double step = COLUMN_STEP * (strip->ask->coarse ? COARSE_STEPS : 1);

    return (size_t)CLAMP(round(length / step) + 1, LEAST_COLUMNS, MOST_COLUMNS);
}

/* Of the worst where that can be said; else of the parts as they are drawn. */
static TbEntry *
cells_of(const TbAlong *strip, const TbAlongNear *near)
{
    double width = tb_ask_width(strip->ask), beyond = near->pair->gap + REACH;
    TbGapCellsAsk ask = {.pair = near->turned
                                     ? tb_case_pair_ask_turned(strip->in, near->pair, width)
                                     : tb_case_pair_ask(strip->in, near->pair, width),
                         .points = strip->points,
                         .beyond = beyond,
                         .width = strip->ask->coarse ? COARSE_WIDTH : TB_GAP_WIDTH};
    TbMovingAlong along;

    if (tb_strip_along(strip, near, &along))
        return tb_measure_moving_cells(strip->study->cache, &along, strip->points_drawn, beyond,
                                       NULL);
    return tb_measure_gap_cells(strip->study->cache, &ask, NULL);
}

void
tb_strip_promise_map(TbAlong *strip, int round)
{
    if (round == 0) {
        size_t columns = columns_of(strip), rows = strip->ask->coarse ? COARSE_ROWS : ROWS;
        double sagitta = strip->ask->coarse ? COARSE_SAGITTA : TB_OUTLINE_SAGITTA;
        TbCache *cache = strip->study->cache;

        strip->points = tb_measure_ring_points(cache, strip->placed->entry, columns, rows, sagitta);
        if (tb_strip_is_worst(strip))
            strip->points_drawn = tb_measure_ring_points(
                cache, strip->told->stand->items[strip->item].drawn, columns, rows, sagitta);
        return;
    }
    for (guint i = 0; i < strip->near->len; i++) {
        TbAlongNear *near = &g_array_index(strip->near, TbAlongNear, i);

        near->map = cells_of(strip, near);
    }
}

/* ---- of all neighbours the one with the least room ---- */

/* @param want room above keep and margin, the least over all, by column then row */
static void
lower_by(TbSceneMap *map, const TbAlongNear *near, size_t index, double *want)
{
    const TbGapCells *cells = near->map->value;

    for (size_t i = 0; i < map->columns * map->rows; i++) {
        double room = cells->gap[i] - near->pair->gap;

        want[i] = fmin(want[i], room - near->pair->want);
        if (!(room < map->room[i]))
            continue;
        map->room[i] = room;
        map->who[i] = (unsigned char)index;
    }
}

static void
add_neighbour(TbSceneMap *map, const TbAlongNear *near)
{
    map->neighbours = g_renew(TbSceneNeighbour, map->neighbours, map->neighbour_count + 1);
    map->neighbours[map->neighbour_count++] =
        (TbSceneNeighbour){.tag = g_strdup(near->other->id),
                           .name = g_strdup(tb_placed_name(near->other)),
                           .keep = near->pair->gap,
                           .at_rest = near->at_rest,
                           .unproved = near->unproved};
}

/* ---- level lines ---- */

/* Of a field around the path: a row of the other end below and above, so that no loop ends at
 * -180 deg. Points become stations and angles. */
static TbStatus
contour_around(
    const TbSceneMap *map, const double *field, double length, TbContour *contour, TbFault *fault)
{
    size_t rows = map->rows + 2;
    g_autofree double *around = g_new(double, map->columns *rows);
    TbGrid grid = {around, map->columns, rows};
    double step = length / (double)(map->columns - 1);
    double turn = 360 / (double)map->rows;
    TbStatus status;

    for (size_t k = 0; k < map->columns; k++)
        for (size_t m = 0; m < rows; m++)
            around[k * rows + m] = field[k * map->rows + (m + map->rows - 1) % map->rows];
    status = tb_contour_below(&grid, 0, contour, fault);
    for (size_t i = 0; status == TB_OK && i < contour->point_count; i++) {
        contour->points[i].x *= step;
        contour->points[i].y = -180 + (contour->points[i].y - 0.5) * turn;
    }
    return status;
}

/* ---- basins ---- */

/* A row's place among the others, all around. */
static size_t
neighbour_cell(const TbSceneMap *map, size_t cell, int way)
{
    size_t k = cell / map->rows, m = cell % map->rows;

    switch (way) {
    case 0:
        return k > 0 ? cell - map->rows : cell;
    case 1:
        return k + 1 < map->columns ? cell + map->rows : cell;
    case 2:
        return k * map->rows + (m + 1) % map->rows;
    default:
        return k * map->rows + (m + map->rows - 1) % map->rows;
    }
}

/* Visit all cells of one neighbour that hang together; the one with the least room. */
static size_t
flood(const TbSceneMap *map, size_t start, bool *seen, GArray *stack)
{
    size_t best = start;

    g_array_set_size(stack, 0);
    g_array_append_val(stack, start);
    seen[start] = true;
    while (stack->len > 0) {
        size_t cell = g_array_index(stack, size_t, stack->len - 1);

        g_array_set_size(stack, stack->len - 1);
        if (map->room[cell] < map->room[best])
            best = cell;
        for (int way = 0; way < 4; way++) {
            size_t next = neighbour_cell(map, cell, way);

            if (seen[next] || map->who[next] != map->who[start])
                continue;
            seen[next] = true;
            g_array_append_val(stack, next);
        }
    }
    return best;
}

static TbLevel
level_of(const TbAlongNear *near, double room)
{
    if (room < 0)
        return TB_LEVEL_SHORT;
    return room < near->pair->want ? TB_LEVEL_WATCH : TB_LEVEL_HOLDS;
}

static void
add_basin(const TbAlong *strip, TbSceneMap *map, size_t cell, double length)
{
    size_t who = map->who[cell];
    const TbAlongNear *near = &g_array_index(strip->near, TbAlongNear, who);
    const TbFinding *finding = tb_strip_pair_finding(strip, near->pair);
    TbSceneBasin basin = {
        .neighbour = who,
        .station = length * (double)(cell / map->rows) / (double)(map->columns - 1),
        .angle = -180 + ((double)(cell % map->rows) + 0.5) * 360 / (double)map->rows,
        .gap = map->room[cell] + near->pair->gap,
        .level = level_of(near, map->room[cell]),
        .finding = g_strdup(finding == NULL ? "" : finding->id)};

    map->basins = g_renew(TbSceneBasin, map->basins, map->basin_count + 1);
    map->basins[map->basin_count++] = basin;
}

static int
by_room(const void *a, const void *b, void *user)
{
    const TbSceneBasin *one = a, *two = b;
    const TbSceneMap *map = user;
    double x = one->gap - map->neighbours[one->neighbour].keep;
    double y = two->gap - map->neighbours[two->neighbour].keep;

    return (x > y) - (x < y);
}

/* One for each neighbour, and whatever else is not far enough: a scan and what was drawn from it
 * take turns at being the nearest. */
static void
drop_basins(TbSceneMap *map)
{
    size_t used = 0;

    for (size_t i = 0; i < map->basin_count; i++) {
        bool met = false;

        for (size_t k = 0; k < used; k++)
            met = met || map->basins[k].neighbour == map->basins[i].neighbour;
        if (!met || map->basins[i].level != TB_LEVEL_HOLDS)
            map->basins[used++] = map->basins[i];
        else
            g_free(map->basins[i].finding);
    }
    map->basin_count = used;
}

static void
find_basins(const TbAlong *strip, TbSceneMap *map, double length)
{
    size_t count = map->columns * map->rows;
    g_autofree bool *seen = g_new0(bool, count);
    g_autoptr(GArray) stack = g_array_new(FALSE, FALSE, sizeof(size_t));

    for (size_t i = 0; i < count; i++)
        if (!seen[i] && map->who[i] != TB_SCENE_NOBODY)
            add_basin(strip, map, flood(map, i, seen, stack), length);
    if (map->basin_count > 0)
        g_qsort_with_data(map->basins, (int)map->basin_count, sizeof *map->basins, by_room, map);
    drop_basins(map);
}

/* ---- the whole ---- */

static TbSceneMap *
new_map(const TbAlong *strip)
{
    const TbAlongNear *first = &g_array_index(strip->near, TbAlongNear, 0);
    const TbGapCells *cells = first->map->value;
    TbSceneMap *map = g_new0(TbSceneMap, 1);
    size_t count = cells->columns * cells->rows;

    map->columns = cells->columns;
    map->rows = cells->rows;
    map->reach = REACH;
    /* Translators: on a scale, the gap that must be kept */
    map->keep_word = g_strdup(_("keep"));
    map->least = LEAST;
    map->room = g_new(double, count);
    map->who = g_new(unsigned char, count);
    for (size_t i = 0; i < count; i++) {
        map->room[i] = REACH;
        map->who[i] = TB_SCENE_NOBODY;
    }
    return map;
}

TbStatus
tb_strip_fill_map(const TbAlong *strip, TbSceneChart *chart, TbFault *fault)
{
    TbSceneMap *map = chart->map = new_map(strip);
    double length = tb_sweep_length(tb_placed_drawn(strip->placed)->sweep);
    size_t count = map->columns * map->rows;
    g_autofree double *want = g_new(double, count);
    TbStatus status;

    for (size_t i = 0; i < count; i++)
        want[i] = REACH;
    for (guint i = 0; i < strip->near->len; i++) {
        const TbAlongNear *near = &g_array_index(strip->near, TbAlongNear, i);

        add_neighbour(map, near);
        lower_by(map, near, i, want);
        map->proved = fmax(map->proved, ((const TbGapCells *)near->map->value)->proved);
    }
    strip->strip->coarse = strip->ask->coarse;
    status = contour_around(map, map->room, length, &map->keep, fault);
    if (status == TB_OK)
        status = contour_around(map, want, length, &map->want, fault);
    find_basins(strip, map, length);
    return status;
}
