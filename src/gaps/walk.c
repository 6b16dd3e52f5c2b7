/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/walk_private.h"

#include "base/mem.h"
#include "geom/tol.h"

/** Share of the width to which a separation of hulls is iterated. */
#define HULL_SHARE 0.125

/** The same for two evaluated bodies, whose distance becomes the upper end. */
#define WITNESS_SHARE 0.05

/** mm. Evaluated bodies nearer than this meet: both ends carry one rounding. */
#define MEETS (2 * TB_TOL_ROUND)

/** Leaves looked at for one section before the heap's search takes over: it goes best first, which
 * this does not, and so finds where two bodies meet. */
#define MOST_LOOKS 400

void
tb_walk__start(TbWalk *walk, TbField *other, double width, const TbTask *task)
{
    *walk = (TbWalk){.other = other, .width = width, .task = task, .last = UINT32_MAX};
}

void
tb_walk__clear(TbWalk *walk)
{
    TB_CLEAR(walk->known);
    TB_CLEAR(walk->due);
    walk->known_room = walk->due_room = 0;
}

static TbStatus
make_room(TbWalk *walk)
{
    size_t count = walk->other->count, room = 2 * count;
    void *more;

    if (count <= walk->known_room)
        return TB_OK;
    more = tb_resize_array(walk->known, room, sizeof *walk->known);
    if (more == NULL)
        return TB_E_MEMORY;
    walk->known = more;
    for (size_t i = walk->known_room; i < room; i++)
        walk->known[i] = (TbKnown){.turn = 0};
    walk->known_room = room;
    return TB_OK;
}

static TbStatus
put(TbWalk *walk, uint32_t node, double lower)
{
    void *room = walk->due;

    if (tb_grow_array(&room, &walk->due_room, walk->due_count, sizeof *walk->due) != 0)
        return TB_E_MEMORY;
    walk->due = room;
    walk->due[walk->due_count++] = (TbDue){lower, node};
    return TB_OK;
}

/* ---- bounds ---- */

/** A section and a node that are apart by this need not be followed. */
static double
cut_of(const TbWalk *walk)
{
    return fmax(0, walk->upper - walk->width);
}

/** How far a box reaches along a direction. */
static double
box_reach(TbBox3 box, TbVec3 d)
{
    return (d.x > 0 ? box.high.x : box.low.x) * d.x + (d.y > 0 ? box.high.y : box.low.y) * d.y +
           (d.z > 0 ? box.high.z : box.low.z) * d.z;
}

/** Of boxes, balls and the nearest leaf's plane: cheap, before anything else. */
static double
far_apart(const TbWalk *walk, const TbNode *node)
{
    const TbDiscAt *at = walk->at;
    double boxes = sqrt(tb_box3_distance2(at->box, node->box));
    double balls = tb_vec3_distance(at->disc.centre, node->centre) - at->reach - node->radius;
    double ball = sqrt(tb_box3_point_distance2(node->box, at->disc.centre)) - at->reach;
    double lower = fmax(fmax(boxes, ball), balls);

    if (!isnan(walk->front)) {
        double reach = fmin(box_reach(node->box, walk->plane),
                            tb_vec3_dot(node->centre, walk->plane) + node->radius);

        lower = fmax(lower, walk->front - reach);
    }
    return lower - TB_TOL_ROUND;
}

/** How far away a plane square to a unit d is that has the section behind it. */
static double
front_of(const TbWalk *walk, TbVec3 d)
{
    TbVec3 contact;

    return -tb_disc_support(&walk->at->disc, tb_vec3_neg(d), true, &contact);
}

/** What the direction that held the node away from the last section says of this one. */
static double
remembered(TbWalk *walk, uint32_t node)
{
    TbKnown *known = &walk->known[node];

    if (!known->given)
        return -INFINITY;
    if (isinf(known->reach)) {
        TbConvex body = tb_field__body(walk->other, node);
        TbSupport support = tb_convex_support(&body, known->way);

        known->reach = support.reach + support.beyond;
    }
    return front_of(walk, known->way) - known->reach - TB_TOL_ROUND;
}

/* ---- evaluated points ---- */

static void
take_witness(TbWalk *walk, uint32_t node, double share, TbWitness witness)
{
    double distance = tb_vec3_distance(witness.point_a, witness.point_b);

    if (distance + TB_TOL_ROUND >= walk->upper)
        return;
    walk->upper = distance + TB_TOL_ROUND;
    walk->met = distance <= MEETS;
    walk->witness = witness;
    walk->witness.node_b = node;
    walk->witness.share_b = share;
    walk->last = node;
}

static double
strip_u(const TbStrip *strip, double share)
{
    if (share <= 0)
        return strip->u0;
    return share >= 1 ? strip->u1 : strip->u0 + share * (strip->u1 - strip->u0);
}

/**
 * The station of a strip that the separation of its hull points at. Its point along the direction
 * and the section's nearest point are mostly near enough to each other; where they are not, the
 * distance of the two sections is found.
 */
static void
witness_on_strip(TbWalk *walk, uint32_t node, const TbSeparation *hull, double lower)
{
    const TbStrip *strip = &walk->other->strip[walk->other->node[node].index];
    double share = fmin(1, fmax(0, hull->share_b[1]));
    TbWitness witness = {.point_a = hull->point_a};
    TbDisc disc;

    if (share == 0 || share == 1)
        disc = share == 0 ? strip->disc0 : strip->disc1;
    else
        disc = tb_piece_disc(strip->piece, strip_u(strip, share));
    tb_disc_support(&disc, hull->direction, true, &witness.point_b);
    if (hull->hull <= 0 ||
        tb_vec3_distance(witness.point_a, witness.point_b) + TB_TOL_ROUND > lower + walk->width) {
        TbConvex there = tb_convex_of_disc(&disc, true);
        TbSeparation found = tb_convex_separation(&walk->body, &there, hull->direction, INFINITY,
                                                  WITNESS_SHARE * walk->width);

        witness.point_a = found.point_a;
        witness.point_b = found.point_b;
        if (found.distance <= MEETS)
            witness.point_b = found.point_a;
    }
    take_witness(walk, node, share, witness);
}

/** A leaf's own separation: its bound, and a witness where it is not let go by it. */
static double
look(TbWalk *walk, uint32_t index)
{
    const TbNode *node = &walk->other->node[index];
    TbKnown *known = &walk->known[index];
    bool on_strip = node->kind == TB_NODE_STRIP;
    TbConvex body = tb_field__body(walk->other, index);
    TbVec3 way = known->given ? known->way : tb_vec3(0, 0, 0);
    double cut = cut_of(walk);
    TbSeparation found =
        tb_convex_separation(&walk->body, &body, way, cut + TB_TOL_ROUND,
                             (on_strip ? HULL_SHARE : WITNESS_SHARE) * walk->width);

    walk->nodes++;
    known->way = found.direction;
    known->reach = INFINITY;
    known->given = true;
    known->turn = walk->turn;
    known->lower = found.lower - TB_TOL_ROUND;
    if (known->lower >= cut)
        return known->lower;
    if (on_strip) {
        witness_on_strip(walk, index, &found, known->lower);
    } else {
        TbWitness witness = {.point_a = found.point_a, .point_b = found.point_b};

        if (found.distance <= MEETS)
            witness.point_b = witness.point_a;
        take_witness(walk, index, 0, witness);
    }
    return known->lower;
}

/* ---- the walk ---- */

static void
let_go(TbWalk *walk, double lower)
{
    walk->let_go = fmin(walk->let_go, lower);
}

/** Children, the nearest on top. */
static TbStatus
put_children(TbWalk *walk, uint32_t index, double lower)
{
    const TbNode *node = &walk->other->node[index];
    size_t first = walk->due_count;

    for (uint32_t i = 0; i < node->count; i++) {
        uint32_t child = node->first + i;
        double theirs = fmax(lower, far_apart(walk, &walk->other->node[child]));
        size_t at;

        if (theirs >= cut_of(walk)) {
            let_go(walk, theirs);
            continue;
        }
        if (put(walk, child, theirs) != TB_OK)
            return TB_E_MEMORY;
        for (at = walk->due_count - 1; at > first && walk->due[at - 1].lower < theirs; at--)
            walk->due[at] = walk->due[at - 1];
        walk->due[at] = (TbDue){theirs, child};
    }
    return TB_OK;
}

static TbStatus
open_node(TbWalk *walk, uint32_t index, double lower)
{
    bool opened;
    TbStatus status = tb_field__open(walk->other, index, &opened);

    if (status == TB_OK)
        status = make_room(walk);
    if (status != TB_OK)
        return status;
    if (!opened) {
        let_go(walk, lower); /* exact on both sides: no better bound in doubles */
        return TB_OK;
    }
    return put_children(walk, index, lower);
}

static TbStatus
follow(TbWalk *walk, TbDue due)
{
    const TbNode *node = &walk->other->node[due.node];
    const TbKnown *known = &walk->known[due.node];

    if (due.lower < cut_of(walk) && !tb_node__is_box(node)) {
        if (known->turn == walk->turn)
            due.lower = fmax(due.lower, known->lower);
        else
            due.lower = fmax(due.lower, remembered(walk, due.node));
        if (due.lower < cut_of(walk) && node->count == 0 && known->turn != walk->turn)
            due.lower = fmax(due.lower, look(walk, due.node));
    }
    if (due.lower >= cut_of(walk)) {
        let_go(walk, due.lower);
        return TB_OK;
    }
    return open_node(walk, due.node, due.lower);
}

/** The nearest leaf of the section before: an upper end, and a plane that much lies behind. */
static void
begin_at_last(TbWalk *walk)
{
    if (walk->last == UINT32_MAX)
        return;
    look(walk, walk->last);
    walk->plane = walk->known[walk->last].way;
    walk->front = front_of(walk, walk->plane);
}

TbStatus
tb_walk__station(TbWalk *walk, const TbDiscAt *at)
{
    TbStatus status = make_room(walk);

    walk->turn++;
    walk->at = at;
    walk->body = tb_convex_of_disc(&at->disc, true);
    walk->front = (double)NAN;
    walk->upper = walk->let_go = INFINITY;
    walk->met = walk->undecided = false;
    walk->nodes = 0;
    walk->due_count = 0;
    if (status != TB_OK)
        return status;
    if (tb_task_is_cancelled(walk->task))
        return TB_E_CANCELLED;
    begin_at_last(walk);
    status = put(walk, walk->other->root, -INFINITY);
    while (status == TB_OK && walk->due_count > 0 && !walk->met) {
        if (walk->nodes > MOST_LOOKS) {
            walk->undecided = true;
            return TB_OK;
        }
        status = follow(walk, walk->due[--walk->due_count]);
    }
    return status;
}

double
tb_walk__lower(const TbWalk *walk)
{
    return fmin(walk->let_go, walk->upper);
}
