/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Settling pairs of a flat lattice: exact distances, in doubles. */
#include "gaps/patch_private.h"
#include "gaps/scan_walk_private.h"

void
tb_scan__patch_corners(const TbLattice *lattice, size_t row, uint32_t column, TbVec3 patch[4])
{
    const TbVec3 *low = lattice->ring + lattice->row[row].low * lattice->columns;
    const TbVec3 *high = lattice->ring + lattice->row[row].high * lattice->columns;
    size_t next = (column + 1) % lattice->columns;

    patch[0] = low[column];
    patch[1] = low[next];
    patch[2] = high[next];
    patch[3] = high[column];
}

/** True where the way between the best two points tells the pair apart too: neighbours that share a
 * corner with them are most of what is kept. */
static bool
is_behind(const TbScanNear *best, const TbVec3 patch[4], const TbVec3 t[3])
{
    TbVec3 d = tb_vec3_sub(best->point_a, best->point_b);
    double a = INFINITY, b = -INFINITY;

    for (int k = 0; k < 4; k++) {
        double x = tb_vec3_dot(d, patch[k]);
        a = x < a ? x : a;
    }
    for (int k = 0; k < 3; k++) {
        double x = tb_vec3_dot(d, t[k]);
        b = x > b ? x : b;
    }
    /* d is as long as the best distance is large */
    return best->upper > 0 && a - b >= (best->upper - TB_TOL_ROUND) * best->upper;
}

/** A patch and a triangle in one pose. */
static void
settle_patch(
    TbScan *scan, const TbScanPair *pair, const TbVec3 patch[4], const TbVec3 t[3], size_t pose)
{
    const TbScanNear *best = tb_scan__near_of(scan, pair->lane);
    TbNearest found;

    if (best->row != UINT32_MAX && is_behind(best, patch, t))
        return;
    found = tb_patch__nearest(patch, t);
    tb_scan__take(scan, pair->lane,
                  &(TbScanNear){.lower = found.distance,
                                .upper = found.distance,
                                .point_a = found.a,
                                .point_b = found.b,
                                .row = (uint32_t)(scan->group * TB_LANES + pair->lane),
                                .column = pair->column,
                                .triangle = pair->triangle,
                                .turn = (double)pose});
}

void
tb_scan__settle_flat(TbScan *scan, const TbScanPair *pair)
{
    const TbLattice *lattice = scan->lattice;
    size_t row = scan->group * TB_LANES + pair->lane;
    TbVec3 patch[4], turned[4], t[3];

    tb_scan__patch_corners(lattice, row, pair->column, patch);
    tb_mesh_corners(tb_tree_mesh(scan->tree), pair->triangle, t);
    settle_patch(scan, pair, patch, t, 0);
    for (size_t i = 1; i < lattice->rock.poses; i++) {
        for (int k = 0; k < 4; k++)
            turned[k] = tb_pose_point(lattice->rock.pose[i], patch[k]);
        settle_patch(scan, pair, turned, t, i);
    }
}
