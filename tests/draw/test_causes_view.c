/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/causes_view.h"

#include "base/mem.h"

#include "draw/golden.h"
#include "draw/texts.h"
#include "tap.h"

#include <math.h>
#include <string.h>

static TbPicture picture;
static uint64_t bins[24];
static TbSceneBar bars[] = {{"Turbine outlet: DCTG 8, size 512 mm", "±2.2 mm", 2.2, 0.517, NULL},
                            {"engine: placement ty", "±3 mm", 1.9, 0.386, NULL},
                            {"Turbine outlet: wall", "±0.2 mm", 0.07, 0.0006, NULL}};
static TbSceneCause causes[] = {{"warmth", "−2.8 mm", "alone −2.8 mm", 25.44, 22.64},
                                {"rock", "−7.92 mm", "alone −7.79 mm", 22.64, 14.72},
                                {"tolerance", "−5.91 mm", "alone −5.9 mm", 14.72, 8.81}};
static char *told[] = {"Between 8.81 and 8.83 mm; keep 12 mm: short",
                       "Cold 25.44 mm; warmth takes 2.8 mm (alone 2.8 mm); rock takes 7.92 mm "
                       "(alone 7.79 mm); tolerance takes 5.91 mm (alone 5.9 mm)"};
static char *lines[] = {"Without tolerances 14.7 mm; root-sum-square ±3 mm; worst case at least "
                        "8.8 mm"};
static TbSceneScatter scatter = {.bars = bars,
                                 .bar_count = 3,
                                 .nominal = 14.72,
                                 .rss = 3.02,
                                 .worst = 8.81,
                                 .keep = 12,
                                 .bin_from = 9.1,
                                 .bin_width = 0.43,
                                 .bins = bins,
                                 .bin_count = 24,
                                 .samples = 10000,
                                 .lines = lines,
                                 .line_count = 1};
static TbSceneCauses scene = {.title = "Gap from Turbine outlet to Brake line",
                              .subtitle = "hot-rocking-tolerance, variant high-s",
                              .level = TB_LEVEL_SHORT,
                              .cold = 25.44,
                              .gap = 8.81,
                              .keep = 12,
                              .cold_text = "25.44 mm",
                              .gap_text = "8.81 mm",
                              .keep_text = "12 mm",
                              .causes = causes,
                              .cause_count = 3,
                              .lines = told,
                              .line_count = 2,
                              .scatter = &scatter};

static void
set_up(void)
{
    for (int i = 0; i < 24; i++)
        bins[i] = (uint64_t)(1200 * exp(-0.5 * pow((i - 11.7) / 3.9, 2)));
}

static void
tear_down(void)
{
    tb_picture_clear(&picture);
}

/* The box of the k-th area of an ink. */
static void
bar_of(TbInk fill, size_t k, TbVec2 *low, TbVec2 *high)
{
    for (size_t i = 0; i < picture.mark_count; i++)
        if (picture.marks[i].kind == TB_MARK_AREA && picture.marks[i].fill == fill && k-- == 0) {
            tb_picture_mark_box(&picture, &picture.marks[i], 0, low, high);
            return;
        }
    ck_abort_msg("no bar");
}

static void
assert_points_are_on_the_sheet(void)
{
    for (size_t i = 0; i < picture.point_count; i++) {
        TbVec2 p = picture.points[i];

        ck_assert_msg(p.x >= 0 && p.x <= picture.width && p.y >= 0 && p.y <= picture.height,
                      "%g %g is beside the sheet", p.x, p.y);
    }
}

START_TEST(a_stair_with_bars_and_histogram_is_as_kept_and_no_text_lies_on_another)
{
    ck_assert_int_eq(tb_causes_view(&picture, &scene, tb_measurer_plain(), NULL), TB_OK);
    assert_texts_are_apart(&picture, tb_vec2(5, 5));
    ck_assert(picture_says(&picture, "−7.92 mm, alone −7.79 mm"));
    ck_assert(picture_says(&picture, "51.7 %"));
    assert_golden(&picture, "causes");
}
END_TEST

/* 25.44, 2.8 and 8.81 of the bay stand in the same scale. */
START_TEST(bars_are_as_long_as_what_they_stand_for)
{
    TbVec2 low, high;
    double one, pen = 0.5;

    ck_assert_int_eq(tb_causes_view(&picture, &scene, tb_measurer_plain(), NULL), TB_OK);
    bar_of(TB_INK_STRUCTURE, 0, &low, &high);
    one = (high.x - low.x) / 25.44;
    bar_of(TB_INK_HOT, 0, &low, &high);
    ck_assert_double_eq_tol((high.x - low.x) / one, 2.8, pen / one);
    bar_of(TB_INK_HOT, 1, &low, &high);
    ck_assert_double_eq_tol((high.x - low.x) / one, 7.92, pen / one);
    bar_of(TB_INK_INTERVAL, 0, &low, &high);
    ck_assert_double_eq_tol((high.x - low.x) / one, 8.81, pen / one);
}
END_TEST

/* What crosses has a gap below 0, and an effect may open it. */
START_TEST(a_gap_below_nothing_and_an_effect_that_opens_it_stay_in_the_frame)
{
    TbSceneCause odd[] = {{"warmth", "+1.3 mm", "alone +1.3 mm", 3.7, 5.0},
                          {"rock", "−9.2 mm", "alone −8 mm", 5.0, -4.2}};
    TbSceneCauses crossing = scene;

    crossing.causes = odd;
    crossing.cause_count = 2;
    crossing.cold = 3.7;
    crossing.gap = -4.2;
    crossing.gap_text = "−4.2 mm";
    crossing.scatter = NULL;
    ck_assert_int_eq(tb_causes_view(&picture, &crossing, tb_measurer_plain(), NULL), TB_OK);
    assert_texts_are_apart(&picture, tb_vec2(5, 5));
    assert_points_are_on_the_sheet();
    ck_assert(picture_says(&picture, "keep 12 mm"));
    ck_assert(!picture_says(&picture, "51.7 %"));
}
END_TEST

START_TEST(what_could_not_be_judged_has_its_name_and_no_bar)
{
    TbSceneCause odd[] = {{"warmth", "unknown", "alone unknown", 25.44, (double)NAN},
                          {"rock", "unknown", "alone −8 mm", (double)NAN, 14.72}};
    TbSceneCauses partly = scene;

    partly.causes = odd;
    partly.cause_count = 2;
    partly.scatter = NULL;
    ck_assert_int_eq(tb_causes_view(&picture, &partly, tb_measurer_plain(), NULL), TB_OK);
    ck_assert(picture_says(&picture, "unknown, alone −8 mm"));
    for (size_t i = 0; i < picture.mark_count; i++)
        ck_assert_int_ne(picture.marks[i].fill, TB_INK_HOT);
}
END_TEST

/* A window may be narrow: nothing runs over another, one above the other. */
START_TEST(in_a_narrow_room_the_histogram_stands_below_the_bars)
{
    TbRectangle room = {{4, 4}, {116, 236}};

    tb_picture_init(&picture, 120, 240);
    tb_causes_into(&picture, &scene, room, tb_measurer_plain());
    assert_texts_are_apart(&picture, tb_vec2(0, 3));
    ck_assert(picture_says(&picture, "10000 sampled gaps"));
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("draw/causes_view");
    TCase *tcase = tcase_create("causes_view");

    tcase_add_checked_fixture(tcase, set_up, tear_down);
    tcase_add_test(tcase, a_stair_with_bars_and_histogram_is_as_kept_and_no_text_lies_on_another);
    tcase_add_test(tcase, bars_are_as_long_as_what_they_stand_for);
    tcase_add_test(tcase, a_gap_below_nothing_and_an_effect_that_opens_it_stay_in_the_frame);
    tcase_add_test(tcase, what_could_not_be_judged_has_its_name_and_no_bar);
    tcase_add_test(tcase, in_a_narrow_room_the_histogram_stands_below_the_bars);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
