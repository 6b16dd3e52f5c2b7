/* SPDX-License-Identifier: GPL-3.0-or-later */

/** What tolerances do to a gap, as bars and a histogram. */

#include "tap.h"

#include "bays.h"

#include "study/scene_scatter.h"

#include <math.h>
#include <string.h>

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
    ck_assert_ptr_nonnull(strstr(all, "root-sum-square ±3.61 mm"));
    ck_assert_ptr_nonnull(strstr(all, "of 10000 samples (seed 7)"));
    ck_assert_ptr_nonnull(strstr(all, "95 % surely"));
    ck_assert_ptr_nonnull(strstr(all, "Largest share, 69.2 % of the variance"));
    tb_scene_scatter_free(scene);
    tb_results_unref(results);
}
END_TEST

/* ---- sections and notes of states at tolerance ---- */

/* The tube of BAY_TUBE with a shift of 4.3 mm to the rail, and its ring 4 mm from it; a hose that
 * rides on two mounts beside the ring. */
#define HOSE                                                                                       \
    "<line id='hose' name='Hose' class='brake' mount='engine' end-mount='body' role='hose' "       \
    "diameter='16'><path><knot at='150 -90 0'/><knot at='300 -70 0'/><knot at='450 -70 0'/>"       \
    "</path></line></items>"

static TbBay *
ringed_tube(void)
{
    g_autofree char *text = g_strdup(BAY_TUBE);
    static const char *const changes[][2] = {
        {"<path><knot at='0 0 0'/>", "<tolerance shift='0 4.3 0'/><path><knot at='0 0 0'/>"},
        {"<section", "<end><ring kind='flange' diameter='80' from='0' to='9'/></end><section"},
        {"datum='100 0 0' reference='20'/>",
         "datum='100 0 0' reference='20' axis-point='0 0 100' axis-direction='1 0 0' rx='-1 1'/>"},
        {"</items>", HOSE},
        {"</keep>", "</keep><keep id='h' class-a='hot' class-b='brake'><wanted state='edge' "
                    "gap='11'/><wanted state='both' gap='9'/></keep>"},
        {"<wanted state='cold'", "<wanted state='edge' gap='13.5'/><wanted state='cold'"},
        {"<states>", "<states><state id='rock' kind='rocking'/><state id='edge' kind='tolerance'/>"
                     "<state id='both' kind='combined' parts='rock+edge'/>"},
    };

    for (size_t i = 0; i < G_N_ELEMENTS(changes); i++) {
        g_auto(GStrv) halves = g_strsplit(text, changes[i][0], 2);

        ck_assert_uint_eq(g_strv_length(halves), 2);
        g_free(text);
        text = g_strjoinv(changes[i][1], halves);
    }
    return bay_of(text);
}

static bool
notes_hold(char **notes, size_t count, const char *words)
{
    for (size_t i = 0; i < count; i++)
        if (strstr(notes[i], words) != NULL)
            return true;
    return false;
}

/* Drawn the rail is 44 - 26.7 = 17.3 from the tube, above its keep of 13.5; at the edge the ring is
 * 44 - 40 - 4.3 from it. */
START_TEST(a_section_of_nominal_parts_is_not_told_against_a_keep_at_tolerance)
{
    TbStudy *study = study_alone();
    TbBay *bay = ringed_tube();
    TbAsk ask = {.bay = bay, .state = "edge"};
    TbCutAsk cut = {.view = TB_SCENE_ACROSS, .at = 120, .item = "tube"};
    TbScene *scene = NULL;

    ck_assert_int_eq(tb_study_scene(study, &ask, &cut, NULL, &scene, NULL), TB_OK);
    ck_assert_str_eq(scene->inside[scene->inside_count - 1], "nominal parts");
    ck_assert_uint_ge(scene->gap_count, 1);
    for (size_t i = 0; i < scene->gap_count; i++) {
        ck_assert(scene->gaps[i].flat);
        ck_assert(isnan(scene->gaps[i].keep));
    }
    ck_assert_str_eq(scene->gaps[0].tag_b, "rail");
    ck_assert_double_eq_tol(scene->gaps[0].gap, 17.3, 2e-3);
    ck_assert(notes_hold(scene->notes, scene->note_count,
                         "Tolerances are not drawn: dimensions are those of nominal parts"));
    ck_assert(notes_hold(scene->notes, scene->note_count, "(gap / keep, mm): Rail -0.4 / 13.5"));
    tb_scene_unref(scene);
    ask.state = "cold";
    ck_assert_int_eq(tb_study_scene(study, &ask, &cut, NULL, &scene, NULL), TB_OK);
    ck_assert(!scene->gaps[0].flat);
    ck_assert_double_eq(scene->gaps[0].keep, 12);
    ck_assert(!notes_hold(scene->notes, scene->note_count, "Tolerances"));
    tb_scene_unref(scene);
    tb_bay_unref(bay);
    tb_study_free(study);
}
END_TEST

/* The hose rides on two mounts: its gap is not searched with the tolerances, they are taken off. */
START_TEST(a_note_about_rings_tells_the_worst_case_as_the_finding_does)
{
    TbStudy *study = study_alone();
    TbBay *bay = ringed_tube();
    TbAsk ask = {.bay = bay, .state = "both"};
    TbResults *results = NULL;
    TbSceneStrip *strip = NULL;
    const TbResultGap *gap;
    char told[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];
    g_autofree char *words = NULL;

    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, NULL), TB_OK);
    gap = want_gap(results, "tube", "hose", "both");
    ck_assert(!gap->gap.certified);
    ck_assert_double_gt(gap->gap.upper - gap->gap.lower, 4.2);
    tb_gap_words(gap->gap.lower, gap->keep, TB_UNIT_MM, told, keep);
    words = g_strdup_printf("Hose %s / %s", told, keep);
    ck_assert_int_eq(tb_study_strip(study, &ask, "tube", NULL, &strip, NULL), TB_OK);
    ck_assert_msg(notes_hold(strip->notes, strip->note_count, words), "%s in %s", words,
                  strip->note_count == 0 ? "nothing" : strip->notes[0]);
    tb_scene_strip_unref(strip);
    tb_results_unref(results);
    tb_bay_unref(bay);
    tb_study_free(study);
}
END_TEST

START_TEST(what_a_hot_path_is_charted_by_is_said_to_be_as_made)
{
    TbStudy *study = study_alone();
    TbBay *bay = bay_of(BAY_TUBE);
    TbAsk ask = {.bay = bay, .state = "hot"};
    TbSceneStrip *strip = NULL;

    ck_assert_int_eq(tb_study_strip(study, &ask, "tube", NULL, &strip, NULL), TB_OK);
    ck_assert_str_eq(tb_scene_strip_chart(strip, "area")->title, "Area, as made, cold");
    ck_assert_str_eq(tb_scene_strip_chart(strip, "bend")->of, "as made, cold");
    tb_scene_strip_unref(strip);
    ask.state = "cold";
    ck_assert_int_eq(tb_study_strip(study, &ask, "tube", NULL, &strip, NULL), TB_OK);
    ck_assert_str_eq(tb_scene_strip_chart(strip, "area")->title, "Area");
    tb_scene_strip_unref(strip);
    tb_bay_unref(bay);
    tb_study_free(study);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/scene_scatter");
    TCase *tcase = tcase_create("scatter");

    tcase_add_test(tcase, bars_are_the_shares_largest_first);
    tcase_add_test(tcase, every_sample_is_in_a_bin_and_the_sentences_tell_chance_seed_and_count);
    tcase_add_test(tcase, a_section_of_nominal_parts_is_not_told_against_a_keep_at_tolerance);
    tcase_add_test(tcase, a_note_about_rings_tells_the_worst_case_as_the_finding_does);
    tcase_add_test(tcase, what_a_hot_path_is_charted_by_is_said_to_be_as_made);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
