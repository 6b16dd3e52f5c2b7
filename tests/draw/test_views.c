/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts.h"
#include "draw/cut_view.h"
#include "draw/export.h"
#include "draw/paint.h"
#include "draw/sheet.h"

#include "base/mem.h"

#include "draw/fixture.h"
#include "draw/texts.h"
#include "tap.h"

#include <cairo.h>
#include <math.h>
#include <string.h>

static Fixture fixture;
static TbPicture picture;

static void
tear_down(void)
{
    tb_picture_clear(&picture);
}

static void
assert_texts_are_apart_and_on_the_sheet(void)
{
    assert_texts_are_apart(&picture, tb_vec2(5, 5));
}

static bool
says(const char *text)
{
    return picture_says(&picture, text);
}

/* Widths are remembered, by text, size and weight; many texts do not mix them up. */
START_TEST(a_text_measures_the_same_whenever_it_is_asked)
{
    TbPaintMeasurer *painter = tb_paint_measurer_new(), *fresh = tb_paint_measurer_new();
    TbMeasurer m = tb_paint_measurer(painter), other = tb_paint_measurer(fresh);
    double plain = m.width(m.user, "keep 12 mm", 8.3, false);
    double bold = m.width(m.user, "keep 12 mm", 8.3, true);
    double large = m.width(m.user, "keep 12 mm", 16.6, false);

    ck_assert_double_gt(plain, 5);
    ck_assert_double_gt(bold, plain);
    ck_assert_double_eq_tol(large, 2 * plain, 0.1);
    for (int i = 0; i < 9000; i++) {
        char text[32];

        snprintf(text, sizeof text, "%d.%d / 8", i, i % 7);
        m.width(m.user, text, 7.1, i % 2 == 0);
        if (i % 997 == 0)
            ck_assert_double_eq(m.width(m.user, text, 7.1, i % 2 == 0),
                                other.width(other.user, text, 7.1, i % 2 == 0));
    }
    ck_assert_double_eq(m.width(m.user, "keep 12 mm", 8.3, false), plain);
    ck_assert_double_eq(m.width(m.user, "keep 12 mm", 8.3, true), bold);
    tb_paint_measurer_free(fresh);
    tb_paint_measurer_free(painter);
}
END_TEST

/* Dots of the picture that is drawn now. */
static cairo_surface_t *
dots_of(TbPaintMeasurer *fonts, double scale)
{
    cairo_surface_t *image = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 431, 317);
    cairo_t *cairo = cairo_create(image);

    cairo_scale(cairo, scale, scale);
    if (fonts != NULL)
        tb_paint_again(cairo, &picture, TB_THEME_LIGHT, fonts);
    else
        tb_paint_picture(cairo, &picture, TB_THEME_LIGHT);
    cairo_destroy(cairo);
    cairo_surface_flush(image);
    return image;
}

/* Texts that were laid out before, also at another scale, are painted to the same dots. */
START_TEST(picture_painted_again_is_the_same_to_the_dot)
{
    static const double scales[] = {3.2, 3.2, 4.7, 3.2};
    TbPaintMeasurer *fonts = tb_paint_measurer_new();
    TbTextStyle style = {.size = 8.3, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE};

    tb_picture_text(&picture, tb_vec2(41.3, 17.9), style, "keep 12 mm");
    style.bold = style.backed = true;
    tb_picture_text(&picture, tb_vec2(37.1, 51.2), style, "14.7 / 20");
    style.turn = 31;
    tb_picture_text(&picture, tb_vec2(60.4, 40.6), style, "keep 12 mm");
    for (size_t i = 0; i < sizeof scales / sizeof scales[0]; i++) {
        cairo_surface_t *first = dots_of(NULL, scales[i]), *again = dots_of(fonts, scales[i]);
        size_t bytes = (size_t)cairo_image_surface_get_stride(first) * 317;

        ck_assert_int_eq(
            memcmp(cairo_image_surface_get_data(first), cairo_image_surface_get_data(again), bytes),
            0);
        cairo_surface_destroy(first);
        cairo_surface_destroy(again);
    }
    tb_paint_measurer_free(fonts);
}
END_TEST

START_TEST(cut_names_everything_it_shows_and_no_text_lies_on_another)
{
    fixture_scene(&fixture);
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), NULL), TB_OK);
    assert_texts_are_apart_and_on_the_sheet();
    for (size_t i = 0; i < fixture.scene.shape_count; i++)
        ck_assert_msg(says(fixture.shapes[i].label), "%s is not named", fixture.shapes[i].label);
    ck_assert(says("14.9 / 12  Subframe cross rail"));
    ck_assert(says("26.0 / 30  Brake line"));
    ck_assert(says("86.2  Bulkhead scan"));
    ck_assert(says("1:4"));
    ck_assert(says("100 mm"));
    ck_assert(says("front"));
}
END_TEST

/* A runner ends on many joints: the list of what is left out is longer than the sheet is wide. */
START_TEST(note_longer_than_a_line_goes_on_below_and_stays_on_the_sheet)
{
    fixture_scene(&fixture);
    fixture.notes[1] = "Left out within 32 mm about port merge-1, 32 mm about port merge-2, 32 mm "
                       "about port merge-3, 32 mm about port merge-4, 45 mm about port head-1, 45 "
                       "mm about port head-2, 45 mm about port head-3, 45 mm about port head-4, 60 "
                       "mm about port turbine-in, 75 mm about port turbine-out.";
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), NULL), TB_OK);
    assert_texts_are_apart_and_on_the_sheet();
    ck_assert(!says(fixture.notes[1]));
    ck_assert(says(fixture.notes[0]));
}
END_TEST

/* A scan's chain closed in thought had an inside, and the leader ended in empty space there. */
START_TEST(leader_to_an_open_chain_ends_on_the_chain)
{
    TbSceneShape *rail = &fixture.shapes[1];
    double nearest = INFINITY;

    fixture_scene(&fixture);
    ck_assert_str_eq(rail->tag, "rail");
    rail->cut.loops[0].kind = TB_LOOP_OPEN;
    rail->cut.loops[0].count = 3;
    rail->cut.point_count = 3;
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0.25, tb_measurer_plain(), NULL), TB_OK);
    ck_assert(says(rail->label));
    for (size_t i = 0; i < picture.mark_count; i++) {
        const TbMark *line = &picture.marks[i];

        if (line->kind != TB_MARK_LINE ||
            strcmp(tb_picture_string(&picture, line->tag), "rail") != 0)
            continue;
        for (size_t k = 0; k < picture.loops[line->first_loop].count; k++)
            for (size_t m = 0; m < picture.mark_count; m++)
                if (picture.marks[m].kind == TB_MARK_DOT)
                    nearest = fmin(nearest,
                                   tb_vec2_length(tb_vec2_sub(
                                       picture.marks[m].at,
                                       picture.points[picture.loops[line->first_loop].first + k])));
    }
    ck_assert_double_lt(nearest, 1e-9);
}
END_TEST

/** Where an exported picture is read from. */
typedef struct Bytes {
    const unsigned char *at;
} Bytes;

static cairo_status_t
take(void *user, unsigned char *out, unsigned int size)
{
    Bytes *bytes = user;

    memcpy(out, bytes->at, size);
    bytes->at += size;
    return CAIRO_STATUS_SUCCESS;
}

/* 297 mm are 2338.58 dots: the last column is paper too, no grey line. */
START_TEST(png_is_paper_to_its_last_dot)
{
    unsigned char *bytes = NULL;
    size_t size = 0;
    cairo_surface_t *surface;
    const unsigned char *dots;
    Bytes from;
    int stride, wide, tall;

    fixture_scene(&fixture);
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), NULL), TB_OK);
    ck_assert_int_eq(tb_export_bytes(&picture, TB_EXPORT_PNG, TB_THEME_PRINT, &bytes, &size, NULL),
                     TB_OK);
    from.at = bytes;
    surface = cairo_image_surface_create_from_png_stream(take, &from);
    ck_assert_int_eq(cairo_surface_status(surface), CAIRO_STATUS_SUCCESS);
    wide = cairo_image_surface_get_width(surface);
    tall = cairo_image_surface_get_height(surface);
    stride = cairo_image_surface_get_stride(surface);
    dots = cairo_image_surface_get_data(surface);
    ck_assert_int_eq(wide, 2339);
    ck_assert_int_eq(dots[4 * (wide - 1)], dots[0]);
    ck_assert_int_eq(dots[(tall - 1) * stride], dots[0]);
    cairo_surface_destroy(surface);
    tb_free(bytes);
}
END_TEST

START_TEST(cut_is_drawn_at_the_ratio_it_states)
{
    double wide = 0;

    fixture_scene(&fixture);
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0.2, tb_measurer_plain(), NULL), TB_OK);
    ck_assert(says("1:5"));
    /* the rail is 60 mm wide */
    for (size_t i = 0; i < picture.mark_count; i++)
        if (picture.marks[i].kind == TB_MARK_AREA &&
            strcmp(tb_picture_string(&picture, picture.marks[i].tag), "rail") == 0) {
            const TbVec2 *p = picture.points + picture.loops[picture.marks[i].first_loop].first;

            wide = p[1].x - p[0].x;
        }
    ck_assert_double_eq_tol(wide, 12, 1e-9);
}
END_TEST

START_TEST(gas_side_of_a_duct_stays_open_to_a_hit)
{
    TbVec2 bore = fixture_path(0.5);
    TbVec2 paper, middle;

    fixture_scene(&fixture);
    fixture.scene.line_count = 0;
    fixture.scene.gap_count = 0;
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0.25, tb_measurer_plain(), NULL), TB_OK);
    /* the window's middle stands in the middle of the last rectangle drawn, the frame */
    {
        const TbMark *frame = &picture.marks[picture.mark_count - 1];
        const TbVec2 *p = picture.points + picture.loops[frame->first_loop].first;

        middle = tb_vec2((p[0].x + p[2].x) / 2, (p[0].y + p[2].y) / 2);
    }
    paper = tb_vec2(middle.x + 0.25 * (bore.x - 1225), middle.y - 0.25 * (bore.y - 545));
    ck_assert_ptr_null(tb_picture_hit(&picture, paper, 0.1));
    /* 31.7 mm from the centre line lies the wall */
    {
        TbVec2 n = fixture_normal(0.5);

        paper = tb_vec2(paper.x + 0.25 * 31.7 * n.x, paper.y - 0.25 * 31.7 * n.y);
    }
    ck_assert_str_eq(tb_picture_hit(&picture, paper, 0.05), "outlet");
}
END_TEST

START_TEST(charts_share_one_axis_and_no_text_lies_on_another)
{
    fixture_strip(&fixture);
    ck_assert_int_eq(tb_charts_view(&picture, &fixture.strip, tb_measurer_plain(), NULL), TB_OK);
    assert_texts_are_apart_and_on_the_sheet();
    ck_assert(says("Area"));
    ck_assert(says("shrinks 2.3 %"));
    ck_assert(says("keep 30, brake"));
    ck_assert(says("Subframe cross rail"));
    ck_assert(says("lambda sensor"));
    ck_assert(says("500"));
}
END_TEST

static size_t
texts_that_end(const char *end)
{
    size_t count = 0;

    for (size_t i = 0; i < picture.mark_count; i++)
        if (picture.marks[i].kind == TB_MARK_TEXT) {
            const char *text = tb_picture_string(&picture, picture.marks[i].text);

            count +=
                strlen(text) >= strlen(end) && strcmp(text + strlen(text) - strlen(end), end) == 0;
        }
    return count;
}

START_TEST(a_name_too_long_is_cut_and_its_numbers_stay)
{
    TbMeasurer m = tb_measurer_plain();
    char out[TB_TEXT_SHORT];
    double room = m.width(m.user, "Front left bra…: 26.1 of 30 mm", 8, false) + 0.01;

    tb_text_shorten_name(m, "Front left brake line: 26.1 of 30 mm", "Front left brake line", 8,
                         room, out);
    ck_assert_str_eq(out, "Front left bra…: 26.1 of 30 mm");
    tb_text_shorten_name(m, "Brake line, keep 30", "Brake line", 8, room, out);
    ck_assert_str_eq(out, "Brake line, keep 30");
    tb_text_shorten_name(m, "at Brake line, keep 30", "Brake line", 8,
                         m.width(m.user, "at …, keep 30", 8, false) + 0.01, out);
    ck_assert_str_eq(out, "at …, keep 30");
}
END_TEST

/* 150 letters with a space after every 30, and without any. */
START_TEST(long_titles_go_on_below_and_labels_keep_their_numbers)
{
    for (int spaced = 0; spaced <= 1; spaced++) {
        char name[151], title[400], band[200], label[200];

        for (int i = 0; i < 150; i++)
            name[i] = spaced && i % 30 == 29 ? ' ' : (char)('a' + i % 26);
        name[150] = '\0';
        fixture_strip(&fixture);
        snprintf(title, sizeof title, "Tolerances: %s to %s", name, name);
        snprintf(band, sizeof band, "%s: 26.0 of 30 mm", name);
        snprintf(label, sizeof label, "%s, keep 12", name);
        fixture.strip.title = title;
        fixture.strip.subtitle = title;
        fixture.bands[2].text = band;
        fixture.bands[2].name = name;
        fixture.curves[2].label = label;
        fixture.curves[2].name = name;
        ck_assert_int_eq(tb_charts_view(&picture, &fixture.strip, tb_measurer_plain(), NULL),
                         TB_OK);
        assert_texts_are_apart_and_on_the_sheet();
        ck_assert_uint_eq(texts_that_end(": 26.0 of 30 mm"), 1);
        ck_assert_uint_eq(texts_that_end("…, keep 12"), 1);
        tb_picture_clear(&picture);
    }
}
END_TEST

START_TEST(curve_breaks_where_it_has_no_number)
{
    size_t runs = 0;

    fixture_strip(&fixture);
    for (int i = 50; i < 60; i++)
        fixture.values[0][i] = NAN;
    fixture.curves[0].tag = "broken";
    ck_assert_int_eq(tb_charts_view(&picture, &fixture.strip, tb_measurer_plain(), NULL), TB_OK);
    for (size_t i = 0; i < picture.mark_count; i++)
        if (picture.marks[i].kind == TB_MARK_LINE &&
            strcmp(tb_picture_string(&picture, picture.marks[i].tag), "broken") == 0)
            runs++;
    /* two runs and the sample beside its label */
    ck_assert_uint_eq(runs, 3);
}
END_TEST

START_TEST(axis_holds_its_range_in_steps_of_1_2_5)
{
    static const double range[][2] = {{0, 536.3}, {-7.2, 4.9}, {2642, 5795}, {0.0012, 0.0019},
                                      {3.3, 3.3}, {0, 0},      {-1e6, 1e6}};

    for (size_t i = 0; i < sizeof range / sizeof range[0]; i++) {
        TbAxis a = tb_axis_for(range[i][0], range[i][1], 7, TB_QUANTITY_NUMBER, TB_UNIT_MM);
        double mantissa = a.step / pow(10, floor(log10(a.step) + 1e-9));

        ck_assert_double_le(a.low, range[i][0] + 1e-9 * a.step);
        ck_assert_double_ge(a.high, range[i][1] - 1e-9 * a.step);
        ck_assert_double_le((a.high - a.low) / a.step, 9.01);
        ck_assert(fabs(mantissa - 1) < 1e-6 || fabs(mantissa - 2) < 1e-6 ||
                  fabs(mantissa - 5) < 1e-6);
    }
}
END_TEST

START_TEST(ratio_is_the_largest_that_fits)
{
    TbRectangle room = {{0, 0}, {267, 160}};
    char text[24];

    ck_assert_double_eq(tb_sheet_ratio(390, 510, room), 1.0 / 4);
    ck_assert_double_eq(tb_sheet_ratio(267, 160, room), 1);
    ck_assert_double_eq(tb_sheet_ratio(268, 160, room), 1.0 / 2);
    ck_assert_double_eq(tb_sheet_ratio(50, 20, room), 5);
    tb_sheet_ratio_text(0.4, text);
    ck_assert_str_eq(text, "1:2.5");
    tb_sheet_ratio_text(5, text);
    ck_assert_str_eq(text, "5:1");
}
END_TEST

START_TEST(exports_begin_as_their_format_wants_and_are_not_blank)
{
    static const struct {
        TbExportFormat format;
        const char *begins;
    } cases[] = {{TB_EXPORT_SVG, "<?xml"}, {TB_EXPORT_PDF, "%PDF"}, {TB_EXPORT_PNG, "\x89PNG"}};

    fixture_scene(&fixture);
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), NULL), TB_OK);
    for (size_t i = 0; i < 3; i++) {
        unsigned char *bytes = NULL;
        size_t size = 0;

        ck_assert_int_eq(
            tb_export_bytes(&picture, cases[i].format, TB_THEME_PRINT, &bytes, &size, NULL), TB_OK);
        ck_assert_uint_gt(size, 10000);
        ck_assert_int_eq(memcmp(bytes, cases[i].begins, 4), 0);
        tb_free(bytes);
    }
    ck_assert_int_eq(tb_export_format_of("a/B.PdF"), TB_EXPORT_PDF);
    ck_assert_int_eq(tb_export_format_of("svg"), TB_EXPORT_UNKNOWN);
}
END_TEST

START_TEST(picture_of_absurd_size_is_refused_with_the_number)
{
    unsigned char *bytes = NULL;
    size_t size = 0;
    TbFault fault = {0};

    tb_picture_init(&picture, 1e6, 210);
    ck_assert_int_eq(
        tb_export_bytes(&picture, TB_EXPORT_PNG, TB_THEME_PRINT, &bytes, &size, &fault),
        TB_E_LIMIT);
    ck_assert_ptr_nonnull(strstr(fault.text, "1000000"));
}
END_TEST

START_TEST(drawing_without_room_fails_clean_at_every_request)
{
    long most;

    fixture_scene(&fixture);
    tb_mem_fail_at(1000000);
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), NULL), TB_OK);
    most = tb_mem_requests();
    tb_mem_fail_at(0);
    for (long n = 1; n <= most; n++) {
        TbFault fault = {0};

        tb_picture_clear(&picture);
        tb_mem_fail_at(n);
        /* a placer without room still draws; a picture without room does not */
        if (tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), &fault) != TB_OK)
            ck_assert_int_eq(fault.status, TB_E_MEMORY);
        tb_mem_fail_at(0);
    }
}
END_TEST

static Suite *
views_suite(void)
{
    Suite *suite = suite_create("draw/views");
    TCase *c = tcase_create("views");

    tcase_add_checked_fixture(c, NULL, tear_down);
    tcase_add_test(c, a_text_measures_the_same_whenever_it_is_asked);
    tcase_add_test(c, picture_painted_again_is_the_same_to_the_dot);
    tcase_add_test(c, cut_names_everything_it_shows_and_no_text_lies_on_another);
    tcase_add_test(c, note_longer_than_a_line_goes_on_below_and_stays_on_the_sheet);
    tcase_add_test(c, leader_to_an_open_chain_ends_on_the_chain);
    tcase_add_test(c, png_is_paper_to_its_last_dot);
    tcase_add_test(c, cut_is_drawn_at_the_ratio_it_states);
    tcase_add_test(c, gas_side_of_a_duct_stays_open_to_a_hit);
    tcase_add_test(c, charts_share_one_axis_and_no_text_lies_on_another);
    tcase_add_test(c, a_name_too_long_is_cut_and_its_numbers_stay);
    tcase_add_test(c, long_titles_go_on_below_and_labels_keep_their_numbers);
    tcase_add_test(c, curve_breaks_where_it_has_no_number);
    tcase_add_test(c, axis_holds_its_range_in_steps_of_1_2_5);
    tcase_add_test(c, ratio_is_the_largest_that_fits);
    tcase_add_test(c, exports_begin_as_their_format_wants_and_are_not_blank);
    tcase_add_test(c, picture_of_absurd_size_is_refused_with_the_number);
    tcase_add_test(c, drawing_without_room_fails_clean_at_every_request);
    suite_add_tcase(suite, c);
    return suite;
}

int
main(void)
{
    return tb_test_main(views_suite());
}
