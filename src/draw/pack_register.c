/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_pages.h"

#include <glib/gi18n-lib.h>

/* What stands in the document: items, materials, mounts, states, variants, keeps, assumptions. */

static size_t
plan(TbPackChapter *chapter)
{
    static const TbDossierList lists[] = {
        TB_DOSSIER_ITEMS,  TB_DOSSIER_MATERIALS,   TB_DOSSIER_MOUNTS,
        TB_DOSSIER_STATES, TB_DOSSIER_VARIANTS,    TB_DOSSIER_KEEPS,
        TB_DOSSIER_JOINTS, TB_DOSSIER_ASSUMPTIONS, TB_DOSSIER_REVISIONS};

    chapter->flow = tb_flow_new(chapter->measurer);
    for (size_t i = 0; i < G_N_ELEMENTS(lists); i++)
        tb_pack__list(chapter->flow, chapter->dossier, lists[i]);
    return tb_pack__plan_flow(chapter);
}

const TbPackKind tb_pack_register = {
    .name = "register", .title = N_("Items, mounts, keeps, assumptions"), .plan = plan};
