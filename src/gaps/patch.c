/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * In doubles, by all pairs of a corner and a face and of two edges, squares
 * only; the points of the nearest pair are made at the end. Where the two come
 * nearer than TOUCHY, and squares would lose half of their digits, or pierce
 * each other, triangle.h looks carefully instead.
 */
#include "gaps/patch_private.h"

#include "geom/tol.h"

#include <stdint.h>
#include <string.h>

/** mm. Below this a distance is not taken from a difference of squares. */
#define TOUCHY 1e-2

/** Relative: height over longest side, below which a face is left to its edges.
 */
#define SLIM 1e-7

/** Two doubles at a time: pairs of edges. */
typedef double Two __attribute__((vector_size(16)));
typedef int64_t Mask __attribute__((vector_size(16)));

typedef struct Edge {
    TbVec3 from, way;
    double length2, over;
} Edge;

typedef struct Place2 {
    Two x, y, z;
} Place2;

/** Two edges. */
typedef struct Edge2 {
    Place2 from, way;
    Two length2, over;
} Edge2;

/** Edges of a patch times edges of a triangle, and one twice to fill up. */
#define EDGE_PAIRS 16

/** How near each pair of edges comes, and where. */
typedef struct Edges {
    double distance2[EDGE_PAIRS], s[EDGE_PAIRS], t[EDGE_PAIRS];
} Edges;

typedef struct Face {
    TbVec3 from, ab, ac, normal;
    TbVec3 second, third; /**< dot product with a point: the corner's share of it
                             times area2 */
    double area2, over;
    bool has;
} Face;

typedef struct Foot {
    double s, t, h;
} Foot;

/** The nearest pair so far: an edge and an edge, or a corner and a face. */
typedef struct Best {
    double distance2;
    TbVec3 a, b;
} Best;

static Edge
edge_of(TbVec3 from, TbVec3 to)
{
    Edge e = {.from = from, .way = tb_vec3_sub(to, from)};

    e.length2 = tb_vec3_length2(e.way);
    e.over = e.length2 > 0 ? 1 / e.length2 : 0;
    return e;
}

static Two
share2(Two x)
{
    Mask above = x > (Two){0, 0}, below;

    x = (Two)((Mask)x & above);
    below = x < (Two){1, 1};
    return (Two)(((Mask)x & below) | ((Mask)(Two){1, 1} & ~below));
}

static Edge2
edge2_of(const Edge *a, const Edge *b)
{
    return (Edge2){{{a->from.x, b->from.x}, {a->from.y, b->from.y}, {a->from.z, b->from.z}},
                   {{a->way.x, b->way.x}, {a->way.y, b->way.y}, {a->way.z, b->way.z}},
                   {a->length2, b->length2},
                   {a->over, b->over}};
}

static Two
dot2(Place2 a, Place2 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

/** Two pairs of edges; the way of scan_walk.h. */
static void
try_edges(const Edge2 *p, const Edge2 *q, Edges *edges, int at)
{
    Place2 r = {p->from.x - q->from.x, p->from.y - q->from.y, p->from.z - q->from.z}, w;
    Two b = dot2(p->way, q->way), f = dot2(q->way, r), g = dot2(p->way, r);
    Two det = p->length2 * q->length2 - b * b;
    Two s = (Two)((Mask)share2((b * f - q->length2 * g) / det) & (det > (Two){0, 0}));
    Two t = share2((b * s + f) * q->over), distance2;

    s = share2((b * t - g) * p->over);
    w.x = r.x + s * p->way.x - t * q->way.x;
    w.y = r.y + s * p->way.y - t * q->way.y;
    w.z = r.z + s * p->way.z - t * q->way.z;
    distance2 = dot2(w, w);
    memcpy(&edges->distance2[at], &distance2, sizeof distance2);
    memcpy(&edges->s[at], &s, sizeof s);
    memcpy(&edges->t[at], &t, sizeof t);
}

/** All edges of a patch, its diagonal last, and all of a triangle. */
static void
try_all_edges(const Edge ep[5], const Edge et[3], Best *best)
{
    Edge2 ab = edge2_of(&ep[0], &ep[1]), fd = edge2_of(&ep[2], &ep[3]);
    Edge2 across = edge2_of(&ep[4], &ep[4]), q;
    Edges edges;
    int k = 0;
    const Edge *p, *t;

    for (int i = 0; i < 3; i++) {
        q = edge2_of(&et[i], &et[i]);
        try_edges(&ab, &q, &edges, 4 * i);
        try_edges(&fd, &q, &edges, 4 * i + 2);
    }
    q = edge2_of(&et[0], &et[1]);
    try_edges(&across, &q, &edges, 12);
    q = edge2_of(&et[2], &et[2]);
    try_edges(&across, &q, &edges, 14);
    for (int i = 1; i < EDGE_PAIRS; i++)
        k = edges.distance2[i] < edges.distance2[k] ? i : k;
    if (!(edges.distance2[k] < best->distance2))
        return;
    p = &ep[k < 12 ? k % 4 : 4];
    t = &et[k < 12 ? k / 4 : k < 14 ? k - 12 : 2];
    *best = (Best){edges.distance2[k], tb_vec3_add_scaled(p->from, edges.s[k], p->way),
                   tb_vec3_add_scaled(t->from, edges.t[k], t->way)};
}

static Face
face_of(TbVec3 a, TbVec3 ab, TbVec3 ac)
{
    Face f = {.from = a, .ab = ab, .ac = ac, .normal = tb_vec3_cross(ab, ac)};

    f.second = tb_vec3_cross(ac, f.normal);
    f.third = tb_vec3_cross(f.normal, ab);
    f.area2 = tb_vec3_length2(f.normal);
    f.has = f.area2 > SLIM * SLIM * tb_vec3_length2(ab) * tb_vec3_length2(ac);
    f.over = f.has ? 1 / f.area2 : 0;
    return f;
}

static Foot
foot_of(TbVec3 p, const Face *f)
{
    TbVec3 w = tb_vec3_sub(p, f->from);

    return (Foot){tb_vec3_dot(w, f->second), tb_vec3_dot(w, f->third), tb_vec3_dot(w, f->normal)};
}

static bool
is_over(double s, double t, const Face *f)
{
    return f->has && s >= 0 && t >= 0 && s + t <= f->area2;
}

/** @param on_patch the face is the patch's, the point the other triangle's */
static void
try_face(TbVec3 p, const Foot *foot, const Face *f, bool on_patch, Best *best)
{
    double distance2 = foot->h * foot->h * f->over;
    TbVec3 q;

    if (!is_over(foot->s, foot->t, f) || !(distance2 < best->distance2))
        return;
    q = tb_vec3_add_scaled(tb_vec3_add_scaled(f->from, foot->s * f->over, f->ab), foot->t * f->over,
                           f->ac);
    *best = on_patch ? (Best){distance2, q, p} : (Best){distance2, p, q};
}

static bool
pierces(const Foot *p, const Foot *q, const Face *f)
{
    double k;

    if ((p->h < 0) == (q->h < 0))
        return false;
    k = p->h / (p->h - q->h);
    return is_over(p->s + k * (q->s - p->s), p->t + k * (q->t - p->t), f);
}

static TbNearest
look_carefully(const TbVec3 patch[4], const TbVec3 t[3])
{
    TbVec3 first[3] = {patch[0], patch[1], patch[2]}, second[3] = {patch[0], patch[2], patch[3]};
    TbNearest a = tb_triangle_triangle(first, t), b = tb_triangle_triangle(second, t);

    return b.distance < a.distance ? b : a;
}

TbNearest
tb_patch__nearest(const TbVec3 patch[4], const TbVec3 t[3])
{
    Best best = {.distance2 = INFINITY};
    Edge ep[5], et[3];
    Face fp[2], ft;
    Foot foot[4];
    bool meet = false;

    for (int k = 0; k < 4; k++)
        ep[k] = edge_of(patch[k], patch[(k + 1) % 4]);
    ep[4] = edge_of(patch[0], patch[2]);
    for (int k = 0; k < 3; k++)
        et[k] = edge_of(t[k], t[(k + 1) % 3]);
    fp[0] = face_of(patch[0], ep[0].way, ep[4].way);
    fp[1] = face_of(patch[0], ep[4].way, tb_vec3_sub(patch[3], patch[0]));
    ft = face_of(t[0], et[0].way, tb_vec3_sub(t[2], t[0]));
    for (int k = 0; k < 4; k++) {
        foot[k] = foot_of(patch[k], &ft);
        try_face(patch[k], &foot[k], &ft, false, &best);
    }
    for (int k = 0; k < 4; k++)
        meet = meet || pierces(&foot[k], &foot[(k + 1) % 4], &ft);
    meet = meet || pierces(&foot[0], &foot[2], &ft);
    for (int i = 0; i < 2; i++) {
        for (int k = 0; k < 3; k++) {
            foot[k] = foot_of(t[k], &fp[i]);
            try_face(t[k], &foot[k], &fp[i], true, &best);
        }
        for (int k = 0; k < 3; k++)
            meet = meet || pierces(&foot[k], &foot[(k + 1) % 3], &fp[i]);
    }
    try_all_edges(ep, et, &best);
    if (meet || best.distance2 < TOUCHY * TOUCHY)
        return look_carefully(patch, t);
    return (TbNearest){tb_vec3_distance(best.a, best.b), best.a, best.b};
}
