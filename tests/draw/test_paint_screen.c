/* SPDX-License-Identifier: GPL-3.0-or-later */

/* A picture on a screen is what the general painter makes of it, mark by mark, in every theme. */

#include "draw/paint.h"

#include "tap.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 331, HEIGHT = 277, CELLS = 7 };

/** Of 255: a slanted edge's share may be off by 0.1 of a dot at either side (test_paint_dots), and
 * a line's joint by somewhat more. */
#define ALIKE 64

/** Of the dots that either has painted: in so few more may differ; measured: 0.0007. */
#define FAR_OFF 0.0015

/** Of 255, the mean over all dots that either has painted; measured: lines 1.1, areas 0.9. */
#define MEAN_ALIKE 2

/** Of 255 and of the dots: the general painter scales an image of four dots a cell, which differs
 * where neighbours do much; measured: 3.7 and 0.014. */
#define CELLS_ALIKE 5
#define CELLS_FAR_OFF 0.02

/** Draws some marks of one kind. */
typedef void (*Draw)(TbPicture *picture);

static const TbVec2 star[5] = {{12.3, 61.7}, {37.9, 7.3}, {63.1, 61.7}, {3.7, 27.9}, {70.9, 27.9}};

static void
draw_looks(TbPicture *picture)
{
    TbLoopSpan loop = {0, 5};

    for (int k = 0; k <= TB_LOOK_SCAN; k++) {
        TbLookStyle look = tb_style_look((TbLook)k);
        TbVec2 p[5];

        for (int i = 0; i < 5; i++)
            p[i] = tb_vec2_add(tb_vec2_scale(star[i], 0.45),
                               tb_vec2(k % 4 * 23.3 - 4, k / 4 * 21.7 - 3));
        tb_picture_area(picture, p, &loop, 1,
                        (TbAreaStyle){.fill = look.fill,
                                      .edge = look.edge,
                                      .pen = TB_PEN_CUT,
                                      .hatch_angle = look.hatch_angle,
                                      .hatch_step = look.hatch_step,
                                      .hatch_dotted = look.dotted},
                        "look");
    }
}

static void
draw_pens(TbPicture *picture)
{
    for (int k = 1; k < TB_PEN_COUNT; k++) {
        TbVec2 p[3] = {{3.1, 2.3 + 3.1 * k}, {61.7, 1.9 + 2.9 * k}, {97.3, 14.9 + 3.3 * k}};

        tb_picture_line(picture, p, 3, (TbPen)k, TB_INK_INK, NULL);
    }
}

static void
draw_dots(TbPicture *picture)
{
    for (int k = 0; k < 40; k++)
        tb_picture_dot(picture, tb_vec2(k * 37 % 101 * 1.03, k * 53 % 83 * 1.01), 0.3 + k * 0.11,
                       k % 2 == 0 ? TB_INK_SHORT : TB_INK_QUIET);
}

/* Of whole dots at any scale in use: else the general painter's clip goes through some. */
static void
draw_clipped(TbPicture *picture)
{
    tb_picture_clip(picture, tb_vec2(20, 15), tb_vec2(75, 60));
    draw_looks(picture);
    tb_picture_unclip(picture);
    tb_picture_line(picture, star, 5, TB_PEN_CUT, TB_INK_SHORT, NULL);
}

static void
draw_cells(TbPicture *picture)
{
    double share[CELLS * CELLS];

    /* one is no number, and one is beyond the scale */
    for (int i = 0; i < CELLS * CELLS; i++)
        share[i] = i == 23 ? (double)NAN : i == 7 ? -3 : (i * i * 11 + 5) % 97 / 96.0;
    tb_picture_raster(picture, tb_vec2(-10, 5), tb_vec2(95, 75), share, CELLS, CELLS);
}

static TbPicture
picture_of(Draw draw)
{
    TbPicture picture;

    tb_picture_init(&picture, 120, 100);
    draw(&picture);
    ck_assert_int_eq(picture.status, TB_OK);
    return picture;
}

/** With an alpha channel the general painter paints all. */
static cairo_surface_t *
painted(const TbPicture *picture, cairo_format_t format, double dots, TbTheme theme)
{
    TbPaintMeasurer *fonts = tb_paint_measurer_new();
    cairo_surface_t *image = cairo_image_surface_create(format, WIDTH, HEIGHT);
    cairo_t *cairo = cairo_create(image);

    cairo_scale(cairo, dots, dots);
    tb_paint_again(cairo, picture, theme, fonts);
    ck_assert_int_eq(cairo_status(cairo), CAIRO_STATUS_SUCCESS);
    cairo_destroy(cairo);
    cairo_surface_flush(image);
    tb_paint_measurer_free(fonts);
    return image;
}

typedef struct Compared {
    double off, count, far_off;
} Compared;

/** The first dot, in the corner, is paper in all of these pictures. */
static void
compare(cairo_surface_t *a, cairo_surface_t *b, Compared *compared)
{
    int stride = cairo_image_surface_get_stride(a);
    const unsigned char *p = cairo_image_surface_get_data(a), *q = cairo_image_surface_get_data(b);

    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            const unsigned char *mine = p + y * stride + 4 * x, *theirs = q + y * stride + 4 * x;
            int off = 0;

            for (int k = 0; k < 3; k++)
                off = abs(mine[k] - theirs[k]) > off ? abs(mine[k] - theirs[k]) : off;
            compared->off += off;
            compared->count += memcmp(mine, p, 3) != 0 || memcmp(theirs, q, 3) != 0;
            compared->far_off += off > ALIKE;
        }
}

static Compared
compared_in_every_theme(Draw draw)
{
    static const double scales[] = {1, 3.2, 6.4};
    TbPicture picture = picture_of(draw);
    Compared compared = {0};

    for (int theme = 0; theme < TB_THEME_COUNT; theme++)
        for (size_t i = 0; i < sizeof scales / sizeof *scales; i++) {
            cairo_surface_t *mine = painted(&picture, CAIRO_FORMAT_RGB24, scales[i], theme);
            cairo_surface_t *theirs = painted(&picture, CAIRO_FORMAT_ARGB32, scales[i], theme);

            compare(mine, theirs, &compared);
            cairo_surface_destroy(mine);
            cairo_surface_destroy(theirs);
        }
    tb_picture_clear(&picture);
    /* not the same painter twice, or this says nothing */
    ck_assert_double_gt(compared.off, 0);
    ck_assert_double_gt(compared.count, 10000);
    return compared;
}

static void
assert_alike(Draw draw)
{
    Compared compared = compared_in_every_theme(draw);

    ck_assert_double_le(compared.off / compared.count, MEAN_ALIKE);
    ck_assert_double_le(compared.far_off / compared.count, FAR_OFF);
}

START_TEST(areas_of_every_look_are_filled_hatched_and_edged_alike) { assert_alike(draw_looks); }
END_TEST

START_TEST(lines_of_every_pen_are_alike) { assert_alike(draw_pens); }
END_TEST

START_TEST(dots_are_alike) { assert_alike(draw_dots); }
END_TEST

START_TEST(clips_hold_back_what_they_are_round_and_nothing_after) { assert_alike(draw_clipped); }
END_TEST

START_TEST(cells_of_a_map_have_the_same_shades)
{
    Compared compared = compared_in_every_theme(draw_cells);

    ck_assert_double_le(compared.off / compared.count, CELLS_ALIKE);
    ck_assert_double_le(compared.far_off / compared.count, CELLS_FAR_OFF);
}
END_TEST

static Suite *
paint_screen_suite(void)
{
    Suite *suite = suite_create("draw/paint_screen");
    TCase *tcase = tcase_create("paint_screen");

    tcase_add_test(tcase, areas_of_every_look_are_filled_hatched_and_edged_alike);
    tcase_add_test(tcase, lines_of_every_pen_are_alike);
    tcase_add_test(tcase, dots_are_alike);
    tcase_add_test(tcase, clips_hold_back_what_they_are_round_and_nothing_after);
    tcase_add_test(tcase, cells_of_a_map_have_the_same_shades);
    suite_add_tcase(suite, tcase);
    return suite;
}

int
main(void)
{
    return tb_test_main(paint_screen_suite());
}
