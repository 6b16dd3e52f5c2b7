/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_tree_bytes.c
 * @brief tree-bytes: memory that a scan ready for queries holds, all included.
 *
 * Ours: what the allocator says is in use, with the tree (its mesh is in it) less without. Embree:
 * what its memory monitor counts, and the vertex and index buffers that it shares.
 */

#include "bench.h"
#include "bench_scene.h"
#include "ref_embree.h"

#include <malloc.h>

static double
bytes_in_use(void)
{
    struct mallinfo2 info = mallinfo2();

    return (double)info.uordblks + (double)info.hblkhd;
}

static double
bytes_of_ours(const char *path)
{
    double before = bytes_in_use(), held;
    TbMesh *mesh = bench_read_mesh(path);
    TbTree *tree;

    if (mesh == NULL)
        return NAN;
    tree = bench_tree(mesh);
    tb_mesh_unref(mesh);
    held = bytes_in_use() - before;
    tb_tree_unref(tree);
    return held;
}

static double
bytes_of_theirs(const RefMesh *bay)
{
    RefEmbree *embree = ref_embree_new(bay);
    double before = (double)ref_embree_bytes(embree), held;

    ref_embree_build(embree);
    held = (double)ref_embree_bytes(embree) - before;
    ref_embree_free(embree);
    return held + 12. * (double)bay->vertices + 12. * (double)bay->triangles;
}

int
main(int argc, char **argv)
{
    BenchScene scene;
    double ours, theirs, triangles;

    if (argc != 2)
        return bench_miss("tree-bytes", "no scene given");
    ours = bytes_of_ours(argv[1]);
    bench_scene_open(argv[1], &scene);
    triangles = (double)scene.bay.triangles;
    theirs = bytes_of_theirs(&scene.bay);
    bench_scene_close(&scene);
    bench_note("tree-bytes: ours %.1f bytes a triangle, Embree %.1f", ours / triangles,
               theirs / triangles);
    return bench_result("tree-bytes", theirs / ours);
}
