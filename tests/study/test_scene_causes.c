/* SPDX-License-Identifier: GPL-3.0-or-later */

/** How one gap comes about, as bars from what is cold to what is left. */

#include "tap.h"

#include "bays.h"

#include "study/scene_causes.h"

#include <math.h>

/* A rod that grows by 8.1e-3 of its 400 towards a block 30 away, and is shifted by up to 5; its own
 * tolerance by 1.5 more. */
#define BAY                                                                                        \
    "<bay version='1' title='Stair'><mounts><mount id='body'/>"                                    \
    "<mount id='engine' parent='body' tx='-5 5'/></mounts>"                                        \
    "<materials><material id='iron' density='7000' expansion='13.5'/></materials><items>"          \
    "<rod id='a' name='Rod' class='hot' mount='engine' material='iron' a='0 0 0' b='400 0 0' "     \
    "radius='10'><tolerance shift='1.5 0 0'/></rod>"                                               \
    "<block id='b' name='Block' class='brake' mount='body' low='430 -50 -50' high='500 50 50'/>"   \
    "</items><keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"                     \
    "<wanted state='cold' gap='25'/><wanted state='rock' gap='25'/>"                               \
    "<wanted state='all' gap='21'/></keep></keeps>"                                                \
    "<states><state id='cold' kind='cold'/><state id='hot' kind='hot'>"                            \
    "<warm class='hot' growth='620'/></state><state id='rock' kind='rocking'/>"                    \
    "<state id='tol' kind='tolerance'/>"                                                           \
    "<state id='all' kind='combined' parts='hot+rock+tol'/></states></bay>"

static const double grows = 400 * 8.1e-3;

static TbResults *results;

static void
judge(bool combine)
{
    TbBay *bay = bay_of(BAY);
    TbStudy *study = study_alone();
    TbAsk ask = {.bay = bay, .combine = combine, .width = 1e-6, .samples = 500, .seed = 3};
    TbFault fault = {0};

    ck_assert_msg(tb_study_judge(study, &ask, NULL, &results, &fault) == TB_OK, "%s", fault.text);
    tb_study_free(study);
    tb_bay_unref(bay);
}

static void
end(void)
{
    tb_results_unref(results);
    results = NULL;
}

static const TbResultGap *
gap_in(const char *state)
{
    for (size_t i = 0; i < results->gap_count; i++)
        if (strcmp(results->gaps[i].state, state) == 0)
            return &results->gaps[i];
    ck_abort_msg("no gap in %s", state);
    return NULL;
}

START_TEST(bars_go_from_the_cold_gap_down_to_what_is_left)
{
    TbSceneCauses *scene;

    judge(true);
    scene = tb_scene_causes_new(results, gap_in("all"), TB_UNIT_MM);
    ck_assert_str_eq(scene->title, "Gap from Rod to Block");
    ck_assert_str_eq(scene->subtitle, "all");
    ck_assert_uint_eq(scene->cause_count, 3);
    ck_assert_double_eq_tol(scene->cold, 30, 1e-5);
    ck_assert_double_eq(scene->causes[0].from, scene->cold);
    ck_assert_double_eq_tol(scene->causes[0].to, 30 - grows, 1e-5);
    ck_assert_double_eq(scene->causes[1].from, scene->causes[0].to);
    ck_assert_double_eq_tol(scene->causes[1].to, 25 - grows, 1e-5);
    ck_assert_double_eq_tol(scene->causes[2].to, scene->gap, 1e-9);
    ck_assert_double_eq_tol(scene->gap, 23.5 - grows, 1e-3);
    ck_assert_int_eq(scene->level, TB_LEVEL_SHORT);
    ck_assert_str_eq(scene->causes[0].name, "warmth");
    ck_assert_str_eq(scene->causes[0].change, "−3.24 mm");
    ck_assert_str_eq(scene->causes[1].change, "−5 mm");
    ck_assert_str_eq(scene->causes[1].alone, "alone −5 mm");
    ck_assert_str_eq(scene->causes[2].name, "tolerance");
    ck_assert_ptr_nonnull(scene->scatter);
    tb_scene_causes_free(scene);
}
END_TEST

START_TEST(one_effect_is_told_once_and_a_state_without_any_has_no_bars)
{
    TbSceneCauses *scene;

    judge(true);
    scene = tb_scene_causes_new(results, gap_in("rock"), TB_UNIT_MM);
    ck_assert_uint_eq(scene->cause_count, 1);
    ck_assert_str_eq(scene->causes[0].alone, "");
    ck_assert_ptr_null(scene->scatter);
    ck_assert(tb_scene_causes_tell(results, gap_in("rock")));
    ck_assert(!tb_scene_causes_tell(results, gap_in("cold")));
    tb_scene_causes_free(scene);
}
END_TEST

START_TEST(without_the_table_tolerances_are_still_told)
{
    TbSceneCauses *scene;

    judge(false);
    scene = tb_scene_causes_new(results, gap_in("all"), TB_UNIT_MM);
    ck_assert_uint_eq(scene->cause_count, 0);
    ck_assert(isnan(scene->cold));
    ck_assert(tb_scene_causes_tell(results, gap_in("all")));
    ck_assert(!tb_scene_causes_tell(results, gap_in("rock")));
    ck_assert_ptr_nonnull(scene->scatter);
    tb_scene_causes_free(scene);
}
END_TEST

START_TEST(its_words_say_the_interval_the_causes_and_every_share)
{
    TbSceneCauses *scene;
    g_autofree char *words = NULL;
    g_autofree char *inch = NULL;

    judge(true);
    scene = tb_scene_causes_new(results, gap_in("all"), TB_UNIT_MM);
    words = tb_scene_causes_words(scene);
    /* 23.5 - 3.24 = 20.26, ends rounded outwards */
    ck_assert_msg(strstr(words, "Between 20.25 and 20.27 mm; keep 21 mm: short") != NULL ||
                      strstr(words, "Between 20.26 and 20.26 mm; keep 21 mm: short") != NULL ||
                      strstr(words, "Between 20.25 and 20.26 mm; keep 21 mm: short") != NULL ||
                      strstr(words, "Between 20.26 and 20.27 mm; keep 21 mm: short") != NULL,
                  "%s", words);
    ck_assert_msg(strstr(words, "Cold 30 mm; warmth takes 3.24 mm") != NULL ||
                      strstr(words, "Cold 29.99 mm; warmth takes 3.24 mm") != NULL,
                  "%s", words);
    ck_assert_ptr_nonnull(strstr(words, "of 500 samples (seed 3)"));
    ck_assert_ptr_nonnull(strstr(words, "±1.5 mm: 100 %"));
    tb_scene_causes_free(scene);
    scene = tb_scene_causes_new(results, gap_in("all"), TB_UNIT_INCH);
    inch = tb_scene_causes_words(scene);
    ck_assert_ptr_null(strstr(inch, " mm"));
    tb_scene_causes_free(scene);
}
END_TEST

START_TEST(its_table_has_a_row_for_each_effect_and_each_tolerance)
{
    TbSceneCauses *scene;
    TbSceneTable *table;

    judge(true);
    scene = tb_scene_causes_new(results, gap_in("all"), TB_UNIT_MM);
    table = tb_scene_causes_table(scene);
    ck_assert_uint_eq(table->columns, 4);
    /* cold, three effects, the gap, one tolerance that counts */
    ck_assert_uint_eq(table->rows, 6);
    ck_assert_str_eq(table->cells[0], "cold");
    ck_assert_str_eq(table->cells[2 * 4], "rock");
    ck_assert_str_eq(table->cells[2 * 4 + 2], "−5 mm");
    ck_assert_str_eq(table->cells[4 * 4], "gap");
    ck_assert_str_eq(table->cells[5 * 4 + 1], "±1.5 mm");
    ck_assert_str_eq(table->cells[5 * 4 + 3], "100 %");
    tb_scene_table_free(table);
    tb_scene_causes_free(scene);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/scene_causes");
    TCase *tcase = tcase_create("scene_causes");

    tcase_add_checked_fixture(tcase, NULL, end);
    tcase_add_test(tcase, bars_go_from_the_cold_gap_down_to_what_is_left);
    tcase_add_test(tcase, one_effect_is_told_once_and_a_state_without_any_has_no_bars);
    tcase_add_test(tcase, without_the_table_tolerances_are_still_told);
    tcase_add_test(tcase, its_words_say_the_interval_the_causes_and_every_share);
    tcase_add_test(tcase, its_table_has_a_row_for_each_effect_and_each_tolerance);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
