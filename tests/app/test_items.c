/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "app/item_acts.h"
#include "app/item_rows.h"
#include "app/item_words.h"
#include "bay/read.h"
#include "settle.h"
#include "small_kit.h"

#include <string.h>

static TbSession *
session_of(const char *text)
{
    TbStore *store = tb_store_new();
    TbBay *bay = NULL;
    TbFault fault = {0};
    TbSession *session;

    ck_assert_msg(tb_bay_read_bytes(text, strlen(text), &bay, &fault) == TB_OK, "%s", fault.text);
    session = tb_session_new(bay, NULL, store, NULL);
    tb_bay_unref(bay);
    tb_store_unref(store);
    return session;
}

static TbItemRow *
row(TbItemRows *rows, const char *id)
{
    int place = tb_item_rows_find(rows, id);

    ck_assert_msg(place >= 0, "%s is not listed", id);
    return tb_item_rows_at(rows, (guint)place);
}

/* ---- rows ---- */

START_TEST(rows_are_grouped_and_in_the_order_of_the_document_within_a_group)
{
    g_autoptr(TbSession) session = session_of(small_kit);
    g_autoptr(TbItemRows) rows = tb_item_rows_new(session);
    static const struct {
        const char *id;
        TbItemGroup group;
    } wanted[] = {
        {"outlet", TB_GROUP_GAS_PATH}, {"runner", TB_GROUP_GAS_PATH}, {"pot", TB_GROUP_GAS_PATH},
        {"turbo", TB_GROUP_TURBO},     {"brake", TB_GROUP_LINES},     {"head", TB_GROUP_OBSTACLES},
        {"rail", TB_GROUP_OBSTACLES},  {"joint", TB_GROUP_OBSTACLES},
    };

    ck_assert_uint_eq(g_list_model_get_n_items(G_LIST_MODEL(rows)), G_N_ELEMENTS(wanted));
    for (guint i = 0; i < G_N_ELEMENTS(wanted); i++) {
        ck_assert_str_eq(tb_item_rows_at(rows, i)->id, wanted[i].id);
        ck_assert_int_eq(tb_item_rows_at(rows, i)->group, wanted[i].group);
    }
    ck_assert_ptr_null(tb_item_rows_at(rows, G_N_ELEMENTS(wanted)));
}
END_TEST

START_TEST(a_settled_row_tells_the_worst_gap_of_all_states_and_variants)
{
    g_autoptr(TbSession) session = session_of(small_kit);
    g_autoptr(TbItemRows) rows = tb_item_rows_new(session);
    const TbResults *results;
    const TbResultGap *worst = NULL;
    g_autofree char *value = NULL;

    ck_assert(!row(rows, "rail")->judged);
    settle(session);
    results = tb_session_whole_results(session);
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];

        if ((strcmp(gap->a, "rail") == 0 || strcmp(gap->b, "rail") == 0) && !isnan(gap->margin) &&
            (worst == NULL || gap->margin < worst->margin))
            worst = gap;
    }
    ck_assert_ptr_nonnull(worst);
    value = g_strdup_printf("%.1f / %g", worst->gap.lower, worst->keep);
    ck_assert_str_eq(row(rows, "rail")->value, value);
    ck_assert(row(rows, "rail")->judged);
    ck_assert(!row(rows, "rail")->stale);
    ck_assert(g_str_has_prefix(row(rows, "rail")->said, "rail, "));
}
END_TEST

static void
count_changes(GListModel *model, guint place, guint removed, guint added, guint counts[3])
{
    (void)model;
    counts[0]++;
    counts[1] += removed;
    counts[2] += added;
    (void)place;
}

START_TEST(an_answer_changes_rows_in_place_and_only_those_that_read_differently)
{
    g_autoptr(TbSession) session = session_of(small_kit);
    g_autoptr(TbItemRows) rows = tb_item_rows_new(session);
    guint counts[3] = {0, 0, 0};
    guint64 before;

    settle(session);
    g_signal_connect(rows, "items-changed", G_CALLBACK(count_changes), counts);
    before = tb_item_rows_changes(rows);
    ck_assert(tb_item_rename(session, "rail", "Cross rail, 7.3"));
    settle(session);
    ck_assert_str_eq(row(rows, "rail")->name, "Cross rail, 7.3");
    ck_assert_uint_eq(counts[0], 0);
    /* the name, and at most its numbers going stale and back */
    ck_assert_uint_ge(tb_item_rows_changes(rows) - before, 1);
    ck_assert_uint_le(tb_item_rows_changes(rows) - before,
                      1 + 2 * (guint64)g_list_model_get_n_items(G_LIST_MODEL(rows)));
}
END_TEST

START_TEST(hiding_and_filtering_touch_their_own_rows)
{
    g_autoptr(TbSession) session = session_of(small_kit);
    g_autoptr(TbItemRows) rows = tb_item_rows_new(session);
    guint64 before = tb_item_rows_changes(rows);

    tb_session_set_hidden(session, "head", true);
    ck_assert(row(rows, "head")->hidden);
    ck_assert_uint_eq(tb_item_rows_changes(rows), before + 1);
    tb_item_rows_set_filter(rows, " RUN ");
    ck_assert_uint_eq(g_list_model_get_n_items(G_LIST_MODEL(rows)), 1);
    ck_assert_int_eq(tb_item_rows_find(rows, "runner"), 0);
    ck_assert_int_eq(tb_item_rows_find(rows, "head"), -1);
    tb_item_rows_set_filter(rows, "");
    ck_assert(row(rows, "head")->hidden);
}
END_TEST

/* ---- acts ---- */

START_TEST(rename_is_undone_by_its_name)
{
    g_autoptr(TbSession) session = session_of(small_kit);

    ck_assert(tb_item_rename(session, "rail", "  Rail <left> & more "));
    ck_assert_str_eq(tb_record_title(tb_session_bay(session), "rail"), "Rail <left> & more");
    ck_assert_str_eq(tb_session_undo_name(session), "rename rail");
    ck_assert(tb_item_rename(session, "rail", "Rail <left> & more"));
    ck_assert_str_eq(tb_session_undo_name(session), "rename rail");
    ck_assert(tb_session_undo(session));
    ck_assert_str_eq(tb_record_title(tb_session_bay(session), "rail"), "rail");
    /* what was shown for want of a name is no name */
    ck_assert(tb_item_rename(session, "rail", "rail"));
    ck_assert_ptr_null(tb_session_undo_name(session));
}
END_TEST

START_TEST(removing_what_something_refers_to_is_refused_with_its_name)
{
    g_autoptr(TbSession) session = session_of(small_kit);

    ck_assert(!tb_item_remove(session, "turbo"));
    ck_assert_ptr_nonnull(strstr(tb_session_message(session), "cannot be removed"));
    ck_assert_ptr_null(tb_session_undo_name(session));
    ck_assert(tb_item_remove(session, "joint"));
    ck_assert_ptr_null(tb_bay_item(tb_session_bay(session), "joint"));
}
END_TEST

START_TEST(duplicate_is_beside_its_original_and_selected)
{
    g_autoptr(TbSession) session = session_of(small_kit);
    const TbItem *copy;

    ck_assert(tb_item_duplicate(session, "joint"));
    copy = tb_bay_item(tb_session_bay(session), tb_session_selected(session));
    ck_assert_ptr_nonnull(copy);
    ck_assert_str_ne(copy->record.id, "joint");
    ck_assert_double_ne(tb_item_ball(copy)->at.x,
                        tb_item_ball(tb_bay_item(tb_session_bay(session), "joint"))->at.x);
}
END_TEST

START_TEST(rows_move_by_edits_of_the_order_and_come_back_by_undo)
{
    g_autoptr(TbSession) session = session_of(small_kit);
    g_autoptr(TbItemRows) rows = tb_item_rows_new(session);
    int head = tb_item_rows_find(rows, "head");

    ck_assert(tb_item_move_before(session, "joint", "head"));
    ck_assert_int_eq(tb_item_rows_find(rows, "joint"), head);
    ck_assert_int_eq(tb_item_rows_find(rows, "head"), head + 1);
    ck_assert(tb_item_move_before(session, "head", NULL));
    ck_assert_int_eq(tb_item_rows_find(rows, "head"), head + 2);
    ck_assert(tb_session_undo(session));
    ck_assert(tb_session_undo(session));
    ck_assert_int_eq(tb_item_rows_find(rows, "head"), head);
}
END_TEST

START_TEST(what_is_added_is_where_the_planes_meet_and_judged)
{
    g_autoptr(TbSession) session = session_of(small_kit);

    tb_session_set_plane(session, TB_SCENE_FRONT, -843.7);
    tb_session_set_plane(session, TB_SCENE_SIDE, 917.3);
    tb_session_set_plane(session, TB_SCENE_PLAN, 611.9);
    for (int kind = 0; kind < TB_ITEM_SCAN; kind++)
        for (int twice = 0; twice < 2; twice++)
            ck_assert_msg(tb_item_add(session, (TbItemKind)kind, TB_LINE_HARNESS), "kind %d: %s",
                          kind, tb_session_message(session));
    ck_assert_str_eq(tb_session_selected(session), "outline-2");
    ck_assert_double_eq_tol(tb_item_ball(tb_bay_item(tb_session_bay(session), "ball"))->at.x,
                            -843.7, 1e-9);
    ck_assert_double_eq_tol(tb_item_ball(tb_bay_item(tb_session_bay(session), "ball-2"))->at.z,
                            611.9, 1e-9);
    settle(session);
    ck_assert_ptr_nonnull(tb_results_item(tb_session_whole_results(session), "outline-2"));
    ck_assert_int_eq(tb_item_line(tb_bay_item(tb_session_bay(session), "harness"))->role,
                     TB_LINE_HARNESS);
}
END_TEST

/* small_kit has keeps of hot with structure, brake, moving and hot; no hot and rocking state */
START_TEST(usual_keeps_are_added_in_one_step_and_undone_by_name)
{
    g_autoptr(TbSession) session = session_of(small_kit);
    TbBay *before = tb_session_bay(session);
    size_t count = tb_bay_count(before, TB_LIST_KEEPS);

    ck_assert(tb_keeps_add_usual(session));
    ck_assert_str_eq(tb_session_message(session), "13 usual keeps added");
    ck_assert_uint_eq(tb_bay_count(tb_session_bay(session), TB_LIST_KEEPS), count + 13);
    ck_assert_str_eq(tb_session_undo_name(session), "add usual keeps");
    ck_assert(!tb_keeps_add_usual(session));
    ck_assert_str_eq(tb_session_message(session),
                     "every pair of classes that usually has a keep has one");
    tb_session_undo(session);
    ck_assert_ptr_eq(tb_session_bay(session), before);
}
END_TEST

static Suite *
items_suite(void)
{
    Suite *suite = suite_create("app/items");
    TCase *rows = tcase_create("rows");
    TCase *acts = tcase_create("acts");

    tcase_set_timeout(rows, TB_TEST_LIMIT);
    tcase_add_test(rows, rows_are_grouped_and_in_the_order_of_the_document_within_a_group);
    tcase_add_test(rows, a_settled_row_tells_the_worst_gap_of_all_states_and_variants);
    tcase_add_test(rows, an_answer_changes_rows_in_place_and_only_those_that_read_differently);
    tcase_add_test(rows, hiding_and_filtering_touch_their_own_rows);
    suite_add_tcase(suite, rows);
    tcase_set_timeout(acts, TB_TEST_LIMIT);
    tcase_add_test(acts, rename_is_undone_by_its_name);
    tcase_add_test(acts, removing_what_something_refers_to_is_refused_with_its_name);
    tcase_add_test(acts, duplicate_is_beside_its_original_and_selected);
    tcase_add_test(acts, rows_move_by_edits_of_the_order_and_come_back_by_undo);
    tcase_add_test(acts, usual_keeps_are_added_in_one_step_and_undone_by_name);
    tcase_add_test(acts, what_is_added_is_where_the_planes_meet_and_judged);
    suite_add_tcase(suite, acts);
    return suite;
}

int
main(void)
{
    return tb_test_main(items_suite());
}
