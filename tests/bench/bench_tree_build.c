/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_tree_build.c
 * @brief tree-build: a tree over a mesh that was read, against Embree's commit of its triangles.
 *
 * Ours puts the mesh in the tree's order as well. One thread each; freeing is in neither time.
 */

#include "bench.h"
#include "bench_scene.h"
#include "ref_embree.h"

typedef struct Sides {
    BenchScene scene;
    RefEmbree *embree;
} Sides;

static double
time_ours(const Sides *sides)
{
    double start = bench_clock(), took;
    TbTree *tree = bench_tree(sides->scene.mesh);

    took = bench_clock() - start;
    tb_tree_unref(tree);
    return took;
}

static double
time_theirs(const Sides *sides)
{
    double start = bench_clock(), took;

    ref_embree_build(sides->embree);
    took = bench_clock() - start;
    ref_embree_drop(sides->embree);
    return took;
}

int
main(int argc, char **argv)
{
    enum { ROUNDS = 9 };
    Sides sides = {0};
    double ours[ROUNDS], theirs[ROUNDS], a, b;

    if (argc != 2)
        return bench_miss("tree-build", "no scene given");
    bench_scene_open(argv[1], &sides.scene);
    sides.embree = ref_embree_new(&sides.scene.bay);
    for (size_t i = 0; i < ROUNDS; i++) {
        ours[i] = time_ours(&sides);
        theirs[i] = time_theirs(&sides);
    }
    a = bench_median(ours, ROUNDS);
    b = bench_median(theirs, ROUNDS);
    bench_note("tree-build: ours %.1f ms, Embree %.1f ms, %zu triangles", a, b,
               sides.scene.bay.triangles);
    ref_embree_free(sides.embree);
    bench_scene_close(&sides.scene);
    return bench_result("tree-build", b / a);
}
