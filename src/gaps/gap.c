/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/gap.h"

#include "gaps/inside_private.h"
#include "gaps/overlap_private.h"
#include "gaps/search_private.h"
#include "geom/tol.h"

const char *
tb_contact_name(TbContact contact)
{
    switch (contact) {
    case TB_CLEAR:
        return "clear";
    case TB_TOUCHES:
        return "touches";
    case TB_CROSSES:
        return "crosses";
    case TB_OVERLAPS:
        return "overlaps";
    }
    return "unknown";
}

/** One question while it is worked on. */
typedef struct Query {
    const TbGapAsk *ask;
    const TbTask *task;
    TbField a, b;
    TbSearch search;
    double lower;   /**< of the search */
    bool contained; /**< surfaces apart, but one part lies inside the other */
} Query;

static TbStatus
no_room(TbFault *fault, TbStatus status)
{
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while a gap was searched");
    return status == TB_OK ? TB_OK : tb_fail(fault, status, "no room for the search of a gap");
}

/** mm. Where both first points are one place, the first witness is said to be this far apart: true
 * as an upper end, and beaten by the search's own witness, which knows where the solids meet. */
#define FIRST_APART (4 * TB_TOL_ROUND)

/** Two real points, before anything is searched: so that there is a witness in any case. */
static void
first_witness(TbSearch *search)
{
    TbWitness *w = &search->witness;
    double apart;

    w->node_a = search->a->root;
    w->node_b = search->b->root;
    w->point_a = tb_field__some_point(search->a, w->node_a, &w->site_a);
    w->point_b = tb_field__some_point(search->b, w->node_b, &w->site_b);
    apart = tb_vec3_distance(w->point_a, w->point_b);
    search->upper = fmax(apart, FIRST_APART) + TB_TOL_ROUND;
}

static TbStatus
search_gap(Query *query, double hint)
{
    TbSearch *search = &query->search;
    TbStatus status;

    tb_search__start(search, &query->a, &query->b, fmax(query->ask->width, TB_GAP_WIDTH_LEAST));
    search->enough = query->ask->enough;
    search->hint = hint;
    search->task = query->task;
    if (query->ask->budget > 0)
        search->budget = query->ask->budget;
    first_witness(search);
    status = tb_search__push(search, query->a.root, query->b.root, tb_vec3(0, 0, 0));
    if (status == TB_OK)
        status = tb_search__run(search);
    query->lower = tb_search__lower(search);
    tb_search__clear(search);
    return status;
}

/** A hint that was not true leaves the interval wide: search again without it. */
static bool
hint_failed(const Query *query)
{
    const TbSearch *search = &query->search;

    return isfinite(search->hint) && !search->exhausted && !search->met &&
           search->upper > search->hint + TB_TOL_ROUND;
}

static void
take_search(const Query *query, TbGap *gap)
{
    const TbSearch *search = &query->search;

    gap->lower = query->lower;
    gap->upper = search->upper;
    gap->point_a = search->witness.point_a;
    gap->point_b = search->witness.point_b;
    gap->site_a = search->witness.site_a;
    gap->site_b = search->witness.site_b;
    gap->exhausted = search->exhausted;
    gap->nodes = search->nodes;
}

static bool
meets_open_mesh(const Query *query)
{
    const TbWitness *w = &query->search.witness;

    return !tb_inside__has(tb_field__part(&query->a, w->node_a)) ||
           !tb_inside__has(tb_field__part(&query->b, w->node_b));
}

/** The surfaces meet, or one part lies inside the other: the depth says how much. */
static TbStatus
settle_contact(Query *query, TbGap *gap)
{
    double width = query->ask->depth_width > 0 ? query->ask->depth_width : TB_DEPTH_WIDTH;
    bool crosses = query->search.met && meets_open_mesh(query);
    TbDepth depth;
    TbStatus status =
        tb_overlap__depth(&query->a, &query->b, width, query->ask->budget, query->task, &depth);

    if (status != TB_OK)
        return status;
    gap->nodes += depth.nodes;
    if (crosses && !(depth.any && depth.upper < 0)) {
        gap->contact = TB_CROSSES;
        gap->lower = gap->upper = 0;
        return TB_OK;
    }
    gap->exhausted = gap->exhausted || depth.exhausted;
    gap->lower = depth.any ? depth.lower : 0; /* an open mesh has no depth */
    gap->contact = TB_TOUCHES;
    if (depth.upper < 0) {
        gap->contact = TB_OVERLAPS;
        gap->upper = depth.upper;
        gap->point_a = depth.point_a;
        gap->point_b = depth.point_b;
        gap->site_a = depth.site_a;
        gap->site_b = depth.site_b;
        gap->way_out = depth.way_out;
    } else if (query->contained) {
        gap->contact = TB_OVERLAPS; /* proved by a point inside, only its depth is not */
        gap->upper = 0;
    }
    return TB_OK;
}

static TbStatus
answer(Query *query, TbGap *gap)
{
    uint32_t part_a, part_b;
    TbVec3 point;
    TbStatus status = search_gap(query, query->ask->hint > 0 ? query->ask->hint : (double)INFINITY);

    if (status == TB_OK && hint_failed(query))
        status = search_gap(query, INFINITY);
    if (status != TB_OK)
        return status;
    take_search(query, gap);
    gap->contact = TB_CLEAR;
    if (!query->search.met) {
        status = tb_inside__find(&query->a, &query->b, &query->contained, &part_a, &part_b, &point);
        if (status != TB_OK)
            return status;
    }
    /* a bound below 0 left over (budget, width below rounding) proves no depth */
    if (query->search.met || query->contained || gap->lower < 0)
        return settle_contact(query, gap);
    return TB_OK;
}

TbStatus
tb_gap(const TbGapAsk *ask, TbTask *task, TbGap *gap, TbFault *fault)
{
    Query query = {.ask = ask, .task = task};
    TbGap made = {.upper = INFINITY, .lower = INFINITY, .certified = true};
    TbStatus status;

    query.b.empty = true; /* so that it may be cleared whatever happens to the first */
    status = tb_field__of_solid(&query.a, ask->a, ask->leave_out, ask->leave_out_count);
    if (status == TB_OK)
        status = tb_field__of_solid(&query.b, ask->b, ask->leave_out, ask->leave_out_count);
    made.nothing = query.a.empty || query.b.empty;
    made.site_a.triangle = made.site_b.triangle = UINT32_MAX;
    if (status == TB_OK && !made.nothing)
        status = answer(&query, &made);
    tb_field__clear(&query.a);
    tb_field__clear(&query.b);
    if (status == TB_OK)
        *gap = made;
    return no_room(fault, status);
}
