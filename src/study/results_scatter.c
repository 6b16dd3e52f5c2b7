/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/results_build.h"

#include <glib.h>
#include <math.h>

TbResultScatter *
tb_result_gap_add_scatter(TbResultGap *gap, size_t sources)
{
    TbResultScatter *scatter = g_new0(TbResultScatter, 1);

    scatter->nominal = scatter->worst_lower = scatter->worst_upper = scatter->rss = NAN;
    scatter->low = scatter->high = scatter->keep = scatter->confidence = NAN;
    scatter->sources = g_new0(TbResultSource, sources + 1);
    scatter->source_count = sources;
    for (size_t i = 0; i < sources; i++) {
        TbResultSource *source = &scatter->sources[i];
        char **texts[] = {&source->name,    &source->kind,  &source->item, &source->mount,
                          &source->freedom, &source->grade, &source->unit};

        for (size_t k = 0; k < G_N_ELEMENTS(texts); k++)
            tb_results_set_text(texts[k], NULL);
        source->size = source->half = source->slope = source->share = NAN;
    }
    tb_result_scatter_free(gap->scatter);
    gap->scatter = scatter;
    return scatter;
}

void
tb_result_scatter_free(TbResultScatter *scatter)
{
    if (scatter == NULL)
        return;
    for (size_t i = 0; i < scatter->source_count; i++) {
        TbResultSource *source = &scatter->sources[i];

        g_free(source->name);
        g_free(source->kind);
        g_free(source->item);
        g_free(source->mount);
        g_free(source->freedom);
        g_free(source->grade);
        g_free(source->unit);
    }
    g_free(scatter->sources);
    g_free(scatter->bins);
    g_free(scatter);
}
