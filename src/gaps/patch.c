/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * In doubles, by all pairs of a corner and a face and of two edges, squares only; the points of the
 * nearest pair are made at the end. Where the two come nearer than TOUCHY, and squares would lose
 * half of their digits, or pierce each other, triangle.h looks carefully instead.
 */
#include "gaps/patch_private.h"

#include "geom/tol.h"

/** mm. Below this a distance is not taken from a difference of squares. */
#define TOUCHY 1e-2

/** Relative: height over longest side, below which a face is left to its edges. */
#define SLIM 1e-7

typedef struct Edge {
    TbVec3 from, way;
    double length2, over;
} Edge;

typedef struct Face {
    TbVec3 from, ab, ac, normal;
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

static double
share(double x)
{
    x = x > 0 ? x : 0;
    return x < 1 ? x : 1;
}

static void
try_edges(const Edge *p, const Edge *q, Best *best)
{
    TbVec3 r = tb_vec3_sub(p->from, q->from), w;
    double b = tb_vec3_dot(p->way, q->way), f = tb_vec3_dot(q->way, r);
    double g = tb_vec3_dot(p->way, r), det = p->length2 * q->length2 - b * b;
    double s = det > 0 ? share((b * f - q->length2 * g) / det) : 0;
    double t = share((b * s + f) * q->over), distance2;

    s = share((b * t - g) * p->over);
    w = tb_vec3_add_scaled(tb_vec3_add_scaled(r, s, p->way), -t, q->way);
    distance2 = tb_vec3_length2(w);
    if (distance2 < best->distance2)
        *best = (Best){distance2, tb_vec3_add_scaled(p->from, s, p->way),
                       tb_vec3_add_scaled(q->from, t, q->way)};
}

static Face
face_of(TbVec3 a, TbVec3 ab, TbVec3 ac)
{
    Face f = {.from = a, .ab = ab, .ac = ac, .normal = tb_vec3_cross(ab, ac)};

    f.area2 = tb_vec3_length2(f.normal);
    f.has = f.area2 > SLIM * SLIM * tb_vec3_length2(ab) * tb_vec3_length2(ac);
    f.over = f.has ? 1 / f.area2 : 0;
    return f;
}

static Foot
foot_of(TbVec3 p, const Face *f)
{
    TbVec3 w = tb_vec3_sub(p, f->from);

    return (Foot){tb_vec3_dot(tb_vec3_cross(w, f->ac), f->normal),
                  tb_vec3_dot(tb_vec3_cross(f->ab, w), f->normal), tb_vec3_dot(w, f->normal)};
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
    for (int i = 0; i < 5; i++)
        for (int k = 0; k < 3; k++)
            try_edges(&ep[i], &et[k], &best);
    if (meet || best.distance2 < TOUCHY * TOUCHY)
        return look_carefully(patch, t);
    return (TbNearest){tb_vec3_distance(best.a, best.b), best.a, best.b};
}
