/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bench_scene.h"

#include <stdio.h>
#include <stdlib.h>

static void
give_up(const char *why)
{
    fprintf(stderr, "%s\n", why);
    exit(1);
}

void *
bench_room(size_t count, size_t size)
{
    void *room = calloc(count, size);

    if (room == NULL)
        give_up("no room");
    return room;
}

static long
read_file(void *user, unsigned char *out, size_t room, TbFault *fault)
{
    FILE *file = user;
    size_t got = fread(out, 1, room, file);

    if (got == 0 && ferror(file)) {
        tb_fail(fault, TB_E_IO, "the file cannot be read");
        return -1;
    }
    return (long)got;
}

TbMesh *
bench_read_mesh(const char *path)
{
    TbMeshReadDef def = {.unit = 1, .placement = tb_pose_identity()};
    TbFault fault = {0};
    TbMesh *mesh = NULL;
    FILE *file = fopen(path, "rb");
    TbSource source = {.read = read_file, .user = file};
    long size;

    if (file == NULL) {
        perror(path);
        return NULL;
    }
    setvbuf(file, NULL, _IONBF, 0); /* the reader has a buffer of its own */
    fseek(file, 0, SEEK_END);
    size = ftell(file);
    rewind(file);
    source.size = (uint64_t)size;
    if (tb_mesh_read(&source, TB_MESH_STL, &def, &mesh, &fault) != TB_OK)
        fprintf(stderr, "%s: %s\n", path, fault.text);
    fclose(file);
    return mesh;
}

TbTree *
bench_tree(TbMesh *mesh)
{
    TbTree *tree = NULL;
    TbFault fault = {0};

    if (tb_tree_new(mesh, NULL, NULL, &tree, &fault) != TB_OK)
        give_up(fault.text);
    return tree;
}

/** The mesh's vertices as floats: what an STL holds, so nothing is lost. */
static void
set_bay(BenchScene *scene)
{
    size_t vertices = tb_mesh_vertex_count(scene->mesh);
    size_t triangles = tb_mesh_triangle_count(scene->mesh);
    float *vertex = bench_room(3 * vertices + 4, sizeof *vertex);
    uint32_t *index = bench_room(3 * triangles, sizeof *index);

    for (size_t t = 0; t < triangles; t++) {
        TbVec3 corner[3];

        tb_mesh_corners(scene->mesh, t, corner);
        for (size_t k = 0; k < 3; k++) {
            uint32_t i = tb_mesh_indices(scene->mesh)[3 * t + k];

            index[3 * t + k] = i;
            vertex[3 * i] = (float)corner[k].x;
            vertex[3 * i + 1] = (float)corner[k].y;
            vertex[3 * i + 2] = (float)corner[k].z;
        }
    }
    scene->bay = (RefMesh){vertex, vertices, index, triangles};
}

void
bench_scene_open(const char *path, BenchScene *scene)
{
    uint32_t *index = bench_room(3 * SCENE_TRIANGLES, sizeof *index);

    scene->mesh = bench_read_mesh(path);
    if (scene->mesh == NULL)
        exit(1);
    set_bay(scene);
    scene->points = bench_room(SCENE_POINTS, sizeof *scene->points);
    scene_points(SCENE_RINGS, SCENE_COLUMNS, 0, scene->points);
    scene_indices(SCENE_RINGS, SCENE_COLUMNS, index);
    scene->duct = (RefLattice){&scene->points[0].x, SCENE_RINGS, SCENE_COLUMNS, index};
}

void
bench_scene_close(BenchScene *scene)
{
    tb_mesh_unref(scene->mesh);
    free((void *)scene->bay.vertex);
    free((void *)scene->bay.index);
    free(scene->points);
    free((void *)scene->duct.index);
}

void
bench_points(const TbTree *tree, const BenchScene *scene, TbTreeHit hits[])
{
    TbTreeLattice lattice = {
        .points = scene->points, .rows = SCENE_RINGS, .columns = SCENE_COLUMNS};

    tb_tree_nearest_many(tree, &lattice, hits);
}
