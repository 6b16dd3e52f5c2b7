/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_pages.h"

static void
list_cell(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    const TbDossierTable *table = user;

    g_string_append(cell->text, table->cells[row * table->column_count + column]);
    if (table->levels != NULL && column == 0) {
        cell->marked = true;
        cell->level = table->levels[row];
    }
}

void
tb_pack__table(TbFlow *flow, const TbDossier *dossier, TbDossierList list)
{
    const TbDossierTable *table = &dossier->lists[list];
    TbFlowColumn columns[TB_DOSSIER_COLUMNS];

    for (size_t i = 0; i < table->column_count; i++)
        columns[i] = (TbFlowColumn){table->columns[i].head, table->columns[i].is_number};
    tb_flow_table(flow, &(TbFlowTable){.columns = columns,
                                       .column_count = table->column_count,
                                       .row_count = table->row_count,
                                       .cell = list_cell,
                                       .user = table});
}

void
tb_pack__list(TbFlow *flow, const TbDossier *dossier, TbDossierList list)
{
    tb_flow_heading(flow, dossier->lists[list].title);
    tb_pack__table(flow, dossier, list);
}

void
tb_pack__text(TbFlow *flow, const char *text)
{
    tb_flow_text(flow, text, (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK});
}

size_t
tb_pack__plan_flow(TbPackChapter *chapter)
{
    return tb_flow_plan(chapter->flow, chapter->size.x, chapter->size.y);
}
