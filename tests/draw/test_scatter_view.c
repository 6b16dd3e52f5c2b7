/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/paint.h"
#include "draw/scatter_view.h"

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
                            {"Brake line: placement tx", "±1.5 mm", 0.95, 0.0964, NULL},
                            {"Turbine outlet: wall", "±0.2 mm", 0.07, 0.0006, NULL}};
static char *lines[] = {"Without tolerances 34.1 mm; root-sum-square ±3 mm; worst case at least "
                        "28.6 mm",
                        "Keep broken in 137 of 10000 samples (seed 1): between 1.15 and 1.62 %, 95 "
                        "% surely",
                        "Largest share, 51.7 % of the variance: Turbine outlet: DCTG 8, size 512 "
                        "mm"};
static TbSceneScatter scene = {.title = "Tolerances: Turbine outlet to Brake line",
                               .subtitle = "tolerance, variant std-s",
                               .bars = bars,
                               .bar_count = 4,
                               .still_count = 3,
                               .nominal = 34.13,
                               .rss = 3.02,
                               .worst = 28.61,
                               .keep = 30,
                               .bin_from = 29.1,
                               .bin_width = 0.43,
                               .bins = bins,
                               .bin_count = 24,
                               .samples = 10000,
                               .lines = lines,
                               .line_count = 3};

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

START_TEST(bars_and_histogram_are_as_kept_and_no_text_lies_on_another)
{
    ck_assert_int_eq(tb_scatter_view(&picture, &scene, tb_measurer_plain(), NULL), TB_OK);
    assert_texts_are_apart(&picture, tb_vec2(5, 5));
    ck_assert(picture_says(&picture, "51.7 %"));
    ck_assert(picture_says(&picture, "keep 30 mm"));
    ck_assert(picture_says(&picture, "worst case 28.61 mm"));
    ck_assert(picture_says(&picture, "and 3 more with less or no effect"));
    assert_golden(&picture, "scatter");
}
END_TEST

START_TEST(a_bar_of_a_long_named_item_still_tells_its_cause)
{
    char item[151], name[200];
    TbSceneBar one = {name, "±2.2 mm", 2.2, 0.517, item};
    TbSceneScatter alone = scene;
    bool told = false;

    memset(item, 'o', 150);
    item[150] = '\0';
    snprintf(name, sizeof name, "%s: DCTG 8, size 512 mm", item);
    alone.bars = &one;
    alone.bar_count = 1;
    ck_assert_int_eq(tb_scatter_view(&picture, &alone, tb_measurer_plain(), NULL), TB_OK);
    assert_texts_are_apart(&picture, tb_vec2(5, 5));
    for (size_t i = 0; i < picture.mark_count; i++)
        told = told || (picture.marks[i].kind == TB_MARK_TEXT &&
                        strstr(tb_picture_string(&picture, picture.marks[i].text),
                               "…: DCTG 8, size 512 mm") != NULL);
    ck_assert(told);
}
END_TEST

START_TEST(without_samples_bars_take_the_whole_width_and_nothing_is_drawn_of_the_rest)
{
    TbSceneScatter alone = scene;

    alone.bin_count = 0;
    alone.samples = 0;
    ck_assert_int_eq(tb_scatter_view(&picture, &alone, tb_measurer_plain(), NULL), TB_OK);
    ck_assert(!picture_says(&picture, "keep 30 mm"));
    ck_assert(picture_says(&picture, "51.7 %"));
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("draw/scatter_view");
    TCase *tcase = tcase_create("scatter_view");

    tcase_add_checked_fixture(tcase, set_up, tear_down);
    tcase_add_test(tcase, bars_and_histogram_are_as_kept_and_no_text_lies_on_another);
    tcase_add_test(tcase, a_bar_of_a_long_named_item_still_tells_its_cause);
    tcase_add_test(tcase,
                   without_samples_bars_take_the_whole_width_and_nothing_is_drawn_of_the_rest);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
