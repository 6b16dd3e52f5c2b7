/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file drawn.h
 * @brief Scenes and strips as text, every number to its last bit: what is compared.
 */
#pragma once

#include "study/scene.h"

#include <glib.h>

static inline void
write_cut(GString *text, const char *what, const TbCut *cut)
{
    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbLoop *loop = &cut->loops[i];

        g_string_append_printf(text, " %s %d %d %d", what, (int)loop->kind, loop->depth,
                               loop->role);
        for (size_t k = 0; k < loop->count; k++)
            g_string_append_printf(text, " %a %a", cut->points[loop->first + k].x,
                                   cut->points[loop->first + k].y);
        g_string_append(text, "\n");
    }
}

static inline void
write_line(GString *text, const TbSceneLine *line)
{
    g_string_append_printf(text, "line %s", line->tag);
    for (size_t i = 0; i < line->count; i++)
        g_string_append_printf(text, " %a %a", line->points[i].x, line->points[i].y);
    for (size_t i = 0; i < line->tick_count; i++)
        g_string_append_printf(text, " tick %a %a %a %a %a", line->tick_station[i], line->tick[i].x,
                               line->tick[i].y, line->tick_direction[i].x,
                               line->tick_direction[i].y);
    g_string_append(text, "\n");
}

/** Freed with g_free(). */
static inline char *
scene_text(const TbScene *scene)
{
    GString *text = g_string_new(NULL);

    g_string_append_printf(text, "%s\n%s\nplane %a %a %a\nwindow %a %a %a %a\n", scene->title,
                           scene->subtitle, scene->plane.origin.x, scene->plane.origin.y,
                           scene->plane.origin.z, scene->low.x, scene->low.y, scene->high.x,
                           scene->high.y);
    for (size_t i = 0; i < scene->shape_count; i++) {
        const TbSceneShape *shape = &scene->shapes[i];

        g_string_append_printf(text, "shape %s %d %d %a\n", shape->tag, (int)shape->look,
                               shape->subject, shape->height);
        write_cut(text, "cut", &shape->cut);
        write_cut(text, "beyond", &shape->silhouette);
        write_cut(text, "envelope", &shape->envelope);
    }
    for (size_t i = 0; i < scene->line_count; i++)
        write_line(text, &scene->lines[i]);
    for (size_t i = 0; i < scene->gap_count; i++) {
        const TbSceneGap *gap = &scene->gaps[i];

        g_string_append_printf(text, "gap %s %s %a %a %a %a %a %a %a %d\n", gap->tag_a, gap->tag_b,
                               gap->a.x, gap->a.y, gap->b.x, gap->b.y, gap->gap, gap->keep,
                               gap->height_a, (int)gap->level);
    }
    for (size_t i = 0; i < scene->note_count; i++)
        g_string_append_printf(text, "note %s\n", scene->notes[i]);
    return g_string_free(text, FALSE);
}

/** Freed with g_free(). */
static inline char *
strip_text(const TbSceneStrip *strip)
{
    GString *text = g_string_new(NULL);

    g_string_append_printf(text, "%s\n%s\n%a\n", strip->title, strip->subtitle, strip->length);
    for (size_t i = 0; i < strip->chart_count; i++) {
        const TbSceneChart *chart = &strip->charts[i];

        g_string_append_printf(text, "chart %s %s\n", chart->title, chart->unit);
        for (size_t k = 0; k < chart->curve_count; k++) {
            const TbSceneCurve *curve = &chart->curves[k];

            g_string_append_printf(text, "curve %s %s", curve->tag, curve->label);
            for (size_t j = 0; j < curve->count; j++)
                g_string_append_printf(text, " %a %a %a", curve->station[j], curve->value[j],
                                       curve->low == NULL ? 0 : curve->low[j]);
            g_string_append(text, "\n");
        }
        for (size_t k = 0; chart->map != NULL && k < chart->map->columns * chart->map->rows; k++)
            g_string_append_printf(text, " %a %d", chart->map->room[k], (int)chart->map->who[k]);
        g_string_append(text, "\n");
        for (size_t k = 0; k < chart->limit_count; k++)
            g_string_append_printf(text, "limit %a %s\n", chart->limits[k].value,
                                   chart->limits[k].label);
        for (size_t k = 0; k < chart->band_count; k++)
            g_string_append_printf(text, "band %a %a %d %s\n", chart->bands[k].from,
                                   chart->bands[k].to, (int)chart->bands[k].level,
                                   chart->bands[k].text);
    }
    for (size_t i = 0; i < strip->note_count; i++)
        g_string_append_printf(text, "note %s\n", strip->notes[i]);
    return g_string_free(text, FALSE);
}
