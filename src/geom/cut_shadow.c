/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Silhouettes of sweeps. Between two neighbouring rings lies a nearly convex body, so on every line
 * of a grid it covers one span, from the least to the greatest place at which any of its edges
 * passes the line. A line keeps the union of its spans; the outline passes where they begin and
 * end. Rows tell which grid points are covered, rows and columns together where the outline passes
 * between two points. No grid is stored, and nothing is done for points inside.
 */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/tol.h"

#include <string.h>

/** Grid points along the longer side at most. */
#define SHADOW_MOST 2048

/** Share of a grid step by which thinning may move the outline. */
#define SHADOW_THIN 0.08

typedef struct Span {
    double low, high;
} Span;

/** Spans that a line has room for before it needs some of its own. */
#define LINE_ROOM 3

/** A row or column: spans that do not touch, in no order. */
typedef struct Line {
    Span few[LINE_ROOM];
    Span *more; /**< all of them, where few are not enough */
    size_t count, room;
} Line;

typedef struct Shadow {
    TbPlane plane;
    TbCutRings rings;
    double *heights; /**< of the points */
    TbVec2 *paper;   /**< of the points, in grid steps */
    TbVec2 low;      /**< mm on paper where the grid begins */
    double step;
    size_t lines[2]; /**< rows, columns */
    Line *line[2];
    Span *open[2];             /**< by line: of the body between two rings */
    size_t from[2], to[2];     /**< lines that it touches, so far */
    unsigned char *covered[2]; /**< grid points of two rows */
    TbCutSegments segments;
} Shadow;

/* ---- lines ---- */

static TbStatus
no_room(TbFault *fault)
{
    return tb_fail(fault, TB_E_MEMORY, "no room for a silhouette");
}

static bool
touch(Span a, Span b)
{
    return a.low <= b.high && b.low <= a.high;
}

static const Span *
spans_of(const Line *line)
{
    return line->more != NULL ? line->more : line->few;
}

/** Room for one more span. */
static bool
make_room(Line *line)
{
    size_t room = line->more == NULL ? 4 * LINE_ROOM : 2 * line->room;
    void *more;

    if (line->count < (line->more == NULL ? LINE_ROOM : line->room))
        return true;
    more = tb_resize_array(line->more, room, sizeof *line->more);
    if (more == NULL)
        return false;
    if (line->more == NULL)
        memcpy(more, line->few, sizeof line->few);
    line->more = more;
    line->room = room;
    return true;
}

/** The union of a line's spans and one more. */
static bool
cover(Line *line, Span span)
{
    Span *spans = line->more != NULL ? line->more : line->few;

    for (size_t i = 0; i < line->count;) {
        if (!touch(spans[i], span)) {
            i++;
            continue;
        }
        if (spans[i].low <= span.low && span.high <= spans[i].high)
            return true;
        span.low = span.low < spans[i].low ? span.low : spans[i].low;
        span.high = span.high > spans[i].high ? span.high : spans[i].high;
        spans[i] = spans[--line->count];
        i = 0;
    }
    if (!make_room(line))
        return false;
    spans = line->more != NULL ? line->more : line->few;
    spans[line->count++] = span;
    return true;
}

static const Span *
span_of(const Line *line, double at)
{
    const Span *spans = spans_of(line);

    for (size_t i = 0; i < line->count; i++)
        if (spans[i].low <= at && at <= spans[i].high)
            return &spans[i];
    return NULL;
}

/* ---- the body between two rings ---- */

/** Where an edge passes the lines of one way. */
static void
pass_lines(Shadow *shadow, int way, double from, double to, double at, double next)
{
    double low = from < to ? from : to, high = from < to ? to : from;
    double slope;

    if (ceil(low) > high)
        return;
    slope = (next - at) / (to - from);
    for (size_t i = (size_t)ceil(low), last = (size_t)high; i <= last; i++) {
        Span *open = &shadow->open[way][i];
        double x = from == to ? at : at + ((double)i - from) * slope;

        open->low = x < open->low ? x : open->low;
        open->high = x > open->high ? x : open->high;
        shadow->from[way] = i < shadow->from[way] ? i : shadow->from[way];
        shadow->to[way] = i > shadow->to[way] ? i : shadow->to[way];
    }
}

static void
add_edge(Shadow *shadow, TbVec2 a, TbVec2 b)
{
    pass_lines(shadow, 0, a.y, b.y, a.x, b.x);
    pass_lines(shadow, 1, a.x, b.x, a.y, b.y);
}

static bool
close_body(Shadow *shadow)
{
    for (int way = 0; way < 2; way++) {
        for (size_t i = shadow->from[way]; i <= shadow->to[way]; i++) {
            Span *open = &shadow->open[way][i];

            if (open->low <= open->high && !cover(&shadow->line[way][i], *open))
                return false;
            *open = (Span){INFINITY, -INFINITY};
        }
        shadow->from[way] = SIZE_MAX;
        shadow->to[way] = 0;
    }
    return true;
}

/** Where a segment between two points on either side meets the plane. */
static TbVec2
crossing(const Shadow *shadow, size_t a, size_t b)
{
    double share = shadow->heights[a] / (shadow->heights[a] - shadow->heights[b]);

    return tb_vec2_add(shadow->paper[a],
                       tb_vec2_scale(tb_vec2_sub(shadow->paper[b], shadow->paper[a]), share));
}

/** What of an edge lies beyond the plane. */
static void
add_beyond(Shadow *shadow, size_t a, size_t b)
{
    bool from = shadow->heights[a] <= 0, to = shadow->heights[b] <= 0;

    if (from || to)
        add_edge(shadow, from ? shadow->paper[a] : crossing(shadow, a, b),
                 to ? shadow->paper[b] : crossing(shadow, a, b));
}

/** Where the plane meets a face. */
static void
add_in_plane(Shadow *shadow, const size_t corner[4])
{
    TbVec2 p[4];
    size_t held = 0;

    for (size_t i = 0; i < 4; i++) {
        size_t a = corner[i], b = corner[(i + 1) % 4];

        if ((shadow->heights[a] <= 0) != (shadow->heights[b] <= 0))
            p[held++] = crossing(shadow, a, b);
    }
    for (size_t i = 0; i < held; i += 2)
        add_edge(shadow, p[i], p[i + 1]);
}

/** The chord in which the plane meets a filled ring. */
static void
add_chord(Shadow *shadow, size_t first)
{
    TbVec2 ends[2];
    size_t held = 0;

    for (size_t k = 0; k < shadow->rings.columns && held < 2; k++) {
        size_t a = first + k, b = first + (k + 1) % shadow->rings.columns;

        if ((shadow->heights[a] <= 0) != (shadow->heights[b] <= 0))
            ends[held++] = crossing(shadow, a, b);
    }
    if (held == 2)
        add_edge(shadow, ends[0], ends[1]);
}

/** Points of both rings on either side of the plane: bit 1 beyond it, bit 2 before it. */
static int
sides_of(const Shadow *shadow, size_t first, size_t count)
{
    int sides = 0;

    for (size_t i = first; i < first + count && sides != 3; i++)
        sides |= shadow->heights[i] <= 0 ? 1 : 2;
    return sides;
}

/** Twice the area of a ring on paper. */
static double
ring_area(const Shadow *shadow, size_t first)
{
    double area = 0;

    for (size_t k = 0; k < shadow->rings.columns; k++)
        area += tb_vec2_cross(shadow->paper[first + k],
                              shadow->paper[first + (k + 1) % shadow->rings.columns]);
    return area;
}

/** Twice the area on paper of the face from column k to the next, seen from outside. */
static double
face_area(const Shadow *shadow, size_t first, size_t k)
{
    size_t n = shadow->rings.columns, a = first + k, b = first + (k + 1) % n;

    return tb_vec2_cross(tb_vec2_sub(shadow->paper[b + n], shadow->paper[a]),
                         tb_vec2_sub(shadow->paper[a + n], shadow->paper[b]));
}

/** Adds the edges at which the body between two rings turns from the reader: no other is on its
 * outline. */
static bool
add_body(Shadow *shadow, size_t ring)
{
    size_t n = shadow->rings.columns, first = ring * n;
    int sides = sides_of(shadow, first, 2 * n);
    double before, start = -ring_area(shadow, first), end = ring_area(shadow, first + n);

    if (sides == 2)
        return true;
    before = face_area(shadow, first, n - 1);
    for (size_t k = 0; k < n; k++) {
        size_t a = first + k, b = first + (k + 1) % n;
        double face = face_area(shadow, first, k);

        if (before * face <= 0)
            add_beyond(shadow, a, a + n);
        if (start * face <= 0)
            add_beyond(shadow, a, b);
        if (end * face <= 0)
            add_beyond(shadow, a + n, b + n);
        if (sides == 3)
            add_in_plane(shadow, (size_t[]){a, b, b + n, a + n});
        before = face;
    }
    if (sides == 3) {
        add_chord(shadow, first);
        add_chord(shadow, first + n);
    }
    return close_body(shadow);
}

/* ---- the grid ---- */

/** Frames what lies beyond the plane; false when nothing does. */
static bool
frame(Shadow *shadow, double chord)
{
    TbVec2 low = {INFINITY, INFINITY}, high = {-INFINITY, -INFINITY};
    size_t count = shadow->rings.count * shadow->rings.columns;

    for (size_t i = 0; i < count; i++) {
        shadow->heights[i] = tb_plane_height(shadow->plane, shadow->rings.points[i]);
        shadow->paper[i] = tb_plane_project(shadow->plane, shadow->rings.points[i]);
    }
    /* a body that the plane crosses counts whole: the grid may be larger than what is seen */
    for (size_t r = 0; r + 1 < shadow->rings.count; r++) {
        size_t first = r * shadow->rings.columns;

        if (sides_of(shadow, first, 2 * shadow->rings.columns) == 2)
            continue;
        for (size_t i = first; i < first + 2 * shadow->rings.columns; i++) {
            low = tb_vec2(fmin(low.x, shadow->paper[i].x), fmin(low.y, shadow->paper[i].y));
            high = tb_vec2(fmax(high.x, shadow->paper[i].x), fmax(high.y, shadow->paper[i].y));
        }
    }
    if (!(low.x <= high.x))
        return false;
    shadow->step = fmax(chord, fmax(high.x - low.x, high.y - low.y) / (SHADOW_MOST - 4));
    /* odd shares, so that grid lines seldom run along sides of the body */
    shadow->low = tb_vec2(low.x - 1.3701 * shadow->step, low.y - 1.4142 * shadow->step);
    shadow->lines[0] = (size_t)ceil((high.y - shadow->low.y) / shadow->step) + 2;
    shadow->lines[1] = (size_t)ceil((high.x - shadow->low.x) / shadow->step) + 2;
    for (size_t i = 0; i < count; i++)
        shadow->paper[i] =
            tb_vec2_scale(tb_vec2_sub(shadow->paper[i], shadow->low), 1 / shadow->step);
    return true;
}

static TbStatus
make_lines(Shadow *shadow, TbFault *fault)
{
    for (int way = 0; way < 2; way++) {
        size_t count = shadow->lines[way];

        shadow->line[way] = tb_alloc_array(count, sizeof(Line));
        shadow->open[way] = tb_alloc_array(count, sizeof(Span));
        shadow->covered[way] = tb_alloc_array(shadow->lines[1], 1);
        if (shadow->line[way] == NULL || shadow->open[way] == NULL || shadow->covered[way] == NULL)
            return no_room(fault);
        for (size_t i = 0; i < count; i++)
            shadow->open[way][i] = (Span){INFINITY, -INFINITY};
        shadow->from[way] = SIZE_MAX;
    }
    return TB_OK;
}

/** Edges are numbered by the point they leave to the right (even) or upwards (odd). */
static bool
outline_point(void *user, uint64_t edge, TbVec2 *point)
{
    const Shadow *shadow = user;
    size_t number = (size_t)(edge / 2), wide = shadow->lines[1];
    bool upwards = edge % 2 == 1;
    size_t column = number % wide, row = number / wide;
    const Line *line = upwards ? &shadow->line[1][column] : &shadow->line[0][row];
    double from = (double)(upwards ? row : column), at = from + 0.5;
    const Span *begins = span_of(line, from), *ends = span_of(line, from + 1);

    /* where rounding has it that the columns know nothing of what the rows say: the middle */
    if (begins != NULL && begins->high < from + 1)
        at = begins->high;
    else if (begins == NULL && ends != NULL)
        at = ends->low;
    *point = tb_vec2_add(
        shadow->low, tb_vec2_scale(upwards ? tb_vec2((double)column, at) : tb_vec2(at, (double)row),
                                   shadow->step));
    return true;
}

/** @return the row's first and last covered point; last below first where there is none. */
static Span
fill_row(const Shadow *shadow, size_t row, unsigned char covered[])
{
    const Line *line = &shadow->line[0][row];
    const Span *spans = spans_of(line);
    Span all = {INFINITY, -INFINITY};

    memset(covered, 0, shadow->lines[1]);
    for (size_t i = 0; i < line->count; i++) {
        double from = ceil(spans[i].low), to = floor(spans[i].high);

        if (from > to)
            continue;
        memset(covered + (size_t)from, 1, (size_t)(to - from) + 1);
        all = (Span){fmin(all.low, from), fmax(all.high, to)};
    }
    return all;
}

/** Eight points of each of two rows, and the one after them, are all covered or all not. */
static bool
is_dull(const unsigned char *below, const unsigned char *above)
{
    uint64_t a, b, c, d;

    memcpy(&a, below, 8);
    memcpy(&b, above, 8);
    memcpy(&c, below + 1, 8);
    memcpy(&d, above + 1, 8);
    return a == b && a == c && a == d;
}

static TbStatus
march(Shadow *shadow, TbFault *fault)
{
    size_t wide = shadow->lines[1];
    unsigned char *below = shadow->covered[0], *above = shadow->covered[1];
    TbStatus status = TB_OK;
    Span last;

    last = fill_row(shadow, 0, below);
    for (size_t j = 0; j + 1 < shadow->lines[0] && status == TB_OK; j++) {
        unsigned char *swap = below;
        Span next = fill_row(shadow, j + 1, above);
        double from = fmin(last.low, next.low) - 1, to = fmax(last.high, next.high);

        last = next;
        for (size_t i = from <= to ? (size_t)from : wide; (double)i <= to && status == TB_OK; i++) {
            size_t at = j * wide + i;
            const bool inside[4] = {below[i], below[i + 1], above[i + 1], above[i]};
            const uint64_t edge[4] = {2 * at, 2 * (at + 1) + 1, 2 * (at + wide), 2 * at + 1};

            if (i + 9 <= wide && is_dull(below + i, above + i)) {
                i += 7;
                continue;
            }
            status = tb_cut__square(&shadow->segments, inside, edge, true, fault);
        }
        below = above;
        above = swap;
    }
    return status;
}

/* ---- all together ---- */

static void
clear(Shadow *shadow)
{
    for (int way = 0; way < 2; way++) {
        for (size_t i = 0; shadow->line[way] != NULL && i < shadow->lines[way]; i++)
            tb_free(shadow->line[way][i].more);
        tb_free(shadow->line[way]);
        tb_free(shadow->open[way]);
        tb_free(shadow->covered[way]);
    }
    tb_free(shadow->segments.all);
    tb_free(shadow->paper);
    tb_free(shadow->heights);
    tb_cut__clear_rings(&shadow->rings);
}

static TbStatus
trace(Shadow *shadow, TbCut *cut, double chord, int role, TbFault *fault)
{
    size_t count = shadow->rings.count * shadow->rings.columns;
    TbCut traced;
    TbStatus status;

    shadow->heights = tb_alloc_array(count, sizeof *shadow->heights);
    shadow->paper = tb_alloc_array(count, sizeof *shadow->paper);
    if (shadow->heights == NULL || shadow->paper == NULL)
        return no_room(fault);
    if (!frame(shadow, chord))
        return TB_OK;
    status = make_lines(shadow, fault);
    for (size_t r = 0; r + 1 < shadow->rings.count && status == TB_OK; r++)
        if (!add_body(shadow, r))
            status = no_room(fault);
    if (status == TB_OK)
        status = march(shadow, fault);
    tb_cut_init(&traced);
    if (status == TB_OK)
        status = tb_cut__chain(&shadow->segments, outline_point, shadow, &traced, role, fault);
    if (status == TB_OK)
        status = tb_cut__thinned(cut, &traced, SHADOW_THIN * shadow->step, fault);
    tb_cut_clear(&traced);
    return status;
}

TbStatus
tb_cut__shadow(
    TbCut *cut, const TbSweep *sweep, TbPlane plane, double chord, int role, TbFault *fault)
{
    Shadow shadow = {.plane = plane};
    TbStatus status = tb_cut__rings(&shadow.rings, sweep, chord, fault);

    if (status == TB_OK)
        status = trace(&shadow, cut, chord, role, fault);
    clear(&shadow);
    return status;
}
