/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_causes.h"

#include "study/say.h"
#include "study/voice.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* Digits behind the decimal mark of mm. */
#define DECIMALS 2

static void
add_line(TbSceneCauses *scene, char *text)
{
    scene->lines = g_renew(char *, scene->lines, scene->line_count + 1);
    scene->lines[scene->line_count++] = text;
}

/* What an effect does to the gap that is without it: it mostly takes, so mostly below 0. */
static char *
change_of(double gap, double effect, TbLengthUnit unit)
{
    TbVoice voice = {.unit = unit};
    double taken = tb_gap_taken(gap, effect, unit, DECIMALS);
    g_autofree char *size = tb_voice_quantity(voice, fabs(taken), TB_QUANTITY_LENGTH, DECIMALS);
    g_autofree char *nothing = tb_voice_quantity(voice, 0, TB_QUANTITY_LENGTH, DECIMALS);

    if (isnan(taken) || strcmp(size, nothing) == 0)
        return g_steal_pointer(&size);
    return g_strdup_printf("%s%s", taken > 0 ? "−" : "+", size);
}

static void
add_causes(TbSceneCauses *scene, const TbResultCombination *row)
{
    double before = row->cold;

    scene->causes = g_new0(TbSceneCause, row->cause_count + 1);
    for (size_t i = 0; i < row->cause_count; i++) {
        const TbResultCause *from = &row->causes[i];
        TbSceneCause *cause = &scene->causes[scene->cause_count++];
        g_autofree char *alone = change_of(row->cold, from->alone, scene->unit);

        cause->name = g_strdup(tb_say_cause(from->cause));
        cause->change = change_of(before, from->added, scene->unit);
        /* Translators: what an effect does to a gap if it is the only one: "alone −3.1 mm" */
        cause->alone = row->cause_count > 1 ? g_strdup_printf(_("alone %s"), alone) : g_strdup("");
        cause->from = before;
        cause->to = before -= from->added;
    }
}

static void
tell(TbSceneCauses *scene, const TbResultGap *gap, const TbResultCombination *row)
{
    TbVoice voice = {.unit = scene->unit};
    char ends[2][TB_TEXT_NUMBER];
    const char *unit = tb_length_unit_name(scene->unit);

    tb_gap_write(gap->gap.lower, scene->unit, DECIMALS, ends[0]);
    tb_gap_write_end(gap->gap.upper, scene->unit, DECIMALS, ends[1]);
    if (gap->gap.nothing || gap->level == TB_LEVEL_OPEN)
        add_line(scene, g_strdup(_("This gap could not be judged")));
    else if (isnan(gap->keep))
        /* Translators: a gap lies between two numbers, a unit */
        add_line(scene,
                 g_strdup_printf(_("Between %s and %s %s; no keep"), ends[0], ends[1], unit));
    else
        /* Translators: a gap lies between two numbers, a unit; what is asked; whether it holds */
        add_line(scene, g_strdup_printf(_("Between %s and %s %s; keep %s: %s"), ends[0], ends[1],
                                        unit, scene->keep_text, tb_say_level(gap->level)));
    if (row != NULL && row->cause_count > 0) {
        g_autofree char *causes = tb_say_causes(row, voice);
        char *start = g_utf8_next_char(causes);
        g_autofree char *upper = g_utf8_strup(causes, start - causes);

        add_line(scene, g_strconcat(upper, start, NULL));
        scene->taken = scene->lines[scene->line_count - 1];
    }
}

TbSceneCauses *
tb_scene_causes_new(const TbResults *results, const TbResultGap *gap, TbLengthUnit unit)
{
    const TbResultCombination *row = tb_results_combination(results, gap);
    TbSceneCauses *scene = g_new0(TbSceneCauses, 1);
    TbVoice voice = {.unit = unit};

    scene->unit = unit;
    /* Translators: a heading; two items */
    scene->title = g_strdup_printf(_("Gap from %s to %s"), tb_say_item(results, gap->a),
                                   tb_say_item(results, gap->b));
    scene->subtitle = gap->variant[0] == '\0'
                          ? g_strdup(gap->state)
                          : g_strdup_printf(_("%s, variant %s"), gap->state, gap->variant);
    scene->level = gap->level;
    scene->cold = row == NULL ? (double)NAN : row->cold;
    scene->gap = gap->gap.nothing ? (double)NAN : gap->gap.lower;
    scene->keep = gap->keep;
    scene->cold_text = tb_voice_gap(voice, scene->cold, DECIMALS);
    scene->gap_text = tb_voice_gap(voice, scene->gap, DECIMALS);
    scene->keep_text = tb_voice_keep(voice, scene->keep, DECIMALS);
    if (row != NULL && row->cause_count > 0)
        add_causes(scene, row);
    tell(scene, gap, row);
    if (gap->scatter != NULL)
        scene->scatter = tb_scene_scatter_new(results, gap, unit);
    return scene;
}

void
tb_scene_causes_free(TbSceneCauses *scene)
{
    if (scene == NULL)
        return;
    for (size_t i = 0; i < scene->cause_count; i++) {
        g_free(scene->causes[i].name);
        g_free(scene->causes[i].change);
        g_free(scene->causes[i].alone);
    }
    for (size_t i = 0; i < scene->line_count; i++)
        g_free(scene->lines[i]);
    tb_scene_scatter_free(scene->scatter);
    g_free(scene->causes);
    g_free(scene->lines);
    g_free(scene->cold_text);
    g_free(scene->gap_text);
    g_free(scene->keep_text);
    g_free(scene->title);
    g_free(scene->subtitle);
    g_free(scene);
}

bool
tb_scene_causes_tell(const TbResults *results, const TbResultGap *gap)
{
    const TbResultCombination *row = tb_results_combination(results, gap);

    return gap->scatter != NULL || (row != NULL && row->cause_count > 0);
}

char *
tb_scene_causes_words(const TbSceneCauses *scene)
{
    GString *text = g_string_new(scene->subtitle);
    const TbSceneScatter *scatter = scene->scatter;

    for (size_t i = 0; i < scene->line_count; i++)
        g_string_append_printf(text, "\n%s", scene->lines[i]);
    for (size_t i = 0; scatter != NULL && i < scatter->line_count; i++)
        g_string_append_printf(text, "\n%s", scatter->lines[i]);
    for (size_t i = 0; scatter != NULL && i < scatter->bar_count; i++) {
        const TbSceneBar *bar = &scatter->bars[i];
        g_autofree char *share = tb_voice_number((TbVoice){0}, 100 * bar->share, 1);

        g_string_append_printf(text, "\n%s, %s: %s %%", bar->name, bar->band, share);
    }
    return g_string_free(text, FALSE);
}

/* ---- as a table ---- */

enum { COLUMN_WHAT, COLUMN_BAND, COLUMN_CHANGE, COLUMN_SHARE, COLUMN_COUNT };

/* Takes the texts but the first; NULL: there is none. */
static void
add_row(TbSceneTable *table, const char *what, char *band, char *change, char *share)
{
    char **cells;

    table->cells = g_renew(char *, table->cells, (table->rows + 1) * COLUMN_COUNT);
    cells = table->cells + table->rows++ * COLUMN_COUNT;
    cells[COLUMN_WHAT] = g_strdup(what);
    cells[COLUMN_BAND] = band == NULL ? g_strdup("") : band;
    cells[COLUMN_CHANGE] = change == NULL ? g_strdup("") : change;
    cells[COLUMN_SHARE] = share == NULL ? g_strdup("") : share;
}

static void
add_bar_row(TbSceneTable *table, const TbSceneBar *bar, TbLengthUnit unit)
{
    g_autofree char *half =
        tb_voice_quantity((TbVoice){.unit = unit}, bar->half, TB_QUANTITY_LENGTH, DECIMALS);
    g_autofree char *share = tb_voice_number((TbVoice){0}, 100 * bar->share, 1);

    add_row(table, bar->name, g_strdup(bar->band), g_strdup_printf("±%s", half),
            g_strdup_printf("%s %%", share));
}

TbSceneTable *
tb_scene_causes_table(const TbSceneCauses *scene)
{
    TbSceneTable *table = g_new0(TbSceneTable, 1);
    const char *const heads[COLUMN_COUNT] = {
        /* Translators: heads of a table of what changes a gap by how much */
        _("Effect or tolerance"), _("Band"), _("Gap, or its change"), _("Share of the variance")};

    table->columns = COLUMN_COUNT;
    table->named = true;
    table->heads = g_new0(char *, COLUMN_COUNT);
    for (int k = 0; k < COLUMN_COUNT; k++)
        table->heads[k] = g_strdup(heads[k]);
    if (scene->cause_count > 0)
        add_row(table, _("cold"), NULL, g_strdup(scene->cold_text), NULL);
    for (size_t i = 0; i < scene->cause_count; i++)
        add_row(table, scene->causes[i].name, NULL, g_strdup(scene->causes[i].change), NULL);
    add_row(table, _("gap"), NULL, g_strdup(scene->gap_text), NULL);
    for (size_t i = 0; scene->scatter != NULL && i < scene->scatter->bar_count; i++)
        add_bar_row(table, &scene->scatter->bars[i], scene->unit);
    return table;
}
