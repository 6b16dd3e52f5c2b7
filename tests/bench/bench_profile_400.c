/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_profile_400.c
 * @brief profile-400: exact distance of each of the 400 strips between the duct's rings, against
 *        CGAL's tree walked by branch and bound, the faster of two ways to bound it.
 *
 * Both sides are given the points of the rings: ours makes its boxes of them in its time.
 */

#include "bench.h"
#include "bench_lattice.h"
#include "ref_cgal.h"

enum { STRIPS = SCENE_RINGS - 1 };

typedef struct Sides {
    BenchPair pair;
    RefCgal *cgal;
    TbScanNear rows[STRIPS];
    double carried[STRIPS], by_points[STRIPS];
} Sides;

static void
run_ours(void *user)
{
    Sides *sides = user;

    tb_lattice_set_points(sides->pair.lattice, sides->pair.scene.points);
    bench_rows(&sides->pair, sides->rows);
}

static void
run_carried(void *user)
{
    Sides *sides = user;

    ref_cgal_profile(sides->cgal, &sides->pair.scene.duct, sides->carried);
}

static void
run_by_points(void *user)
{
    Sides *sides = user;

    ref_cgal_profile_by_points(sides->cgal, &sides->pair.scene.duct, sides->by_points);
}

int
main(int argc, char **argv)
{
    static Sides sides;
    BenchSide side[] = {
        {.name = "profile-400, ours", .run = run_ours, .user = &sides},
        {.name = "CGAL, bound carried along", .run = run_carried, .user = &sides},
        {.name = "CGAL, bounds from all points", .run = run_by_points, .user = &sides}};
    double ours[STRIPS], off;

    if (argc != 2)
        return bench_miss("profile-400", "no scene given");
    bench_pair_open(argv[1], &sides.pair);
    sides.cgal = ref_cgal_new(&sides.pair.scene.bay);
    bench_race(side, 3, 9);
    for (int i = 0; i < STRIPS; i++)
        ours[i] = sides.rows[i].upper;
    off = fmax(bench_difference(ours, sides.carried, STRIPS),
               bench_difference(ours, sides.by_points, STRIPS));
    ref_cgal_free(sides.cgal);
    bench_pair_close(&sides.pair);
    bench_note("profile-400: largest difference %.3g mm", off);
    if (!(off <= BENCH_VOID))
        return bench_miss("profile-400", "void: distances differ by up to %.3g mm", off);
    return bench_result("profile-400", fmin(side[1].median, side[2].median) / side[0].median);
}
