/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Areas and lines on dots: shares that can be computed, and the pictures of a general painter. */

#include "draw/paint_dots.h"

#include "tap.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 173, HEIGHT = 131 };

/** Of 255: shares are rounded. */
#define ROUNDED 1

static const TbDotsBox all = {0, 0, WIDTH, HEIGHT};
static const TbColour white = {1, 1, 1, 1};
static TbDots *dots;
static cairo_surface_t *image;
static unsigned seed;

static void
set_up(void)
{
    dots = tb_dots_new();
    image = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
    tb_dots_begin(dots, image, all);
    seed = 11;
}

static void
tear_down(void)
{
    tb_dots_free(dots);
    cairo_surface_destroy(image);
}

/** 0 to 1. */
static double
chance(void)
{
    seed = seed * 1664525u + 1013904223u;
    return (double)(seed >> 8) / (1u << 24);
}

static unsigned
dot_at(cairo_surface_t *of, int x, int y)
{
    const unsigned char *row =
        cairo_image_surface_get_data(of) + y * cairo_image_surface_get_stride(of);
    unsigned dot;

    memcpy(&dot, row + 4 * x, 4);
    return dot;
}

/** Of a white drawing on black: 0 to 255. */
static int
share_at(int x, int y)
{
    return (int)(dot_at(image, x, y) & 255);
}

/** Of all dots, in dots. */
static double
sum_of_shares(void)
{
    double sum = 0;

    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++)
            sum += share_at(x, y) / 255.0;
    return sum;
}

static void
fill(const TbVec2 points[], size_t count)
{
    TbLoopSpan loop = {0, count};
    TbDotsInk ink = tb_dots_colour(white);

    tb_dots_fill(dots, points, &loop, 1, &ink);
}

static double
overlap(double a, double b, double c, double d)
{
    return fmax(0, fmin(b, d) - fmax(a, c));
}

/** Every dot has as much of a box as lies in it. */
static void
assert_box(double left, double top, double right, double bottom)
{
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            double share = overlap(x, x + 1, left, right) * overlap(y, y + 1, top, bottom);

            ck_assert_msg(fabs(share_at(x, y) - 255 * share) <= ROUNDED, "%d, %d: %d, not %.1f", x,
                          y, share_at(x, y), 255 * share);
        }
}

/* ---- areas ---- */

START_TEST(each_dot_has_as_much_of_a_box_as_lies_in_it)
{
    TbVec2 corners[4] = {{13.3, 7.2}, {71.9, 7.2}, {71.9, 55.6}, {13.3, 55.6}};

    fill(corners, 4);
    assert_box(13.3, 7.2, 71.9, 55.6);
}
END_TEST

START_TEST(box_inside_one_dot_and_box_beyond_the_image_have_their_shares)
{
    TbVec2 small[4] = {{5.2, 6.1}, {5.9, 6.1}, {5.9, 6.4}, {5.2, 6.4}};
    TbVec2 large[4] = {{40.7, -1e8}, {1e8, -1e8}, {1e8, 1e8}, {40.7, 1e8}};

    fill(small, 4);
    ck_assert_int_le(abs(share_at(5, 6) - (int)lround(255 * 0.7 * 0.3)), ROUNDED);
    ck_assert_double_eq_tol(sum_of_shares(), share_at(5, 6) / 255.0, 1e-9);
    memset(cairo_image_surface_get_data(image), 0,
           (size_t)(cairo_image_surface_get_stride(image) * HEIGHT));
    fill(large, 4);
    assert_box(40.7, 0, WIDTH, HEIGHT);
}
END_TEST

START_TEST(shares_of_a_slanted_polygon_sum_up_to_its_area)
{
    for (int round = 0; round < 40; round++) {
        TbVec2 p[3];

        memset(cairo_image_surface_get_data(image), 0,
               (size_t)(cairo_image_surface_get_stride(image) * HEIGHT));
        for (int i = 0; i < 3; i++)
            p[i] = tb_vec2(WIDTH * chance(), HEIGHT * chance());
        fill(p, 3);
        /* half a step of rounding at each dot of the sides, at most */
        ck_assert_double_eq_tol(
            sum_of_shares(),
            fabs(tb_vec2_cross(tb_vec2_sub(p[1], p[0]), tb_vec2_sub(p[2], p[0]))) / 2,
            2 * (WIDTH + HEIGHT) * 2 * 0.5 / 255);
    }
}
END_TEST

START_TEST(hole_stays_free_whichever_way_it_turns)
{
    TbVec2 p[12] = {{10, 10}, {90, 10}, {90, 90}, {10, 90}, {20, 20}, {40, 20},
                    {40, 40}, {20, 40}, {50, 20}, {50, 40}, {70, 40}, {70, 20}};
    TbLoopSpan loops[3] = {{0, 4}, {4, 4}, {8, 4}};
    TbDotsInk ink = tb_dots_colour(white);

    tb_dots_fill(dots, p, loops, 3, &ink);
    ck_assert_double_eq_tol(sum_of_shares(), 80 * 80 - 2 * 20 * 20, 1e-9);
    ck_assert_int_eq(share_at(30, 30), 0);
    ck_assert_int_eq(share_at(60, 30), 0);
    ck_assert_int_eq(share_at(45, 30), 255);
}
END_TEST

START_TEST(ink_that_lets_through_mixes_and_an_image_is_copied_from_the_same_place)
{
    TbVec2 corners[4] = {{0, 0}, {WIDTH, 0}, {WIDTH, 50}, {0, 50}};
    TbVec2 lower[4] = {{0, 60}, {WIDTH, 60}, {WIDTH, 90}, {0, 90}};
    TbLoopSpan loop = {0, 4};
    cairo_surface_t *pattern = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, WIDTH, HEIGHT);
    TbDotsInk band = tb_dots_colour((TbColour){0.8, 0.4, 0.2, 0.13}), ink;
    unsigned char *bytes = cairo_image_surface_get_data(pattern);

    tb_dots_fill(dots, corners, &loop, 1, &band);
    /* on black: 255 * 0.13 * colour, each rounded twice */
    ck_assert_int_le(abs((int)(dot_at(image, 7, 7) >> 16 & 255) - 27), 1);
    ck_assert_int_le(abs((int)(dot_at(image, 7, 7) >> 8 & 255) - 13), 1);
    ck_assert_int_le(abs((int)(dot_at(image, 7, 7) & 255) - 7), 1);
    cairo_surface_flush(pattern);
    for (int i = 0; i < WIDTH * HEIGHT; i++) {
        unsigned dot = 0xff000000u | (unsigned)i;

        memcpy(bytes + 4 * i, &dot, 4);
    }
    cairo_surface_mark_dirty(pattern);
    ink = tb_dots_image(pattern);
    tb_dots_fill(dots, lower, &loop, 1, &ink);
    for (int x = 0; x < WIDTH; x++)
        ck_assert_uint_eq(dot_at(image, x, 77), 0xff000000u | (unsigned)(77 * WIDTH + x));
    cairo_surface_destroy(pattern);
}
END_TEST

/* ---- lines ---- */

START_TEST(level_and_upright_lines_have_their_exact_shares)
{
    TbVec2 level[2] = {{20, 30.7}, {90, 30.7}}, upright[2] = {{120.2, 20}, {120.2, 100}};
    TbPenStyle thin = {.width = 0.32}, wide = {.width = 2.9};

    tb_dots_stroke(dots, level, 2, false, &thin, white);
    tb_dots_stroke(dots, upright, 2, false, &wide, white);
    /* 30.54 to 30.86; 118.75 to 121.65 */
    ck_assert_int_le(abs(share_at(50, 30) - (int)lround(255 * 0.32)), ROUNDED);
    ck_assert_int_eq(share_at(50, 29) + share_at(50, 31), 0);
    ck_assert_int_le(abs(share_at(118, 60) - (int)lround(255 * 0.25)), ROUNDED);
    ck_assert_int_eq(share_at(119, 60), 255);
    ck_assert_int_eq(share_at(120, 60), 255);
    ck_assert_int_le(abs(share_at(121, 60) - (int)lround(255 * 0.65)), ROUNDED);
    ck_assert_int_eq(share_at(117, 60) + share_at(122, 60), 0);
}
END_TEST

START_TEST(dashes_are_flat_at_their_ends_and_go_on_round_a_corner)
{
    /* 4 of ink, 2.5 of gap; the corner is 10.25 from the start: inside the second dash, 6.5 to 10.5
     */
    TbVec2 corner[3] = {{20, 30.5}, {30.25, 30.5}, {30.25, 70}};
    TbPenStyle pen = {.width = 1, .dash = {4, 2.5}, .dashes = 2};

    tb_dots_stroke(dots, corner, 3, false, &pen, white);
    ck_assert_int_eq(share_at(19, 30), 0);
    for (int x = 20; x < 24; x++)
        ck_assert_int_eq(share_at(x, 30), 255);
    ck_assert_int_eq(share_at(24, 30), 0);
    ck_assert_int_eq(share_at(25, 30), 0);
    ck_assert_int_le(abs(share_at(26, 30) - 128), ROUNDED);
    ck_assert_int_eq(share_at(27, 30), 255);
    /* down: gap from 0.25 to 2.75 below the corner, then ink to 6.75; the line is 29.75 to 30.75 */
    ck_assert_int_eq(share_at(30, 32), 0);
    ck_assert_int_le(abs(share_at(30, 33) - (int)lround(255 * 0.75 * 0.75)), ROUNDED);
    ck_assert_int_le(abs(share_at(30, 35) - (int)lround(255 * 0.75)), ROUNDED);
    ck_assert_int_eq(share_at(30, 38), 0);
}
END_TEST

START_TEST(line_of_no_length_is_a_disc)
{
    TbVec2 at[2] = {{60.3, 50.8}, {60.3, 50.8}};
    TbPenStyle pen = {.width = 21.4};

    tb_dots_stroke(dots, at, 2, false, &pen, white);
    /* of a dot at the rim the share along the radius is taken: 0.3 % of the area here */
    ck_assert_double_eq_tol(sum_of_shares(), M_PI * 10.7 * 10.7, 0.005 * M_PI * 10.7 * 10.7);
    ck_assert_int_eq(share_at(60, 50), 255);
    ck_assert_int_eq(share_at(60, 39), 0);
}
END_TEST

START_TEST(lines_without_end_cost_nothing_and_what_is_no_number_is_left_out)
{
    TbVec2 far[2] = {{-9e8, 30.5}, {9e8, 30.5}}, nowhere[2] = {{NAN, 3}, {50, INFINITY}};
    TbPenStyle dashed = {.width = 1, .dash = {3, 1}, .dashes = 2}, plain = {.width = 1};
    double ink;

    tb_dots_stroke(dots, far, 2, false, &dashed, white);
    ink = sum_of_shares();
    ck_assert_double_eq_tol(ink, 0.75 * WIDTH, 3);
    tb_dots_stroke(dots, nowhere, 2, false, &plain, white);
    fill(nowhere, 2);
    tb_dots_stroke(dots, far, 0, true, &plain, white);
    ck_assert_double_eq(sum_of_shares(), ink);
}
END_TEST

/* ---- clips ---- */

/** The largest of any colour. */
static int
difference(cairo_surface_t *a, cairo_surface_t *b)
{
    int most = 0;

    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++)
            for (int bit = 0; bit < 24; bit += 8) {
                int off =
                    abs((int)(dot_at(a, x, y) >> bit & 255) - (int)(dot_at(b, x, y) >> bit & 255));

                most = off > most ? off : most;
            }
    return most;
}

static void
draw_all(const TbVec2 points[], size_t count)
{
    TbLoopSpan loop = {0, count};
    TbDotsInk ink = tb_dots_colour((TbColour){0.3, 0.9, 0.6, 1});
    TbPenStyle solid = {.width = 1.6}, dashed = {.width = 0.7, .dash = {6, 2, 1, 2}, .dashes = 4};

    tb_dots_fill(dots, points, &loop, 1, &ink);
    tb_dots_stroke(dots, points, count, true, &solid, white);
    tb_dots_stroke(dots, points, count, false, &dashed, (TbColour){0.1, 0.2, 0.3, 0.8});
}

START_TEST(painted_clip_by_clip_it_is_what_it_is_as_a_whole)
{
    const TbDotsBox clips[4] = {
        {0, 0, 60, HEIGHT}, {60, 0, WIDTH, 41}, {60, 41, 133, HEIGHT}, {133, 41, WIDTH, HEIGHT}};
    TbVec2 p[9];

    for (int round = 0; round < 30; round++) {
        cairo_surface_t *parts = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);

        for (int i = 0; i < 9; i++)
            p[i] = tb_vec2(WIDTH * (2 * chance() - 0.5), HEIGHT * (2 * chance() - 0.5));
        cairo_surface_destroy(image);
        image = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
        tb_dots_begin(dots, image, all);
        draw_all(p, 9);
        tb_dots_begin(dots, parts, all);
        for (int i = 0; i < 4; i++) {
            TbDotsBox before = tb_dots_clip(dots, clips[i]);

            draw_all(p, 9);
            tb_dots_set_clip(dots, before);
        }
        ck_assert_int_le(difference(image, parts), 2 * ROUNDED);
        cairo_surface_destroy(parts);
    }
}
END_TEST

START_TEST(clips_that_do_not_meet_leave_nothing)
{
    TbVec2 p[4] = {{-7, -9}, {2e3, -9}, {2e3, 3e3}, {-7, 3e3}};
    TbDotsBox aside = {-900000000, -700000000, -300000000, -200000000},
              before = tb_dots_clip(dots, all);

    tb_dots_clip(dots, (TbDotsBox){19, 23, 71, 83});
    tb_dots_clip(dots, aside);
    draw_all(p, 4);
    draw_all(p, 1);
    draw_all(p, 0);
    tb_dots_set_clip(dots, before);
    ck_assert_double_eq(sum_of_shares(), 0);
    draw_all(p, 4);
    ck_assert_double_gt(sum_of_shares(), 0);
}
END_TEST

/* ---- a general painter ---- */

/** Of 255. Where a slanted line's edge passes a dot, the share along the way to it is taken for the
 * area: the two differ by up to (sqrt(2) - 1) / 4 = 0.1 of a dot at either edge. */
#define ALIKE 56

/** Of all dots that either has painted: in so few may more differ, at the joints of lines, where
 * the larger share counts and not the area of both. */
#define JOINTS 0.01

/** Of 255, the mean over all dots that either has painted; measured: areas 0.5, lines 4.8. */
#define MEAN_ALIKE 6

typedef struct Compared {
    double off, count, joints;
} Compared;

static void
compare(cairo_surface_t *other, Compared *compared)
{
    cairo_surface_flush(other);
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            int mine = share_at(x, y), theirs = (int)(dot_at(other, x, y) & 255);

            compared->off += abs(mine - theirs);
            compared->count += mine > 0 || theirs > 0;
            compared->joints += abs(mine - theirs) > ALIKE;
        }
}

START_TEST(areas_and_lines_look_as_a_general_painter_paints_them)
{
    Compared compared[2] = {{0}};

    for (int round = 0; round < 60; round++) {
        cairo_surface_t *other = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
        cairo_t *cairo = cairo_create(other);
        double width = 0.3 + 2.5 * chance();
        TbPenStyle pen = {.width = width};
        /* a triangle: where sides cross within a dot its area is not summed up */
        int count = round % 2 == 0 ? 3 : 4;
        TbVec2 p[4];

        memset(cairo_image_surface_get_data(image), 0,
               (size_t)(cairo_image_surface_get_stride(image) * HEIGHT));
        cairo_set_source_rgb(cairo, 1, 1, 1);
        cairo_set_fill_rule(cairo, CAIRO_FILL_RULE_EVEN_ODD);
        cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
        cairo_set_line_cap(cairo, CAIRO_LINE_CAP_ROUND);
        cairo_set_line_width(cairo, width);
        for (int i = 0; i < count; i++) {
            p[i] = tb_vec2(WIDTH * chance(), HEIGHT * chance());
            cairo_line_to(cairo, p[i].x, p[i].y);
        }
        if (round % 2 == 0) {
            cairo_fill(cairo);
            fill(p, 3);
        } else {
            cairo_stroke(cairo);
            tb_dots_stroke(dots, p, 4, false, &pen, white);
        }
        compare(other, &compared[round % 2]);
        cairo_destroy(cairo);
        cairo_surface_destroy(other);
    }
    for (int i = 0; i < 2; i++) {
        ck_assert_double_gt(compared[i].count, 1000);
        ck_assert_double_le(compared[i].off / compared[i].count, MEAN_ALIKE);
        ck_assert_double_le(compared[i].joints / compared[i].count, JOINTS);
    }
}
END_TEST

static Suite *
paint_dots_suite(void)
{
    Suite *suite = suite_create("draw/paint_dots");
    TCase *tcase = tcase_create("paint_dots");

    tcase_add_checked_fixture(tcase, set_up, tear_down);
    tcase_add_test(tcase, each_dot_has_as_much_of_a_box_as_lies_in_it);
    tcase_add_test(tcase, box_inside_one_dot_and_box_beyond_the_image_have_their_shares);
    tcase_add_test(tcase, shares_of_a_slanted_polygon_sum_up_to_its_area);
    tcase_add_test(tcase, hole_stays_free_whichever_way_it_turns);
    tcase_add_test(tcase, ink_that_lets_through_mixes_and_an_image_is_copied_from_the_same_place);
    tcase_add_test(tcase, level_and_upright_lines_have_their_exact_shares);
    tcase_add_test(tcase, dashes_are_flat_at_their_ends_and_go_on_round_a_corner);
    tcase_add_test(tcase, line_of_no_length_is_a_disc);
    tcase_add_test(tcase, lines_without_end_cost_nothing_and_what_is_no_number_is_left_out);
    tcase_add_test(tcase, painted_clip_by_clip_it_is_what_it_is_as_a_whole);
    tcase_add_test(tcase, clips_that_do_not_meet_leave_nothing);
    tcase_add_test(tcase, areas_and_lines_look_as_a_general_painter_paints_them);
    suite_add_tcase(suite, tcase);
    return suite;
}

int
main(void)
{
    return tb_test_main(paint_dots_suite());
}
