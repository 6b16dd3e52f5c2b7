/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_walk.h
 * @brief Body of the walk of scan_private.h; compiled twice, see geom/lanes.h.
 */
#include "gaps/scan_private.h"

/** Relative: what a squared box distance may be too large by. */
#define BOX_ROUND 1.000002f

/** Relative: what a longest side, squared, may be too short by. */
#define ROUND_LONGEST 1.000002f

/** Below this a length or area is nothing; dividing by it stays finite. mm^2 or mm^4. */
#define NOTHING 1e-20f

/** No distance: a foot outside a face. mm^2. */
#define FAR2 1e30f

/** Nodes waiting: a walk leaves at most 7 siblings on each of 11 levels. */
#define MOST_WAITING 96

/** Squared distance of eight boxes from one, side by side `stride` floats apart. */
TB_LANES_INLINE TbF8
boxes_apart2(const TbF8 eight[6], const float *one, size_t stride)
{
    TbF8 x = tb_f8_max(eight[0] - tb_f8(one[3 * stride]), tb_f8(one[0]) - eight[3]);
    TbF8 y = tb_f8_max(eight[1] - tb_f8(one[4 * stride]), tb_f8(one[stride]) - eight[4]);
    TbF8 z = tb_f8_max(eight[2] - tb_f8(one[5 * stride]), tb_f8(one[2 * stride]) - eight[5]);

    x = tb_f8_max(x, tb_f8(0));
    y = tb_f8_max(y, tb_f8(0));
    z = tb_f8_max(z, tb_f8(0));
    return x * x + y * y + z * z;
}

TB_LANES_INLINE void
load_sides(const float *from, size_t stride, TbF8 side[6])
{
#pragma GCC unroll 6
    for (size_t k = 0; k < 6; k++)
        side[k] = tb_f8_load(from + k * stride);
}

/* ---- float distances ---- */

/** What a segment, as one lane or eight, brings to every pair it is in. */
typedef struct Edge {
    TbP8 from, way;
    TbF8 length2, over; /**< square of the length, and one over it */
} Edge;

TB_LANES_INLINE Edge
edge_of(TbP8 from, TbP8 to)
{
    Edge e = {.from = from, .way = tb_p8_sub(to, from)};

    e.length2 = tb_f8_max(tb_p8_dot(e.way, e.way), tb_f8(NOTHING));
    e.over = tb_f8(1) / e.length2;
    return e;
}

TB_LANES_INLINE TbF8
share(TbF8 x)
{
    return tb_f8_min(tb_f8_max(x, tb_f8(0)), tb_f8(1));
}

TB_LANES_INLINE TbF8
edges_apart2(const Edge *p, const Edge *q)
{
    TbP8 r = tb_p8_sub(p->from, q->from), w;
    TbF8 b = tb_p8_dot(p->way, q->way), f = tb_p8_dot(q->way, r), g = tb_p8_dot(p->way, r);
    TbF8 det = tb_f8_max(p->length2 * q->length2 - b * b, tb_f8(NOTHING));
    TbF8 s = share((b * f - q->length2 * g) / det), t = share((b * s + f) * q->over);

    s = share((b * t - g) * p->over);
    w.x = r.x + p->way.x * s - q->way.x * t;
    w.y = r.y + p->way.y * s - q->way.y * t;
    w.z = r.z + p->way.z * s - q->way.z * t;
    return tb_p8_dot(w, w);
}

/** A triangle as far as a point looks at its inside. */
typedef struct Face {
    TbP8 from, normal;
    TbP8 second, third; /**< dot product with a point: the corner's share of it times area2 */
    TbF8 area2, over;   /**< square of the normal, and one over it */
    TbI8 has;           /**< it is not slim */
} Face;

/** A point over a face: shares of the second and third corner times area2, height times the normal.
 */
typedef struct Foot {
    TbF8 s, t, h;
} Foot;

TB_LANES_INLINE Face
face_of(TbP8 a, TbP8 ab, TbP8 ac)
{
    Face f = {.from = a, .normal = tb_p8_cross(ab, ac)};
    TbF8 slim = tb_f8(TB_SCAN_SLIM * TB_SCAN_SLIM);

    f.second = tb_p8_cross(ac, f.normal);
    f.third = tb_p8_cross(f.normal, ab);
    f.area2 = tb_p8_dot(f.normal, f.normal);
    f.has = f.area2 > slim * tb_p8_dot(ab, ab) * tb_p8_dot(ac, ac);
    f.over = tb_f8(1) / tb_f8_max(f.area2, tb_f8(NOTHING));
    return f;
}

TB_LANES_INLINE Foot
foot_of(TbP8 p, const Face *f)
{
    TbP8 w = tb_p8_sub(p, f->from);

    return (Foot){tb_p8_dot(w, f->second), tb_p8_dot(w, f->third), tb_p8_dot(w, f->normal)};
}

TB_LANES_INLINE TbI8
is_over(TbF8 s, TbF8 t, const Face *f)
{
    return (s >= tb_f8(0)) & (t >= tb_f8(0)) & (s + t <= f->area2) & f->has;
}

TB_LANES_INLINE TbF8
face_apart2(const Foot *p, const Face *f)
{
    return tb_f8_select(is_over(p->s, p->t, f), p->h * p->h * f->over, tb_f8(FAR2));
}

/** 0 where the segment between two points goes through the face. */
TB_LANES_INLINE TbF8
pierced2(const Foot *p, const Foot *q, const Face *f)
{
    TbF8 k = p->h / (p->h - q->h);
    TbI8 through = (p->h < tb_f8(0)) != (q->h < tb_f8(0));

    through &= is_over(p->s + k * (q->s - p->s), p->t + k * (q->t - p->t), f);
    return tb_f8_select(through, tb_f8(0), tb_f8(FAR2));
}

/** A leaf's triangles, gathered. */
typedef struct Leaf {
    TbP8 corner[3]; /**< from the middle */
    TbP8 centre;    /**< of each triangle, from the middle */
    TbF8 box[6];
    float middle[3];
    float raw[9][TB_LANES];
    uint32_t first, count;
    float extra; /**< mm^2: allowance of this leaf's pairs, on a squared limit */
} Leaf;

TB_LANES_INLINE TbP8
load_point(const float at[3][TB_LANES])
{
    return (TbP8){tb_f8_load(at[0]), tb_f8_load(at[1]), tb_f8_load(at[2])};
}

/** Corners, edges and faces of eight patches a b f d and eight triangles, about a. */
typedef struct Eight {
    TbP8 p[4], q[3];
    Edge ep[5], eq[3]; /**< the four sides and the diagonal a f */
    Face fp[2], fq;
} Eight;

TB_LANES_INLINE void
load_eight(const TbScanBatch *batch, Eight *e)
{
    TbP8 o = load_point(batch->patch[0]);

#pragma GCC unroll 4
    for (int k = 0; k < 4; k++)
        e->p[k] = tb_p8_sub(load_point(batch->patch[k]), o);
#pragma GCC unroll 3
    for (int k = 0; k < 3; k++)
        e->q[k] = tb_p8_sub(load_point(batch->corner[k]), o);
#pragma GCC unroll 4
    for (int k = 0; k < 4; k++)
        e->ep[k] = edge_of(e->p[k], e->p[(k + 1) % 4]);
    e->ep[4] = edge_of(e->p[0], e->p[2]);
#pragma GCC unroll 3
    for (int k = 0; k < 3; k++)
        e->eq[k] = edge_of(e->q[k], e->q[(k + 1) % 3]);
    e->fp[0] = face_of(e->p[0], e->ep[0].way, e->ep[4].way);
    e->fp[1] = face_of(e->p[0], e->ep[4].way, tb_p8_sub(e->p[3], e->p[0]));
    e->fq = face_of(e->q[0], e->eq[0].way, tb_p8_sub(e->q[2], e->q[0]));
}

/**
 * 0 where an edge of either goes through a face of the other.
 *
 * @param[out] chords 0 where one of the chords a b and d f does
 */
static __attribute__((noinline)) TbF8
pierced_eight2(const Eight *e, TbF8 *chords)
{
    Foot over_p[3], over_q[4];
    TbF8 r;

#pragma GCC unroll 4
    for (int k = 0; k < 4; k++)
        over_q[k] = foot_of(e->p[k], &e->fq);
    *chords = tb_f8_min(pierced2(&over_q[0], &over_q[1], &e->fq),
                        pierced2(&over_q[2], &over_q[3], &e->fq));
    r = tb_f8_min(*chords, pierced2(&over_q[0], &over_q[2], &e->fq));
    r = tb_f8_min(r, pierced2(&over_q[1], &over_q[2], &e->fq));
    r = tb_f8_min(r, pierced2(&over_q[3], &over_q[0], &e->fq));
#pragma GCC unroll 2
    for (int i = 0; i < 2; i++) {
#pragma GCC unroll 3
        for (int k = 0; k < 3; k++)
            over_p[k] = foot_of(e->q[k], &e->fp[i]);
#pragma GCC unroll 3
        for (int k = 0; k < 3; k++)
            r = tb_f8_min(r, pierced2(&over_p[k], &over_p[(k + 1) % 3], &e->fp[i]));
    }
    return r;
}

/**
 * Eight patches, two triangles each, against eight triangles. Where an edge goes through a face, a
 * side of that face is no further from it than the face's longest side: whether one does is only
 * asked of lanes that are as near.
 *
 * @param[out] chords the same for the corners of the patches and the chords a b and d f alone:
 *             sections are convex, so these lie in a swept row's solid
 */
static TbF8
batch_apart2(const TbScanBatch *batch, TbF8 *chords)
{
    TbF8 r = tb_f8(FAR2), longest = tb_f8(0);
    Eight e;

    load_eight(batch, &e);
#pragma GCC unroll 4
    for (int k = 0; k < 4; k++) {
        Foot foot = foot_of(e.p[k], &e.fq);
        r = tb_f8_min(r, face_apart2(&foot, &e.fq));
    }
#pragma GCC unroll 3
    for (int k = 0; k < 3; k++)
        r = tb_f8_min(
            r, tb_f8_min(edges_apart2(&e.ep[0], &e.eq[k]), edges_apart2(&e.ep[2], &e.eq[k])));
    *chords = r;
#pragma GCC unroll 2
    for (int i = 0; i < 2; i++)
#pragma GCC unroll 3
        for (int k = 0; k < 3; k++) {
            Foot foot = foot_of(e.q[k], &e.fp[i]);
            r = tb_f8_min(r, face_apart2(&foot, &e.fp[i]));
        }
#pragma GCC unroll 3
    for (int k = 0; k < 3; k++) {
        r = tb_f8_min(r, edges_apart2(&e.ep[1], &e.eq[k]));
        r = tb_f8_min(r, edges_apart2(&e.ep[3], &e.eq[k]));
        r = tb_f8_min(r, edges_apart2(&e.ep[4], &e.eq[k]));
    }
#pragma GCC unroll 5
    for (int i = 0; i < 5; i++)
        longest = tb_f8_max(longest, e.ep[i].length2);
#pragma GCC unroll 3
    for (int k = 0; k < 3; k++)
        longest = tb_f8_max(longest, e.eq[k].length2);
    longest = longest * tb_f8(ROUND_LONGEST) + tb_f8_load(batch->extra);
    if (tb_i8_bits(r <= longest) != 0) {
        TbF8 by_chords, through = pierced_eight2(&e, &by_chords);

        *chords = tb_f8_min(*chords, by_chords);
        r = tb_f8_min(r, through);
    }
    return r;
}

/* ---- pairs ---- */

static void
keep(TbScan *scan, const TbScanPair *pair)
{
    int lane = pair->lane;

    if (scan->kept_count[lane] == TB_SCAN_KEPT)
        tb_scan__make_room(scan, lane);
    scan->kept[lane][scan->kept_count[lane]++] = *pair;
}

/**
 * What a batch leaves waits to be settled. A float distance of what belongs to the surface, with
 * its allowance added, already is an upper bound, and lowers the cut.
 */
static void
empty_batch(TbScan *scan)
{
    TbScanBatch *batch = &scan->batch;
    float r[TB_LANES], real[TB_LANES];
    TbF8 all, chords;

    if (batch->count == 0)
        return;
    all = batch_apart2(batch, &chords);
    tb_f8_store(r, all);
    tb_f8_store(real, scan->lattice->swept ? chords : all);
    for (int k = 0; k < batch->count; k++) {
        TbScanPair *pair = &batch->pair[k];

        pair->distance2 = r[k] - batch->extra[k];
        tb_scan__foresee(scan, pair, real[k] + batch->extra[k]);
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

/** How far a leaf's triangles reach along a direction, from its middle. */
TB_LANES_INLINE TbF8
reach_along(const Leaf *leaf, const float n[3])
{
    TbP8 d = {tb_f8(n[0]), tb_f8(n[1]), tb_f8(n[2])};
    TbF8 most = tb_p8_dot(leaf->corner[0], d);

    most = tb_f8_max(most, tb_p8_dot(leaf->corner[1], d));
    return tb_f8_max(most, tb_p8_dot(leaf->corner[2], d));
}

/**
 * Triangles of a leaf that a slab square to the way from the leaf's middle to the patch's does not
 * tell apart from the patch by `reach`. Where the two fall together the way is 0, and tells nothing
 * apart. Costs a fraction of a distance and settles most of them.
 */
TB_LANES_INLINE unsigned
near_slab(const Corners p[3], const Leaf *leaf, float reach)
{
    float n[3], length2 = 0, ab, df;
    Corners x = {0, 0, 0, 0};

    for (int k = 0; k < 3; k++) {
        Corners w = p[k] - leaf->middle[k];

        n[k] = 0.5f * (w[0] + w[3]);
        length2 += n[k] * n[k];
        x += w * n[k];
    }
    ab = x[0] < x[1] ? x[0] : x[1];
    df = x[2] < x[3] ? x[2] : x[3];
    return tb_i8_bits(tb_f8((ab < df ? ab : df) - reach * sqrtf(length2)) <= reach_along(leaf, n));
}

/** The same with a direction for each triangle, from its own centre. */
TB_LANES_INLINE unsigned
near_slabs(const Corners p[3], const Leaf *leaf, float reach)
{
    float w[3][4], middle[3];
    TbF8 least, most;
    TbP8 n;

    for (int k = 0; k < 3; k++) {
        Corners from = p[k] - leaf->middle[k];

        memcpy(w[k], &from, sizeof from);
        middle[k] = 0.5f * (from[0] + from[3]);
    }
    n = tb_p8_sub((TbP8){tb_f8(middle[0]), tb_f8(middle[1]), tb_f8(middle[2])}, leaf->centre);
    most = tb_p8_dot(leaf->corner[0], n);
    most = tb_f8_max(most, tb_p8_dot(leaf->corner[1], n));
    most = tb_f8_max(most, tb_p8_dot(leaf->corner[2], n));
    least = tb_p8_dot((TbP8){tb_f8(w[0][0]), tb_f8(w[1][0]), tb_f8(w[2][0])}, n);
#pragma GCC unroll 3
    for (int c = 1; c < 4; c++)
        least =
            tb_f8_min(least, tb_p8_dot((TbP8){tb_f8(w[0][c]), tb_f8(w[1][c]), tb_f8(w[2][c])}, n));
    return tb_i8_bits(least - tb_f8(reach) * tb_f8_sqrt(tb_p8_dot(n, n)) <= most);
}

/** One patch against some of a leaf's triangles: what slabs leave is for the batch. */
TB_LANES_INLINE void
try_patch(TbScan *scan, const Leaf *leaf, int lane, uint32_t column, unsigned mask)
{
    const TbLattice *lattice = scan->lattice;
    size_t row = scan->group * TB_LANES + (size_t)lane;
    float reach = scan->cut[lane] + lattice->stray[row * lattice->columns + column];
    Corners p[3];

    for (int axis = 0; axis < 3; axis++)
        p[axis] = corners_along(lattice, &lattice->row[row], axis, column);
    reach = sqrtf(reach * reach + leaf->extra);
    mask &= near_slab(p, leaf, reach);
    if (mask != 0)
        mask &= near_slabs(p, leaf, reach);
    for (; mask != 0; mask &= mask - 1)
        add_pair(scan, leaf, p, lane, column, __builtin_ctz(mask));
}

/* ---- leaves ---- */

static void
gather(const TbScan *scan, uint32_t number, Leaf *leaf)
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
    most = scan->most_cut + scan->lattice->widest + sqrtf(most);
    leaf->extra = TB_SCAN_SHARE * most * most;
}

/** Eight patches of a row that may be near a leaf. @param far as far along the row's way as its
 * triangles may matter. */
static void
try_eight(TbScan *scan, const Leaf *leaf, int lane, uint32_t column, unsigned mask, TbF8 far)
{
    const TbLattice *lattice = scan->lattice;
    size_t row = scan->group * TB_LANES + (size_t)lane;
    const float *box = tb_lattice__patch_boxes(lattice, row) + column;
    unsigned all = (1u << leaf->count) - 1;

    for (; mask != 0; mask &= mask - 1) {
        uint32_t k = (uint32_t)__builtin_ctz(mask);
        TbF8 r = boxes_apart2(leaf->box, box + k, lattice->columns);
        float limit = scan->cut2[lane] + leaf->extra;
        unsigned near =
            tb_i8_bits((r < tb_f8(limit)) & (tb_f8(scan->ways.patch[lane][column + k]) <= far));

        if ((near & all) != 0)
            try_patch(scan, leaf, lane, column + k, near & all);
    }
}

/* ---- ways ---- */

TB_LANES_INLINE TbF8
row_along(const TbLattice *lattice, size_t ring, uint32_t column, const TbF8 n[3])
{
    TbF8 at = tb_f8(0);

    for (int k = 0; k < 3; k++)
        at += tb_f8_load(tb_lattice__places(lattice, ring, k) + column) * n[k];
    return at;
}

/** Where a row's patches begin along its newest way. Between leaves only: what is settled while a
 * leaf is looked at must not change half of what belongs together. */
static void
set_row_way(TbScan *scan, int lane)
{
    const TbLattice *lattice = scan->lattice;
    TbScanWays *ways = &scan->ways;
    size_t row = scan->group * TB_LANES + (size_t)lane;
    size_t low = lattice->row[row].low, high = lattice->row[row].high;
    TbF8 n[3];

    for (int k = 0; k < 3; k++) {
        ways->unit[k][lane] = ways->newest[k][lane];
        n[k] = tb_f8(ways->unit[k][lane]);
    }
    for (uint32_t p = 0; p < lattice->blocks; p++) {
        uint32_t c = p * TB_LANES;
        TbF8 at = tb_f8_min(row_along(lattice, low, c, n), row_along(lattice, low, c + 1, n));
        float *to = &ways->patch[lane][c], least;

        at = tb_f8_min(at, row_along(lattice, high, c, n));
        at = tb_f8_min(at, row_along(lattice, high, c + 1, n));
        at -= tb_f8_load(lattice->stray + row * lattice->columns + c);
        tb_f8_store(to, at);
        least = to[0];
        for (int k = 1; k < TB_LANES; k++)
            least = to[k] < least ? to[k] : least;
        ways->block[p][lane] = least;
    }
}

static void
set_ways(TbScan *scan)
{
    for (unsigned stale = scan->ways.stale; stale != 0; stale &= stale - 1)
        set_row_way(scan, __builtin_ctz(stale));
    scan->ways.stale = 0;
}

/** How far a box may matter along each row's way. */
TB_LANES_INLINE TbF8
box_along(const TbScan *scan, const float box[6])
{
    TbF8 far = tb_f8_load(scan->cut) * tb_f8(BOX_ROUND) + tb_f8(scan->ways.slack);

    for (int k = 0; k < 3; k++) {
        TbF8 n = tb_f8_load(scan->ways.unit[k]);

        far += tb_f8_max(n * tb_f8(box[k]), n * tb_f8(box[3 + k]));
    }
    return far;
}

/** How far a leaf's triangles may matter along a row's way. */
TB_LANES_INLINE TbF8
leaf_along(const TbScan *scan, const Leaf *leaf, int lane)
{
    float n[3], far = scan->cut[lane] * BOX_ROUND + scan->ways.slack;

    for (int k = 0; k < 3; k++) {
        n[k] = scan->ways.unit[k][lane];
        far += leaf->middle[k] * n[k];
    }
    return reach_along(leaf, n) + tb_f8(far);
}

/* ---- a leaf ---- */

/** A leaf's box: six numbers out of its parent's. */
static void
leaf_box(const TbTree *tree, uint32_t number, float box[6])
{
    const TbTreeNode *node = &tb_tree_level(tree, 1)[number / TB_LANES];

    for (int k = 0; k < 3; k++) {
        box[k] = node->low[k][number % TB_LANES];
        box[3 + k] = node->high[k][number % TB_LANES];
    }
}

static void
walk_leaf(TbScan *scan, uint32_t number)
{
    const TbLattice *lattice = scan->lattice;
    const TbBox8 *block = &lattice->block[scan->group * lattice->blocks];
    float box[6], limit = scan->most_cut * scan->most_cut * BOX_ROUND;
    TbF8 side[6], far;
    float furthest[TB_LANES];
    Leaf leaf;
    bool gathered = false;
    unsigned blocks;

    leaf_box(scan->tree, number, box);
    load_sides(lattice->group[scan->group].side[0], TB_LANES, side);
    blocks = tb_i8_bits(boxes_apart2(side, box, 1) < tb_f8(limit));
    if (blocks == 0)
        return;
    if (scan->ways.stale != 0)
        set_ways(scan);
    far = box_along(scan, box);
    tb_f8_store(furthest, far);
    for (; blocks != 0; blocks &= blocks - 1) {
        uint32_t p = (uint32_t)__builtin_ctz(blocks);
        unsigned rows;

        load_sides(block[p].side[0], TB_LANES, side);
        rows = tb_i8_bits((boxes_apart2(side, box, 1) < tb_f8_load(scan->cut2)) &
                          (tb_f8_load(scan->ways.block[p]) <= far));
        for (; rows != 0; rows &= rows - 1) {
            int lane = __builtin_ctz(rows);
            size_t row = scan->group * TB_LANES + (size_t)lane;
            unsigned mask;

            load_sides(tb_lattice__patch_boxes(lattice, row) + p * TB_LANES, lattice->columns,
                       side);
            mask = tb_i8_bits(
                (boxes_apart2(side, box, 1) < tb_f8(scan->cut2[lane])) &
                (tb_f8_load(&scan->ways.patch[lane][p * TB_LANES]) <= tb_f8(furthest[lane])));
            if (mask == 0)
                continue;
            if (!gathered)
                gather(scan, number, &leaf);
            gathered = true;
            try_eight(scan, &leaf, lane, p * TB_LANES, mask, leaf_along(scan, &leaf, lane));
        }
    }
}

/* ---- walk ---- */

typedef struct Waiting {
    float distance2;
    uint32_t index;
    int level;
} Waiting;

/** Children nearer than the cut onto the stack, the nearest last. */
static int
push_children(const TbScan *scan, Waiting at, Waiting stack[], int held)
{
    const TbTreeNode *node = &tb_tree_level(scan->tree, at.level)[at.index];
    const TbBox8 *group = &scan->lattice->group[scan->group];
    TbF8 side[6], r = tb_f8(FAR2);
    float near[TB_LANES], limit = scan->most_cut * scan->most_cut * BOX_ROUND;
    unsigned mask;
    int first = held;

    load_sides(node->low[0], TB_LANES, side);
    for (size_t p = 0; p < scan->lattice->blocks; p++)
        r = tb_f8_min(r, boxes_apart2(side, &group->side[0][p], TB_LANES));
    mask = tb_i8_bits(r < tb_f8(limit));
    tb_f8_store(near, r);
    for (; mask != 0; mask &= mask - 1) {
        uint32_t k = (uint32_t)__builtin_ctz(mask);
        int to = held++;

        TB_ASSERT(held <= MOST_WAITING);
        for (; to > first && stack[to - 1].distance2 < near[k]; to--)
            stack[to] = stack[to - 1];
        stack[to] = (Waiting){near[k], at.index * TB_LANES + k, at.level - 1};
    }
    return held;
}

static void
walk(TbScan *scan)
{
    Waiting stack[MOST_WAITING];
    int held = 0;

    stack[held++] = (Waiting){0, 0, tb_tree_levels(scan->tree)};
    while (held > 0) {
        Waiting at = stack[--held];

        if (!(at.distance2 < scan->most_cut * scan->most_cut * BOX_ROUND))
            continue;
        if (at.level == 0)
            walk_leaf(scan, at.index);
        else
            held = push_children(scan, at, stack, held);
    }
    empty_batch(scan);
    for (int lane = 0; lane < TB_LANES; lane++)
        tb_scan__settle_kept(scan, lane);
}

/**
 * One row's patches about a column against one leaf: for a good bound to begin with. Of a flat row
 * only the nearest is settled, for its direction; the others may not matter any more later.
 */
static void
look_near(TbScan *scan, int lane, uint32_t column, uint32_t number)
{
    uint32_t columns = (uint32_t)scan->lattice->columns;
    Leaf leaf;

    gather(scan, number, &leaf);
    for (uint32_t k = columns - 1; k <= columns + 1; k++)
        try_patch(scan, &leaf, lane, (column + k) % columns, (1u << leaf.count) - 1);
    empty_batch(scan);
    if (scan->lattice->swept)
        tb_scan__settle_kept(scan, lane);
    else if (scan->foreseen[lane] < scan->upper[lane])
        scan->settle(scan, &scan->hint[tb_scan__first(scan, lane)]);
}
