/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include "geom/tol.h"

#include <glib/gi18n-lib.h>

static const char *
basis_of(const TbItem *item)
{
    static const char *const words[] = {
        [TB_BEND_MAKER] = N_("least bend radius that the maker states"),
        [TB_BEND_STANDARD] = N_("least bend radius by the standard that the bay names"),
        [TB_BEND_PRACTICE] = N_("least bend radius by practice"),
    };

    if (item->kind == TB_ITEM_LINE && tb_is_given(tb_item_line(item)->least_bend))
        return words[tb_item_line(item)->bend_basis];
    return N_("least centre-line radius over outside diameter by practice of the material");
}

static void
visit(const TbCaseItem *item, TbResults *results)
{
    const TbItem *record = item->placed->item;
    TbFindingDef def;
    double limit;

    if (item->facts == NULL)
        return;
    limit = tb_check_limits(item->theirs->catalogue, item->theirs->bay, record).bend;
    if (limit <= 0)
        return;
    def = tb_check_finding(item, "bend-radius", &item->facts->tightest);
    def.place.angle = (double)NAN;
    def.value = item->facts->tightest.value;
    def.limit = limit;
    def.margin = def.value - limit;
    def.unit = "mm";
    def.level = tb_check_above(def.value, limit - TB_TOL_PLACE, 0);
    def.basis = basis_of(record);
    tb_finding_add_number(results, tb_results_add_finding(results, &def), "worst_station",
                          item->facts->tightest.station);
}

void
tb_check_bend(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
