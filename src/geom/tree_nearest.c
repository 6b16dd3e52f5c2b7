/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/tol.h"
#include "geom/tree.h"

/** How far x lies outside an interval. */
static double
outside(float low, float high, double x)
{
    if (x < (double)low)
        return (double)low - x;
    return x > (double)high ? x - (double)high : 0;
}

static double
child_distance2(const TbTreeNode *node, int k, TbVec3 p)
{
    double x = outside(node->low[0][k], node->high[0][k], p.x);
    double y = outside(node->low[1][k], node->high[1][k], p.y);
    double z = outside(node->low[2][k], node->high[2][k], p.z);

    return x * x + y * y + z * z;
}

static void
try_leaf(const TbTree *tree, TbTreeAt leaf, TbVec3 p, TbTreeHit *best)
{
    int count = tb_tree_children(tree, leaf);

    for (int k = 0; k < count; k++) {
        uint32_t place = tb_tree_triangle(leaf, k);
        uint32_t number = tb_tree_numbers(tree)[place];
        TbVec3 corner[3];
        TbNearest near;

        tb_mesh_corners(tb_tree_mesh(tree), place, corner);
        near = tb_point_triangle(p, corner);
        if (near.distance < best->nearest.distance ||
            (near.distance <= best->nearest.distance && number < best->triangle))
            *best = (TbTreeHit){near, number, place};
    }
}

TbTreeHit
tb_tree_nearest(const TbTree *tree, TbVec3 p, double beyond)
{
    struct Open {
        TbTreeAt at;
        double distance2;
    } stack[TB_TREE_STACK];
    int held = 0;
    TbTreeHit best = {{beyond, p, p}, UINT32_MAX, UINT32_MAX};

    stack[held++] = (struct Open){tb_tree_root(tree), 0};
    while (held > 0) {
        /* what rounds to a tie must be looked at, or ties would depend on the walk */
        double reach = best.nearest.distance + TB_TOL_ROUND;
        struct Open open = stack[--held];
        int first = held;

        if (open.distance2 > reach * reach)
            continue;
        if (open.at.level == 0) {
            try_leaf(tree, open.at, p, &best);
            continue;
        }
        for (int k = 0; k < tb_tree_children(tree, open.at); k++) {
            const TbTreeNode *node = &tb_tree_level(tree, open.at.level)[open.at.index];
            double d2 = child_distance2(node, k, p);
            int i = held++;
            for (; i > first && stack[i - 1].distance2 < d2; i--)
                stack[i] = stack[i - 1];
            stack[i] = (struct Open){tb_tree_child(open.at, k), d2};
        }
    }
    if (best.triangle == UINT32_MAX)
        best.nearest.distance = INFINITY;
    return best;
}
