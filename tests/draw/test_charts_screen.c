/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts_screen.h"
#include "draw/lab.h"

#include "base/mem.h"

#include "draw/fixture.h"
#include "draw/golden.h"
#include "draw/texts.h"
#include "tap.h"

static Fixture fixture;
static TbPicture picture;
static TbStripPlaces places;

static void
set_up(void)
{
    fixture_strip(&fixture);
    fixture_map(&fixture);
}

static void
tear_down(void)
{
    tb_picture_clear(&picture);
}

static void
draw(TbStripView view)
{
    tb_picture_clear(&picture);
    ck_assert_int_eq(
        tb_strip_screen(&picture, &fixture.strip, &view, tb_measurer_plain(), &places, NULL),
        TB_OK);
}

/** 284 x 156 mm: 910 x 500 px. */
static TbStripView
usual(void)
{
    return (TbStripView){.width = 284, .height = 156};
}

static void
assert_texts_are_apart_and_in_the_pane(void)
{
    assert_texts_are_apart(&picture, tb_vec2(0.5, 0));
}

static bool
says(const char *text)
{
    return picture_says(&picture, text);
}

START_TEST(charts_fill_the_pane_and_no_text_lies_on_another)
{
    static const double sizes[][2] = {{284, 156}, {236, 94}, {500, 240}, {200, 120}};

    for (int i = 0; i < 4; i++) {
        TbStripView view = {.width = sizes[i][0], .height = sizes[i][1]};

        draw(view);
        assert_texts_are_apart_and_in_the_pane();
        ck_assert_uint_eq(places.count, 4);
        if (i != 1)
            ck_assert_double_eq_tol(places.tall, places.axis, 1e-9);
        ck_assert(says("Gap map") && says("station mm"));
    }
}
END_TEST

/* Some text does. */
static bool
begins(const char *with)
{
    for (size_t i = 0; i < picture.mark_count; i++)
        if (picture.marks[i].kind == TB_MARK_TEXT &&
            strncmp(tb_picture_string(&picture, picture.marks[i].text), with, strlen(with)) == 0)
            return true;
    return false;
}

/* In German the words took six lines beside charts of 13 mm, over the next chart's. */
START_TEST(what_is_shown_of_a_chart_stands_beside_it_however_low_and_whatever_it_is_called)
{
    static const char *const heads[] = {"Gap map", "Abstand rundum"};
    static const double heights[] = {94, 120, 156, 300};
    TbSceneChart *map = &fixture.charts[3], *gaps = &fixture.charts[2];

    for (int i = 0; i < 8; i++) {
        TbStripFit fits[] = {{"gap", 0, true}};
        TbStripView view = {.width = 236, .height = heights[i / 2]};

        gaps->head = "Gap";
        map->head = (char *)(uintptr_t)heads[i % 2];
        gaps->of = map->of = "kleinster mit Bewegung und Toleranz";
        view.fits = fits;
        view.fit_count = i % 2; /* of the second folded */
        draw(view);
        assert_texts_are_apart_and_in_the_pane();
        ck_assert(begins("kleinster") && begins(i % 2 == 0 ? "Gap map" : "Abstand"));
    }
}
END_TEST

START_TEST(picture_is_the_one_that_was_looked_at)
{
    draw(usual());
    assert_golden(&picture, "strip-screen");
}
END_TEST

START_TEST(zoomed_folded_and_selected_picture_is_the_one_that_was_looked_at)
{
    TbStripFit fits[2] = {{"cone", 0, true}, {"gap", 52.5, false}};
    TbStripView view = usual();

    view.from = 180;
    view.to = 300;
    view.fits = fits;
    view.fit_count = 2;
    view.selected = "area-shrinks/x//";
    draw(view);
    ck_assert(places.place[1].folded);
    ck_assert_double_eq_tol(places.place[2].box.high.y - places.place[2].box.low.y, 52.5, 1e-9);
    ck_assert(says("220") && says("300") && !says("lambda sensor"));
    assert_texts_are_apart_and_in_the_pane();
    assert_golden(&picture, "strip-zoomed");
}
END_TEST

START_TEST(cursor_tells_value_and_keep_beside_each_name)
{
    TbMeasurer measurer = tb_measurer_plain();
    char wanted[64];

    draw(usual());
    tb_picture_clear(&picture);
    ck_assert_int_eq(tb_strip_cursor(&picture, &fixture.strip, &places, 214.7, measurer, NULL),
                     TB_OK);
    ck_assert(says("214.7 mm"));
    snprintf(wanted, sizeof wanted, "%.0f", tb_scene_curve_at(&fixture.curves[0], 214.7));
    ck_assert(says(wanted));
    snprintf(wanted, sizeof wanted, "%.1f / 37.5",
             floor(10 * tb_scene_curve_told(&fixture.curves[3], 214.7)) / 10);
    ck_assert(says(wanted));
    ck_assert(says("Brake line") && says("52°"));
    assert_texts_are_apart_and_in_the_pane();
    assert_golden(&picture, "strip-cursor");
}
END_TEST

/* Of the plain measurer's letters as many as German has of the real ones: a name on two lines and
 * three more below it, in charts as low as they get. */
START_TEST(a_long_head_stands_whole_beside_a_low_chart)
{
    TbStripFit fits[] = {{.chart = "gap", .height = 17}, {.chart = "gap-map", .height = 17}};
    TbStripView view = usual();
    size_t whole = 0;

    fixture.charts[2].head = "Abstand";
    fixture.charts[3].head = "Abstand rundum";
    fixture.charts[2].of = fixture.charts[3].of = "mit Toleranz, schlimmster Fall";
    view.fits = fits;
    view.fit_count = 2;
    draw(view);
    assert_texts_are_apart(&picture, tb_vec2(0, 0));
    for (size_t i = 0; i < picture.mark_count; i++)
        whole += picture.marks[i].kind == TB_MARK_TEXT &&
                 strcmp(tb_picture_string(&picture, picture.marks[i].text), "Fall") == 0;
    ck_assert_uint_eq(whole, 2);
}
END_TEST

/* The names end before the values' column begins. */
START_TEST(a_name_in_inches_does_not_touch_its_gap_and_keep)
{
    TbMeasurer m = tb_measurer_plain();
    double value = m.width(m.user, "0.432 / 0.315", TB_PT_SMALL, true), widest = 0;

    fixture_inches(&fixture);
    fixture.curves[2].name = "Subframe cross rail with all its brackets and bolts";
    draw(usual());
    for (size_t i = 0; i < picture.mark_count; i++)
        if (picture.marks[i].kind == TB_MARK_TEXT &&
            strncmp(tb_picture_string(&picture, picture.marks[i].text), "Subframe", 8) == 0)
            widest = fmax(widest, text_box(&picture, &picture.marks[i]).high.x);
    ck_assert_double_gt(widest, 0);
    ck_assert_double_lt(widest + 1.9, picture.width - 2 - value);
}
END_TEST

/* 536.3 mm are 21.11 in: ticks stand at whole inches, and the area's at whole square inches. */
START_TEST(a_strip_in_inches_has_ticks_at_round_inches)
{
    fixture_inches(&fixture);
    draw(usual());
    ck_assert(says("station in") && says("in²") && says("20") && says("2") && !says("100"));
    assert_texts_are_apart_and_in_the_pane();
    assert_golden(&picture, "strip-inch");
    tb_picture_clear(&picture);
    ck_assert_int_eq(
        tb_strip_cursor(&picture, &fixture.strip, &places, 214.7, tb_measurer_plain(), NULL),
        TB_OK);
    /* 214.7 / 25.4 = 8.45276 */
    ck_assert(says("8.453 in"));
}
END_TEST

START_TEST(cursor_out_of_view_shows_nothing)
{
    TbStripView view = usual();

    view.from = 300;
    view.to = 420;
    draw(view);
    tb_picture_clear(&picture);
    ck_assert_int_eq(
        tb_strip_cursor(&picture, &fixture.strip, &places, 214.7, tb_measurer_plain(), NULL),
        TB_OK);
    ck_assert_uint_eq(picture.mark_count, 0);
}
END_TEST

START_TEST(names_that_do_not_fit_beside_a_low_chart_are_those_that_hold_best)
{
    TbStripFit fit = {"gap", 12.5, false};
    TbStripView view = usual();

    view.fits = &fit;
    view.fit_count = 1;
    draw(view);
    /* one at the top, and one every 4 mm: four of seven */
    ck_assert(says("Subframe cross rail") && says("Brake line") && says("Steering joint") &&
              says("Bulkhead"));
    ck_assert(!says("Harness") && !says("Floor beam") && !says("Collector"));
}
END_TEST

START_TEST(charts_that_do_not_fit_are_scrolled_to_under_the_axis)
{
    TbStripFit fits[2] = {{"gap", 90, false}, {"area", 60, false}};
    TbStripView view = usual();
    double before;

    view.fits = fits;
    view.fit_count = 2;
    draw(view);
    ck_assert_double_gt(places.tall, places.axis);
    before = places.place[3].box.low.y;
    view.scroll = places.tall - places.axis;
    draw(view);
    ck_assert_double_eq_tol(places.place[3].box.low.y, before - view.scroll, 1e-9);
    ck_assert_double_le(places.place[3].box.high.y, places.axis);
    ck_assert(says("Gap map"));
}
END_TEST

static TbStripHit
hit(double x, double y)
{
    return tb_strip_hit(&fixture.strip, &places, tb_vec2(x, y), 1.5);
}

START_TEST(pointer_finds_heads_edges_ranges_basins_and_the_axis)
{
    TbRectangle area, map;
    TbStripHit found;

    draw(usual());
    area = places.place[0].box;
    map = places.place[3].box;
    found = hit(8, area.low.y + 3);
    ck_assert_int_eq(found.part, TB_STRIP_HEAD);
    ck_assert_uint_eq(found.chart, 0);
    found = hit(100, area.high.y + 1);
    ck_assert_int_eq(found.part, TB_STRIP_EDGE);
    found = hit(tb_strip_x(&places, 231.7), (area.low.y + area.high.y) / 2);
    ck_assert_int_eq(found.part, TB_STRIP_CHART);
    ck_assert_str_eq(found.finding, "area-shrinks/x//");
    ck_assert_double_eq_tol(found.station, 231.7, 1e-9);
    ck_assert_ptr_null(hit(tb_strip_x(&places, 270), area.low.y + 4).finding);
    found = hit(tb_strip_x(&places, 400) + 2, map.high.y - (map.high.y - map.low.y) * 80 / 360);
    ck_assert_str_eq(found.finding, "gap/rail|x/cold/");
    ck_assert_double_eq_tol(found.angle, -100, 1e-9);
    found = hit(places.right, places.axis + 4);
    ck_assert_int_eq(found.part, TB_STRIP_AXIS);
    ck_assert_double_eq_tol(found.station, 536.3, 1e-9);
    ck_assert_int_eq(hit(places.right + 9, area.low.y + 4).part, TB_STRIP_NOTHING);
    ck_assert_int_eq(hit(100, (area.high.y + places.place[1].box.low.y) / 2 + 0.1).part,
                     TB_STRIP_NOTHING);
}
END_TEST

START_TEST(of_ranges_over_each_other_the_narrowest_is_hit)
{
    fixture.bands[1].from = 200;
    fixture.bands[1].to = 400;
    fixture.charts[0].band_count = 2;
    draw(usual());
    ck_assert_str_eq(hit(tb_strip_x(&places, 231.7), places.place[0].box.low.y + 4).finding,
                     "area-shrinks/x//");
    ck_assert_str_eq(hit(tb_strip_x(&places, 331.7), places.place[0].box.low.y + 4).finding,
                     "growth/x//");
}
END_TEST

START_TEST(zoom_keeps_the_station_under_the_pointer)
{
    TbStripRange all = {0, 536.3};
    TbStripRange near = tb_strip_zoom(all, 536.3, 321.7, 2.3);

    ck_assert_double_eq_tol(near.to - near.from, 536.3 / 2.3, 1e-9);
    ck_assert_double_eq_tol((321.7 - near.from) / (near.to - near.from), 321.7 / 536.3, 1e-12);
    /* back again, and no further than all */
    near = tb_strip_zoom(near, 536.3, 321.7, 1 / 2.3);
    ck_assert_double_eq_tol(near.from, 0, 1e-9);
    ck_assert_double_eq_tol(near.to, 536.3, 1e-9);
    near = tb_strip_zoom(near, 536.3, 11, 0.3);
    ck_assert_double_eq(near.to - near.from, 536.3);
    near = tb_strip_zoom(near, 536.3, 536.3, 1e6);
    ck_assert_double_eq_tol(near.from, 526.3, 1e-9);
    near = tb_strip_pan(near, 536.3, -17.7);
    ck_assert_double_eq_tol(near.from, 508.6, 1e-9);
    ck_assert_double_eq_tol(near.to, 518.6, 1e-9);
    near = tb_strip_pan(near, 536.3, -1e4);
    ck_assert_double_eq(near.from, 0);
    near = tb_strip_pan(near, 536.3, 1e4);
    ck_assert_double_eq_tol(near.to, 536.3, 1e-9);
}
END_TEST

START_TEST(keys_step_over_the_named_stations)
{
    ck_assert_double_eq(tb_strip_next_named(&fixture.strip, 11, false), 452);
    ck_assert_double_eq(tb_strip_next_named(&fixture.strip, 452, false), 536.3);
    ck_assert_double_eq(tb_strip_next_named(&fixture.strip, 536.3, false), 536.3);
    ck_assert_double_eq(tb_strip_next_named(&fixture.strip, 536.3, true), 452);
    ck_assert_double_eq(tb_strip_next_named(&fixture.strip, 300, true), 0);
}
END_TEST

/* Published: sRGB red is L* 53.24, a* 80.09, b* 67.20; middle grey 119 is L* 50.03. */
START_TEST(lab_agrees_with_published_colours_and_comes_back)
{
    TbLab red = tb_lab_of((TbColour){1, 0, 0, 1});
    TbLab grey = tb_lab_of((TbColour){119 / 255.0, 119 / 255.0, 119 / 255.0, 1});

    ck_assert_double_eq_tol(red.lightness, 53.24, 0.01);
    ck_assert_double_eq_tol(red.a, 80.09, 0.02);
    ck_assert_double_eq_tol(red.b, 67.20, 0.02);
    ck_assert_double_eq_tol(grey.lightness, 50.03, 0.02);
    ck_assert_double_eq_tol(tb_lab_of((TbColour){1, 1, 1, 1}).lightness, 100, 1e-4);
    for (int i = 0; i < 27; i++) {
        TbColour c = {0.07 + 0.42 * (i % 3), 0.09 + 0.4 * (i / 3 % 3), 0.03 + 0.45 * (i / 9), 1};
        TbColour back = tb_lab_colour(tb_lab_of(c));

        ck_assert_double_eq_tol(back.red, c.red, 1e-5);
        ck_assert_double_eq_tol(back.green, c.green, 1e-5);
        ck_assert_double_eq_tol(back.blue, c.blue, 1e-5);
    }
}
END_TEST

START_TEST(scale_of_a_map_falls_evenly_in_lightness_in_every_theme)
{
    for (int theme = 0; theme < TB_THEME_COUNT; theme++) {
        double near = tb_lab_of(tb_style_scale((TbTheme)theme, 0)).lightness;
        double far = tb_lab_of(tb_style_scale((TbTheme)theme, 1)).lightness;

        ck_assert_double_gt(far - near, 35);
        for (int i = 0; i <= 16; i++)
            ck_assert_double_eq_tol(tb_lab_of(tb_style_scale((TbTheme)theme, i / 16.0)).lightness,
                                    near + (far - near) * i / 16, 0.05);
    }
}
END_TEST

START_TEST(text_is_shortened_between_letters)
{
    TbMeasurer m = tb_measurer_plain();
    char text[TB_TEXT_SHORT];

    tb_text_shorten(m, "Brücke über Träger", 9, false, 200, text);
    ck_assert_str_eq(text, "Brücke über Träger");
    tb_text_shorten(m, "Brücke über Träger", 9, false, 9 * TB_MM_PER_PT * 0.55 * 9.01, text);
    ck_assert_str_eq(text, "Brücke ü…");
    tb_text_shorten(m, "Brücke über Träger", 9, false, 9 * TB_MM_PER_PT * 0.55 * 8.01, text);
    ck_assert_str_eq(text, "Brücke…");
    tb_text_shorten(m, "Brücke", 9, false, 0.5, text);
    ck_assert_str_eq(text, "");
}
END_TEST

START_TEST(drawing_without_room_fails_clean_at_every_request)
{
    TbStripView view = usual();
    long most;

    tb_mem_fail_at(1000000);
    draw(view);
    most = tb_mem_requests();
    tb_mem_fail_at(0);
    for (long n = 1; n <= most; n++) {
        TbFault fault = {0};

        tb_picture_clear(&picture);
        tb_mem_fail_at(n);
        if (tb_strip_screen(&picture, &fixture.strip, &view, tb_measurer_plain(), &places,
                            &fault) != TB_OK)
            ck_assert_int_eq(fault.status, TB_E_MEMORY);
        tb_mem_fail_at(0);
    }
}
END_TEST

static Suite *
charts_suite(void)
{
    Suite *suite = suite_create("draw/charts_screen");
    TCase *c = tcase_create("charts_screen");

    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_test(c, charts_fill_the_pane_and_no_text_lies_on_another);
    tcase_add_test(c,
                   what_is_shown_of_a_chart_stands_beside_it_however_low_and_whatever_it_is_called);
    tcase_add_test(c, picture_is_the_one_that_was_looked_at);
    tcase_add_test(c, zoomed_folded_and_selected_picture_is_the_one_that_was_looked_at);
    tcase_add_test(c, cursor_tells_value_and_keep_beside_each_name);
    tcase_add_test(c, a_long_head_stands_whole_beside_a_low_chart);
    tcase_add_test(c, a_name_in_inches_does_not_touch_its_gap_and_keep);
    tcase_add_test(c, a_strip_in_inches_has_ticks_at_round_inches);
    tcase_add_test(c, cursor_out_of_view_shows_nothing);
    tcase_add_test(c, names_that_do_not_fit_beside_a_low_chart_are_those_that_hold_best);
    tcase_add_test(c, charts_that_do_not_fit_are_scrolled_to_under_the_axis);
    tcase_add_test(c, pointer_finds_heads_edges_ranges_basins_and_the_axis);
    tcase_add_test(c, of_ranges_over_each_other_the_narrowest_is_hit);
    tcase_add_test(c, zoom_keeps_the_station_under_the_pointer);
    tcase_add_test(c, keys_step_over_the_named_stations);
    tcase_add_test(c, lab_agrees_with_published_colours_and_comes_back);
    tcase_add_test(c, scale_of_a_map_falls_evenly_in_lightness_in_every_theme);
    tcase_add_test(c, text_is_shortened_between_letters);
    tcase_add_test(c, drawing_without_room_fails_clean_at_every_request);
    suite_add_tcase(suite, c);
    return suite;
}

int
main(void)
{
    return tb_test_main(charts_suite());
}
