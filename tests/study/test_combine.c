/* SPDX-License-Identifier: GPL-3.0-or-later */

/** The table of all states and variants: what each effect takes of a gap, worst row first. */

#include "tap.h"

#include "bays.h"

#include <math.h>

/* A rod that grows by 8.1e-3 of its 400 towards a block 30 away, and is shifted by up to 5. */
#define BAY(states)                                                                                \
    "<bay version='1' title='Table'><mounts><mount id='body'/>"                                    \
    "<mount id='engine' parent='body' tx='-5 5'/></mounts>"                                        \
    "<materials><material id='iron' density='7000' expansion='13.5'/></materials><items>"          \
    "<rod id='a' class='hot' mount='engine' material='iron' a='0 0 0' b='400 0 0' radius='10'/>"   \
    "<block id='b' class='brake' mount='body' low='430 -50 -50' high='500 50 50'/>"                \
    "<block id='c' class='brake' mount='body' low='480 -50 200' high='500 50 300'/></items>"       \
    "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"                             \
    "<wanted state='cold' gap='25'/><wanted state='hot' gap='25'/>"                                \
    "<wanted state='rock' gap='25'/><wanted state='both' gap='25'/></keep></keeps>"                \
    "<states><state id='cold' kind='cold'/><state id='hot' kind='hot'>"                            \
    "<warm class='hot' growth='620'/></state><state id='rock' kind='rocking'/>" states             \
    "</states></bay>"

#define BOTH "<state id='both' kind='combined' parts='hot+rock'/>"

static const double grows = 400 * 8.1e-3;

static TbResults *
table_of(const char *text, const char *state)
{
    TbBay *bay = bay_of(text);
    TbStudy *study = study_alone();
    TbAsk ask = {.bay = bay, .state = state, .combine = true, .width = 1e-6};
    TbResults *results = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_judge(study, &ask, NULL, &results, &fault) == TB_OK, "%s", fault.text);
    tb_study_free(study);
    tb_bay_unref(bay);
    return results;
}

static const TbResultCombination *
want_row(const TbResults *results, const char *b, const char *state)
{
    for (size_t i = 0; i < results->combination_count; i++) {
        const TbResultCombination *row = &results->combinations[i];

        if (strcmp(row->b, b) == 0 && strcmp(row->state, state) == 0)
            return row;
    }
    ck_abort_msg("no row of %s in %s", b, state);
    return NULL;
}

static void
check_both(const TbResultCombination *row)
{
    ck_assert_double_eq_tol(row->cold, 30, 1e-5);
    ck_assert_double_eq_tol(row->gap, 30 - grows - 5, 1e-5);
    ck_assert_uint_eq(row->cause_count, 2);
    ck_assert_str_eq(row->causes[0].cause, "warmth");
    ck_assert_double_eq_tol(row->causes[0].alone, grows, 1e-5);
    ck_assert_double_eq_tol(row->causes[0].added, grows, 1e-5);
    ck_assert_str_eq(row->causes[1].cause, "rock");
    ck_assert_double_eq_tol(row->causes[1].alone, 5, 1e-5);
    ck_assert_double_eq_tol(row->causes[1].added, 5, 1e-5);
    ck_assert(row->certified);
}

START_TEST(every_effect_takes_what_the_closed_form_says)
{
    TbResults *results = table_of(BAY(BOTH), NULL);
    const TbResultCombination *cold = want_row(results, "b", "cold");
    const TbResultCombination *rock = want_row(results, "b", "rock");

    check_both(want_row(results, "b", "both"));
    ck_assert_uint_eq(cold->cause_count, 0);
    ck_assert_double_eq(cold->cold, cold->lower);
    ck_assert_uint_eq(rock->cause_count, 1);
    ck_assert_double_eq_tol(rock->causes[0].added, 5, 1e-5);
    tb_results_unref(results);
}
END_TEST

START_TEST(cold_less_what_was_added_is_the_gap_and_the_worst_row_comes_first)
{
    TbResults *results = table_of(BAY(BOTH), NULL);

    ck_assert_uint_eq(results->combination_count, results->gap_count);
    ck_assert_uint_eq(results->combination_count, 8);
    ck_assert_str_eq(results->combinations[0].state, "both");
    ck_assert_int_eq(results->combinations[0].level, TB_LEVEL_SHORT);
    for (size_t i = 0; i < results->combination_count; i++) {
        const TbResultCombination *row = &results->combinations[i];
        double sum = row->cold;

        for (size_t k = 0; k < row->cause_count; k++)
            sum -= row->causes[k].added;
        ck_assert_double_eq_tol(sum, row->lower, 1e-9);
        if (i > 0 && results->combinations[i - 1].level == row->level)
            ck_assert_double_le(results->combinations[i - 1].margin, row->margin);
    }
    tb_results_unref(results);
}
END_TEST

/* Asked for alone: its parts are judged besides, and told nowhere else. */
START_TEST(what_a_row_needs_and_nobody_asked_for_is_judged_besides)
{
    TbResults *results = table_of(BAY(BOTH), "both");

    check_both(want_row(results, "b", "both"));
    ck_assert_uint_eq(results->combination_count, 2);
    ck_assert_uint_eq(results->gap_count, 2);
    tb_results_unref(results);
}
END_TEST

/* The keep speaks of hot and rocking at once only. */
START_TEST(causes_of_a_pair_without_a_keep_for_cold_are_known_all_the_same)
{
    g_auto(GStrv) parts = g_strsplit(BAY(BOTH),
                                     "<wanted state='cold' gap='25'/><wanted state='hot' gap='25'/>"
                                     "<wanted state='rock' gap='25'/>",
                                     2);
    g_autofree char *text = g_strjoinv("", parts);
    TbResults *results = table_of(text, NULL);
    const TbResultCombination *row = want_row(results, "b", "both");

    ck_assert_ptr_nonnull(parts[1]);
    for (size_t i = 0; i < results->combination_count; i++)
        ck_assert_str_ne(results->combinations[i].state, "cold");
    check_both(row);
    tb_results_unref(results);
}
END_TEST

/* A casting 95 away with a placement of 2 and a grade: the interval is left wide where its keep is
 * plainly held. */
START_TEST(a_row_tells_what_its_finding_tells_and_takes_its_causes_from_it)
{
    TbResults *results = table_of(
        "<bay version='1' title='Told'><mounts><mount id='body'/></mounts><items>"
        "<ball id='a' class='hot' mount='body' at='0 0 0' radius='30'>"
        "<tolerance shift='2 2 2' turn='0.4 0.4 0.4'/></ball>"
        "<block id='b' class='brake' mount='body' low='125 -50 -50' high='200 50 50'/></items>"
        "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"
        "<wanted state='edge' gap='25'/></keep></keeps>"
        "<states><state id='cold' kind='cold'/><state id='edge' kind='tolerance'/></states></bay>",
        NULL);
    const TbResultCombination *row = want_row(results, "b", "edge");
    const TbResultGap *gap = want_gap(results, "a", "b", "edge");

    ck_assert_double_gt(gap->gap.upper - gap->gap.lower, 0.5);
    ck_assert_double_eq(row->lower, gap->gap.lower);
    ck_assert_double_eq_tol(row->cold, 95, 0.1);
    ck_assert_double_eq_tol(row->causes[0].added, row->cold - gap->gap.lower, 1e-9);
    ck_assert_double_eq(row->causes[0].alone, row->causes[0].added);
    tb_results_unref(results);
}
END_TEST

START_TEST(nobody_gets_a_table_who_did_not_ask)
{
    TbResults *results = results_of(BAY(BOTH));

    ck_assert_uint_eq(results->combination_count, 0);
    tb_results_unref(results);
}
END_TEST

/* b is near the rod, c is so far off that its bands cannot break the keep; both are shifted by 0.7.
 */
#define EDGE                                                                                       \
    "<bay version='1' title='Edge'><mounts><mount id='body'/></mounts><items>"                     \
    "<rod id='a' class='hot' mount='body' a='0 0 0' b='400 0 0' radius='10'/>"                     \
    "<block id='b' class='brake' mount='body' low='430 -50 -50' high='500 50 50'>"                 \
    "<tolerance shift='0.7 0 0'/></block>"                                                         \
    "<block id='c' class='brake' mount='body' low='480 -50 -50' high='500 50 50'>"                 \
    "<tolerance shift='0.7 0 0'/></block></items>"                                                 \
    "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"                             \
    "<wanted state='cold' gap='25'/><wanted state='edge' gap='29.5'/></keep></keeps>"              \
    "<states><state id='cold' kind='cold'/><state id='edge' kind='tolerance'/></states></bay>"

START_TEST(a_row_that_is_only_tested_says_so_and_its_gap_is_no_less)
{
    TbResults *results = table_of(EDGE, NULL);
    const TbResultCombination *near = want_row(results, "b", "edge");
    const TbResultCombination *far = want_row(results, "c", "edge");

    ck_assert(want_row(results, "c", "cold")->exact);
    ck_assert(near->exact);
    ck_assert_double_eq_tol(near->gap, 30 - 0.7, 1e-5);
    ck_assert(!far->exact);
    ck_assert_int_eq(far->level, TB_LEVEL_HOLDS);
    ck_assert_double_le(far->lower, 80 - 0.7 + 1e-9);
    ck_assert_double_ge(far->lower, far->keep);
    ck_assert_double_ge(far->gap, 80 - 0.7 - 1e-9);
    tb_results_unref(results);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/combine");
    TCase *tests = tcase_create("table");

    tcase_add_test(tests, every_effect_takes_what_the_closed_form_says);
    tcase_add_test(tests, cold_less_what_was_added_is_the_gap_and_the_worst_row_comes_first);
    tcase_add_test(tests, what_a_row_needs_and_nobody_asked_for_is_judged_besides);
    tcase_add_test(tests, a_row_that_is_only_tested_says_so_and_its_gap_is_no_less);
    tcase_add_test(tests, causes_of_a_pair_without_a_keep_for_cold_are_known_all_the_same);
    tcase_add_test(tests, a_row_tells_what_its_finding_tells_and_takes_its_causes_from_it);
    tcase_add_test(tests, nobody_gets_a_table_who_did_not_ask);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
