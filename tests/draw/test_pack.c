/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack.h"
#include "draw/pack_pages.h"
#include "draw/pack_sheet.h"

#include "dossier.h"
#include "golden.h"
#include "pages.h"
#include "tap.h"

static Hand hand;
static TbPicture page;

static TbPack *
make(TbPaper paper, const char *const chapters[])
{
    TbPackDef def = {.dossier = &hand.dossier,
                     .paper = paper,
                     .chapters = chapters,
                     .measurer = tb_measurer_plain()};
    TbPack *pack = NULL;

    ck_assert_int_eq(tb_pack_new(&def, &pack, NULL), TB_OK);
    return pack;
}

static void
draw(TbPack *pack, size_t sheet)
{
    TbFault fault = {0};

    ck_assert_msg(tb_pack_sheet(pack, sheet, NULL, &page, &fault) == TB_OK, "%s", fault.text);
}

/** The paper without 5 mm along its edges. */
static TbRectangle
printable(void)
{
    return (TbRectangle){{4.9, 4.9}, {page.width - 4.9, page.height - 4.9}};
}

static const char *const drawn_chapters[] = {"summary",  "gaps",  "rough", "stations",
                                             "register", "basis", NULL};

/** Names of this many letters. */
static const size_t lengths[] = {6, 40, 400};

START_TEST(nothing_lies_on_anything_on_any_sheet_of_any_paper)
{
    TbPaper paper = (TbPaper)(_i % TB_PAPER_COUNT);
    TbPack *pack;

    hand_make(&hand, 61, lengths[_i / TB_PAPER_COUNT]);
    pack = make(paper, drawn_chapters);
    ck_assert_uint_gt(tb_pack_count(pack), 6);
    for (size_t i = 0; i < tb_pack_count(pack); i++) {
        draw(pack, i);
        ck_assert_double_eq(page.width, tb_paper_size(paper).x);
        pages_assert_apart(&page, printable(), tb_measurer_plain());
        tb_picture_clear(&page);
    }
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

START_TEST(every_gap_of_thousands_stands_in_the_table_once)
{
    static const char *const only[] = {"gaps", NULL};
    TbPack *pack;
    size_t rows = 0;

    hand_make(&hand, 3001, 20);
    pack = make(TB_PAPER_A4, only);
    ck_assert_uint_gt(tb_pack_count(pack), 100);
    for (size_t i = 0; i < tb_pack_count(pack); i++) {
        draw(pack, i);
        rows += pages_count(&page, "calliper");
        tb_picture_clear(&page);
    }
    ck_assert_uint_eq(rows, 3001);
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

START_TEST(each_finding_has_its_number_its_level_and_what_was_decided)
{
    static const char *const only[] = {"summary", NULL};
    TbPack *pack;
    size_t numbers[HAND_FINDINGS] = {0}, waived = 0, shorts = 0;

    hand_make(&hand, 20, 20);
    pack = make(TB_PAPER_A3, only);
    for (size_t i = 0; i < tb_pack_count(pack); i++) {
        draw(pack, i);
        for (size_t k = 1; k < HAND_FINDINGS; k++) {
            char number[8];

            snprintf(number, sizeof number, "%zu", k);
            for (size_t m = 0; m < page.mark_count; m++)
                numbers[k] += page.marks[m].kind == TB_MARK_TEXT && page.marks[m].bold &&
                              page.marks[m].anchor == TB_ANCHOR_RIGHT &&
                              strcmp(tb_picture_string(&page, page.marks[m].text), number) == 0;
        }
        waived += pages_count(&page, "Waived");
        shorts += pages_count(&page, "short");
        tb_picture_clear(&page);
    }
    for (size_t k = 1; k < HAND_FINDINGS; k++)
        ck_assert_uint_eq(numbers[k], 1);
    ck_assert_uint_eq(waived, 3);
    ck_assert_uint_eq(shorts, 2);
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

START_TEST(chapters_with_nothing_to_show_are_left_out)
{
    TbPack *pack;

    hand_make(&hand, 0, 20);
    hand.results.item_count = 0;
    hand.results.duct_count = 0;
    for (int i = 0; i < TB_DOSSIER_LISTS; i++)
        hand.dossier.lists[i].row_count = 0;
    pack = make(TB_PAPER_A4, drawn_chapters);
    for (size_t i = 0; i < tb_pack_count(pack); i++) {
        TbPackPlace place = tb_pack_place(pack, i);
        bool is_first = i < tb_pack_place(pack, 0).pages;

        ck_assert_str_eq(tb_pack_chapter_name(place.chapter), is_first ? "summary" : "basis");
        ck_assert_uint_eq(place.chapter_number, is_first ? 1 : 2);
    }
    ck_assert_uint_gt(tb_pack_count(pack), tb_pack_place(pack, 0).pages);
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

START_TEST(a_chapter_that_there_is_not_is_told_with_those_that_there_are)
{
    static const char *const wrong[] = {"summary", "summery", NULL};
    TbPackDef def = {.chapters = wrong, .measurer = tb_measurer_plain()};
    TbPack *pack = NULL;
    TbFault fault = {0};

    hand_make(&hand, 1, 20);
    def.dossier = &hand.dossier;
    ck_assert_int_eq(tb_pack_new(&def, &pack, &fault), TB_E_REFERENCE);
    ck_assert_ptr_null(pack);
    ck_assert_ptr_nonnull(strstr(fault.text, "summery"));
    ck_assert_ptr_nonnull(strstr(fault.text, "stations"));
    hand_clear(&hand);
}
END_TEST

START_TEST(the_title_block_tells_sheet_of_sheets_revision_and_date)
{
    TbPack *pack;
    char sheet[40];

    hand_make(&hand, 90, 20);
    pack = make(TB_PAPER_A4, drawn_chapters);
    for (size_t i = 0; i < tb_pack_count(pack); i++) {
        snprintf(sheet, sizeof sheet, "%zu / %zu", i + 1, tb_pack_count(pack));
        draw(pack, i);
        ck_assert_uint_eq(pages_count(&page, sheet), 1);
        ck_assert_uint_ge(pages_count(&page, "2026-10-19"), 1);
        ck_assert_uint_eq(pages_count(&page, "hand-made"), 1);
        tb_picture_clear(&page);
    }
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

START_TEST(the_contents_tell_each_chapters_sheets)
{
    TbPack *pack;
    size_t last = 0, told = 0;

    hand_make(&hand, 90, 20);
    pack = make(TB_PAPER_A4, drawn_chapters);
    for (size_t i = 0; i < tb_pack_count(pack); i++) {
        TbPackPlace place = tb_pack_place(pack, i);
        char sheets[40];
        bool found = false;

        if (place.page > 0)
            continue;
        snprintf(sheets, sizeof sheets, place.pages > 1 ? "%zu–%zu" : "%zu", i + 1,
                 i + place.pages);
        for (size_t k = 0; k < tb_pack_place(pack, 0).pages; k++) {
            draw(pack, k);
            found = found || pages_count(&page, sheets) > 0;
            tb_picture_clear(&page);
        }
        ck_assert_msg(found, "sheets %s are not told", sheets);
        ck_assert_uint_eq(i, last);
        last = i + place.pages;
        told++;
    }
    ck_assert_uint_eq(last, tb_pack_count(pack));
    ck_assert_uint_eq(told, 6);
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

START_TEST(a_title_of_400_letters_ends_in_an_ellipsis_within_its_box)
{
    TbPack *pack;
    bool found = false;

    hand_make(&hand, 3, 400);
    pack = make(TB_PAPER_A4, drawn_chapters);
    draw(pack, tb_pack_count(pack) - 1);
    for (size_t i = 0; i < page.mark_count; i++)
        found = found || (page.marks[i].kind == TB_MARK_TEXT && page.marks[i].at.y > 170 &&
                          g_str_has_suffix(tb_picture_string(&page, page.marks[i].text), "…"));
    ck_assert(found);
    tb_picture_clear(&page);
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

/** Zones of each paper: fields along the long and the short side. */
static const struct {
    TbPaper paper;
    const char *last_number, *beyond_number, *last_letter, *beyond_letter;
} zones[] = {
    {TB_PAPER_A4, "6", "7", "D", "E"},
    {TB_PAPER_A3, "8", "9", "F", "G"},
};

START_TEST(zones_are_as_many_as_the_paper_has)
{
    TbSheetTitle title = {
        .title = &hand.dossier.title, .subject = "", .scale = "", .sheet = 1, .sheets = 1};
    TbVec2 size = tb_paper_size(zones[_i].paper);

    hand_make(&hand, 0, 20);
    tb_picture_init(&page, size.x, size.y);
    tb_pack_sheet_frame(&page, zones[_i].paper, &title, tb_measurer_plain());
    ck_assert_uint_eq(pages_count(&page, zones[_i].last_number), 2);
    ck_assert_uint_eq(pages_count(&page, zones[_i].beyond_number), 0);
    ck_assert_uint_eq(pages_count(&page, zones[_i].last_letter), 2);
    ck_assert_uint_eq(pages_count(&page, zones[_i].beyond_letter), 0);
    tb_picture_clear(&page);
    hand_clear(&hand);
}
END_TEST

/** x of the middle of the symbol's lines that have this many points. */
static double
middle_of_lines(size_t points)
{
    double low = INFINITY, high = -INFINITY;

    for (size_t i = 0; i < page.mark_count; i++) {
        const TbMark *mark = &page.marks[i];
        TbLoopSpan loop;

        if (mark->kind != TB_MARK_LINE || page.loops[mark->first_loop].count != points)
            continue;
        loop = page.loops[mark->first_loop];
        for (size_t k = 0; k < loop.count; k++) {
            low = fmin(low, page.points[loop.first + k].x);
            high = fmax(high, page.points[loop.first + k].x);
        }
    }
    return (low + high) / 2;
}

START_TEST(the_end_view_stands_right_in_first_angle_and_left_in_third)
{
    TbSheetTitle title = {.title = &hand.dossier.title,
                          .subject = "",
                          .scale = "1:2",
                          .has_views = true,
                          .projection = (TbProjection)_i,
                          .sheet = 1,
                          .sheets = 1};
    double cone, rings;

    hand_make(&hand, 0, 20);
    tb_picture_init(&page, 297, 210);
    tb_pack_sheet_frame(&page, TB_PAPER_A4, &title, tb_measurer_plain());
    cone = middle_of_lines(5);
    rings = middle_of_lines(49);
    if (_i == TB_PROJECTION_FIRST)
        ck_assert_double_gt(rings, cone + 5);
    else
        ck_assert_double_lt(rings, cone - 5);
    ck_assert_uint_eq(pages_count(&page, "1:2"), 1);
    tb_picture_clear(&page);
    hand_clear(&hand);
}
END_TEST

START_TEST(any_sheet_is_the_same_in_any_order)
{
    TbPack *pack;
    char *first, *again;

    hand_make(&hand, 90, 40);
    pack = make(TB_PAPER_A3, drawn_chapters);
    for (size_t i = 0; i < tb_pack_count(pack); i++) {
        draw(pack, i);
        first = tb_picture_dump(&page);
        tb_picture_clear(&page);
        draw(pack, tb_pack_count(pack) - 1 - i);
        tb_picture_clear(&page);
        draw(pack, i);
        again = tb_picture_dump(&page);
        tb_picture_clear(&page);
        ck_assert_str_eq(first, again);
        tb_free(first);
        tb_free(again);
    }
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

START_TEST(planning_asks_for_no_cut_and_a_sheet_lets_its_own_go)
{
    TbPack *pack;

    hand_make(&hand, 20, 20);
    pack = make(TB_PAPER_A3, drawn_chapters);
    ck_assert_uint_eq(hand.cuts, 0);
    draw(pack, 0);
    ck_assert_uint_eq(hand.cuts, 1);
    ck_assert_int_eq(hand.fixture.scene.references, 1000);
    tb_picture_clear(&page);
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

START_TEST(a_cut_that_cannot_be_made_is_told_and_ends_the_pack)
{
    TbPack *pack;
    TbFault fault = {0};

    hand_make(&hand, 20, 20);
    hand.cuts_fail = true;
    pack = make(TB_PAPER_A3, drawn_chapters);
    ck_assert_int_eq(tb_pack_sheet(pack, 0, NULL, &page, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "no cut at Y = 212 mm");
    tb_picture_clear(&page);
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

/* ---- writing ---- */

typedef struct Heap {
    GString *bytes;
    size_t fails_after;
} Heap;

static TbStatus
take(void *user, const void *bytes, size_t size, TbFault *fault)
{
    Heap *heap = user;

    if (heap->fails_after > 0 && heap->bytes->len + size > heap->fails_after)
        return tb_fail(fault, TB_E_IO, "the disk is full");
    g_string_append_len(heap->bytes, bytes, (gssize)size);
    return TB_OK;
}

START_TEST(the_same_dossier_gives_the_same_bytes)
{
    Heap heaps[2] = {{g_string_new(NULL), 0}, {g_string_new(NULL), 0}};

    hand_make(&hand, 90, 40);
    for (int i = 0; i < 2; i++) {
        TbPack *pack = make(TB_PAPER_A3, drawn_chapters);

        ck_assert_int_eq(tb_pack_write(pack, TB_THEME_PRINT, take, &heaps[i], NULL, NULL), TB_OK);
        tb_pack_free(pack);
    }
    ck_assert(g_string_equal(heaps[0].bytes, heaps[1].bytes));
    ck_assert_ptr_nonnull(strstr(heaps[0].bytes->str, "%PDF-1."));
    for (int i = 0; i < 2; i++)
        g_string_free(heaps[i].bytes, TRUE);
    hand_clear(&hand);
}
END_TEST

/* A disk of 5 kB ended the program: its first failing write came while cairo wrote a font, and
 * cairo 1.16 cannot end such a PDF. Places before, within and behind the fonts are tried. */
static const size_t full_after[] = {1, 2000, 9000, 20011, 40013, 60017};

START_TEST(a_sink_that_fails_is_told_in_its_own_words)
{
    Heap heap = {g_string_new(NULL), full_after[_i]};
    TbPack *pack;
    TbFault fault = {0};

    hand_make(&hand, 90, 40);
    pack = make(TB_PAPER_A4, drawn_chapters);
    ck_assert_int_eq(tb_pack_write(pack, TB_THEME_PRINT, take, &heap, NULL, &fault), TB_E_IO);
    ck_assert_str_eq(fault.text, "the disk is full");
    tb_pack_free(pack);
    g_string_free(heap.bytes, TRUE);
    hand_clear(&hand);
}
END_TEST

START_TEST(a_cancelled_pack_ends_soon)
{
    Heap heap = {g_string_new(NULL), 0};
    TbTask task = {0};
    TbPack *pack;

    hand_make(&hand, 90, 40);
    pack = make(TB_PAPER_A4, drawn_chapters);
    tb_task_cancel(&task);
    ck_assert_int_eq(tb_pack_write(pack, TB_THEME_PRINT, take, &heap, &task, NULL), TB_E_CANCELLED);
    tb_pack_free(pack);
    g_string_free(heap.bytes, TRUE);
    hand_clear(&hand);
}
END_TEST

/* ---- goldens ---- */

static const struct {
    const char *chapter, *golden;
} goldens[] = {
    {"summary", "pack_summary"},
    {"gaps", "pack_gaps"},
    {"stations", "pack_stations"},
    {"basis", "pack_basis"},
};

START_TEST(first_sheet_of_a_chapter_matches_its_golden)
{
    const char *const only[] = {goldens[_i].chapter, NULL};
    TbPack *pack;

    hand_make(&hand, 40, 24);
    pack = make(TB_PAPER_A4, only);
    draw(pack, 0);
    assert_golden(&page, goldens[_i].golden);
    tb_picture_clear(&page);
    tb_pack_free(pack);
    hand_clear(&hand);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("draw/pack");
    TCase *tests = tcase_create("pack");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, nothing_lies_on_anything_on_any_sheet_of_any_paper, 0,
                        TB_PAPER_COUNT * (int)G_N_ELEMENTS(lengths));
    tcase_add_test(tests, every_gap_of_thousands_stands_in_the_table_once);
    tcase_add_test(tests, each_finding_has_its_number_its_level_and_what_was_decided);
    tcase_add_test(tests, chapters_with_nothing_to_show_are_left_out);
    tcase_add_test(tests, a_chapter_that_there_is_not_is_told_with_those_that_there_are);
    tcase_add_test(tests, the_title_block_tells_sheet_of_sheets_revision_and_date);
    tcase_add_test(tests, the_contents_tell_each_chapters_sheets);
    tcase_add_test(tests, a_title_of_400_letters_ends_in_an_ellipsis_within_its_box);
    tcase_add_loop_test(tests, zones_are_as_many_as_the_paper_has, 0, (int)G_N_ELEMENTS(zones));
    tcase_add_loop_test(tests, the_end_view_stands_right_in_first_angle_and_left_in_third, 0, 2);
    tcase_add_test(tests, any_sheet_is_the_same_in_any_order);
    tcase_add_test(tests, planning_asks_for_no_cut_and_a_sheet_lets_its_own_go);
    tcase_add_test(tests, a_cut_that_cannot_be_made_is_told_and_ends_the_pack);
    tcase_add_test(tests, the_same_dossier_gives_the_same_bytes);
    tcase_add_loop_test(tests, a_sink_that_fails_is_told_in_its_own_words, 0,
                        (int)G_N_ELEMENTS(full_after));
    tcase_add_test(tests, a_cancelled_pack_ends_soon);
    tcase_add_loop_test(tests, first_sheet_of_a_chapter_matches_its_golden, 0,
                        (int)G_N_ELEMENTS(goldens));
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
