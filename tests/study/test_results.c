/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "study/results_build.h"

#include <math.h>
#include <stdio.h>

START_TEST(levels_have_the_names_of_the_report)
{
    ck_assert_str_eq(tb_level_name(TB_LEVEL_HOLDS), "holds");
    ck_assert_str_eq(tb_level_name(TB_LEVEL_WATCH), "watch");
    ck_assert_str_eq(tb_level_name(TB_LEVEL_SHORT), "short");
    ck_assert_str_eq(tb_level_name(TB_LEVEL_OPEN), "open");
}
END_TEST

static TbLevel
worst_of(const TbLevel levels[], size_t count)
{
    TbResults *results = tb_results_new("b", "A");
    TbLevel worst;

    for (size_t i = 0; i < count; i++) {
        TbFindingDef def = tb_finding_def("rule", "it");

        def.level = levels[i];
        tb_results_add_finding(results, &def);
    }
    worst = tb_results_worst(results);
    tb_results_unref(results);
    return worst;
}

START_TEST(open_is_worse_than_watch_and_better_than_short)
{
    TbLevel all[] = {TB_LEVEL_HOLDS, TB_LEVEL_OPEN, TB_LEVEL_SHORT, TB_LEVEL_WATCH};

    ck_assert_int_eq(worst_of(all, 0), TB_LEVEL_HOLDS);
    ck_assert_int_eq(worst_of((TbLevel[]){TB_LEVEL_HOLDS, TB_LEVEL_WATCH}, 2), TB_LEVEL_WATCH);
    ck_assert_int_eq(worst_of((TbLevel[]){TB_LEVEL_OPEN, TB_LEVEL_WATCH}, 2), TB_LEVEL_OPEN);
    ck_assert_int_eq(worst_of(all, 4), TB_LEVEL_SHORT);
}
END_TEST

START_TEST(a_finding_is_known_by_rule_subject_part_state_and_variant)
{
    TbResults *results = tb_results_new(NULL, NULL);
    TbFindingDef def = tb_finding_def("fold", "outlet");
    TbFinding *finding;

    def.part = "inner";
    def.state = "hot";
    def.variant = "tall";
    finding = tb_results_add_finding(results, &def);
    ck_assert_str_eq(finding->id, "fold/outlet#inner/hot/tall");
    ck_assert_double_nan(finding->value);
    ck_assert_double_nan(finding->place.from);
    ck_assert_str_eq(finding->place.item, "");
    def = tb_finding_def("wall", "outlet");
    finding = tb_results_add_finding(results, &def);
    ck_assert_str_eq(finding->id, "wall/outlet//");
    tb_results_unref(results);
}
END_TEST

START_TEST(facts_are_found_by_name_and_missing_ones_are_unknown)
{
    TbResults *results = tb_results_new("b", "A");
    TbFindingDef def = tb_finding_def("r", "s");
    TbFinding *finding = tb_results_add_finding(results, &def);

    tb_finding_add_number(results, finding, "from_area", 2642.1);
    tb_finding_add_text(results, finding, "port", "turbine-out");
    ck_assert_double_eq(tb_finding_number(finding, "from_area"), 2642.1);
    ck_assert_str_eq(tb_finding_text(finding, "port"), "turbine-out");
    ck_assert_double_nan(tb_finding_number(finding, "to_area"));
    ck_assert_str_eq(tb_finding_text(finding, "to_area"), "");
    tb_results_unref(results);
}
END_TEST

START_TEST(many_of_each_are_kept_in_order)
{
    TbResults *results = tb_results_new("b", "A");

    for (int i = 0; i < 133; i++) {
        char id[16];
        TbResultItem *item = tb_results_add_item(results);
        TbResultGap *gap = tb_results_add_gap(results);

        snprintf(id, sizeof id, "i%d", i);
        tb_results_set_text(results, &item->id, id);
        tb_results_set_text(results, &gap->a, id);
        tb_result_gap_add_excluded(results, gap, id, i + 0.5);
        tb_results_add_state(results, id, id);
        tb_results_add_warning(results, id);
    }
    ck_assert_uint_eq(results->item_count, 133);
    ck_assert_ptr_eq(tb_results_item(results, "i77"), &results->items[77]);
    ck_assert_ptr_null(tb_results_item(results, "i133"));
    ck_assert_double_eq(results->gaps[132].excluded[0].radius, 132.5);
    ck_assert_str_eq(results->states[64].id, "i64");
    ck_assert_str_eq(results->warnings[128], "i128");
    tb_results_unref(results);
}
END_TEST

START_TEST(results_live_until_the_last_reference_goes)
{
    TbResults *results = tb_results_new("Bay", "C");

    ck_assert_ptr_eq(tb_results_ref(results), results);
    tb_results_unref(results);
    ck_assert_str_eq(results->bay, "Bay");
    tb_results_unref(results);
    tb_results_unref(NULL);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/results");
    TCase *c = tcase_create("results");

    tcase_add_test(c, levels_have_the_names_of_the_report);
    tcase_add_test(c, open_is_worse_than_watch_and_better_than_short);
    tcase_add_test(c, a_finding_is_known_by_rule_subject_part_state_and_variant);
    tcase_add_test(c, facts_are_found_by_name_and_missing_ones_are_unknown);
    tcase_add_test(c, many_of_each_are_kept_in_order);
    tcase_add_test(c, results_live_until_the_last_reference_goes);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
