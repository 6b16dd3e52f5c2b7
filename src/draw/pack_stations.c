/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_pages.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* The station table of each duct, as drawn. */

/** mm between rows: as drawings are dimensioned; a table of every row is the CSV's. */
#define STEP 10.0

/** Which rows of a duct are printed. */
typedef struct Rows {
    const TbResultDuct *duct;
    size_t *index;
    size_t count;
} Rows;

/** Of a chapter: one a duct. */
typedef struct Own {
    Rows *rows;
    size_t count;
} Own;

enum {
    COLUMN_STATION,
    COLUMN_X,
    COLUMN_Y,
    COLUMN_Z,
    COLUMN_WIDTH,
    COLUMN_HEIGHT,
    COLUMN_TURN,
    COLUMN_WALL,
    COLUMN_AREA,
    COLUMN_HYDRAULIC,
    COLUMN_GROWTH,
    COLUMN_CONE,
    COLUMN_CURVATURE,
    COLUMN_NAMED
};

static void
put_named(const TbResultDuct *duct, double from, double to, GString *text)
{
    for (size_t i = 0; i < duct->named_count; i++)
        if (duct->named_at[i] >= from && duct->named_at[i] < to) {
            g_string_append_printf(text, "%s%s ", text->len > 0 ? ", " : "", duct->named[i].name);
            tb_dossier_number(duct->named_at[i], 0, text);
        }
}

static void
station_cell(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    const Rows *rows = user;
    const TbStationRow *at = &rows->duct->rows[rows->index[row]];
    double next =
        row + 1 < rows->count ? rows->duct->rows[rows->index[row + 1]].station : (double)INFINITY;

    switch (column) {
    case COLUMN_STATION:
        tb_dossier_number(at->station, 1, cell->text);
        break;
    case COLUMN_X:
        tb_dossier_number(at->point.x, 1, cell->text);
        break;
    case COLUMN_Y:
        tb_dossier_number(at->point.y, 1, cell->text);
        break;
    case COLUMN_Z:
        tb_dossier_number(at->point.z, 1, cell->text);
        break;
    case COLUMN_WIDTH:
        tb_dossier_number(at->width, 1, cell->text);
        break;
    case COLUMN_HEIGHT:
        tb_dossier_number(at->height, 1, cell->text);
        break;
    case COLUMN_TURN:
        tb_dossier_number(at->turn, 1, cell->text);
        break;
    case COLUMN_WALL:
        tb_dossier_number(at->wall, 1, cell->text);
        break;
    case COLUMN_AREA:
        tb_dossier_number(at->area, 0, cell->text);
        break;
    case COLUMN_HYDRAULIC:
        tb_dossier_number(at->hydraulic_diameter, 1, cell->text);
        break;
    case COLUMN_GROWTH:
        tb_dossier_number(at->growth, 2, cell->text);
        break;
    case COLUMN_CONE:
        tb_dossier_number(at->cone_angle, 1, cell->text);
        break;
    case COLUMN_CURVATURE:
        tb_dossier_number(at->curvature, 5, cell->text);
        break;
    default:
        put_named(rows->duct, at->station, next, cell->text);
        break;
    }
}

static Rows
rows_of(const TbResultDuct *duct)
{
    Rows rows = {.duct = duct, .index = g_new(size_t, duct->row_count)};
    double wanted = -1;

    for (size_t i = 0; i < duct->row_count; i++)
        if (duct->rows[i].station >= wanted - 1e-6 || i + 1 == duct->row_count) {
            rows.index[rows.count++] = i;
            wanted = duct->rows[i].station + STEP;
        }
    return rows;
}

static void
put_duct(TbPackChapter *chapter, const Rows *rows)
{
    const TbFlowColumn columns[] = {{_("Station mm"), true},
                                    {"X mm", true},
                                    {"Y mm", true},
                                    {"Z mm", true},
                                    {_("Width mm"), true},
                                    {_("Height mm"), true},
                                    {_("Turn deg"), true},
                                    {_("Wall mm"), true},
                                    {_("Area mm²"), true},
                                    {_("Hydr. dia. mm"), true},
                                    {_("Growth mm²/mm"), true},
                                    {_("Cone deg"), true},
                                    {_("Curvature 1/mm"), true},
                                    {_("Named station"), false}};

    tb_flow_heading(chapter->flow, tb_dossier_name(chapter->dossier, rows->duct->id));
    tb_flow_table(chapter->flow, &(TbFlowTable){.columns = columns,
                                                .column_count = G_N_ELEMENTS(columns),
                                                .row_count = rows->count,
                                                .cell = station_cell,
                                                .user = rows});
}

static size_t
plan(TbPackChapter *chapter)
{
    const TbResults *results = chapter->dossier->results;
    Own *own = g_new0(Own, 1);

    chapter->own = own;
    own->rows = g_new0(Rows, results->duct_count + 1);
    for (size_t i = 0; i < results->duct_count; i++)
        if (!results->ducts[i].is_line && results->ducts[i].row_count > 0)
            own->rows[own->count++] = rows_of(&results->ducts[i]);
    if (own->count == 0)
        return 0;
    chapter->flow = tb_flow_new(chapter->measurer);
    tb_pack__text(
        chapter->flow,
        _("Ducts as drawn: inside sizes, square to the path. Turn is right-handed about "
          "the direction of the gas, from the path's untwisted frame; growth is the slope "
          "of the inner area; cone is the full angle of the cone of equal growth."));
    for (size_t i = 0; i < own->count; i++)
        put_duct(chapter, &own->rows[i]);
    return tb_pack__plan_flow(chapter);
}

static void
clear(TbPackChapter *chapter)
{
    Own *own = chapter->own;

    for (size_t i = 0; own != NULL && i < own->count; i++)
        g_free(own->rows[i].index);
    if (own != NULL)
        g_free(own->rows);
    g_free(own);
}

const TbPackKind tb_pack_stations = {
    .name = "stations", .title = N_("Station tables"), .plan = plan, .clear = clear};
