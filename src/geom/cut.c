/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/cut.h"

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/tol.h"

#include <stdlib.h>
#include <string.h>

/* ---- planes ---- */

TbPlane
tb_plane_of(TbVec3 origin, TbVec3 u, TbVec3 v)
{
    return (TbPlane){origin, u, v, tb_vec3_cross(u, v)};
}

TbVec2
tb_plane_project(TbPlane plane, TbVec3 p)
{
    TbVec3 to = tb_vec3_sub(p, plane.origin);

    return tb_vec2(tb_vec3_dot(to, plane.u), tb_vec3_dot(to, plane.v));
}

TbVec3
tb_plane_lift(TbPlane plane, TbVec2 p)
{
    return tb_vec3_add_scaled(tb_vec3_add_scaled(plane.origin, p.x, plane.u), p.y, plane.v);
}

double
tb_plane_height(TbPlane plane, TbVec3 p)
{
    return tb_vec3_dot(tb_vec3_sub(p, plane.origin), plane.n);
}

/* ---- growing a cut ---- */

void
tb_cut_init(TbCut *cut)
{
    *cut = (TbCut){0};
}

void
tb_cut_clear(TbCut *cut)
{
    tb_free(cut->points);
    tb_free(cut->loops);
    tb_cut_init(cut);
}

TbStatus
tb_cut_copy(TbCut *to, const TbCut *from, TbFault *fault)
{
    TbCut copy = {.point_count = from->point_count,
                  .point_room = from->point_count,
                  .loop_count = from->loop_count,
                  .loop_room = from->loop_count};

    if (from->loop_count == 0) {
        tb_cut_init(to);
        return TB_OK;
    }
    copy.points = tb_resize_array(NULL, from->point_count, sizeof *copy.points);
    copy.loops = tb_resize_array(NULL, from->loop_count, sizeof *copy.loops);
    if (copy.points == NULL || copy.loops == NULL) {
        tb_cut_clear(&copy);
        return tb_fail(fault, TB_E_MEMORY, "no room for a cut of %zu points", from->point_count);
    }
    memcpy(copy.points, from->points, from->point_count * sizeof *copy.points);
    memcpy(copy.loops, from->loops, from->loop_count * sizeof *copy.loops);
    *to = copy;
    return TB_OK;
}

TbCutMark
tb_cut__mark(const TbCut *cut)
{
    return (TbCutMark){cut->point_count, cut->loop_count};
}

void
tb_cut__back(TbCut *cut, TbCutMark mark)
{
    cut->point_count = mark.points;
    cut->loop_count = mark.loops;
}

static bool
same_place(TbVec2 a, TbVec2 b)
{
    return a.x == b.x && a.y == b.y;
}

TbStatus
tb_cut__point(TbCut *cut, size_t first, TbVec2 p, TbFault *fault)
{
    void *points = cut->points;

    if (cut->point_count > first && same_place(cut->points[cut->point_count - 1], p))
        return TB_OK;
    if (tb_grow_array(&points, &cut->point_room, cut->point_count, sizeof p) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for a cut of %zu points", cut->point_count);
    cut->points = points;
    cut->points[cut->point_count++] = p;
    return TB_OK;
}

/** Something is inside: not a point, a line or a sliver. */
static bool
has_inside(const TbVec2 p[], size_t count)
{
    double perimeter = 0;

    for (size_t i = 0; i < count; i++)
        perimeter += tb_vec2_length(tb_vec2_sub(p[(i + 1) % count], p[i]));
    return count >= 3 && fabs(tb_polygon_area(p, count)) > TB_TOL_PLACE * perimeter / 2;
}

TbStatus
tb_cut__end(TbCut *cut, size_t first, TbLoopKind kind, int role, TbFault *fault)
{
    void *loops = cut->loops;
    bool is_open = kind == TB_LOOP_OPEN;

    while (!is_open && cut->point_count > first + 1 &&
           same_place(cut->points[first], cut->points[cut->point_count - 1]))
        cut->point_count--;
    if (is_open ? cut->point_count < first + 2
                : !has_inside(cut->points + first, cut->point_count - first)) {
        cut->point_count = first;
        return TB_OK;
    }
    if (tb_grow_array(&loops, &cut->loop_room, cut->loop_count, sizeof *cut->loops) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for a cut of %zu loops", cut->loop_count);
    cut->loops = loops;
    cut->loops[cut->loop_count++] = (TbLoop){first, cut->point_count - first, kind, 0, role};
    return TB_OK;
}

static void
reverse(TbVec2 p[], size_t count)
{
    for (size_t i = 0; i < count / 2; i++) {
        TbVec2 swap = p[i];

        p[i] = p[count - 1 - i];
        p[count - 1 - i] = swap;
    }
}

/** The loops of one kind since a mark: depth among each other, direction by it. */
static void
nest_kind(TbCut *cut, size_t first, TbLoopKind kind, TbLoopSpan spans[], int depth[])
{
    size_t count = 0;

    for (size_t i = first; i < cut->loop_count; i++)
        if (cut->loops[i].kind == kind)
            spans[count++] = (TbLoopSpan){cut->loops[i].first, cut->loops[i].count};
    tb_polygon_nest(cut->points, spans, count, depth);
    count = 0;
    for (size_t i = first; i < cut->loop_count; i++) {
        TbLoop *loop = &cut->loops[i];
        TbVec2 *p = cut->points + loop->first;

        if (loop->kind != kind)
            continue;
        loop->depth = depth[count++] + (kind == TB_LOOP_INNER);
        if ((tb_polygon_area(p, loop->count) > 0) != (loop->depth % 2 == 0))
            reverse(p, loop->count);
    }
}

TbStatus
tb_cut__nest(TbCut *cut, TbCutMark mark, TbFault *fault)
{
    size_t count = cut->loop_count - mark.loops;
    TbLoopSpan *spans = tb_alloc_array(count, sizeof *spans);
    int *depth = tb_alloc_array(count, sizeof *depth);
    TbStatus status = TB_OK;

    if (spans == NULL || depth == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for a cut of %zu loops", count);
    } else {
        nest_kind(cut, mark.loops, TB_LOOP_OUTER, spans, depth);
        nest_kind(cut, mark.loops, TB_LOOP_INNER, spans, depth);
    }
    tb_free(depth);
    tb_free(spans);
    return status;
}

/* ---- chains of segments ---- */

TbStatus
tb_cut__segment(TbCutSegments *segments, uint64_t from, uint64_t to, TbFault *fault)
{
    void *all = segments->all;

    if (tb_grow_array(&all, &segments->room, segments->count, sizeof *segments->all) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for a cut of %zu segments", segments->count);
    segments->all = all;
    segments->all[segments->count++] = (TbCutSegment){from, to};
    return TB_OK;
}

TbStatus
tb_cut__square(TbCutSegments *segments,
               const bool inside[4],
               const uint64_t edge[4],
               bool joined,
               TbFault *fault)
{
    TbStatus status = TB_OK;

    /* The border runs counter-clockwise. Where it leaves the body the outline enters the square,
     * with the body on its left. Of four crossings it takes the next one when the body hangs
     * together in the middle, the one before when it does not. */
    for (int k = 0; k < 4 && status == TB_OK; k++) {
        int end = -1;

        if (!inside[k] || inside[(k + 1) % 4])
            continue;
        for (int step = 1; step < 4 && end < 0; step++) {
            int m = (joined ? k + step : k + 4 - step) % 4;

            if (!inside[m] && inside[(m + 1) % 4])
                end = m;
        }
        TB_ASSERT(end >= 0);
        status = tb_cut__segment(segments, edge[k], edge[end], fault);
    }
    return status;
}

#define NO_END SIZE_MAX

/** One end of a segment: number 2 i where segment i begins, 2 i + 1 where it ends. */
typedef struct End {
    uint64_t edge;
    size_t number;
} End;

/** Sorts by edge, equal ones in the order they stand in: by bytes, the lowest first, bytes that are
 * the same in all left out. @p other has as much room; @return which of the two holds them then. */
static End *
sort_ends(End *ends, End *other, size_t count)
{
    for (int shift = 0; shift < 64; shift += 8) {
        size_t place[256] = {0}, sum = 0;
        End *swap;

        for (size_t i = 0; i < count; i++)
            place[ends[i].edge >> shift & 255]++;
        if (count == 0 || place[ends[0].edge >> shift & 255] == count)
            continue;
        for (int k = 0; k < 256; k++) {
            size_t held = place[k];

            place[k] = sum;
            sum += held;
        }
        for (size_t i = 0; i < count; i++)
            other[place[ends[i].edge >> shift & 255]++] = ends[i];
        swap = ends;
        ends = other;
        other = swap;
    }
    return ends;
}

/**
 * Pairs the ends on one edge: the first beginning with the first end, and so on. What is left when
 * neighbours of a mesh disagree on their sides is paired among itself; a last one is open.
 */
static void
pair_ends(const End ends[], size_t count, size_t partner[])
{
    size_t beginnings = 0;
    size_t pairs;

    while (beginnings < count && ends[beginnings].number % 2 == 0)
        beginnings++;
    pairs = beginnings < count - beginnings ? beginnings : count - beginnings;
    for (size_t i = 0; i < pairs; i++) {
        partner[ends[i].number] = ends[beginnings + i].number;
        partner[ends[beginnings + i].number] = ends[i].number;
    }
    /* the rest lies in a row: either beginnings from `pairs` on, or ends after their pairs */
    for (size_t i = beginnings > pairs ? pairs : beginnings + pairs;
         i + 1 < (beginnings > pairs ? beginnings : count); i += 2) {
        partner[ends[i].number] = ends[i + 1].number;
        partner[ends[i + 1].number] = ends[i].number;
    }
}

/** @param ends room for twice the ends there are: four for each segment */
static void
pair_all(const TbCutSegments *segments, End ends[], size_t partner[])
{
    size_t count = 2 * segments->count;

    /* beginnings before ends, so that pairing is the same whatever sort does */
    for (size_t i = 0; i < segments->count; i++) {
        ends[i] = (End){segments->all[i].from, 2 * i};
        ends[segments->count + i] = (End){segments->all[i].to, 2 * i + 1};
        partner[2 * i] = partner[2 * i + 1] = NO_END;
    }
    ends = sort_ends(ends, ends + count, count);
    for (size_t i = 0, next; i < count; i = next) {
        for (next = i + 1; next < count && ends[next].edge == ends[i].edge; next++) {
        }
        pair_ends(ends + i, next - i, partner);
    }
}

/** What a walk along the chains needs. */
typedef struct Walk {
    const TbCutSegments *segments;
    const size_t *partner;
    bool *done; /**< by segment */
    TbCutPoint point;
    void *user;
    TbCut *cut;
    int role;
} Walk;

static TbStatus
walk_point(Walk *walk, size_t first, size_t end, TbFault *fault)
{
    const TbCutSegment *segment = &walk->segments->all[end / 2];
    TbVec2 p;

    if (!walk->point(walk->user, end % 2 == 0 ? segment->from : segment->to, &p))
        return TB_OK;
    return tb_cut__point(walk->cut, first, p, fault);
}

/** From one end of a segment through all that hang together, to an open end or round. */
static TbStatus
walk_chain(Walk *walk, size_t end, TbFault *fault)
{
    size_t first = walk->cut->point_count;
    TbLoopKind kind = TB_LOOP_OUTER;
    TbStatus status = TB_OK;

    while (status == TB_OK && !walk->done[end / 2]) {
        size_t far_end = end ^ 1U;

        walk->done[end / 2] = true;
        status = walk_point(walk, first, end, fault);
        if (walk->partner[far_end] == NO_END) {
            kind = TB_LOOP_OPEN;
            if (status == TB_OK)
                status = walk_point(walk, first, far_end, fault);
            break;
        }
        end = walk->partner[far_end];
    }
    return status == TB_OK ? tb_cut__end(walk->cut, first, kind, walk->role, fault) : status;
}

static TbStatus
walk_all(Walk *walk, TbFault *fault)
{
    size_t count = 2 * walk->segments->count;
    TbStatus status = TB_OK;

    for (size_t i = 0; i < count && status == TB_OK; i++)
        if (walk->partner[i] == NO_END && !walk->done[i / 2])
            status = walk_chain(walk, i, fault);
    for (size_t i = 0; i < count && status == TB_OK; i += 2)
        if (!walk->done[i / 2])
            status = walk_chain(walk, i, fault);
    return status;
}

TbStatus
tb_cut__chain(const TbCutSegments *segments,
              TbCutPoint point,
              void *user,
              TbCut *cut,
              int role,
              TbFault *fault)
{
    size_t count = 2 * segments->count;
    End *ends = tb_resize_array(NULL, 2 * count, sizeof *ends);
    size_t *partner = tb_resize_array(NULL, count, sizeof *partner);
    bool *done = tb_alloc_array(segments->count, sizeof *done);
    TbStatus status;

    if (ends == NULL || partner == NULL || done == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for a cut of %zu segments", segments->count);
    } else {
        Walk walk = {segments, partner, done, point, user, cut, role};

        pair_all(segments, ends, partner);
        status = walk_all(&walk, fault);
    }
    tb_free(done);
    tb_free(partner);
    tb_free(ends);
    return status;
}

/* ---- solids ---- */

static TbStatus
add_part(TbCut *cut, const TbPart *part, TbPlane plane, double tolerance, TbFault *fault)
{
    switch (part->kind) {
    case TB_PART_SWEEP:
        return tb_cut__sweep(cut, part->sweep, part->strips, true, plane, tolerance, part->role,
                             fault);
    case TB_PART_PLAIN:
        return tb_cut_add_plain(cut, &part->plain, plane, part->role, fault);
    case TB_PART_MESH:
        return tb_cut_add_mesh(cut, part->tree, plane, part->role, fault);
    }
    return tb_fail(fault, TB_E_RANGE, "kind of part is %d", (int)part->kind);
}

TbStatus
tb_cut_add_solid_within(
    TbCut *cut, const TbSolid *solid, TbPlane plane, double tolerance, TbFault *fault)
{
    TbCutMark mark = tb_cut__mark(cut);
    TbStatus status = TB_OK;

    TB_ASSERT(tolerance >= TB_TOL_CUT);
    for (size_t i = 0; i < tb_solid_part_count(solid) && status == TB_OK; i++)
        status = add_part(cut, tb_solid_part(solid, i), plane, tolerance, fault);
    if (status != TB_OK)
        tb_cut__back(cut, mark);
    return status;
}

TbStatus
tb_cut_add_solid(TbCut *cut, const TbSolid *solid, TbPlane plane, TbFault *fault)
{
    return tb_cut_add_solid_within(cut, solid, plane, TB_TOL_CUT, fault);
}
