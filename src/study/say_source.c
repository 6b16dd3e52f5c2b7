/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/say_private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#define trans(english, text) tb_say__trans(english, text)

char *
tb_say_source(const TbResults *results, const TbResultSource *source, TbVoice voice)
{
    const char *whose =
        source->item[0] != '\0' ? tb_say_item(results, source->item) : source->mount;
    g_autofree char *size = tb_voice_quantity(voice, source->size, TB_QUANTITY_LENGTH, 1);
    bool english = voice.english;

    if (strcmp(source->kind, "placement") == 0)
        return g_strdup_printf(trans(english, N_("%s: placement %s")), whose, source->freedom);
    if (strcmp(source->kind, "core-shift") == 0)
        return g_strdup_printf(trans(english, N_("%s: core shift")), whose);
    if (strcmp(source->kind, "mismatch") == 0)
        return g_strdup_printf(trans(english, N_("%s: mismatch at the parting")), whose);
    if (strcmp(source->kind, "wall") == 0)
        return g_strdup_printf(trans(english, N_("%s: wall of %s, %s")), whose, size,
                               source->grade);
    return g_strdup_printf(trans(english, N_("%s: %s, size %s")), whose, source->grade, size);
}

static const TbResultGap *
gap_of(const TbResults *results, const TbFinding *finding)
{
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        g_autofree char *pair = NULL;

        if (gap->scatter == NULL || strcmp(gap->state, finding->state) != 0 ||
            strcmp(gap->variant, finding->variant) != 0)
            continue;
        pair = tb_results_pair(gap->a, gap->b);
        if (strcmp(pair, finding->subject) == 0)
            return gap;
    }
    return NULL;
}

/* Per cent with two digits that count: 0.03, 1.7, 42. */
static char *
percent(double share, TbVoice voice)
{
    int decimals = share >= 0.1 ? 0 : share >= 0.01 ? 1 : share >= 0.001 ? 2 : 3;

    return tb_voice_number(voice, 100 * share, decimals);
}

char *
tb_say__scatter(const TbResults *results, const TbFinding *finding, TbVoice voice)
{
    bool english = voice.english;
    const TbResultGap *gap = gap_of(results, finding);
    const TbResultScatter *scatter = gap == NULL ? NULL : gap->scatter;
    g_autofree char *most = NULL, *low = NULL, *high = NULL, *count = NULL;

    if (scatter == NULL || gap->level == TB_LEVEL_OPEN || scatter->source_count == 0)
        return g_strdup("");
    most = tb_say_source(results, &scatter->sources[scatter->most], voice);
    if (scatter->samples == 0)
        return g_strdup_printf(trans(english, N_("; the worst of all tolerances, most of it %s")),
                               most);
    low = percent(scatter->low, voice);
    high = percent(scatter->high, voice);
    count = tb_voice_number(voice, (double)scatter->samples, 0);
    if (scatter->broken == 0)
        return g_strdup_printf(
            trans(english, N_("; the worst of all tolerances, most of it %s; by chance short in at "
                              "most %s %% (none of %s samples)")),
            most, high, count);
    return g_strdup_printf(
        trans(english, N_("; the worst of all tolerances, most of it %s; by chance short in %s to "
                          "%s %% (%s samples)")),
        most, low, high, count);
}
