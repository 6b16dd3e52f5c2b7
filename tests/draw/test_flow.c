/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/flow.h"

#include "golden.h"
#include "pages.h"
#include "tap.h"

#include <math.h>

/* Pages of texts and tables, measured by a plain measurer: no font is needed. */

#define WIDTH 173.0
#define LETTER (0.55 * TB_PT_SMALL * TB_MM_PER_PT)

static TbFlow *flow;
static TbPicture page;

static const TbTextStyle small = {.size = TB_PT_SMALL, .ink = TB_INK_INK};

/** Rows of a table with awkward lengths: row r, column c has (r * 7 + c * 5) % 29 words, at
 * least 1. */
static void
cell_of_words(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    size_t words = column == 0 ? 1 : 1 + (row * 7 + column * 5) % 29;

    (void)user;
    for (size_t i = 0; i < words; i++)
        g_string_append_printf(cell->text, "%sr%zuc%zuw%zu", i > 0 ? " " : "", row, column, i);
    if (column == 0) {
        cell->marked = true;
        cell->level = row % 3 == 0 ? TB_LEVEL_SHORT : TB_LEVEL_HOLDS;
    }
}

static void
number_or_name(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    if (column == 0)
        g_string_append(cell->text, user);
    else
        g_string_append_printf(cell->text, "%.1f", 12345.6 * (double)(row + 1));
}

static const TbFlowColumn three[] = {
    {"Level", false}, {"First side", false}, {"Other side and its reason", false}};

static void
setup(void)
{
    flow = tb_flow_new(tb_measurer_plain());
}

static void
teardown(void)
{
    tb_flow_free(flow);
}

static void
add_words(size_t rows)
{
    tb_flow_table(
        flow, &(TbFlowTable){
                  .columns = three, .column_count = 3, .row_count = rows, .cell = cell_of_words});
}

static double
draw(size_t number, double height)
{
    double used;

    tb_picture_init(&page, WIDTH, height);
    used = tb_flow_draw(flow, number, &page, tb_vec2(0, 0));
    ck_assert_int_eq(page.status, TB_OK);
    return used;
}

static TbRectangle
room(double height)
{
    return (TbRectangle){{0, 0}, {WIDTH, height}};
}

START_TEST(every_row_stands_once_in_order_and_nothing_lies_on_anything)
{
    size_t next = 0, pages;

    add_words(83);
    pages = tb_flow_plan(flow, WIDTH, 141.3);
    ck_assert_uint_gt(pages, 4);
    for (size_t i = 0; i < pages; i++) {
        double used = draw(i, 141.3);

        ck_assert_double_le(used, 141.3 + 1e-9);
        pages_assert_apart(&page, room(141.3), tb_measurer_plain());
        for (size_t k = 0; k < page.mark_count; k++) {
            char want[32];

            if (page.marks[k].kind != TB_MARK_TEXT)
                continue;
            snprintf(want, sizeof want, "r%zuc0w0", next);
            next += strcmp(tb_picture_string(&page, page.marks[k].text), want) == 0;
        }
        tb_picture_clear(&page);
    }
    ck_assert_uint_eq(next, 83);
}
END_TEST

START_TEST(each_page_of_a_table_repeats_its_head_and_says_what_goes_on)
{
    size_t pages;

    tb_flow_heading(flow, "Gaps");
    add_words(60);
    pages = tb_flow_plan(flow, WIDTH, 120);
    ck_assert_uint_ge(pages, 3);
    for (size_t i = 0; i < pages; i++) {
        draw(i, 120);
        ck_assert_uint_eq(pages_count(&page, "First side"), 1);
        ck_assert_uint_eq(pages_count(&page, i == 0 ? "Gaps" : "Gaps (continued)"), 1);
        tb_picture_clear(&page);
    }
}
END_TEST

START_TEST(no_word_of_a_cell_is_lost_between_pages)
{
    size_t pages, seen = 0, wanted = 0;

    add_words(41);
    pages = tb_flow_plan(flow, WIDTH, 97.7);
    for (size_t row = 0; row < 41; row++)
        for (size_t column = 0; column < 3; column++)
            wanted += column == 0 ? 1 : 1 + (row * 7 + column * 5) % 29;
    for (size_t i = 0; i < pages; i++) {
        draw(i, 97.7);
        for (size_t k = 0; k < page.mark_count; k++)
            if (page.marks[k].kind == TB_MARK_TEXT)
                for (const char *p = tb_picture_string(&page, page.marks[k].text);
                     (p = strstr(p, "w")) != NULL; p++)
                    seen += p[1] >= '0' && p[1] <= '9';
        tb_picture_clear(&page);
    }
    ck_assert_uint_eq(seen, wanted);
}
END_TEST

/** A heading is the larger bold text; something must stand below it on its page. */
static void
assert_no_heading_is_last(void)
{
    double lowest_heading = -1, lowest = -1;

    for (size_t k = 0; k < page.mark_count; k++) {
        const TbMark *mark = &page.marks[k];

        if (mark->kind != TB_MARK_TEXT)
            continue;
        if (mark->bold && mark->size > TB_PT_TEXT)
            lowest_heading = fmax(lowest_heading, mark->at.y);
        else if (!mark->bold)
            lowest = fmax(lowest, mark->at.y);
    }
    ck_assert_msg(lowest_heading < lowest, "a heading stands alone at %.1f", lowest_heading);
}

START_TEST(no_heading_stands_alone_whatever_the_page)
{
    for (size_t i = 0; i < 9; i++) {
        tb_flow_heading(flow, "A heading");
        tb_flow_text(flow,
                     "A paragraph of some words that needs more than one line of its page, "
                     "so that it has a choice where to break, and then some more.",
                     small);
        tb_flow_heading(flow, "Another");
        add_words(i);
    }
    for (double height = 45; height < 260; height += 3.7) {
        size_t pages = tb_flow_plan(flow, WIDTH, height);

        for (size_t i = 0; i < pages; i++) {
            draw(i, height);
            assert_no_heading_is_last();
            pages_assert_apart(&page, room(height), tb_measurer_plain());
            tb_picture_clear(&page);
        }
    }
}
END_TEST

START_TEST(a_heading_of_nothing_is_left_out)
{
    tb_flow_heading(flow, "Nothing");
    add_words(0);
    tb_flow_heading(flow, "Something");
    tb_flow_text(flow, "here", small);
    tb_flow_heading(flow, "Nothing again");
    tb_flow_space(flow, 5);
    tb_flow_break(flow);
    ck_assert_uint_eq(tb_flow_plan(flow, WIDTH, 100), 1);
    draw(0, 100);
    ck_assert_uint_eq(pages_mentions(&page, "Nothing"), 0);
    ck_assert_uint_eq(pages_count(&page, "Something"), 1);
    tb_picture_clear(&page);
}
END_TEST

START_TEST(a_flow_of_headings_alone_has_no_page)
{
    tb_flow_heading(flow, "Nothing");
    tb_flow_heading(flow, "Nothing else");
    ck_assert_uint_eq(tb_flow_plan(flow, WIDTH, 100), 0);
}
END_TEST

START_TEST(a_name_of_400_letters_wraps_and_a_number_never_does)
{
    static char name[3 * 400 + 1];
    static const TbFlowColumn columns[] = {{"Name", false}, {"A", true}, {"B", true}, {"C", true}};
    size_t letters = 0;

    /* 400 letters of two bytes, without a space */
    for (int i = 0; i < 400; i++)
        memcpy(name + 2 * i, "ä", 3);
    tb_flow_table(flow, &(TbFlowTable){.columns = columns,
                                       .column_count = 4,
                                       .row_count = 2,
                                       .cell = number_or_name,
                                       .user = name});
    ck_assert_uint_eq(tb_flow_plan(flow, WIDTH, 190), 1);
    draw(0, 190);
    pages_assert_apart(&page, room(190), tb_measurer_plain());
    ck_assert_uint_eq(pages_count(&page, "12345.6"), 3);
    ck_assert_uint_eq(pages_count(&page, "24691.2"), 3);
    for (size_t k = 0; k < page.mark_count; k++)
        if (page.marks[k].kind == TB_MARK_TEXT) {
            const char *text = tb_picture_string(&page, page.marks[k].text);

            ck_assert(g_utf8_validate(text, -1, NULL));
            letters += strstr(text, "ä") != NULL ? g_utf8_strlen(text, -1) : 0;
        }
    ck_assert_uint_eq(letters, 800);
    tb_picture_clear(&page);
}
END_TEST

START_TEST(numbers_keep_their_width_where_texts_must_give)
{
    static const TbFlowColumn columns[] = {
        {"A very long head of names", false}, {"One", true}, {"Two", true}, {"Three", true}};
    tb_flow_table(flow, &(TbFlowTable){.columns = columns,
                                       .column_count = 4,
                                       .row_count = 3,
                                       .cell = number_or_name,
                                       .user = "Incomprehensibilities-of-the-manifold"});
    tb_flow_plan(flow, 72, 190);
    tb_picture_init(&page, 72, 190);
    tb_flow_draw(flow, 0, &page, tb_vec2(0, 0));
    pages_assert_apart(&page, (TbRectangle){{0, 0}, {72, 190}}, tb_measurer_plain());
    ck_assert_uint_eq(pages_count(&page, "37036.8"), 3);
    tb_picture_clear(&page);
}
END_TEST

static void
one_long_cell(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    (void)user;
    (void)row;
    for (int i = 0; column == 1 && i < 900; i++)
        g_string_append_printf(cell->text, "word%d ", i);
    if (column != 1)
        g_string_append(cell->text, "short");
}

START_TEST(a_row_that_no_page_holds_is_cut_between_its_lines)
{
    size_t pages, words = 0;

    tb_flow_table(
        flow,
        &(TbFlowTable){.columns = three, .column_count = 3, .row_count = 1, .cell = one_long_cell});
    pages = tb_flow_plan(flow, WIDTH, 83);
    ck_assert_uint_ge(pages, 3);
    for (size_t i = 0; i < pages; i++) {
        draw(i, 83);
        pages_assert_apart(&page, room(83), tb_measurer_plain());
        for (size_t k = 0; k < page.mark_count; k++)
            if (page.marks[k].kind == TB_MARK_TEXT)
                for (const char *p = tb_picture_string(&page, page.marks[k].text);
                     (p = strstr(p, "word")) != NULL; p++)
                    words++;
        tb_picture_clear(&page);
    }
    ck_assert_uint_eq(words, 900);
}
END_TEST

static void
draw_nothing(void *user, TbPicture *picture, TbRectangle where)
{
    (void)user;
    (void)picture;
    (void)where;
}

START_TEST(a_paragraph_leaves_no_line_alone_on_either_side_of_a_break)
{
    static char text[6000];
    size_t used = 0;

    for (int i = 0; i < 600; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "w%d ", i);
    for (int before = 0; before < 12; before++) {
        size_t pages;

        tb_flow_free(flow);
        setup();
        tb_flow_drawing(flow, 40 + 4 * before, draw_nothing, NULL);
        tb_flow_text(flow, text, small);
        pages = tb_flow_plan(flow, WIDTH, 90);
        for (size_t i = 1; i < pages; i++) {
            size_t lines = 0;

            draw(i, 90);
            for (size_t k = 0; k < page.mark_count; k++)
                lines += page.marks[k].kind == TB_MARK_TEXT;
            ck_assert_uint_ge(lines, 2);
            tb_picture_clear(&page);
        }
    }
}
END_TEST

START_TEST(lines_break_after_spaces_and_seams)
{
    /* 20 letters fit */
    tb_flow_text(flow, "frame-rail/left-hand_side and\nmore", small);
    tb_flow_plan(flow, 20 * LETTER + 0.4, 100);
    tb_picture_init(&page, 100, 100);
    tb_flow_draw(flow, 0, &page, tb_vec2(0, 0));
    ck_assert_uint_eq(pages_count(&page, "frame-rail/left-"), 1);
    ck_assert_uint_eq(pages_count(&page, "hand_side and"), 1);
    ck_assert_uint_eq(pages_count(&page, "more"), 1);
    tb_picture_clear(&page);
}
END_TEST

START_TEST(a_page_draws_the_same_whatever_was_drawn_before)
{
    char *first, *again;

    tb_flow_heading(flow, "Gaps");
    add_words(70);
    tb_flow_plan(flow, WIDTH, 120);
    draw(2, 120);
    first = tb_picture_dump(&page);
    tb_picture_clear(&page);
    draw(0, 120);
    tb_picture_clear(&page);
    draw(2, 120);
    again = tb_picture_dump(&page);
    tb_picture_clear(&page);
    ck_assert_str_eq(first, again);
    tb_free(first);
    tb_free(again);
}
END_TEST

START_TEST(flow_matches_its_golden)
{
    tb_flow_heading(flow, "Smallest gaps");
    tb_flow_text(flow,
                 "Each pair once, in the state in which it is worst; the second line wraps, "
                 "because the paragraph is longer than the page is wide.",
                 small);
    add_words(4);
    tb_flow_plan(flow, WIDTH, 120);
    draw(0, 120);
    assert_golden(&page, "flow");
    tb_picture_clear(&page);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("draw/flow");
    TCase *tests = tcase_create("flow");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, every_row_stands_once_in_order_and_nothing_lies_on_anything);
    tcase_add_test(tests, each_page_of_a_table_repeats_its_head_and_says_what_goes_on);
    tcase_add_test(tests, no_word_of_a_cell_is_lost_between_pages);
    tcase_add_test(tests, no_heading_stands_alone_whatever_the_page);
    tcase_add_test(tests, a_heading_of_nothing_is_left_out);
    tcase_add_test(tests, a_flow_of_headings_alone_has_no_page);
    tcase_add_test(tests, a_name_of_400_letters_wraps_and_a_number_never_does);
    tcase_add_test(tests, numbers_keep_their_width_where_texts_must_give);
    tcase_add_test(tests, a_row_that_no_page_holds_is_cut_between_its_lines);
    tcase_add_test(tests, a_paragraph_leaves_no_line_alone_on_either_side_of_a_break);
    tcase_add_test(tests, lines_break_after_spaces_and_seams);
    tcase_add_test(tests, a_page_draws_the_same_whatever_was_drawn_before);
    tcase_add_test(tests, flow_matches_its_golden);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
