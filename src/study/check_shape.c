/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>

static void
visit(const TbCaseItem *item, TbResults *results)
{
    TbFindingDef def = tb_finding_def("shape", item->placed->id);

    /* A scan's trouble is its own check's. */
    if (item->form->solid != NULL || item->form->is_scan)
        return;
    def.variant = item->variant;
    def.place.item = (char *)item->placed->id;
    def.level = TB_LEVEL_OPEN;
    def.basis = N_("the item's numbers in the bay");
    tb_finding_add_text(results, tb_results_add_finding(results, &def), "reason",
                        item->form->fault.text);
}

void
tb_check_shape(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
