/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file lattice_boxes.h
 * @brief Body of the kernel that boxes one row of a lattice; compiled twice, see geom/lanes.h.
 *
 * A swept patch is what hull{a, u, b} becomes on its way to hull{d, w, f}: a and b the contact
 * points of two columns on the first ring, u where their tangents meet, d, f, w the same on the
 * second ring. Every point of the strip runs along a chord between these hulls but for the row's
 * widening, by which boxes and reaches are grown.
 */
#include "gaps/lattice_private.h"

/** Rounding of a coordinate to a float, and of the sums that follow, relative to the largest. */
#define ROUNDING 4e-7f

/** Relative allowance for the few roundings of a length. */
#define ROUND_UP 1.000002f

TB_LANES_INLINE TbP8
load_place(const TbLattice *lattice, size_t ring, size_t column)
{
    return (TbP8){tb_f8_load(tb_lattice__places(lattice, ring, 0) + column),
                  tb_f8_load(tb_lattice__places(lattice, ring, 1) + column),
                  tb_f8_load(tb_lattice__places(lattice, ring, 2) + column)};
}

TB_LANES_INLINE TbP8
load_meeting(const TbLattice *lattice, size_t ring, size_t column)
{
    const TbVec3 *from = lattice->meeting + ring * lattice->columns + column;
    float at[3][TB_LANES];

    for (int k = 0; k < TB_LANES; k++) {
        at[0][k] = (float)from[k].x;
        at[1][k] = (float)from[k].y;
        at[2][k] = (float)from[k].z;
    }
    return (TbP8){tb_f8_load(at[0]), tb_f8_load(at[1]), tb_f8_load(at[2])};
}

TB_LANES_INLINE TbF8
apart2(TbP8 a, TbP8 b)
{
    TbP8 d = tb_p8_sub(a, b);

    return tb_p8_dot(d, d);
}

/** Of eight. */
TB_LANES_INLINE float
largest(TbF8 x)
{
    x = tb_f8_max(x, __builtin_shuffle(x, (TbI8){4, 5, 6, 7, 0, 1, 2, 3}));
    x = tb_f8_max(x, __builtin_shuffle(x, (TbI8){2, 3, 0, 1, 6, 7, 4, 5}));
    x = tb_f8_max(x, __builtin_shuffle(x, (TbI8){1, 0, 3, 2, 5, 4, 7, 6}));
    return x[0];
}

TB_LANES_INLINE float
smallest(TbF8 x)
{
    x = tb_f8_min(x, __builtin_shuffle(x, (TbI8){4, 5, 6, 7, 0, 1, 2, 3}));
    x = tb_f8_min(x, __builtin_shuffle(x, (TbI8){2, 3, 0, 1, 6, 7, 4, 5}));
    x = tb_f8_min(x, __builtin_shuffle(x, (TbI8){1, 0, 3, 2, 5, 4, 7, 6}));
    return x[0];
}

/** Eight doubles in a row as floats. */
TB_LANES_INLINE TbF8
load_doubles(const double *from)
{
#ifdef __AVX2__
    return (TbF8)_mm256_set_m128(_mm256_cvtpd_ps(_mm256_loadu_pd(from + 4)),
                                 _mm256_cvtpd_ps(_mm256_loadu_pd(from)));
#else
    TbF8 r;

    for (int k = 0; k < TB_LANES; k++)
        r[k] = (float)from[k];
    return r;
#endif
}

/** Floats of a ring's points, its first eight repeated at its end; and the largest coordinate. */
static void
ring_places(TbLattice *lattice, size_t ring)
{
    size_t stride = lattice->columns + TB_LANES;
    const double *from = &lattice->ring[ring * lattice->columns].x;
    float *to = lattice->place + 3 * ring * stride, most;
    TbF8 furthest = tb_f8(0);

    for (size_t k = 0; k < lattice->columns; k += TB_LANES) {
        /* x0 y0 z0 x1 y1 z1 x2 y2, z2 x3 y3 z3 x4 y4 z4 x5, y5 z5 x6 y6 z6 x7 y7 z7 */
        TbF8 a = load_doubles(from + 3 * k), b = load_doubles(from + 3 * k + 8);
        TbF8 c = load_doubles(from + 3 * k + 16);
        TbF8 x = __builtin_shuffle(a, b, (TbI8){0, 3, 6, 9, 12, 15, 0, 0});
        TbF8 y = __builtin_shuffle(a, b, (TbI8){1, 4, 7, 10, 13, 0, 0, 0});
        TbF8 z = __builtin_shuffle(a, b, (TbI8){2, 5, 8, 11, 14, 0, 0, 0});

        x = __builtin_shuffle(x, c, (TbI8){0, 1, 2, 3, 4, 5, 10, 13});
        y = __builtin_shuffle(y, c, (TbI8){0, 1, 2, 3, 4, 8, 11, 14});
        z = __builtin_shuffle(z, c, (TbI8){0, 1, 2, 3, 4, 9, 12, 15});
        furthest = tb_f8_max(furthest, tb_f8_max(tb_f8_max(x, -x), tb_f8_max(y, -y)));
        furthest = tb_f8_max(furthest, tb_f8_max(z, -z));
        tb_f8_store(to + k, x);
        tb_f8_store(to + stride + k, y);
        tb_f8_store(to + 2 * stride + k, z);
    }
    for (size_t axis = 0; axis < 3; axis++)
        memcpy(to + axis * stride + lattice->columns, to + axis * stride, TB_LANES * sizeof *to);
    most = largest(furthest);
    lattice->furthest = most > lattice->furthest ? most : lattice->furthest;
}

/** Boxes and strays of eight patches side by side, and what the row keeps of them. */
TB_LANES_INLINE void
eight_patches(TbLattice *lattice,
              size_t row,
              size_t column,
              float grow,
              TbF8 *cross,
              TbF8 *wide,
              float box[6])
{
    const TbLatticeRow *r = &lattice->row[row];
    TbP8 a = load_place(lattice, r->low, column), b = load_place(lattice, r->low, column + 1);
    TbP8 d = load_place(lattice, r->high, column), f = load_place(lattice, r->high, column + 1);
    TbF8 e = tb_f8(grow), low[3], high[3], side[3];
    float *out = tb_lattice__patch_boxes(lattice, row) + column;

#define SPAN(axis, at)                                                                             \
    low[at] = tb_f8_min(tb_f8_min(a.axis, b.axis), tb_f8_min(d.axis, f.axis));                     \
    high[at] = tb_f8_max(tb_f8_max(a.axis, b.axis), tb_f8_max(d.axis, f.axis))
    SPAN(x, 0);
    SPAN(y, 1);
    SPAN(z, 2);
#undef SPAN
    if (lattice->swept) {
        TbP8 u = load_meeting(lattice, r->low, column), w = load_meeting(lattice, r->high, column);

#define SPAN(axis, at)                                                                             \
    low[at] = tb_f8_min(low[at], tb_f8_min(u.axis, w.axis));                                       \
    high[at] = tb_f8_max(high[at], tb_f8_max(u.axis, w.axis))
        SPAN(x, 0);
        SPAN(y, 1);
        SPAN(z, 2);
#undef SPAN
    } else if (lattice->rock.half > 0) {
        tb_f8_store(lattice->stray + row * lattice->columns + column, e);
    }
#pragma GCC unroll 3
    for (size_t k = 0; k < 3; k++) {
        low[k] -= e;
        high[k] += e;
        side[k] = high[k] - low[k];
        tb_f8_store(out + k * lattice->columns, low[k]);
        tb_f8_store(out + (3 + k) * lattice->columns, high[k]);
        box[k] = smallest(low[k]);
        box[3 + k] = largest(high[k]);
    }
    *wide = tb_f8_max(*wide, side[0] * side[0] + side[1] * side[1] + side[2] * side[2]);
    *cross = tb_f8_max(*cross, apart2(a, d));
}

static void
box_row(TbLattice *lattice, size_t row)
{
    TbF8 cross = tb_f8(0), wide = tb_f8(0);
    float grow = ROUNDING * lattice->furthest + (float)lattice->spare[row] * ROUND_UP;
    float widest;
    size_t group = row / TB_LANES, lane = row % TB_LANES;

    for (size_t p = 0; p < lattice->blocks; p++) {
        TbBox8 *block = &lattice->block[group * lattice->blocks + p];
        TbBox8 *all = &lattice->group[group];
        float box[6];

        eight_patches(lattice, row, p * TB_LANES, grow, &cross, &wide, box);
        for (size_t k = 0; k < 6; k++) {
            float *side = &all->side[k][p];

            block->side[k][lane] = box[k];
            if (lane == 0 || (k < 3 ? box[k] < *side : box[k] > *side))
                *side = box[k];
            side = &lattice->whole[group].side[k][lane];
            if (p == 0 || (k < 3 ? box[k] < *side : box[k] > *side))
                *side = box[k];
        }
    }
    widest = sqrtf(largest(wide)) * ROUND_UP;
    lattice->step[row] = (double)(sqrtf(largest(cross)) * ROUND_UP + grow);
    if (widest > lattice->widest)
        lattice->widest = widest;
}

/** The points and meetings of a row's rings, from where its tangents are told. */
typedef struct Corners {
    float at[4 * TB_LATTICE_MOST_COLUMNS][3];
    size_t count;
} Corners;

static void
add_corners(const TbVec3 points[], size_t count, const float about[3], Corners *corners)
{
    for (size_t k = 0; k < count; k++) {
        float *to = corners->at[corners->count++];

        to[0] = (float)(points[k].x - (double)about[0]);
        to[1] = (float)(points[k].y - (double)about[1]);
        to[2] = (float)(points[k].z - (double)about[2]);
    }
}

static void
corners_of(const TbLattice *lattice, size_t row, Corners *corners)
{
    const TbLatticeRow *r = &lattice->row[row];
    const float *about = lattice->solid[row].about;
    size_t columns = lattice->columns;

    corners->count = 0;
    add_corners(lattice->ring + r->low * columns, columns, about, corners);
    add_corners(lattice->meeting + r->low * columns, columns, about, corners);
    if (r->flat_end)
        return;
    add_corners(lattice->ring + r->high * columns, columns, about, corners);
    add_corners(lattice->meeting + r->high * columns, columns, about, corners);
}

/** What a solid reaches but for its tangents. */
static void
set_extent(const Corners *corners, float grow, TbLatticeSolid *solid)
{
    float most = 0;

    solid->low = INFINITY;
    solid->high = -INFINITY;
    for (size_t i = 0; i < corners->count; i++) {
        const float *p = corners->at[i], *t = solid->along;
        float far = p[0] * p[0] + p[1] * p[1] + p[2] * p[2];
        float at = p[0] * t[0] + p[1] * t[1] + p[2] * t[2];

        most = far > most ? far : most;
        solid->low = at < solid->low ? at : solid->low;
        solid->high = at > solid->high ? at : solid->high;
    }
    solid->low -= grow;
    solid->high += grow;
    solid->size = sqrtf(most) * ROUND_UP + grow;
}

static void
solid_reach(TbLattice *lattice, size_t row)
{
    size_t columns = lattice->columns;
    float *tangent = tb_lattice__tangents(lattice, row);
    float grow = (float)lattice->spare[row] * ROUND_UP;
    Corners corners;

    corners_of(lattice, row, &corners);
    set_extent(&corners, grow, &lattice->solid[row]);
    for (size_t k = 0; k < columns; k += TB_LANES) {
        TbF8 x = tb_f8_load(tangent + k), y = tb_f8_load(tangent + columns + k);
        TbF8 z = tb_f8_load(tangent + 2 * columns + k), reach = tb_f8(-TB_NOWHERE);

        for (size_t i = 0; i < corners.count; i++) {
            const float *p = corners.at[i];

            reach = tb_f8_max(reach, x * tb_f8(p[0]) + y * tb_f8(p[1]) + z * tb_f8(p[2]));
        }
        tb_f8_store(tangent + 3 * columns + k, reach + tb_f8(grow));
    }
}
