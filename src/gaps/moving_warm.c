/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Warmth in a search over motions: numbers that move every point on a straight line, so a body's
 * support holds all of their range and they are not searched. What both sides have in common (tied)
 * is taken off both as one shift, and what is left of it is halved on both sides at once.
 */
#include "gaps/moving_private.h"
#include "geom/tol.h"

void
tb_moving__find_warm(TbMovingSide *side)
{
    const TbMotion *motion = side->motion;
    int before = tb_motion_before_warm(motion);
    TbVec3 end = {0, 0, 0};

    side->rigid = *motion;
    side->rigid.count = before;
    side->warms = 0;
    side->follows = false;
    for (int i = before; i < motion->count; i++) {
        side->warm[side->warms] = i;
        side->tied[side->warms++] = false;
        side->follows = side->follows || motion->freedom[i].kind >= TB_FREEDOM_SPREAD;
    }
    if (side->follows && side->field.solid != NULL)
        side->follows = tb_solid_chord(side->field.solid, &side->chord[0], &end, &side->length);
    side->chord[1] = end;
}

bool
tb_moving__is_growth(const TbMovingSide *side, int number)
{
    TbFreedomKind kind = side->motion->freedom[side->warm[number]].kind;

    return kind == TB_FREEDOM_GROWTH || kind == TB_FREEDOM_SPREAD;
}

double
tb_moving__rest(const TbMovingSide *side, int number)
{
    return tb_moving__is_growth(side, number) ? 1 : 0;
}

/** Which share of the end's shift a node has: from and to; a part that is no path is at an end. */
static void
shares_of(const TbMovingSide *side, uint32_t index, double w[2])
{
    const TbNode *node = &side->field.node[index];
    TbDrift drift = {.length = side->length};
    const TbPart *part;

    w[0] = 0;
    w[1] = side->follows ? 1 : 0;
    if (!side->follows || (index == side->field.root && tb_node__is_box(node)))
        return;
    if (side->field.body != NULL) { /* some of a path by itself */
        w[0] = tb_drift_share(&drift, node->station0);
        w[1] = tb_drift_share(&drift, node->station1);
        return;
    }
    part = tb_field__part(&side->field, index);
    if (part->kind != TB_PART_SWEEP) {
        w[0] = w[1] = tb_part_is_at_end(part, side->chord[0], side->chord[1]) ? 1 : 0;
    } else if (node->station1 > node->station0) {
        w[0] = tb_drift_share(&drift, node->station0);
        w[1] = tb_drift_share(&drift, node->station1);
    }
}

static TbVec3
shift_of(const TbMovingSide *side, const TbFreedom *f, double w)
{
    switch (f->kind) {
    case TB_FREEDOM_SPREAD:
        return tb_vec3_neg(tb_vec3_mix(side->chord[0], side->chord[1], w));
    case TB_FREEDOM_START:
        return tb_vec3_scale(f->direction, 1 - w);
    case TB_FREEDOM_END:
        return tb_vec3_scale(f->direction, w);
    case TB_FREEDOM_ENDS:
        return tb_vec3_mix(f->direction, f->point, w);
    case TB_FREEDOM_CARRIED:
        return f->direction;
    case TB_FREEDOM_GROWTH:
    case TB_FREEDOM_TURN:
    case TB_FREEDOM_SHIFT:
        break;
    }
    return tb_vec3_neg(f->point);
}

static void
fill(const TbMovingSide *side, uint32_t cell, const double w[2], TbWarm *warm)
{
    const TbMovingCell *c = &side->cell[cell];

    *warm = (TbWarm){.count = side->warms, .factor = 1};
    for (int i = 0; i < side->warms; i++) {
        const TbFreedom *f = &side->motion->freedom[side->warm[i]];
        TbWarmNumber *n = &warm->number[i];

        n->low = c->warm_low[i];
        n->high = c->warm_high[i];
        n->k = tb_moving__is_growth(side, i) ? 1 : 0;
        for (int k = 0; k < 2; k++)
            n->v[k] = shift_of(side, f, w[k]);
        if (n->k > 0)
            warm->factor = fmax(1, 1 + n->high);
    }
}

static double
largest(const TbWarmNumber *n)
{
    return fmax(fabs(n->low), fabs(n->high));
}

/** mm: how much one number makes the shifts of a path's two ends differ, a unit of it. */
static double
unlike_by(const TbMovingSide *side, int number)
{
    const TbFreedom *f = &side->motion->freedom[side->warm[number]];

    if (f->kind == TB_FREEDOM_ENDS)
        return tb_vec3_distance(f->direction, f->point);
    return tb_moving__is_growth(side, number) ? tb_vec3_distance(side->chord[0], side->chord[1])
                                              : 1;
}

/** mm: how much the shifts of a path's two ends differ, at most. */
static double
unlike_of(const TbMovingSide *side, const TbWarm *warm)
{
    double unlike = 0;

    for (int i = 0; i < warm->count; i++) {
        const TbWarmNumber *n = &warm->number[i];

        unlike += largest(n) * unlike_by(side, i);
    }
    return unlike;
}

void
tb_moving__warm_row(const void *user, const TbStrip *strip, double station, TbWarm *warm)
{
    const TbMovingSide *side = user;
    TbDrift drift = {.length = side->length};
    double w[2] = {0, 0};

    if (side->follows) {
        w[0] = tb_drift_share(&drift, strip == NULL ? station : strip->disc0.station);
        w[1] = tb_drift_share(&drift, strip == NULL ? station : strip->disc1.station);
    }
    fill(side, 0, w, warm);
    if (strip != NULL && side->follows)
        warm->second = unlike_of(side, warm) * tb_strip_share_second(strip, side->length);
}

double
tb_moving__warm(const TbMovingSide *side, uint32_t node, uint32_t cell, TbWarm *warm)
{
    bool strip = side->field.node[node].kind == TB_NODE_STRIP;
    double w[2], blur = 0, unlike = 0, least = 1;

    shares_of(side, node, w);
    fill(side, cell, w, warm);
    for (int i = 0; i < warm->count; i++) {
        TbWarmNumber *n = &warm->number[i];

        if (n->k > 0)
            least = fmin(1, 1 + n->low); /* what shrinks would take its ball along */
        if (!strip) { /* one shift for all of it, and a ball for what that is off by */
            blur += 0.5 * largest(n) * tb_vec3_distance(n->v[0], n->v[1]);
            n->v[0] = n->v[1] = tb_vec3_mix(n->v[0], n->v[1], 0.5);
        } else if (side->follows) {
            unlike += largest(n) * unlike_by(side, i);
        }
    }
    if (unlike > 0)
        warm->second =
            unlike * tb_strip_share_second(tb_field__strip(&side->field, node), side->length);
    return blur / least;
}

void
tb_moving__warm_at(
    const TbMovingSide *side, uint32_t node, uint32_t cell, const double *station, TbWarm *warm)
{
    TbDrift drift = {.length = side->length};
    double w[2];

    shares_of(side, node, w);
    if (station != NULL && side->follows)
        w[0] = w[1] = tb_drift_share(&drift, *station);
    fill(side, cell, w, warm);
}

TbVec3
tb_moving__warm_ball(const TbMovingSide *side, uint32_t node, uint32_t cell, double *radius)
{
    const TbNode *n = &side->field.node[node];
    TbVec3 centre = n->centre;
    TbWarm warm;
    double blur;

    *radius = n->radius;
    if (side->warms == 0)
        return centre;
    blur = tb_moving__warm(side, node, cell, &warm);
    for (int i = 0; i < warm.count; i++) {
        const TbWarmNumber *number = &warm.number[i];
        TbVec3 v = tb_vec3_mix(number->v[0], number->v[1], 0.5);

        blur += 0.5 * largest(number) * tb_vec3_distance(number->v[0], number->v[1]);
        v = tb_vec3_add_scaled(v, number->k, n->centre);
        centre = tb_vec3_add_scaled(centre, 0.5 * (number->low + number->high), v);
        blur += 0.5 * (number->high - number->low) * tb_vec3_length(v);
    }
    /* a strip's own ball holds what it strays; its shifts bend besides */
    if (n->kind == TB_NODE_STRIP)
        blur += tb_field__strip(&side->field, node)->bound.eighth * warm.second;
    *radius = warm.factor * n->radius + blur + TB_TOL_ROUND;
    return centre;
}

/* ---- what both sides have in common ---- */

bool
tb_moving__ties_cancel(const TbMovingSearch *search)
{
    return search->side[0].rigid.count == 0 && search->side[1].rigid.count == 0;
}

/** Where a tied number goes from cold to hot on its side: number = rest + t range, or backwards. */
typedef struct Way {
    double from, range; /**< range signed */
} Way;

static Way
way_of(const TbMovingSide *side, int number, bool backwards)
{
    const TbFreedom *f = &side->motion->freedom[side->warm[number]];
    double low = f->low - tb_moving__rest(side, number);
    double high = f->high - tb_moving__rest(side, number);

    return backwards ? (Way){high, low - high} : (Way){low, high - low};
}

/** Takes t shift off: of number = from + t range that is (number - from) / range of it. */
static void
take_off(TbWarm *warm, int number, Way way, TbVec3 shift)
{
    for (int k = 0; k < 2; k++)
        warm->number[number].v[k] =
            tb_vec3_add_scaled(warm->number[number].v[k], -1 / way.range, shift);
    warm->base = tb_vec3_add_scaled(warm->base, way.from / way.range, shift);
}

/** What a side's middle is shifted by, a unit of t. */
static TbVec3
shift_per_t(const TbMovingSide *side, uint32_t node, const TbWarmNumber *n, Way way)
{
    TbVec3 v = tb_vec3_mix(n->v[0], n->v[1], 0.5);

    return tb_vec3_scale(tb_vec3_add_scaled(v, n->k, side->field.node[node].centre), way.range);
}

void
tb_moving__untie(const TbMovingSearch *search, const TbPair *pair, TbWarm warm[2])
{
    if (!tb_moving__ties_cancel(search))
        return;
    for (int i = 0; i < search->ties; i++) {
        const TbMovingSide *a = &search->side[0], *b = &search->side[1];
        int na = search->tie[i].a - a->rigid.count, nb = search->tie[i].b - b->rigid.count;
        Way way_a = way_of(a, na, false), way_b = way_of(b, nb, search->tie[i].opposite);
        TbVec3 shift;

        if (way_a.range == 0 || way_b.range == 0)
            continue;
        /* a shift is the same all over a side's disc; of a growth only its middle's is taken off */
        if (warm[0].number[na].k == 0 ||
            a->field.node[pair->node[0]].radius < b->field.node[pair->node[1]].radius)
            shift = shift_per_t(a, pair->node[0], &warm[0].number[na], way_a);
        else
            shift = shift_per_t(b, pair->node[1], &warm[1].number[nb], way_b);
        take_off(&warm[0], na, way_a, shift);
        take_off(&warm[1], nb, way_b, shift);
    }
}

double
tb_moving__strip_loose(const TbMovingSide *side, uint32_t node, uint32_t cell)
{
    TbWarm warm;
    double loose;

    tb_moving__warm(side, node, cell, &warm);
    loose = tb_field__strip(&side->field, node)->bound.eighth * warm.second;
    for (int i = 0; i < side->warms; i++)
        if (side->tied[i])
            loose += (warm.number[i].high - warm.number[i].low) *
                     tb_vec3_distance(warm.number[i].v[0], warm.number[i].v[1]);
    return loose;
}

double
tb_moving__tie_loose(const TbMovingSearch *search, const TbPair *pair, int tie)
{
    double loose = 0;

    for (int s = 0; s < 2; s++) {
        const TbMovingSide *side = &search->side[s];
        const TbNode *node = &side->field.node[pair->node[s]];
        int number = (s == 0 ? search->tie[tie].a : search->tie[tie].b) - side->rigid.count;
        const TbMovingCell *cell = &side->cell[pair->cell[s]];
        TbWarm warm;
        TbVec3 v;

        tb_moving__warm(side, pair->node[s], pair->cell[s], &warm);
        v = tb_vec3_mix(warm.number[number].v[0], warm.number[number].v[1], 0.5);
        v = tb_vec3_add_scaled(v, warm.number[number].k, node->centre);
        loose += (cell->warm_high[number] - cell->warm_low[number]) *
                 (warm.number[number].k * node->radius +
                  0.5 * tb_vec3_distance(warm.number[number].v[0], warm.number[number].v[1]) +
                  (tb_moving__ties_cancel(search) ? 0 : tb_vec3_length(v)));
    }
    return loose;
}

double
tb_moving__tie_other(const TbMovingSearch *search, int tie, double number)
{
    const TbMovingSide *a = &search->side[0], *b = &search->side[1];
    int na = search->tie[tie].a - a->rigid.count, nb = search->tie[tie].b - b->rigid.count;
    Way way_a = way_of(a, na, false), way_b = way_of(b, nb, search->tie[tie].opposite);

    return way_a.range == 0 ? way_b.from
                            : way_b.from + (number - way_a.from) / way_a.range * way_b.range;
}
