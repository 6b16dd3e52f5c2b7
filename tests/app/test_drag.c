/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "loop.h"

#include "app/drag.h"
#include "app/section_grips.h"
#include "base/mem.h"
#include "bay/read.h"
#include "small_kit.h"

#include <math.h>
#include <string.h>

static TbSession *session;
static TbDrag drag;
/* seen from the left */
static const TbPlane side = {{0, 20, 0}, {1, 0, 0}, {0, 0, 1}, {0, -1, 0}};

static void
set_up(void)
{
    TbStore *store = tb_store_new();
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_read_bytes(small_kit, strlen(small_kit), &bay, &fault) == TB_OK,
                  "line %d: %s", fault.line, fault.text);
    session = tb_session_new(bay, NULL, store, NULL);
    tb_bay_unref(bay);
    tb_store_unref(store);
    tb_drag_init(&drag, session);
}

static void
tear_down(void)
{
    tb_drag_clear(&drag);
    g_clear_object(&session);
}

static const TbPath *
outlet_path(void)
{
    return tb_item_path(tb_bay_item(tb_session_bay(session), "outlet"));
}

/* Number of a handle of the outlet. */
static size_t
handle_number(TbHandleKind kind, size_t index)
{
    TbHandle *handles = NULL;
    size_t count = 0, found = SIZE_MAX;

    ck_assert_int_eq(tb_bay_handles(tb_session_bay(session), tb_session_variant(session), "outlet",
                                    &handles, &count, NULL),
                     TB_OK);
    for (size_t i = 0; i < count; i++)
        if (handles[i].kind == kind && handles[i].index == index)
            found = i;
    tb_free(handles);
    ck_assert_uint_ne(found, SIZE_MAX);
    return found;
}

/* ---- arithmetic ---- */

START_TEST(one_axis_keeps_the_larger_part_of_a_way)
{
    TbVec2 by = tb_drag_one_axis(tb_vec2(-7.3, 5.1));

    ck_assert_double_eq(by.x, -7.3);
    ck_assert_double_eq(by.y, 0);
    by = tb_drag_one_axis(tb_vec2(2.2, -3.9));
    ck_assert_double_eq(by.x, 0);
    ck_assert_double_eq(by.y, -3.9);
}
END_TEST

START_TEST(free_handle_moves_in_the_plane_and_keeps_its_depth)
{
    TbHandle handle = {.kind = TB_HANDLE_KNOT, .point = {190, 33.7, -40}};
    TbVec3 to = tb_drag_target(&handle, side, tb_vec2(4.5, -1.25));

    ck_assert_double_eq_tol(to.x, 194.5, 1e-12);
    ck_assert_double_eq_tol(to.y, 33.7, 1e-12);
    ck_assert_double_eq_tol(to.z, -41.25, 1e-12);
}
END_TEST

/* A face that leans 60 degrees out of the paper: 3 mm on paper are 6 mm along it. */
START_TEST(sliding_handle_follows_the_pointer_along_its_direction)
{
    TbHandle handle = {
        .kind = TB_HANDLE_BLOCK_FACE, .point = {10, 20, 30}, .direction = {0.5, sqrt(0.75), 0}};
    TbVec3 to = tb_drag_target(&handle, side, tb_vec2(3, 8.8));

    ck_assert_double_eq_tol(tb_vec3_distance(to, handle.point), 6, 1e-12);
    ck_assert_double_eq_tol(to.x, 13, 1e-12);
    ck_assert_double_eq_tol(to.z, 30, 1e-12);
    /* straight into the paper: nothing to follow */
    handle.direction = tb_vec3(0, 1, 0);
    to = tb_drag_target(&handle, side, tb_vec2(3, 8.8));
    ck_assert_double_eq(tb_vec3_distance(to, handle.point), 0);
}
END_TEST

START_TEST(size_of_a_section_grows_by_what_its_handle_moves_outwards)
{
    TbPartGrip width = {
        .part = TB_SECTION_PART_WIDTH, .at = {35, 0}, .along = {1, 0}, .value = 70, .per_mm = 2};
    TbPartGrip turn = {.part = TB_SECTION_PART_TURN, .at = {0, 41}, .value = -12.5};

    ck_assert_double_eq_tol(tb_drag_part_value(&width, tb_vec2(35, 1), tb_vec2(37.3, 9)), 74.6,
                            1e-12);
    /* from H towards W is clockwise as it is seen, and positive: right-handed about the path */
    ck_assert_double_eq_tol(tb_drag_part_value(&turn, tb_vec2(0, 41), tb_vec2(41, 0)), 77.5, 1e-9);
    ck_assert_double_eq_tol(tb_drag_part_value(&turn, tb_vec2(0, 41), tb_vec2(-41, 0)), -102.5,
                            1e-9);
}
END_TEST

START_TEST(planes_are_set_in_steps_that_are_shown)
{
    ck_assert_double_eq_tol(tb_drag_stepped(212.3499), 212.3, 1e-9);
    ck_assert_double_eq(tb_drag_stepped(-0.04), 0);
    ck_assert(!signbit(tb_drag_stepped(-0.04)));
}
END_TEST

START_TEST(station_is_that_of_the_nearest_place_of_the_line)
{
    TbVec2 points[3] = {{0, 0}, {30, 40}, {30, 90}};
    double stations[3] = {10, 60, 110};
    TbSceneLine line = {.tag = "outlet", .points = points, .station = stations, .count = 3};
    TbScene scene = {.lines = &line, .line_count = 1};

    ck_assert_double_eq_tol(tb_drag_station(&scene, "outlet", tb_vec2(7, 24)), 33.4, 1e-9);
    ck_assert_double_eq(tb_drag_station(&scene, "outlet", tb_vec2(44, 500)), 110);
    ck_assert(isnan(tb_drag_station(&scene, "rail", tb_vec2(0, 0))));
}
END_TEST

/* ---- handles ---- */

START_TEST(press_without_a_move_is_a_click_and_changes_nothing)
{
    uint64_t node = tb_session_bay(session)->node;

    ck_assert(tb_drag_press_handle(&drag, "outlet", handle_number(TB_HANDLE_KNOT, 0), side,
                                   tb_vec2(191, -41)));
    /* 2 mm of the bay at 1:2 are 1 mm of paper: inside the dead zone */
    ck_assert(!tb_drag_move(&drag, tb_vec2(193, -41), 0.5, false, NULL));
    ck_assert(tb_drag_release(&drag));
    ck_assert_uint_eq(tb_session_bay(session)->node, node);
    ck_assert_ptr_null(tb_session_undo_name(session));
}
END_TEST

START_TEST(drag_of_a_knot_is_one_undo_step_with_its_name)
{
    TbVec3 before = outlet_path()->knots[0].at;

    ck_assert(tb_drag_press_handle(&drag, "outlet", handle_number(TB_HANDLE_KNOT, 0), side,
                                   tb_vec2(191, -41)));
    for (int i = 1; i <= 20; i++)
        ck_assert(tb_drag_move(&drag, tb_vec2(191 + 0.7 * i, -41 - 0.3 * i), 2, false, NULL));
    ck_assert(tb_drag_is_running(&drag));
    ck_assert(!tb_drag_release(&drag));
    /* grabbed 1 mm beside the knot: it moved by what the pointer did */
    ck_assert_double_eq_tol(outlet_path()->knots[0].at.x, before.x + 14, 1e-9);
    ck_assert_double_eq_tol(outlet_path()->knots[0].at.y, before.y, 1e-9);
    ck_assert_double_eq_tol(outlet_path()->knots[0].at.z, before.z - 6, 1e-9);
    ck_assert_str_eq(tb_session_undo_name(session), "move knot 1 of outlet");
    ck_assert(tb_session_undo(session));
    ck_assert_double_eq(outlet_path()->knots[0].at.x, before.x);
    ck_assert_ptr_null(tb_session_undo_name(session));
}
END_TEST

START_TEST(shift_keeps_a_drag_to_one_axis_of_the_view)
{
    TbVec3 before = outlet_path()->knots[1].at;

    tb_drag_press_handle(&drag, "outlet", handle_number(TB_HANDLE_KNOT, 1), side,
                         tb_vec2(290, -140));
    tb_drag_move(&drag, tb_vec2(293.1, -151.7), 1, true, NULL);
    tb_drag_release(&drag);
    ck_assert_double_eq(outlet_path()->knots[1].at.x, before.x);
    ck_assert_double_eq_tol(outlet_path()->knots[1].at.z, before.z - 11.7, 1e-9);
}
END_TEST

START_TEST(drag_that_is_given_up_leaves_no_trace)
{
    uint64_t node = tb_session_bay(session)->node;

    tb_drag_press_handle(&drag, "outlet", handle_number(TB_HANDLE_KNOT, 0), side,
                         tb_vec2(190, -40));
    tb_drag_move(&drag, tb_vec2(222, -77), 1, false, NULL);
    ck_assert_uint_ne(tb_session_bay(session)->node, node);
    tb_drag_cancel(&drag);
    ck_assert_uint_eq(tb_session_bay(session)->node, node);
    ck_assert_ptr_null(tb_session_undo_name(session));
    ck_assert_ptr_null(tb_session_redo_name(session));
    ck_assert(!tb_drag_is_running(&drag));
    /* the release that follows Escape is nothing, not a click */
    ck_assert(!tb_drag_release(&drag));
}
END_TEST

/* A place that is no number is no edit: the sentence is told, and the next good place counts. */
START_TEST(move_that_is_no_edit_is_refused_with_its_sentence)
{
    tb_drag_press_handle(&drag, "head", 0, side, tb_vec2(0, 0));
    tb_drag_move(&drag, tb_vec2(NAN, 3), 1, false, NULL);
    ck_assert_str_ne(drag.refused.text, "");
    ck_assert_ptr_null(tb_session_undo_name(session));
    tb_drag_move(&drag, tb_vec2(12, 3), 1, false, NULL);
    ck_assert_str_eq(drag.refused.text, "");
    tb_drag_release(&drag);
    ck_assert_str_eq(tb_session_undo_name(session), "move head");
}
END_TEST

START_TEST(what_ends_on_a_dragged_port_follows)
{
    TbHandle *handles = NULL;
    size_t count = 0, port = SIZE_MAX;
    TbPortPlace place;

    ck_assert_int_eq(tb_bay_handles(tb_session_bay(session), NULL, "pot", &handles, &count, NULL),
                     TB_OK);
    for (size_t i = 0; i < count; i++)
        if (handles[i].kind == TB_HANDLE_PORT)
            port = i;
    tb_free(handles);
    ck_assert_uint_ne(port, SIZE_MAX);
    tb_drag_press_handle(&drag, "pot", port, side, tb_vec2(420, -260));
    tb_drag_move(&drag, tb_vec2(431.3, -255.1), 1, false, NULL);
    tb_drag_release(&drag);
    ck_assert_int_eq(tb_bay_port_place(tb_session_bay(session), NULL, "cat", &place, NULL), TB_OK);
    ck_assert_double_eq_tol(place.point.x, 431.3, 1e-9);
    ck_assert_double_eq_tol(place.point.z, -255.1, 1e-9);
}
END_TEST

START_TEST(keys_of_one_grip_are_one_step_and_the_next_grip_is_another)
{
    size_t first = handle_number(TB_HANDLE_KNOT, 0), second = handle_number(TB_HANDLE_KNOT, 1);
    double x = outlet_path()->knots[0].at.x;
    int group = tb_session_group(session);

    for (int i = 0; i < 3; i++)
        ck_assert(tb_drag_nudge(session, "outlet", first, side, tb_vec2(1, 0), group, NULL));
    ck_assert(tb_drag_nudge(session, "outlet", second, side, tb_vec2(0, -10),
                            tb_session_group(session), NULL));
    ck_assert_double_eq_tol(outlet_path()->knots[0].at.x, x + 3, 1e-9);
    tb_session_undo(session);
    ck_assert_double_eq_tol(outlet_path()->knots[0].at.x, x + 3, 1e-9);
    tb_session_undo(session);
    ck_assert_double_eq_tol(outlet_path()->knots[0].at.x, x, 1e-9);
    ck_assert_ptr_null(tb_session_undo_name(session));
}
END_TEST

START_TEST(handle_that_is_not_there_is_not_pressed)
{
    ck_assert(!tb_drag_press_handle(&drag, "outlet", 999, side, tb_vec2(0, 0)));
    ck_assert(!tb_drag_press_handle(&drag, "nobody", 0, side, tb_vec2(0, 0)));
    ck_assert_int_eq(drag.kind, TB_DRAG_NONE);
}
END_TEST

/* ---- in a hot state ---- */

/** What the kit's hot parts on the engine grow by: 13.5e-6 a kelvin from 20 to 620 degC. */
#define HOT 1.0081

static bool
hot_is_shown(uint64_t node)
{
    TbShown *shown = tb_session_shown(session);

    return shown != NULL && shown->ask.bay->node == node && g_strcmp0(shown->ask.state, "hot") == 0;
}

static void
show_hot(void)
{
    tb_session_set_state(session, "hot");
    wait_until(hot_is_shown(tb_session_bay(session)->node));
}

/* About the engine's datum, 55 0 -45. */
static TbVec3
grown(TbVec3 p)
{
    return tb_vec3(55 + HOT * (p.x - 55), HOT * p.y, -45 + HOT * (p.z + 45));
}

static double
off_line(const TbScene *scene, TbVec2 at)
{
    double least = INFINITY;

    for (size_t i = 0; i < scene->line_count; i++) {
        const TbSceneLine *line = &scene->lines[i];

        for (size_t k = 0; strcmp(line->tag, "outlet") == 0 && k + 1 < line->count; k++) {
            TbVec2 d = tb_vec2_sub(line->points[k + 1], line->points[k]);
            TbVec2 way = tb_vec2_sub(at, line->points[k]);
            double share = fmin(1, fmax(0, tb_vec2_dot(way, d) / tb_vec2_dot(d, d)));

            least = fmin(least, tb_vec2_length(tb_vec2_sub(way, tb_vec2_scale(d, share))));
        }
    }
    return least;
}

START_TEST(a_knot_is_taken_hold_of_where_the_grown_duct_is_drawn_and_follows_the_pointer)
{
    TbVec3 cold = outlet_path()->knots[1].at, to = grown(cold), now;
    TbVec2 by = {7.3, -4.9};
    const TbScene *scene;
    TbHandle handle = {.point = cold};
    TbHandle shown;

    show_hot();
    shown = tb_drag_shown_handle(tb_session_pose(session, "outlet"), &handle);
    ck_assert_double_le(tb_vec3_distance(shown.point, to), 1e-9);
    ck_assert_double_gt(tb_vec3_distance(to, cold), 1.5);
    scene = tb_session_scene(session, TB_SLOT_LEFT, NULL);
    ck_assert_double_le(off_line(scene, tb_plane_project(scene->plane, to)), 0.02);
    ck_assert_double_gt(off_line(scene, tb_plane_project(scene->plane, cold)), 0.5);

    ck_assert(tb_drag_press_handle(&drag, "outlet", handle_number(TB_HANDLE_KNOT, 1), side,
                                   tb_vec2(to.x + 0.3, to.z)));
    tb_drag_move(&drag, tb_vec2(to.x + 0.3 + by.x, to.z + by.y), 1, false, NULL);
    tb_drag_release(&drag);
    now = outlet_path()->knots[1].at;
    ck_assert_double_eq_tol(now.x, cold.x + by.x / HOT, TB_DRAG_STEP);
    ck_assert_double_eq_tol(now.y, cold.y, TB_DRAG_STEP);
    ck_assert_double_eq_tol(now.z, cold.z + by.y / HOT, TB_DRAG_STEP);
    wait_until(hot_is_shown(tb_session_bay(session)->node));
    now = tb_pose_point(tb_session_pose(session, "outlet"), now);
    ck_assert_double_le(tb_vec3_distance(now, tb_vec3(to.x + by.x, to.y, to.z + by.y)),
                        2 * TB_DRAG_STEP);
}
END_TEST

START_TEST(a_key_moves_a_grown_handle_by_what_is_seen)
{
    TbVec3 cold = outlet_path()->knots[0].at;

    show_hot();
    ck_assert(tb_drag_nudge(session, "outlet", handle_number(TB_HANDLE_KNOT, 0), side,
                            tb_vec2(0, 100), tb_session_group(session), NULL));
    ck_assert_double_eq_tol(outlet_path()->knots[0].at.z, cold.z + 100 / HOT, TB_DRAG_STEP);
}
END_TEST

START_TEST(what_stands_cold_in_a_hot_state_is_dragged_where_it_is)
{
    show_hot();
    ck_assert(tb_pose_is_identity(tb_session_pose(session, "rail")));
    ck_assert(tb_pose_is_identity(tb_session_pose(session, "nobody")));
    tb_session_set_state(session, "cold");
    wait_until(g_strcmp0(tb_session_shown(session)->ask.state, "cold") == 0);
    ck_assert(tb_pose_is_identity(tb_session_pose(session, "outlet")));
}
END_TEST

static double
nearest_side(const TbScene *scene, double u)
{
    double least = INFINITY;

    for (size_t i = 0; i < scene->shape_count; i++) {
        const TbCut *cut = &scene->shapes[i].cut;

        for (size_t k = 0; strcmp(scene->shapes[i].tag, "outlet") == 0 && k < cut->loop_count;
             k++) {
            double furthest = 0;

            for (size_t p = 0; p < cut->loops[k].count; p++)
                furthest = fmax(furthest, cut->points[cut->loops[k].first + p].x);
            least = fmin(least, fabs(furthest - u));
        }
    }
    return least;
}

START_TEST(sides_of_a_grown_section_stand_on_its_drawn_wall)
{
    TbPartGrip grips[TB_SECTION_GRIPS], after[TB_SECTION_GRIPS];

    tb_session_set_cursor(session, "outlet", 180);
    show_hot();
    ck_assert_uint_eq(tb_section_grips(session, "outlet", 1, grips), 6);
    ck_assert_double_eq_tol(grips[0].at.x, 35 * HOT, 1e-9);
    ck_assert_double_eq(grips[0].value, 70);
    ck_assert_double_le(nearest_side(tb_session_scene(session, TB_SLOT_ACROSS, NULL), 35 * HOT),
                        0.02);
    ck_assert_double_gt(nearest_side(tb_session_scene(session, TB_SLOT_ACROSS, NULL), 35), 0.2);
    for (size_t i = 0; i < 4; i++) {
        TbVec2 to = tb_vec2_add(grips[i].at, tb_vec2_scale(grips[i].along, 31.7));

        tb_drag_press_part(&drag, "outlet", grips[i], grips[i].at);
        tb_drag_move(&drag, to, 10, false, NULL);
        tb_drag_release(&drag);
        tb_section_grips(session, "outlet", 1, after);
        /* sizes are set in tenths */
        ck_assert_double_le(tb_vec2_length(tb_vec2_sub(after[i].at, to)), 0.051);
        ck_assert(tb_session_undo(session));
    }
}
END_TEST

/* ---- planes and cursor ---- */

START_TEST(dragged_plane_goes_where_the_pointer_is)
{
    tb_session_set_plane(session, TB_SCENE_PLAN, -80);
    tb_drag_press_plane(&drag, TB_SCENE_PLAN, side, tb_vec2(55, -80.3));
    tb_drag_move(&drag, tb_vec2(71, -61.04), 1, false, NULL);
    ck_assert_double_eq_tol(tb_session_cut(session, TB_SCENE_PLAN).at, -60.7, 1e-9);
    tb_drag_cancel(&drag);
    ck_assert_double_eq(tb_session_cut(session, TB_SCENE_PLAN).at, -80);
    ck_assert_ptr_null(tb_session_undo_name(session));
}
END_TEST

START_TEST(dragged_free_plane_moves_along_its_normal)
{
    TbCutAsk cut = {.point = {10, 20, 30}, .look = {0.6, 0, 0.8}, .up = {0, 1, 0}};
    TbVec3 d;

    tb_session_set_free_plane(session, &cut);
    tb_drag_press_plane(&drag, TB_SCENE_FREE, side, tb_vec2(0, 0));
    tb_drag_move(&drag, tb_vec2(10, 5), 1, false, NULL);
    d = tb_vec3_sub(tb_session_cut(session, TB_SCENE_FREE).point, cut.point);
    /* (10, 0, 5) along (0.6, 0, 0.8) is 10 mm */
    ck_assert_double_eq_tol(d.x, 6, 1e-9);
    ck_assert_double_eq_tol(d.y, 0, 1e-9);
    ck_assert_double_eq_tol(d.z, 8, 1e-9);
}
END_TEST

/* ---- sections ---- */

START_TEST(given_sections_are_found_by_their_stations)
{
    size_t row = 99;
    double last = tb_section_station(session, "outlet", 2);

    ck_assert_double_eq_tol(tb_section_station(session, "outlet", 1), 180, 1e-9);
    ck_assert_double_gt(last, 300);
    ck_assert(tb_section_at(session, "outlet", 180.2, &row));
    ck_assert_uint_eq(row, 1);
    ck_assert(!tb_section_at(session, "outlet", 181, &row));
    ck_assert_double_eq_tol(tb_section_next(session, "outlet", 77, 1), 180, 1e-9);
    ck_assert_double_eq_tol(tb_section_next(session, "outlet", 180, 1), last, 1e-9);
    ck_assert_double_eq_tol(tb_section_next(session, "outlet", 180, -1), 0, 1e-9);
    ck_assert(isnan(tb_section_next(session, "outlet", 0, -1)));
    ck_assert(!tb_section_at(session, "rail", 0, &row));
    ck_assert(isnan(tb_section_station(session, "outlet", 9)));
}
END_TEST

static const TbRow *
row_of(size_t index)
{
    return &tb_item_duct(tb_bay_item(tb_session_bay(session), "outlet"))->rows[index];
}

START_TEST(sides_of_a_section_are_dragged)
{
    TbPartGrip grips[TB_SECTION_GRIPS];

    /* four sides, turn, corner */
    ck_assert_uint_eq(tb_section_grips(session, "outlet", 1, grips), 6);
    ck_assert_double_eq_tol(grips[0].at.x, 35, 1e-9);
    ck_assert_double_eq_tol(grips[3].at.y, -22, 1e-9);
    tb_drag_press_part(&drag, "outlet", grips[0], tb_vec2(36, 0));
    tb_drag_move(&drag, tb_vec2(38.5, 3), 4, false, NULL);
    tb_drag_release(&drag);
    ck_assert_double_eq_tol(row_of(1)->width, 75, 1e-9);
    ck_assert_str_eq(tb_session_undo_name(session), "change width of section 2 of outlet");
}
END_TEST

/* The handle stays under the pointer: after the drag it stands where it was let go. */
START_TEST(every_handle_of_a_section_ends_under_the_pointer)
{
    TbPartGrip grips[TB_SECTION_GRIPS];
    size_t count = tb_section_grips(session, "outlet", 1, grips);

    for (size_t i = 0; i < count; i++) {
        bool turn = grips[i].part == TB_SECTION_PART_TURN;
        TbPartGrip after[TB_SECTION_GRIPS];
        TbVec2 to = tb_vec2_add(grips[i].at, tb_vec2_scale(grips[i].along, turn ? 5 : -0.4));

        /* a turn keeps its distance from the centre */
        if (turn)
            to = tb_vec2_scale(to, tb_vec2_length(grips[i].at) / tb_vec2_length(to));
        tb_drag_press_part(&drag, "outlet", grips[i], grips[i].at);
        tb_drag_move(&drag, to, 10, false, NULL);
        tb_drag_release(&drag);
        ck_assert_uint_eq(tb_section_grips(session, "outlet", 1, after), count);
        /* values are set in tenths: a tenth of a degree is 0.07 mm out there, a tenth of a corner
         * radius 0.04 */
        ck_assert_double_le(tb_vec2_length(tb_vec2_sub(after[i].at, to)), 0.08);
        ck_assert(tb_session_undo(session));
    }
}
END_TEST

START_TEST(handles_are_named)
{
    TbPartGrip grips[TB_SECTION_GRIPS];
    g_autofree char *width = NULL, *turn = NULL, *knot = NULL;
    TbHandle handle = {.kind = TB_HANDLE_KNOT, .index = 2};

    tb_section_grips(session, "outlet", 1, grips);
    width = tb_section_grip_name(&grips[0], TB_UNIT_MM);
    turn = tb_section_grip_name(&grips[4], TB_UNIT_MM);
    knot = tb_drag_handle_name(&handle);
    ck_assert_str_eq(width, "Width 70.0 mm");
    ck_assert_str_eq(turn, "Turn 0.0°");
    ck_assert_str_eq(knot, "knot 3");
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("app/drag");
    TCase *c = tcase_create("drag");

    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_test(c, one_axis_keeps_the_larger_part_of_a_way);
    tcase_add_test(c, free_handle_moves_in_the_plane_and_keeps_its_depth);
    tcase_add_test(c, sliding_handle_follows_the_pointer_along_its_direction);
    tcase_add_test(c, size_of_a_section_grows_by_what_its_handle_moves_outwards);
    tcase_add_test(c, planes_are_set_in_steps_that_are_shown);
    tcase_add_test(c, station_is_that_of_the_nearest_place_of_the_line);
    tcase_add_test(c, press_without_a_move_is_a_click_and_changes_nothing);
    tcase_add_test(c, drag_of_a_knot_is_one_undo_step_with_its_name);
    tcase_add_test(c, shift_keeps_a_drag_to_one_axis_of_the_view);
    tcase_add_test(c, drag_that_is_given_up_leaves_no_trace);
    tcase_add_test(c, move_that_is_no_edit_is_refused_with_its_sentence);
    tcase_add_test(c, what_ends_on_a_dragged_port_follows);
    tcase_add_test(c, keys_of_one_grip_are_one_step_and_the_next_grip_is_another);
    tcase_add_test(c, handle_that_is_not_there_is_not_pressed);
    tcase_add_test(c,
                   a_knot_is_taken_hold_of_where_the_grown_duct_is_drawn_and_follows_the_pointer);
    tcase_add_test(c, a_key_moves_a_grown_handle_by_what_is_seen);
    tcase_add_test(c, what_stands_cold_in_a_hot_state_is_dragged_where_it_is);
    tcase_add_test(c, sides_of_a_grown_section_stand_on_its_drawn_wall);
    tcase_add_test(c, dragged_plane_goes_where_the_pointer_is);
    tcase_add_test(c, dragged_free_plane_moves_along_its_normal);
    tcase_add_test(c, given_sections_are_found_by_their_stations);
    tcase_add_test(c, sides_of_a_section_are_dragged);
    tcase_add_test(c, every_handle_of_a_section_ends_under_the_pointer);
    tcase_add_test(c, handles_are_named);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
