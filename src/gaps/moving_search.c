/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "gaps/moving_private.h"
#include "geom/tol.h"

/** Shares of the width to which separations are iterated, as in search.c. */
#define HULL_SHARE 0.125
#define WITNESS_SHARE 0.05

/** mm. Evaluated bodies nearer than this meet: both ends carry one rounding. */
#define MEETS (2 * TB_TOL_ROUND)

/** Pairs between two looks at the task. */
#define POLL 256

/** rad. Ranges narrower than this are not halved: what is 10 m off moves a tenth of TB_TOL_ROUND.
 */
#define NARROWEST 1e-14

/** While a side is still a box, an angle counts as this share of what its cell lets the box travel:
 * wide cells blur the cheap bounds as large boxes do. */
#define BOX_SHARE 0.5

/* ---- heap ---- */

static bool
comes_before(const TbMovingPair *x, const TbMovingPair *y)
{
    if (x->lower != y->lower)
        return x->lower < y->lower;
    for (int i = 0; i < 2; i++) {
        if (x->node[i] != y->node[i])
            return x->node[i] < y->node[i];
        if (x->cell[i] != y->cell[i])
            return x->cell[i] < y->cell[i];
    }
    return false;
}

static TbStatus
heap_push(TbMovingSearch *search, const TbMovingPair *pair)
{
    void *room = search->heap;
    size_t i;

    if (tb_grow_array(&room, &search->room, search->count, sizeof *search->heap) != 0)
        return TB_E_MEMORY;
    search->heap = room;
    for (i = search->count++; i > 0; i = (i - 1) / 2) {
        if (!comes_before(pair, &search->heap[(i - 1) / 2]))
            break;
        search->heap[i] = search->heap[(i - 1) / 2];
    }
    search->heap[i] = *pair;
    return TB_OK;
}

static TbMovingPair
heap_pop(TbMovingSearch *search)
{
    TbMovingPair top = search->heap[0];
    const TbMovingPair *last = &search->heap[--search->count];
    size_t i = 0;

    for (;;) {
        size_t child = 2 * i + 1;

        if (child >= search->count)
            break;
        if (child + 1 < search->count &&
            comes_before(&search->heap[child + 1], &search->heap[child]))
            child++;
        if (!comes_before(&search->heap[child], last))
            break;
        search->heap[i] = search->heap[child];
        i = child;
    }
    search->heap[i] = *last;
    return top;
}

/* ---- bounds ---- */

/** As of a search that stands still: never below 0, which proves neither apart nor met. */
static double
cut_of(const TbMovingSearch *search)
{
    double cut = fmax(0, search->upper - search->width);

    return search->enough > 0 ? fmin(cut, search->enough) : cut;
}

static void
let_go(TbMovingSearch *search, double lower)
{
    search->let_go = fmin(search->let_go, lower);
}

/** Of balls; and of the box of a side that stands still. */
static double
far_apart(const TbMovingSearch *search, const TbMovingPair *pair)
{
    double radius[2], apart;
    TbVec3 centre[2];

    for (int i = 0; i < 2; i++)
        centre[i] = tb_moving__ball(&search->side[i], pair->node[i], pair->cell[i], &radius[i]);
    apart = tb_vec3_distance(centre[0], centre[1]) - radius[0] - radius[1];
    for (int i = 0; i < 2; i++) {
        const TbMovingSide *side = &search->side[i];

        if (side->motion->count == 0)
            apart = fmax(apart, sqrt(tb_box3_point_distance2(side->field.node[pair->node[i]].box,
                                                             centre[1 - i])) -
                                    radius[1 - i]);
    }
    return apart - TB_TOL_ROUND;
}

static bool
is_swept(const TbField *field, uint32_t index)
{
    const TbNode *node = &field->node[index];

    if (node->kind == TB_NODE_STRIP)
        return true;
    return node->kind == TB_NODE_GROUP && index != field->root &&
           tb_solid_part(field->solid, node->part)->kind == TB_PART_SWEEP;
}

static bool
is_scan(const TbField *field, uint32_t index)
{
    TbNodeKind kind = field->node[index].kind;

    return kind == TB_NODE_BOXES || kind == TB_NODE_TRIANGLE;
}

/** A sweep and a mesh, where these have been looked at ahead of the search. */
static bool
is_scanned(const TbMovingSearch *search, const TbMovingPair *pair)
{
    const TbField *a = &search->side[0].field, *b = &search->side[1].field;

    return search->scanned && ((is_swept(a, pair->node[0]) && is_scan(b, pair->node[1])) ||
                               (is_scan(a, pair->node[0]) && is_swept(b, pair->node[1])));
}

/** A child is never worse off than its parent. */
static TbStatus
push(TbMovingSearch *search, TbMovingPair pair)
{
    if (is_scanned(search, &pair))
        return TB_OK;
    pair.fine = false;
    pair.lower = fmax(pair.lower, far_apart(search, &pair));
    if (pair.lower >= cut_of(search)) {
        let_go(search, pair.lower);
        return TB_OK;
    }
    return heap_push(search, &pair);
}

/* ---- evaluated points ---- */

/** One side of a witness: a station of a strip or the exact body itself, at one pose. */
typedef struct Real {
    TbConvex at_rest, body;
    TbDisc disc;
    TbCarried carried;
    TbPose pose; /**< shifts in the middle */
    TbSite site;
    double q[TB_MOTION_MOST];
} Real;

static void
real_body(Real *real, const TbMovingSide *side, uint32_t node, double share)
{
    const TbNode *n = &side->field.node[node];
    const TbStrip *strip;

    real->site = (TbSite){.part = n->part, .triangle = UINT32_MAX};
    if (n->kind != TB_NODE_STRIP) {
        real->at_rest = tb_field__body(&side->field, node);
        if (n->kind == TB_NODE_TRIANGLE)
            real->site.triangle =
                tb_tree_numbers(tb_field__part(&side->field, node)->tree)[n->index];
        return;
    }
    strip = tb_field__strip(&side->field, node);
    real->disc = share <= 0 ? strip->disc0
                 : share >= 1
                     ? strip->disc1
                     : tb_piece_disc(strip->piece, strip->u0 + share * (strip->u1 - strip->u0));
    real->at_rest = tb_convex_of_disc(&real->disc, true);
    real->site.on_sweep = true;
    real->site.station = real->disc.station;
}

/** @param share weights of the poses in the final simplex of the pair's bodies */
static void
real_side(Real *real,
          const TbMovingSide *side,
          uint32_t node,
          uint32_t cell,
          const double share[],
          double second)
{
    const TbMovingCell *c = &side->cell[cell];

    real_body(real, side, node, second);
    for (int i = 0; i < side->motion->count; i++)
        real->q[i] = 0.5 * (side->motion->freedom[i].low + side->motion->freedom[i].high);
    for (int bit = 0; bit < side->bits; bit++) {
        double along = 0;

        for (int k = 0; k < 1 << side->bits; k++)
            along += (k >> bit & 1) != 0 ? share[k] : 0;
        real->q[side->bent[bit]] =
            fmin(c->high[bit], c->low[bit] + along * (c->high[bit] - c->low[bit]));
    }
    real->pose = tb_motion_pose(side->motion, real->q);
    tb_moving__carry(side, node, cell, &real->at_rest, &real->carried);
    real->carried.pose = &real->pose;
    real->carried.bits = 0;
    real->carried.turn = -1;
    real->body = tb_carried_convex(&real->carried);
}

/** The shifts at which a side's point is where it is: each is pushed to and fro by shares. */
static void
take_side(TbMovingSearch *search, int which, Real *real, TbVec3 point, const double share[])
{
    const TbMovingSide *side = &search->side[which];
    TbMovingWitness *w = &search->witness;

    for (int i = 0; i < side->shifts; i++) {
        const TbFreedom *f = &side->motion->freedom[side->shift[i]];
        double to = 0;

        for (int k = 0; k < TB_CARRIED_SECOND; k++)
            to += (k >> i & 1) != 0 ? share[k] : -share[k];
        real->q[side->shift[i]] =
            fmin(f->high, fmax(f->low, 0.5 * (f->low + f->high) + 0.5 * to * (f->high - f->low)));
    }
    if (real->site.on_sweep) {
        TbPose back = tb_pose_inverse(tb_motion_pose(side->motion, real->q));

        real->site.angle = tb_disc_angle(&real->disc, tb_pose_point(back, point));
    }
    w->point[which] = point;
    w->site[which] = real->site;
    for (int i = 0; i < side->motion->count; i++)
        w->q[which][i] = real->q[i];
}

static void
try_witness(TbMovingSearch *search, const TbMovingPair *pair, const TbSeparation *near)
{
    Real real[2];
    TbSeparation found;
    double upper;

    real_side(&real[0], &search->side[0], pair->node[0], pair->cell[0], near->share_a,
              near->second_a);
    real_side(&real[1], &search->side[1], pair->node[1], pair->cell[1], near->share_b,
              near->second_b);
    found = tb_convex_separation(&real[0].body, &real[1].body, near->direction, INFINITY,
                                 WITNESS_SHARE * search->width);
    upper = found.distance + TB_TOL_ROUND;
    if (upper >= search->upper)
        return;
    search->upper = upper;
    search->met = found.distance <= MEETS;
    take_side(search, 0, &real[0], found.point_a, found.share_a);
    take_side(search, 1, &real[1], found.point_b, found.share_b);
}

/** A pair's own separation; false when it is let go. */
static bool
look_closely(TbMovingSearch *search, TbMovingPair *pair)
{
    TbConvex rest[2], body[2];
    TbCarried carried[2];
    TbSeparation found;
    double cut = cut_of(search);

    for (int i = 0; i < 2; i++) {
        const TbMovingSide *side = &search->side[i];

        rest[i] = tb_field__body(&side->field, pair->node[i]);
        tb_moving__carry(side, pair->node[i], pair->cell[i], &rest[i], &carried[i]);
        body[i] = tb_carried_convex(&carried[i]);
    }
    found = tb_convex_separation(&body[0], &body[1], pair->way, cut + TB_TOL_ROUND,
                                 HULL_SHARE * search->width);
    pair->fine = true;
    pair->way = found.direction;
    pair->lower = fmax(pair->lower, found.lower - TB_TOL_ROUND);
    if (pair->lower >= cut) {
        let_go(search, pair->lower);
        return false;
    }
    if (tb_node__is_box(&search->side[0].field.node[pair->node[0]]) ||
        tb_node__is_box(&search->side[1].field.node[pair->node[1]]))
        return true;
    try_witness(search, pair, &found);
    if (pair->lower < cut_of(search))
        return true;
    let_go(search, pair->lower);
    return false;
}

/* ---- splitting ---- */

/** What may be halved: a side's node (bit -1) or one of its numbers. */
typedef struct Choice {
    int side, bit;
    double loose; /**< mm */
} Choice;

/** A strip's own share for the sections' difference is left out: on a straight duct it would have
 * the duct cut to crumbs before the first angle is halved. */
static double
looseness_of(const TbMovingSide *side, uint32_t node)
{
    const TbNode *n = &side->field.node[node];

    return n->kind == TB_NODE_STRIP ? tb_field__strip(&side->field, node)->bound.widening
                                    : n->loose;
}

static int
choices_of(const TbMovingSearch *search, const TbMovingPair *pair, Choice choice[])
{
    bool boxes = false;
    int count = 0;

    for (int i = 0; i < 2; i++)
        boxes = boxes || tb_node__is_box(&search->side[i].field.node[pair->node[i]]);
    for (int i = 0; i < 2; i++) {
        const TbMovingSide *side = &search->side[i];
        const TbNode *node = &side->field.node[pair->node[i]];
        const TbMovingCell *cell = &side->cell[pair->cell[i]];

        choice[count++] = (Choice){i, -1, looseness_of(side, pair->node[i])};
        for (int bit = 0; bit < side->bits; bit++) {
            double range = cell->high[bit] - cell->low[bit], loose;
            double speed =
                tb_motion_speed(side->motion, side->bent[bit], node->centre, node->radius);

            if (range < NARROWEST)
                continue;
            /* the hull of two poses overstates a turn by about this; of what is straight nothing,
             * but that other turns bend its corners: those count more */
            loose = side->motion->freedom[side->bent[bit]].kind == TB_FREEDOM_TURN
                        ? 0.125 * range * range * speed
                        : 1e-3 * range * speed;
            if (boxes)
                loose = fmax(loose, BOX_SHARE * range * speed);
            choice[count++] = (Choice){i, bit, loose};
        }
    }
    for (int i = 1; i < count; i++) /* the loosest first; of equals the first */
        for (int k = i; k > 0 && choice[k].loose > choice[k - 1].loose; k--) {
            Choice swap = choice[k];

            choice[k] = choice[k - 1];
            choice[k - 1] = swap;
        }
    return count;
}

static TbStatus
halve(TbMovingSearch *search, const TbMovingPair *pair, const Choice *choice, bool *done)
{
    TbMovingSide *side = &search->side[choice->side];
    uint32_t first, count = 2;
    TbStatus status;

    *done = true;
    if (choice->bit >= 0) {
        status = tb_moving__halve(side, pair->cell[choice->side], choice->bit, &first);
    } else {
        uint32_t node = pair->node[choice->side];

        status = tb_field__open(&side->field, node, done);
        first = side->field.node[node].first;
        count = side->field.node[node].count;
    }
    for (uint32_t i = 0; i < count && *done && status == TB_OK; i++) {
        TbMovingPair child = *pair;

        if (choice->bit >= 0)
            child.cell[choice->side] = first + i;
        else
            child.node[choice->side] = first + i;
        status = push(search, child);
    }
    return status;
}

static TbStatus
split(TbMovingSearch *search, const TbMovingPair *pair)
{
    Choice choice[2 + 2 * TB_MOTION_BENT];
    int count = choices_of(search, pair, choice);
    TbStatus status = TB_OK;
    bool done = false;

    for (int i = 0; i < count && !done && status == TB_OK; i++)
        status = halve(search, pair, &choice[i], &done);
    if (status == TB_OK && !done)
        let_go(search, pair->lower); /* exact in every way: no better bound in doubles */
    return status;
}

/* ---- the run ---- */

static bool
is_over(const TbMovingSearch *search)
{
    return search->count == 0 || search->met || search->heap[0].lower >= cut_of(search) ||
           (search->enough > 0 && search->upper < search->enough);
}

TbStatus
tb_moving__run(TbMovingSearch *search)
{
    TbMovingPair root = {.lower = -INFINITY};
    TbStatus status;

    search->let_go = INFINITY;
    root.node[0] = search->side[0].field.root;
    root.node[1] = search->side[1].field.root;
    status = push(search, root);
    while (status == TB_OK && !is_over(search)) {
        TbMovingPair pair;

        if (search->nodes >= search->budget) {
            search->exhausted = true;
            break;
        }
        if (search->nodes++ % POLL == 0 && tb_task_is_cancelled(search->task))
            return TB_E_CANCELLED;
        pair = heap_pop(search);
        if (!pair.fine && !(tb_node__is_box(&search->side[0].field.node[pair.node[0]]) &&
                            tb_node__is_box(&search->side[1].field.node[pair.node[1]]))) {
            if (!look_closely(search, &pair))
                continue;
            if (search->count > 0 && comes_before(&search->heap[0], &pair)) {
                status = heap_push(search, &pair);
                continue;
            }
        }
        status = split(search, &pair);
    }
    return status;
}

double
tb_moving__lower(const TbMovingSearch *search)
{
    double lower = search->let_go;

    if (search->count > 0)
        lower = fmin(lower, search->heap[0].lower);
    return fmin(lower, search->upper);
}

void
tb_moving__clear(TbMovingSearch *search)
{
    tb_free(search->heap);
    for (int i = 0; i < 2; i++)
        tb_moving__clear_side(&search->side[i]);
    search->heap = NULL;
    search->count = search->room = 0;
}
