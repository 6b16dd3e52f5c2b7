/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_gap_map.c
 * @brief gap-map: the distance of each of the duct's 25,664 points, against Embree's point queries,
 *        the faster of two ways to ask them.
 */

#include "bench.h"
#include "bench_scene.h"
#include "ref_embree.h"

#include <stdlib.h>

typedef struct Sides {
    BenchScene scene;
    TbTree *tree;
    RefEmbree *embree;
    TbTreeHit *ours;
    double *theirs, *cold;
} Sides;

static void
run_ours(void *user)
{
    Sides *sides = user;

    bench_points(sides->tree, &sides->scene, sides->ours);
}

static void
run_theirs(void *user)
{
    Sides *sides = user;

    ref_embree_points(sides->embree, &sides->scene.duct, sides->theirs);
}

static void
run_cold(void *user)
{
    Sides *sides = user;

    ref_embree_points_cold(sides->embree, &sides->scene.duct, sides->cold);
}

static void
open_sides(const char *path, Sides *sides)
{
    bench_scene_open(path, &sides->scene);
    sides->tree = bench_tree(sides->scene.mesh);
    sides->embree = ref_embree_new(&sides->scene.bay);
    ref_embree_build(sides->embree);
    sides->ours = bench_room(SCENE_POINTS, sizeof *sides->ours);
    sides->theirs = bench_room(SCENE_POINTS, sizeof *sides->theirs);
    sides->cold = bench_room(SCENE_POINTS, sizeof *sides->cold);
}

static void
close_sides(Sides *sides)
{
    free(sides->ours);
    free(sides->theirs);
    free(sides->cold);
    ref_embree_free(sides->embree);
    tb_tree_unref(sides->tree);
    bench_scene_close(&sides->scene);
}

int
main(int argc, char **argv)
{
    Sides sides = {0};
    BenchSide side[] = {{.name = "gap-map, ours", .run = run_ours, .user = &sides},
                        {.name = "Embree, from neighbour", .run = run_theirs, .user = &sides},
                        {.name = "Embree, cold", .run = run_cold, .user = &sides}};
    double *ours, off;

    if (argc != 2)
        return bench_miss("gap-map", "no scene given");
    open_sides(argv[1], &sides);
    bench_race(side, 3, 7);
    ours = bench_room(SCENE_POINTS, sizeof *ours);
    for (size_t i = 0; i < SCENE_POINTS; i++)
        ours[i] = sides.ours[i].nearest.distance;
    off = fmax(bench_difference(ours, sides.theirs, SCENE_POINTS),
               bench_difference(ours, sides.cold, SCENE_POINTS));
    free(ours);
    close_sides(&sides);
    if (!(off <= BENCH_VOID))
        return bench_miss("gap-map", "void: distances differ by up to %.3g mm", off);
    return bench_result("gap-map", fmin(side[1].median, side[2].median) / side[0].median);
}
