/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_pages.h"

#include <glib/gi18n-lib.h>

/* Gaps that rest on rough measurements: what to measure again, and in which order. */

static size_t
plan(TbPackChapter *chapter)
{
    if (chapter->dossier->lists[TB_DOSSIER_ROUGH].row_count == 0)
        return 0;
    chapter->flow = tb_flow_new(chapter->measurer);
    tb_pack__text(chapter->flow,
                  _("Pairs of which one side is known by tape measure, by a guess, or nobody says "
                    "how, and whose gap exceeds its keep by less than three times the uncertainty "
                    "of both sides together (root of the sum of squares). Each pair once, in the "
                    "state and variant in which a better measurement decides most; the most "
                    "doubtful first."));
    tb_pack__table(chapter->flow, chapter->dossier, TB_DOSSIER_ROUGH);
    return tb_pack__plan_flow(chapter);
}

const TbPackKind tb_pack_rough = {
    .name = "rough", .title = N_("Rough measurements, to be taken again"), .plan = plan};
