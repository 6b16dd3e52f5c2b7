/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/moving_spot_private.h"

#include "gaps/inside_private.h"
#include "geom/tol.h"

#include <math.h>
#include <string.h>

/** Pairs that one body may take: five times what the most of any that came to their end took; the
 * few that do not (two of 5,000 sections seen) are then as good as ten times as many make them. */
#define SPOT_BUDGET 3000

/* ---- inside of a mesh ---- */

static bool
any_inside(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++)
        if (tb_solid_part(solid, i)->kind == TB_PART_MESH &&
            tb_inside__has(tb_solid_part(solid, i)))
            return true;
    return false;
}

/** Where a number of each freedom puts a point of side a that is drawn at x. */
static TbVec3
place_of(const TbMovingSide *side, const double q[], double station, TbVec3 x)
{
    TbVec3 p = x;
    TbWarm warm;

    tb_moving__warm_at(side, 0, 0, &station, &warm);
    for (int i = 0; i < side->warms; i++) {
        double number = q[side->warm[i]] - tb_moving__rest(side, i);

        p = tb_vec3_add_scaled(p, number,
                               tb_vec3_add_scaled(warm.number[i].v[0], warm.number[i].k, x));
    }
    return tb_pose_point(tb_motion_pose(&side->rigid, q), p);
}

/** And back. */
static TbVec3
rest_of(const TbMovingSide *side, const double q[], double station, TbVec3 p)
{
    TbVec3 x = tb_pose_point(tb_pose_inverse(tb_motion_pose(&side->rigid, q)), p);
    double grown = 1;
    TbWarm warm;

    tb_moving__warm_at(side, 0, 0, &station, &warm);
    for (int i = 0; i < side->warms; i++) {
        double number = q[side->warm[i]] - tb_moving__rest(side, i);

        x = tb_vec3_add_scaled(x, -number, warm.number[i].v[0]);
        grown += number * warm.number[i].k;
    }
    return tb_vec3_scale(x, 1 / grown);
}

/** Apart from all of b's surface over the whole motion, so on one side of it for good: the side of
 * one point at one pose. A mesh goes with its motion as a whole, so the point is taken to it. */
static bool
is_within_mesh(const TbMovingSpots *spots, const TbMovingSpot *spot)
{
    double q[2][TB_MOTION_MOST];
    TbVec3 p;

    for (int s = 0; s < 2; s++)
        for (int i = 0; i < spots->search.side[s].motion->count; i++) {
            const TbFreedom *f = &spots->search.side[s].motion->freedom[i];

            q[s][i] = 0.5 * (f->low + f->high);
        }
    p = place_of(&spots->search.side[0], q[0], spot->station0, tb_convex_centre(&spot->body));
    p = tb_pose_point(tb_pose_inverse(tb_motion_pose(&spots->ask->motion_b, q[1])), p);
    return tb_inside__any_mesh(spots->ask->b, p);
}

/* ---- the search ---- */

static TbStatus
start_sides(TbMovingSpots *spots)
{
    const TbMovingAsk *ask = spots->ask;
    TbMovingSearch *search = &spots->search;
    TbStatus status = tb_moving__side(&search->side[0], &ask->motion_a);

    if (status == TB_OK)
        status = tb_moving__side(&search->side[1], &ask->motion_b);
    if (status == TB_OK && search->side[0].follows)
        search->side[0].follows = tb_solid_chord(
            ask->a, &search->side[0].chord[0], &search->side[0].chord[1], &search->side[0].length);
    search->tie = ask->tie;
    search->ties = ask->ties;
    for (int i = 0; i < ask->ties && status == TB_OK; i++) {
        search->side[0].tied[ask->tie[i].a - search->side[0].rigid.count] = true;
        search->side[1].tied[ask->tie[i].b - search->side[1].rigid.count] = true;
    }
    return status;
}

TbStatus
tb_spots__start(TbMovingSpots *spots, const TbMovingAsk *ask, TbTask *task)
{
    TbMovingSearch *search = &spots->search;
    TbStatus status;

    *spots = (TbMovingSpots){.ask = ask, .body = tb_convex_of_point(tb_vec3(0, 0, 0))};
    search->task = task;
    search->budget = SPOT_BUDGET;
    spots->has_inside = any_inside(ask->b);
    status = spots->has_inside ? tb_inside__prepare(ask->b) : TB_OK;
    if (status == TB_OK)
        status = tb_field__of_body(&search->side[0].field, &spots->body);
    if (status == TB_OK)
        status = tb_field__of_solid(&search->side[1].field, ask->b, ask->leave_out,
                                    ask->leave_out_count);
    return status == TB_OK ? start_sides(spots) : status;
}

/** The body and its place along the path, as the whole of side a. */
static void
set_body(TbMovingSpots *spots, const TbMovingSpot *spot)
{
    TbField *field = &spots->search.side[0].field;

    spots->body = spot->body;
    tb_field__renew_body(field);
    field->node[0].station0 = spot->station0;
    field->node[0].station1 = spot->station1;
}

static void
tell(const TbMovingSpots *spots, const TbMovingSpot *spot, double first, TbMovingSpotGap *gap)
{
    const TbMovingSearch *search = &spots->search;
    const TbMovingWitness *w = &search->witness;

    *gap = (TbMovingSpotGap){.lower = fmax(0, tb_moving__lower(search)),
                             .upper = fmin(spot->known, search->upper),
                             .is_new = search->upper < first,
                             .exhausted = search->exhausted};
    if (gap->is_new) {
        gap->point[0] = w->point[0];
        gap->point[1] = gap->seen.on_b = w->point[1];
        gap->at_rest = rest_of(&search->side[0], w->q[0], spot->station0, w->point[0]);
        memcpy(gap->seen.q, w->q[0], sizeof gap->seen.q);
        gap->seen.there = true;
    } else if (!(spot->known <= first)) {
        gap->upper = INFINITY;
    }
    if (search->met || (spots->has_inside && gap->lower > 0 && is_within_mesh(spots, spot)))
        gap->lower = gap->upper = 0;
}

TbStatus
tb_spots__ask(TbMovingSpots *spots, const TbMovingSpot *spot, TbMovingSpotGap *gap)
{
    TbMovingSearch *search = &spots->search;
    double first = fmin(spot->known, spot->beyond + spot->width); /* whose cut is what is beyond */
    TbStatus status;

    if (search->side[1].field.empty) {
        *gap = (TbMovingSpotGap){.lower = INFINITY, .upper = INFINITY};
        return TB_OK;
    }
    set_body(spots, spot);
    search->pairs.count = 0;
    search->nodes = 0;
    search->met = search->exhausted = false;
    search->width = spot->width;
    search->enough = spot->decides ? spot->beyond : 0;
    search->upper = first;
    status = tb_moving__run(search);
    if (status == TB_OK)
        tell(spots, spot, first, gap);
    return status;
}

double
tb_spots__seen_from(const TbMovingSpots *spots, const TbMovingSeen *seen, double station, TbVec3 x)
{
    if (!seen->there)
        return INFINITY;
    return tb_vec3_distance(place_of(&spots->search.side[0], seen->q, station, x), seen->on_b) +
           TB_TOL_ROUND;
}

void
tb_spots__clear(TbMovingSpots *spots)
{
    tb_moving__clear(&spots->search);
}
