/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_list.h
 * @brief The leaves that may be near each row of a swept group, and the order they are tried in; a
 *        part of scan_walk.h.
 *
 * A walk only lists leaves, with how near they can be. Once it is over, each row tries its nearest
 * first: a few lower its cut so far that the others need not be gathered. How near a leaf can be is
 * told by tangents from the middle of its box (scan_tangent.h), along which it reaches no lower
 * than its box does; or its slab (tree.h) together with what of the way the slab does not tell:
 * for any number k, g . x = k (n . x) + (g - k n) . x.
 */
#pragma once

#include "gaps/scan_tangent.h"

/** A box about eight: those that are missing are turned inside out, and add nothing. */
static void
box_of_all(const TbF8 side[6], float box[6])
{
    for (int k = 0; k < 3; k++) {
        box[k] = tb_f8_least(side[k]);
        box[3 + k] = tb_f8_most(side[3 + k]);
    }
}

/** Rows of a group that a box about the place they are met from may be near to. */
TB_LANES_INLINE unsigned
near_rows(const Meeting *m, const float half[3])
{
    TbF8 reach = tb_f8_max(m->way.x, -m->way.x) * tb_f8(half[0]) +
                 tb_f8_max(m->way.y, -m->way.y) * tb_f8(half[1]) +
                 tb_f8_max(m->way.z, -m->way.z) * tb_f8(half[2]);

    return tb_i8_bits(m->square - reach <= m->reach * m->length);
}

/** The eight leaves of a node: boxes from their middles, and slabs. */
typedef struct Leaves {
    TbP8 middle, low, high;
    TbP8 normal;
    TbF8 slab_low, slab_high;
} Leaves;

TB_LANES_INLINE Leaves
leaves_of(const TbTreeSlabs *slabs, const TbF8 side[6])
{
    TbF8 step = tb_f8((float)TB_TREE_NORMAL), half = tb_f8(0.5f);
    Leaves l;

    l.middle =
        (TbP8){half * (side[0] + side[3]), half * (side[1] + side[4]), half * (side[2] + side[5])};
    l.low = tb_p8_sub((TbP8){side[0], side[1], side[2]}, l.middle);
    l.high = tb_p8_sub((TbP8){side[3], side[4], side[5]}, l.middle);
    l.normal =
        (TbP8){tb_f8_load_bytes(slabs->normal[0]) * step, tb_f8_load_bytes(slabs->normal[1]) * step,
               tb_f8_load_bytes(slabs->normal[2]) * step};
    l.slab_low = tb_f8_load(slabs->low);
    l.slab_high = tb_f8_load(slabs->high);
    return l;
}

/** How low boxes from their middles reach along a way of each. */
TB_LANES_INLINE TbF8
boxes_along(const Leaves *l, TbP8 g)
{
    return tb_f8_min(g.x * l->low.x, g.x * l->high.x) + tb_f8_min(g.y * l->low.y, g.y * l->high.y) +
           tb_f8_min(g.z * l->low.z, g.z * l->high.z);
}

/** How near leaves may be to a row, but for rounding: a lower bound of each. */
TB_LANES_INLINE TbF8
leaves_apart(const Leaves *l, const Meetings *each)
{
    TbF8 k = tb_p8_dot(each->way, l->normal), low;
    TbP8 rest = {each->way.x - k * l->normal.x, each->way.y - k * l->normal.y,
                 each->way.z - k * l->normal.z};

    low = tb_f8_min(k * l->slab_low, k * l->slab_high) + boxes_along(l, rest);
    low = tb_f8_max(low, boxes_along(l, each->way));
    return (low + each->square) / each->length;
}

/* ---- lists ---- */

/** Takes a leaf off a row's list, and tries it. */
static void
try_listed(TbScan *scan, int lane, int i)
{
    TbScanList *list = &scan->list[lane];
    TbScanListed listed = list->leaf[i];
    Leaf leaf;

    list->leaf[i] = list->leaf[--list->count];
    gather(scan, listed.leaf, scan->cut[lane], &leaf);
    try_row(scan, &leaf, lane, listed.column);
    empty_batch(scan);
}

/** All of a row's leaves that still matter, the nearest first. */
static void
try_all_listed(TbScan *scan, int lane)
{
    TbScanList *list = &scan->list[lane];

    while (list->count > 0) {
        float least = INFINITY;
        int nearest = 0, left = 0;

        for (int i = 0; i < list->count; i++) {
            list->leaf[left] = list->leaf[i];
            nearest = list->leaf[i].apart < least ? left : nearest;
            least = list->leaf[i].apart < least ? list->leaf[i].apart : least;
            left += list->leaf[i].apart <= scan->cut[lane];
        }
        list->count = left;
        if (left > 0)
            try_listed(scan, lane, nearest);
    }
}

/** Some leaves of a node. One that can be nearer than all before is tried at once: it would be
 * later, and the sooner the cut is low the fewer are listed. */
static void
list_leaves(TbScan *scan, int lane, uint32_t node, unsigned leaves, TbF8 apart, TbF8 column)
{
    TbScanList *list = &scan->list[lane];
    float at[TB_LANES], tangent[TB_LANES];
    int nearest = -1;

    if (list->count > TB_SCAN_LISTED - TB_LANES)
        try_all_listed(scan, lane);
    tb_f8_store(at, apart);
    tb_f8_store(tangent, column);
    for (; leaves != 0; leaves &= leaves - 1) {
        int k = __builtin_ctz(leaves);

        list->leaf[list->count] =
            (TbScanListed){at[k], node * TB_LANES + (uint32_t)k, (uint32_t)tangent[k]};
        nearest = at[k] < list->least ? list->count : nearest;
        list->least = at[k] < list->least ? at[k] : list->least;
        list->count++;
    }
    if (nearest >= 0)
        try_listed(scan, lane, nearest);
}

/** Lists which rows of the group each of a node's leaves may be near to. */
static void
list_node(TbScan *scan, uint32_t node, const TbF8 side[6])
{
    float box[6], middle[3], half[3], size = 0, slack[TB_LANES];
    unsigned some = tb_i8_bits(side[0] <= side[3]), lanes;
    TbF8 whole[6];
    TbI8 rows;
    Leaves leaves;
    Meeting m;

    box_of_all(side, box);
    load_sides(scan->lattice->whole[scan->group].side[0], TB_LANES, whole);
    rows = boxes_apart2(whole, box, 1) < tb_f8_load(scan->cut2) * tb_f8(BOX_ROUND);
    lanes = tb_i8_bits(rows);
    if (lanes == 0)
        return;
    for (int k = 0; k < 3; k++) {
        middle[k] = 0.5f * (box[k] + box[3 + k]);
        half[k] = fmaxf(middle[k] - box[k], box[3 + k] - middle[k]);
        size += 2 * half[k]; /* twice what it must be: rounding is among it */
    }
    meet_rows(scan, rows, middle, size, &m);
    lanes &= near_rows(&m, half);
    if (lanes == 0)
        return;
    tb_f8_store(slack, m.slack);
    leaves = leaves_of(&tb_tree_slabs(scan->tree)[node], side);
    for (; lanes != 0; lanes &= lanes - 1) {
        int lane = __builtin_ctz(lanes);
        Solid solid = solid_of(scan, lane);
        TbP8 w = {leaves.middle.x - solid.about[0], leaves.middle.y - solid.about[1],
                  leaves.middle.z - solid.about[2]};
        Meetings each = meet_each(&solid, w, (size_t)m.column[lane]);
        TbF8 apart = leaves_apart(&leaves, &each) - tb_f8(slack[lane]);
        unsigned left = tb_i8_bits(apart <= tb_f8(scan->cut[lane])) & some;

        if (left != 0)
            list_leaves(scan, lane, node, left, apart, each.column);
    }
}
