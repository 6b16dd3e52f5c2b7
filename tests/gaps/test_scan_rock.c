/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Rocking ducts before scans: sampled poses against each pose on its own, certified intervals
 * against still poses and against the search that knows nothing of lattices.
 */

#include "moving_scenes.h"
#include "scan_scenes.h"

#include "gaps/scan_rock.h"
#include "geom/lanes.h"

enum { STATIONS = 21, COLUMNS = 32 };

/** A rock about an axis up to `size` from the middle of a scene. */
static TbRock
rock_near(Dice *dice, TbVec3 middle, double size, double most)
{
    TbRock rock = {.point = tb_vec3_add(middle, dice_point(dice, size))};

    rock.direction = dice_point(dice, 1);
    rock.low = -dice_between(dice, 0, most);
    rock.high = dice_between(dice, 0.01, most);
    return rock;
}

/* ---- sampled ---- */

static double
each_on_its_own(const Scene *scene, const TbRock *rock, size_t poses)
{
    size_t count = scene->rings * scene->columns;
    TbVec3 *turned = malloc(count * sizeof *turned);
    double least = INFINITY;

    for (size_t i = 0; i < poses; i++) {
        double angle = rock->low + (rock->high - rock->low) * (double)i / (double)(poses - 1);
        TbPose pose = tb_rock_pose(*rock, angle);
        TbScanAsk ask = ask_of(scene);
        TbScanNear near;

        for (size_t k = 0; k < count; k++)
            turned[k] = tb_pose_point(pose, scene->point[k]);
        tb_lattice_set_points(scene->lattice, turned);
        ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &near), TB_OK);
        least = fmin(least, near.upper);
    }
    free(turned);
    return least;
}

/** mm. A point 9 m out, turned twice instead of once. */
#define TURN_ROUND 1e-10

static void
check_sampled(uint64_t from, uint64_t to)
{
    for (uint64_t n = from; n < to; n++) {
        Scene scene = scene_number(n);
        Dice dice = {n + 5};
        double size = tb_vec3_distance(scene.point[0], scene.point[scene.columns]) + 1;
        TbRock rock = rock_near(&dice, scene.point[0], 3 * size, 0.3);
        TbScanPosesAsk ask = {.lattice = scene.lattice,
                              .points = scene.point,
                              .points_count = scene.rings * scene.columns,
                              .tree = scene.tree,
                              .rock = rock,
                              .poses = 2 + n % 29,
                              .beyond = INFINITY};
        TbScanNear near, still;
        double want;

        ck_assert_int_eq(tb_scan_poses(&ask, NULL, &near), TB_OK);
        want = each_on_its_own(&scene, &rock, ask.poses);
        ck_assert_msg(fabs(near.upper - want) <= TURN_ROUND, "%s %d: %.12f, each pose: %.12f",
                      scene.kind, (int)n, near.upper, want);
        ck_assert_double_eq_tol(tb_vec3_distance(near.point_a, near.point_b), near.upper, 1e-9);
        ck_assert_double_ge(near.turn, rock.low);
        ck_assert_double_le(near.turn, rock.high);
        /* the lattice stands still again */
        tb_lattice_set_points(scene.lattice, scene.point);
        ck_assert_int_eq(
            tb_scan_least(
                &(TbScanAsk){.lattice = scene.lattice, .tree = scene.tree, .beyond = INFINITY},
                NULL, NULL, &still),
            TB_OK);
        ck_assert_double_eq(still.turn, 0);
        scene_clear(&scene);
    }
}

START_TEST(sampled_poses_are_as_near_as_each_on_its_own) { check_sampled(0, 150); }
END_TEST

START_TEST(so_they_are_without_wide_instructions)
{
    tb_lanes_force_plain(1);
    check_sampled(150, 200);
    tb_lanes_force_plain(0);
}
END_TEST

/* ---- certified ---- */

/** A random duct and a mesh near it: balls with holes, a block, or one large triangle. */
typedef struct Swept {
    TbSweep *sweep;
    TbTree *tree;
    TbSolid *duct, *other;
    double station[STATIONS];
    TbRock rock;
} Swept;

static Swept
swept_number(uint64_t n)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Dice dice = {n * 7919 + 3};
    Swept s = {.duct = tb_solid_new(), .other = tb_solid_new()};
    Heap heap = {0};
    TbVec3 centre, about;
    double length;

    gsl_rng_set(rng, n + 1);
    s.sweep = random_sweep(rng, 30);
    gsl_rng_free(rng);
    length = tb_sweep_length(s.sweep);
    about = tb_sweep_at(s.sweep, length * dice_between(&dice, 0, 1)).centre;
    s.rock = rock_near(&dice, about, 300, 0.08);
    centre = tb_vec3_add(about, dice_point(&dice, 75));
    if (n % 3 == 0) {
        for (int i = 0; i < 4; i++)
            heap_ball(&heap, tb_vec3_add(centre, dice_point(&dice, 20)), 9, 4, 5);
        heap.triangles -= 3;
    } else if (n % 3 == 1) {
        heap_block(&heap, centre, tb_vec3_add(centre, tb_vec3(9.3, 4.1, 13.7)));
    } else {
        TbVec3 a = tb_vec3_add(about, dice_point(&dice, 300));

        heap_triangle(&heap, heap_vertex(&heap, centre), heap_vertex(&heap, a),
                      heap_vertex(&heap, tb_vec3_add(a, dice_point(&dice, 40))));
    }
    s.tree = tree_of(heap_mesh(&heap));
    for (int i = 0; i < STATIONS; i++)
        s.station[i] = length * i / (STATIONS - 1);
    ck_assert_int_eq(tb_solid_add_sweep(s.duct, s.sweep, 0, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(s.other, s.tree, 0, NULL), TB_OK);
    return s;
}

static void
swept_clear(Swept *s)
{
    tb_sweep_unref(s->sweep);
    tb_tree_unref(s->tree);
    tb_solid_unref(s->duct);
    tb_solid_unref(s->other);
}

static TbScanNear
ask_rock(const Swept *s, double width)
{
    TbScanRockAsk ask = {.sweep = s->sweep,
                         .stations = s->station,
                         .count = STATIONS,
                         .columns = COLUMNS,
                         .tree = s->tree,
                         .rock = s->rock,
                         .width = width,
                         .beyond = INFINITY};
    TbScanNear near;

    ck_assert_int_eq(tb_scan_rock(&ask, NULL, &near), TB_OK);
    return near;
}

/** The static gap of the surfaces at one angle. */
static TbScanNear
still_at(const Swept *s, double angle)
{
    TbSweep *moved = tb_sweep_moved(s->sweep, tb_rock_pose(s->rock, angle));
    TbLattice *lattice = NULL;
    TbScanAsk ask = {.tree = s->tree, .width = 1e-6, .beyond = INFINITY};
    TbScanNear near;

    ck_assert_int_eq(tb_lattice_new_swept(moved, s->station, STATIONS, COLUMNS, &lattice, NULL),
                     TB_OK);
    ask.lattice = lattice;
    ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &near), TB_OK);
    tb_lattice_free(lattice);
    tb_sweep_unref(moved);
    return near;
}

START_TEST(no_still_pose_is_below_the_certified_rock_and_the_worst_is_at_its_upper_end)
{
    int apart = 0;

    for (uint64_t n = 0; n < 60; n++) {
        Swept s = swept_number(n);
        double width = n % 2 == 0 ? 1e-2 : 1e-5;
        TbScanNear near = ask_rock(&s, width), worst = still_at(&s, near.turn);

        for (int i = 0; i <= 40; i++) {
            double angle = s.rock.low + (s.rock.high - s.rock.low) * i / 40;

            ck_assert_double_ge(still_at(&s, angle).upper, near.lower - TB_TOL_ROUND);
        }
        ck_assert_double_le(worst.lower, near.upper + TB_TOL_ROUND);
        if (near.lower > 0) {
            apart++;
            ck_assert_msg(near.upper - near.lower <= width, "scene %d: [%.9f, %.9f]", (int)n,
                          near.lower, near.upper);
            ck_assert(!near.exhausted);
            ck_assert_double_eq_tol(tb_vec3_distance(near.point_a, near.point_b), near.upper,
                                    2 * TB_TOL_ROUND);
        }
        swept_clear(&s);
    }
    ck_assert_int_gt(apart, 25);
}
END_TEST

static void
check_overlap(const TbMovingGap *m, const TbScanNear *near)
{
    ck_assert_double_le(m->gap.lower, near->upper + TB_TOL_ROUND);
    ck_assert_double_ge(m->gap.upper, near->lower - TB_TOL_ROUND);
}

/* A shift of a millionth of a millimetre besides: then the motion is no rock, and no lattice is
 * asked. */
START_TEST(the_search_without_lattices_agrees_whichever_of_the_two_rocks)
{
    int compared = 0;

    for (uint64_t n = 100; n < 160; n++) {
        Swept s = swept_number(n);
        TbScanNear near = ask_rock(&s, 1e-4);
        TbMovingAsk ask = {.a = s.duct, .b = s.other, .width = 1e-4, .depth_width = 50};
        TbMovingAsk turned = {.a = s.other, .b = s.duct, .width = 1e-4, .depth_width = 50};
        TbFreedom tiny = {TB_FREEDOM_SHIFT, {0, 0, 0}, {1, 0, 0}, 0, 1e-6};
        TbRock back = s.rock;
        TbMovingGap m;

        back.low = -s.rock.high;
        back.high = -s.rock.low;
        turned.motion_a = rocking(back);
        ask.motion_a = rocking(s.rock);
        if (near.lower > 0.1) {
            m = ask_moving(&ask);
            if (m.gap.contact == TB_CLEAR && m.gap.inner == TB_INNER_NONE) {
                check_overlap(&m, &near);
                check_witness(&ask, &m);
                m = ask_moving(&turned);
                check_overlap(&m, &near);
                check_witness(&turned, &m);
                ck_assert_uint_eq(m.gap.site_b.triangle, UINT32_MAX);
                ck_assert_int_eq(tb_motion_add(&ask.motion_b, tiny, NULL), TB_OK);
                m = ask_moving(&ask);
                near.lower -= 1e-6;
                check_overlap(&m, &near);
                compared++;
            }
        }
        swept_clear(&s);
    }
    ck_assert_int_gt(compared, 25);
}
END_TEST

/** A round duct that swings towards a large face on the outer side; @return how many certificates
 * are above the closed form. */
static int
wrong_ones(double factor)
{
    int wrong = 0;

    tb_carried_stray_factor = factor;
    for (int n = 0; n < 40; n++) {
        Dice dice = {(uint64_t)n + 77};
        double at = dice_between(&dice, -0.02, 0.02), reach = dice_between(&dice, 250, 420);
        double off = dice_between(&dice, 2, 9);
        TbVec3 out = {0, -sin(at), cos(at)}, along = {0, cos(at), sin(at)};
        TbVec3 foot = tb_vec3_scale(out, reach + 12 + off);
        Swept s = {.duct = tb_solid_new(), .other = tb_solid_new()};
        Heap heap = {0};

        s.rock = (TbRock){{0, 0, 0}, {1, 0, 0}, -0.03, 0.03};
        s.sweep = straight_sweep(tb_vec3(-50, 0, reach), tb_vec3(60, 0, reach),
                                 tb_section_superellipse(24, 24, 2));
        for (int i = 0; i < STATIONS; i++)
            s.station[i] = 110.0 * i / (STATIONS - 1);
        heap_triangle(&heap, heap_vertex(&heap, tb_vec3_add(foot, tb_vec3(-900, 0, 0))),
                      heap_vertex(&heap, tb_vec3_add_scaled(tb_vec3_add(foot, tb_vec3(900, 0, 0)),
                                                            700, along)),
                      heap_vertex(&heap, tb_vec3_add_scaled(tb_vec3_add(foot, tb_vec3(900, 0, 0)),
                                                            -700, along)));
        s.tree = tree_of(heap_mesh(&heap));
        wrong += ask_rock(&s, 1e-4).lower > off + 1e-6;
        swept_clear(&s);
    }
    tb_carried_stray_factor = 1;
    return wrong;
}

START_TEST(half_of_the_bound_of_arcs_gives_wrong_certificates_and_all_of_it_none)
{
    ck_assert_int_eq(wrong_ones(1), 0);
    ck_assert_int_gt(wrong_ones(0.5), 3);
}
END_TEST

START_TEST(no_room_at_any_request_is_said_and_leaks_nothing)
{
    Swept s = swept_number(1);
    TbScanRockAsk ask = {.sweep = s.sweep,
                         .stations = s.station,
                         .count = STATIONS,
                         .columns = COLUMNS,
                         .tree = s.tree,
                         .rock = {s.rock.point, s.rock.direction, -0.01, 0.01},
                         .width = 1e-2,
                         .beyond = INFINITY};
    TbScanNear near;
    size_t requests;

    tb_mem_fail_at(0);
    ck_assert_int_eq(tb_scan_rock(&ask, NULL, &near), TB_OK);
    requests = tb_mem_requests();
    for (size_t i = 1; i <= requests; i++) {
        tb_mem_fail_at(i);
        ck_assert_int_eq(tb_scan_rock(&ask, NULL, &near), TB_E_MEMORY);
    }
    tb_mem_fail_at(0);
    swept_clear(&s);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/scan_rock");
    TCase *tests = tcase_create("rocking");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, sampled_poses_are_as_near_as_each_on_its_own);
    tcase_add_test(tests, so_they_are_without_wide_instructions);
    tcase_add_test(tests,
                   no_still_pose_is_below_the_certified_rock_and_the_worst_is_at_its_upper_end);
    tcase_add_test(tests, the_search_without_lattices_agrees_whichever_of_the_two_rocks);
    tcase_add_test(tests, half_of_the_bound_of_arcs_gives_wrong_certificates_and_all_of_it_none);
    tcase_add_test(tests, no_room_at_any_request_is_said_and_leaks_nothing);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
