/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_walk.h
 * @brief Body of the walk of scan_private.h; compiled twice, see geom/lanes.h.
 */
#include "gaps/scan_batch.h"
#include "gaps/scan_list.h"

/** Nodes waiting: a walk leaves at most 7 siblings on each of 11 levels. */
#define MOST_WAITING 96

/**
 * Triangles of a leaf that a slab square to the way from the leaf's middle to the patch's does not
 * tell apart from the patch by `reach`. Where the two fall together the way is 0, and tells nothing
 * apart. Costs a fraction of a distance and settles most of them.
 */
TB_LANES_INLINE unsigned
near_slab(const Corners p[3], const Leaf *leaf, float reach)
{
    float n[3], length2 = 0, ab, df;
    Corners x = {0, 0, 0, 0};

    for (int k = 0; k < 3; k++) {
        Corners w = p[k] - leaf->middle[k];

        n[k] = 0.5f * (w[0] + w[3]);
        length2 += n[k] * n[k];
        x += w * n[k];
    }
    ab = x[0] < x[1] ? x[0] : x[1];
    df = x[2] < x[3] ? x[2] : x[3];
    return tb_i8_bits(tb_f8((ab < df ? ab : df) - reach * sqrtf(length2)) <= reach_along(leaf, n));
}

/** The same with a direction for each triangle, from its own centre. */
TB_LANES_INLINE unsigned
near_slabs(const Corners p[3], const Leaf *leaf, float reach)
{
    float w[3][4], middle[3];
    TbF8 least, most;
    TbP8 n;

    for (int k = 0; k < 3; k++) {
        Corners from = p[k] - leaf->middle[k];

        memcpy(w[k], &from, sizeof from);
        middle[k] = 0.5f * (from[0] + from[3]);
    }
    n = tb_p8_sub((TbP8){tb_f8(middle[0]), tb_f8(middle[1]), tb_f8(middle[2])}, leaf->centre);
    most = tb_p8_dot(leaf->corner[0], n);
    most = tb_f8_max(most, tb_p8_dot(leaf->corner[1], n));
    most = tb_f8_max(most, tb_p8_dot(leaf->corner[2], n));
    least = tb_p8_dot((TbP8){tb_f8(w[0][0]), tb_f8(w[1][0]), tb_f8(w[2][0])}, n);
#pragma GCC unroll 3
    for (int c = 1; c < 4; c++)
        least =
            tb_f8_min(least, tb_p8_dot((TbP8){tb_f8(w[0][c]), tb_f8(w[1][c]), tb_f8(w[2][c])}, n));
    return tb_i8_bits(least - tb_f8(reach) * tb_f8_sqrt(tb_p8_dot(n, n)) <= most);
}

/** Patches of one row, by columns, that may be near a leaf's triangles. Grown without a branch:
 * whether one stays is as good as a coin, and a processor that guesses wrong loses more than a test
 * costs. */
typedef struct Few {
    uint32_t column[TB_LANES];
    unsigned mask[TB_LANES]; /**< of triangles */
    int count;
} Few;

TB_LANES_INLINE void
add_if_any(Few *few, uint32_t column, unsigned mask)
{
    few->column[few->count] = column;
    few->mask[few->count] = mask;
    few->count += mask != 0;
}

TB_LANES_INLINE void
patch_of(const TbLattice *lattice, size_t row, uint32_t column, Corners p[3])
{
    for (int axis = 0; axis < 3; axis++)
        p[axis] = corners_along(lattice, &lattice->row[row], axis, column);
}

/** Patches against some of a leaf's triangles: what slabs leave is for the batch. */
static void
try_few(TbScan *scan, const Leaf *leaf, int lane, const Few *few)
{
    const TbLattice *lattice = scan->lattice;
    size_t row = scan->group * TB_LANES + (size_t)lane;
    const float *stray = lattice->stray + row * lattice->columns;
    Few left = {.count = 0};
    float reach[TB_LANES];
    Corners p[3];

    for (int i = 0; i < few->count; i++) {
        float far = scan->cut[lane] + stray[few->column[i]];

        far = sqrtf(far * far + leaf->extra);
        patch_of(lattice, row, few->column[i], p);
        reach[left.count] = far;
        add_if_any(&left, few->column[i], few->mask[i] & near_slab(p, leaf, far));
    }
    for (int i = 0; i < left.count; i++) {
        unsigned mask = left.mask[i];

        patch_of(lattice, row, left.column[i], p);
        mask &= near_slabs(p, leaf, reach[i]);
        for (; mask != 0; mask &= mask - 1)
            add_pair(scan, leaf, p, lane, left.column[i], __builtin_ctz(mask));
    }
}

/* ---- leaves ---- */

/** Eight patches of a row that may be near a leaf. @param far as far along the row's way as its
 * triangles may matter. */
static void
try_eight(TbScan *scan, const Leaf *leaf, int lane, uint32_t column, unsigned mask, TbF8 far)
{
    const TbLattice *lattice = scan->lattice;
    size_t row = scan->group * TB_LANES + (size_t)lane;
    const float *box = tb_lattice__patch_boxes(lattice, row);
    unsigned all = (1u << leaf->count) - 1;
    Few few = {.count = 0};

    for (; mask != 0; mask &= mask - 1) {
        uint32_t k = column + (uint32_t)__builtin_ctz(mask);
        TbF8 r = boxes_apart2(leaf->box, box + k, lattice->columns);
        float limit = scan->cut2[lane] + leaf->extra;
        TbI8 near = (r < tb_f8(limit)) & (tb_f8(scan->ways.patch[lane][k]) <= far);

        add_if_any(&few, k, tb_i8_bits(near) & all);
    }
    try_few(scan, leaf, lane, &few);
}

/* ---- ways ---- */

TB_LANES_INLINE TbF8
row_along(const TbLattice *lattice, size_t ring, uint32_t column, const TbF8 n[3])
{
    TbF8 at = tb_f8(0);

    for (int k = 0; k < 3; k++)
        at += tb_f8_load(tb_lattice__places(lattice, ring, k) + column) * n[k];
    return at;
}

/** Where a row's patches begin along its newest way. Between leaves only: what is settled while a
 * leaf is looked at must not change half of what belongs together. */
static void
set_row_way(TbScan *scan, int lane)
{
    const TbLattice *lattice = scan->lattice;
    TbScanWays *ways = &scan->ways;
    size_t row = scan->group * TB_LANES + (size_t)lane;
    size_t low = lattice->row[row].low, high = lattice->row[row].high;
    TbF8 n[3];

    for (int k = 0; k < 3; k++) {
        ways->unit[k][lane] = ways->newest[k][lane];
        n[k] = tb_f8(ways->unit[k][lane]);
    }
    for (uint32_t p = 0; p < lattice->blocks; p++) {
        uint32_t c = p * TB_LANES;
        TbF8 at = tb_f8_min(row_along(lattice, low, c, n), row_along(lattice, low, c + 1, n));
        float *to = &ways->patch[lane][c], least;

        at = tb_f8_min(at, row_along(lattice, high, c, n));
        at = tb_f8_min(at, row_along(lattice, high, c + 1, n));
        at -= tb_f8_load(lattice->stray + row * lattice->columns + c);
        tb_f8_store(to, at);
        least = to[0];
        for (int k = 1; k < TB_LANES; k++)
            least = to[k] < least ? to[k] : least;
        ways->block[p][lane] = least;
    }
}

static void
set_ways(TbScan *scan)
{
    for (unsigned stale = scan->ways.stale; stale != 0; stale &= stale - 1)
        set_row_way(scan, __builtin_ctz(stale));
    scan->ways.stale = 0;
}

/** How far a box may matter along each row's way. */
TB_LANES_INLINE TbF8
box_along(const TbScan *scan, const float box[6])
{
    TbF8 far = tb_f8_load(scan->cut) * tb_f8(BOX_ROUND) + tb_f8(scan->ways.slack);

    for (int k = 0; k < 3; k++) {
        TbF8 n = tb_f8_load(scan->ways.unit[k]);

        far += tb_f8_max(n * tb_f8(box[k]), n * tb_f8(box[3 + k]));
    }
    return far;
}

/** How far a leaf's triangles may matter along a row's way. */
TB_LANES_INLINE TbF8
leaf_along(const TbScan *scan, const Leaf *leaf, int lane)
{
    float n[3], far = scan->cut[lane] * BOX_ROUND + scan->ways.slack;

    for (int k = 0; k < 3; k++) {
        n[k] = scan->ways.unit[k][lane];
        far += leaf->middle[k] * n[k];
    }
    return reach_along(leaf, n) + tb_f8(far);
}

/* ---- a leaf ---- */

/** A leaf's box: six numbers out of its parent's. */
static void
leaf_box(const TbTree *tree, uint32_t number, float box[6])
{
    const TbTreeNode *node = &tb_tree_level(tree, 1)[number / TB_LANES];

    for (int k = 0; k < 3; k++) {
        box[k] = node->low[k][number % TB_LANES];
        box[3 + k] = node->high[k][number % TB_LANES];
    }
}

static void
walk_leaf(TbScan *scan, uint32_t number)
{
    const TbLattice *lattice = scan->lattice;
    const TbBox8 *block = &lattice->block[scan->group * lattice->blocks];
    float box[6], limit = scan->most_cut * scan->most_cut * BOX_ROUND;
    TbF8 side[6], far;
    float furthest[TB_LANES];
    Few few; /* rows here, and patches of theirs */
    Leaf leaf;
    bool gathered = false;
    unsigned blocks;

    leaf_box(scan->tree, number, box);
    load_sides(lattice->group[scan->group].side[0], TB_LANES, side);
    blocks = tb_i8_bits(boxes_apart2(side, box, 1) < tb_f8(limit));
    if (blocks == 0)
        return;
    if (scan->ways.stale != 0)
        set_ways(scan);
    far = box_along(scan, box);
    tb_f8_store(furthest, far);
    for (; blocks != 0; blocks &= blocks - 1) {
        uint32_t p = (uint32_t)__builtin_ctz(blocks);
        unsigned rows;

        load_sides(block[p].side[0], TB_LANES, side);
        rows = tb_i8_bits((boxes_apart2(side, box, 1) < tb_f8_load(scan->cut2)) &
                          (tb_f8_load(scan->ways.block[p]) <= far));
        for (few.count = 0; rows != 0; rows &= rows - 1) {
            int lane = __builtin_ctz(rows);
            size_t row = scan->group * TB_LANES + (size_t)lane;
            TbI8 near;

            load_sides(tb_lattice__patch_boxes(lattice, row) + p * TB_LANES, lattice->columns,
                       side);
            near = boxes_apart2(side, box, 1) < tb_f8(scan->cut2[lane]);
            near &= tb_f8_load(&scan->ways.patch[lane][p * TB_LANES]) <= tb_f8(furthest[lane]);
            add_if_any(&few, (uint32_t)lane, tb_i8_bits(near));
        }
        if (few.count > 0 && !gathered)
            gather(scan, number, scan->most_cut, &leaf);
        gathered = gathered || few.count > 0;
        for (int i = 0; i < few.count; i++)
            try_eight(scan, &leaf, (int)few.column[i], p * TB_LANES, few.mask[i],
                      leaf_along(scan, &leaf, (int)few.column[i]));
    }
}

/* ---- walk ---- */

typedef struct Waiting {
    float distance2;
    uint32_t index;
    int level;
} Waiting;

/** Squared distance of a node's children from the group. */
TB_LANES_INLINE TbF8
children_apart2(const TbScan *scan, const TbF8 side[6])
{
    const TbBox8 *group = &scan->lattice->group[scan->group];
    TbF8 r = tb_f8(FAR2);

    for (size_t p = 0; p < scan->lattice->blocks; p++)
        r = tb_f8_min(r, boxes_apart2(side, &group->side[0][p], TB_LANES));
    return r;
}

/** Children nearer than the cut onto the stack, the nearest last. Leaves of a swept group are only
 * listed. */
static int
push_children(TbScan *scan, Waiting at, Waiting stack[], int held)
{
    const TbTreeNode *node = &tb_tree_level(scan->tree, at.level)[at.index];
    TbF8 side[6], r;
    float near[TB_LANES], limit = scan->most_cut * scan->most_cut * BOX_ROUND;
    unsigned mask;
    int first = held;

    load_sides(node->low[0], TB_LANES, side);
    if (at.level == 1 && scan->lattice->swept) {
        list_node(scan, at.index, side);
        return held;
    }
    r = children_apart2(scan, side);
    mask = tb_i8_bits(r < tb_f8(limit));
    tb_f8_store(near, r);
    for (; mask != 0; mask &= mask - 1) {
        uint32_t k = (uint32_t)__builtin_ctz(mask);
        int to = held++;

        TB_ASSERT(held <= MOST_WAITING);
        if (at.level == 1) /* gathered soon */
            __builtin_prefetch(tb_mesh_indices(tb_tree_mesh(scan->tree)) +
                               3 * TB_LANES * (size_t)(at.index * TB_LANES + k));
        for (; to > first && stack[to - 1].distance2 < near[k]; to--)
            stack[to] = stack[to - 1];
        stack[to] = (Waiting){near[k], at.index * TB_LANES + k, at.level - 1};
    }
    return held;
}

static void
walk(TbScan *scan)
{
    Waiting stack[MOST_WAITING];
    int held = 0;

    stack[held++] = (Waiting){0, 0, tb_tree_levels(scan->tree)};
    for (int lane = 0; lane < TB_LANES; lane++)
        scan->list[lane].least = INFINITY;
    while (held > 0) {
        Waiting at = stack[--held];

        if (!(at.distance2 < scan->most_cut * scan->most_cut * BOX_ROUND))
            continue;
        if (at.level == 0)
            walk_leaf(scan, at.index);
        else
            held = push_children(scan, at, stack, held);
    }
    empty_batch(scan);
    for (int lane = 0; lane < TB_LANES; lane++)
        try_all_listed(scan, lane);
    for (int lane = 0; lane < TB_LANES; lane++)
        tb_scan__settle_kept(scan, lane);
}

/**
 * One row's patches about a column against one leaf: for a good bound to begin with. Of a flat row
 * only the nearest is settled, for its direction; the others may not matter any more later.
 */
static void
look_near(TbScan *scan, int lane, uint32_t column, uint32_t number)
{
    uint32_t columns = (uint32_t)scan->lattice->columns;
    Few few = {.count = 0};
    Leaf leaf;

    gather(scan, number, scan->cut[lane], &leaf);
    for (uint32_t k = columns - 1; k <= columns + 1; k++)
        add_if_any(&few, (column + k) % columns, (1u << leaf.count) - 1);
    if (scan->lattice->swept)
        try_row(scan, &leaf, lane, column);
    else
        try_few(scan, &leaf, lane, &few);
    empty_batch(scan);
    if (scan->together == TB_LANES)
        tb_scan__settle_kept(scan, lane);
    else if (!scan->lattice->swept && scan->foreseen[lane] < scan->upper[lane])
        scan->settle(scan, &scan->hint[tb_scan__first(scan, lane)]);
}
