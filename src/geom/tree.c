/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/tree.h"

#include "base/mem.h"
#include "geom/lids.h"
#include "geom/mesh_private.h"
#include "geom/tree_private.h"

_Static_assert(TB_MESH__MOST_FACES / TB_TREE_WIDE < (size_t)1 << TB_TREE_INDEX_BITS,
               "a packed place holds every leaf");
_Static_assert(TB_TREE_MOST_LEVELS < 1 << (32 - TB_TREE_INDEX_BITS),
               "a packed place holds every level");
_Static_assert(TB_MESH__MOST_FACES < (size_t)1 << (3 * (TB_TREE_MOST_LEVELS + 1)),
               "there are levels enough for the largest mesh");

/** Leaves or nodes that one piece of a parallel loop takes. */
#define GRAIN 1024

/* ---- room ---- */

static size_t
parents(size_t count)
{
    return (count + TB_TREE_WIDE - 1) / TB_TREE_WIDE;
}

size_t
tb_tree__nodes(size_t triangles)
{
    size_t count = parents(triangles);
    size_t nodes = 0;

    do {
        count = parents(count);
        nodes += count;
    } while (count > 1);
    return nodes;
}

/** Cuts the room into levels. */
static void
lay_out(TbTree *tree, size_t triangles)
{
    uintptr_t from = (uintptr_t)tree->room;
    size_t align = _Alignof(TbTreeNode);
    TbTreeNode *next = (TbTreeNode *)((char *)tree->room + (align - from % align) % align);

    tree->count[0] = parents(triangles);
    do {
        tree->levels++;
        tree->count[tree->levels] = parents(tree->count[tree->levels - 1]);
        tree->level[tree->levels] = next;
        next += tree->count[tree->levels];
    } while (tree->count[tree->levels] > 1);
    tree->slabs = (TbTreeSlabs *)next;
}

/** Bytes of all nodes and slabs; one node more: the room may begin off the alignment of a node. */
static size_t
room_of(size_t triangles)
{
    return (tb_tree__nodes(triangles) + 1) * sizeof(TbTreeNode) +
           parents(parents(triangles)) * sizeof(TbTreeSlabs);
}

TbTree *
tb_tree__room(size_t triangles)
{
    TbTree *tree = tb_alloc(sizeof *tree);

    if (tree == NULL)
        return NULL;
    atomic_init(&tree->references, 1);
    tree->numbers = tb_alloc_array(triangles, sizeof *tree->numbers);
    tree->room = tb_alloc(room_of(triangles));
    if (tree->numbers == NULL || tree->room == NULL) {
        tb_tree_unref(tree);
        return NULL;
    }
    lay_out(tree, triangles);
    return tree;
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
    tb_lids_free(atomic_load(&tree->lids));
    tb_free(tree->numbers);
    tb_free(tree->room);
    tb_free(tree);
}

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
set_leaf_box(TbTreeNode *node, int k, TbBox3 box)
{
    node->low[0][k] = float_below(box.low.x);
    node->low[1][k] = float_below(box.low.y);
    node->low[2][k] = float_below(box.low.z);
    node->high[0][k] = float_above(box.high.x);
    node->high[1][k] = float_above(box.high.y);
    node->high[2][k] = float_above(box.high.z);
}

static void
set_nowhere(TbTreeNode *node, int k)
{
    for (int axis = 0; axis < 3; axis++) {
        node->low[axis][k] = TB_TREE_NOWHERE;
        node->high[axis][k] = -TB_TREE_NOWHERE;
    }
}

static void
set_node_box(TbTreeNode *node, int k, const TbTreeNode *child)
{
    for (int axis = 0; axis < 3; axis++) {
        float low = child->low[axis][0], high = child->high[axis][0];
        for (int i = 1; i < TB_TREE_WIDE; i++) {
            low = child->low[axis][i] < low ? child->low[axis][i] : low;
            high = child->high[axis][i] > high ? child->high[axis][i] : high;
        }
        node->low[axis][k] = low;
        node->high[axis][k] = high;
    }
}

/** A leaf's corners, three a triangle. @return how many triangles */
static size_t
leaf_corners(const TbTree *tree, size_t leaf, TbVec3 corner[3 * TB_TREE_WIDE])
{
    size_t from = TB_TREE_WIDE * leaf, left = tree->mesh->triangles - from;
    size_t count = left < TB_TREE_WIDE ? left : TB_TREE_WIDE;

    for (size_t i = 0; i < count; i++)
        tb_mesh_corners(tree->mesh, from + i, corner + 3 * i);
    return count;
}

/** A unit direction in steps of TB_TREE_NORMAL; 0 where there is no area, or one whose square
 * overflows or is all but lost: no step is above 127. */
static TbVec3
stepped(TbVec3 n)
{
    double square = tb_vec3_length2(n), k;

    if (!isnormal(square))
        return tb_vec3(0, 0, 0);
    k = 1 / (TB_TREE_NORMAL * sqrt(square));
    return tb_vec3(nearbyint(n.x * k), nearbyint(n.y * k), nearbyint(n.z * k));
}

static void
set_slab(const TbTreeNode *node, int k, const TbVec3 corner[], size_t triangles, TbTreeSlabs *slabs)
{
    TbVec3 middle = {(double)(0.5f * (node->low[0][k] + node->high[0][k])),
                     (double)(0.5f * (node->low[1][k] + node->high[1][k])),
                     (double)(0.5f * (node->low[2][k] + node->high[2][k]))};
    TbVec3 n = tb_vec3(0, 0, 0);
    double low = INFINITY, high = -INFINITY;

    /* a thin sheet's two sides are often in one leaf: theirs must not take each other away */
    for (const TbVec3 *c = corner; c < corner + 3 * triangles; c += 3) {
        TbVec3 area = tb_vec3_cross(tb_vec3_sub(c[1], c[0]), tb_vec3_sub(c[2], c[0]));

        n = tb_vec3_dot(n, area) < 0 ? tb_vec3_sub(n, area) : tb_vec3_add(n, area);
    }
    n = stepped(n);
    slabs->normal[0][k] = (int8_t)n.x;
    slabs->normal[1][k] = (int8_t)n.y;
    slabs->normal[2][k] = (int8_t)n.z;
    n = tb_vec3_scale(n, TB_TREE_NORMAL);
    for (size_t i = 0; i < 3 * triangles; i++) {
        double at = tb_vec3_dot(tb_vec3_sub(corner[i], middle), n);

        low = at < low ? at : low;
        high = at > high ? at : high;
    }
    slabs->low[k] = float_below(low);
    slabs->high[k] = float_above(high);
}

static void
set_leaf(const TbTree *tree, TbTreeNode *node, int k, size_t leaf)
{
    TbVec3 corner[3 * TB_TREE_WIDE];
    size_t triangles = leaf_corners(tree, leaf, corner);
    TbBox3 box = tb_box3_empty();

    for (size_t i = 0; i < 3 * triangles; i++)
        box = tb_box3_with_point(box, corner[i]);
    set_leaf_box(node, k, box);
    set_slab(node, k, corner, triangles, &tree->slabs[leaf / TB_TREE_WIDE]);
}

typedef struct Fill {
    TbTree *tree;
    int level;
} Fill;

static void
fill_nodes(void *data, size_t from, size_t to, int worker)
{
    const Fill *fill = data;
    const TbTree *tree = fill->tree;
    size_t below = tree->count[fill->level - 1];

    (void)worker;
    for (size_t n = from; n < to; n++) {
        TbTreeNode *node = &tree->level[fill->level][n];
        for (int k = 0; k < TB_TREE_WIDE; k++) {
            size_t child = TB_TREE_WIDE * n + (size_t)k;
            if (child >= below)
                set_nowhere(node, k);
            else if (fill->level == 1)
                set_leaf(tree, node, k, child);
            else
                set_node_box(node, k, &tree->level[fill->level - 1][child]);
        }
    }
}

TbStatus
tb_tree__fill_boxes(TbTree *tree, TbWork *work, TbTask *task)
{
    for (int level = 1; level <= tree->levels; level++) {
        Fill fill = {tree, level};
        if (tb_work_for(work, task, tree->count[level], GRAIN, fill_nodes, &fill) != TB_OK)
            return TB_E_CANCELLED;
    }
    return TB_OK;
}

/* ---- looking ---- */

const TbMesh *
tb_tree_mesh(const TbTree *tree)
{
    return tree->mesh;
}

const uint32_t *
tb_tree_numbers(const TbTree *tree)
{
    return tree->numbers;
}

int
tb_tree_levels(const TbTree *tree)
{
    return tree->levels;
}

const TbTreeNode *
tb_tree_level(const TbTree *tree, int level)
{
    TB_ASSERT(level >= 1 && level <= tree->levels);
    return tree->level[level];
}

const TbTreeSlabs *
tb_tree_slabs(const TbTree *tree)
{
    return tree->slabs;
}

size_t
tb_tree_level_count(const TbTree *tree, int level)
{
    TB_ASSERT(level >= 0 && level <= tree->levels);
    return tree->count[level];
}

TbTreeAt
tb_tree_root(const TbTree *tree)
{
    return (TbTreeAt){0, tree->levels};
}

int
tb_tree_children(const TbTree *tree, TbTreeAt at)
{
    size_t below = at.level > 0 ? tree->count[at.level - 1] : tree->mesh->triangles;
    size_t left = below - TB_TREE_WIDE * (size_t)at.index;

    return left < TB_TREE_WIDE ? (int)left : TB_TREE_WIDE;
}

TbBox3
tb_tree_child_box(const TbTree *tree, TbTreeAt at, int k)
{
    const TbTreeNode *node;

    if (at.level == 0)
        return triangle_box(tree->mesh, tb_tree_triangle(at, k));
    node = &tree->level[at.level][at.index];
    return (TbBox3){{(double)node->low[0][k], (double)node->low[1][k], (double)node->low[2][k]},
                    {(double)node->high[0][k], (double)node->high[1][k], (double)node->high[2][k]}};
}

TbBox3
tb_tree_box(const TbTree *tree, TbTreeAt at)
{
    if (at.level == tree->levels)
        return tree->mesh->box;
    return tb_tree_child_box(tree, (TbTreeAt){at.index / TB_TREE_WIDE, at.level + 1},
                             (int)(at.index % TB_TREE_WIDE));
}
