/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file lattice_boxes.h
 * @brief Body of the kernel that boxes one row of a lattice; compiled twice, see geom/lanes.h.
 *
 * A swept patch is what hull{a, u, b} becomes on its way to hull{d, w, f}: a and b the contact
 * points of two columns on the first ring, u where their tangents meet, d, f, w the same on the
 * second ring. Every point of the strip runs along a chord between these hulls but for the row's
 * widening. How far that is from the triangles a b f and a f d, at most:
 *
 * - a point of hull{a, u, b} lies within h0 of the segment a b, h0 the distance of u from it; h1
 *   the same on the second ring; between them, within max(h0, h1) of hull{a, b, f, d};
 * - a point of hull{a, b, f, d} with shares beta of b and delta of d moves by m (b + d - a - f),
 *   m = min(beta, delta) <= 1/2, into one of the two triangles;
 * - the widening.
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

/** Square of the distance of u from the segment a b. */
TB_LANES_INLINE TbF8
apex2(TbP8 a, TbP8 b, TbP8 u)
{
    TbP8 y = tb_p8_sub(b, a), p = tb_p8_sub(u, a), q;
    TbF8 t = tb_p8_dot(p, y) / tb_f8_max(tb_p8_dot(y, y), tb_f8(1e-20f));

    t = tb_f8_min(tb_f8_max(t, tb_f8(0)), tb_f8(1));
    q = (TbP8){p.x - t * y.x, p.y - t * y.y, p.z - t * y.z};
    return tb_p8_dot(q, q);
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
        TbP8 twist = {a.x + f.x - b.x - d.x, a.y + f.y - b.y - d.y, a.z + f.z - b.z - d.z};
        TbF8 rise = tb_f8_sqrt(tb_f8_max(apex2(a, b, u), apex2(d, f, w)));
        TbF8 half = tb_f8(0.5f) * tb_f8_sqrt(tb_p8_dot(twist, twist));

#define SPAN(axis, at)                                                                             \
    low[at] = tb_f8_min(low[at], tb_f8_min(u.axis, w.axis));                                       \
    high[at] = tb_f8_max(high[at], tb_f8_max(u.axis, w.axis))
        SPAN(x, 0);
        SPAN(y, 1);
        SPAN(z, 2);
#undef SPAN
        tb_f8_store(lattice->stray + row * lattice->columns + column,
                    (rise + half) * tb_f8(ROUND_UP) + e);
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
        }
    }
    widest = sqrtf(largest(wide)) * ROUND_UP;
    lattice->step[row] = (double)(sqrtf(largest(cross)) * ROUND_UP + grow);
    if (widest > lattice->widest)
        lattice->widest = widest;
}

/** A section's points and meetings, from where its tangents are told. */
typedef struct Corners {
    float at[2 * TB_LATTICE_MOST_COLUMNS][3];
    size_t count;
} Corners;

static void
corners_of(const TbLattice *lattice, size_t row, Corners *corners)
{
    const TbLatticeSection *s = &lattice->section[row];
    size_t columns = lattice->columns, ring = lattice->row[row].low;

    corners->count = 2 * columns;
    for (size_t k = 0; k < corners->count; k++) {
        TbVec3 p = k < columns ? lattice->ring[ring * columns + k]
                               : lattice->meeting[ring * columns + k - columns];

        corners->at[k][0] = (float)(p.x - (double)s->about[0]);
        corners->at[k][1] = (float)(p.y - (double)s->about[1]);
        corners->at[k][2] = (float)(p.z - (double)s->about[2]);
    }
}

static void
section_reach(TbLattice *lattice, size_t row)
{
    size_t columns = lattice->columns;
    float *tangent = tb_lattice__tangents(lattice, row), most = 0;
    Corners corners;

    corners_of(lattice, row, &corners);
    for (size_t k = 0; k < columns; k += TB_LANES) {
        TbF8 x = tb_f8_load(tangent + k), y = tb_f8_load(tangent + columns + k);
        TbF8 z = tb_f8_load(tangent + 2 * columns + k), reach = tb_f8(-TB_NOWHERE);

        for (size_t i = 0; i < corners.count; i++) {
            const float *p = corners.at[i];

            reach = tb_f8_max(reach, x * tb_f8(p[0]) + y * tb_f8(p[1]) + z * tb_f8(p[2]));
        }
        tb_f8_store(tangent + 3 * columns + k, reach);
    }
    for (size_t i = 0; i < corners.count; i++) {
        const float *p = corners.at[i];
        float far = p[0] * p[0] + p[1] * p[1] + p[2] * p[2];

        most = far > most ? far : most;
    }
    lattice->section[row].size = sqrtf(most) * ROUND_UP;
}
