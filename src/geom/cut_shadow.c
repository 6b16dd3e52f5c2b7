/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Silhouettes of sweeps: between two neighbouring rings lies a nearly convex body, and the outline
 * is that of their union.
 */

#include "base/mem.h"
#include "geom/cut_cover.h"

/** A ring of points as the plane has it. */
typedef struct Ring {
    int sides;        /**< that its points are on: bit 1 beyond the plane, bit 2 before it */
    TbVec2 low, high; /**< mm on paper */
    double area;      /**< twice its own on paper */
} Ring;

typedef struct Shadow {
    TbPlane plane;
    const TbCutRings *rings;
    double *heights; /**< of the points */
    TbVec2 *paper;   /**< of the points, in grid steps */
    Ring *ring;
    TbCutCover cover;
} Shadow;

static TbStatus
no_room(TbFault *fault)
{
    return tb_fail(fault, TB_E_MEMORY, "no room for a silhouette");
}

/* ---- the body between two rings ---- */

static inline size_t
next_column(const Shadow *shadow, size_t k)
{
    return k + 1 < shadow->rings->columns ? k + 1 : 0;
}

/** Where a segment between two points on either side meets the plane. */
static TbVec2
crossing(const Shadow *shadow, size_t a, size_t b)
{
    double share = shadow->heights[a] / (shadow->heights[a] - shadow->heights[b]);

    return tb_vec2_add(shadow->paper[a],
                       tb_vec2_scale(tb_vec2_sub(shadow->paper[b], shadow->paper[a]), share));
}

/** What of an edge lies beyond the plane. */
static void
add_beyond(Shadow *shadow, size_t a, size_t b)
{
    bool from = shadow->heights[a] <= 0, to = shadow->heights[b] <= 0;

    if (from || to)
        tb_cut__cover_edge(&shadow->cover, from ? shadow->paper[a] : crossing(shadow, a, b),
                           to ? shadow->paper[b] : crossing(shadow, a, b));
}

/** Where the plane meets a face. */
static void
add_in_plane(Shadow *shadow, const size_t corner[4])
{
    TbVec2 p[4];
    size_t held = 0;

    for (size_t i = 0; i < 4; i++) {
        size_t a = corner[i], b = corner[(i + 1) % 4];

        if ((shadow->heights[a] <= 0) != (shadow->heights[b] <= 0))
            p[held++] = crossing(shadow, a, b);
    }
    for (size_t i = 0; i < held; i += 2)
        tb_cut__cover_edge(&shadow->cover, p[i], p[i + 1]);
}

/** The chord in which the plane meets a filled ring. */
static void
add_chord(Shadow *shadow, size_t first)
{
    TbVec2 ends[2];
    size_t held = 0;

    for (size_t k = 0; k < shadow->rings->columns && held < 2; k++) {
        size_t a = first + k, b = first + next_column(shadow, k);

        if ((shadow->heights[a] <= 0) != (shadow->heights[b] <= 0))
            ends[held++] = crossing(shadow, a, b);
    }
    if (held == 2)
        tb_cut__cover_edge(&shadow->cover, ends[0], ends[1]);
}

/** Twice the area of a ring on paper. */
static double
ring_area(const Shadow *shadow, size_t first)
{
    double area = 0;

    for (size_t k = 0; k < shadow->rings->columns; k++)
        area +=
            tb_vec2_cross(shadow->paper[first + k], shadow->paper[first + next_column(shadow, k)]);
    return area;
}

/** Twice the area on paper of the face from column k to the next, seen from outside. */
static double
face_area(const Shadow *shadow, size_t first, size_t k)
{
    size_t n = shadow->rings->columns, a = first + k, b = first + next_column(shadow, k);

    return tb_vec2_cross(tb_vec2_sub(shadow->paper[b + n], shadow->paper[a]),
                         tb_vec2_sub(shadow->paper[a + n], shadow->paper[b]));
}

/** Adds the edges at which the body between two rings turns from the reader: no other is on its
 * outline. */
static bool
add_body(Shadow *shadow, size_t ring)
{
    size_t n = shadow->rings->columns, first = ring * n;
    int sides = shadow->ring[ring].sides | shadow->ring[ring + 1].sides;
    double before, start = -shadow->ring[ring].area, end = shadow->ring[ring + 1].area;

    if (sides == 2)
        return true;
    before = face_area(shadow, first, n - 1);
    for (size_t k = 0; k < n; k++) {
        size_t a = first + k, b = first + next_column(shadow, k);
        double face = face_area(shadow, first, k);

        if (before * face <= 0)
            add_beyond(shadow, a, a + n);
        if (start * face <= 0)
            add_beyond(shadow, a, b);
        if (end * face <= 0)
            add_beyond(shadow, a + n, b + n);
        if (sides == 3)
            add_in_plane(shadow, (size_t[]){a, b, b + n, a + n});
        before = face;
    }
    if (sides == 3) {
        add_chord(shadow, first);
        add_chord(shadow, first + n);
    }
    return tb_cut__cover_close(&shadow->cover);
}

/* ---- the grid ---- */

static Ring
lay_down(Shadow *shadow, size_t ring)
{
    Ring laid = {.low = {INFINITY, INFINITY}, .high = {-INFINITY, -INFINITY}};
    size_t first = ring * shadow->rings->columns;

    for (size_t i = first; i < first + shadow->rings->columns; i++) {
        TbVec2 p = tb_plane_project(shadow->plane, shadow->rings->points[i]);

        shadow->heights[i] = tb_plane_height(shadow->plane, shadow->rings->points[i]);
        shadow->paper[i] = p;
        laid.sides |= shadow->heights[i] <= 0 ? 1 : 2;
        laid.low =
            tb_vec2(p.x < laid.low.x ? p.x : laid.low.x, p.y < laid.low.y ? p.y : laid.low.y);
        laid.high =
            tb_vec2(p.x > laid.high.x ? p.x : laid.high.x, p.y > laid.high.y ? p.y : laid.high.y);
    }
    return laid;
}

/** Frames what lies beyond the plane; false when nothing does. */
static bool
frame(Shadow *shadow, double chord, double step, TbStatus *status, TbFault *fault)
{
    TbVec2 low = {INFINITY, INFINITY}, high = {-INFINITY, -INFINITY};
    size_t rings = shadow->rings->count, count = rings * shadow->rings->columns;

    for (size_t r = 0; r < rings; r++)
        shadow->ring[r] = lay_down(shadow, r);
    /* a body that the plane crosses counts whole: the grid may be larger than what is seen */
    for (size_t r = 0; r < rings; r++) {
        const Ring *ring = &shadow->ring[r];
        bool before = r == 0 || (ring[-1].sides | ring->sides) == 2;
        bool after = r + 1 == rings || (ring[1].sides | ring->sides) == 2;

        if (before && after)
            continue;
        low = tb_vec2(fmin(low.x, ring->low.x), fmin(low.y, ring->low.y));
        high = tb_vec2(fmax(high.x, ring->high.x), fmax(high.y, ring->high.y));
    }
    if (!(low.x <= high.x))
        return false;
    *status = tb_cut__cover_begin(&shadow->cover, low, high, chord, step, fault);
    for (size_t i = 0; i < count; i++)
        shadow->paper[i] = tb_cut__cover_place(&shadow->cover, shadow->paper[i]);
    for (size_t r = 0; r < rings; r++)
        shadow->ring[r].area = ring_area(shadow, r * shadow->rings->columns);
    return true;
}

/* ---- all together ---- */

static void
clear(Shadow *shadow)
{
    tb_cut__cover_clear(&shadow->cover);
    tb_free(shadow->ring);
    tb_free(shadow->paper);
    tb_free(shadow->heights);
}

static TbStatus
trace(Shadow *shadow, TbCut *cut, double chord, double step, int role, TbFault *fault)
{
    size_t count = shadow->rings->count * shadow->rings->columns;
    TbStatus status = TB_OK;

    shadow->heights = tb_resize_array(NULL, count, sizeof *shadow->heights);
    shadow->paper = tb_resize_array(NULL, count, sizeof *shadow->paper);
    shadow->ring = tb_resize_array(NULL, shadow->rings->count, sizeof *shadow->ring);
    if (shadow->heights == NULL || shadow->paper == NULL || shadow->ring == NULL)
        return no_room(fault);
    if (!frame(shadow, chord, step, &status, fault))
        return TB_OK;
    for (size_t r = 0; r + 1 < shadow->rings->count && status == TB_OK; r++)
        if (!add_body(shadow, r))
            status = no_room(fault);
    return status == TB_OK ? tb_cut__cover_trace(&shadow->cover, cut, role, fault) : status;
}

TbStatus
tb_cut__shadow(TbCut *cut,
               const TbCutRings *rings,
               TbPlane plane,
               double chord,
               double step,
               int role,
               TbFault *fault)
{
    Shadow shadow = {.plane = plane, .rings = rings};
    TbStatus status = trace(&shadow, cut, chord, step, role, fault);

    clear(&shadow);
    return status;
}
