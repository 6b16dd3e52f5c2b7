/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_scenes.h
 * @brief What tests of scans share: lattices of every shape, meshes near them, all pairs by force.
 */
#pragma once

#include "../geom/mesh_scenes.h"
#include "tap.h"

#include "gaps/scan.h"
#include "geom/tol.h"

/** A flat lattice with its points still at hand, and the mesh it is asked against. */
typedef struct Scene {
    size_t rings, columns;
    TbVec3 *point;
    TbLattice *lattice;
    TbTree *tree;
    const char *kind;
} Scene;

static inline TbTree *
tree_of(TbMesh *mesh)
{
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

static inline void
scene_clear(Scene *scene)
{
    free(scene->point);
    tb_lattice_free(scene->lattice);
    tb_tree_unref(scene->tree);
}

/** Points of a duct with dents: rings about a leaning axis, now and then collapsed or repeated. */
static inline void
duct_points(Scene *scene, Dice *dice, double size, double dent)
{
    TbVec3 way = dice_point(dice, 1), lean = dice_point(dice, 1);
    TbVec3 u = tb_vec3_unit(tb_vec3_across(tb_vec3(0.3, 1, 0.2), way));
    TbVec3 v = tb_vec3_unit(tb_vec3_cross(tb_vec3_unit(way), u));
    double odd = dice_between(dice, 0, 1);

    for (size_t i = 0; i < scene->rings; i++) {
        double at = ((double)i - 0.5 * (double)scene->rings) / (double)scene->rings;
        double radius = odd < 0.1 && i % 3 == 1 ? 0 : size * dice_between(dice, 0.2, 0.3);

        for (size_t k = 0; k < scene->columns; k++) {
            double angle = 2 * 3.14159265358979323846 * (double)k / (double)scene->columns;
            TbVec3 p = tb_vec3_scale(way, 2 * size * at);

            p = tb_vec3_add_scaled(p, size * at * at, lean);
            p = tb_vec3_add_scaled(p, radius * cos(angle), u);
            p = tb_vec3_add_scaled(p, radius * sin(angle), v);
            scene->point[i * scene->columns + k] = tb_vec3_add(p, dice_point(dice, dent));
        }
        if (odd > 0.9 && i % 4 == 3)
            memcpy(scene->point + i * scene->columns, scene->point + (i - 1) * scene->columns,
                   scene->columns * sizeof *scene->point);
    }
}

/** Balls within balls, some of their triangles missing; some pushed through the duct. */
static inline void
heap_shells(Heap *heap, Dice *dice, double size)
{
    TbVec3 centre = dice_point(dice, 0.8 * size);
    int shells = 1 + dice_below(dice, 3);
    double radius = size * dice_between(dice, 0.05, 0.5);
    size_t kept = 0;

    for (int i = 0; i < shells; i++)
        heap_ball(heap, centre, radius * (1 + 0.4 * i), 3 + dice_below(dice, 2),
                  3 + dice_below(dice, 3));
    if (dice_below(dice, 2) == 0)
        return;
    for (size_t i = 0; i < heap->triangles; i++)
        if (i == 0 || dice_below(dice, 4) != 0)
            memmove(heap->index + 3 * kept++, heap->index + 3 * i, 3 * sizeof *heap->index);
    heap->triangles = kept;
}

/** Triangles that touch the lattice: corner on corner, corner on edge, one that is the patch's. */
static inline void
heap_touching(Heap *heap, Dice *dice, const Scene *scene, double size)
{
    size_t ring = (size_t)dice_below(dice, (int)scene->rings - 1);
    size_t k = (size_t)dice_below(dice, (int)scene->columns);
    const TbVec3 *low = scene->point + ring * scene->columns, *high = low + scene->columns;
    TbVec3 a = low[k], b = low[(k + 1) % scene->columns], f = high[(k + 1) % scene->columns];

    switch (dice_below(dice, 3)) {
    case 0:
        b = tb_vec3_add(a, dice_point(dice, size));
        f = tb_vec3_add(a, dice_point(dice, size));
        break;
    case 1:
        a = tb_vec3_mix(a, f, dice_between(dice, 0, 1));
        b = tb_vec3_add(a, dice_point(dice, size));
        f = tb_vec3_add(a, dice_point(dice, size));
        break;
    default:
        break;
    }
    heap_triangle(heap, heap_vertex(heap, a), heap_vertex(heap, b), heap_vertex(heap, f));
}

static inline void
scene_move(Scene *scene, Heap *heap, TbVec3 by)
{
    for (size_t i = 0; i < scene->rings * scene->columns; i++)
        scene->point[i] = tb_vec3_add(scene->point[i], by);
    for (size_t i = 0; i < heap->vertices; i++)
        heap->vertex[i] = tb_vec3_add(heap->vertex[i], by);
}

/** Kinds of scene that scene_of() can make. */
#define SCENE_KINDS 7

/** A scene of a kind, `size` mm large, up to `away` mm from the origin. */
static inline Scene
scene_of(Dice *dice, int kind, double size, double away)
{
    static const char *const names[SCENE_KINDS] = {"soup",     "shells", "crumpled", "far",
                                                   "touching", "slab",   "needles"};
    Scene scene = {.rings = 2 + (size_t)dice_below(dice, 11),
                   .columns = 8 * (1 + (size_t)dice_below(dice, 2)),
                   .kind = names[kind]};
    Heap heap = {0};
    TbFault fault = {0};

    scene.point = malloc(scene.rings * scene.columns * sizeof *scene.point);
    duct_points(&scene, dice, size, kind == 2 ? 0.3 * size : kind == 5 ? 0 : 0.01 * size);
    if (kind == 0 || kind == 2)
        heap_soup(&heap, dice, 1 + (size_t)dice_below(dice, 70), size, 0.2 * size);
    else if (kind == 1)
        heap_shells(&heap, dice, size);
    else if (kind == 3)
        heap_ball(&heap, tb_vec3(40 * size, 3 * size, -9 * size), size, 5, 6);
    else if (kind == 4)
        heap_soup(&heap, dice, 9, size, 0.2 * size);
    else if (kind == 5)
        heap_block(&heap, tb_vec3(-3 * size, -3 * size, 0.9 * size),
                   tb_vec3(3 * size, 3 * size, size));
    else
        heap_soup(&heap, dice, 60, 0.5 * size, 2 * size);
    if (kind == 4)
        heap_touching(&heap, dice, &scene, 0.3 * size);
    scene_move(&scene, &heap, dice_point(dice, away));
    scene.tree = tree_of(heap_mesh(&heap));
    ck_assert_int_eq(tb_lattice_new_flat(scene.rings, scene.columns, &scene.lattice, &fault),
                     TB_OK);
    tb_lattice_set_points(scene.lattice, scene.point);
    return scene;
}

/** The n-th of many scenes: kinds in turn, sizes from 1 µm to 4 m, up to 5 m from the
 * origin on each axis, half of what is allowed. */
static inline Scene
scene_number(uint64_t n)
{
    Dice dice = {n * 2654435761u + 17};
    double size = pow(10, dice_between(&dice, -3, 3.6));
    double away = n % 3 == 0 ? 0 : n % 3 == 1 ? size : 0.5 * TB_LIMIT_COORDINATE;
    int kind = (int)(n % SCENE_KINDS);

    if (kind == 3)
        size = fmin(size, 200);
    if (kind == 6 || kind == 5)
        size = fmin(size, 1500);
    return scene_of(&dice, kind, size, away);
}

static inline TbScanAsk
ask_of(const Scene *scene)
{
    return (TbScanAsk){.lattice = scene->lattice, .tree = scene->tree, .beyond = INFINITY};
}

/** The two triangles of a patch. */
static inline void
patch_triangles(const Scene *scene, size_t row, size_t column, TbVec3 first[3], TbVec3 second[3])
{
    const TbVec3 *low = scene->point + row * scene->columns, *high = low + scene->columns;
    size_t next = (column + 1) % scene->columns;

    first[0] = second[0] = low[column];
    first[1] = low[next];
    first[2] = second[1] = high[next];
    second[2] = high[column];
}

/** All pairs of a row's triangles and the mesh's. */
static inline double
slow_row(const Scene *scene, size_t row)
{
    const TbMesh *mesh = tb_tree_mesh(scene->tree);
    double least = INFINITY;

    for (size_t k = 0; k < scene->columns; k++) {
        TbVec3 first[3], second[3], t[3];

        patch_triangles(scene, row, k, first, second);
        for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
            tb_mesh_corners(mesh, i, t);
            least = fmin(least, tb_triangle_triangle(first, t).distance);
            least = fmin(least, tb_triangle_triangle(second, t).distance);
        }
    }
    return least;
}

/** Fields, not bytes: padding is nobody's. */
static inline bool
same_near(const TbScanNear *a, const TbScanNear *b)
{
    return memcmp(&a->lower, &b->lower, sizeof a->lower) == 0 &&
           memcmp(&a->upper, &b->upper, sizeof a->upper) == 0 && a->row == b->row &&
           a->column == b->column && a->triangle == b->triangle &&
           memcmp(&a->point_a, &b->point_a, sizeof a->point_a) == 0 &&
           memcmp(&a->point_b, &b->point_b, sizeof a->point_b) == 0 &&
           memcmp(&a->station, &b->station, sizeof a->station) == 0 && a->exhausted == b->exhausted;
}
