/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_scatter.h"

#include "study/say.h"
#include "study/voice.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* mm. A tolerance that moves the gap by less has no bar. */
#define NO_BAR 0.0005

/* Digits behind the decimal mark of mm. */
#define DECIMALS 2

static const char *
name_of(const TbResults *results, const char *id)
{
    const TbResultItem *item = tb_results_item(results, id);

    return item == NULL ? id : item->name;
}

static void
add_line(TbSceneScatter *scene, char *text)
{
    scene->lines = g_renew(char *, scene->lines, scene->line_count + 1);
    scene->lines[scene->line_count++] = text;
}

/* ---- bars ---- */

static int
largest_first(const void *a, const void *b)
{
    const TbSceneBar *one = a, *other = b;

    if (one->share != other->share)
        return one->share > other->share ? -1 : 1;
    return (one->half < other->half) - (one->half > other->half);
}

static void
add_bars(TbSceneScatter *scene, const TbResults *results, const TbResultScatter *scatter)
{
    TbVoice voice = {.unit = scene->unit};

    scene->bars = g_new0(TbSceneBar, scatter->source_count + 1);
    for (size_t i = 0; i < scatter->source_count; i++) {
        const TbResultSource *source = &scatter->sources[i];
        TbSceneBar *bar = &scene->bars[scene->bar_count];
        g_autofree char *half = NULL;

        if (!(fabs(source->slope) >= NO_BAR)) {
            scene->still_count++;
            continue;
        }
        half = tb_voice_value(voice, source->half, source->unit, 2);
        *bar = (TbSceneBar){.name = tb_say_source(results, source, voice),
                            .band = g_strdup_printf("±%s", half),
                            .half = fabs(source->slope),
                            .share = source->share,
                            .item = source->item == NULL || source->item[0] == '\0'
                                        ? NULL
                                        : name_of(results, source->item)};
        scene->bar_count++;
    }
    if (scene->bar_count > 0)
        qsort(scene->bars, scene->bar_count, sizeof *scene->bars, largest_first);
}

/* ---- sentences ---- */

int
tb_scene_scatter_decimals(const TbSceneScatter *scene, double gap)
{
    return MAX(DECIMALS, tb_gap_decimals(gap, scene->keep, scene->unit));
}

static char *
gap_of(const TbSceneScatter *scene, double gap)
{
    return tb_voice_gap((TbVoice){.unit = scene->unit}, gap, tb_scene_scatter_decimals(scene, gap));
}

static char *
percent(double share)
{
    return tb_voice_number((TbVoice){0}, 100 * share, share < 0.001 ? 3 : share < 0.1 ? 2 : 1);
}

static void
tell_chance(TbSceneScatter *scene, const TbResultScatter *scatter)
{
    g_autofree char *low = percent(scatter->low);
    g_autofree char *high = percent(scatter->high);
    g_autofree char *surely = percent(scatter->confidence);

    if (scatter->samples == 0)
        add_line(scene, g_strdup(_("Nothing was sampled")));
    else if (isnan(scatter->keep))
        add_line(scene, g_strdup_printf(_("%zu samples, seed %zu"), (size_t)scatter->samples,
                                        (size_t)scatter->seed));
    else
        add_line(scene,
                 /* Translators: two counts, a seed, three percentages */
                 g_strdup_printf(_("Keep broken in %zu of %zu samples (seed %zu): between %s and "
                                   "%s %%, %s %% surely"),
                                 (size_t)scatter->broken, (size_t)scatter->samples,
                                 (size_t)scatter->seed, low, high, surely));
}

static void
tell(TbSceneScatter *scene, const TbResultGap *gap)
{
    g_autofree char *nominal = gap_of(scene, scene->nominal);
    g_autofree char *worst = gap_of(scene, scene->worst);
    g_autofree char *rss =
        tb_voice_quantity((TbVoice){.unit = scene->unit}, scene->rss, TB_QUANTITY_LENGTH, DECIMALS);

    if (isnan(scene->nominal)) {
        add_line(scene, g_strdup(_("What tolerances do to this gap could not be judged")));
        scene->verdict = scene->lines[0];
        return;
    }
    if (gap->gap.contact == TB_CROSSES)
        add_line(scene, g_strdup_printf(_("Without tolerances %s; root-sum-square ±%s; the worst "
                                          "case crosses an open scan"),
                                        nominal, rss));
    else
        add_line(scene, g_strdup_printf(_("Without tolerances %s; root-sum-square ±%s; worst case "
                                          "at least %s"),
                                        nominal, rss, worst));
    tell_chance(scene, gap->scatter);
    scene->verdict = scene->lines[scene->line_count - 1];
    if (scene->bar_count > 0) {
        g_autofree char *share = percent(scene->bars[0].share);

        add_line(scene, g_strdup_printf(_("Largest share, %s %% of the variance: %s"), share,
                                        scene->bars[0].name));
    }
}

/* ---- the whole ---- */

TbSceneScatter *
tb_scene_scatter_new(const TbResults *results, const TbResultGap *gap, TbLengthUnit unit)
{
    const TbResultScatter *scatter = gap->scatter;
    TbSceneScatter *scene = g_new0(TbSceneScatter, 1);

    scene->unit = unit;
    scene->title = g_strdup_printf(_("Tolerances: %s to %s"), name_of(results, gap->a),
                                   name_of(results, gap->b));
    scene->subtitle = gap->variant[0] == '\0'
                          ? g_strdup(gap->state)
                          : g_strdup_printf(_("%s, variant %s"), gap->state, gap->variant);
    scene->nominal = scatter->nominal;
    scene->rss = scatter->rss;
    scene->worst = scatter->worst_lower;
    scene->keep = gap->keep;
    scene->bins = scatter->bins;
    scene->bin_count = scatter->bin_count;
    scene->bin_from = scatter->bin_from;
    scene->bin_width = scatter->bin_width;
    scene->samples = scatter->samples;
    add_bars(scene, results, scatter);
    tell(scene, gap);
    return scene;
}

void
tb_scene_scatter_free(TbSceneScatter *scene)
{
    if (scene == NULL)
        return;
    for (size_t i = 0; i < scene->bar_count; i++) {
        g_free(scene->bars[i].name);
        g_free(scene->bars[i].band);
    }
    for (size_t i = 0; i < scene->line_count; i++)
        g_free(scene->lines[i]);
    g_free(scene->bars);
    g_free(scene->lines);
    g_free(scene->title);
    g_free(scene->subtitle);
    g_free(scene);
}
