/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/curve.h"

#include "base/mem.h"
#include "geom/curve_private.h"
#include "geom/root.h"
#include "geom/tol.h"
#include "geom/twin.h"

#include <float.h>
#include <stdatomic.h>
#include <stdint.h>

/** Relative. Where a rule and its halves agree to this, the halves' error is far below: an 8-point
 * rule gains a factor of 2^16 a halving. */
#define ARC_AGREES 1e-13

/** Halvings of a span for its arc length; the speed of an accepted span is smooth long before. */
#define ARC_MOST_HALVINGS 24

struct TbCurve {
    atomic_int references;
    size_t count;
    double length;
    TbSpan spans[];
};

/* ---- spans ---- */

TbSpanJet
tb_span_jet(const TbSpan *span, double u)
{
    const TbVec3 *c = span->c;
    TbSpanJet jet;

    if (span->kind == TB_SPAN_ARC) {
        double k = 1 / span->radius, cosine = cos(u * k), sine = sin(u * k);
        TbVec3 out = tb_vec3_add_scaled(tb_vec3_scale(c[1], cosine), sine, c[2]);
        TbVec3 along = tb_vec3_add_scaled(tb_vec3_scale(c[2], cosine), -sine, c[1]);

        jet.c = tb_vec3_add(c[0], out);
        jet.c1 = tb_vec3_scale(along, k);
        jet.c2 = tb_vec3_scale(out, -k * k);
        jet.c3 = tb_vec3_scale(along, -k * k * k);
        return jet;
    }
    jet.c3 = tb_vec3_scale(c[3], 6);
    jet.c2 = tb_vec3_add_scaled(tb_vec3_scale(c[2], 2), u, jet.c3);
    jet.c1 = tb_vec3_add_scaled(c[1], u, tb_vec3_add_scaled(tb_vec3_scale(c[2], 2), 3 * u, c[3]));
    jet.c =
        tb_vec3_add_scaled(c[0], u, tb_vec3_add_scaled(c[1], u, tb_vec3_add_scaled(c[2], u, c[3])));
    return jet;
}

TbVec3
tb_span__slope(const TbSpan *span, double u)
{
    const TbVec3 *c = span->c;

    if (span->kind == TB_SPAN_ARC)
        return tb_span_jet(span, u).c1;
    return tb_vec3_add_scaled(c[1], u, tb_vec3_add_scaled(tb_vec3_scale(c[2], 2), 3 * u, c[3]));
}

double
tb_span__speed(const TbSpan *span, double u)
{
    return tb_vec3_length(tb_span__slope(span, u));
}

bool
tb_span__is_even(const TbSpan *span)
{
    const TbVec3 *c = span->c;

    return span->kind == TB_SPAN_ARC ||
           (c[2].x == 0 && c[2].y == 0 && c[2].z == 0 && c[3].x == 0 && c[3].y == 0 && c[3].z == 0);
}

void
tb_gauss__places(double u0, double u1, double at[TB_GAUSS], double weight[TB_GAUSS])
{
    /* Abramowitz, Stegun, Handbook of Mathematical Functions, 1964, table 25.4, n = 8 */
    static const double x[4] = {0.183434642495649805, 0.525532409916328986, 0.796666477413626740,
                                0.960289856497536232};
    static const double w[4] = {0.362683783378361983, 0.313706645877887287, 0.222381034453374471,
                                0.101228536290376259};
    double half = 0.5 * (u1 - u0), middle = 0.5 * (u0 + u1);

    for (int i = 0; i < 4; i++) {
        at[3 - i] = middle - half * x[i];
        at[4 + i] = middle + half * x[i];
        weight[3 - i] = weight[4 + i] = half * w[i];
    }
}

/** Speeds of a cubic at two places: tb_span__speed() in both lanes. */
static inline TbTwin
cubic_speeds(const TbSpan *span, TbTwin u)
{
    const TbVec3 *c = span->c;
    TbTwin u3 = 3 * u;
    TbTwin x = c[1].x + u * (2 * c[2].x + u3 * c[3].x);
    TbTwin y = c[1].y + u * (2 * c[2].y + u3 * c[3].y);
    TbTwin z = c[1].z + u * (2 * c[2].z + u3 * c[3].z);

    return tb_twin_sqrt(x * x + y * y + z * z);
}

double
tb_span__gauss(const TbSpan *span, double u0, double u1)
{
    double at[TB_GAUSS], weight[TB_GAUSS], sum = 0;

    if (tb_span__is_even(span))
        return u1 - u0;
    tb_gauss__places(u0, u1, at, weight);
    for (int i = 0; i < TB_GAUSS; i += 2) {
        TbTwin part = tb_twin_load(&weight[i]) * cubic_speeds(span, tb_twin_load(&at[i]));

        sum += part[0];
        sum += part[1];
    }
    return sum;
}

static double
arc_halved(const TbSpan *span, double u0, double u1, double whole, int halvings)
{
    double middle = 0.5 * (u0 + u1);
    double first = tb_span__gauss(span, u0, middle), second = tb_span__gauss(span, middle, u1);

    if (halvings == 0 || fabs(first + second - whole) <= ARC_AGREES * fabs(whole))
        return first + second;
    return arc_halved(span, u0, middle, first, halvings - 1) +
           arc_halved(span, middle, u1, second, halvings - 1);
}

double
tb_span__arc_between(const TbSpan *span, double u0, double u1)
{
    if (tb_span__is_even(span))
        return u1 - u0;
    return arc_halved(span, u0, u1, tb_span__gauss(span, u0, u1), ARC_MOST_HALVINGS);
}

double
tb_span_arc(const TbSpan *span, double u)
{
    return tb_span__arc_between(span, 0, u);
}

TbVec3
tb_span__chord(const TbSpan *span, double u0, double u1)
{
    double step = u1 - u0, half = 0.5 * step;
    TbVec3 middle = tb_span__slope(span, 0.5 * (u0 + u1));

    if (span->kind == TB_SPAN_ARC) /* along the tangent in the middle: 2 R sin(angle / 2) */
        return tb_vec3_scale(middle, 2 * span->radius * sin(half / span->radius));
    /* the integral of C' about the middle, exact for a cubic */
    return tb_vec3_add_scaled(tb_vec3_scale(middle, step), step * half * half / 6,
                              tb_vec3_scale(span->c[3], 6));
}

double
tb_span__u_of(const TbSpan *span, double arc)
{
    double low = 0, high = span->extent, u, reached;

    if (arc <= 0)
        return 0;
    if (arc >= span->length)
        return span->extent;
    if (tb_span__is_even(span))
        return arc;
    u = span->extent * (arc / span->length);
    reached = tb_span_arc(span, u);
    for (int i = 0; i < 100; i++) {
        double miss = reached - arc, next;

        if (miss > 0)
            high = u;
        else
            low = u;
        next = u - miss / tb_span__speed(span, u);
        if (!(next > low && next < high))
            next = 0.5 * (low + high);
        if (fabs(next - u) <= 2 * DBL_EPSILON * span->extent)
            return next;
        reached += tb_span__arc_between(span, u, next);
        u = next;
    }
    return u;
}

/* ---- curves ---- */

TbCurve *
tb_curve__new(const TbSpan spans[], size_t count)
{
    TbCurve *curve = NULL;
    double station = 0;

    if (count <= (SIZE_MAX - sizeof *curve) / sizeof *spans)
        curve = tb_alloc(sizeof *curve + count * sizeof *spans);
    if (curve == NULL)
        return NULL;
    atomic_init(&curve->references, 1);
    curve->count = count;
    for (size_t i = 0; i < count; i++) {
        TbSpan *span = &curve->spans[i];

        *span = spans[i];
        span->start = station;
        span->length = tb_span_arc(span, span->extent);
        station += span->length;
    }
    curve->length = station;
    return curve;
}

TbCurve *
tb_curve_ref(TbCurve *curve)
{
    atomic_fetch_add(&curve->references, 1);
    return curve;
}

void
tb_curve_unref(TbCurve *curve)
{
    if (curve != NULL && atomic_fetch_sub(&curve->references, 1) == 1)
        tb_free(curve);
}

/** C(u) = k D(u / k): the parameter grows with the curve, so speeds stay. */
static TbSpan
span_moved(const TbSpan *span, TbPose pose)
{
    double k = pose.scale;
    TbSpan out = *span;

    out.extent *= k;
    out.radius *= k;
    out.start *= k;
    out.length *= k;
    out.c[0] = tb_pose_point(pose, span->c[0]);
    for (int i = 1; i < 4; i++)
        out.c[i] = tb_pose_direction(pose, span->c[i]);
    if (span->kind == TB_SPAN_ARC) {
        out.c[1] = tb_vec3_scale(out.c[1], k);
        out.c[2] = tb_vec3_scale(out.c[2], k);
    } else {
        out.c[2] = tb_vec3_scale(out.c[2], 1 / k);
        out.c[3] = tb_vec3_scale(out.c[3], 1 / (k * k));
    }
    return out;
}

TbCurve *
tb_curve_moved(const TbCurve *curve, TbPose pose)
{
    TbCurve *moved = tb_alloc(sizeof *moved + curve->count * sizeof curve->spans[0]);

    if (moved == NULL)
        return NULL;
    atomic_init(&moved->references, 1);
    moved->count = curve->count;
    moved->length = curve->length * pose.scale;
    for (size_t i = 0; i < curve->count; i++)
        moved->spans[i] = span_moved(&curve->spans[i], pose);
    return moved;
}

double
tb_curve_length(const TbCurve *curve)
{
    return curve->length;
}

size_t
tb_curve_span_count(const TbCurve *curve)
{
    return curve->count;
}

const TbSpan *
tb_curve_span(const TbCurve *curve, size_t index)
{
    TB_ASSERT(index < curve->count);
    return &curve->spans[index];
}

static size_t
span_holding(const TbCurve *curve, double station)
{
    size_t low = 0, high = curve->count;

    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;

        if (curve->spans[middle].start <= station)
            low = middle;
        else
            high = middle;
    }
    return low;
}

TbCurvePoint
tb_span__place(const TbSpan *span, size_t index, double u, double station)
{
    TbSpanJet jet = tb_span_jet(span, u);
    double speed2 = tb_vec3_length2(jet.c1);
    TbCurvePoint out;

    out.station = station;
    out.span = index;
    out.u = u;
    out.point = jet.c;
    out.tangent = tb_vec3_scale(jet.c1, 1 / sqrt(speed2));
    out.curvature = tb_vec3_scale(tb_vec3_across(jet.c2, out.tangent), 1 / speed2);
    return out;
}

TbCurvePoint
tb_curve_at(const TbCurve *curve, double station)
{
    double s = fmin(fmax(station, 0), curve->length);
    size_t index = span_holding(curve, s);
    const TbSpan *span = &curve->spans[index];

    return tb_span__place(span, index, tb_span__u_of(span, s - span->start), s);
}

TbCurvePoint
tb_curve_in_span(const TbCurve *curve, size_t span, double u)
{
    const TbSpan *s;

    TB_ASSERT(span < curve->count);
    s = &curve->spans[span];
    return tb_span__place(s, span, u, s->start + (u >= s->extent ? s->length : tb_span_arc(s, u)));
}

/* ---- the nearest place ---- */

typedef struct Nearest {
    TbVec3 p;
    size_t span;
    double u, distance2;
} Nearest;

static void
try_u(Nearest *best, const TbSpan *span, size_t index, double u)
{
    double d2 = tb_vec3_length2(tb_vec3_sub(tb_span_jet(span, u).c, best->p));

    if (d2 < best->distance2) {
        best->distance2 = d2;
        best->span = index;
        best->u = u;
    }
}

/** All places of a cubic where the way to p is square to it: (C - p) . C' = 0, degree 5. */
static void
try_cubic(Nearest *best, const TbSpan *span, size_t index)
{
    TbVec3 q[4] = {tb_vec3_sub(span->c[0], best->p), span->c[1], span->c[2], span->c[3]};
    double poly[6] = {0}, root[5];
    size_t count;

    for (int i = 0; i < 4; i++)
        for (int j = 1; j < 4; j++)
            poly[i + j - 1] += j * tb_vec3_dot(q[i], q[j]);
    count = tb_poly_roots(poly, 5, 0, span->extent, root);
    for (size_t i = 0; i < count; i++)
        try_u(best, span, index, root[i]);
}

/** The place of an arc's circle towards p, where the arc has it; the ends are tried apart. */
static void
try_arc(Nearest *best, const TbSpan *span, size_t index)
{
    TbVec3 way = tb_vec3_sub(best->p, span->c[0]);
    double angle = atan2(tb_vec3_dot(way, span->c[2]), tb_vec3_dot(way, span->c[1]));

    if (angle < 0)
        angle += 2 * M_PI;
    if (angle * span->radius < span->extent)
        try_u(best, span, index, angle * span->radius);
}

double
tb_curve_nearest(const TbCurve *curve, TbVec3 p)
{
    Nearest best = {p, 0, 0, INFINITY};
    const TbSpan *span;

    for (size_t i = 0; i < curve->count; i++) {
        span = &curve->spans[i];
        try_u(&best, span, i, 0);
        if (span->kind == TB_SPAN_ARC)
            try_arc(&best, span, i);
        else
            try_cubic(&best, span, i);
        try_u(&best, span, i, span->extent);
    }
    span = &curve->spans[best.span];
    return fmin(curve->length, span->start + tb_span_arc(span, best.u));
}

/* ---- shared by the two kinds of path ---- */

const char *
tb_curve__number(double x, char out[TB_TEXT_NUMBER])
{
    tb_text_from_double(round(x * 1e4) / 1e4, out);
    return out;
}

double
tb_curve__turn(TbVec3 a, TbVec3 b)
{
    return atan2(tb_vec3_length(tb_vec3_cross(a, b)), tb_vec3_dot(a, b));
}

TbStatus
tb_curve__check_points(const TbVec3 points[], size_t count, const char *what, TbFault *fault)
{
    char text[TB_TEXT_NUMBER], limit[TB_TEXT_NUMBER];

    if (count < 2)
        return tb_fail(fault, TB_E_RANGE, "path has %zu %s%s, 2 are needed", count, what,
                       count == 1 ? "" : "s");
    for (size_t i = 0; i < count; i++) {
        TbVec3 p = points[i];
        double largest = fmax(fabs(p.x), fmax(fabs(p.y), fabs(p.z)));

        if (!tb_vec3_is_finite(p))
            return tb_fail(fault, TB_E_RANGE, "%s %zu: a coordinate is not a finite number", what,
                           i + 1);
        if (largest > TB_LIMIT_COORDINATE)
            return tb_fail(fault, TB_E_RANGE, "%s %zu: coordinate %s mm is beyond %s mm", what,
                           i + 1, tb_curve__number(largest, text),
                           tb_curve__number(TB_LIMIT_COORDINATE, limit));
    }
    for (size_t i = 1; i < count; i++) {
        double apart = tb_vec3_distance(points[i - 1], points[i]);

        if (apart <= TB_TOL_PLACE) {
            tb_text_from_double(apart, text);
            return tb_fail(fault, TB_E_DEGENERATE, "%ss %zu and %zu are in one place, %s mm apart",
                           what, i, i + 1, text);
        }
    }
    return TB_OK;
}
