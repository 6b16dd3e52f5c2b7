/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Bounds of a group's rows: what is witnessed, what is foreseen, the cuts that follow, and the
 * pairs that wait for them.
 */
#include "gaps/scan_walk_private.h"

/** mm. A cut that is no cut: nothing is as far, but what is missing (TB_NOWHERE) is further. */
#define MOST_CUT 1e16

static void
set_cut(TbScan *scan, int lane)
{
    double upper = fmin(scan->upper[lane], scan->foreseen[lane]);
    double cut = fmax(0, upper - scan->width) + scan->slack;

    if (tb_scan__is_met(scan, lane)) {
        scan->cut[lane] = 0;
        scan->cut2[lane] = (float)-MOST_CUT;
        return;
    }
    cut = cut < MOST_CUT ? cut : MOST_CUT;
    scan->cut[lane] = (float)(cut * TB_SCAN_ROUND_UP);
    scan->cut2[lane] = (float)(cut * cut * TB_SCAN_ROUND_UP * TB_SCAN_ROUND_UP);
}

static void
set_most(TbScan *scan)
{
    scan->most_cut = scan->cut[0];
    for (int lane = 1; lane < TB_LANES; lane++)
        if (scan->cut[lane] > scan->most_cut)
            scan->most_cut = scan->cut[lane];
}

void
tb_scan__foresee_row(TbScan *scan, int lane, double upper)
{
    int from = tb_scan__first(scan, lane), to = from + scan->together;

    for (int k = from; k < to; k++) {
        scan->foreseen[k] = upper;
        set_cut(scan, k);
    }
    set_most(scan);
}

void
tb_scan__foresee(TbScan *scan, const TbScanPair *pair, float distance2)
{
    double upper = (sqrt((double)distance2) + scan->slack) * TB_SCAN_ROUND_UP;

    if (!(upper < scan->foreseen[pair->lane]))
        return;
    tb_scan__foresee_row(scan, pair->lane, upper);
    scan->hint[tb_scan__first(scan, pair->lane)] = *pair;
    scan->hint_group[tb_scan__first(scan, pair->lane)] = scan->group;
}

/** A bound has become lower. */
static void
set_upper(TbScan *scan, int lane, double upper)
{
    int from = tb_scan__first(scan, lane), to = from + scan->together;

    for (int k = from; k < to; k++) {
        scan->upper[k] = upper;
        set_cut(scan, k);
    }
    set_most(scan);
}

/** A row's nearest points have changed. */
static void
set_way(TbScan *scan, int lane, const TbScanNear *near)
{
    TbVec3 d = tb_vec3_sub(near->point_a, near->point_b);
    double length = tb_vec3_length(d);
    TbScanWays *ways = &scan->ways;

    if (scan->together == TB_LANES)
        return;
    d = length > 0 ? tb_vec3_scale(d, 1 / length) : tb_vec3(0, 0, 0);
    ways->newest[0][lane] = (float)d.x;
    ways->newest[1][lane] = (float)d.y;
    ways->newest[2][lane] = (float)d.z;
    ways->stale |= 1u << lane;
}

bool
tb_scan__take(TbScan *scan, int lane, const TbScanNear *witness)
{
    if (!(witness->upper < scan->upper[lane]))
        return false;
    *tb_scan__near_of(scan, lane) = *witness;
    set_way(scan, lane, witness);
    set_upper(scan, lane, witness->upper);
    return true;
}

void
tb_scan__forget_rows(TbScanWalk *walk)
{
    memset(walk->way, 0, sizeof walk->way);
    memset(walk->seen, 0, sizeof walk->seen);
}

void
tb_scan__start_group(TbScanWalk *walk, size_t group, double beyond)
{
    TbScan *scan = &walk->scan;

    scan->group = group;
    for (int lane = 0; lane < TB_LANES; lane++) {
        bool there = group * TB_LANES + (size_t)lane < scan->lattice->rows;

        scan->upper[lane] = scan->foreseen[lane] = there || scan->together == TB_LANES ? beyond : 0;
        set_cut(scan, lane);
        walk->near[lane] = (TbScanNear){.upper = beyond, .row = UINT32_MAX};
        walk->open[lane] = INFINITY;
    }
    set_most(scan);
    memset(scan->ways.newest, 0, sizeof scan->ways.newest);
    scan->ways.stale = (1u << TB_LANES) - 1;
    tb_scan__forget_rows(walk);
}

/** The nearest first: most of the others need not be looked at then. */
void
tb_scan__settle_kept(TbScan *scan, int lane)
{
    TbScanPair *kept = scan->kept[lane];
    int count = scan->kept_count[lane], nearest = 0;

    if (count > 0 && scan->lattice->swept && scan->together < TB_LANES)
        tb_scan__lead_on(scan->user, lane, scan->group * TB_LANES + (size_t)lane);

    for (int i = 1; i < count; i++)
        if (kept[i].distance2 < kept[nearest].distance2)
            nearest = i;
    if (count > 0 && tb_scan__matters(scan, &kept[nearest]))
        scan->settle(scan, &kept[nearest]);
    for (int i = 0; i < count; i++)
        if (i != nearest && tb_scan__matters(scan, &kept[i]))
            scan->settle(scan, &kept[i]);
    scan->kept_count[lane] = 0;
}

void
tb_scan__make_room(TbScan *scan, int lane)
{
    TbScanPair *kept = scan->kept[lane];
    int left = 0;

    for (int i = 0; i < scan->kept_count[lane]; i++)
        if (tb_scan__matters(scan, &kept[i]))
            kept[left++] = kept[i];
    scan->kept_count[lane] = left;
    if (left > TB_SCAN_KEPT / 2)
        tb_scan__settle_kept(scan, lane);
}
