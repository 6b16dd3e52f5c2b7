/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/report.h"
#include "study/scene_build.h"
#include "study/study.h"

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

/** Of a duct or line; NULL: it has none. */
static const TbStation *
stations_of(const TbItem *item, size_t *count)
{
    *count = 0;
    if (item->kind == TB_ITEM_DUCT) {
        *count = tb_item_duct(item)->station_count;
        return tb_item_duct(item)->stations;
    }
    if (item->kind == TB_ITEM_LINE) {
        *count = tb_item_line(item)->station_count;
        return tb_item_line(item)->stations;
    }
    return NULL;
}

TbStatus
tb_placed_station(
    const TbPlaced *placed, const char *name, double length, double *at, TbFault *fault)
{
    size_t count;
    const TbStation *stations = stations_of(placed->item, &count);
    g_autoptr(GString) names = g_string_new(NULL);

    for (size_t i = 0; i < count; i++) {
        if (g_strcmp0(stations[i].name, name) == 0) {
            *at = stations[i].from_end ? length - stations[i].at : stations[i].at;
            return TB_OK;
        }
        g_string_append_printf(names, "%s%s", i == 0 ? "" : ", ", stations[i].name);
    }
    return tb_fail(fault, TB_E_REFERENCE, "%s has no station \"%s\"; named ones: %s", placed->id,
                   name, count == 0 ? "none" : names->str);
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

        tb_results_set_text(results, &duct->id, item);
        duct->row_count = table->count;
        duct->rows = tb_results_copy(results, table->rows, table->count * sizeof table->rows[0]);
        *csv = tb_report_stations_csv(results, item);
        tb_results_unref(results);
    }
    tb_case_free(theirs);
    return status;
}
