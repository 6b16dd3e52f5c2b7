/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/skin_change.h"

#include "geom/tol.h"
#include "geom/tree.h"

#include <glib.h>
#include <math.h>

/* mm between points of the skin: less than a row of the table is long. */
#define STEP 3.0

/* A triangle is cut into the square of this many at most. */
#define MOST_CUTS 64

/* The row of a path's table that a point belongs to: the nearest one's. */
static size_t
row_of(const TbResultDuct *path, TbVec3 p)
{
    size_t best = 0;
    double least = INFINITY;

    for (size_t i = 0; i < path->row_count; i++) {
        TbVec3 d = tb_vec3_sub(path->rows[i].point, p);
        double far = tb_vec3_dot(d, d);

        if (far < least) {
            least = far;
            best = i;
        }
    }
    return best;
}

/* mm: above 0 outside the older skin. A distance changes by no more than a point moves, so the last
 * answer says how far to look. The side is that of the whole skin, not of the nearest triangle: at
 * a rim the nearest point belongs to two faces, and one of them looks past the point. */
static double
deviation(const TbTree *tree, TbVec3 p, TbNearest *last)
{
    double beyond = last->distance + tb_vec3_length(tb_vec3_sub(p, last->a)) + TB_TOL_ROUND;
    TbTreeHit hit = tb_tree_nearest(tree, p, beyond);

    if (hit.triangle == UINT32_MAX)
        return 0;
    *last = hit.nearest;
    if (hit.nearest.distance <= TB_TOL_ROUND)
        return 0;
    return tb_tree_winding(tree, p) > 0.5 ? -hit.nearest.distance : hit.nearest.distance;
}

static void
note(TbSkinChange *change, size_t row, double off)
{
    change->out[row] = fmax(change->out[row], off);
    change->in[row] = fmin(change->in[row], off);
    if (off > change->most_out) {
        change->most_out = off;
        change->station_out = change->station[row];
    }
    if (off < change->most_in) {
        change->most_in = off;
        change->station_in = change->station[row];
    }
}

static TbSkinChange *
new_change(const TbResultDuct *path)
{
    TbSkinChange *change = g_new0(TbSkinChange, 1);

    change->count = path->row_count;
    change->station = g_new0(double, path->row_count);
    change->out = g_new0(double, path->row_count);
    change->in = g_new0(double, path->row_count);
    for (size_t i = 0; i < path->row_count; i++)
        change->station[i] = path->rows[i].station;
    return change;
}

/* What goes over the points of a skin. */
typedef struct Walk {
    const TbTree *tree;
    const TbResultDuct *path;
    TbSkinChange *change;
    TbNearest last;
    double sum, weight; /* of sizes, mm3; of what they stand for, mm2 */
} Walk;

static void
look_at(Walk *walk, TbVec3 p, double area)
{
    double off = deviation(walk->tree, p, &walk->last);

    note(walk->change, row_of(walk->path, p), off);
    walk->sum += area * fabs(off);
    walk->weight += area;
}

/* The middles of n2 like triangles that one is cut into, so that no two lie further apart than the
 * step. */
static void
look_at_triangle(Walk *walk, const TbVec3 t[3])
{
    TbVec3 u = tb_vec3_sub(t[1], t[0]), v = tb_vec3_sub(t[2], t[0]);
    double area = tb_vec3_length(tb_vec3_cross(u, v)) / 2;
    double longest =
        fmax(tb_vec3_length(tb_vec3_sub(t[2], t[1])), fmax(tb_vec3_length(u), tb_vec3_length(v)));
    int n = (int)fmin(MOST_CUTS, fmax(1, ceil(longest / STEP)));

    for (int i = 0; i < n; i++)
        for (int k = 0; k < 2 * (n - i) - 1; k++) {
            /* every second one stands on its head */
            double x = (i + (k % 2 == 0 ? 1 / 3.0 : 2 / 3.0)) / n;
            double y = (k / 2 + (k % 2 == 0 ? 1 / 3.0 : 2 / 3.0)) / n;

            look_at(walk, tb_vec3_add(t[0], tb_vec3_add(tb_vec3_scale(u, x), tb_vec3_scale(v, y))),
                    area / ((double)n * n));
        }
}

TbStatus
tb_skin_change(TbMesh *before,
               const TbMesh *after,
               const TbResultDuct *path,
               TbTask *task,
               TbSkinChange **change,
               TbFault *fault)
{
    TbTree *tree = NULL;
    Walk walk = {.path = path, .last = {.distance = INFINITY}};
    TbStatus status = tb_tree_new(before, NULL, task, &tree, fault);

    if (status != TB_OK)
        return status;
    walk.tree = tree;
    walk.change = new_change(path);
    for (size_t i = 0; i < tb_mesh_triangle_count(after); i++) {
        TbVec3 corner[3];

        tb_mesh_corners(after, i, corner);
        look_at_triangle(&walk, corner);
    }
    walk.change->mean = walk.weight > 0 ? walk.sum / walk.weight : 0;
    tb_tree_unref(tree);
    *change = walk.change;
    return TB_OK;
}

void
tb_skin_change_free(TbSkinChange *change)
{
    if (change == NULL)
        return;
    g_free(change->station);
    g_free(change->out);
    g_free(change->in);
    g_free(change);
}
