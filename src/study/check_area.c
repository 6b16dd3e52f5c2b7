/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* Relative. The law reproduces given areas to rounding; a real fall is a millionth and more. */
#define FALL_NOTICED 1e-9

static void
visit(const TbCaseItem *item, TbResults *results)
{
    const TbSweepFacts *facts = item->facts;
    bool falls;
    TbFindingDef def;
    TbFinding *finding;

    if (facts == NULL || !tb_check_is_outlet(item->placed->item))
        return;
    falls = facts->shrinks.value > FALL_NOTICED;
    def = tb_check_finding(item, "area-shrinks", falls ? &facts->shrinks : NULL);
    if (!falls) {
        def.place.from = 0;
        def.place.to = tb_sweep_length(item->form->sweep);
    }
    def.value = falls ? facts->shrinks.value * 100 : 0;
    def.limit = 0;
    def.margin = def.limit - def.value;
    def.unit = "%";
    def.level = falls ? TB_LEVEL_SHORT : TB_LEVEL_HOLDS;
    def.basis =
        N_("inner section area along the path; an outlet must grow at every station, or the "
           "flow is slowed and sped up again");
    finding = tb_results_add_finding(results, &def);
    tb_finding_add_number(results, finding, "from_area",
                          falls ? facts->from_area : facts->first_area);
    tb_finding_add_number(results, finding, "to_area", falls ? facts->to_area : facts->last_area);
    tb_finding_add_number(results, finding, "worst_station", facts->shrinks.station);
}

void
tb_check_area(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
