/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Building a tree is putting triangles in order. A range of blocks (of 8, 64, 512, ... triangles)
 * is divided at a border of blocks nearest its middle: the lower ones by the centre along the
 * longest side of the centres' box come first. Each half is divided again, until all ranges are
 * leaves. Centres are whole numbers on a grid over the mesh's box; equal ones are told apart by the
 * triangle's number, so every order is strict and the tree depends on the mesh alone.
 */
#include "base/mem.h"
#include "geom/mesh_private.h"
#include "geom/tree_private.h"

/** Triangles that one piece of a parallel loop takes. */
#define GRAIN 8192

/** The grid's highest place: an int32_t holds it also when it is reached with rounding. */
#define GRID_TOP 2147483000.0

/** Ranges up to this long are put in order whole. */
#define FEW 24

/** After so many divisions of one range the values are halved, not the items: 64 halvings are all
 * there are. */
#define MOST_ROUNDS 40

/** A triangle: its box's centre on the grid, and its number. */
typedef struct Item {
    int32_t at[3];
    uint32_t number;
} Item;

typedef struct Build {
    const TbMesh *mesh;
    TbTree *tree;
    Item *item;
    double scale; /**< grid steps a mm */
} Build;

/* ---- centres ---- */

static int32_t
grid_place(double low, double high, double origin, double scale)
{
    double x = (0.5 * low + 0.5 * high - origin) * scale;

    return x > 0 ? x < GRID_TOP ? (int32_t)x : (int32_t)GRID_TOP : 0;
}

static void
fill_items(void *data, size_t from, size_t to, int worker)
{
    const Build *build = data;
    const TbVec3 origin = build->mesh->box.low;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        TbVec3 corner[3];
        TbBox3 box = tb_box3_empty();
        Item *item = &build->item[i];
        tb_mesh_corners(build->mesh, i, corner);
        for (int k = 0; k < 3; k++)
            box = tb_box3_with_point(box, corner[k]);
        item->at[0] = grid_place(box.low.x, box.high.x, origin.x, build->scale);
        item->at[1] = grid_place(box.low.y, box.high.y, origin.y, build->scale);
        item->at[2] = grid_place(box.low.z, box.high.z, origin.z, build->scale);
        item->number = (uint32_t)i;
    }
}

/** 0 when the mesh is a point, or too large or small to be counted: then numbers alone decide. */
static double
grid_scale(const TbMesh *mesh)
{
    TbVec3 side = tb_vec3_sub(mesh->box.high, mesh->box.low);
    double scale = GRID_TOP / fmax(side.x, fmax(side.y, side.z));

    return isfinite(scale) ? scale : 0;
}

/* ---- dividing a range ---- */

static uint64_t
rank_of(const Item *item, int axis)
{
    return (uint64_t)(uint32_t)item->at[axis] << 32 | item->number;
}

static int
longest_side(const Item item[], size_t count)
{
    int32_t low[3] = {INT32_MAX, INT32_MAX, INT32_MAX};
    int32_t high[3] = {0, 0, 0};
    int axis = 0;

    for (size_t i = 0; i < count; i++)
        for (int k = 0; k < 3; k++) {
            int32_t x = item[i].at[k];
            low[k] = x < low[k] ? x : low[k];
            high[k] = x > high[k] ? x : high[k];
        }
    for (int k = 1; k < 3; k++)
        if (high[k] - low[k] > high[axis] - low[axis])
            axis = k;
    return axis;
}

static void
sort_few(Item item[], size_t count, int axis)
{
    for (size_t i = 1; i < count; i++) {
        Item moving = item[i];
        uint64_t rank = rank_of(&moving, axis);
        size_t k = i;
        for (; k > 0 && rank_of(&item[k - 1], axis) > rank; k--)
            item[k] = item[k - 1];
        item[k] = moving;
    }
}

/** Items below a rank first; how many. Without branches that depend on the items. */
static size_t
divide(Item item[], size_t count, int axis, uint64_t rank)
{
    size_t below = 0;

    for (size_t i = 0; i < count; i++) {
        Item moving = item[i];
        item[i] = item[below];
        item[below] = moving;
        below += rank_of(&moving, axis) < rank;
    }
    return below;
}

static uint64_t
middle_of_three(uint64_t a, uint64_t b, uint64_t c)
{
    uint64_t low = a < b ? a : b, high = a < b ? b : a;

    return c < low ? low : c > high ? high : c;
}

/** Above the lowest rank, not above the highest: halves what lies between. */
static uint64_t
middle_of_all(const Item item[], size_t count, int axis)
{
    uint64_t low = UINT64_MAX, high = 0;

    for (size_t i = 0; i < count; i++) {
        uint64_t rank = rank_of(&item[i], axis);
        low = rank < low ? rank : low;
        high = rank > high ? rank : high;
    }
    return low + (high - low) / 2 + 1;
}

/** The first @p first items are then those of the lowest ranks. */
static void
select_lowest(Item item[], size_t count, size_t first, int axis)
{
    for (int round = 0; count > FEW; round++) {
        uint64_t rank = round < MOST_ROUNDS ? middle_of_three(rank_of(&item[0], axis),
                                                              rank_of(&item[count / 2], axis),
                                                              rank_of(&item[count - 1], axis))
                                            : middle_of_all(item, count, axis);
        size_t below = divide(item, count, axis, rank);
        if (below == 0) /* it was the lowest of all */
            below = divide(item, count, axis, rank + 1);
        if (below == first)
            return;
        if (below > first) {
            count = below;
        } else {
            item += below;
            count -= below;
            first -= below;
        }
    }
    sort_few(item, count, axis);
}

static void
sort_leaf(Item item[], size_t count)
{
    for (size_t i = 1; i < count; i++) {
        Item moving = item[i];
        size_t k = i;
        for (; k > 0 && item[k - 1].number > moving.number; k--)
            item[k] = item[k - 1];
        item[k] = moving;
    }
}

/** @param block a power of 8, at whose multiples the range begins */
static void
divide_all(Item item[], size_t count, size_t block)
{
    while (count > TB_TREE_WIDE) {
        size_t first;
        int axis;
        while (block >= count)
            block /= TB_TREE_WIDE;
        first = ((count + block - 1) / block + 1) / 2 * block;
        axis = longest_side(item, count);
        select_lowest(item, count, first, axis);
        divide_all(item, first, block);
        item += first;
        count -= first;
    }
    sort_leaf(item, count);
}

/* ---- the tree ---- */

static TbStatus
put_in_order(Build *build, TbWork *work, TbTask *task, TbFault *fault)
{
    size_t triangles = build->mesh->triangles;
    size_t block = TB_TREE_WIDE;
    TbTree *tree = build->tree;
    TbStatus status;

    build->scale = grid_scale(build->mesh);
    if (tb_work_for(work, task, triangles, GRAIN, fill_items, build) != TB_OK)
        return tb_fail(fault, TB_E_CANCELLED, "stopped while building a tree");
    while (block < triangles)
        block *= TB_TREE_WIDE;
    divide_all(build->item, triangles, block);
    for (size_t i = 0; i < triangles; i++)
        tree->numbers[i] = build->item[i].number;
    TB_CLEAR(build->item);
    status = tb_mesh__in_order(build->mesh, tree->numbers, task, &tree->mesh, fault);
    if (status == TB_OK && tb_tree__fill_boxes(tree, work, task) != TB_OK)
        status = tb_fail(fault, TB_E_CANCELLED, "stopped while building a tree");
    return status;
}

TbStatus
tb_tree_new(TbMesh *mesh, TbWork *work, TbTask *task, TbTree **tree, TbFault *fault)
{
    size_t triangles = tb_mesh_triangle_count(mesh);
    Build build = {mesh, tb_tree__room(triangles), NULL, 0};
    TbStatus status;

    if (build.tree != NULL)
        build.item = tb_alloc_array(triangles, sizeof *build.item);
    if (build.item == NULL)
        status = tb_fail(fault, TB_E_MEMORY, "no room for a tree of %zu triangles", triangles);
    else
        status = put_in_order(&build, work, task, fault);
    tb_free(build.item);
    if (status != TB_OK) {
        tb_tree_unref(build.tree);
        return status;
    }
    *tree = build.tree;
    return TB_OK;
}

TbStatus
tb_tree_moved(
    const TbTree *tree, TbPose pose, TbWork *work, TbTask *task, TbTree **moved, TbFault *fault)
{
    TbMesh *mesh = tb_mesh_moved(tree->mesh, pose);
    TbTree *made = NULL;
    TbStatus status;

    if (mesh == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a tree of %zu triangles",
                       tree->mesh->triangles);
    status = tb_tree_new(mesh, work, task, &made, fault);
    tb_mesh_unref(mesh);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < made->mesh->triangles; i++)
        made->numbers[i] = tree->numbers[made->numbers[i]];
    *moved = made;
    return TB_OK;
}
