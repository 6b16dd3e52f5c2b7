/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/report.h"
#include "study/scene_build.h"

static TbStatus
table_of(TbStudy *study,
         const TbAsk *ask,
         const TbStand *stand,
         const char *item,
         const TbTable **table,
         TbFault *fault)
{
    size_t index = 0;
    TbStatus status = tb_stand_want(stand, item, &index, fault);
    TbEntry *entry;
    bool is_new;

    if (status != TB_OK)
        return status;
    if (tb_placed_form(&stand->items[index])->sweep == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "item %s has no path, so it has no stations", item);
    entry = tb_measure_table(study->cache, stand->items[index].entry, tb_ask_step(ask), &is_new);
    study->counts.tables += is_new;
    status = tb_cache_settle(study->cache, study->work, NULL, fault);
    if (status == TB_OK)
        *table = entry->value;
    return status;
}

TbStatus
tb_study_stations(TbStudy *study, const TbAsk *ask, const char *item, char **csv, TbFault *fault)
{
    TbCase *theirs = NULL;
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    TbStatus status = tb_case_new(study, ask, 0, true, NULL, &theirs, why);
    const TbTable *table = NULL;

    if (status != TB_OK)
        return status;
    status = table_of(study, ask, theirs->stands[0].stand, item, &table, why);
    if (status == TB_OK) {
        TbResults *results = tb_results_new(NULL, NULL);
        TbResultDuct *duct = tb_results_add_duct(results);

        tb_results_set_text(&duct->id, item);
        duct->row_count = table->count;
        duct->rows = g_memdup2(table->rows, table->count * sizeof table->rows[0]);
        *csv = tb_report_stations_csv(results, item);
        tb_results_unref(results);
    }
    tb_case_free(theirs);
    return status;
}
