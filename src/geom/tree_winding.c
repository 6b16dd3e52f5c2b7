/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Winding numbers. Signed crossings of the ray from the point along +x: seen along x, each triangle
 * turns 0, +1 or -1 times about the point; that is counted by half-open edges whose side is always
 * computed from the same end, so two triangles never disagree about the edge they share and a ray
 * through an edge or a corner counts once. For a mesh without a rim the sum is the winding number.
 *
 * Solid angles: Van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125-126.
 */
#include "geom/lids.h"
#include "geom/tree_private.h"

/** Whether (y, z) of p lies left of the way a to b as seen from +x; b is above a in z. */
static bool
is_left(TbVec3 p, TbVec3 a, TbVec3 b)
{
    return (b.y - a.y) * (p.z - a.z) - (p.y - a.y) * (b.z - a.z) > 0;
}

/** +1 or -1 where the edge crosses the half line from (p.y, p.z) along +y, else 0. */
static int
edge_turns(TbVec3 p, TbVec3 a, TbVec3 b)
{
    bool a_above = a.z > p.z;
    bool b_above = b.z > p.z;

    if (a_above == b_above)
        return 0;
    if (b_above)
        return is_left(p, a, b) ? 1 : 0;
    return is_left(p, b, a) ? -1 : 0;
}

static int
crossings(TbVec3 p, const TbVec3 t[3])
{
    int turns = edge_turns(p, t[0], t[1]) + edge_turns(p, t[1], t[2]) + edge_turns(p, t[2], t[0]);
    TbVec3 n;

    if (turns == 0 || (t[0].x < p.x && t[1].x < p.x && t[2].x < p.x))
        return 0;
    if (t[0].x > p.x && t[1].x > p.x && t[2].x > p.x)
        return turns;
    n = tb_vec3_cross(tb_vec3_sub(t[1], t[0]), tb_vec3_sub(t[2], t[0]));
    return turns * tb_vec3_dot(n, tb_vec3_sub(t[0], p)) > 0 ? turns : 0;
}

/** Whether the ray meets a child's box. */
static bool
ray_meets(const TbTreeNode *node, int k, TbVec3 p)
{
    return (double)node->high[0][k] >= p.x && (double)node->low[1][k] <= p.y &&
           (double)node->high[1][k] >= p.y && (double)node->low[2][k] <= p.z &&
           (double)node->high[2][k] >= p.z;
}

long
tb_tree_turns(const TbTree *tree, TbVec3 p, bool *odd)
{
    const TbMesh *mesh = tb_tree_mesh(tree);
    TbTreeAt stack[TB_TREE_STACK];
    int held = 0;
    long turns = 0, met = 0;

    stack[held++] = tb_tree_root(tree);
    while (held > 0) {
        TbTreeAt at = stack[--held];
        int count = tb_tree_children(tree, at);
        for (int k = 0; k < count; k++) {
            if (at.level == 0) {
                TbVec3 corner[3];
                int here;
                tb_mesh_corners(mesh, tb_tree_triangle(at, k), corner);
                here = crossings(p, corner);
                turns += here;
                met += here != 0;
            } else if (ray_meets(&tb_tree_level(tree, at.level)[at.index], k, p)) {
                stack[held++] = tb_tree_child(at, k);
            }
        }
    }
    if (odd != NULL)
        *odd = met % 2 == 1;
    return turns;
}

/** A turn, as a complex number of any length. */
typedef struct Turn {
    double along, across;
} Turn;

/** Half the solid angle of a triangle about the origin. */
static Turn
half_angle(const TbVec3 t[3])
{
    double a = tb_vec3_length(t[0]), b = tb_vec3_length(t[1]), c = tb_vec3_length(t[2]);

    return (Turn){.along = a * b * c + tb_vec3_dot(t[0], t[1]) * c + tb_vec3_dot(t[1], t[2]) * a +
                           tb_vec3_dot(t[2], t[0]) * b,
                  .across = tb_vec3_dot(t[0], tb_vec3_cross(t[1], t[2]))};
}

/** So many turns are multiplied before their sum is taken, each at most this (its tangent): all
 * together less than a quarter turn. */
#define FEW_TURNS 8
#define SMALL_TURN 0.19

double
tb_mesh_angle_of(const TbMesh *mesh, size_t first, size_t count, TbVec3 p)
{
    Turn all = {1, 0};
    double sum = 0;
    int few = 0;

    for (size_t i = first; i < first + count; i++) {
        TbVec3 t[3];
        Turn turn;

        tb_mesh_corners(mesh, i, t);
        for (int k = 0; k < 3; k++)
            t[k] = tb_vec3_sub(t[k], p);
        turn = half_angle(t);
        if (!(fabs(turn.across) <= SMALL_TURN * turn.along)) {
            sum += atan2(turn.across, turn.along);
            continue;
        }
        all = (Turn){all.along * turn.along - all.across * turn.across,
                     all.along * turn.across + all.across * turn.along};
        if (++few < FEW_TURNS)
            continue;
        sum += atan2(all.across, all.along);
        all = (Turn){1, 0};
        few = 0;
    }
    return (sum + atan2(all.across, all.along)) / (2 * M_PI);
}

double
tb_mesh_angle(const TbMesh *mesh, TbVec3 p)
{
    double sum = 0;

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++)
        sum += tb_mesh_angle_of(mesh, i, 1, p);
    return sum;
}

double
tb_tree_winding(const TbTree *tree, TbVec3 p)
{
    const TbMesh *mesh = tb_tree_mesh(tree);

    return tb_mesh_facts(mesh).closed ? (double)tb_tree_turns(tree, p, NULL)
                                      : tb_mesh_angle(mesh, p);
}

TbStatus
tb_tree_lids(const TbTree *tree, const TbLids **lids)
{
    /* the one thing of a tree that comes later: whoever is first, the lids are the same */
    _Atomic(TbLids *) *kept = (_Atomic(TbLids *) *)&tree->lids;
    TbLids *there = atomic_load(kept), *made;
    TbStatus status;

    *lids = there;
    if (there != NULL)
        return TB_OK;
    status = tb_lids_new(tree->mesh, &made);
    if (status != TB_OK)
        return status;
    if (atomic_compare_exchange_strong(kept, &there, made)) {
        *lids = made;
    } else {
        tb_lids_free(made);
        *lids = there;
    }
    return TB_OK;
}
