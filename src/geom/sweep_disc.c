/* SPDX-License-Identifier: GPL-3.0-or-later */

/* One station of a sweep: its place, its frame, its filled section. */

#include "geom/curve_private.h"
#include "geom/sweep_private.h"

double
tb_piece__station(const TbPiece *piece, double u)
{
    if (u >= piece->extent)
        return piece->station0 + piece->length;
    if (u <= 0)
        return piece->station0;
    return piece->station0 +
           fmin(piece->length, tb_span__gauss(piece->span, piece->u0, piece->u0 + u));
}

TbFrame
tb_piece__frame(const TbPiece *piece, TbVec3 tangent, double u)
{
    TbFrame frame = tb_frame_swing(piece->node, tangent);
    double theta = u * u * (piece->theta[2] + u * piece->theta[3]);

    return theta != 0 ? tb_frame_turned(frame, theta) : frame;
}

double
tb_drift_share(const TbDrift *drift, double station)
{
    double share = fmin(1, fmax(0, station / drift->length));

    return share * share * (3 - 2 * share);
}

TbVec3
tb_piece__drifted(const TbPiece *piece, TbVec3 p, double station)
{
    double w;

    if (piece->drift == NULL)
        return p;
    w = tb_drift_share(piece->drift, station);
    p = tb_vec3_add_scaled(p, 1 - w, piece->drift->start);
    return tb_vec3_add_scaled(p, w, piece->drift->end);
}

TbDisc
tb_piece__disc_at(const TbPiece *piece, double u, double station)
{
    TbSpanJet jet = tb_span_jet(piece->span, piece->u0 + u);
    TbFrame turned;
    TbDisc disc;

    disc.centre = tb_piece__drifted(piece, jet.c, station);
    disc.frame = tb_piece__frame(piece, tb_vec3_unit(jet.c1), u);
    disc.station = station;
    disc.slice = tb_law_in_span(piece->law, station);
    turned = disc.slice.turn != 0 ? tb_frame_turned(disc.frame, disc.slice.turn) : disc.frame;
    disc.w = turned.w;
    disc.h = turned.h;
    return disc;
}

TbDisc
tb_piece_disc(const TbPiece *piece, double u)
{
    return tb_piece__disc_at(piece, u, tb_piece__station(piece, u));
}

/**
 * Where the arc length is reached if u were the cubic of it that has the piece's speeds at both
 * ends. A piece turns little, so this is near.
 */
static double
guess_u(const TbPiece *piece, double arc)
{
    double x = arc / piece->length, start = piece->ease[0], end = piece->ease[1];

    return piece->extent * x * (start + x * (3 - 2 * start - end + x * (start + end - 2)));
}

/**
 * Of a piece's extent h. Halley's step d leaves at most (|s'''| / 6 s' + (s'' / 2 s')^2) |d|^3;
 * sweep_cut.c keeps h |C''| below |C'| in the middle, so |C'| is nowhere below half of that, and
 * C''', which takes C'' from end to end, below 2 / h^2 of it. All told the bracket is below 5 /
 * h^2: after a step below this share of h the rest is below 5e-15 h.
 */
#define LAST_STEP 1e-5

double
tb_piece_u(const TbPiece *piece, double station)
{
    double arc = station - piece->station0, low = 0, high = piece->extent, u;

    if (arc <= 0)
        return 0;
    if (arc >= piece->length)
        return piece->extent;
    if (tb_span__is_even(piece->span))
        return arc;
    u = guess_u(piece, arc);
    if (!(u > low && u < high))
        u = piece->extent * (arc / piece->length);
    for (int i = 0; i < 60; i++) {
        TbSpanJet jet = tb_span_jet(piece->span, piece->u0 + u);
        double speed2 = tb_vec3_length2(jet.c1), lean = tb_vec3_dot(jet.c1, jet.c2) / speed2;
        double miss = tb_span__gauss(piece->span, piece->u0, piece->u0 + u) - arc;
        double newton = miss / sqrt(speed2);
        double next = u - newton / (1 - 0.5 * newton * lean);

        if (fabs(next - u) <= LAST_STEP * piece->extent)
            return fmin(fmax(next, 0), piece->extent);
        if (miss > 0)
            high = u;
        else
            low = u;
        u = next > low && next < high ? next : 0.5 * (low + high);
    }
    return u;
}

/** From the section's own axes into space. */
static TbVec3
in_space(const TbDisc *disc, TbVec2 p)
{
    return tb_vec3_add_scaled(tb_vec3_add_scaled(disc->centre, p.x, disc->w), p.y, disc->h);
}

double
tb_disc_support(const TbDisc *disc, TbVec3 d, bool outer, TbVec3 *contact)
{
    TbVec2 flat = {tb_vec3_dot(d, disc->w), tb_vec3_dot(d, disc->h)}, point;
    double reach = tb_slice_support_turned(&disc->slice, flat, outer, &point);

    *contact = in_space(disc, point);
    return tb_vec3_dot(d, disc->centre) + reach;
}

double
tb_disc_furthest(const TbDisc *disc, TbVec3 d, bool outer)
{
    TbVec2 flat = {tb_vec3_dot(d, disc->w), tb_vec3_dot(d, disc->h)};

    return tb_vec3_dot(d, disc->centre) + tb_slice_furthest_turned(&disc->slice, flat, outer);
}

TbVec3
tb_disc_point(const TbDisc *disc, double angle, bool outer, TbVec3 *normal)
{
    double own = angle - disc->slice.turn;
    TbVec2 d = {sin(own), cos(own)}, point;

    tb_slice_support_turned(&disc->slice, d, outer, &point);
    if (normal != NULL)
        *normal = tb_vec3_add_scaled(tb_vec3_scale(disc->w, d.x), d.y, disc->h);
    return in_space(disc, point);
}

double
tb_disc_angle(const TbDisc *disc, TbVec3 p)
{
    TbVec3 way = tb_vec3_sub(p, disc->centre);

    return atan2(tb_vec3_dot(way, disc->frame.w), tb_vec3_dot(way, disc->frame.h));
}
