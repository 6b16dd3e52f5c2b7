/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Building a tree is putting triangles in order. A range of blocks (of 8, 64, 512, ... triangles)
 * is divided at the border of blocks nearest its middle: the lower ones by the centre along the
 * longest side of the centres' box come first. Each half is divided again, until all ranges are
 * leaves. Centres are whole numbers on a grid over the mesh's box; equal ones are told apart by the
 * triangle's number, so every order is strict and a tree depends on its mesh alone.
 *
 * A range is divided by selecting, not by sorting: about a rank guessed from a sample, a little
 * beyond the border, so that the border lies in the smaller rest (R. W. Floyd and R. L. Rivest,
 * "Expected time bounds for selection", Comm. ACM 18, 1975, 165-172). Should samples mislead, the
 * ranks' range is halved instead, so no mesh takes longer than its size times a constant a level.
 */
#include "base/mem.h"
#include "geom/mesh_private.h"
#include "geom/tree_private.h"

#include <string.h>

/** Triangles that one piece of a parallel loop takes. */
#define GRAIN 8192

/** The grid's highest place: an int32_t holds it also when it is reached with rounding. */
#define GRID_TOP 2147483000.0

/** Ranges up to this long are put in order whole. */
#define FEW 16

/** Members of a sample at most, and items a member. */
#define MOST_SAMPLES 512
#define SAMPLE_SHARE 16

/** After so many rounds for one border the ranks are halved, 64 times at most, not guessed. */
#define MOST_ROUNDS 32

/** Ranges that are divided side by side once there are so many; how often all are halved first. */
#define WAVES 6
#define RANGES (1 << WAVES)

/** Share of the time it takes until triangles are in order, and until the mesh is. */
#define ORDER_SHARE 0.7
#define MESH_SHARE 0.9

/** A triangle: its box's centre on the grid, and its number. */
typedef struct Item {
    int32_t at[3];
    uint32_t number;
} Item;

typedef int32_t Four __attribute__((vector_size(16)));

/** Items that are to be divided; they begin at a multiple of the block, a power of 8. */
typedef struct Range {
    size_t from, count, block;
} Range;

typedef struct Build {
    const TbMesh *mesh;
    TbTree *tree;
    TbTask *task;
    Item *item;
    double scale; /**< grid steps a mm */
    Range range[RANGES];
    size_t ranges;
    atomic_size_t done; /**< triangles that are in their leaves */
} Build;

/* ---- centres ---- */

static int32_t
grid_place(double a, double b, double c, double origin, double scale)
{
    double low = tb_box3__lower(tb_box3__lower(a, b), c);
    double high = tb_box3__higher(tb_box3__higher(a, b), c);
    double x = (0.5 * low + 0.5 * high - origin) * scale;

    return x > 0 ? x < GRID_TOP ? (int32_t)x : (int32_t)GRID_TOP : 0;
}

static void
fill_items(void *data, size_t from, size_t to, int worker)
{
    const Build *build = data;
    const TbVec3 *vertex = build->mesh->vertex;
    TbVec3 origin = build->mesh->box.low;
    double scale = build->scale;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        const uint32_t *index = build->mesh->index + 3 * i;
        const TbVec3 a = vertex[index[0]], b = vertex[index[1]], c = vertex[index[2]];
        Item *item = &build->item[i];
        item->at[0] = grid_place(a.x, b.x, c.x, origin.x, scale);
        item->at[1] = grid_place(a.y, b.y, c.y, origin.y, scale);
        item->at[2] = grid_place(a.z, b.z, c.z, origin.z, scale);
        item->number = (uint32_t)i;
    }
}

/** 0 when the mesh is a point, or too large or small to be counted: then numbers alone decide. */
static double
grid_scale(const TbMesh *mesh)
{
    TbVec3 side = tb_vec3_sub(mesh->box.high, mesh->box.low);
    double longest = fmax(side.x, fmax(side.y, side.z));
    double scale = longest > 0 ? GRID_TOP / longest : 0;

    return isfinite(scale) ? scale : 0;
}

/* ---- selecting ---- */

static inline uint64_t
rank_of(const Item *item, int axis)
{
    return (uint64_t)(uint32_t)item->at[axis] << 32 | item->number;
}

static inline Four
four_of(const Item *item)
{
    Four four;

    memcpy(&four, item, sizeof four);
    return four;
}

static inline Four
four_lower(Four a, Four b)
{
    Four mask = b < a;

    return (b & mask) | (a & ~mask);
}

static inline Four
four_higher(Four a, Four b)
{
    Four mask = b > a;

    return (b & mask) | (a & ~mask);
}

static int
longest_side(const Item item[], size_t count)
{
    Four low[2] = {four_of(&item[0]), four_of(&item[count - 1])};
    Four high[2] = {low[0], low[1]};
    Four side;
    int axis = 0;

    for (size_t i = 0; i + 2 <= count; i += 2) {
        Four even = four_of(&item[i]), odd = four_of(&item[i + 1]);
        low[0] = four_lower(low[0], even);
        high[0] = four_higher(high[0], even);
        low[1] = four_lower(low[1], odd);
        high[1] = four_higher(high[1], odd);
    }
    side = four_higher(high[0], high[1]) - four_lower(low[0], low[1]);
    for (int k = 1; k < 3; k++)
        if (side[k] > side[axis])
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

/** Items below a rank come first; how many. No branch depends on the items. */
static size_t
divide(Item item[], size_t count, int axis, uint64_t rank)
{
    size_t below = 0;

    for (size_t i = 0; i < count; i++) {
        Four moving = four_of(&item[i]);
        size_t is_below = rank_of(&item[i], axis) < rank;
        item[i] = item[below];
        memcpy(&item[below], &moving, sizeof moving);
        below += is_below;
    }
    return below;
}

/** The same for ranks alone. */
static size_t
divide_ranks(uint64_t rank[], size_t count, uint64_t middle)
{
    size_t below = 0;

    for (size_t i = 0; i < count; i++) {
        uint64_t moving = rank[i];
        rank[i] = rank[below];
        rank[below] = moving;
        below += moving < middle;
    }
    return below;
}

/** The rank that @p place others are lower than, or nearly: this is a guess's guess. */
static uint64_t
nearly_at(uint64_t rank[], size_t count, size_t place)
{
    while (count > 8) {
        uint64_t a = rank[0], b = rank[count / 2], c = rank[count - 1];
        uint64_t low = a < b ? a : b, high = a < b ? b : a;
        uint64_t middle = c < low ? low : c > high ? high : c;
        size_t below = divide_ranks(rank, count, middle);
        if (below == place || below == 0)
            return middle;
        if (below > place) {
            count = below;
        } else {
            rank += below;
            count -= below;
            place -= below;
        }
    }
    for (size_t i = 1; i < count; i++) {
        uint64_t moving = rank[i];
        size_t k = i;
        for (; k > 0 && rank[k - 1] > moving; k--)
            rank[k] = rank[k - 1];
        rank[k] = moving;
    }
    return rank[place];
}

/** A rank a little beyond the border, as seen from its nearer end. */
static uint64_t
guess(const Item item[], size_t count, size_t first, int axis)
{
    uint64_t sample[MOST_SAMPLES];
    size_t members = count / SAMPLE_SHARE < MOST_SAMPLES ? count / SAMPLE_SHARE : MOST_SAMPLES;
    size_t step, place;
    uint32_t dice = 1;
    double share = (double)first / (double)count;
    double beyond;

    members = members < 5 ? 5 : members;
    step = count / members;
    /* scattered, for triangles may come in rows */
    for (size_t i = 0; i < members; i++) {
        dice = 1664525 * dice + 1013904223;
        sample[i] =
            rank_of(&item[i * step + (size_t)(((dice >> 16) * (uint64_t)step) >> 16)], axis);
    }
    beyond = sqrt((double)members * share * (1 - share)) + 0.5;
    beyond = (double)members * share + (share < 0.5 ? beyond : -beyond);
    place = beyond < 0 ? 0 : beyond < (double)members ? (size_t)beyond : members - 1;
    return nearly_at(sample, members, place);
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
        uint64_t rank = round < MOST_ROUNDS ? guess(item, count, first, axis)
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
        if (first == 0 || first == count)
            return;
    }
    sort_few(item, count, axis);
}

/* ---- dividing ---- */

/** @return items of the first half; 0 for a leaf, which has none */
static size_t
divide_range(Item item[], size_t count, size_t *block)
{
    size_t first;

    if (count <= TB_TREE_WIDE)
        return 0;
    while (*block >= count)
        *block /= TB_TREE_WIDE;
    first = ((count + *block - 1) / *block + 1) / 2 * *block;
    select_lowest(item, count, first, longest_side(item, count));
    return first;
}

static void
finish_leaf(const Item item[], size_t count, uint32_t number[])
{
    for (size_t i = 0; i < count; i++) {
        size_t k = i;
        for (; k > 0 && number[k - 1] > item[i].number; k--)
            number[k] = number[k - 1];
        number[k] = item[i].number;
    }
}

/** @param number of the range's triangles, in the tree's order */
static void
divide_all(Item item[], uint32_t number[], size_t count, size_t block)
{
    for (size_t first; (first = divide_range(item, count, &block)) > 0;) {
        divide_all(item, number, first, block);
        item += first;
        number += first;
        count -= first;
    }
    finish_leaf(item, count, number);
}

/** One wave: range i becomes i and half + i. */
static void
halve_ranges(void *data, size_t from, size_t to, int worker)
{
    Build *build = data;
    size_t half = build->ranges;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        Range *range = &build->range[i];
        size_t first = divide_range(build->item + range->from, range->count, &range->block);
        build->range[half + i] = *range;
        if (first == 0) {
            build->range[half + i].count = 0;
            continue;
        }
        build->range[half + i].from += first;
        build->range[half + i].count -= first;
        range->count = first;
    }
}

static void
finish_ranges(void *data, size_t from, size_t to, int worker)
{
    Build *build = data;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        Range range = build->range[i];
        size_t done;
        if (range.count > 0)
            divide_all(build->item + range.from, build->tree->numbers + range.from, range.count,
                       range.block);
        done = atomic_fetch_add_explicit(&build->done, range.count, memory_order_relaxed);
        tb_task_report(build->task, "building a tree",
                       ORDER_SHARE * (double)(done + range.count) / (double)build->mesh->triangles);
    }
}

static TbStatus
order_triangles(Build *build, TbWork *work)
{
    size_t triangles = build->mesh->triangles;
    TbStatus status = tb_work_for(work, build->task, triangles, GRAIN, fill_items, build);

    build->range[0] = (Range){0, triangles, TB_TREE_WIDE};
    while (build->range[0].block < triangles)
        build->range[0].block *= TB_TREE_WIDE;
    for (build->ranges = 1; status == TB_OK && build->ranges < RANGES; build->ranges *= 2)
        status = tb_work_for(work, build->task, build->ranges, 1, halve_ranges, build);
    if (status == TB_OK)
        status = tb_work_for(work, build->task, RANGES, 1, finish_ranges, build);
    return status;
}

/* ---- the tree ---- */

static TbStatus
make_tree(Build *build, TbWork *work, TbFault *fault)
{
    TbTree *tree = build->tree;
    TbStatus status;

    build->scale = grid_scale(build->mesh);
    if (order_triangles(build, work) != TB_OK)
        return tb_fail(fault, TB_E_CANCELLED, "stopped while building a tree");
    TB_CLEAR(build->item);
    status = tb_mesh__in_order(build->mesh, tree->numbers, build->task, &tree->mesh, fault);
    if (status != TB_OK)
        return status;
    tb_task_report(build->task, "building a tree", MESH_SHARE);
    if (tb_tree__fill_boxes(tree, work, build->task) != TB_OK)
        return tb_fail(fault, TB_E_CANCELLED, "stopped while building a tree");
    tb_task_report(build->task, "building a tree", 1);
    return TB_OK;
}

TbStatus
tb_tree_new(TbMesh *mesh, TbWork *work, TbTask *task, TbTree **tree, TbFault *fault)
{
    size_t triangles = tb_mesh_triangle_count(mesh);
    Build build = {.mesh = mesh, .tree = tb_tree__room(triangles), .task = task};
    TbStatus status;

    atomic_init(&build.done, 0);
    if (build.tree != NULL)
        build.item = tb_alloc_array(triangles, sizeof *build.item);
    if (build.item == NULL)
        status = tb_fail(fault, TB_E_MEMORY, "no room for a tree of %zu triangles", triangles);
    else
        status = make_tree(&build, work, fault);
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
