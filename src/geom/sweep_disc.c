/* SPDX-License-Identifier: GPL-3.0-or-later */

/* One station of a sweep: its place, its frame, its filled section. */

#include "geom/curve_private.h"
#include "geom/sweep_private.h"

#include <float.h>

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

TbDisc
tb_piece_disc(const TbPiece *piece, double u)
{
    TbSpanJet jet = tb_span_jet(piece->span, piece->u0 + u);
    TbFrame turned;
    TbDisc disc;

    disc.centre = jet.c;
    disc.frame = tb_piece__frame(piece, tb_vec3_unit(jet.c1), u);
    disc.station = tb_piece__station(piece, u);
    disc.slice = tb_law_in_span(piece->law, disc.station);
    turned = disc.slice.turn != 0 ? tb_frame_turned(disc.frame, disc.slice.turn) : disc.frame;
    disc.w = turned.w;
    disc.h = turned.h;
    return disc;
}

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
    u = piece->extent * (arc / piece->length);
    for (int i = 0; i < 60; i++) {
        double miss = tb_span__gauss(piece->span, piece->u0, piece->u0 + u) - arc, next;

        if (miss > 0)
            high = u;
        else
            low = u;
        next = u - miss / tb_span__speed(piece->span, piece->u0 + u);
        if (!(next > low && next < high))
            next = 0.5 * (low + high);
        if (fabs(next - u) <= 2 * DBL_EPSILON * piece->extent)
            return next;
        u = next;
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
