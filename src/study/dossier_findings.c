/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <string.h>

const char *
tb_disposition_name(int disposition)
{
    static const char *const names[] = {
        [TB_DISPOSITION_OPEN] = N_("Open"),
        [TB_DISPOSITION_ACCEPTED] = N_("Accepted"),
        [TB_DISPOSITION_CHANGE] = N_("To be changed"),
        [TB_DISPOSITION_MEASURE] = N_("To be measured"),
        [TB_DISPOSITION_WAIVED] = N_("Waived"),
    };

    return _(names[disposition]);
}

/* Of the finding itself first, then of its matter, then of another state or variant of it. */
static const TbDecision *
decision_about(const TbBay *bay, const TbFinding *finding)
{
    g_autofree char *matter = tb_finding_matter(finding);
    const TbDecision *loose = NULL;
    size_t length = strlen(matter);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_DECISIONS); i++) {
        const TbDecision *decision = tb_bay_decision_at(bay, i);

        if (tb_finding_id_alike(decision->finding, finding->id))
            return decision;
        if (strncmp(decision->finding, matter, length) == 0 &&
            (decision->finding[length] == '\0' || decision->finding[length] == '/') &&
            (loose == NULL || decision->finding[length] == '\0'))
            loose = decision;
    }
    return loose;
}

static bool
is_pair_of(const TbResultGap *gap, const char *subject)
{
    g_autofree char *pair = tb_results_pair(gap->a, gap->b);

    return strcmp(pair, subject) == 0;
}

static const TbResultGap *
gap_of(const TbResults *results, const TbFinding *finding)
{
    if (strcmp(finding->rule, "gap") != 0)
        return NULL;
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];

        if (strcmp(gap->state, finding->state) == 0 &&
            strcmp(gap->variant, finding->variant) == 0 && is_pair_of(gap, finding->subject))
            return gap;
    }
    return NULL;
}

static void
add_finding(TbDossier *dossier, const TbBay *bay, const TbMatter *matter)
{
    TbDossierFinding *finding = &dossier->findings[dossier->finding_count];
    g_autofree char *what = tb_say_finding_short(dossier->results, matter->worst, TB_UNIT_MM);
    g_autofree char *where = tb_say_finding_where(dossier->results, matter->worst, TB_UNIT_MM);
    const TbDecision *decision = decision_about(bay, matter->worst);

    finding->matter = matter;
    finding->number = ++dossier->finding_count;
    finding->what = tb_dossier__keep(dossier, what);
    finding->where = tb_dossier__keep(dossier, where);
    finding->gap = gap_of(dossier->results, matter->worst);
    finding->decided = tb_dossier__keep(
        dossier, decision == NULL ? _("Not decided") : tb_disposition_name(decision->disposition));
    finding->owner = tb_dossier__keep(dossier, decision == NULL ? NULL : decision->owner);
    finding->due = tb_dossier__keep(dossier, decision == NULL ? NULL : decision->due);
    finding->reason = tb_dossier__keep(dossier, decision == NULL ? NULL : decision->text);
}

void
tb_dossier__fill_findings(TbDossier *dossier, const TbBay *bay)
{
    TbMatterAsk ask = {.whole = dossier->results};

    dossier->matters = tb_matters_new(&ask);
    dossier->findings = g_new0(TbDossierFinding, dossier->matters->count + 1);
    for (size_t i = 0; i < dossier->matters->count; i++)
        if (dossier->matters->matters[i].worst->level != TB_LEVEL_HOLDS)
            add_finding(dossier, bay, &dossier->matters->matters[i]);
}
