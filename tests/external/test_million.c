/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * The least distance of a duct's mesh and a bay of a million triangles, which the benches'
 * generator makes: ours, FCL's and CGAL's are the same, at rest and while a knot of the duct is
 * dragged.
 */
#include "../bench/bench_lattice.h"
#include "../bench/ref_cgal.h"
#include "../bench/ref_fcl.h"
#include "tap.h"

#include <math.h>
#include <stdio.h>
#include <unistd.h>

#define TRIANGLES 1000000

/** mm. How far the three may differ: each rounds along its own way. */
#define SAME 1e-6

/** mm that the duct's fourth point moves from frame to frame, and how often. */
#define STEP 0.4
enum { FRAMES = 20 };

static char path[] = P_tmpdir "/tightbay-million-XXXXXX";
static BenchPair pair;

static void
begin(void)
{
    static SceneFrame frames[SCENE_RINGS];
    SceneBay bay = {.frames = frames,
                    .triangles = TRIANGLES,
                    .gap = 8,
                    .seed = 1,
                    .near = SCENE_NEAR,
                    .around = SCENE_ALL};
    int file = mkstemp(path);

    ck_assert_int_ge(file, 0);
    close(file);
    scene_frames(SCENE_RINGS, 0, frames);
    ck_assert(scene_write(path, &bay));
    bench_pair_open(path, &pair);
    remove(path);
    ck_assert_uint_ge(tb_mesh_triangle_count(pair.scene.mesh), TRIANGLES - TRIANGLES / 50);
}

static void
end(void)
{
    bench_pair_close(&pair);
}

/** The witness is on both: its points are as far apart as was said. */
static void
check_witness(const TbScanNear *near)
{
    ck_assert_double_eq_tol(tb_vec3_distance(near->point_a, near->point_b), near->upper, 1e-9);
    ck_assert_double_le(near->lower, near->upper);
    ck_assert_double_ge(near->lower, near->upper - SAME);
}

START_TEST(the_least_distance_is_that_of_fcl_and_cgal)
{
    RefFcl *fcl = ref_fcl_new(&pair.scene.bay, &pair.scene.duct);
    RefCgal *cgal = ref_cgal_new(&pair.scene.bay);
    TbScanNear least = bench_least(&pair, NULL);
    double by_fcl = ref_fcl_global(fcl), by_cgal = ref_cgal_global(cgal, &pair.scene.duct);

    ref_cgal_free(cgal);
    ref_fcl_free(fcl);
    ck_assert_double_gt(least.upper, 1); /* the nearest piece was put at 8 mm */
    check_witness(&least);
    ck_assert_msg(fabs(least.upper - by_fcl) <= SAME, "ours %.9f, FCL %.9f", least.upper, by_fcl);
    ck_assert_msg(fabs(least.upper - by_cgal) <= SAME, "ours %.9f, CGAL %.9f", least.upper,
                  by_cgal);
}
END_TEST

START_TEST(so_it_is_frame_by_frame_while_a_knot_is_dragged)
{
    RefCgal *cgal = ref_cgal_new(&pair.scene.bay);
    RefLattice duct = pair.scene.duct;
    TbVec3 *points = bench_room(SCENE_POINTS, sizeof *points);
    TbScanNear last = {0};
    double first = 0;

    duct.point = &points[0].x;
    for (int i = 0; i < FRAMES; i++) {
        double theirs;

        scene_points(SCENE_RINGS, SCENE_COLUMNS, STEP * i, points);
        tb_lattice_set_points(pair.lattice, points);
        last = bench_least(&pair, i > 0 ? &last : NULL);
        theirs = ref_cgal_global(cgal, &duct);
        check_witness(&last);
        ck_assert_msg(fabs(last.upper - theirs) <= SAME, "frame %d: ours %.9f, CGAL %.9f", i,
                      last.upper, theirs);
        first = i == 0 ? last.upper : first;
    }
    ck_assert_double_gt(fabs(last.upper - first), 0.1); /* or nothing was dragged */
    free(points);
    ref_cgal_free(cgal);
}
END_TEST

START_TEST(so_are_the_400_rows)
{
    RefCgal *cgal = ref_cgal_new(&pair.scene.bay);
    static TbScanNear rows[SCENE_RINGS - 1];
    static double theirs[SCENE_RINGS - 1];

    bench_rows(&pair, rows);
    ref_cgal_profile(cgal, &pair.scene.duct, theirs);
    ref_cgal_free(cgal);
    for (int i = 0; i < SCENE_RINGS - 1; i++)
        ck_assert_msg(fabs(rows[i].upper - theirs[i]) <= SAME, "row %d: ours %.9f, CGAL %.9f", i,
                      rows[i].upper, theirs[i]);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/million");
    TCase *tests = tcase_create("scene");

    tcase_set_timeout(tests, 200);
    tcase_add_unchecked_fixture(tests, begin, end);
    tcase_add_test(tests, the_least_distance_is_that_of_fcl_and_cgal);
    tcase_add_test(tests, so_it_is_frame_by_frame_while_a_knot_is_dragged);
    tcase_add_test(tests, so_are_the_400_rows);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
