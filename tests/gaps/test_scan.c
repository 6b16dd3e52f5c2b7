/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scan_scenes.h"

#include "base/mem.h"
#include "geom/lanes.h"

enum { MOST_ROWS = 12 };

/** mm. Of two ways to one distance, points up to 10 m from the origin. */
#define SAME 1e-9

/** The answer's points lie on the named patch and triangle, and are `upper` apart. */
static void
check_witness(const Scene *scene, const TbScanNear *near, uint64_t n)
{
    TbVec3 first[3], second[3], t[3];
    double on_patch, on_scan;

    ck_assert_uint_lt(near->row, scene->rings - 1);
    ck_assert_uint_lt(near->column, scene->columns);
    ck_assert_uint_lt(near->triangle, tb_mesh_triangle_count(tb_tree_mesh(scene->tree)));
    patch_triangles(scene, near->row, near->column, first, second);
    tb_mesh_corners(tb_tree_mesh(scene->tree), near->triangle, t);
    on_patch = fmin(tb_point_triangle(near->point_a, first).distance,
                    tb_point_triangle(near->point_a, second).distance);
    on_scan = tb_point_triangle(near->point_b, t).distance;
    ck_assert_msg(on_patch <= SAME && on_scan <= SAME,
                  "scene %lu (%s): witness is %g off the patch, %g off the scan", (unsigned long)n,
                  scene->kind, on_patch, on_scan);
    ck_assert_msg(fabs(tb_vec3_distance(near->point_a, near->point_b) - near->upper) <= SAME,
                  "scene %lu (%s): points %.12g apart, %.12g said", (unsigned long)n, scene->kind,
                  tb_vec3_distance(near->point_a, near->point_b), near->upper);
    ck_assert_msg(near->lower <= near->upper && !near->exhausted, "scene %lu (%s): %.12g to %.12g",
                  (unsigned long)n, scene->kind, near->lower, near->upper);
}

static void
check_scene(uint64_t n)
{
    Scene scene = scene_number(n);
    TbScanAsk ask = ask_of(&scene);
    TbScanNear rows[MOST_ROWS], least;
    double truth = INFINITY;

    ck_assert_int_eq(tb_scan_rows(&ask, NULL, NULL, rows), TB_OK);
    ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &least), TB_OK);
    for (size_t i = 0; i + 1 < scene.rings; i++) {
        double row = slow_row(&scene, i);

        truth = fmin(truth, row);
        ck_assert_msg(fabs(rows[i].upper - row) <= SAME, "scene %lu (%s) row %zu: %.12g, %.12g is",
                      (unsigned long)n, scene.kind, i, rows[i].upper, row);
        ck_assert(rows[i].lower == rows[i].upper);
        ck_assert_uint_eq(rows[i].row, i);
        check_witness(&scene, &rows[i], n);
    }
    ck_assert_msg(fabs(least.upper - truth) <= SAME, "scene %lu (%s): least %.12g, %.12g is",
                  (unsigned long)n, scene.kind, least.upper, truth);
    check_witness(&scene, &least, n);
    scene_clear(&scene);
}

enum { PARTS = 7, PART = 200 };

START_TEST(rows_and_least_are_those_of_all_pairs)
{
    for (uint64_t n = 0; n < PART; n++)
        check_scene((uint64_t)_i + PARTS * n);
}
END_TEST

/* Where the middles of a patch and a leaf fell together in floats, a slab square to no direction
 * told them apart; seen in 2 of 42000 scenes, both of a micrometre and metres from the origin. */
START_TEST(a_patch_and_a_leaf_whose_middles_fall_together_are_not_told_apart)
{
    check_scene(7616);
    check_scene(5168);
}
END_TEST

START_TEST(rows_past_the_distance_asked_are_told_infinite_and_the_others_stay)
{
    for (uint64_t n = 0; n < 140; n++) {
        Scene scene = scene_number(n);
        TbScanAsk ask = ask_of(&scene);
        TbScanNear rows[MOST_ROWS], cut[MOST_ROWS], least, near;

        ck_assert_int_eq(tb_scan_rows(&ask, NULL, NULL, rows), TB_OK);
        ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &least), TB_OK);
        ask.beyond = rows[(scene.rings - 1) / 2].upper * 1.001 + 1e-8;
        ck_assert_int_eq(tb_scan_rows(&ask, NULL, NULL, cut), TB_OK);
        for (size_t i = 0; i + 1 < scene.rings; i++)
            if (rows[i].upper < ask.beyond - SAME) {
                ck_assert_double_eq_tol(cut[i].upper, rows[i].upper, SAME);
                check_witness(&scene, &cut[i], n);
            } else if (rows[i].upper > ask.beyond + SAME) {
                ck_assert(isinf(cut[i].upper));
                ck_assert_double_le(cut[i].lower, rows[i].upper);
                ck_assert_double_ge(cut[i].lower, ask.beyond - SAME);
            }
        ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &near), TB_OK);
        ck_assert_double_eq_tol(near.upper, least.upper, SAME);
        if (least.upper > 2 * SAME) {
            ask.beyond = 0.99 * least.upper;
            ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &near), TB_OK);
            ck_assert(isinf(near.upper));
            ck_assert_double_eq_tol(near.lower, ask.beyond, SAME);
        }
        scene_clear(&scene);
    }
}
END_TEST

START_TEST(a_keep_is_judged_as_by_the_full_answer)
{
    static const double share[4] = {0.3, 0.999, 1.001, 4};

    for (uint64_t n = 0; n < 210; n++) {
        Scene scene = scene_number(n);
        TbScanAsk ask = ask_of(&scene);
        TbScanNear least, near;

        ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &least), TB_OK);
        for (int i = 0; i < 4; i++) {
            ask.enough = least.upper * share[i] + 1e-7 * (share[i] > 1);
            if (!(ask.enough > SAME))
                continue;
            ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &near), TB_OK);
            ck_assert_int_eq(near.upper < ask.enough, least.upper < ask.enough);
            ck_assert(near.lower >= ask.enough || near.upper < ask.enough);
            ck_assert_double_le(near.lower, least.upper + SAME);
            ck_assert_double_ge(near.upper, least.upper - SAME);
            if (near.upper < ask.enough)
                check_witness(&scene, &near, n);
        }
        scene_clear(&scene);
    }
}
END_TEST

static bool
same_place(const TbScanNear *a, const TbScanNear *b)
{
    return a->row == b->row && a->column == b->column && a->triangle == b->triangle;
}

/** What the place of the last answer is away now. */
static double
again(const Scene *scene, const TbScanNear *last)
{
    TbVec3 first[3], second[3], t[3];

    patch_triangles(scene, last->row, last->column, first, second);
    tb_mesh_corners(tb_tree_mesh(scene->tree), last->triangle, t);
    return fmin(tb_triangle_triangle(first, t).distance, tb_triangle_triangle(second, t).distance);
}

static void
drag(Scene *scene, TbVec3 by)
{
    for (size_t i = 0; i < scene->rings * scene->columns; i++)
        scene->point[i] = tb_vec3_add(scene->point[i], by);
    tb_lattice_set_points(scene->lattice, scene->point);
}

START_TEST(a_drag_is_as_good_as_cold_and_keeps_its_place_while_that_is_nearest)
{
    for (uint64_t n = 0; n < 140; n++) {
        Scene scene = scene_number(n);
        TbScanAsk ask = ask_of(&scene);
        TbScanNear last, cold, warm;
        Dice dice = {n};
        double step = tb_vec3_distance(scene.point[0], scene.point[scene.columns / 2]);

        ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &last), TB_OK);
        for (int frame = 0; frame < 6; frame++) {
            drag(&scene, dice_point(&dice, 0.05 * step));
            ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &cold), TB_OK);
            ck_assert_int_eq(tb_scan_least(&ask, &last, NULL, &warm), TB_OK);
            ck_assert(cold.lower == cold.upper);
            ck_assert_double_eq_tol(warm.upper, cold.upper, TB_SCAN_STAY + SAME);
            ck_assert_double_le(warm.lower, cold.upper + SAME);
            ck_assert_double_ge(warm.lower, warm.upper - TB_SCAN_STAY - SAME);
            check_witness(&scene, &warm, n);
            if (again(&scene, &last) < cold.upper + TB_SCAN_STAY - SAME)
                ck_assert(same_place(&warm, &last));
            last = warm;
        }
        scene_clear(&scene);
    }
}
END_TEST

/** A square duct along x, its upper side flat at z = 30, below a plate of many triangles. */
static Scene
flats(double gap)
{
    static const double corner[8][2] = {{1, -1}, {1, 0},  {1, 1},   {0, 1},
                                        {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}};
    Scene scene = {.rings = 11, .columns = 8, .kind = "flats"};
    Heap heap = {0};
    TbFault fault = {0};

    scene.point = malloc(scene.rings * scene.columns * sizeof *scene.point);
    for (size_t i = 0; i < scene.rings; i++)
        for (size_t k = 0; k < 8; k++)
            scene.point[8 * i + k] =
                tb_vec3(17.3 * (double)i, 23.7 * corner[k][0], 30 * corner[k][1]);
    for (int i = 0; i < 30; i++)
        for (int k = 0; k < 12; k++)
            heap_vertex(&heap, tb_vec3(11.1 * i - 70, 9.3 * k - 50, 30 + gap));
    for (uint32_t i = 0; i < 29; i++)
        for (uint32_t k = 0; k < 11; k++) {
            heap_triangle(&heap, 12 * i + k, 12 * i + k + 1, 12 * i + k + 12);
            heap_triangle(&heap, 12 * i + k + 1, 12 * i + k + 13, 12 * i + k + 12);
        }
    scene.tree = tree_of(heap_mesh(&heap));
    ck_assert_int_eq(tb_lattice_new_flat(scene.rings, 8, &scene.lattice, &fault), TB_OK);
    tb_lattice_set_points(scene.lattice, scene.point);
    return scene;
}

START_TEST(between_two_flats_the_witness_stays_while_its_patch_and_triangle_face_each_other)
{
    Scene scene = flats(8.37);
    TbScanAsk ask = ask_of(&scene);
    TbScanNear last, warm;
    int stays = 0;

    ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &last), TB_OK);
    ck_assert_double_eq_tol(last.upper, 8.37, SAME);
    for (int frame = 0; frame < 60; frame++) {
        bool faces;

        drag(&scene, tb_vec3(0.31, -0.17, 0.02 * (frame % 2 == 0 ? 1 : -1)));
        faces = again(&scene, &last) <= 30 + 8.37 - scene.point[2].z + SAME;
        ck_assert_int_eq(tb_scan_least(&ask, &last, NULL, &warm), TB_OK);
        ck_assert_double_eq_tol(warm.upper, 30 + 8.37 - scene.point[2].z, TB_SCAN_STAY);
        if (faces) {
            ck_assert(same_place(&warm, &last));
            stays++;
        }
        last = warm;
    }
    ck_assert_int_ge(stays, 40);
    scene_clear(&scene);
}
END_TEST

/** Rows and least of a scene. */
typedef struct Answer {
    TbScanNear row[MOST_ROWS], least;
} Answer;

static Answer
answer_of(const Scene *scene, TbWork *work)
{
    TbScanAsk ask = ask_of(scene);
    Answer answer = {0};

    ck_assert_int_eq(tb_scan_rows(&ask, work, NULL, answer.row), TB_OK);
    ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &answer.least), TB_OK);
    return answer;
}

START_TEST(the_same_bits_with_and_without_wide_instructions)
{
    for (uint64_t n = 0; n < 280; n++) {
        Scene scene = scene_number(n);
        Answer wide = answer_of(&scene, NULL), plain;

        tb_lanes_force_plain(1);
        tb_lattice_set_points(scene.lattice, scene.point);
        plain = answer_of(&scene, NULL);
        tb_lanes_force_plain(0);
        for (size_t i = 0; i + 1 < scene.rings; i++)
            ck_assert_msg(same_near(&wide.row[i], &plain.row[i]), "scene %lu (%s) row %zu",
                          (unsigned long)n, scene.kind, i);
        ck_assert(same_near(&wide.least, &plain.least));
        scene_clear(&scene);
    }
}
END_TEST

/** Long enough for several threads. */
static Scene
long_scene(uint64_t seed)
{
    Dice dice = {seed};
    Scene scene = {.rings = 301, .columns = 16, .kind = "long"};
    Heap heap = {0};
    TbFault fault = {0};

    scene.point = malloc(scene.rings * scene.columns * sizeof *scene.point);
    duct_points(&scene, &dice, 300, 2);
    heap_soup(&heap, &dice, 4000, 500, 25);
    scene.tree = tree_of(heap_mesh(&heap));
    ck_assert_int_eq(tb_lattice_new_flat(scene.rings, 16, &scene.lattice, &fault), TB_OK);
    tb_lattice_set_points(scene.lattice, scene.point);
    return scene;
}

START_TEST(the_same_bits_for_one_two_and_seven_threads)
{
    static const int threads[2] = {2, 7};
    Scene scene = long_scene(11);
    TbScanAsk ask = ask_of(&scene);
    TbScanNear *one = malloc((scene.rings - 1) * sizeof *one);
    TbScanNear *many = malloc((scene.rings - 1) * sizeof *many);

    ck_assert_int_eq(tb_scan_rows(&ask, NULL, NULL, one), TB_OK);
    for (int i = 0; i < 2; i++) {
        TbWork *work = tb_work_new(threads[i]);

        ck_assert_int_eq(tb_scan_rows(&ask, work, NULL, many), TB_OK);
        for (size_t k = 0; k + 1 < scene.rings; k++)
            ck_assert(same_near(&one[k], &many[k]));
        tb_work_free(work);
    }
    free(one);
    free(many);
    scene_clear(&scene);
}
END_TEST

START_TEST(every_failing_request_for_memory_is_told_and_leaks_nothing)
{
    Scene scene = scene_number(15);
    TbScanAsk ask = ask_of(&scene);
    TbScanNear rows[MOST_ROWS], least;
    TbLattice *lattice = NULL;
    TbFault fault = {0};
    long needed;

    for (int what = 0; what < 3; what++) {
        TbStatus status = TB_E_MEMORY;
        long n = 0;

        while (status == TB_E_MEMORY && n < 100) {
            tb_mem_fail_at(++n);
            status = what == 0   ? tb_scan_rows(&ask, NULL, NULL, rows)
                     : what == 1 ? tb_scan_least(&ask, NULL, NULL, &least)
                                 : tb_lattice_new_flat(9, 16, &lattice, &fault);
            needed = tb_mem_requests();
            tb_mem_fail_at(0);
        }
        ck_assert_int_eq(status, TB_OK);
        ck_assert_int_ge(n, 2);
        ck_assert_int_eq(needed, n - 1);
    }
    ck_assert_uint_eq(tb_lattice_rows(lattice), 8);
    tb_lattice_free(lattice);
    scene_clear(&scene);
}
END_TEST

START_TEST(a_cancelled_question_says_so)
{
    Scene scene = long_scene(5);
    TbScanAsk ask = ask_of(&scene);
    TbScanNear *rows = malloc((scene.rings - 1) * sizeof *rows), least;
    TbTask task = {0};

    tb_task_cancel(&task);
    ck_assert_int_eq(tb_scan_rows(&ask, NULL, &task, rows), TB_E_CANCELLED);
    ck_assert_int_eq(tb_scan_least(&ask, NULL, &task, &least), TB_E_CANCELLED);
    free(rows);
    scene_clear(&scene);
}
END_TEST

static Suite *
scan_suite(void)
{
    Suite *suite = suite_create("gaps/scan");
    TCase *all = tcase_create("all");

    tcase_set_timeout(all, 250);
    tcase_add_loop_test(all, rows_and_least_are_those_of_all_pairs, 0, PARTS);
    tcase_add_test(all, a_patch_and_a_leaf_whose_middles_fall_together_are_not_told_apart);
    tcase_add_test(all, rows_past_the_distance_asked_are_told_infinite_and_the_others_stay);
    tcase_add_test(all, a_keep_is_judged_as_by_the_full_answer);
    tcase_add_test(all, a_drag_is_as_good_as_cold_and_keeps_its_place_while_that_is_nearest);
    tcase_add_test(
        all, between_two_flats_the_witness_stays_while_its_patch_and_triangle_face_each_other);
    tcase_add_test(all, the_same_bits_with_and_without_wide_instructions);
    tcase_add_test(all, the_same_bits_for_one_two_and_seven_threads);
    tcase_add_test(all, every_failing_request_for_memory_is_told_and_leaks_nothing);
    tcase_add_test(all, a_cancelled_question_says_so);
    suite_add_tcase(suite, all);
    return suite;
}

int
main(void)
{
    return tb_test_main(scan_suite());
}
