/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <string.h>

static bool
was_told(const TbCase *theirs, size_t before, const TbStand *stand, size_t item)
{
    for (size_t i = 0; i < before; i++)
        if (theirs->stands[i].stand->condition == stand->condition &&
            theirs->stands[i].stand->items[item].unknown_growth)
            return true;
    return false;
}

/* A warm item without a material, or of an unknown one, is judged at its drawn size: said so. */
void
tb_check_warmth(const TbCase *theirs, TbResults *results)
{
    for (size_t i = 0; i < theirs->count; i++) {
        const TbStand *stand = theirs->stands[i].stand;

        for (size_t k = 0; k < stand->count; k++) {
            TbFindingDef def = tb_finding_def("warmth", stand->items[k].id);

            if (!stand->items[k].unknown_growth || was_told(theirs, i, stand, k))
                continue;
            def.state = stand->condition->id;
            def.place.item = (char *)stand->items[k].id;
            def.value = tb_states_growth(stand->condition, stand->items[k].item);
            def.unit = "degC";
            def.level = TB_LEVEL_WATCH;
            def.basis = "growth is mean expansion times the difference to the reference "
                        "temperature of its mount";
            tb_finding_add_text(tb_results_add_finding(results, &def), "material",
                                stand->items[k].item->material);
        }
    }
}
