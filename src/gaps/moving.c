/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/moving.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "gaps/moving_private.h"
#include "geom/tol.h"

#include <string.h>

/** mm. How close a depth is searched that is only the first of several. */
#define ROUGH_WIDTH 0.25

/** One question while it is worked on. */
typedef struct Query {
    const TbMovingAsk *ask;
    const TbMotion *motion[2];
    TbTask *task;
    TbMovingSearch search;
    double scans; /**< mm: bound of what was looked at ahead of the search */
    TbMovingGap *moving;
    TbFault *fault;
} Query;

/* ---- where they meet ---- */

static void
take_pose(Query *query, const TbGap *gap, double q[2][TB_MOTION_MOST])
{
    tb_moving__take_pose(query->moving, query->motion, gap, q[0], q[1]);
}

void
tb_moving__take_pose(TbMovingGap *moving,
                     const TbMotion *const motion[2],
                     const TbGap *gap,
                     const double at_a[],
                     const double at_b[])
{
    moving->gap = *gap;
    memmove(moving->at_a, at_a, (size_t)motion[0]->count * sizeof *at_a);
    memmove(moving->at_b, at_b, (size_t)motion[1]->count * sizeof *at_b);
    moving->pose_a = tb_motion_pose(motion[0], moving->at_a);
    moving->pose_b = tb_motion_pose(motion[1], moving->at_b);
}

bool
tb_moving__is_open(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind != TB_PART_MESH || tb_inside__has(part))
            return false;
    }
    return true;
}

/** They were seen to meet at one pose: touching there, or as deep as the gap there says. */
static TbStatus
take_meeting(Query *query)
{
    TbMovingWitness *w = &query->search.witness;
    TbMovingAsk rough = *query->ask;
    TbGap gap = {.certified = true, .contact = TB_TOUCHES, .enclosed = NAN};
    TbStatus status;

    gap.upper = fmin(query->search.upper, query->moving->gap.upper);
    gap.point_a = w->point[0];
    gap.point_b = w->point[1];
    gap.site_a = w->site[0];
    gap.site_b = w->site[1];
    gap.nodes = query->search.nodes;
    take_pose(query, &gap, w->q);
    rough.depth_width = fmax(rough.depth_width, ROUGH_WIDTH);
    status = tb_moving_gap_at(&rough, w->q[0], w->q[1], query->task, &gap, query->fault);
    query->moving->depths++;
    if (status == TB_OK && gap.upper < query->moving->gap.upper)
        take_pose(query, &gap, w->q);
    return status;
}

static TbStatus
settle_contact(Query *query)
{
    TbGap *gap = &query->moving->gap;
    bool open = tb_moving__is_open(query->ask->a) || tb_moving__is_open(query->ask->b);
    bool meets = query->search.met && gap->upper > 0;
    TbStatus status = TB_OK;

    if (meets)
        status = take_meeting(query);
    if (status != TB_OK)
        return status;
    if (open && gap->upper >= 0 && gap->upper <= TB_GAP_WIDTH_LEAST) {
        gap->contact = TB_CROSSES;
        gap->lower = gap->upper = 0;
        return TB_OK;
    }
    return tb_moving__depth(query->ask, !meets, query->task, query->moving, query->fault);
}

/* ---- the search ---- */

/** As drawn. */
static double
rest_number(const TbFreedom *f)
{
    return f->kind == TB_FREEDOM_GROWTH || f->kind == TB_FREEDOM_SPREAD ? 1 : 0;
}

bool
tb_moving_rest(const TbMotion *motion, double at[])
{
    bool within = true;

    for (int i = 0; i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];

        at[i] = rest_number(f);
        within = within && f->low <= at[i] && at[i] <= f->high;
    }
    return within;
}

/** A number to begin with: the middle of its range; of what is warm as drawn, where that is among
 * it, for then nothing has to be drawn anew. */
static double
first_number(const TbMotion *motion, int freedom)
{
    const TbFreedom *f = &motion->freedom[freedom];

    if (freedom < tb_motion_before_warm(motion))
        return 0.5 * (f->low + f->high);
    return fmin(f->high, fmax(f->low, rest_number(f)));
}

/** Whether two touch depends on the width to which they were looked at. */
static bool
is_worth_taking(const TbMovingGap *known)
{
    return known != NULL && known->gap.contact != TB_TOUCHES;
}

static TbStatus
first_pose(Query *query)
{
    double q[2][TB_MOTION_MOST];
    const TbMovingGap *known = query->ask->known;
    TbGap gap;
    TbStatus status;

    if (is_worth_taking(known)) {
        memcpy(q[0], known->at_a, sizeof q[0]);
        memcpy(q[1], known->at_b, sizeof q[1]);
        take_pose(query, &known->gap, q);
        return TB_OK;
    }
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < query->motion[s]->count; i++)
            q[s][i] = first_number(query->motion[s], i);
    status = tb_moving_gap_at(query->ask, q[0], q[1], query->task, &gap, query->fault);
    if (status == TB_OK)
        take_pose(query, &gap, q);
    query->moving->depths = 1;
    return status;
}

static TbStatus
run(Query *query)
{
    TbMovingSearch *search = &query->search;
    TbStatus status = TB_OK;

    for (int s = 0; s < 2 && status == TB_OK; s++)
        status = tb_moving__side(&search->side[s], query->motion[s]);
    search->tie = query->ask->tie;
    search->ties = query->ask->ties;
    for (int i = 0; i < search->ties && status == TB_OK; i++) {
        search->side[0].tied[search->tie[i].a - search->side[0].rigid.count] = true;
        search->side[1].tied[search->tie[i].b - search->side[1].rigid.count] = true;
    }
    if (status == TB_OK)
        status = tb_moving__look_at_scans(search, query->ask->leave_out,
                                          query->ask->leave_out_count, &query->scans);
    if (status == TB_OK)
        status = tb_moving__run(search);
    return status;
}

/** The search's end of the interval; its witness where it is nearer than the first pose's. */
static void
take_search(Query *query, double first)
{
    const TbMovingSearch *search = &query->search;
    TbMovingWitness w = search->witness;
    TbGap *gap = &query->moving->gap;

    if (search->upper < first) {
        TbGap made = *gap;

        made.upper = search->upper;
        made.point_a = w.point[0];
        made.point_b = w.point[1];
        made.site_a = w.site[0];
        made.site_b = w.site[1];
        take_pose(query, &made, w.q);
    }
    gap->lower = fmin(tb_moving__lower(search), query->scans);
    gap->exhausted = search->exhausted;
    gap->nodes += search->nodes;
}

static TbStatus
answer(Query *query)
{
    TbMovingSearch *search = &query->search;
    TbGap *gap = &query->moving->gap;
    TbStatus status = first_pose(query);
    double first = gap->upper;

    if (status != TB_OK || gap->nothing)
        return status;
    search->width = fmax(query->ask->width, TB_GAP_WIDTH_LEAST);
    search->enough = query->ask->enough;
    search->budget = query->ask->budget > 0 ? query->ask->budget : TB_GAP_BUDGET;
    search->task = query->task;
    search->upper = first;
    if (gap->contact == TB_CLEAR) {
        status = run(query);
        if (status == TB_E_MEMORY)
            tb_fail(query->fault, status, "no room for the search of a gap in motion");
        else if (status == TB_E_CANCELLED)
            tb_fail(query->fault, status, "stopped while a gap in motion was searched");
        if (status != TB_OK)
            return status;
        if (!search->met && tb_moving__lower(search) >= 0) {
            take_search(query, first);
            return TB_OK;
        }
    }
    return settle_contact(query);
}

TbStatus
tb_moving_gap(const TbMovingAsk *ask, TbTask *task, TbMovingGap *moving, TbFault *fault)
{
    TbMovingGap made = {.gap = {.upper = INFINITY}};
    Query query = {.ask = ask, .task = task, .moving = &made, .fault = fault};
    TbMovingSide *side = query.search.side;
    TbStatus status;

    query.motion[0] = &ask->motion_a;
    query.motion[1] = &ask->motion_b;
    status = tb_field__of_solid(&side[0].field, ask->a, ask->leave_out, ask->leave_out_count);
    if (status == TB_OK)
        status = tb_field__of_solid(&side[1].field, ask->b, ask->leave_out, ask->leave_out_count);
    if (status != TB_OK)
        tb_fail(fault, status, "no room for the search of a gap in motion");
    if (status == TB_OK)
        status = answer(&query);
    tb_moving__clear(&query.search);
    if (status == TB_OK)
        *moving = made;
    return status;
}

/* ---- sampled ---- */

TbStatus
tb_moving_sampled(const TbSampledAsk *ask, TbTask *task, TbGap *gap, size_t *worst, TbFault *fault)
{
    TbGap least = {.lower = INFINITY, .upper = INFINITY, .nothing = true};
    double lower = INFINITY;

    TB_ASSERT(ask->poses > 0);
    *worst = 0;
    for (size_t i = 0; i < ask->poses; i++) {
        TbSolid *a = NULL, *b = NULL;
        TbStatus status = ask->solids(ask->user, i, &a, &b, fault);
        TbGapAsk still = {.a = a,
                          .b = b,
                          .width = ask->width,
                          .hint = INFINITY,
                          .leave_out = ask->leave_out,
                          .leave_out_count = ask->leave_out_count};
        TbGap at;

        if (status == TB_OK)
            status = tb_gap(&still, task, &at, fault);
        tb_solid_unref(a);
        tb_solid_unref(b);
        if (status != TB_OK)
            return status;
        lower = fmin(lower, at.lower);
        if (i == 0 || at.upper < least.upper) {
            least = at;
            *worst = i;
        }
    }
    *gap = least;
    gap->lower = fmin(lower, least.upper);
    gap->certified = false;
    return TB_OK;
}
