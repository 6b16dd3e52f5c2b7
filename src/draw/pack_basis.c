/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_pages.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>

/* What each number rests on, what nobody should take it for, and where people sign. */

/** mm of a line that people write on. */
#define WRITING 11.0

static const char *const signs[] = {N_("Prepared by"), N_("Checked by"), N_("Approved by")};

static void
sign_cell(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    (void)user;
    if (column == 0)
        g_string_append(cell->text, _(signs[row]));
}

static void
put_sign_off(TbPackChapter *chapter)
{
    const TbFlowColumn columns[] = {
        {_("Sign-off"), false}, {_("Name"), false}, {_("Signature"), false}, {_("Date"), false}};

    tb_flow_heading(chapter->flow, _("Sign-off"));
    tb_pack__text(chapter->flow,
                  _("A signature says that the findings and their dispositions have been read. It "
                    "takes the place of no approval that the law asks for, nor of the judgement of "
                    "a licensed engineer where the law asks for one."));
    tb_flow_table(chapter->flow, &(TbFlowTable){.columns = columns,
                                                .column_count = G_N_ELEMENTS(columns),
                                                .row_count = G_N_ELEMENTS(signs),
                                                .cell = sign_cell,
                                                .row_height = WRITING,
                                                .stretched = true});
}

static void
put_numbers(TbPackChapter *chapter)
{
    tb_flow_heading(chapter->flow, _("How to read the numbers"));
    tb_pack__text(
        chapter->flow,
        _("A gap is the smallest distance of the outer surfaces, over the whole surfaces and, "
          "where "
          "a mount moves, over the whole motion: the true value lies between a lower and an upper "
          "bound, and the lower one is told here, rounded down. Where a "
          "keep is met only within the margin or within what is known of the two sides, the level "
          "is `watch`."));
    tb_pack__text(chapter->flow,
                  _("Lengths are in millimetres, areas in mm², angles in degrees, temperatures in "
                    "°C. Stations are distances along a path from its start, of the path as drawn. "
                    "The zero planes belong to the body; Z = 0 is not the ground."));
}

static void
put_cautions(TbPackChapter *chapter)
{
    tb_flow_heading(chapter->flow, _("Cautions"));
    tb_pack__text(chapter->flow, tb_say_caution(false));
    tb_pack__text(
        chapter->flow,
        _("The retained catalyst stays where it is: nothing in this pack models it, or any "
          "other part of the emission control, as removable, and no finding here says "
          "that a vehicle may be used on the road. That is for the law of the place and "
          "for those who are licensed to judge it."));
}

static size_t
plan(TbPackChapter *chapter)
{
    chapter->flow = tb_flow_new(chapter->measurer);
    put_numbers(chapter);
    tb_pack__list(chapter->flow, chapter->dossier, TB_DOSSIER_BASIS);
    put_cautions(chapter);
    tb_pack__list(chapter->flow, chapter->dossier, TB_DOSSIER_CAUTIONS);
    put_sign_off(chapter);
    return tb_pack__plan_flow(chapter);
}

const TbPackKind tb_pack_basis = {
    .name = "basis", .title = N_("Basis of the numbers, cautions, sign-off"), .plan = plan};
