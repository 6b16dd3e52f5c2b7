/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/strip_fits.h"

#include "tap.h"

#include <string.h>

static GSettings *settings;
static TbStripFits fits;

static void
set_up(void)
{
    settings = g_settings_new("net.tightbay.Tightbay");
    g_settings_reset(settings, "strip-heights");
    tb_strip_fits_load(&fits, settings);
}

static void
tear_down(void)
{
    tb_strip_fits_clear(&fits);
    g_object_unref(settings);
}

static double
height_of(const char *chart)
{
    for (size_t i = 0; i < fits.count; i++)
        if (strcmp(fits.fit[i].chart, chart) == 0)
            return fits.fit[i].height;
    return -1;
}

static void
again(void)
{
    tb_strip_fits_save(&fits, settings);
    tb_strip_fits_clear(&fits);
    tb_strip_fits_load(&fits, settings);
}

START_TEST(heights_and_folds_come_back_by_their_chart)
{
    tb_strip_fits_set_height(&fits, "gap-map", 41.25);
    tb_strip_fits_set_folded(&fits, "cone", true);
    again();
    ck_assert_uint_eq(fits.count, 2);
    ck_assert_double_eq_tol(height_of("gap-map"), 41.25, 0.5 / 3.2);
    ck_assert(tb_strip_fits_is_folded(&fits, "cone"));
    ck_assert(!tb_strip_fits_is_folded(&fits, "gap-map"));
    ck_assert(!tb_strip_fits_is_folded(&fits, "area"));
}
END_TEST

START_TEST(an_opened_chart_has_the_height_that_it_had)
{
    tb_strip_fits_set_height(&fits, "area", 33.5);
    tb_strip_fits_set_folded(&fits, "area", true);
    tb_strip_fits_set_folded(&fits, "area", false);
    ck_assert_double_eq(height_of("area"), 33.5);
    tb_strip_fits_set_height(&fits, "area", 2);
    ck_assert_double_eq(height_of("area"), TB_STRIP_LEAST);
}
END_TEST

START_TEST(nothing_set_leaves_nothing_in_the_settings)
{
    g_autoptr(GVariant) kept = NULL;

    tb_strip_fits_set_folded(&fits, "area", true);
    tb_strip_fits_set_folded(&fits, "area", false);
    tb_strip_fits_save(&fits, settings);
    kept = g_settings_get_value(settings, "strip-heights");
    ck_assert_uint_eq(g_variant_n_children(kept), 0);
}
END_TEST

START_TEST(absurd_heights_of_the_settings_are_passed_over)
{
    g_settings_set_value(settings, "strip-heights",
                         g_variant_new_parsed("{'area': 1e9, 'gap': -3.0, 'bend': 70.4}"));
    tb_strip_fits_clear(&fits);
    tb_strip_fits_load(&fits, settings);
    ck_assert_uint_eq(fits.count, 1);
    ck_assert_double_eq_tol(height_of("bend"), 22, 1e-9);
}
END_TEST

START_TEST(more_charts_than_there_can_be_are_not_kept)
{
    for (int i = 0; i < TB_STRIP_MOST + 3; i++) {
        g_autofree char *name = g_strdup_printf("chart-%d", i);

        tb_strip_fits_set_height(&fits, name, 20 + i);
    }
    ck_assert_uint_eq(fits.count, TB_STRIP_MOST);
}
END_TEST

START_TEST(without_settings_nothing_is_kept_and_nothing_fails)
{
    tb_strip_fits_clear(&fits);
    tb_strip_fits_load(&fits, NULL);
    tb_strip_fits_set_folded(&fits, "gap", true);
    tb_strip_fits_save(&fits, NULL);
    ck_assert(tb_strip_fits_is_folded(&fits, "gap"));
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("app/strip_fits");
    TCase *tests = tcase_create("strip_fits");

    tcase_add_checked_fixture(tests, set_up, tear_down);
    tcase_add_test(tests, heights_and_folds_come_back_by_their_chart);
    tcase_add_test(tests, an_opened_chart_has_the_height_that_it_had);
    tcase_add_test(tests, nothing_set_leaves_nothing_in_the_settings);
    tcase_add_test(tests, absurd_heights_of_the_settings_are_passed_over);
    tcase_add_test(tests, more_charts_than_there_can_be_are_not_kept);
    tcase_add_test(tests, without_settings_nothing_is_kept_and_nothing_fails);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
