/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>

/* deg. Nearer to the limit than this a cone is watched: the angle depends on how the last given
 * sections were rounded. */
#define CONE_MARGIN 0.5

static void
visit(const TbCaseItem *item, TbResults *results)
{
    TbFindingDef def;

    if (item->facts == NULL || !tb_check_is_outlet(item->placed->item))
        return;
    def = tb_check_finding(item, "growth", &item->facts->cone);
    def.place.angle = (double)NAN;
    def.value = item->facts->cone.value * 180 / G_PI;
    def.limit =
        tb_check_limits(item->theirs->catalogue, item->theirs->bay, item->placed->item).cone * 180 /
        G_PI;
    def.margin = def.limit - def.value;
    def.unit = "deg";
    def.level = tb_check_below(def.value, def.limit, CONE_MARGIN);
    def.basis =
        N_("full angle of the cone of equal area growth, 2 atan(A' / (2 sqrt(pi A))); flow "
           "stays attached up to about 7 deg, separates above 15 (Idelchik, Handbook of "
           "Hydraulic Resistance, conical diffusers: least loss at 7.0 deg for area ratio 2)");
    tb_finding_add_number(results, tb_results_add_finding(results, &def), "worst_station",
                          item->facts->cone.station);
}

void
tb_check_growth(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
