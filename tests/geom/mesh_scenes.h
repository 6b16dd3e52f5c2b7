/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file mesh_scenes.h
 * @brief What tests of meshes, trees and triangles share: a seeded generator, balls, boxes, soups.
 */
#pragma once

#include "geom/mesh.h"

#include <check.h>
#include <stdlib.h>

/** Splitmix64: the same numbers on every machine. */
typedef struct Dice {
    uint64_t state;
} Dice;

static inline uint64_t
dice_bits(Dice *dice)
{
    uint64_t z = dice->state += 0x9e3779b97f4a7c15u;

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

/** Even between low and high. */
static inline double
dice_between(Dice *dice, double low, double high)
{
    return low + (high - low) * ((double)(dice_bits(dice) >> 11) * 0x1p-53);
}

static inline int
dice_below(Dice *dice, int n)
{
    return (int)(dice_bits(dice) % (uint64_t)n);
}

static inline TbVec3
dice_point(Dice *dice, double reach)
{
    TbVec3 p;

    p.x = dice_between(dice, -reach, reach);
    p.y = dice_between(dice, -reach, reach);
    p.z = dice_between(dice, -reach, reach);
    return p;
}

/** A triangle: plain, needle, cap, point, segment, or with the last one's corner. */
static inline void
dice_triangle(Dice *dice, double reach, TbVec3 t[3])
{
    double k = dice_between(dice, 0, 1);
    double thin = reach * pow(10, dice_between(dice, -14, -1));

    for (int i = 0; i < 3; i++)
        t[i] = dice_point(dice, reach);
    switch (dice_below(dice, 8)) {
    case 0: /* needle: two corners close together */
        t[2] = tb_vec3_add(t[1], dice_point(dice, thin));
        break;
    case 1: /* cap: a corner next to the opposite side */
        t[2] = tb_vec3_add(tb_vec3_mix(t[0], t[1], k), dice_point(dice, thin));
        break;
    case 2: /* point */
        t[1] = t[2] = t[0];
        break;
    case 3: /* segment with its third corner on it */
        t[2] = tb_vec3_mix(t[0], t[1], k);
        break;
    default:
        break;
    }
}

/* ---- meshes that grow in plain arrays ---- */

typedef struct Heap {
    TbVec3 *vertex;
    uint32_t *index;
    size_t vertices, triangles;
} Heap;

static inline uint32_t
heap_vertex(Heap *heap, TbVec3 p)
{
    if ((heap->vertices & (heap->vertices - 1)) == 0) /* 0 or a power of two: it is full */
        heap->vertex = realloc(heap->vertex, (2 * heap->vertices + 1) * sizeof p);
    heap->vertex[heap->vertices] = p;
    return (uint32_t)heap->vertices++;
}

static inline void
heap_triangle(Heap *heap, uint32_t a, uint32_t b, uint32_t c)
{
    if ((heap->triangles & (heap->triangles - 1)) == 0)
        heap->index = realloc(heap->index, 3 * (2 * heap->triangles + 1) * sizeof a);
    heap->index[3 * heap->triangles] = a;
    heap->index[3 * heap->triangles + 1] = b;
    heap->index[3 * heap->triangles++ + 2] = c;
}

static inline void
heap_clear(Heap *heap)
{
    free(heap->vertex);
    free(heap->index);
    *heap = (Heap){0};
}

/** Block between two corners: 12 triangles, outward; inward when the corners are swapped in x. */
static inline void
heap_block(Heap *heap, TbVec3 low, TbVec3 high)
{
    static const unsigned char face[12][3] = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6},
                                              {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7},
                                              {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
    uint32_t v[8];

    for (int i = 0; i < 8; i++)
        v[i] = heap_vertex(
            heap, tb_vec3(i & 1 ? high.x : low.x, i & 2 ? high.y : low.y, i & 4 ? high.z : low.z));
    for (int i = 0; i < 12; i++)
        heap_triangle(heap, v[face[i][0]], v[face[i][1]], v[face[i][2]]);
}

/** Ball of rings and sectors about the z axis, outward; poles are single vertices. */
static inline void
heap_ball(Heap *heap, TbVec3 centre, double radius, int rings, int sectors)
{
    const double pi = 3.14159265358979323846;
    uint32_t top = heap_vertex(heap, tb_vec3_add(centre, tb_vec3(0, 0, radius)));
    uint32_t bottom = heap_vertex(heap, tb_vec3_add(centre, tb_vec3(0, 0, -radius)));
    uint32_t first = (uint32_t)heap->vertices;
    uint32_t n = (uint32_t)sectors;

    for (int i = 1; i < rings; i++)
        for (int k = 0; k < sectors; k++) {
            double lat = pi * i / rings;
            double lon = 2 * pi * k / sectors;
            heap_vertex(heap, tb_vec3_add(centre, tb_vec3(radius * sin(lat) * cos(lon),
                                                          radius * sin(lat) * sin(lon),
                                                          radius * cos(lat))));
        }
    for (uint32_t k = 0; k < n; k++) {
        uint32_t next = (k + 1) % n;
        uint32_t last = first + n * (uint32_t)(rings - 2);
        heap_triangle(heap, top, first + k, first + next);
        heap_triangle(heap, bottom, last + next, last + k);
        for (uint32_t r = first; r < last; r += n) {
            heap_triangle(heap, r + k, r + n + k, r + n + next);
            heap_triangle(heap, r + k, r + n + next, r + next);
        }
    }
}

/** A soup that shares no vertices: triangles of every kind, every tenth one twice. */
static inline void
heap_soup(Heap *heap, Dice *dice, size_t triangles, double spread, double reach)
{
    TbVec3 t[3];

    for (size_t i = 0; i < triangles; i++) {
        TbVec3 place = dice_point(dice, spread);
        uint32_t v[3];
        if (i % 10 != 9) {
            dice_triangle(dice, reach, t);
            for (int k = 0; k < 3; k++)
                t[k] = tb_vec3_add(t[k], place);
        }
        for (int k = 0; k < 3; k++)
            v[k] = heap_vertex(heap, t[k]);
        heap_triangle(heap, v[0], v[1], v[2]);
    }
}

/** The mesh of a heap, which is cleared. */
static inline TbMesh *
heap_mesh(Heap *heap)
{
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    TbStatus status = tb_mesh_from_arrays(heap->vertex, heap->vertices, heap->index,
                                          heap->triangles, &mesh, &fault);

    ck_assert_msg(status == TB_OK, "%s", fault.text);
    heap_clear(heap);
    return mesh;
}
