/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The tool in hand, over a session with its worker. */

#include "app/session_tool.h"
#include "geom/tol.h"
#include "loop.h"
#include "scenes.h"

#include <math.h>

static TbSession *session;

static void
set_up(void)
{
    TbStore *store = tb_store_new();
    TbBay *bay = scene_bay(snap_kit);
    g_autoptr(GFile) file = g_file_new_for_path("/nowhere/snap.bay");

    session = tb_session_new(bay, file, store, NULL);
    tb_bay_unref(bay);
    tb_store_unref(store);
    tb_session_set_plane(session, TB_SCENE_SIDE, -120);
    settle(session);
}

static void
take_down(void)
{
    g_clear_object(&session);
}

/* The answer is of what is being shown now. */
static bool
answered(void)
{
    TbShown *shown = tb_session_shown(session);

    for (size_t i = 0; i < shown->results->item_count; i++)
        if (g_strcmp0(shown->results->items[i].id, tb_session_sketch(session)->id) == 0)
            return true;
    return false;
}

static void
aim(TbVec2 at)
{
    TbSnap snap;

    ck_assert(tb_session_snap(session, TB_SLOT_LEFT, 0.5, at, false, &snap));
    tb_session_tool_aim(session, TB_SLOT_LEFT, at, &snap);
}

static void
click(double x, double z)
{
    aim(tb_vec2(x, z));
    tb_session_tool_set(session, false);
}

START_TEST(what_is_being_drawn_is_judged_but_undo_knows_nothing_of_it)
{
    TbNearby nearby[3];
    g_autofree char *says = NULL;
    uint64_t node = tb_session_bay(session)->node;

    tb_session_set_tool(session, TB_TOOL_BLOCK);
    click(400, 60);
    aim(tb_vec2(450, 100));
    wait_until(answered());
    ck_assert_uint_eq(tb_session_bay(session)->node, node);
    ck_assert_ptr_null(tb_session_undo_name(session));
    ck_assert(tb_session_is_saved(session));
    /* the bar's axis runs along Y at (300, 60): 100 to the corner, less its radius */
    ck_assert_uint_eq(tb_session_nearby(session, nearby, 3), 1);
    ck_assert_str_eq(nearby[0].item, "bar");
    ck_assert_str_eq(nearby[0].name, "Round bar");
    ck_assert_double_eq_tol(nearby[0].gap->gap.upper, 66.7, TB_GAP_WIDTH);
    says = tb_session_tool_says(session);
    ck_assert_msg(strstr(says, "50.0 x 40.0 x 40.0 mm · gap 66.7 to Round bar, 12 wanted") != NULL,
                  "%s", says);
}
END_TEST

START_TEST(escape_leaves_no_trace_and_a_second_one_puts_the_tool_away)
{
    tb_session_set_tool(session, TB_TOOL_BLOCK);
    click(400, 60);
    aim(tb_vec2(450, 100));
    wait_until(answered());
    ck_assert(tb_session_tool_cancel(session));
    ck_assert_int_eq(tb_session_tool(session), TB_TOOL_BLOCK);
    wait_until(!answered() && tb_session_is_settled(session));
    ck_assert_ptr_null(tb_session_undo_name(session));
    ck_assert_ptr_null(tb_session_redo_name(session));
    ck_assert(tb_session_tool_cancel(session));
    ck_assert_int_eq(tb_session_tool(session), TB_TOOL_NONE);
    ck_assert(!tb_session_tool_cancel(session));
}
END_TEST

START_TEST(escape_keeps_what_can_be_done_again)
{
    g_autofree char *name = NULL;

    tb_session_set_tool(session, TB_TOOL_BALL);
    click(400, 60);
    tb_session_tool_finish(session);
    tb_session_undo(session);
    name = g_strdup(tb_session_redo_name(session));
    ck_assert_str_eq(name, "draw Ball 1");
    tb_session_set_tool(session, TB_TOOL_BLOCK);
    click(400, 60);
    aim(tb_vec2(450, 100));
    tb_session_tool_cancel(session);
    ck_assert_str_eq(tb_session_redo_name(session), name);
}
END_TEST

START_TEST(done_is_one_named_step_and_what_was_drawn_is_selected)
{
    TbFault fault = {0};

    tb_session_set_tool(session, TB_TOOL_BLOCK);
    click(400, 60);
    ck_assert_int_eq(tb_session_tool_type(session, TB_SLOT_LEFT, "50 x 30.4", &fault), TB_OK);
    tb_session_tool_set(session, false);
    ck_assert_int_eq(tb_session_tool_type(session, TB_SLOT_LEFT, "60", &fault), TB_OK);
    tb_session_tool_set(session, false);
    tb_session_tool_finish(session);
    ck_assert_str_eq(tb_session_undo_name(session), "draw Block 1");
    ck_assert_str_eq(tb_session_selected(session), "block-1");
    ck_assert_ptr_nonnull(tb_bay_item(tb_session_bay(session), "block-1")->known->date);
    ck_assert(tb_session_undo(session));
    ck_assert_ptr_null(tb_session_undo_name(session));
    ck_assert_ptr_null(tb_bay_item(tb_session_bay(session), "block-1"));
}
END_TEST

START_TEST(ports_of_the_bay_are_snapped_to_and_a_line_ends_on_them)
{
    const TbLine *line;
    TbSnap snap;

    tb_session_set_tool(session, TB_TOOL_LINE);
    ck_assert(tb_session_snap(session, TB_SLOT_LEFT, 0.5, tb_vec2(251, 82), false, &snap));
    ck_assert_str_eq(snap.label, "port Tap");
    click(251, 82);
    click(252, 160);
    tb_session_tool_finish(session);
    line = tb_item_line(tb_bay_item(tb_session_bay(session), "line-1"));
    ck_assert_str_eq(line->start->port, "tap");
}
END_TEST

START_TEST(two_items_without_a_keep_are_measured_all_the_same)
{
    TbMeasured told;
    TbSnap snap;
    uint64_t node;

    /* a ball that no keep speaks of: structure to structure */
    tb_session_set_tool(session, TB_TOOL_BALL);
    click(400, 100);
    tb_session_tool_finish(session);
    settle(session);
    node = tb_session_bay(session)->node;
    tb_session_set_tool(session, TB_TOOL_MEASURE);
    for (int i = 0; i < 2; i++) {
        TbVec2 at = i == 0 ? tb_vec2(401, 98) : tb_vec2(403, -77.7);

        ck_assert(tb_session_snap(session, TB_SLOT_LEFT, 0.5, at, true, &snap));
        tb_session_tool_aim(session, TB_SLOT_LEFT, at, &snap);
        tb_session_tool_set(session, true);
    }
    wait_until(tb_session_measured(session).is);
    told = tb_session_measured(session);
    /* from the ball's radius 10 about Z 100 to the rail's top at -21.9 */
    ck_assert_str_eq(told.label, "111.90");
    ck_assert_uint_eq(tb_session_bay(session)->node, node);
    ck_assert_str_eq(tb_session_undo_name(session), "draw Ball 1");
}
END_TEST

START_TEST(an_undo_while_drawing_shows_the_document_again)
{
    tb_session_set_tool(session, TB_TOOL_BALL);
    click(400, 100);
    tb_session_tool_finish(session);
    click(500, 100);
    wait_until(answered());
    ck_assert(tb_session_undo(session));
    wait_until(!answered() && tb_session_is_settled(session));
}
END_TEST

/* A rod that grows by 8.1e-3 of its 400 and a port of its own at its hot end. */
static const char hot_kit[] =
    "<bay version='1' title='Hot'><mounts><mount id='body'/></mounts>"
    "<materials><material id='iron' density='7000' expansion='13.5'/></materials>"
    "<ports><port id='tap' name='Tap' owner='rod' at='400 0 30' flow='0 0 1'>"
    "<opening width='12' height='12'/></port></ports><items>"
    "<rod id='rod' name='Rod' class='hot' mount='body' material='iron' a='0 0 0' b='400 0 0' "
    "radius='10'/><block id='b' class='brake' mount='body' low='430 -50 -50' high='500 50 50'/>"
    "</items><keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"
    "<wanted state='hot' gap='25'/></keep></keeps><states><state id='cold' kind='cold'/>"
    "<state id='hot' kind='hot'><warm class='hot' growth='620'/></state></states></bay>";

/* Snapped to from a place that is 3 mm off at most, at a ratio where 2.5 mm of paper are 5. */
static TbSnap
snapped(TbVec3 near_by)
{
    TbSnap snap;

    ck_assert(tb_session_snap(session, TB_SLOT_LEFT, 0.5, tb_vec2(near_by.x + 0.7, near_by.z),
                              false, &snap));
    return snap;
}

static bool
drawn_hot(void)
{
    return !tb_pose_is_identity(tb_session_pose(session, "rod")) && tb_session_is_settled(session);
}

/* Handles of what had grown were snapped to where they are cold: 3 mm beside the drawing. */
START_TEST(points_are_snapped_to_where_they_are_drawn_in_a_hot_state)
{
    TbVec3 end = tb_vec3(400, 0, 0), tap = tb_vec3(400, 0, 30), hot_end, hot_tap;
    TbStore *store = tb_store_new();
    TbBay *bay = scene_bay(hot_kit);
    TbSnap snap;

    g_clear_object(&session);
    session = tb_session_new(bay, NULL, store, NULL);
    tb_bay_unref(bay);
    tb_store_unref(store);
    tb_session_set_plane(session, TB_SCENE_SIDE, 0);
    settle(session);
    tb_session_set_tool(session, TB_TOOL_LINE);
    snap = snapped(tap);
    ck_assert_str_eq(snap.label, "port Tap");
    ck_assert_double_eq_tol(snap.at.x, 400, 1e-9);
    tb_session_set_state(session, "hot");
    wait_until(drawn_hot());
    hot_end = tb_pose_point(tb_session_pose(session, "rod"), end);
    hot_tap = tb_pose_point(tb_session_pose(session, "rod"), tap);
    ck_assert_double_gt(tb_vec3_distance(hot_end, end), 1.5);
    snap = snapped(hot_end);
    ck_assert_str_eq(snap.label, "end of Rod");
    ck_assert_double_eq_tol(snap.at.x, hot_end.x, 1e-9);
    ck_assert_double_eq_tol(snap.at.y, hot_end.z, 1e-9);
    snap = snapped(hot_tap);
    ck_assert_str_eq(snap.label, "port Tap");
    ck_assert_double_eq_tol(snap.at.x, hot_tap.x, 1e-9);
    ck_assert_double_eq_tol(snap.at.y, hot_tap.z, 1e-9);
    /* and where they are cold again when that is drawn */
    tb_session_set_state(session, "cold");
    wait_until(!drawn_hot() && tb_session_is_settled(session));
    snap = snapped(tap);
    ck_assert_double_eq_tol(snap.at.x, 400, 1e-9);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("app/tool");
    TCase *c = tcase_create("tool");

    tcase_set_timeout(c, TB_TEST_LIMIT);
    tcase_add_checked_fixture(c, set_up, take_down);
    tcase_add_test(c, what_is_being_drawn_is_judged_but_undo_knows_nothing_of_it);
    tcase_add_test(c, escape_leaves_no_trace_and_a_second_one_puts_the_tool_away);
    tcase_add_test(c, escape_keeps_what_can_be_done_again);
    tcase_add_test(c, done_is_one_named_step_and_what_was_drawn_is_selected);
    tcase_add_test(c, ports_of_the_bay_are_snapped_to_and_a_line_ends_on_them);
    tcase_add_test(c, points_are_snapped_to_where_they_are_drawn_in_a_hot_state);
    tcase_add_test(c, two_items_without_a_keep_are_measured_all_the_same);
    tcase_add_test(c, an_undo_while_drawing_shows_the_document_again);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
