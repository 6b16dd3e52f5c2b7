/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_stl_load.c
 * @brief stl-load: binary STL in the page cache to welded mesh and tree, against Embree's build of
 *        a mesh that is there already.
 *
 * One thread each; freeing is in neither time.
 */

#include "bench.h"
#include "bench_scene.h"
#include "ref_embree.h"

static double
time_ours(const char *path)
{
    double start = bench_clock(), read, took;
    TbMesh *mesh = bench_read_mesh(path);
    TbTree *tree;

    if (mesh == NULL)
        return NAN;
    read = bench_clock() - start;
    tree = bench_tree(mesh);
    took = bench_clock() - start;
    bench_note("stl-load: mesh %.1f ms, tree %.1f ms", read, took - read);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    return took;
}

static double
time_theirs(RefEmbree *embree)
{
    double start = bench_clock(), took;

    ref_embree_build(embree);
    took = bench_clock() - start;
    ref_embree_drop(embree);
    return took;
}

int
main(int argc, char **argv)
{
    enum { ROUNDS = 9 };
    BenchScene scene;
    RefEmbree *embree;
    double ours[ROUNDS], theirs[ROUNDS], a, b;

    if (argc != 2)
        return bench_miss("stl-load", "no scene given");
    bench_scene_open(argv[1], &scene); /* from now on the file is in the cache */
    embree = ref_embree_new(&scene.bay);
    for (size_t i = 0; i < ROUNDS; i++) {
        ours[i] = time_ours(argv[1]);
        theirs[i] = time_theirs(embree);
    }
    a = bench_median(ours, ROUNDS);
    b = bench_median(theirs, ROUNDS);
    bench_note("stl-load: ours %.1f ms, Embree's build %.1f ms", a, b);
    ref_embree_free(embree);
    bench_scene_close(&scene);
    return bench_result("stl-load", b / a);
}
