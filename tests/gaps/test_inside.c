/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * What lies inside what, where no surfaces meet: meshes in meshes, of one shell and of several, and
 * what must not count as inside though its box does.
 */

#include "scenes.h"

#include "base/mem.h"
#include "gaps/gap_map.h"
#include "gaps/profile.h"

/** One mesh of everything in a solid, which is given back; its shells stay apart. */
static TbSolid *
as_mesh(TbSolid *solid, size_t shells)
{
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;
    TbSolid *made = tb_solid_new();

    ck_assert_int_eq(tb_solid_mesh(solid, 0.5, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert(tb_mesh_facts(mesh).closed);
    ck_assert_uint_eq(tb_mesh_facts(mesh).shells, shells);
    ck_assert_int_eq(tb_solid_add_tree(made, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    tb_solid_unref(solid);
    return made;
}

/** Two plain shapes in one solid. */
static TbSolid *
both(TbPlain one, TbPlain two)
{
    TbSolid *solid = solid_of_plain(one);

    ck_assert_int_eq(tb_solid_add_plain(solid, &two, 0, NULL), TB_OK);
    return solid;
}

static TbPlain
upright(TbVec3 centre, double x_half, double y_half, double z_half)
{
    return block(centre, tb_vec3(0, 0, 1), x_half, y_half, z_half);
}

/** The housing of most of these tests: 121 x 103 x 67 about the origin. */
static TbSolid *
housing(void)
{
    return as_mesh(solid_of_plain(upright(tb_vec3(0, 0, 0), 60.5, 51.5, 33.5)), 1);
}

/** b is wholly or in part inside a. */
static void
check_inside(const TbSolid *a, const TbSolid *b, double truth, TbContact contact)
{
    for (int turn = 0; turn < 2; turn++) {
        TbGap g = turn == 0 ? ask_gap(a, b, 1e-2) : ask_gap(b, a, 1e-2);

        ck_assert_int_eq(g.contact, contact);
        if (contact == TB_INSIDE)
            ck_assert_int_eq(g.inner, turn == 0 ? TB_INNER_B : TB_INNER_A);
        else
            ck_assert_int_eq(g.inner, TB_INNER_NONE);
        ck_assert_msg(g.lower <= truth + 1e-8 && g.upper >= truth - 1e-8 && g.upper < 0,
                      "[%.9f, %.9f] misses %.9f", g.lower, g.upper, truth);
    }
}

static void
check_apart(const TbSolid *a, const TbSolid *b, double truth)
{
    for (int turn = 0; turn < 2; turn++) {
        TbGap g = turn == 0 ? ask_gap(a, b, 1e-4) : ask_gap(b, a, 1e-4);

        ck_assert_int_eq(g.contact, TB_CLEAR);
        ck_assert_msg(g.lower <= truth + TB_TOL_ROUND && g.upper >= truth - TB_TOL_ROUND,
                      "[%.9f, %.9f] misses %.9f", g.lower, g.upper, truth);
        ck_assert_double_le(g.upper - g.lower, 1e-4);
    }
}

START_TEST(mesh_wholly_inside_a_mesh_is_as_deep_as_its_deepest_face)
{
    TbSolid *outer = housing();
    TbSolid *inner = as_mesh(solid_of_plain(upright(tb_vec3(10, 3, 20), 3.1, 2.3, 7.7)), 1);

    /* its lower face lies at 12.3, and the housing's top at 33.5 */
    check_inside(outer, inner, -(33.5 - 12.3), TB_INSIDE);
    tb_solid_unref(inner);
    tb_solid_unref(outer);
}
END_TEST

START_TEST(one_of_two_shells_inside_is_enough_whichever_comes_first)
{
    TbPlain in = upright(tb_vec3(10, 3, 20), 3.1, 2.3, 7.7);
    TbPlain out = upright(tb_vec3(97.3, 0, 0), 4.3, 4.1, 5.9);

    for (int turn = 0; turn < 2; turn++) {
        TbSolid *outer = housing();
        TbSolid *inner = as_mesh(turn == 0 ? both(in, out) : both(out, in), 2);

        check_inside(outer, inner, -(33.5 - 12.3), TB_OVERLAPS);
        tb_solid_unref(inner);
        tb_solid_unref(outer);
    }
}
END_TEST

START_TEST(two_shells_on_either_side_are_apart_though_the_box_of_both_holds_the_housing)
{
    TbSolid *outer = housing();
    TbSolid *sides = as_mesh(
        both(upright(tb_vec3(-71.9, 0, 0), 4.3, 61, 47), upright(tb_vec3(83.2, 0, 0), 4.1, 63, 49)),
        2);

    /* the near face of the left one lies at -67.6 */
    check_apart(outer, sides, 67.6 - 60.5);
    tb_solid_unref(sides);
    tb_solid_unref(outer);
}
END_TEST

START_TEST(mesh_in_the_notch_of_a_mesh_is_apart_though_its_box_is_inside)
{
    TbSolid *angle = as_mesh(solid_of_plain(prism(angle_points, 6, 0, 30, 0)), 1);
    TbSolid *notch = as_mesh(solid_of_plain(upright(tb_vec3(41, 33, 15), 6.3, 5.2, 3.1)), 1);

    /* to the wall at y = 18: 33 - 5.2 - 18; to the one at x = 24: 41 - 6.3 - 24 */
    check_apart(angle, notch, 33 - 5.2 - 18);
    tb_solid_unref(notch);
    tb_solid_unref(angle);
}
END_TEST

START_TEST(mesh_between_the_shells_of_a_mesh_is_apart_though_its_box_is_inside)
{
    TbSolid *two = as_mesh(
        both(upright(tb_vec3(-40, 0, 0), 11, 12, 13), upright(tb_vec3(40, 0, 0), 9, 8, 7)), 2);
    TbSolid *between = as_mesh(solid_of_plain(upright(tb_vec3(3, 0, 0), 5.5, 4.5, 3.5)), 1);

    /* from 8.5 to the right one at 31; to the left one it is 26.5 */
    check_apart(two, between, 31 - 8.5);
    tb_solid_unref(between);
    tb_solid_unref(two);
}
END_TEST

START_TEST(open_sheet_inside_a_mesh_is_as_deep_as_its_deepest_point)
{
    static const TbVec3 corner[3] = {{-7.1, 2.2, 3.3}, {11.9, -4.1, 5.2}, {2.3, 9.7, -6.4}};
    static const uint32_t index[3] = {0, 1, 2};
    TbSolid *outer = housing(), *sheet = tb_solid_new();
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_mesh_from_arrays(corner, 3, index, 1, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(sheet, tree, 0, NULL), TB_OK);
    for (int turn = 0; turn < 2; turn++) {
        TbGap g = turn == 0 ? ask_gap(outer, sheet, 1e-2) : ask_gap(sheet, outer, 1e-2);

        /* it passes z = 0, where the top and the bottom are the nearest faces */
        ck_assert_int_eq(g.contact, TB_INSIDE);
        ck_assert_int_eq(g.inner, turn == 0 ? TB_INNER_B : TB_INNER_A);
        ck_assert_double_le(g.lower, -33.5 + 1e-8);
        ck_assert_double_ge(g.upper, -33.5 - 1e-8);
        ck_assert_double_le(g.upper - g.lower, TB_DEPTH_WIDTH + 1e-8);
    }
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    tb_solid_unref(sheet);
    tb_solid_unref(outer);
}
END_TEST

START_TEST(every_failed_allocation_is_an_answer)
{
    TbSolid *outer = housing();
    TbSolid *inner = as_mesh(both(upright(tb_vec3(97.3, 0, 0), 4.3, 4.1, 5.9),
                                  upright(tb_vec3(10, 3, 20), 3.1, 2.3, 7.7)),
                             2);
    TbGapAsk ask = {.a = outer, .b = inner, .width = 0.01, .hint = INFINITY};
    TbStatus status = TB_E_MEMORY;
    long n = 0;

    while (status != TB_OK) {
        TbGap gap = {.upper = 4711};
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = tb_gap(&ask, NULL, &gap, &fault);
        tb_mem_fail_at(0);
        if (status == TB_OK)
            break;
        ck_assert_int_eq(status, TB_E_MEMORY);
        ck_assert_int_eq(fault.status, TB_E_MEMORY);
        ck_assert_double_eq(gap.upper, 4711);
        ck_assert_int_lt(n, 5000);
    }
    ck_assert_int_gt(n, 5);
    tb_solid_unref(inner);
    tb_solid_unref(outer);
}
END_TEST

/** A straight duct along x, 57 mm outside, in the housing's middle from -45 to 45. */
static TbSweep *
duct(void)
{
    return straight_sweep(tb_vec3(-45, 0, 0), tb_vec3(45, 0, 0),
                          tb_section_superellipse(57, 57, 2));
}

START_TEST(profile_and_map_of_a_duct_inside_a_mesh_are_0)
{
    TbSolid *outer = housing();
    TbSweep *sweep = duct();
    double stations[7], gap[7 * 8], nearest = 4711;
    TbProfilePoint points[7];
    TbProfileAsk ask = {.sweep = sweep, .other = outer, .stations = stations, .count = 7};
    TbGapMapAsk map = {.sweep = sweep, .other = outer, .stations = stations, .station_count = 7};

    for (int i = 0; i < 7; i++)
        stations[i] = 3.7 + 13.1 * i;
    ask.width = 1e-2;
    map.angle_count = 8;
    map.beyond = 200;
    ck_assert_int_eq(tb_profile(&ask, NULL, points, NULL), TB_OK);
    ck_assert_int_eq(tb_gap_map(&map, NULL, gap, &nearest, NULL), TB_OK);
    ck_assert_double_eq(nearest, 0);
    for (int i = 0; i < 7; i++)
        ck_assert_double_eq(points[i].upper, 0);
    for (int i = 0; i < 7 * 8; i++)
        ck_assert_double_eq(gap[i], 0);
    tb_sweep_unref(sweep);
    tb_solid_unref(outer);
}
END_TEST

START_TEST(map_without_room_or_stopped_says_so)
{
    TbSolid *other = solid_of_sweep(straight_sweep(tb_vec3(-45, 0, 91), tb_vec3(45, 0, 91),
                                                   tb_section_superellipse(31, 31, 2)));
    TbSweep *sweep = duct();
    double stations[3] = {11, 37, 71}, gap[3 * 8], nearest = 4711;
    TbGapMapAsk map = {.sweep = sweep, .other = other, .stations = stations, .station_count = 3};
    TbStatus status = TB_E_MEMORY;
    TbTask task = {0};
    TbFault fault = {0};
    long n = 0;

    map.angle_count = 8;
    map.beyond = 60;
    tb_task_cancel(&task);
    ck_assert_int_eq(tb_gap_map(&map, &task, gap, &nearest, &fault), TB_E_CANCELLED);
    ck_assert_str_eq(fault.text, "stopped while a gap map was made");
    while (status != TB_OK) {
        tb_mem_fail_at(++n);
        status = tb_gap_map(&map, NULL, gap, &nearest, &fault);
        tb_mem_fail_at(0);
        if (status == TB_OK)
            break;
        ck_assert_int_eq(status, TB_E_MEMORY);
        ck_assert_ptr_nonnull(strstr(fault.text, "no room for a gap map"));
        ck_assert_double_eq(nearest, 4711);
        ck_assert_int_lt(n, 5000);
    }
    ck_assert_int_gt(n, 2);
    /* the points of the map nearest to the other duct lie 22.5 deg from the line between */
    ck_assert_double_eq_tol(nearest, hypot(91 - 28.5 * cos(M_PI / 8), 28.5 * sin(M_PI / 8)) - 15.5,
                            TB_GAP_WIDTH + 1e-6);
    tb_sweep_unref(sweep);
    tb_solid_unref(other);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/inside");
    TCase *c = tcase_create("inside");

    tcase_set_timeout(c, 60);
    tcase_add_test(c, mesh_wholly_inside_a_mesh_is_as_deep_as_its_deepest_face);
    tcase_add_test(c, one_of_two_shells_inside_is_enough_whichever_comes_first);
    tcase_add_test(c, two_shells_on_either_side_are_apart_though_the_box_of_both_holds_the_housing);
    tcase_add_test(c, mesh_in_the_notch_of_a_mesh_is_apart_though_its_box_is_inside);
    tcase_add_test(c, mesh_between_the_shells_of_a_mesh_is_apart_though_its_box_is_inside);
    tcase_add_test(c, open_sheet_inside_a_mesh_is_as_deep_as_its_deepest_point);
    tcase_add_test(c, every_failed_allocation_is_an_answer);
    tcase_add_test(c, profile_and_map_of_a_duct_inside_a_mesh_are_0);
    tcase_add_test(c, map_without_room_or_stopped_says_so);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
