/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_section.h
 * @brief Filled sections against a leaf's triangles, by the tangents of their outlines; a part of
 *        scan_walk.h.
 *
 * A section lies in its plane, t . x = h, and on the inner side of each of its tangents there,
 * n . x <= r. Let q be a place, A = n . q - r where that is above 0, else 0, and B = t . q - h.
 * With g = A n + B t no point of the section reaches further along g than A r + B h, so what is
 * along g no lower than g . q - e is away from the section by at least (A^2 + B^2 - e) / |g|. That
 * holds for every tangent and every q. The tangent furthest from q tells most: then it is q's
 * distance but for what the outline bends between two tangents.
 *
 * First one g for a leaf, from its middle, then one for each triangle, from its centre. What is
 * left of a triangle is looked at once a section, not patch by patch. How far it can be, at most,
 * is its distance from the chord next to it, which is in the section.
 */
#pragma once

#include "gaps/scan_batch.h"

/** Of all lengths a bound is made of: places from where the tangents are told, sums of three
 * products, a length and a quotient; 1.2e-6 counted. */
#define TANGENT_ROUND 3e-6f

/** Tangents that are tried for each triangle, about that of its leaf. */
#define NEIGHBOURS 8

/** The tangent of a section that is furthest from a place, from where its tangents are told. */
TB_LANES_INLINE float
furthest_tangent(const float *tangent, size_t columns, const float w[3], uint32_t *column)
{
    TbF8 best = tb_f8(-FAR2), x = tb_f8(w[0]), y = tb_f8(w[1]), z = tb_f8(w[2]);
    TbI8 at = {0};
    float all[TB_LANES], most;
    int lane = 0;

    for (size_t k = 0; k < columns; k += TB_LANES) {
        TbF8 a = x * tb_f8_load(tangent + k) + y * tb_f8_load(tangent + columns + k) +
                 z * tb_f8_load(tangent + 2 * columns + k) - tb_f8_load(tangent + 3 * columns + k);
        TbI8 more = a > best;
        int32_t here = (int32_t)k;

        at = (TbI8)tb_f8_select(more, (TbF8)(TbI8){here, here, here, here, here, here, here, here},
                                (TbF8)at);
        best = tb_f8_max(a, best);
    }
    tb_f8_store(all, best);
    most = all[0];
    for (int k = 1; k < TB_LANES; k++) {
        lane = all[k] > most ? k : lane;
        most = all[k] > most ? all[k] : most;
    }
    *column = (uint32_t)at[lane] + (uint32_t)lane;
    return most;
}

/** A section, as a leaf meets it. */
typedef struct Meeting {
    const TbLatticeSection *section;
    const float *tangent;
    float w[3];  /**< the leaf's middle, from where the tangents are told */
    float reach; /**< mm: what is further does not matter, rounding included */
    uint32_t column;
} Meeting;

/** Triangles of a leaf that one direction for all does not tell apart. */
TB_LANES_INLINE unsigned
near_section(const TbLattice *lattice, const Leaf *leaf, Meeting *m)
{
    size_t columns = lattice->columns;
    float a = furthest_tangent(m->tangent, columns, m->w, &m->column), b = -m->section->height,
          g[3];
    float length2 = 0;
    TbP8 d;
    TbF8 low;

    a = a > 0 ? a : 0;
    for (int k = 0; k < 3; k++)
        b += m->section->normal[k] * m->w[k];
    for (int k = 0; k < 3; k++) {
        g[k] = a * m->tangent[(size_t)k * columns + m->column] + b * m->section->normal[k];
        length2 += g[k] * g[k];
    }
    d = (TbP8){tb_f8(g[0]), tb_f8(g[1]), tb_f8(g[2])};
    low = tb_p8_dot(leaf->corner[0], d);
    low = tb_f8_min(low, tb_p8_dot(leaf->corner[1], d));
    low = tb_f8_min(low, tb_p8_dot(leaf->corner[2], d));
    return tb_i8_bits(low + tb_f8(a * a + b * b) <= tb_f8(m->reach * sqrtf(length2)));
}

/**
 * The same with a direction for each.
 *
 * @param[out] lower mm, no triangle is nearer
 */
TB_LANES_INLINE unsigned
near_by_each(const TbLattice *lattice, const Leaf *leaf, const Meeting *m, float lower[TB_LANES])
{
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
    b = w.x * m->section->normal[0] + w.y * m->section->normal[1] + w.z * m->section->normal[2] -
        m->section->height;
    g.x = a * n.x + b * m->section->normal[0];
    g.y = a * n.y + b * m->section->normal[1];
    g.z = a * n.z + b * m->section->normal[2];
    low = tb_p8_dot(tb_p8_sub(leaf->corner[0], leaf->centre), g);
    low = tb_f8_min(low, tb_p8_dot(tb_p8_sub(leaf->corner[1], leaf->centre), g));
    low = tb_f8_min(low, tb_p8_dot(tb_p8_sub(leaf->corner[2], leaf->centre), g));
    length = tb_f8_max(tb_f8_sqrt(tb_p8_dot(g, g)), tb_f8(NOTHING));
    low = (low + a * a + b * b) / length;
    tb_f8_store(lower, low);
    return tb_i8_bits(low <= tb_f8(m->reach));
}

/** The column before the chord that is next to a place near a tangent. */
TB_LANES_INLINE uint32_t
chord_by(const TbLattice *lattice, size_t ring, uint32_t column, const float q[3])
{
    uint32_t columns = (uint32_t)lattice->columns;
    uint32_t before = column > 0 ? column - 1 : columns - 1;
    float along = 0;

    for (int axis = 0; axis < 3; axis++) {
        const float *at = tb_lattice__places(lattice, ring, axis);

        along += (at[column + 1] - at[before]) * (q[axis] - at[column]);
    }
    return along >= 0 ? column : before;
}

/** A leaf's triangles against a section: what tangents leave is for the batch. */
static void
try_section(TbScan *scan, const Leaf *leaf, int lane)
{
    const TbLattice *lattice = scan->lattice;
    size_t row = scan->group * TB_LANES + (size_t)lane, ring = lattice->row[row].low;
    Meeting m = {.section = &lattice->section[row], .tangent = tb_lattice__tangents(lattice, row)};
    unsigned mask = (1u << leaf->count) - 1;
    float lower[TB_LANES], far = m.section->size + leaf->size, slack;

    for (int k = 0; k < 3; k++) {
        m.w[k] = leaf->middle[k] - m.section->about[k];
        far += fabsf(m.w[k]);
    }
    slack = TANGENT_ROUND * far;
    m.reach = scan->cut[lane] + slack;
    mask &= near_section(lattice, leaf, &m);
    if (mask == 0)
        return;
    for (mask &= near_by_each(lattice, leaf, &m, lower); mask != 0; mask &= mask - 1) {
        int k = __builtin_ctz(mask);
        float q[3] = {leaf->middle[0] + leaf->centre.x[k], leaf->middle[1] + leaf->centre.y[k],
                      leaf->middle[2] + leaf->centre.z[k]};

        add_chord(scan, leaf, lane, chord_by(lattice, ring, m.column, q), k,
                  lower[k] > slack ? lower[k] - slack : 0);
    }
}
