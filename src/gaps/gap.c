/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/gap.h"

#include "gaps/inside_private.h"
#include "gaps/overlap_private.h"
#include "gaps/scan_parts_private.h"
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
    case TB_INSIDE:
        return "inside";
    }
    return "unknown";
}

const char *
tb_inner_name(TbInner inner)
{
    switch (inner) {
    case TB_INNER_NONE:
        return "none";
    case TB_INNER_A:
        return "a";
    case TB_INNER_B:
        return "b";
    case TB_INNER_UNKNOWN:
        return "undecidable";
    }
    return "unknown";
}

const char *
tb_doubt_text(TbDoubt doubt)
{
    switch (doubt) {
    case TB_DOUBT_NONE:
        return "";
    case TB_DOUBT_OPEN:
        return "the mesh is open, so it has no inside";
    case TB_DOUBT_HOLE:
        return "the mesh has a hole there, so its inside ends nobody knows where";
    case TB_DOUBT_FLIPPED:
        return "the mesh's triangles disagree about which side is out";
    case TB_DOUBT_INWARD:
        return "the mesh's normals point inwards as of the walls of a room, and this is not in it";
    }
    return "";
}

/** One question while it is worked on. */
typedef struct Query {
    const TbGapAsk *ask;
    const TbTask *task;
    TbField a, b;
    TbSearch search;
    double lower;  /**< of the search */
    bool reaches;  /**< some point is known to lie inside: only whether surfaces meet is searched */
    TbReach reach; /**< where the surfaces do not meet: what lies inside what all the same */
    TbInner inner; /**< proved to lie wholly in the other */
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
    TbScanParts scans;
    TbStatus status;

    tb_search__start(search, &query->a, &query->b, fmax(query->ask->width, TB_GAP_WIDTH_LEAST));
    search->enough = query->reaches ? TB_GAP_WIDTH_LEAST : query->ask->enough;
    search->hint = hint;
    search->task = query->task;
    if (query->ask->budget > 0)
        search->budget = query->ask->budget;
    first_witness(search);
    status =
        tb_scan_parts__look(search, query->ask->leave_out, query->ask->leave_out_count, &scans);
    search->scanned = scans.any && scans.decided;
    if (status == TB_OK)
        status = tb_search__push(search, query->a.root, query->b.root, tb_vec3(0, 0, 0));
    if (status == TB_OK)
        status = tb_search__run(search);
    query->lower = tb_search__lower(search);
    if (search->scanned)
        query->lower = fmin(query->lower, scans.lower);
    search->nodes += scans.looks;
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

/** Whether one lies wholly inside the other: by points where the surfaces do not meet, else by a
 * proof. */
static TbStatus
find_inner(Query *query)
{
    bool whole_a = query->reach.whole_a, whole_b = query->reach.whole_b;
    TbStatus status = TB_OK;

    if (!query->reach.some)
        status = tb_inside__all_whole(&query->a, &query->b, query->task, &whole_a);
    if (!query->reach.some && status == TB_OK && !whole_a)
        status = tb_inside__all_whole(&query->b, &query->a, query->task, &whole_b);
    if (whole_a != whole_b)
        query->inner = whole_a ? TB_INNER_A : TB_INNER_B;
    return status;
}

static void
take_depth(const TbDepth *depth, TbGap *gap)
{
    gap->upper = depth->upper;
    gap->point_a = depth->point_a;
    gap->point_b = depth->point_b;
    gap->site_a = depth->site_a;
    gap->site_b = depth->site_b;
    gap->way_out = depth->way_out;
}

static TbStatus
find_depth(Query *query, TbGap *gap, TbDepth *depth)
{
    double width = query->ask->depth_width > 0 ? query->ask->depth_width : TB_DEPTH_WIDTH;
    TbStatus status = tb_overlap__depth(&query->a, &query->b, query->inner, width, TB_TOL_ROUND,
                                        query->ask->budget, query->task, depth);

    gap->nodes += depth->nodes;
    return status;
}

/** The surfaces meet, or one part lies inside the other: the depth says how much. */
static TbStatus
settle_contact(Query *query, TbGap *gap)
{
    bool crosses = query->search.met && meets_open_mesh(query);
    TbDepth depth;
    TbStatus status = find_inner(query);

    if (status == TB_OK)
        status = find_depth(query, gap, &depth);
    if (status != TB_OK)
        return status;
    if (crosses && query->inner == TB_INNER_NONE && !(depth.any && depth.upper < 0)) {
        gap->contact = TB_CROSSES;
        gap->lower = gap->upper = 0;
        return TB_OK;
    }
    gap->exhausted = gap->exhausted || depth.exhausted;
    gap->lower = depth.any ? depth.lower : 0; /* an open mesh has no depth */
    gap->contact = TB_TOUCHES;
    if (depth.upper < 0) {
        gap->contact = TB_OVERLAPS;
        take_depth(&depth, gap);
    } else if (query->reach.some) {
        gap->contact = TB_OVERLAPS; /* proved by a point inside, only its depth is not */
        gap->upper = 0;
    }
    if (gap->contact == TB_OVERLAPS && query->inner != TB_INNER_NONE) {
        gap->contact = TB_INSIDE;
        gap->inner = query->inner;
    }
    return TB_OK;
}

/** Where a point of one solid lies about a part of the other; out of what is no mesh. */
static TbLies
lies(const TbField *field, size_t part, TbVec3 p)
{
    const TbPart *mesh = tb_solid_part(field->solid, part);
    double winding;

    return mesh->kind == TB_PART_MESH ? tb_inside__where(mesh, p, &winding) : TB_LIES_OUT;
}

/**
 * The surfaces do not meet, no point asked lies inside, but one reaches where the other has a hole:
 * through it, perhaps. The depth of mesh and lids tells; it counts only if its deepest point is
 * clearly inside.
 */
static TbStatus
settle_hole(Query *query, TbGap *gap)
{
    TbLies in_a, in_b;
    TbDepth depth;
    TbStatus status = find_depth(query, gap, &depth);

    if (status != TB_OK || !(depth.upper < 0))
        return status;
    in_b = lies(&query->b, depth.site_b.part, depth.point_a);
    in_a = lies(&query->a, depth.site_a.part, depth.point_b);
    if (in_a == TB_LIES_IN || in_b == TB_LIES_IN) {
        gap->exhausted = gap->exhausted || depth.exhausted;
        gap->lower = depth.lower;
        gap->contact = TB_OVERLAPS;
        take_depth(&depth, gap);
    } else if (query->reach.doubt == TB_LIES_OUT && (in_a != TB_LIES_OUT || in_b != TB_LIES_OUT)) {
        query->reach.doubt = TB_LIES_AT_HOLE;
        query->reach.winding = 0.5;
    }
    return TB_OK;
}

static TbDoubt
doubt_of(TbLies side)
{
    switch (side) {
    case TB_LIES_OUT:
    case TB_LIES_IN:
        break;
    case TB_LIES_AT_OPEN:
        return TB_DOUBT_OPEN;
    case TB_LIES_AT_HOLE:
        return TB_DOUBT_HOLE;
    case TB_LIES_IN_FLIPPED:
        return TB_DOUBT_FLIPPED;
    case TB_LIES_ABOUT_ROOM:
        return TB_DOUBT_INWARD;
    }
    return TB_DOUBT_NONE;
}

static TbStatus
answer(Query *query, TbGap *gap)
{
    TbReach *reach = &query->reach;
    TbStatus status;

    query->reaches = tb_inside__reaches(&query->a, &query->b);
    status = search_gap(query, query->ask->hint > 0 ? query->ask->hint : (double)INFINITY);
    if (status == TB_OK && hint_failed(query))
        status = search_gap(query, INFINITY);
    if (status != TB_OK)
        return status;
    take_search(query, gap);
    gap->contact = TB_CLEAR;
    if (!query->search.met)
        *reach = tb_inside__find(&query->a, &query->b, gap->point_a, gap->point_b);
    /* a bound below 0 left over (budget, width below rounding) proves no depth */
    if (query->search.met || reach->some || gap->lower < 0)
        return settle_contact(query, gap);
    if (reach->near_lids)
        status = settle_hole(query, gap);
    if (gap->contact == TB_CLEAR && reach->doubt != TB_LIES_OUT) {
        gap->inner = TB_INNER_UNKNOWN;
        gap->doubt = doubt_of(reach->doubt);
        gap->enclosed = reach->winding;
    }
    return status;
}

/** What is far from a mesh need not know whether it is closed. */
static TbStatus
prepare(const TbGapAsk *ask)
{
    TbStatus status = tb_inside__prepare(ask->a);

    return status == TB_OK ? tb_inside__prepare(ask->b) : status;
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
    if (status == TB_OK)
        status = prepare(ask);
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
