/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/disc_near.h"

#include "geom/tol.h"

/** Supports of the section at most. Outlines take two or three; what lies before the section's
 * face, where no point of its outline is the nearest, shows by taking more. */
#define MOST_SUPPORTS 6

/** mm. What comes nearer meets, or nearly, and is left to GJK. */
#define MEETING 1e-3

/** Cosine. Edges of a block that lean by less count as square. The lower end takes them as they
 * are; the nearest point, taken edge by edge, is a point of the block all the same. */
#define SQUARE 1e-12

/** Of a coordinate. What a pose's rounding leaves of corners and axes, some 40 steps of a double:
 * at TB_LIMIT_COORDINATE well below TB_TOL_ROUND, which every lower end spares. */
#define ROUNDED 1e-14

/** Part numbers of a body's points in TbSeparation.share_b. */
enum { FIRST_POINT = 8, SECOND_POINT = 9 };

typedef enum Kind { POINT, SEGMENT, BLOCK, ROD, OTHER } Kind;

/** A body as a point sees it: from `at` along up to three edges, or along an axis. */
typedef struct Body {
    Kind kind;
    TbVec3 at;
    TbVec3 edge[3];     /**< of a block and of two points, whole; of a rod its unit axis */
    double inverse[3];  /**< one over the squares of their lengths */
    double length;      /**< of a rod */
    double radius[2];   /**< of its ends */
    double taper_share; /**< one over the square of its flank's length */
} Body;

/** A point of the section and the nearest of the body to it. */
typedef struct Near {
    TbVec3 on_disc, on_body;
    double distance;
    double share; /**< along two points */
} Near;

/* ---- bodies ---- */

static bool
is_corner(const TbConvex *body, int number)
{
    TbVec3 p = body->point[0];

    for (int k = 0; k < 3; k++)
        if ((number >> k & 1) != 0)
            p = tb_vec3_add(p, tb_vec3_sub(body->point[1 << k], body->point[0]));
    return tb_vec3_distance(p, body->point[number]) <=
           ROUNDED * (tb_vec3_length(p) + tb_vec3_distance(body->point[0], body->point[7]));
}

static Kind
see_block(const TbConvex *convex, Body *body)
{
    double length2[3];

    body->at = convex->point[0];
    for (int k = 0; k < 3; k++) {
        body->edge[k] = tb_vec3_sub(convex->point[1 << k], body->at);
        length2[k] = tb_vec3_length2(body->edge[k]);
        if (!(length2[k] > 0))
            return OTHER;
        body->inverse[k] = 1 / length2[k];
    }
    for (int k = 0; k < 3; k++) {
        double lean = tb_vec3_dot(body->edge[k], body->edge[(k + 1) % 3]);

        if (lean * lean > SQUARE * SQUARE * length2[k] * length2[(k + 1) % 3])
            return OTHER;
    }
    for (int i = 3; i < 8; i++)
        if (i != 4 && !is_corner(convex, i))
            return OTHER;
    return BLOCK;
}

static Kind
see_rod(const TbConvex *convex, Body *body)
{
    const TbCircle *c = convex->circle;
    TbVec3 way = tb_vec3_sub(c[1].centre, c[0].centre);
    double taper = c[1].radius - c[0].radius;

    body->at = c[0].centre;
    body->edge[0] = c[0].axis;
    body->length = tb_vec3_dot(way, c[0].axis);
    body->radius[0] = c[0].radius;
    body->radius[1] = c[1].radius;
    if (!(body->length > 0) || tb_vec3_distance(c[0].axis, c[1].axis) > 0 ||
        tb_vec3_length(tb_vec3_across(way, c[0].axis)) >
            ROUNDED * (tb_vec3_length(body->at) + body->length))
        return OTHER;
    body->taper_share = 1 / (body->length * body->length + taper * taper);
    return ROD;
}

static Kind
see_points(const TbConvex *convex, Body *body)
{
    double length2;

    body->at = convex->point[0];
    if (convex->points == 1)
        return POINT;
    body->edge[0] = tb_vec3_sub(convex->point[1], convex->point[0]);
    length2 = tb_vec3_length2(body->edge[0]);
    if (!(length2 > 0))
        return OTHER;
    body->inverse[0] = 1 / length2;
    return SEGMENT;
}

static Body
see(const TbConvex *convex)
{
    Body body;
    bool plain = convex->discs == 0 && convex->bound == NULL && convex->stagger == NULL &&
                 convex->carried == NULL;

    body.kind = OTHER;
    if (plain && convex->circles == 0 && (convex->points == 1 || convex->points == 2))
        body.kind = see_points(convex, &body);
    else if (plain && convex->circles == 0 && convex->points == 8)
        body.kind = see_block(convex, &body);
    else if (plain && convex->circles == 2 && convex->points == 0)
        body.kind = see_rod(convex, &body);
    return body;
}

/* ---- reach ---- */

/** What the body, without its ball, reaches along a unit direction. */
static double
reach_of(const Body *body, TbVec3 d)
{
    double reach = tb_vec3_dot(body->at, d);
    double first, second, along, across;

    switch (body->kind) {
    case BLOCK:
        for (int k = 0; k < 3; k++)
            reach += fmax(0, tb_vec3_dot(body->edge[k], d));
        return reach;
    case SEGMENT:
        return reach + fmax(0, tb_vec3_dot(body->edge[0], d));
    case ROD:
        along = tb_vec3_dot(body->edge[0], d);
        across = tb_vec3_length(tb_vec3_across(d, body->edge[0]));
        first = body->radius[0] * across;
        second = body->radius[1] * across + body->length * along;
        return reach + fmax(first, second);
    case POINT:
    case OTHER:
        break;
    }
    return reach;
}

/* ---- the nearest point of a body ---- */

static double
within(double share)
{
    return share > 1 ? 1 : share > 0 ? share : 0;
}

/** Of a rod: in the half plane of the point and the axis it is a trapezium, whose ends are square
 * to the axis. Inside it, nothing. */
static bool
nearest_on_rod(const Body *body, TbVec3 p, TbVec3 *q)
{
    TbVec3 way = tb_vec3_sub(p, body->at);
    double along = tb_vec3_dot(way, body->edge[0]);
    TbVec3 across = tb_vec3_add_scaled(way, -along, body->edge[0]);
    double r = tb_vec3_length(across), first = body->radius[0];
    double taper = body->radius[1] - first, length = body->length, share;

    if (along <= 0 && r <= first) {
        *q = tb_vec3_add(body->at, across);
        return true;
    }
    if (along >= length && r <= body->radius[1]) {
        *q = tb_vec3_add(tb_vec3_add_scaled(body->at, length, body->edge[0]), across);
        return true;
    }
    if (along >= 0 && along <= length && r * length <= first * length + taper * along)
        return false;
    share = within((along * length + (r - first) * taper) * body->taper_share);
    *q = tb_vec3_add_scaled(body->at, share * length, body->edge[0]);
    *q = tb_vec3_add_scaled(*q, (first + share * taper) / r, across);
    return true;
}

/** @return false where the point lies inside */
static bool
nearest_on(const Body *body, TbVec3 p, Near *near)
{
    int edges = body->kind == BLOCK ? 3 : body->kind == SEGMENT ? 1 : 0;
    TbVec3 way = tb_vec3_sub(p, body->at);

    near->on_disc = p;
    near->on_body = body->at;
    if (body->kind == ROD && !nearest_on_rod(body, p, &near->on_body))
        return false;
    for (int k = 0; k < edges; k++) {
        near->share = within(tb_vec3_dot(way, body->edge[k]) * body->inverse[k]);
        near->on_body = tb_vec3_add_scaled(near->on_body, near->share, body->edge[k]);
    }
    near->distance = tb_vec3_distance(p, near->on_body);
    return true;
}

/* ---- along the outline ---- */

/** What is known so far. */
typedef struct Seek {
    const TbDisc *disc;
    Body body;
    double radius; /**< of the body's ball */
    Near best;     /**< the nearest so far */
    Near end[2];   /**< of the chord that the nearest lies over */
    int ends;
} Seek;

static bool
take(Seek *seek, TbVec3 p, Near *near)
{
    if (!nearest_on(&seek->body, p, near) || near->distance - seek->radius < MEETING)
        return false;
    if (near->distance < seek->best.distance)
        seek->best = *near;
    return true;
}

/** How fast the distance grows at a place, along a way. */
static double
growth(const Near *near, TbVec3 way)
{
    return tb_vec3_dot(tb_vec3_sub(near->on_disc, near->on_body), way) / near->distance;
}

/**
 * A new point of the outline. The distance is convex along a chord, so it is least between the two
 * ends that it falls away from; there the next point is where its two slopes, drawn on, meet 0.
 *
 * @return false where the body is met
 */
static bool
take_contact(Seek *seek, TbVec3 contact)
{
    Near fresh, between;

    if (!take(seek, contact, &fresh))
        return false;
    if (seek->ends == 2) {
        TbVec3 chord = tb_vec3_sub(seek->end[1].on_disc, seek->end[0].on_disc);

        seek->end[growth(&fresh, chord) > 0 ? 1 : 0] = fresh;
    } else {
        seek->end[seek->ends++] = fresh;
    }
    if (seek->ends == 2) {
        TbVec3 from = seek->end[0].on_disc, chord = tb_vec3_sub(seek->end[1].on_disc, from);
        double first = growth(&seek->end[0], chord), second = growth(&seek->end[1], chord);

        if (first < 0 && second > 0)
            return take(seek, tb_vec3_add_scaled(from, first / (first - second), chord), &between);
        seek->end[0] = fresh;
        seek->ends = 1;
    }
    return true;
}

static void
finish(const Seek *seek, TbSeparation *found)
{
    TbVec3 way = tb_vec3_sub(seek->best.on_disc, seek->best.on_body);

    found->hull = found->lower;
    found->distance = seek->best.distance - seek->radius;
    found->point_a = seek->best.on_disc;
    found->point_b =
        tb_vec3_add_scaled(seek->best.on_body, seek->radius / seek->best.distance, way);
    if (seek->body.kind == SEGMENT) {
        found->share_b[FIRST_POINT] = 1 - seek->best.share;
        found->share_b[SECOND_POINT] = seek->best.share;
    }
}

bool
tb_disc_near(const TbDisc *disc,
             const TbConvex *body,
             TbVec3 start,
             double enough,
             double width,
             TbSeparation *found)
{
    Seek seek = {.disc = disc, .body = see(body), .radius = body->radius};
    TbVec3 d = tb_vec3_unit(start);

    *found = (TbSeparation){.lower = -INFINITY, .direction = d};
    seek.best.distance = INFINITY;
    if (seek.body.kind == OTHER)
        return false;
    if (!(tb_vec3_length2(d) > 0))
        d = tb_vec3_unit(tb_vec3_sub(disc->centre, tb_convex_centre(body)));
    while (found->rounds++ < MOST_SUPPORTS) {
        TbVec3 contact;
        double lower = -tb_disc_support(disc, tb_vec3_neg(d), true, &contact) -
                       reach_of(&seek.body, d) - seek.radius;

        if (lower > found->lower) {
            found->lower = lower;
            found->direction = d;
        }
        if (!take_contact(&seek, contact))
            return false;
        if (lower >= enough || seek.best.distance - seek.radius - found->lower <= width) {
            finish(&seek, found);
            return true;
        }
        d = tb_vec3_scale(tb_vec3_sub(seek.best.on_disc, seek.best.on_body),
                          1 / seek.best.distance);
    }
    return false;
}
