/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/say.h"
#include "study/spread.h"

#include <math.h>

static void
tell_source(const TbSpreadSource *from, TbResults *results, TbResultSource *to)
{
    bool turn = from->scatter.kind == TB_SCATTER_TURN;
    g_autofree char *name = NULL;

    tb_results_set_text(results, &to->kind, from->kind);
    tb_results_set_text(results, &to->item, from->item);
    tb_results_set_text(results, &to->mount, from->mount);
    tb_results_set_text(results, &to->freedom, from->freedom);
    tb_results_set_text(results, &to->grade, from->grade);
    tb_results_set_text(results, &to->unit, turn ? "deg" : "mm");
    to->size = from->size;
    to->half = from->scatter.half * (turn ? 180 / G_PI : 1);
    name = tb_say_source(results, to, TB_VOICE_REPORT);
    tb_results_set_text(results, &to->name, name);
}

static void
tell_chance(const TbScatter *scatter,
            const TbSpreadChance *chance,
            TbResults *results,
            TbResultScatter *out)
{
    out->samples = scatter->samples;
    out->seed = chance->seed;
    if (scatter->samples == 0)
        return;
    out->confidence = TB_SPREAD_CONFIDENCE;
    out->broken = scatter->broken;
    out->undecided = scatter->undecided;
    out->low = scatter->low;
    out->high = scatter->high;
    if (!(scatter->bin_width > 0))
        return;
    out->bin_from = scatter->bin_from;
    out->bin_width = scatter->bin_width;
    out->bin_count = TB_SCATTER_BINS;
    out->bins = tb_results_copy(results, scatter->bins, sizeof scatter->bins);
}

void
tb_spread_tell(const TbSpreadSet *set,
               const TbSpreadGap *gap,
               const TbSpreadChance *chance,
               double keep,
               TbResults *results,
               TbResultGap *result)
{
    TbResultScatter *out = tb_result_gap_add_scatter(results, result, set->count);

    out->keep = keep;
    for (size_t i = 0; i < set->count; i++)
        tell_source(&set->source[i], results, &out->sources[i]);
    if (gap == NULL || gap->status != TB_OK || gap->moving.gap.nothing)
        return;
    out->nominal = gap->scatter.nominal.upper;
    out->worst_lower = gap->scatter.worst_lower;
    out->worst_upper = gap->scatter.worst_upper;
    out->plain = gap->scatter.worst_plain;
    out->rss = gap->scatter.rss;
    out->most = gap->scatter.most;
    for (size_t i = 0; i < set->count; i++) {
        out->sources[i].slope = gap->scatter.slope[i];
        out->sources[i].share = gap->scatter.share[i];
    }
    tell_chance(&gap->scatter, chance, results, out);
}
