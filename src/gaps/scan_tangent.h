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
 * First one g for a node, from the middle of its leaves, for each row of the group; then for each
 * of its leaves; then for each triangle. What is left of a triangle is looked at once a row, not
 * patch by patch. How far it can be, at most, is its distance from the chord next to it, for
 * sections are convex.
 */
#pragma once

#include "gaps/scan_batch.h"

/** Of all lengths a bound is made of: places from where the tangents are told, sums of three
 * products, a length and a quotient; 1.2e-6 counted. */
#define TANGENT_ROUND 3e-6f

/** Tangents that are tried for each of eight places, about that of their middle. */
#define NEIGHBOURS 8

/** Eight evenly around tell about where the furthest tangent is; then so many columns each way. */
#define NEARBY 4

/* ---- eight rows, met from one place ---- */

/** A group's solids, as they are met from a place: each its furthest tangent, and g. */
typedef struct Meeting {
    TbP8 w; /**< the place, from where the tangents are told */
    TbP8 way;
    TbF8 square, length; /**< of A and B, and of g */
    TbF8 slack, reach;   /**< mm: rounding; what is further does not matter, rounding included */
    float column[TB_LANES];
} Meeting;

/** A place and the tangents of one column. */
TB_LANES_INLINE TbF8
out_of(const TbTangent8 *t, TbP8 w)
{
    return w.x * tb_f8_load(t->number[0]) + w.y * tb_f8_load(t->number[1]) +
           w.z * tb_f8_load(t->number[2]) - tb_f8_load(t->number[3]);
}

/** About where the tangent of the nearest of some rows is. */
TB_LANES_INLINE size_t
column_near(const TbLattice *lattice, const TbTangent8 *tangent, TbP8 w, TbI8 some)
{
    TbF8 most = tb_f8(-FAR2), at = tb_f8(0);
    float column[TB_LANES];
    unsigned nearest;

    for (size_t i = 0; i < TB_LANES; i++) {
        TbF8 a = out_of(tangent + i * lattice->blocks, w);

        at = tb_f8_select(a > most, tb_f8((float)(i * lattice->blocks)), at);
        most = tb_f8_max(a, most);
    }
    most = tb_f8_select(some, most, tb_f8(FAR2));
    nearest = tb_i8_bits(most <= tb_f8(tb_f8_least(most))) | 1u << (TB_LANES - 1);
    tb_f8_store(column, at);
    return (size_t)column[__builtin_ctz(nearest)];
}

/** @param size no corner that is to be tested is further from the place, mm */
TB_LANES_INLINE void
meet_rows(const TbScan *scan, TbI8 some, const float place[3], float size, Meeting *m)
{
    const TbLattice *lattice = scan->lattice;
    const TbLatticeSolids *solids = &lattice->solids[scan->group];
    const TbTangent8 *tangent = lattice->tangent + scan->group * lattice->columns;
    TbP8 along = {tb_f8_load(solids->along[0]), tb_f8_load(solids->along[1]),
                  tb_f8_load(solids->along[2])};
    TbP8 n = {tb_f8(0), tb_f8(0), tb_f8(0)};
    TbF8 a = tb_f8(-FAR2), b, at = tb_f8(0);
    size_t column;

    m->w = (TbP8){tb_f8(place[0]) - tb_f8_load(solids->about[0]),
                  tb_f8(place[1]) - tb_f8_load(solids->about[1]),
                  tb_f8(place[2]) - tb_f8_load(solids->about[2])};
    column = column_near(lattice, tangent, m->w, some) + lattice->columns - NEARBY;
    for (int i = 0; i <= 2 * NEARBY; i++, column++) {
        const TbTangent8 *t;
        TbF8 far;
        TbI8 more;

        column -= column >= lattice->columns ? lattice->columns : 0;
        t = tangent + column;
        far = out_of(t, m->w);
        more = far > a;
        a = tb_f8_max(far, a);
        n.x = tb_f8_select(more, tb_f8_load(t->number[0]), n.x);
        n.y = tb_f8_select(more, tb_f8_load(t->number[1]), n.y);
        n.z = tb_f8_select(more, tb_f8_load(t->number[2]), n.z);
        at = tb_f8_select(more, tb_f8((float)column), at);
    }
    tb_f8_store(m->column, at);
    a = tb_f8_max(a, tb_f8(0));
    b = tb_p8_dot(along, m->w);
    b = tb_f8_max(b - tb_f8_load(solids->high), tb_f8(0)) +
        tb_f8_min(b - tb_f8_load(solids->low), tb_f8(0));
    m->way = (TbP8){a * n.x + b * along.x, a * n.y + b * along.y, a * n.z + b * along.z};
    m->square = a * a + b * b;
    m->length = tb_f8_sqrt(tb_p8_dot(m->way, m->way));
    m->slack = tb_f8(TANGENT_ROUND) *
               (tb_f8_load(solids->size) + tb_f8(size) + tb_f8_max(m->w.x, -m->w.x) +
                tb_f8_max(m->w.y, -m->w.y) + tb_f8_max(m->w.z, -m->w.z));
    m->reach = tb_f8_load(scan->cut) + m->slack;
}

/* ---- a row, met from eight places ---- */

/** A row's solid and its tangents. */
typedef struct Solid {
    const TbTangent8 *tangent; /**< of all columns */
    TbF8 about[3], along[3], low, high;
    size_t columns;
    int lane;
} Solid;

TB_LANES_INLINE Solid
solid_of(const TbScan *scan, int lane)
{
    const TbLattice *lattice = scan->lattice;
    const TbLatticeSolids *from = &lattice->solids[scan->group];
    Solid solid = {.tangent = lattice->tangent + scan->group * lattice->columns,
                   .low = tb_f8(from->low[lane]),
                   .high = tb_f8(from->high[lane]),
                   .columns = lattice->columns,
                   .lane = lane};

    for (int k = 0; k < 3; k++) {
        solid.about[k] = tb_f8(from->about[k][lane]);
        solid.along[k] = tb_f8(from->along[k][lane]);
    }
    return solid;
}

/** Eight places, each with its own furthest tangent of a row, and g. */
typedef struct Meetings {
    TbP8 way;
    TbF8 square, length;
    TbF8 column;
} Meetings;

/** @param w the places, from where the tangents are told. @param column of the tangent of a place
 * among them */
TB_LANES_INLINE Meetings
meet_each(const Solid *solid, TbP8 w, size_t column)
{
    TbP8 n = {tb_f8(0), tb_f8(0), tb_f8(0)};
    TbF8 a = tb_f8(-FAR2), b;
    Meetings each = {.column = tb_f8(0)};

    column += solid->columns - NEIGHBOURS / 2;
    for (int i = 0; i < NEIGHBOURS; i++, column++) {
        const float *t;
        TbP8 one;
        TbF8 far;
        TbI8 more;

        column -= column >= solid->columns ? solid->columns : 0;
        t = &solid->tangent[column].number[0][solid->lane];
        one = (TbP8){tb_f8(t[0]), tb_f8(t[TB_LANES]), tb_f8(t[2 * TB_LANES])};
        far = tb_p8_dot(w, one) - tb_f8(t[3 * TB_LANES]);
        more = far > a;
        a = tb_f8_max(far, a);
        n.x = tb_f8_select(more, one.x, n.x);
        n.y = tb_f8_select(more, one.y, n.y);
        n.z = tb_f8_select(more, one.z, n.z);
        each.column = tb_f8_select(more, tb_f8((float)column), each.column);
    }
    a = tb_f8_max(a, tb_f8(0));
    b = w.x * solid->along[0] + w.y * solid->along[1] + w.z * solid->along[2];
    b = tb_f8_max(b - solid->high, tb_f8(0)) + tb_f8_min(b - solid->low, tb_f8(0));
    each.way.x = a * n.x + b * solid->along[0];
    each.way.y = a * n.y + b * solid->along[1];
    each.way.z = a * n.z + b * solid->along[2];
    each.square = a * a + b * b;
    each.length = tb_f8_max(tb_f8_sqrt(tb_p8_dot(each.way, each.way)), tb_f8(NOTHING));
    return each;
}

/* ---- triangles ---- */

/** The ring of a row that is next to a place. */
TB_LANES_INLINE size_t
ring_by(const TbScan *scan, int lane, const float q[3])
{
    const TbLatticeRow *row = &scan->lattice->row[scan->group * TB_LANES + (size_t)lane];
    const TbLatticeSolids *solids = &scan->lattice->solids[scan->group];
    float along = 0;

    for (int k = 0; k < 3; k++)
        along += solids->along[k][lane] * (q[k] - solids->about[k][lane]);
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

/** What rounding may do to a bound of a row from places about one. @param size no corner is further
 * from that, mm */
TB_LANES_INLINE float
slack_of(const TbScan *scan, int lane, const float place[3], float size)
{
    const TbLatticeSolids *solids = &scan->lattice->solids[scan->group];
    float far = solids->size[lane] + size;

    for (int k = 0; k < 3; k++)
        far += fabsf(place[k] - solids->about[k][lane]);
    return TANGENT_ROUND * far;
}

/** A leaf's triangles against a row: what tangents leave is for the batch. @param column of the
 * tangent that is next to it, about */
static void
try_row(TbScan *scan, const Leaf *leaf, int lane, uint32_t column)
{
    Solid solid = solid_of(scan, lane);
    TbP8 w = {leaf->centre.x + (tb_f8(leaf->middle[0]) - solid.about[0]),
              leaf->centre.y + (tb_f8(leaf->middle[1]) - solid.about[1]),
              leaf->centre.z + (tb_f8(leaf->middle[2]) - solid.about[2])};
    Meetings each = meet_each(&solid, w, column);
    float slack = slack_of(scan, lane, leaf->middle, leaf->size), lower[TB_LANES], at[TB_LANES];
    unsigned mask = (1u << leaf->count) - 1;
    TbF8 low = tb_p8_dot(tb_p8_sub(leaf->corner[0], leaf->centre), each.way);

    low = tb_f8_min(low, tb_p8_dot(tb_p8_sub(leaf->corner[1], leaf->centre), each.way));
    low = tb_f8_min(low, tb_p8_dot(tb_p8_sub(leaf->corner[2], leaf->centre), each.way));
    low = (low + each.square) / each.length;
    tb_f8_store(lower, low);
    tb_f8_store(at, each.column);
    for (mask &= tb_i8_bits(low <= tb_f8(scan->cut[lane] + slack)); mask != 0; mask &= mask - 1) {
        int k = __builtin_ctz(mask);
        float q[3] = {leaf->middle[0] + leaf->centre.x[k], leaf->middle[1] + leaf->centre.y[k],
                      leaf->middle[2] + leaf->centre.z[k]};
        size_t ring = ring_by(scan, lane, q);

        add_chord(scan, leaf, lane, ring, chord_by(scan->lattice, ring, (uint32_t)at[k], q), k,
                  lower[k] > slack ? lower[k] - slack : 0);
    }
}
