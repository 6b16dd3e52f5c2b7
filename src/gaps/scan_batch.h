/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_batch.h
 * @brief Pairs of a patch and a triangle, eight at a time; a part of scan_walk.h.
 */
#pragma once

#include "gaps/scan_apart.h"
#include "gaps/scan_leaf.h"

static void
keep(TbScan *scan, const TbScanPair *pair)
{
    int lane = pair->lane;

    if (scan->kept_count[lane] == TB_SCAN_KEPT)
        tb_scan__make_room(scan, lane);
    scan->kept[lane][scan->kept_count[lane]++] = *pair;
}

/** What a batch of chords of sections leaves waits to be settled: tangents have told how near the
 * triangles can be. */
static void
empty_chords(TbScan *scan)
{
    TbScanBatch *batch = &scan->batch;
    float r[TB_LANES];

    tb_f8_store(r, chords_apart2(batch));
    for (int k = 0; k < batch->count; k++)
        tb_scan__foresee(scan, &batch->pair[k], r[k] + batch->extra[k]);
    for (int k = 0; k < batch->count; k++)
        if (tb_scan__matters(scan, &batch->pair[k]))
            keep(scan, &batch->pair[k]);
    batch->count = 0;
}

/**
 * What a batch leaves waits to be settled. A float distance of what belongs to the surface, with
 * its allowance added, already is an upper bound, and lowers the cut.
 */
static void
empty_batch(TbScan *scan)
{
    TbScanBatch *batch = &scan->batch;
    float r[TB_LANES];
    TbF8 all;

    if (batch->count == 0)
        return;
    if (scan->lattice->swept) {
        empty_chords(scan);
        return;
    }
    all = batch_apart2(batch);
    tb_f8_store(r, all);
    for (int k = 0; k < batch->count; k++) {
        TbScanPair *pair = &batch->pair[k];

        pair->distance2 = r[k] - batch->extra[k];
        tb_scan__foresee(scan, pair, r[k] + batch->extra[k]);
    }
    for (int k = 0; k < batch->count; k++)
        if (tb_scan__matters(scan, &batch->pair[k]))
            keep(scan, &batch->pair[k]);
    batch->count = 0;
}

/** The corners of a patch, a b d f, along one axis. */
typedef float Corners __attribute__((vector_size(16)));
typedef uint64_t TwoPairs __attribute__((vector_size(16)));

TB_LANES_INLINE Corners
corners_along(const TbLattice *lattice, const TbLatticeRow *row, int axis, uint32_t column)
{
    uint64_t low, high;

    memcpy(&low, tb_lattice__places(lattice, row->low, axis) + column, sizeof low);
    memcpy(&high, tb_lattice__places(lattice, row->high, axis) + column, sizeof high);
    return (Corners)(TwoPairs){low, high};
}

/** A patch and one of a leaf's triangles, for the batch. */
TB_LANES_INLINE void
add_pair(TbScan *scan, const Leaf *leaf, const Corners p[3], int lane, uint32_t column, int k)
{
    const TbLattice *lattice = scan->lattice;
    TbScanBatch *batch = &scan->batch;
    int to = batch->count++;

    for (int axis = 0; axis < 3; axis++) {
#pragma GCC unroll 4
        for (int c = 0; c < 4; c++)
            batch->patch[c][axis][to] = p[axis][c ^ (c >> 1)]; /* a b f d */
#pragma GCC unroll 3
        for (int c = 0; c < 3; c++)
            batch->corner[c][axis][to] = leaf->raw[3 * c + axis][k];
    }
    batch->extra[to] = leaf->extra;
    batch->pair[to] = (TbScanPair){
        .stray =
            lattice->stray[(scan->group * TB_LANES + (size_t)lane) * lattice->columns + column],
        .triangle = leaf->first + (uint32_t)k,
        .column = (uint16_t)column,
        .lane = (uint8_t)lane};
    if (batch->count == TB_LANES)
        empty_batch(scan);
}

/** A chord of a ring and one of a leaf's triangles, for the batch. @param lower mm, of the row's
 * whole solid and the triangle */
TB_LANES_INLINE void
add_chord(
    TbScan *scan, const Leaf *leaf, int lane, size_t ring, uint32_t column, int k, float lower)
{
    const TbLattice *lattice = scan->lattice;
    TbScanBatch *batch = &scan->batch;
    int to = batch->count++;

    for (int axis = 0; axis < 3; axis++) {
        const float *at = tb_lattice__places(lattice, ring, axis) + column;

        batch->patch[0][axis][to] = at[0];
        batch->patch[1][axis][to] = at[1];
#pragma GCC unroll 3
        for (int c = 0; c < 3; c++)
            batch->corner[c][axis][to] = leaf->raw[3 * c + axis][k];
    }
    batch->extra[to] = leaf->extra;
    batch->pair[to] = (TbScanPair){.distance2 = lower * lower,
                                   .triangle = leaf->first + (uint32_t)k,
                                   .column = (uint16_t)column,
                                   .lane = (uint8_t)lane};
    if (batch->count == TB_LANES)
        empty_batch(scan);
}
