/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/tube_private.h"

#include "geom/tol.h"

/** Relative. Rounding of the bounds themselves. */
#define SPARE (1 + 1e-9)

/** From the share that two hulls' separation gives two steps reach a thousandth of a millimetre. */
#define NEARER_STEPS 2

static bool
is_circle(const TbShape *shape)
{
    bool circle = shape->exponent == 2;

    for (int i = 0; i < 4 && circle; i++)
        circle = shape->half[i] == 1 && (shape->kind == TB_SECTION_SUPERELLIPSE ||
                                         (shape->corner_w[i] == 1 && shape->corner_h[i] == 1));
    return circle;
}

static bool
is_constant(const double cubic[4])
{
    return cubic[1] == 0 && cubic[2] == 0 && cubic[3] == 0;
}

static bool
is_zero(const double cubic[4])
{
    return is_constant(cubic) && cubic[0] == 0;
}

bool
tb_tube__is_round(const TbPiece *piece)
{
    const TbLawSpan *law = piece->law;
    bool even = is_constant(law->size[0]) && is_constant(law->size[1]);

    even = even && (law->by_size ? law->size[0][0] == law->size[1][0] : law->size[1][0] == 0);
    return even && piece->drift == NULL && is_circle(&law->from) && is_circle(&law->to) &&
           is_constant(law->wall) && is_zero(law->offset_w) && is_zero(law->offset_h);
}

/** What follows from the piece and u0, u1; the ends of the axis are there. */
static void
set_bounds(TbTube *tube, const TbSpanJet *start, const TbSpanJet *end)
{
    double h = tube->u1 - tube->u0;
    double most = fmax(tb_vec3_length(start->c2), tb_vec3_length(end->c2));

    tube->c0 = start->c;
    tube->c1 = end->c;
    tube->bend0 = start->c2;
    tube->bend1 = end->c2;
    tube->eighth = 0.125 * h * h;
    /* a cubic's C'' is linear; an arc's is 1/R all along and turns with it: |C''''| = R^-3 */
    tube->sag = 0;
    if (tube->piece->span->kind == TB_SPAN_ARC) {
        double k = 1 / tube->piece->span->radius;

        most = k;
        tube->sag = tube->eighth * k * k * k;
    }
    tube->stray = tube->eighth * most * SPARE;
}

double
tb_tube__radius(const TbPiece *piece)
{
    TbSlice slice = tb_law_in_span(piece->law, piece->station0);

    return fmax(slice.a, slice.b) + slice.wall;
}

TbTube
tb_tube__of(const TbPiece *piece, double u0, double u1)
{
    TbTube tube = {.piece = piece,
                   .u0 = u0,
                   .u1 = u1,
                   .least = u0,
                   .most = u1,
                   .radius = tb_tube__radius(piece)};
    TbSpanJet start = tb_span_jet(piece->span, piece->u0 + u0);
    TbSpanJet end = tb_span_jet(piece->span, piece->u0 + u1);

    tube.station0 = piece->station0 + piece->length * (u0 / piece->extent);
    tube.station1 = piece->station0 + piece->length * (u1 / piece->extent);
    set_bounds(&tube, &start, &end);
    return tube;
}

void
tb_tube__halves(const TbTube *tube, TbTube half[2])
{
    double u = 0.5 * (tube->u0 + tube->u1);
    double station = 0.5 * (tube->station0 + tube->station1);
    TbSpanJet start = {.c = tube->c0, .c2 = tube->bend0}, end = {.c = tube->c1, .c2 = tube->bend1};
    TbSpanJet middle = tb_span_jet(tube->piece->span, tube->piece->u0 + u);

    half[0] = half[1] = *tube;
    half[0].u1 = half[1].u0 = u;
    half[0].station1 = half[1].station0 = station;
    set_bounds(&half[0], &start, &middle);
    set_bounds(&half[1], &middle, &end);
}

TbConvex
tb_tube__convex(const TbTube *tube)
{
    TbConvex body = {.points = 2, .radius = tube->radius};

    body.point[0] = tube->c0;
    body.point[1] = tube->c1;
    return body;
}

/** As tb_strip_beyond(): the axis reaches (1-k) h0 + k h1 + 4 w k (1-k) at most. */
double
tb_tube__beyond(const TbTube *tube, TbVec3 d)
{
    double difference = fabs(tb_vec3_dot(d, tb_vec3_sub(tube->c1, tube->c0)));
    double least, along;

    /* along the axis: mostly known without the bends */
    if (difference >= 4 * tube->stray)
        return 0;
    least = fmin(tb_vec3_dot(d, tube->bend0), tb_vec3_dot(d, tube->bend1)) - tube->sag;
    along = fmin(4 * tube->stray, fmax(0, -4 * tube->eighth * least * SPARE));
    return difference >= along ? 0 : (along - difference) * (along - difference) / (4 * along);
}

double
tb_tube__reach(const TbTube *tube, TbVec3 d)
{
    double first = tb_vec3_dot(tube->c0, d), second = tb_vec3_dot(tube->c1, d);

    return (first > second ? first : second) + tube->radius + tb_tube__beyond(tube, d);
}

TbBox3
tb_tube__box(const TbTube *tube)
{
    TbBox3 box = tb_box3_with_point(tb_box3_with_point(tb_box3_empty(), tube->c0), tube->c1);

    return tb_box3_grown(box, tube->radius + tube->stray + TB_TOL_ROUND);
}

TbVec3
tb_tube__ball(const TbTube *tube, double *radius)
{
    *radius =
        0.5 * tb_vec3_distance(tube->c0, tube->c1) + tube->radius + tube->stray + TB_TOL_ROUND;
    return tb_vec3_mix(tube->c0, tube->c1, 0.5);
}

/** One of Newton's steps to where the axis is square to the way from p. */
static double
nearer(const TbTube *tube, double u, TbVec3 p)
{
    TbSpanJet jet = tb_span_jet(tube->piece->span, tube->piece->u0 + u);
    TbVec3 way = tb_vec3_sub(jet.c, p);
    double slope = tb_vec3_length2(jet.c1) + tb_vec3_dot(way, jet.c2);

    /* from beyond the axis' centre of bend there is no nearest place this way */
    if (!(slope > 0))
        return u;
    return fmin(tube->piece->extent, fmax(0, u - tb_vec3_dot(way, jet.c1) / slope));
}

TbVec3
tb_tube__point(const TbTube *tube, double share, TbVec3 p)
{
    double u = tube->u0 + fmin(1, fmax(0, share)) * (tube->u1 - tube->u0);
    TbSpanJet jet;
    TbVec3 across;
    double length;

    for (int i = 0; i < NEARER_STEPS; i++)
        u = fmin(tube->most, fmax(tube->least, nearer(tube, u, p)));
    jet = tb_span_jet(tube->piece->span, tube->piece->u0 + u);
    across = tb_vec3_across(tb_vec3_sub(p, jet.c), tb_vec3_unit(jet.c1));
    length = tb_vec3_length(across);
    return tb_vec3_add_scaled(jet.c, length > tube->radius ? tube->radius / length : 1, across);
}
