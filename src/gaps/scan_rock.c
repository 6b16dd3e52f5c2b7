/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/scan_rock.h"

#include "base/mem.h"
#include "gaps/lattice_private.h"
#include "geom/tol.h"

/** rad. A rock is searched in intervals about this wide: their lattices' boxes grow by what an
 * interval slides, and each costs a walk. Few wide ones win (1 deg of the bench's rock). */
#define INTERVAL (M_PI / 180)

/** Intervals at most. */
#define MOST_INTERVALS 64

/** Both ends first, where a rock is worst more often than not, then the rest in order. */
static size_t
in_order(size_t i, size_t count)
{
    return i == 0 ? 0 : i == 1 ? count - 1 : i - 1;
}

static TbStatus
search_interval(const TbScanRockAsk *ask,
                double from,
                double to,
                const TbTask *task,
                double beyond,
                TbScanNear *near)
{
    double middle = 0.5 * (from + to);
    TbPose pose = tb_rock_pose(ask->rock, middle);
    TbSweep *moved = tb_sweep_moved(ask->sweep, pose);
    TbLatticeWarmth warmth = ask->warmth == NULL ? (TbLatticeWarmth){.of = NULL} : *ask->warmth;
    TbLattice *lattice = NULL;
    TbStatus status = TB_E_MEMORY;

    warmth.place = pose;
    if (moved != NULL)
        status =
            tb_lattice_new_rocking(moved, ask->stations, ask->count, ask->columns, ask->rock.point,
                                   ask->rock.direction, 0.5 * (to - from), &warmth, &lattice, NULL);
    if (status == TB_OK) {
        TbScanAsk scan = {.lattice = lattice,
                          .tree = ask->tree,
                          .width = ask->width,
                          .beyond = beyond,
                          .enough = ask->enough};

        status = tb_scan_least(&scan, NULL, task, near);
    }
    if (status == TB_OK)
        near->turn = fmin(ask->rock.high, fmax(ask->rock.low, near->turn + middle));
    tb_lattice_free(lattice);
    tb_sweep_unref(moved);
    return status;
}

TbStatus
tb_scan_rock(const TbScanRockAsk *ask, const TbTask *task, TbScanNear *least)
{
    double range = ask->rock.high - ask->rock.low;
    size_t count = (size_t)fmin(fmax(1, ceil(range / INTERVAL - 1e-9)), MOST_INTERVALS);
    TbScanNear best = {.upper = INFINITY, .lower = INFINITY, .row = UINT32_MAX};
    double lower = INFINITY;
    bool exhausted = false;

    for (size_t i = 0; i < count; i++) {
        size_t k = in_order(i, count);
        double from = ask->rock.low + range * (double)k / (double)count;
        double to = ask->rock.low + range * (double)(k + 1) / (double)count;
        TbScanNear near;
        TbStatus status =
            search_interval(ask, from, to, task, fmin(ask->beyond, best.upper), &near);

        if (status != TB_OK)
            return status;
        lower = fmin(lower, near.lower);
        exhausted = exhausted || near.exhausted;
        if (near.row != UINT32_MAX)
            best = near; /* nearer than all before, or it would not have been found */
        if (ask->enough > 0 && best.upper < ask->enough) {
            lower = 0; /* the rest has not been looked at */
            break;
        }
    }
    *least = best;
    least->lower = fmin(lower, best.upper);
    least->exhausted = exhausted;
    return TB_OK;
}

/* ---- sampled ---- */

/** Poses that share a walk, at most: as wide as an interval of the certified search of the benches.
 */
#define TOGETHER 9

static double
angle_of(const TbScanPosesAsk *ask, size_t pose)
{
    if (pose + 1 == ask->poses)
        return ask->rock.high;
    return ask->rock.low +
           (ask->rock.high - ask->rock.low) * (double)pose / (double)(ask->poses - 1);
}

/** Poses from..to - 1: the lattice stands in the middle one. */
static TbStatus
search_poses(const TbScanPosesAsk *ask,
             size_t from,
             size_t to,
             TbVec3 turned[],
             const TbTask *task,
             TbScanNear *near)
{
    size_t middle = from + (to - from) / 2, order[TOGETHER], count = 0;
    TbPose pose[TOGETHER], stand = tb_rock_pose(ask->rock, angle_of(ask, middle));
    TbLatticeRock rock = {.point = ask->rock.point, .axis = tb_vec3_unit(ask->rock.direction)};
    TbScanAsk scan = {.lattice = ask->lattice, .tree = ask->tree, .beyond = ask->beyond};
    TbStatus status;

    order[count++] = middle;
    for (size_t i = from; i < to; i++)
        if (i != middle)
            order[count++] = i;
    for (size_t i = 0; i < count; i++) {
        double turn = angle_of(ask, order[i]) - angle_of(ask, middle);

        pose[i] = i == 0 ? tb_pose_identity() : tb_rock_pose(ask->rock, turn);
        rock.half = fmax(rock.half, fabs(turn));
    }
    rock.pose = pose;
    rock.poses = count;
    for (size_t k = 0; k < ask->points_count; k++)
        turned[k] = tb_pose_point(stand, ask->points[k]);
    tb_lattice__set_rocking(ask->lattice, turned, &rock);
    status = tb_scan_least(&scan, NULL, task, near);
    tb_lattice__stand_still(ask->lattice); /* the poses end with this call */
    if (status == TB_OK && near->row != UINT32_MAX)
        near->turn = angle_of(ask, order[(size_t)near->turn]);
    return status;
}

TbStatus
tb_scan_poses(const TbScanPosesAsk *ask, const TbTask *task, TbScanNear *least)
{
    size_t groups = (ask->poses + TOGETHER - 1) / TOGETHER;
    TbVec3 *turned = tb_alloc_array(ask->points_count, sizeof *turned);
    TbScanNear best = {.upper = INFINITY, .lower = ask->beyond, .row = UINT32_MAX};
    TbStatus status = turned == NULL ? TB_E_MEMORY : TB_OK;

    TB_ASSERT(ask->poses >= 2);
    for (size_t i = 0; i < groups && status == TB_OK; i++) {
        size_t k = in_order(i, groups);
        TbScanPosesAsk some = *ask;
        TbScanNear near;

        some.beyond = fmin(ask->beyond, best.upper);
        status = search_poses(&some, k * ask->poses / groups, (k + 1) * ask->poses / groups, turned,
                              task, &near);
        if (status == TB_OK && near.row != UINT32_MAX)
            best = near;
    }
    tb_free(turned);
    if (status == TB_OK)
        *least = best;
    return status;
}
