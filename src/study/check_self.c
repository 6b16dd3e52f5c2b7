/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>

static void
visit(const TbCaseItem *item, TbResults *results)
{
    TbFindingDef def;
    const TbGap *gap;

    if (item->facts == NULL || item->facts->self.nothing)
        return;
    gap = &item->facts->self;
    def = tb_check_finding(item, "self-touch", NULL);
    def.place.from = gap->site_a.station;
    def.place.to = gap->site_b.station;
    def.place.point = gap->point_a;
    def.value = gap->upper;
    def.limit = 0;
    def.margin = gap->lower;
    def.unit = "mm";
    def.level = gap->lower > 0 ? TB_LEVEL_HOLDS : TB_LEVEL_SHORT;
    def.basis = N_("nearest approach of places of one path that are far from each other along it");
    tb_finding_add_number(results, tb_results_add_finding(results, &def), "apart",
                          item->facts->self_apart);
}

void
tb_check_self(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
