/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/compare.h"

#include "study/json.h"
#include "study/report.h"

#include <math.h>
#include <string.h>

/* mm2. An area that differs by less than this has not changed: a tenth of what a casting's
 * roughness does. */
#define AREA_NOTICED 0.1

/* ---- what changed, as plain lists ---- */

double
tb_station_area(const TbResultDuct *duct, double station)
{
    const TbStationRow *rows = duct->rows;

    for (size_t i = 1; i < duct->row_count; i++)
        if (station <= rows[i].station) {
            double share =
                (station - rows[i - 1].station) / (rows[i].station - rows[i - 1].station);

            return rows[i - 1].area + fmax(0, share) * (rows[i].area - rows[i - 1].area);
        }
    return rows[duct->row_count - 1].area;
}

GArray *
tb_compare_stretches(const TbResultDuct *before, const TbResultDuct *after)
{
    GArray *stretches = g_array_new(FALSE, TRUE, sizeof(TbStretch));
    bool open = false;

    if (before->row_count == 0)
        return stretches;
    for (size_t i = 0; i < after->row_count; i++) {
        double station = after->rows[i].station;
        double old_area = tb_station_area(before, station);
        double change = after->rows[i].area - old_area;
        TbStretch *last;

        if (fabs(change) < AREA_NOTICED) {
            open = false;
            continue;
        }
        if (!open) {
            TbStretch fresh = {.from = station};

            g_array_append_val(stretches, fresh);
            open = true;
        }
        last = &g_array_index(stretches, TbStretch, stretches->len - 1);
        last->to = station;
        if (fabs(change) > fabs(last->worst)) {
            last->worst = change;
            last->at = station;
            last->old_area = old_area;
        }
    }
    return stretches;
}

/* What of an item differs: "name, kind, class, mount, shape", or NULL. */
char *
tb_compare_item(const TbResultItem *before, const TbResultItem *after)
{
    g_autoptr(GString) what = g_string_new(NULL);
    const struct {
        const char *word, *before, *after;
    } fields[] = {{"name", before->name, after->name},
                  {"kind", before->kind, after->kind},
                  {"class", before->item_class, after->item_class},
                  {"mount", before->mount, after->mount},
                  {"shape", before->shape, after->shape}};

    for (size_t i = 0; i < G_N_ELEMENTS(fields); i++)
        if (strcmp(fields[i].before, fields[i].after) != 0)
            g_string_append_printf(what, "%s%s", what->len == 0 ? "" : ", ", fields[i].word);
    return what->len == 0 ? NULL : g_strdup(what->str);
}

char *
tb_compare_gap_key(const TbResultGap *gap)
{
    g_autofree char *pair = tb_results_pair(gap->a, gap->b);

    return g_strdup_printf("%s/%s/%s", pair, gap->state, gap->variant);
}

/* Records by key, so that two long lists are compared in one pass. */
GHashTable *
tb_compare_gaps(const TbResults *results)
{
    GHashTable *table = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);

    for (size_t i = 0; i < results->gap_count; i++)
        g_hash_table_insert(table, tb_compare_gap_key(&results->gaps[i]), &results->gaps[i]);
    return table;
}

GHashTable *
tb_compare_findings(const TbResults *results)
{
    GHashTable *table = g_hash_table_new(g_str_hash, g_str_equal);

    for (size_t i = 0; i < results->finding_count; i++)
        g_hash_table_insert(table, results->findings[i].id, &results->findings[i]);
    return table;
}

double
tb_compare_gap_of(const TbResultGap *gap)
{
    return gap->gap.nothing ? (double)NAN : gap->gap.upper;
}

bool
tb_compare_gap_changed(const TbResultGap *before, const TbResultGap *after)
{
    double change = tb_compare_gap_of(after) - tb_compare_gap_of(before);

    return before->level != after->level || before->keep != after->keep ||
           isnan(tb_compare_gap_of(before)) != isnan(tb_compare_gap_of(after)) ||
           fabs(change) >= TB_COMPARE_GAP;
}

/* ---- JSON ---- */

static void
json_of_which(JsonBuilder *json, const char *key, const TbResults *results)
{
    tb_json_begin(json, key);
    tb_json_text(json, "bay", results->bay);
    tb_json_text(json, "revision", results->revision);
    json_builder_end_object(json);
}

static void
json_of_missing(JsonBuilder *json, const char *key, const TbResults *in, const TbResults *of)
{
    tb_json_begin_list(json, key);
    for (size_t i = 0; i < of->item_count; i++)
        if (tb_results_item(in, of->items[i].id) == NULL)
            json_builder_add_string_value(json, of->items[i].id);
    json_builder_end_array(json);
}

static void
json_of_items(JsonBuilder *json, const TbResults *before, const TbResults *after)
{
    tb_json_begin(json, "items");
    json_of_missing(json, "added", before, after);
    json_of_missing(json, "removed", after, before);
    tb_json_begin_list(json, "changed");
    for (size_t i = 0; i < after->item_count; i++) {
        const TbResultItem *old = tb_results_item(before, after->items[i].id);
        g_autofree char *change = old == NULL ? NULL : tb_compare_item(old, &after->items[i]);
        g_auto(GStrv) words = change == NULL ? NULL : g_strsplit(change, ", ", -1);

        if (words == NULL)
            continue;
        tb_json_begin(json, NULL);
        tb_json_text(json, "id", after->items[i].id);
        tb_json_begin_list(json, "what");
        for (size_t k = 0; words[k] != NULL; k++)
            json_builder_add_string_value(json, words[k]);
        json_builder_end_array(json);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
    json_builder_end_object(json);
}

static void
json_of_duct(JsonBuilder *json, const TbResultDuct *old, const TbResultDuct *duct)
{
    g_autoptr(GArray) stretches = tb_compare_stretches(old, duct);

    if (stretches->len == 0 && fabs(duct->length - old->length) < TB_COMPARE_GAP)
        return;
    tb_json_begin(json, NULL);
    tb_json_text(json, "id", duct->id);
    tb_json_numbers(json, "length", (double[]){old->length, duct->length}, 2);
    tb_json_numbers(json, "volume_inner", (double[]){old->volume_inner, duct->volume_inner}, 2);
    tb_json_begin_list(json, "areas");
    for (guint i = 0; i < stretches->len; i++) {
        const TbStretch *stretch = &g_array_index(stretches, TbStretch, i);

        tb_json_begin(json, NULL);
        tb_json_number(json, "from", stretch->from);
        tb_json_number(json, "to", stretch->to);
        tb_json_number(json, "at", stretch->at);
        tb_json_numbers(json, "area",
                        (double[]){stretch->old_area, stretch->old_area + stretch->worst}, 2);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
    json_builder_end_object(json);
}

static void
json_of_ducts(JsonBuilder *json, const TbResults *before, const TbResults *after)
{
    tb_json_begin_list(json, "ducts");
    for (size_t i = 0; i < after->duct_count; i++) {
        const TbResultDuct *old = tb_results_duct(before, after->ducts[i].id);

        if (old != NULL)
            json_of_duct(json, old, &after->ducts[i]);
    }
    json_builder_end_array(json);
}

static void
json_of_gaps(JsonBuilder *json, const TbResults *before, const TbResults *after)
{
    g_autoptr(GHashTable) olds = tb_compare_gaps(before);

    tb_json_begin_list(json, "gaps");
    for (size_t i = 0; i < after->gap_count; i++) {
        const TbResultGap *gap = &after->gaps[i];
        g_autofree char *key = tb_compare_gap_key(gap);
        const TbResultGap *old = g_hash_table_lookup(olds, key);

        if (old == NULL || !tb_compare_gap_changed(old, gap))
            continue;
        tb_json_begin(json, NULL);
        tb_json_text(json, "a", gap->a);
        tb_json_text(json, "b", gap->b);
        tb_json_text(json, "state", gap->state);
        tb_json_text(json, "variant", gap->variant);
        tb_json_numbers(json, "gap", (double[]){tb_compare_gap_of(old), tb_compare_gap_of(gap)}, 2);
        tb_json_numbers(json, "keep", (double[]){old->keep, gap->keep}, 2);
        tb_json_begin_list(json, "level");
        json_builder_add_string_value(json, tb_level_name(old->level));
        json_builder_add_string_value(json, tb_level_name(gap->level));
        json_builder_end_array(json);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
}

static void
json_of_new_findings(JsonBuilder *json,
                     const char *key,
                     GHashTable *others,
                     const TbResults *results)
{
    tb_json_begin_list(json, key);
    for (size_t i = 0; i < results->finding_count; i++)
        if (!g_hash_table_contains(others, results->findings[i].id))
            tb_json_finding(json, results, &results->findings[i]);
    json_builder_end_array(json);
}

static void
json_of_findings(JsonBuilder *json, const TbResults *before, const TbResults *after)
{
    g_autoptr(GHashTable) olds = tb_compare_findings(before), news = tb_compare_findings(after);

    tb_json_begin(json, "findings");
    json_of_new_findings(json, "appeared", olds, after);
    json_of_new_findings(json, "gone", news, before);
    tb_json_begin_list(json, "changed");
    for (size_t i = 0; i < after->finding_count; i++) {
        const TbFinding *finding = &after->findings[i];
        const TbFinding *old = g_hash_table_lookup(olds, finding->id);

        if (old == NULL || old->level == finding->level)
            continue;
        tb_json_begin(json, NULL);
        tb_json_text(json, "old_level", tb_level_name(old->level));
        tb_json_number(json, "old_value", old->value);
        json_builder_set_member_name(json, "finding");
        tb_json_finding(json, after, finding);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
    json_builder_end_object(json);
}

char *
tb_report_compare_json(const TbResults *old_results, const TbResults *new_results)
{
    g_autoptr(JsonBuilder) json = json_builder_new();

    json_builder_begin_object(json);
    tb_json_integer(json, "schema_version", 1);
    json_of_which(json, "old", old_results);
    json_of_which(json, "new", new_results);
    json_of_items(json, old_results, new_results);
    json_of_ducts(json, old_results, new_results);
    json_of_gaps(json, old_results, new_results);
    json_of_findings(json, old_results, new_results);
    json_builder_end_object(json);
    return tb_json_finish(json);
}
