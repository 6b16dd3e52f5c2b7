/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/convex.h"

#include "geom/bound.h"
#include "geom/carried.h"
#include "geom/tol.h"

#include <float.h>

/* Numbers of the parts in TbSupport.part: discs from 0, circles from 4, points from 8. */
enum { PART_CIRCLE = 4, PART_POINT = 8 };

TbConvex
tb_convex_of_point(TbVec3 p)
{
    TbConvex body = {.points = 1};

    body.point[0] = p;
    return body;
}

TbConvex
tb_convex_of_triangle(const TbVec3 t[3])
{
    TbConvex body = {.points = 3};

    for (int i = 0; i < 3; i++)
        body.point[i] = t[i];
    return body;
}

TbConvex
tb_convex_of_box(TbBox3 box)
{
    TbConvex body = {.points = 8};

    for (int i = 0; i < 8; i++)
        body.point[i] = tb_vec3(i & 1 ? box.high.x : box.low.x, i & 2 ? box.high.y : box.low.y,
                                i & 4 ? box.high.z : box.low.z);
    return body;
}

TbConvex
tb_convex_of_block(const TbBlock *block)
{
    TbConvex body = {.points = 8};

    for (int i = 0; i < 8; i++) {
        TbVec3 p = block->centre;

        for (int k = 0; k < 3; k++)
            p = tb_vec3_add_scaled(p, (i >> k & 1) != 0 ? block->half[k] : -block->half[k],
                                   block->axis[k]);
        body.point[i] = p;
    }
    return body;
}

TbConvex
tb_convex_of_rod(const TbRod *rod)
{
    TbConvex body = {.circles = 2};
    TbVec3 axis = tb_vec3_unit(tb_vec3_sub(rod->b, rod->a));

    body.circle[0] = (TbCircle){rod->a, axis, rod->radius_a};
    body.circle[1] = (TbCircle){rod->b, axis, rod->radius_b};
    return body;
}

TbConvex
tb_convex_of_ball(const TbBall *ball)
{
    TbConvex body = tb_convex_of_point(ball->centre);

    body.radius = ball->radius;
    return body;
}

TbConvex
tb_convex_of_disc(const TbDisc *disc, bool outer)
{
    TbConvex body = {.discs = 1, .outer = outer};

    body.disc[0] = disc;
    return body;
}

/**
 * A filled circle reaches centre . d plus the radius times what of d lies in its plane. Of a d
 * along the axis only rounding is left across, which may point anywhere, out of the plane too: made
 * unit and square once more it is either a true direction of the plane or nothing.
 */
static double
circle_support(const TbCircle *circle, TbVec3 d, TbVec3 *contact)
{
    TbVec3 across = tb_vec3_across(d, circle->axis);
    double length = tb_vec3_length(across);
    TbVec3 way = tb_vec3_across(tb_vec3_unit(across), circle->axis);
    double whole = tb_vec3_length(way);

    /* d along the axis: every point of the circle reaches as far, the centre too */
    *contact = whole > 0.5 ? tb_vec3_add_scaled(circle->centre, circle->radius / whole, way)
                           : circle->centre;
    return tb_vec3_dot(circle->centre, d) + circle->radius * length;
}

/** Differences of two strips: a corner of the polygon mixes the ends of both. */
static __attribute__((noinline)) TbSupport
stagger_support(const TbStagger *stagger, TbVec3 d)
{
    const TbStrip *a = stagger->a, *b = stagger->b;
    TbSupport best = {-INFINITY, 0, {0, 0, 0}, 0};
    TbVec3 back = tb_vec3_neg(d), pa0, pa1, pb0, pb1;
    double a0 = tb_disc_support(&a->disc0, d, true, &pa0);
    double a1 = tb_disc_support(&a->disc1, d, true, &pa1);
    double b0 = tb_disc_support(&b->disc0, back, true, &pb0);
    double b1 = tb_disc_support(&b->disc1, back, true, &pb1);

    for (int i = 0; i < stagger->count; i++) {
        double k = stagger->share_a[i], l = stagger->share_b[i];
        double reach = a0 + k * (a1 - a0) + b0 + l * (b1 - b0);

        if (reach > best.reach)
            best = (TbSupport){reach, 0,
                               tb_vec3_sub(tb_vec3_mix(pa0, pa1, k), tb_vec3_mix(pb0, pb1, l)), i};
    }
    best.beyond = a->bound.eighth * tb_strip_stray_along(&a->bound, d) +
                  b->bound.eighth * tb_strip_stray_along(&b->bound, back);
    return best;
}

/** Support of the hull alone, without the ball. */
static TbSupport
core_support(const TbConvex *body, TbVec3 d)
{
    TbSupport best = {-INFINITY, 0, {0, 0, 0}, 0};
    double ends[2] = {0, 0};
    TbVec3 contact;

    if (body->stagger != NULL)
        return stagger_support(body->stagger, d);
    if (body->carried != NULL)
        return tb_carried_support(body->carried, d);
    for (int i = 0; i < body->discs; i++) {
        double reach = tb_disc_support(body->disc[i], d, body->outer, &contact);

        if (i < 2)
            ends[i] = reach;
        if (reach > best.reach)
            best = (TbSupport){reach, 0, contact, i};
    }
    for (int i = 0; i < body->circles; i++) {
        double reach = circle_support(&body->circle[i], d, &contact);

        if (reach > best.reach)
            best = (TbSupport){reach, 0, contact, PART_CIRCLE + i};
    }
    for (int i = 0; i < body->points; i++) {
        double reach = tb_vec3_dot(body->point[i], d);

        if (reach > best.reach)
            best = (TbSupport){reach, 0, body->point[i], PART_POINT + i};
    }
    if (body->bound != NULL)
        best.beyond = tb_strip_beyond(body->bound, d, ends[0], ends[1]);
    return best;
}

TbSupport
tb_convex_support(const TbConvex *body, TbVec3 d)
{
    TbSupport support = core_support(body, d);

    support.reach += body->radius;
    support.point = tb_vec3_add_scaled(support.point, body->radius, d);
    return support;
}

TbBox3
tb_convex_box(const TbConvex *body)
{
    static const TbVec3 axis[3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    double low[3], high[3];

    for (int k = 0; k < 3; k++) {
        TbSupport up = tb_convex_support(body, axis[k]);
        TbSupport down = tb_convex_support(body, tb_vec3_neg(axis[k]));

        high[k] = up.reach + up.beyond + TB_TOL_ROUND;
        low[k] = -(down.reach + down.beyond) - TB_TOL_ROUND;
    }
    return (TbBox3){{low[0], low[1], low[2]}, {high[0], high[1], high[2]}};
}

TbVec3
tb_convex_centre(const TbConvex *body)
{
    TbVec3 sum = {0, 0, 0};

    if (body->stagger != NULL)
        return tb_vec3_sub(body->stagger->a->disc0.centre, body->stagger->b->disc1.centre);
    if (body->carried != NULL)
        return tb_pose_point(body->carried->pose[0], tb_convex_centre(body->carried->body));
    for (int i = 0; i < body->discs; i++)
        sum = tb_vec3_add(sum, body->disc[i]->centre);
    for (int i = 0; i < body->circles; i++)
        sum = tb_vec3_add(sum, body->circle[i].centre);
    for (int i = 0; i < body->points; i++)
        sum = tb_vec3_add(sum, body->point[i]);
    return tb_vec3_scale(sum, 1.0 / (body->discs + body->circles + body->points));
}

/* ---- the nearest point of a simplex to the origin ---- */

/** A corner of the simplex: a point of the difference a - b, and where it came from. */
typedef struct Corner {
    TbVec3 difference, a, b;
    int part_a, part_b;
} Corner;

typedef struct Simplex {
    Corner corner[4];
    double share[4]; /**< of the nearest point; above 0, sum 1 */
    int count;
} Simplex;

/** The part of a simplex that holds its nearest point: which corners, and their shares. */
typedef struct Nearest {
    TbVec3 point;
    double share[4];
    int corner[4], count;
} Nearest;

static inline Nearest
nearest_of_point(const Corner *c, int a)
{
    return (Nearest){.point = c[a].difference, .share = {1}, .corner = {a}, .count = 1};
}

/** Shares of the nearest point of an edge; an end where the other's is 0. */
static inline Nearest
nearest_of_segment(const Corner *c, int a, int b)
{
    TbVec3 edge = tb_vec3_sub(c[b].difference, c[a].difference);
    double square = tb_vec3_length2(edge);
    double along = square > 0 ? -tb_vec3_dot(c[a].difference, edge) / square : 0;
    TbVec3 p;

    if (along <= 0)
        return nearest_of_point(c, a);
    if (along >= 1)
        return nearest_of_point(c, b);
    p = tb_vec3_add_scaled(tb_vec3_scale(c[a].difference, 1 - along), along, c[b].difference);
    return (Nearest){.point = p, .share = {1 - along, along}, .corner = {a, b}, .count = 2};
}

static Nearest
nearest_of_triangle(const Corner *c, int ia, int ib, int ic)
{
    TbVec3 a = c[ia].difference, b = c[ib].difference, third = c[ic].difference;
    TbVec3 ab = tb_vec3_sub(b, a), ac = tb_vec3_sub(third, a), ao = tb_vec3_neg(a);
    TbVec3 n = tb_vec3_cross(ab, ac);
    double square = tb_vec3_length2(n);
    const int edge[3][2] = {{ia, ib}, {ib, ic}, {ic, ia}};
    Nearest best;
    double least;

    if (square > 0) {
        double u = tb_vec3_dot(tb_vec3_cross(ao, ac), n) / square;
        double v = tb_vec3_dot(tb_vec3_cross(ab, ao), n) / square;

        if (u > 0 && v > 0 && u + v < 1) {
            TbVec3 p = tb_vec3_add_scaled(tb_vec3_scale(a, 1 - u - v), u, b);

            return (Nearest){.point = tb_vec3_add_scaled(p, v, third),
                             .share = {1 - u - v, u, v},
                             .corner = {ia, ib, ic},
                             .count = 3};
        }
    }
    best = nearest_of_segment(c, ia, ib);
    least = tb_vec3_length2(best.point);
    for (int i = 1; i < 3; i++) {
        Nearest s = nearest_of_segment(c, edge[i][0], edge[i][1]);
        double d = tb_vec3_length2(s.point);

        if (d < least) {
            least = d;
            best = s;
        }
    }
    return best;
}

/** Shares of the origin in a tetrahedron that holds it: volumes over the opposite faces. */
static Nearest
origin_inside(const Corner corner[4])
{
    Nearest s = {.share = {0.25, 0.25, 0.25, 0.25}, .corner = {0, 1, 2, 3}, .count = 4};
    double volume[4], sum = 0;

    for (int i = 0; i < 4; i++) {
        TbVec3 p = corner[(i + 1) & 3].difference;
        TbVec3 q = corner[(i + 2) & 3].difference;
        TbVec3 r = corner[(i + 3) & 3].difference;

        volume[i] = fabs(tb_vec3_dot(p, tb_vec3_cross(q, r)));
        sum += volume[i];
    }
    for (int i = 0; i < 4 && sum > 0; i++)
        s.share[i] = volume[i] / sum;
    return s;
}

/**
 * @param apart a separating direction is known: the origin is outside, whatever the rounding of a
 *              flat tetrahedron says
 * @param[out] inside the origin lies in the tetrahedron
 */
static Nearest
nearest_of_tetrahedron(const Corner corner[4], bool apart, bool *inside)
{
    static const int face[4][4] = {{0, 1, 2, 3}, {0, 1, 3, 2}, {0, 2, 3, 1}, {1, 2, 3, 0}};
    Nearest best = nearest_of_point(corner, 0);
    double least = INFINITY;

    *inside = true;
    for (int f = 0; f < 4; f++) {
        const Corner *a = &corner[face[f][0]];
        const Corner *b = &corner[face[f][1]];
        const Corner *c = &corner[face[f][2]];
        TbVec3 n = tb_vec3_cross(tb_vec3_sub(b->difference, a->difference),
                                 tb_vec3_sub(c->difference, a->difference));
        double origin = -tb_vec3_dot(a->difference, n);
        double fourth = tb_vec3_dot(tb_vec3_sub(corner[face[f][3]].difference, a->difference), n);
        Nearest s;
        double d;

        if (!apart && origin * fourth > 0)
            continue; /* the face does not look at the origin */
        *inside = false;
        s = nearest_of_triangle(corner, face[f][0], face[f][1], face[f][2]);
        d = tb_vec3_length2(s.point);
        if (d < least) {
            least = d;
            best = s;
        }
    }
    return *inside ? origin_inside(corner) : best;
}

static Nearest
nearest_of_corners(const Corner *c, int count, bool apart, bool *inside)
{
    *inside = false;
    if (count == 1)
        return nearest_of_point(c, 0);
    if (count == 2)
        return nearest_of_segment(c, 0, 1);
    if (count == 3)
        return nearest_of_triangle(c, 0, 1, 2);
    return nearest_of_tetrahedron(c, apart, inside);
}

/** Keep what holds the nearest point, in its order. */
static void
keep(Simplex *s, const Nearest *nearest)
{
    Corner moved[4];

    for (int i = 0; i < nearest->count; i++)
        if (nearest->corner[i] != i)
            moved[i] = s->corner[nearest->corner[i]];
    for (int i = 0; i < nearest->count; i++) {
        if (nearest->corner[i] != i)
            s->corner[i] = moved[i];
        s->share[i] = nearest->share[i];
    }
    s->count = nearest->count;
}

/* ---- the iteration ---- */

/** Rounds at most; smooth bodies take 5 to 15, a stall shows within 30. */
#define MOST_ROUNDS 64

/** mm^2. Two corners nearer than 1e-13 mm are one: no further progress. */
#define SAME_CORNER 1e-26

/** mm. Hulls nearer than this meet: a thousandth of TB_TOL_ROUND. */
#define MEETING 1e-12

static bool
holds_corner(const Simplex *s, const Corner *c)
{
    for (int i = 0; i < s->count; i++) {
        if (tb_vec3_length2(tb_vec3_sub(s->corner[i].difference, c->difference)) < SAME_CORNER)
            return true;
    }
    return false;
}

/** Points and shares from the final simplex; the balls move the points along the direction. */
static void
finish(TbSeparation *r, const Simplex *s, double radius_a, double radius_b, double core)
{
    TbVec3 a = {0, 0, 0};
    TbVec3 b = {0, 0, 0};

    for (int i = 0; i < s->count; i++) {
        const Corner *c = &s->corner[i];

        a = tb_vec3_add_scaled(a, s->share[i], c->a);
        b = tb_vec3_add_scaled(b, s->share[i], c->b);
        r->share_a[c->part_a % TB_CARRIED_SECOND] += s->share[i];
        r->share_b[c->part_b % TB_CARRIED_SECOND] += s->share[i];
        r->second_a += c->part_a < TB_CARRIED_SECOND ? 0 : s->share[i];
        r->second_b += c->part_b < TB_CARRIED_SECOND ? 0 : s->share[i];
    }
    r->distance = fmax(0, core - radius_a - radius_b);
    r->point_a = a;
    r->point_b = b;
    if (radius_a + radius_b > 0) {
        TbVec3 d = core > MEETING ? tb_vec3_unit(tb_vec3_sub(a, b)) : r->direction;

        r->point_a = tb_vec3_add_scaled(a, -radius_a, d);
        r->point_b = tb_vec3_add_scaled(b, radius_b, d);
    }
}

TbSeparation
tb_convex_separation(
    const TbConvex *a, const TbConvex *b, TbVec3 start, double enough, double width)
{
    TbSeparation r = {.lower = -INFINITY, .hull = -INFINITY};
    Simplex s;
    double radii = a->radius + b->radius;
    double core = INFINITY;
    TbVec3 v = start;
    double length = tb_vec3_length(v);

    s.count = 0;
    if (!(length > 0)) {
        v = tb_vec3_sub(tb_convex_centre(a), tb_convex_centre(b));
        length = tb_vec3_length(v);
    }
    if (!(length > 0)) {
        v = tb_vec3(1, 0, 0);
        length = 1;
    }
    while (r.rounds < MOST_ROUNDS) {
        TbVec3 d = tb_vec3_scale(v, 1 / length);
        TbSupport on_a = core_support(a, tb_vec3_neg(d));
        TbSupport on_b = core_support(b, d);
        double hull = -on_a.reach - on_b.reach - radii;
        double lower = hull - on_a.beyond - on_b.beyond;
        Corner corner = {tb_vec3_sub(on_a.point, on_b.point), on_a.point, on_b.point, on_a.part,
                         on_b.part};
        Nearest next;
        bool inside;

        r.rounds++;
        if (lower > r.lower) {
            r.lower = lower;
            r.direction = d;
        }
        if (hull > r.hull)
            r.hull = hull;
        if (s.count == 0 && r.lower >= enough) {
            s = (Simplex){{corner}, {1}, 1};
            core = tb_vec3_length(corner.difference);
            break;
        }
        if (s.count > 0 && (r.lower >= enough || core - radii - r.hull <= width))
            break;
        if (holds_corner(&s, &corner))
            break;
        s.corner[s.count] = corner;
        next = nearest_of_corners(s.corner, s.count + 1, r.hull + radii > MEETING, &inside);
        if (inside) {
            keep(&s, &next);
            core = 0;
            break;
        }
        length = tb_vec3_length(next.point);
        if (s.count > 0 && !(length < core * (1 - DBL_EPSILON)))
            break; /* no more progress in doubles */
        v = next.point;
        keep(&s, &next);
        core = length;
        if (core < MEETING)
            break;
    }
    finish(&r, &s, a->radius, b->radius, core);
    return r;
}
