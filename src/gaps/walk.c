/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/walk_private.h"

#include "base/mem.h"
#include "geom/disc_near.h"
#include "geom/tol.h"

/** Share of the width to which a separation of hulls is iterated. */
#define HULL_SHARE 0.125

/** The same for two evaluated bodies, whose distance becomes the upper end. */
#define WITNESS_SHARE 0.05

/** mm. Evaluated bodies nearer than this meet: both ends carry one rounding. */
#define MEETS (2 * TB_TOL_ROUND)

/** Number of a body's second point among its parts (TbSupport.part): a tube's far end. */
#define SECOND_POINT 9

/** Sections after which the direction to a leaf says no more than the nearest one's. */
#define LATELY 2

/** Leaves looked at for one section before the heap's search takes over: it goes best first, which
 * this does not, and so finds where two bodies meet. */
#define MOST_LOOKS 400

void
tb_walk__start(TbWalk *walk, TbField *other, double width, const TbTask *task)
{
    *walk = (TbWalk){.other = other, .width = width, .task = task, .last = UINT32_MAX};
    walk->part = UINT32_MAX;
    walk->station = walk->guess = (double)NAN;
}

void
tb_walk__clear(TbWalk *walk)
{
    TB_CLEAR(walk->known);
    TB_CLEAR(walk->due);
    TB_CLEAR(walk->opened);
    walk->known_room = walk->due_room = 0;
}

static TbStatus
make_room(TbWalk *walk)
{
    size_t count = walk->other->count, room = 2 * count;
    void *more;

    if (count <= walk->known_room)
        return TB_OK;
    more = tb_resize_array(walk->opened, room, sizeof *walk->opened);
    if (more == NULL)
        return TB_E_MEMORY;
    walk->opened = more;
    more = tb_resize_array(walk->known, room, sizeof *walk->known);
    if (more == NULL)
        return TB_E_MEMORY;
    walk->known = more;
    for (size_t i = walk->known_room; i < room; i++)
        walk->known[i] = (TbNodeWay){.gone = NAN};
    walk->known_room = room;
    return TB_OK;
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
    const TbStrip *strip = tb_field__strip(walk->other, node);
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

/** Where a direction is going: it turns on as it did. */
static TbVec3
turned_on(TbVec3 way, TbVec3 before)
{
    return tb_vec3_dot(way, before) > 0 ? tb_vec3_sub(tb_vec3_scale(way, 2), before) : way;
}

/** Where the direction to a leaf may be. The first leaf of a section should lie where the nearest
 * points are going; of the others, one that was not looked at lately may lie as the first does. */
static TbVec3
next_way(const TbWalk *walk, const TbNodeWay *known)
{
    if (isnan(walk->front))
        return turned_on(walk->way, walk->way_before);
    return known->given && known->looked + LATELY >= walk->number
               ? turned_on(known->way, known->before)
               : walk->plane;
}

/** What the way between two evaluated points says of the whole leaf: its hull may be best held
 * away along another one, since it does not bend. */
static double
by_witness(TbWalk *walk, uint32_t node, const TbWitness *witness, double lower)
{
    TbNodeWay *known = &walk->known[node];
    TbVec3 way = tb_vec3_unit(tb_vec3_sub(witness->point_a, witness->point_b));
    double reach, apart;

    if (lower >= tb_walk__cut_of(walk) || !(tb_vec3_length2(way) > 0))
        return lower;
    reach = tb_field__leaf_reach(walk->other, node, way);
    apart = tb_walk__front_of(walk, way) - reach - TB_TOL_ROUND;
    if (apart <= lower)
        return lower;
    known->way = way;
    known->reach = reach;
    return apart;
}

static double
witness_on_tube(TbWalk *walk, uint32_t node, const TbSeparation *hull, double lower)
{
    const TbTube *tube = &walk->other->tube[walk->other->node[node].index];
    double share = fmin(1, fmax(0, hull->share_b[SECOND_POINT]));
    TbWitness witness = {.point_a = hull->point_a};

    witness.point_b = tb_tube__point(tube, share, hull->point_a);
    take_witness(walk, node, share, witness);
    return by_witness(walk, node, &witness, lower);
}

static void
witness_on_exact(TbWalk *walk, uint32_t node, const TbSeparation *found)
{
    TbWitness witness = {.point_a = found->point_a, .point_b = found->point_b};

    if (found->distance <= MEETS)
        witness.point_b = witness.point_a;
    take_witness(walk, node, 0, witness);
}

/** The section and a leaf; the short way first. */
static TbSeparation
separate(const TbWalk *walk, uint32_t index, double most)
{
    TbNodeKind kind = walk->other->node[index].kind;
    bool exact = kind != TB_NODE_STRIP && kind != TB_NODE_TUBE;
    double width = (exact ? WITNESS_SHARE : HULL_SHARE) * walk->width;
    TbConvex body = tb_field__body(walk->other, index);
    TbVec3 start = next_way(walk, &walk->known[index]);
    TbSeparation found;

    if (kind != TB_NODE_STRIP) {
        if (tb_disc_near(&walk->at->disc, &body, start, most, width, &found))
            return found;
        start = found.direction;
    }
    return tb_convex_separation(&walk->body, &body, start, most, width);
}

/** A leaf's own separation: its bound, and a witness where it is not let go by it. */
static double
look(TbWalk *walk, uint32_t index)
{
    const TbNode *node = &walk->other->node[index];
    TbNodeWay *known = &walk->known[index];
    double cut = tb_walk__cut_of(walk), most = cut + TB_TOL_ROUND, lower;
    TbSeparation found;

    if (node->kind == TB_NODE_TUBE)
        most += walk->other->tube[node->index].stray;
    found = separate(walk, index, most);
    walk->nodes++;
    known->looked = walk->number;
    known->before = known->way;
    known->way = found.direction;
    known->reach = INFINITY;
    known->given = true;
    lower = found.lower - tb_walk__beyond_of(walk, index, found.direction) - TB_TOL_ROUND;
    if (lower >= cut)
        return lower;
    if (node->kind == TB_NODE_STRIP)
        witness_on_strip(walk, index, &found, lower);
    else if (node->kind == TB_NODE_TUBE)
        lower = witness_on_tube(walk, index, &found, lower);
    else
        witness_on_exact(walk, index, &found);
    return lower;
}

/* ---- what is to be followed ---- */

static bool
comes_before(TbDue x, TbDue y)
{
    return x.lower != y.lower ? x.lower < y.lower : x.node < y.node;
}

static TbStatus
put(TbWalk *walk, uint32_t node)
{
    void *room = walk->due;
    TbDue due = {walk->known[node].lower, node};
    size_t i;

    if (tb_grow_array(&room, &walk->due_room, walk->due_count, sizeof *walk->due) != 0)
        return TB_E_MEMORY;
    walk->due = room;
    for (i = walk->due_count++; i > 0 && comes_before(due, walk->due[(i - 1) / 2]); i = (i - 1) / 2)
        walk->due[i] = walk->due[(i - 1) / 2];
    walk->due[i] = due;
    return TB_OK;
}

static uint32_t
take(TbWalk *walk)
{
    uint32_t top = walk->due[0].node;
    TbDue last = walk->due[--walk->due_count];
    size_t i = 0;

    for (;;) {
        size_t child = 2 * i + 1;

        if (child >= walk->due_count)
            break;
        if (child + 1 < walk->due_count && comes_before(walk->due[child + 1], walk->due[child]))
            child++;
        if (!comes_before(walk->due[child], last))
            break;
        walk->due[i] = walk->due[child];
        i = child;
    }
    walk->due[i] = last;
    return top;
}

/* ---- the walk ---- */

/** Sets a node's bound for this section. */
static void
settle(TbWalk *walk, uint32_t index, double lower)
{
    walk->known[index].lower = lower;
    walk->known[index].gone = walk->at->gone;
}

/** What cheap tests say of a leaf. */
static double
cheap_bound(TbWalk *walk, uint32_t index)
{
    double cut = tb_walk__cut_of(walk);
    double lower = tb_walk__far_apart(walk, &walk->other->node[index]);

    if (lower < cut)
        lower = tb_larger(lower, tb_walk__remembered(walk, index));
    if (lower < cut)
        lower = tb_larger(lower, tb_walk__behind_plane(walk, index));
    return lower;
}

/** The bound of a node that was not looked at for this section. */
static double
bound_of(TbWalk *walk, uint32_t index)
{
    const TbNode *node = &walk->other->node[index];
    double lower = tb_walk__inherited(walk, &walk->known[index]);

    if (lower >= tb_walk__cut_of(walk))
        return lower;
    return tb_larger(lower,
                     node->count == 0 ? cheap_bound(walk, index) : tb_walk__far_apart(walk, node));
}

/** Goes down the nodes that were opened before: leaves that cheap tests do not let go are to be
 * looked at, the nearest first. */
static TbStatus
go_down(TbWalk *walk, uint32_t index)
{
    const TbNode *node = &walk->other->node[index];
    TbStatus status = TB_OK;

    walk->opened[walk->opened_count++] = index;
    for (uint32_t i = node->first; i < node->first + node->count && status == TB_OK; i++) {
        if (walk->known[i].looked != walk->number)
            settle(walk, i, tb_larger(walk->known[index].lower, bound_of(walk, i)));
        if (walk->known[i].lower >= tb_walk__cut_of(walk))
            continue;
        status = walk->other->node[i].count > 0 ? go_down(walk, i) : put(walk, i);
    }
    return status;
}

static TbStatus
open_leaf(TbWalk *walk, uint32_t index)
{
    bool opened;
    TbStatus status = tb_field__open(walk->other, index, &opened);

    if (status == TB_OK && opened)
        status = make_room(walk);
    /* exact on both sides where it does not open: no better bound in doubles */
    return status == TB_OK && opened ? go_down(walk, index) : status;
}

/** Looks at the nearest leaves, and at their halves, until none is below the cut. */
static TbStatus
look_at_due(TbWalk *walk)
{
    TbStatus status = TB_OK;

    while (status == TB_OK && walk->due_count > 0 && !walk->met) {
        uint32_t index;

        if (walk->due[0].lower >= tb_walk__cut_of(walk))
            break;
        if (walk->nodes > MOST_LOOKS) {
            walk->undecided = true;
            break;
        }
        index = take(walk);
        if (walk->known[index].looked == walk->number) {
            status = open_leaf(walk, index);
            continue;
        }
        settle(walk, index, tb_larger(walk->known[index].lower, look(walk, index)));
        if (walk->known[index].lower < tb_walk__cut_of(walk))
            status = put(walk, index);
    }
    return status;
}

static TbStatus
follow(TbWalk *walk, uint32_t top)
{
    TbStatus status = TB_OK;

    if (walk->known[top].looked != walk->number)
        settle(walk, top, bound_of(walk, top));
    if (walk->known[top].lower < tb_walk__cut_of(walk))
        status = walk->other->node[top].count > 0 ? go_down(walk, top) : put(walk, top);
    return status == TB_OK ? look_at_due(walk) : status;
}

/** A node that was opened is as far away as the nearest of its children. */
static void
settle_opened(TbWalk *walk)
{
    for (size_t i = walk->opened_count; i-- > 0;) {
        uint32_t index = walk->opened[i];
        const TbNode *node = &walk->other->node[index];
        double least = INFINITY;

        for (uint32_t k = node->first; k < node->first + node->count; k++)
            least = walk->known[k].lower < least ? walk->known[k].lower : least;
        settle(walk, index, tb_larger(walk->known[index].lower, least));
    }
}

/** The leaf that holds a station of a part's path. */
static uint32_t
leaf_at(const TbWalk *walk, uint32_t part, double station)
{
    const TbNode *nodes = walk->other->node;
    uint32_t at = walk->other->root;

    while (nodes[at].count > 0) {
        uint32_t best = nodes[at].first;

        for (uint32_t i = 0; i < nodes[at].count; i++) {
            uint32_t child = nodes[at].first + i;

            if (nodes[child].part == part && nodes[child].station0 <= station)
                best = child;
        }
        at = best;
    }
    return at;
}

static bool
is_of_path(const TbNode *node)
{
    return node->kind == TB_NODE_STRIP || node->kind == TB_NODE_TUBE;
}

/** Where the witness is along the other's path, and where the next one may be. */
static void
guess_next(TbWalk *walk)
{
    const TbNode *node = &walk->other->node[walk->last];
    double before = walk->part == node->part ? walk->station : (double)NAN;

    walk->part = node->part;
    walk->way_before = walk->way;
    walk->way = walk->known[walk->last].way;
    walk->station = walk->guess = (double)NAN;
    if (!is_of_path(node))
        return;
    walk->station = node->station0 + walk->witness.share_b * (node->station1 - node->station0);
    walk->guess = isnan(before) ? walk->station : 2 * walk->station - before;
}

/** The nearest leaf of the section before, or the one where the nearest should be by now: an upper
 * end, and a plane that much lies behind. */
static void
begin_at_last(TbWalk *walk)
{
    uint32_t first = walk->last;

    if (first == UINT32_MAX)
        return;
    if (!isnan(walk->guess))
        first = leaf_at(walk, walk->part, walk->guess);
    settle(walk, first, look(walk, first));
    walk->plane = walk->known[first].way;
    walk->front = tb_walk__front_of(walk, walk->plane);
}

/** The root, or where it has one child and that no other, and so on, the last of them: a solid of
 * one convex piece is a leaf. */
static uint32_t
top_of(const TbField *field)
{
    uint32_t top = field->root;

    while (field->node[top].count == 1)
        top = field->node[top].first;
    return top;
}

TbStatus
tb_walk__station(TbWalk *walk, const TbDiscAt *at)
{
    uint32_t root = top_of(walk->other);
    TbStatus status = make_room(walk);

    walk->number++;
    walk->at = at;
    walk->body = tb_convex_of_disc(&at->disc, true);
    walk->front = (double)NAN;
    walk->upper = INFINITY;
    walk->met = walk->undecided = false;
    walk->nodes = 0;
    walk->due_count = walk->opened_count = 0;
    if (status != TB_OK)
        return status;
    if (tb_task_is_cancelled(walk->task))
        return TB_E_CANCELLED;
    begin_at_last(walk);
    status = follow(walk, root);
    settle_opened(walk);
    walk->lower = fmin(walk->known[root].lower, walk->upper);
    if (walk->last != UINT32_MAX)
        guess_next(walk);
    return status;
}
