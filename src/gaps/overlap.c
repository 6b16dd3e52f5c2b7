/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/overlap_private.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "gaps/probe_private.h"
#include "geom/tol.h"

/** Cells before the search gives up narrowing: about a second of one thread. */
#define CELL_BUDGET 30000

/** Share of the width to which a point inside is probed; the rest is for the cells. */
#define PROBE_SHARE 0.3

/** Cells of both surfaces together that may come into being: about 100 MB. */
#define MOST_CELLS 200000

/** Cells between two looks at the task. */
#define POLL 64

/** A cell of one part's surface against the other part. */
typedef struct Task {
    double lower;
    uint32_t cell;
    bool on_b; /**< the cell is of b's surface */
    bool fine;
} Task;

/** Both parts of a pair, and what is open. */
typedef struct Pair {
    TbSkin skin[2];
    TbProbe probe[2];
    uint32_t part[2];
    Task *heap;
    size_t count, room;
    double let_go, width;
    long budget;
} Pair;

static bool
comes_before(const Task *x, const Task *y)
{
    if (x->lower != y->lower)
        return x->lower < y->lower;
    if (x->on_b != y->on_b)
        return !x->on_b;
    return x->cell < y->cell;
}

static TbStatus
heap_push(Pair *pair, Task task)
{
    void *room = pair->heap;
    size_t i;

    if (tb_grow_array(&room, &pair->room, pair->count, sizeof *pair->heap) != 0)
        return TB_E_MEMORY;
    pair->heap = room;
    for (i = pair->count++; i > 0 && comes_before(&task, &pair->heap[(i - 1) / 2]); i = (i - 1) / 2)
        pair->heap[i] = pair->heap[(i - 1) / 2];
    pair->heap[i] = task;
    return TB_OK;
}

static Task
heap_pop(Pair *pair)
{
    Task top = pair->heap[0], last = pair->heap[--pair->count];
    size_t i = 0;

    for (;;) {
        size_t child = 2 * i + 1;

        if (child >= pair->count)
            break;
        if (child + 1 < pair->count && comes_before(&pair->heap[child + 1], &pair->heap[child]))
            child++;
        if (!comes_before(&pair->heap[child], &last))
            break;
        pair->heap[i] = pair->heap[child];
        i = child;
    }
    pair->heap[i] = last;
    return top;
}

/** A deeper point has been proved: remember where. */
static void
take_witness(const Pair *pair, const TbCell *cell, bool on_b, const TbSigned *at, TbDepth *depth)
{
    TbSite own = {.part = pair->part[on_b], .triangle = UINT32_MAX};
    TbSite other = at->site;
    TbVec3 out = tb_vec3_unit(tb_vec3_sub(at->point, cell->centre));
    const TbSkin *skin = &pair->skin[on_b], *against = &pair->skin[!on_b];

    own.on_sweep = skin->part->kind == TB_PART_SWEEP;
    if (own.on_sweep) {
        TbDisc disc = tb_sweep_at(skin->part->sweep, cell->station);

        own.station = cell->station;
        own.angle = tb_disc_angle(&disc, cell->centre);
    }
    if (skin->part->kind == TB_PART_MESH)
        own.triangle = cell->lid ? UINT32_MAX : tb_tree_numbers(skin->part->tree)[cell->index];
    other.part = pair->part[!on_b];
    other.on_sweep = against->part->kind == TB_PART_SWEEP;
    if (other.on_sweep) {
        TbDisc disc = tb_sweep_at(against->part->sweep, other.station);

        other.angle = tb_disc_angle(&disc, at->point);
    }
    depth->upper = at->upper;
    depth->point_a = on_b ? at->point : cell->centre;
    depth->point_b = on_b ? cell->centre : at->point;
    depth->site_a = on_b ? other : own;
    depth->site_b = on_b ? own : other;
    depth->way_out = on_b ? tb_vec3_neg(out) : out;
}

static TbStatus
look_at(Pair *pair, Task *task, TbDepth *depth)
{
    const TbCell *cell = &pair->skin[task->on_b].cell[task->cell];
    TbProbe *probe = &pair->probe[!task->on_b];
    TbSigned at;
    double lower = -INFINITY;
    TbStatus status;

    /* all of it outside the other part's box: outside the part, unless that is all about a room */
    lower = sqrt(tb_box3_point_distance2(probe->box, cell->centre)) - cell->reach;
    if (lower > 0 && isfinite(probe->deepest)) {
        task->lower = lower;
        task->fine = true;
        return TB_OK;
    }
    depth->probes++;
    status =
        tb_probe__at(probe, cell->centre, fmax(PROBE_SHARE * pair->width, 0.1 * cell->reach), &at);
    if (status != TB_OK)
        return status;
    at.upper += cell->off;
    /* worth a closer look: it may be the deepest */
    if (cell->real && at.lower < depth->upper && at.upper > at.lower + pair->width) {
        status = tb_probe__at(probe, cell->centre, PROBE_SHARE * pair->width, &at);
        if (status != TB_OK)
            return status;
        at.upper += cell->off;
    }
    if (cell->real && at.has_point && at.upper < depth->upper && at.upper < 0)
        take_witness(pair, cell, task->on_b, &at, depth);
    status = tb_probe__over(probe, &at, cell, 0.1 * pair->width, &lower);
    task->lower = fmax(task->lower, lower);
    task->fine = true;
    return status;
}

static TbStatus
open_cell(Pair *pair, const Task *task)
{
    TbSkin *skin = &pair->skin[task->on_b];
    TbStatus status = tb_skin__open(skin, task->cell);
    const TbCell *cell = &skin->cell[task->cell];

    for (uint32_t i = 0; status == TB_OK && i < cell->count; i++)
        status = heap_push(pair, (Task){task->lower, cell->first + i, task->on_b, false});
    return status;
}

static TbStatus
run_pair(Pair *pair, const TbTask *task, TbDepth *depth)
{
    TbStatus status = TB_OK;

    for (int s = 0; s < 2; s++) {
        if (!tb_inside__has(pair->skin[!s].part))
            continue;
        for (uint32_t i = 0; i < pair->skin[s].roots && status == TB_OK; i++)
            status = heap_push(pair, (Task){-pair->probe[!s].deepest, i, s == 1, false});
        if (!pair->skin[s].covers) { /* nothing better is known of this order */
            pair->let_go = fmin(pair->let_go, -pair->probe[!s].deepest);
            depth->exhausted = true;
        }
    }
    while (status == TB_OK && pair->count > 0 && pair->heap[0].lower < depth->upper - pair->width) {
        Task next;

        if (depth->nodes >= pair->budget ||
            pair->skin[0].count + pair->skin[1].count > MOST_CELLS) {
            depth->exhausted = true;
            break;
        }
        if (depth->nodes++ % POLL == 0 && tb_task_is_cancelled(task))
            return TB_E_CANCELLED;
        next = heap_pop(pair);
        if (!next.fine) {
            status = look_at(pair, &next, depth);
            if (status == TB_OK && next.lower >= depth->upper - pair->width)
                pair->let_go = fmin(pair->let_go, next.lower);
            else if (status == TB_OK)
                status = heap_push(pair, next);
            continue;
        }
        status = open_cell(pair, &next);
    }
    if (pair->count > 0)
        pair->let_go = fmin(pair->let_go, pair->heap[0].lower);
    depth->lower = fmin(depth->lower, pair->let_go);
    return status;
}

/** The stations of a part's sweep that are in the field: from its strips. */
static TbKept
kept_of(const TbField *field, uint32_t root)
{
    const TbNode *node = &field->node[root];

    return (TbKept){node->station0, node->station1};
}

static TbStatus
depth_of_parts(TbField *fields[2],
               const uint32_t root[2],
               double width,
               long budget,
               const TbTask *task,
               TbDepth *depth)
{
    Pair pair = {.let_go = INFINITY, .width = width, .budget = budget};
    TbStatus status = TB_OK;

    for (int s = 0; s < 2 && status == TB_OK; s++) {
        TbKept kept = kept_of(fields[s], root[s]);

        pair.part[s] = fields[s]->node[root[s]].part;
        status = tb_skin__of(&pair.skin[s], tb_field__part(fields[s], root[s]), kept);
        if (status == TB_OK)
            status =
                tb_probe__of(&pair.probe[s], &pair.skin[s], kept, fields[s]->node[root[s]].box);
    }
    if (status == TB_OK)
        status = run_pair(&pair, task, depth);
    for (int s = 0; s < 2; s++) {
        tb_probe__clear(&pair.probe[s]);
        tb_skin__clear(&pair.skin[s]);
    }
    tb_free(pair.heap);
    return status;
}

TbStatus
tb_overlap__depth(TbField *a,
                  TbField *b,
                  TbInner inner,
                  double width,
                  double known,
                  long budget,
                  const TbTask *task,
                  TbDepth *depth)
{
    const TbNode *root_a = &a->node[a->root], *root_b = &b->node[b->root];
    TbField *fields[2] = {a, b};
    TbStatus status = TB_OK;

    *depth = (TbDepth){.upper = known};
    for (uint32_t i = 0; i < root_a->count; i++) {
        for (uint32_t k = 0; k < root_b->count && status == TB_OK; k++) {
            uint32_t root[2] = {root_a->first + i, root_b->first + k};

            if (!(inner == TB_INNER_A || tb_inside__has(tb_field__part(a, root[0]))) ||
                !(inner == TB_INNER_B || tb_inside__has(tb_field__part(b, root[1]))) ||
                tb_box3_distance2(a->node[root[0]].box, b->node[root[1]].box) > 0)
                continue;
            depth->any = true;
            status =
                depth_of_parts(fields, root, width, budget > 0 ? budget : CELL_BUDGET, task, depth);
        }
    }
    depth->lower = fmin(depth->lower, depth->upper);
    return status;
}
