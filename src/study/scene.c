/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_build.h"

#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* ---- sharing and ending ---- */

TbScene *
tb_scene_ref(TbScene *scene)
{
    g_atomic_int_inc(&scene->references);
    return scene;
}

TbSceneStrip *
tb_scene_strip_ref(TbSceneStrip *strip)
{
    g_atomic_int_inc(&strip->references);
    return strip;
}

static void
free_texts(char **texts, size_t count)
{
    for (size_t i = 0; i < count; i++)
        g_free(texts[i]);
    g_free(texts);
}

static void
clear_line(TbSceneLine *line)
{
    g_free(line->tag);
    g_free(line->points);
    g_free(line->station);
    g_free(line->tick);
    g_free(line->tick_direction);
    g_free(line->tick_station);
}

void
tb_scene_unref(TbScene *scene)
{
    if (scene == NULL || !g_atomic_int_dec_and_test(&scene->references))
        return;
    for (size_t i = 0; i < scene->shape_count; i++) {
        g_free(scene->shapes[i].tag);
        g_free(scene->shapes[i].label);
        tb_cut_clear(&scene->shapes[i].cut);
        tb_cut_clear(&scene->shapes[i].silhouette);
        tb_cut_clear(&scene->shapes[i].envelope);
    }
    g_free(scene->shapes);
    for (size_t i = 0; i < scene->line_count; i++)
        clear_line(&scene->lines[i]);
    g_free(scene->lines);
    for (size_t i = 0; i < scene->gap_count; i++) {
        g_free(scene->gaps[i].tag_a);
        g_free(scene->gaps[i].tag_b);
    }
    g_free(scene->gaps);
    free_texts(scene->notes, scene->note_count);
    free_texts(scene->inside, scene->inside_count);
    g_free(scene->title);
    g_free(scene->subtitle);
    g_free(scene->caution);
    g_free(scene->axis_u);
    g_free(scene->axis_v);
    g_free(scene->front);
    g_free(scene);
}

static void
free_map(TbSceneMap *map)
{
    if (map == NULL)
        return;
    for (size_t i = 0; i < map->neighbour_count; i++) {
        g_free(map->neighbours[i].tag);
        g_free(map->neighbours[i].name);
    }
    g_free(map->neighbours);
    g_free(map->room);
    g_free(map->who);
    for (size_t i = 0; i < map->basin_count; i++)
        g_free(map->basins[i].finding);
    g_free(map->basins);
    g_free(map->keep_word);
    tb_contour_clear(&map->keep);
    tb_contour_clear(&map->want);
    g_free(map);
}

static void
clear_chart(TbSceneChart *chart)
{
    for (size_t i = 0; i < chart->curve_count; i++) {
        g_free(chart->curves[i].name);
        g_free(chart->curves[i].tag);
        g_free(chart->curves[i].label);
        g_free(chart->curves[i].station);
        g_free(chart->curves[i].value);
        g_free(chart->curves[i].low);
    }
    g_free(chart->curves);
    for (size_t i = 0; i < chart->limit_count; i++) {
        g_free(chart->limits[i].label);
        g_free(chart->limits[i].tag);
    }
    g_free(chart->limits);
    for (size_t i = 0; i < chart->band_count; i++) {
        g_free(chart->bands[i].text);
        g_free(chart->bands[i].finding);
        g_free(chart->bands[i].brief);
        g_free(chart->bands[i].name);
    }
    g_free(chart->bands);
    g_free(chart->allowed.station);
    g_free(chart->allowed.low);
    g_free(chart->allowed.high);
    g_free(chart->allowed.label);
    free_map(chart->map);
    g_free(chart->summary);
    g_free(chart->title);
    g_free(chart->head);
    g_free(chart->of);
    g_free(chart->unit);
}

void
tb_scene_strip_unref(TbSceneStrip *strip)
{
    if (strip == NULL || !g_atomic_int_dec_and_test(&strip->references))
        return;
    for (size_t i = 0; i < strip->chart_count; i++)
        clear_chart(&strip->charts[i]);
    g_free(strip->charts);
    free_texts(strip->named, strip->named_count);
    free_texts(strip->notes, strip->note_count);
    g_free(strip->named_at);
    g_free(strip->item);
    g_free(strip->name);
    g_free(strip->axis_title);
    g_free(strip->title);
    g_free(strip->subtitle);
    g_free(strip->caution);
    g_free(strip);
}

/* ---- what both sorts of scene say ---- */

char *
tb_scene_number(double x, int decimals)
{
    return isfinite(x) ? tb_voice_number((TbVoice){0}, x, decimals) : g_strdup("?");
}

char *
tb_scene_quantity(double x, TbQuantity quantity, TbLengthUnit unit, int decimals)
{
    return isfinite(x) ? tb_voice_quantity((TbVoice){.unit = unit}, x, quantity, decimals)
                       : g_strdup("?");
}

char *
tb_scene_length(double x, TbLengthUnit unit, int decimals)
{
    char text[TB_TEXT_NUMBER];

    tb_quantity_write(x, TB_QUANTITY_LENGTH, unit, decimals, text);
    tb_text_trim(text);
    return g_strdup(isfinite(x) ? text : "?");
}

char *
tb_scene_gap(double gap, double keep, TbLengthUnit unit)
{
    char told[TB_TEXT_NUMBER], wanted[TB_TEXT_NUMBER];

    tb_gap_words(gap, keep, unit, told, wanted);
    return g_strdup_printf("%s / %s", told, wanted);
}

char *
tb_scene_subtitle(const TbStand *stand, const char *state)
{
    const TbHead *head = stand->bay->head;
    GString *text = g_string_new(head->title == NULL ? "" : head->title);
    const TbVariant *variant = tb_bay_variant(stand->bay, stand->variant);

    if (head->revision != NULL)
        g_string_append_printf(text, _(", revision %s"), head->revision);
    g_string_append_printf(text, ", %s", state);
    if (variant != NULL)
        g_string_append_printf(text, _(", variant %s"),
                               variant->record.name == NULL ? variant->record.id
                                                            : variant->record.name);
    return g_string_free(text, FALSE);
}

const char *
tb_placed_name(const TbPlaced *placed)
{
    return placed->item == NULL || placed->item->record.name == NULL ? placed->id
                                                                     : placed->item->record.name;
}

TbStatus
tb_stand_want(const TbStand *stand, const char *id, size_t *index, TbFault *fault)
{
    size_t found = tb_stand_find(stand, id);
    const TbForm *form;

    if (found == stand->count)
        return tb_fail(fault, TB_E_REFERENCE, "there is no item %s", id);
    form = tb_placed_form(&stand->items[found]);
    if (form == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "item %s is not there in variant %s", id,
                       stand->variant_id);
    if (form->solid == NULL)
        return tb_fail(fault, form->fault.status, "item %s has no shape: %s", id, form->fault.text);
    *index = found;
    return TB_OK;
}
