/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/search_private.h"

#include "geom/tol.h"

/* ---- bounds ---- */

/**
 * What a pair must reach to be let go: the width below the upper end, but not below 0 (two solids
 * are apart or they meet; a bound below 0 proves neither); or what the asker calls enough.
 */
static double
cut_of(const TbSearch *search)
{
    double cut = fmax(0, fmin(search->upper, search->hint) - search->width);

    return search->enough > 0 ? fmin(cut, search->enough) : cut;
}

static void
let_go(TbSearch *search, const TbPair *pair)
{
    search->let_go = fmin(search->let_go, pair->lower);
}

/** Of boxes and balls: cheap, before anything else. */
static double
far_apart(const TbSearch *search, const TbNode *a, const TbNode *b)
{
    double lower = sqrt(tb_box3_distance2(a->box, b->box));

    if (lower < cut_of(search))
        lower = fmax(lower, tb_vec3_distance(a->centre, b->centre) - a->radius - b->radius);
    return lower - TB_TOL_ROUND;
}

/** No point of b lies as far behind a point of a as asked. */
static bool
is_too_near_along(const TbSearch *search, const TbNode *a, const TbNode *b)
{
    return search->apart > 0 && b->station1 - a->station0 < search->apart;
}

TbStatus
tb_search__push(TbSearch *search, uint32_t a, uint32_t b, TbVec3 way)
{
    const TbNode *node_a = &search->a->node[a], *node_b = &search->b->node[b];
    TbPair pair = {.way = way, .node = {a, b}};

    if (is_too_near_along(search, node_a, node_b))
        return TB_OK;
    pair.lower = far_apart(search, node_a, node_b);
    if (pair.lower >= cut_of(search)) {
        let_go(search, &pair);
        return TB_OK;
    }
    return tb_pairs__push(&search->pairs, &pair);
}

/** A child is never worse off than its parent. */
static TbStatus
push_child(TbSearch *search, const TbPair *parent, uint32_t a, uint32_t b)
{
    const TbNode *node_a = &search->a->node[a], *node_b = &search->b->node[b];
    TbPair pair = {.way = parent->way, .node = {a, b}};

    if (is_too_near_along(search, node_a, node_b) ||
        (search->scanned && tb_pair__is_scanned(search->a, a, search->b, b)))
        return TB_OK;
    pair.lower = fmax(parent->lower, far_apart(search, node_a, node_b));
    if (pair.lower >= cut_of(search)) {
        let_go(search, &pair);
        return TB_OK;
    }
    return tb_pairs__push(&search->pairs, &pair);
}

/* ---- evaluated points ---- */

/** One side of a witness: a station of a strip, or the exact body itself. */
typedef struct Real {
    TbConvex body;
    TbDisc disc;
    TbSite site;
    bool on_strip;
} Real;

static double
strip_u(const TbStrip *strip, double share)
{
    if (share <= 0)
        return strip->u0;
    return share >= 1 ? strip->u1 : strip->u0 + share * (strip->u1 - strip->u0);
}

static void
set_station(Real *real, const TbStrip *strip, double share)
{
    if (share <= 0)
        real->disc = strip->disc0;
    else if (share >= 1)
        real->disc = strip->disc1;
    else
        real->disc = tb_piece_disc(strip->piece, strip_u(strip, share));
    real->body = tb_convex_of_disc(&real->disc, true);
    real->site.station = real->disc.station;
}

static void
real_side(Real *real, const TbField *field, uint32_t index, double share)
{
    const TbNode *node = &field->node[index];

    real->site = (TbSite){.part = node->part, .triangle = UINT32_MAX};
    real->on_strip = node->kind == TB_NODE_STRIP;
    real->site.on_sweep = real->on_strip;
    if (real->on_strip) {
        set_station(real, tb_field__strip(field, index), share);
        return;
    }
    real->body = tb_field__body(field, index);
    if (node->kind == TB_NODE_TRIANGLE)
        real->site.triangle = tb_tree_numbers(tb_field__part(field, index)->tree)[node->index];
}

/** Stations too near each other along the path: move b's behind, or a's before; false when neither
 * strip has such a place. */
static bool
move_apart(const TbSearch *search, const TbPair *pair, Real *a, Real *b)
{
    const TbStrip *strip_a = tb_field__strip(search->a, pair->node[0]);
    const TbStrip *strip_b = tb_field__strip(search->b, pair->node[1]);
    double station = a->site.station + search->apart;
    double span;

    if (b->site.station >= station)
        return true;
    if (station > strip_b->disc1.station) {
        set_station(b, strip_b, 1);
        station = b->site.station - search->apart;
        if (station < strip_a->disc0.station)
            return false;
        span = strip_a->u1 - strip_a->u0;
        set_station(a, strip_a, (tb_piece_u(strip_a->piece, station) - strip_a->u0) / span);
    } else {
        span = strip_b->u1 - strip_b->u0;
        set_station(b, strip_b, (tb_piece_u(strip_b->piece, station) - strip_b->u0) / span);
    }
    return b->site.station - a->site.station >= search->apart * (1 - TB_TOL_STATION);
}

static void
witness_of(TbSearch *search, const TbPair *pair, double share_a, double share_b, TbVec3 way)
{
    Real a, b;
    TbSeparation found;
    double upper;

    real_side(&a, search->a, pair->node[0], share_a);
    real_side(&b, search->b, pair->node[1], share_b);
    if (search->apart > 0 && !move_apart(search, pair, &a, &b))
        return;
    found = tb_convex_separation(&a.body, &b.body, way, INFINITY, TB_WITNESS_SHARE * search->width);
    upper = found.distance + TB_TOL_ROUND;
    if (upper >= search->upper)
        return;
    search->upper = upper;
    search->way = found.direction;
    search->met = found.distance <= TB_MEETS;
    if (a.on_strip)
        a.site.angle = tb_disc_angle(&a.disc, found.point_a);
    if (b.on_strip)
        b.site.angle = tb_disc_angle(&b.disc, found.point_b);
    search->witness = (TbWitness){found.point_a, found.point_b, a.site,  b.site,
                                  pair->node[0], pair->node[1], share_a, share_b};
}

void
tb_search__try(TbSearch *search, uint32_t a, uint32_t b, double share_a, double share_b)
{
    TbPair pair = {.node = {a, b}};

    witness_of(search, &pair, share_a, share_b, tb_vec3(0, 0, 0));
}

/** The separation of a pair's bodies, and how far along both strips the nearest points are. */
typedef struct Closeness {
    TbSeparation found;
    double share_a, share_b;
} Closeness;

static Closeness
closeness_of(const TbSearch *search, const TbPair *pair, double enough)
{
    TbConvex body_a = tb_field__body(search->a, pair->node[0]);
    TbConvex body_b = tb_field__body(search->b, pair->node[1]);
    Closeness c;

    c.found =
        tb_convex_separation(&body_a, &body_b, pair->way, enough, TB_HULL_SHARE * search->width);
    c.share_a = c.found.share_a[1];
    c.share_b = c.found.share_b[1];
    return c;
}

/** Two strips of which not all stations are as far apart as asked; false when none are. */
static bool
is_stagger(const TbSearch *search, const TbNode *a, const TbNode *b)
{
    return search->apart > 0 && a->kind == TB_NODE_STRIP && b->kind == TB_NODE_STRIP &&
           b->station0 - a->station1 < search->apart;
}

static bool
closeness_of_stagger(const TbSearch *search, const TbPair *pair, double enough, Closeness *c)
{
    const TbStrip *strip_a = tb_field__strip(search->a, pair->node[0]);
    const TbStrip *strip_b = tb_field__strip(search->b, pair->node[1]);
    TbConvex body, origin = tb_convex_of_point(tb_vec3(0, 0, 0));
    TbStagger stagger;

    if (!tb_stagger_of(strip_a, strip_b, search->apart, &stagger))
        return false;
    body = tb_stagger_convex(&stagger);
    *c = (Closeness){.share_a = 0};
    c->found =
        tb_convex_separation(&body, &origin, pair->way, enough, TB_HULL_SHARE * search->width);
    for (int i = 0; i < stagger.count; i++) {
        c->share_a += c->found.share_a[i] * stagger.share_a[i];
        c->share_b += c->found.share_a[i] * stagger.share_b[i];
    }
    return true;
}

/** Whether a pair is let go by the way between the nearest points so far: most are, and the rest
 * need a way of their own. */
static bool
is_apart_along_way(const TbSearch *search, TbPair *pair)
{
    double lower;

    if (!(tb_vec3_length2(search->way) > 0))
        return false;
    lower = -tb_field__leaf_reach(search->a, pair->node[0], tb_vec3_neg(search->way)) -
            tb_field__leaf_reach(search->b, pair->node[1], search->way) - TB_TOL_ROUND;
    pair->lower = fmax(pair->lower, lower);
    return pair->lower >= cut_of(search);
}

/** Whether a pair's own separation is worth its while: two boxes say little more than their
 * distance, and what is in a group is soon known apart. */
static bool
is_worth_a_look(const TbSearch *search, const TbPair *pair)
{
    const TbNode *a = &search->a->node[pair->node[0]], *b = &search->b->node[pair->node[1]];
    bool group = a->kind == TB_NODE_GROUP || b->kind == TB_NODE_GROUP;

    return !group && !(tb_node__is_box(a) && tb_node__is_box(b));
}

/** A pair's own separation; false when it is let go. */
static bool
look_closely(TbSearch *search, TbPair *pair)
{
    const TbNode *a = &search->a->node[pair->node[0]], *b = &search->b->node[pair->node[1]];
    double cut = cut_of(search);
    Closeness c;

    if (is_apart_along_way(search, pair)) {
        let_go(search, pair);
        return false;
    }
    if (!is_stagger(search, a, b))
        c = closeness_of(search, pair, cut + TB_TOL_ROUND);
    else if (!closeness_of_stagger(search, pair, cut + TB_TOL_ROUND, &c))
        return false;
    pair->fine = true;
    pair->way = c.found.direction;
    pair->lower = fmax(pair->lower, c.found.lower - TB_TOL_ROUND);
    if (pair->lower >= cut) {
        let_go(search, pair);
        return false;
    }
    if (tb_node__is_box(a) || tb_node__is_box(b))
        return true;
    witness_of(search, pair, c.share_a, c.share_b, c.found.direction);
    if (pair->lower < cut_of(search))
        return true;
    let_go(search, pair);
    return false;
}

/* ---- splitting ---- */

static TbStatus
split(TbSearch *search, const TbPair *pair)
{
    double loose_a = search->a->node[pair->node[0]].loose,
           loose_b = search->b->node[pair->node[1]].loose;
    bool first_a = loose_a >= loose_b, opened = false;
    TbStatus status = TB_OK;

    /* the looser one first, else the other */
    for (int turn = 0; turn < 2 && !opened && status == TB_OK; turn++) {
        bool take_a = (turn == 0) == first_a;
        TbField *field = take_a ? search->a : search->b;
        uint32_t index = take_a ? pair->node[0] : pair->node[1];
        TbNode node;

        status = tb_field__open(field, index, &opened);
        if (status != TB_OK || !opened)
            continue;
        node = field->node[index];
        for (uint32_t i = 0; i < node.count && status == TB_OK; i++)
            status = take_a ? push_child(search, pair, node.first + i, pair->node[1])
                            : push_child(search, pair, pair->node[0], node.first + i);
    }
    if (status == TB_OK && !opened)
        let_go(search, pair); /* exact on both sides: no better bound in doubles */
    return status;
}

void
tb_search__start(TbSearch *search, TbField *a, TbField *b, double width)
{
    *search = (TbSearch){.a = a, .b = b, .width = width, .budget = TB_GAP_BUDGET};
    search->upper = INFINITY;
    search->let_go = INFINITY;
    search->hint = INFINITY;
}

void
tb_search__again(TbSearch *search)
{
    search->pairs.count = 0;
    search->way = tb_vec3(0, 0, 0);
    search->upper = search->let_go = search->hint = INFINITY;
    search->witness = (TbWitness){.node_a = UINT32_MAX, .node_b = UINT32_MAX};
    search->met = search->exhausted = false;
    search->nodes = 0;
}

TbStatus
tb_search__run(TbSearch *search)
{
    TbStatus status = TB_OK;

    while (search->pairs.count > 0 && status == TB_OK && !search->met) {
        TbPair pair;

        if (search->pairs.pair[0].lower >= cut_of(search))
            break;
        if (search->enough > 0 && search->upper < search->enough)
            break;
        if (search->nodes >= search->budget) {
            search->exhausted = true;
            break;
        }
        if (search->nodes++ % TB_PAIR_POLL == 0 && tb_task_is_cancelled(search->task))
            return TB_E_CANCELLED;
        pair = tb_pairs__pop(&search->pairs);
        if (!pair.fine && is_worth_a_look(search, &pair)) {
            if (!look_closely(search, &pair))
                continue;
            if (search->pairs.count > 0 && tb_pair__is_before(&search->pairs.pair[0], &pair)) {
                status = tb_pairs__push(&search->pairs, &pair);
                continue;
            }
        }
        status = split(search, &pair);
    }
    return status;
}

double
tb_search__lower(const TbSearch *search)
{
    double lower = fmin(search->let_go, tb_pairs__lower(&search->pairs));

    return fmin(lower, search->upper);
}

void
tb_search__clear(TbSearch *search)
{
    tb_pairs__clear(&search->pairs);
}
