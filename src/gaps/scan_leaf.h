/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_leaf.h
 * @brief Eight triangles of the scan's tree, gathered; a part of scan_walk.h.
 */
#pragma once

#include "gaps/scan_private.h"

/** A leaf's triangles, gathered. */
typedef struct Leaf {
    TbP8 corner[3]; /**< from the middle */
    TbP8 centre;    /**< of each triangle, from the middle */
    TbF8 box[6];
    float middle[3];
    float raw[9][TB_LANES];
    float size; /**< swept: no corner is further from the middle, mm */
    uint32_t first, count;
    float extra; /**< mm^2: allowance of this leaf's pairs, on a squared limit */
} Leaf;

/** Of all corners from the leaf's middle, by the sum of the three ways: a little more. */
TB_LANES_INLINE float
size_of(const Leaf *leaf)
{
    TbF8 far = tb_f8(0);
    float all[TB_LANES], most = 0;

    for (int c = 0; c < 3; c++) {
        const TbP8 *p = &leaf->corner[c];

        far = tb_f8_max(far,
                        tb_f8_max(p->x, -p->x) + tb_f8_max(p->y, -p->y) + tb_f8_max(p->z, -p->z));
    }
    tb_f8_store(all, far);
    for (int k = 0; k < TB_LANES; k++)
        most = all[k] > most ? all[k] : most;
    return most;
}

/** @param cut mm: no pair that is further matters */
static void
gather(const TbScan *scan, uint32_t number, float cut, Leaf *leaf)
{
    const TbMesh *mesh = tb_tree_mesh(scan->tree);
    const TbVec3 *vertex = tb_mesh_vertices(mesh);
    const uint32_t *index;
    size_t all = tb_mesh_triangle_count(mesh);
    TbF8 low[3], high[3], wide;
    TbP8 middle;
    TbF8 third = tb_f8(1.0f / 3.0f);
    float side[TB_LANES], most = 0;

    leaf->first = number * TB_LANES;
    leaf->count = all - leaf->first < TB_LANES ? (uint32_t)(all - leaf->first) : TB_LANES;
    index = tb_mesh_indices(mesh) + 3 * (size_t)leaf->first;
    for (uint32_t k = 0; k < TB_LANES; k++) {
        const uint32_t *i = index + 3 * (k < leaf->count ? k : leaf->count - 1);

        for (int c = 0; c < 3; c++) {
            TbVec3 p = vertex[i[c]];

            leaf->raw[3 * c][k] = (float)p.x;
            leaf->raw[3 * c + 1][k] = (float)p.y;
            leaf->raw[3 * c + 2][k] = (float)p.z;
        }
    }
    for (int c = 0; c < 3; c++)
        leaf->corner[c] = (TbP8){tb_f8_load(leaf->raw[3 * c]), tb_f8_load(leaf->raw[3 * c + 1]),
                                 tb_f8_load(leaf->raw[3 * c + 2])};
#define SPAN(axis, at)                                                                             \
    low[at] =                                                                                      \
        tb_f8_min(tb_f8_min(leaf->corner[0].axis, leaf->corner[1].axis), leaf->corner[2].axis);    \
    high[at] =                                                                                     \
        tb_f8_max(tb_f8_max(leaf->corner[0].axis, leaf->corner[1].axis), leaf->corner[2].axis)
    SPAN(x, 0);
    SPAN(y, 1);
    SPAN(z, 2);
#undef SPAN
    wide = tb_f8(0);
    for (int k = 0; k < 3; k++) {
        leaf->middle[k] = 0.25f * (low[k][0] + high[k][0] + low[k][4] + high[k][4]);
        leaf->box[k] = low[k];
        leaf->box[3 + k] = high[k];
        wide = wide + (high[k] - low[k]) * (high[k] - low[k]);
    }
    middle = (TbP8){tb_f8(leaf->middle[0]), tb_f8(leaf->middle[1]), tb_f8(leaf->middle[2])};
    for (int c = 0; c < 3; c++)
        leaf->corner[c] = tb_p8_sub(leaf->corner[c], middle);
    leaf->centre.x = third * (leaf->corner[0].x + leaf->corner[1].x + leaf->corner[2].x);
    leaf->centre.y = third * (leaf->corner[0].y + leaf->corner[1].y + leaf->corner[2].y);
    leaf->centre.z = third * (leaf->corner[0].z + leaf->corner[1].z + leaf->corner[2].z);
    tb_f8_store(side, wide);
    for (int k = 0; k < TB_LANES; k++)
        most = side[k] > most ? side[k] : most;
    most = cut + scan->lattice->widest + sqrtf(most);
    leaf->extra = TB_SCAN_SHARE * most * most;
    leaf->size = scan->lattice->swept ? size_of(leaf) : 0;
}

/** How far a leaf's triangles reach along a direction, from its middle. */
TB_LANES_INLINE TbF8
reach_along(const Leaf *leaf, const float n[3])
{
    TbP8 d = {tb_f8(n[0]), tb_f8(n[1]), tb_f8(n[2])};
    TbF8 most = tb_p8_dot(leaf->corner[0], d);

    most = tb_f8_max(most, tb_p8_dot(leaf->corner[1], d));
    return tb_f8_max(most, tb_p8_dot(leaf->corner[2], d));
}
