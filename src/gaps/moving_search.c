/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/moving_private.h"
#include "geom/tol.h"

/** rad. Ranges narrower than this are not halved: what is 10 m off moves a tenth of TB_TOL_ROUND.
 */
#define NARROWEST 1e-14

/** While a side is still a box, an angle counts as this share of what its cell lets the box travel:
 * wide cells blur the cheap bounds as large boxes do. */
#define BOX_SHARE 0.5

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
far_apart(const TbMovingSearch *search, const TbPair *pair)
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

/** A child is never worse off than its parent. */
static TbStatus
push(TbMovingSearch *search, TbPair pair)
{
    if (search->scanned && tb_pair__is_scanned(&search->side[0].field, pair.node[0],
                                               &search->side[1].field, pair.node[1]))
        return TB_OK;
    pair.fine = false;
    pair.lower = fmax(pair.lower, far_apart(search, &pair));
    if (pair.lower >= cut_of(search)) {
        let_go(search, pair.lower);
        return TB_OK;
    }
    return tb_pairs__push(&search->pairs, &pair);
}

/** A pair's own separation; false when it is let go. */
static bool
look_closely(TbMovingSearch *search, TbPair *pair)
{
    TbConvex rest[2], body[2];
    TbCarried carried[2];
    TbWarm warm[2];
    TbSeparation found;
    double cut = cut_of(search);

    for (int i = 0; i < 2; i++) {
        const TbMovingSide *side = &search->side[i];

        rest[i] = tb_field__body(&side->field, pair->node[i]);
        if (side->warms > 0)
            rest[i].radius += tb_moving__warm(side, pair->node[i], pair->cell[i], &warm[i]);
    }
    tb_moving__untie(search, pair, warm);
    for (int i = 0; i < 2; i++) {
        tb_moving__carry(&search->side[i], pair->node[i], pair->cell[i], &rest[i], &warm[i],
                         &carried[i]);
        body[i] = tb_carried_convex(&carried[i]);
    }
    found = tb_convex_separation(&body[0], &body[1], pair->way, cut + TB_TOL_ROUND,
                                 TB_HULL_SHARE * search->width);
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
    tb_moving__try_witness(search, pair, &found);
    if (pair->lower < cut_of(search))
        return true;
    let_go(search, pair->lower);
    return false;
}

/* ---- splitting ---- */

/** What may be halved: a side's node (bit -1) or one of its numbers; or a tied number of both. */
typedef struct Choice {
    int side, bit;
    double loose; /**< mm */
    int tie;      /**< which tied number, counted from 1; 0: none */
} Choice;

/** A strip's own share for the sections' difference is left out: on a straight duct it would have
 * the duct cut to crumbs before the first angle is halved. */
static double
looseness_of(const TbMovingSide *side, uint32_t node, uint32_t cell)
{
    const TbNode *n = &side->field.node[node];

    if (n->kind != TB_NODE_STRIP)
        return n->loose;
    return tb_field__strip(&side->field, node)->bound.widening +
           (side->follows ? tb_moving__strip_loose(side, node, cell) : 0);
}

static int
choices_of(const TbMovingSearch *search, const TbPair *pair, Choice choice[])
{
    bool boxes = false;
    int count = 0;

    for (int i = 0; i < 2; i++)
        boxes = boxes || tb_node__is_box(&search->side[i].field.node[pair->node[i]]);
    for (int i = 0; i < 2; i++) {
        const TbMovingSide *side = &search->side[i];
        const TbNode *node = &side->field.node[pair->node[i]];
        const TbMovingCell *cell = &side->cell[pair->cell[i]];

        choice[count++] = (Choice){i, -1, looseness_of(side, pair->node[i], pair->cell[i]), 0};
        for (int bit = 0; bit < side->bits; bit++) {
            double range = cell->high[bit] - cell->low[bit], loose;
            double speed =
                tb_motion_speed(&side->rigid, side->bent[bit], node->centre, node->radius);

            if (range < NARROWEST)
                continue;
            /* the hull of two poses overstates a turn by about this; of what is straight nothing,
             * but that other turns bend its corners: those count more */
            loose = side->motion->freedom[side->bent[bit]].kind == TB_FREEDOM_TURN
                        ? 0.125 * range * range * speed
                        : 1e-3 * range * speed;
            if (boxes)
                loose = fmax(loose, BOX_SHARE * range * speed);
            choice[count++] = (Choice){i, bit, loose, 0};
        }
    }
    for (int i = 0; i < search->ties; i++)
        choice[count++] = (Choice){.loose = tb_moving__tie_loose(search, pair, i), .tie = i + 1};
    for (int i = 1; i < count; i++) /* the loosest first; of equals the first */
        for (int k = i; k > 0 && choice[k].loose > choice[k - 1].loose; k--) {
            Choice swap = choice[k];

            choice[k] = choice[k - 1];
            choice[k - 1] = swap;
        }
    return count;
}

/** A tied number on both sides: each half of one goes with the half of the other that is tied. */
static TbStatus
halve_tied(TbMovingSearch *search, const TbPair *pair, int tie, bool *done)
{
    const TbMovingTie *tied = &search->tie[tie];
    uint32_t first[2];
    TbStatus status = TB_OK;

    for (int s = 0; s < 2 && status == TB_OK; s++) {
        TbMovingSide *side = &search->side[s];
        int number = (s == 0 ? tied->a : tied->b) - side->rigid.count;

        status = tb_moving__halve(side, pair->cell[s], side->bits + number, &first[s]);
    }
    *done = true;
    for (uint32_t i = 0; i < 2 && status == TB_OK; i++) {
        TbPair child = *pair;

        child.cell[0] = first[0] + i;
        child.cell[1] = first[1] + (tied->opposite ? 1 - i : i);
        status = push(search, child);
    }
    return status;
}

static TbStatus
halve(TbMovingSearch *search, const TbPair *pair, const Choice *choice, bool *done)
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
        TbPair child = *pair;

        if (choice->bit >= 0)
            child.cell[choice->side] = first + i;
        else
            child.node[choice->side] = first + i;
        status = push(search, child);
    }
    return status;
}

static TbStatus
split(TbMovingSearch *search, const TbPair *pair)
{
    Choice choice[2 + 2 * TB_MOTION_BENT + TB_MOVING_TIES];
    int count = choices_of(search, pair, choice);
    TbStatus status = TB_OK;
    bool done = false;

    for (int i = 0; i < count && !done && status == TB_OK; i++)
        status = choice[i].tie > 0 ? halve_tied(search, pair, choice[i].tie - 1, &done)
                                   : halve(search, pair, &choice[i], &done);
    if (status == TB_OK && !done)
        let_go(search, pair->lower); /* exact in every way: no better bound in doubles */
    return status;
}

/* ---- the run ---- */

static bool
is_over(const TbMovingSearch *search)
{
    return search->pairs.count == 0 || search->met ||
           search->pairs.pair[0].lower >= cut_of(search) ||
           (search->enough > 0 && search->upper < search->enough);
}

TbStatus
tb_moving__run(TbMovingSearch *search)
{
    TbPair root = {.lower = -INFINITY};
    TbStatus status;

    search->let_go = INFINITY;
    root.node[0] = search->side[0].field.root;
    root.node[1] = search->side[1].field.root;
    status = push(search, root);
    while (status == TB_OK && !is_over(search)) {
        TbPair pair;

        if (search->nodes >= search->budget) {
            search->exhausted = true;
            break;
        }
        if (search->nodes++ % TB_PAIR_POLL == 0 && tb_task_is_cancelled(search->task))
            return TB_E_CANCELLED;
        pair = tb_pairs__pop(&search->pairs);
        if (!pair.fine && !(tb_node__is_box(&search->side[0].field.node[pair.node[0]]) &&
                            tb_node__is_box(&search->side[1].field.node[pair.node[1]]))) {
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
tb_moving__lower(const TbMovingSearch *search)
{
    double lower = fmin(search->let_go, tb_pairs__lower(&search->pairs));

    return fmin(lower, search->upper);
}

void
tb_moving__clear(TbMovingSearch *search)
{
    tb_pairs__clear(&search->pairs);
    for (int i = 0; i < 2; i++)
        tb_moving__clear_side(&search->side[i]);
}
