/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_tangent.h
 * @brief The solids of swept rows against the scan's boxes and triangles, by tangents; a part of
 *        scan_walk.h.
 *
 * A row's solid, a strip or a filled section, lies between two planes, low <= t . x <= high, and on
 * the inner side of each of its tangents, n . x <= r. Let q be a place, A = n . q - r where that is
 * above 0, else 0, and B how far t . q is beyond one of the planes (below `low`: negative). The
 * solid reaches no further along g = A n + B t than A r + B high (B low), so of what is around q,
 * and along g no lower than e from it, no point is nearer to the solid than (A^2 + B^2 + e) / |g|.
 * This holds for every tangent, of any n and t, and every q. The tangent furthest from q tells
 * most: then it is q's distance, but for what the surface bends between two tangents and along the
 * strip.
 *
 * First one g for a node, from the middle of its leaves; then for a leaf; then for each triangle.
 * What is left of a triangle is looked at once a row, not patch by patch. How far it can be, at
 * most, is its distance from the chord next to it, for sections are convex.
 */
#pragma once

#include "gaps/scan_batch.h"

/** Of all lengths a bound is made of: places from where the tangents are told, sums of three
 * products, a length and a quotient; 1.2e-6 counted. */
#define TANGENT_ROUND 3e-6f

/** Tangents that are tried for each triangle, about that of its leaf. */
#define NEIGHBOURS 8

/** The tangent of a row that is furthest from a place, from where the tangents are told. */
TB_LANES_INLINE float
furthest_tangent(const float *tangent, size_t columns, const float w[3], uint32_t *column)
{
    TbF8 best = tb_f8(-FAR2), x = tb_f8(w[0]), y = tb_f8(w[1]), z = tb_f8(w[2]);
    TbI8 at = {0};
    float most;
    int lane;

    for (size_t k = 0; k < columns; k += TB_LANES) {
        TbF8 a = x * tb_f8_load(tangent + k) + y * tb_f8_load(tangent + columns + k) +
                 z * tb_f8_load(tangent + 2 * columns + k) - tb_f8_load(tangent + 3 * columns + k);
        TbI8 more = a > best;
        int32_t here = (int32_t)k;

        at = (TbI8)tb_f8_select(more, (TbF8)(TbI8){here, here, here, here, here, here, here, here},
                                (TbF8)at);
        best = tb_f8_max(a, best);
    }
    most = tb_f8_most(best);
    lane = __builtin_ctz(tb_i8_bits(best >= tb_f8(most)) | 1u << (TB_LANES - 1));
    *column = (uint32_t)at[lane] + (uint32_t)lane;
    return most;
}

/** A row's solid, as it is met from a place. */
typedef struct Meeting {
    const TbLatticeSolid *solid;
    const float *tangent;
    float w[3]; /**< the place, from where the tangents are told */
    uint32_t column;
    float way[3], length; /**< g */
    float square;         /**< A^2 + B^2 */
    float slack, reach;   /**< mm: rounding; what is further does not matter, rounding included */
} Meeting;

/** @param size no corner that is to be tested is further from the place, mm */
TB_LANES_INLINE Meeting
meet_row(const TbScan *scan, int lane, const float place[3], float size)
{
    const TbLattice *lattice = scan->lattice;
    size_t row = scan->group * TB_LANES + (size_t)lane, columns = lattice->columns;
    Meeting m = {.solid = &lattice->solid[row], .tangent = tb_lattice__tangents(lattice, row)};
    float a, b = 0, far = m.solid->size + size, length2 = 0;

    for (int k = 0; k < 3; k++) {
        m.w[k] = place[k] - m.solid->about[k];
        far += fabsf(m.w[k]);
        b += m.solid->along[k] * m.w[k];
    }
    m.slack = TANGENT_ROUND * far;
    m.reach = scan->cut[lane] + m.slack;
    a = furthest_tangent(m.tangent, columns, m.w, &m.column);
    a = a > 0 ? a : 0;
    b = b > m.solid->high ? b - m.solid->high : b < m.solid->low ? b - m.solid->low : 0;
    for (int k = 0; k < 3; k++) {
        m.way[k] = a * m.tangent[(size_t)k * columns + m.column] + b * m.solid->along[k];
        length2 += m.way[k] * m.way[k];
    }
    m.length = sqrtf(length2);
    m.square = a * a + b * b;
    return m;
}

/** Triangles of a leaf that one direction for all does not tell apart. */
TB_LANES_INLINE unsigned
near_triangles(const Leaf *leaf, const Meeting *m)
{
    TbP8 g = {tb_f8(m->way[0]), tb_f8(m->way[1]), tb_f8(m->way[2])};
    TbF8 low = tb_p8_dot(leaf->corner[0], g);

    low = tb_f8_min(low, tb_p8_dot(leaf->corner[1], g));
    low = tb_f8_min(low, tb_p8_dot(leaf->corner[2], g));
    return tb_i8_bits(low + tb_f8(m->square) <= tb_f8(m->reach * m->length));
}

/**
 * The same with a direction for each.
 *
 * @param[out] lower mm, no triangle is nearer, but for the slack
 */
TB_LANES_INLINE unsigned
near_by_each(const TbLattice *lattice, const Leaf *leaf, const Meeting *m, float lower[TB_LANES])
{
    const TbLatticeSolid *solid = m->solid;
    size_t columns = lattice->columns;
    TbP8 w = {leaf->centre.x + m->w[0], leaf->centre.y + m->w[1], leaf->centre.z + m->w[2]};
    TbP8 n = {tb_f8(0), tb_f8(0), tb_f8(0)}, g;
    TbF8 a = tb_f8(-FAR2), b, low, length;

    for (uint32_t i = 0; i < NEIGHBOURS; i++) {
        const float *t = m->tangent + (m->column + columns - NEIGHBOURS / 2 + i) % columns;
        TbP8 one = {tb_f8(t[0]), tb_f8(t[columns]), tb_f8(t[2 * columns])};
        TbF8 far = tb_p8_dot(w, one) - tb_f8(t[3 * columns]);
        TbI8 more = far > a;

        a = tb_f8_max(far, a);
        n.x = tb_f8_select(more, one.x, n.x);
        n.y = tb_f8_select(more, one.y, n.y);
        n.z = tb_f8_select(more, one.z, n.z);
    }
    a = tb_f8_max(a, tb_f8(0));
    b = w.x * solid->along[0] + w.y * solid->along[1] + w.z * solid->along[2];
    b = tb_f8_max(b - solid->high, tb_f8(0)) + tb_f8_min(b - solid->low, tb_f8(0));
    g.x = a * n.x + b * solid->along[0];
    g.y = a * n.y + b * solid->along[1];
    g.z = a * n.z + b * solid->along[2];
    low = tb_p8_dot(tb_p8_sub(leaf->corner[0], leaf->centre), g);
    low = tb_f8_min(low, tb_p8_dot(tb_p8_sub(leaf->corner[1], leaf->centre), g));
    low = tb_f8_min(low, tb_p8_dot(tb_p8_sub(leaf->corner[2], leaf->centre), g));
    length = tb_f8_max(tb_f8_sqrt(tb_p8_dot(g, g)), tb_f8(NOTHING));
    low = (low + a * a + b * b) / length;
    tb_f8_store(lower, low);
    return tb_i8_bits(low <= tb_f8(m->reach));
}

/** The ring of a row that is next to a place. */
TB_LANES_INLINE size_t
ring_by(const TbLatticeRow *row, const TbLatticeSolid *solid, const float q[3])
{
    float along = 0;

    for (int k = 0; k < 3; k++)
        along += solid->along[k] * (q[k] - solid->about[k]);
    return along > 0 && !row->flat_end ? row->high : row->low;
}

/** The column before the chord of a ring that is next to a place near a tangent. */
TB_LANES_INLINE uint32_t
chord_by(const TbLattice *lattice, size_t ring, uint32_t column, const float q[3])
{
    uint32_t before = column > 0 ? column - 1 : (uint32_t)lattice->columns - 1;
    float along = 0;

    for (int axis = 0; axis < 3; axis++) {
        const float *at = tb_lattice__places(lattice, ring, axis);

        along += (at[column + 1] - at[before]) * (q[axis] - at[column]);
    }
    return along >= 0 ? column : before;
}

/** A leaf's triangles against a row: what tangents leave is for the batch. */
static void
try_row(TbScan *scan, const Leaf *leaf, int lane)
{
    const TbLattice *lattice = scan->lattice;
    const TbLatticeRow *row = &lattice->row[scan->group * TB_LANES + (size_t)lane];
    Meeting m = meet_row(scan, lane, leaf->middle, leaf->size);
    unsigned mask = ((1u << leaf->count) - 1) & near_triangles(leaf, &m);
    float lower[TB_LANES];

    if (mask == 0)
        return;
    for (mask &= near_by_each(lattice, leaf, &m, lower); mask != 0; mask &= mask - 1) {
        int k = __builtin_ctz(mask);
        float q[3] = {leaf->middle[0] + leaf->centre.x[k], leaf->middle[1] + leaf->centre.y[k],
                      leaf->middle[2] + leaf->centre.z[k]};
        size_t ring = ring_by(row, m.solid, q);

        add_chord(scan, leaf, lane, ring, chord_by(lattice, ring, m.column, q), k,
                  lower[k] > m.slack ? lower[k] - m.slack : 0);
    }
}

/* ---- nodes ---- */

/** A box about some of eight. */
static void
box_of_some(const TbF8 side[6], TbI8 some, float box[6])
{
    for (int k = 0; k < 3; k++) {
        box[k] = tb_f8_least(tb_f8_select(some, side[k], tb_f8(TB_NOWHERE)));
        box[3 + k] = tb_f8_most(tb_f8_select(some, side[3 + k], tb_f8(-TB_NOWHERE)));
    }
}

/** Of eight leaves, those that one direction for all does not tell apart from a row. */
TB_LANES_INLINE unsigned
near_boxes(const TbF8 side[6], const float middle[3], const Meeting *m)
{
    TbF8 low = tb_f8(m->square);

    for (int k = 0; k < 3; k++) {
        TbF8 g = tb_f8(m->way[k]), at = tb_f8(middle[k]);

        low += tb_f8_min(g * (side[k] - at), g * (side[3 + k] - at));
    }
    return tb_i8_bits(low <= tb_f8(m->reach * m->length));
}

/**
 * Which rows of the group each of a node's leaves may be near to.
 *
 * @param near of the leaves that may be near at all
 * @param[out] rows of each leaf, a bit for each row
 */
static void
rows_by_leaf(const TbScan *scan, const TbF8 side[6], TbI8 near, unsigned rows[TB_LANES])
{
    float box[6], middle[3], size = 0;
    unsigned some = tb_i8_bits(near), lanes;
    TbF8 whole[6];

    memset(rows, 0, TB_LANES * sizeof *rows);
    box_of_some(side, near, box);
    for (int k = 0; k < 3; k++) {
        middle[k] = 0.5f * (box[k] + box[3 + k]);
        size += box[3 + k] - box[k]; /* twice what it must be: rounding is among it */
    }
    load_sides(scan->lattice->whole[scan->group].side[0], TB_LANES, whole);
    lanes = tb_i8_bits(boxes_apart2(whole, box, 1) < tb_f8_load(scan->cut2) * tb_f8(BOX_ROUND));
    for (; lanes != 0; lanes &= lanes - 1) {
        int lane = __builtin_ctz(lanes);
        Meeting m = meet_row(scan, lane, middle, size);

        for (unsigned left = near_boxes(side, middle, &m) & some; left != 0; left &= left - 1)
            rows[__builtin_ctz(left)] |= 1u << lane;
    }
}
