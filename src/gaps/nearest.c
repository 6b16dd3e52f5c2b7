/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/nearest.h"

#include "base/mem.h"
#include "geom/tol.h"

#include <stdlib.h>

/** One of the others before anything is searched. */
typedef struct Candidate {
    double boxes; /**< mm: the boxes' distance, rounding taken off; boxes that meet bound nothing */
    size_t index;
} Candidate;

static int
by_boxes(const void *x, const void *y)
{
    const Candidate *a = x, *b = y;

    if (a->boxes != b->boxes)
        return a->boxes < b->boxes ? -1 : 1;
    return a->index < b->index ? -1 : a->index > b->index;
}

static bool
comes_before(const TbNear *x, const TbNear *y)
{
    if (x->gap.upper != y->gap.upper)
        return x->gap.upper < y->gap.upper;
    return x->index < y->index;
}

/** The last of them goes when there is no more room. */
static void
insert(const TbNearestAsk *ask, TbNear near[], size_t *found, const TbNear *one)
{
    size_t at = *found;

    if (at == ask->most && !comes_before(one, &near[at - 1]))
        return;
    if (at == ask->most)
        at--;
    else
        ++*found;
    for (; at > 0 && comes_before(one, &near[at - 1]); at--)
        near[at] = near[at - 1];
    near[at] = *one;
}

/** Upper end that one more has to be below, or at. */
static double
worst_of(const TbNearestAsk *ask, const TbNear near[], size_t found)
{
    return found < ask->most ? (double)INFINITY : near[found - 1].gap.upper;
}

/** Whether a solid is shown to be further away than what is there already: then it is done with. */
static TbStatus
is_further(const TbGapAsk *ask,
           double worst,
           TbTask *task,
           TbNearestCost *cost,
           bool *further,
           TbFault *why)
{
    TbGapAsk quick = *ask;
    TbGap gap;
    TbStatus status;

    /* what overlaps is near: its depth is asked for once, in full */
    quick.enough = worst + 2 * TB_TOL_ROUND;
    quick.depth_width = TB_LIMIT_COORDINATE;
    *further = false;
    if (!isfinite(worst) || worst <= 0)
        return TB_OK;
    status = tb_gap(&quick, task, &gap, why);
    if (status != TB_OK)
        return status;
    cost->nodes += gap.nodes;
    *further = gap.nothing || gap.lower >= quick.enough;
    return TB_OK;
}

static TbStatus
judge(const TbNearestAsk *ask,
      size_t index,
      TbTask *task,
      TbNear near[],
      size_t *found,
      TbNearestCost *cost,
      TbFault *fault)
{
    TbGapAsk question = {
        .a = ask->solid, .b = ask->others[index], .width = ask->width, .hint = INFINITY};
    TbNear one = {.index = index};
    bool further;
    TbStatus status;

    cost->searched++;
    status = is_further(&question, worst_of(ask, near, *found), task, cost, &further, fault);
    if (status != TB_OK || further)
        return status;
    status = tb_gap(&question, task, &one.gap, fault);
    if (status != TB_OK)
        return status;
    cost->settled++;
    cost->nodes += one.gap.nodes;
    if (!one.gap.nothing)
        insert(ask, near, found, &one);
    return TB_OK;
}

TbStatus
tb_nearest(const TbNearestAsk *ask,
           TbTask *task,
           TbNear near[],
           size_t *found,
           TbNearestCost *cost,
           TbFault *fault)
{
    Candidate *candidate = tb_alloc_array(ask->count, sizeof *candidate);
    TbBox3 box = tb_solid_box(ask->solid);
    TbNearestCost spent = {0};
    TbStatus status = TB_OK;

    TB_ASSERT(ask->most > 0);
    *found = 0;
    if (candidate == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room to look for the nearest of %zu", ask->count);
    for (size_t i = 0; i < ask->count; i++) {
        TbBox3 other = tb_solid_box(ask->others[i]);

        double apart = sqrt(tb_box3_distance2(box, other));

        candidate[i] = (Candidate){apart > 0 ? apart - TB_TOL_ROUND : -(double)INFINITY, i};
    }
    qsort(candidate, ask->count, sizeof *candidate, by_boxes);
    for (size_t i = 0; i < ask->count && status == TB_OK; i++) {
        if (candidate[i].boxes > worst_of(ask, near, *found))
            break;
        status = judge(ask, candidate[i].index, task, near, found, &spent, fault);
    }
    tb_free(candidate);
    if (cost != NULL)
        *cost = spent;
    return status;
}
