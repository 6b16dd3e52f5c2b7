/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/report.h"

#include "base/text.h"
#include "study/json.h"
#include "study/say.h"

#include <math.h>
#include <string.h>

#define DEG (180 / G_PI)

/* The promise of the keys: raised when one goes away or changes its meaning. */
#define SCHEMA_VERSION 1

static void
add_head(JsonBuilder *json, const TbResults *results)
{
    static const char *const units[][2] = {
        {"length", "mm"},        {"area", "mm2"},      {"volume", "mm3"},
        {"mass", "kg"},          {"angle", "deg"},     {"curvature", "1/mm"},
        {"temperature", "degC"}, {"mass_flow", "g/s"}, {"pressure", "kPa"}};

    tb_json_integer(json, "schema_version", SCHEMA_VERSION);
    tb_json_text(json, "bay", results->bay);
    tb_json_text(json, "revision", results->revision);
    tb_json_begin(json, "program");
    tb_json_text(json, "name", "tightbay");
    tb_json_text(json, "version", TB_VERSION);
    json_builder_end_object(json);
    tb_json_text(json, "caution", tb_say_caution(true));
    tb_json_begin(json, "units");
    for (size_t i = 0; i < G_N_ELEMENTS(units); i++)
        tb_json_text(json, units[i][0], units[i][1]);
    json_builder_end_object(json);
    tb_json_begin_list(json, "warnings");
    for (size_t i = 0; i < results->warning_count; i++)
        json_builder_add_string_value(json, results->warnings[i]);
    json_builder_end_array(json);
}

static void
add_items(JsonBuilder *json, const TbResults *results)
{
    tb_json_begin_list(json, "items");
    for (size_t i = 0; i < results->item_count; i++) {
        const TbResultItem *item = &results->items[i];

        tb_json_begin(json, NULL);
        tb_json_text(json, "id", item->id);
        tb_json_text(json, "name", item->name);
        tb_json_text(json, "kind", item->kind);
        tb_json_text(json, "class", item->item_class);
        tb_json_text(json, "mount", item->mount);
        tb_json_text(json, "shape", item->shape);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
}

static void
add_names(JsonBuilder *json, const char *key, const TbResultName *names, size_t count)
{
    tb_json_begin_list(json, key);
    for (size_t i = 0; i < count; i++) {
        tb_json_begin(json, NULL);
        tb_json_text(json, "id", names[i].id);
        tb_json_text(json, "name", names[i].name);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
}

/* ---- stations: one table of columns for JSON and CSV ---- */

typedef struct Column {
    const char *key, *unit;
    size_t offset;
} Column;

#define COLUMN(key, unit, field)                                                                   \
    {                                                                                              \
        key, unit, offsetof(TbStationRow, field)                                                   \
    }

static const Column columns[] = {
    COLUMN("s", "mm", station),
    COLUMN("x", "mm", point.x),
    COLUMN("y", "mm", point.y),
    COLUMN("z", "mm", point.z),
    COLUMN("tx", "1", tangent.x),
    COLUMN("ty", "1", tangent.y),
    COLUMN("tz", "1", tangent.z),
    COLUMN("area", "mm2", area),
    COLUMN("perimeter", "mm", perimeter),
    COLUMN("hydraulic_diameter", "mm", hydraulic_diameter),
    COLUMN("width", "mm", width),
    COLUMN("height", "mm", height),
    COLUMN("turn", "deg", turn),
    COLUMN("wall", "mm", wall),
    COLUMN("curvature", "1/mm", curvature),
    COLUMN("growth", "mm2/mm", growth),
    COLUMN("cone_angle", "deg", cone_angle),
};

static double
value_in(const TbStationRow *row, const Column *column)
{
    double value;

    memcpy(&value, (const char *)row + column->offset, sizeof value);
    return value;
}

static void
add_ducts(JsonBuilder *json, const TbResults *results)
{
    tb_json_begin_list(json, "ducts");
    for (size_t i = 0; i < results->duct_count; i++) {
        const TbResultDuct *duct = &results->ducts[i];

        tb_json_begin(json, NULL);
        tb_json_text(json, "id", duct->id);
        tb_json_text(json, "kind", duct->is_line ? "line" : "duct");
        tb_json_number(json, "length", duct->length);
        tb_json_number(json, "volume_inner", duct->volume_inner);
        tb_json_number(json, "volume_wall", duct->volume_wall);
        tb_json_number(json, "mass", duct->mass);
        tb_json_point(json, "centre", duct->centre);
        tb_json_begin_list(json, "named");
        for (size_t k = 0; k < duct->named_count; k++) {
            tb_json_begin(json, NULL);
            tb_json_text(json, "name", duct->named[k].name);
            tb_json_number(json, "s", duct->named_at[k]);
            json_builder_end_object(json);
        }
        json_builder_end_array(json);
        tb_json_begin_list(json, "stations");
        for (size_t k = 0; k < duct->row_count; k++) {
            tb_json_begin(json, NULL);
            for (size_t c = 0; c < G_N_ELEMENTS(columns); c++)
                tb_json_number(json, columns[c].key, value_in(&duct->rows[k], &columns[c]));
            json_builder_end_object(json);
        }
        json_builder_end_array(json);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
}

/* ---- gaps and profiles ---- */

static void
add_site(JsonBuilder *json, const char *key, const TbResultGap *gap, const TbSite *site)
{
    if (gap->gap.nothing || !site->on_sweep) {
        tb_json_null(json, key);
        return;
    }
    tb_json_begin(json, key);
    tb_json_number(json, "station", site->station);
    tb_json_number(json, "angle", site->angle * DEG);
    json_builder_end_object(json);
}

static void
add_witnesses(JsonBuilder *json, const TbResultGap *gap)
{
    TbVec3 unknown = {NAN, NAN, NAN};
    bool none = gap->gap.nothing;

    if (none)
        tb_json_null(json, "contact");
    else
        tb_json_text(json, "contact", tb_contact_name(gap->gap.contact));
    if (none)
        tb_json_null(json, "inside");
    else
        tb_json_text(json, "inside", tb_inner_name(gap->gap.inner));
    tb_json_text(json, "inside_doubt", none ? "" : tb_doubt_text(gap->gap.doubt));
    tb_json_number(json, "enclosed",
                   none || gap->gap.inner != TB_INNER_UNKNOWN ? (double)NAN : gap->gap.enclosed);
    tb_json_boolean(json, "certified", !none && gap->gap.certified);
    tb_json_boolean(json, "exhausted", !none && gap->gap.exhausted);
    add_site(json, "at_a", gap, &gap->gap.site_a);
    add_site(json, "at_b", gap, &gap->gap.site_b);
    tb_json_point(json, "point_a", none ? unknown : gap->gap.point_a);
    tb_json_point(json, "point_b", none ? unknown : gap->gap.point_b);
}

/* Where in the motion and how warm the gap is least; null where nothing moves or warms the two. The
 * first turn's angle is the rock. */
static void
add_motion(JsonBuilder *json, const TbResultGap *gap)
{
    double rock = NAN;

    if (gap->move_count + gap->warmth_count == 0) {
        tb_json_null(json, "motion");
        return;
    }
    for (size_t i = gap->move_count; i > 0; i--)
        if (gap->moves[i - 1].freedom[0] == 'r')
            rock = gap->moves[i - 1].at;
    tb_json_begin(json, "motion");
    tb_json_number(json, "rock", rock);
    tb_json_begin(json, "warmth");
    for (size_t i = 0; i < gap->warmth_count; i++)
        tb_json_number(json, gap->warmth[i].item, gap->warmth[i].share);
    json_builder_end_object(json);
    tb_json_begin_list(json, "worst");
    for (size_t i = 0; i < gap->move_count; i++) {
        const TbResultMove *move = &gap->moves[i];

        tb_json_begin(json, NULL);
        tb_json_text(json, "item", move->item);
        tb_json_text(json, "mount", move->mount);
        tb_json_text(json, "freedom", move->freedom);
        tb_json_number(json, "at", move->at);
        tb_json_number(json, "low", move->low);
        tb_json_number(json, "high", move->high);
        tb_json_text(json, "unit", move->freedom[0] == 'r' ? "deg" : "mm");
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
    json_builder_end_object(json);
}

static void
add_gaps(JsonBuilder *json, const TbResults *results)
{
    tb_json_begin_list(json, "gaps");
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        bool none = gap->gap.nothing;

        tb_json_begin(json, NULL);
        tb_json_text(json, "a", gap->a);
        tb_json_text(json, "b", gap->b);
        tb_json_text(json, "state", gap->state);
        tb_json_text(json, "variant", gap->variant);
        tb_json_number(json, "gap", none ? (double)NAN : gap->gap.upper);
        tb_json_number(json, "lower", none ? (double)NAN : gap->gap.lower);
        tb_json_number(json, "upper", none ? (double)NAN : gap->gap.upper);
        tb_json_number(json, "keep", gap->keep);
        tb_json_number(json, "margin", gap->margin);
        tb_json_number(json, "want_margin", gap->want_margin);
        tb_json_number(json, "uncertainty", gap->uncertainty);
        tb_json_text(json, "level", tb_level_name(gap->level));
        tb_json_text(json, "reason", gap->reason);
        add_witnesses(json, gap);
        tb_json_begin_list(json, "excluded");
        for (size_t k = 0; k < gap->excluded_count; k++) {
            tb_json_begin(json, NULL);
            tb_json_text(json, "port", gap->excluded[k].port);
            tb_json_number(json, "radius", gap->excluded[k].radius);
            json_builder_end_object(json);
        }
        json_builder_end_array(json);
        add_motion(json, gap);
        tb_json_scatter(json, gap->scatter);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
}

static void
add_profiles(JsonBuilder *json, const TbResults *results)
{
    tb_json_begin_list(json, "profiles");
    for (size_t i = 0; i < results->profile_count; i++) {
        const TbResultProfile *profile = &results->profiles[i];

        tb_json_begin(json, NULL);
        tb_json_text(json, "a", profile->a);
        tb_json_text(json, "b", profile->b);
        tb_json_text(json, "state", profile->state);
        tb_json_text(json, "variant", profile->variant);
        tb_json_number(json, "keep", profile->keep);
        tb_json_boolean(json, "certified", profile->certified);
        tb_json_numbers(json, "s", profile->station, profile->count);
        tb_json_numbers(json, "gap", profile->gap, profile->count);
        tb_json_numbers(json, "lower", profile->lower, profile->count);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
}

/* ---- findings ---- */

static void
add_place(JsonBuilder *json, const TbResultPlace *place)
{
    tb_json_begin(json, "place");
    if (place->item[0] == '\0')
        tb_json_null(json, "item");
    else
        tb_json_text(json, "item", place->item);
    if (isnan(place->from))
        tb_json_null(json, "station");
    else
        tb_json_numbers(json, "station", (double[]){place->from, place->to}, 2);
    tb_json_number(json, "angle", place->angle);
    tb_json_point(json, "point", place->point);
    json_builder_end_object(json);
}

void
tb_json_finding(JsonBuilder *json, const TbResults *results, const TbFinding *finding)
{
    g_autofree char *text = tb_say_finding(results, finding, TB_VOICE_REPORT);

    tb_json_begin(json, NULL);
    tb_json_text(json, "id", finding->id);
    tb_json_text(json, "rule", finding->rule);
    tb_json_text(json, "subject", finding->subject);
    add_place(json, &finding->place);
    tb_json_text(json, "state", finding->state);
    tb_json_text(json, "variant", finding->variant);
    tb_json_number(json, "value", finding->value);
    tb_json_number(json, "limit", finding->limit);
    tb_json_number(json, "margin", finding->margin);
    tb_json_text(json, "unit", finding->unit);
    tb_json_text(json, "level", tb_level_name(finding->level));
    tb_json_text(json, "basis", finding->basis);
    tb_json_text(json, "text", text);
    json_builder_end_object(json);
}

static void
add_combinations(JsonBuilder *json, const TbResults *results)
{
    tb_json_begin_list(json, "combinations");
    for (size_t i = 0; i < results->combination_count; i++) {
        const TbResultCombination *row = &results->combinations[i];

        tb_json_begin(json, NULL);
        tb_json_text(json, "a", row->a);
        tb_json_text(json, "b", row->b);
        tb_json_text(json, "state", row->state);
        tb_json_text(json, "variant", row->variant);
        tb_json_number(json, "cold", row->cold);
        tb_json_number(json, "gap", row->gap);
        tb_json_number(json, "lower", row->lower);
        tb_json_number(json, "keep", row->keep);
        tb_json_number(json, "margin", row->margin);
        tb_json_text(json, "level", tb_level_name(row->level));
        tb_json_boolean(json, "certified", row->certified);
        tb_json_boolean(json, "exact", row->exact);
        tb_json_begin_list(json, "causes");
        for (size_t k = 0; k < row->cause_count; k++) {
            tb_json_begin(json, NULL);
            tb_json_text(json, "cause", row->causes[k].cause);
            tb_json_number(json, "alone", row->causes[k].alone);
            tb_json_number(json, "added", row->causes[k].added);
            json_builder_end_object(json);
        }
        json_builder_end_array(json);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
}

char *
tb_report_json(const TbResults *results)
{
    g_autoptr(JsonBuilder) json = json_builder_new();

    json_builder_begin_object(json);
    add_head(json, results);
    add_items(json, results);
    add_names(json, "states", results->states, results->state_count);
    add_names(json, "variants", results->variants, results->variant_count);
    add_ducts(json, results);
    add_gaps(json, results);
    add_profiles(json, results);
    add_combinations(json, results);
    tb_json_begin_list(json, "findings");
    for (size_t i = 0; i < results->finding_count; i++)
        tb_json_finding(json, results, &results->findings[i]);
    json_builder_end_array(json);
    json_builder_end_object(json);
    return tb_json_finish(json);
}

/* ---- CSV ---- */

/** @param with_item a first field says whose row it is; ids need no quotes */
static void
put_station_heads(GString *csv, bool with_item)
{
    if (with_item)
        g_string_append(csv, "item,");
    for (size_t c = 0; c < G_N_ELEMENTS(columns); c++)
        g_string_append_printf(csv, "%s%s [%s]", c == 0 ? "" : ",", columns[c].key,
                               columns[c].unit);
    g_string_append_c(csv, '\n');
}

static void
put_station_rows(GString *csv, const TbResultDuct *duct, bool with_item)
{
    char text[TB_TEXT_NUMBER];

    for (size_t k = 0; k < duct->row_count; k++) {
        if (with_item)
            g_string_append_printf(csv, "%s,", duct->id);
        for (size_t c = 0; c < G_N_ELEMENTS(columns); c++) {
            double value = value_in(&duct->rows[k], &columns[c]);

            if (c > 0)
                g_string_append_c(csv, ',');
            if (!isfinite(value))
                continue; /* unknown: an empty field */
            tb_text_from_double(value, text);
            g_string_append(csv, text);
        }
        g_string_append_c(csv, '\n');
    }
}

char *
tb_report_stations_csv(const TbResults *results, const char *item)
{
    const TbResultDuct *duct = tb_results_duct(results, item);
    GString *csv;

    if (duct == NULL)
        return NULL;
    csv = g_string_new(NULL);
    put_station_heads(csv, false);
    put_station_rows(csv, duct, false);
    return g_string_free(csv, FALSE);
}

char *
tb_report_all_stations_csv(const TbResults *results)
{
    GString *csv = g_string_new(NULL);

    put_station_heads(csv, true);
    for (size_t i = 0; i < results->duct_count; i++)
        put_station_rows(csv, &results->ducts[i], true);
    return g_string_free(csv, FALSE);
}
