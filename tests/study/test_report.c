/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "comma_locale.h"
#include "tap.h"

#include "bays.h"
#include "study/results_build.h"

#include <json-glib/json-glib.h>
#include <locale.h>
#include <math.h>

/* Results with a bit of everything, unknown numbers among them. */
static TbResults *
sample(void)
{
    TbResults *results = tb_results_new("Van \"C\"", "C");
    TbResultItem *item = tb_results_add_item(results);
    TbResultDuct *duct;
    TbResultGap *gap;
    TbResultProfile *profile;
    TbStationRow rows[] = {{.area = 2642.0794216690158, .curvature = NAN},
                           {.station = 536.3, .area = 0.1}};
    TbFindingDef def = tb_finding_def("area-shrinks", "outlet");
    TbFinding *made;

    tb_results_set_text(results, &item->id, "outlet");
    tb_results_set_text(results, &item->name, "Turbine outlet");
    tb_results_set_text(results, &item->kind, "duct");
    item = tb_results_add_item(results);
    tb_results_set_text(results, &item->id, "brake");
    tb_results_set_text(results, &item->name, "Brake line");
    tb_results_set_text(results, &item->kind, "line");
    tb_results_add_state(results, "hot", "hot, full power");
    duct = tb_results_add_duct(results);
    tb_results_set_text(results, &duct->id, "outlet");
    duct->length = 536.3;
    tb_result_duct_add_named(results, duct, "sensor", 452.25);
    duct->rows = tb_results_copy(results, rows, sizeof rows);
    duct->row_count = G_N_ELEMENTS(rows);
    gap = tb_results_add_gap(results);
    tb_results_set_text(results, &gap->a, "outlet");
    tb_results_set_text(results, &gap->b, "brake");
    gap->gap.nothing = true;
    gap->level = TB_LEVEL_OPEN;
    tb_result_gap_add_excluded(results, gap, "turbine-out", 45);
    profile = tb_results_add_profile(results, 2);
    for (int i = 0; i < 2; i++)
        profile->station[i] = profile->lower[i] = 0;
    profile->gap[0] = NAN;
    profile->gap[1] = 31.25;
    def.value = 2.3346;
    def.limit = 0;
    def.level = TB_LEVEL_SHORT;
    def.unit = "%";
    def.basis = "area";
    def.place.item = (char *)"outlet";
    def.place.from = 210;
    def.place.to = 255;
    made = tb_results_add_finding(results, &def);
    tb_finding_add_number(results, made, "from_area", 3764.5);
    tb_finding_add_number(results, made, "to_area", 3676.6);
    tb_finding_add_number(results, made, "worst_station", 255);
    return results;
}

static bool
fits_schema(const char *json)
{
    g_autofree char *schema = g_build_filename(g_getenv("TB_DATA"), "report.schema.json", NULL);
    g_autofree char *script =
        g_build_filename(g_getenv("TB_DATA"), "..", "tests", "study", "check_schema.py", NULL);
    g_autofree char *file = NULL, *command = NULL, *out = NULL;
    int handle = g_file_open_tmp("tb-report-XXXXXX", &file, NULL);
    int status = -1;

    ck_assert_int_ge(handle, 0);
    close(handle);
    ck_assert(g_file_set_contents(file, json, -1, NULL));
    command = g_strdup_printf("sh -c \"/usr/bin/python3 '%s' '%s' < '%s'\"", script, schema, file);
    ck_assert(g_spawn_command_line_sync(command, &out, NULL, &status, NULL));
    remove(file);
    if (status != 0)
        fprintf(stderr, "# %s\n", out);
    return status == 0;
}

START_TEST(a_report_fits_its_schema_and_a_wrong_one_does_not)
{
    TbResults *results = sample();
    g_autofree char *json = tb_report_json(results);
    g_autofree char *wrong = NULL;
    g_auto(GStrv) parts = g_strsplit(json, "\"short\"", -1);

    ck_assert(fits_schema(json));
    wrong = g_strjoinv("\"too short\"", parts);
    ck_assert(!fits_schema(wrong));
    ck_assert_int_eq(json[strlen(json) - 1], '\n');
    tb_results_unref(results);
}
END_TEST

START_TEST(the_report_of_a_judged_bay_fits_the_schema)
{
    TbResults *results = results_of(BAY_TUBE);
    g_autofree char *json = tb_report_json(results);

    ck_assert_uint_gt(results->gap_count, 0);
    ck_assert_uint_gt(results->profile_count, 0);
    ck_assert(fits_schema(json));
    tb_results_unref(results);
}
END_TEST

static JsonNode *
node_at(const char *json, const char *path)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(JsonNode) root = json_from_string(json, &error);
    g_autoptr(JsonNode) found = json_path_query(path, root, &error);
    JsonArray *matches;

    ck_assert_ptr_nonnull(root);
    matches = json_node_get_array(found);
    ck_assert_uint_eq(json_array_get_length(matches), 1);
    return json_node_copy(json_array_get_element(matches, 0));
}

static double
number_at(const char *json, const char *path)
{
    g_autoptr(JsonNode) node = node_at(json, path);

    return json_node_is_null(node) ? (double)NAN : json_node_get_double(node);
}

START_TEST(numbers_come_back_to_the_same_bits_and_unknown_ones_are_null)
{
    TbResults *results = sample();
    g_autofree char *json = tb_report_json(results);

    ck_assert_double_eq(number_at(json, "$.ducts[0].stations[0].area"), 2642.0794216690158);
    ck_assert_double_eq(number_at(json, "$.ducts[0].stations[1].area"), 0.1);
    ck_assert_double_nan(number_at(json, "$.ducts[0].stations[0].curvature"));
    ck_assert_double_nan(number_at(json, "$.gaps[0].gap"));
    ck_assert_double_nan(number_at(json, "$.profiles[0].gap[0]"));
    ck_assert_double_eq(number_at(json, "$.profiles[0].gap[1]"), 31.25);
    ck_assert_double_eq(number_at(json, "$.findings[0].place.station[1]"), 255);
    ck_assert_ptr_null(strcasestr(json, ": nan"));
    ck_assert_ptr_null(strcasestr(json, ": inf"));
    tb_results_unref(results);
}
END_TEST

START_TEST(a_comma_locale_changes_no_number)
{
    TbResults *results = sample();
    g_autofree char *plain = tb_report_json(results);
    g_autofree char *csv = tb_report_stations_csv(results, "outlet");

    if (tb_test_comma_locale_here() != NULL) {
        g_autofree char *there = tb_report_json(results);
        g_autofree char *csv_there = tb_report_stations_csv(results, "outlet");

        ck_assert_str_eq(plain, there);
        ck_assert_str_eq(csv, csv_there);
        setlocale(LC_ALL, "C");
    }
    ck_assert_ptr_nonnull(strstr(csv, "2642.07942166901"));
    tb_results_unref(results);
}
END_TEST

START_TEST(a_station_table_has_a_head_with_units_and_a_line_a_station)
{
    TbResults *results = sample();
    g_autofree char *csv = tb_report_stations_csv(results, "outlet");
    g_auto(GStrv) lines = g_strsplit(csv, "\n", -1);
    g_auto(GStrv) head = NULL, row = NULL;

    ck_assert_uint_eq(g_strv_length(lines), 4); /* head, two rows, nothing after the last LF */
    head = g_strsplit(lines[0], ",", -1);
    row = g_strsplit(lines[1], ",", -1);
    ck_assert_uint_eq(g_strv_length(head), 17);
    ck_assert_uint_eq(g_strv_length(row), 17);
    ck_assert_str_eq(head[0], "s [mm]");
    ck_assert_str_eq(head[7], "area [mm2]");
    ck_assert_str_eq(head[14], "curvature [1/mm]");
    ck_assert_str_eq(row[14], ""); /* unknown */
    ck_assert_ptr_null(tb_report_stations_csv(results, "nobody"));
    tb_results_unref(results);
}
END_TEST

/* Rows of fields, read by RFC 4180: a quote within quotes stands twice, all else stands for itself.
 */
static GPtrArray *
read_csv(const char *csv)
{
    GPtrArray *rows = g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref);
    GPtrArray *row = NULL;
    GString *field = g_string_new(NULL);
    bool quoted = false;

    for (const char *c = csv; *c != '\0'; c++) {
        if (row == NULL)
            row = g_ptr_array_new_with_free_func(g_free);
        if (*c == '"' && quoted && c[1] == '"') {
            g_string_append_c(field, *++c);
        } else if (*c == '"') {
            quoted = !quoted;
        } else if (!quoted && (*c == ',' || *c == '\n')) {
            g_ptr_array_add(row, g_strdup(field->str));
            g_string_truncate(field, 0);
            if (*c == '\n')
                g_ptr_array_add(rows, g_steal_pointer(&row));
        } else {
            g_string_append_c(field, *c);
        }
    }
    ck_assert(!quoted);
    ck_assert_ptr_null(row);
    g_string_free(field, TRUE);
    return rows;
}

/* The field of a row under a head; the head must be there. */
static const char *
field(GPtrArray *rows, guint row, const char *head)
{
    GPtrArray *heads = g_ptr_array_index(rows, 0);
    GPtrArray *fields = g_ptr_array_index(rows, row);

    ck_assert_uint_eq(heads->len, fields->len);
    for (guint i = 0; i < heads->len; i++)
        if (strcmp(g_ptr_array_index(heads, i), head) == 0)
            return g_ptr_array_index(fields, i);
    ck_abort_msg("no column %s", head);
    return NULL;
}

START_TEST(tables_quote_what_needs_it_and_numbers_come_back_to_the_same_bits)
{
    TbResults *results = sample();
    TbResultGap *gap = tb_results_add_gap(results);
    g_autofree char *csv = NULL;
    g_autoptr(GPtrArray) rows = NULL;

    tb_results_set_text(results, &results->items[1].name, "Brake \"line\", left\nand right");
    tb_results_set_text(results, &gap->a, "outlet");
    tb_results_set_text(results, &gap->b, "brake");
    tb_results_set_text(results, &gap->state, "hot");
    gap->gap.lower = 2642.0794216690158;
    gap->gap.upper = 0.1 + 0.2;
    gap->gap.site_a = (TbSite){.on_sweep = true, .station = 1.0 / 3, .angle = -G_PI / 2};
    gap->gap.point_b = tb_vec3(1e-7, -2.5, 1e22);
    gap->keep = NAN;
    csv = tb_report_gaps_csv(results);
    rows = read_csv(csv);
    ck_assert_uint_eq(rows->len, 3);
    ck_assert_str_eq(field(rows, 1, "level"), "open");
    ck_assert_str_eq(field(rows, 1, "upper [mm]"), "");
    ck_assert_str_eq(field(rows, 1, "x_a [mm]"), "");
    ck_assert_str_eq(field(rows, 2, "name_b"), "Brake \"line\", left\nand right");
    ck_assert_str_eq(field(rows, 2, "state"), "hot");
    ck_assert_str_eq(field(rows, 2, "keep [mm]"), "");
    ck_assert_double_eq(g_ascii_strtod(field(rows, 2, "lower [mm]"), NULL), 2642.0794216690158);
    ck_assert_double_eq(g_ascii_strtod(field(rows, 2, "upper [mm]"), NULL), 0.1 + 0.2);
    ck_assert_double_eq(g_ascii_strtod(field(rows, 2, "s_a [mm]"), NULL), 1.0 / 3);
    ck_assert_double_eq(g_ascii_strtod(field(rows, 2, "angle_a [deg]"), NULL), -90);
    ck_assert_str_eq(field(rows, 2, "s_b [mm]"), "");
    ck_assert_double_eq(g_ascii_strtod(field(rows, 2, "z_b [mm]"), NULL), 1e22);
    tb_results_unref(results);
}
END_TEST

START_TEST(tables_tell_findings_in_english_and_profiles_and_stations_row_by_row)
{
    TbResults *results = sample();
    g_autofree char *findings_csv = tb_report_findings_csv(results);
    g_autofree char *profiles_csv = tb_report_profiles_csv(results);
    g_autofree char *stations_csv = tb_report_all_stations_csv(results);
    g_autoptr(GPtrArray) findings = read_csv(findings_csv);
    g_autoptr(GPtrArray) profiles = read_csv(profiles_csv);
    g_autoptr(GPtrArray) stations = read_csv(stations_csv);
    g_autofree char *sentence = tb_say_finding(results, &results->findings[0], TB_VOICE_REPORT);

    ck_assert_uint_eq(findings->len, 2);
    ck_assert_str_eq(field(findings, 1, "text"), sentence);
    ck_assert_str_eq(field(findings, 1, "level"), "short");
    ck_assert_str_eq(field(findings, 1, "value"), "2.3346");
    ck_assert_str_eq(field(findings, 1, "s_to [mm]"), "255");
    ck_assert_str_eq(field(findings, 1, "angle [deg]"), "");
    ck_assert_uint_eq(profiles->len, 3);
    ck_assert_str_eq(field(profiles, 1, "gap [mm]"), "");
    ck_assert_str_eq(field(profiles, 2, "gap [mm]"), "31.25");
    ck_assert_uint_eq(stations->len, 3);
    ck_assert_str_eq(field(stations, 2, "item"), "outlet");
    ck_assert_str_eq(field(stations, 2, "s [mm]"), "536.3");
    ck_assert_double_eq(g_ascii_strtod(field(stations, 1, "area [mm2]"), NULL), 2642.0794216690158);
    tb_results_unref(results);
}
END_TEST

START_TEST(a_fall_of_area_reads_as_a_sentence_with_its_numbers)
{
    TbResults *results = sample();
    g_autofree char *text = tb_say_finding(results, &results->findings[0], TB_VOICE_REPORT);

    ck_assert_str_eq(
        text, "Turbine outlet: the area falls by 2.3 %, from 3764.5 at station 210 to 3676.6 mm² "
              "at station 255 mm");
    tb_results_unref(results);
}
END_TEST

static TbFinding *
add_gap_finding(TbResults *results, double value, double keep, TbLevel level)
{
    TbFindingDef def = tb_finding_def("gap", "outlet|brake");

    def.value = value;
    def.limit = keep;
    def.margin = value - keep;
    def.level = level;
    def.state = "hot";
    def.place.item = (char *)"outlet";
    def.place.from = def.place.to = 123.2;
    return tb_results_add_finding(results, &def);
}

START_TEST(a_gap_is_told_by_the_neighbour_with_what_is_missing)
{
    TbResults *results = sample();
    TbFinding *made = add_gap_finding(results, 25.7, 30, TB_LEVEL_SHORT);
    g_autofree char *text = tb_say_finding(results, made, TB_VOICE_REPORT);
    g_autofree char *near = NULL, *over = NULL;

    ck_assert_str_eq(text,
                     "Brake line: 4.3 mm short of its keep of 30 mm to Turbine outlet (gap 25.7 "
                     "mm), at station 123 mm of Turbine outlet, hot");
    /* two numbers that differ never read alike */
    made = add_gap_finding(results, 29.9987, 30, TB_LEVEL_SHORT);
    near = tb_say_finding(results, made, TB_VOICE_REPORT);
    ck_assert_ptr_nonnull(strstr(near, "0.002 mm short"));
    ck_assert_ptr_nonnull(strstr(near, "gap 29.998 mm"));
    made = add_gap_finding(results, -3.5, 30, TB_LEVEL_SHORT);
    tb_finding_add_text(results, made, "contact", "overlaps");
    over = tb_say_finding(results, made, TB_VOICE_REPORT);
    ck_assert_str_eq(over,
                     "Brake line: overlaps Turbine outlet by 3.5 mm, with a keep of 30 mm, at "
                     "station 123 mm of Turbine outlet, hot");
    tb_results_unref(results);
}
END_TEST

START_TEST(a_rule_without_a_sentence_still_says_its_numbers)
{
    TbResults *results = sample();
    TbFindingDef def = tb_finding_def("new-rule", "outlet");
    g_autofree char *text = NULL;

    def.value = 12.5;
    def.limit = 10;
    def.unit = "N";
    text = tb_say_finding(results, tb_results_add_finding(results, &def), TB_VOICE_REPORT);
    ck_assert_str_eq(text, "Turbine outlet: new-rule is 12.5 N, limit 10");
    tb_results_unref(results);
}
END_TEST

START_TEST(a_bay_compared_with_itself_has_not_changed)
{
    TbResults *results = results_of(BAY_TUBE);
    g_autofree char *text = tb_report_compare_text(results, results, TB_UNIT_MM);
    g_autofree char *json = tb_report_compare_json(results, results);

    ck_assert_str_eq(text, "Tube B -> Tube B\n\nITEMS\nno change\n\nPATHS\nno change\n\nGAPS\nno "
                           "change\n\nFINDINGS\nno change\n\n");
    ck_assert_ptr_nonnull(strstr(json, "\"gaps\" : []"));
    tb_results_unref(results);
}
END_TEST

START_TEST(a_moved_item_a_changed_area_and_a_lost_gap_are_told)
{
    TbBay *bay = bay_of(BAY_TUBE), *moved = NULL, *wider = NULL, *more = NULL;
    TbStudy *study = study_alone();
    TbResults *before = judged(study, bay), *after;
    TbRow row = tb_row_round(0, 50);
    g_autofree char *text = NULL, *json = NULL;

    ck_assert_int_eq(tb_edit_move_item(bay, "rail", tb_vec3(0, -6, 0), &moved, NULL), TB_OK);
    ck_assert_int_eq(tb_edit_set_section(moved, "tube", 0, &row, &wider, NULL), TB_OK);
    ck_assert_int_eq(tb_edit_add(wider,
                                 "<ball id='new' mount='body' class='moving' at='0 500 0' "
                                 "radius='9'/>",
                                 &more, NULL),
                     TB_OK);
    after = judged(study, more);
    text = tb_report_compare_text(before, after, TB_UNIT_MM);
    json = tb_report_compare_json(before, after);
    ck_assert_ptr_nonnull(strstr(text, "changed  Rail (rail): shape"));
    ck_assert_ptr_nonnull(strstr(text, "changed  Tube (tube): shape"));
    ck_assert_ptr_nonnull(strstr(text, "added    new (new)"));
    /* pi/4 46^2 and 50^2 */
    ck_assert_ptr_nonnull(strstr(text, "1661.9 -> 1963.5 mm²"));
    /* 44 - 23 - 3.7 = 17.3; 38 - 25 - 3.7 = 9.3, below the keep of 12 */
    ck_assert_ptr_nonnull(strstr(text, "gap 17.30 -> 9.30 mm, holds -> short"));
    ck_assert_ptr_nonnull(strstr(json, "\"added\""));
    ck_assert_double_eq_tol(number_at(json, "$.gaps[0].gap[1]"), 9.3, 0.01);
    tb_results_unref(before);
    tb_results_unref(after);
    tb_study_free(study);
    tb_bay_unref(bay);
    tb_bay_unref(moved);
    tb_bay_unref(wider);
    tb_bay_unref(more);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/report");
    TCase *c = tcase_create("report");

    tcase_add_test(c, a_report_fits_its_schema_and_a_wrong_one_does_not);
    tcase_add_test(c, the_report_of_a_judged_bay_fits_the_schema);
    tcase_add_test(c, numbers_come_back_to_the_same_bits_and_unknown_ones_are_null);
    tcase_add_test(c, a_comma_locale_changes_no_number);
    tcase_add_test(c, a_station_table_has_a_head_with_units_and_a_line_a_station);
    tcase_add_test(c, tables_quote_what_needs_it_and_numbers_come_back_to_the_same_bits);
    tcase_add_test(c, tables_tell_findings_in_english_and_profiles_and_stations_row_by_row);
    tcase_add_test(c, a_fall_of_area_reads_as_a_sentence_with_its_numbers);
    tcase_add_test(c, a_gap_is_told_by_the_neighbour_with_what_is_missing);
    tcase_add_test(c, a_rule_without_a_sentence_still_says_its_numbers);
    tcase_add_test(c, a_bay_compared_with_itself_has_not_changed);
    tcase_add_test(c, a_moved_item_a_changed_area_and_a_lost_gap_are_told);
    tcase_set_timeout(c, 60);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
