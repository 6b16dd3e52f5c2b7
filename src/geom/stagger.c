/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Which shares (k, l) of two strips of one path count: those with s_b(l) - s_a(k) >= apart. Their
 * edge l = g(k) rises, and strays from its chord by at most (k1 - k0)^2 / 8 sup |g''|. With u, v
 * the parameters of the strips, v' = s_a' / s_b' and v'' = s_a'' / s_b' - s_a'^2 s_b'' / s_b'^3;
 * the speeds s' and their slopes s'' are bounded in TbStripBound. So the square above the chord
 * moved down by that much holds them all.
 */

#include "geom/bound.h"

/** Of a strip: where the edge is shorter, its chord has no direction worth having. */
#define EDGE_LEAST 1e-6

/** Of a strip. Rounding of the shares: stations are inverted to far less. */
#define SHARE_ROUND 1e-9

/** A point of the edge, in shares. */
typedef struct Place {
    double k, l;
} Place;

/** Share of a strip at a station, 0 to 1. */
static double
share_at(const TbStrip *strip, double station)
{
    double share = (tb_piece_u(strip->piece, station) - strip->u0) / (strip->u1 - strip->u0);

    return fmin(fmax(share, 0), 1);
}

/** How far the edge may leave its chord, in shares of b, over k1 - k0 = @p step. */
static double
sag_of(const TbStrip *a, const TbStrip *b, double step)
{
    double ha = a->u1 - a->u0, hb = b->u1 - b->u0, low = b->bound.speed;
    double high = a->bound.speed + ha * a->bound.speed1;
    double second = a->bound.speed1 / low + high * high * b->bound.speed1 / (low * low * low);

    return 0.125 * step * step * ha * ha / hb * second + SHARE_ROUND;
}

static void
add_corner(TbStagger *stagger, double k, double l)
{
    stagger->share_a[stagger->count] = k;
    stagger->share_b[stagger->count++] = fmin(fmax(l, 0), 1);
}

/** k where the line through @p from, rising by @p rise, has the height l. */
static double
crossing(Place from, double rise, double l)
{
    return fmin(fmax(from.k + (l - from.l) / rise, 0), 1);
}

/** The square above a rising line: from (0, 1) around. */
static void
cut_square(TbStagger *stagger, Place from, double rise)
{
    double left = from.l - rise * from.k, right = from.l + rise * (1 - from.k);

    add_corner(stagger, 0, 1);
    if (left < 0) {
        add_corner(stagger, 0, 0);
        add_corner(stagger, crossing(from, rise, 0), 0);
    } else {
        add_corner(stagger, 0, left);
    }
    if (right < 1) {
        add_corner(stagger, 1, right);
        add_corner(stagger, 1, 1);
    } else {
        add_corner(stagger, crossing(from, rise, 1), 1);
    }
}

bool
tb_stagger_of(const TbStrip *a, const TbStrip *b, double apart, TbStagger *stagger)
{
    double a0 = a->disc0.station, a1 = a->disc1.station;
    double b0 = b->disc0.station, b1 = b->disc1.station;
    bool from_below = a0 + apart<b0, to_above = a1 + apart> b1;
    Place from = {0, 0}, to = {1, 1};
    double rise;

    if (b1 - a0 < apart)
        return false;
    *stagger = (TbStagger){.a = a, .b = b};
    if (from_below)
        from.k = share_at(a, b0 - apart);
    else
        from.l = share_at(b, a0 + apart);
    if (to_above)
        to.k = share_at(a, b1 - apart);
    else
        to.l = share_at(b, a1 + apart);
    if (!(to.k - from.k > EDGE_LEAST && to.l - from.l > EDGE_LEAST) || !a->bound.known ||
        !b->bound.known) {
        to.k = fmin(1, to.k + SHARE_ROUND);
        add_corner(stagger, 0, from.l - SHARE_ROUND);
        add_corner(stagger, to.k, from.l - SHARE_ROUND);
        add_corner(stagger, to.k, 1);
        add_corner(stagger, 0, 1);
        return true;
    }
    rise = (to.l - from.l) / (to.k - from.k);
    from.l -= sag_of(a, b, to.k - from.k);
    cut_square(stagger, from, rise);
    return true;
}

TbConvex
tb_stagger_convex(const TbStagger *stagger)
{
    return (TbConvex){.outer = true, .stagger = stagger};
}
