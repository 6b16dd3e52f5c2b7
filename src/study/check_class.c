/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>
#include <string.h>

static bool
side_names(const char *item_id, const char *klass, const TbItem *item)
{
    return item_id != NULL ? strcmp(item_id, item->record.id) == 0
                           : g_strcmp0(klass, item->klass) == 0;
}

static bool
is_kept(const TbBay *bay, const TbItem *item)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_KEEPS); i++) {
        const TbKeep *keep = tb_bay_keep_at(bay, i);

        if (side_names(keep->item_a, keep->class_a, item) ||
            side_names(keep->item_b, keep->class_b, item))
            return true;
    }
    return false;
}

/*
 * Classes are free words. A misspelt one takes an item out of every keep, and what nobody judges
 * looks as if it held: so it is said.
 */
static void
visit(const TbCaseItem *item, TbResults *results)
{
    TbFindingDef def;

    if (is_kept(item->theirs->bay, item->placed->item))
        return;
    def = tb_finding_def("class", item->placed->id);
    def.variant = item->variant;
    def.place.item = (char *)item->placed->id;
    def.level = TB_LEVEL_WATCH;
    def.basis = N_("an item is judged against others only where a keep names it or its class");
    tb_finding_add_text(results, tb_results_add_finding(results, &def), "class",
                        item->placed->item->klass);
}

void
tb_check_class(const TbCase *theirs, TbResults *results)
{
    /* a bay without keeps is still being drawn */
    if (tb_bay_count(theirs->bay, TB_LIST_KEEPS) > 0)
        tb_case_each_item(theirs, visit, results);
}
