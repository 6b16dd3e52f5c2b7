/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * How a sweep is cut into pieces and how the frame runs along them.
 *
 * A piece ends at a joint of the path, at a given section, and where it would turn by more than
 * TB_PIECE_TURN. Over a cubic's part of length h in u, |C''| is at most its larger end value c2
 * (C'' is linear), so |C'| is at least g = |C'(middle)| - h/2 c2, and |dT/du| is at most
 *     bend = min(c2 / g, x / g^2),   x = the largest Bernstein coefficient of C' x C'',
 * a quadratic. Parts are halved until |C'(middle)| >= h c2, bend h <= TB_PIECE_TURN and one
 * 8-point Gauss-Legendre rule has the arc length; so stations inside a piece cost eight speeds.
 */

#include "base/mem.h"
#include "geom/curve_private.h"
#include "geom/sweep_private.h"
#include "geom/tol.h"

/** A path of 10 m with a section a millimetre has a tenth of this. */
#define MOST_PIECES 100000

/** Double reflections in a piece: with at most TB_PIECE_TURN / 16 each, the error of fourth order
 * is below 1e-10 rad a turn. */
#define CARRY_STEPS 16

/** Relative. One rule and its two halves agree to this in a piece. */
#define RULE_AGREES 1e-13

typedef struct Cutter {
    TbSweep *sweep;
    const TbSpan *span;
    const TbLawSpan *law;
    TbFrame frame;  /**< transported so far */
    double station; /**< reached so far */
} Cutter;

/** Bound of |dT/du| over a part of a span; infinite where the part must be halved. */
static double
bend_bound(const TbSpan *span, double u0, double u1)
{
    double h = u1 - u0, speed, most, least, across = 0;
    TbSpanJet a, b, middle;
    TbVec3 net[3];

    if (span->kind == TB_SPAN_ARC)
        return 1 / span->radius;
    if (tb_span__is_even(span))
        return 0;
    a = tb_span_jet(span, u0);
    b = tb_span_jet(span, u1);
    middle = tb_span_jet(span, 0.5 * (u0 + u1));
    most = fmax(tb_vec3_length(a.c2), tb_vec3_length(b.c2));
    speed = tb_vec3_length(middle.c1);
    if (speed < h * most)
        return INFINITY;
    least = speed - 0.5 * h * most;
    /* the quadratic's Bernstein net: ends, and what makes the middle value right */
    net[0] = tb_vec3_cross(a.c1, a.c2);
    net[2] = tb_vec3_cross(b.c1, b.c2);
    net[1] = tb_vec3_add_scaled(tb_vec3_scale(tb_vec3_cross(middle.c1, middle.c2), 2), -0.5,
                                tb_vec3_add(net[0], net[2]));
    for (int i = 0; i < 3; i++)
        across = fmax(across, tb_vec3_length(net[i]));
    /* rounding of a dozen operations, outwards */
    return fmin(most / least, across / (least * least)) * (1 + 1e-14);
}

static bool
one_rule_is_enough(const TbSpan *span, double u0, double u1)
{
    double middle = 0.5 * (u0 + u1), whole = tb_span__gauss(span, u0, u1);
    double halves = tb_span__gauss(span, u0, middle) + tb_span__gauss(span, middle, u1);

    return fabs(whole - halves) <= RULE_AGREES * halves;
}

/** Carry the frame over a piece, and set the cubic theta that makes its own frame meet it. */
static void
carry(TbPiece *piece, TbFrame *frame)
{
    const TbSpan *span = piece->span;
    double h = piece->extent, step = h / CARRY_STEPS, off, rate, speed;
    TbSpanJet end = tb_span_jet(span, piece->u0 + h);
    TbFrame swung;
    TbVec3 origin = {0, 0, 0}, slope;

    piece->node = *frame;
    swung = tb_frame_swing(*frame, tb_vec3_unit(end.c1));
    if (tb_span__is_even(span)) { /* a plane piece: the smallest rotation is the transport */
        *frame = swung;
        return;
    }
    for (int i = 0; i < CARRY_STEPS; i++) {
        double u0 = piece->u0 + i * step, u1 = piece->u0 + (i + 1) * step;

        *frame = tb_frame_carry(*frame, origin, tb_span__chord(span, u0, u1),
                                tb_vec3_unit(tb_span__slope(span, u1)));
    }
    off = atan2(tb_vec3_dot(frame->h, swung.w), tb_vec3_dot(frame->h, swung.h));
    /* the smallest rotation turns about the tangent at -(T0 x T) . T' / (1 + T0 . T); theta
     * takes that back */
    speed = tb_vec3_length(end.c1);
    slope = tb_vec3_scale(tb_vec3_across(end.c2, swung.t), 1 / speed);
    rate = tb_vec3_dot(tb_vec3_cross(piece->node.t, swung.t), slope) /
           (1 + tb_vec3_dot(piece->node.t, swung.t));
    piece->theta[2] = (3 * off / h - rate) / h;
    piece->theta[3] = (rate - 2 * off / h) / (h * h);
}

static TbStatus
add_piece(Cutter *cutter, double u0, double u1, double bend, TbFault *fault)
{
    TbSweep *sweep = cutter->sweep;
    TbPiece *piece;
    void *room = sweep->pieces;

    if (sweep->count == MOST_PIECES)
        return tb_fail(fault, TB_E_LIMIT, "the path needs more than %d pieces", MOST_PIECES);
    if (tb_grow_array(&room, &sweep->capacity, sweep->count, sizeof *sweep->pieces) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu pieces of a sweep", sweep->count + 1);
    sweep->pieces = room;
    piece = &sweep->pieces[sweep->count++];
    *piece = (TbPiece){.span = cutter->span, .u0 = u0, .extent = u1 - u0, .law = cutter->law};
    piece->station0 = cutter->station;
    piece->length = tb_span__gauss(cutter->span, u0, u1);
    piece->bend = bend;
    piece->ease[0] = piece->length / (piece->extent * tb_span__speed(piece->span, u0));
    piece->ease[1] = piece->length / (piece->extent * tb_span__speed(piece->span, u1));
    carry(piece, &cutter->frame);
    cutter->station += piece->length;
    return TB_OK;
}

/** Pieces of a part of a span, halved until each is small enough. */
static TbStatus
add_part(Cutter *cutter, double u0, double u1, TbFault *fault)
{
    double bend = bend_bound(cutter->span, u0, u1), middle = 0.5 * (u0 + u1);
    TbStatus status;

    if (bend * (u1 - u0) <= TB_PIECE_TURN && one_rule_is_enough(cutter->span, u0, u1))
        return add_piece(cutter, u0, u1, bend, fault);
    if (!(middle > u0 && middle < u1))
        return tb_fail(fault, TB_E_NUMERIC, "the path turns without end at station %.9g mm",
                       cutter->station);
    status = add_part(cutter, u0, middle, fault);
    if (status == TB_OK)
        status = add_part(cutter, middle, u1, fault);
    return status;
}

/** Pieces up to u1, which lies at a known station: what the parts' rounding left goes there. */
static TbStatus
add_to_station(Cutter *cutter, double u0, double u1, double station, TbFault *fault)
{
    TbStatus status = add_part(cutter, u0, u1, fault);
    TbPiece *last;

    if (status != TB_OK)
        return status;
    last = &cutter->sweep->pieces[cutter->sweep->count - 1];
    last->length = station - last->station0;
    cutter->station = station;
    return TB_OK;
}

TbStatus
tb_sweep__cut(TbSweep *sweep, const TbVec3 *up, TbFault *fault)
{
    size_t spans = tb_curve_span_count(sweep->curve), laws = tb_law_span_count(sweep->law);
    size_t law = 0;
    Cutter cutter = {.sweep = sweep};
    TbStatus status = TB_OK;

    cutter.frame = tb_frame_start(tb_curve_in_span(sweep->curve, 0, 0).tangent, up);
    for (size_t i = 0; i < spans && status == TB_OK; i++) {
        const TbSpan *span = cutter.span = tb_curve_span(sweep->curve, i);
        double end = span->start + span->length, u = 0;

        while (u < span->extent && status == TB_OK) {
            double next = span->extent, station = end;

            /* sections given at this very place are behind */
            while (law + 1 < laws &&
                   tb_law_span(sweep->law, law + 1)->start <= cutter.station + TB_TOL_JOINT)
                law++;
            cutter.law = tb_law_span(sweep->law, law);
            if (law + 1 < laws && tb_law_span(sweep->law, law + 1)->start < end - TB_TOL_JOINT) {
                station = tb_law_span(sweep->law, law + 1)->start;
                next = tb_span__u_of(span, station - span->start);
            }
            status = add_to_station(&cutter, u, next, station, fault);
            u = next;
        }
    }
    return status;
}
