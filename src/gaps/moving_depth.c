/* SPDX-License-Identifier: GPL-3.0-or-later */

/** How deep two solids stand in each other over a motion, where they meet at some pose. */
#include "gaps/inside_private.h"
#include "gaps/moving_private.h"
#include "geom/tol.h"

#include <string.h>

double tb_moving__travel_factor = 1;

/** Share of a depth that its interval may be wide: who has to make room wants to know how much,
 * not to a hair. */
#define SHARE 0.02

/** Share of what a range lets anything travel to which the depth in its middle is searched: the
 * travel is taken off anyhow. */
#define ROUGH 0.25

/** mm. Depths of the deepest pose are searched no closer than this, if not asked for: reports have
 * tenths, and the rest of the interval is wider. */
#define FINE 0.05

/** Static depths of what is not filled, at most. */
#define FEW 24

/** Points of all depths together that are probed before no more depths are begun: some 0.1 s of
 * one thread. */
#define PROBES 4000

/** Rounds in which what matters is narrowed. */
#define SHRINKS 4

/** A box of both sides' numbers, and what is known of it. */
typedef struct Range {
    double lower;
    double low[2][TB_MOTION_MOST], high[2][TB_MOTION_MOST];
} Range;

typedef struct Ball {
    TbVec3 centre;
    double radius;
} Ball;

typedef struct Search {
    const TbMovingAsk *ask;
    const TbMotion *motion[2];
    TbTask *task;
    TbMovingGap *moving;
    TbFault *fault;
    TbBox3 whole[2]; /**< of each side, where nothing has moved */
    double by[2];    /**< mm: how far anything of it is ever moved */
    TbBox3 box[2];   /**< of what matters of it, where nothing has moved */
    Ball ball[2];    /**< about that */
    double width;
    bool filled;  /**< all there is has an inside, so depths alone may be asked */
    long probes;  /**< so far, of what is filled */
    bool refined; /**< the deepest pose so far has been looked at closely */
} Search;

/* ---- what matters ---- */

static Ball
ball_of(TbBox3 box)
{
    return (Ball){tb_box3_centre(box), 0.5 * tb_box3_diagonal(box)};
}

/** How far anything in a side's ball is from where the middle of a range puts it. */
static double
travel_of(const Search *search, int side, const double low[], const double high[])
{
    const Ball *ball = &search->ball[side];

    return tb_motion_travel(search->motion[side], low, high, ball->centre, ball->radius) *
           tb_moving__travel_factor;
}

/** How far anything in a side's ball ever is from where it is drawn: its numbers go there one by
 * one. INFINITY where it never is as drawn. */
static double
moved_by(const Search *search, int side)
{
    const TbMotion *motion = search->motion[side];
    double low[TB_MOTION_MOST], high[TB_MOTION_MOST], at[TB_MOTION_MOST];

    if (!tb_moving_rest(motion, at))
        return INFINITY;
    for (int i = 0; i < motion->count; i++) {
        double most = fmax(motion->freedom[i].high - at[i], at[i] - motion->freedom[i].low);

        low[i] = at[i] - most;
        high[i] = at[i] + most;
    }
    return travel_of(search, side, low, high);
}

static TbBox3
common(TbBox3 a, TbBox3 b)
{
    return (TbBox3){{fmax(a.low.x, b.low.x), fmax(a.low.y, b.low.y), fmax(a.low.z, b.low.z)},
                    {fmin(a.high.x, b.high.x), fmin(a.high.y, b.high.y), fmin(a.high.z, b.high.z)}};
}

static double
least_side(TbBox3 box)
{
    TbVec3 size = tb_vec3_sub(box.high, box.low);

    return fmin(size.x, fmin(size.y, size.z));
}

/**
 * What a depth can hang on. A point of one's surface that lies in the other is in a place where
 * both come, and from there it is no further to the other's surface than the depth: so all of a
 * side that matters is ever that near to such a place. The smaller that is, the less it moves,
 * and the less of it matters.
 *
 * @param deepest mm: no depth is larger, but for half of a side's least side
 */
static void
shrink_balls(Search *search, double deepest)
{
    for (int round = 0; search->filled && round < SHRINKS; round++) {
        double by[2] = {moved_by(search, 0), moved_by(search, 1)};
        TbBox3 both;

        if (!isfinite(by[0]) || !isfinite(by[1]))
            return;
        both = common(tb_box3_grown(search->box[0], by[0]), tb_box3_grown(search->box[1], by[1]));
        for (int s = 0; s < 2; s++) {
            double least = 0.5 * least_side(tb_box3_grown(search->whole[s], search->by[s]));
            double reach = fmin(deepest, least) + by[s] + TB_TOL_ROUND;
            TbBox3 part = common(search->box[s], tb_box3_grown(both, reach));

            if (tb_box3_is_empty(part))
                return;
            search->box[s] = part;
            search->ball[s] = ball_of(part);
        }
    }
}

static void
start_balls(Search *search)
{
    const TbSolid *solid[2] = {search->ask->a, search->ask->b};

    for (int s = 0; s < 2; s++) {
        search->whole[s] = search->box[s] = tb_solid_box(solid[s]);
        search->ball[s] = ball_of(search->box[s]);
        search->by[s] = moved_by(search, s);
    }
    shrink_balls(search, INFINITY);
}

/** All parts have an inside that nothing is known to be missing of. */
static bool
is_filled(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind == TB_PART_MESH &&
            (!tb_inside__has(part) || tb_inside__is_room(part) || tb_inside__lids(part) != NULL))
            return false;
    }
    return true;
}

/* ---- ranges ---- */

static void
middle_of(const Search *search, const Range *range, double q[2][TB_MOTION_MOST])
{
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < search->motion[s]->count; i++)
            q[s][i] = 0.5 * (range->low[s][i] + range->high[s][i]);
}

/** How wide the interval may be. */
static double
goal_of(const Search *search)
{
    return fmax(search->width, -SHARE * search->moving->gap.upper);
}

static void
take_deeper(Search *search, TbGap *gap, double q[2][TB_MOTION_MOST])
{
    const TbGap *best = &search->moving->gap;

    if (gap->upper > best->upper ||
        (gap->upper == best->upper && (gap->contact == TB_CLEAR || best->contact != TB_CLEAR)))
        return;
    gap->nodes = best->nodes;
    tb_moving__take_pose(search->moving, search->motion, gap, q[0], q[1]);
    search->refined = false;
}

/** The depth in a range's middle, as near as its travel is worth. What is not deep enough to
 * matter then is not told apart. */
static TbStatus
look_at_middle(Search *search, double q[2][TB_MOTION_MOST], double travel, double width, TbGap *gap)
{
    TbMovingAsk ask = *search->ask;
    double known = search->moving->gap.upper - goal_of(search) + travel + width;
    TbStatus status;

    ask.depth_width = width;
    status = search->filled ? tb_moving__depth_at(&ask, q[0], q[1], fmin(known, TB_TOL_ROUND),
                                                  search->task, gap, search->fault)
                            : tb_moving_gap_at(&ask, q[0], q[1], search->task, gap, search->fault);
    if (status != TB_OK)
        return status;
    search->moving->gap.nodes += gap->nodes;
    search->probes += gap->nodes;
    if (!search->filled || gap->contact == TB_OVERLAPS)
        take_deeper(search, gap, q);
    return TB_OK;
}

/** A signed distance changes no faster than what travels. */
static TbStatus
look_at_range(Search *search, Range *range)
{
    double q[2][TB_MOTION_MOST], travel = 0, width;
    TbGap gap;
    TbStatus status;

    middle_of(search, range, q);
    for (int s = 0; s < 2; s++)
        travel += travel_of(search, s, range->low[s], range->high[s]);
    width = fmax(search->width, ROUGH * travel);
    search->moving->depths++;
    status = look_at_middle(search, q, travel, width, &gap);
    /* as long as no depth is known at all, one that is small is worth a search */
    while (status == TB_OK && search->moving->gap.upper >= 0 && gap.contact != TB_CLEAR &&
           width > search->width) {
        width = fmax(search->width, width / 8);
        status = look_at_middle(search, q, travel, width, &gap);
    }
    range->lower = gap.lower - travel - TB_TOL_ROUND;
    return status;
}

/** The number that moves most is halved, and what is tied to it. */
static void
halve(const Search *search, const Range *range, Range half[2])
{
    double most = -1;
    int side = 0, which = 0;

    for (int s = 0; s < 2; s++)
        for (int i = 0; i < search->motion[s]->count; i++) {
            double low[TB_MOTION_MOST], high[TB_MOTION_MOST], travel;

            for (int k = 0; k < search->motion[s]->count; k++)
                low[k] = high[k] = 0.5 * (range->low[s][k] + range->high[s][k]);
            low[i] = range->low[s][i];
            high[i] = range->high[s][i];
            travel = travel_of(search, s, low, high);
            if (travel > most) {
                most = travel;
                side = s;
                which = i;
            }
        }
    half[0] = half[1] = *range;
    for (int i = 0; i < search->ask->ties; i++) {
        const TbMovingTie *tie = &search->ask->tie[i];
        int other = side == 0 ? tie->b : tie->a;

        if (which == (side == 0 ? tie->a : tie->b))
            half[tie->opposite].high[1 - side][other] = half[!tie->opposite].low[1 - side][other] =
                0.5 * (range->low[1 - side][other] + range->high[1 - side][other]);
    }
    half[0].high[side][which] = half[1].low[side][which] =
        0.5 * (range->low[side][which] + range->high[side][which]);
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

/** Depths of what is not filled are whole searches, and fewer. */
static bool
may_go_on(const Search *search)
{
    return search->moving->depths + 2 <= (search->filled ? TB_MOVING_DEPTHS : FEW) &&
           search->probes < PROBES;
}

/** The deepest pose once more: as close as the interval deserves, and what it is a contact of. */
static TbStatus
refine(Search *search, double lower)
{
    TbMovingAsk ask = *search->ask;
    TbMovingGap *moving = search->moving;
    double q[2][TB_MOTION_MOST];
    TbGap gap;
    TbStatus status;

    if (search->refined)
        return TB_OK;
    memcpy(q[0], moving->at_a, sizeof q[0]);
    memcpy(q[1], moving->at_b, sizeof q[1]);
    ask.depth_width = search->width;
    if (!(search->ask->depth_width > 0) && moving->gap.upper - lower > goal_of(search))
        ask.depth_width = fmax(search->width, FINE);
    status = tb_moving_gap_at(&ask, q[0], q[1], search->task, &gap, search->fault);
    if (status != TB_OK)
        return status;
    moving->gap.nodes += gap.nodes;
    if (gap.upper <= moving->gap.upper) {
        gap.nodes = moving->gap.nodes;
        tb_moving__take_pose(moving, search->motion, &gap, q[0], q[1]);
    } else if (gap.contact == TB_INSIDE) {
        moving->gap.contact = TB_INSIDE;
        moving->gap.inner = gap.inner;
    }
    return TB_OK;
}

TbStatus
tb_moving__depth(
    const TbMovingAsk *ask, bool refined, TbTask *task, TbMovingGap *moving, TbFault *fault)
{
    Search search = {.ask = ask,
                     .motion = {&ask->motion_a, &ask->motion_b},
                     .task = task,
                     .moving = moving,
                     .fault = fault,
                     .width = ask->depth_width > 0 ? ask->depth_width : TB_DEPTH_WIDTH,
                     .filled = is_filled(ask->a) && is_filled(ask->b),
                     .refined = refined};
    Range range[TB_MOVING_DEPTHS + 1];
    size_t count = 1, worst = 0;
    TbGap *gap = &moving->gap;
    double lower;
    TbStatus status;

    start_balls(&search);
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < search.motion[s]->count; i++) {
            range[0].low[s][i] = search.motion[s]->freedom[i].low;
            range[0].high[s][i] = search.motion[s]->freedom[i].high;
        }
    status = look_at_range(&search, &range[0]);
    while (status == TB_OK && may_go_on(&search) &&
           least_of(range, count, &worst) < gap->upper - goal_of(&search)) {
        Range half[2];

        shrink_balls(&search, -range[worst].lower);
        halve(&search, &range[worst], half);
        for (int i = 0; i < 2 && status == TB_OK; i++) {
            status = look_at_range(&search, &half[i]);
            half[i].lower = fmax(half[i].lower, range[worst].lower);
        }
        range[worst] = half[0];
        range[count++] = half[1];
    }
    lower = least_of(range, count, &worst);
    if (status == TB_OK)
        status = refine(&search, lower);
    if (status != TB_OK)
        return status;
    gap->lower = fmin(gap->upper, lower);
    gap->exhausted = gap->exhausted || gap->upper - gap->lower > search.width;
    return TB_OK;
}
