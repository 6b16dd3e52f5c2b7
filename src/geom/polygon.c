/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/polygon.h"

#include "base/mem.h"
#include "geom/tol.h"

#include <stdlib.h>
#include <string.h>

double
tb_polygon_area(const TbVec2 p[], size_t count)
{
    double twice = 0;

    for (size_t i = 1; i + 1 < count; i++)
        twice += tb_vec2_cross(tb_vec2_sub(p[i], p[0]), tb_vec2_sub(p[i + 1], p[0]));
    return twice / 2;
}

TbVec2
tb_polygon_centroid(const TbVec2 p[], size_t count)
{
    TbVec2 sum = {0, 0};
    TbVec2 mean = {0, 0};
    double twice = 0;

    for (size_t i = 0; i < count; i++)
        mean = tb_vec2_add(mean, tb_vec2_scale(p[i], 1.0 / (double)count));
    for (size_t i = 1; i + 1 < count; i++) {
        TbVec2 a = tb_vec2_sub(p[i], p[0]);
        TbVec2 b = tb_vec2_sub(p[i + 1], p[0]);
        double part = tb_vec2_cross(a, b);

        twice += part;
        sum = tb_vec2_add(sum, tb_vec2_scale(tb_vec2_add(a, b), part));
    }
    if (twice == 0)
        return mean;
    return tb_vec2_add(p[0], tb_vec2_scale(sum, 1 / (3 * twice)));
}

static double
point_edge_distance(TbVec2 q, TbVec2 a, TbVec2 b)
{
    TbVec2 along = tb_vec2_sub(b, a);
    TbVec2 to = tb_vec2_sub(q, a);
    double length2 = tb_vec2_dot(along, along);
    double k = length2 > 0 ? fmax(0, fmin(1, tb_vec2_dot(to, along) / length2)) : 0;

    return tb_vec2_length(tb_vec2_sub(to, tb_vec2_scale(along, k)));
}

static bool
edges_meet(TbVec2 a, TbVec2 b, TbVec2 c, TbVec2 d)
{
    double c_side = tb_vec2_cross(tb_vec2_sub(b, a), tb_vec2_sub(c, a));
    double d_side = tb_vec2_cross(tb_vec2_sub(b, a), tb_vec2_sub(d, a));
    double a_side = tb_vec2_cross(tb_vec2_sub(d, c), tb_vec2_sub(a, c));
    double b_side = tb_vec2_cross(tb_vec2_sub(d, c), tb_vec2_sub(b, c));

    if ((c_side > 0) != (d_side > 0) && (a_side > 0) != (b_side > 0))
        return true;
    return point_edge_distance(a, c, d) < TB_TOL_PLACE ||
           point_edge_distance(b, c, d) < TB_TOL_PLACE ||
           point_edge_distance(c, a, b) < TB_TOL_PLACE ||
           point_edge_distance(d, a, b) < TB_TOL_PLACE;
}

TbStatus
tb_polygon_check(const TbVec2 p[], size_t count, TbFault *fault)
{
    if (count < 3)
        return tb_fail(fault, TB_E_DEGENERATE, "a polygon needs 3 points, %zu given", count);
    for (size_t i = 0; i < count; i++)
        for (size_t j = i + 1; j < count; j++)
            if (tb_vec2_length(tb_vec2_sub(p[i], p[j])) < TB_TOL_PLACE)
                return tb_fail(fault, TB_E_DEGENERATE, "points %zu and %zu lie in one place", i + 1,
                               j + 1);
    for (size_t i = 0; i < count; i++) {
        size_t next = (i + 1) % count;
        size_t after = (i + 2) % count;

        /* the edge after an edge may fold back onto it */
        if (point_edge_distance(p[after], p[i], p[next]) < TB_TOL_PLACE ||
            point_edge_distance(p[i], p[next], p[after]) < TB_TOL_PLACE)
            return tb_fail(fault, TB_E_DEGENERATE, "edges %zu and %zu fold onto each other", i + 1,
                           next + 1);
        for (size_t j = i + 2; j < count; j++)
            if ((j + 1) % count != i && edges_meet(p[i], p[next], p[j], p[(j + 1) % count]))
                return tb_fail(fault, TB_E_DEGENERATE, "edges %zu and %zu cross or touch", i + 1,
                               j + 1);
    }
    return TB_OK;
}

bool
tb_polygon_holds(const TbVec2 p[], size_t count, TbVec2 q)
{
    int winding = 0;

    for (size_t i = 0; i < count; i++) {
        TbVec2 a = p[i];
        TbVec2 b = p[i + 1 < count ? i + 1 : 0];
        bool a_up = a.y > q.y;
        bool b_up = b.y > q.y;

        if (a_up != b_up) {
            double side = tb_vec2_cross(tb_vec2_sub(b, a), tb_vec2_sub(q, a));

            if (b_up && side > 0)
                winding++;
            else if (!b_up && side < 0)
                winding--;
        }
    }
    return winding != 0;
}

bool
tb_points_are_straight(const TbVec2 p[], size_t count, TbVec2 from, TbVec2 to, double stray)
{
    TbVec2 along = tb_vec2_sub(to, from);
    double length2 = tb_vec2_dot(along, along);

    for (size_t i = 0; i < count; i++) {
        TbVec2 a = tb_vec2_sub(p[i], from);
        TbVec2 b = tb_vec2_sub(p[i], to);
        double k = tb_vec2_dot(a, along);
        double side = tb_vec2_cross(along, a);
        /* squares, so that neither a root nor a division is taken */
        bool is_near = k <= 0         ? tb_vec2_dot(a, a) <= stray * stray
                       : k >= length2 ? tb_vec2_dot(b, b) <= stray * stray
                                      : side * side <= stray * stray * length2;

        if (!is_near)
            return false;
    }
    return true;
}

double
tb_polygon_edge_distance(const TbVec2 p[], size_t count, TbVec2 q)
{
    double least = INFINITY;

    for (size_t i = 0; i < count; i++)
        least = fmin(least, point_edge_distance(q, p[i], p[i + 1 < count ? i + 1 : 0]));
    return least;
}

double
tb_polygon_depth(const TbVec2 p[], size_t count, TbVec2 q)
{
    double least = INFINITY; /* squared */
    int winding = 0;
    TbVec2 a = tb_vec2_sub(p[count - 1], q);

    for (size_t i = 0; i < count; i++) {
        TbVec2 b = tb_vec2_sub(p[i], q);
        TbVec2 along = tb_vec2_sub(b, a);
        double side = tb_vec2_cross(a, b);
        double length2 = tb_vec2_dot(along, along);
        double k = -tb_vec2_dot(a, along);
        /* nearest is the first end, the second, or a point between them */
        double near2 = k <= 0         ? tb_vec2_dot(a, a)
                       : k >= length2 ? tb_vec2_dot(b, b)
                                      : side * side / length2;

        least = near2 < least ? near2 : least;
        if (a.y <= 0 && b.y > 0 && side > 0)
            winding++;
        else if (a.y > 0 && b.y <= 0 && side < 0)
            winding--;
        a = b;
    }
    return winding != 0 ? sqrt(least) : -sqrt(least);
}

/* ---- triangles ---- */

/** What is left of the polygon while ears are clipped: a ring of point numbers. */
typedef struct Ring {
    const TbVec2 *p;
    size_t *prev, *next;
    double way; /**< 1 counter-clockwise, -1 clockwise */
} Ring;

static double
ring_turn(const Ring *ring, size_t a, size_t b, size_t c)
{
    const TbVec2 *p = ring->p;

    return ring->way * tb_vec2_cross(tb_vec2_sub(p[b], p[a]), tb_vec2_sub(p[c], p[a]));
}

/** A corner that can go: it turns left and no other corner lies in or on its triangle. */
static bool
is_ear(const Ring *ring, size_t b)
{
    size_t a = ring->prev[b];
    size_t c = ring->next[b];

    if (ring_turn(ring, a, b, c) <= 0)
        return false;
    for (size_t q = ring->next[c]; q != a; q = ring->next[q])
        if (ring_turn(ring, a, b, q) >= 0 && ring_turn(ring, b, c, q) >= 0 &&
            ring_turn(ring, c, a, q) >= 0)
            return false;
    return true;
}

/** The next ear from a corner on; @p left when there is none. */
static bool
find_ear(const Ring *ring, size_t left, size_t *corner)
{
    for (size_t i = 0; i < left; i++, *corner = ring->next[*corner])
        if (is_ear(ring, *corner))
            return true;
    return false;
}

static TbStatus
clip_ears(Ring *ring, size_t count, size_t triangles[], TbFault *fault)
{
    size_t corner = 0;

    for (size_t left = count; left >= 3; left--) {
        size_t a;
        size_t c;

        /* three points in a row are left over only when the polygon has no area there */
        if (!find_ear(ring, left, &corner) && left > 3)
            return tb_fail(fault, TB_E_DEGENERATE, "the polygon crosses itself near point %zu",
                           corner + 1);
        a = ring->prev[corner];
        c = ring->next[corner];
        *triangles++ = ring->way > 0 ? a : c;
        *triangles++ = corner;
        *triangles++ = ring->way > 0 ? c : a;
        ring->next[a] = c;
        ring->prev[c] = a;
        /* one corner further on: fans of needles are rarer */
        corner = ring->next[c];
    }
    return TB_OK;
}

TbStatus
tb_polygon_triangulate(const TbVec2 p[], size_t count, size_t triangles[], TbFault *fault)
{
    Ring ring = {p, NULL, NULL, tb_polygon_area(p, count) < 0 ? -1 : 1};
    TbStatus status;

    if (count < 3)
        return tb_fail(fault, TB_E_DEGENERATE, "a polygon needs 3 points, %zu given", count);
    ring.prev = tb_alloc_array(count, sizeof *ring.prev);
    ring.next = tb_alloc_array(count, sizeof *ring.next);
    if (ring.prev == NULL || ring.next == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for a polygon of %zu points", count);
        goto done;
    }
    for (size_t i = 0; i < count; i++) {
        ring.prev[i] = (i + count - 1) % count;
        ring.next[i] = (i + 1) % count;
    }
    status = clip_ears(&ring, count, triangles, fault);

done:
    tb_free(ring.next);
    tb_free(ring.prev);
    return status;
}

/* ---- convex pieces ---- */

static double
turn(const TbVec2 p[], size_t a, size_t b, size_t c)
{
    return tb_vec2_cross(tb_vec2_sub(p[b], p[a]), tb_vec2_sub(p[c], p[a]));
}

/** Joins two triangles over a shared side into four corners, where that is convex. */
static bool
join(const TbVec2 p[], const TbCorners *a, const TbCorners *b, TbCorners *joined)
{
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            size_t from = a->corner[i];
            size_t to = a->corner[(i + 1) % 3];
            size_t far_a = a->corner[(i + 2) % 3];
            size_t far_b = b->corner[(j + 2) % 3];

            if (b->corner[j] != to || b->corner[(j + 1) % 3] != from)
                continue;
            if (turn(p, far_a, from, far_b) < 0 || turn(p, far_b, to, far_a) < 0)
                return false;
            *joined = (TbCorners){{from, far_b, to, far_a}, 4};
            return true;
        }
    return false;
}

/** Takes triangles from the front, and a later one with each where the two are convex. */
static size_t
join_pairs(const TbVec2 p[], TbCorners pieces[], size_t count)
{
    size_t kept = 0;

    for (size_t i = 0; i < count; i++) {
        TbCorners piece = pieces[i];

        if (piece.count == 0)
            continue;
        for (size_t j = i + 1; j < count && piece.count == 3; j++)
            if (pieces[j].count == 3 && join(p, &pieces[i], &pieces[j], &piece))
                pieces[j].count = 0;
        pieces[kept++] = piece;
    }
    return kept;
}

TbStatus
tb_polygon_split(const TbVec2 p[], size_t count, TbCorners pieces[], size_t *used, TbFault *fault)
{
    size_t *triangles = count >= 3 ? tb_alloc_array(3 * (count - 2), sizeof *triangles) : NULL;
    TbStatus status;
    size_t made = 0;

    if (count >= 3 && triangles == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a polygon of %zu points", count);
    status = tb_polygon_triangulate(p, count, triangles, fault);
    if (status == TB_OK) {
        for (size_t i = 0; i + 2 < count; i++) {
            const size_t *t = triangles + 3 * i;

            pieces[made++] = (TbCorners){{t[0], t[1], t[2], 0}, 3};
        }
        *used = join_pairs(p, pieces, made);
    }
    tb_free(triangles);
    return status;
}

/* ---- hulls ---- */

static int
compare_points(const void *one, const void *other)
{
    const TbVec2 *a = one;
    const TbVec2 *b = other;

    if (a->x != b->x)
        return a->x < b->x ? -1 : 1;
    return a->y < b->y ? -1 : a->y > b->y;
}

/** Sorted, each place once. @return how many are left */
static size_t
sort_places(TbVec2 p[], size_t count)
{
    size_t kept = 0;

    if (count > 0)
        qsort(p, count, sizeof *p, compare_points);
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || compare_points(&p[i], &p[kept - 1]) != 0)
            p[kept++] = p[i];
    return kept;
}

static bool
turns_left(TbVec2 a, TbVec2 b, TbVec2 c)
{
    return tb_vec2_cross(tb_vec2_sub(b, a), tb_vec2_sub(c, a)) > 0;
}

/*
 * Two monotone chains, below and above. Source: A. M. Andrew, "Another efficient algorithm for
 * convex hulls in two dimensions", Inf. Process. Lett. 9(5), 1979,
 * doi 10.1016/0020-0190(79)90072-3. Of points in a row but for rounding, both chains may keep the
 * same ones: hence the room for each of them twice.
 */
size_t
tb_polygon_hull(TbVec2 p[], size_t count, TbVec2 hull[])
{
    size_t held = 0;

    count = sort_places(p, count);
    if (count < 2) {
        memcpy(hull, p, count * sizeof *p);
        return count;
    }
    for (int side = 0; side < 2; side++) {
        size_t start = held;

        for (size_t i = 0; i < count; i++) {
            TbVec2 next = p[side == 0 ? i : count - 1 - i];

            while (held >= start + 2 && !turns_left(hull[held - 2], hull[held - 1], next))
                held--;
            hull[held++] = next;
        }
        held--; /* the chain's last point begins the other one */
    }
    return held;
}

/* ---- nesting ---- */

/** The two leftmost crossings of a level with a loop; false when there are not two apart. */
static bool
leftmost_crossings(const TbVec2 p[], size_t count, double y, double *x0, double *x1)
{
    *x0 = INFINITY;
    *x1 = INFINITY;
    for (size_t i = 0; i < count; i++) {
        TbVec2 a = p[i];
        TbVec2 b = p[i + 1 < count ? i + 1 : 0];
        double x;

        if ((a.y > y) == (b.y > y))
            continue;
        x = a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x);
        if (x < *x0) {
            *x1 = *x0;
            *x0 = x;
        } else if (x < *x1) {
            *x1 = x;
        }
    }
    return isfinite(*x1) && (*x0 < *x1);
}

/** A point well inside a simple loop: the middle of the widest of a few leftmost chords. */
static TbVec2
inner_point(const TbVec2 p[], size_t count)
{
    double low = INFINITY;
    double high = -INFINITY;
    double width = 0;
    TbVec2 best = p[0];

    for (size_t i = 0; i < count; i++) {
        low = fmin(low, p[i].y);
        high = fmax(high, p[i].y);
    }
    for (int k = 0; k < 4; k++) {
        /* odd shares, so that levels seldom run through points */
        double y = low + (high - low) * (0.17320508 + 0.21213203 * k);
        double x0;
        double x1;

        if (leftmost_crossings(p, count, y, &x0, &x1) && x1 - x0 > width) {
            width = x1 - x0;
            best = tb_vec2((x0 + x1) / 2, y);
        }
    }
    return best;
}

void
tb_polygon_nest(const TbVec2 p[], const TbLoopSpan loops[], size_t count, int depth[])
{
    for (size_t i = 0; i < count; i++) {
        double area = fabs(tb_polygon_area(p + loops[i].first, loops[i].count));
        TbVec2 q = inner_point(p + loops[i].first, loops[i].count);

        depth[i] = 0;
        for (size_t j = 0; j < count; j++) {
            const TbVec2 *other = p + loops[j].first;

            /* loops do not cross, so only a larger one can be around; its area is asked last */
            if (j == i || !tb_polygon_holds(other, loops[j].count, q))
                continue;
            if (fabs(tb_polygon_area(other, loops[j].count)) > area)
                depth[i]++;
        }
    }
}
