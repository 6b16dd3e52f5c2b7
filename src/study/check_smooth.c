/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>

/* deg. Change of the cone angle within one diameter of path that a smooth outlet stays below: half
 * of the 15 deg above which a diffuser is sure to separate. */
#define CONE_CHANGE 7.5

/* Change of diameter over bend radius within one diameter of path: a straight that turns at once
 * into a bend of two thirds of a diameter. */
#define BEND_CHANGE 1.5

static void
add(const TbCaseItem *item,
    TbResults *results,
    const char *rule,
    const TbSweepWorst *worst,
    double value,
    double limit,
    const char *unit,
    const char *basis)
{
    TbFindingDef def = tb_check_finding(item, rule, worst);

    def.place.angle = (double)NAN;
    def.value = value;
    def.limit = limit;
    def.margin = limit - value;
    def.unit = unit;
    /* A rule of practice: what breaks it is watched, not short. */
    def.level = value <= limit ? TB_LEVEL_HOLDS : TB_LEVEL_WATCH;
    def.basis = basis;
    tb_results_add_finding(results, &def);
}

static void
visit(const TbCaseItem *item, TbResults *results)
{
    const TbSweepFacts *facts = item->facts;

    if (facts == NULL || item->placed->item->kind != TB_ITEM_DUCT)
        return;
    if (tb_check_is_outlet(item->placed->item))
        add(item, results, "smooth-growth", &facts->cone_change,
            facts->cone_change.value * 180 / G_PI, CONE_CHANGE, "deg",
            N_("change of the cone angle of equal area growth within one equal-area diameter of "
               "path; a rule of practice"));
    add(item, results, "smooth-bend", &facts->bend_change, facts->bend_change.value, BEND_CHANGE,
        "1",
        N_("change of equal-area diameter over bend radius within one diameter of path; a rule of "
           "practice"));
}

void
tb_check_smooth(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
