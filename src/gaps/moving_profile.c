/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/moving_profile.h"

#include "gaps/moving_spot_private.h"
#include "geom/tol.h"

#include <math.h>

/** mm. Further than anything in a bay can be, moved or not. */
#define ANYWHERE (4 * TB_LIMIT_COORDINATE)

/** What is far is looked at once more, for how far it is about. */
static TbStatus
look_at(TbMovingSpots *spots,
        const TbMovingProfileAsk *ask,
        const TbDisc *disc,
        TbProfilePoint *point)
{
    TbMovingSpot spot = {.body = tb_convex_of_disc(disc, true),
                         .station0 = disc->station,
                         .station1 = disc->station,
                         .beyond = ask->near,
                         .known = INFINITY,
                         .width = fmax(ask->fine, TB_GAP_WIDTH_LEAST)};
    TbMovingSpotGap gap;
    TbStatus status = tb_spots__ask(spots, &spot, &gap);

    if (status == TB_OK && !isfinite(gap.upper) && isfinite(gap.lower)) {
        spot.beyond = ANYWHERE;
        spot.width = fmax(ask->fine, TB_MOVING_PROFILE_FAR);
        status = tb_spots__ask(spots, &spot, &gap);
    }
    if (status != TB_OK)
        return status;
    point->lower = gap.lower;
    point->upper = gap.upper;
    if (!isfinite(gap.upper))
        return TB_OK;
    point->point_a = gap.point[0];
    point->point_b = gap.point[1];
    point->angle = tb_disc_angle(disc, gap.at_rest);
    return TB_OK;
}

static TbStatus
look_at_all(TbMovingSpots *spots,
            const TbMovingProfileAsk *ask,
            const TbDiscs *discs,
            TbKept kept,
            TbProfilePoint points[])
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < ask->count && status == TB_OK; i++) {
        const TbDisc *disc = &tb_discs_at(discs, i)->disc;

        points[i] =
            (TbProfilePoint){.station = ask->stations[i], .lower = INFINITY, .upper = INFINITY};
        points[i].left_out = disc->station < kept.from || disc->station > kept.to;
        if (!points[i].left_out)
            status = look_at(spots, ask, disc, &points[i]);
    }
    return status;
}

TbStatus
tb_moving_profile(const TbMovingProfileAsk *ask,
                  TbTask *task,
                  TbProfilePoint points[],
                  TbFault *fault)
{
    const TbMovingAsk *moving = ask->moving;
    TbSweep *sweep = tb_solid_sweep(moving->a);
    TbMovingSpots spots;
    TbDiscs *discs = NULL;
    TbStatus status = tb_spots__start(&spots, moving, task);

    TB_ASSERT(sweep != NULL);
    if (status == TB_OK)
        status = tb_discs_new(sweep, ask->stations, ask->count, &discs, fault);
    if (status == TB_OK)
        status =
            look_at_all(&spots, ask, discs,
                        tb_field__kept(sweep, moving->leave_out, moving->leave_out_count), points);
    tb_discs_unref(discs);
    tb_spots__clear(&spots);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while a gap in motion was followed along a path");
    if (status == TB_E_MEMORY)
        tb_fail(fault, status, "no room to follow a gap in motion along %zu stations", ask->count);
    return status;
}
