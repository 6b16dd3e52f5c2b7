/* SPDX-License-Identifier: GPL-3.0-or-later */

/** What tolerances do to a gap, as bars and a histogram. */

#include "tap.h"

#include "bays.h"

#include "study/scene_scatter.h"

#include <math.h>

/* A ball that its item's own tolerance shifts by 3 mm towards the other and 1 mm beside it, and
 * whose mount by 2 mm towards it. */
#define BAY                                                                                        \
    "<bay version='1' title='Apart'><mounts><mount id='body'/><mount id='engine' parent='body' "   \
    "scatter-shift='2 0 0'/></mounts><items>"                                                      \
    "<ball id='a' name='Ball' class='hot' mount='engine' at='0 0 0' radius='20'>"                  \
    "<tolerance shift='3 1 0'/></ball>"                                                            \
    "<ball id='b' name='Other' class='brake' mount='body' at='60 0 0' radius='8'/></items><keeps>" \
    "<keep id='k' class-a='hot' class-b='brake' reason='heat'><wanted state='tol' gap='30'/>"      \
    "</keep></keeps><states><state id='cold' kind='cold'/><state id='tol' kind='tolerance'/>"      \
    "</states></bay>"

static TbResults *
judge(uint64_t samples)
{
    TbStudy *study = study_alone();
    TbBay *bay = bay_of(BAY);
    TbAsk ask = {.bay = bay, .state = "tol", .samples = samples, .seed = 7};
    TbResults *results = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_judge(study, &ask, NULL, &results, &fault) == TB_OK, "%s", fault.text);
    tb_bay_unref(bay);
    tb_study_free(study);
    ck_assert_uint_eq(results->gap_count, 1);
    ck_assert_ptr_nonnull(results->gaps[0].scatter);
    return results;
}

/* Squares of 3 and 2: 9/13 and 4/13 of the variance; what is beside the gap moves it by nothing. */
START_TEST(bars_are_the_shares_largest_first)
{
    TbResults *results = judge(0);
    TbSceneScatter *scene = tb_scene_scatter_new(results, &results->gaps[0], TB_UNIT_MM);

    ck_assert_uint_eq(scene->bar_count, 2);
    ck_assert_uint_ge(scene->still_count, 1);
    ck_assert_double_eq_tol(scene->bars[0].share, 9 / 13.0, 1e-6);
    ck_assert_double_eq_tol(scene->bars[1].share, 4 / 13.0, 1e-6);
    ck_assert_double_eq_tol(scene->bars[0].half, 3, 1e-6);
    ck_assert_str_eq(scene->bars[0].band, "±3 mm");
    ck_assert_ptr_nonnull(strstr(scene->bars[0].name, "Ball"));
    ck_assert_str_eq(scene->title, "Tolerances: Ball to Other");
    ck_assert_double_eq_tol(scene->rss, sqrt(13), 1e-6);
    ck_assert_double_eq_tol(scene->nominal, 32, 0.011);
    ck_assert_double_eq_tol(scene->worst, 27, 0.1);
    ck_assert_uint_eq(scene->bin_count, 0);
    tb_scene_scatter_free(scene);
    tb_results_unref(results);
}
END_TEST

START_TEST(every_sample_is_in_a_bin_and_the_sentences_tell_chance_seed_and_count)
{
    TbResults *results = judge(10000);
    TbSceneScatter *scene = tb_scene_scatter_new(results, &results->gaps[0], TB_UNIT_MM);
    uint64_t sum = 0;
    g_autofree char *all = NULL;

    for (size_t i = 0; i < scene->bin_count; i++)
        sum += scene->bins[i];
    ck_assert_uint_eq(sum, 10000);
    all = g_strjoinv("\n", (char *[]){scene->lines[0], scene->lines[1], scene->lines[2], NULL});
    ck_assert_uint_eq(scene->line_count, 3);
    ck_assert_ptr_nonnull(strstr(all, "root-sum-square ±3.6 mm"));
    ck_assert_ptr_nonnull(strstr(all, "of 10000 samples (seed 7)"));
    ck_assert_ptr_nonnull(strstr(all, "95 % surely"));
    ck_assert_ptr_nonnull(strstr(all, "Largest share, 69.2 % of the variance"));
    tb_scene_scatter_free(scene);
    tb_results_unref(results);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/scene_scatter");
    TCase *tcase = tcase_create("scatter");

    tcase_add_test(tcase, bars_are_the_shares_largest_first);
    tcase_add_test(tcase, every_sample_is_in_a_bin_and_the_sentences_tell_chance_seed_and_count);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
