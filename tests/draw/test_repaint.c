/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What is painted only where it changed is what is painted as a whole, dot by dot. */

#include "draw/repaint.h"

#include "tap.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 373, HEIGHT = 241, MARKS = 40, ROUNDS = 60, CELLS = 6 };

/** Of a colour, 0 to 255: sums over a row begin at the edge of a clip, so one may round to the next
 * share; inks over each other, to the one beyond. */
#define ALIKE 2

/** Of all dots: so few differ at all; measured: 2e-7. */
#define DIFFER 1e-5

static const TbRepaintLook screen = {WIDTH, HEIGHT, 3.2, TB_THEME_LIGHT};

static unsigned seed = 7;

/** 0 to 1. */
static double
chance(void)
{
    seed = seed * 1664525u + 1013904223u;
    return (double)(seed >> 8) / (1u << 24);
}

static TbVec2
place(void)
{
    return tb_vec2(130 * chance() - 5, 85 * chance() - 5);
}

/* ---- drawings with some of everything ---- */

typedef enum Kind { AREA, LINE, TEXT, DOT, CLIPPED, RASTER, KINDS } Kind;

typedef struct Thing {
    Kind kind;
    TbVec2 at[5];
    int number;
} Thing;

static Thing
thing(void)
{
    Thing thing = {.kind = (Kind)(chance() * KINDS), .number = (int)(chance() * 1000)};

    for (int i = 0; i < 5; i++)
        thing.at[i] = place();
    return thing;
}

static void
draw_area(TbPicture *picture, const Thing *thing)
{
    TbLoopSpan loop = {0, 5};
    TbLookStyle look = tb_style_look((TbLook)(thing->number % (TB_LOOK_SCAN + 1)));

    tb_picture_area(picture, thing->at, &loop, 1,
                    (TbAreaStyle){.fill = look.fill,
                                  .edge = look.edge,
                                  .pen = TB_PEN_CUT,
                                  .hatch_angle = look.hatch_angle,
                                  .hatch_step = look.hatch_step,
                                  .hatch_dotted = look.dotted},
                    "thing");
}

static void
draw_raster(TbPicture *picture, const Thing *thing)
{
    double share[CELLS * CELLS];

    for (int i = 0; i < CELLS * CELLS; i++)
        share[i] = (thing->number * 37 + i * 11) % 97 / 96.0;
    tb_picture_raster(picture, thing->at[0], tb_vec2_add(thing->at[0], tb_vec2(33.3, 17.1)), share,
                      CELLS, CELLS);
}

static void
draw_thing(TbPicture *picture, const Thing *thing)
{
    char text[16];

    switch (thing->kind) {
    case AREA:
        draw_area(picture, thing);
        return;
    case CLIPPED:
        tb_picture_clip(picture, thing->at[0], thing->at[1]);
        draw_area(picture, thing);
        tb_picture_unclip(picture);
        return;
    case LINE:
        tb_picture_line(picture, thing->at, 5, (TbPen)(1 + thing->number % (TB_PEN_COUNT - 1)),
                        TB_INK_INK, NULL);
        return;
    case TEXT:
        snprintf(text, sizeof text, "%d mm", thing->number);
        tb_picture_text(picture, thing->at[0],
                        (TbTextStyle){.size = TB_PT_SMALL,
                                      .ink = TB_INK_QUIET,
                                      .anchor = (TbAnchor)(thing->number % 3),
                                      .turn = thing->number % 4 == 0 ? 90 : 0,
                                      .backed = thing->number % 2 == 0},
                        text);
        return;
    case DOT:
        tb_picture_dot(picture, thing->at[0], 1.7, TB_INK_SHORT);
        return;
    case RASTER:
        draw_raster(picture, thing);
        return;
    case KINDS:
        return;
    }
}

static TbPicture
picture_of(const Thing things[], size_t count)
{
    TbPicture picture;

    tb_picture_init(&picture, WIDTH / screen.dots + 1, HEIGHT / screen.dots + 1);
    for (size_t i = 0; i < count; i++)
        draw_thing(&picture, &things[i]);
    ck_assert_int_eq(picture.status, TB_OK);
    return picture;
}

/* ---- images ---- */

/** The largest difference of a colour of any dot. */
static int
difference(cairo_surface_t *a, cairo_surface_t *b, size_t *differ)
{
    int stride = cairo_image_surface_get_stride(a), most = 0;
    const unsigned char *p = cairo_image_surface_get_data(a), *q = cairo_image_surface_get_data(b);

    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++)
            for (int k = 0; k < 3; k++) {
                int i = y * stride + 4 * x + k;
                int off = abs(p[i] - q[i]);

                most = off > most ? off : most;
                *differ += off > 0;
            }
    return most;
}

static size_t
dots_in(const TbRepaintPart parts[], size_t count)
{
    size_t dots = 0;

    for (size_t i = 0; i < count; i++)
        dots += (size_t)parts[i].width * (size_t)parts[i].height;
    return dots;
}

/* ---- tests ---- */

/** Some thing changes, comes, goes, or comes before another. */
static size_t
change(Thing things[], size_t count)
{
    size_t at = (size_t)(chance() * (double)count);
    Thing other = things[at];

    switch ((int)(chance() * 4)) {
    case 0:
        things[at] = thing();
        break;
    case 1:
        things[at] = things[count - 1];
        return count > MARKS / 2 ? count - 1 : count;
    case 2:
        if (count < MARKS)
            things[count++] = thing();
        break;
    default:
        things[at] = things[(at + 3) % count];
        things[(at + 3) % count] = other;
    }
    return count;
}

START_TEST(a_picture_painted_where_it_changed_is_the_one_painted_as_a_whole)
{
    TbPaintMeasurer *fonts = tb_paint_measurer_new();
    TbRepaint *again = tb_repaint_new(fonts);
    TbRepaintPart parts[TB_REPAINT_MOST];
    Thing things[MARKS];
    size_t count = 25, painted = 0, differ = 0;

    for (size_t i = 0; i < count; i++)
        things[i] = thing();
    for (int round = 0; round < ROUNDS; round++) {
        TbRepaint *fresh = tb_repaint_new(fonts);
        TbPicture one = picture_of(things, count), other = picture_of(things, count);

        painted += dots_in(parts, tb_repaint_take(again, &one, &screen, parts));
        ck_assert_uint_eq(tb_repaint_take(fresh, &other, &screen, parts), 1);
        ck_assert_int_le(difference(tb_repaint_image(again), tb_repaint_image(fresh), &differ),
                         ALIKE);
        tb_repaint_free(fresh);
        count = change(things, count);
    }
    /* not everything every time, or this test says nothing */
    ck_assert_uint_lt(painted, (size_t)ROUNDS * WIDTH * HEIGHT * 2 / 3);
    ck_assert_uint_lt(differ, (size_t)(DIFFER * ROUNDS * WIDTH * HEIGHT * 3));
    tb_repaint_free(again);
    tb_paint_measurer_free(fonts);
}
END_TEST

START_TEST(the_same_picture_paints_nothing_and_another_theme_all)
{
    TbPaintMeasurer *fonts = tb_paint_measurer_new();
    TbRepaint *repaint = tb_repaint_new(fonts);
    TbRepaintPart parts[TB_REPAINT_MOST];
    TbRepaintLook dark = screen;
    Thing things[20];
    TbPicture picture;

    dark.theme = TB_THEME_DARK;
    for (int i = 0; i < 20; i++)
        things[i] = thing();
    picture = picture_of(things, 20);
    ck_assert_uint_eq(tb_repaint_take(repaint, &picture, &screen, parts), 1);
    picture = picture_of(things, 20);
    ck_assert_uint_eq(tb_repaint_take(repaint, &picture, &screen, parts), 0);
    ck_assert_uint_eq(tb_repaint_picture(repaint)->mark_count > 0, 1);
    picture = picture_of(things, 20);
    ck_assert_uint_eq(tb_repaint_take(repaint, &picture, &dark, parts), 1);
    ck_assert_uint_eq(dots_in(parts, 1), WIDTH * HEIGHT);
    tb_repaint_free(repaint);
    tb_paint_measurer_free(fonts);
}
END_TEST

START_TEST(a_dot_that_moves_paints_where_it_was_and_where_it_is)
{
    TbPaintMeasurer *fonts = tb_paint_measurer_new();
    TbRepaint *repaint = tb_repaint_new(fonts);
    TbRepaintPart parts[TB_REPAINT_MOST];
    Thing things[2] = {{.kind = DOT, .at = {{20.3, 30.1}}}, {.kind = AREA, .number = 3}};
    TbPicture picture;
    size_t count;

    for (int i = 0; i < 5; i++)
        things[1].at[i] = place();
    picture = picture_of(things, 2);
    tb_repaint_take(repaint, &picture, &screen, parts);
    things[0].at[0] = tb_vec2(90.7, 50.2);
    picture = picture_of(things, 2);
    count = tb_repaint_take(repaint, &picture, &screen, parts);
    ck_assert_uint_eq(count, 2);
    for (size_t i = 0; i < count; i++) {
        TbVec2 at = i == 0 ? tb_vec2(20.3, 30.1) : tb_vec2(90.7, 50.2);

        ck_assert_int_le(parts[i].x, (int)((at.x - 1.7) * screen.dots));
        ck_assert_int_ge(parts[i].x + parts[i].width, (int)ceil((at.x + 1.7) * screen.dots));
        ck_assert_int_le(parts[i].width, 16);
        ck_assert_int_le(parts[i].height, 16);
    }
    tb_repaint_free(repaint);
    tb_paint_measurer_free(fonts);
}
END_TEST

static Suite *
repaint_suite(void)
{
    Suite *suite = suite_create("draw/repaint");
    TCase *tcase = tcase_create("repaint");

    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, a_picture_painted_where_it_changed_is_the_one_painted_as_a_whole);
    tcase_add_test(tcase, the_same_picture_paints_nothing_and_another_theme_all);
    tcase_add_test(tcase, a_dot_that_moves_paints_where_it_was_and_where_it_is);
    suite_add_tcase(suite, tcase);
    return suite;
}

int
main(void)
{
    return tb_test_main(repaint_suite());
}
