/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Card gauges on sheets: true size, apart from each other, large ones over several sheets. */

#include "draw/templates.h"

#include "base/mem.h"

#include "draw/golden.h"
#include "draw/texts.h"
#include "tap.h"

#include <math.h>
#include <string.h>

enum { N = 90 };

/** A tube's section of awkward sizes: ellipses about each other. */
typedef struct Section {
    TbVec2 points[2 * N];
    TbTemplateLoop loops[2];
    char name[40], brief[20];
} Section;

static Section sections[7];
static TbTemplate list[7];
static char *lines[] = {"Inside 98.5 x 46 mm, area 4212 mm2", "wall 4 mm"};
static TbTemplates templates;
static TbTemplateSheets *sheets;
static TbPicture picture;

static void
add_section(double wide, double tall, double station)
{
    size_t k = templates.count++;
    Section *section = &sections[k];

    for (int i = 0; i < 2 * N; i++) {
        double wall = i < N ? 4 : 0, angle = 2 * M_PI * i / N;

        section->points[i] =
            tb_vec2((wide / 2 + wall) * sin(angle), (tall / 2 + wall) * cos(angle));
    }
    section->loops[0] = (TbTemplateLoop){TB_TEMPLATE_OUTER, {0, N}};
    section->loops[1] = (TbTemplateLoop){TB_TEMPLATE_INNER, {N, N}};
    snprintf(section->name, sizeof section->name, "Station %g mm", station);
    snprintf(section->brief, sizeof section->brief, "%g", station);
    list[k] = (TbTemplate){.name = section->name,
                           .brief = section->brief,
                           .lines = lines,
                           .line_count = 2,
                           .points = section->points,
                           .point_count = 2 * N,
                           .loops = section->loops,
                           .loop_count = 2};
}

static void
set_up(void)
{
    templates = (TbTemplates){.title = "Turbine outlet, section templates",
                              .subject = "Turbine outlet, revision C",
                              .subtitle = "Small delivery van, revision C, cold",
                              .caution = "These are estimates: verify on the vehicle.",
                              .axis_u = "W",
                              .axis_v = "H",
                              .list = list};
    tb_picture_init(&picture, 1, 1);
    sheets = NULL;
}

static void
tear_down(void)
{
    tb_picture_clear(&picture);
    tb_template_sheets_free(sheets);
}

static void
lay_out(TbPaper paper, TbTemplateSide side)
{
    tb_template_sheets_free(sheets);
    sheets = tb_template_sheets_new(&templates, paper, side, tb_measurer_plain());
    ck_assert_ptr_nonnull(sheets);
}

static void
draw(size_t sheet)
{
    tb_picture_clear(&picture);
    ck_assert_int_eq(tb_template_sheet(sheets, sheet, &picture, NULL), TB_OK);
}

/** Bars of 100 mm that lie, or stand. */
static size_t
count_bars(bool lying)
{
    size_t count = 0;

    for (size_t i = 0; i < picture.mark_count; i++) {
        const TbMark *mark = &picture.marks[i];
        const TbVec2 *p;
        double along, across;

        if (mark->layer != TB_LAYER_CHECK_BARS || mark->kind != TB_MARK_LINE)
            continue;
        p = picture.points + picture.loops[mark->first_loop].first;
        along = lying ? p[1].x - p[0].x : p[1].y - p[0].y;
        across = lying ? p[1].y - p[0].y : p[1].x - p[0].x;
        count += fabs(fabs(along) - 100) < 1e-9 && across == 0;
    }
    return count;
}

/** Area of the K-th loop in the layer of outlines, mm2. */
static double
area_of_outline(size_t k)
{
    for (size_t i = 0; i < picture.mark_count; i++) {
        const TbMark *mark = &picture.marks[i];
        const TbVec2 *p;
        size_t n;
        double sum = 0;

        if (mark->layer != TB_LAYER_OUTLINES || mark->kind != TB_MARK_AREA || k-- > 0)
            continue;
        p = picture.points + picture.loops[mark->first_loop].first;
        n = picture.loops[mark->first_loop].count;
        for (size_t m = 0; m < n; m++)
            sum += p[m].x * p[(m + 1) % n].y - p[(m + 1) % n].x * p[m].y;
        return fabs(sum) / 2;
    }
    return NAN;
}

/** Area of a polygon of N corners on an ellipse. */
static double
polygon(double wide, double tall)
{
    return wide * tall / 4 * N / 2 * sin(2 * M_PI / N);
}

static bool
lie_apart(TbRectangle a, TbRectangle b)
{
    return a.high.x <= b.low.x || b.high.x <= a.low.x || a.high.y <= b.low.y || b.high.y <= a.low.y;
}

START_TEST(outlines_have_their_true_size_and_every_sheet_two_bars)
{
    add_section(98.5, 46.1, 283);
    lay_out(TB_PAPER_A4, TB_TEMPLATE_BOTH);
    ck_assert_uint_eq(tb_template_sheets_count(sheets), 1);
    draw(0);
    ck_assert_double_eq_tol(area_of_outline(0), polygon(106.5, 54.1), 1e-6);
    ck_assert_double_eq_tol(area_of_outline(1), polygon(98.5, 46.1), 1e-6);
    ck_assert_uint_eq(count_bars(true), 1);
    ck_assert_uint_eq(count_bars(false), 1);
    ck_assert(picture_says(&picture, "1:1, sheet 1 of 1"));
    ck_assert(picture_says(&picture, "Station 283 mm"));
    ck_assert(picture_says(&picture, "283"));
    ck_assert(picture_says(&picture, "looking downstream"));
    assert_texts_are_apart(&picture, tb_vec2(5, 5));
    assert_golden(&picture, "templates");
}
END_TEST

START_TEST(one_side_alone_is_drawn_where_it_is_asked)
{
    add_section(58, 58, 0);
    lay_out(TB_PAPER_LETTER, TB_TEMPLATE_OUTSIDE);
    draw(0);
    ck_assert_double_eq_tol(area_of_outline(0), polygon(66, 66), 1e-6);
    ck_assert_double_nan(area_of_outline(1));
    lay_out(TB_PAPER_LETTER, TB_TEMPLATE_INSIDE);
    draw(0);
    ck_assert_double_eq_tol(area_of_outline(0), polygon(58, 58), 1e-6);
    ck_assert_double_nan(area_of_outline(1));
}
END_TEST

START_TEST(gauges_lie_apart_and_clear_of_the_marks_on_every_paper)
{
    TbRectangle window = tb_template_window((TbPaper)_i);
    const TbTemplatePlace *places;
    size_t count, sheets_used = 0;

    for (int k = 0; k < 7; k++)
        add_section(58 + 7.3 * k, 58 - 2.1 * k, 76.6 * k);
    lay_out((TbPaper)_i, TB_TEMPLATE_BOTH);
    count = tb_template_sheets_places(sheets, &places);
    ck_assert_uint_eq(count, 7);
    for (size_t i = 0; i < count; i++) {
        ck_assert_double_ge(places[i].at.low.x, window.low.x + 5);
        ck_assert_double_le(places[i].at.high.x, window.high.x - 5);
        ck_assert_double_ge(places[i].at.low.y, window.low.y + 5);
        ck_assert_double_le(places[i].at.high.y, window.high.y - 5);
        sheets_used = places[i].sheet + 1;
        for (size_t k = i + 1; k < count; k++)
            ck_assert(places[i].sheet != places[k].sheet || lie_apart(places[i].at, places[k].at));
    }
    ck_assert_uint_eq(tb_template_sheets_count(sheets), sheets_used);
    ck_assert_uint_ge(sheets_used, _i == TB_PAPER_A4 || _i == TB_PAPER_LETTER ? 3 : 1);
    for (size_t i = 0; i < sheets_used; i++) {
        draw(i);
        assert_texts_are_apart(&picture, tb_vec2(5, 5));
        ck_assert_uint_eq(count_bars(true), 1);
        ck_assert_uint_eq(count_bars(false), 1);
    }
}
END_TEST

/* 420 x 300 mm on A4, whose window is 264 x 151: two sheets wide, three tall; a small one after it
 * begins a sheet of its own. Windows join where their marks do. */
START_TEST(a_section_larger_than_a_sheet_goes_on_over_several)
{
    TbRectangle window = tb_template_window(TB_PAPER_A4);
    const TbTemplatePlace *places;

    add_section(420.7, 300.3, 512);
    add_section(58, 58, 0);
    lay_out(TB_PAPER_A4, TB_TEMPLATE_BOTH);
    ck_assert_uint_eq(tb_template_sheets_count(sheets), 7);
    ck_assert_uint_eq(tb_template_sheets_places(sheets, &places), 7);
    for (size_t i = 0; i < 6; i++) {
        double x = window.low.x - (double)(i % 2) * (window.high.x - window.low.x);
        double y = window.low.y - (double)(i / 2) * (window.high.y - window.low.y);

        ck_assert_uint_eq(places[i].sheet, i);
        ck_assert_double_eq_tol(places[i].at.low.x, x, 1e-9);
        ck_assert_double_eq_tol(places[i].at.low.y, y, 1e-9);
        draw(i);
        ck_assert_double_eq_tol(area_of_outline(1), polygon(420.7, 300.3), 1e-6);
        ck_assert_uint_eq(count_bars(true), 1);
    }
    ck_assert(
        picture_says(&picture, "part 3.2 of 3 x 2: trim along the window, lay marks on marks"));
    assert_golden(&picture, "templates-part");
    draw(6);
    ck_assert(picture_says(&picture, "Station 0 mm"));
}
END_TEST

START_TEST(a_flange_has_its_holes_and_their_crosses)
{
    static TbVec2 centres[2] = {{33, 0}, {-33, 0}};
    static TbTemplateLoop loops[2] = {{TB_TEMPLATE_INNER, {N, N}}, {TB_TEMPLATE_HOLE, {0, N}}};
    size_t crosses = 0;

    add_section(34, 34, 0);
    list[0].loops = loops;
    list[0].centres = centres;
    list[0].centre_count = 2;
    for (int i = 0; i < N; i++)
        sections[0].points[i] = tb_vec2(33 + 4 * sin(2 * M_PI * i / N), 4 * cos(2 * M_PI * i / N));
    templates.axis_u = "";
    templates.axis_v = "up";
    lay_out(TB_PAPER_A4, TB_TEMPLATE_BOTH);
    draw(0);
    ck_assert_double_eq_tol(area_of_outline(0), polygon(34, 34), 1e-6);
    ck_assert_double_eq_tol(area_of_outline(1), polygon(8, 8), 1e-6);
    ck_assert(picture_says(&picture, "up"));
    for (size_t i = 0; i < picture.mark_count; i++)
        crosses += picture.marks[i].layer == TB_LAYER_CENTRE_LINES;
    ck_assert_uint_eq(crosses, 4);
}
END_TEST

START_TEST(sheets_without_room_fail_clean)
{
    size_t failed = 0;
    long most;

    add_section(98.5, 46.1, 283);
    add_section(420.7, 300.3, 512);
    tb_mem_fail_at(1000000);
    lay_out(TB_PAPER_A4, TB_TEMPLATE_BOTH);
    draw(0);
    most = tb_mem_requests();
    tb_mem_fail_at(0);
    for (long n = 1; n <= most; n++) {
        TbTemplateSheets *now;
        TbPicture one;

        tb_mem_fail_at(n);
        now =
            tb_template_sheets_new(&templates, TB_PAPER_A4, TB_TEMPLATE_BOTH, tb_measurer_plain());
        tb_picture_init(&one, 1, 1);
        /* a card is measured on a picture that nobody looks at: it may be full */
        failed += now == NULL || tb_template_sheet(now, 0, &one, NULL) == TB_E_MEMORY;
        tb_mem_fail_at(0);
        tb_picture_clear(&one);
        tb_template_sheets_free(now);
    }
    ck_assert_uint_gt(failed, 12);
}
END_TEST

static Suite *
templates_suite(void)
{
    Suite *s = suite_create("draw/templates");
    TCase *c = tcase_create("templates");

    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_set_timeout(c, 60);
    tcase_add_test(c, outlines_have_their_true_size_and_every_sheet_two_bars);
    tcase_add_test(c, one_side_alone_is_drawn_where_it_is_asked);
    tcase_add_loop_test(c, gauges_lie_apart_and_clear_of_the_marks_on_every_paper, 0,
                        TB_PAPER_COUNT);
    tcase_add_test(c, a_section_larger_than_a_sheet_goes_on_over_several);
    tcase_add_test(c, a_flange_has_its_holes_and_their_crosses);
    tcase_add_test(c, sheets_without_room_fail_clean);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(templates_suite());
}
