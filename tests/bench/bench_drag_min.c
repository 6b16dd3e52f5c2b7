/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_drag_min.c
 * @brief drag-min: a drag frame: the duct's points are new, its least distance is wanted; against
 *        CGAL's tree walked by branch and bound.
 *
 * Making the points is in neither time. Ours makes its boxes of them and starts from the last
 * frame's witness.
 */

#include "bench.h"
#include "bench_lattice.h"
#include "ref_cgal.h"

#include <stdlib.h>

/** Runs of the race come back to a frame after all others. */
enum { FRAMES = 45, ROUNDS = 15 };

/** mm that the dragged point moves from frame to frame. */
static const double step = 0.2;

typedef struct Sides {
    BenchPair pair;
    RefCgal *cgal;
    TbVec3 *points; /**< of all frames */
    size_t our_frame, their_frame;
    TbScanNear last;
    double ours[FRAMES], theirs[FRAMES];
} Sides;

static void
run_ours(void *user)
{
    Sides *sides = user;
    size_t frame = sides->our_frame++ % FRAMES;

    tb_lattice_set_points(sides->pair.lattice, sides->points + frame * SCENE_POINTS);
    sides->last = bench_least(&sides->pair, sides->our_frame > 1 ? &sides->last : NULL);
    sides->ours[frame] = sides->last.upper;
}

static void
run_theirs(void *user)
{
    Sides *sides = user;
    size_t frame = sides->their_frame++ % FRAMES;
    RefLattice duct = sides->pair.scene.duct;

    duct.point = &sides->points[frame * SCENE_POINTS].x;
    sides->theirs[frame] = ref_cgal_global(sides->cgal, &duct);
}

static void
open_sides(const char *path, Sides *sides)
{
    bench_pair_open(path, &sides->pair);
    sides->cgal = ref_cgal_new(&sides->pair.scene.bay);
    sides->points = bench_room((size_t)FRAMES * SCENE_POINTS, sizeof *sides->points);
    for (size_t i = 0; i < FRAMES; i++)
        scene_points(SCENE_RINGS, SCENE_COLUMNS, step * (double)i,
                     sides->points + i * SCENE_POINTS);
}

int
main(int argc, char **argv)
{
    static Sides sides;
    BenchSide side[] = {{.name = "drag-min, ours", .run = run_ours, .user = &sides},
                        {.name = "CGAL", .run = run_theirs, .user = &sides}};
    double off;

    if (argc != 2)
        return bench_miss("drag-min", "no scene given");
    open_sides(argv[1], &sides);
    bench_race(side, 2, ROUNDS);
    off = bench_difference(sides.ours, sides.theirs, FRAMES);
    bench_note("drag-min: %.6f mm at first, %.6f mm at last, largest difference %.3g mm",
               sides.ours[0], sides.ours[FRAMES - 1], off);
    free(sides.points);
    ref_cgal_free(sides.cgal);
    bench_pair_close(&sides.pair);
    if (!(off <= BENCH_VOID))
        return bench_miss("drag-min", "void: minima differ by up to %.3g mm", off);
    return bench_result("drag-min", side[1].median / side[0].median);
}
