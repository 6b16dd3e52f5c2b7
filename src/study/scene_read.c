/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Reading a strip: values at a station, and all of it as a table. */

#include "study/scene_build.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* A column of a curve at a station. */
static double
column_at_station(const TbSceneCurve *curve, const double value[], double station)
{
    size_t low = 0, high = curve->count;
    double share;

    if (curve->count < 2 || !(station >= curve->station[0]) ||
        station > curve->station[curve->count - 1])
        return (double)NAN;
    /* the last given station that is not above it, short of the end */
    while (high - low > 1) {
        size_t middle = (low + high) / 2;

        if (curve->station[middle] <= station)
            low = middle;
        else
            high = middle;
    }
    if (low + 1 == curve->count || station == curve->station[low])
        return value[low];
    share = (station - curve->station[low]) / (curve->station[low + 1] - curve->station[low]);
    return value[low] + share * (value[low + 1] - value[low]);
}

double
tb_scene_curve_at(const TbSceneCurve *curve, double station)
{
    return column_at_station(curve, curve->value, station);
}

double
tb_scene_curve_told(const TbSceneCurve *curve, double station)
{
    return column_at_station(curve, curve->low == NULL ? curve->value : curve->low, station);
}

const TbSceneChart *
tb_scene_strip_chart(const TbSceneStrip *strip, const char *name)
{
    for (size_t i = 0; i < strip->chart_count; i++)
        if (g_strcmp0(strip->charts[i].name, name) == 0)
            return &strip->charts[i];
    return NULL;
}

/* ---- gap maps ---- */

static TbSceneMapSpot
spot_of(const TbSceneMap *map, double length, size_t column, size_t row)
{
    size_t cell = column * map->rows + row;
    TbSceneMapSpot spot = {.station = length * (double)column / (double)(map->columns - 1),
                           .angle = -180 + ((double)row + 0.5) * 360 / (double)map->rows,
                           .room = NAN,
                           .gap = NAN};

    if (map->who[cell] == TB_SCENE_NOBODY)
        return spot;
    spot.neighbour = &map->neighbours[map->who[cell]];
    spot.room = map->room[cell];
    spot.gap = spot.room + spot.neighbour->keep;
    return spot;
}

static size_t
column_at(const TbSceneMap *map, double length, double station)
{
    double at = round(station / length * (double)(map->columns - 1));

    return (size_t)CLAMP(at, 0, (double)(map->columns - 1));
}

TbSceneMapSpot
tb_scene_map_worst(const TbSceneMap *map, double length, double station)
{
    size_t column = column_at(map, length, station);
    size_t worst = 0;

    for (size_t m = 1; m < map->rows; m++)
        if (map->room[column * map->rows + m] < map->room[column * map->rows + worst])
            worst = m;
    return spot_of(map, length, column, worst);
}

TbSceneMapSpot
tb_scene_map_at(const TbSceneMap *map, double length, double station, double angle)
{
    double row = floor((angle + 180) * (double)map->rows / 360);

    return spot_of(map, length, column_at(map, length, station),
                   (size_t)CLAMP(row, 0, (double)(map->rows - 1)));
}

/* ---- tables ---- */

static void
add_head(TbSceneTable *table, char *head)
{
    table->heads = g_renew(char *, table->heads, table->columns + 1);
    table->heads[table->columns++] = head;
}

static void
add_heads(const TbSceneStrip *strip, TbSceneTable *table)
{
    /* Translators: head of a column: stations, their unit */
    add_head(table, g_strdup_printf(_("Station, %s"), tb_length_unit_name(strip->unit)));
    for (size_t i = 0; i < strip->chart_count; i++) {
        const TbSceneChart *chart = &strip->charts[i];

        for (size_t k = 0; k < chart->curve_count; k++)
            add_head(table, chart->curve_count == 1
                                ? g_strdup_printf("%s, %s", chart->title, chart->unit)
                                : g_strdup_printf("%s, %s, %s", chart->title, chart->curves[k].name,
                                                  chart->unit));
        if (chart->map == NULL)
            continue;
        add_head(table, g_strdup(_("Least room for")));
        add_head(table, g_strdup(_("at angle, °")));
    }
}

/* Fixed decimals: the marks of a column stand below each other. */
static char *
cell_of(double value, TbQuantity quantity, TbLengthUnit unit, int decimals)
{
    char text[TB_TEXT_NUMBER];

    if (!isfinite(value))
        return g_strdup("");
    tb_quantity_write(value, quantity, unit, decimals, text);
    return g_strdup(text);
}

static char *
curve_cell(const TbSceneStrip *strip,
           const TbSceneChart *chart,
           const TbSceneCurve *curve,
           double station)
{
    double value = tb_scene_curve_told(curve, station);

    if (!isnan(curve->keep))
        value = tb_gap_told(value, strip->unit, chart->decimals);
    return cell_of(value, chart->quantity, strip->unit, chart->decimals);
}

static void
add_row(const TbSceneStrip *strip, double station, GPtrArray *cells)
{
    g_ptr_array_add(cells, cell_of(station, TB_QUANTITY_LENGTH, strip->unit, 1));
    for (size_t i = 0; i < strip->chart_count; i++) {
        const TbSceneChart *chart = &strip->charts[i];

        for (size_t k = 0; k < chart->curve_count; k++)
            g_ptr_array_add(cells, curve_cell(strip, chart, &chart->curves[k], station));
        if (chart->map != NULL) {
            TbSceneMapSpot spot = tb_scene_map_worst(chart->map, strip->length, station);

            g_ptr_array_add(cells, g_strdup(spot.neighbour == NULL ? "" : spot.neighbour->name));
            g_ptr_array_add(cells, cell_of(spot.neighbour == NULL ? (double)NAN : spot.angle,
                                           TB_QUANTITY_ANGLE, strip->unit, 0));
        }
    }
}

TbSceneTable *
tb_scene_strip_table(const TbSceneStrip *strip, double step)
{
    TbSceneTable *table = g_new0(TbSceneTable, 1);
    g_autoptr(GPtrArray) cells = g_ptr_array_new();

    add_heads(strip, table);
    table->rows = (size_t)ceil(strip->length / step - 1e-9) + 1;
    for (size_t i = 0; i < table->rows; i++)
        add_row(strip, fmin((double)i * step, strip->length), cells);
    g_assert(cells->len == table->rows * table->columns);
    table->cells = (char **)g_ptr_array_free(g_steal_pointer(&cells), FALSE);
    return table;
}

void
tb_scene_table_free(TbSceneTable *table)
{
    if (table == NULL)
        return;
    for (size_t i = 0; i < table->columns; i++)
        g_free(table->heads[i]);
    for (size_t i = 0; i < table->columns * table->rows; i++)
        g_free(table->cells[i]);
    g_free(table->heads);
    g_free(table->cells);
    g_free(table);
}
