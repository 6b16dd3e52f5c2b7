/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/law.h"

#include "base/mem.h"
#include "geom/tol.h"

#include <stdatomic.h>

/**
 * Largest slope at a given section, as a multiple of both neighbouring secants. Slopes within 0 to
 * 3 secants keep a cubic monotone (Fritsch and Carlson 1980, their square); a bit less keeps
 * rounding from bending a slope of 0 below it.
 */
#define SLOPE_LIMIT 2.9

/** What is interpolated. The first four are two ways to say the size. */
enum { AREA, RATIO, WIDTH, HEIGHT, TURN, WALL, OFFSET_W, OFFSET_H, VALUES };

/** A given section as the cubics see it. */
typedef struct Node {
    double station;
    bool holds_size;
    TbShape shape;
    double value[VALUES];
    double slope[VALUES]; /**< by the station */
} Node;

struct TbLaw {
    atomic_int references;
    size_t count;
    TbLawSpan span[];
};

/* ---- rows ---- */

static TbStatus
check_row(const TbSectionRow *row, size_t number, TbFault *fault)
{
    TbFault why;
    TbStatus status = tb_section_check(row->section, &why);

    if (status != TB_OK)
        return tb_fail(fault, status, "section %zu: %s", number, why.text);
    if (!isfinite(row->station))
        return tb_fail(fault, TB_E_RANGE, "section %zu stands at no station (%g mm)", number,
                       row->station);
    return TB_OK;
}

/** The row's station from the start; at an end where it is nearer to it than TB_TOL_PLACE. */
static TbStatus
resolve_station(
    const TbSectionRow *row, size_t number, double length, double *station, TbFault *fault)
{
    double s = row->from_end ? length - row->station : row->station;

    if (s > length + TB_TOL_PLACE)
        return tb_fail(fault, TB_E_RANGE,
                       "section %zu at station %.7g mm lies beyond the path's end at %.7g mm",
                       number, s, length);
    if (s < -TB_TOL_PLACE)
        return tb_fail(fault, TB_E_RANGE,
                       "section %zu at station %.7g mm lies before the path's start", number, s);
    if (s < TB_TOL_PLACE)
        s = 0;
    if (s > length - TB_TOL_PLACE)
        s = length;
    *station = s;
    return TB_OK;
}

static void
fill_node(const TbSectionRow *row, double station, Node *node)
{
    const TbSection *s = &row->section;
    double width = tb_section_width(*s);
    double height = tb_section_height(*s);

    node->station = station;
    node->holds_size = row->holds_size;
    node->shape = tb_shape_of(*s);
    node->value[AREA] = width * height / 4 * node->shape.area;
    node->value[RATIO] = log(width / height);
    node->value[WIDTH] = width;
    node->value[HEIGHT] = height;
    node->value[TURN] = s->turn;
    node->value[WALL] = s->wall;
    node->value[OFFSET_W] = s->offset.x;
    node->value[OFFSET_H] = s->offset.y;
}

static TbStatus
fill_nodes(const TbSectionRow rows[], size_t count, double length, Node nodes[], TbFault *fault)
{
    for (size_t i = 0; i < count; i++) {
        double station = 0;
        TbStatus status = check_row(&rows[i], i + 1, fault);

        if (status == TB_OK)
            status = resolve_station(&rows[i], i + 1, length, &station, fault);
        if (status != TB_OK)
            return status;
        if (i > 0 && station - nodes[i - 1].station < TB_TOL_PLACE) {
            double before = nodes[i - 1].station;

            if (station - before > -TB_TOL_PLACE)
                return tb_fail(fault, TB_E_DEGENERATE,
                               "sections %zu and %zu are both at station %.7g mm", i, i + 1,
                               station);
            return tb_fail(fault, TB_E_RANGE,
                           "section %zu at station %.7g mm comes before section %zu at %.7g mm",
                           i + 1, station, i, before);
        }
        fill_node(&rows[i], station, &nodes[i]);
    }
    return TB_OK;
}

/* ---- slopes ---- */

static double
secant(const Node nodes[], size_t i, int value)
{
    return (nodes[i + 1].value[value] - nodes[i].value[value]) /
           (nodes[i + 1].station - nodes[i].station);
}

/** The slope nearest to @p slope that keeps a cubic monotone whose secant is @p m. */
static double
limited(double slope, double m)
{
    if (slope * m <= 0)
        return 0;
    return fabs(slope) > SLOPE_LIMIT * fabs(m) ? SLOPE_LIMIT * m : slope;
}

/** Slope of the parabola through three values, at its middle one. */
static double
middle_slope(const Node nodes[], size_t i, int value)
{
    double before = nodes[i].station - nodes[i - 1].station;
    double after = nodes[i + 1].station - nodes[i].station;
    double m0 = secant(nodes, i - 1, value);
    double m1 = secant(nodes, i, value);

    if (m0 * m1 <= 0)
        return 0;
    return limited(limited((after * m0 + before * m1) / (before + after), m0), m1);
}

/** The same at the end of the path: the parabola of the nearest three, or the straight of two. */
static double
end_slope(const Node nodes[], size_t count, bool first, int value)
{
    size_t i = first ? 0 : count - 2;
    size_t j = first ? 1 : count - 3;
    double near = nodes[i + 1].station - nodes[i].station;
    double m = secant(nodes, i, value);
    double next;

    if (count == 2)
        return m;
    next = nodes[j + 1].station - nodes[j].station;
    return limited(((2 * near + next) * m - near * secant(nodes, j, value)) / (near + next), m);
}

/** True when the span after node i interpolates width and height. */
static bool
span_by_size(const Node nodes[], size_t i)
{
    return nodes[i].holds_size || nodes[i + 1].holds_size;
}

/**
 * Where the law changes from area and ratio to width and height, both sides must mean the same
 * slopes: W'/W = (A'/A + rho')/2, H'/H = (A'/A - rho')/2. Those of area and ratio are kept, scaled
 * down together until they suit the other side as well.
 */
static void
agree_on_size(const Node nodes[], size_t i, Node *node)
{
    size_t by_size = span_by_size(nodes, i) ? i : i - 1;
    double area = node->slope[AREA] / node->value[AREA];
    double ratio = node->slope[RATIO];
    double slope[2] = {node->value[WIDTH] * (area + ratio) / 2,
                       node->value[HEIGHT] * (area - ratio) / 2};
    double share = 1;

    for (int k = 0; k < 2; k++) {
        if (slope[k] != 0)
            share = fmin(share, limited(slope[k], secant(nodes, by_size, WIDTH + k)) / slope[k]);
    }
    node->slope[AREA] *= share;
    node->slope[RATIO] *= share;
    node->slope[WIDTH] = share * slope[0];
    node->slope[HEIGHT] = share * slope[1];
}

/** Slopes of everything at every given section; 0 where a constant part begins. */
static void
find_slopes(Node nodes[], size_t count, double length)
{
    for (size_t i = 0; i < count && count > 1; i++) {
        bool first = i == 0;
        bool last = i + 1 == count;
        bool inside = !first && !last;

        if ((first && nodes[i].station > 0) || (last && nodes[i].station < length))
            continue;
        for (int v = 0; v < VALUES; v++)
            nodes[i].slope[v] =
                inside ? middle_slope(nodes, i, v) : end_slope(nodes, count, first, v);
        if (inside && span_by_size(nodes, i - 1) != span_by_size(nodes, i))
            agree_on_size(nodes, i, &nodes[i]);
    }
}

/* ---- spans ---- */

/** Cubic over 0 to h with values f and slopes d at the ends (Hermite). */
static void
hermite(double c[4], double h, double f0, double f1, double d0, double d1)
{
    double m = (f1 - f0) / h;

    c[0] = f0;
    c[1] = d0;
    c[2] = (3 * m - 2 * d0 - d1) / h;
    c[3] = (d0 + d1 - 2 * m) / (h * h);
}

static void
fill_cubic(double c[4], const Node *from, const Node *to, double length, int value)
{
    if (from == to) {
        c[0] = from->value[value];
        c[1] = c[2] = c[3] = 0;
        return;
    }
    hermite(c, length, from->value[value], to->value[value], from->slope[value], to->slope[value]);
}

/** A span between two given sections; one section twice makes a constant span. */
static void
fill_span(TbLawSpan *span, const Node *from, const Node *to, double start, double end)
{
    double length = end - start;

    span->start = start;
    span->length = length;
    span->by_size = from != to && (from->holds_size || to->holds_size);
    fill_cubic(span->size[0], from, to, length, span->by_size ? WIDTH : AREA);
    fill_cubic(span->size[1], from, to, length, span->by_size ? HEIGHT : RATIO);
    fill_cubic(span->turn, from, to, length, TURN);
    fill_cubic(span->wall, from, to, length, WALL);
    fill_cubic(span->offset_w, from, to, length, OFFSET_W);
    fill_cubic(span->offset_h, from, to, length, OFFSET_H);
    span->from = from->shape;
    span->to = to->shape;
    span->pair = tb_shape_pair(&from->shape, &to->shape);
}

static void
fill_spans(TbLaw *law, const Node nodes[], size_t count, double length)
{
    const Node *last = &nodes[count - 1];
    size_t used = 0;

    if (count == 1) {
        fill_span(&law->span[0], last, last, 0, length);
        law->count = 1;
        return;
    }
    if (nodes[0].station > 0)
        fill_span(&law->span[used++], &nodes[0], &nodes[0], 0, nodes[0].station);
    for (size_t i = 0; i + 1 < count; i++)
        fill_span(&law->span[used++], &nodes[i], &nodes[i + 1], nodes[i].station,
                  nodes[i + 1].station);
    if (last->station < length)
        fill_span(&law->span[used++], last, last, last->station, length);
    law->count = used;
}

/** Room for a law of @p spans spans, one reference; NULL when there is none. */
static TbLaw *
law_alloc(size_t spans)
{
    TbLaw *law = tb_alloc(sizeof *law + spans * sizeof law->span[0]);

    if (law != NULL)
        atomic_init(&law->references, 1);
    return law;
}

TbStatus
tb_law_new(const TbSectionRow rows[], size_t count, double length, TbLaw **law, TbFault *fault)
{
    TbStatus status;
    Node *nodes = NULL;
    TbLaw *made = NULL;

    if (count == 0)
        return tb_fail(fault, TB_E_DEGENERATE, "a path without a section has no shape");
    if (count > TB_LAW_MOST_ROWS)
        return tb_fail(fault, TB_E_LIMIT, "%zu sections are given, %d are accepted", count,
                       TB_LAW_MOST_ROWS);
    if (!(length >= TB_TOL_PLACE) || !isfinite(length))
        return tb_fail(fault, TB_E_DEGENERATE, "the path is %.7g mm long", length);

    nodes = tb_alloc_array(count, sizeof *nodes);
    made = law_alloc(count + 1);
    if (nodes == NULL || made == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for %zu sections", count);
        goto done;
    }
    status = fill_nodes(rows, count, length, nodes, fault);
    if (status != TB_OK)
        goto done;
    find_slopes(nodes, count, length);
    fill_spans(made, nodes, count, length);
    *law = made;
    made = NULL;

done:
    tb_free(made);
    tb_free(nodes);
    return status;
}

static void
scale_cubic(double c[4], double size, double factor)
{
    for (int i = 0; i < 4; i++) {
        c[i] *= size;
        size /= factor;
    }
}

TbLaw *
tb_law_scaled(const TbLaw *law, double factor)
{
    TbLaw *made = law_alloc(law->count);

    if (made == NULL)
        return NULL;
    made->count = law->count;
    for (size_t i = 0; i < law->count; i++) {
        TbLawSpan *span = &made->span[i];

        *span = law->span[i];
        span->start *= factor;
        span->length *= factor;
        scale_cubic(span->size[0], span->by_size ? factor : factor * factor, factor);
        scale_cubic(span->size[1], span->by_size ? factor : 1, factor);
        scale_cubic(span->turn, 1, factor);
        scale_cubic(span->wall, factor, factor);
        scale_cubic(span->offset_w, factor, factor);
        scale_cubic(span->offset_h, factor, factor);
    }
    return made;
}

TbLaw *
tb_law_ref(TbLaw *law)
{
    atomic_fetch_add(&law->references, 1);
    return law;
}

void
tb_law_unref(TbLaw *law)
{
    if (law != NULL && atomic_fetch_sub(&law->references, 1) == 1)
        tb_free(law);
}

/* ---- reading ---- */

size_t
tb_law_span_count(const TbLaw *law)
{
    return law->count;
}

const TbLawSpan *
tb_law_span(const TbLaw *law, size_t index)
{
    TB_ASSERT(index < law->count);
    return &law->span[index];
}

size_t
tb_law_find(const TbLaw *law, double station)
{
    size_t low = 0;
    size_t high = law->count;

    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;

        if (law->span[middle].start <= station)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static inline double
cubic(const double c[4], double x)
{
    return c[0] + x * (c[1] + x * (c[2] + x * c[3]));
}

static inline double
cubic_slope(const double c[4], double x)
{
    return c[1] + x * (2 * c[2] + 3 * x * c[3]);
}

double
tb_law_turn_in_span(const TbLawSpan *span, double station)
{
    return cubic(span->turn, fmin(fmax(station - span->start, 0), span->length));
}

TbSlice
tb_law_in_span(const TbLawSpan *span, double station)
{
    double x = fmin(fmax(station - span->start, 0), span->length);
    double y = x / span->length;
    double mix = y * y * (3 - 2 * y);
    const double *g = span->pair.area;
    double blend = g[0] + mix * (g[1] + mix * g[2]);
    bool equal = span->pair.difference.x == 0 && span->pair.difference.y == 0;
    TbSlice slice = {.from = &span->from,
                     .to = &span->to,
                     .mix = equal ? 0 : mix,
                     .turn = cubic(span->turn, x),
                     .wall = cubic(span->wall, x),
                     .offset = {cubic(span->offset_w, x), cubic(span->offset_h, x)}};

    if (span->by_size) {
        double blend_slope = (g[1] + 2 * mix * g[2]) * 6 * y * (1 - y) / span->length;

        slice.a = cubic(span->size[0], x) / 2;
        slice.b = cubic(span->size[1], x) / 2;
        slice.area = slice.a * slice.b * blend;
        slice.growth =
            slice.a * slice.b * blend_slope +
            blend / 2 *
                (slice.a * cubic_slope(span->size[1], x) + slice.b * cubic_slope(span->size[0], x));
    } else {
        double root = exp(cubic(span->size[1], x) / 2);
        double mean;

        slice.area = cubic(span->size[0], x);
        slice.growth = cubic_slope(span->size[0], x);
        mean = sqrt(slice.area / blend);
        slice.a = mean * root;
        slice.b = mean / root;
    }
    slice.is_circle = slice.mix == 0 && slice.a == slice.b && span->from.is_disc;
    return slice;
}

TbSlice
tb_law_at(const TbLaw *law, double station)
{
    return tb_law_in_span(&law->span[tb_law_find(law, station)], station);
}
