/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Drawings as SVG, read back by another program's parser: sizes, layers, texts, painting order. */

#include "draw/charts.h"
#include "draw/cut_view.h"
#include "draw/export.h"
#include "draw/svg.h"

#include "base/mem.h"

#include "draw/fixture.h"
#include "tap.h"

#include <cairo.h>
#include <glib.h>
#include <glib/gstdio.h>
#include <libxml/parser.h>
#include <libxml/xpath.h>
#include <libxml/xpathInternals.h>
#include <math.h>
#include <string.h>

static Fixture fixture;
static TbPicture picture;
static xmlDoc *doc;

static void
forget(void)
{
    if (doc != NULL)
        xmlFreeDoc(doc);
    doc = NULL;
}

static void
tear_down(void)
{
    forget();
    tb_picture_clear(&picture);
}

/** The picture as SVG, parsed. */
static void
read_back(void)
{
    unsigned char *bytes = NULL;
    size_t size = 0;

    forget();
    ck_assert_int_eq(tb_svg_bytes(&picture, TB_THEME_PRINT, &bytes, &size, NULL), TB_OK);
    doc = xmlReadMemory((const char *)bytes, (int)size, "svg", NULL, XML_PARSE_NONET);
    ck_assert_msg(doc != NULL, "%.*s", (int)size, (const char *)bytes);
    tb_free(bytes);
}

/** An expression's value as text; freed by the caller. Elements are `s:path` and so on. */
static char *
ask(const char *expression)
{
    xmlXPathContext *context = xmlXPathNewContext(doc);
    xmlXPathObject *found;
    xmlChar *text;
    char *copy;

    xmlXPathRegisterNs(context, BAD_CAST "s", BAD_CAST "http://www.w3.org/2000/svg");
    found = xmlXPathEvalExpression(BAD_CAST expression, context);
    ck_assert_msg(found != NULL, "%s", expression);
    text = xmlXPathCastToString(found);
    copy = g_strdup((const char *)text);
    xmlFree(text);
    xmlXPathFreeObject(found);
    xmlXPathFreeContext(context);
    return copy;
}

static void
assert_says(const char *expression, const char *wanted)
{
    g_autofree char *text = ask(expression);

    ck_assert_msg(strcmp(text, wanted) == 0, "%s is %s, wanted %s", expression, text, wanted);
}

static double
number(const char *expression)
{
    g_autofree char *text = ask(expression);

    return g_ascii_strtod(text, NULL);
}

/** Elements of a kind in all groups of a layer. */
static double
in_layer(const char *layer, const char *element)
{
    g_autofree char *count =
        g_strdup_printf("count(/s:svg/s:g[@id='%s' or @class='%s']//s:%s)", layer, layer, element);

    return number(count);
}

START_TEST(one_unit_is_one_mm_of_the_sheet)
{
    g_autofree char *path = NULL;
    double x0, x1;

    fixture_scene(&fixture);
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0.2, tb_measurer_plain(), NULL), TB_OK);
    read_back();
    assert_says("/s:svg/@width", "297mm");
    assert_says("/s:svg/@height", "210mm");
    assert_says("/s:svg/@viewBox", "0 0 297 210");
    assert_says("/s:svg/s:title", "Side cut, Y = -187.3 mm");
    /* the rail is 60 mm wide: 12 mm at 1:5 */
    path = ask("//s:g[@id='outlines']//s:path[@data-shows='rail']/@d");
    ck_assert_int_eq(sscanf(path, "M%lf %*f %lf", &x0, &x1), 2);
    ck_assert_double_eq_tol(fabs(x1 - x0), 12, 0.002);
}
END_TEST

START_TEST(layers_of_a_cut_are_called_by_what_they_hold)
{
    static const char *const layers[] = {"title", "notes",    "beyond",    "fills",
                                         "hatch", "outlines", "envelopes", "centre-lines",
                                         "gaps",  "axes",     "labels",    "frame"};

    fixture_scene(&fixture);
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), NULL), TB_OK);
    read_back();
    for (size_t i = 0; i < G_N_ELEMENTS(layers); i++) {
        g_autofree char *count = g_strdup_printf("count(/s:svg/s:g[@id='%s' or @class='%s'][.//*])",
                                                 layers[i], layers[i]);

        ck_assert_msg(number(count) >= 1, "no layer %s", layers[i]);
    }
    /* no id twice */
    assert_says("count(//*[@id][@id = following::*/@id])", "0");
    assert_says("//s:g[@id='axes' or @class='axes']//s:text[.='100 mm']", "100 mm");
    ck_assert_double_ge(in_layer("gaps", "text"), 3);
    assert_says("//s:text[.='Turbine outlet']", "Turbine outlet");
}
END_TEST

START_TEST(charts_are_curves_and_limits_and_a_map_within_one_file)
{
    fixture_strip(&fixture);
    fixture_map(&fixture);
    ck_assert_int_eq(tb_charts_view(&picture, &fixture.strip, tb_measurer_plain(), NULL), TB_OK);
    read_back();
    ck_assert_double_ge(in_layer("curves", "path"), 3);
    ck_assert_double_ge(in_layer("findings", "path"), 1);
    ck_assert_double_ge(in_layer("grid", "text"), 8);
    ck_assert_double_ge(in_layer("limits", "path"), 1);
    assert_says("count(//s:g[@id='map']//s:image[starts-with(@*[name()='xlink:href'], "
                "'data:image/png;base64,iVBOR')])",
                "2");
}
END_TEST

START_TEST(texts_stay_texts_whatever_is_in_them)
{
    TbTextStyle style = {.size = 9, .ink = TB_INK_INK, .anchor = TB_ANCHOR_RIGHT, .turn = 90};

    tb_picture_init(&picture, 100, 70);
    tb_picture_layer(&picture, TB_LAYER_LABELS);
    tb_picture_text(&picture, tb_vec2(43.7, 21.3), style, "a<b & \"c\" > '\303\244'\033");
    read_back();
    assert_says("//s:g[@id='labels']/s:text", "a<b & \"c\" > '\303\244' ");
    assert_says("//s:text/@text-anchor", "end");
    assert_says("//s:text/@transform", "rotate(-90 43.7 21.3)");
    /* 9 pt */
    ck_assert_double_eq_tol(number("//s:text/@font-size"), 3.175, 1e-9);
    assert_says("contains(/s:svg/@font-family, 'sans-serif')", "true");
}
END_TEST

static void
square(double x, double y, double side)
{
    tb_picture_rectangle(&picture, tb_vec2(x, y), tb_vec2(x + side, y + side),
                         (TbAreaStyle){.fill = TB_INK_HOT, .edge = TB_INK_INK, .pen = TB_PEN_CUT},
                         NULL);
}

/* The second square lies on the first one's outline, the third lies apart: its fill may go down. */
START_TEST(a_layer_is_split_only_where_something_else_lies_under_it)
{
    tb_picture_init(&picture, 100, 70);
    tb_picture_layer(&picture, TB_LAYER_OUTLINES);
    square(10, 10, 20.7);
    square(21.3, 17.1, 20.7);
    square(60, 40, 20.7);
    read_back();
    assert_says("count(/s:svg/s:g)", "4");
    assert_says("/s:svg/s:g[1]/@id", "fills");
    assert_says("/s:svg/s:g[2]/@id", "outlines");
    assert_says("/s:svg/s:g[3]/@id", "fills-2");
    assert_says("/s:svg/s:g[3]/@class", "fills");
    assert_says("/s:svg/s:g[4]/@id", "outlines-2");
    assert_says("count(//s:g[@id='fills']/*)", "1");
    /* the third went to the last group of its layer */
    assert_says("count(//s:g[@id='fills-2']/*)", "2");
}
END_TEST

/** Length of all lines of a path of separate lines, and how far they lie from a centre at most. */
static double
length_of_lines(const char *path, TbVec2 centre, double *furthest)
{
    double x0, y0, x1, y1, sum = 0;

    *furthest = 0;
    for (const char *at = path; at != NULL && *at == 'M'; at = strchr(at + 1, 'M')) {
        ck_assert_int_eq(sscanf(at, "M%lf %lf %lf %lf", &x0, &y0, &x1, &y1), 4);
        sum += hypot(x1 - x0, y1 - y0);
        *furthest = fmax(*furthest, fmax(hypot(x0 - centre.x, y0 - centre.y),
                                         hypot(x1 - centre.x, y1 - centre.y)));
    }
    return sum;
}

/* Lines a step apart: their length times the step is the area. */
START_TEST(hatch_is_lines_that_fill_the_ring_and_end_at_its_edges)
{
    enum { N = 180 };
    TbVec2 p[2 * N];
    TbLoopSpan ring[2] = {{0, N}, {N, N}};
    TbVec2 centre = {52.3, 37.1};
    g_autofree char *path = NULL;
    double furthest, sum;

    for (int i = 0; i < 2 * N; i++) {
        double r = i < N ? 30.7 : 18.9;

        p[i] = tb_vec2(centre.x + r * cos(2 * M_PI * i / N), centre.y + r * sin(2 * M_PI * i / N));
    }
    tb_picture_init(&picture, 100, 70);
    tb_picture_layer(&picture, TB_LAYER_OUTLINES);
    tb_picture_area(
        &picture, p, ring, 2,
        (TbAreaStyle){
            .fill = TB_INK_NONE, .edge = TB_INK_INK, .hatch_angle = 37, .hatch_step = 0.7},
        NULL);
    read_back();
    path = ask("//s:g[@id='hatch']/s:path/@d");
    sum = length_of_lines(path, centre, &furthest);
    ck_assert_double_eq_tol(sum * 0.7, M_PI * (30.7 * 30.7 - 18.9 * 18.9), 6);
    ck_assert_double_le(furthest, 30.702);
    ck_assert_double_ge(furthest, 30.6);
}
END_TEST

START_TEST(a_hatch_far_beyond_its_clip_stays_a_few_lines)
{
    g_autofree char *path = NULL;

    tb_picture_init(&picture, 100, 70);
    tb_picture_layer(&picture, TB_LAYER_OUTLINES);
    tb_picture_clip(&picture, tb_vec2(10, 10), tb_vec2(90, 60));
    tb_picture_rectangle(
        &picture, tb_vec2(-2e6, -1e6), tb_vec2(3e6, 1e6),
        (TbAreaStyle){
            .fill = TB_INK_NONE, .edge = TB_INK_INK, .hatch_angle = 45, .hatch_step = 2.5},
        NULL);
    tb_picture_unclip(&picture);
    read_back();
    path = ask("//s:g[@id='hatch']//s:path/@d");
    ck_assert_uint_lt(strlen(path), 4000);
    ck_assert_uint_gt(strlen(path), 400);
    assert_says("//s:clipPath/s:rect/@width", "80");
    assert_says("//s:g[@id='hatch']/s:g/@clip-path", "url(#clip-1)");
}
END_TEST

/* ---- other formats ---- */

START_TEST(the_same_picture_is_the_same_file)
{
    unsigned char *once = NULL, *again = NULL;
    size_t size = 0, size_again = 0;

    fixture_scene(&fixture);
    ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), NULL), TB_OK);
    ck_assert_int_eq(
        tb_export_bytes(&picture, (TbExportFormat)_i, TB_THEME_PRINT, &once, &size, NULL), TB_OK);
    ck_assert_int_eq(
        tb_export_bytes(&picture, (TbExportFormat)_i, TB_THEME_PRINT, &again, &size_again, NULL),
        TB_OK);
    ck_assert_uint_eq(size, size_again);
    ck_assert_mem_eq(once, again, size);
    /* nor does it tell the time, which would differ tomorrow */
    ck_assert_ptr_null(memmem(once, size, "CreationDate", 12));
    tb_free(once);
    tb_free(again);
}
END_TEST

START_TEST(png_has_and_says_the_dots_that_were_asked)
{
    /* 11811 dots a metre are 300 an inch; the sum over type and data is that of zlib's crc32() */
    static const unsigned char chunk[21] = {0,    0,    0, 9,    'p',  'H',  'Y',
                                            's',  0,    0, 0x2E, 0x23, 0,    0,
                                            0x2E, 0x23, 1, 0x78, 0xA5, 0x3F, 0x76};
    unsigned char *bytes = NULL;
    size_t size = 0;
    TbFault fault = {0};

    tb_picture_init(&picture, 100, 70);
    square(10, 10, 20.7);
    ck_assert_int_eq(tb_export_png(&picture, TB_THEME_PRINT, 300, &bytes, &size, NULL), TB_OK);
    ck_assert_mem_eq(bytes + 33, chunk, sizeof chunk);
    /* width and height stand in the head: 1181.1 and 826.8 dots */
    ck_assert_int_eq(bytes[18] << 8 | bytes[19], 1182);
    ck_assert_int_eq(bytes[22] << 8 | bytes[23], 827);
    tb_free(bytes);
    ck_assert_int_eq(tb_export_png(&picture, TB_THEME_PRINT, 49, &bytes, &size, &fault),
                     TB_E_RANGE);
    ck_assert_str_eq(fault.text, "49 dpi, 50 to 600 can be asked");
    ck_assert_int_eq(tb_export_png(&picture, TB_THEME_PRINT, NAN, &bytes, &size, &fault),
                     TB_E_RANGE);
}
END_TEST

/** Lightness of blocks of 8 x 8 dots, 0 to 255, as long as the image has whole ones. */
static GArray *
blocks_of(const char *path)
{
    cairo_surface_t *image = cairo_image_surface_create_from_png(path);
    int wide = cairo_image_surface_get_width(image), tall = cairo_image_surface_get_height(image);
    int stride = cairo_image_surface_get_stride(image);
    const unsigned char *dots = cairo_image_surface_get_data(image);
    GArray *blocks = g_array_new(FALSE, FALSE, sizeof(double));

    ck_assert_int_eq(cairo_surface_status(image), CAIRO_STATUS_SUCCESS);
    for (int y = 0; y + 8 <= tall; y += 8)
        for (int x = 0; x + 8 <= wide; x += 8) {
            double sum = 0;

            for (int i = 0; i < 64; i++) {
                const unsigned char *dot = dots + (y + i / 8) * stride + 4 * (x + i % 8);

                sum += (dot[0] + dot[1] + dot[2]) / 3.0;
            }
            sum /= 64;
            g_array_append_val(blocks, sum);
        }
    cairo_surface_destroy(image);
    return blocks;
}

static void
save(const char *path, TbExportFormat format)
{
    unsigned char *bytes = NULL;
    size_t size = 0;

    ck_assert_int_eq(tb_export_bytes(&picture, format, TB_THEME_PRINT, &bytes, &size, NULL), TB_OK);
    ck_assert(g_file_set_contents(path, (const char *)bytes, (gssize)size, NULL));
    tb_free(bytes);
}

/* An independent program's picture of the SVG against the painter's: blocks of a mm differ by
 * their edges' antialiasing and their letters' hinting only. */
START_TEST(another_program_draws_the_svg_as_the_png_is)
{
    g_autofree char *folder = g_dir_make_tmp("tb-svg-XXXXXX", NULL);
    g_autofree char *svg = g_build_filename(folder, "a.svg", NULL);
    g_autofree char *png = g_build_filename(folder, "a.png", NULL);
    g_autofree char *theirs = g_build_filename(folder, "b.png", NULL);
    char *words[] = {"rsvg-convert", "-d", "200", "-p", "200", "-o", theirs, svg, NULL};
    g_autofree char *found = g_find_program_in_path("rsvg-convert");
    g_autoptr(GArray) a = NULL;
    g_autoptr(GArray) b = NULL;
    double sum = 0;
    size_t off = 0;
    int wait = 1;

    if (found == NULL) {
        g_printerr("# no rsvg-convert here: the SVG is not drawn by it\n");
        g_rmdir(folder);
        return;
    }
    fixture_scene(&fixture);
    if (_i == 0) {
        ck_assert_int_eq(tb_cut_view(&picture, &fixture.scene, 0, tb_measurer_plain(), NULL),
                         TB_OK);
    } else {
        fixture_strip(&fixture);
        fixture_map(&fixture);
        ck_assert_int_eq(tb_charts_view(&picture, &fixture.strip, tb_measurer_plain(), NULL),
                         TB_OK);
    }
    save(svg, TB_EXPORT_SVG);
    save(png, TB_EXPORT_PNG);
    ck_assert(
        g_spawn_sync(NULL, words, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL, &wait, NULL));
    ck_assert_int_eq(wait, 0);
    a = blocks_of(png);
    b = blocks_of(theirs);
    ck_assert_uint_eq(a->len, b->len);
    for (guint i = 0; i < a->len; i++) {
        double d = fabs(g_array_index(a, double, i) - g_array_index(b, double, i));

        sum += d;
        off += d > 40;
    }
    ck_assert_msg(sum / a->len < 1.0, "blocks differ by %g of 255 in the mean", sum / a->len);
    ck_assert_msg(off < a->len / 500, "%zu of %u blocks differ by more than 40 of 255", off,
                  a->len);
    g_unlink(svg);
    g_unlink(png);
    g_unlink(theirs);
    g_rmdir(folder);
}
END_TEST

static Suite *
svg_suite(void)
{
    Suite *s = suite_create("draw/svg");
    TCase *c = tcase_create("svg");

    tcase_add_checked_fixture(c, NULL, tear_down);
    tcase_set_timeout(c, 60);
    tcase_add_test(c, one_unit_is_one_mm_of_the_sheet);
    tcase_add_test(c, layers_of_a_cut_are_called_by_what_they_hold);
    tcase_add_test(c, charts_are_curves_and_limits_and_a_map_within_one_file);
    tcase_add_test(c, texts_stay_texts_whatever_is_in_them);
    tcase_add_test(c, a_layer_is_split_only_where_something_else_lies_under_it);
    tcase_add_test(c, hatch_is_lines_that_fill_the_ring_and_end_at_its_edges);
    tcase_add_test(c, a_hatch_far_beyond_its_clip_stays_a_few_lines);
    tcase_add_loop_test(c, the_same_picture_is_the_same_file, TB_EXPORT_SVG, TB_EXPORT_PNG + 1);
    tcase_add_test(c, png_has_and_says_the_dots_that_were_asked);
    tcase_add_loop_test(c, another_program_draws_the_svg_as_the_png_is, 0, 2);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(svg_suite());
}
