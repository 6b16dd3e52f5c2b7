/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/moving.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "gaps/moving_private.h"
#include "geom/tol.h"

#include <string.h>

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

/* ---- depths ---- */

/** A box of both sides' numbers, and what is known of it. */
typedef struct Range {
    double lower;
    double low[2][TB_MOTION_MOST], high[2][TB_MOTION_MOST];
} Range;

static void
middle_of(const Query *query, const Range *range, double q[2][TB_MOTION_MOST])
{
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < query->motion[s]->count; i++)
            q[s][i] = 0.5 * (range->low[s][i] + range->high[s][i]);
}

/** A ball about a solid. */
static TbVec3
ball_of(const TbSolid *solid, double *radius)
{
    TbBox3 box = tb_solid_box(solid);

    *radius = 0.5 * tb_box3_diagonal(box);
    return tb_box3_centre(box);
}

/** How far anything of one side is from where the middle of a range puts it. */
static double
travel_of(const Query *query, int side, const double low[], const double high[])
{
    double radius;
    TbVec3 centre = ball_of(side == 0 ? query->ask->a : query->ask->b, &radius);

    return tb_motion_travel(query->motion[side], low, high, centre, radius);
}

static void
take_pose(Query *query, const TbGap *gap, double q[2][TB_MOTION_MOST])
{
    TbMovingGap *moving = query->moving;
    double *at[2] = {moving->at_a, moving->at_b};

    moving->gap = *gap;
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < query->motion[s]->count; i++)
            at[s][i] = q[s][i];
    moving->pose_a = tb_motion_pose(query->motion[0], moving->at_a);
    moving->pose_b = tb_motion_pose(query->motion[1], moving->at_b);
}

/** The static gap in a range's middle: a signed distance changes no faster than what travels. */
static TbStatus
look_at_range(Query *query, Range *range)
{
    double q[2][TB_MOTION_MOST], travel = 0;
    TbGap gap;
    TbStatus status;

    middle_of(query, range, q);
    status = tb_moving_gap_at(query->ask, q[0], q[1], query->task, &gap, query->fault);
    if (status != TB_OK)
        return status;
    for (int s = 0; s < 2; s++)
        travel += travel_of(query, s, range->low[s], range->high[s]);
    range->lower = gap.lower - travel - TB_TOL_ROUND;
    query->moving->depths++;
    query->moving->gap.nodes += gap.nodes;
    if (gap.upper < query->moving->gap.upper ||
        (gap.upper == query->moving->gap.upper && gap.contact != TB_CLEAR &&
         query->moving->gap.contact == TB_CLEAR)) {
        gap.nodes = query->moving->gap.nodes;
        take_pose(query, &gap, q);
    }
    return TB_OK;
}

/** The number that moves most is halved. */
static void
halve(const Query *query, const Range *range, Range half[2])
{
    double most = -1;
    int side = 0, which = 0;

    for (int s = 0; s < 2; s++)
        for (int i = 0; i < query->motion[s]->count; i++) {
            double low[TB_MOTION_MOST], high[TB_MOTION_MOST], travel;

            for (int k = 0; k < query->motion[s]->count; k++)
                low[k] = high[k] = 0.5 * (range->low[s][k] + range->high[s][k]);
            low[i] = range->low[s][i];
            high[i] = range->high[s][i];
            travel = travel_of(query, s, low, high);
            if (travel > most) {
                most = travel;
                side = s;
                which = i;
            }
        }
    half[0] = half[1] = *range;
    for (int i = 0; i < query->ask->ties; i++) {
        const TbMovingTie *tie = &query->ask->tie[i];
        int other = side == 0 ? tie->b : tie->a;

        if (which == (side == 0 ? tie->a : tie->b))
            half[tie->opposite].high[1 - side][other] = half[!tie->opposite].low[1 - side][other] =
                0.5 * (range->low[1 - side][other] + range->high[1 - side][other]);
    }
    half[0].high[side][which] = half[1].low[side][which] =
        0.5 * (range->low[side][which] + range->high[side][which]);
}

/** A mesh has no inside in any of the parts. */
static bool
is_open(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind != TB_PART_MESH || tb_inside__has(part))
            return false;
    }
    return true;
}

/** Least of the ranges' bounds, and which it is. */
static double
least_of(const Range range[], size_t count, size_t *which)
{
    *which = 0;
    for (size_t i = 1; i < count; i++)
        if (range[i].lower < range[*which].lower)
            *which = i;
    return range[*which].lower;
}

static TbStatus
search_depth(Query *query)
{
    double width = query->ask->depth_width > 0 ? query->ask->depth_width : TB_DEPTH_WIDTH;
    Range range[TB_MOVING_DEPTHS + 1];
    size_t count = 1, worst;
    TbGap *gap = &query->moving->gap;
    TbStatus status;

    for (int s = 0; s < 2; s++)
        for (int i = 0; i < query->motion[s]->count; i++) {
            range[0].low[s][i] = query->motion[s]->freedom[i].low;
            range[0].high[s][i] = query->motion[s]->freedom[i].high;
        }
    status = look_at_range(query, &range[0]);
    while (status == TB_OK && query->moving->depths + 2 <= TB_MOVING_DEPTHS &&
           least_of(range, count, &worst) < gap->upper - width) {
        Range half[2];

        halve(query, &range[worst], half);
        for (int i = 0; i < 2 && status == TB_OK; i++) {
            status = look_at_range(query, &half[i]);
            half[i].lower = fmax(half[i].lower, range[worst].lower);
        }
        range[worst] = half[0];
        range[count++] = half[1];
    }
    if (status != TB_OK)
        return status;
    gap->lower = fmin(gap->upper, least_of(range, count, &worst));
    gap->exhausted = gap->exhausted || gap->upper - gap->lower > width;
    return TB_OK;
}

/** They were seen to meet at one pose: touching there, or as deep as the gap there says. */
static TbStatus
take_meeting(Query *query)
{
    TbMovingWitness *w = &query->search.witness;
    TbGap gap = {.certified = true, .contact = TB_TOUCHES, .enclosed = NAN};
    TbStatus status;

    gap.upper = fmin(query->search.upper, query->moving->gap.upper);
    gap.point_a = w->point[0];
    gap.point_b = w->point[1];
    gap.site_a = w->site[0];
    gap.site_b = w->site[1];
    gap.nodes = query->search.nodes;
    take_pose(query, &gap, w->q);
    status = tb_moving_gap_at(query->ask, w->q[0], w->q[1], query->task, &gap, query->fault);
    query->moving->depths++;
    if (status == TB_OK && gap.upper < query->moving->gap.upper)
        take_pose(query, &gap, w->q);
    return status;
}

static TbStatus
settle_contact(Query *query)
{
    TbGap *gap = &query->moving->gap;
    bool open = is_open(query->ask->a) || is_open(query->ask->b);
    TbStatus status = TB_OK;

    if (query->search.met && gap->upper > 0)
        status = take_meeting(query);
    if (status != TB_OK)
        return status;
    if (open && gap->upper >= 0 && gap->upper <= TB_GAP_WIDTH_LEAST) {
        gap->contact = TB_CROSSES;
        gap->lower = gap->upper = 0;
        return TB_OK;
    }
    return search_depth(query);
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
