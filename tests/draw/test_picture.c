/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/picture.h"

#include "base/mem.h"

#include "tap.h"

#include <string.h>

static TbPicture picture;

static void
set_up(void)
{
    tb_picture_init(&picture, 100, 70);
}

static void
tear_down(void)
{
    tb_picture_clear(&picture);
}

START_TEST(dump_tells_every_mark_in_order)
{
    TbVec2 corner[4] = {{10.004, 20}, {30.5, 20}, {30.5, 41.25}, {10.004, 41.25}};
    TbLoopSpan loop = {0, 4};
    char *dump;

    tb_picture_area(&picture, corner, &loop, 1,
                    (TbAreaStyle){.fill = TB_INK_HOT,
                                  .edge = TB_INK_INK,
                                  .pen = TB_PEN_CUT,
                                  .hatch_angle = 45,
                                  .hatch_step = 2.5},
                    "outlet");
    tb_picture_segment(&picture, tb_vec2(-0.001, 1.5), tb_vec2(2, 3), TB_PEN_GAP, TB_INK_SHORT);
    tb_picture_dot(&picture, tb_vec2(7.125, 8), 0.7, TB_INK_WATCH);
    tb_picture_text(&picture, tb_vec2(5, 6),
                    (TbTextStyle){.size = 9, .ink = TB_INK_QUIET, .anchor = TB_ANCHOR_RIGHT},
                    "12 / 9");
    dump = tb_picture_dump(&picture);
    ck_assert_str_eq(dump,
                     "picture 100.00 70.00\n"
                     "area fill=hot edge=ink pen=cut hatch 45.00 2.50 [ 10.00 20.00 30.50 20.00 "
                     "30.50 41.25 10.00 41.25 ] tag=outlet\n"
                     "line ink=short pen=gap [ 0.00 1.50 2.00 3.00 ]\n"
                     "dot fill=watch 0.70 7.12 8.00\n"
                     "text ink=quiet right 9.00 5.00 6.00 \"12 / 9\"\n");
    tb_free(dump);
}
END_TEST

START_TEST(hit_gives_the_topmost_tag_and_sees_holes)
{
    TbVec2 p[12] = {{10, 10}, {60, 10}, {60, 50}, {10, 50}, {20, 20}, {50, 20},
                    {50, 40}, {20, 40}, {0, 0},   {70, 0},  {70, 60}, {0, 60}};
    TbLoopSpan below = {8, 4};
    TbLoopSpan ring[2] = {{0, 4}, {4, 4}};
    TbAreaStyle style = {.fill = TB_INK_HOT, .pen = TB_PEN_CUT, .edge = TB_INK_INK};

    tb_picture_area(&picture, p, &below, 1, style, "rail");
    tb_picture_area(&picture, p, ring, 2, style, "duct");
    ck_assert_str_eq(tb_picture_hit(&picture, tb_vec2(13.7, 30), 0.1), "duct");
    ck_assert_str_eq(tb_picture_hit(&picture, tb_vec2(35.3, 30), 0.1), "rail");
    /* near the hole's edge the duct's outline is meant */
    ck_assert_str_eq(tb_picture_hit(&picture, tb_vec2(20.4, 30), 0.5), "duct");
    ck_assert_ptr_null(tb_picture_hit(&picture, tb_vec2(80, 30), 1));
}
END_TEST

START_TEST(every_level_has_a_shape_of_its_own)
{
    char *dump;

    for (int level = TB_LEVEL_HOLDS; level <= TB_LEVEL_OPEN; level++)
        tb_picture_level(&picture, tb_vec2(10 + 10 * level, 10), 3, (TbLevel)level);
    dump = tb_picture_dump(&picture);
    ck_assert_ptr_nonnull(strstr(dump, "dot fill=holds 1.35 10.00 10.00\n"));
    /* a square has four corners, a triangle three */
    ck_assert_ptr_nonnull(strstr(
        dump,
        "area fill=watch edge=watch pen=none [ 18.80 8.80 21.20 8.80 21.20 11.20 18.80 11.20 ]\n"));
    ck_assert_ptr_nonnull(strstr(
        dump, "area fill=short edge=short pen=none [ 30.00 8.50 31.50 11.20 28.50 11.20 ]\n"));
    ck_assert_ptr_nonnull(strstr(dump, "area fill=paper edge=open pen=gap ["));
    tb_free(dump);
}
END_TEST

/** A few marks of each sort, for the failing allocations. */
static void
draw_some(TbPicture *p)
{
    TbVec2 points[40];

    for (int i = 0; i < 40; i++)
        points[i] = tb_vec2(i, i * i % 7);
    for (int k = 0; k < 30; k++) {
        tb_picture_line(p, points, 40, TB_PEN_CURVE, TB_INK_CURVE_1, "a long enough tag");
        tb_picture_text(p, points[k], (TbTextStyle){.size = 9, .ink = TB_INK_INK}, "text");
        tb_picture_rectangle(p, points[0], points[k], (TbAreaStyle){.fill = TB_INK_HOT}, "t");
    }
}

START_TEST(picture_without_room_keeps_its_status_and_stays_whole)
{
    long most;

    tb_mem_fail_at(1000000);
    draw_some(&picture);
    most = tb_mem_requests();
    tb_mem_fail_at(0);
    ck_assert_int_eq(picture.status, TB_OK);
    ck_assert_int_gt(most, 8);
    for (long n = 1; n <= most; n++) {
        TbPicture p;
        char *dump;

        tb_picture_init(&p, 10, 10);
        tb_mem_fail_at(n);
        draw_some(&p);
        tb_mem_fail_at(0);
        ck_assert_int_eq(p.status, TB_E_MEMORY);
        dump = tb_picture_dump(&p);
        ck_assert_ptr_nonnull(dump);
        tb_free(dump);
        tb_picture_clear(&p);
    }
}
END_TEST

/** Contrast of two colours by WCAG 2.1, "contrast ratio" (relative luminance of sRGB). */
static double
luminance(TbColour c)
{
    double v[3] = {c.red, c.green, c.blue};

    for (int i = 0; i < 3; i++)
        v[i] = v[i] <= 0.03928 ? v[i] / 12.92 : pow((v[i] + 0.055) / 1.055, 2.4);
    return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2];
}

static double
contrast(TbTheme theme, TbInk a, TbInk b)
{
    double x = luminance(tb_style_colour(theme, a));
    double y = luminance(tb_style_colour(theme, b));

    return (fmax(x, y) + 0.05) / (fmin(x, y) + 0.05);
}

START_TEST(text_inks_stand_out_from_paper_in_every_theme)
{
    static const TbInk text[] = {TB_INK_INK,   TB_INK_QUIET, TB_INK_HOLDS, TB_INK_WATCH,
                                 TB_INK_SHORT, TB_INK_OPEN,  TB_INK_SELECT};

    for (int theme = TB_THEME_LIGHT; theme <= TB_THEME_PRINT; theme++) {
        for (size_t i = 0; i < sizeof text / sizeof text[0]; i++)
            ck_assert_double_ge(contrast((TbTheme)theme, text[i], TB_INK_PAPER), 4.5);
        for (size_t k = 0; k < 6; k++)
            ck_assert_double_ge(contrast((TbTheme)theme, tb_style_curve_ink(k), TB_INK_PAPER), 3);
    }
}
END_TEST

START_TEST(neighbouring_classes_differ_in_hatch_not_only_in_colour)
{
    for (int a = TB_LOOK_HOT; a <= TB_LOOK_SCAN; a++)
        for (int b = a + 1; b <= TB_LOOK_SCAN; b++) {
            TbLookStyle p = tb_style_look((TbLook)a);
            TbLookStyle q = tb_style_look((TbLook)b);

            ck_assert(p.hatch_angle != q.hatch_angle || p.hatch_step != q.hatch_step ||
                      p.dotted != q.dotted || p.double_edge != q.double_edge);
        }
}
END_TEST

START_TEST(no_two_of_the_first_36_curves_look_the_same)
{
    for (size_t a = 0; a < 36; a++)
        for (size_t b = a + 1; b < 36; b++)
            ck_assert(tb_style_curve_ink(a) != tb_style_curve_ink(b) ||
                      tb_style_curve_pen(a) != tb_style_curve_pen(b));
}
END_TEST

/* A big plate, a small bush on it, a pipe's line across both, and a box beside. */
static void
draw_heap(void)
{
    TbAreaStyle style = {.fill = TB_INK_HOT, .edge = TB_INK_INK, .pen = TB_PEN_CUT};
    TbVec2 pipe[2] = {{3, 41.7}, {97, 41.7}};

    tb_picture_init(&picture, 100, 100);
    tb_picture_rectangle(&picture, tb_vec2(10, 10), tb_vec2(90, 90), style, "plate");
    tb_picture_rectangle(&picture, tb_vec2(30, 30), tb_vec2(70, 70), style, "cover");
    tb_picture_rectangle(&picture, tb_vec2(50, 50), tb_vec2(51.3, 51.3), style, "bush");
    tb_picture_line(&picture, pipe, 2, TB_PEN_CENTRE, TB_INK_INK, "pipe");
    tb_picture_rectangle(&picture, tb_vec2(71, 30), tb_vec2(85, 70), style, "box");
}

START_TEST(hits_come_thin_things_first_then_from_the_top_down)
{
    const char *tags[8];
    size_t count;

    draw_heap();
    count = tb_picture_hits(&picture, tb_vec2(40.9, 60.3), 1.5, tags, 8);
    ck_assert_uint_eq(count, 2);
    ck_assert_str_eq(tags[0], "cover");
    ck_assert_str_eq(tags[1], "plate");
    /* beside the small bush, within reach: it is meant */
    count = tb_picture_hits(&picture, tb_vec2(49.1, 50.6), 1.5, tags, 8);
    ck_assert_uint_eq(count, 3);
    ck_assert_str_eq(tags[0], "bush");
    ck_assert_str_eq(tags[1], "cover");
    /* on the pipe */
    count = tb_picture_hits(&picture, tb_vec2(33.3, 42.9), 1.5, tags, 8);
    ck_assert_str_eq(tags[0], "pipe");
    ck_assert_uint_eq(count, 3);
    /* beside the box, on the cover's edge: what holds the point comes before what is near */
    count = tb_picture_hits(&picture, tb_vec2(70.4, 60), 1.5, tags, 8);
    ck_assert_uint_eq(count, 3);
    ck_assert_str_eq(tags[0], "plate");
    ck_assert_str_eq(tags[1], "cover");
    ck_assert_str_eq(tags[2], "box");
    ck_assert_uint_eq(tb_picture_hits(&picture, tb_vec2(5, 5), 1.5, tags, 8), 0);
}
END_TEST

START_TEST(hits_that_have_no_room_are_the_least_likely)
{
    const char *tags[2] = {NULL, NULL};

    draw_heap();
    ck_assert_uint_eq(tb_picture_hits(&picture, tb_vec2(49.1, 50.6), 1.5, tags, 2), 2);
    ck_assert_str_eq(tags[0], "bush");
    ck_assert_str_eq(tags[1], "cover");
}
END_TEST

START_TEST(box_of_a_mark_holds_its_pen)
{
    TbVec2 low, high;

    draw_heap();
    tb_picture_mark_box(&picture, &picture.marks[0], 0, &low, &high);
    ck_assert_double_eq_tol(low.x, 9.75, 1e-12);
    ck_assert_double_eq_tol(high.y, 90.25, 1e-12);
    tb_picture_dot(&picture, tb_vec2(20, 30), 1.7, TB_INK_INK);
    tb_picture_mark_box(&picture, &picture.marks[picture.mark_count - 1], 0, &low, &high);
    ck_assert_double_eq_tol(low.y, 28.3, 1e-12);
    tb_picture_text(&picture, tb_vec2(50, 60),
                    (TbTextStyle){.size = 9, .ink = TB_INK_INK, .anchor = TB_ANCHOR_RIGHT}, "word");
    tb_picture_mark_box(&picture, &picture.marks[picture.mark_count - 1], 7.3, &low, &high);
    ck_assert_double_le(low.x, 50 - 7.3);
    ck_assert_double_le(low.y, 60 - 4.5 * TB_MM_PER_PT);
}
END_TEST

static Suite *
picture_suite(void)
{
    Suite *suite = suite_create("draw/picture");
    TCase *c = tcase_create("picture");

    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_test(c, dump_tells_every_mark_in_order);
    tcase_add_test(c, hit_gives_the_topmost_tag_and_sees_holes);
    tcase_add_test(c, every_level_has_a_shape_of_its_own);
    tcase_add_test(c, picture_without_room_keeps_its_status_and_stays_whole);
    tcase_add_test(c, text_inks_stand_out_from_paper_in_every_theme);
    tcase_add_test(c, neighbouring_classes_differ_in_hatch_not_only_in_colour);
    tcase_add_test(c, no_two_of_the_first_36_curves_look_the_same);
    tcase_add_test(c, hits_come_thin_things_first_then_from_the_top_down);
    tcase_add_test(c, hits_that_have_no_room_are_the_least_likely);
    tcase_add_test(c, box_of_a_mark_holds_its_pen);
    suite_add_tcase(suite, c);
    return suite;
}

int
main(void)
{
    return tb_test_main(picture_suite());
}
