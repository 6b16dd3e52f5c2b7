/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/tree.h"

#include "base/mem.h"
#include "geom/tol.h"

#include <stdatomic.h>

/** Splits by place go this deep; below, nodes are halved by count, 32 times at most. */
#define DEEP_BY_PLACE 64
_Static_assert(DEEP_BY_PLACE + 32 <= TB_TREE_DEEPEST, "halving 2^32 triangles takes 32 levels");

/** Triangles and nodes that one piece of a parallel loop takes. */
#define GRAIN 4096

struct TbTree {
    atomic_int references;
    TbMesh *mesh;
    TbTreeNode *node;
    uint32_t *order;
    size_t nodes;
};

/** A triangle while the tree is built: its box's centre and its number. */
typedef struct Item {
    float centre[3];
    uint32_t triangle;
} Item;

/** A node whose triangles are not yet divided. */
typedef struct Open {
    uint32_t node, from, to;
    int depth;
} Open;

typedef struct Build {
    const TbMesh *mesh;
    TbTree *tree;
    Item *item;
} Build;

/* ---- boxes ---- */

static float
float_below(double x)
{
    float f = (float)x;

    return (double)f <= x ? f : nextafterf(f, -INFINITY);
}

static float
float_above(double x)
{
    float f = (float)x;

    return (double)f >= x ? f : nextafterf(f, INFINITY);
}

static TbBox3
triangle_box(const TbMesh *mesh, size_t triangle)
{
    TbVec3 corner[3];
    TbBox3 box = tb_box3_empty();

    tb_mesh_corners(mesh, triangle, corner);
    for (int k = 0; k < 3; k++)
        box = tb_box3_with_point(box, corner[k]);
    return box;
}

static void
set_box(TbTreeNode *node, TbBox3 box)
{
    node->low[0] = float_below(box.low.x);
    node->low[1] = float_below(box.low.y);
    node->low[2] = float_below(box.low.z);
    node->high[0] = float_above(box.high.x);
    node->high[1] = float_above(box.high.y);
    node->high[2] = float_above(box.high.z);
}

/** How far x lies outside an interval. */
static double
outside(float low, float high, double x)
{
    if (x < (double)low)
        return (double)low - x;
    return x > (double)high ? x - (double)high : 0;
}

static double
node_distance2(const TbTreeNode *node, TbVec3 p)
{
    double x = outside(node->low[0], node->high[0], p.x);
    double y = outside(node->low[1], node->high[1], p.y);
    double z = outside(node->low[2], node->high[2], p.z);

    return x * x + y * y + z * z;
}

/* ---- build ---- */

static void
fill_items(void *data, size_t from, size_t to, int worker)
{
    Build *build = data;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        TbVec3 centre = tb_box3_centre(triangle_box(build->mesh, i));
        build->item[i] = (Item){{(float)centre.x, (float)centre.y, (float)centre.z}, (uint32_t)i};
    }
}

/** Longest side of the centres' box, and its middle. */
static int
longest_side(const Item *item, uint32_t from, uint32_t to, float *middle)
{
    float low[3] = {INFINITY, INFINITY, INFINITY};
    float high[3] = {-INFINITY, -INFINITY, -INFINITY};
    int axis = 0;

    for (uint32_t i = from; i < to; i++)
        for (int k = 0; k < 3; k++) {
            float x = item[i].centre[k];
            low[k] = x < low[k] ? x : low[k];
            high[k] = x > high[k] ? x : high[k];
        }
    for (int k = 1; k < 3; k++)
        if (high[k] - low[k] > high[axis] - low[axis])
            axis = k;
    *middle = low[axis] + (high[axis] - low[axis]) / 2;
    return axis;
}

/** Puts the items below the middle first; where they end. */
static uint32_t
divide(Item *item, uint32_t from, uint32_t to, int axis, float middle)
{
    while (from < to) {
        if (item[from].centre[axis] < middle) {
            from++;
        } else {
            Item swap = item[--to];
            item[to] = item[from];
            item[from] = swap;
        }
    }
    return from;
}

static void
make_leaf(Build *build, Open open)
{
    uint32_t *order = build->tree->order;
    TbTreeNode *node = &build->tree->node[open.node];

    node->first = open.from;
    node->count = open.to - open.from;
    for (uint32_t i = open.from; i < open.to; i++) {
        uint32_t triangle = build->item[i].triangle;
        uint32_t k = i;
        for (; k > open.from && order[k - 1] > triangle; k--)
            order[k] = order[k - 1];
        order[k] = triangle;
    }
}

/** Nodes in the order of a walk that takes left children first; both children stand together. */
static void
divide_all(Build *build)
{
    Open stack[TB_TREE_STACK];
    int held = 0;
    TbTree *tree = build->tree;

    tree->nodes = 1;
    stack[held++] = (Open){0, 0, (uint32_t)tb_mesh_triangle_count(build->mesh), 0};
    while (held > 0) {
        Open open = stack[--held];
        uint32_t cut = open.from;
        float middle;

        if (open.to - open.from <= TB_TREE_LEAF) {
            make_leaf(build, open);
            continue;
        }
        if (open.depth < DEEP_BY_PLACE) {
            int axis = longest_side(build->item, open.from, open.to, &middle);
            cut = divide(build->item, open.from, open.to, axis, middle);
        }
        /* all centres in one place, or very deep: by count */
        if (cut == open.from || cut == open.to)
            cut = open.from + (open.to - open.from) / 2;
        tree->node[open.node].first = (uint32_t)tree->nodes;
        tree->node[open.node].count = 0;
        TB_ASSERT(held + 2 <= TB_TREE_STACK);
        stack[held++] = (Open){(uint32_t)tree->nodes + 1, cut, open.to, open.depth + 1};
        stack[held++] = (Open){(uint32_t)tree->nodes, open.from, cut, open.depth + 1};
        tree->nodes += 2;
    }
}

static void
fill_leaf_boxes(void *data, size_t from, size_t to, int worker)
{
    Build *build = data;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        TbTreeNode *node = &build->tree->node[i];
        TbBox3 box = tb_box3_empty();
        for (uint32_t k = 0; k < node->count; k++)
            box =
                tb_box3_union(box, triangle_box(build->mesh, build->tree->order[node->first + k]));
        if (node->count > 0)
            set_box(node, box);
    }
}

/** Children stand behind their parents, so one walk backwards does. */
static void
fill_inner_boxes(TbTree *tree)
{
    for (size_t i = tree->nodes; i-- > 0;) {
        TbTreeNode *node = &tree->node[i];
        const TbTreeNode *child = &tree->node[node->first];
        if (node->count > 0)
            continue;
        for (int k = 0; k < 3; k++) {
            node->low[k] = fminf(child[0].low[k], child[1].low[k]);
            node->high[k] = fmaxf(child[0].high[k], child[1].high[k]);
        }
    }
}

static TbStatus
fill_tree(Build *build, TbWork *work, TbTask *task, TbFault *fault)
{
    size_t triangles = tb_mesh_triangle_count(build->mesh);
    TbTree *tree = build->tree;
    TbTreeNode *fitted;

    if (tb_work_for(work, task, triangles, GRAIN, fill_items, build) != TB_OK)
        return tb_fail(fault, TB_E_CANCELLED, "stopped while building a tree");
    divide_all(build);
    if (tb_work_for(work, task, tree->nodes, GRAIN, fill_leaf_boxes, build) != TB_OK)
        return tb_fail(fault, TB_E_CANCELLED, "stopped while building a tree");
    fill_inner_boxes(tree);
    fitted = tb_resize_array(tree->node, tree->nodes, sizeof *tree->node);
    if (fitted == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a tree of %zu triangles", triangles);
    tree->node = fitted;
    return TB_OK;
}

TbStatus
tb_tree_new(TbMesh *mesh, TbWork *work, TbTask *task, TbTree **tree, TbFault *fault)
{
    size_t triangles = tb_mesh_triangle_count(mesh);
    Build build = {mesh, NULL, NULL};
    TbStatus status;

    build.tree = tb_alloc(sizeof *build.tree);
    if (build.tree != NULL) {
        atomic_init(&build.tree->references, 1);
        /* every leaf holds a triangle, so there are at most twice as many nodes, less one */
        build.tree->node = tb_alloc_array(2 * triangles, sizeof *build.tree->node);
        build.tree->order = tb_alloc_array(triangles, sizeof *build.tree->order);
        build.item = tb_alloc_array(triangles, sizeof *build.item);
    }
    if (build.tree == NULL || build.tree->node == NULL || build.tree->order == NULL ||
        build.item == NULL)
        status = tb_fail(fault, TB_E_MEMORY, "no room for a tree of %zu triangles", triangles);
    else
        status = fill_tree(&build, work, task, fault);
    tb_free(build.item);
    if (status != TB_OK) {
        tb_tree_unref(build.tree);
        return status;
    }
    build.tree->mesh = tb_mesh_ref(mesh);
    *tree = build.tree;
    return TB_OK;
}

TbTree *
tb_tree_ref(TbTree *tree)
{
    atomic_fetch_add(&tree->references, 1);
    return tree;
}

void
tb_tree_unref(TbTree *tree)
{
    if (tree == NULL || atomic_fetch_sub(&tree->references, 1) > 1)
        return;
    tb_mesh_unref(tree->mesh);
    tb_free(tree->node);
    tb_free(tree->order);
    tb_free(tree);
}

const TbMesh *
tb_tree_mesh(const TbTree *tree)
{
    return tree->mesh;
}

const TbTreeNode *
tb_tree_nodes(const TbTree *tree)
{
    return tree->node;
}

size_t
tb_tree_node_count(const TbTree *tree)
{
    return tree->nodes;
}

const uint32_t *
tb_tree_order(const TbTree *tree)
{
    return tree->order;
}

/* ---- nearest ---- */

static void
try_leaf(const TbTree *tree, const TbTreeNode *node, TbVec3 p, TbTreeHit *best)
{
    TbVec3 corner[3];

    for (uint32_t k = 0; k < node->count; k++) {
        uint32_t triangle = tree->order[node->first + k];
        TbNearest near;
        tb_mesh_corners(tree->mesh, triangle, corner);
        near = tb_point_triangle(p, corner);
        if (near.distance < best->nearest.distance ||
            (near.distance <= best->nearest.distance && triangle < best->triangle))
            *best = (TbTreeHit){near, triangle};
    }
}

TbTreeHit
tb_tree_nearest(const TbTree *tree, TbVec3 p, double beyond)
{
    struct {
        uint32_t node;
        double distance2;
    } stack[TB_TREE_STACK];
    int held = 0;
    TbTreeHit best = {{beyond, p, p}, UINT32_MAX};

    stack[held].node = 0;
    stack[held++].distance2 = node_distance2(&tree->node[0], p);
    while (held > 0) {
        /* what rounds to a tie must be looked at, or ties would depend on the walk */
        double reach = best.nearest.distance + TB_TOL_ROUND;
        const TbTreeNode *node = &tree->node[stack[--held].node];
        double near2, far2;
        uint32_t near;

        if (stack[held].distance2 > reach * reach)
            continue;
        if (node->count > 0) {
            try_leaf(tree, node, p, &best);
            continue;
        }
        near = node->first;
        near2 = node_distance2(&tree->node[near], p);
        far2 = node_distance2(&tree->node[near + 1], p);
        if (far2 < near2) {
            double swap = near2;
            near2 = far2;
            far2 = swap;
            near++;
        }
        stack[held].node = near == node->first ? near + 1 : node->first;
        stack[held++].distance2 = far2;
        stack[held].node = near;
        stack[held++].distance2 = near2;
    }
    if (best.triangle == UINT32_MAX)
        best.nearest.distance = INFINITY;
    return best;
}
