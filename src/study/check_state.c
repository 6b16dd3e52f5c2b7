/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>

/* Why a state has no judged gaps; NULL where it has. */
static const char *
reason_of(const TbCase *theirs, const TbCondition *condition)
{
    if (condition->unjudged != NULL)
        return condition->unjudged;
    for (size_t i = 0; i < theirs->count; i++)
        if (theirs->stands[i].stand->condition == condition)
            return tb_keeps_speak(theirs->stands[i].stand) ? NULL : "no keep has a gap for it";
    return NULL;
}

/* A state that was asked for and is not judged is open; one that just stands in the bay is told
 * once, so that nobody takes silence for a yes. */
void
tb_check_state(const TbCase *theirs, TbResults *results)
{
    for (guint i = 0; i < theirs->conditions->len; i++) {
        const TbCondition *condition = theirs->conditions->pdata[i];
        const char *reason = reason_of(theirs, condition);
        TbFindingDef def = tb_finding_def("state", condition->id);

        if (reason == NULL)
            continue;
        if (!theirs->state_asked) {
            g_autofree char *text = g_strdup_printf("state %s: %s", condition->id, reason);

            tb_results_add_warning(results, text);
            continue;
        }
        def.state = condition->id;
        def.level = TB_LEVEL_OPEN;
        def.basis = N_("what this version of the program judges");
        tb_finding_add_text(results, tb_results_add_finding(results, &def), "reason", reason);
    }
}
