/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree_points_seek.h
 * @brief One point on its way through a tree: boxes and triangles in floats, doubles that decide;
 *        part of the kernel of tree_points_kernel.h.
 */
#pragma once

#include "geom/tree_points_faces.h"
#include "geom/tree_private.h"

/** No unit: more than what a squared distance of boxes is too large by rounding, 5 * 2^-24. */
#define BOX_SHARE 1e-6

/** Triangles that a point holds at a time. */
#define RIVALS 64

/* ---- boxes ---- */

/** Below x and above x, by little more than rounding. */
TB_LANES_INLINE float
float_below(double x)
{
    float f = (float)x;

    return f - (fabsf(f) * FLT_EPSILON + FLT_MIN);
}

TB_LANES_INLINE float
float_above(double x)
{
    float f = (float)x;

    return f + (fabsf(f) * FLT_EPSILON + FLT_MIN);
}

TB_LANES_INLINE double
lesser(double a, double b)
{
    return a < b ? a : b;
}

TB_LANES_INLINE double
larger(double a, double b)
{
    return a > b ? a : b;
}

/** Low and high of something in every axis, floats rounded outward. */
typedef struct Span {
    float low[3], high[3];
} Span;

/** Squared distances of a span to eight boxes. */
TB_LANES_INLINE TbF8
boxes_distance2(const float *low, const float *high, size_t stride, const Span *span)
{
    TbF8 zero = {0};
    TbF8 x = tb_f8_max(tb_f8_load(low) - span->high[0], span->low[0] - tb_f8_load(high));
    TbF8 y = tb_f8_max(tb_f8_load(low + stride) - span->high[1],
                       span->low[1] - tb_f8_load(high + stride));
    TbF8 z = tb_f8_max(tb_f8_load(low + 2 * stride) - span->high[2],
                       span->low[2] - tb_f8_load(high + 2 * stride));

    x = tb_f8_max(x, zero);
    y = tb_f8_max(y, zero);
    z = tb_f8_max(z, zero);
    return x * x + y * y + z * z;
}

/** What a squared distance of boxes may be at most. */
TB_LANES_INLINE float
cut_of(double bound)
{
    double far = bound + TB_TOL_ROUND;

    return (float)(far * far * (1 + BOX_SHARE)) + FLT_MIN;
}

/* ---- leaves ---- */

typedef struct Job {
    const TbTree *tree;
    const TbVec3 *vertex;
    const uint32_t *index;
    size_t triangles;
    TbVec3 origin;
    float reach; /**< largest coordinate of a point about the origin */
} Job;

TB_LANES_INLINE Job
job_of(const TbTree *tree, TbVec3 origin)
{
    const TbMesh *mesh = tb_tree_mesh(tree);

    return (Job){
        tree, tb_mesh_vertices(mesh), tb_mesh_indices(mesh), tb_mesh_triangle_count(mesh), origin,
        0};
}

static void
faces_of_leaf(Faces *f, Tin *tin, const Job *job, uint32_t leaf)
{
    float x[9][TB_TREE_WIDE];
    size_t first = (size_t)leaf * TB_TREE_WIDE;
    TbP8 corner[3];

    for (size_t k = 0; k < TB_TREE_WIDE; k++) {
        size_t t = first + k < job->triangles ? first + k : job->triangles - 1;
        for (size_t c = 0; c < 3; c++) {
            TbVec3 v = job->vertex[job->index[3 * t + c]];
            x[3 * c][k] = (float)(v.x - job->origin.x);
            x[3 * c + 1][k] = (float)(v.y - job->origin.y);
            x[3 * c + 2][k] = (float)(v.z - job->origin.z);
        }
    }
    for (size_t c = 0; c < 3; c++)
        corner[c] =
            (TbP8){tb_f8_load(x[3 * c]), tb_f8_load(x[3 * c + 1]), tb_f8_load(x[3 * c + 2])};
    faces_of_corners(f, tin, corner, job->reach);
}

/* ---- doubles decide ---- */

/** A triangle that the floats leave in the running. */
typedef struct Rival {
    float distance2, allow;
    uint32_t place;
} Rival;

/** One point on its way. */
typedef struct Seeker {
    TbVec3 p;
    double bound; /**< mm: something is known to be within */
    float cut;    /**< mm^2: of boxes */
    float reach;  /**< mm: of triangles, their allowance to be added */
    Span span;
    TbP8 local;
    TbTreeHit best;
    int rivals;
    Rival rival[RIVALS];
} Seeker;

TB_LANES_INLINE void
set_reach(Seeker *seeker)
{
    double bound = lesser(seeker->bound, seeker->best.nearest.distance);

    seeker->cut = cut_of(bound);
    seeker->reach = float_above(bound);
}

TB_LANES_INLINE void
start(Seeker *seeker, const Job *job, TbVec3 p, double limit, double bound)
{
    TbVec3 q = tb_vec3_sub(p, job->origin);

    seeker->p = p;
    seeker->bound = bound;
    seeker->span = (Span){{float_below(p.x), float_below(p.y), float_below(p.z)},
                          {float_above(p.x), float_above(p.y), float_above(p.z)}};
    seeker->local = (TbP8){tb_f8((float)q.x), tb_f8((float)q.y), tb_f8((float)q.z)};
    seeker->best = (TbTreeHit){{limit, p, p}, UINT32_MAX, UINT32_MAX};
    seeker->rivals = 0;
    set_reach(seeker);
}

/** mm. How far the nearest corner of a triangle must lie behind a plane, times lengths of the
 * scene: a hundred times what the dot product errs. */
#define BEHIND TB_TOL_ROUND

/** No unit: squared sine of an angle that is not a needle's. */
#define LEAST_SINE2 1e-12

/**
 * Whether a triangle lies behind the plane through the best point that is square to the way there,
 * but for one corner in the best point itself. Then none of its points is nearer, and
 * tb_point_triangle() would say so: both sides from such a corner turn away by more than rounding,
 * so they answer with that corner, the same bits; the foot is outside; all else is further by more
 * than rounding. A tie goes to the lower number. The neighbours about a corner that is the nearest
 * point, five in a usual mesh, are settled so at a tenth of the time.
 */
TB_LANES_INLINE bool
is_behind(Seeker *seeker, const Job *job, const Rival *rival)
{
    TbTreeHit *best = &seeker->best;
    TbVec3 b = best->nearest.b, way = tb_vec3_sub(seeker->p, b), to[3];
    const uint32_t *index = job->index + 3 * (size_t)rival->place;
    const TbVec3 *touch = NULL;
    double most = -INFINITY, far2 = 0;
    int others = 0;
    uint32_t number;

    for (int k = 0; k < 3; k++) {
        const TbVec3 *corner = &job->vertex[index[k]];

        to[others] = tb_vec3_sub(*corner, b);
        if (!(tb_vec3_length2(to[others]) > 0)) {
            touch = corner;
            continue;
        }
        most = larger(most, tb_vec3_dot(to[others], way));
        far2 = larger(far2, tb_vec3_length2(to[others]));
        others++;
    }
    if (!(most < -BEHIND * (best->nearest.distance + sqrt(far2))))
        return false;
    if (touch == NULL)
        return true;
    if (others < 2 || !(tb_vec3_length2(tb_vec3_cross(to[0], to[1])) > LEAST_SINE2 * far2 * far2))
        return false;
    number = tb_tree_numbers(job->tree)[rival->place];
    if (number < best->triangle) {
        best->nearest.b = *touch;
        best->triangle = number;
        best->place = rival->place;
    }
    return true;
}

/** Exact; only this answers. */
static void
decide(Seeker *seeker, const Job *job, const Rival *rival)
{
    TbTreeHit *best = &seeker->best;
    uint32_t number = tb_tree_numbers(job->tree)[rival->place];
    const uint32_t *index = job->index + 3 * (size_t)rival->place;
    TbVec3 corner[3] = {job->vertex[index[0]], job->vertex[index[1]], job->vertex[index[2]]};
    TbNearest near = tb_point_triangle(seeker->p, corner);

    if (near.distance < best->nearest.distance ||
        (near.distance <= best->nearest.distance && number < best->triangle)) {
        *best = (TbTreeHit){near, number, rival->place};
        set_reach(seeker);
    }
}

TB_LANES_INLINE bool
is_out(const Seeker *seeker, const Rival *rival)
{
    float far = seeker->reach + rival->allow;

    return rival->distance2 > far * far;
}

/** The most promising first, so that few of the others are looked at. */
static void
settle(Seeker *seeker, const Job *job)
{
    while (seeker->rivals > 0) {
        int least = 0;
        Rival rival;

        for (int i = 1; i < seeker->rivals; i++)
            if (seeker->rival[i].distance2 < seeker->rival[least].distance2)
                least = i;
        rival = seeker->rival[least];
        seeker->rival[least] = seeker->rival[--seeker->rivals];
        if (is_out(seeker, &rival))
            continue;
        if (seeker->best.triangle != UINT32_MAX && is_behind(seeker, job, &rival))
            continue;
        decide(seeker, job, &rival);
    }
}

TB_LANES_INLINE unsigned
lanes_of(size_t count)
{
    return count < TB_TREE_WIDE ? (1u << count) - 1 : 0xffu;
}

/** A triangle is no further than floats say and may err by. Those that tie with the nearest stay
 * in: their floats err by no more than their own allowance. */
TB_LANES_INLINE void
foresee(Seeker *seeker, float distance2, float allow)
{
    float far = (sqrtf(distance2) + allow) * (1 + 4 * FLT_EPSILON); /* three roundings, outward */

    if (far < seeker->reach) {
        seeker->bound = (double)far;
        seeker->reach = far;
        seeker->cut = cut_of(seeker->bound);
    }
}

/** A leaf's triangles within reach join the rivals. */
static void
look_at(Seeker *seeker, const Job *job, const Faces *f, uint32_t leaf)
{
    size_t first = (size_t)leaf * TB_TREE_WIDE;
    TbF8 d2 = faces_distance2(f, seeker->local);
    TbF8 far = tb_f8(seeker->reach) + f->allow;
    /* what is not a number stays in */
    unsigned near = ~tb_i8_bits(d2 > far * far) & lanes_of(job->triangles - first);

    if (near == 0)
        return;
    if (seeker->rivals + TB_TREE_WIDE > RIVALS)
        settle(seeker, job);
    for (; near != 0; near &= near - 1) {
        int k = __builtin_ctz(near);
        foresee(seeker, d2[k], f->allow[k]);
        seeker->rival[seeker->rivals++] =
            (Rival){d2[k], f->allow[k], (uint32_t)first + (uint32_t)k};
    }
}

TB_LANES_INLINE TbTreeHit
answer(const Seeker *seeker)
{
    TbTreeHit best = seeker->best;

    if (best.triangle == UINT32_MAX)
        best.nearest.distance = INFINITY;
    return best;
}
