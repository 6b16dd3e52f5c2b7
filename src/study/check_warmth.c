/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>
#include <string.h>

/* Mount of a grown line's other end, where it is not the one that the line grows from; or NULL. */
static const char *
other_mount(const TbPlaced *placed)
{
    const TbLine *line;

    if (placed->item == NULL || placed->follows || placed->item->kind != TB_ITEM_LINE ||
        placed->entry == placed->drawn)
        return NULL;
    line = tb_item_line(placed->item);
    return g_strcmp0(line->end_mount, placed->item->mount) == 0 ? NULL : line->end_mount;
}

static bool
is_told(const TbPlaced *placed)
{
    return placed->unknown_growth || other_mount(placed) != NULL;
}

static bool
was_told(const TbCase *theirs, size_t before, const TbStand *stand, size_t item)
{
    for (size_t i = 0; i < before; i++)
        if (theirs->stands[i].stand->condition == stand->condition &&
            is_told(&theirs->stands[i].stand->items[item]))
            return true;
    return false;
}

/* A warm item without a material, or of an unknown one, is judged at its drawn size; a line between
 * two mounts grows from the first one's datum as a whole: both are said. */
void
tb_check_warmth(const TbCase *theirs, TbResults *results)
{
    for (size_t i = 0; i < theirs->count; i++) {
        const TbStand *stand = theirs->stands[i].stand;

        for (size_t k = 0; k < stand->count; k++) {
            const TbPlaced *placed = &stand->items[k];
            TbFindingDef def = tb_finding_def("warmth", placed->id);
            TbFinding *finding;

            if (!is_told(placed) || was_told(theirs, i, stand, k))
                continue;
            def.state = stand->condition->id;
            def.place.item = (char *)placed->id;
            def.value = tb_states_growth(stand->condition, placed->item);
            def.unit = "degC";
            def.level = TB_LEVEL_WATCH;
            def.basis = N_("growth is mean expansion times the difference to the reference "
                           "temperature of its mount");
            finding = tb_results_add_finding(results, &def);
            tb_finding_add_text(results, finding, "material", placed->item->material);
            tb_finding_add_text(results, finding, "mount", placed->item->mount);
            tb_finding_add_text(results, finding, "end-mount", other_mount(placed));
        }
    }
}
