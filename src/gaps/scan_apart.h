/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_apart.h
 * @brief Float distances of boxes, and of eight pairs of a patch and a triangle; a part of
 *        scan_walk.h. What they may be off by is told in scan_private.h.
 */
#pragma once

#include "gaps/scan_private.h"

/** Relative: what a squared box distance may be too large by. */
#define BOX_ROUND 1.000002f

/** Relative: what a longest side, squared, may be too short by. */
#define ROUND_LONGEST 1.000002f

/** Below this a length or area is nothing; dividing by it stays finite. mm^2 or mm^4. */
#define NOTHING 1e-20f

/** No distance: a foot outside a face. mm^2. */
#define FAR2 1e30f

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

/** 0 where an edge of either goes through a face of the other. */
static __attribute__((noinline)) TbF8
pierced_eight2(const Eight *e)
{
    Foot over_p[3], over_q[4];
    TbF8 r;

#pragma GCC unroll 4
    for (int k = 0; k < 4; k++)
        over_q[k] = foot_of(e->p[k], &e->fq);
    r = tb_f8_min(pierced2(&over_q[0], &over_q[1], &e->fq),
                  pierced2(&over_q[2], &over_q[3], &e->fq));
    r = tb_f8_min(r, pierced2(&over_q[0], &over_q[2], &e->fq));
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
 */
static TbF8
batch_apart2(const TbScanBatch *batch)
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
    if (tb_i8_bits(r <= longest) != 0)
        r = tb_f8_min(r, pierced_eight2(&e));
    return r;
}

/** Eight chords, from the first to the second corner of a patch, against eight triangles; where one
 * goes through a face, its distance from a side of that. */
static TbF8
chords_apart2(const TbScanBatch *batch)
{
    TbP8 o = load_point(batch->patch[0]), b = tb_p8_sub(load_point(batch->patch[1]), o);
    TbP8 zero = {tb_f8(0), tb_f8(0), tb_f8(0)}, q[3];
    Edge chord = edge_of(zero, b);
    TbF8 r;
    Face f;
    Foot foot;

#pragma GCC unroll 3
    for (int k = 0; k < 3; k++)
        q[k] = tb_p8_sub(load_point(batch->corner[k]), o);
    f = face_of(q[0], tb_p8_sub(q[1], q[0]), tb_p8_sub(q[2], q[0]));
    foot = foot_of(zero, &f);
    r = face_apart2(&foot, &f);
    foot = foot_of(b, &f);
    r = tb_f8_min(r, face_apart2(&foot, &f));
#pragma GCC unroll 3
    for (int k = 0; k < 3; k++) {
        Edge edge = edge_of(q[k], q[(k + 1) % 3]);

        r = tb_f8_min(r, edges_apart2(&chord, &edge));
    }
    return r;
}
