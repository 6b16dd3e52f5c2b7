/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_pages.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* Every pair where it is worst, and all that is near its keep; then what no gap speaks of. */

enum {
    COLUMN_LEVEL,
    COLUMN_A,
    COLUMN_B,
    COLUMN_STATE,
    COLUMN_VARIANTS,
    COLUMN_GAP,
    COLUMN_KEEP,
    COLUMN_SPARE,
    COLUMN_WHERE,
    COLUMN_UNCERTAINTY,
    COLUMN_KNOWN
};

static void
put_where(const TbResultGap *gap, GString *text)
{
    if (gap->level == TB_LEVEL_OPEN && gap->reason[0] != '\0')
        g_string_append(text, gap->reason);
    else
        tb_dossier_gap_stations(gap, text);
}

static void
gap_cell(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    const TbDossier *dossier = user;
    const TbDossierGap *one = &dossier->gaps[row];
    const TbResultGap *gap = one->gap;

    cell->bold = gap->level == TB_LEVEL_SHORT && (column == COLUMN_GAP || column == COLUMN_LEVEL);
    switch (column) {
    case COLUMN_LEVEL:
        g_string_append(cell->text, tb_say_level(gap->level));
        cell->marked = true;
        cell->level = gap->level;
        break;
    case COLUMN_A:
        g_string_append(cell->text, tb_dossier_name(dossier, gap->a));
        break;
    case COLUMN_B:
        g_string_append(cell->text, tb_dossier_name(dossier, gap->b));
        break;
    case COLUMN_STATE:
        g_string_append(cell->text, gap->state);
        break;
    case COLUMN_VARIANTS:
        g_string_append(cell->text, one->variants);
        break;
    case COLUMN_GAP:
        tb_dossier_gap_number(gap->gap.lower, cell->text);
        break;
    case COLUMN_KEEP:
        tb_dossier_keep_number(gap->keep, cell->text);
        break;
    case COLUMN_SPARE:
        tb_dossier_gap_number(gap->margin, cell->text);
        break;
    case COLUMN_WHERE:
        put_where(gap, cell->text);
        break;
    case COLUMN_UNCERTAINTY:
        tb_dossier_number(gap->uncertainty, 2, cell->text);
        break;
    default:
        g_string_append(cell->text, one->known);
        break;
    }
}

/** What the table leaves out, at its foot. */
static void
put_further(TbPackChapter *chapter)
{
    const TbDossier *dossier = chapter->dossier;
    g_autoptr(GString) spare = g_string_new(NULL);
    g_autofree char *text = NULL;

    if (dossier->further_gaps == 0)
        return;
    tb_dossier_gap_number(dossier->further_spare, spare);
    /* Translators: the second one is a number of mm */
    text = g_strdup_printf(ngettext("%zu further row of these pairs is left out: it holds with %s "
                                    "mm to spare, and its pair is above where it is worst.",
                                    "%zu further rows of these pairs are left out: each holds with "
                                    "%s mm or more to spare, and its pair is above where it is "
                                    "worst.",
                                    (unsigned long)dossier->further_gaps),
                           dossier->further_gaps, spare->str);
    tb_pack__text(chapter->flow, text);
    tb_pack__text(chapter->flow, _("Every gap in every state and variant, for a spreadsheet: "
                                   "tightbay-batch tables --gaps."));
}

static void
put_gaps(TbPackChapter *chapter)
{
    const TbFlowColumn columns[] = {
        {_("Level"), false},        {_("Item"), false},    {_("Other item"), false},
        {_("State"), false},        {_("Variant"), false}, {_("Gap mm"), true},
        {_("Keep mm"), true},       {_("Spare mm"), true}, {_("Stations mm"), false},
        {_("Known to ± mm"), true}, {_("Known by"), false}};
    g_autofree char *head =
        g_strdup_printf(ngettext("%zu gap was judged.", "%zu gaps were judged.",
                                 (unsigned long)chapter->dossier->results->gap_count),
                        chapter->dossier->results->gap_count);
    g_autofree char *text = g_strconcat(
        head, " ",
        _("Each row is a pair in a state; variants in which the gap reads the same stand in "
          "one row. Spare is the gap less its keep, below zero where it is "
          "short; gap and spare are rounded down. Known to: both sides together; by: the rougher "
          "of them. Stations are those of the item and of the other one; where neither has a "
          "path, X, Y and Z."),
        NULL);

    tb_flow_heading(chapter->flow,
                    _("Every pair where it is worst, and all that is near its keep"));
    tb_pack__text(chapter->flow, text);
    tb_flow_table(chapter->flow, &(TbFlowTable){.columns = columns,
                                                .column_count = G_N_ELEMENTS(columns),
                                                .row_count = chapter->dossier->gap_count,
                                                .cell = gap_cell,
                                                .user = chapter->dossier});
    put_further(chapter);
}

static size_t
plan(TbPackChapter *chapter)
{
    const TbDossier *dossier = chapter->dossier;

    if (dossier->gap_count == 0 && dossier->results->item_count == 0)
        return 0;
    chapter->flow = tb_flow_new(chapter->measurer);
    if (dossier->gap_count > 0)
        put_gaps(chapter);
    if (dossier->lists[TB_DOSSIER_UNPAIRED].row_count > 0) {
        tb_flow_heading(chapter->flow, dossier->lists[TB_DOSSIER_UNPAIRED].title);
        tb_pack__text(chapter->flow,
                      _("Nothing says how far these have to stay from each other, so no "
                        "gap between them is judged. The names are those of all items "
                        "that such a pair is made of."));
        tb_pack__table(chapter->flow, chapter->dossier, TB_DOSSIER_UNPAIRED);
    }
    tb_pack__list(chapter->flow, chapter->dossier, TB_DOSSIER_UNJUDGED);
    return tb_pack__plan_flow(chapter);
}

const TbPackKind tb_pack_gaps = {.name = "gaps", .title = N_("Gap table"), .plan = plan};
