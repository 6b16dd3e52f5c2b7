/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree_points_kernel.h
 * @brief The walks of tree_points_private.h, compiled once plain and once for AVX2.
 *
 * Floats throw out what cannot matter; tb_point_triangle() in doubles decides, by the rule "least
 * distance, then least number" over all that was not thrown out. So the answers are those of trying
 * every triangle, to the last bit, whatever the walk and the lanes.
 *
 * Thrown out is what is further than the bound at hand by more than may be off. That bound is
 * lowered by points of the mesh that doubles found, a point's own best or the place that a
 * neighbour found nearest, and by what floats say of a triangle with all that they may be off.
 * Boxes are rounded outward, of points too, so only the arithmetic of their distance errs;
 * triangles and tins about leaves: tree_points_faces.h.
 *
 * A packet's walk stops at nodes of level 1 and holds those that some point of it may need. Then
 * its points look among them, one after the other, each bounded by the place the one before it
 * found; a leaf's triangles are made ready (floats about the packet's middle) when the first point
 * needs them. A walk that holds too many lets the points look before it goes on.
 */
#pragma once

#include "geom/tree_points_private.h"
#include "geom/tree_points_seek.h"

/** Nodes of level 1 that a packet holds at a time, and leaves that are ready. */
#define HELD 256
#define READY 1024

typedef struct Open {
    float distance2;
    uint32_t index;
    int level;
} Open;

/** Puts a node's children within the cut on the stack, the nearest on top; how many it holds. */
TB_LANES_INLINE int
push_children(Open stack[], int held, const Job *job, Open open, const Span *span, float cut)
{
    const TbTreeNode *node = &job->tree->level[open.level][open.index];
    size_t first = (size_t)open.index * TB_TREE_WIDE;
    unsigned lanes = lanes_of(job->tree->count[open.level - 1] - first);
    TbF8 d2 = boxes_distance2(node->low[0], node->high[0], TB_TREE_WIDE, span);
    unsigned near = ~tb_i8_bits(d2 > cut) & lanes;
    int bottom = held;

    for (; near != 0; near &= near - 1) {
        int k = __builtin_ctz(near), i = held++;
        for (; i > bottom && stack[i - 1].distance2 < d2[k]; i--)
            stack[i] = stack[i - 1];
        stack[i] = (Open){d2[k], (uint32_t)first + (uint32_t)k, open.level - 1};
    }
    return held;
}

static TbTreeHit
nearest_of_one(const TbTree *tree, TbVec3 p, double limit, double bound)
{
    Job job = job_of(tree, p);
    Open stack[TB_TREE_STACK];
    int held = 0;
    Seeker seeker;
    Faces faces;

    start(&seeker, &job, p, limit, bound);
    stack[held++] = (Open){0, 0, tree->levels};
    while (held > 0) {
        Open open = stack[--held];

        if (open.distance2 > seeker.cut)
            continue;
        if (open.level > 0) {
            held = push_children(stack, held, &job, open, &seeker.span, seeker.cut);
            continue;
        }
        faces_of_leaf(&faces, NULL, &job, open.index);
        look_at(&seeker, &job, &faces, open.index);
        settle(&seeker, &job);
    }
    return answer(&seeker);
}

/** Leaves that some point of a packet needed: their triangles in floats, and tins about them. */
typedef struct Ready {
    uint32_t count;
    Faces faces[READY];
} Ready;

/** Nodes of level 1 that some point of a packet may need, with their own boxes. */
typedef struct Held {
    uint32_t count;
    _Alignas(32) float low[3][HELD], high[3][HELD];
    uint32_t node[HELD];
    /* of a node's leaves: which are ready, where, and their tins */
    struct HeldLeaves {
        _Alignas(32) float centre[3][TB_TREE_WIDE], axis[3][TB_TREE_WIDE];
        float half[TB_TREE_WIDE], radius[TB_TREE_WIDE];
        float slack2[TB_TREE_WIDE], allow[TB_TREE_WIDE];
        uint16_t slot[TB_TREE_WIDE];
        unsigned ready;
    } leaves[HELD];
} Held;

typedef struct Walk {
    Job job;
    TbPointsPacket *packet;
    Span span;
    float cut;
    Held held;
    Ready ready;
    Seeker seeker;
} Walk;

static void
get_ready(Walk *walk, struct HeldLeaves *leaves, int k, uint32_t leaf)
{
    Tin tin;

    if (walk->ready.count == READY) {
        for (uint32_t i = 0; i < walk->held.count; i++)
            walk->held.leaves[i].ready = 0;
        walk->ready.count = 0;
    }
    leaves->slot[k] = (uint16_t)walk->ready.count++;
    leaves->ready |= 1u << k;
    faces_of_leaf(&walk->ready.faces[leaves->slot[k]], &tin, &walk->job, leaf);
    leaves->centre[0][k] = tin.centre.x[0];
    leaves->centre[1][k] = tin.centre.y[0];
    leaves->centre[2][k] = tin.centre.z[0];
    leaves->axis[0][k] = tin.axis.x[0];
    leaves->axis[1][k] = tin.axis.y[0];
    leaves->axis[2][k] = tin.axis.z[0];
    leaves->half[k] = tin.half[0];
    leaves->radius[k] = tin.radius[0];
    leaves->slack2[k] = tin.slack2[0];
    leaves->allow[k] = tin.allow[0];
}

TB_LANES_INLINE TbP8
p8_load(float from[3][TB_TREE_WIDE])
{
    return (TbP8){tb_f8_load(from[0]), tb_f8_load(from[1]), tb_f8_load(from[2])};
}

/** Which of eight leaves have tins within reach of a point; those not ready may have. */
TB_LANES_INLINE unsigned
tins_within(struct HeldLeaves *leaves, const Seeker *seeker)
{
    TbP8 w = tb_p8_sub(seeker->local, p8_load(leaves->centre));
    TbF8 h = tb_p8_dot(w, p8_load(leaves->axis));
    TbF8 zero = {0};
    TbF8 aside = tb_p8_dot(w, w) - h * h - tb_f8_load(leaves->slack2);
    TbF8 far = tb_f8(seeker->reach) + tb_f8_load(leaves->allow);

    aside = tb_f8_max(tb_f8_sqrt(tb_f8_max(aside, zero)) - tb_f8_load(leaves->radius), zero);
    h = tb_f8_max(f8_abs(h) - tb_f8_load(leaves->half), zero);
    return ~tb_i8_bits(h * h + aside * aside > far * far) | ~leaves->ready;
}

static void
seek_in_node(Walk *walk, uint32_t i)
{
    Seeker *seeker = &walk->seeker;
    struct HeldLeaves *leaves = &walk->held.leaves[i];
    const TbTreeNode *node = &walk->job.tree->level[1][walk->held.node[i]];
    uint32_t first = walk->held.node[i] * TB_TREE_WIDE;
    TbF8 d2 = boxes_distance2(node->low[0], node->high[0], TB_TREE_WIDE, &seeker->span);
    unsigned near = ~tb_i8_bits(d2 > seeker->cut) & lanes_of(walk->job.tree->count[0] - first);

    if (leaves->ready != 0)
        near &= tins_within(leaves, seeker);
    for (; near != 0; near &= near - 1) {
        int k = __builtin_ctz(near);
        if ((leaves->ready >> k & 1) == 0)
            get_ready(walk, leaves, k, first + (uint32_t)k);
        look_at(seeker, &walk->job, &walk->ready.faces[leaves->slot[k]], first + (uint32_t)k);
    }
}

static void
seek_among_held(Walk *walk)
{
    Held *held = &walk->held;
    Seeker *seeker = &walk->seeker;

    for (uint32_t from = 0; from < held->count; from += TB_LANES) {
        TbF8 d2 = boxes_distance2(&held->low[0][from], &held->high[0][from], HELD, &seeker->span);
        unsigned near = ~tb_i8_bits(d2 > seeker->cut) & lanes_of(held->count - from);

        for (; near != 0; near &= near - 1)
            seek_in_node(walk, from + (uint32_t)__builtin_ctz(near));
    }
    settle(seeker, &walk->job);
}

/** All points look at the nodes held, each bounded by what the one before it found. */
static void
seek_all(Walk *walk)
{
    TbPointsPacket *packet = walk->packet;
    const TbTreeHit *last = NULL;
    double most = 0;

    for (size_t i = 0; i < packet->count; i++) {
        TbVec3 p = packet->point[i];
        double bound = packet->bound[i];

        if (last != NULL && last->triangle != UINT32_MAX)
            bound = lesser(bound, tb_vec3_distance(p, last->nearest.b) + TB_TOL_ROUND);
        start(&walk->seeker, &walk->job, p, packet->limit[i], bound);
        if (packet->hit[i].triangle != UINT32_MAX) {
            walk->seeker.best = packet->hit[i];
            set_reach(&walk->seeker);
        }
        seek_among_held(walk);
        packet->hit[i] = walk->seeker.best;
        packet->bound[i] = lesser(bound, packet->hit[i].nearest.distance);
        most = larger(most, packet->bound[i]);
        last = &packet->hit[i];
    }
    walk->cut = cut_of(most);
    walk->held.count = 0;
    walk->ready.count = 0;
}

/** Takes a node of level 1 along. */
TB_LANES_INLINE void
hold(Walk *walk, uint32_t index)
{
    Held *held = &walk->held;
    const TbTreeNode *node = &walk->job.tree->level[1][index];
    uint32_t i;

    if (held->count == HELD)
        seek_all(walk);
    i = held->count++;
    for (int axis = 0; axis < 3; axis++) {
        held->low[axis][i] = f8_least(tb_f8_load(node->low[axis]))[0];
        held->high[axis][i] = f8_largest(tb_f8_load(node->high[axis]))[0];
    }
    held->node[i] = index;
    held->leaves[i].ready = 0;
}

static void
span_points(Walk *walk)
{
    TbPointsPacket *packet = walk->packet;
    TbBox3 box = tb_box3_empty();
    double most = 0;

    for (size_t i = 0; i < packet->count; i++) {
        box.low =
            (TbVec3){lesser(box.low.x, packet->point[i].x), lesser(box.low.y, packet->point[i].y),
                     lesser(box.low.z, packet->point[i].z)};
        box.high =
            (TbVec3){larger(box.high.x, packet->point[i].x), larger(box.high.y, packet->point[i].y),
                     larger(box.high.z, packet->point[i].z)};
        most = larger(most, lesser(packet->bound[i], packet->limit[i]));
    }
    walk->span =
        (Span){{float_below(box.low.x), float_below(box.low.y), float_below(box.low.z)},
               {float_above(box.high.x), float_above(box.high.y), float_above(box.high.z)}};
    walk->job.origin = tb_box3_centre(box);
    walk->job.reach =
        float_above(0.5 * larger(box.high.x - box.low.x,
                                 larger(box.high.y - box.low.y, box.high.z - box.low.z)));
    walk->cut = cut_of(most);
}

static void
nearest_of_packet(const TbTree *tree, TbPointsPacket *packet)
{
    Open stack[TB_TREE_STACK];
    int held = 0;
    Walk walk;

    walk.job = job_of(tree, packet->point[0]);
    walk.packet = packet;
    walk.held.count = 0;
    walk.ready.count = 0;
    span_points(&walk);
    for (size_t i = 0; i < packet->count; i++)
        packet->hit[i] = (TbTreeHit){
            {packet->limit[i], packet->point[i], packet->point[i]}, UINT32_MAX, UINT32_MAX};
    stack[held++] = (Open){0, 0, tree->levels};
    while (held > 0) {
        Open open = stack[--held];

        if (open.distance2 > walk.cut)
            continue;
        if (open.level == 1)
            hold(&walk, open.index);
        else
            held = push_children(stack, held, &walk.job, open, &walk.span, walk.cut);
    }
    seek_all(&walk);
    for (size_t i = 0; i < packet->count; i++)
        if (packet->hit[i].triangle == UINT32_MAX)
            packet->hit[i].nearest.distance = INFINITY;
}
