/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Smooth path: C2 cubic spline over chord length.
 *
 * With chords d_i h_i (d_i unit, h_i long) the knots' derivatives m_i solve
 *     h_i m_(i-1) + 2 (h_(i-1) + h_i) m_i + h_(i-1) m_(i+1) = 3 (h_i d_(i-1) + h_(i-1) d_i),
 * which says that C'' is the same from both sides (de Boor, "A Practical Guide to Splines", 1978,
 * chapter IV). A clamped end has m = the unit tangent, a natural one 2 m_0 + m_1 = 3 d_0. The
 * matrix is dominated by its diagonal twice over, so elimination needs no pivot.
 *
 * Uneven knots cannot make it overshoot: written for m_i - d_i, the same rows give
 *     |m_i - d| <= 2 tau,   tau = 2 sin(theta/2), theta the largest turn at any knot,
 * ends with a tangent included, whatever the h_i are; and a span strays from its chord by
 *     h (t (1-t)^2 (m_0 - d) - t^2 (1-t) (m_1 - d)),   at most h/4 * 2 tau = h sin(theta/2).
 */

#include "geom/curve.h"

#include "base/mem.h"
#include "geom/curve_private.h"
#include "geom/root.h"

/** Of the chord-length speed, which is about 1. Where the speed falls below, the curve turns
 * within a hundredth of its chord: no section has room there, and pieces would be without end. */
#define SPEED_LEAST 0.01

/** Of the chord. A span whose second and third order terms are below this is straight: the
 * rounding of a few operations on knots a hundred chords from the origin. */
#define STRAIGHT_WITHIN 2e-14

typedef struct Row {
    double chord;  /**< to the next knot, mm */
    TbVec3 along;  /**< unit, to the next knot */
    double factor; /**< of elimination: how much of the next derivative is taken off */
    TbVec3 slope;  /**< right side first, derivative at the end */
} Row;

typedef struct Smooth {
    const TbVec3 *knots;
    size_t count;
    bool clamped[2];
    TbVec3 tangent[2];
    Row *rows;
    TbSpan *spans;
} Smooth;

static TbStatus
take_tangent(Smooth *s, int end, const TbVec3 *tangent, TbFault *fault)
{
    s->clamped[end] = tangent != NULL;
    if (tangent == NULL)
        return TB_OK;
    s->tangent[end] = tb_vec3_unit(*tangent);
    if (!tb_vec3_is_finite(*tangent) || !(tb_vec3_length(s->tangent[end]) > 0.5))
        return tb_fail(fault, TB_E_RANGE, "the path's %s tangent has no direction",
                       end == 0 ? "start" : "end");
    return TB_OK;
}

static TbStatus
check_turn(TbVec3 a, TbVec3 b, size_t knot, TbFault *fault)
{
    double turn = tb_curve__turn(a, b);
    char text[TB_TEXT_NUMBER];

    if (turn <= TB_TURN_MOST)
        return TB_OK;
    return tb_fail(fault, TB_E_DEGENERATE, "knot %zu: the path doubles back, it turns %s degrees",
                   knot, tb_curve__number(turn * 180 / M_PI, text));
}

static TbStatus
measure_chords(Smooth *s, TbFault *fault)
{
    size_t last = s->count - 1;
    TbStatus status = TB_OK;

    for (size_t i = 0; i < last; i++) {
        TbVec3 chord = tb_vec3_sub(s->knots[i + 1], s->knots[i]);

        s->rows[i].chord = tb_vec3_length(chord);
        s->rows[i].along = tb_vec3_scale(chord, 1 / s->rows[i].chord);
    }
    if (s->clamped[0])
        status = check_turn(s->tangent[0], s->rows[0].along, 1, fault);
    for (size_t i = 1; i < last && status == TB_OK; i++)
        status = check_turn(s->rows[i - 1].along, s->rows[i].along, i + 1, fault);
    if (s->clamped[1] && status == TB_OK)
        status = check_turn(s->rows[last - 1].along, s->tangent[1], last + 1, fault);
    return status;
}

/** One row of the elimination: before m_(i-1) + diagonal m_i + after m_(i+1) = right. */
static void
eliminate(Row *row, const Row *previous, double before, double diagonal, double after, TbVec3 right)
{
    double pivot = diagonal - before * (previous != NULL ? previous->factor : 0);

    if (previous != NULL)
        right = tb_vec3_add_scaled(right, -before, previous->slope);
    row->factor = after / pivot;
    row->slope = tb_vec3_scale(right, 1 / pivot);
}

static void
solve_slopes(Smooth *s)
{
    size_t last = s->count - 1;
    Row *rows = s->rows;

    if (s->clamped[0])
        eliminate(&rows[0], NULL, 0, 1, 0, s->tangent[0]);
    else
        eliminate(&rows[0], NULL, 0, 2, 1, tb_vec3_scale(rows[0].along, 3));
    for (size_t i = 1; i < last; i++) {
        double h0 = rows[i - 1].chord, h1 = rows[i].chord;
        TbVec3 mean = tb_vec3_add_scaled(tb_vec3_scale(rows[i - 1].along, h1), h0, rows[i].along);

        eliminate(&rows[i], &rows[i - 1], h1, 2 * (h0 + h1), h0, tb_vec3_scale(mean, 3));
    }
    if (s->clamped[1])
        eliminate(&rows[last], &rows[last - 1], 0, 1, 0, s->tangent[1]);
    else
        eliminate(&rows[last], &rows[last - 1], 1, 2, 0, tb_vec3_scale(rows[last - 1].along, 3));
    for (size_t i = last; i-- > 0;)
        rows[i].slope = tb_vec3_add_scaled(rows[i].slope, -rows[i].factor, rows[i + 1].slope);
}

static TbSpan
span_between(const Smooth *s, size_t i)
{
    double h = s->rows[i].chord;
    TbVec3 bow0 = tb_vec3_sub(s->rows[i].slope, s->rows[i].along);
    TbVec3 bow1 = tb_vec3_sub(s->rows[i + 1].slope, s->rows[i].along);
    TbSpan span = {.kind = TB_SPAN_CUBIC, .extent = h};

    /* Hermite's cubic, written with what the derivatives differ from the chord */
    span.c[0] = s->knots[i];
    span.c[1] = s->rows[i].slope;
    span.c[2] = tb_vec3_scale(tb_vec3_add_scaled(tb_vec3_scale(bow0, -2), -1, bow1), 1 / h);
    span.c[3] = tb_vec3_scale(tb_vec3_add(bow0, bow1), 1 / (h * h));
    if (tb_vec3_length(bow0) + tb_vec3_length(bow1) <= STRAIGHT_WITHIN) {
        span.c[1] = s->rows[i].along;
        span.c[2] = span.c[3] = tb_vec3(0, 0, 0);
    }
    return span;
}

/**
 * With bows, what the derivatives at the ends differ from the chord's direction d: C' = d +
 * (1 - 4 t + 3 t^2) bow0 + (3 t^2 - 2 t) bow1, both factors within -1 to 1. So where the bows are
 * short the speed is nowhere low, and its least need not be found.
 */
static bool
is_fast(const Smooth *s, size_t i)
{
    TbVec3 bow0 = tb_vec3_sub(s->rows[i].slope, s->rows[i].along);
    TbVec3 bow1 = tb_vec3_sub(s->rows[i + 1].slope, s->rows[i].along);

    return tb_vec3_length(bow0) + tb_vec3_length(bow1) < 1 - 2 * SPEED_LEAST;
}

/** Smallest speed of a cubic: at its ends or where C' . C'' = 0, a cubic in u. */
static double
least_speed(const TbSpan *span)
{
    TbVec3 a = span->c[1], b = tb_vec3_scale(span->c[2], 2), c = tb_vec3_scale(span->c[3], 3);
    double poly[4] = {tb_vec3_dot(a, b), tb_vec3_dot(b, b) + 2 * tb_vec3_dot(a, c),
                      3 * tb_vec3_dot(b, c), 2 * tb_vec3_dot(c, c)};
    double root[3];
    double least = fmin(tb_span__speed(span, 0), tb_span__speed(span, span->extent));
    size_t count = tb_poly_roots(poly, 3, 0, span->extent, root);

    for (size_t i = 0; i < count; i++)
        least = fmin(least, tb_span__speed(span, root[i]));
    return least;
}

static TbStatus
make_spans(Smooth *s, TbFault *fault)
{
    char text[TB_TEXT_NUMBER];

    for (size_t i = 0; i + 1 < s->count; i++) {
        double speed;

        s->spans[i] = span_between(s, i);
        if (is_fast(s, i))
            continue;
        speed = least_speed(&s->spans[i]);
        if (!(speed >= SPEED_LEAST))
            return tb_fail(fault, TB_E_DEGENERATE,
                           "the path doubles back between knots %zu and %zu: it all but stands "
                           "still there, its speed falls to %s of the chord's",
                           i + 1, i + 2, tb_curve__number(speed, text));
    }
    return TB_OK;
}

TbStatus
tb_curve_smooth_new(const TbVec3 knots[],
                    size_t count,
                    const TbVec3 *start_tangent,
                    const TbVec3 *end_tangent,
                    TbCurve **curve,
                    TbFault *fault)
{
    Smooth s = {.knots = knots, .count = count};
    TbCurve *made = NULL;
    TbStatus status = tb_curve__check_points(knots, count, "knot", fault);

    if (status == TB_OK)
        status = take_tangent(&s, 0, start_tangent, fault);
    if (status == TB_OK)
        status = take_tangent(&s, 1, end_tangent, fault);
    if (status != TB_OK)
        return status;
    s.rows = tb_alloc_array(count, sizeof *s.rows);
    s.spans = tb_alloc_array(count - 1, sizeof *s.spans);
    if (s.rows == NULL || s.spans == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for a path of %zu knots", count);
        goto done;
    }
    status = measure_chords(&s, fault);
    if (status != TB_OK)
        goto done;
    solve_slopes(&s);
    status = make_spans(&s, fault);
    if (status != TB_OK)
        goto done;
    made = tb_curve__new(s.spans, count - 1);
    if (made == NULL)
        status = tb_fail(fault, TB_E_MEMORY, "no room for a path of %zu knots", count);
    else
        *curve = made;

done:
    tb_free(s.spans);
    tb_free(s.rows);
    return status;
}
