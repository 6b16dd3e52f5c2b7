/* SPDX-License-Identifier: GPL-3.0-or-later */

/* A gap map as one chart of a strip. */

#include "draw/chart_private.h"

#include "base/mem.h"

#include <math.h>

/* mm of paper */
#define RAMP_AIR 3.0
#define RAMP_WIDE 3.5
#define TALL 4.2       /* a line of letters */
#define BESIDE 3.0     /* a name no further from its mark needs no line */
#define NAME_SHARE 0.4 /* of the box: a name at most */
#define MARK 4.0       /* a level's shape before a name */
#define LOW 22.0       /* charts lower than this have fewer marks */

/* Angles about the path that are marked, deg; `name` as the cut across draws them. */
static const struct {
    double angle;
    const char *name;
    bool always; /* on low charts too */
} marks[] = {{-180, "-180", true},
             {-90, "-90", false},
             {0, "H 0", true},
             {90, "W 90", false},
             {180, "180", true}};

double
tb_plot__angle_y(const TbPlot *plot, double angle)
{
    return plot->box.high.y - (plot->box.high.y - plot->box.low.y) * (angle + 180) / 360;
}

static double
share_of(const TbSceneMap *map, double room)
{
    return fmax(0, fmin(1, (room - map->least) / (map->reach - map->least)));
}

/** Columns half a step beyond both ends, rows one beyond -180 and 180 deg: cells are told by their
 * middles. */
static void
draw_cells(const TbPlot *plot)
{
    const TbSceneMap *map = plot->chart->map;
    size_t rows = map->rows + 2;
    double *share = tb_alloc_array(map->columns * rows, sizeof *share);
    double half = plot->strip->length / (double)(map->columns - 1) / 2;
    double turn = 360 / (double)map->rows;

    if (share == NULL) {
        plot->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t k = 0; k < map->columns; k++)
        for (size_t m = 0; m < rows; m++)
            share[k * rows + m] =
                share_of(map, map->room[k * map->rows + (m + map->rows - 1) % map->rows]);
    tb_picture_raster(
        plot->picture, tb_vec2(tb_plot__x(plot, -half), tb_plot__angle_y(plot, 180 + turn)),
        tb_vec2(tb_plot__x(plot, plot->strip->length + half), tb_plot__angle_y(plot, -180 - turn)),
        share, map->columns, rows);
    tb_free(share);
}

/** Level lines, and a cross hatch inside where it is asked for. */
static void
draw_contour(const TbPlot *plot, const TbContour *contour, TbInk ink, TbPen pen, bool hatched)
{
    TbVec2 *p = tb_alloc_array(contour->point_count > 0 ? contour->point_count : 1, sizeof *p);

    if (p == NULL) {
        plot->picture->status = TB_E_MEMORY;
        return;
    }
    for (size_t i = 0; i < contour->point_count; i++)
        p[i] = tb_vec2(tb_plot__x(plot, contour->points[i].x),
                       tb_plot__angle_y(plot, contour->points[i].y));
    for (int way = 0; way < 2 && hatched && contour->loop_count > 0; way++)
        tb_picture_area(plot->picture, p, contour->loops, contour->loop_count,
                        (TbAreaStyle){.fill = TB_INK_NONE,
                                      .edge = ink,
                                      .pen = TB_PEN_NONE,
                                      .hatch_angle = way == 0 ? 45 : -45,
                                      .hatch_step = 2.5},
                        NULL);
    if (contour->loop_count > 0)
        tb_picture_area(plot->picture, p, contour->loops, contour->loop_count,
                        (TbAreaStyle){.fill = TB_INK_NONE, .edge = ink, .pen = pen}, NULL);
    tb_free(p);
}

static bool
is_low(const TbPlot *plot)
{
    return plot->box.high.y - plot->box.low.y < LOW;
}

static void
draw_angles(const TbPlot *plot)
{
    for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++) {
        double y = tb_plot__angle_y(plot, marks[i].angle);

        if (is_low(plot) && !marks[i].always)
            continue;
        tb_picture_segment(plot->picture, tb_vec2(plot->box.low.x, y), tb_vec2(plot->box.high.x, y),
                           TB_PEN_GRID, TB_INK_GRID);
        tb_picture_text(
            plot->picture, tb_vec2(plot->box.low.x - 1.5, y),
            (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_RIGHT},
            marks[i].name);
    }
}

/* ---- names ---- */

/** Around a place: below, above, right, left, and further off. */
static size_t
places_about(const TbPlot *plot, TbVec2 at, double width, TbCandidate candidates[16])
{
    static const double way[8][2] = {{0, 1}, {0, -1}, {1, 0},  {-1, 0},
                                     {1, 1}, {-1, 1}, {1, -1}, {-1, -1}};
    size_t count = 0;

    for (int ring = 0; ring < 2; ring++)
        for (int k = 0; k < 8; k++) {
            double reach = 1 + 0.6 * ring;
            double x = at.x + way[k][0] * (width / 2 + 2) * reach;

            candidates[count++] = (TbCandidate){
                {fmax(plot->box.low.x + width / 2, fmin(plot->box.high.x - width / 2, x)),
                 at.y + way[k][1] * (TALL / 2 + 2) * reach},
                k + 6.0 * ring};
        }
    return count;
}

/** A line to the mark from a name that does not stand beside it. */
static void
lead_to(const TbPlot *plot, TbVec2 at, TbVec2 name, double width)
{
    double right = fmax(name.x - width / 2, fmin(name.x + width / 2, at.x));
    double down = fmax(name.y - TALL / 2, fmin(name.y + TALL / 2, at.y));

    if (hypot(right - at.x, down - at.y) > BESIDE)
        tb_picture_segment(plot->picture, at, tb_vec2(right, down), TB_PEN_FRAME, TB_INK_INK);
}

static void
name_basin(const TbPlot *plot, const TbSceneBasin *basin, TbPlacer *placer)
{
    TbVec2 at = {tb_plot__x(plot, basin->station), tb_plot__angle_y(plot, basin->angle)};
    char name[TB_TEXT_SHORT];
    TbCandidate candidates[16];
    TbVec2 centre;
    double width;
    size_t count;

    tb_text_shorten(plot->measurer, plot->chart->map->neighbours[basin->neighbour].name,
                    TB_PT_SMALL, false, NAME_SHARE * (plot->box.high.x - plot->box.low.x), name);
    width = plot->measurer.width(plot->measurer.user, name, TB_PT_SMALL, false) + 1;
    count = places_about(plot, at, width, candidates);
    tb_picture_level(plot->picture, at, 2.4, basin->level);
    if (!tb_placer_place(placer, candidates, count, width, TALL, &centre))
        return;
    lead_to(plot, at, centre, width);
    tb_picture_text(
        plot->picture, centre,
        (TbTextStyle){
            .size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE, .backed = true},
        name);
}

static bool
in_view(const TbPlot *plot, const TbSceneBasin *basin)
{
    return basin->station >= plot->from && basin->station <= plot->to;
}

static void
name_basins(const TbPlot *plot, TbPlacer *placer)
{
    const TbSceneMap *map = plot->chart->map;

    for (size_t i = 0; i < map->basin_count; i++) {
        TbVec2 at = {tb_plot__x(plot, map->basins[i].station),
                     tb_plot__angle_y(plot, map->basins[i].angle)};

        if (in_view(plot, &map->basins[i]))
            tb_placer_take(placer, (TbRectangle){{at.x - MARK / 2, at.y - MARK / 2},
                                                 {at.x + MARK / 2, at.y + MARK / 2}});
    }
    for (size_t i = 0; i < map->basin_count; i++)
        if (in_view(plot, &map->basins[i]))
            name_basin(plot, &map->basins[i], placer);
}

/* ---- scale ---- */

static void
mark_ramp(const TbPlot *plot, double x, double room)
{
    const TbSceneMap *map = plot->chart->map;
    double y = plot->box.high.y - (plot->box.high.y - plot->box.low.y) * share_of(map, room);
    TbLengthUnit unit = plot->strip->unit;
    char number[TB_TEXT_NUMBER], text[TB_TEXT_NUMBER + 8];

    tb_quantity_write(room, TB_QUANTITY_LENGTH, unit, 0, number);
    tb_text_format(text, sizeof text, "%s%s%s%s", room > 0 ? "+" : "", number,
                   room == map->reach ? " " : "",
                   room == map->reach ? tb_length_unit_name(unit) : "");
    tb_picture_segment(plot->picture, tb_vec2(x, y), tb_vec2(x + 1, y), TB_PEN_FRAME, TB_INK_QUIET);
    tb_picture_text(plot->picture, tb_vec2(x + 2, y),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET},
                    room != 0                ? text
                    : map->keep_word == NULL ? "keep"
                                             : map->keep_word);
}

/** What the lightness means: mm above the keep. */
static void
draw_ramp(const TbPlot *plot)
{
    enum { STEPS = 24 };
    const TbSceneMap *map = plot->chart->map;
    TbVec2 low = {plot->box.high.x + RAMP_AIR, plot->box.low.y};
    TbVec2 high = {low.x + RAMP_WIDE, plot->box.high.y};
    double share[STEPS];

    for (int i = 0; i < STEPS; i++)
        share[i] = (i + 0.5) / STEPS;
    tb_picture_raster(plot->picture, low, high, share, 1, STEPS);
    tb_picture_rectangle(
        plot->picture, low, high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
    mark_ramp(plot, high.x, 0);
    mark_ramp(plot, high.x, map->reach);
    if (is_low(plot))
        return;
    mark_ramp(plot, high.x, map->reach / 2);
    mark_ramp(plot, high.x, map->least);
}

void
tb_plot__map(const TbPlot *plot, TbPlacer *placer)
{
    const TbSceneMap *map = plot->chart->map;

    tb_picture_layer(plot->picture, TB_LAYER_MAP);
    tb_picture_clip(plot->picture, plot->box.low, plot->box.high);
    draw_cells(plot);
    draw_contour(plot, &map->keep, TB_INK_SHORT, TB_PEN_GAP, true);
    draw_contour(plot, &map->want, TB_INK_WATCH, TB_PEN_LIMIT, false);
    tb_picture_unclip(plot->picture);
    draw_angles(plot);
    tb_plot__named(plot);
    tb_picture_clip(plot->picture, plot->box.low, plot->box.high);
    tb_plot__bands(plot);
    tb_picture_layer(plot->picture, TB_LAYER_LABELS);
    name_basins(plot, placer);
    tb_picture_unclip(plot->picture);
    tb_picture_layer(plot->picture, TB_LAYER_MAP);
    draw_ramp(plot);
}
