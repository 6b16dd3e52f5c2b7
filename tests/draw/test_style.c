/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/style.h"

#include "tap.h"

#include <math.h>
#include <string.h>

/** Inks that letters are set in. */
static const TbInk text_inks[] = {TB_INK_INK,   TB_INK_QUIET, TB_INK_SELECT, TB_INK_HOLDS,
                                  TB_INK_WATCH, TB_INK_SHORT, TB_INK_OPEN};

/** Inks of marks that mean something. */
static const TbInk mark_inks[] = {
    TB_INK_SELECT,    TB_INK_HOLDS,    TB_INK_WATCH,          TB_INK_SHORT,      TB_INK_OPEN,
    TB_INK_QUIET,     TB_INK_HOT_EDGE, TB_INK_STRUCTURE_EDGE, TB_INK_COVER_EDGE, TB_INK_LINE_EDGE,
    TB_INK_SCAN_EDGE, TB_INK_CURVE_1,  TB_INK_CURVE_2,        TB_INK_CURVE_3,    TB_INK_CURVE_4,
    TB_INK_CURVE_5,   TB_INK_CURVE_6};

/** Class fills that outlines and hatches lie on. */
static const struct {
    TbInk fill, edge;
} classes[] = {{TB_INK_HOT, TB_INK_HOT_EDGE},
               {TB_INK_STRUCTURE, TB_INK_STRUCTURE_EDGE},
               {TB_INK_COVER, TB_INK_COVER_EDGE},
               {TB_INK_LINE, TB_INK_LINE_EDGE},
               {TB_INK_SCAN, TB_INK_SCAN_EDGE}};

static bool
is_high(TbTheme theme)
{
    return theme == TB_THEME_LIGHT_CONTRAST || theme == TB_THEME_DARK_CONTRAST;
}

/* WCAG 2.1: 1.4.3 text 4.5:1 (1.4.6, high: 7:1); 1.4.11 marks 3:1 (here, high: 4.5:1) */
START_TEST(letters_and_marks_stand_out_from_the_paper)
{
    TbTheme theme = (TbTheme)_i;

    for (size_t i = 0; i < sizeof text_inks / sizeof text_inks[0]; i++)
        ck_assert_msg(tb_style_contrast(theme, text_inks[i], TB_INK_PAPER) >=
                          (is_high(theme) ? 7 : 4.5),
                      "theme %d: text in %s has %.2f:1", _i, tb_style_ink_name(text_inks[i]),
                      tb_style_contrast(theme, text_inks[i], TB_INK_PAPER));
    for (size_t i = 0; i < sizeof mark_inks / sizeof mark_inks[0]; i++)
        ck_assert_msg(tb_style_contrast(theme, mark_inks[i], TB_INK_PAPER) >=
                          (is_high(theme) ? 4.5 : 3),
                      "theme %d: marks in %s have %.2f:1", _i, tb_style_ink_name(mark_inks[i]),
                      tb_style_contrast(theme, mark_inks[i], TB_INK_PAPER));
}
END_TEST

START_TEST(outlines_of_classes_stand_out_from_their_fills)
{
    for (size_t i = 0; i < sizeof classes / sizeof classes[0]; i++) {
        ck_assert_double_ge(tb_style_contrast((TbTheme)_i, classes[i].fill, classes[i].edge), 4.5);
        ck_assert_double_ge(tb_style_contrast((TbTheme)_i, classes[i].fill, TB_INK_INK), 7);
        ck_assert_double_ge(tb_style_contrast((TbTheme)_i, classes[i].fill, TB_INK_SELECT), 3);
    }
}
END_TEST

START_TEST(contrast_of_black_and_white_is_21_and_of_a_colour_with_itself_1)
{
    ck_assert_double_eq_tol(tb_style_contrast(TB_THEME_PRINT, TB_INK_INK, TB_INK_PAPER), 21, 1e-9);
    ck_assert_double_eq_tol(tb_style_contrast(TB_THEME_DARK, TB_INK_HOT, TB_INK_HOT), 1, 1e-12);
    /* 119 of 255 in sRGB: ((119/255 + 0.055) / 1.055)^2.4 = 0.18447 */
    ck_assert_double_eq_tol(
        tb_style_luminance((TbColour){119.0 / 255, 119.0 / 255, 119.0 / 255, 1}), 0.18447, 1e-5);
}
END_TEST

START_TEST(grey_print_has_no_colour_and_the_lightness_of_the_print)
{
    for (int i = TB_INK_NONE + 1; i < TB_INK_COUNT; i++) {
        TbColour grey = tb_style_colour(TB_THEME_GREY, (TbInk)i);
        TbColour print = tb_style_colour(TB_THEME_PRINT, (TbInk)i);

        ck_assert_double_eq(grey.red, grey.green);
        ck_assert_double_eq(grey.red, grey.blue);
        ck_assert_double_eq_tol(tb_style_luminance(grey), tb_style_luminance(print), 1e-9);
    }
}
END_TEST

/* Without colour two classes are told apart by hatch, dots, double outline or an empty fill. */
START_TEST(classes_are_told_apart_in_grey)
{
    for (int a = TB_LOOK_HOT; a <= TB_LOOK_SCAN; a++)
        for (int b = a + 1; b <= TB_LOOK_SCAN; b++) {
            TbLookStyle one = tb_style_look((TbLook)a), two = tb_style_look((TbLook)b);

            ck_assert_msg(fabs(one.hatch_angle - two.hatch_angle) >= 15 ||
                              fabs(one.hatch_step - two.hatch_step) >= 0.5 ||
                              one.dotted != two.dotted || one.double_edge != two.double_edge,
                          "looks %d and %d", a, b);
        }
}
END_TEST

START_TEST(theme_follows_the_background)
{
    ck_assert_int_eq(tb_style_theme_on(0.96, false), TB_THEME_LIGHT);
    ck_assert_int_eq(tb_style_theme_on(0.03, false), TB_THEME_DARK);
    ck_assert_int_eq(tb_style_theme_on(0.96, true), TB_THEME_LIGHT_CONTRAST);
    ck_assert_int_eq(tb_style_theme_on(0.03, true), TB_THEME_DARK_CONTRAST);
}
END_TEST

START_TEST(every_ink_and_pen_has_a_name_and_a_width)
{
    for (int i = 0; i < TB_INK_COUNT; i++)
        ck_assert_ptr_nonnull(tb_style_ink_name((TbInk)i));
    for (int i = TB_PEN_NONE + 1; i < TB_PEN_COUNT; i++) {
        ck_assert_ptr_nonnull(tb_style_pen_name((TbPen)i));
        ck_assert_double_gt(tb_style_pen((TbPen)i).width, 0);
    }
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("draw/style");
    TCase *c = tcase_create("style");

    tcase_add_loop_test(c, letters_and_marks_stand_out_from_the_paper, 0, TB_THEME_COUNT);
    tcase_add_loop_test(c, outlines_of_classes_stand_out_from_their_fills, 0, TB_THEME_COUNT);
    tcase_add_test(c, contrast_of_black_and_white_is_21_and_of_a_colour_with_itself_1);
    tcase_add_test(c, grey_print_has_no_colour_and_the_lightness_of_the_print);
    tcase_add_test(c, classes_are_told_apart_in_grey);
    tcase_add_test(c, theme_follows_the_background);
    tcase_add_test(c, every_ink_and_pen_has_a_name_and_a_width);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
