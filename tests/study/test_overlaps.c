/* SPDX-License-Identifier: GPL-3.0-or-later */

/** A block that somebody puts into a duct: what every state then tells of the two. */

#include "tap.h"

#include "bays.h"

#include <math.h>

/* A duct on the engine that rocks about an axis 300 mm below it and grows, its end on another
 * item's port; a block that stands wholly in it, one that stands half in it, one that it only
 * touches when it rocks. */
static const char bay_text[] =
    "<bay version='1' title='Overlaps'><mounts><mount id='body'/>"
    "<mount id='engine' parent='body' axis-point='0 0 -300' axis-direction='0 1 0' rx='-1.7 2.1'"
    " datum='-40 0 0' reference='20' scatter-shift='1.3 0.7 1.1'/></mounts>"
    "<materials><material id='iron' density='7000' expansion='13.5'/></materials><items>"
    "<duct id='duct' class='hot' mount='engine' material='iron' wall='3.1'><path>"
    "<knot at='0 0 0'/><knot at='120 20 30'/><knot at='260 -10 70'/></path>"
    "<section at='0' width='66' height='72'/><section at='200' width='80' height='74'/></duct>"
    "<block id='within' class='brake' mount='body' low='112 12 22' high='127 26 37'/>"
    "<block id='half' class='brake' mount='body' low='190 20 20' high='230 80 70'/>"
    "<block id='aside' class='brake' mount='body' low='90 -20 82.5' high='150 40 130'/>"
    "</items><keeps><keep id='k' class-a='hot' class-b='brake' margin='1' reason='heat'>"
    "<wanted state='cold' gap='7'/><wanted state='hot' gap='6'/><wanted state='rock' gap='5'/>"
    "<wanted state='all' gap='2'/></keep></keeps>"
    "<states><state id='cold' kind='cold'/><state id='hot' kind='hot'>"
    "<warm class='hot' mount='engine' growth='620'/></state><state id='rock' kind='rocking'/>"
    "<state id='edge' kind='tolerance'/>"
    "<state id='all' kind='combined' parts='hot+rock+edge'/></states></bay>";

static TbResults *
judged_overlaps(void)
{
    TbBay *bay = bay_of(bay_text);
    TbStudy *study = study_alone();
    TbAsk ask = {.bay = bay, .combine = true, .samples = 150, .seed = 3};
    TbResults *results = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_judge(study, &ask, NULL, &results, &fault) == TB_OK, "%s", fault.text);
    tb_study_free(study);
    tb_bay_unref(bay);
    return results;
}

/* What else stands in the duct's way over a motion than at one pose can only be deeper. */
static void
check_gap(const TbResults *results, const char *b, const char *state)
{
    const TbResultGap *gap = want_gap(results, "duct", b, state);
    const TbResultGap *cold = want_gap(results, "duct", b, "cold");

    ck_assert_double_le(gap->gap.lower, gap->gap.upper);
    ck_assert_double_lt(gap->gap.upper, 0);
    ck_assert_double_le(gap->gap.upper, cold->gap.upper + 0.5);
    ck_assert_double_le(gap->gap.lower, cold->gap.upper);
    ck_assert_int_eq(gap->level, TB_LEVEL_SHORT);
    ck_assert_int_eq(gap->gap.contact == TB_OVERLAPS || gap->gap.contact == TB_INSIDE, 1);
    ck_assert(gap->gap.certified);
    ck_assert_double_eq_tol(tb_vec3_length(gap->gap.way_out), 1, 1e-9);
    if (gap->scatter != NULL) { /* nothing by chance frees a block 20 mm deep */
        ck_assert_uint_eq(gap->scatter->samples, 150);
        ck_assert_uint_eq(gap->scatter->broken, 150);
        ck_assert_uint_eq(gap->scatter->undecided, 0);
    }
}

START_TEST(a_block_in_a_duct_is_short_by_a_depth_in_every_state)
{
    static const char *const states[] = {"cold", "hot", "rock", "all"};
    TbResults *results = judged_overlaps();

    for (size_t s = 0; s < 4; s++) {
        check_gap(results, "within", states[s]);
        check_gap(results, "half", states[s]);
    }
    ck_assert_int_eq(want_gap(results, "duct", "within", "cold")->gap.contact, TB_INSIDE);
    ck_assert_int_eq(want_gap(results, "duct", "aside", "cold")->gap.contact, TB_CLEAR);
    ck_assert_int_eq(want_gap(results, "duct", "aside", "rock")->gap.contact, TB_OVERLAPS);
    tb_results_unref(results);
}
END_TEST

START_TEST(its_sentences_say_how_deep_and_where_and_the_report_is_whole)
{
    TbResults *results = judged_overlaps();
    char *json = tb_report_json(results);
    size_t told = 0;

    ck_assert_ptr_nonnull(json);
    ck_assert_ptr_null(strstr(json, "nan"));
    ck_assert_ptr_null(strstr(json, "inf"));
    for (size_t i = 0; i < results->finding_count; i++) {
        const TbFinding *f = &results->findings[i];
        char *words;

        if (strncmp(f->id, "gap", 3) != 0 || f->level != TB_LEVEL_SHORT)
            continue;
        words = tb_say_finding(results, f, TB_VOICE_REPORT);
        ck_assert_msg(strstr(words, "mm") != NULL, "%s", words);
        ck_assert_ptr_null(strstr(words, "nan"));
        told +=
            strstr(words, "overlaps duct by") != NULL || strstr(words, "lies inside duct") != NULL;
        g_free(words);
    }
    ck_assert_uint_ge(told, 6);
    g_free(json);
    tb_results_unref(results);
}
END_TEST

START_TEST(the_table_of_overlaps_adds_up)
{
    TbResults *results = judged_overlaps();
    size_t short_ones = 0;

    for (size_t i = 0; i < results->combination_count; i++) {
        const TbResultCombination *row = &results->combinations[i];
        double sum = row->cold;

        for (size_t k = 0; k < row->cause_count; k++)
            sum -= row->causes[k].added;
        ck_assert_double_eq_tol(sum, row->lower, 1e-9);
        ck_assert_double_eq_tol(row->margin, row->lower - row->keep, 1e-9);
        short_ones += row->level == TB_LEVEL_SHORT && row->gap < 0;
    }
    ck_assert_uint_ge(short_ones, 8);
    tb_results_unref(results);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/overlaps");
    TCase *tests = tcase_create("overlaps");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, a_block_in_a_duct_is_short_by_a_depth_in_every_state);
    tcase_add_test(tests, its_sentences_say_how_deep_and_where_and_the_report_is_whole);
    tcase_add_test(tests, the_table_of_overlaps_adds_up);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
