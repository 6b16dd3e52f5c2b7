/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include "geom/tol.h"

#include <glib/gi18n-lib.h>

static void
visit(const TbCaseItem *item, TbResults *results)
{
    const TbItem *record = item->placed->item;
    TbFindingDef def;
    double limit;

    if (item->facts == NULL || record->kind != TB_ITEM_DUCT)
        return;
    limit = tb_check_limits(item->theirs->catalogue, item->theirs->bay, record).wall;
    if (limit <= 0)
        return;
    def = tb_check_finding(item, "wall", &item->facts->thinnest);
    def.place.angle = (double)NAN;
    def.value = item->facts->thinnest.value;
    def.limit = limit;
    def.margin = def.value - limit;
    def.unit = "mm";
    def.level = tb_check_above(def.value, limit - TB_TOL_PLACE, 0);
    def.basis = tb_is_given(tb_item_duct(record)->least_wall)
                    ? N_("least wall that the bay states for this duct")
                    : N_("least wall by practice of the material");
    tb_results_add_finding(results, &def);
}

void
tb_check_wall(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
