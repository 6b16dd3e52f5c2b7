/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Rings along a sweep, so near each other that the bodies between them are nearly convex. */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/ring.h"

#include <string.h>

/** mm between rings before any is added. */
#define RING_STEP 8.0

/** Times that rings are added at most. */
#define RING_ROUNDS 6

/** Squared. */
static double
off_chord2(TbVec3 p, TbVec3 a, TbVec3 b)
{
    TbVec3 way = tb_vec3_sub(b, a), from = tb_vec3_sub(p, a);
    double length2 = tb_vec3_length2(way);
    double along = length2 > 0 ? tb_vec3_dot(from, way) / length2 : 0;

    return tb_vec3_length2(tb_vec3_add_scaled(from, -fmin(1, fmax(0, along)), way));
}

/** How far the surface may stray from the straight way between a ring and its neighbours: of two
 * equal steps a quarter of what the ring in between strays from the outer two. */
static double
strays_at(const TbCutRings *rings, size_t ring)
{
    const double *at = rings->stations + ring;
    double before = at[0] - at[-1], after = at[1] - at[0], off = 0;
    size_t n = rings->columns;

    for (size_t i = ring * n; i < (ring + 1) * n; i++)
        off = fmax(off, off_chord2(rings->points[i], rings->points[i - n], rings->points[i + n]));
    return sqrt(off) / 4 * fmax(before, after) / fmin(before, after);
}

static TbStatus
no_room(TbFault *fault)
{
    return tb_fail(fault, TB_E_MEMORY, "no room for a silhouette");
}

/** Lays rings at all stations for which there is none: @p laid those there are, in their order. */
static TbStatus
lay_rings(TbCutRings *rings, const TbSweep *sweep, const bool is_new[], size_t laid, TbFault *fault)
{
    size_t n = rings->columns, news = rings->count - laid, from_old = 0, from_new = 0;
    TbVec3 *points = tb_resize_array(NULL, rings->count * n, sizeof *points);
    TbVec3 *more = tb_resize_array(NULL, news * n, sizeof *more);
    double *stations = tb_resize_array(NULL, news, sizeof *stations);
    bool has_room = points != NULL && more != NULL && stations != NULL;

    for (size_t i = 0, k = 0; i < rings->count && has_room; i++)
        if (is_new[i])
            stations[k++] = rings->stations[i];
    if (has_room)
        tb_sweep_rings(sweep, stations, news, n, true, more);
    for (size_t i = 0; i < rings->count && has_room; i++)
        memcpy(points + i * n, is_new[i] ? more + from_new++ * n : rings->points + from_old++ * n,
               n * sizeof *points);
    tb_free(stations);
    tb_free(more);
    tb_free(rings->points);
    rings->points = points;
    return has_room ? TB_OK : no_room(fault);
}

/** Adds stations on both sides of rings that stray by more; false when there is no room.
 * @param[out] is_new which of them; twice as long as there were stations */
static bool
add_stations(TbCutRings *rings, double near, bool is_new[])
{
    size_t count = 0, before = rings->count;
    double *more = tb_resize_array(NULL, 2 * before, sizeof *more);
    bool last = false;

    if (more == NULL)
        return false;
    for (size_t i = 0; i + 1 < before; i++) {
        bool strays = i + 2 < before && strays_at(rings, i + 1) > near;

        is_new[count] = false;
        more[count++] = rings->stations[i];
        if (last || strays) {
            is_new[count] = true;
            more[count++] = (rings->stations[i] + rings->stations[i + 1]) / 2;
        }
        last = strays;
    }
    is_new[count] = false;
    more[count++] = rings->stations[before - 1];
    tb_free(rings->stations);
    rings->stations = more;
    rings->count = count;
    return true;
}

/** Adds rings where it is needed. @param[out] done nowhere */
static TbStatus
refine(TbCutRings *rings, const TbSweep *sweep, double near, bool *done, TbFault *fault)
{
    size_t before = rings->count;
    bool *is_new = tb_resize_array(NULL, 2 * before, sizeof *is_new);
    TbStatus status = TB_OK;

    if (is_new == NULL || !add_stations(rings, near, is_new))
        status = no_room(fault);
    *done = rings->count == before;
    if (status == TB_OK && !*done)
        status = lay_rings(rings, sweep, is_new, before, fault);
    tb_free(is_new);
    return status;
}

static double
largest_reach(const TbSweep *sweep)
{
    double reach = 0;

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);

        for (int k = 0; k < 2; k++) {
            TbSlice slice = tb_law_in_span(piece->law, piece->station0 + k * piece->length);

            reach = fmax(reach, tb_slice_reach(&slice, true));
        }
    }
    return reach;
}

TbStatus
tb_cut_rings(TbCutRings *rings, const TbSweep *sweep, double chord, TbFault *fault)
{
    double cosine = 1 - chord / 4 / fmax(chord, largest_reach(sweep));
    double columns = fmax(TB_RING_LEAST, fmin(TB_RING_MOST, ceil(M_PI / acos(cosine))));
    double length = tb_sweep_length(sweep);
    TbStatus status = TB_OK;
    bool done = false;

    *rings = (TbCutRings){.sweep = sweep, .columns = (size_t)columns};
    rings->count = (size_t)fmax(2, ceil(length / RING_STEP)) + 1;
    rings->stations = tb_resize_array(NULL, rings->count, sizeof *rings->stations);
    rings->points = tb_resize_array(NULL, rings->count * rings->columns, sizeof *rings->points);
    if (rings->stations == NULL || rings->points == NULL)
        return no_room(fault);
    for (size_t i = 0; i < rings->count; i++)
        rings->stations[i] = length * (double)i / (double)(rings->count - 1);
    tb_sweep_rings(sweep, rings->stations, rings->count, rings->columns, true, rings->points);
    for (int i = 0; i < RING_ROUNDS && status == TB_OK && !done; i++)
        status = refine(rings, sweep, chord / 2, &done, fault);
    return status;
}

void
tb_cut_rings_clear(TbCutRings *rings)
{
    tb_free(rings->stations);
    tb_free(rings->points);
    *rings = (TbCutRings){.stations = NULL};
}
