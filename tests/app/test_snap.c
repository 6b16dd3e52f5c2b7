/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/snap.h"
#include "scenes.h"

#include <math.h>

static TbScene *scene;
static TbSnapIndex *index_of_all;

static void
set_up(void)
{
    scene = scene_of(snap_kit, (TbCutAsk){.view = TB_SCENE_SIDE, .at = -120});
    index_of_all = tb_snap_index_new(scene, NULL);
}

static void
take_down(void)
{
    tb_snap_index_free(index_of_all);
    tb_scene_unref(scene);
}

static TbSnapAsk
ask_at(double ratio)
{
    return (TbSnapAsk){.index = index_of_all, .plane = scene->plane, .ratio = ratio};
}

static void
assert_at(const TbSnap *snap, double x, double y)
{
    ck_assert_double_eq_tol(snap->at.x, x, 1e-9);
    ck_assert_double_eq_tol(snap->at.y, y, 1e-9);
}

START_TEST(a_corner_within_the_radius_is_hit_and_named)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    /* 2.5 mm of paper are 5 mm of the bay: 3 and 3.9 off are 4.92 off */
    tb_snap(&ask, tb_vec2(103.7 - 3, -21.9 + 3.9), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_POINT);
    assert_at(&snap, 103.7, -21.9);
    ck_assert_str_eq(snap.label, "corner of Frame rail");
    ck_assert_str_eq(snap.item, "rail");
    ck_assert_double_eq(snap.height, 0);
}
END_TEST

START_TEST(a_corner_just_outside_the_radius_is_not_hit)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    /* 3.2 and 4 off are 5.12 off, and so is every edge's end */
    tb_snap(&ask, tb_vec2(103.7 - 3.2, -21.9 + 4), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_GRID);
}
END_TEST

START_TEST(an_edge_is_hit_square_to_it_and_tells_its_direction)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    tb_snap(&ask, tb_vec2(433.1, -21.9 + 2.7), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_EDGE);
    assert_at(&snap, 433.1, -21.9);
    ck_assert_double_eq_tol(fabs(snap.along.x), 1, 1e-12);
    ck_assert_str_eq(snap.label, "edge of Frame rail");
}
END_TEST

START_TEST(a_round_outline_has_an_edge_all_round_and_no_corner)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    for (int i = 0; i < 73; i++) {
        double angle = i * 2 * M_PI / 73;

        tb_snap(&ask, tb_vec2(300 + 35.1 * cos(angle), 60 + 35.1 * sin(angle)), &snap);
        ck_assert_int_eq(snap.kind, TB_SNAP_EDGE);
        /* a cut is drawn within a thousandth of a millimetre */
        ck_assert_double_eq_tol(hypot(snap.at.x - 300, snap.at.y - 60), 33.3, 2e-3);
    }
}
END_TEST

START_TEST(grid_steps_are_one_two_or_five_and_no_closer_than_2_mm_of_paper)
{
    for (double ratio = 0.006; ratio < 60; ratio *= 1.37) {
        double step = tb_snap_step(ratio, TB_UNIT_MM);
        double mantissa = step / pow(10, floor(log10(step) + 1e-9));

        ck_assert(step * ratio >= TB_SNAP_STEP * (1 - 1e-12) || step == 0.1);
        /* a step finer would be too close, or finer than a tenth */
        ck_assert(step / 2.5 * ratio < TB_SNAP_STEP || step <= 0.1);
        ck_assert(fabs(mantissa - 1) < 1e-6 || fabs(mantissa - 2) < 1e-6 ||
                  fabs(mantissa - 5) < 1e-6);
    }
    ck_assert_double_eq(tb_snap_step(0.5, TB_UNIT_MM), 5);
    ck_assert_double_eq(tb_snap_step(1, TB_UNIT_MM), 2);
    ck_assert_double_eq(tb_snap_step(0.2, TB_UNIT_MM), 10);
}
END_TEST

START_TEST(the_grid_is_there_where_nothing_else_is)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    tb_snap(&ask, tb_vec2(713.3, 211.9), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_GRID);
    assert_at(&snap, 715, 210);
    ck_assert_str_eq(snap.label, "grid 5 mm");
    ck_assert(isnan(snap.height));
}
END_TEST

START_TEST(an_angle_from_the_last_point_is_held_with_a_length_on_the_grid)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    ask.has_last = true;
    ask.last = tb_vec2(700.3, 200.7);
    /* 31 deg, 83 long: 1.45 mm off the ray at 30, whose length is 82.99 -> 85 */
    tb_snap(&ask, tb_vec2(700.3 + 83 * cos(31 * M_PI / 180), 200.7 + 83 * sin(31 * M_PI / 180)),
            &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_ANGLE);
    assert_at(&snap, 700.3 + 85 * cos(M_PI / 6), 200.7 + 85 * 0.5);
    ck_assert_str_eq(snap.label, "30°");
}
END_TEST

START_TEST(straight_up_is_exactly_straight)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    ask.has_last = true;
    ask.last = tb_vec2(713.7, 200.7);
    tb_snap(&ask, tb_vec2(714.9, 263.1), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_ANGLE);
    ck_assert_double_eq(snap.at.x, 713.7);
    ck_assert_str_eq(snap.label, "90°");
}
END_TEST

START_TEST(an_angle_that_meets_an_edge_stops_there)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    ask.has_last = true;
    ask.last = tb_vec2(433.3, 47.9);
    tb_snap(&ask, tb_vec2(434.1, -20.1), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_CROSSING);
    assert_at(&snap, 433.3, -21.9);
    ck_assert_str_eq(snap.label, "-90°, edge of Frame rail");
}
END_TEST

START_TEST(points_of_the_bay_go_before_edges_and_tell_their_height_and_port)
{
    char label[] = "port Tap", id[] = "tap";
    TbSnapPoint point = {.at = {433.9, -133.4, -23.1}, .label = label, .port = id};
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    ask.points = &point;
    ask.point_count = 1;
    tb_snap(&ask, tb_vec2(433.1, -21.9), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_POINT);
    assert_at(&snap, 433.9, -23.1);
    ck_assert_str_eq(snap.port, "tap");
    /* a side cut looks along Y from the left: n = (0, -1, 0) */
    ck_assert_double_eq_tol(snap.height, 13.4, 1e-9);
}
END_TEST

START_TEST(switched_off_the_pointer_itself_is_meant)
{
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    ask.off = true;
    tb_snap(&ask, tb_vec2(103.9, -21.7), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_NONE);
    assert_at(&snap, 103.9, -21.7);
    ck_assert_str_eq(snap.label, "");
}
END_TEST

START_TEST(what_is_being_drawn_is_not_snapped_to)
{
    TbSnapIndex *index = tb_snap_index_new(scene, "rail");
    TbSnapAsk ask = ask_at(0.5);
    TbSnap snap;

    ask.index = index;
    tb_snap(&ask, tb_vec2(103.9, -21.7), &snap);
    ck_assert_int_eq(snap.kind, TB_SNAP_GRID);
    ck_assert_uint_lt(tb_snap_index_count(index), tb_snap_index_count(index_of_all));
    tb_snap_index_free(index);
}
END_TEST

START_TEST(the_item_under_a_point_is_the_smallest_that_is_cut_there)
{
    ck_assert_str_eq(tb_snap_item_at(index_of_all, tb_vec2(311, 47)), "bar");
    ck_assert_str_eq(tb_snap_item_at(index_of_all, tb_vec2(311, -47)), "rail");
    ck_assert_ptr_null(tb_snap_item_at(index_of_all, tb_vec2(311, 147)));
}
END_TEST

/* The edge that is nearest by looking at every piece, without boxes. */
static double
nearest_by_hand(TbVec2 p)
{
    double best = INFINITY;

    for (size_t s = 0; s < scene->shape_count; s++)
        for (int which = 0; which < 2; which++) {
            const TbCut *cut = which == 0 ? &scene->shapes[s].cut : &scene->shapes[s].silhouette;

            for (size_t l = 0; l < cut->loop_count; l++)
                for (size_t i = 0; i < cut->loops[l].count; i++) {
                    TbVec2 a = cut->points[cut->loops[l].first + i];
                    TbVec2 b = cut->points[cut->loops[l].first + (i + 1) % cut->loops[l].count];
                    TbVec2 d = tb_vec2_sub(b, a);
                    double k = tb_vec2_dot(tb_vec2_sub(p, a), d) / tb_vec2_dot(d, d);

                    k = fmin(1, fmax(0, k));
                    best = fmin(
                        best, tb_vec2_length(tb_vec2_sub(p, tb_vec2_add(a, tb_vec2_scale(d, k)))));
                }
        }
    return best;
}

START_TEST(the_tree_of_boxes_finds_what_looking_at_every_piece_finds)
{
    TbSnapAsk ask = ask_at(0.5);
    unsigned seed = 20261125;
    int edges = 0;

    for (int i = 0; i < 4000; i++) {
        TbVec2 p;
        TbSnap snap;
        double best;

        seed = seed * 1103515245u + 12345;
        p.x = 60 + 600.0 * (seed >> 8) / (1 << 24);
        seed = seed * 1103515245u + 12345;
        p.y = -150 + 280.0 * (seed >> 8) / (1 << 24);
        best = nearest_by_hand(p);
        tb_snap(&ask, p, &snap);
        ck_assert_int_eq(snap.kind != TB_SNAP_GRID, best <= 5);
        if (snap.kind == TB_SNAP_EDGE) {
            ck_assert_double_eq_tol(tb_vec2_length(tb_vec2_sub(snap.at, p)), best, 1e-9);
            edges++;
        }
    }
    ck_assert_int_gt(edges, 100);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("app/snap");
    TCase *c = tcase_create("snap");

    tcase_add_checked_fixture(c, set_up, take_down);
    tcase_add_test(c, a_corner_within_the_radius_is_hit_and_named);
    tcase_add_test(c, a_corner_just_outside_the_radius_is_not_hit);
    tcase_add_test(c, an_edge_is_hit_square_to_it_and_tells_its_direction);
    tcase_add_test(c, a_round_outline_has_an_edge_all_round_and_no_corner);
    tcase_add_test(c, grid_steps_are_one_two_or_five_and_no_closer_than_2_mm_of_paper);
    tcase_add_test(c, the_grid_is_there_where_nothing_else_is);
    tcase_add_test(c, an_angle_from_the_last_point_is_held_with_a_length_on_the_grid);
    tcase_add_test(c, straight_up_is_exactly_straight);
    tcase_add_test(c, an_angle_that_meets_an_edge_stops_there);
    tcase_add_test(c, points_of_the_bay_go_before_edges_and_tell_their_height_and_port);
    tcase_add_test(c, switched_off_the_pointer_itself_is_meant);
    tcase_add_test(c, what_is_being_drawn_is_not_snapped_to);
    tcase_add_test(c, the_item_under_a_point_is_the_smallest_that_is_cut_there);
    tcase_add_test(c, the_tree_of_boxes_finds_what_looking_at_every_piece_finds);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
