/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "app/decisions.h"
#include "app/matter_rows.h"
#include "bay/edit.h"
#include "bay/read.h"
#include "settle.h"
#include "small_kit.h"
#include "study/say.h"

#include <string.h>

static TbSession *
session_of_kit(void)
{
    TbStore *store = tb_store_new();
    TbBay *bay = NULL;
    TbSession *session;

    ck_assert_int_eq(tb_bay_read_bytes(small_kit, strlen(small_kit), &bay, NULL), TB_OK);
    session = tb_session_new(bay, NULL, store, NULL);
    tb_bay_unref(bay);
    tb_store_unref(store);
    return session;
}

static bool
is_answered(TbSession *session)
{
    return tb_session_shown(session) != NULL &&
           tb_session_shown(session)->ask.bay == tb_session_bay(session);
}

static void
list_every_level(TbMatterRows *rows)
{
    for (int level = 0; level < TB_LEVEL_COUNT; level++)
        tb_matter_rows_list_level(rows, (TbLevel)level, true);
}

static guint
count_of(TbMatterRows *rows)
{
    return g_list_model_get_n_items(G_LIST_MODEL(rows));
}

/* The first gap's finding that is listed. */
static const TbFinding *
a_gap(TbMatterRows *rows)
{
    for (guint i = 0; i < count_of(rows); i++)
        if (strcmp(tb_matter_rows_at(rows, i)->finding->rule, "gap") == 0)
            return tb_matter_rows_at(rows, i)->finding;
    ck_abort_msg("no gap is listed");
    return NULL;
}

/* ---- rows ---- */

START_TEST(rows_are_worst_first_and_counted_by_level)
{
    g_autoptr(TbSession) session = session_of_kit();
    g_autoptr(TbMatterRows) rows = tb_matter_rows_new(session);
    size_t total = 0;
    g_autofree char *summary = NULL;
    g_autofree char *wanted = NULL;

    ck_assert_uint_eq(count_of(rows), 0);
    list_every_level(rows);
    settle(session);
    for (int level = 0; level < TB_LEVEL_COUNT; level++)
        total += tb_matter_rows_count(rows, (TbLevel)level);
    ck_assert_uint_eq(count_of(rows), total);
    ck_assert_uint_gt(total, 10);
    for (guint i = 1; i < count_of(rows); i++)
        ck_assert_int_ge(tb_level_rank(tb_matter_rows_at(rows, i - 1)->level),
                         tb_level_rank(tb_matter_rows_at(rows, i)->level));
    summary = tb_matter_rows_summary(rows);
    wanted = g_strdup_printf("%zu of %zu findings hold", tb_matter_rows_count(rows, TB_LEVEL_HOLDS),
                             total);
    ck_assert_str_eq(summary, wanted);
}
END_TEST

START_TEST(levels_and_the_selected_item_filter)
{
    g_autoptr(TbSession) session = session_of_kit();
    g_autoptr(TbMatterRows) rows = tb_matter_rows_new(session);

    settle(session);
    for (guint i = 0; i < count_of(rows); i++)
        ck_assert_int_ne(tb_matter_rows_at(rows, i)->level, TB_LEVEL_HOLDS);
    list_every_level(rows);
    tb_matter_rows_set_only_selected(rows, true);
    tb_session_select(session, "brake");
    ck_assert_uint_gt(count_of(rows), 0);
    for (guint i = 0; i < count_of(rows); i++)
        ck_assert(tb_finding_is_about(tb_matter_rows_at(rows, i)->finding, "brake"));
    /* nothing selected is no filter */
    tb_session_select(session, NULL);
    ck_assert_uint_gt(count_of(rows), 10);
}
END_TEST

START_TEST(a_finding_of_any_state_is_found_by_its_matter)
{
    g_autoptr(TbSession) session = session_of_kit();
    g_autoptr(TbMatterRows) rows = tb_matter_rows_new(session);
    const TbResults *results;

    list_every_level(rows);
    settle(session);
    results = tb_session_whole_results(session);
    for (size_t i = 0; i < results->finding_count; i++) {
        int place = tb_matter_rows_find(rows, results->findings[i].id);
        g_autofree char *key = tb_finding_matter(&results->findings[i]);

        ck_assert_int_ge(place, 0);
        ck_assert_str_eq(tb_matter_rows_at(rows, (guint)place)->key, key);
    }
    ck_assert_int_eq(tb_matter_rows_find(rows, "gap/no|thing/cold/v"), -1);
    ck_assert_int_eq(tb_matter_rows_find(rows, NULL), -1);
}
END_TEST

static void
push_outlet(TbSession *session, double x)
{
    TbBay *next = NULL;

    ck_assert_int_eq(
        tb_edit_move_knot(tb_session_bay(session), "outlet", 0, tb_vec3(x, 20, -40), &next, NULL),
        TB_OK);
    tb_session_edit(session, next, "move knot 1", 0);
}

START_TEST(during_a_drag_rows_stay_where_they_are_and_what_is_not_shown_is_stale)
{
    g_autoptr(TbSession) session = session_of_kit();
    g_autoptr(TbMatterRows) rows = tb_matter_rows_new(session);
    g_autoptr(GPtrArray) before = g_ptr_array_new_with_free_func(g_free);
    bool any_stale = false;
    guint stay;

    list_every_level(rows);
    settle(session);
    for (guint i = 0; i < count_of(rows); i++)
        g_ptr_array_add(before, g_strdup(tb_matter_rows_at(rows, i)->key));
    stay = count_of(rows);
    tb_session_hold(session);
    push_outlet(session, 193.7);
    wait_until(is_answered(session));
    ck_assert(!tb_session_is_settled(session));
    ck_assert_uint_eq(count_of(rows), stay);
    for (guint i = 0; i < stay; i++) {
        ck_assert_str_eq(tb_matter_rows_at(rows, i)->key, before->pdata[i]);
        any_stale |= tb_matter_rows_at(rows, i)->stale;
    }
    ck_assert(any_stale);
    tb_session_release(session);
    settle(session);
    for (guint i = 0; i < count_of(rows); i++)
        ck_assert(!tb_matter_rows_at(rows, i)->stale);
}
END_TEST

START_TEST(a_finding_of_a_motion_is_shown_in_its_own_state)
{
    g_autofree char *path = g_build_filename(g_getenv("TB_DATA"), "examples", "van-b.bay", NULL);
    TbStore *store = tb_store_new();
    TbBay *bay = NULL;
    g_autoptr(TbSession) session = NULL;
    char *item = (char *)"outlet";
    TbFinding finding = {.id = (char *)"gap/brake-line|outlet/hot-rocking/high-s",
                         .subject = (char *)"brake-line|outlet",
                         .variant = (char *)"high-s",
                         .place = {.item = item, .from = 119.8, .to = 119.8}};
    static const char *const states[] = {"hot-rocking", "rocking", "hot", "cold"};

    ck_assert_int_eq(tb_bay_read_file(path, &bay, NULL), TB_OK);
    session = tb_session_new(bay, NULL, store, NULL);
    finding.place.point = tb_vec3(1271.3, -202.3, 661.3);
    for (size_t i = 0; i < G_N_ELEMENTS(states); i++) {
        finding.state = (char *)states[i];
        tb_session_go_to_finding(session, &finding);
        ck_assert_str_eq(tb_session_state(session), states[i]);
        ck_assert_str_eq(tb_session_variant(session), "high-s");
    }
    tb_bay_unref(bay);
    tb_store_unref(store);
}
END_TEST

/* ---- decisions ---- */

static const TbVerdict waiver = {TB_DISPOSITION_WAIVED, "A. B.", "2027-01-31",
                                 "seen at 7.9 mm on the bench", true};

START_TEST(a_waiver_is_told_on_its_row_and_undone)
{
    g_autoptr(TbSession) session = session_of_kit();
    g_autoptr(TbMatterRows) rows = tb_matter_rows_new(session);
    const TbFinding *finding;
    const char *told = "Waived by A. B. until 2027-01-31: seen at 7.9 mm on the bench";
    TbFault fault = {0};
    bool wide = false;
    int place;

    list_every_level(rows);
    settle(session);
    finding = a_gap(rows);
    place = tb_matter_rows_find(rows, finding->id);
    ck_assert_msg(tb_decide(session, finding, &waiver, &fault), "%s", fault.text);
    ck_assert_str_eq(tb_matter_rows_at(rows, (guint)place)->decided, told);
    ck_assert_ptr_nonnull(tb_decision_about(tb_session_bay(session), finding, &wide));
    ck_assert(wide);
    ck_assert(g_str_has_suffix(tb_matter_rows_at(rows, (guint)place)->said, told));
    ck_assert(tb_session_undo(session));
    ck_assert_str_eq(tb_matter_rows_at(rows, (guint)place)->decided, "");
}
END_TEST

START_TEST(a_waiver_without_a_reason_and_a_date_that_is_none_are_refused)
{
    g_autoptr(TbSession) session = session_of_kit();
    g_autoptr(TbMatterRows) rows = tb_matter_rows_new(session);
    TbVerdict verdict = waiver;
    TbFault fault = {0};

    list_every_level(rows);
    settle(session);
    verdict.text = "  ";
    ck_assert(!tb_decide(session, a_gap(rows), &verdict, &fault));
    ck_assert_ptr_nonnull(strstr(fault.text, "needs its reason"));
    verdict = waiver;
    verdict.due = "2027-1-31";
    ck_assert(!tb_decide(session, a_gap(rows), &verdict, &fault));
    ck_assert_ptr_nonnull(strstr(fault.text, "2027-1-31"));
    ck_assert_ptr_null(tb_session_undo_name(session));
    ck_assert_uint_eq(tb_bay_count(tb_session_bay(session), TB_LIST_DECISIONS), 0);
}
END_TEST

START_TEST(a_decision_narrows_widens_and_goes)
{
    g_autoptr(TbSession) session = session_of_kit();
    g_autoptr(TbMatterRows) rows = tb_matter_rows_new(session);
    TbVerdict verdict = waiver;
    const TbFinding *finding;
    bool wide = true;

    list_every_level(rows);
    settle(session);
    finding = a_gap(rows);
    ck_assert(tb_decide(session, finding, &verdict, NULL));
    verdict.wide = false;
    ck_assert(tb_decide(session, finding, &verdict, NULL));
    ck_assert_uint_eq(tb_bay_count(tb_session_bay(session), TB_LIST_DECISIONS), 1);
    ck_assert_ptr_nonnull(tb_decision_about(tb_session_bay(session), finding, &wide));
    ck_assert(!wide);
    verdict.wide = true;
    ck_assert(tb_decide(session, finding, &verdict, NULL));
    ck_assert_uint_eq(tb_bay_count(tb_session_bay(session), TB_LIST_DECISIONS), 1);
    verdict = (TbVerdict){TB_DISPOSITION_OPEN, NULL, NULL, NULL, true};
    ck_assert(tb_decide(session, finding, &verdict, NULL));
    ck_assert_uint_eq(tb_bay_count(tb_session_bay(session), TB_LIST_DECISIONS), 0);
}
END_TEST

START_TEST(what_is_overdue_says_so)
{
    TbDecision decision = {.disposition = TB_DISPOSITION_MEASURE, .due = "2026-11-02"};
    g_autofree char *due = tb_decision_told(&decision, "2026-11-02");
    g_autofree char *over = tb_decision_told(&decision, "2026-11-03");
    g_autofree char *ran_out = NULL;

    decision.disposition = TB_DISPOSITION_WAIVED;
    ran_out = tb_decision_told(&decision, "2027-01-01");
    ck_assert_str_eq(due, "To be measured, due on 2026-11-02");
    ck_assert_str_eq(over, "To be measured, was due on 2026-11-02");
    ck_assert_str_eq(ran_out, "Waived, ran out on 2026-11-02");
}
END_TEST

static Suite *
findings_suite(void)
{
    Suite *suite = suite_create("app/findings");
    TCase *rows = tcase_create("rows");
    TCase *decisions = tcase_create("decisions");

    tcase_set_timeout(rows, TB_TEST_LIMIT);
    tcase_add_test(rows, rows_are_worst_first_and_counted_by_level);
    tcase_add_test(rows, levels_and_the_selected_item_filter);
    tcase_add_test(rows, a_finding_of_any_state_is_found_by_its_matter);
    tcase_add_test(rows, during_a_drag_rows_stay_where_they_are_and_what_is_not_shown_is_stale);
    tcase_add_test(rows, a_finding_of_a_motion_is_shown_in_its_own_state);
    suite_add_tcase(suite, rows);
    tcase_set_timeout(decisions, TB_TEST_LIMIT);
    tcase_add_test(decisions, a_waiver_is_told_on_its_row_and_undone);
    tcase_add_test(decisions, a_waiver_without_a_reason_and_a_date_that_is_none_are_refused);
    tcase_add_test(decisions, a_decision_narrows_widens_and_goes);
    tcase_add_test(decisions, what_is_overdue_says_so);
    suite_add_tcase(suite, decisions);
    return suite;
}

int
main(void)
{
    return tb_test_main(findings_suite());
}
