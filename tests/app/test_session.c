/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "app/session.h"
#include "bay/edit.h"
#include "bay/read.h"
#include "settle.h"
#include "small_kit.h"
#include "study/report.h"

#include <math.h>
#include <string.h>

static TbBay *
kit(void)
{
    TbBay *bay = NULL;
    TbFault fault = {0};
    TbStatus status = tb_bay_read_bytes(small_kit, strlen(small_kit), &bay, &fault);

    ck_assert_msg(status == TB_OK, "line %d: %s", fault.line, fault.text);
    return bay;
}

static TbSession *
session_of_kit(void)
{
    TbStore *store = tb_store_new();
    TbBay *bay = kit();
    g_autoptr(GFile) file = g_file_new_for_path("/nowhere/small.bay");
    TbSession *session = tb_session_new(bay, file, store, NULL);

    tb_bay_unref(bay);
    tb_store_unref(store);
    return session;
}

static bool
has_answer(TbSession *session)
{
    return tb_session_shown(session) != NULL &&
           tb_session_shown(session)->ask.bay == tb_session_bay(session);
}

/* The outlet's first knot, moved along X. */
static TbBay *
moved(TbSession *session, double x)
{
    TbBay *next = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_edit_move_knot(tb_session_bay(session), "outlet", 0, tb_vec3(x, 20, -40),
                                    &next, &fault) == TB_OK,
                  "%s", fault.text);
    return next;
}

static double
knot_x(TbSession *session)
{
    return tb_item_path(tb_bay_item(tb_session_bay(session), "outlet"))->knots[0].at.x;
}

/* What a fresh study says about the same document. */
static char *
judged_anew(TbBay *bay)
{
    TbStore *store = tb_store_new();
    TbStudy *study = tb_study_new(store, NULL);
    TbAsk ask = {.bay = bay, .folder = "/nowhere", .combine = true};
    TbResults *results = NULL;
    char *text;

    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, NULL), TB_OK);
    text = tb_report_json(results);
    tb_results_unref(results);
    tb_study_free(study);
    tb_store_unref(store);
    return text;
}

START_TEST(what_stands_after_a_drag_is_what_a_fresh_study_says)
{
    g_autoptr(TbSession) session = session_of_kit();
    int group = tb_session_group(session);
    g_autofree char *ours = NULL;
    g_autofree char *fresh = NULL;

    tb_session_hold(session);
    for (int i = 1; i <= 9; i++) {
        tb_session_edit(session, moved(session, 190 + 1.37 * i), "move knot 1", group);
        wait_until(has_answer(session));
    }
    ck_assert(!tb_session_is_settled(session));
    tb_session_release(session);
    settle(session);

    ours = tb_report_json(tb_session_whole_results(session));
    fresh = judged_anew(tb_session_bay(session));
    ck_assert_str_eq(ours, fresh);
}
END_TEST

START_TEST(a_held_session_judges_the_shown_state_and_variant_alone)
{
    g_autoptr(TbSession) session = session_of_kit();
    const TbResults *results;
    size_t shown_gaps;

    tb_session_hold(session);
    tb_session_edit(session, moved(session, 193.7), "move knot 1", 0);
    wait_until(has_answer(session));
    results = tb_session_results(session);
    ck_assert_uint_gt(results->gap_count, 0);
    for (size_t i = 0; i < results->gap_count; i++) {
        ck_assert_str_eq(results->gaps[i].state, tb_session_state(session));
        ck_assert_str_eq(results->gaps[i].variant, tb_session_variant(session));
    }
    shown_gaps = results->gap_count;
    tb_session_release(session);
    settle(session);
    ck_assert_uint_gt(tb_session_whole_results(session)->gap_count, shown_gaps);
}
END_TEST

START_TEST(of_many_questions_the_last_one_is_answered)
{
    g_autoptr(TbSession) session = session_of_kit();
    const TbResultDuct *duct;
    double length;

    tb_session_hold(session);
    for (int i = 1; i <= 60; i++)
        tb_session_edit(session, moved(session, 190 + 0.41 * i), "move knot 1", 7);
    wait_until(has_answer(session));
    /* all sixty were asked before the first answer could come: most of them are never judged */
    ck_assert_uint_le(tb_session_answers(session), 3);
    ck_assert_double_eq(knot_x(session), 190 + 0.41 * 60);

    duct = tb_results_duct(tb_session_results(session), "outlet");
    length = duct->length;
    ck_assert(tb_session_undo(session));
    wait_until(has_answer(session));
    duct = tb_results_duct(tb_session_results(session), "outlet");
    ck_assert_double_ne(duct->length, length);
    tb_session_release(session);
}
END_TEST

START_TEST(a_drag_is_one_step_of_undo_and_one_given_up_none)
{
    g_autoptr(TbSession) session = session_of_kit();
    int group = tb_session_group(session);

    tb_session_edit(session, moved(session, 191), "move knot 1 of Outlet", group);
    tb_session_edit(session, moved(session, 192), "move knot 1 of Outlet", group);
    ck_assert_str_eq(tb_session_undo_name(session), "move knot 1 of Outlet");
    ck_assert(!tb_session_is_saved(session));
    ck_assert(tb_session_undo(session));
    ck_assert_double_eq(knot_x(session), 190);
    ck_assert(tb_session_is_saved(session));
    ck_assert_ptr_null(tb_session_undo_name(session));
    ck_assert_str_eq(tb_session_redo_name(session), "move knot 1 of Outlet");
    ck_assert(tb_session_redo(session));
    ck_assert_double_eq(knot_x(session), 192);

    group = tb_session_group(session);
    tb_session_edit(session, moved(session, 193), "move knot 1 of Outlet", group);
    tb_session_edit(session, moved(session, 194), "move knot 1 of Outlet", group);
    tb_session_abandon(session, group);
    ck_assert_double_eq(knot_x(session), 192);
    ck_assert_ptr_null(tb_session_redo_name(session));
    /* a drag that changed nothing yet has nothing to take back */
    tb_session_abandon(session, tb_session_group(session));
    ck_assert_double_eq(knot_x(session), 192);
}
END_TEST

START_TEST(the_saved_mark_follows_the_document_that_was_written)
{
    g_autoptr(TbSession) session = session_of_kit();
    TbBay *written;

    tb_session_edit(session, moved(session, 191), "a", 0);
    written = tb_bay_ref(tb_session_bay(session));
    tb_session_edit(session, moved(session, 192), "b", 0);
    /* the writing took a while and ends now */
    tb_session_mark_saved(session, written);
    tb_bay_unref(written);
    ck_assert(!tb_session_is_saved(session));
    ck_assert(tb_session_undo(session));
    ck_assert(tb_session_is_saved(session));
    ck_assert(tb_session_undo(session));
    ck_assert(!tb_session_is_saved(session));
}
END_TEST

START_TEST(a_finding_brings_cursor_state_and_variant_to_its_place)
{
    g_autoptr(TbSession) session = session_of_kit();
    const TbFinding *there = NULL;
    const TbResults *results;

    settle(session);
    results = tb_session_whole_results(session);
    for (size_t i = 0; i < results->finding_count && there == NULL; i++) {
        const TbFinding *finding = &results->findings[i];

        if (strcmp(finding->rule, "gap") == 0 && tb_vec3_is_given(finding->place.point) &&
            !isnan(finding->place.from) && strcmp(finding->state, "hot") == 0 &&
            strcmp(finding->variant, tb_session_variant(session)) != 0)
            there = finding;
    }
    ck_assert_ptr_nonnull(there);
    tb_session_go_to_finding(session, there);
    ck_assert_str_eq(tb_session_finding(session), there->id);
    ck_assert_str_eq(tb_session_state(session), "hot");
    ck_assert_str_eq(tb_session_variant(session), there->variant);
    ck_assert_double_eq(tb_session_cursor(session), (there->place.from + there->place.to) / 2);
    ck_assert_double_eq(tb_session_cut(session, TB_SCENE_SIDE).at, there->place.point.y);
    ck_assert_double_eq(tb_session_cut(session, TB_SCENE_FRONT).at, there->place.point.x);
}
END_TEST

/* An engine that swings a ball past another one, nearest at 1 deg of its 3. */
#define ROCKING                                                                                    \
    "<bay version='1' title='Rock'><mounts><mount id='body'/><mount id='engine' parent='body' "    \
    "axis-point='0 0 100' axis-direction='2 0 0' rx='-3 3'/></mounts><items>"                      \
    "<ball id='a' class='hot' mount='engine' at='0 0 400' radius='20'/><ball id='b' "              \
    "class='brake' mount='body' at='0 -5.933818188 439.948217118' radius='8'/></items><keeps>"     \
    "<keep id='k' class-a='hot' class-b='brake' reason='heat'><wanted state='rock' gap='13'/>"     \
    "</keep></keeps><states><state id='cold' kind='cold'/><state id='rock' kind='rocking'/>"       \
    "</states></bay>"

static bool
drawn_as_asked(TbSession *session)
{
    return has_answer(session) &&
           tb_session_shown(session)->ask.pose == tb_session_drawn_at(session);
}

START_TEST(a_finding_of_a_motion_is_drawn_where_it_is_worst_until_somebody_wants_it_at_rest)
{
    TbStore *store = tb_store_new();
    TbBay *bay = NULL;
    g_autoptr(TbSession) session = NULL;
    const TbFinding *finding;
    TbVec3 middle = {0, 0, 400}, there;

    ck_assert_int_eq(tb_bay_read_bytes(ROCKING, strlen(ROCKING), &bay, NULL), TB_OK);
    session = tb_session_new(bay, NULL, store, NULL);
    settle(session);
    finding = tb_results_finding(tb_session_whole_results(session), "gap/a|b/rock/");
    ck_assert_ptr_nonnull(finding);
    tb_session_go_to_finding(session, finding);
    ck_assert_str_eq(tb_session_state(session), "rock");
    ck_assert_ptr_nonnull(tb_session_drawn_at(session));
    ck_assert_ptr_nonnull(strstr(tb_session_message(session), "come nearest: engine rx "));
    wait_until(drawn_as_asked(session));
    there = tb_pose_point(tb_session_pose(session, "a"), middle);
    ck_assert_double_eq_tol(there.y, -300 * sin(G_PI / 180), 0.5);
    tb_session_draw_at_rest(session);
    ck_assert_ptr_null(tb_session_drawn_at(session));
    ck_assert_str_eq(tb_session_state(session), "rock");
    wait_until(drawn_as_asked(session));
    ck_assert(tb_pose_is_identity(tb_session_pose(session, "a")));
    /* choosing a state goes back to rest too */
    tb_session_go_to_finding(session, finding);
    ck_assert_ptr_nonnull(tb_session_drawn_at(session));
    tb_session_set_state(session, "cold");
    ck_assert_ptr_null(tb_session_drawn_at(session));
    tb_bay_unref(bay);
    tb_store_unref(store);
}
END_TEST

/* The status line went on to say "rock is a motion" of what was cold again. */
START_TEST(what_is_said_of_a_states_drawing_goes_with_the_state)
{
    TbStore *store = tb_store_new();
    TbBay *bay = NULL;
    g_autoptr(TbSession) session = NULL;

    ck_assert_int_eq(tb_bay_read_bytes(ROCKING, strlen(ROCKING), &bay, NULL), TB_OK);
    session = tb_session_new(bay, NULL, store, NULL);
    settle(session);
    ck_assert_str_eq(tb_session_message(session), "");
    tb_session_set_state(session, "rock");
    ck_assert_ptr_nonnull(strstr(tb_session_message(session), "rock is a motion"));
    tb_session_set_state(session, "cold");
    ck_assert_str_eq(tb_session_message(session), "");
    /* at a worst place, then at rest: what was said first holds again */
    tb_session_go_to_finding(
        session, tb_results_finding(tb_session_whole_results(session), "gap/a|b/rock/"));
    ck_assert_ptr_nonnull(strstr(tb_session_message(session), "come nearest: engine rx "));
    tb_session_draw_at_rest(session);
    ck_assert_ptr_nonnull(strstr(tb_session_message(session), "rock is a motion"));
    /* what somebody else has said stays */
    tb_session_say(session, "Saved");
    tb_session_set_state(session, "cold");
    ck_assert_str_eq(tb_session_message(session), "Saved");
    tb_session_say(session, NULL);
    ck_assert_str_eq(tb_session_message(session), "");
    tb_bay_unref(bay);
    tb_store_unref(store);
}
END_TEST

START_TEST(an_edit_clears_what_was_told_of_the_time_before_it)
{
    TbStore *store = tb_store_new();
    TbBay *bay = NULL, *next = NULL;
    g_autoptr(TbSession) session = NULL;

    ck_assert_int_eq(tb_bay_read_bytes(ROCKING, strlen(ROCKING), &bay, NULL), TB_OK);
    session = tb_session_new(bay, NULL, store, NULL);
    tb_session_set_state(session, "rock");
    tb_session_tell(session, "Saved rock.bay");
    ck_assert_str_eq(tb_session_message(session), "Saved rock.bay");
    ck_assert_int_eq(tb_edit_rename(bay, "a", "A third block", &next, NULL), TB_OK);
    tb_session_edit(session, next, "rename", 0);
    /* what holds of the drawing is said again */
    ck_assert_ptr_nonnull(strstr(tb_session_message(session), "rock is a motion"));
    tb_session_tell(session, "Saved rock.bay");
    ck_assert(tb_session_undo(session));
    ck_assert_ptr_nonnull(strstr(tb_session_message(session), "rock is a motion"));
    /* what is said of what is still so stays */
    tb_session_say(session, "Arrows move the handle");
    ck_assert(tb_session_redo(session));
    ck_assert_str_eq(tb_session_message(session), "Arrows move the handle");
    tb_bay_unref(bay);
    tb_store_unref(store);
}
END_TEST

/* Work that is given up never ends what lags behind. */
START_TEST(what_is_shown_of_another_state_or_document_is_behind_after_a_blink)
{
    g_autoptr(TbSession) session = session_of_kit();
    g_autofree char *state = NULL;

    settle(session);
    state = g_strdup(tb_session_state(session));
    ck_assert_str_ne(state, "hot");
    tb_session_set_state(session, "hot");
    tb_session_cancel(session);
    ck_assert(!tb_session_is_behind(session));
    wait_until(tb_session_is_behind(session));
    ck_assert_str_eq(tb_session_shown(session)->ask.state, state);
    /* what is shown is what is asked for again */
    tb_session_set_state(session, state);
    ck_assert(!tb_session_is_behind(session));
    tb_session_edit(session, moved(session, 31.7), "move", 0);
    tb_session_cancel(session);
    wait_until(tb_session_is_behind(session));
    tb_session_set_state(session, "hot");
    settle(session);
    ck_assert(!tb_session_is_behind(session));
}
END_TEST

START_TEST(what_is_dragged_is_never_behind)
{
    g_autoptr(TbSession) session = session_of_kit();
    gint64 end;

    settle(session);
    tb_session_hold(session);
    tb_session_edit(session, moved(session, 31.7), "move", 0);
    tb_session_cancel(session);
    end = g_get_monotonic_time() + (gint64)2500 * TB_SESSION_BLINK;
    while (g_get_monotonic_time() < end) {
        guint tick = g_timeout_add(20, loop_tick, NULL);

        g_main_context_iteration(NULL, TRUE);
        g_source_remove(tick);
        ck_assert(!tb_session_is_behind(session));
    }
    tb_session_release(session);
    settle(session);
    ck_assert(!tb_session_is_behind(session));
}
END_TEST

START_TEST(the_cursor_stays_on_its_path)
{
    g_autoptr(TbSession) session = session_of_kit();

    wait_until(has_answer(session));
    ck_assert_str_eq(tb_session_cursor_item(session), "outlet");
    tb_session_set_cursor(session, NULL, 1e9);
    ck_assert_double_eq(tb_session_cursor(session),
                        tb_results_duct(tb_session_results(session), "outlet")->length);
    tb_session_set_cursor(session, NULL, -3.3);
    ck_assert_double_eq(tb_session_cursor(session), 0);
    tb_session_set_cursor(session, NULL, NAN);
    ck_assert_double_eq(tb_session_cursor(session), 0);
    tb_session_select(session, "brake");
    ck_assert_str_eq(tb_session_cursor_item(session), "brake");
}
END_TEST

static bool
strip_follows(TbSession *session)
{
    const TbSceneStrip *strip = tb_session_strip(session, NULL);

    return strip != NULL && strcmp(strip->item, tb_session_cursor_item(session)) == 0;
}

/* A shorter line was chosen with the cursor beyond its end: the entry told one station, the charts
 * another. */
START_TEST(an_item_chosen_with_the_cursor_beyond_its_end_gets_it_at_its_end)
{
    g_autoptr(TbSession) session = session_of_kit();
    double outlet, brake;
    const char *longer, *shorter;

    settle(session);
    outlet = tb_results_duct(tb_session_results(session), "outlet")->length;
    brake = tb_results_duct(tb_session_results(session), "brake")->length;
    ck_assert_double_ne(outlet, brake);
    longer = outlet > brake ? "outlet" : "brake";
    shorter = outlet > brake ? "brake" : "outlet";
    tb_session_set_cursor(session, longer, fmax(outlet, brake));
    wait_until(strip_follows(session));
    tb_session_select(session, shorter);
    wait_until(strip_follows(session));
    ck_assert_str_eq(tb_session_cursor_item(session), shorter);
    ck_assert_double_eq(tb_session_cursor(session), fmin(outlet, brake));
}
END_TEST

static bool
hot_is_drawn(TbSession *session)
{
    return has_answer(session) && strcmp(tb_session_shown(session)->ask.state, "hot") == 0;
}

static bool
cold_is_drawn(TbSession *session)
{
    return has_answer(session) && strcmp(tb_session_shown(session)->ask.state, "cold") == 0;
}

START_TEST(a_state_that_rocks_is_drawn_at_rest)
{
    g_autoptr(TbSession) session = session_of_kit();
    TbBay *rocking = NULL, *both = NULL;
    const TbFault *fault = NULL;

    ck_assert_int_eq(
        tb_edit_add(tb_session_bay(session), "<state id='rock' kind='rocking'/>", &rocking, NULL),
        TB_OK);
    ck_assert_int_eq(
        tb_edit_add(rocking, "<state id='warm' kind='combined' parts='rock+hot'/>", &both, NULL),
        TB_OK);
    tb_bay_unref(rocking);
    tb_session_edit(session, both, "add states", 0);
    tb_session_set_state(session, "warm");
    wait_until(hot_is_drawn(session));
    ck_assert_str_eq(tb_session_state(session), "warm");
    ck_assert_ptr_nonnull(tb_session_scene(session, TB_SLOT_LEFT, &fault));
    ck_assert_ptr_nonnull(strstr(tb_session_message(session), "hot"));
    tb_session_set_state(session, "rock");
    wait_until(cold_is_drawn(session));
}
END_TEST

START_TEST(what_an_undo_takes_away_is_not_selected_any_more)
{
    g_autoptr(TbSession) session = session_of_kit();
    TbBay *next = NULL;

    ck_assert_int_eq(
        tb_edit_add(tb_session_bay(session),
                    "<ball id='b9' mount='body' class='moving' at='1 2 3' radius='7'/>", &next,
                    NULL),
        TB_OK);
    tb_session_edit(session, next, "add b9", 0);
    tb_session_select(session, "b9");
    ck_assert_str_eq(tb_session_selected(session), "b9");
    ck_assert(tb_session_undo(session));
    ck_assert_ptr_null(tb_session_selected(session));
}
END_TEST

START_TEST(a_session_ends_in_the_middle_of_its_work)
{
    for (int i = 0; i < 5; i++) {
        TbSession *session = session_of_kit();

        tb_session_edit(session, moved(session, 191 + i), "move", 0);
        if (i % 2 == 1)
            g_usleep(3000 * (gulong)i);
        g_object_unref(session);
        while (g_main_context_iteration(NULL, FALSE))
            ;
    }
}
END_TEST

START_TEST(work_that_is_given_up_says_so_and_may_be_asked_again)
{
    g_autoptr(TbSession) session = session_of_kit();

    tb_session_cancel(session);
    tb_session_edit(session, moved(session, 191), "move", 0);
    settle(session);
    ck_assert_str_eq(tb_session_fault(session)->text, "");
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("app/session");
    TCase *tests = tcase_create("session");

    tcase_set_timeout(tests, TB_TEST_LIMIT);
    tcase_add_test(tests, what_stands_after_a_drag_is_what_a_fresh_study_says);
    tcase_add_test(tests, a_held_session_judges_the_shown_state_and_variant_alone);
    tcase_add_test(tests, of_many_questions_the_last_one_is_answered);
    tcase_add_test(tests, a_drag_is_one_step_of_undo_and_one_given_up_none);
    tcase_add_test(tests, the_saved_mark_follows_the_document_that_was_written);
    tcase_add_test(tests, a_finding_brings_cursor_state_and_variant_to_its_place);
    tcase_add_test(
        tests, a_finding_of_a_motion_is_drawn_where_it_is_worst_until_somebody_wants_it_at_rest);
    tcase_add_test(tests, what_is_said_of_a_states_drawing_goes_with_the_state);
    tcase_add_test(tests, an_edit_clears_what_was_told_of_the_time_before_it);
    tcase_add_test(tests, what_is_shown_of_another_state_or_document_is_behind_after_a_blink);
    tcase_add_test(tests, what_is_dragged_is_never_behind);
    tcase_add_test(tests, the_cursor_stays_on_its_path);
    tcase_add_test(tests, an_item_chosen_with_the_cursor_beyond_its_end_gets_it_at_its_end);
    tcase_add_test(tests, a_state_that_rocks_is_drawn_at_rest);
    tcase_add_test(tests, what_an_undo_takes_away_is_not_selected_any_more);
    tcase_add_test(tests, a_session_ends_in_the_middle_of_its_work);
    tcase_add_test(tests, work_that_is_given_up_says_so_and_may_be_asked_again);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
