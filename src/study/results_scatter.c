/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/results_build.h"
#include "study/room.h"

#include <glib.h>
#include <math.h>

TbResultScatter *
tb_result_gap_add_scatter(TbResults *results, TbResultGap *gap, size_t sources)
{
    TbResultScatter *scatter = tb_room_take(results->room, sizeof *scatter);

    *scatter = (TbResultScatter){.source_count = sources};
    scatter->nominal = scatter->worst_lower = scatter->worst_upper = scatter->rss = NAN;
    scatter->low = scatter->high = scatter->keep = scatter->confidence = NAN;
    scatter->sources = tb_room_take(results->room, sources * sizeof *scatter->sources);
    for (size_t i = 0; i < sources; i++) {
        TbResultSource *source = &scatter->sources[i];
        char **texts[] = {&source->name,    &source->kind,  &source->item, &source->mount,
                          &source->freedom, &source->grade, &source->unit};

        *source = (TbResultSource){.size = NAN, .half = NAN, .slope = NAN, .share = NAN};
        for (size_t k = 0; k < G_N_ELEMENTS(texts); k++)
            tb_results_set_text(results, texts[k], NULL);
    }
    gap->scatter = scatter;
    return scatter;
}
