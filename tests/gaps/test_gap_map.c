/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Gap maps against every triangle and every plain shape tried for every point: the same bits, on
 * one thread or two, with or without AVX2.
 */
#include "gaps/gap_map.h"

#include "base/mem.h"
#include "geom/lanes.h"
#include "geom/mesh_scenes.h"
#include "scenes.h"

#include <string.h>

enum { STATIONS = 37, ANGLES = 23, POINTS = STATIONS * ANGLES };

typedef struct Map {
    TbSweep *sweep;
    TbSolid *other;
    double stations[STATIONS];
    TbGapMapAsk ask;
} Map;

static void
start_map(Map *map, TbSweep *sweep, TbSolid *other, double beyond)
{
    double length = tb_sweep_length(sweep);

    map->sweep = sweep;
    map->other = other;
    for (int i = 0; i < STATIONS; i++)
        map->stations[i] = length * i / (STATIONS - 1);
    map->ask = (TbGapMapAsk){.sweep = sweep, .other = other, .stations = map->stations};
    map->ask.station_count = STATIONS;
    map->ask.angle_count = ANGLES;
    map->ask.beyond = beyond;
}

static void
clear_map(Map *map)
{
    tb_sweep_unref(map->sweep);
    tb_solid_unref(map->other);
}

static void
add_mesh(TbSolid *solid, Heap *heap)
{
    TbMesh *mesh = heap_mesh(heap);
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(solid, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
}

/** Every triangle; inside by the sum of their solid angles, which no walk takes part in. */
static double
slow_mesh_distance(const TbMesh *mesh, TbVec3 p)
{
    double least = (double)INFINITY;

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];

        tb_mesh_corners(mesh, i, t);
        least = fmin(least, tb_point_triangle(p, t).distance);
    }
    if (tb_mesh_facts(mesh).closed && least > 1e-9 && tb_mesh_angle(mesh, p) > 0.5)
        return 0;
    return least;
}

static double
slow_distance(const TbSolid *solid, TbVec3 p)
{
    double least = (double)INFINITY;

    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind == TB_PART_PLAIN)
            least = fmin(least, fmax(0, tb_plain_distance(&part->plain, p)));
        if (part->kind == TB_PART_MESH)
            least = fmin(least, slow_mesh_distance(tb_tree_mesh(part->tree), p));
    }
    return least;
}

/** Of a solid without sweeps. */
static void
check_map(Map *map, int *inside, int *beyond)
{
    static double gap[POINTS], again[POINTS];
    double nearest, least = (double)INFINITY, same;
    TbWork *work = tb_work_new(2);

    ck_assert_int_eq(tb_gap_map(&map->ask, NULL, gap, &nearest, NULL), TB_OK);
    for (int i = 0; i < STATIONS; i++) {
        TbDisc disc = tb_sweep_at(map->sweep, map->stations[i]);

        for (int k = 0; k < ANGLES; k++) {
            double angle = -M_PI + (k + 0.5) * (2 * M_PI / ANGLES);
            double want = slow_distance(map->other, tb_disc_point(&disc, angle, true, NULL));

            *inside += want <= 0;
            *beyond += want > map->ask.beyond;
            if (want > map->ask.beyond)
                want = 2 * map->ask.beyond;
            ck_assert_double_eq(gap[i * ANGLES + k], want);
            least = fmin(least, want);
        }
    }
    ck_assert_double_eq(nearest, least);
    for (int way = 0; way < 4; way++) {
        tb_lanes_force_plain(way / 2);
        map->ask.work = way % 2 == 0 ? NULL : work;
        memset(again, 0x5a, sizeof again);
        ck_assert_int_eq(tb_gap_map(&map->ask, NULL, again, &same, NULL), TB_OK);
        ck_assert(memcmp(gap, again, sizeof gap) == 0);
        ck_assert_double_eq(same, nearest);
    }
    tb_lanes_force_plain(0);
    tb_work_free(work);
}

/** Balls in balls, blocks, an open sheet, needles, and plain shapes between them. */
static TbSolid *
crowd(Dice *dice)
{
    TbSolid *solid = tb_solid_new();
    Heap heap = {0};
    int kinds = 1 + dice_below(dice, 15);

    if (kinds & 1) {
        TbVec3 at = dice_point(dice, 120);

        heap_ball(&heap, at, dice_between(dice, 20, 90), 5, 9);
        heap_ball(&heap, tb_vec3_add(at, dice_point(dice, 5)), 14.3, 4, 6);
        add_mesh(solid, &heap);
    }
    if (kinds & 2) {
        heap_block(&heap, dice_point(dice, 150), dice_point(dice, 150));
        add_mesh(solid, &heap);
    }
    if (kinds & 4) {
        heap_ball(&heap, dice_point(dice, 100), 60.7, 5, 7);
        heap.triangles -= 30; /* too wide open to have an inside */
        heap_soup(&heap, dice, 20, 150, 11.3);
        add_mesh(solid, &heap);
    }
    if (kinds & 8 || kinds == 4) {
        TbPlain plain = ball(dice_point(dice, 150), dice_between(dice, 5, 40));

        ck_assert_int_eq(tb_solid_add_plain(solid, &plain, 0, NULL), TB_OK);
        plain = block(dice_point(dice, 150), tb_vec3(0.3, 0.4, 0.9), 21, 33, 7);
        ck_assert_int_eq(tb_solid_add_plain(solid, &plain, 0, NULL), TB_OK);
    }
    return solid;
}

START_TEST(every_point_has_the_distance_of_everything_tried)
{
    static const double beyonds[4] = {9.7, 41.3, 230, 1e4};
    Dice dice = {500 + (uint64_t)_i};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int inside = 0, beyond = 0;

    gsl_rng_set(rng, 500 + (unsigned long)_i);
    for (int i = 0; i < 12; i++) {
        Map map;

        start_map(&map, random_sweep(rng, 40), crowd(&dice), beyonds[i % 4]);
        check_map(&map, &inside, &beyond);
        clear_map(&map);
    }
    /* the scenes are not all clear, nor all near */
    ck_assert_int_gt(inside, 5);
    ck_assert_int_gt(beyond, 200);
    gsl_rng_free(rng);
}
END_TEST

/** A thin shell: points in it, within it and outside lie nearer to it than to each other. */
START_TEST(sides_are_not_taken_from_a_neighbour_across_a_thin_wall)
{
    TbSolid *solid = tb_solid_new();
    Heap heap = {0};
    Map map;
    int inside = 0, beyond = 0;

    heap_block(&heap, tb_vec3(-9.1, -80, -80), tb_vec3(91.3, 80, 80));
    heap_block(&heap, tb_vec3(90.2, -79, -79), tb_vec3(-8.0, 79, 79));
    add_mesh(solid, &heap);
    heap_block(&heap, tb_vec3(140.3, -80, -80), tb_vec3(140.9, 80, 80));
    add_mesh(solid, &heap);
    start_map(
        &map,
        straight_sweep(tb_vec3(-31, 0, 0), tb_vec3(213, 3, 0), tb_section_superellipse(57, 57, 2)),
        solid, 77.7);
    for (int i = 0; i < STATIONS; i++)
        map.stations[i] = 20 + 0.73 * i * (i % 2 == 0 ? 1 : 4);
    for (int i = 1; i < STATIONS; i++)
        map.stations[i] = fmax(map.stations[i], map.stations[i - 1] + 0.1);
    check_map(&map, &inside, &beyond);
    ck_assert_int_gt(inside, 0);
    clear_map(&map);
}
END_TEST

START_TEST(sweeps_and_meshes_together_give_the_lesser_of_both)
{
    static double both[POINTS], swept[POINTS], meshed[POINTS];
    TbSolid *solid = solid_of_sweep(straight_sweep(tb_vec3(-45, 30, 91), tb_vec3(145, -7, 83),
                                                   tb_section_superellipse(31, 31, 2)));
    TbSolid *alone = tb_solid_ref(solid), *mesh = tb_solid_new();
    TbSweep *sweep =
        straight_sweep(tb_vec3(-45, 0, 0), tb_vec3(145, 0, 0), tb_section_superellipse(57, 43, 3));
    double nearest;
    Heap heap = {0};
    Map map;

    start_map(&map, sweep, alone, 60);
    ck_assert_int_eq(tb_gap_map(&map.ask, NULL, swept, &nearest, NULL), TB_OK);
    heap_ball(&heap, tb_vec3(47, -60, -31), 37.1, 9, 13);
    add_mesh(mesh, &heap);
    map.ask.other = mesh;
    ck_assert_int_eq(tb_gap_map(&map.ask, NULL, meshed, &nearest, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(alone, tb_solid_part(mesh, 0)->tree, 0, NULL), TB_OK);
    map.ask.other = alone;
    ck_assert_int_eq(tb_gap_map(&map.ask, NULL, both, &nearest, NULL), TB_OK);
    for (int i = 0; i < POINTS; i++)
        ck_assert_double_eq_tol(both[i], fmin(swept[i], meshed[i]), TB_GAP_WIDTH);
    tb_solid_unref(mesh);
    tb_solid_unref(solid);
    clear_map(&map);
}
END_TEST

/* Two bars of one size end to end: what is left of the other one begins as far behind the port as
 * the radius, and straight along the axis from every point. */
START_TEST(at_a_port_both_ends_are_left_out)
{
    static double gap[POINTS];
    TbSolid *other = solid_of_sweep(straight_sweep(tb_vec3(-190, 0, 0), tb_vec3(0, 0, 0),
                                                   tb_section_superellipse(41.7, 41.7, 2)));
    TbSweep *sweep = straight_sweep(tb_vec3(0, 0, 0), tb_vec3(190, 0, 0),
                                    tb_section_superellipse(41.7, 41.7, 2));
    TbLeaveOut port = {tb_vec3(0, 0, 0), 47.3};
    int left_out = 0;
    double nearest;
    Map map;

    start_map(&map, sweep, other, 400);
    map.ask.leave_out = &port;
    map.ask.leave_out_count = 1;
    ck_assert_int_eq(tb_gap_map(&map.ask, NULL, gap, &nearest, NULL), TB_OK);
    for (int i = 0; i < POINTS; i++) {
        double station = map.stations[i / ANGLES];

        ck_assert_int_eq(isnan(gap[i]), station < 47.3);
        left_out += station < 47.3;
        if (station > 47.3)
            ck_assert_double_eq_tol(gap[i], station + 47.3, TB_GAP_WIDTH);
    }
    ck_assert_int_eq(left_out, 9 * ANGLES);
    ck_assert_double_eq_tol(nearest, 190.0 * 9 / (STATIONS - 1) + 47.3, TB_GAP_WIDTH);
    clear_map(&map);
}
END_TEST

START_TEST(a_map_of_meshes_without_room_or_stopped_says_so)
{
    static double gap[POINTS];
    double nearest = 4711;
    Dice dice = {7};
    TbSolid *solid = tb_solid_new();
    Heap heap = {0};
    TbFault fault = {0};
    TbTask task = {0};
    TbStatus status = TB_E_MEMORY;
    long n = 0;
    Map map;

    heap_soup(&heap, &dice, 40, 150, 11.3);
    add_mesh(solid, &heap);
    start_map(
        &map,
        straight_sweep(tb_vec3(-31, 0, 0), tb_vec3(213, 3, 0), tb_section_superellipse(57, 57, 2)),
        solid, 50);
    tb_task_cancel(&task);
    ck_assert_int_eq(tb_gap_map(&map.ask, &task, gap, &nearest, &fault), TB_E_CANCELLED);
    ck_assert_str_eq(fault.text, "stopped while a gap map was made");
    while (status != TB_OK) {
        tb_mem_fail_at(++n);
        status = tb_gap_map(&map.ask, NULL, gap, &nearest, &fault);
        tb_mem_fail_at(0);
        ck_assert(status == TB_OK || status == TB_E_MEMORY);
        if (status == TB_E_MEMORY)
            ck_assert_double_eq(nearest, 4711);
    }
    ck_assert_int_gt(n, 12);
    clear_map(&map);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/gap_map");
    TCase *tests = tcase_create("gap_map");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, every_point_has_the_distance_of_everything_tried, 0, 4);
    tcase_add_test(tests, sides_are_not_taken_from_a_neighbour_across_a_thin_wall);
    tcase_add_test(tests, sweeps_and_meshes_together_give_the_lesser_of_both);
    tcase_add_test(tests, at_a_port_both_ends_are_left_out);
    tcase_add_test(tests, a_map_of_meshes_without_room_or_stopped_says_so);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
