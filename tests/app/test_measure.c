/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/measure.h"
#include "geom/tol.h"
#include "scenes.h"

#include <math.h>

static TbMeasuring *measuring;

static void
set_up(void)
{
    measuring = tb_measuring_new();
}

static void
take_down(void)
{
    tb_measuring_free(measuring);
}

static void
pick(TbPickKind kind, TbVec3 at, TbVec3 along, const char *label)
{
    TbPick picked = {.kind = kind, .at = at, .along = along, .label = (char *)(uintptr_t)label};

    if (kind == TB_PICK_ITEM)
        picked.item = picked.label;
    tb_measuring_pick(measuring, side_plane(0), &picked);
}

static const TbVec3 none = {0, 0, 0};

START_TEST(two_points_give_distance_parts_and_angle)
{
    TbMeasured told;

    pick(TB_PICK_POINT, tb_vec3(100.5, 20, 30), none, "a");
    pick(TB_PICK_POINT, tb_vec3(112.5, -16.2, 46), none, "b");
    told = tb_measuring_tell(measuring, NULL, TB_UNIT_MM);
    ck_assert(told.is);
    /* sqrt(12^2 + 36.2^2 + 16^2) = 41.358; atan2(16, 12) = 53.13 deg */
    ck_assert_str_eq(told.label, "41.4");
    ck_assert_str_eq(told.text, "41.4 mm (X 12.0, Y -36.2, Z 16.0), at 53.1° in this view");
}
END_TEST

START_TEST(with_one_point_the_pointer_is_the_other)
{
    TbMeasured told;

    pick(TB_PICK_POINT, tb_vec3(100, 0, 30), none, "a");
    ck_assert(!tb_measuring_tell(measuring, NULL, TB_UNIT_MM).is);
    tb_measuring_aim(measuring, side_plane(0), tb_vec3(100, 0, 43.7));
    told = tb_measuring_tell(measuring, NULL, TB_UNIT_MM);
    ck_assert(told.is);
    ck_assert_str_eq(told.label, "13.7");
}
END_TEST

START_TEST(a_third_pick_begins_anew)
{
    pick(TB_PICK_POINT, tb_vec3(1, 2, 3), none, "a");
    pick(TB_PICK_POINT, tb_vec3(4, 5, 6), none, "b");
    pick(TB_PICK_POINT, tb_vec3(7, 8, 9), none, "c");
    ck_assert_int_eq(measuring->count, 1);
    ck_assert_str_eq(measuring->picks[0].label, "c");
}
END_TEST

START_TEST(from_a_point_to_an_edge_counts_square_to_it_in_the_view)
{
    TbMeasured told;

    /* the edge runs at 30 deg through (100, 50); the point lies 17.3 square to it and 40 before
     * the plane, which does not count */
    pick(TB_PICK_EDGE, tb_vec3(100, 0, 50), tb_vec3(cos(M_PI / 6), 0, sin(M_PI / 6)), "edge of R");
    pick(TB_PICK_POINT,
         tb_vec3(100 + 60 * cos(M_PI / 6) - 17.3 * sin(M_PI / 6), -40,
                 50 + 60 * sin(M_PI / 6) + 17.3 * cos(M_PI / 6)),
         none, "b");
    told = tb_measuring_tell(measuring, NULL, TB_UNIT_MM);
    ck_assert_double_eq_tol(tb_vec3_distance(told.a, told.b), 17.3, 1e-9);
    ck_assert_double_eq_tol(told.b.x, 100 + 60 * cos(M_PI / 6), 1e-9);
    ck_assert_str_eq(told.text, "17.3 mm square to the edge of R, in this view");
}
END_TEST

START_TEST(two_edges_give_the_angle_up_to_90_whichever_way_they_run)
{
    for (int sense = -1; sense <= 1; sense += 2) {
        pick(TB_PICK_EDGE, tb_vec3(0, 0, 0), tb_vec3(1, 0, 0), "edge of A");
        pick(TB_PICK_EDGE, tb_vec3(50, 0, 9), tb_vec3(sense * cos(0.7), 0, sense * sin(0.7)),
             "edge of B");
        /* 0.7 rad = 40.107 deg */
        ck_assert_str_eq(tb_measuring_tell(measuring, NULL, TB_UNIT_MM).text,
                         "40.1° between the edge of A and the edge of B");
    }
}
END_TEST

START_TEST(parallel_edges_have_a_distance)
{
    pick(TB_PICK_EDGE, tb_vec3(0, 0, 0), tb_vec3(1, 0, 0), "edge of A");
    pick(TB_PICK_EDGE, tb_vec3(50, 0, 9.3), tb_vec3(-1, 0, 0), "edge of B");
    ck_assert_str_eq(tb_measuring_tell(measuring, NULL, TB_UNIT_MM).label, "9.3");
}
END_TEST

START_TEST(in_inches_a_distance_is_in_inches)
{
    pick(TB_PICK_POINT, tb_vec3(0, 0, 0), none, "a");
    pick(TB_PICK_POINT, tb_vec3(63.5, 0, 0), none, "b");
    ck_assert_str_eq(tb_measuring_tell(measuring, NULL, TB_UNIT_INCH).text,
                     "2.500 in (X 2.500, Y 0.000, Z 0.000), at 0.0° in this view");
}
END_TEST

START_TEST(two_items_have_the_studys_gap_with_both_ends_of_its_interval)
{
    TbBay *bay = scene_bay(snap_kit);
    TbStore *store = tb_store_new();
    TbStudy *study = tb_study_new(store, NULL);
    TbAsk ask = {.bay = bay};
    TbResults *results = NULL;
    const TbResultGap *gap;
    TbMeasured told;

    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, NULL), TB_OK);
    pick(TB_PICK_ITEM, none, none, "rail");
    pick(TB_PICK_ITEM, none, none, "bar");
    ck_assert(tb_measuring_wants_gap(measuring));
    gap = tb_measuring_gap(results, "rail", "bar", "cold", "tall");
    ck_assert_ptr_nonnull(gap);
    ck_assert_ptr_null(tb_measuring_gap(results, "rail", "rod", "cold", "tall"));
    ck_assert_ptr_null(tb_measuring_gap(results, "rail", "bar", "hot", NULL));
    told = tb_measuring_tell(measuring, gap, TB_UNIT_MM);
    /* the bar's axis lies 12 higher than at Z 60, the rail's top at -21.9: 93.9 - 33.3 */
    ck_assert_double_eq_tol(gap->gap.upper, 60.6, TB_GAP_WIDTH);
    ck_assert_double_eq_tol(tb_vec3_distance(told.a, told.b), 60.6, TB_GAP_WIDTH);
    ck_assert_str_eq(told.label, "60.60");
    tb_results_unref(results);
    tb_study_free(study);
    tb_store_unref(store);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(one_item_twice_wants_no_gap)
{
    pick(TB_PICK_ITEM, none, none, "rail");
    pick(TB_PICK_ITEM, none, none, "rail");
    ck_assert(!tb_measuring_wants_gap(measuring));
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("app/measure");
    TCase *c = tcase_create("measure");

    tcase_add_checked_fixture(c, set_up, take_down);
    tcase_add_test(c, two_points_give_distance_parts_and_angle);
    tcase_add_test(c, with_one_point_the_pointer_is_the_other);
    tcase_add_test(c, a_third_pick_begins_anew);
    tcase_add_test(c, from_a_point_to_an_edge_counts_square_to_it_in_the_view);
    tcase_add_test(c, two_edges_give_the_angle_up_to_90_whichever_way_they_run);
    tcase_add_test(c, parallel_edges_have_a_distance);
    tcase_add_test(c, in_inches_a_distance_is_in_inches);
    tcase_add_test(c, two_items_have_the_studys_gap_with_both_ends_of_its_interval);
    tcase_add_test(c, one_item_twice_wants_no_gap);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
