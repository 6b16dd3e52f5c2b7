/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/scan.h"

#include "base/mem.h"
#include "gaps/patch_private.h"
#include "gaps/scan_walk_private.h"

#include <stdatomic.h>

/** Groups that one thread does in a row: a bound is carried from one to the next, and the blocks
 * are the same for any number of threads. */
#define BLOCK 8

/** A cold query looks at every so many rings and columns first; a row at so many columns. */
#define SAMPLE_RINGS 12
#define SAMPLE_COLUMNS 16
#define SAMPLE_ROW 8

/** Share of a squared distance that only tells apart what is equal otherwise. */
#define TIE 1e-3f

/* ---- walks ---- */

static void
walk_rows(TbScanWalk *walk)
{
    if (walk->avx2)
        tb_scan__walk_avx2(&walk->scan);
    else
        tb_scan__walk_plain(&walk->scan);
}

static void
look_near(TbScanWalk *walk, int lane, uint32_t column, uint32_t triangle)
{
    if (walk->avx2)
        tb_scan__near_avx2(&walk->scan, lane, column, triangle / TB_LANES);
    else
        tb_scan__near_plain(&walk->scan, lane, column, triangle / TB_LANES);
}

/** A group against the whole scan: its rows are settled then. */
static void
walk_group(TbScanWalk *walk)
{
    walk_rows(walk);
    if (!walk->scan.lattice->swept)
        return;
    for (int lane = 0; lane < TB_LANES; lane += walk->scan.together)
        tb_scan__polish(walk, lane);
}

/* ---- beginnings and ends ---- */

/** Largest coordinate of a scan, mm. */
static float
furthest_of(const TbTree *tree)
{
    TbBox3 box = tb_mesh_box(tb_tree_mesh(tree));
    double x = fmax(fabs(box.low.x), fabs(box.high.x)), y = fmax(fabs(box.low.y), fabs(box.high.y));
    double z = fmax(fabs(box.low.z), fabs(box.high.z));

    return (float)fmax(x, fmax(y, z));
}

static void
start_walk(TbScanWalk *walk, const TbScanAsk *ask, int together)
{
    TbScan *scan = &walk->scan;

    scan->lattice = ask->lattice;
    scan->tree = ask->tree;
    scan->together = together;
    scan->width =
        ask->lattice->swept ? TB_SCAN_WIDTH_USED * fmax(ask->width, TB_GAP_WIDTH_LEAST) : 0;
    scan->slack = (double)(TB_SCAN_CORNER * ask->lattice->furthest);
    scan->ways.slack = TB_SCAN_ALONG * fmaxf(ask->lattice->furthest, furthest_of(ask->tree));
    scan->settle = ask->lattice->swept ? tb_scan__settle_swept : tb_scan__settle_flat;
    scan->user = walk;
    walk->avx2 = tb_lanes_in_use() == TB_LANES_AVX2;
}

/** A point of the surface and one of the scan: an upper bound. */
static void
take_point(TbScanWalk *walk,
           int lane,
           size_t row,
           size_t ring,
           size_t column,
           uint32_t triangle,
           TbNearest nearest)
{
    TbScan *scan = &walk->scan;
    double upper = nearest.distance + (scan->lattice->swept ? TB_TOL_ROUND : 0);

    tb_scan__take(
        scan, lane,
        &(TbScanNear){.upper = upper,
                      .point_a = nearest.a,
                      .point_b = nearest.b,
                      .row = (uint32_t)row,
                      .column = (uint32_t)column,
                      .triangle = triangle,
                      .station = scan->lattice->swept ? scan->lattice->disc[ring].station : 0});
}

/** The corners of a row about a column against one triangle. */
static void
try_corners(TbScanWalk *walk, int lane, size_t row, uint32_t column, uint32_t triangle)
{
    const TbLattice *lattice = walk->scan.lattice;
    TbVec3 t[3];

    tb_mesh_corners(tb_tree_mesh(walk->scan.tree), triangle, t);
    for (size_t k = lattice->columns - 1; k <= lattice->columns + 1; k++) {
        size_t at = (column + k) % lattice->columns, ring = lattice->row[row].low;

        take_point(walk, lane, row, ring, at, triangle,
                   tb_point_triangle(lattice->ring[ring * lattice->columns + at], t));
    }
}

/** Every so many corners of a row against the whole scan. */
static void
sample_row(TbScanWalk *walk, int lane, size_t row, size_t step)
{
    const TbLattice *lattice = walk->scan.lattice;
    size_t ring = lattice->row[row].low;

    for (size_t k = 0; k < lattice->columns; k += step) {
        TbTreeHit hit = tb_tree_nearest(walk->scan.tree, lattice->ring[ring * lattice->columns + k],
                                        walk->scan.upper[lane]);

        if (hit.place != UINT32_MAX)
            take_point(walk, lane, row, ring, k, hit.place, hit.nearest);
    }
}

/** What is certain of a row once its walk is over. Where no witness came below what was asked for,
 * the bound is what the walk worked with, not what it was asked. */
static TbScanNear
finish(const TbScanWalk *walk, int lane)
{
    TbScanNear near = walk->near[lane];
    const TbScan *scan = &walk->scan;

    if (near.row == UINT32_MAX) {
        near.lower = fmax(0, fmin(tb_scan__cut_of(scan, lane), walk->open[lane]));
        near.upper = INFINITY;
        return near;
    }
    if (!scan->lattice->swept) {
        near.lower = near.upper;
        return near;
    }
    near.lower = fmax(0, fmin(tb_scan__cut_of(scan, lane), walk->open[lane]));
    near.exhausted = near.upper - near.lower > scan->width / TB_SCAN_WIDTH_USED;
    return near;
}

/* ---- the least ---- */

/** Some points of every few rings, each given up where it is no nearer than the best so far. */
static void
sample_all(TbScanWalk *walk)
{
    for (size_t row = 0; row < walk->scan.lattice->rows; row += SAMPLE_RINGS)
        sample_row(walk, 0, row, SAMPLE_COLUMNS);
}

/** The place that was nearest in the last frame: a good bound to begin with. */
static void
look_at_last(TbScanWalk *walk, const TbScanNear *last)
{
    size_t rows = walk->scan.lattice->rows, first = last->row > 0 ? last->row - 1 : 0;

    for (size_t row = first; row <= last->row + 1 && row < rows; row++) {
        try_corners(walk, 0, row, last->column, last->triangle);
        walk->scan.group = row / TB_LANES;
        look_near(walk, (int)(row % TB_LANES), last->column, last->triangle);
    }
}

static TbStatus
walk_all(TbScanWalk *walk, double enough, size_t first, const TbTask *task)
{
    size_t groups = walk->scan.lattice->groups;

    for (size_t i = 0; i < groups; i++) {
        /* the most promising group first, then the others in their order */
        size_t group = i == 0 ? first : i <= first ? i - 1 : i;

        if (tb_task_is_cancelled(task))
            return TB_E_CANCELLED;
        if (walk->scan.upper[0] < enough)
            break;
        walk->scan.group = group;
        tb_scan__forget_rows(walk);
        walk_group(walk);
    }
    return TB_OK;
}

/** Flat: the last frame's place again, where it still is as good as the nearest. */
static void
stay(const TbScanWalk *walk, const TbScanNear *last, TbScanNear *least)
{
    const TbLattice *lattice = walk->scan.lattice;
    TbVec3 patch[4], t[3];
    TbNearest kept;

    if (lattice->swept)
        return;
    tb_scan__patch_corners(lattice, last->row, last->column, patch);
    tb_mesh_corners(tb_tree_mesh(walk->scan.tree), last->triangle, t);
    kept = tb_patch__nearest(patch, t);
    if (kept.distance > least->upper + TB_SCAN_STAY)
        return;
    least->upper = kept.distance;
    least->lower = fmin(least->lower, kept.distance);
    least->point_a = kept.a;
    least->point_b = kept.b;
    least->row = last->row;
    least->column = last->column;
    least->triangle = last->triangle;
}

TbStatus
tb_scan_least(const TbScanAsk *ask, const TbScanNear *last, const TbTask *task, TbScanNear *least)
{
    TbScanWalk *walk = tb_alloc(sizeof *walk);
    double beyond = ask->beyond;
    bool known = last != NULL && last->row < ask->lattice->rows;
    size_t first = 0;
    TbStatus status;

    if (walk == NULL)
        return TB_E_MEMORY;
    start_walk(walk, ask, TB_LANES);
    if (ask->enough > 0)
        beyond = fmin(beyond, ask->enough + walk->scan.width);
    tb_scan__start_group(walk, 0, beyond);
    if (known)
        look_at_last(walk, last);
    else
        sample_all(walk);
    if (walk->near[0].row != UINT32_MAX)
        first = walk->near[0].row / TB_LANES;
    status = walk_all(walk, ask->enough, first, task);
    if (status == TB_OK) {
        *least = finish(walk, 0);
        if (walk->scan.upper[0] < ask->enough)
            least->lower = 0; /* others have not been looked at */
        if (known && least->row != UINT32_MAX)
            stay(walk, last, least);
    }
    tb_free(walk);
    return status;
}

/* ---- row by row ---- */

typedef struct Job {
    const TbScanAsk *ask;
    TbTask *task;
    TbScanNear *rows;
    atomic_int status;
} Job;

/** Where a row's neighbour was nearest, witnessed or foreseen. */
typedef struct Start {
    bool known;
    double upper; /**< mm: no further */
    uint32_t column, triangle;
} Start;

static Start
start_of(const TbScanWalk *walk, int lane)
{
    const TbScan *scan = &walk->scan;
    int first = tb_scan__first(scan, lane);
    const TbScanNear *near = &walk->near[first];

    if (scan->foreseen[first] < scan->upper[first])
        return (Start){true, scan->foreseen[first], scan->hint[first].column,
                       scan->hint[first].triangle};
    return (Start){near->row != UINT32_MAX, near->upper, near->column, near->triangle};
}

/** Squared distance of a point from a node's child, and, to tell those apart that hold it, a little
 * of that from the child's middle. */
static float
child_apart2(const TbTreeNode *node, int k, const float p[3])
{
    float apart = 0, middle = 0;

    for (int axis = 0; axis < 3; axis++) {
        float low = node->low[axis][k] - p[axis], high = p[axis] - node->high[axis][k];
        float out = low > high ? low : high;

        apart += out > 0 ? out * out : 0;
        middle += (high - low) * (high - low);
    }
    return apart + TIE * middle;
}

/** A triangle of a leaf near a point, as good as a look at one child a level finds it. */
static uint32_t
triangle_near(const TbTree *tree, TbVec3 place)
{
    float p[3] = {(float)place.x, (float)place.y, (float)place.z};
    uint32_t at = 0;

    for (int level = tb_tree_levels(tree); level > 0; level--) {
        const TbTreeNode *node = &tb_tree_level(tree, level)[at];
        float least = child_apart2(node, 0, p);
        int nearest = 0;

        for (int k = 1; k < TB_TREE_WIDE; k++) {
            float apart = child_apart2(node, k, p);

            nearest = apart < least ? k : nearest;
            least = apart < least ? apart : least;
        }
        at = at * TB_TREE_WIDE + (uint32_t)nearest;
    }
    return at * TB_TREE_WIDE;
}

/** Swept: where a row's nearest triangle may be, if its neighbour's went along with the path; and
 * how far that is, at most. */
static uint32_t
follow(TbScanWalk *walk, int lane, size_t row, const Start *last)
{
    const TbLattice *lattice = walk->scan.lattice;
    const TbMesh *mesh = tb_tree_mesh(walk->scan.tree);
    uint32_t ring = lattice->row[row].low, triangle;
    TbVec3 way =
        tb_vec3_sub(lattice->disc[ring].centre, lattice->disc[lattice->row[row - 1].low].centre);
    TbVec3 t[3];
    double far;

    tb_mesh_corners(mesh, last->triangle, t);
    triangle = triangle_near(walk->scan.tree, tb_vec3_add(t[0], way));
    tb_mesh_corners(mesh, triangle, t);
    far = tb_vec3_distance(t[0], lattice->ring[ring * lattice->columns + last->column]);
    if (far + TB_TOL_ROUND < walk->scan.foreseen[lane])
        tb_scan__foresee_row(&walk->scan, lane, far + TB_TOL_ROUND);
    return triangle;
}

/**
 * A row's bound to begin with, from the place where its neighbour was nearest. A flat row begins at
 * the ring where its neighbour ends, to which it is no further than across the neighbour: that is
 * foreseen where it is less than what is asked. Otherwise the corners about the place are
 * witnesses. Then the patches about it are looked at with the leaf of the triangle. A swept row is
 * looked at with the leaf to which the place has moved. Where no neighbour has a place, some of the
 * row's corners find one in the whole scan first.
 *
 * @param last of the neighbour
 * @return the row's; not known where nothing is as near as asked
 */
static Start
start_row(TbScanWalk *walk, int lane, size_t row, Start last)
{
    const TbLattice *lattice = walk->scan.lattice;
    double far = INFINITY;

    if (!last.known) {
        sample_row(walk, lane, row, SAMPLE_ROW);
        last = start_of(walk, lane);
        if (!last.known)
            return last;
    } else if (lattice->swept) {
        last.triangle = follow(walk, lane, row, &last);
    } else {
        if (row > 0)
            far = (lattice->step[row - 1] + last.upper) * TB_SCAN_ROUND_UP;
        if (far < walk->scan.foreseen[lane])
            tb_scan__foresee_row(&walk->scan, lane, far);
        else
            try_corners(walk, lane, row, last.column, last.triangle);
    }
    walk->scan.hint[lane] = (TbScanPair){
        .triangle = last.triangle, .column = (uint16_t)last.column, .lane = (uint8_t)lane};
    walk->scan.hint_group[lane] = walk->scan.group;
    look_near(walk, lane, last.column, last.triangle);
    return start_of(walk, lane);
}

/** Each row of a group begins where the one before it was nearest. */
static void
start_rows(TbScanWalk *walk, size_t group, Start last)
{
    for (int lane = 0;
         lane < TB_LANES && group * TB_LANES + (size_t)lane < walk->scan.lattice->rows;
         lane += walk->scan.together)
        last = start_row(walk, lane, group * TB_LANES + (size_t)lane, last);
}

static void
run_block(TbScanWalk *walk, Job *job, size_t from, size_t to)
{
    const TbLattice *lattice = job->ask->lattice;
    Start last = {.known = false};

    for (size_t group = from; group < to && !tb_task_is_cancelled(job->task); group++) {
        tb_scan__start_group(walk, group, job->ask->beyond);
        start_rows(walk, group, last);
        walk_group(walk);
        for (int lane = 0; lane < TB_LANES; lane++) {
            size_t row = group * TB_LANES + (size_t)lane;

            if (row >= lattice->rows)
                break;
            job->rows[row] = finish(walk, tb_scan__first(&walk->scan, lane));
            last = start_of(walk, lane);
        }
    }
}

static void
run_blocks(void *data, size_t from, size_t to, int worker)
{
    Job *job = data;
    size_t groups = job->ask->lattice->groups;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        TbScanWalk *walk = tb_alloc(sizeof *walk);

        if (walk == NULL) {
            atomic_store(&job->status, TB_E_MEMORY);
            return;
        }
        start_walk(walk, job->ask, 1);
        run_block(walk, job, i * BLOCK, (i + 1) * BLOCK < groups ? (i + 1) * BLOCK : groups);
        tb_free(walk);
    }
}

TbStatus
tb_scan_rows(const TbScanAsk *ask, TbWork *work, TbTask *task, TbScanNear rows[])
{
    Job job = {.ask = ask, .task = task, .rows = rows};
    TbStatus status;

    atomic_init(&job.status, TB_OK);
    status =
        tb_work_for(work, task, (ask->lattice->groups + BLOCK - 1) / BLOCK, 1, run_blocks, &job);
    if (status == TB_OK)
        status = (TbStatus)atomic_load(&job.status);
    if (status == TB_OK && tb_task_is_cancelled(task))
        status = TB_E_CANCELLED;
    return status;
}
