/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Centre lines of paths on a section plot. */

#include "study/scene_cut_private.h"

#include "study/seen.h"

/* mm between ticks: few enough to be read, at round numbers of the unit. */
static double
tick_step(double length, TbLengthUnit unit)
{
    if (unit == TB_UNIT_INCH)
        return (length < 200 ? 1 : 2) * TB_MM_PER_INCH;
    return length < 200 ? 20 : 50;
}

static void
add_ticks(TbSceneLine *line, const TbForm *form, TbPlane plane, TbLengthUnit unit)
{
    double scale = form->grown.scale;
    double length = tb_sweep_length(form->sweep) / scale;
    double step = tick_step(length, unit);
    size_t room = (size_t)(length / step) + 1;

    line->tick = g_new0(TbVec2, room);
    line->tick_direction = g_new0(TbVec2, room);
    line->tick_station = g_new0(double, room);
    for (size_t i = 0; i < room; i++) {
        TbCurvePoint at = tb_sweep_place(form->sweep, (double)i * step * scale);
        TbVec2 along = {tb_vec3_dot(at.tangent, plane.u), tb_vec3_dot(at.tangent, plane.v)};
        double flat = tb_vec2_length(along);

        /* Where the path runs into the paper ticks pile up and point nowhere. */
        if (flat < 0.2)
            continue;
        line->tick[line->tick_count] = tb_plane_project(plane, at.point);
        line->tick_direction[line->tick_count] = (TbVec2){-along.y / flat, along.x / flat};
        line->tick_station[line->tick_count] = (double)i * step;
        line->tick_count++;
    }
}

/* A part of a path's centre line, by points of its trace. */
static TbSceneLine *
add_line(TbPlot *plot, size_t index, size_t from, size_t to)
{
    TbScene *scene = plot->scene;
    const TbForm *form = tb_placed_form(&plot->stand->items[index]);
    const TbTrace *trace = plot->traces[index]->value;
    size_t count = to - from + 1;
    TbSceneLine *line;

    scene->lines = g_renew(TbSceneLine, scene->lines, scene->line_count + 1);
    line = &scene->lines[scene->line_count++];
    *line = (TbSceneLine){.tag = g_strdup(plot->stand->items[index].id),
                          .points = g_new0(TbVec2, count),
                          .station = g_new0(double, count),
                          .count = count};
    for (size_t i = 0; i < count; i++) {
        line->points[i] = tb_plane_project(scene->plane, trace->point[from + i]);
        line->station[i] = trace->station[from + i] / form->grown.scale;
    }
    return line;
}

/* Of the subjects the whole centre line; of the others what is not cut away. */
static void
add_seen_lines(TbPlot *plot, size_t index)
{
    const TbTrace *trace = plot->traces[index]->value;
    size_t from = trace->count;

    for (size_t i = 0; i < trace->count; i++) {
        bool seen = tb_plane_height(plot->scene->plane, trace->point[i]) <= 0;

        if (seen && from == trace->count)
            from = i;
        if (from < trace->count && (!seen || i + 1 == trace->count)) {
            add_line(plot, index, from, i);
            from = trace->count;
        }
    }
}

void
tb_plot__add_lines(TbPlot *plot)
{
    for (size_t i = 0; i < plot->stand->count; i++) {
        const TbForm *form = tb_placed_form(&plot->stand->items[i]);

        if (plot->traces[i] == NULL)
            continue;
        if (tb_plot__is_subject(plot, i))
            add_ticks(add_line(plot, i, 0, ((const TbTrace *)plot->traces[i]->value)->count - 1),
                      form, plot->scene->plane, plot->scene->unit);
        else
            add_seen_lines(plot, i);
    }
}
