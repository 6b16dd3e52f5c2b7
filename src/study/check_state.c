/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

/* A state that was asked for and is not judged is open; one that just stands in the bay is told
 * once, so that nobody takes silence for a yes. */
void
tb_check_state(const TbCase *theirs, TbResults *results)
{
    for (guint i = 0; i < theirs->conditions->len; i++) {
        const TbCondition *condition = theirs->conditions->pdata[i];
        TbFindingDef def = tb_finding_def("state", condition->id);

        if (condition->unjudged == NULL)
            continue;
        if (!theirs->state_asked) {
            g_autofree char *text =
                g_strdup_printf("state %s: %s", condition->id, condition->unjudged);

            tb_results_add_warning(results, text);
            continue;
        }
        def.state = condition->id;
        def.level = TB_LEVEL_OPEN;
        def.basis = "what this version of the program judges";
        tb_finding_add_text(tb_results_add_finding(results, &def), "reason", condition->unjudged);
    }
}
