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
        TbF8 a = tb_f8_load_doubles(from + 3 * k), b = tb_f8_load_doubles(from + 3 * k + 8);
        TbF8 c = tb_f8_load_doubles(from + 3 * k + 16);
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
    most = tb_f8_most(furthest);
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
    float *out = lattice->swept ? NULL : tb_lattice__patch_boxes(lattice, row) + column;

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
        if (out != NULL) {
            tb_f8_store(out + k * lattice->columns, low[k]);
            tb_f8_store(out + (3 + k) * lattice->columns, high[k]);
        }
        box[k] = tb_f8_least(low[k]);
        box[3 + k] = tb_f8_most(high[k]);
    }
    *wide = tb_f8_max(*wide, side[0] * side[0] + side[1] * side[1] + side[2] * side[2]);
    *cross = tb_f8_max(*cross, apart2(a, d));
}

/** Share of what warmth moves a row that its bounds are larger, for the rounding of floats. */
#define WARM_ROUND 2e-6f

/** A row's warmth; none where the lattice has none. */
static TbWarm
warm_of(const TbLattice *lattice, size_t row)
{
    const TbLatticeRow *r = &lattice->row[row];
    TbWarm warm = {.count = 0};

    if (lattice->warmth.of != NULL)
        tb_lattice__warm(lattice, r->flat_end ? NULL : &lattice->strip[row],
                         lattice->disc[r->low].station, &warm);
    return warm;
}

/** A body reaches from low to high along an axis; so far it does at all warmths: p goes to
 * p + l (k p + v), and 1 + l k is above 0, so what was furthest bounds what is, number by number.
 */
static void
warm_span(const TbWarm *warm, float v[][2], float *low, float *high)
{
    float least = *low, most = *high;

    for (int i = 0; i < warm->count; i++) {
        const TbWarmNumber *n = &warm->number[i];
        float k = (float)n->k, down = INFINITY, up = -INFINITY;

        for (int e = 0; e < 4; e++) {
            float end = (float)(e < 2 ? n->low : n->high);

            down = fminf(down, end * (k * least + v[i][e % 2]));
            up = fmaxf(up, end * (k * most + v[i][e % 2]));
        }
        *low += down;
        *high += up;
    }
}

static void
warm_box(const TbWarm *warm, float box[6])
{
    for (int axis = 0; axis < 3; axis++) {
        float v[TB_WARM_NUMBERS][2];

        for (int i = 0; i < warm->count; i++)
            for (int k = 0; k < 2; k++) {
                TbVec3 to = warm->number[i].v[k];

                v[i][k] = (float)(axis == 0 ? to.x : axis == 1 ? to.y : to.z);
            }
        warm_span(warm, v, &box[axis], &box[3 + axis]);
    }
}

static void
box_row(TbLattice *lattice, size_t row)
{
    TbF8 cross = tb_f8(0), wide = tb_f8(0);
    TbWarm warm = warm_of(lattice, row);
    float slide = warm.count > 0 ? (float)lattice->slide[row] * WARM_ROUND : 0;
    float grow = ROUNDING * lattice->furthest + (float)lattice->spare[row] * ROUND_UP + slide;
    float widest;
    size_t group = row / TB_LANES, lane = row % TB_LANES;

    for (size_t p = 0; p < lattice->blocks; p++) {
        TbBox8 *block = &lattice->block[group * lattice->blocks + p];
        TbBox8 *all = &lattice->group[group];
        float box[6];

        eight_patches(lattice, row, p * TB_LANES, grow, &cross, &wide, box);
        if (warm.count > 0)
            warm_box(&warm, box);
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
    widest = sqrtf(tb_f8_most(wide)) * ROUND_UP;
    lattice->step[row] = (double)(sqrtf(tb_f8_most(cross)) * ROUND_UP + grow);
    if (widest > lattice->widest)
        lattice->widest = widest;
}

/** How many of a ring's meetings are looked at before a block of columns, and after it. */
#define AROUND 4

/**
 * The meetings of a row's rings, from where its tangents are told; the last ones again before the
 * first and the first after the last. A ring's outline lies within the polygon of its meetings: its
 * contacts are on that polygon's sides (ring.h).
 */
typedef struct Corners {
    float at[2][3][TB_LATTICE_MOST_COLUMNS + 2 * AROUND];
    int rings;
} Corners;

static void
corners_of(const TbLattice *lattice, size_t row, const float about[3], Corners *corners)
{
    const TbLatticeRow *r = &lattice->row[row];
    size_t columns = lattice->columns;

    corners->rings = r->flat_end ? 1 : 2;
    for (int i = 0; i < corners->rings; i++) {
        const TbVec3 *from = lattice->meeting + (i == 0 ? r->low : r->high) * columns;
        float(*at)[TB_LATTICE_MOST_COLUMNS + 2 * AROUND] = corners->at[i];

        for (size_t k = 0; k < columns; k++) {
            at[0][k + AROUND] = (float)(from[k].x - (double)about[0]);
            at[1][k + AROUND] = (float)(from[k].y - (double)about[1]);
            at[2][k + AROUND] = (float)(from[k].z - (double)about[2]);
        }
        for (int axis = 0; axis < 3; axis++) {
            memcpy(at[axis], at[axis] + columns, AROUND * sizeof(float));
            memcpy(at[axis] + columns + AROUND, at[axis] + AROUND, AROUND * sizeof(float));
        }
    }
}

/** What a solid reaches but for its tangents. */
static void
set_extent(const Corners *corners, size_t columns, float grow, TbLatticeSolid *solid)
{
    TbF8 most = tb_f8(0), low = tb_f8(TB_NOWHERE), high = tb_f8(-TB_NOWHERE);

    for (int i = 0; i < corners->rings; i++)
        for (size_t k = 0; k < columns; k += TB_LANES) {
            TbF8 x = tb_f8_load(corners->at[i][0] + AROUND + k);
            TbF8 y = tb_f8_load(corners->at[i][1] + AROUND + k);
            TbF8 z = tb_f8_load(corners->at[i][2] + AROUND + k);
            TbF8 at = x * solid->along[0] + y * solid->along[1] + z * solid->along[2];

            most = tb_f8_max(most, x * x + y * y + z * z);
            low = tb_f8_min(low, at);
            high = tb_f8_max(high, at);
        }
    solid->low = tb_f8_least(low) - grow;
    solid->high = tb_f8_most(high) + grow;
    solid->size = sqrtf(tb_f8_most(most)) * ROUND_UP + grow;
}

/** How far some meetings of a ring reach along eight normals. */
TB_LANES_INLINE TbF8
reach_of(const Corners *corners, int ring, size_t from, size_t to, const TbP8 *n)
{
    TbF8 reach = tb_f8(-TB_NOWHERE);

    for (size_t i = from; i < to; i++) {
        TbP8 p = {tb_f8(corners->at[ring][0][i]), tb_f8(corners->at[ring][1][i]),
                  tb_f8(corners->at[ring][2][i])};

        reach = tb_f8_max(reach, tb_p8_dot(*n, p));
    }
    return reach;
}

/**
 * How far a ring reaches along the normals of eight columns. A convex polygon is furthest along a
 * direction where its corners stop getting further, so corners about these columns will do, if for
 * each of the normals one in between is further than those at both ends; else all are looked at.
 */
TB_LANES_INLINE TbF8
ring_reach(const Corners *corners, int ring, size_t column, size_t columns, const TbP8 *n)
{
    size_t first = column, last = column + TB_LANES + 2 * AROUND - 1;
    TbF8 ends = tb_f8_max(reach_of(corners, ring, first, first + 1, n),
                          reach_of(corners, ring, last, last + 1, n));
    TbF8 reach = reach_of(corners, ring, first + 1, last, n);

    return tb_i8_bits(reach > ends) == (1u << TB_LANES) - 1
               ? reach
               : reach_of(corners, ring, AROUND, columns + AROUND, n);
}

/** Told from a solid's place: p goes to p + l (k p + v + k about). */
static void
tell_warmth(const TbLatticeSolid *solid, TbWarm *warm)
{
    TbVec3 about = {(double)solid->about[0], (double)solid->about[1], (double)solid->about[2]};

    for (int i = 0; i < warm->count; i++)
        for (int k = 0; k < 2; k++)
            warm->number[i].v[k] =
                tb_vec3_add_scaled(warm->number[i].v[k], warm->number[i].k, about);
}

static void
warm_extent(const TbWarm *warm, float slide, TbLatticeSolid *solid)
{
    TbVec3 t = {(double)solid->along[0], (double)solid->along[1], (double)solid->along[2]};
    float v[TB_WARM_NUMBERS][2];

    for (int i = 0; i < warm->count; i++)
        for (int k = 0; k < 2; k++)
            v[i][k] = (float)tb_vec3_dot(t, warm->number[i].v[k]);
    warm_span(warm, v, &solid->low, &solid->high);
    solid->size += slide * ROUND_UP;
}

/** The same as warm_span() of how far a body reaches along eight normals. */
TB_LANES_INLINE TbF8
warm_reach(const TbWarm *warm, const TbP8 *n, TbF8 reach)
{
    TbF8 all = reach;

    for (int i = 0; i < warm->count; i++) {
        const TbWarmNumber *number = &warm->number[i];
        TbF8 grown = reach * tb_f8((float)number->k), most = tb_f8(-TB_NOWHERE);

        for (int k = 0; k < 2; k++) {
            TbP8 v = {tb_f8((float)number->v[k].x), tb_f8((float)number->v[k].y),
                      tb_f8((float)number->v[k].z)};
            TbF8 slope = grown + tb_p8_dot(*n, v);

            most = tb_f8_max(most, tb_f8_max(slope * tb_f8((float)number->low),
                                             slope * tb_f8((float)number->high)));
        }
        all += most;
    }
    return all;
}

/** Of a solid's size: a tangent of a ring that is shorter is none, as at a sharp corner, for it is
 * not known well enough in floats. */
#define SHARP 1e-3f

/** The tangents of a ring at eight columns, each from its meeting with the last one's to that with
 * the next one's. */
TB_LANES_INLINE TbP8
tangents_at(const Corners *corners, int ring, size_t column)
{
    const float(*at)[TB_LATTICE_MOST_COLUMNS + 2 * AROUND] = corners->at[ring];
    size_t k = column + AROUND;

    return (TbP8){tb_f8_load(at[0] + k) - tb_f8_load(at[0] + k - 1),
                  tb_f8_load(at[1] + k) - tb_f8_load(at[1] + k - 1),
                  tb_f8_load(at[2] + k) - tb_f8_load(at[2] + k - 1)};
}

/** Normals of a row's surface at eight columns, out of it: square to the tangents of its rings and
 * to the way from one ring to the other. At sharp corners, away from the middle. */
TB_LANES_INLINE TbP8
normals_at(const TbLattice *lattice,
           size_t row,
           const Corners *corners,
           size_t column,
           const TbLatticeSolid *solid)
{
    const TbLatticeRow *r = &lattice->row[row];
    TbP8 middle = {tb_f8(solid->about[0]), tb_f8(solid->about[1]), tb_f8(solid->about[2])};
    TbP8 t = {tb_f8(solid->along[0]), tb_f8(solid->along[1]), tb_f8(solid->along[2])}, way = t, n;
    TbP8 low = load_place(lattice, r->low, column), out = tb_p8_sub(low, middle);
    TbP8 around = tangents_at(corners, 0, column);
    TbF8 at, length2, least = tb_f8(SHARP * SHARP * solid->size * solid->size), over;
    TbI8 sharp;

    if (corners->rings > 1) {
        TbP8 more = tangents_at(corners, 1, column);

        around = (TbP8){around.x + more.x, around.y + more.y, around.z + more.z};
        way = tb_p8_sub(load_place(lattice, r->high, column), low);
    }
    n = tb_p8_cross(around, way);
    length2 = tb_p8_dot(n, n);
    sharp = length2 <= least * tb_p8_dot(way, way);
    at = tb_p8_dot(out, t);
    n.x = tb_f8_select(sharp, out.x - at * t.x, n.x);
    n.y = tb_f8_select(sharp, out.y - at * t.y, n.y);
    n.z = tb_f8_select(sharp, out.z - at * t.z, n.z);
    over = tb_f8(1) / tb_f8_max(tb_f8_sqrt(tb_p8_dot(n, n)), tb_f8(1e-20f));
    over = tb_f8_select(tb_p8_dot(n, out) < tb_f8(0), -over, over);
    return (TbP8){n.x * over, n.y * over, n.z * over};
}

static void
set_solid(const TbLattice *lattice, size_t row, TbLatticeSolid *solid)
{
    size_t columns = lattice->columns;
    TbWarm warm = warm_of(lattice, row);
    float slide = warm.count > 0 ? (float)lattice->slide[row] : 0;
    float grow = (float)lattice->spare[row] * ROUND_UP + slide * WARM_ROUND;
    Corners corners;

    corners_of(lattice, row, solid->about, &corners);
    set_extent(&corners, columns, grow, solid);
    if (warm.count > 0) {
        tell_warmth(solid, &warm);
        warm_extent(&warm, slide, solid);
    }
    for (size_t k = 0; k < columns; k += TB_LANES) {
        TbP8 n = normals_at(lattice, row, &corners, k, solid);
        TbF8 reach = ring_reach(&corners, 0, k, columns, &n);

        if (corners.rings > 1)
            reach = tb_f8_max(reach, ring_reach(&corners, 1, k, columns, &n));
        reach += tb_f8(grow);
        tb_f8_store(&solid->tangent[0][k], n.x);
        tb_f8_store(&solid->tangent[1][k], n.y);
        tb_f8_store(&solid->tangent[2][k], n.z);
        tb_f8_store(&solid->tangent[3][k], warm.count > 0 ? warm_reach(&warm, &n, reach) : reach);
    }
}
