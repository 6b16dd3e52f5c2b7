/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include <string.h>

const char *
tb_dossier__keep(TbDossier *dossier, const char *text)
{
    return text == NULL ? "" : g_string_chunk_insert_const(dossier->stock->texts, text);
}

void
tb_dossier__begin(TbDossier *dossier,
                  TbDossierList list,
                  const char *title,
                  const char *kinds,
                  const char *const heads[])
{
    TbDossierTable *table = &dossier->lists[list];

    table->title = tb_dossier__keep(dossier, title);
    table->column_count = strlen(kinds);
    g_assert(table->column_count <= TB_DOSSIER_COLUMNS);
    for (size_t i = 0; i < table->column_count; i++) {
        table->columns[i].is_number = kinds[i] == 'n';
        table->columns[i].head = tb_dossier__keep(dossier, heads[i]);
    }
}

void
tb_dossier__row(TbDossier *dossier, TbDossierList list, const char *const cells[])
{
    TbDossierTable *table = &dossier->lists[list];

    for (size_t i = 0; i < table->column_count; i++)
        g_ptr_array_add(dossier->stock->cells[list], (void *)tb_dossier__keep(dossier, cells[i]));
    table->row_count++;
}

void
tb_dossier__level(TbDossier *dossier, TbDossierList list, TbLevel level)
{
    g_array_append_val(dossier->stock->levels[list], level);
}

void
tb_dossier__end(TbDossier *dossier)
{
    for (int i = 0; i < TB_DOSSIER_LISTS; i++) {
        const GArray *levels = dossier->stock->levels[i];

        dossier->lists[i].cells = (const char **)dossier->stock->cells[i]->pdata;
        g_assert(levels->len == 0 || levels->len == dossier->lists[i].row_count);
        dossier->lists[i].levels = levels->len == 0 ? NULL : (TbLevel *)(void *)levels->data;
    }
}
