/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"
#include "tap.h"

#include "physics/tolerance.h"
#include "study/grades.h"
#include "study/say.h"

#include <glib.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>

START_TEST(the_table_has_the_values_of_the_standards_at_every_size)
{
    static const char *const names[] = {"ISO 2768-f",  "ISO 2768-m",  "ISO 2768-c",  "ISO 2768-v",
                                        "DCTG 4",      "DCTG 5",      "DCTG 6",      "DCTG 7",
                                        "DCTG 8",      "DCTG 9",      "DCTG 10",     "DCTG 11",
                                        "DCTG 12",     "ISO 13920-A", "ISO 13920-B", "ISO 13920-C",
                                        "ISO 13920-D", "DCTG 13",     "ISO 2768-x"};

    for (size_t i = 0; i < G_N_ELEMENTS(names); i++)
        for (double size = 0.25; size < 4500; size += 0.25) {
            double here = 7, there = 7;
            TbStatus status = tb_grades_half(tb_grades_usual(), names[i], size, &here, NULL);

            ck_assert_msg((status == TB_OK) ==
                              (tb_tolerance_named(names[i], size, &there, NULL) == TB_OK),
                          "%s at %g mm", names[i], size);
            ck_assert_double_eq(here, there);
        }
}
END_TEST

START_TEST(a_broken_table_is_refused_with_its_line_and_number)
{
    static const struct {
        const char *row, *words;
    } broken[] = {
        {"<row to='10' values='1'/>", "1 values for 2 grades"},
        {"<row to='10' values='1 -3'/>", "\"-3\" for B 2"},
        {"<row to='nan' values='1 2'/>", "a size above 2 mm"},
        {"<row to='1' values='1 2'/>", "a size above 2 mm"},
        {"<column/>", "<column> is unknown"},
        {"", "has no rows"},
    };

    for (size_t i = 0; i < G_N_ELEMENTS(broken); i++) {
        g_autofree char *text =
            g_strdup_printf("<tolerances>\n<table standard='S' source='s' from='2' values='half' "
                            "grades='A 1, B 2'>\n%s\n</table></tolerances>",
                            broken[i].row);
        TbGrades *grades = NULL;
        TbFault fault = {0};

        ck_assert_int_ne(tb_grades_read(text, strlen(text), &grades, &fault), TB_OK);
        ck_assert_msg(strstr(fault.text, broken[i].words) != NULL, "%s", fault.text);
        ck_assert_int_ge(fault.line, 3);
    }
}
END_TEST

START_TEST(a_broken_table_has_no_grades_and_says_why_with_its_line)
{
    static const char text[] = "<tolerances>\n<table standard='S' source='s' from='2' "
                               "values='half' grades='A 1'>\n<row to='10' values='-3.5'/>\n"
                               "</table></tolerances>";
    TbGrades *broken = tb_grades_new(text, sizeof text - 1), *none = tb_grades_new("", 0);
    TbFault fault = {0};
    double half = 7;

    ck_assert_int_eq(tb_grades_half(broken, "A 1", 5, &half, &fault), TB_E_FORMAT);
    ck_assert_msg(strstr(fault.text, "\"A 1\": line 3 of the table: ") != NULL &&
                      strstr(fault.text, "-3.5") != NULL,
                  "%s", fault.text);
    ck_assert_double_eq(half, 7);
    ck_assert_ptr_null(tb_grades_coarser(broken, "A 1"));
    ck_assert_int_eq(tb_grades_half(none, "A 1", 5, &half, &fault), TB_E_FORMAT);
    tb_grades_free(broken);
    tb_grades_free(none);
}
END_TEST

#define BAY(grade, size)                                                                           \
    "<bay version='1' title='Scatter'><mounts><mount id='body'/>"                                  \
    "<mount id='engine' parent='body' scatter-shift='0 0 1.8'/></mounts><items>"                   \
    "<block id='plate' class='a' mount='body' low='-400 -400 30' high='400 400 50'/>"              \
    "<block id='part' class='b' mount='engine' low='-60 -50 0' high='70 55 20'>"                   \
    "<tolerance shift='0 0 0.9' grade='" grade "' size='" size "'/></block></items>"               \
    "<keeps><keep id='k' class-a='a' class-b='b'><wanted state='edge' gap='8.2'/></keep></keeps>"  \
    "<states><state id='cold' kind='cold'/><state id='edge' kind='tolerance'/></states></bay>"

static TbResults *
at_the_edge(const char *text, int threads, uint64_t samples)
{
    TbBay *bay = bay_of(text);
    TbStore *store = tb_store_new();
    TbWork *work = tb_work_new(threads);
    TbStudy *study = tb_study_new(store, work);
    TbAsk ask = {.bay = bay, .state = "edge", .samples = samples, .seed = 7};
    TbResults *results = NULL;

    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, NULL), TB_OK);
    ck_assert_uint_eq(results->gap_count, 1);
    tb_study_free(study);
    tb_work_free(work);
    tb_store_unref(store);
    tb_bay_unref(bay);
    return results;
}

/* ISO 13920-B at 100 mm is 2 mm: the gap of 10 is normal with deviations 0.6, 0.3 and 2/3. */
START_TEST(a_bay_of_two_plates_is_judged_by_its_worst_case_and_its_chance_is_the_closed_form)
{
    double deviation = sqrt(0.6 * 0.6 + 0.3 * 0.3 + 4.0 / 9);
    double want = gsl_cdf_gaussian_P(8.2 - 10, deviation);
    uint64_t broken = 0;

    for (int threads = 1; threads <= 3; threads++) {
        TbResults *results = at_the_edge(BAY("ISO 13920-B", "100"), threads, 20000);
        const TbResultGap *gap = &results->gaps[0];
        const TbResultScatter *s = gap->scatter;

        ck_assert_double_eq_tol(gap->gap.lower, 10 - 1.8 - 0.9 - 2, 1e-5);
        ck_assert_int_eq(gap->level, TB_LEVEL_SHORT);
        ck_assert_uint_eq(s->source_count, 3);
        ck_assert_double_eq_tol(s->rss, 3 * deviation, 1e-9);
        ck_assert_str_eq(s->sources[s->most].kind, "grade");
        ck_assert_str_eq(s->sources[s->most].name, "part: ISO 13920-B, size 100 mm");
        ck_assert_double_le(s->low, want);
        ck_assert_double_ge(s->high, want);
        ck_assert(threads == 1 || s->broken == broken);
        broken = s->broken;
        tb_results_unref(results);
    }
}
END_TEST

START_TEST(what_the_table_has_not_leaves_the_gap_open_with_item_and_number)
{
    static const struct {
        const char *bay, *words;
    } asked[] = {
        {BAY("ISO 13920-Q", "100"), "part: there is no tolerance grade \"ISO 13920-Q\""},
        {BAY("ISO 13920-B", "0.5"), "part: ISO 13920-B (ISO 13920:1996, table 1) has no tolerance "
                                    "for a size of 0.5 mm"},
    };

    for (size_t i = 0; i < G_N_ELEMENTS(asked); i++) {
        TbResults *results = at_the_edge(asked[i].bay, 1, 100);

        ck_assert_int_eq(results->gaps[0].level, TB_LEVEL_OPEN);
        ck_assert_msg(strstr(results->gaps[0].reason, asked[i].words) != NULL, "%s",
                      results->gaps[0].reason);
        tb_results_unref(results);
    }
}
END_TEST

/* A casting's wall, 4 mm thick, is judged one grade coarser than the casting. */
#define CAST(grade, wall)                                                                          \
    "<bay version='1' title='Cast'><mounts><mount id='body'/></mounts><items>"                     \
    "<block id='plate' class='a' mount='body' low='-400 -400 60' high='400 400 80'/>"              \
    "<duct id='part' class='b' mount='body' wall='" wall "'><path><knot at='0 0 0'/>"              \
    "<knot at='200 0 0'/></path><section at='0' width='40' height='40'/>"                          \
    "<process kind='cast' grade='" grade "' core-shift='0.3'/></duct></items>"                     \
    "<keeps><keep id='k' class-a='a' class-b='b'><wanted state='edge' gap='8.2'/></keep></keeps>"  \
    "<states><state id='edge' kind='tolerance'/></states></bay>"

START_TEST(a_coarser_casting_never_has_a_better_worst_case_for_want_of_a_coarser_grade)
{
    TbResults *fine = at_the_edge(CAST("DCTG 11", "4"), 1, 0);
    TbResults *last = at_the_edge(CAST("DCTG 12", "4"), 1, 0);
    const TbResultScatter *s = fine->gaps[0].scatter;

    ck_assert_uint_eq(s->source_count, 2);
    ck_assert_str_eq(s->sources[1].kind, "wall");
    ck_assert_str_eq(s->sources[1].grade, "DCTG 12");
    ck_assert_double_eq_tol(s->sources[1].half, 4.2 / 2, 1e-12);
    ck_assert_int_ne(fine->gaps[0].level, TB_LEVEL_OPEN);
    ck_assert_int_eq(last->gaps[0].level, TB_LEVEL_OPEN);
    ck_assert_msg(strstr(last->gaps[0].reason, "part: its wall of 4 mm is judged one grade coarser "
                                               "than DCTG 12, and the table has none") != NULL,
                  "%s", last->gaps[0].reason);
    tb_results_unref(fine);
    tb_results_unref(last);
}
END_TEST

START_TEST(a_wall_of_a_size_that_the_table_has_not_leaves_the_gap_open)
{
    TbResults *results = at_the_edge(CAST("ISO 13920-B", "1.25"), 1, 0);

    ck_assert_int_eq(results->gaps[0].level, TB_LEVEL_OPEN);
    ck_assert_msg(strstr(results->gaps[0].reason, "no tolerance for a size of 1.25 mm") != NULL,
                  "%s", results->gaps[0].reason);
    tb_results_unref(results);
}
END_TEST

/* Both are one casting, so the larger of two grades stands for both: the other one goes, and turns
 * stay in the order in which they are composed. */
START_TEST(turns_keep_their_order_where_a_castings_smaller_grade_goes)
{
    static const char *const want[] = {"one: placement ry", "two: placement rx",
                                       "two: placement ry", "two: placement rz"};
    TbResults *results = at_the_edge(
        "<bay version='1' title='Cast'><mounts><mount id='body'/></mounts><items>"
        "<block id='one' class='a' mount='body' casting='m' low='-40 -40 60' high='40 40 80'>"
        "<tolerance turn='0 0.5 0' grade='DCTG 8'/></block>"
        "<block id='two' class='b' mount='body' casting='m' low='-60 -50 0' high='270 55 20'>"
        "<tolerance turn='0.1 0.2 0.3' grade='DCTG 8'/></block></items><keeps>"
        "<keep id='k' class-a='a' class-b='b'><wanted state='edge' gap='8.2'/></keep></keeps>"
        "<states><state id='edge' kind='tolerance'/></states></bay>",
        1, 0);
    const TbResultScatter *s = results->gaps[0].scatter;

    ck_assert_uint_eq(s->source_count, 5);
    for (size_t i = 0; i < G_N_ELEMENTS(want); i++)
        ck_assert_str_eq(s->sources[i].name, want[i]);
    ck_assert_str_eq(s->sources[4].item, "two");
    ck_assert_str_eq(s->sources[4].kind, "grade");
    tb_results_unref(results);
}
END_TEST

/* Shares of a line that is bent along a rock are not known. */
START_TEST(a_blended_pair_names_no_tolerance_as_most_of_its_worst_case)
{
    TbResults *results = results_of(
        "<bay version='1' title='Bent'><mounts><mount id='body'/><mount id='engine' parent='body' "
        "axis-point='0 0 100' axis-direction='1 0 0' rx='-3 3' scatter-shift='0.7 0.4 0'/></mounts>"
        "<items><line id='a' class='hot' mount='engine' end-mount='body' role='hose' "
        "diameter='16'><path><knot at='0 0 400'/><knot at='150 0 400'/><knot at='300 0 400'/>"
        "</path></line><ball id='b' class='brake' mount='body' at='0 60 400' radius='8'/></items>"
        "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"
        "<wanted state='both' gap='4'/></keep></keeps><states><state id='rock' kind='rocking'/>"
        "<state id='edge' kind='tolerance'/>"
        "<state id='both' kind='combined' parts='rock+edge'/></states></bay>");
    const TbResultGap *gap = want_gap(results, "a", "b", "both");
    const TbFinding *finding = want_finding(results, "gap/a|b/both/");
    g_autofree char *said = tb_say_finding(results, finding, TB_VOICE_REPORT);

    ck_assert(!gap->gap.certified);
    ck_assert_uint_gt(gap->scatter->source_count, 0);
    ck_assert_msg(strstr(said, "; the worst of all tolerances") != NULL, "%s", said);
    ck_assert_msg(strstr(said, "most of it") == NULL, "%s", said);
    tb_results_unref(results);
}
END_TEST

/* Five deviations below a keep all of 10,000 samples are short, which is no certainty. */
START_TEST(a_chance_is_rounded_outward)
{
    g_auto(GStrv) parts = g_strsplit(BAY("ISO 13920-B", "100"), "gap='8.2'", 2);
    g_autofree char *text = g_strjoinv("gap='14.5'", parts);
    TbResults *results = at_the_edge(text, 1, 10000);
    const TbResultScatter *s = results->gaps[0].scatter;
    g_autofree char *said =
        tb_say_finding(results, want_finding(results, "gap/part|plate/edge/"), TB_VOICE_REPORT);

    ck_assert_uint_eq(s->broken, 10000);
    ck_assert_double_lt(s->low, 1);
    ck_assert_double_gt(s->low, 0.9995);
    ck_assert_msg(strstr(said, "by chance short in 99.9") != NULL, "%s", said);
    ck_assert_msg(strstr(said, " to 100 % (10000 samples)") != NULL, "%s", said);
    tb_results_unref(results);
}
END_TEST

/* Neither BAY has a variant: it is judged as it is drawn. */
START_TEST(a_bay_without_variants_has_tolerances_and_a_table)
{
    TbBay *bay = bay_of(BAY("ISO 13920-B", "100"));
    TbStudy *study = study_alone();
    TbAsk ask = {.bay = bay, .samples = 500, .seed = 3, .combine = true};
    TbResults *results = NULL;

    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, NULL), TB_OK);
    ck_assert_uint_eq(results->variant_count, 0);
    ck_assert_str_eq(want_gap(results, "plate", "part", "edge")->variant, "");
    ck_assert_uint_eq(want_gap(results, "plate", "part", "edge")->scatter->samples, 500);
    ck_assert_uint_eq(results->combination_count, 1);
    tb_results_unref(results);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

/* The part is 130 x 105 x 20. */
#define SHIFTED(by)                                                                                \
    "<bay version='1' title='Scatter'><mounts><mount id='body'/></mounts>\n<items>"                \
    "<block id='plate' class='a' mount='body' low='-400 -400 30' high='400 400 50'/>\n"            \
    "<block id='part' class='b' mount='body' low='-60 -50 0' high='70 55 20'>\n"                   \
    "<tolerance " by "/></block></items><keeps>"                                                   \
    "<keep id='k' class-a='a' class-b='b'><wanted state='edge' gap='8.2'/></keep></keeps>"         \
    "<states><state id='edge' kind='tolerance'/></states></bay>"

START_TEST(a_tolerance_larger_than_its_part_leaves_the_gap_open_with_both_numbers)
{
    TbResults *results = at_the_edge(SHIFTED("shift='0 0 168.5'"), 1, 100);
    char diagonal[64];

    ck_assert_int_eq(results->gaps[0].level, TB_LEVEL_OPEN);
    snprintf(diagonal, sizeof diagonal, "%g mm across", sqrt(130 * 130 + 105 * 105 + 20 * 20));
    ck_assert_msg(strstr(results->gaps[0].reason, "part: its placement of 168.5 mm either way is "
                                                  "larger than part itself") != NULL &&
                      strstr(results->gaps[0].reason, diagonal) != NULL,
                  "%s", results->gaps[0].reason);
    tb_results_unref(results);
    results = at_the_edge(SHIFTED("turn='95.5 0 0'"), 1, 100);
    ck_assert_int_eq(results->gaps[0].level, TB_LEVEL_OPEN);
    ck_assert_msg(strstr(results->gaps[0].reason, "rx of 95.5 deg is more than a quarter turn") !=
                      NULL,
                  "%s", results->gaps[0].reason);
    tb_results_unref(results);
}
END_TEST

START_TEST(a_tolerance_that_is_no_number_or_below_0_is_refused_with_its_line)
{
    static const struct {
        const char *bay, *words;
    } asked[] = {
        {SHIFTED("shift='0 0 -1.25'"), "-1.25"},
        {SHIFTED("shift='0 nan 0'"), "nan"},
        {SHIFTED("shift='0 1e999 0'"), "1e999"},
        {SHIFTED("turn='0 -3.5 0'"), "-3.5"},
        {SHIFTED("grade='ISO 2768-m' size='-4'"), "-4"},
        {SHIFTED("grade='ISO 2768-m' size='nan'"), "nan"},
    };

    for (size_t i = 0; i < G_N_ELEMENTS(asked); i++) {
        TbBay *bay = NULL;
        TbFault fault = {0};

        ck_assert_int_ne(tb_bay_read_bytes(asked[i].bay, strlen(asked[i].bay), &bay, &fault),
                         TB_OK);
        ck_assert_msg(strstr(fault.text, asked[i].words) != NULL, "%zu: %s", i, fault.text);
        ck_assert_msg(fault.line == 4, "%zu: line %d: %s", i, fault.line, fault.text);
    }
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/spread");
    TCase *tests = tcase_create("spread");

    tcase_add_test(tests, the_table_has_the_values_of_the_standards_at_every_size);
    tcase_add_test(tests, a_broken_table_is_refused_with_its_line_and_number);
    tcase_add_test(tests, a_broken_table_has_no_grades_and_says_why_with_its_line);
    tcase_add_test(
        tests, a_bay_of_two_plates_is_judged_by_its_worst_case_and_its_chance_is_the_closed_form);
    tcase_add_test(tests, what_the_table_has_not_leaves_the_gap_open_with_item_and_number);
    tcase_add_test(tests,
                   a_coarser_casting_never_has_a_better_worst_case_for_want_of_a_coarser_grade);
    tcase_add_test(tests, a_wall_of_a_size_that_the_table_has_not_leaves_the_gap_open);
    tcase_add_test(tests, turns_keep_their_order_where_a_castings_smaller_grade_goes);
    tcase_add_test(tests, a_blended_pair_names_no_tolerance_as_most_of_its_worst_case);
    tcase_add_test(tests, a_chance_is_rounded_outward);
    tcase_add_test(tests, a_bay_without_variants_has_tolerances_and_a_table);
    tcase_add_test(tests, a_tolerance_larger_than_its_part_leaves_the_gap_open_with_both_numbers);
    tcase_add_test(tests, a_tolerance_that_is_no_number_or_below_0_is_refused_with_its_line);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
