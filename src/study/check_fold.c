/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include "geom/tol.h"

#include <glib/gi18n-lib.h>

/* Of curvature times half extent: nearer to 1 than this the inside of the bend is sharper than a
 * fifteenth of the section, which neither a core nor a tube follows well. */
#define FOLD_MARGIN 0.15

static void
add(const TbCaseItem *item, TbResults *results, const char *part, const TbSweepWorst *worst)
{
    TbFindingDef def = tb_check_finding(item, "fold", worst);
    TbFinding *finding;

    def.part = part;
    def.value = worst->value;
    def.limit = 1;
    def.margin = 1 - worst->value;
    def.unit = "1";
    def.level = tb_check_below(worst->value, 1 - TB_TOL_ROUND, FOLD_MARGIN);
    def.basis = N_("curvature of the path times how far the section reaches to the inside of the "
                   "bend; at 1 the surface folds");
    finding = tb_results_add_finding(results, &def);
    tb_finding_add_text(results, finding, "surface", part);
    tb_finding_add_number(results, finding, "worst_station", worst->station);
}

static void
visit(const TbCaseItem *item, TbResults *results)
{
    if (item->facts == NULL)
        return;
    if (item->placed->item->kind == TB_ITEM_DUCT)
        add(item, results, "inner", &item->facts->fold_inner);
    add(item, results, "outer", &item->facts->fold_outer);
}

void
tb_check_fold(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
