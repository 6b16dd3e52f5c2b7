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

/* Per cent with two digits that count, rounded outward: 0.03, 1.7, 42; what is not quite 0 or 100
 * stays so. */
static char *
percent(double share, bool up, TbVoice voice)
{
    int decimals = share >= 0.1 ? 0 : share >= 0.01 ? 1 : share >= 0.001 ? 2 : 3;
    double scale, whole;

    if (1 - share < 0.1 && share < 1)
        decimals = 1 - share >= 0.01 ? 1 : 2;
    scale = pow(10, decimals);
    /* a thousandth of the last digit is what binary marks leave */
    whole = up ? ceil(100 * share * scale - 1e-3) : floor(100 * share * scale + 1e-3);
    return tb_voice_number(voice, whole / scale, decimals);
}

/* The clause on what the worst case is made of: of what is blended nobody knows the shares. */
static char *
worst_of(const TbResults *results, const TbResultScatter *scatter, TbVoice voice)
{
    bool english = voice.english;
    const TbResultSource *source = &scatter->sources[scatter->most];
    g_autofree char *most = NULL;

    if (isnan(source->share))
        return g_strdup(trans(english, N_("; the worst of all tolerances")));
    most = tb_say_source(results, source, voice);
    return g_strdup_printf(trans(english, N_("; the worst of all tolerances, most of it %s")),
                           most);
}

char *
tb_say__scatter(const TbResults *results, const TbFinding *finding, TbVoice voice)
{
    bool english = voice.english;
    const TbResultGap *gap = gap_of(results, finding);
    const TbResultScatter *scatter = gap == NULL ? NULL : gap->scatter;
    g_autofree char *worst = NULL, *low = NULL, *high = NULL, *count = NULL, *chance = NULL;

    if (scatter == NULL || gap->level == TB_LEVEL_OPEN || scatter->source_count == 0)
        return g_strdup("");
    worst = worst_of(results, scatter, voice);
    if (scatter->samples == 0)
        return g_steal_pointer(&worst);
    low = percent(scatter->low, false, voice);
    high = percent(scatter->high, true, voice);
    count = tb_voice_number(voice, (double)scatter->samples, 0);
    if (scatter->broken == 0)
        chance = g_strdup_printf(
            trans(english, N_("; by chance short in at most %s %% (none of %s samples)")), high,
            count);
    else
        chance = g_strdup_printf(
            trans(english, N_("; by chance short in %s to %s %% (%s samples)")), low, high, count);
    return g_strconcat(worst, chance, NULL);
}

/* ---- causes ---- */

/* Digits behind the decimal mark of mm. */
#define CAUSE_DECIMALS 2

const char *
tb_say_cause(const char *cause)
{
    if (strcmp(cause, "warmth") == 0)
        return _("warmth");
    return strcmp(cause, "rock") == 0 ? _("rock") : _("tolerance");
}

static char *
taken_of(double gap, double taken, TbVoice voice)
{
    return tb_voice_quantity(voice, tb_gap_taken(gap, taken, voice.unit, CAUSE_DECIMALS),
                             TB_QUANTITY_LENGTH, CAUSE_DECIMALS);
}

char *
tb_say_causes(const TbResultCombination *row, TbVoice voice)
{
    g_autofree char *cold = tb_voice_gap(voice, row->cold, CAUSE_DECIMALS);
    GString *text = g_string_new(NULL);
    double before = row->cold;

    if (row->cause_count > 0)
        g_string_append_printf(text, _("cold %s"), cold);
    for (size_t i = 0; i < row->cause_count; i++) {
        const TbResultCause *cause = &row->causes[i];
        g_autofree char *added = taken_of(before, cause->added, voice);
        g_autofree char *alone = taken_of(row->cold, cause->alone, voice);

        g_string_append(text, "; ");
        g_string_append_printf(text, _("%s takes %s (alone %s)"), tb_say_cause(cause->cause), added,
                               alone);
        before -= cause->added;
    }
    return g_string_free(text, FALSE);
}
