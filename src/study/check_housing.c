/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* A value between two limits; the nearer one is the finding's limit. */
static void
add_between(const TbCaseItem *item,
            TbResults *results,
            const char *rule,
            const char *part,
            double value,
            TbSpread limits,
            const char *basis)
{
    TbFindingDef def = tb_finding_def(rule, item->placed->id);
    TbFinding *finding;
    bool low_is_nearer = value - limits.low < limits.high - value;

    def.part = part;
    def.variant = item->variant;
    def.place.item = (char *)item->placed->id;
    def.value = value;
    def.limit = low_is_nearer ? limits.low : limits.high;
    def.margin = fmin(value - limits.low, limits.high - value);
    def.unit = "deg";
    def.level = def.margin >= 0 ? TB_LEVEL_HOLDS : TB_LEVEL_SHORT;
    def.basis = basis;
    finding = tb_results_add_finding(results, &def);
    tb_finding_add_number(results, finding, "low", limits.low);
    tb_finding_add_number(results, finding, "high", limits.high);
    tb_finding_add_text(results, finding, "housing", part);
}

/* Angle of the shaft over level, turbine end up, deg. */
static bool
shaft_tilt(const TbCaseItem *item, double *tilt)
{
    TbPose pose;

    if (tb_bay_turbo_pose(item->stand->bay, item->stand->variant, item->placed->id, -1, &pose,
                          NULL) != TB_OK)
        return false;
    *tilt = asin(fmax(-1, fmin(1, pose.x.z))) * 180 / G_PI;
    return true;
}

static void
visit(const TbCaseItem *item, TbResults *results)
{
    const TbTurbo *turbo;
    double tilt = 0;

    if (item->placed->item->kind != TB_ITEM_TURBO)
        return;
    turbo = tb_item_turbo(item->placed->item);
    for (size_t i = 0; i < turbo->housing_count; i++) {
        const TbHousing *housing = &turbo->housings[i];

        if (tb_is_given(housing->limit.low))
            add_between(
                item, results, "housing-turn", tb_name_of(tb_names_housing, housing->of),
                housing->turn, housing->limit,
                N_("limit that the bay states; a centre housing drains its oil within about "
                   "20 deg of straight down"));
    }
    if (tb_is_given(turbo->tilt.low) && shaft_tilt(item, &tilt))
        add_between(item, results, "shaft-tilt", NULL, tilt, turbo->tilt,
                    N_("angle of the shaft over level, turbine end up; limit that the bay states"));
}

void
tb_check_housing(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
